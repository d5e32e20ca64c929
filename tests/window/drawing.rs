//! The drawn part, the chart, the reasons and the question: what is painted, where, under which
//! names, and what a press on it asks for.
#![allow(clippy::unwrap_used)]
#![allow(
    clippy::cast_precision_loss,
    clippy::float_cmp,
    reason = "places of pixels; a stroke's width is the constant that was given"
)]

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use eframe::egui::accesskit::Role;
use eframe::egui::{Color32, Pos2, Rect, Shape, Ui, pos2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
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
use crate::support::picture::{Measured, keep, painted_texts, picture, window};
use crate::support::scenes::{demo, scenes};
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

#[test]
fn each_answer_is_a_button_that_presses_its_key() {
    let size = [528.0, 270.0];
    let view = question(&[
        ('+', "it belongs here"),
        ('-', "set it aside"),
        ('7', "tilted"),
    ]);
    let night = look(Theme::Night);
    let (mut window, presses) = pressed(size, |ui, presses| {
        question_ui(ui, whole(size), &view, &night, presses);
    });
    let said = "20.508 mm is held One turn of the thimble off? Does it belong to A?";
    assert!(window.query_by_label(said).is_some());
    assert!(window.query_by_label(&view.waiting).is_some());
    let expected = [
        ("it belongs here", Press::Plus),
        ("set it aside", Press::Minus),
        ("tilted", Press::Digit('7')),
    ];
    for (name, press) in expected {
        let button = window.get_by_role_and_label(Role::Button, name);
        assert!(button.rect().height() >= 44.0, "{name} {}", button.rect());
        button.click();
        window.run();
        assert_eq!(presses.take(), [press]);
    }
}

#[test]
fn every_question_of_the_bench_can_be_read_and_touched() {
    let scenes = scenes();
    let mut asked = 0;
    for scene in &scenes {
        let Some(view) = scene.view().question else {
            continue;
        };
        asked += 1;
        for (size, least) in [([528.0, 270.0], 32.0), ([528.0, 104.0], 12.0)] {
            let window = window(size, 1.0, |ui| {
                question_ui(ui, whole(size), &view, &look(Theme::Day), &mut Vec::new());
            });
            let texts = painted_texts(&window);
            for (at, text) in texts.iter().enumerate() {
                for other in &texts[at + 1..] {
                    let crosses = other.rect.shrink(0.5).intersects(text.rect.shrink(0.5));
                    assert!(
                        !crosses,
                        "{}: {} over {}",
                        scene.name, text.text, other.text
                    );
                }
            }
            let mut places: Vec<Rect> = Vec::new();
            for answer in &view.answers {
                let button = window.get_by_role_and_label(Role::Button, &answer.text);
                let place = button.rect();
                assert!(place.height() >= least, "{} {size:?} {place}", scene.name);
                assert!(
                    places
                        .iter()
                        .all(|other| !other.shrink(0.5).intersects(place))
                );
                places.push(place);
            }
        }
    }
    assert!(asked >= 5, "only {asked} questions");
}

#[test]
fn an_alarm_has_a_hatched_border_and_a_plain_question_has_not() {
    let size = [528.0, 270.0];
    let border = |is_alarm: bool| {
        let mut view = question(&[('+', "yes"), ('-', "no")]);
        view.is_alarm = is_alarm;
        let image = picture(size, 1.0, |ui| {
            question_ui(ui, whole(size), &view, &look(Theme::Night), &mut Vec::new());
        });
        let measured = Measured {
            image: &image,
            pixels_per_point: 1.0,
        };
        let edge = Rect::from_min_max(pos2(0.0, 1.0), pos2(528.0, 5.0));
        measured.share_of(edge, Tokens::NIGHT.no_go)
    };
    // Part colour, part stripes.
    assert!((0.3..0.9).contains(&border(true)), "{}", border(true));
    assert!(border(false) < 0.01);
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
