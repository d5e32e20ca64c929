//! What is read from far away: as large as the distance asks, measured in the picture; and what
//! must be known besides is named there too.
#![allow(clippy::unwrap_used, clippy::panic)]

use eframe::egui::Rect;
use egui_kittest::kittest::Queryable;
use fitledger::window::glance_ui::glance_ui;
use fitledger::window::look::{Distance, Look, Sizes, Theme};

use crate::support::picture::{Measured, PaintedText, keep, painted_texts, window};
use crate::support::scenes::{Scene, scene};

const SMALL: [f32; 2] = [800.0, 480.0];
const LARGE: [f32; 2] = [1280.0, 800.0];
/// Pixels to a point, so that edges are found to half a point.
const SCALE: f32 = 2.0;

fn sizes(distance: Distance) -> Sizes {
    Sizes {
        distance,
        ..Sizes::default()
    }
}

/// Height of a text's ink in points: from the first row of pixels that is not as the corner of
/// its place to the last one.
fn ink_height(image: &image::RgbaImage, text: &PaintedText) -> f32 {
    let measured = Measured {
        image,
        pixels_per_point: SCALE,
    };
    let place = text.rect.expand(1.0);
    let mut rows = Vec::new();
    let mut y = place.top();
    while y < place.bottom() {
        let row = Rect::from_x_y_ranges(place.x_range(), y..=y + 1.0 / SCALE);
        if !measured.is_blank(row) {
            rows.push(y);
        }
        y += 1.0 / SCALE;
    }
    rows.last().map_or(0.0, |last| last - rows[0] + 1.0 / SCALE)
}

/// At so many metres 40 minutes of arc are so many millimetres, and 20 half of that: 2 d tan(a/2),
/// worked out by hand for this table.
const HEIGHTS_MM: [(Distance, f32, f32); 4] = [
    (Distance::Half, 5.818, 2.909),
    (Distance::One, 11.636, 5.818),
    (Distance::Two, 23.271, 11.636),
    (Distance::Three, 34.907, 17.453),
];

#[test]
fn digits_word_and_action_are_as_high_as_the_distance_asks_or_it_says_that_they_are_not() {
    let (mut enough, mut short) = (0, 0);
    for (distance, value_mm, action_mm) in HEIGHTS_MM {
        for size in [SMALL, LARGE] {
            for name in ["go", "cutting", "nogo-on", "angle"] {
                let (view, look) = (scene(name).view(), Look::new(Theme::Night, sizes(distance)));
                let (says, action) = (view.verdict.clone(), view.action.clone());
                let mut harness = window(size, SCALE, move |ui| {
                    glance_ui(ui, &view, &look, &mut Vec::new());
                });
                let texts = painted_texts(&harness);
                let image = harness.render().unwrap();
                let per_mm = Sizes::default().points_per_mm;
                let figures = texts.iter().filter(|text| {
                    text.text.len() == 1 && text.text.starts_with(|c: char| c.is_ascii_digit())
                });
                let digit = figures.map(|text| ink_height(&image, text) / per_mm);
                let digit = digit.fold(f32::INFINITY, f32::min);
                // Capitals are as high as digits in this face.
                let word = texts.iter().find(|text| says.word.starts_with(&text.text));
                let word = ink_height(&image, word.unwrap()) / per_mm;
                let acts = texts.iter().find(|text| text.text == action).unwrap();
                // One line of several: the face's capital height of that size.
                let acts = acts.size * 0.75 / per_mm;
                // Half a point, which is what the pixels can tell.
                let least = 0.5 / per_mm;
                let is_enough = digit >= value_mm - least
                    && word >= value_mm - least
                    && acts >= action_mm - least;
                let far = distance.mm() / 1000.0;
                let says_short = format!("too small to read from {far} m");
                let is_said = harness.query_by_label(&says_short).is_some();
                let found = format!(
                    "{name} {size:?} {distance:?}: digit {digit}, word {word} of {value_mm} mm, \
                     action {acts} of {action_mm} mm, said {is_said}"
                );
                assert!(digit.is_finite() && is_enough != is_said, "{found}");
                *if is_enough { &mut enough } else { &mut short } += 1;
            }
        }
    }
    // From half a metre and from one it is always enough, from three never on these screens.
    assert!(enough >= 16 && short >= 8, "{enough} enough, {short} short");
}

fn shown(scene: &Scene, size: [f32; 2], name: &str) -> Vec<PaintedText> {
    let (view, look) = (scene.view(), Look::new(Theme::Night, Sizes::default()));
    let mut harness = window(size, 1.0, move |ui| {
        glance_ui(ui, &view, &look, &mut Vec::new());
    });
    let theme = size[0];
    keep(
        &format!("glance-{name}-{theme}"),
        &harness.render().unwrap(),
    );
    painted_texts(&harness)
}

#[test]
fn a_gauge_that_is_away_a_zero_that_is_due_and_a_signal_are_named_at_a_glance() {
    for (name, wanted) in [
        ("unplugged", "mic-25 → A: unplugged"),
        ("zero-failed", "comparator: zero check failed"),
        ("zero-due", "comparator: zero check due"),
        ("signal", "signals"),
        ("cooling", "Still cooling"),
    ] {
        let scene = scene(name);
        for size in [SMALL, LARGE] {
            let texts = shown(&scene, size, name);
            let found = texts.iter().find(|text| text.text.contains(wanted));
            let found = found.unwrap_or_else(|| panic!("{name} {size:?}: no {wanted}"));
            // Two thirds of the least that is to be read in passing, on the small screen too.
            assert!(found.size >= 14.0, "{name} {size:?}: {}", found.size);
            assert!(!found.text.ends_with('…'), "{name}");
        }
    }
    for name in ["go", "nogo-on", "check-turns"] {
        assert!(scene(name).view().troubles.is_empty(), "{name}");
    }
}

#[test]
fn of_many_troubles_the_worst_is_named_and_the_others_are_counted() {
    let mut scene = scene("unplugged");
    let mut view = scene.view();
    view.troubles = (1..=9)
        .map(|at| format!("gauge number {at}: unplugged just now"))
        .collect();
    let look = Look::new(Theme::Day, Sizes::default());
    let mut harness = window(SMALL, 1.0, move |ui| {
        glance_ui(ui, &view, &look, &mut Vec::new());
    });
    keep("glance-many-troubles", &harness.render().unwrap());
    let texts = painted_texts(&harness);
    let line = texts
        .iter()
        .find(|text| text.text.contains("gauge number 1"))
        .unwrap();
    assert!(line.text.ends_with(" more"), "{}", line.text);
    scene.desk.is_why = true;
    let texts = shown(&scene, SMALL, "why-unplugged");
    assert!(
        texts.iter().any(|text| text.text.contains("unplugged")),
        "behind the reasons"
    );
}

/// The sign of a degree hangs from the top of the digits, as it is written.
#[test]
fn the_degree_sign_hangs_from_the_top_of_the_digits() {
    for size in [SMALL, LARGE] {
        let texts = shown(&scene("angle"), size, "angle");
        let sign = texts.iter().find(|text| text.text == "°").unwrap();
        let digits = texts
            .iter()
            .filter(|text| text.text == "3" || text.text == "0");
        let digit = digits
            .max_by(|one, other| one.size.total_cmp(&other.size))
            .unwrap();
        let high = digit.rect.height();
        let below_top = sign.rect.top() - digit.rect.top();
        assert!(below_top.abs() < 0.08 * high, "{below_top} of {high}");
        assert!(
            sign.rect.bottom() < digit.rect.center().y,
            "{sign:?} {digit:?}"
        );
        assert!(sign.rect.left() >= digit.rect.right(), "{sign:?} {digit:?}");
    }
}
