//! The Batch room: by value, by keys, by accessibility name, in pictures, and over a running
//! session.
#![allow(clippy::unwrap_used, clippy::panic)]

mod crowded;
mod keys;
mod live;
mod pages;
mod scenes;
mod table;
mod work;

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

use eframe::egui::epaint::Shape as Painted;
use eframe::egui::{Pos2, Ui};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::report::{
    Axis, Chart, Layer, Point, Scale, Shape as PointShape, Stroke as LineStroke,
};
use fitledger::session::{Snapshot, State};
use fitledger::window::batch_room::{BatchPage, BatchRoom};
use fitledger::window::batch_run::BatchOutside;
use fitledger::window::batch_ui::batch_ui;
use fitledger::window::chart_paint_ui::{LaidChart, chart_paint_ui};
use fitledger::window::look::{Look, Sizes, Theme};
use fitledger::window::press::Press;
use fitledger::window::view::{
    BatchOneView, BatchPageView, BatchTableView, BatchView, SentenceView, batch_view,
};

use self::scenes::{at, parts, room, seen, seen_of, several, shafts, signals, worked_out, worn};
use crate::support::picture::window;
use crate::support::readable::{Shown, assert_accepted, assert_readable, text_faults};

const SMALL: [f32; 2] = [800.0, 458.0];

const LARGE: [f32; 2] = [1280.0, 778.0];

fn one(view: BatchView) -> BatchOneView {
    match view.page {
        BatchPageView::One(one) => one,
        other => panic!("{other:?}"),
    }
}

fn table(view: BatchView) -> BatchTableView {
    match view.page {
        BatchPageView::Table(table) => table,
        other => panic!("{other:?}"),
    }
}

fn page(snapshot: &Snapshot, page: BatchPage) -> BatchOneView {
    one(seen(snapshot, 0, page))
}

fn chart(snapshot: &Snapshot, looked_at: BatchPage) -> Arc<Chart> {
    page(snapshot, looked_at).chart.unwrap()
}

fn text(lines: &[SentenceView]) -> String {
    let all = lines.iter().map(|line| line.text.as_str());
    all.collect::<Vec<_>>().join("\n")
}

/// Counts frames asked for, and keeps what was to be kept.
#[derive(Default)]
pub(crate) struct Kept {
    frames: usize,
    files: Vec<(String, String, Vec<u8>)>,
    is_full: bool,
    /// What was measured before, and how often it was looked for.
    earlier: Option<State>,
    looked: usize,
}

impl BatchOutside for Kept {
    fn keep(&mut self, stem: &str, ends: &str, bytes: Vec<u8>) -> Result<String, String> {
        if self.is_full {
            return Err("The disk is full.".to_owned());
        }
        self.files.push((stem.to_owned(), ends.to_owned(), bytes));
        Ok(format!("/w/reports/{stem}.{ends}"))
    }

    fn earlier(&mut self, _: &Snapshot) -> Option<State> {
        self.looked += 1;
        self.earlier.clone()
    }

    fn changed(&mut self) {
        self.frames += 1;
    }
}

/// Every shape that the last frame painted.
fn painted_shapes(harness: &Harness<'_>) -> Vec<Painted> {
    fn gather(shape: &Painted, into: &mut Vec<Painted>) {
        match shape {
            Painted::Vec(shapes) => shapes.iter().for_each(|one| gather(one, into)),
            other => into.push(other.clone()),
        }
    }
    let mut all = Vec::new();
    for clipped in &harness.output().shapes {
        gather(&clipped.shape, &mut all);
    }
    all
}

fn long_chart(count: u32, outlier: u32) -> Chart {
    let points = (0..count).map(|at| Point {
        x: f64::from(at),
        y: match at == outlier {
            true => 9.0,
            false => f64::from(at.wrapping_mul(2_654_435_761) >> 8) / f64::from(1 << 24),
        },
    });
    let points: Vec<Point> = points.collect();
    let axis = |from, to, scale| Axis {
        title: "Part".to_owned(),
        from,
        to,
        scale,
    };
    Chart {
        title: "run of values".to_owned(),
        x: axis(-0.5, f64::from(count), Scale::Whole),
        y: axis(0.0, 10.0, Scale::Numbers),
        layers: vec![
            Layer::Line {
                at: points.clone(),
                stroke: LineStroke::Course,
            },
            Layer::Points {
                at: points,
                shape: PointShape::Disc,
            },
        ],
        notes: Vec::new(),
    }
}

#[test]
fn of_a_million_points_few_are_painted_and_the_outlier_among_them() {
    let chart = Arc::new(long_chart(1_000_000, 654_321));
    let look = Look::new(Theme::Night, Sizes::default());
    let mut laid = LaidChart::default();
    let harness = window(SMALL, 1.0, move |ui| {
        let place = ui.max_rect();
        chart_paint_ui(ui, place, (&chart, '.'), &look, &mut laid);
    });
    let circles: Vec<Pos2> = painted_shapes(&harness)
        .iter()
        .filter_map(|shape| match shape {
            Painted::Circle(circle) => Some(circle.center),
            _ => None,
        })
        .collect();
    assert!((500..4 * 800).contains(&circles.len()), "{}", circles.len());
    let (least, most) = circles
        .iter()
        .fold((f32::MAX, f32::MIN), |(low, high), one| {
            (low.min(one.y), high.max(one.y))
        });
    let highest: Vec<&Pos2> = circles.iter().filter(|one| one.y < least + 0.5).collect();
    assert_eq!(highest.len(), 1, "the outlier stands alone");
    // The others lie below a tenth of the height.
    let others = circles.iter().filter(|one| one.y > least + 0.5);
    let top = others.fold(f32::MAX, |top, one| top.min(one.y));
    assert!((most - top) < 0.2 * (most - least), "{least} {top} {most}");
    let share = (highest[0].x - 40.0) / (SMALL[0] - 50.0);
    assert!((share - 0.654).abs() < 0.03, "{share}");
}

/// A scene on a window.
struct Shot {
    name: String,
    view: BatchView,
    size: [f32; 2],
    theme: Theme,
}

fn scenes() -> Vec<(String, BatchView)> {
    let batches = [
        ("signals", signals(), 0),
        ("worn", worn(), 0),
        ("several", several(), 0),
        ("shafts", shafts(), 0),
        ("plug", shafts(), 2),
        ("one", parts("20 k6", "", &["20.008"]), 0),
        ("equal", parts("20 k6", "", &["20.008"; 12]), 0),
        ("none", parts("20 k6", "", &[]), 0),
    ];
    let mut scenes = Vec::new();
    for (name, snapshot, target) in &batches {
        for (looked_at, _, word) in BatchPage::ALL {
            scenes.push((format!("{name}-{word}"), seen(snapshot, *target, looked_at)));
        }
    }
    let (_, snapshot, _) = &batches[1];
    let facts = worked_out(snapshot, at(0, BatchPage::Advice));
    let below = BatchRoom {
        skipped: 2,
        fault: Some("9 is none of the pages.".to_owned()),
        ..room(0, BatchPage::Advice)
    };
    let keeping = BatchRoom {
        is_keeping: true,
        ..below.clone()
    };
    for (name, room) in [("below", below), ("keeping", keeping)] {
        scenes.push((
            name.to_owned(),
            batch_view(&seen_of(&room, &facts, snapshot)),
        ));
    }
    scenes
}

fn shots() -> Vec<Shot> {
    let mut shots = Vec::new();
    for (name, view) in scenes() {
        for (size, theme, word) in [
            (SMALL, Theme::Night, "night"),
            (LARGE, Theme::Day, "day"),
            (SMALL, Theme::HighContrast, "high"),
        ] {
            shots.push(Shot {
                name: format!("batch-{word}-{name}"),
                view: view.clone(),
                size,
                theme,
            });
        }
    }
    shots
}

impl Shown for Shot {
    fn name(&self) -> &str {
        &self.name
    }

    fn size(&self) -> [f32; 2] {
        self.size
    }

    fn shown<'a>(&self) -> Harness<'a> {
        window(self.size, 1.0, self.paint(self.theme))
    }
}

impl Shot {
    fn paint(&self, theme: Theme) -> impl FnMut(&mut Ui) + 'static {
        let (view, look) = (self.view.clone(), Look::new(theme, Sizes::default()));
        let mut laid = LaidChart::default();
        move |ui| {
            batch_ui(ui, &view, &look, &mut laid, &mut Vec::new());
        }
    }
}

/// A page of the first characteristic.
pub(crate) fn seen_at(snapshot: &Snapshot, looked_at: BatchPage) -> BatchView {
    seen(snapshot, 0, looked_at)
}

/// Every page once, to be painted in a theme on the small window.
pub(crate) fn every_page(theme: Theme) -> Vec<(String, crate::contrast::Paint)> {
    let small = shots()
        .into_iter()
        .filter(|shot| shot.size == SMALL && shot.theme == Theme::HighContrast);
    let named = small.map(|shot| {
        let paint: crate::contrast::Paint = Box::new(shot.paint(theme));
        (shot.name.replace("-high", ""), paint)
    });
    named.collect()
}

/// Pictures are kept too, in `target/pictures`.
#[test]
fn no_text_of_the_batch_leaves_the_window_or_lies_on_another() {
    assert_readable(&shots(), text_faults, |shot| shot.size == SMALL);
}

#[test]
fn the_accepted_pictures_of_the_batch() {
    let accepted = [
        "batch-night-signals-run",
        "batch-day-several-run",
        "batch-night-worn-trend",
        "batch-high-worn-capability",
        "batch-night-shafts-table",
        "batch-night-equal-histogram",
    ];
    assert_accepted(&shots(), &accepted);
}

#[test]
fn everything_in_the_room_is_found_by_its_name_and_can_be_pointed_at() {
    let snapshot = shafts();
    for size in [SMALL, LARGE] {
        let view = seen(&snapshot, 0, BatchPage::Table);
        let look = Look::new(Theme::Night, Sizes::default());
        let presses = Rc::new(RefCell::new(Vec::new()));
        let taken = Rc::clone(&presses);
        let mut laid = LaidChart::default();
        let mut harness = window(size, 1.0, move |ui| {
            batch_ui(ui, &view, &look, &mut laid, &mut taken.borrow_mut());
        });
        for name in [
            "part 11, A: 20.022, NO-GO, signal of test 1",
            "part 11, B: not selected",
            "0 table, open",
            "1 of 3",
        ] {
            let found = harness.query_all_by_label_contains(name).next();
            assert!(found.is_some(), "{size:?}: {name}");
        }
        harness.get_by_label("B Ø15 h6").click();
        harness.run_steps(2);
        harness.get_by_label("characteristic next").click();
        harness.run_steps(2);
        harness.get_by_label("6 trend").click();
        harness.run_steps(2);
        let expected = [Press::Choose(1), Press::Plus, Press::Digit('6')];
        assert_eq!(*presses.borrow(), expected);
    }
    let shot = Shot {
        name: String::new(),
        view: seen(&worn(), 0, BatchPage::Trend),
        size: SMALL,
        theme: Theme::Day,
    };
    let harness = shot.shown();
    let ahead = harness.query_by_label_contains("Over the last 16 parts the size grows");
    assert!(ahead.is_some());
    let drawn = harness.query_all_by_label_contains("trend");
    assert_eq!(drawn.count(), 2, "its page and its chart");
}

#[test]
fn every_size_of_the_room_is_survived() {
    for (name, view) in scenes() {
        for size in [
            [1.0, 1.0],
            [0.0, 0.0],
            [30.0, 900.0],
            [900.0, 30.0],
            [480.0, 320.0],
            [599.0, 240.0],
        ] {
            let (view, look) = (view.clone(), Look::new(Theme::Day, Sizes::default()));
            let mut laid = LaidChart::default();
            let harness = window(size, 1.0, move |ui| {
                batch_ui(ui, &view, &look, &mut laid, &mut Vec::new());
            });
            drop((harness, &name));
        }
    }
}
