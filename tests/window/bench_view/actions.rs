//! The next action: what to measure, to cut, to put aside, and what would settle a doubt.

use fitledger::session::Command;
use fitledger::window::desk::Desk;
use fitledger::window::view::Mark;

use super::{block, choose, left, shaft, states, three};
use crate::support::bench::{Bench, feature, plan};
use crate::support::shown::{shown, shown_with};

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
