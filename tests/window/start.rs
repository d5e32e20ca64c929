//! The Start room, by value: what its field explains, what its lists offer, how few presses stand
//! before the first reading.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::PathBuf;

use fitledger::session::{Begin, BeginError, What};
use fitledger::window::keys::character_press;
use fitledger::window::press::Press;
use fitledger::window::start::{GaugeChoice, GaugeKind, Known, Start, StartAsked, StartFacts};
use fitledger::window::start_view::{StartView, start_view};

fn known(name: &str) -> Known {
    Known {
        path: PathBuf::from(format!("/w/{name}")),
        name: name.to_owned(),
        detail: "yesterday".to_owned(),
    }
}

fn gauge(source: &str, kind: GaugeKind) -> GaugeChoice {
    GaugeChoice {
        source: source.to_owned(),
        name: source.to_owned(),
        detail: String::new(),
        kind,
    }
}

fn facts(gauges: Vec<GaugeChoice>) -> StartFacts {
    StartFacts {
        unfinished: vec![known("2026-11-24-080000-20-k6.jsonl")],
        plans: vec![known("pump-shaft.toml"), known("bush.toml")],
        gauges,
        ..StartFacts::default()
    }
}

fn usual_gauges() -> Vec<GaugeChoice> {
    vec![
        gauge("simulated", GaugeKind::Simulated),
        gauge("far-mic", GaugeKind::Missing),
        gauge("typed", GaugeKind::Typed),
        gauge("serial:/dev/ttyUSB0", GaugeKind::Port),
    ]
}

/// Types; `⏎` Enter, `⌫` Backspace, `␛` Escape, `↑` and `↓`.
fn keys(start: &mut Start, facts: &StartFacts, keys: &str) -> Vec<StartAsked> {
    let mut asked = Vec::new();
    for key in keys.chars() {
        let press = match key {
            '⏎' => Press::Enter,
            '⌫' => Press::Backspace,
            '␛' => Press::Escape,
            '↑' => Press::Up,
            '↓' => Press::Down,
            other => character_press(other),
        };
        asked.extend(start.press(press, facts));
    }
    asked
}

fn begun(asked: &[StartAsked]) -> Vec<&Begin> {
    let begun = asked.iter().filter_map(|one| match one {
        StartAsked::Begin(begin) => Some(begin.as_ref()),
        StartAsked::LookAgain | StartAsked::Mates(_) => None,
    });
    begun.collect()
}

fn seen(start: &Start, facts: &StartFacts) -> StartView {
    start_view(start, facts, '.')
}

#[test]
fn a_callout_and_two_presses_of_enter_stand_before_the_first_reading() {
    let facts = facts(usual_gauges());
    let mut start = Start::default();
    let asked = keys(&mut start, &facts, "20 k6⏎⏎");
    let mut wanted = Begin::new(What::Callouts(vec!["20 k6".to_owned()]));
    wanted.gauges = vec!["serial:/dev/ttyUSB0".to_owned()];
    assert_eq!(begun(&asked), [&wanted]);
}

#[test]
fn the_likeliest_gauge_is_chosen_before_and_a_simulated_one_never() {
    let kinds = [
        GaugeKind::Simulated,
        GaugeKind::Missing,
        GaugeKind::Typed,
        GaugeKind::Port,
        GaugeKind::Attached,
    ];
    for (count, wanted) in [
        (1, None),
        (2, Some(1)),
        (3, Some(2)),
        (4, Some(3)),
        (5, Some(4)),
    ] {
        let some = kinds[..count].iter().map(|kind| gauge("g", *kind));
        assert_eq!(facts(some.collect()).likeliest_gauge(), wanted, "{count}");
    }
    // It may be chosen all the same, by number or arrow, and is named.
    let facts = facts(usual_gauges());
    for choose in ["1⏎", "↑↑↑⏎"] {
        let mut start = Start::default();
        let asked = keys(&mut start, &facts, &format!("20 k6⏎{choose}"));
        assert_eq!(begun(&asked)[0].gauges, ["simulated"], "{choose}");
    }
    let mut start = Start::default();
    assert!(begun(&keys(&mut start, &facts, "20 k6⏎9")).is_empty());
    assert!(seen(&start, &facts).fault.contains('9'));
}

#[test]
fn the_field_explains_itself_while_it_is_typed() {
    let facts = facts(usual_gauges());
    // ISO 286-2:2010: k6 over 18 to 30: +15 and +2 µm; H7 over 18 to 30: +21 and 0.
    for (text, wanted) in [
        ("20 k6", "20.002 to 20.015 mm"),
        ("25 H7", "25.000 to 25.021 mm"),
        ("12 ±0,05", "11.950 to 12.050 mm"),
        // ISO 965-2: D1 of M10-6H 8.376 to 8.676; d of M10x1.25-6g 9.760 to 9.972 (from memory).
        (
            "M10-6H",
            "minor diameter 8.376 to 8.676 mm, GO plug, NO-GO plug",
        ),
        (
            "M10x1,25-6g",
            "major diameter 9.760 to 9.972 mm, GO ring, NO-GO ring",
        ),
        (
            "m10 - 6h",
            "major diameter 9.764 to 10.000 mm, GO ring, NO-GO ring",
        ),
        ("pump-shaft", "plan pump-shaft.toml"),
        ("BUSH.toml", "plan bush.toml"),
        ("1", "go on with 2026-11-24-080000-20-k6.jsonl"),
        ("4", "demonstration"),
        ("other/p.toml", "the plan other/p.toml"),
    ] {
        let mut start = Start::default();
        keys(&mut start, &facts, text);
        let field = seen(&start, &facts).field;
        assert!(field.lines[0].contains(wanted), "{text}: {field:?}");
        assert_eq!(field.wrong_at, None, "{text}");
        assert!(field.is_focused);
    }
    let mut start = Start::default();
    keys(&mut start, &facts, "20 k6; 25 H7");
    assert_eq!(seen(&start, &facts).field.lines.len(), 2);
    let comma = start_view(&start, &facts, ',');
    assert!(comma.field.lines[0].contains("20,002 to 20,015 mm"));
}

#[test]
fn what_is_wrong_is_pointed_at_and_nothing_typed_is_lost() {
    let facts = facts(usual_gauges());
    for (text, at) in [
        ("20 k", 3),
        ("20 qq6", 3),
        ("20 k6; 25 H", 10),
        ("hello", 0),
        // A grade alone is no class; M5.5 has no coarse pitch; 11 mm of pitch is none.
        ("M10-5g", 4),
        ("20 k6; M5.5", 7),
        ("M10x11-6H", 0),
    ] {
        let mut start = Start::default();
        keys(&mut start, &facts, text);
        let field = seen(&start, &facts).field;
        assert_eq!(field.wrong_at, Some(at), "{text}: {field:?}");
        assert!(keys(&mut start, &facts, "⏎⏎").is_empty(), "{text}");
        let shown = seen(&start, &facts);
        assert!(!shown.fault.is_empty(), "{text}");
        assert_eq!((start.text.as_str(), start.gauge), (text, None));
    }
    let mut start = Start::default();
    assert!(keys(&mut start, &facts, "⏎").is_empty());
    assert!(seen(&start, &facts).hint.contains("20 k6"));
}

#[test]
fn sessions_plans_and_the_demonstration_are_opened_by_number_arrow_and_pointing() {
    let facts = facts(usual_gauges());
    let go_on = What::Continue(PathBuf::from("/w/2026-11-24-080000-20-k6.jsonl"));
    let shaft = What::Plan(PathBuf::from("/w/pump-shaft.toml"));
    for (typed, what, gauges) in [
        ("1⏎", go_on.clone(), &[][..]),
        ("↓⏎", go_on, &[]),
        ("2⏎⏎", shaft.clone(), &["serial:/dev/ttyUSB0"]),
        ("↓↓⏎⏎", shaft, &["serial:/dev/ttyUSB0"]),
        ("4⏎", What::Demo, &[]),
        ("↓↓↓↓↓↓↓⏎", What::Demo, &[]),
    ] {
        let mut start = Start::default();
        let asked = keys(&mut start, &facts, typed);
        let mut wanted = Begin::new(what);
        wanted.gauges = gauges.iter().map(|one| (*one).to_owned()).collect();
        assert_eq!(begun(&asked), [&wanted], "{typed}");
    }
    let mut start = Start::default();
    let asked = start.press(Press::Choose(3), &facts);
    assert_eq!(begun(&asked), [&Begin::new(What::Demo)]);
    assert!(start.press(Press::Choose(30), &facts).is_empty());
    // An arrow away from the list leads back to the field, and so does typing.
    let mut start = Start::default();
    keys(&mut start, &facts, "↓↓");
    assert_eq!(start.entry, Some(1));
    keys(&mut start, &facts, "↑↑");
    assert_eq!(start.entry, None);
    keys(&mut start, &facts, "↓2");
    assert_eq!((start.entry, start.text.as_str()), (None, "2"));
}

#[test]
fn a_session_that_cannot_begin_leaves_everything_as_it_was() {
    let facts = facts(usual_gauges());
    let mut start = Start::default();
    keys(&mut start, &facts, "20 k6⏎⏎");
    let error = BeginError::bad(
        "busy",
        "The port is in use.",
        Some("Close the other program."),
    );
    let mut start = start.failed(error);
    let shown = seen(&start, &facts);
    assert_eq!(
        (shown.fault.as_str(), shown.hint.as_str()),
        ("The port is in use.", "Close the other program.")
    );
    assert_eq!(shown.field.text, "20 k6");
    // The port has gone: typed is the likeliest now.
    let mut fewer = facts.clone();
    fewer.gauges.pop();
    start.looked_again(&facts.gauges, &fewer);
    let asked = keys(&mut start, &fewer, "⏎");
    assert_eq!(begun(&asked)[0].gauges, ["typed"]);
    // Backspace leads back to the callout.
    keys(&mut start, &fewer, "⌫");
    assert_eq!((start.gauge, start.text.as_str()), (None, "20 k6"));
}

#[test]
fn a_gauge_that_was_chosen_stays_chosen_when_ports_come_and_go() {
    let all = facts(usual_gauges());
    let mut start = Start::default();
    keys(&mut start, &all, "20 k6⏎3");
    let mut more = all.clone();
    more.gauges.insert(0, gauge("mic-25", GaugeKind::Attached));
    start.looked_again(&all.gauges, &more);
    assert_eq!(begun(&keys(&mut start, &more, "⏎"))[0].gauges, ["typed"]);
    // What was only likely gives way to what is likelier.
    let mut start = Start::default();
    keys(&mut start, &all, "20 k6⏎");
    start.looked_again(&all.gauges, &more);
    assert_eq!(begun(&keys(&mut start, &more, "⏎"))[0].gauges, ["mic-25"]);
}

#[test]
fn a_reading_from_a_device_that_types_begins_nothing() {
    let facts = facts(usual_gauges());
    for before in ["", "20 k6", "20 k6⏎"] {
        let mut start = Start::default();
        keys(&mut start, &facts, before);
        let was = start.clone();
        let asked = start.press(Press::Burst("20.009".to_owned()), &facts);
        assert!(asked.is_empty());
        assert!(seen(&start, &facts).fault.contains("not recorded"));
        start.fault = None;
        assert_eq!(start, was);
    }
}

#[test]
fn very_long_text_and_every_press_are_survived() {
    let facts = facts(usual_gauges());
    let mut start = Start::default();
    start.press(Press::Pasted("é".repeat(100_000)), &facts);
    assert_eq!(start.text.chars().count(), 200);
    assert!(seen(&start, &facts).fault.contains("200"));
    let nothing = StartFacts::default();
    for facts in [&facts, &nothing] {
        let mut start = Start::default();
        let mut random = 7_u64;
        for _ in 0..5_000 {
            random = random
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            let press = match (random >> 33) % 12 {
                0 => Press::Enter,
                1 => Press::Backspace,
                2 => Press::Up,
                3 => Press::Down,
                4 => Press::Escape,
                5 => Press::Digit('3'),
                6 => Press::Choose(2),
                7 => Press::Tab,
                8 => Press::Letter('H'),
                9 => Press::NumLockOff,
                10 => Press::BurstCut("20.".to_owned()),
                _ => Press::Verdict,
            };
            start.press(press, facts);
            let _ = seen(&start, facts);
        }
    }
}

#[test]
fn several_that_are_attached_are_begun_together() {
    let choice = |source: &str| GaugeChoice {
        source: source.to_owned(),
        name: source.to_owned(),
        detail: String::new(),
        kind: GaugeKind::Attached,
    };
    let facts = StartFacts {
        gauges: vec![choice("bound\nfar"), choice("bound"), choice("far")],
        ..StartFacts::default()
    };
    let mut start = Start::default();
    let mut asked = Vec::new();
    for press in ["2", "0", " ", "k", "6"].map(|key| key.chars().next().unwrap()) {
        start.press(fitledger::window::keys::character_press(press), &facts);
    }
    for _ in 0..2 {
        asked = start.press(Press::Enter, &facts);
    }
    let [StartAsked::Begin(begin)] = asked.as_slice() else {
        panic!("{asked:?}")
    };
    assert_eq!(begin.gauges, ["bound", "far"]);
}

#[test]
fn gauges_are_offered_with_what_is_attached_first_in_mind_and_none_is_guessed() {
    use fitledger::gauge::{PortPlace, Register};
    use fitledger::window::app_facts::gauge_choices;
    use fitledger::wire::{PortAccess, SeenPort, UsbIdentity};
    let text = "[[gauge]]\nid = \"bound\"\nkind = \"outside_micrometer\"\nresolution = 0.001\n\
                port = { usb = \"1209:0001:BENCH3\" }\n\
                [[gauge]]\nid = \"far\"\nkind = \"caliper\"\nport = { path = \"/dev/pts/far\" }\n\
                [[gauge]]\nid = \"loose\"\nkind = \"caliper\"\n\
                [[gauge]]\nid = \"ring\"\nkind = \"setting_ring\"\nrange = 20.000\n";
    let register = Register::parse(text, "gauges.toml").unwrap();
    let port = |path: &str, usb: Option<&str>| SeenPort {
        path: path.to_owned(),
        usb: usb.and_then(UsbIdentity::parse),
        product: None,
        access: PortAccess::Free,
    };
    let kinds = |ports: &[SeenPort], is_there: bool| -> Vec<(String, GaugeKind)> {
        let there = |place: &PortPlace| is_there && matches!(place, PortPlace::Path(_));
        let choices = gauge_choices(&register, ports, there);
        choices
            .into_iter()
            .map(|one| (one.source, one.kind))
            .collect()
    };
    let named = |source: &str, kind| (source.to_owned(), kind);
    assert_eq!(
        kinds(&[], false),
        [
            named("bound", GaugeKind::Missing),
            named("far", GaugeKind::Missing),
            named("typed", GaugeKind::Typed),
            named("simulated", GaugeKind::Simulated)
        ]
    );
    let ports = [
        port("/dev/ttyS0", None),
        port("/dev/ttyUSB0", Some("1209:0001:BENCH3")),
    ];
    assert_eq!(
        kinds(&ports, true),
        [
            // Both together, each for what the plan binds it to.
            named("bound\nfar", GaugeKind::Attached),
            named("bound", GaugeKind::Attached),
            named("far", GaugeKind::Attached),
            named("serial:/dev/ttyS0", GaugeKind::PlainPort),
            named("serial:/dev/ttyUSB0", GaugeKind::Port),
            named("typed", GaugeKind::Typed),
            named("loose=serial:/dev/ttyS0", GaugeKind::Unbound),
            named("loose=serial:/dev/ttyUSB0", GaugeKind::Unbound),
            named("simulated", GaugeKind::Simulated)
        ]
    );
    // The computer's own port, with nothing known behind it, is not taken for a gauge.
    let own = gauge_choices(&Register::default(), &ports[..1], |_| false);
    assert_eq!(facts(own).likeliest_gauge(), Some(1), "typed");
}

#[test]
fn a_fault_with_a_picture_for_a_terminal_is_told_by_its_sentence() {
    let picture = "“99” is no tolerance grade.\n  |\n1 | 20k99\n  |   ^\n  = Did you mean k9?";
    let error =
        fitledger::session::BeginError::bad("unknown_class", picture, Some("Did you mean k9?"));
    let fault = fitledger::window::start::StartFault::from(error);
    assert_eq!(fault.message, "“99” is no tolerance grade.");
    assert_eq!(fault.hint, "Did you mean k9?");
}
