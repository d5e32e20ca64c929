//! The renderer and the measures themselves: what the other pictures rest on.
#![allow(clippy::unwrap_used)]

use eframe::egui::epaint::{ClippedPrimitive, ImageDelta, Primitive, Vertex, WHITE_UV};
use eframe::egui::{
    Align2, Color32, ColorImage, FontId, Mesh, Pos2, Rect, TextureId, TextureOptions,
    TexturesDelta, pos2,
};
use egui_kittest::TestRenderer;
use image::{Rgba, RgbaImage};

use crate::support::colour_vision::{Vision, distance, lab, seen};
use crate::support::picture::{Measured, alike, contrast_of, painted_texts, picture, window};
use crate::support::renderer::Renderer;

const EVERYTHING: Rect = Rect::EVERYTHING;
const WHITE: Rgba<u8> = Rgba([255, 255, 255, 255]);
const BLACK: Rgba<u8> = Rgba([0, 0, 0, 255]);

fn delta(pos: Option<[usize; 2]>, image: ColorImage) -> TexturesDelta {
    let options = TextureOptions::LINEAR;
    let change = match pos {
        None => ImageDelta::full(image, options),
        Some(pos) => ImageDelta::partial(pos, image, options),
    };
    let mut delta = TexturesDelta::default();
    delta.push(TextureId::default(), change);
    delta
}

fn renderer() -> Renderer {
    let mut renderer = Renderer::default();
    renderer.handle_delta(&mut delta(None, ColorImage::filled([2, 2], Color32::WHITE)));
    renderer
}

fn triangles(corners: &[(f32, f32)], color: Color32) -> Mesh {
    let mut mesh = Mesh::default();
    for (index, &(x, y)) in (0..).zip(corners) {
        mesh.vertices.push(Vertex {
            pos: pos2(x, y),
            uv: WHITE_UV,
            color,
        });
        mesh.indices.push(index);
    }
    mesh
}

fn drawn(renderer: &Renderer, size: [u32; 2], scale: f32, parts: &[(Rect, Mesh)]) -> RgbaImage {
    let primitives: Vec<_> = parts
        .iter()
        .map(|(clip_rect, mesh)| ClippedPrimitive {
            clip_rect: *clip_rect,
            primitive: Primitive::Mesh(mesh.clone()),
        })
        .collect();
    renderer.draw(size, scale, &primitives).unwrap()
}

fn white_pixels(image: &RgbaImage) -> Vec<(u32, u32)> {
    let pixels = image.enumerate_pixels();
    pixels
        .filter(|(_, _, pixel)| **pixel == WHITE)
        .map(|(x, y, _)| (x, y))
        .collect()
}

/// Expected by hand: a pixel is inside when its middle is; a middle on the slanted edge, which
/// is neither top nor left, is outside.
#[test]
fn a_triangle_covers_the_pixels_whose_middles_are_inside() {
    let mesh = triangles(&[(0.0, 0.0), (4.0, 0.0), (0.0, 4.0)], Color32::WHITE);
    let image = drawn(&renderer(), [5, 5], 1.0, &[(EVERYTHING, mesh)]);
    let expected = [(0, 0), (1, 0), (2, 0), (0, 1), (1, 1), (0, 2)];
    assert_eq!(white_pixels(&image), expected);
    let turned = triangles(&[(0.0, 0.0), (0.0, 4.0), (4.0, 0.0)], Color32::WHITE);
    let again = drawn(&renderer(), [5, 5], 1.0, &[(EVERYTHING, turned)]);
    assert_eq!(
        again, image,
        "the turning of the corners makes no difference"
    );
}

/// Two triangles that share an edge cover each pixel once: with a half-transparent colour a
/// pixel covered twice would be lighter, one covered by none black.
#[test]
fn a_rectangle_of_two_triangles_covers_each_pixel_once() {
    let half = Color32::from_rgba_premultiplied(128, 128, 128, 128);
    for (left, top, right, bottom) in [(0.0, 0.0, 8.0, 8.0), (0.5, 0.5, 7.5, 6.5)] {
        let corners = [
            (left, top),
            (right, top),
            (right, bottom),
            (left, top),
            (right, bottom),
            (left, bottom),
        ];
        let mesh = triangles(&corners, half);
        let image = drawn(&renderer(), [9, 9], 1.0, &[(EVERYTHING, mesh)]);
        let covered = image
            .pixels()
            .filter(|pixel| pixel.0 == [128, 128, 128, 255]);
        let black = image.pixels().filter(|pixel| **pixel == BLACK);
        let area = (right - left) * (bottom - top);
        assert_eq!((covered.count(), black.count()), {
            let area: usize = if area > 60.0 { 64 } else { 42 };
            (area, 81 - area)
        });
    }
}

/// 0.5 of white over black in gamma space is 128 of 255, and once more 192: 128 + 128 × 127/255.
#[test]
fn half_transparent_white_is_mixed_in_gamma_space() {
    let half = Color32::from_rgba_premultiplied(128, 128, 128, 128);
    let mesh = triangles(&[(0.0, 0.0), (9.0, 0.0), (0.0, 9.0)], half);
    let once = drawn(&renderer(), [2, 2], 1.0, &[(EVERYTHING, mesh.clone())]);
    assert_eq!(*once.get_pixel(0, 0), Rgba([128, 128, 128, 255]));
    let twice = [(EVERYTHING, mesh.clone()), (EVERYTHING, mesh)];
    let twice = drawn(&renderer(), [2, 2], 1.0, &twice);
    assert_eq!(*twice.get_pixel(0, 0), Rgba([192, 192, 192, 255]));
}

#[test]
fn nothing_is_drawn_outside_the_clip_and_scale_counts() {
    let mesh = triangles(&[(-9.0, -9.0), (90.0, -9.0), (-9.0, 90.0)], Color32::WHITE);
    let clip = Rect::from_min_max(pos2(1.0, 1.0), pos2(2.0, 2.0));
    let image = drawn(&renderer(), [8, 8], 2.0, &[(clip, mesh)]);
    assert_eq!(white_pixels(&image), [(2, 2), (3, 2), (2, 3), (3, 3)]);
}

/// Between black and white texels lies the mean, by hand; and a partial update changes its part.
#[test]
fn textures_are_sampled_between_texels_and_updated_in_part() {
    let mut renderer = Renderer::default();
    let black_white = ColorImage::new([2, 1], vec![Color32::BLACK, Color32::WHITE]);
    renderer.handle_delta(&mut delta(None, black_white));
    let mut mesh = triangles(&[(0.0, 0.0), (8.0, 0.0), (0.0, 8.0)], Color32::WHITE);
    for vertex in &mut mesh.vertices {
        vertex.uv = pos2(0.5, 0.5);
    }
    let parts = [(EVERYTHING, mesh)];
    let image = drawn(&renderer, [1, 1], 1.0, &parts);
    assert_eq!(*image.get_pixel(0, 0), Rgba([128, 128, 128, 255]));
    let white = ColorImage::filled([1, 1], Color32::WHITE);
    renderer.handle_delta(&mut delta(Some([0, 0]), white));
    let image = drawn(&renderer, [1, 1], 1.0, &parts);
    assert_eq!(*image.get_pixel(0, 0), WHITE);
}

#[test]
fn text_is_drawn_where_it_is_and_twice_the_same() {
    let draw = |ui: &mut eframe::egui::Ui| {
        let painter = ui.painter();
        let font = FontId::proportional(20.0);
        let at = pos2(10.0, 10.0);
        painter.text(at, Align2::LEFT_TOP, "20.012", font, Color32::WHITE);
    };
    let mut harness = window([120.0, 60.0], 1.5, draw);
    let texts = painted_texts(&harness);
    assert_eq!(texts.len(), 1, "{texts:?}");
    let image = harness.render().unwrap();
    let measured = Measured {
        image: &image,
        pixels_per_point: 1.5,
    };
    assert!(!measured.is_blank(texts[0].rect));
    let below = Rect::from_min_max(pos2(0.0, texts[0].rect.max.y + 1.0), pos2(120.0, 60.0));
    assert!(measured.is_blank(below));
    assert!(measured.contrast(texts[0].rect) > 12.0);
    assert_eq!(picture([120.0, 60.0], 1.5, draw), image);
}

#[test]
fn a_tiny_window_is_drawn() {
    for size in [[0.0, 0.0], [1.0, 1.0]] {
        let image = picture(size, 1.0, |ui| drop(ui.label("GO")));
        assert_eq!(image.dimensions(), (1, 1));
    }
}

#[test]
fn pictures_are_alike_within_the_tolerance_only() {
    let plain = RgbaImage::from_pixel(20, 10, BLACK);
    let mut off = plain.clone();
    for at in 0..8 {
        off.put_pixel(at, 3, Rgba([9, 0, 0, 255]));
    }
    assert_eq!(alike(&plain, &off), Ok(()), "8 are too few for a letter");
    off.put_pixel(8, 3, WHITE);
    assert!(alike(&plain, &off).is_err());
    let slightly = RgbaImage::from_pixel(20, 10, Rgba([8, 8, 8, 255]));
    assert_eq!(alike(&plain, &slightly), Ok(()));
    assert!(alike(&plain, &RgbaImage::from_pixel(10, 20, BLACK)).is_err());
}

/// WCAG 2.2: black on white is 21 : 1; #767676 on white is the well-known grey that just passes
/// 4.5 : 1 (both from memory).
#[test]
fn contrast_is_that_of_the_guideline() {
    let white = [255; 3];
    assert!((contrast_of([0; 3], white) - 21.0).abs() < 1e-9);
    assert!(contrast_of([0x76; 3], white) >= 4.5);
    assert!(contrast_of([0x77; 3], white) < 4.5);
}

/// Rows of a simulation sum to one: grey stays grey. The L* of white is 100 by definition, and
/// pure red and green, far apart to usual eyes, come nearer together without red or green cones.
#[test]
fn colour_vision_keeps_grey_and_brings_red_and_green_together() {
    for vision in [Vision::Protanopia, Vision::Deuteranopia] {
        for grey in [0, 40, 128, 255] {
            let (usual, simulated) = (seen([grey; 3], Vision::Usual), seen([grey; 3], vision));
            for (one, other) in usual.iter().zip(simulated) {
                assert!((one - other).abs() < 1e-5, "{vision:?} {grey}");
            }
        }
        let (red, green) = ([200, 0, 0], [100, 120, 0]);
        let usual = distance(red, green, Vision::Usual);
        assert!(distance(red, green, vision) < 0.5 * usual, "{vision:?}");
    }
    let white = lab([1.0; 3]);
    assert!((white[0] - 100.0).abs() < 0.01 && white[1].abs() < 0.1 && white[2].abs() < 0.1);
}

fn rect(left: f32, top: f32, right: f32, bottom: f32) -> Rect {
    Rect::from_min_max(Pos2::new(left, top), Pos2::new(right, bottom))
}

#[test]
fn shares_of_colours_are_counted_in_points() {
    let mesh = triangles(&[(0.0, 0.0), (9.0, 0.0), (0.0, 9.0)], Color32::WHITE);
    let image = drawn(
        &renderer(),
        [8, 4],
        2.0,
        &[(rect(0.0, 0.0, 1.0, 2.0), mesh)],
    );
    let measured = Measured {
        image: &image,
        pixels_per_point: 2.0,
    };
    let share = measured.share_of(rect(0.0, 0.0, 4.0, 2.0), Color32::WHITE);
    assert!((share - 0.25).abs() < 1e-9, "{share}");
    assert!(measured.is_blank(rect(1.0, 0.0, 4.0, 2.0)));
    assert!(!measured.is_blank(rect(0.5, 0.0, 4.0, 2.0)));
}
