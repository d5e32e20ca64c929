//! The Bench as a whole, in both layouts: what is found by its name, what a press asks for, how
//! large and how whole everything stands; without a single pixel.
#![allow(clippy::unwrap_used)]

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::OnceLock;
use std::time::Duration;

use eframe::egui::accesskit::Role;
use eframe::egui::{Pos2, Rect, Shape, UiBuilder, Vec2, ViewportId, pos2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::session::Snapshot;
use fitledger::window::bench_ui::bench_ui;
use fitledger::window::desk::{Desk, Form, Menu, Mode};
use fitledger::window::glance_ui::glance_ui;
use fitledger::window::look::{
    ACTION_MINUTES, DIGIT_OVER_SIZE, Look, Sizes, Theme, VALUE_MINUTES, digit_height_mm,
};
use fitledger::window::press::Press;
use fitledger::window::view::{BenchView, Mark, bench_view};

use crate::support::picture::{PaintedText, painted_texts, window};
use crate::support::scenes::scenes;

const SMALL: [f32; 2] = [800.0, 480.0];
const LARGE: [f32; 2] = [1280.0, 800.0];
/// Names longer than any screen are cut, and that is right. The longest list has less room than it
/// needs while the line that nothing is recorded takes its place: its keys stay whole.
const CUT: [&str; 3] = ["long-names", "control-names", "not-recorded Bench"];

/// One thing to look at.
#[derive(Clone)]
struct Shown {
    name: String,
    view: BenchView,
    is_glance: bool,
}

fn seen(name: &str, snapshot: &Snapshot, desk: &Desk) -> [Shown; 2] {
    let view = bench_view(snapshot, desk, snapshot.now_ms);
    [false, true].map(|is_glance| Shown {
        name: format!("{name}, glance {is_glance}"),
        view: view.clone(),
        is_glance,
    })
}

/// Every scene in both layouts, and more of what a person may be doing meanwhile.
fn all() -> &'static [Shown] {
    static ALL: OnceLock<Vec<Shown>> = OnceLock::new();
    ALL.get_or_init(|| {
        let mut all = Vec::new();
        for scene in scenes() {
            all.extend(seen(scene.name, &scene.snapshot, &scene.desk));
            let why = Desk {
                is_why: true,
                ..Desk::default()
            };
            if ["doubt", "warm", "not-recorded", "held", "nogo-gone"].contains(&scene.name) {
                let name = format!("{} why", scene.name);
                all.extend(seen(&name, &scene.snapshot, &why));
            }
            if ["go", "not-recorded"].contains(&scene.name) {
                let mut playing = scene.snapshot.clone();
                playing.is_playing = Some(false);
                for (name, mode) in doing() {
                    let desk = Desk {
                        mode,
                        ..Desk::default()
                    };
                    let name = format!("{} {name}", scene.name);
                    all.extend(seen(&name, &playing, &desk));
                }
            }
        }
        all
    })
}

fn doing() -> Vec<(String, Mode)> {
    let menus = [
        Menu::Bench,
        Menu::VoidReasons,
        Menu::TakeOut,
        Menu::NextPart,
        Menu::Look,
        Menu::Close,
        Menu::Decide,
    ];
    let forms = [Form::Temperature, Form::PutBack, Form::Operator];
    let menus = menus.map(|menu| (format!("{menu:?}"), Mode::Choosing(menu)));
    let forms = forms.map(|form| {
        let text = "21.5".to_owned();
        (format!("{form:?}"), Mode::Filling { form, text })
    });
    let mut all: Vec<_> = menus.into_iter().chain(forms).collect();
    all.push(("measuring".to_owned(), Mode::Measuring));
    all
}

fn named(name: &str, is_glance: bool) -> Shown {
    let wanted = format!("{name}, glance {is_glance}");
    let mut found = all().iter().filter(|shown| shown.name == wanted);
    found.next().unwrap().clone()
}

/// A window whose content is changed from test case to test case, and what was pressed in it.
struct Stage {
    harness: Harness<'static>,
    shown: Rc<RefCell<(Shown, Rect)>>,
    presses: Rc<RefCell<Vec<Press>>>,
    whole: Rect,
}

impl Stage {
    fn new(size: [f32; 2], theme: Theme) -> Self {
        let whole = Rect::from_min_size(Pos2::ZERO, size.into());
        let shown = Rc::new(RefCell::new((all()[0].clone(), whole)));
        let presses = Rc::new(RefCell::new(Vec::new()));
        let (seen, pressed) = (Rc::clone(&shown), Rc::clone(&presses));
        let look = Look::new(theme, Sizes::default());
        let harness = window(size, 1.0, move |ui| {
            let (shown, place) = &*seen.borrow();
            ui.scope_builder(UiBuilder::new().max_rect(*place), |ui| {
                ui.set_clip_rect(*place);
                let presses = &mut pressed.borrow_mut();
                if shown.is_glance {
                    glance_ui(ui, &shown.view, &look, presses);
                } else {
                    bench_ui(ui, &shown.view, &look, presses);
                }
            });
        });
        Self {
            harness,
            shown,
            presses,
            whole,
        }
    }

    fn show(&mut self, shown: &Shown) {
        self.show_in(shown, self.whole);
    }

    fn show_in(&mut self, shown: &Shown, place: Rect) {
        *self.shown.borrow_mut() = (shown.clone(), place);
        self.harness.step();
        self.presses.borrow_mut().clear();
    }

    fn has(&self, label: &str) -> bool {
        self.harness.query_all_by_label(label).next().is_some()
    }

    fn click(&mut self, label: &str) -> Vec<Press> {
        self.presses.borrow_mut().clear();
        let button = self.harness.get_by_role_and_label(Role::Button, label);
        button.click();
        self.harness.run();
        self.presses.borrow().clone()
    }

    fn place(&self, label: &str) -> Rect {
        let found = self.harness.query_all_by_label(label).next();
        found.unwrap_or_else(|| panic!("no {label}")).rect()
    }

    fn texts(&self) -> Vec<PaintedText> {
        painted_texts(&self.harness)
    }

    /// Texts that end with an ellipsis because they did not fit.
    fn cut(&self) -> Vec<String> {
        let shapes = self.harness.output().shapes.iter();
        let mut cut = Vec::new();
        shapes.for_each(|one| gather_cut(&one.shape, &mut cut));
        cut
    }
}

fn gather_cut(shape: &Shape, cut: &mut Vec<String>) {
    match shape {
        Shape::Vec(shapes) => shapes.iter().for_each(|shape| gather_cut(shape, cut)),
        Shape::Text(text) if text.galley.elided => cut.push(text.galley.job.text.clone()),
        _ => {}
    }
}

/// The word as it is painted, whole or in its two parts.
fn word_places(texts: &[PaintedText], word: &str, panel: Rect) -> Vec<PaintedText> {
    let is_of_it = |text: &str| {
        let rest = word.strip_prefix(text).or_else(|| word.strip_suffix(text));
        text.len() > 1 && rest.is_some_and(|rest| rest.is_empty() || rest.contains([' ', ',']))
    };
    let inside = texts.iter().filter(|text| panel.contains_rect(text.rect));
    let mut found: Vec<_> = inside
        .filter(|text| is_of_it(&text.text))
        .cloned()
        .collect();
    let largest = found.iter().map(|text| text.size).fold(0.0, f32::max);
    found.retain(|text| text.size >= largest - 0.5);
    found
}

/// Nothing covers the verdict, and nothing is being typed.
fn is_plain(shown: &Shown) -> bool {
    let view = &shown.view;
    view.verdict.entry.is_none() && view.why.is_none()
}

#[test]
fn word_value_and_action_are_found_by_name_in_both_layouts() {
    for size in [SMALL, LARGE] {
        let mut stage = Stage::new(size, Theme::Night);
        for shown in all().iter().filter(|shown| is_plain(shown)) {
            stage.show(shown);
            let verdict = &shown.view.verdict;
            assert!(stage.has(&verdict.spoken()), "{}", shown.name);
            for text in [&verdict.word, &verdict.value] {
                assert!(text.is_empty() || stage.has(text), "{}: {text}", shown.name);
            }
            let action = &shown.view.action;
            let is_asked = shown.view.question.is_some();
            let is_failing = verdict.mark == Mark::NotRecorded;
            // On a small screen the line at the foot says it while something is asked.
            let has_room = !shown.is_glance && size == LARGE;
            if !is_asked || (is_failing && has_room) {
                assert!(stage.has(action), "{} {size:?}: {action}", shown.name);
            } else if !is_failing {
                assert!(!stage.has(action), "{}: what is asked, twice", shown.name);
            }
        }
    }
}

#[test]
fn a_row_chooses_and_the_verdict_asks_why() {
    let mut stage = Stage::new(SMALL, Theme::Night);
    let shown = named("inside", false);
    stage.show(&shown);
    assert_eq!(shown.view.rows.len(), 5);
    for row in &shown.view.rows {
        let name = row.spoken();
        assert_eq!(stage.click(&name), [Press::Choose(row.target)], "{name}");
    }
    for (name, is_glance) in [("go", false), ("go", true), ("held", false), ("held", true)] {
        let shown = named(name, is_glance);
        stage.show(&shown);
        let spoken = shown.view.verdict.spoken();
        assert_eq!(stage.click(&spoken), [Press::Verdict], "{name} {is_glance}");
    }
    // Open, the reasons are closed where the verdict stands now.
    for is_glance in [false, true] {
        let shown = named("why", is_glance);
        stage.show(&shown);
        let title = &shown.view.why.as_ref().unwrap().title;
        assert_eq!(stage.click(title), [Press::Verdict]);
    }
}

fn press_of(key: char) -> Press {
    match key {
        '+' => Press::Plus,
        '-' => Press::Minus,
        '*' => Press::Star,
        '/' => Press::Slash,
        digit => {
            assert!(digit.is_ascii_digit(), "{digit}");
            Press::Digit(digit)
        }
    }
}

#[test]
fn each_answer_stands_whole_in_a_field_that_a_finger_hits_and_presses_its_key() {
    let mut pressed = 0;
    for size in [SMALL, LARGE] {
        let mut stage = Stage::new(size, Theme::Day);
        for shown in all() {
            let Some(question) = &shown.view.question else {
                continue;
            };
            stage.show(shown);
            for answer in &question.answers {
                let name = &shown.name;
                let texts = stage.texts();
                let is_written = texts.iter().any(|text| text.text == answer.text);
                assert!(is_written, "{name} {size:?}: {}", answer.text);
                // At least 24 by 24 (WCAG 2.2, 2.5.8, from memory).
                let field = stage.place(&answer.text);
                assert!(
                    field.height() >= 24.0 && field.width() >= 60.0,
                    "{name} {field}"
                );
                let wanted = [press_of(answer.key)];
                assert_eq!(stage.click(&answer.text), wanted, "{name}");
                pressed += 1;
            }
        }
    }
    assert!(pressed > 200, "{pressed}");
}

#[test]
fn nothing_is_cut_and_nothing_leaves_the_window() {
    let mut faults = Vec::new();
    for (size, theme) in [
        (SMALL, Theme::Night),
        (SMALL, Theme::HighContrast),
        (LARGE, Theme::Day),
    ] {
        let mut stage = Stage::new(size, theme);
        for shown in all() {
            stage.show(shown);
            for text in stage.texts() {
                let is_whole = stage.whole.expand(0.5).contains_rect(text.rect)
                    && text.clip.expand(1.0).contains_rect(text.rect);
                if !is_whole {
                    faults.push(format!("{} {size:?}: {text:?}", shown.name));
                }
            }
            if !CUT.iter().any(|name| shown.name.starts_with(name)) {
                let cut = stage.cut().into_iter();
                faults.extend(cut.map(|text| format!("{} {size:?}: cut {text}", shown.name)));
            }
        }
    }
    assert!(faults.is_empty(), "{}\n{}", faults.len(), faults.join("\n"));
}

#[test]
fn the_word_is_a_quarter_of_the_panel_high() {
    for size in [SMALL, LARGE] {
        let mut stage = Stage::new(size, Theme::Night);
        let mut looked_at = 0;
        for shown in all()
            .iter()
            .filter(|shown| is_plain(shown) && !shown.is_glance)
        {
            let word = &shown.view.verdict.word;
            if word.is_empty() {
                continue;
            }
            stage.show(shown);
            let panel = stage.place(&shown.view.verdict.spoken());
            let places = word_places(&stage.texts(), word, panel);
            let whole = places.iter().map(|text| text.rect);
            let whole = whole.reduce(Rect::union).unwrap_or(Rect::NOTHING);
            let share = whole.height() / panel.height();
            assert!(share >= 0.25, "{} {size:?}: {word} {share}", shown.name);
            looked_at += 1;
        }
        assert!(looked_at > 25);
    }
}

#[test]
fn a_word_parts_behind_its_comma_and_nowhere_else() {
    let mut stage = Stage::new(SMALL, Theme::Night);
    stage.show(&named("inside", false));
    let texts = stage.texts();
    let lines: Vec<&PaintedText> = ["inside", "2 of 3"]
        .iter()
        .map(|part| texts.iter().find(|text| text.text == *part).unwrap())
        .collect();
    assert!(lines[0].rect.bottom() < lines[1].rect.top());
    assert!((lines[0].size - lines[1].size).abs() < 0.1);
}

#[test]
fn at_a_glance_value_word_and_action_have_the_size_of_the_distance() {
    // Bench ergonomics, computed there: at 2 m, 40 minutes of arc are 23.3 mm, 20 are 11.6 mm.
    let sizes = Sizes::default();
    assert!((digit_height_mm(sizes.distance.mm(), VALUE_MINUTES) - 23.3).abs() < 0.05);
    assert!((digit_height_mm(sizes.distance.mm(), ACTION_MINUTES) - 11.6).abs() < 0.05);
    let asked = [23.25, 11.6].map(|mm| mm * sizes.points_per_mm / DIGIT_OVER_SIZE);
    let mut stage = Stage::new(LARGE, Theme::Night);
    let names = "go inside nogo-gone nogo-on cutting doubt not-recorded batch glance";
    for name in names.split(' ') {
        let shown = named(name, true);
        stage.show(&shown);
        let texts = stage.texts();
        let verdict = &shown.view.verdict;
        let panel = stage.place(&verdict.spoken());
        let word = word_places(&texts, &verdict.word, panel);
        assert!(
            !word.is_empty() && word.iter().all(|text| text.size >= asked[0]),
            "{name}"
        );
        // Figures are painted one by one.
        let digits = texts.iter().filter(|text| {
            text.text.len() == 1 && panel.contains_rect(text.rect) && text.size >= 60.0
        });
        let smallest = digits.map(|text| text.size).fold(f32::INFINITY, f32::min);
        assert!(
            smallest.is_finite() && smallest >= asked[0],
            "{name}: {smallest}"
        );
        let action = texts.iter().find(|text| text.text == shown.view.action);
        assert!(action.unwrap().size >= asked[1] - 0.1, "{name}: {action:?}");
        assert!(!stage.has("too small to read from 2 m"), "{name}");
    }
    // What is not as large as that says so.
    let mut stage = Stage::new(SMALL, Theme::Night);
    stage.show(&named("nogo-gone", true));
    assert!(stage.has("too small to read from 2 m"));
}

#[test]
fn the_chart_is_high_enough_on_the_smallest_screen() {
    let mut stage = Stage::new(SMALL, Theme::Night);
    let mut looked_at = 0;
    for shown in all()
        .iter()
        .filter(|shown| is_plain(shown) && !shown.is_glance)
    {
        let view = &shown.view;
        let (Some(upper), Some(lower)) = (&view.chart.upper, &view.chart.lower) else {
            continue;
        };
        // The sum over wires stands there where there is no room for both.
        if view.question.is_some() || view.status.message.is_some() || view.wires.is_some() {
            continue;
        }
        stage.show(shown);
        let panel = stage.place(&view.chart.spoken);
        assert!(panel.height() >= 80.0, "{}: {panel}", shown.name);
        // From limit to limit, as far apart as their fractions say: so high is the whole plot.
        let lines = horizontal_lines(&stage.harness, panel);
        let across = lines.iter().copied();
        let (top, bottom) = across.fold((f32::INFINITY, 0.0_f32), |(top, bottom), y| {
            (top.min(y), bottom.max(y))
        });
        let plot = (bottom - top) / (lower.0 - upper.0);
        assert!(plot >= 64.0, "{}: {plot}", shown.name);
        looked_at += 1;
    }
    assert!(looked_at > 10);
}

/// Heights of the long solid lines inside a place.
fn horizontal_lines(harness: &Harness<'_>, place: Rect) -> Vec<f32> {
    let shapes = harness.output().shapes.iter();
    let found = shapes.filter_map(|one| match &one.shape {
        Shape::LineSegment { points, .. } => {
            let [from, to] = *points;
            let is_level = (from.y - to.y).abs() < 0.01;
            let is_long = (to.x - from.x).abs() > place.width() / 2.0;
            (is_level && is_long && place.contains(from)).then_some(from.y)
        }
        _ => None,
    });
    found.collect()
}

#[test]
fn not_recorded_stands_in_the_block_and_at_the_foot_whatever_is_being_done() {
    let mut looked_at = 0;
    for size in [SMALL, LARGE] {
        let mut stage = Stage::new(size, Theme::Night);
        for shown in all()
            .iter()
            .filter(|one| one.name.starts_with("not-recorded"))
        {
            stage.show(shown);
            let name = &shown.name;
            let texts = stage.texts();
            let foot = size[1] - 40.0;
            let (low, high): (Vec<_>, Vec<_>) =
                texts.iter().partition(|text| text.rect.top() > foot);
            let cries = low
                .iter()
                .any(|text| text.text.starts_with("NOT RECORDED: 2"));
            assert!(cries, "{name} {size:?}");
            let in_block = high.iter().any(|text| text.text == "NOT RECORDED")
                || ["NOT", "RECORDED"]
                    .iter()
                    .all(|part| high.iter().any(|text| text.text == *part));
            assert!(in_block, "{name} {size:?}");
            looked_at += 1;
        }
    }
    assert!(looked_at >= 44, "{looked_at}");
}

#[test]
fn caution_and_the_way_to_all_keys_stand_on_the_smallest_screen() {
    let mut stage = Stage::new(SMALL, Theme::Night);
    for shown in all() {
        stage.show(shown);
        let texts = stage.texts();
        let has = |wanted: &str| texts.iter().any(|text| text.text == wanted);
        assert!(has("Stop the spindle before you measure"), "{}", shown.name);
        if let Some(last) = shown.view.keys.last().filter(|_| !shown.is_glance) {
            assert!(has(&last.does), "{}: {}", shown.name, last.does);
            let first = shown.view.keys.first().unwrap();
            assert!(has(&first.does), "{}: {}", shown.name, first.does);
        }
    }
}

#[test]
fn no_window_is_too_small_or_too_odd() {
    let mut stage = Stage::new([3000.0, 3000.0], Theme::Night);
    let sizes = [
        (0.0, 0.0),
        (1.0, 1.0),
        (50.0, 30.0),
        (320.0, 200.0),
        (3000.0, 200.0),
    ];
    for size in sizes.into_iter().chain([(200.0, 3000.0), (610.0, 1.0)]) {
        let place = Rect::from_min_size(pos2(0.0, 0.0), vec2(size.0, size.1));
        for shown in all() {
            stage.show_in(shown, place);
            for text in stage.texts() {
                let visible = text.clip.intersect(text.rect);
                let is_inside = !visible.is_positive() || place.expand(0.5).contains_rect(visible);
                assert!(is_inside, "{} {size:?}: {text:?}", shown.name);
            }
        }
    }
}

#[test]
fn names_that_are_endless_or_steer_stay_in_their_places() {
    let nasty =
        "\u{202e}line\nfeed\t\u{0}\u{7f}\u{200b}Ø 漢 \u{1f600}".to_owned() + &"long ".repeat(300);
    for size in [SMALL, [320.0, 200.0]] {
        let mut stage = Stage::new(size, Theme::HighContrast);
        for (name, is_glance) in [("go", false), ("go", true), ("held", false), ("why", false)] {
            let mut shown = named(name, is_glance);
            spoil(&mut shown.view, &nasty);
            stage.show(&shown);
            for text in stage.texts() {
                let visible = text.clip.intersect(text.rect);
                assert!(
                    stage.whole.expand(0.5).contains_rect(visible),
                    "{name}: {text:?}"
                );
                let steers = ['\n', '\t', '\u{0}', '\u{7f}', '\u{200b}', '\u{202e}'];
                assert!(!text.text.contains(steers), "{name}: {:?}", text.text);
            }
        }
    }
}

/// Puts a text wherever one may come from a plan, a port or a person.
fn spoil(view: &mut BenchView, text: &str) {
    let header = &mut view.header;
    for one in [
        &mut header.part_name,
        &mut header.drawing,
        &mut header.operator,
    ] {
        text.clone_into(one);
    }
    for row in &mut view.rows {
        text.clone_into(&mut row.id);
        text.clone_into(&mut row.callout);
        row.setting = Some(text.to_owned());
    }
    for one in [
        &mut view.subject.callout,
        &mut view.subject.name,
        &mut view.action,
    ] {
        text.clone_into(one);
    }
    view.verdict.notes = vec![text.to_owned()];
    text.clone_into(&mut view.status.journal.text);
    view.status.message = Some(text.to_owned());
    for gauge in &mut view.status.gauges {
        text.clone_into(&mut gauge.text);
    }
}

#[test]
fn it_asks_for_no_repaint_while_nothing_happens() {
    let mut stage = Stage::new(SMALL, Theme::Night);
    for shown in all() {
        stage.show(shown);
        // Reasons that scroll need a few passes to lie still.
        stage.harness.run_steps(4);
        let output = stage.harness.output();
        let delay = output.viewport_output[&ViewportId::ROOT].repaint_delay;
        assert_eq!(delay, Duration::MAX, "{}", shown.name);
        assert!(!stage.harness.ctx.has_requested_repaint(), "{}", shown.name);
    }
    assert_eq!(Vec2::from(SMALL), stage.whole.size());
}
