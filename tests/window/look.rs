//! Colours, faces, patterns and sizes, against published numbers and by what is painted.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::sync::{Arc, Mutex};

use eframe::egui::{
    Align2, Color32, FontFamily, FontId, Painter, Pos2, Rect, Shape, Ui, Vec2, pos2, vec2,
};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::window::look::{
    ACTION_MINUTES, DIGIT_OVER_SIZE, Distance, Fitted, Look, Pattern, REGULAR, Sizes, Theme,
    Tokens, VALUE_MINUTES, bold, digit_height_mm, figures, fitted_text, icon, icon_svg,
    install_faces, paint_mark, paint_pattern, pattern_of, spoken, wrapped_text,
};
use fitledger::window::view::Mark;

const MARKS: [Mark; 9] = [
    Mark::Open,
    Mark::Inside,
    Mark::Go,
    Mark::NoGo,
    Mark::Doubt,
    Mark::Cutting,
    Mark::Held,
    Mark::NotSelected,
    Mark::NotRecorded,
];

/// Relative luminance as WCAG 2.x defines it (from memory; the table below checks it).
fn luminance(color: Color32) -> f64 {
    let part = |byte: u8| {
        let value = f64::from(byte) / 255.0;
        if value <= 0.03928 {
            value / 12.92
        } else {
            ((value + 0.055) / 1.055).powf(2.4)
        }
    };
    0.2126 * part(color.r()) + 0.7152 * part(color.g()) + 0.0722 * part(color.b())
}

fn contrast(one: Color32, other: Color32) -> f64 {
    let (a, b) = (luminance(one), luminance(other));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// Paints once and gives what was painted, the clip rectangle beside each shape.
fn painted(size: Vec2, paint: impl Fn(&mut Ui) + 'static) -> Vec<(Rect, Shape)> {
    let harness = Harness::builder()
        .with_size(size)
        .with_context_setup(install_faces)
        .build_ui(move |ui| paint(ui));
    // The first shape is the ground that the harness paints.
    let shapes = harness.output().shapes.iter().skip(1);
    shapes
        .map(|one| (one.clip_rect, one.shape.clone()))
        .collect()
}

/// What a text became.
fn fit(size: Vec2, paint: impl Fn(&Painter, Rect) -> Fitted + 'static) -> (Fitted, Vec<Shape>) {
    let kept = Arc::new(Mutex::new(None));
    let keeper = Arc::clone(&kept);
    let shapes = painted(size + vec2(100.0, 100.0), move |ui| {
        let rect = Rect::from_min_size(pos2(40.0, 30.0), size);
        *keeper.lock().unwrap() = Some(paint(ui.painter(), rect));
    });
    let fitted = kept.lock().unwrap().unwrap();
    let texts = shapes.into_iter().map(|(_, shape)| shape);
    let texts = texts
        .filter(|shape| matches!(shape, Shape::Text(_)))
        .collect();
    (fitted, texts)
}

fn text_of(shape: &Shape) -> String {
    match shape {
        Shape::Text(text) => text.galley.text().to_owned(),
        _ => String::new(),
    }
}

#[test]
fn black_on_the_fills_has_the_published_contrast() {
    // Published contrasts of black on Okabe and Ito's palette, WCAG formula (bench ergonomics).
    let tokens = Tokens::NIGHT;
    let table = [
        (tokens.go, 6.14),
        (tokens.no_go, 5.43),
        (tokens.cutting, 9.32),
        (tokens.doubt, 9.10),
    ];
    for (fill, published) in table {
        let found = contrast(Color32::BLACK, fill);
        assert!((found - published).abs() < 0.006, "{fill:?}: {found}");
    }
}

#[test]
fn texts_reach_their_contrast_in_every_theme() {
    for theme in Theme::ALL {
        let tokens = Tokens::of(theme);
        for ground in [tokens.ground, tokens.panel] {
            assert!(contrast(tokens.text, ground) >= 7.0, "{theme:?} text");
            assert!(contrast(tokens.muted, ground) >= 4.5, "{theme:?} muted");
        }
        assert!(
            contrast(tokens.ground, tokens.chosen) >= 7.0,
            "{theme:?} chosen row"
        );
        for mark in MARKS {
            let verdict = contrast(tokens.on_plate(mark), tokens.plate(mark));
            assert!(verdict >= 7.0, "{theme:?} {mark:?}: verdict {verdict}");
            if let Some(fill) = tokens.fill(mark) {
                assert!(
                    contrast(tokens.on_fill, fill) >= 4.5,
                    "{theme:?} {mark:?} on fill"
                );
            }
        }
    }
}

#[test]
fn lit_plates_stay_as_far_apart_as_the_palette() {
    // Lightness is what is left of red against green without red-green vision.
    let tokens = Tokens::NIGHT;
    let pairs = [
        (Mark::Go, Mark::NoGo),
        (Mark::NoGo, Mark::Cutting),
        (Mark::Go, Mark::Doubt),
    ];
    for (one, other) in pairs {
        let palette = contrast(tokens.fill(one).unwrap(), tokens.fill(other).unwrap());
        let plates = contrast(tokens.plate(one), tokens.plate(other));
        assert!(
            plates > 0.94 * palette,
            "{one:?} {other:?}: {plates} for {palette}"
        );
    }
}

#[test]
fn the_faces_have_what_the_bench_writes_and_equal_digits() {
    let harness = Harness::builder()
        .with_context_setup(install_faces)
        .build_ui(|_| {});
    for family in [REGULAR, FontFamily::Monospace, bold()] {
        let font = FontId::new(100.0, family.clone());
        harness.ctx.fonts_mut(|fonts| {
            for character in "Ø±µ×°→←▼✓⚠●−…·≤≥Δ²".chars() {
                let names = fonts.characters(&family).get(&character).cloned();
                let first = names.and_then(|names| names.first().cloned());
                assert!(
                    first.is_some_and(|name| name.starts_with("B612")),
                    "{character} in {family:?}"
                );
            }
            // Read from the face's own advance table: 1300 of 2000 units for every digit.
            for digit in '0'..='9' {
                let width = fonts.glyph_width(&font, digit);
                assert!((width - 65.0).abs() < 0.01, "{digit} is {width} wide");
            }
        });
    }
}

#[test]
fn a_digit_is_three_quarters_of_the_font_size_high() {
    for family in [REGULAR, bold()] {
        let harness = Harness::builder()
            .with_context_setup(install_faces)
            .build_ui(move |ui| {
                let font = FontId::new(200.0, family.clone());
                ui.painter().text(
                    pos2(20.0, 20.0),
                    Align2::LEFT_TOP,
                    "147",
                    font,
                    Color32::RED,
                );
            });
        let texts = harness.output().shapes.iter();
        let ink = texts
            .filter_map(|one| match &one.shape {
                Shape::Text(text) => Some(text.galley.mesh_bounds.height()),
                _ => None,
            })
            .fold(0.0, f32::max);
        // The picture of a glyph has up to a pixel of margin on each side.
        assert!((ink / 200.0 - DIGIT_OVER_SIZE).abs() < 0.015, "{ink}");
    }
}

#[test]
fn sizes_are_those_of_the_table() {
    // Bench ergonomics, height of a digit at 2 m, computed: 5', 10', 16', 20', 40'.
    let table = [
        (5.0, 2.9),
        (10.0, 5.8),
        (16.0, 9.3),
        (20.0, 11.6),
        (40.0, 23.3),
    ];
    for (minutes, mm) in table {
        let found = digit_height_mm(Distance::Two.mm(), minutes);
        assert!((found - mm).abs() <= 0.051, "{minutes}': {found}");
    }
    // The same page: 23.3 mm are 84, 130, 152 pixels at 3.61, 5.56, 6.52 pixels a millimetre.
    for (points_per_mm, pixels) in [(3.61, 84.0), (5.56, 130.0), (6.52, 152.0)] {
        let sizes = Sizes {
            points_per_mm,
            distance: Distance::Two,
        };
        let digit = sizes.asked_points(VALUE_MINUTES) * DIGIT_OVER_SIZE;
        assert!((digit - pixels).abs() < 1.0, "{digit} for {pixels}");
    }
    // 0.5 m: 20 minutes are 2.9 mm.
    assert!((digit_height_mm(500.0, ACTION_MINUTES) - 2.9).abs() < 0.05);
}

#[test]
fn a_size_grows_with_the_distance_but_not_beyond_its_place() {
    let sizes = |distance| Sizes {
        points_per_mm: 4.0,
        distance,
    };
    let place = Rect::from_min_size(Pos2::ZERO, vec2(900.0, 40.0));
    let mut last = 0.0;
    for distance in Distance::ALL {
        let grown = sizes(distance).action_points(place);
        assert!(grown >= last, "{distance:?}");
        assert!(grown * DIGIT_OVER_SIZE <= place.height());
        let asked = digit_height_mm(distance.mm(), ACTION_MINUTES) * 4.0;
        // A digit with the air above and below it: a sixth more than the digit alone.
        let has_room = asked * 7.0 / 6.0 <= place.height();
        assert_eq!(
            grown * DIGIT_OVER_SIZE >= asked - 0.01,
            has_room,
            "{distance:?}"
        );
        last = grown;
    }
    let near = sizes(Distance::Half);
    assert!(near.action_points(place) > near.asked_points(ACTION_MINUTES));
    let none = Rect::from_min_max(pos2(10.0, 10.0), pos2(0.0, 0.0));
    assert!(near.action_points(none).abs() < f32::EPSILON);
}

#[test]
fn figures_stand_in_equal_cells_with_a_narrow_marker() {
    let place = vec2(400.0, 90.0);
    let lefts = |value: &'static str| {
        let (fitted, texts) = fit(place, move |painter, rect| {
            let anchor = Align2::RIGHT_CENTER;
            figures(painter, rect, anchor, value, 80.0, bold(), Color32::RED)
        });
        assert!(!fitted.is_cut);
        let middle = |shape: &Shape| shape.visual_bounding_rect().center().x;
        (fitted, texts.iter().map(middle).collect::<Vec<_>>())
    };
    let (whole, wide) = lefts("20.046");
    for other in ["11.111", "98.765", "40,000"] {
        let (same, narrow) = lefts(other);
        assert!(
            (same.rect.width() - whole.rect.width()).abs() < 0.01,
            "{other}"
        );
        assert!(
            (same.rect.right() - 440.0).abs() < 0.01,
            "{other}: last digit moved"
        );
        assert_eq!(narrow.len(), wide.len());
    }
    // Four equal steps of 0.65 of the size, and less than a digit and a half across the marker.
    let cell = 0.65 * 80.0;
    let across = whole.rect.width() - 5.0 * cell;
    assert!(across > 10.0 && across < 0.3 * 80.0, "marker {across}");
    assert!((whole.rect.height() - 60.0).abs() < 0.01);
}

#[test]
fn figures_too_long_lose_their_first_characters_and_stay_inside() {
    let (fitted, texts) = fit(vec2(120.0, 40.0), |painter, rect| {
        let text = "1234567890123456789012345678901234567";
        figures(
            painter,
            rect,
            Align2::LEFT_CENTER,
            text,
            40.0,
            bold(),
            Color32::RED,
        )
    });
    assert!(fitted.is_cut);
    assert!(fitted.rect.width() <= 120.5);
    assert_eq!(text_of(&texts[0]), "…");
    assert_eq!(text_of(&texts[texts.len() - 1]), "7");
}

#[test]
fn text_shrinks_then_is_cut_and_never_leaves_its_place() {
    for (text, may_cut) in [
        ("Pump shaft", false),
        ("Pump shaft for the long pump", false),
        (
            "Pump shaft for the long pump, and everything else that a name can say",
            true,
        ),
    ] {
        let (fitted, texts) = fit(vec2(160.0, 20.0), move |painter, rect| {
            fitted_text(
                painter,
                rect,
                Align2::LEFT_CENTER,
                text,
                16.0,
                REGULAR,
                Color32::RED,
            )
        });
        assert_eq!(fitted.is_cut, may_cut, "{text}");
        assert!(fitted.size >= 10.0 && fitted.size <= 16.0);
        let ink = texts[0].visual_bounding_rect();
        let place = Rect::from_min_size(pos2(40.0, 30.0), vec2(160.0, 20.0)).expand(1.0);
        assert!(place.contains_rect(ink), "{text}: {ink}");
    }
    let (fitted, texts) = fit(vec2(0.5, 20.0), |painter, rect| {
        fitted_text(
            painter,
            rect,
            Align2::LEFT_CENTER,
            "A",
            16.0,
            REGULAR,
            Color32::RED,
        )
    });
    assert!(fitted.is_cut && texts.is_empty());
}

#[test]
fn a_sentence_takes_two_lines_before_it_shrinks_or_is_cut() {
    let sentence = "Take 0.038 off the diameter: cut 0.019 deep";
    let (fitted, texts) = fit(vec2(260.0, 44.0), move |painter, rect| {
        let anchor = Align2::LEFT_CENTER;
        wrapped_text(
            painter,
            (rect, 2),
            anchor,
            sentence,
            18.0,
            bold(),
            Color32::RED,
        )
    });
    assert!(!fitted.is_cut);
    let Shape::Text(text) = &texts[0] else {
        panic!("no text");
    };
    assert_eq!(text.galley.rows.len(), 2);
}

#[test]
fn what_cannot_be_drawn_is_seen_to_be_there() {
    let name = "shaft\u{7}\n\u{202E}\u{200B}\u{10FFFD}end";
    let (_, texts) = fit(vec2(400.0, 30.0), move |painter, rect| {
        fitted_text(
            painter,
            rect,
            Align2::LEFT_CENTER,
            name,
            16.0,
            REGULAR,
            Color32::RED,
        )
    });
    let shown = text_of(&texts[0]);
    assert!(
        shown.starts_with("shaft") && shown.ends_with("end"),
        "{shown}"
    );
    assert_eq!(shown.chars().count(), name.chars().count());
    assert!(!shown.contains(['\u{7}', '\n', '\u{202E}', '\u{200B}', '\u{10FFFD}']));
}

#[test]
fn patterns_stay_inside_their_rectangle_and_are_cheap() {
    let look = Look::new(Theme::Night, Sizes::default());
    for size in [
        (528.0, 122.0),
        (60.0, 62.0),
        (3.0, 200.0),
        (1800.0, 900.0),
        (0.0, 9.0),
    ] {
        let rect = Rect::from_min_size(pos2(30.0, 20.0), vec2(size.0, size.1));
        for pattern in [
            Pattern::Plain,
            Pattern::Hatch,
            Pattern::Dots,
            Pattern::Lines,
        ] {
            let shapes = painted(vec2(1900.0, 1000.0), move |ui| {
                paint_pattern(ui.painter(), rect, pattern, &look);
            });
            assert!(
                shapes.len() <= 310,
                "{pattern:?} {size:?}: {}",
                shapes.len()
            );
            let is_empty = pattern == Pattern::Plain || size.0 < 1.0;
            let may_be_none = is_empty || (pattern == Pattern::Dots && size.0 < 8.0);
            assert!(may_be_none || !shapes.is_empty(), "{pattern:?} {size:?}");
            assert!(!is_empty || shapes.is_empty());
            for (_, shape) in &shapes {
                let place = shape.visual_bounding_rect();
                assert!(
                    rect.expand(0.01).contains_rect(place),
                    "{pattern:?} {place}"
                );
            }
        }
    }
}

#[test]
fn states_differ_without_colour() {
    let mut grey = Look::new(Theme::Night, Sizes::default());
    grey.tokens.go = Color32::GRAY;
    grey.tokens.no_go = Color32::GRAY;
    grey.tokens.cutting = Color32::GRAY;
    grey.tokens.doubt = Color32::GRAY;
    let mut drawn = BTreeSet::new();
    for mark in MARKS {
        let shapes = painted(vec2(100.0, 100.0), move |ui| {
            let rect = Rect::from_min_size(pos2(20.0, 20.0), vec2(12.0, 12.0));
            paint_mark(ui.painter(), rect, mark, &grey);
        });
        let place = Rect::from_min_size(pos2(20.0, 20.0), vec2(12.0, 12.0)).expand(1.5);
        for (_, shape) in &shapes {
            assert!(
                place.contains_rect(shape.visual_bounding_rect()),
                "{mark:?}"
            );
        }
        assert!(!shapes.is_empty(), "{mark:?}");
        assert!(
            drawn.insert(format!("{shapes:?}")),
            "{mark:?} looks like another"
        );
    }
    let patterns = [Mark::Go, Mark::NoGo, Mark::Doubt, Mark::Cutting].map(pattern_of);
    for (at, one) in patterns.iter().enumerate() {
        assert!(!patterns[at + 1..].contains(one), "{one:?} twice");
    }
}

#[test]
fn what_is_painted_has_a_name() {
    let harness = Harness::builder()
        .with_context_setup(install_faces)
        .build_ui(|ui| {
            let rect = Rect::from_min_size(pos2(10.0, 10.0), vec2(90.0, 30.0));
            spoken(ui, rect, "word", "NO-GO", true);
            spoken(
                ui,
                rect.translate(vec2(0.0, 40.0)),
                "value",
                "20.046 mm",
                false,
            );
        });
    let word = harness.get_by_label("NO-GO");
    assert!((word.rect().width() - 90.0).abs() < 0.1);
    harness.get_by_label("20.046 mm");
}

/// The desktop shows the file, the window's frame the pixels: both are one drawing.
#[test]
fn the_icon_of_the_desktop_is_that_of_the_window() {
    assert_eq!(icon_svg(), include_str!("../../src/window/look/icon.svg"));
    for scale in [1, 4, 16] {
        let icon = icon(scale);
        let side = 16 * scale;
        assert_eq!(
            [icon.width, icon.height].map(|side| side as usize),
            [side; 2]
        );
        assert_eq!(icon.rgba.len(), 4 * side * side);
        let at = |x: usize, y: usize| {
            let first = 4 * (y * side + x);
            icon.rgba[first..first + 4].to_vec()
        };
        // The corner, the middle of the GO zone, its marker, and a last pixel of metal on.
        assert_eq!(at(0, 0), [0x1D, 0x22, 0x27, 255]);
        assert_eq!(at(6 * scale, 13 * scale), [0x00, 0x9E, 0x73, 255]);
        assert_eq!(at(9 * scale - 1, 13 * scale), [0xEE, 0xF1, 0xF4, 255]);
        assert_eq!(at(15 * scale - 1, 14 * scale - 1), [0xE6, 0x9F, 0x00, 255]);
        assert_eq!(at(15 * scale, 14 * scale - 1), [0x1D, 0x22, 0x27, 255]);
    }
}
