//! Threads of the drawn part: heavy crest, thin root, ends, however flat.

use eframe::egui::Shape;
use egui_kittest::Harness;
use fitledger::window::look::Theme;
use fitledger::window::outline_ui::outline_ui;
use fitledger::window::view::{Mark, OutlineView};

use super::{OUTLINE, THEMES, bush, gland, look, marked, shapes_of, whole};
use crate::support::picture::{picture, window};

/// Lines along the axis: how far from it, how wide, from where to where.
fn along_axis(window: &Harness<'_>, axis_y: f32) -> Vec<(f32, f32, f32, f32)> {
    let mut found = Vec::new();
    for (_, shape) in shapes_of(window) {
        if let Shape::LineSegment { points, stroke } = shape
            && points[0].y == points[1].y
            && stroke.width < 3.0
        {
            let [one, other] = points;
            let (from, to) = (one.x.min(other.x), one.x.max(other.x));
            found.push((one.y - axis_y, stroke.width, from, to));
        }
    }
    found
}

#[test]
fn a_thread_has_a_heavy_crest_and_a_thin_root_at_its_depth_and_ends_heavy() {
    // 10 points to a millimetre, so that no line is moved for being too near to another.
    let size = [400.0, 330.0];
    let view = gland(None);
    let window = window(size, 1.0, |ui| {
        outline_ui(ui, whole(size), &view, &look(Theme::Day), &mut Vec::new());
    });
    let axis_y = dashed_axis(&window);
    let lines = along_axis(&window, axis_y);
    let seat = lines
        .iter()
        .find(|line| line.1 == 1.6 && line.0 < 0.0)
        .unwrap();
    let scale = -seat.0 / 8.0;
    let has = |radius: f32, width: f32| {
        let near = |line: &&(f32, f32, f32, f32)| {
            (line.0 - radius * scale).abs() < 0.02 * scale && line.1 == width
        };
        lines
            .iter()
            .filter(near)
            .any(|line| line.3 - line.2 > 17.0 * scale)
    };
    // Outside, seen above and cut below: d 16, d1 14.376. Inside, cut below: D1 8.376, D 10.
    for (radius, width) in [
        (-8.0, 1.6),
        (8.0, 1.6),
        (-7.188, 1.0),
        (7.188, 1.0),
        (4.188, 1.6),
        (5.0, 1.0),
    ] {
        assert!(has(radius, width), "{radius} {width} of {lines:?}");
        let other = if width == 1.0 { 1.6 } else { 1.0 };
        assert!(!has(radius, other), "{radius} is not {other}");
    }
    // Hidden above: no whole line, only dashes.
    assert!(!has(-5.0, 1.0) && !has(-4.188, 1.6));
    let ends = thread_ends(&window, axis_y, scale);
    assert_eq!(
        ends,
        [
            "0 to -8",
            "0 to -8",
            "4.188 to 5",
            "4.188 to 5",
            "7.188 to 8",
            "7.188 to 8"
        ]
    );
}

/// Where the long dashes of the centre line lie.
fn dashed_axis(window: &Harness<'_>) -> f32 {
    let mut counts: Vec<(f32, usize)> = Vec::new();
    for (_, shape) in shapes_of(window) {
        if let Shape::LineSegment { points, .. } = shape
            && points[0].y == points[1].y
            && ((points[0].x - points[1].x).abs() - 12.0).abs() < 0.01
        {
            match counts.iter_mut().find(|(y, _)| *y == points[0].y) {
                Some((_, count)) => *count += 1,
                None => counts.push((points[0].y, 1)),
            }
        }
    }
    counts.iter().max_by_key(|(_, count)| *count).unwrap().0
}

/// Heavy lines across that belong to threads: from which radius to which, in millimetres.
fn thread_ends(window: &Harness<'_>, axis_y: f32, scale: f32) -> Vec<String> {
    let spans = [(0.0, -8.0), (4.188, 5.0), (7.188, 8.0)];
    let mut found = Vec::new();
    for (_, shape) in shapes_of(window) {
        let Shape::LineSegment { points, stroke } = shape else {
            continue;
        };
        let [from, to] = points.map(|point| (point.y - axis_y) / scale);
        let is = |(one, other): &(f32, f32)| (from - one).abs() < 0.02 && (to - other).abs() < 0.02;
        if points[0].x == points[1].x
            && stroke.width == 1.6
            && let Some((one, other)) = spans.iter().find(|span| is(span))
        {
            found.push((format!("{one} to {other}"), points[0].x.to_bits()));
        }
    }
    // The face of the part and its shoulders may be drawn there too.
    found.sort();
    found.dedup();
    found.into_iter().map(|(span, _)| span).collect()
}

#[test]
fn a_thread_is_seen_however_flat_and_in_every_state_and_theme() {
    let inked = |view: &OutlineView, theme: Theme| {
        picture(OUTLINE, 1.0, |ui| {
            outline_ui(ui, whole(OUTLINE), view, &look(theme), &mut Vec::new());
        })
    };
    for theme in THEMES {
        for mark in [Mark::Open, Mark::Go, Mark::NoGo, Mark::Doubt, Mark::Cutting] {
            let view = marked(gland(None), &[("A", mark), ("D", mark)]);
            let mut plain = view.clone();
            for shape in &mut plain.shapes {
                shape.thread_root = None;
            }
            let (with, without) = (inked(&view, theme), inked(&plain, theme));
            let pairs = with.pixels().zip(without.pixels());
            let different = pairs.filter(|(one, other)| one != other).count();
            assert!(different > 150, "{theme:?} {mark:?}: {different} pixels");
        }
    }
    // A tenth of a millimetre deep on a part 120 mm across: the lines keep apart.
    let mut flat = bush();
    (
        flat.radius,
        flat.shapes[0].radius_from,
        flat.shapes[0].radius_to,
    ) = (60.0, 60.0, 60.0);
    flat.shapes[0].thread_root = Some(59.9);
    flat.shapes.truncate(1);
    let window = window(OUTLINE, 1.0, |ui| {
        outline_ui(
            ui,
            whole(OUTLINE),
            &flat,
            &look(Theme::Day),
            &mut Vec::new(),
        );
    });
    let lines = along_axis(&window, dashed_axis(&window));
    let at = |width: f32| {
        let below = lines.iter().filter(|line| line.0 > 5.0 && line.1 == width);
        below.map(|line| line.0).fold(0.0, f32::max)
    };
    assert!(at(1.6) - at(1.0) >= 3.2, "{} {}", at(1.6), at(1.0));
}
