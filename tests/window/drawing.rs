//! The drawn part, the chart, the reasons and the question: what is painted, where, under which
//! names, and what a press on it asks for.

use std::cell::RefCell;
use std::rc::Rc;

use eframe::egui::{Rect, Ui, pos2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::window::chart_ui::chart_ui;
use fitledger::window::look::{Look, Sizes, Theme, Tokens};
use fitledger::window::outline_ui::outline_ui;
use fitledger::window::press::Press;
use fitledger::window::question_ui::question_ui;
use fitledger::window::view::{
    AnswerView, BudgetBar, ChartPoint, ChartView, Mark, OutlineShape, OutlineView, QuestionView,
    WhyLine, WhyView, outline_view,
};
use fitledger::window::why_ui::why_ui;

use crate::support::bench::Bench;
use crate::support::picture::{Measured, keep, painted_texts, picture, window};
use crate::support::scenes::demo;
use crate::support::shown::snapshot;

const HOUSING: &str = include_str!("../plans/drawn/pump_housing.toml");
const THEMES: [Theme; 3] = [Theme::Night, Theme::Day, Theme::HighContrast];
/// Where the drawing stands in the layout at 800 by 480.
const OUTLINE: [f32; 2] = [240.0, 128.0];

fn look(theme: Theme) -> Look {
    Look {
        tokens: Tokens::of(theme),
        sizes: Sizes::default(),
    }
}

fn shaft(subject: Option<usize>) -> OutlineView {
    let bench = Bench::new(demo());
    outline_view(&snapshot(&bench), subject).unwrap()
}

fn housing(subject: Option<usize>) -> OutlineView {
    let mut opened = demo();
    opened.plan = Some(HOUSING.to_owned());
    outline_view(&snapshot(&Bench::new(opened)), subject).unwrap()
}

fn marked(mut view: OutlineView, marks: &[(&str, Mark)]) -> OutlineView {
    for (id, mark) in marks {
        let target = view
            .shapes
            .iter()
            .find(|shape| shape.id == *id)
            .unwrap()
            .target;
        for shape in view
            .shapes
            .iter_mut()
            .filter(|shape| shape.target == target)
        {
            shape.mark = *mark;
        }
    }
    view
}

fn whole(size: [f32; 2]) -> Rect {
    Rect::from_min_size(pos2(0.0, 0.0), vec2(size[0], size[1]))
}

fn drawn(name: &str, size: [f32; 2], theme: Theme, view: &OutlineView) {
    let image = picture(size, 2.0, |ui| {
        outline_ui(ui, whole(size), view, &look(theme), &mut Vec::new());
    });
    keep(name, &image);
}

#[test]
fn look_at_them() {
    let marks = [
        ("A", Mark::Go),
        ("B", Mark::NoGo),
        ("D", Mark::Cutting),
        ("E", Mark::Doubt),
    ];
    for (name, theme) in [
        ("night", Theme::Night),
        ("day", Theme::Day),
        ("contrast", Theme::HighContrast),
    ] {
        let view = marked(shaft(Some(0)), &marks);
        drawn(&format!("drawing-shaft-{name}"), OUTLINE, theme, &view);
    }
    drawn("drawing-shaft-open", OUTLINE, Theme::Day, &shaft(Some(3)));
    drawn(
        "drawing-shaft-large",
        [420.0, 240.0],
        Theme::Night,
        &marked(shaft(Some(1)), &marks),
    );
    let marks = [
        ("A", Mark::Go),
        ("B", Mark::Doubt),
        ("C", Mark::NoGo),
        ("D", Mark::Go),
        ("E", Mark::Cutting),
    ];
    drawn(
        "drawing-housing",
        [420.0, 260.0],
        Theme::Day,
        &marked(housing(Some(2)), &marks),
    );
    drawn(
        "drawing-housing-small",
        OUTLINE,
        Theme::Night,
        &marked(housing(Some(5)), &marks),
    );
    drawn(
        "drawing-housing-open",
        [420.0, 260.0],
        Theme::Night,
        &housing(Some(3)),
    );
}
