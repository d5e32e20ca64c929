//! The drawn part, the chart, the reasons and the question: what is painted, where, under which
//! names, and what a press on it asks for.
#![allow(clippy::unwrap_used)]
#![allow(
    clippy::cast_precision_loss,
    clippy::float_cmp,
    reason = "places of pixels; a stroke's width is the constant that was given"
)]

mod charts;
mod part;
mod questions;
mod reasons;
mod threads;

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use eframe::egui::{Rect, Shape, Ui, pos2, vec2};
use egui_kittest::Harness;
use fitledger::window::chart_ui::chart_ui;
use fitledger::window::look::{Look, Sizes, Theme, Tokens};
use fitledger::window::outline_ui::outline_ui;
use fitledger::window::press::Press;
use fitledger::window::question_ui::question_ui;
use fitledger::window::view::{
    AnswerView, BudgetBar, ChartPoint, ChartView, ControlLines, Mark, OutlineShape, OutlineView,
    QuestionView, WhyLine, WhyView, outline_view,
};
use fitledger::window::why_ui::why_ui;

use crate::support::bench::Bench;
use crate::support::picture::{keep, picture, window};
use crate::support::scenes::demo;
use crate::support::shown::snapshot;

const HOUSING: &str = include_str!("../plans/drawn/pump_housing.toml");

const GLAND: &str = include_str!("../plans/drawn/pump_gland.toml");

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
    of_plan(HOUSING, subject)
}

/// A part with a thread outside and one inside.
fn gland(subject: Option<usize>) -> OutlineView {
    of_plan(GLAND, subject)
}

fn of_plan(text: &str, subject: Option<usize>) -> OutlineView {
    let mut opened = demo();
    opened.plan = Some(text.to_owned());
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
    assert!(keep(name, &image).exists());
}

/// A plain bush, 40 mm long and 20 mm across, with a blind bore of 10 mm from the left.
fn bush() -> OutlineView {
    let shape = |to: f32, radius: f32, is_bore: bool| OutlineShape {
        target: Some(usize::from(is_bore)),
        id: String::new(),
        balloon: String::new(),
        from: 0.0,
        to,
        radius_from: radius,
        radius_to: radius,
        thread_root: None,
        is_bore,
        is_length: false,
        mark: Mark::Open,
        leader: None,
    };
    OutlineView {
        left: 0.0,
        right: 40.0,
        radius: 10.0,
        shapes: vec![shape(40.0, 10.0, false), shape(20.0, 5.0, true)],
        spoken: "a bush".to_owned(),
    }
}

/// Text that tries everything.
fn nasty() -> String {
    "\u{202e}line\nfeed\t\u{0}\u{7f}\u{200b}Ø ⌀ 漢 \u{1f600}".to_owned() + &"long ".repeat(400)
}

fn why(lines: usize) -> WhyView {
    let line = |at: usize| WhyLine {
        what: format!("step {at} of the way"),
        value: format!("{at}.5 µm"),
        source: "ISO 286-1:2010 table 1".to_owned(),
    };
    let bar = |at: usize| BudgetBar {
        what: format!("part {at}"),
        value: format!("{at}.0 µm"),
        share: 0.5,
    };
    WhyView {
        title: "Ø20 k6: 20.008 mm is DOUBT".to_owned(),
        mark: Mark::Doubt,
        page: 0,
        limits: (1..4).map(line).collect(),
        corrections: (4..6).map(line).collect(),
        budget: (0..lines).map(bar).collect(),
        total: "u 2.8 µm, U 5.5 µm (k = 2)".to_owned(),
        rule: (6..7).map(line).collect(),
        remedies: vec![
            "Measure again three times.".to_owned(),
            "Take the comparator.".to_owned(),
        ],
    }
}

fn question(answers: &[(char, &str)]) -> QuestionView {
    let answers = answers.iter().map(|(key, text)| AnswerView {
        key: *key,
        text: (*text).to_owned(),
    });
    QuestionView {
        title: "20.508 mm is held".to_owned(),
        lines: vec![
            "One turn of the thimble off?".to_owned(),
            "Does it belong to A?".to_owned(),
        ],
        answers: answers.collect(),
        waiting: "3 more readings wait, recorded".to_owned(),
        is_alarm: false,
    }
}

fn chart(points: &[(f32, f32, Mark)]) -> ChartView {
    let points = points.iter().map(|&(x, y, mark)| ChartPoint {
        x,
        y,
        mark,
        mean: None,
        is_signal: false,
    });
    ChartView {
        upper: Some((0.25, "20.015".to_owned())),
        lower: Some((0.75, "20.002".to_owned())),
        middle: Some(0.5),
        points: points.collect(),
        is_outcomes: false,
        span: "parts 1 to 12".to_owned(),
        control: None,
        note: String::new(),
        spoken: "run chart".to_owned(),
    }
}

/// Control limits over the later parts, means of several points, a signal, and what to do.
fn signalled() -> ChartView {
    let row = (0..12_u16).map(|at| (f32::from(at) / 11.0, 0.7 - f32::from(at) / 40.0, Mark::Go));
    let mut view = chart(&row.collect::<Vec<_>>());
    view.control = Some(ControlLines {
        from: 0.4,
        upper: 0.35,
        lower: 0.72,
    });
    for point in &mut view.points {
        point.mean = Some(point.y + 0.03);
    }
    if let Some(last) = view.points.last_mut() {
        last.is_signal = true;
    }
    view.note = "Part 12 signals: 6 in a row steadily up or down (test 3)".to_owned();
    view
}

fn many_points(count: u16) -> ChartView {
    let point = |at: u16| {
        let x = f32::from(at) / f32::from(count);
        (x, 0.5 + 0.2 * (x * 90.0).sin(), Mark::Go)
    };
    chart(&(0..count).map(point).collect::<Vec<_>>())
}

type Paint = Box<dyn Fn(&mut Ui, Rect, &Look)>;

/// Everything that is painted here, in plain and in absurd form.
fn everything() -> Vec<(&'static str, Paint)> {
    let outline = |view: OutlineView| -> Paint {
        Box::new(move |ui, rect, look| outline_ui(ui, rect, &view, look, &mut Vec::new()))
    };
    let chart_of = |view: ChartView| -> Paint {
        Box::new(move |ui, rect, look| chart_ui(ui, rect, &view, look))
    };
    let why_of = |view: WhyView| -> Paint {
        Box::new(move |ui, rect, look| why_ui(ui, rect, &view, look, &mut Vec::new()))
    };
    let question_of = |view: QuestionView| -> Paint {
        Box::new(move |ui, rect, look| question_ui(ui, rect, &view, look, &mut Vec::new()))
    };
    let mut absurd = shaft(Some(1));
    for shape in &mut absurd.shapes {
        shape.id = nasty();
        shape.leader = shape.leader.as_ref().map(|_| nasty());
    }
    let mut wild = housing(Some(7));
    for (at, shape) in wild.shapes.iter_mut().enumerate() {
        shape.from = [f32::NEG_INFINITY, 1e30, f32::NAN, -5.0][at % 4];
        shape.radius_to = [1e30, f32::NAN, -1.0][at % 3];
        shape.thread_root = [None, Some(f32::NAN), Some(-3.0), Some(1e30)][at % 4];
    }
    let mut wild_chart = chart(&[
        (f32::NAN, 0.5, Mark::Go),
        (9e9, -9e9, Mark::NoGo),
        (0.5, f32::INFINITY, Mark::Doubt),
    ]);
    wild_chart.upper = Some((f32::NAN, nasty()));
    wild_chart.lower = Some((1e20, nasty()));
    wild_chart.span = nasty();
    wild_chart.note = nasty();
    wild_chart.control = Some(ControlLines {
        from: f32::NAN,
        upper: f32::INFINITY,
        lower: -1e30,
    });
    let mut wild_control = signalled();
    wild_control.control = Some(ControlLines {
        from: 7e8,
        upper: f32::NAN,
        lower: -1e30,
    });
    wild_control.points[0].mean = Some(f32::NAN);
    wild_control.note = nasty();
    let mut long = why(30);
    long.title = nasty();
    long.limits[0].what = nasty();
    long.limits[1].source = nasty();
    long.limits[2].value = nasty();
    long.budget[0].what = nasty();
    long.budget[1].share = f32::NAN;
    long.remedies.push(nasty());
    let texts = nasty();
    let mut ask = question(&[('+', texts.as_str()), ('-', ""), ('7', "no")]);
    ask.title = nasty();
    ask.lines.push(nasty());
    ask.waiting = nasty();
    ask.is_alarm = true;
    let menu: Vec<(char, &str)> = "1234567890".chars().map(|key| (key, "an answer")).collect();
    vec![
        ("shaft", outline(shaft(Some(0)))),
        ("housing", outline(housing(Some(2)))),
        ("threads", outline(gland(Some(0)))),
        ("absurd names", outline(absurd)),
        ("wild places", outline(wild)),
        ("no points", chart_of(chart(&[]))),
        ("nothing", chart_of(ChartView::default())),
        ("one point", chart_of(chart(&[(0.5, 0.5, Mark::Go)]))),
        ("two points", chart_of(many_points(2))),
        ("many points", chart_of(many_points(10_000))),
        ("wild points", chart_of(wild_chart)),
        ("signals", chart_of(signalled())),
        ("wild control limits", chart_of(wild_control)),
        ("reasons", why_of(why(4))),
        ("long reasons", why_of(long)),
        (
            "question",
            question_of(question(&[('+', "it belongs here"), ('-', "set it aside")])),
        ),
        ("menu", question_of(question(&menu))),
        ("no answers", question_of(question(&[]))),
        ("absurd question", question_of(ask)),
    ]
}

/// Rectangles from none to large, away from the window's corner.
fn rects() -> Vec<Rect> {
    let sizes = [
        [0.0, 0.0],
        [-20.0, 30.0],
        [1.0, 1.0],
        [2.0, 90.0],
        [90.0, 2.0],
        [12.0, 12.0],
        [60.0, 24.0],
        [30.0, 120.0],
        [240.0, 128.0],
        [528.0, 104.0],
        [528.0, 390.0],
    ];
    let at = pos2(31.0, 23.0);
    sizes
        .iter()
        .map(|size| Rect::from_min_size(at, vec2(size[0], size[1])))
        .collect()
}

fn shapes_of(window: &Harness<'_>) -> Vec<(Rect, Shape)> {
    let shapes = window.output().shapes.iter();
    shapes
        .map(|one| (one.clip_rect, one.shape.clone()))
        .collect()
}

#[test]
fn nothing_is_painted_outside_its_rectangle_however_small_or_absurd() {
    let size = [600.0, 430.0];
    let empty = shapes_of(&window(size, 1.0, |_| {})).len();
    for (name, paint) in everything() {
        let (place, theme) = (Cell::new(Rect::NOTHING), Cell::new(Theme::Night));
        let mut window = window(size, 1.0, |ui| paint(ui, place.get(), &look(theme.get())));
        for (rect, next) in rects().into_iter().zip(THEMES.into_iter().cycle()) {
            place.set(rect);
            theme.set(next);
            window.run();
            let painted = shapes_of(&window);
            for (clip, shape) in &painted[empty..] {
                let seen = shape.visual_bounding_rect().intersect(*clip);
                let is_inside = !seen.is_positive() || rect.expand(0.1).contains_rect(seen);
                assert!(is_inside, "{name} at {rect}: {seen} {shape:?}");
            }
            if rect.width() >= 240.0 && name != "wild places" {
                assert!(painted.len() > empty, "{name} at {rect} paints nothing");
            }
        }
    }
}

#[test]
fn the_pixels_around_a_rectangle_stay_as_they_were() {
    let size = [300.0, 200.0];
    let rect = Rect::from_min_size(pos2(31.0, 23.0), vec2(240.0, 128.0));
    let before = picture(size, 1.0, |_| {});
    for (name, paint) in everything() {
        let after = picture(size, 1.0, |ui| paint(ui, rect, &look(Theme::Day)));
        for (x, y, pixel) in after.enumerate_pixels() {
            let at = pos2(x as f32 + 0.5, y as f32 + 0.5);
            let same = rect.contains(at) || pixel == before.get_pixel(x, y);
            assert!(same, "{name}: {at:?}");
        }
    }
}

/// A window whose presses can be looked at.
fn pressed<'a>(
    size: [f32; 2],
    paint: impl Fn(&mut Ui, &mut Vec<Press>) + 'a,
) -> (Harness<'a>, Rc<RefCell<Vec<Press>>>) {
    let presses = Rc::new(RefCell::new(Vec::new()));
    let inside = Rc::clone(&presses);
    let window = window(size, 1.0, move |ui| paint(ui, &mut inside.borrow_mut()));
    (window, presses)
}

#[test]
fn pictures_of_the_drawings_are_kept_to_be_looked_at() {
    let marks = [
        ("A", Mark::Go),
        ("B", Mark::NoGo),
        ("D", Mark::Cutting),
        ("E", Mark::Doubt),
    ];
    let themes = [
        ("night", Theme::Night),
        ("day", Theme::Day),
        ("contrast", Theme::HighContrast),
    ];
    for (name, theme) in themes {
        let view = marked(shaft(Some(0)), &marks);
        drawn(&format!("drawing-shaft-{name}"), OUTLINE, theme, &view);
    }
    let large = [420.0, 260.0];
    drawn(
        "drawing-shaft-large",
        large,
        Theme::Night,
        &marked(shaft(Some(1)), &marks),
    );
    let view = marked(
        housing(Some(2)),
        &[("C", Mark::NoGo), ("D", Mark::Go), ("B", Mark::Doubt)],
    );
    drawn("drawing-housing", large, Theme::Day, &view);
    drawn("drawing-housing-small", OUTLINE, Theme::Night, &view);
    // A cone with a pattern, whose box is larger than the cone.
    let mut cone = bush();
    cone.shapes[0].radius_from = 4.0;
    cone.shapes[0].mark = Mark::NoGo;
    cone.shapes.truncate(1);
    let marks = [("A", Mark::Go), ("C", Mark::Doubt), ("D", Mark::NoGo)];
    let view = marked(gland(Some(0)), &marks);
    drawn("drawing-threads", large, Theme::Day, &view);
    drawn("drawing-threads-small", OUTLINE, Theme::Night, &view);
    drawn(
        "drawing-threads-high",
        OUTLINE,
        Theme::HighContrast,
        &gland(Some(6)),
    );
    drawn("drawing-cone", OUTLINE, Theme::Day, &cone);
    let size = [528.0, 82.0];
    let marks = [
        Mark::Go,
        Mark::NoGo,
        Mark::Doubt,
        Mark::Cutting,
        Mark::Inside,
        Mark::Go,
    ];
    let points = marks.iter().zip(0_u8..).map(|(mark, at)| {
        let x = f32::from(at) / 5.0;
        (x, if at % 2 == 0 { 0.4 } else { 0.15 }, *mark)
    });
    let view = chart(&points.collect::<Vec<_>>());
    let image = picture(size, 2.0, |ui| {
        chart_ui(ui, whole(size), &view, &look(Theme::Day))
    });
    assert!(keep("chart-marks", &image).exists());
    let size = [528.0, 390.0];
    let image = picture(size, 1.0, |ui| {
        why_ui(
            ui,
            whole(size),
            &why(30),
            &look(Theme::Night),
            &mut Vec::new(),
        )
    });
    assert!(keep("why-long", &image).exists());
}
