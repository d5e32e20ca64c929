//! What the Bench shows of a session, by value.
//!
//! Limits by hand from the tables of ISO 286-2 (from memory): 20 k6 is +15 and +2 µm (20.002 to
//! 20.015), 15 h6 is 0 and -11 µm, 20 H7 is +21 and 0 µm. `mic` has MPE 2 µm, step 1 µm and
//! repeatability 0.5 µm: u² = 2²/3 + 0.5²/3 + 0.5² = 1.6667 µm², u = 1.291 µm, U = 2.582 µm.

#![allow(clippy::unwrap_used)]

use fitledger::gauge::GaugeId;
use fitledger::quantity::{Celsius, Length};
use fitledger::session::{Command, Incoming, Message, Snapshot, Unrecorded};
use fitledger::window::desk::{Desk, Form, Menu, Mode};
use fitledger::window::view::{BenchView, Mark, bench_view, choices, clean};

use crate::support::bench::{Bench, feature, plan, typed, typed_angle};
use crate::support::cruel_disk::{CruelDisk, Fault, Plan};
use crate::support::scenes::{GROWING, batch_of};
use crate::support::shown::{shown, shown_with, snapshot};

fn shaft(more: &str) -> Bench {
    Bench::new(plan(&feature("A", "20 k6", more)))
}

/// A seat, a smaller seat, and something in a second setting.
fn three() -> Bench {
    let text = feature("A", "20 k6", "name = \"bearing seat, left\"")
        + &feature("B", "15 h6", "name = \"collar\"")
        + &feature("C", "20 H7", "setting = 2");
    let mut opened = plan(&text);
    opened.parts = Some(12);
    Bench::new(opened)
}

/// A shaft of stainless steel, 16.5e-6 per kelvin (the materials table's row of 1.4301).
fn stainless(more: &str) -> Bench {
    let text = feature("A", "20 k6", more);
    Bench::new(plan(&format!("material = \"1.4301\"\n{text}")))
}

fn warm(bench: &mut Bench, milli: i32) {
    let part = Some(Celsius::from_milli(milli));
    bench.asks(Command::SetTemperature { part, gauge: None });
}

/// Word, side and value of the verdict block.
fn block(view: &BenchView) -> (&str, &str, &str) {
    let verdict = &view.verdict;
    (&verdict.word, &verdict.side, &verdict.value)
}

fn states(view: &BenchView) -> Vec<&str> {
    view.rows.iter().map(|row| row.state.as_str()).collect()
}

fn choose(feature: &str) -> Command {
    let (feature, element) = (feature.to_owned(), String::new());
    Command::ChooseCharacteristic { feature, element }
}

/// The desk after Enter: the last answer has been looked at.
fn left(bench: &Bench) -> Desk {
    Desk {
        left: bench.state().latest_answer().unwrap().1.sequence,
        ..Desk::default()
    }
}

#[test]
fn before_its_first_reading_the_bench_says_what_to_measure_and_nothing_else() {
    let view = shown(&three());
    assert_eq!(block(&view), ("", "", ""));
    assert_eq!(view.verdict.mark, Mark::Open);
    assert_eq!(
        view.action,
        "Measure A, Ø20 k6, bearing seat, left (20.002 to 20.015)."
    );
    assert_eq!(view.subject.callout, "Ø20 k6");
    assert_eq!(view.subject.limits, "20.002 to 20.015");
    assert_eq!(states(&view), ["now", "open", "open"]);
    let bar = view.bar.unwrap();
    assert_eq!((bar.value, bar.target), (None, None));
    assert_eq!(view.header.part, "part 1 of 12");
    assert_eq!(view.verdict.spoken(), "Nothing measured yet.");
}

#[test]
fn a_form_says_what_to_turn_and_what_would_settle_a_doubt() {
    let keys = "form = \"roundness\"\nof = \"A\"\nlobes = 3";
    let text = feature("A", "20 k6", "") + &feature("O", "0.02 max", keys);
    let mut bench = Bench::new(plan(&text));
    bench.reads("20.008");
    let action = shown_with(&bench, &left(&bench)).action;
    assert!(
        action.contains("turn A about its own axis, one turn"),
        "{action}"
    );
    assert!(action.contains("O, 0.02 max"), "{action}");
    // Half of what two faces show; of three lobes they show nothing.
    assert_eq!(bench.reads("0.004"), "DOUBT");
    let view = shown(&bench);
    assert_eq!((block(&view).0, block(&view).2), ("DOUBT", "0.002"));
    assert!(
        !block(&view).1.contains('%'),
        "nobody knows a chance: {:?}",
        block(&view)
    );
    assert_eq!(view.action, "Turn it in a V-block under an indicator.");
    assert_eq!(view.rows[1].callout, "0.02 max roundness");
    let desk = Desk {
        is_why: true,
        ..Desk::default()
    };
    let why = format!("{:?}", shown_with(&bench, &desk).why.unwrap());
    assert!(
        why.contains("what the way of measuring makes of the width"),
        "{why}"
    );
    assert!(why.contains("Turn it in a V-block"), "{why}");
}

#[test]
fn each_verdict_has_its_word_its_side_and_its_action() {
    // (reading, word, side, action); 20.014: chance = Φ((20.015 - 20.014) / 1.291 µm) = Φ(0.775)
    // = 0.781 by the table of the normal distribution.
    let cases = [
        (
            "20.008",
            "GO",
            "",
            "Part 1 is GO. Take part 2 and measure A",
        ),
        (
            "20.046",
            "NO-GO",
            "metal on",
            "Take 0.037 off the diameter: cut 0.018 deep.",
        ),
        (
            "19.990",
            "NO-GO",
            "metal gone",
            "Stop. Metal is gone: concession or scrap.",
        ),
        (
            "20.014",
            "DOUBT",
            "78 % chance of being inside",
            "Zero on a standard of about 20.014 mm, or use a gauge of U 1.2 µm at most.",
        ),
    ];
    for (reading, word, side, action) in cases {
        let mut bench = shaft("");
        bench.reads(reading);
        let view = shown(&bench);
        assert_eq!(block(&view), (word, side, reading));
        assert!(
            view.action.starts_with(action),
            "{reading}: {}",
            view.action
        );
        assert_eq!(view.verdict.uncertainty, "U 2.6 µm (k = 2)");
        assert_eq!(view.verdict.shown, "", "nothing was corrected");
    }
}

#[test]
fn a_bore_has_its_metal_on_the_other_side_and_a_length_has_none() {
    let mut bore = Bench::new(plan(&feature("A", "20 H7", "")));
    bore.reads("19.970");
    assert_eq!(block(&shown(&bore)), ("NO-GO", "metal on", "19.970"));
    // To the middle of what is proved, 20.0105: 0.0405 on the diameter, 0.02025 deep.
    let action = "Open the bore by 0.040: cut 0.020 deep.";
    assert_eq!(shown(&bore).action, action);
    let mut bore = Bench::new(plan(&feature("A", "20 H7", "")));
    bore.reads("20.030");
    assert_eq!(block(&shown(&bore)), ("NO-GO", "metal gone", "20.030"));

    let text = feature("A", "62 ±0.1", "surface = \"length\"");
    for (reading, side, action) in [
        (
            "62.25",
            "above",
            "Stop. It is 0.150 too large: rework, concession or scrap.",
        ),
        (
            "61.80",
            "below",
            "Stop. It is 0.100 too small: rework, concession or scrap.",
        ),
    ] {
        let mut length = Bench::new(plan(&text));
        length.reads_with("caliper", reading);
        let view = shown(&length);
        assert_eq!(block(&view), ("NO-GO", side, reading));
        assert_eq!(view.action, action);
        assert_eq!(view.subject.callout, "62 ±0.1", "no sign of a diameter");
    }
}

#[test]
fn deviation_is_the_value_less_the_middle_in_micrometres() {
    // The middle of 20 k6 is 20.0085.
    for (reading, deviation) in [
        ("20.010", "+1.5 µm from the middle"),
        ("20.007", "−1.5 µm from the middle"),
        ("20.0085", "0.0 µm from the middle"),
    ] {
        let mut bench = shaft("");
        bench.reads(reading);
        assert_eq!(shown(&bench).verdict.deviation, deviation);
    }
    let mut bench = Bench::new(plan(&feature("A", "20 max", "surface = \"outside\"")));
    bench.reads("19.990");
    assert_eq!(shown(&bench).verdict.deviation, "−10.0 µm from the limit");
}

#[test]
fn cutting_says_what_comes_off_and_where_the_cut_aims() {
    let mut bench = shaft("");
    bench.asks(Command::SwitchCutting(true));
    bench.reads("20.046");
    let view = shown(&bench);
    assert_eq!(block(&view), ("CUTTING", "metal on", "20.046"));
    assert_eq!(view.verdict.mark, Mark::Cutting);
    assert_eq!(view.verdict.deviation, "+37.5 µm from the middle");
    assert_eq!(view.verdict.uncertainty, "U 2.6 µm (k = 2)");
    // 37.5 µm to the middle, 18.75 µm deep; shown whole, never more than there is.
    assert_eq!(view.action, "Take 0.037 off the diameter: cut 0.018 deep.");
    let bar = view.bar.unwrap();
    assert_eq!(bar.target, bar.middle, "the plan aims at the middle");
    assert_eq!(view.rows[0].mark, Mark::Cutting);
    assert_eq!(view.rows[0].state, "now");
    // With a dial of 0.005 on the radius the depth is a whole number of its steps.
    let mut opened = plan(&feature("A", "20 k6", ""));
    opened.dial = "radius 0.005".to_owned();
    let mut bench = Bench::new(opened);
    bench.asks(Command::SwitchCutting(true));
    bench.reads("20.046");
    assert_eq!(
        shown(&bench).action,
        "Take 0.037 off the diameter: cut 0.015 deep, 0.015 on the dial."
    );
}

#[test]
fn the_cut_aims_toward_metal_where_the_plan_says_so() {
    let mut bench = shaft("aim = \"toward_metal\"");
    bench.asks(Command::SwitchCutting(true));
    bench.reads("20.046");
    let bar = shown(&bench).bar.unwrap();
    let target = bar.target.unwrap();
    // The right edge of the GO zone: the metal-on limit less the guard.
    let go = bar.zones.iter().find(|zone| zone.label == "GO").unwrap();
    assert!((target - go.to).abs() < 1e-4, "{target} {}", go.to);
}

#[test]
fn a_warm_part_shows_its_size_at_20_and_what_the_gauge_must_show() {
    let mut bench = stainless("");
    bench.asks(Command::SwitchCutting(true));
    warm(&mut bench, 31_000);
    bench.reads("20.050");
    let view = shown(&bench);
    // 20.050 / (1 + 16.5e-6 × 11) = 20.046362; 20.0085 × 1.0001815 = 20.012132.
    assert_eq!(block(&view), ("CUTTING", "metal on", "20.046"));
    assert_eq!(
        view.verdict.shown,
        "gauge shows 20.050; for the middle it must show 20.012"
    );
    // 37.862 µm.
    assert_eq!(view.verdict.deviation, "+37.9 µm from the middle");
    assert_eq!(view.header.temperature, "part 31.0 °C");
}

#[test]
fn a_value_beyond_its_limit_is_not_rounded_to_look_inside() {
    let mut bench = stainless("");
    warm(&mut bench, 22_000);
    bench.reads("20.016");
    let view = shown(&bench);
    // 20.016 / (1 + 33e-6) = 20.015339: with three decimals it would stand on the limit 20.015.
    assert_eq!(view.verdict.value, "20.0153");
    assert_ne!(view.verdict.word, "GO");
}

#[test]
fn a_comparator_shows_deviations_from_its_ring() {
    let mut bench = Bench::new(plan(&feature("A", "20 H7", "")));
    bench.reads_with("comparator", "0.012");
    let view = shown(&bench);
    assert_eq!(block(&view), ("GO", "", "20.012"));
    // The ring is 20.000 and the middle 20.0105: half to even at the step of 0.001.
    assert_eq!(
        view.verdict.shown,
        "gauge shows 0.012; for the middle it must show +0.010"
    );
}

#[test]
fn what_is_known_of_no_gauge_is_said() {
    let mut bench = shaft("");
    bench.reads_with("unheard-of", "20.008");
    let view = shown(&bench);
    assert_eq!(view.verdict.uncertainty, "uncertainty not considered");
    assert_eq!(view.verdict.word, "GO");
    let zones: Vec<&str> = view
        .bar
        .as_ref()
        .unwrap()
        .zones
        .iter()
        .map(|z| z.label.as_str())
        .collect();
    assert_eq!(
        zones,
        ["metal gone", "GO", "metal on"],
        "no guard without u"
    );
}

#[test]
fn a_go_keeps_its_place_while_the_action_names_what_comes_next() {
    let mut bench = three();
    bench.reads("20.008");
    let view = shown(&bench);
    assert_eq!(block(&view), ("GO", "", "20.008"));
    assert_eq!(view.subject.callout, "Ø20 k6");
    assert_eq!(view.action, "Next: B, Ø15 h6, collar (14.989 to 15.000).");
    assert_eq!(states(&view), ["GO", "now", "open"]);
    // Left with Enter, the block is about what is measured now.
    let view = shown_with(&bench, &left(&bench));
    assert_eq!(block(&view), ("", "", ""));
    assert_eq!(view.subject.callout, "Ø15 h6");
    assert_eq!(view.action, "Measure B, Ø15 h6, collar (14.989 to 15.000).");
    // Another characteristic chosen leaves it too.
    bench.asks(choose("C"));
    let view = shown(&bench);
    assert_eq!(view.subject.callout, "Ø20 H7");
    assert_eq!(view.verdict.word, "");
    assert_eq!(states(&view), ["GO", "open", "now"]);
    // The next answer is shown although an older one was left.
    let mut desk = left(&bench);
    bench.reads("20.012");
    assert_eq!(shown_with(&bench, &desk).verdict.word, "GO");
    desk.left = 0;
    assert_eq!(shown_with(&bench, &desk).subject.callout, "Ø20 H7");
}

#[test]
fn settings_and_what_is_open_in_them_are_named() {
    let mut bench = three();
    let headings: Vec<Option<String>> = shown(&bench).rows.into_iter().map(|r| r.setting).collect();
    let named = |name: &str| Some(name.to_owned());
    assert_eq!(headings, [named("setting 1"), None, named("setting 2")]);
    bench.reads("20.008");
    bench.reads("14.995");
    assert_eq!(
        shown(&bench).action,
        "Setting 2 is next: C, Ø20 H7 (20.000 to 20.021)."
    );
    // Chosen out of order: D is still open in the setting that the part is clamped in, and B,
    // which would come next by the list, is not of it.
    let text = feature("A", "20 k6", "")
        + &feature("B", "15 h6", "")
        + &feature("C", "20 H7", "setting = 2")
        + &feature("D", "18 h6", "setting = 2");
    let mut bench = Bench::new(plan(&text));
    bench.reads("20.008");
    bench.asks(choose("C"));
    bench.reads("20.012");
    assert_eq!(
        shown(&bench).action,
        "Before the part leaves setting 2: still open D."
    );
    assert_eq!(
        shown(&shaft("")).rows[0].setting,
        None,
        "one setting needs no name"
    );
}

#[test]
fn a_settled_part_is_named_with_its_state() {
    let mut bench = three();
    for reading in ["20.008", "14.995", "20.012"] {
        bench.reads(reading);
    }
    assert_eq!(
        shown(&bench).action,
        "Part 1 is GO. Take part 2 and measure A, Ø20 k6, bearing seat, left (20.002 to 20.015)."
    );
    assert_eq!(states(&shown(&bench)), ["GO", "GO", "GO"]);
    let mut opened = plan(&feature("A", "20 k6", ""));
    opened.parts = Some(1);
    let mut bench = Bench::new(opened);
    bench.reads("20.008");
    assert_eq!(
        shown(&bench).action,
        "Part 1 is GO. All parts have been measured."
    );
    // The last answer stays, for nothing is left to measure.
    assert_eq!(shown_with(&bench, &left(&bench)).verdict.word, "GO");
    let reason = "done".to_owned();
    bench.asks(Command::Close { reason });
    assert_eq!(shown(&bench).action, "The session is closed.");
}

#[test]
fn points_are_inside_until_the_last_and_then_go_with_their_form() {
    let mut bench = shaft("points = 3");
    bench.reads("20.008");
    assert_eq!(shown(&bench).verdict.word, "inside, 1 of 3");
    bench.reads("20.011");
    let view = shown(&bench);
    assert_eq!(view.verdict.word, "inside, 2 of 3");
    assert_eq!(view.verdict.mark, Mark::Inside);
    assert_eq!(view.action, "Measure point 3 of 3 of A at another place.");
    let at: Vec<bool> = view.points.iter().map(|point| point.is_current).collect();
    assert_eq!(at, [false, false, true]);
    bench.reads("20.006");
    let view = shown(&bench);
    assert_eq!(view.verdict.word, "GO");
    // 20.011 - 20.006 = 5 µm.
    assert_eq!(
        view.form,
        "smallest 20.006 at point 3, largest 20.011 at point 2: 5.0 µm apart"
    );
    let extremes: Vec<&str> = view.points.iter().map(|p| p.extreme.as_str()).collect();
    assert_eq!(extremes, ["", "largest", "smallest"]);
    assert_eq!(view.points[0].value, "20.008");
    // Away from the characteristic, the list says how far it is.
    let text = feature("A", "20 k6", "points = 3") + &feature("B", "15 h6", "");
    let mut bench = Bench::new(plan(&text));
    bench.reads("20.008");
    bench.reads("20.008");
    bench.asks(choose("B"));
    assert_eq!(states(&shown(&bench)), ["2 of 3", "now"]);
}

#[test]
fn a_worse_point_elsewhere_is_named_and_not_this_points_chance() {
    let mut opened = plan(&feature("A", "20 k6", "points = 2"));
    opened.advance_always = true;
    let mut bench = Bench::new(opened.clone());
    bench.reads("19.990");
    bench.reads("20.008");
    let view = shown(&bench);
    assert_eq!(
        block(&view),
        ("NO-GO", "another point is beyond its limit", "20.008")
    );
    assert_eq!(
        view.action,
        "Stop. Metal is gone at point 1: concession or scrap."
    );
    assert_eq!(view.verdict.notes, ["Worst at point 1."]);
    let mut bench = Bench::new(opened);
    bench.reads("20.014");
    bench.reads("20.008");
    let view = shown(&bench);
    assert_eq!(
        block(&view),
        ("DOUBT", "another point is in doubt", "20.008")
    );
    assert_eq!(
        view.action,
        "Point 1 is in doubt: measure it with a better gauge."
    );
}

/// What can be cut is cut, and measured again, where the session waits for it; where it does not,
/// the part is put aside, and nobody is sent to cut.
#[test]
fn what_can_be_cut_is_told_as_the_session_goes_on() {
    let text = feature("A", "20 k6", "") + &feature("B", "15 h6", "");
    let bench_with = |always: bool, rework: bool| {
        let mut opened = plan(&text);
        (opened.advance_always, opened.advance_rework) = (always, rework);
        let mut bench = Bench::new(opened);
        bench.reads("20.030");
        bench
    };
    let left = |bench: &Bench| {
        let desk = Desk {
            left: bench.recorder.head().seq,
            ..Desk::default()
        };
        shown_with(bench, &desk).action
    };
    let rework = bench_with(false, true);
    let cut = "Take 0.021 off the diameter: cut 0.010 deep.";
    let action = shown(&rework).action;
    assert_eq!(action, format!("{cut} Then measure it again."));
    assert_eq!(left(&rework), "Take metal off A, then measure A again.");
    assert_eq!(states(&shown(&rework)), ["now", "open"]);
    let always = bench_with(true, false);
    let aside = "Metal is still on: put aside. Next: B, Ø15 h6 (14.989 to 15.000).";
    assert_eq!(shown(&always).action, aside);
    // So it is where only the next point is measured.
    let mut opened = plan(&feature("A", "20 k6", "points = 2"));
    opened.advance_always = true;
    let mut points = Bench::new(opened);
    points.reads("20.030");
    let aside = "Metal is still on: put aside. Measure point 2 of 2 of A at another place.";
    assert_eq!(shown(&points).action, aside);
    let go = bench_with(false, false);
    assert_eq!(shown(&go).action, cut);
    assert_eq!(left(&go), "Measure A, Ø20 k6 (20.002 to 20.015).");
}

#[test]
fn a_held_reading_shows_what_came_and_asks() {
    let mut bench = shaft("");
    assert!(bench.reads("0.7877").starts_with("held"));
    bench.events("plain-mic", "20.008");
    bench.events("plain-mic", "20.009");
    // Left with Enter or not, it stays until it is answered.
    let desk = Desk {
        left: 1_000,
        ..Desk::default()
    };
    let view = shown_with(&bench, &desk);
    assert_eq!(block(&view), ("held", "", "0.7877"));
    assert_eq!(view.verdict.mark, Mark::Held);
    let question = view.question.unwrap();
    assert_eq!(question.title, "0.7877 mm is held");
    assert!(
        question.lines[0].contains("Inch taken for millimetre"),
        "{:?}",
        question.lines
    );
    let keys: Vec<(char, &str)> = question
        .answers
        .iter()
        .map(|a| (a.key, a.text.as_str()))
        .collect();
    assert_eq!(keys, [('+', "it belongs here"), ('-', "set it aside")]);
    assert_eq!(question.waiting, "2 more readings wait, recorded");
    assert!(question.is_alarm);
    assert!(
        view.action.ends_with("Does the reading belong here?"),
        "{}",
        view.action
    );
    let keys: Vec<&str> = view.keys.iter().map(|key| key.key.as_str()).collect();
    assert_eq!(keys, ["+", "-"]);
    let (belongs, reason) = (false, String::new());
    bench.asks(Command::AnswerHeld { belongs, reason });
    let view = shown(&bench);
    assert_eq!(view.question, None);
    // The readings that waited were judged: the second of them on the second part.
    assert_eq!(block(&view), ("GO", "", "20.009"));
}

#[test]
fn not_recorded_is_unmistakable_whatever_the_verdict_was() {
    let disk = CruelDisk::default();
    let mut bench = Bench::on(disk.clone(), plan(&feature("A", "20 k6", ""))).unwrap();
    assert_eq!(bench.reads("20.008"), "GO");
    let mut before = snapshot(&bench);
    before.unrecorded = Some(Unrecorded {
        cause: "The disk is full.".to_owned(),
        hint: "Make room, then press Enter.".to_owned(),
        count: 2,
        readings: vec!["20.011".to_owned(), "20.010".to_owned()],
    });
    let view = bench_view(&before, &Desk::default(), 0);
    assert_eq!(block(&view), ("NOT RECORDED", "2 readings", "20.011"));
    assert_eq!(view.verdict.mark, Mark::NotRecorded);
    assert_eq!(
        view.verdict.notes,
        ["The disk is full.", "Make room, then press Enter."]
    );
    assert_eq!(view.action, "Make room, then press Enter.");
    assert_eq!(
        view.status.journal.text,
        "NOT RECORDED: 2 readings. The disk is full. Make room, then press Enter."
    );
    assert!(!view.status.journal.is_recorded);
    assert_eq!(view.bar, None, "no place is claimed for it");
    assert_eq!(view.verdict.deviation, "");
}

#[test]
fn a_disk_that_fails_is_seen_through_the_session_too() {
    // Every call from the tenth on fails.
    let plan_of_disk = Plan {
        at: 10,
        fault: Fault::Errno(28),
        persistent: true,
    };
    let disk = CruelDisk::failing(plan_of_disk);
    let mut bench = Bench::on(disk, plan(&feature("A", "20 k6", ""))).unwrap();
    for reading in ["20.008", "20.009", "20.010", "20.007"] {
        bench.take(vec![Incoming::Reading(typed("mic", reading))]);
    }
    assert!(bench.recorder.has_failed());
    let view = shown(&bench);
    assert_eq!(block(&view).0, "NOT RECORDED");
    assert_eq!(view.verdict.value, "20.007", "the latest that came");
}

#[test]
fn the_status_line_says_where_it_is_recorded_and_how_the_gauges_are() {
    let mut opened = plan(&feature("A", "20 k6", ""));
    opened.sources[1].source = "serial:/dev/ttyUSB0".to_owned();
    opened.sources[2].source = "simulated:7".to_owned();
    let mut bench = Bench::new(opened);
    bench.reads("20.008");
    let text = |bench: &Bench, now_ms: u64| {
        let view = bench_view(&snapshot(bench), &Desk::default(), now_ms);
        let gauges = view.status.gauges.into_iter();
        gauges
            .map(|gauge| (gauge.text, gauge.is_ready))
            .collect::<Vec<_>>()
    };
    let view = shown(&bench);
    // Line 1 opens the session; then part, received, assigned, verdict.
    assert_eq!(
        view.status.journal.text,
        "recorded: event 5 in session.jsonl"
    );
    assert_eq!(view.status.caution, "Stop the spindle before you measure");
    assert_eq!(text(&bench, 0)[0], ("mic: typed".to_owned(), true));
    assert_eq!(
        text(&bench, 0)[1],
        ("caliper: no sign of it yet".to_owned(), false)
    );
    assert_eq!(
        text(&bench, 0)[2],
        ("comparator: simulated".to_owned(), true)
    );
    let told = |bench: &mut Bench, state: &str| {
        let (gauge, state, detail) = ("caliper".to_owned(), state.to_owned(), String::new());
        let event = fitledger::journal::Event::GaugeStateChanged {
            gauge,
            state,
            detail,
        };
        bench.take(vec![Incoming::Notice(event)]);
    };
    told(&mut bench, "attached");
    assert_eq!(
        text(&bench, bench.now_ms)[1],
        ("caliper: ready".to_owned(), true)
    );
    told(&mut bench, "unplugged");
    let later = bench.now_ms + 120_000;
    assert_eq!(
        text(&bench, later)[1],
        ("caliper: unplugged 2 min ago".to_owned(), false)
    );
    let (gauge, count, code) = ("caliper".to_owned(), 12, "bad_frame".to_owned());
    let event = fitledger::journal::Event::GarbageCounted { gauge, count, code };
    bench.take(vec![Incoming::Notice(event)]);
    told(&mut bench, "attached");
    assert_eq!(
        text(&bench, later)[1],
        (
            "caliper: ready, 12 frames were no readings".to_owned(),
            true
        )
    );
}

#[test]
fn a_message_is_shown_until_an_answer_is_newer() {
    let mut bench = shaft("");
    bench.reads("20.046");
    let with = |bench: &Bench, after: u64| -> Snapshot {
        let text = "The gauge sent a state and no value.".to_owned();
        let message = Some(Message {
            after,
            number: 1,
            text,
        });
        Snapshot {
            message,
            ..snapshot(bench)
        }
    };
    let seen = |snapshot: &Snapshot, desk: &Desk| bench_view(snapshot, desk, 0).status.message;
    let told = with(&bench, snapshot(&bench).head);
    let desk = Desk::default();
    assert_eq!(
        seen(&told, &desk).as_deref(),
        Some("The gauge sent a state and no value.")
    );
    let after = snapshot(&bench).head;
    bench.reads("20.008");
    assert_eq!(seen(&with(&bench, after), &desk), None);
    let desk = Desk {
        fault: Some("Two decimal markers.".to_owned()),
        ..desk
    };
    assert_eq!(seen(&told, &desk).as_deref(), Some("Two decimal markers."));
}

#[test]
fn the_part_temperature_has_an_age_and_lapses() {
    let mut bench = stainless("");
    let at = |bench: &Bench, now_ms| {
        bench_view(&snapshot(bench), &Desk::default(), now_ms)
            .header
            .temperature
    };
    assert_eq!(at(&bench, 0), "part temperature not known");
    warm(&mut bench, 31_000);
    let entered = bench.now_ms;
    assert_eq!(at(&bench, entered + 59_000), "part 31.0 °C");
    assert_eq!(at(&bench, entered + 180_000), "part 31.0 °C, 3 min old");
    assert_eq!(at(&bench, entered + 600_000), "part 31.0 °C, 10 min old");
    assert_eq!(at(&bench, entered + 600_001), "part temperature has lapsed");
}

/// They are entered together, so they have one age and lapse together; the limits of ten minutes
/// as above.
#[test]
fn the_gauge_temperature_stands_beside_the_part_s_and_lapses_with_it() {
    let degrees = |milli| Some(Celsius::from_milli(milli));
    let cases = [
        (
            degrees(31_000),
            degrees(21_500),
            "part 31.0 °C, gauge 21.5 °C",
            "part and gauge temperature have lapsed",
        ),
        (
            None,
            degrees(21_500),
            "part not known, gauge 21.5 °C",
            "gauge temperature has lapsed, part temperature not known",
        ),
    ];
    for (part, gauge, known, lapsed) in cases {
        let mut bench = stainless("");
        bench.asks(Command::SetTemperature { part, gauge });
        let entered = bench.now_ms;
        let at = |age_ms| {
            bench_view(&snapshot(&bench), &Desk::default(), entered + age_ms)
                .header
                .temperature
        };
        assert_eq!(at(59_000), known);
        assert_eq!(at(180_000), format!("{known}, 3 min old"));
        assert_eq!(at(600_000), format!("{known}, 10 min old"));
        assert_eq!(at(600_001), lapsed);
    }
}

/// Readings of one point, ten seconds apart, each `step_nm` beyond the one before.
fn drifting(start: &str, step_nm: i64) -> Bench {
    let mut bench = shaft("");
    let first = Length::parse_mm(start).unwrap();
    for at in 0..9 {
        bench.now_ms += 9_000;
        let size = first + Length::from_nm(step_nm) * at;
        bench.reads(&size.to_mm());
    }
    bench
}

#[test]
fn a_part_that_still_cools_is_warned_of_and_left_to_cool_before_it_is_judged_again() {
    // A micrometre every ten seconds is 6 µm a minute; readings that disagree are DOUBT.
    let mut bench = drifting("20.0150", -1_000);
    let warning = "Still cooling: the readings shrink by 6 µm in the last minute.";
    let view = shown(&bench);
    assert_eq!(view.verdict.warning, warning);
    assert_eq!(view.verdict.word, "DOUBT");
    assert!(
        view.verdict
            .notes
            .iter()
            .all(|note| !note.contains("cooling"))
    );
    assert!(view.verdict.spoken().contains(warning));
    assert_eq!(
        view.action,
        "Let the part cool until its readings stay the same, then measure again."
    );
    // It is of the verdict at hand: the next part's is another.
    bench.asks(Command::StartNextPart);
    assert_eq!(shown(&bench).verdict.warning, "");

    let view = shown(&drifting("20.0020", 1_000));
    let warning = "Still warming: the readings grow by 6 µm in the last minute.";
    assert_eq!(view.verdict.warning, warning);
    // Readings that stay say nothing.
    assert_eq!(shown(&drifting("20.0080", 0)).verdict.warning, "");
}

#[test]
fn the_header_names_part_drawing_and_who_measures() {
    let text = format!(
        "drawing = \"GP-07\"\nrevision = \"B\"\n{}",
        feature("A", "20 k6", "")
    );
    let header = shown(&Bench::new(plan(&text))).header;
    assert_eq!(header.part_name, "Pump shaft");
    assert_eq!(header.drawing, "GP-07 rev B");
    assert_eq!(header.operator, "Ada");
    assert_eq!(header.part, "part 1");
}

#[test]
fn a_characteristic_left_out_by_sampling_says_so() {
    let text = feature("A", "20 k6", "") + &feature("B", "15 h6", "every = 2");
    let mut bench = Bench::new(plan(&text));
    for reading in ["20.008", "14.995", "20.008"] {
        bench.reads(reading);
    }
    let view = shown(&bench);
    assert_eq!(states(&view), ["GO", "not selected"]);
    assert_eq!(view.rows[1].mark, Mark::NotSelected);
    assert!(
        view.action.starts_with("Part 2 is GO. Take part 3"),
        "{}",
        view.action
    );
}

#[test]
fn doubts_that_have_another_cause_have_another_remedy() {
    // Nobody gave the temperature of a long part: ± 5 K on 200 mm of stainless steel is
    // 200 × 16.5e-6 × 2.887 K = 9.5 µm, far more than the caliper's 30 µm / √3 = 17 µm on a
    // tolerance of a tenth; so the micrometer of nothing but its step is asked.
    let gauge = "[[gauge]]\nid = \"long\"\nkind = \"outside_micrometer\"\nrange = [175, 200]\n\
                 resolution = 0.001\nmpe = 0.002\n";
    let mut opened = plan(&format!(
        "material = \"1.4301\"\n{}",
        feature("A", "200 h6", "surface = \"outside\"")
    ));
    opened.gauges.push_str(gauge);
    let mut bench = Bench::new(opened);
    // 200 h6: 199.971 to 200.000.
    assert_eq!(bench.reads_with("long", "199.998"), "DOUBT");
    assert_eq!(
        shown(&bench).action,
        "Give the part temperature (T), then measure again."
    );
    let mut bench = shaft("gauge = [\"plain-mic\"]");
    assert_eq!(bench.reads("20.008"), "DOUBT");
    let view = shown(&bench);
    assert_eq!(
        view.action,
        "Measure it with plain-mic, which may prove it."
    );
    assert_eq!(view.verdict.notes, ["This gauge may rough, not prove."]);
    let mut opened = plan(&feature("A", "20 k6", ""));
    opened.rule = "guard 2".to_owned();
    let mut bench = Bench::new(opened);
    assert_eq!(bench.reads_with("unheard-of", "20.008"), "DOUBT");
    assert_eq!(
        shown(&bench).action,
        "Give the error of the gauge in the register, or measure with another."
    );
}

#[test]
fn readings_that_disagree_are_named_and_a_mean_is_called_one() {
    let mut bench = shaft("");
    // 20.014 is DOUBT; the next one is a repeat of it. 2.8 × 0.5 µm = 1.4 µm is their limit.
    bench.reads("20.014");
    bench.reads("20.015");
    let view = shown(&bench);
    assert!(
        view.verdict
            .notes
            .contains(&"The value is the mean of 2 readings.".to_owned()),
        "{:?}",
        view.verdict.notes
    );
    assert_eq!(view.verdict.shown, "", "a mean is no correction");
    bench.reads("20.008");
    let view = shown(&bench);
    assert_eq!(view.verdict.notes[0], "Readings disagree.");
    assert!(
        view.action.contains("void the wrong one"),
        "{}",
        view.action
    );
}

#[test]
fn no_size_can_be_proved_with_a_gauge_that_is_too_coarse() {
    let mut bench = shaft("");
    bench.reads_with("caliper", "20.01");
    let view = shown(&bench);
    let bar = view.bar.unwrap();
    assert!(
        bar.zones.iter().all(|zone| zone.label != "GO"),
        "{:?}",
        bar.zones
    );
    assert_eq!(view.verdict.value, "20.01");
    let note = "No size can be proved with this gauge: its doubt is wider than the tolerance.";
    assert!(
        view.verdict.notes.contains(&note.to_owned()),
        "{:?}",
        view.verdict.notes
    );
}

#[test]
fn the_last_points_stay_as_ticks_and_not_the_present_one() {
    let mut bench = shaft("");
    for at in 0..12 {
        bench.reads(&format!("20.0{:02}", 5 + at % 6));
    }
    let view = shown(&bench);
    let bar = view.bar.unwrap();
    assert_eq!(bar.last.len(), 8);
    // The eleventh reading, 20.009, is the newest tick: 0.22 + 0.34 × 7 / 13.
    let newest = bar.last[7];
    assert!((newest - 0.403_076_9).abs() < 1e-5, "{newest}");
}

#[test]
fn an_angle_has_degrees_and_no_side() {
    let mut bench = Bench::new(plan(&feature("A", "30° ±0.5°", "")));
    bench.take(vec![Incoming::Reading(typed_angle("protractor", "30°15'"))]);
    let view = shown(&bench);
    assert_eq!(view.verdict.unit, "°");
    assert_eq!(view.verdict.value, "30.25");
    assert_eq!(view.verdict.deviation, "+0°15' from the middle");
    assert_eq!(view.subject.limits, "29.5° to 30.5°");
    assert_eq!(view.bar.unwrap().direction, "smaller");
    assert_eq!(view.subject.callout, "30° ±0.5°");
}

#[test]
fn one_limit_alone_has_a_bar_too() {
    let mut bench = Bench::new(plan(&feature("A", "20 max", "surface = \"outside\"")));
    bench.reads("19.990");
    let view = shown(&bench);
    let bar = view.bar.unwrap();
    assert_eq!(bar.ticks.len(), 1);
    assert_eq!(bar.middle, None);
    let labels: Vec<&str> = bar.zones.iter().map(|zone| zone.label.as_str()).collect();
    assert_eq!(labels, ["GO", "", "metal on"]);
    assert_eq!(view.subject.limits, "at most 20.000");
}

#[test]
fn typing_and_forms_show_what_is_typed_and_what_is_wrong_with_it() {
    let bench = shaft("");
    let desk = Desk {
        mode: Mode::Typing {
            text: "20.0".to_owned(),
            gauge: GaugeId::new("mic"),
        },
        fault: Some("Two decimal markers.".to_owned()),
        ..Desk::default()
    };
    let view = shown_with(&bench, &desk);
    let entry = view.verdict.entry.unwrap();
    assert_eq!(
        (entry.text.as_str(), entry.what.as_str()),
        ("20.0", "reading of mic")
    );
    assert_eq!(entry.fault, "Two decimal markers.");
    let keys: Vec<&str> = view.keys.iter().map(|key| key.does.as_str()).collect();
    assert_eq!(keys, ["take", "correct", "drop"]);
    let desk = Desk {
        mode: Mode::Filling {
            form: Form::Temperature,
            text: "31".to_owned(),
        },
        ..Desk::default()
    };
    let view = shown_with(&bench, &desk);
    assert_eq!(view.verdict.entry.unwrap().what, "part temperature, °C");
    assert_eq!(view.question.unwrap().title, "Part temperature");
}

#[test]
fn every_list_of_choices_says_what_its_keys_do() {
    let mut bench = three();
    bench.reads("20.008");
    let seen = |bench: &Bench, menu: Menu| {
        let choices = choices(menu, &snapshot(bench));
        choices
            .into_iter()
            .map(|(key, text)| format!("{key} {text}"))
            .collect::<Vec<_>>()
    };
    assert_eq!(
        seen(&bench, Menu::Bench),
        [
            "1 cutting",
            "2 part temperature",
            "3 why",
            "4 glance",
            "5 part out of the chuck",
            "6 tool changed",
            "7 offset given",
            "8 who measures",
            "9 look",
            "0 close the session",
        ]
    );
    assert_eq!(
        seen(&bench, Menu::VoidReasons),
        [
            "1 gauge was tilted",
            "2 chip or dirt between",
            "3 not that feature",
            "4 typed wrong",
            "5 part was moving or warm",
            "0 other, in words",
        ]
    );
    bench.asks(Command::SwitchCutting(true));
    bench.asks(Command::TakeOut);
    let after = seen(&bench, Menu::Bench);
    assert_eq!(
        (after[0].as_str(), after[4].as_str()),
        ("1 cutting is over", "5 part back in the chuck")
    );
    for menu in [Menu::TakeOut, Menu::NextPart, Menu::Look, Menu::Close] {
        let desk = Desk {
            mode: Mode::Choosing(menu),
            ..Desk::default()
        };
        let question = shown_with(&bench, &desk).question.unwrap();
        let keys: Vec<char> = question.answers.iter().map(|answer| answer.key).collect();
        let table: Vec<char> = choices(menu, &snapshot(&bench))
            .iter()
            .map(|(key, _)| *key)
            .collect();
        assert_eq!(keys, table, "{menu:?}");
        assert_eq!(question.is_alarm, menu != Menu::Look, "{menu:?}");
    }
    let desk = |menu| Desk {
        mode: Mode::Choosing(menu),
        ..Desk::default()
    };
    let lines = |menu| shown_with(&bench, &desk(menu)).question.unwrap().lines;
    // The simulated hand has its own two keys, where there is one.
    let mut simulated = snapshot(&bench);
    simulated.is_playing = Some(false);
    let keys: Vec<char> = choices(Menu::Bench, &simulated)
        .iter()
        .map(|(key, _)| *key)
        .collect();
    assert_eq!(keys.iter().rev().take(2).collect::<Vec<_>>(), [&'*', &'+']);
    assert_eq!(lines(Menu::TakeOut), ["Still open in this setting: B."]);
    assert_eq!(lines(Menu::NextPart), ["Still open on part 1: B, C."]);
}

#[test]
fn the_chart_has_the_worst_point_of_each_part_and_the_last_reading() {
    let mut opened = plan(&feature("A", "20 k6", "points = 2"));
    opened.parts = Some(12);
    let mut bench = Bench::new(opened);
    // Worst: 20.005 (3 µm inside) and not 20.009 (6 µm inside).
    for reading in ["20.009", "20.005"] {
        bench.reads(reading);
    }
    bench.asks(Command::SwitchCutting(true));
    bench.reads("20.046");
    let chart = shown(&bench).chart;
    assert_eq!(chart.span, "parts 1 to 12");
    let at: Vec<(f32, Mark)> = chart
        .points
        .iter()
        .map(|point| (point.x, point.mark))
        .collect();
    assert_eq!(at.len(), 2);
    assert_eq!((at[0].1, at[1].1), (Mark::Go, Mark::Cutting));
    assert!(
        at[0].0.abs() < 1e-6 && (at[1].0 - 1.0 / 11.0).abs() < 1e-6,
        "{at:?}"
    );
    // The limits stand at 0.8 and 0.2; 3 of 13 µm above the lower: 0.8 - 0.6 × 3 / 13.
    assert!(
        (chart.points[0].y - 0.661_538).abs() < 1e-5,
        "{:?}",
        chart.points
    );
    assert!(
        chart.points[1].y < 0.1,
        "far beyond, but still on the chart"
    );
    assert_eq!(chart.upper.unwrap(), (0.2, "20.015".to_owned()));
}

#[test]
fn the_key_strip_has_the_keys_that_do_something_now() {
    let keys = |bench: &Bench, desk: &Desk| {
        let view = shown_with(bench, desk);
        let keys = view.keys.into_iter();
        keys.map(|key| format!("{} {}", key.key, key.does))
            .collect::<Vec<_>>()
    };
    let mut opened = plan(&feature("A", "20 k6", ""));
    opened.parts = Some(2);
    let mut bench = Bench::new(opened);
    let fresh = [
        "0-9 type",
        "C cutting",
        "T temperature",
        "G glance",
        "D decide",
        ". more",
    ];
    assert_eq!(keys(&bench, &Desk::default()), fresh);
    bench.reads("20.008");
    assert_eq!(
        keys(&bench, &Desk::default()),
        [
            "0-9 type",
            "Enter next",
            "Backspace void last",
            "W why",
            "C cutting",
            "/ next part",
            "* repeat point",
            "T temperature",
            "G glance",
            "D decide",
            ". more",
        ]
    );
    let desk = left(&bench);
    assert!(keys(&bench, &desk).contains(&"Enter next part".to_owned()));
    bench.reads("20.008");
    let last = keys(&bench, &Desk::default());
    assert!(!last.contains(&"/ next part".to_owned()), "{last:?}");
}

#[test]
fn a_warm_part_of_doubt_is_left_to_cool_when_its_temperature_is_what_costs() {
    // 200 h6 is 199.971 to 200.000; at 40 °C the expansion alone is uncertain by far more than
    // the gauge, so nothing else helps.
    let gauge = "[[gauge]]\nid = \"long\"\nkind = \"outside_micrometer\"\nrange = [175, 200]\n\
                 resolution = 0.001\nmpe = 0.002\n";
    let mut opened = plan(&format!(
        "material = \"1.4301\"\n{}",
        feature("A", "200 h6", "surface = \"outside\"")
    ));
    opened.gauges.push_str(gauge);
    let mut bench = Bench::new(opened);
    warm(&mut bench, 40_000);
    assert_eq!(bench.reads_with("long", "200.060"), "DOUBT");
    assert_eq!(
        shown(&bench).action,
        "Let the part cool to the temperature of the gauge, then measure again."
    );
}

#[test]
fn a_part_out_of_the_chuck_is_not_forgotten() {
    let mut bench = three();
    bench.reads("20.008");
    bench.asks(Command::TakeOut);
    let view = shown_with(&bench, &left(&bench));
    assert_eq!(
        view.action,
        "The part is out of the chuck: put it back, or measure B, Ø15 h6, collar (14.989 to \
         15.000) there."
    );
}

/// Every text of the view that stands on the screen.
fn texts(view: &BenchView) -> Vec<String> {
    let mut all = vec![
        view.header.temperature.clone(),
        view.subject.limits.clone(),
        view.form.clone(),
        view.action.clone(),
        view.chart.spoken.clone(),
        view.verdict.spoken(),
    ];
    all.extend(view.points.iter().map(|point| point.spoken()));
    all.extend(
        view.bar
            .iter()
            .flat_map(|bar| bar.ticks.iter().map(|tick| tick.label.clone())),
    );
    for limit in [&view.chart.upper, &view.chart.lower] {
        all.extend(limit.iter().map(|(_, label)| label.clone()));
    }
    if let Some(question) = &view.question {
        all.push(question.spoken());
    }
    if let Some(why) = &view.why {
        all.push(why.title.clone());
        for line in why.limits.iter().chain(&why.corrections).chain(&why.rule) {
            all.extend([line.what.clone(), line.value.clone()]);
        }
        all.extend(
            why.budget
                .iter()
                .flat_map(|bar| [bar.what.clone(), bar.value.clone()]),
        );
        all.push(why.total.clone());
        all.extend(why.remedies.clone());
    }
    all
}

#[test]
fn the_marker_of_the_setting_stands_in_every_number_and_no_ascii_minus() {
    let desk = Desk {
        marker: ',',
        is_why: true,
        ..Desk::default()
    };
    let mut bench = stainless("points = 2");
    warm(&mut bench, 31_000);
    for reading in ["20.008", "20.018", "0.7877"] {
        bench.take(vec![Incoming::Reading(typed("mic", reading))]);
        let view = shown_with(&bench, &desk);
        for text in texts(&view) {
            let letters: Vec<char> = text.chars().collect();
            for three in letters.windows(3) {
                let digits = three[0].is_ascii_digit() && three[2].is_ascii_digit();
                assert!(!(digits && three[1] == '.'), "{text}");
                let minus = three[0] == ' ' && three[1] == '-' && three[2].is_ascii_digit();
                assert!(!minus, "{text}");
            }
        }
        assert!(
            texts(&view).iter().any(|text| text.contains("20,0")),
            "{reading}"
        );
    }
}

#[test]
fn names_cannot_hide_or_turn_a_text_nor_fill_the_screen() {
    assert_eq!(clean("seat\nleft"), "seat\\u{a}left");
    assert_eq!(clean("GO\u{202e}ON"), "GO\\u{202e}ON");
    assert_eq!(clean("a\u{200b}b\u{1b}[2J"), "a\\u{200b}b\\u{1b}[2J");
    assert_eq!(clean("20\u{fffc}k6"), "20\\u{fffc}k6");
    let long = clean(&"x".repeat(5_000));
    assert_eq!(long.chars().count(), 201);
    assert!(long.ends_with('…'));
    let name = format!("name = \"{}\\u202E\"", "n".repeat(3_000));
    let view = shown(&shaft(&name));
    assert_eq!(view.subject.name.chars().count(), 201);
    assert!(
        view.action.ends_with("(20.002 to 20.015)."),
        "the limits stay in sight"
    );
}

#[test]
fn a_typed_reading_stands_beside_the_limits_of_the_place_that_it_goes_to() {
    let features = [feature("A", "20 k6", ""), feature("B", "25 h9", "")].concat();
    let mut bench = Bench::new(plan(&features));
    assert_eq!(bench.reads("20.0080"), "GO");
    let typing = Desk {
        mode: Mode::Typing {
            text: "24.9".to_owned(),
            gauge: fitledger::gauge::GaugeId::new("mic"),
        },
        ..Desk::default()
    };
    let snapshot = snapshot(&bench);
    let before = bench_view(&snapshot, &Desk::default(), snapshot.now_ms);
    assert_eq!(before.subject.callout, "Ø20 k6");
    let view = bench_view(&snapshot, &typing, snapshot.now_ms);
    // ISO 286-2: 25 h9 is 24.948 to 25.000.
    assert_eq!(
        (view.subject.callout.as_str(), view.subject.limits.as_str()),
        ("Ø25 h9", "24.948 to 25.000")
    );
    assert_eq!(view.verdict.entry.unwrap().text, "24.9");
}

#[test]
fn a_signal_stands_at_the_part_that_caused_it_with_what_to_do() {
    let (ten, bench) = (batch_of(&GROWING[..10]), batch_of(&GROWING));
    let before = shown(&ten).chart;
    assert!(before.points.iter().all(|point| !point.is_signal));
    assert!(!before.note.contains("signals"), "{}", before.note);
    let chart = shown(&bench).chart;
    let marked: Vec<bool> = chart.points.iter().map(|point| point.is_signal).collect();
    assert_eq!(marked.iter().filter(|marked| **marked).count(), 1);
    assert_eq!(marked.last(), Some(&true));
    let note = "Part 11 signals: 6 in a row steadily up or down (test 3)";
    assert!(chart.note.starts_with(note), "{}", chart.note);
    assert!(chart.spoken.contains(note), "{}", chart.spoken);
    // The mean is 20.007 182, the mean moving range 1.8 µm: three deviations are
    // 3 * 1.8/1.128 379 = 4.786 µm. The limits, 13 µm apart, stand at 0.8 and 0.2.
    let control = chart.control.unwrap();
    let place = |um: f32| 0.8 - (um - 2.0) / 13.0 * 0.6;
    assert!(
        (control.upper - place(7.182 + 4.786)).abs() < 1e-3,
        "{control:?}"
    );
    assert!(
        (control.lower - place(7.182 - 4.786)).abs() < 1e-3,
        "{control:?}"
    );
    assert!(control.from.abs() < 1e-6, "{control:?}");
    // A new tool: its parts have a row of their own, and no old signal is told again.
    let mut bench = bench;
    let note = "new insert".to_owned();
    bench.asks(Command::ChangeTool { note });
    bench.reads("20.006");
    let chart = shown(&bench).chart;
    assert_eq!((chart.note.as_str(), chart.points.len()), ("", 12));
    assert!((chart.control.unwrap().from - 11.0 / 15.0).abs() < 1e-6);
    // A voided reading takes its signal with it.
    let mut bench = batch_of(&GROWING);
    bench.void(None);
    assert!(
        shown(&bench)
            .chart
            .points
            .iter()
            .all(|point| !point.is_signal)
    );
}

#[test]
fn control_limits_are_for_means_which_stand_beside_the_worst_points() {
    let mut bench = shaft("points = 2");
    for _ in 0..9 {
        for value in ["20.007", "20.010"] {
            bench.reads(value);
        }
    }
    let chart = shown(&bench).chart;
    // The middle is 20.008 5 = the mean of both; the worst point is the nearer to a limit.
    assert!(
        chart
            .points
            .iter()
            .all(|point| point.mean.is_some_and(|y| (y - 0.5).abs() < 1e-5))
    );
    assert!(chart.points.iter().all(|point| (point.y - 0.5).abs() > 0.0));
    let single = shown(&batch_of(&GROWING)).chart;
    assert!(single.points.iter().all(|point| point.mean.is_none()));
}
