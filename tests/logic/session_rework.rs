//! `--advance rework`: what can still be cut waits for its next measurement, which repeats nothing
//! from before the cut; what is good, or lost, moves on.

use fitledger::gauge::{CheckEnd, CheckOutcome, GaugeId};
use fitledger::journal::{Event, SessionOpened, VerdictGiven};
use fitledger::session::{Advance, Command, Incoming, PartState, check_reading, next_action};

use crate::support::bench::{Bench, feature, plan, word};

/// Limits of ISO 286-2:2010: k6 over 18 to 30 +15 and +2 µm; h6 over 10 to 18 0 and -11 µm.
fn opened() -> SessionOpened {
    let text = feature("A", "20 k6", "points = 2\ngauge = [\"mic\"]")
        + &feature("B", "15 h6", "gauge = [\"mic\"]");
    SessionOpened {
        advance_rework: true,
        ..plan(&text)
    }
}

fn bench() -> Bench {
    Bench::new(opened())
}

/// Where the reading went and what it came to.
fn went(bench: &mut Bench, text: &str) -> String {
    let events = bench.events("mic", text);
    let last = events.last().unwrap();
    let place = match last {
        Event::VerdictGiven(verdict) => &verdict.place,
        Event::ReadingHeld { place, .. } => place,
        other => panic!("{other:?}"),
    };
    format!(
        "{}{}.{} {}",
        place.part,
        place.feature,
        place.point,
        word(last)
    )
}

fn all(bench: &mut Bench, readings: &[(&str, &str)]) {
    for (text, expected) in readings {
        assert_eq!(went(bench, text), *expected, "{text}");
    }
}

fn last_verdict(bench: &Bench) -> &VerdictGiven {
    let verdicts = bench.told.iter().rev().find_map(|event| match event {
        Event::VerdictGiven(verdict) => Some(verdict),
        _ => None,
    });
    verdicts.unwrap()
}

fn states(bench: &Bench) -> Vec<PartState> {
    bench
        .state()
        .parts()
        .iter()
        .map(|part| part.state())
        .collect()
}

#[test]
fn what_can_be_cut_is_measured_until_it_is_good_and_then_the_part_moves_on() {
    let mut bench = bench();
    all(
        &mut bench,
        &[("20.008", "1A.1 inside"), ("20.009", "1A.2 GO")],
    );
    assert_eq!(went(&mut bench, "15.030"), "1B.1 NO-GO metal_on");
    assert_eq!(states(&bench), [PartState::Open]);
    let said = next_action(bench.state());
    assert_eq!(
        said,
        "Part 1: take metal off B (15 h6), then measure it again."
    );
    all(
        &mut bench,
        &[("15.012", "1B.1 NO-GO metal_on"), ("14.995", "1B.1 GO")],
    );
    // Another size than before the cut: nothing is averaged, and nothing disagrees.
    let verdict = last_verdict(&bench);
    assert_eq!((verdict.from.len(), verdict.notes.as_slice()), (1, &[][..]));
    assert_eq!(states(&bench), [PartState::Go]);
    // A point of several: it alone waits, and the next point comes after it.
    all(
        &mut bench,
        &[
            ("20.040", "2A.1 NO-GO metal_on"),
            ("20.010", "2A.1 inside"),
            ("20.031", "2A.2 NO-GO metal_on"),
            ("20.008", "2A.2 GO"),
            ("14.994", "2B.1 GO"),
            ("20.008", "3A.1 inside"),
        ],
    );
    assert_eq!(states(&bench)[..2], [PartState::Go; 2]);
    bench.check();
}

#[test]
fn what_is_lost_moves_on_and_nobody_waits_for_a_cut_on_it() {
    let mut bench = bench();
    all(
        &mut bench,
        &[
            ("19.990", "1A.1 NO-GO metal_gone"),
            ("20.031", "1A.2 NO-GO metal_on"),
            ("15.030", "1B.1 NO-GO metal_on"),
            ("20.008", "2A.1 inside"),
            // Cut too deep after it could still be cut.
            ("20.031", "2A.2 NO-GO metal_on"),
            ("19.995", "2A.2 NO-GO metal_gone"),
            ("14.995", "2B.1 GO"),
            // In doubt: nothing can be cut for sure, so it moves on as it is.
            ("20.0146", "3A.1 DOUBT"),
            ("20.008", "3A.2 DOUBT"),
            ("14.995", "3B.1 GO"),
            ("20.008", "4A.1 inside"),
        ],
    );
    let expected = [PartState::NoGo, PartState::NoGo, PartState::Doubt];
    assert_eq!(states(&bench)[..3], expected);
    bench.check();
}

#[test]
fn a_slip_is_held_as_ever_and_judges_nothing() {
    let mut bench = bench();
    all(
        &mut bench,
        &[
            ("20.008", "1A.1 inside"),
            ("20.009", "1A.2 GO"),
            ("15.030", "1B.1 NO-GO metal_on"),
            // More metal than before the cut: tilted, or no cut at all.
            ("15.090", "1B.1 held metal_grown"),
        ],
    );
    let again: Vec<String> = bench.events("mic", "14.995").iter().map(word).collect();
    assert_eq!(again[1..], ["reading_set_aside", "reading_assigned", "GO"]);
    all(
        &mut bench,
        &[
            ("20.040", "2A.1 NO-GO metal_on"),
            // The gauge is on the other seat, where nothing is asked yet.
            ("14.995", "2A.1 held other_characteristic"),
        ],
    );
    // Two that agree show nothing: a person says.
    bench.events("mic", "14.995");
    assert!(bench.state().bench().held.is_some());
    let (belongs, reason) = (false, String::new());
    let answer = Command::AnswerHeld { belongs, reason };
    bench.asks(answer.clone());
    bench.asks(answer);
    assert_eq!(went(&mut bench, "20.010"), "2A.1 inside");
    // A far one is held although metal would have to come off.
    all(&mut bench, &[("20.400", "2A.2 held far")]);
    bench.check();
}

#[test]
fn after_the_cut_a_repeat_repeats_what_was_read_since_and_a_void_leaves_it_open() {
    let mut bench = bench();
    all(
        &mut bench,
        &[
            ("20.008", "1A.1 inside"),
            ("20.009", "1A.2 GO"),
            ("15.030", "1B.1 NO-GO metal_on"),
            ("14.995", "1B.1 GO"),
        ],
    );
    bench.asks(Command::RepeatPoint);
    assert_eq!(went(&mut bench, "14.996"), "1B.1 GO");
    assert_eq!(last_verdict(&bench).from.len(), 2);
    // One of the two is left; then none, and not what was read before the cut.
    let events = bench.void(None);
    let [_, Event::VerdictGiven(left)] = events.as_slice() else {
        panic!("{events:?}")
    };
    assert_eq!(left.value_at_20, 14_995_000);
    assert_eq!(bench.void(None).len(), 1);
    assert_eq!(states(&bench), [PartState::Open]);
    assert_eq!(went(&mut bench, "14.994"), "1B.1 GO");
    bench.check();
}

#[test]
fn a_plug_that_does_not_go_is_asked_again_after_the_cut() {
    let text = feature("A", "20 H7", "elements = [\"go_plug\", \"no_go_plug\"]");
    let mut bench = Bench::new(SessionOpened {
        advance_rework: true,
        ..plan(&text)
    });
    let mut tries = |end: CheckEnd, outcome: CheckOutcome| {
        let reading = check_reading(end, outcome, &GaugeId::new("typed"), "+");
        let taken = bench.take(vec![Incoming::Reading(reading)]);
        let Some(Event::VerdictGiven(verdict)) = taken.recorded.last().map(|one| &one.event) else {
            panic!("{taken:?}")
        };
        let told = word(&Event::VerdictGiven(verdict.clone()));
        format!("{}{} {told}", verdict.place.part, verdict.place.element)
    };
    let (go, no_go) = (CheckEnd::Go, CheckEnd::NoGo);
    let (goes, does_not) = (CheckOutcome::Goes, CheckOutcome::DoesNot);
    assert_eq!(tries(go, does_not), "1go_plug NO-GO metal_on");
    assert_eq!(tries(go, goes), "1go_plug GO");
    assert_eq!(tries(no_go, goes), "1no_go_plug NO-GO metal_gone");
    assert_eq!(tries(go, goes), "2go_plug GO");
}

#[test]
fn the_other_ways_are_as_they_were() {
    // Sorted: the next reading is of the next part.
    let sorted = SessionOpened {
        advance_always: true,
        advance_rework: false,
        ..opened()
    };
    let mut bench = Bench::new(sorted);
    all(
        &mut bench,
        &[
            ("20.008", "1A.1 inside"),
            ("20.009", "1A.2 GO"),
            ("15.030", "1B.1 NO-GO metal_on"),
            ("20.008", "2A.1 inside"),
        ],
    );
    assert_eq!(states(&bench)[0], PartState::NoGo);
    // Only GO: the next one is a repeat of the same size, and the two disagree.
    let careful = SessionOpened {
        advance_rework: false,
        ..opened()
    };
    let mut bench = Bench::new(careful);
    all(
        &mut bench,
        &[
            ("20.008", "1A.1 inside"),
            ("20.009", "1A.2 GO"),
            ("15.030", "1B.1 NO-GO metal_on"),
            ("14.995", "1B.1 DOUBT"),
        ],
    );
    assert_eq!(bench.state().setup().advance, Advance::Go);
    bench.check();
}
