//! The run chart, painted: dots, bad values among many, limits and span.

use eframe::egui::Shape;
use egui_kittest::kittest::Queryable;
use fitledger::window::chart_ui::chart_ui;
use fitledger::window::look::{Theme, Tokens};
use fitledger::window::view::{ChartView, Mark};

use super::{chart, look, many_points, shapes_of, whole};
use crate::support::picture::{painted_texts, picture, window};

#[test]
fn a_chart_of_few_points_has_a_dot_for_each_and_a_larger_one_at_the_end() {
    let size = [528.0, 82.0];
    let dots = |view: &ChartView| {
        let window = window(size, 1.0, |ui| {
            chart_ui(ui, whole(size), view, &look(Theme::Night));
        });
        let mut radii = Vec::new();
        for (_, shape) in shapes_of(&window) {
            if let Shape::Circle(circle) = shape {
                radii.push((circle.center.x, circle.radius));
            }
        }
        radii
    };
    assert!(dots(&chart(&[])).is_empty());
    for count in [1_u16, 2, 12] {
        let found = dots(&many_points(count));
        assert_eq!(found.len(), usize::from(count) + 1);
        let (last, largest) = *found.last().unwrap();
        let others = &found[..found.len() - 1];
        assert!(
            others
                .iter()
                .all(|(x, radius)| *x <= last && *radius < largest)
        );
    }
    // Ten thousand are columns: no more shapes than the screen has places for them.
    assert_eq!(dots(&many_points(10_000)).len(), 1);
    let window = window(size, 1.0, |ui| {
        chart_ui(ui, whole(size), &many_points(10_000), &look(Theme::Night));
    });
    let painted = shapes_of(&window).len();
    assert!((100..1_000).contains(&painted), "{painted}");
}

#[test]
fn a_bad_value_among_ten_thousand_is_seen() {
    let size = [528.0, 82.0];
    let mut view = many_points(10_000);
    view.points[4_321].mark = Mark::NoGo;
    let image = picture(size, 1.0, |ui| {
        chart_ui(ui, whole(size), &view, &look(Theme::Night));
    });
    let no_go = Tokens::NIGHT.no_go;
    let seen = image
        .pixels()
        .filter(|pixel| pixel.0[..3] == [no_go.r(), no_go.g(), no_go.b()]);
    assert!(seen.count() >= 8);
}

#[test]
fn a_chart_says_its_limits_and_its_span_beside_each_other() {
    for size in [[528.0, 82.0], [900.0, 220.0], [300.0, 60.0]] {
        let mut view = many_points(12);
        // So close that their numbers would cover each other.
        view.lower = Some((0.27, "20.002".to_owned()));
        let window = window(size, 1.0, |ui| {
            chart_ui(ui, whole(size), &view, &look(Theme::Day));
        });
        assert!(window.query_by_label("run chart").is_some());
        let texts = painted_texts(&window);
        let names: Vec<&str> = texts.iter().map(|text| text.text.as_str()).collect();
        assert_eq!(names, ["20.015", "20.002", "parts 1 to 12"], "{size:?}");
        for (at, text) in texts.iter().enumerate() {
            assert!(text.rect.is_positive() && whole(size).contains_rect(text.rect));
            for other in &texts[at + 1..] {
                assert!(!other.rect.intersects(text.rect), "{} {size:?}", text.text);
            }
        }
    }
}
