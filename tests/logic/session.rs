//! What each reading and each request does at the bench, one rule a test.

use fitledger::gauge::GaugeId;
use fitledger::journal::{Event, Outcome};
use fitledger::measure::VerdictWord;
use fitledger::quantity::Length;
use fitledger::session::{Command, End, Incoming, PartState};

use crate::support::bench::{Bench, feature, moment_at, plan, typed, word};

/// `20 k6`: 20.002 to 20.015 (ISO 286-2:2010 table for k6 over 18 to 30: +15 and +2 µm).
fn shaft(more: &str) -> Bench {
    Bench::new(plan(&feature("A", "20 k6", more)))
}

fn two_features(more: &str) -> Bench {
    let text = feature("A", "20 k6", "") + &feature("B", "15 h6", more);
    Bench::new(plan(&text))
}

fn choose(feature: &str) -> Command {
    let (feature, element) = (feature.to_owned(), String::new());
    Command::ChooseCharacteristic { feature, element }
}

fn answer(belongs: bool) -> Command {
    let reason = String::new();
    Command::AnswerHeld { belongs, reason }
}

fn kinds(events: &[Event]) -> Vec<&str> {
    events.iter().map(Event::kind).collect()
}

#[test]
fn a_reading_is_recorded_then_assigned_then_judged() {
    let mut bench = shaft("");
    let events = bench.events("mic", "20.008");
    let expected = [
        "reading_received",
        "part_started",
        "reading_assigned",
        "verdict_given",
    ];
    assert_eq!(kinds(&events), expected);
    assert_eq!(
        (word(&events[3]).as_str(), bench.ends()),
        ("GO", vec![End::Judged])
    );
    bench.check();
}

#[test]
fn only_go_moves_on_and_every_reading_does_when_so_wished() {
    let mut bench = two_features("");
    assert_eq!(bench.reads("20.030"), "NO-GO metal_on");
    assert_eq!(bench.state().current_place().unwrap().1.feature, "A");
    bench.void(None);
    assert_eq!(bench.reads("20.008"), "GO");
    assert_eq!(bench.state().current_place().unwrap().1.feature, "B");
    // So it is with points: the first is asked again before the second.
    let mut bench = shaft("points = 2");
    assert_eq!(bench.reads("20.030"), "NO-GO metal_on");
    assert_eq!(bench.state().current_place().unwrap().1.point, 1);
    let text = feature("A", "20 k6", "") + &feature("B", "15 h6", "");
    let mut always = plan(&text);
    always.advance_always = true;
    let mut bench = Bench::new(always);
    assert_eq!(bench.reads("20.030"), "NO-GO metal_on");
    assert_eq!(bench.reads("14.995"), "GO");
    assert_eq!(
        bench.state().current_part().unwrap().state(),
        PartState::NoGo
    );
    // A settled part starts the next.
    assert_eq!(bench.reads("20.008"), "GO");
    assert_eq!(bench.state().parts().len(), 2);
    bench.check();
}

#[test]
fn no_go_word_before_the_last_point_and_both_extremes_must_be_inside() {
    let mut bench = shaft("points = 3");
    assert_eq!(bench.reads("20.008"), "inside");
    assert_eq!(bench.reads("20.009"), "inside");
    assert_eq!(
        bench.state().current_part().unwrap().state(),
        PartState::Open
    );
    let last = bench.verdict("mic", "20.006");
    assert_eq!(last.outcome, Outcome::Verdict(VerdictWord::Go));
    let sentence = fitledger::session::answer_sentence(
        bench.state(),
        &Event::VerdictGiven(std::sync::Arc::new(last)),
    );
    let expected = "smallest 20.006 at point 3, largest 20.009 at point 2";
    assert_eq!(sentence.as_deref(), Some(expected));
    // With all readings settling, a bad point keeps the whole from GO, and is named.
    let mut opened = plan(&feature("A", "20 k6", "points = 3"));
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    assert_eq!(bench.reads("20.030"), "NO-GO metal_on");
    assert_eq!(bench.reads("20.008"), "inside");
    let last = bench.verdict("mic", "20.008");
    assert_eq!(last.outcome, Outcome::Verdict(VerdictWord::NoGo));
    assert_eq!(last.notes, ["worst_at_point_1"]);
    bench.check();
}

#[test]
fn a_bad_point_measured_again_leaves_no_shadow_on_the_others() {
    let mut opened = plan(&feature("A", "20 k6", "points = 2"));
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    assert_eq!(bench.reads("20.030"), "NO-GO metal_on");
    assert_eq!(
        bench.verdict("mic", "20.008").outcome,
        Outcome::Verdict(VerdictWord::NoGo)
    );
    let first = bench.readings()[0];
    bench.void(Some(first));
    let again = bench.verdict("mic", "20.007");
    assert_eq!(
        (again.place.point, again.outcome),
        (1, Outcome::Verdict(VerdictWord::Go))
    );
    assert_eq!(bench.state().current_part().unwrap().state(), PartState::Go);
    bench.check();
}

#[test]
fn repeats_that_agree_are_averaged_and_only_a_study_makes_u_smaller() {
    // A third of the permissible error says when readings disagree, but shrinks nothing.
    for (gauge, shrinks) in [("mic", true), ("plain-mic", false)] {
        let mut bench = shaft("");
        let first = bench.verdict(gauge, "20.002");
        assert_eq!(
            first.outcome,
            Outcome::Verdict(VerdictWord::Doubt),
            "{gauge}"
        );
        let second = bench.verdict(gauge, "20.003");
        assert_eq!(second.value_at_20, 20_002_500, "{gauge}");
        assert_eq!(second.from, bench.readings());
        assert_eq!(second.u.unwrap() < first.u.unwrap(), shrinks, "{gauge}");
        bench.check();
    }
}

#[test]
fn repeats_that_disagree_are_doubt_until_one_is_voided() {
    // 2.8 s_r = 1.4 µm, and never finer than the step.
    let mut bench = shaft("");
    assert_eq!(bench.reads("20.030"), "NO-GO metal_on");
    for _ in 0..3 {
        let verdict = bench.verdict("mic", "20.008");
        assert_eq!(verdict.outcome, Outcome::Verdict(VerdictWord::Doubt));
        assert_eq!(verdict.notes, ["readings_disagree"]);
    }
    let first = bench.readings()[0];
    let events = bench.void(Some(first));
    assert_eq!(kinds(&events), ["reading_voided", "verdict_given"]);
    let Event::VerdictGiven(verdict) = &events[1] else {
        panic!()
    };
    assert_eq!(verdict.outcome, Outcome::Verdict(VerdictWord::Go));
    assert_eq!(verdict.from, bench.readings()[1..]);
    bench.check();
}

#[test]
fn a_voided_reading_never_counts_again() {
    let mut bench = shaft("points = 2");
    assert_eq!(bench.reads("20.008"), "inside");
    assert_eq!(bench.reads("20.008"), "GO");
    let (first, second) = (bench.readings()[0], bench.readings()[1]);
    bench.void(Some(first));
    assert_eq!(
        bench.state().current_part().unwrap().state(),
        PartState::Open
    );
    assert_eq!(bench.state().current_place().unwrap().1.point, 1);
    let reason = "again".to_owned();
    let voided = Command::VoidReading {
        reading: Some(first),
        reason,
    };
    assert_eq!(bench.refuses(voided), "no_such_reading");
    let reason = "  ".to_owned();
    let voided = Command::VoidReading {
        reading: Some(second),
        reason,
    };
    assert_eq!(bench.refuses(voided), "reason_missing");
    let verdict = bench.verdict("mic", "20.009");
    assert_eq!((verdict.from.len(), verdict.place.point), (1, 1));
    assert_eq!(verdict.outcome, Outcome::Verdict(VerdictWord::Go));
    bench.check();
}

#[test]
fn while_cutting_the_latest_counts_and_cutting_is_said_on_the_metal_side_only() {
    let mut bench = shaft("");
    bench.asks(Command::SwitchCutting(true));
    let events = bench.events("mic", "20.208");
    let Some(Event::CuttingNoted { left, depth, .. }) = events.last() else {
        panic!()
    };
    // Down to the middle of 20.002 to 20.015, and half of that deep.
    assert_eq!(*left, Length::parse_mm("0.1995").unwrap());
    assert_eq!(*depth, Some(Length::parse_mm("0.09975").unwrap()));
    assert_eq!(bench.reads("20.108"), "cutting_noted");
    let go = bench.verdict("mic", "20.008");
    assert_eq!(
        (go.outcome, go.from.len()),
        (Outcome::Verdict(VerdictWord::Go), 1)
    );
    bench.asks(choose("A"));
    let again = bench.verdict("mic", "20.010");
    assert_eq!(
        again.from.len(),
        1,
        "the size changes, so the latest counts"
    );
    assert_eq!(
        bench.asks(Command::SwitchCutting(true)),
        Vec::new(),
        "it is on already"
    );
    // Metal gone is a verdict, cutting or not.
    assert_eq!(bench.reads("19.990"), "NO-GO metal_gone");
    bench.check();
}

#[test]
fn voiding_a_superseded_reading_while_cutting_leaves_the_latest_in_force() {
    let mut bench = shaft("points = 2");
    bench.asks(Command::SwitchCutting(true));
    assert_eq!(bench.reads("20.008"), "inside");
    bench.asks(choose("A"));
    assert_eq!(bench.reads("19.990"), "NO-GO metal_gone");
    assert_eq!(bench.reads("20.009"), "GO");
    let wrong = bench.readings()[1];
    let events = bench.void(Some(wrong));
    assert_eq!(kinds(&events), ["reading_voided", "verdict_given"]);
    assert_eq!(bench.state().current_part().unwrap().state(), PartState::Go);
    bench.check();
}

#[test]
fn a_gauge_that_is_not_listed_may_rough_and_reject_but_not_prove() {
    let mut bench = shaft("gauge = [\"mic\"]");
    bench.asks(Command::SwitchCutting(true));
    assert_eq!(bench.reads_with("plain-mic", "20.208"), "cutting_noted");
    let verdict = bench.verdict("plain-mic", "20.008");
    assert_eq!(verdict.outcome, Outcome::Verdict(VerdictWord::Doubt));
    assert_eq!(verdict.notes, ["gauge_may_not_prove_this"]);
    assert_eq!(bench.reads_with("nobody", "20.008"), "DOUBT");
    assert_eq!(bench.reads_with("plain-mic", "19.980"), "NO-GO metal_gone");
    assert_eq!(bench.reads("20.008"), "GO");
    bench.check();
}

#[test]
fn a_typed_reading_of_a_gauge_in_the_register_has_its_uncertainty() {
    let mut bench = shaft("gauge = [\"plain-mic\"]");
    let verdict = bench.verdict("plain-mic", "20.008");
    assert_eq!(verdict.outcome, Outcome::Verdict(VerdictWord::Go));
    assert!(verdict.u.is_some());
    let setup = bench.state().setup();
    for gauge in ["mic", "comparator", "plain-mic", "ring"].map(GaugeId::new) {
        assert_eq!(
            setup.gauge_index(&gauge).and_then(|at| setup.gauge_id(at)),
            Some(gauge)
        );
    }
    assert_eq!(setup.gauge_index(&GaugeId::new("nobody")), None);
    assert_eq!(setup.gauge_id(999), None);
}

#[test]
fn a_held_reading_keeps_later_ones_waiting_and_they_are_decided_in_order() {
    let mut bench = shaft("points = 3");
    assert_eq!(bench.reads("0.7877"), "held inch_taken_for_millimetre");
    // Of another gauge: of the same one, what fits puts the slip aside (`session_routing`).
    for text in ["20.008", "20.009"] {
        assert_eq!(
            kinds(&bench.events("plain-mic", text)),
            ["reading_received"]
        );
    }
    assert_eq!((bench.state().waiting(), bench.ends()[0]), (2, End::Held));
    let events = bench.asks(answer(false));
    let expected = [
        "reading_set_aside",
        "reading_assigned",
        "verdict_given",
        "reading_assigned",
        "verdict_given",
    ];
    assert_eq!(kinds(&events), expected);
    assert_eq!(bench.ends(), [End::SetAside, End::Judged, End::Judged]);
    assert_eq!(bench.state().current_place().unwrap().1.point, 3);
    assert_eq!(bench.refuses(answer(true)), "nothing_held");
    // It belongs: then it is judged where it would have gone.
    assert_eq!(bench.reads("0.7876"), "held inch_taken_for_millimetre");
    let events = bench.asks(answer(true));
    assert_eq!(kinds(&events), ["reading_assigned", "verdict_given"]);
    assert_eq!(word(&events[1]), "NO-GO metal_gone");
    bench.check();
}

#[test]
fn the_last_value_of_a_comparator_is_a_size_too() {
    let mut bench = Bench::new(plan(&feature("A", "20 H7", "")));
    bench.asks(Command::SwitchCutting(true));
    for text in ["-0.300", "-0.200", "-0.100"] {
        assert_eq!(
            bench.reads_with("comparator", text),
            "cutting_noted",
            "{text}"
        );
    }
    assert_eq!(bench.reads_with("comparator", "-0.300"), "held metal_grown");
    assert_eq!(kinds(&bench.asks(answer(false))), ["reading_set_aside"]);
    assert_eq!(bench.reads_with("comparator", "0.010"), "GO");
    bench.check();
}

#[test]
fn the_same_frame_within_the_debounce_time_is_kept_and_marked() {
    let mut bench = shaft("");
    let start = bench.later();
    let after = |ms: u64| {
        (
            moment_at(start.mono_ms + ms),
            Incoming::Reading(typed("caliper", "20.01")),
        )
    };
    let taken = bench
        .recorder
        .take(vec![after(0), after(299), after(598), after(898)]);
    assert_eq!(taken.failure, None);
    bench.now_ms += 1_000;
    let expected = [End::Judged, End::Repeat, End::Repeat, End::Judged];
    assert_eq!(bench.ends(), expected);
    // Another value at once, and a gauge without a debounce time, are readings of their own.
    let at_once = ["20.02", "20.03"].map(|text| Incoming::Reading(typed("caliper", text)));
    bench.take(at_once.to_vec());
    let twice = vec![Incoming::Reading(typed("mic", "20.008")); 2];
    bench.take(twice);
    assert!(bench.ends()[4..].iter().all(|end| *end == End::Judged));
    bench.check();
}
