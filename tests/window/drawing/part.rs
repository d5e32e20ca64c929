//! The part as a half section: names, balloons, clicks, proportions, states.

use eframe::egui::accesskit::Role;
use eframe::egui::{Color32, Pos2, Rect, Shape, pos2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::window::chart_ui::chart_ui;
use fitledger::window::look::Theme;
use fitledger::window::outline_ui::outline_ui;
use fitledger::window::press::Press;
use fitledger::window::view::{Mark, OutlineView};

use super::{
    OUTLINE, bush, chart, gland, housing, look, marked, of_plan, pressed, shaft, shapes_of, whole,
};
use crate::support::picture::{Measured, painted_texts, picture, window};

#[test]
fn every_drawn_feature_has_its_name_and_a_click_on_it_chooses_it() {
    let view = marked(shaft(Some(0)), &[("A", Mark::Go), ("B", Mark::NoGo)]);
    let night = look(Theme::Night);
    let (mut window, presses) = pressed(OUTLINE, |ui, presses| {
        outline_ui(ui, whole(OUTLINE), &view, &night, presses);
    });
    let whole_part = "Half section of Pump shaft, 62 mm long, 25 mm across; not drawn: C";
    assert!(window.query_by_label(whole_part).is_some());
    let names = [
        ("drawn 1 A 20 k6, GO", 0),
        ("drawn 2 B, NO-GO", 1),
        ("drawn 4 D, open", 3),
        ("drawn 5 E, open", 4),
    ];
    for (name, target) in names {
        window.get_by_role_and_label(Role::Button, name).click();
        window.run();
        assert_eq!(presses.take(), [Press::Choose(target)], "{name}");
    }
}

/// Counted in the plan's file: a thread has a number for each of its elements.
#[test]
fn a_balloon_has_the_numbers_of_all_characteristics_of_its_feature() {
    let balloons = |view: OutlineView| {
        let shapes = view.shapes.into_iter();
        let of = shapes.map(|shape| (shape.id, shape.balloon));
        of.filter(|(id, _)| !id.is_empty())
            .map(|(id, numbers)| format!("{id} {numbers}"))
            .collect::<Vec<_>>()
    };
    let plan = |elements: &str| {
        format!(
            "[part]\nname = \"Gland\"\n\
             [[feature]]\nid = \"A\"\ncallout = \"20 k6\"\nalong = [0, 10]\n\
             [[feature]]\nid = \"B\"\ncallout = \"M16x1.5-6g\"\nsurface = \"outside\"\n\
             along = [10, 30]\nelements = [{elements}]\n\
             [[feature]]\nid = \"C\"\ncallout = \"30 ±0.1\"\nsurface = \"length\"\n\
             along = [0, 30]\n"
        )
    };
    let three = "\"major\", \"go_ring\", \"no_go_ring\"";
    assert_eq!(
        balloons(of_plan(&plan(three), None)),
        ["A 1", "B 2-4", "C 5"]
    );
    let two = "\"major\", \"go_ring\"";
    assert_eq!(
        balloons(of_plan(&plan(two), None)),
        ["A 1", "B 2, 3", "C 4"]
    );
}

#[test]
fn a_click_into_a_bore_chooses_the_bore_and_above_it_what_is_outside() {
    let view = bush();
    let night = look(Theme::Night);
    let (mut window, presses) = pressed(OUTLINE, |ui, presses| {
        outline_ui(ui, whole(OUTLINE), &view, &night, presses);
    });
    let expected = [
        ((60.0, 76.0), Some(1)),
        ((60.0, 50.0), Some(0)),
        ((60.0, 105.0), Some(0)),
        ((180.0, 76.0), Some(0)),
        ((6.0, 6.0), None),
    ];
    for ((x, y), target) in expected {
        click_at(&mut window, pos2(x, y));
        let chosen: Vec<Press> = target.map(Press::Choose).into_iter().collect();
        assert_eq!(presses.take(), chosen, "{x} {y}");
    }
}

fn click_at(window: &mut Harness<'_>, pos: Pos2) {
    window.hover_at(pos);
    window.run();
    for pressed in [true, false] {
        window.event(eframe::egui::Event::PointerButton {
            pos,
            button: eframe::egui::PointerButton::Primary,
            pressed,
            modifiers: eframe::egui::Modifiers::NONE,
        });
        window.run();
    }
}

#[test]
fn the_upper_half_is_plain_the_lower_is_cut_metal_and_a_bore_is_a_void() {
    let image = picture(OUTLINE, 2.0, |ui| {
        outline_ui(
            ui,
            whole(OUTLINE),
            &bush(),
            &look(Theme::Day),
            &mut Vec::new(),
        );
    });
    let measured = Measured {
        image: &image,
        pixels_per_point: 2.0,
    };
    let blank = |x: [f32; 2], y: [f32; 2]| {
        measured.is_blank(Rect::from_x_y_ranges(x[0]..=x[1], y[0]..=y[1]))
    };
    assert!(blank([140.0, 220.0], [20.0, 55.0]), "the outside view");
    assert!(!blank([140.0, 220.0], [70.0, 110.0]), "cut metal");
    assert!(blank([20.0, 110.0], [70.0, 85.0]), "the void of the bore");
    assert!(!blank([20.0, 110.0], [95.0, 110.0]), "the wall around it");
    // Hidden edges of the bore in the outside view, and the centre line.
    assert!(!blank([20.0, 110.0], [34.0, 41.0]), "the hidden edge");
    assert!(!blank([20.0, 220.0], [62.0, 66.0]), "the centre line");
}

/// Width and height of what differs from the ground, in points, without the centre line's ends.
fn extent(view: &OutlineView) -> (f32, f32) {
    let image = picture(OUTLINE, 4.0, |ui| {
        outline_ui(ui, whole(OUTLINE), view, &look(Theme::Day), &mut Vec::new());
    });
    let ground = image.get_pixel(2, 2);
    let inked = image
        .enumerate_pixels()
        .filter(|(_, _, pixel)| *pixel != ground);
    let inked: Vec<(u32, u32)> = inked.map(|(x, y, _)| (x, y)).collect();
    let columns: Vec<u32> = inked.iter().map(|(x, _)| *x).collect();
    let rows: Vec<u32> = inked.iter().map(|(_, y)| *y).collect();
    let span = |of: &[u32]| (of.iter().max().unwrap() - of.iter().min().unwrap()) as f32 / 4.0;
    (span(&columns) - 12.0, span(&rows))
}

#[test]
fn proportions_are_true_and_bent_by_at_most_four_where_nothing_would_be_seen() {
    let part = |length: f32, diameter: f32| {
        let mut view = bush();
        view.shapes.truncate(1);
        (view.right, view.radius) = (length, diameter / 2.0);
        let shape = &mut view.shapes[0];
        (shape.to, shape.radius_from, shape.radius_to) = (length, diameter / 2.0, diameter / 2.0);
        let (width, height) = extent(&view);
        // Without the thickness of the edges.
        (width - 1.6, height - 1.6)
    };
    let ratio = |(width, height): (f32, f32)| width / height;
    for (length, diameter) in [(40.0, 20.0), (30.0, 30.0), (50.0, 60.0)] {
        let drawn = ratio(part(length, diameter)) / (length / diameter);
        assert!(
            (0.95..1.05).contains(&drawn),
            "{length} {diameter}: {drawn}"
        );
    }
    let slender = ratio(part(300.0, 15.0)) / 20.0;
    assert!((0.23..0.99).contains(&slender), "{slender}");
    let flat = ratio(part(8.0, 120.0)) / (8.0 / 120.0);
    assert!((1.5..4.3).contains(&flat), "{flat}");
    // A wire 10 m long can still be seen.
    let (width, height) = part(10_000.0, 1.0);
    assert!(
        width > 200.0 && (6.0..10.0).contains(&height),
        "{width} {height}"
    );
}

#[test]
fn states_can_be_told_apart_without_colour() {
    let mut grey = look(Theme::Day);
    let tokens = &mut grey.tokens;
    tokens.go = Color32::GRAY;
    (tokens.no_go, tokens.cutting, tokens.doubt) = (tokens.go, tokens.go, tokens.go);
    let marks = [Mark::Go, Mark::NoGo, Mark::Doubt, Mark::Cutting, Mark::Open];
    let different = |one: &image::RgbaImage, other: &image::RgbaImage| {
        let pairs = one.pixels().zip(other.pixels());
        pairs.filter(|(one, other)| one != other).count()
    };
    let drawn = marks.map(|mark| {
        let mut view = bush();
        view.shapes[0].mark = mark;
        picture(OUTLINE, 1.0, |ui| {
            outline_ui(ui, whole(OUTLINE), &view, &grey, &mut Vec::new());
        })
    });
    let size = [200.0, 80.0];
    let plotted = marks.map(|mark| {
        let view = chart(&[(0.2, 0.5, Mark::Go), (0.5, 0.4, mark), (0.8, 0.6, Mark::Go)]);
        picture(size, 1.0, |ui| chart_ui(ui, whole(size), &view, &grey))
    });
    for one in 0..marks.len() {
        for other in one + 1..marks.len() {
            let pair = (marks[one], marks[other]);
            assert!(
                different(&drawn[one], &drawn[other]) > 500,
                "drawn {pair:?}"
            );
            assert!(
                different(&plotted[one], &plotted[other]) > 12,
                "plotted {pair:?}"
            );
        }
    }
}

#[test]
fn letters_callout_and_leader_never_cross() {
    for size in [OUTLINE, [420.0, 260.0], [180.0, 100.0]] {
        let parts = [shaft, housing, gland];
        for view in (0..9).flat_map(|subject| parts.map(|part| part(Some(subject)))) {
            let window = window(size, 1.0, |ui| {
                outline_ui(ui, whole(size), &view, &look(Theme::Day), &mut Vec::new());
            });
            let texts = painted_texts(&window);
            let leaders: Vec<[Pos2; 2]> = shapes_of(&window)
                .iter()
                .filter_map(|(_, shape)| match shape {
                    Shape::LineSegment { points, stroke } if stroke.width == 1.2 => Some(*points),
                    _ => None,
                })
                .collect();
            for (at, text) in texts.iter().enumerate() {
                let (name, rect) = (&text.text, text.rect.shrink(0.5));
                assert!(whole(size).contains_rect(rect), "{name} at {rect}");
                for other in &texts[at + 1..] {
                    let crosses = other.rect.shrink(0.5).intersects(rect);
                    assert!(!crosses, "{name} over {} at {size:?}", other.text);
                }
                for [from, to] in &leaders {
                    let points = (0..=100_u8).map(|part| from.lerp(*to, f32::from(part) / 100.0));
                    let crosses = points.into_iter().any(|point| rect.contains(point));
                    assert!(!crosses, "the leader crosses {name} at {size:?}");
                }
            }
            let has_leader = view.shapes.iter().any(|shape| shape.leader.is_some());
            let callout = view.shapes.iter().find_map(|shape| shape.leader.clone());
            let said = |callout: &String| texts.iter().any(|text| text.text.ends_with(callout));
            assert_eq!(callout.as_ref().is_some_and(said), has_leader, "{size:?}");
        }
    }
}
