//! The reasons of a verdict, painted: they fit or are scrolled, shares are true.

use eframe::egui::Shape;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::window::look::{Theme, Tokens};
use fitledger::window::why_ui::why_ui;

use super::{look, shapes_of, whole, why};
use crate::support::picture::{painted_texts, window};
use crate::support::scenes::scenes;

const MORE: &str = "▼ more below: Down";

const END: &str = "end; back with Up";

#[test]
fn the_reasons_of_a_verdict_fit_the_small_screen_and_the_large_one() {
    let scenes = scenes();
    let scene = scenes
        .iter()
        .find(|scene| scene.view().why.is_some())
        .unwrap();
    let view = scene.view().why.unwrap();
    for size in [[528.0, 390.0], [1_000.0, 640.0]] {
        let window = window(size, 1.0, |ui| {
            why_ui(ui, whole(size), &view, &look(Theme::Day), &mut Vec::new());
        });
        assert!(window.query_by_label(MORE).is_none(), "{size:?}");
        let texts = painted_texts(&window);
        for line in view
            .limits
            .iter()
            .chain(&view.corrections)
            .chain(&view.rule)
        {
            for part in [&line.what, &line.value, &line.source] {
                let found = texts.iter().any(|text| text.text.contains(part.as_str()));
                assert!(found, "{part} at {size:?}");
            }
        }
        for bar in &view.budget {
            assert!(
                texts.iter().any(|text| text.text == bar.what),
                "{}",
                bar.what
            );
        }
        for text in &texts {
            assert!(text.size >= 9.0, "{} {}", text.text, text.size);
            assert!(whole(size).contains_rect(text.rect), "{}", text.text);
        }
    }
}

#[test]
fn more_reasons_than_fit_are_scrolled_and_that_is_said() {
    let size = [528.0, 390.0];
    let view = why(30);
    let mut window = window(size, 1.0, |ui| {
        why_ui(ui, whole(size), &view, &look(Theme::Day), &mut Vec::new());
    });
    window.run();
    assert!(window.query_by_label(MORE).is_some());
    let last = "Take the comparator.";
    let sees = |window: &Harness<'_>| {
        let texts = painted_texts(window);
        texts
            .iter()
            .any(|text| text.text == last && text.clip.contains_rect(text.rect))
    };
    assert!(!sees(&window));
    for _ in 0..6 {
        window.key_press(eframe::egui::Key::PageDown);
        window.run();
    }
    assert!(window.query_by_label(END).is_some());
    assert!(sees(&window));
    for _ in 0..6 {
        window.key_press(eframe::egui::Key::PageUp);
        window.run();
    }
    assert!(window.query_by_label(MORE).is_some() && !sees(&window));
}

#[test]
fn a_share_of_the_uncertainty_is_as_long_as_it_says() {
    let size = [528.0, 390.0];
    let mut view = why(3);
    for (bar, share) in view.budget.iter_mut().zip([1.0, 0.5, 0.1]) {
        bar.share = share;
    }
    let window = window(size, 1.0, |ui| {
        why_ui(ui, whole(size), &view, &look(Theme::Day), &mut Vec::new());
    });
    let ink = Tokens::DAY.text;
    let bars: Vec<f32> = shapes_of(&window)
        .into_iter()
        .filter_map(|(_, shape)| match shape {
            Shape::Rect(rect) if rect.fill == ink => Some(rect.rect.width()),
            _ => None,
        })
        .collect();
    assert_eq!(bars.len(), 3);
    assert!((bars[1] / bars[0] - 0.5).abs() < 0.01 && (bars[2] / bars[0] - 0.1).abs() < 0.01);
    for percent in ["100 %", "50 %", "10 %"] {
        assert!(
            painted_texts(&window)
                .iter()
                .any(|text| text.text == percent)
        );
    }
}
