//! The Gauges room: by value, by accessibility name, and in pictures at both sizes.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::cell::RefCell;
use std::rc::Rc;

use eframe::egui::{Pos2, Rect};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::gauge::{Date, GaugeId, Register};
use fitledger::session::{Snapshot, Tap, TapKind, TapLine};
use fitledger::window::gauges_facts::{LiveFacts, TeachFacts};
use fitledger::window::gauges_room::{
    GaugesAsked, GaugesFacts, GaugesNow, GaugesRoom, Page, TeachPress,
};
use fitledger::window::gauges_ui::gauges_ui;
use fitledger::window::keys::character_press;
use fitledger::window::look::{Look, Sizes, Theme};
use fitledger::window::press::Press;
use fitledger::window::view::{
    GaugesSeen, GaugesView, LiveView, Mark, PageView, bytes_text, gauges_view,
};

use crate::support::bench::{Bench, feature, plan};
use crate::support::picture::{compare, keep, painted_texts, window};
use crate::support::shown::snapshot;

const SMALL: [f32; 2] = [800.0, 458.0];
const LARGE: [f32; 2] = [1280.0, 778.0];

/// A micrometer with all that can be stated, a caliper of which hardly anything is, a comparator
/// on its ring, limit gauges and a height gauge that is overdue.
const GAUGES: &str = "\
[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\nresolution = 0.001\n\
mpe = 0.002\nrepeatability = 0.0005\ndue = 2027-03-01\n\
port = { path = \"/dev/ttyUSB0\", adapter = \"line-free\", id = \"2\" }\n\
[[gauge]]\nid = \"caliper\"\nkind = \"caliper\"\nrange = [0, 150]\nresolution = 0.01\n\
[[gauge]]\nid = \"comparator\"\nkind = \"bore_gauge\"\nrange = [-0.5, 0.5]\nresolution = 0.001\n\
calibration = { U = 0.0012, k = 2 }\nreads = \"deviation\"\nset_on = \"ring\"\ndue = 2026-12-10\n\
[[gauge]]\nid = \"ring\"\nkind = \"setting_ring\"\nrange = 20.000\n\
[[gauge]]\nid = \"plug-m10\"\nkind = \"plug\"\n\
[[gauge]]\nid = \"height\"\nkind = \"height_gauge\"\nrange = [0, 300]\nresolution = 0.01\n\
mpe = 0.03\ndue = 2026-11-21\n\
[[gauge]]\nid = \"protractor\"\nkind = \"protractor\"\n";

fn facts() -> GaugesFacts {
    GaugesFacts {
        register: Register::parse(GAUGES, "gauges.toml").unwrap(),
        today: Date::parse("2026-11-24"),
        attached: vec![GaugeId::new("mic")],
        ..GaugesFacts::default()
    }
}

/// `20 k6`, `30 H7`, a rough length and a thread's plug.
fn session() -> Snapshot {
    let text = feature(
        "A",
        "20 k6",
        "name = \"bearing seat\"\ngauge = [\"mic\", \"caliper\"]",
    ) + &feature("B", "15 ±0.01", "")
        + &feature("C", "24.95 h11", "")
        + &feature("D", "M10-6H", "elements = [\"go_plug\"]");
    snapshot(&Bench::new(plan(&text)))
}

fn room(chosen: usize, page: Page) -> GaugesRoom {
    GaugesRoom {
        chosen,
        page,
        ..GaugesRoom::default()
    }
}

fn seen(room: &GaugesRoom, facts: &GaugesFacts, snapshot: Option<&Snapshot>) -> GaugesView {
    gauges_view(&GaugesSeen {
        room,
        facts,
        snapshot,
        now_ms: 0,
        marker: '.',
    })
}

fn page(room: &GaugesRoom, facts: &GaugesFacts, snapshot: Option<&Snapshot>) -> PageView {
    seen(room, facts, snapshot).detail.unwrap().page
}

fn line(raw: &[u8], text: &str, is_value: bool) -> TapLine {
    TapLine {
        at_ms: 0,
        raw: raw.to_vec(),
        text: text.to_owned(),
        is_value,
    }
}

fn live_facts() -> GaugesFacts {
    let tap = Tap {
        gauges: vec![GaugeId::new("mic")],
        port: "/dev/ttyUSB0".to_owned(),
        adapter: "line-free".to_owned(),
        kind: TapKind::Streams,
        lines: [
            line(b"+0020.008\r\n", "20.008 mm", true),
            line(b"+0020.0\x80\r\n", "malformed", false),
            line(b"\x01\x94\x83\x0a\x11", "bad_check", false),
            line(b"+0020.009\r\n", "20.009 mm", true),
        ]
        .into(),
        state: "attached".to_owned(),
        ..Tap::default()
    };
    GaugesFacts {
        live: Some(LiveFacts {
            tap,
            ..LiveFacts::default()
        }),
        ..facts()
    }
}

fn teach_facts() -> GaugesFacts {
    GaugesFacts {
        teach: Some(TeachFacts {
            is_running: true,
            step: 5,
            steps: 9,
            prompt: "Measure something of 20 mm, or type another size and measure that.".to_owned(),
            awaits: "size, mm".to_owned(),
            asks_yes_or_no: false,
            found: vec![
                "9600 baud, 8 data bits, no parity".to_owned(),
                "a frame ends with CR LF and has 9 characters before".to_owned(),
            ],
            unknown: vec!["the fifth character: always 0".to_owned()],
            assumed: vec!["millimetres: the gauge was not switched to inches".to_owned()],
            ..TeachFacts::default()
        }),
        ..facts()
    }
}

#[test]
fn the_list_says_of_each_gauge_what_it_is_what_it_is_worth_and_what_is_wrong() {
    let (facts, room) = (facts(), GaugesRoom::default());
    let view = seen(&room, &facts, None);
    let row = |id: &str| view.rows.iter().find(|row| row.id == id).unwrap();
    let mic = row("mic");
    assert_eq!(mic.kind, "outside micrometer");
    assert_eq!(mic.range, "0 to 25 mm, step 0.001 mm");
    assert_eq!((mic.error.as_str(), mic.is_assumed), ("MPE 2.0 µm", false));
    assert!(mic.is_chosen && mic.states.iter().all(|one| one.mark == Mark::Inside));
    // DIN 862 (withdrawn): 30 µm for a step of 0.01 mm and a length of 150 mm (published older
    // limits, as the table of the register names them).
    let caliper = row("caliper");
    assert_eq!(
        (caliper.error.as_str(), caliper.is_assumed),
        ("MPE 30.0 µm", true)
    );
    assert_eq!(row("comparator").error, "U 1.2 µm (k = 2)");
    assert_eq!(row("ring").range, "20.000 mm");
    assert_eq!(row("plug-m10").error, "");
    assert_eq!(row("protractor").error, "error not known");
    // 24 to 21 November are 3 days; to 10 December 16.
    let first = |id: &str| (row(id).states[0].text.clone(), row(id).states[0].mark);
    assert_eq!(
        first("height"),
        ("calibration overdue for 3 days".to_owned(), Mark::NoGo)
    );
    assert_eq!(
        first("comparator"),
        ("calibration due in 16 days".to_owned(), Mark::Doubt)
    );
    assert_eq!(first("caliper").1, Mark::Open);
}

#[test]
fn a_port_that_is_not_there_is_said_in_the_list_and_on_the_page() {
    let mut facts = facts();
    facts.attached.clear();
    let room = GaugesRoom::default();
    let view = seen(&room, &facts, None);
    assert_eq!(view.rows[0].states[0].text, "not attached now");
    let PageView::Facts(lines) = view.detail.unwrap().page else {
        panic!("the register");
    };
    let port = lines.iter().find(|line| line.what == "port").unwrap();
    assert_eq!(
        (port.value.as_str(), port.mark),
        ("/dev/ttyUSB0", Some(Mark::Doubt))
    );
    assert!(port.note.contains("not attached"));
    let id = lines
        .iter()
        .find(|line| line.what.contains("frames"))
        .unwrap();
    assert_eq!(id.value, "2");
}

#[test]
fn what_is_assumed_is_marked_with_its_source() {
    let facts = facts();
    let PageView::Facts(lines) = page(&room(1, Page::Facts), &facts, None) else {
        panic!("the register");
    };
    let error = lines
        .iter()
        .find(|line| line.what == "permissible error")
        .unwrap();
    assert!(error.note.starts_with("assumed: DIN 862"), "{error:?}");
    assert_eq!(error.mark, Some(Mark::Doubt));
    let PageView::Facts(lines) = page(&room(0, Page::Facts), &facts, None) else {
        panic!("the register");
    };
    let error = lines
        .iter()
        .find(|line| line.what == "permissible error")
        .unwrap();
    assert_eq!((error.note.as_str(), error.mark), ("", None));
}

/// By hand: MPE 2 µm even between: 2/√3 = 1.155; step 1 µm: 0.289; repeatability 0.5: u² =
/// 1.333 + 0.083 + 0.25 = 1.667, shares 80, 5, 15 %; u 1.291.
#[test]
fn the_budget_of_a_gauge_is_told_line_by_line_and_sums_to_one() {
    let (facts, snapshot) = (facts(), session());
    let PageView::Budget(budget) = page(&room(0, Page::Budget), &facts, Some(&snapshot)) else {
        panic!("the budget");
    };
    assert_eq!(budget.title, "One reading of 20.015 mm");
    let shares: Vec<u32> = budget
        .bars
        .iter()
        .map(|bar| (bar.share * 100.0).round() as u32)
        .collect();
    assert_eq!(shares, [80, 5, 15]);
    assert!(budget.total.starts_with("u 1.3 µm"), "{}", budget.total);
    let PageView::Budget(budget) = page(&room(6, Page::Budget), &facts, None) else {
        panic!("the budget");
    };
    assert!(budget.bars.is_empty());
}

/// The micrometer: u 1.291 µm (above), 13 µm of `20 k6` (ISO 286-2:2010), U = 1.96 u = 2.53 µm:
/// T/(2U) = 2.56. The caliper: u = √((30/√3)² + (10/√12)²) = 17.6 µm: no value of `20 k6` is
/// proved. Of 130 µm of h11 (IT11 over 18 to 30, ISO 286-1) the micrometer has 25.6.
#[test]
fn a_gauge_says_of_each_characteristic_whether_it_can_prove_it() {
    let (facts, snapshot) = (facts(), session());
    let PageView::Proves(mic) = page(&room(0, Page::Proves), &facts, Some(&snapshot)) else {
        panic!("what it proves");
    };
    let told = |line: usize| (mic.lines[line].mark, mic.lines[line].ratio.as_str());
    assert_eq!(told(0), (Mark::Doubt, "T/(2U) 2.5"));
    assert_eq!(mic.lines[0].word, "only sometimes");
    assert_eq!(told(2), (Mark::Go, "T/(2U) 25.6"));
    assert_eq!(mic.lines[3].mark, Mark::NotSelected);
    let PageView::Proves(caliper) = page(&room(1, Page::Proves), &facts, Some(&snapshot)) else {
        panic!("what it proves");
    };
    assert_eq!(caliper.lines[0].mark, Mark::NoGo);
    assert!(caliper.lines[0].detail.contains("no value would be GO"));
    let PageView::Proves(plug) = page(&room(4, Page::Proves), &facts, Some(&snapshot)) else {
        panic!("what it proves");
    };
    assert_eq!(plug.lines[0].mark, Mark::NotSelected);
    assert_eq!(plug.lines[3].mark, Mark::Go);
    let PageView::Proves(none) = page(&room(0, Page::Proves), &facts, None) else {
        panic!("what it proves");
    };
    assert!(none.title.contains("No plan is open"));
}

fn live(facts: &GaugesFacts) -> LiveView {
    let PageView::Live(live) = page(&room(0, Page::Live), facts, None) else {
        panic!("the wire");
    };
    live
}

#[test]
fn bytes_stand_beside_what_they_were_read_as_and_a_live_value_says_so() {
    let mut facts = live_facts();
    let shown = live(&facts);
    assert_eq!(
        (shown.value.as_str(), shown.value_note.as_str()),
        ("20.009 mm", "live, not recorded")
    );
    let frames: Vec<(&str, &str, bool)> = shown
        .frames
        .iter()
        .map(|frame| {
            (
                frame.bytes.as_str(),
                frame.reading.as_str(),
                frame.is_reading,
            )
        })
        .collect();
    assert_eq!(
        frames,
        [
            ("+0020.009 CR LF", "20.009 mm", true),
            ("01 94 83 0A 11", "bad check", false),
            ("+0020.0 80 CR LF", "malformed", false),
            ("+0020.008 CR LF", "20.008 mm", true),
        ]
    );
    assert!(shown.is_fine);
    // Of a session: it must be taken before it counts.
    facts.live.as_mut().unwrap().is_recorded = true;
    assert!(
        live(&facts)
            .value_note
            .contains("not recorded: Enter takes it")
    );
    facts.live.as_mut().unwrap().tap.kind = TapKind::Sends;
    assert!(live(&facts).value_note.starts_with("recorded"));
    facts.live.as_mut().unwrap().tap.state = "not_permitted".to_owned();
    let shown = live(&facts);
    assert!(
        !shown.is_fine && shown.state.starts_with("Not permitted"),
        "{}",
        shown.state
    );
    facts.live = None;
    assert!(live(&facts).value.is_empty());
}

#[test]
fn bytes_can_be_read_whatever_they_are() {
    for (bytes, text) in [
        (&b"\x0212.5\x03"[..], "STX 12.5 ETX"),
        (b"12.5\r", "12.5 CR"),
        (b"", ""),
        (b"\xFF\x00\x10", "FF 00 10"),
        (b"\x1b12.5 mm\r\n", "1B 12.5 mm CR LF"),
    ] {
        assert_eq!(bytes_text(bytes), text, "{bytes:?}");
    }
}

/// Keys of a keypad: `⏎` Enter, `⌫` Backspace.
fn keys(
    room: &mut GaugesRoom,
    facts: &GaugesFacts,
    now: GaugesNow,
    keys: &str,
) -> Vec<GaugesAsked> {
    let mut asked = Vec::new();
    for key in keys.chars() {
        let press = match key {
            '⏎' => Press::Enter,
            '⌫' => Press::Backspace,
            other => character_press(other),
        };
        asked.extend(room.press(press, facts, now));
    }
    asked
}

#[test]
fn the_keypad_alone_reaches_every_gauge_and_every_page() {
    let facts = facts();
    let mut room = GaugesRoom::default();
    let none = GaugesNow::default();
    for (page, key, _) in Page::ALL {
        keys(&mut room, &facts, none, &key.to_string());
        assert_eq!(room.page, page);
    }
    keys(&mut room, &facts, none, "1++");
    assert_eq!(room.chosen, 2);
    keys(&mut room, &facts, none, "+++++++++");
    assert_eq!(room.chosen, 6, "the last one");
    keys(&mut room, &facts, none, "---------");
    assert_eq!(room.chosen, 0);
    keys(&mut room, &facts, none, "9");
    assert!(room.fault.as_deref().unwrap().contains('9'));
    assert_eq!(keys(&mut room, &facts, none, "⌫"), [GaugesAsked::Bench]);
    assert_eq!(keys(&mut room, &facts, none, "."), [GaugesAsked::Bench]);
    let more = GaugesNow {
        has_more: true,
        ..none
    };
    keys(&mut room, &facts, more, "**");
    assert_eq!(room.skipped, 2);
    keys(&mut room, &facts, none, "*");
    assert_eq!(room.skipped, 0, "from the end to the beginning");
}

#[test]
fn enter_does_what_the_page_is_for() {
    let facts = facts();
    let none = GaugesNow::default();
    let session = GaugesNow {
        has_session: true,
        ..none
    };
    let mut room = room(0, Page::Live);
    assert_eq!(keys(&mut room, &facts, none, "⏎"), [GaugesAsked::Take]);
    room.page = Page::Zero;
    assert!(keys(&mut room, &facts, none, "⏎").is_empty());
    assert!(room.fault.as_deref().unwrap().contains("begin one first"));
    let mic = GaugeId::new("mic");
    assert_eq!(
        keys(&mut room, &facts, session, "⏎"),
        [GaugesAsked::AskZero(mic.clone())]
    );
    let asked = GaugesNow {
        is_zero_asked: true,
        ..session
    };
    // While it waits, digits are what the gauge shows; nothing else opens.
    assert!(keys(&mut room, &facts, asked, "⏎").is_empty());
    assert!(room.fault.is_some());
    let typed = keys(&mut room, &facts, asked, "0.00x1⏎");
    assert_eq!(
        typed,
        [GaugesAsked::TypedZero(mic.clone(), "0.001".to_owned())]
    );
    assert_eq!((room.page, room.entry.as_deref()), (Page::Zero, None));
    let typed = keys(&mut room, &facts, asked, "-0,0⌫02⏎");
    assert_eq!(
        typed,
        [GaugesAsked::TypedZero(mic.clone(), "-0.02".to_owned())]
    );
    assert_eq!(
        keys(&mut room, &facts, asked, "⌫"),
        [GaugesAsked::DropZero(mic)]
    );
    assert!(keys(&mut room, &facts, asked, &"7".repeat(100)).is_empty());
    assert_eq!(room.entry.as_deref().map(str::len), Some(24));
}

#[test]
fn teaching_takes_sizes_and_answers_and_is_not_left_by_chance() {
    let mut facts = teach_facts();
    let now = GaugesNow {
        is_size_awaited: true,
        ..GaugesNow::default()
    };
    let mut room = room(0, Page::Teach);
    let asked = keys(&mut room, &facts, now, "20.5⏎");
    assert_eq!(
        asked,
        [GaugesAsked::Teach(TeachPress::Answer("20.5".to_owned()))]
    );
    assert_eq!(
        keys(&mut room, &facts, now, "⏎"),
        [GaugesAsked::Teach(TeachPress::GoOn)]
    );
    assert_eq!(
        keys(&mut room, &facts, now, "⌫"),
        [GaugesAsked::Teach(TeachPress::Leave)]
    );
    let teach = facts.teach.as_mut().unwrap();
    (teach.awaits, teach.asks_yes_or_no) = (String::new(), true);
    let none = GaugesNow::default();
    assert_eq!(
        keys(&mut room, &facts, none, "+"),
        [GaugesAsked::Teach(TeachPress::Yes)]
    );
    assert_eq!(
        keys(&mut room, &facts, none, "-"),
        [GaugesAsked::Teach(TeachPress::No)]
    );
    facts.teach.as_mut().unwrap().asks_yes_or_no = false;
    assert!(keys(&mut room, &facts, none, "+-").is_empty());
    assert_eq!((room.chosen, room.page), (0, Page::Teach));
}

#[test]
fn every_press_is_survived_with_and_without_gauges() {
    let empty = GaugesFacts::default();
    for facts in [&facts(), &teach_facts(), &live_facts(), &empty] {
        let mut room = GaugesRoom::default();
        let mut random = 11_u64;
        for _ in 0..3_000 {
            random = random
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            let bits = random >> 33;
            let now = GaugesNow {
                has_session: bits & 1 == 1,
                is_zero_asked: bits & 2 == 2,
                is_size_awaited: bits & 4 == 4,
                has_more: bits & 8 == 8,
            };
            let press = match (bits >> 4) % 14 {
                0 => Press::Enter,
                1 => Press::Backspace,
                2 => Press::Up,
                3 => Press::Down,
                4 => Press::Left,
                5 => Press::Right,
                6 => Press::Digit('5'),
                7 => Press::Digit('7'),
                8 => Press::Choose(900),
                9 => Press::Star,
                10 => Press::Pasted("é\u{202e}1".repeat(50)),
                11 => Press::Plus,
                12 => Press::Minus,
                _ => Press::NumLockOff,
            };
            room.press(press, facts, now);
            let _ = seen(&room, facts, None);
        }
    }
    let view = seen(&GaugesRoom::default(), &empty, None);
    assert!(view.empty.contains("gauges.toml"));
}

/// A page on a window.
struct Shot {
    name: String,
    view: GaugesView,
    size: [f32; 2],
    theme: Theme,
}

fn shots() -> Vec<Shot> {
    let snapshot = session();
    let pages = [
        ("register", 1, Page::Facts, facts()),
        ("live", 0, Page::Live, live_facts()),
        ("proves", 0, Page::Proves, facts()),
        ("budget", 0, Page::Budget, facts()),
        ("zero", 2, Page::Zero, facts()),
        ("in-doubt", 0, Page::InDoubt, facts()),
        ("teach", 0, Page::Teach, teach_facts()),
    ];
    let mut shots = Vec::new();
    for (name, chosen, page, facts) in pages {
        let view = seen(&room(chosen, page), &facts, Some(&snapshot));
        for (size, theme) in [
            (SMALL, Theme::Night),
            (LARGE, Theme::Day),
            (SMALL, Theme::HighContrast),
        ] {
            let theme_name = match theme {
                Theme::Night => "night",
                Theme::Day => "day",
                Theme::HighContrast => "high",
            };
            shots.push(Shot {
                name: format!("gauges-{theme_name}-{name}"),
                view: view.clone(),
                size,
                theme,
            });
        }
    }
    shots
}

impl Shot {
    fn shown<'a>(&self) -> Harness<'a> {
        let (view, look) = (self.view.clone(), Look::new(self.theme, Sizes::default()));
        window(self.size, 1.0, move |ui| {
            gauges_ui(ui, &view, &look, &mut Vec::new());
        })
    }
}

/// Each picture is kept too, in `target/pictures`.
#[test]
fn no_text_of_the_room_leaves_the_window_or_lies_on_another() {
    let mut faults = Vec::new();
    for shot in shots() {
        let mut harness = shot.shown();
        let whole = Rect::from_min_size(Pos2::ZERO, shot.size.into());
        let texts = painted_texts(&harness);
        for (at, text) in texts.iter().enumerate() {
            let (words, rect) = (&text.text, text.rect);
            if !whole.expand(0.5).contains_rect(rect)
                || !text.clip.expand(1.0).contains_rect(rect.shrink(1.0))
            {
                faults.push(format!("{}: {words:?} is cut: {rect:?}", shot.name));
            }
            for other in &texts[at + 1..] {
                let common = rect.intersect(other.rect);
                if common.width() > 1.0 && common.height() > 1.0 {
                    let other = &other.text;
                    faults.push(format!("{}: {words:?} on {other:?}: {common:?}", shot.name));
                }
            }
        }
        let image = harness.render().unwrap();
        keep(&shot.name, &image);
    }
    assert!(
        faults.is_empty(),
        "{} faults:\n{}",
        faults.len(),
        faults.join("\n")
    );
}

#[test]
fn the_accepted_pictures_of_the_room() {
    let accepted = [
        "gauges-night-live",
        "gauges-day-proves",
        "gauges-night-budget",
    ];
    let mut found = Vec::new();
    for shot in shots()
        .iter()
        .filter(|shot| accepted.contains(&shot.name.as_str()))
    {
        found.push(compare(&shot.name, &shot.shown().render().unwrap()));
    }
    assert_eq!(found.len(), accepted.len());
    let faults: Vec<String> = found.into_iter().filter_map(Result::err).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn everything_is_found_by_its_name_and_can_be_pointed_at() {
    let facts = live_facts();
    let snapshot = session();
    for size in [SMALL, LARGE] {
        let view = seen(&room(0, Page::Live), &facts, Some(&snapshot));
        let look = Look::new(Theme::Night, Sizes::default());
        let presses = Rc::new(RefCell::new(Vec::new()));
        let taken = Rc::clone(&presses);
        let mut harness = window(size, 1.0, move |ui| {
            gauges_ui(ui, &view, &look, &mut taken.borrow_mut());
        });
        for name in [
            "mic, outside micrometer, 0 to 25 mm, step 0.001 mm, MPE 2.0 µm",
            "2 live, open",
            "20.009 mm, live, not recorded",
            "01 94 83 0A 11: bad check",
            "Enter take a value",
            "calibration overdue for 3 days",
        ] {
            assert!(
                harness.query_by_label_contains(name).is_some(),
                "{size:?}: {name}"
            );
        }
        harness.get_by_label("5 zero").click();
        harness.run_steps(2);
        harness
            .query_by_label_contains("caliper, caliper")
            .unwrap()
            .click();
        harness.run_steps(2);
        assert_eq!(*presses.borrow(), [Press::Digit('5'), Press::Choose(1)]);
    }
}

#[test]
fn every_size_is_survived() {
    let snapshot = session();
    for (page, facts) in [
        (Page::Live, live_facts()),
        (Page::Teach, teach_facts()),
        (Page::Facts, facts()),
    ] {
        for size in [
            [1.0, 1.0],
            [30.0, 900.0],
            [900.0, 30.0],
            [480.0, 320.0],
            [599.0, 240.0],
        ] {
            let view = seen(&room(0, page), &facts, Some(&snapshot));
            let look = Look::new(Theme::Day, Sizes::default());
            let harness = window(size, 1.0, move |ui| {
                gauges_ui(ui, &view, &look, &mut Vec::new());
            });
            drop(harness);
        }
    }
}
