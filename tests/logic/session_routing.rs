//! Several gauges at one bench: what each sends goes to the characteristic that the plan binds it
//! to; what is not clear is asked once; a slip is put aside by measuring again.

use fitledger::gauge::GaugeId;
use fitledger::journal::Event;
use fitledger::session::{Command, End, WHICH};

use crate::support::bench::{Bench, feature, plan, word};

/// Limits of ISO 286-2:2010: k6 over 18 to 30 +15 and +2 µm; h6 over 10 to 18 0 and -11 µm.
fn shaft() -> Bench {
    let text = feature("A", "20 k6", "gauge = [\"mic\"]")
        + &feature(
            "B",
            "35 ±0.2",
            "surface = \"length\"\ngauge = [\"caliper\"]",
        )
        + &feature("C", "15 h6", "gauge = [\"mic\"]")
        + &feature("D", "12 h6", "points = 2\ngauge = [\"mic\"]");
    Bench::new(plan(&text))
}

fn kinds(events: &[Event]) -> Vec<&str> {
    events.iter().map(Event::kind).collect()
}

/// Where the last reading went, and what it came to.
fn went(bench: &Bench) -> String {
    let (place, last) = match bench.told.last() {
        Some(event @ Event::VerdictGiven(verdict)) => (&verdict.place, word(event)),
        Some(event @ Event::ReadingHeld { place, .. }) => (place, word(event)),
        Some(event @ Event::CuttingNoted { place, .. }) => (place, word(event)),
        other => panic!("{other:?}"),
    };
    format!("{}{}.{} {last}", place.part, place.feature, place.point)
}

fn sends(bench: &mut Bench, gauge: &str, text: &str) -> String {
    bench.events(gauge, text);
    went(bench)
}

fn choose(feature: &str) -> Command {
    Command::ChooseCharacteristic {
        feature: feature.to_owned(),
        element: String::new(),
    }
}

fn fed(bench: &Bench, gauge: &str) -> Vec<String> {
    let all = bench.state().fed_by(&GaugeId::new(gauge)).into_iter();
    let targets = &bench.state().setup().targets;
    all.map(|at| targets[at].feature.clone()).collect()
}

#[test]
fn a_bound_gauge_feeds_its_own_characteristic_out_of_turn() {
    let mut bench = shaft();
    assert_eq!([fed(&bench, "mic"), fed(&bench, "caliper")], [["A"], ["B"]]);
    // The screen asks for A: the caliper is put on B all the same.
    assert_eq!(sends(&mut bench, "caliper", "35.02"), "1B.1 GO");
    assert_eq!(sends(&mut bench, "mic", "20.008"), "1A.1 GO");
    assert_eq!(sends(&mut bench, "mic", "14.995"), "1C.1 GO");
    assert_eq!(sends(&mut bench, "mic", "11.995"), "1D.1 inside");
    // Nothing that the caliper proves is open: it roughs what is at hand, and proves nothing.
    assert_eq!(fed(&bench, "caliper"), [""; 0]);
    assert_eq!(sends(&mut bench, "caliper", "11.99"), "1D.2 DOUBT");
    assert_eq!(sends(&mut bench, "mic", "11.996"), "1D.2 GO");
    // The next part: B first again, and then what is at hand.
    assert_eq!(fed(&bench, "caliper"), ["B"]);
    assert_eq!(sends(&mut bench, "caliper", "34.98"), "2B.1 GO");
    assert_eq!(sends(&mut bench, "mic", "20.009"), "2A.1 GO");
    bench.check();
}

#[test]
fn what_is_not_clear_is_asked_once_and_the_answer_holds() {
    let mut bench = shaft();
    assert_eq!(sends(&mut bench, "mic", "20.008"), "1A.1 GO");
    // B is asked for, which the caliper proves; the micrometer is on C or on D.
    assert_eq!(fed(&bench, "mic"), ["C", "D"]);
    assert_eq!(
        sends(&mut bench, "mic", "11.995"),
        format!("1C.1 held {WHICH}")
    );
    let asked = bench.state().which_asked();
    assert_eq!(asked, [2, 3]);
    // What comes meanwhile waits, also where it would fit.
    assert_eq!(kinds(&bench.events("mic", "11.996")), ["reading_received"]);
    let events = bench.asks(choose("D"));
    let given = ["gauge_routed", "reading_assigned", "verdict_given"];
    assert_eq!(kinds(&events)[..3], given);
    assert_eq!(kinds(&events)[3..], ["reading_assigned", "verdict_given"]);
    assert_eq!(
        went(&bench),
        "1D.2 GO",
        "the one that waited went there unasked"
    );
    // One is left: nothing to ask.
    assert_eq!(sends(&mut bench, "mic", "14.995"), "1C.1 GO");
    assert_eq!(sends(&mut bench, "caliper", "35.00"), "1B.1 GO");
    // On the next part it is known.
    assert_eq!(sends(&mut bench, "mic", "20.008"), "2A.1 GO");
    assert_eq!(fed(&bench, "mic"), ["D"]);
    assert_eq!(sends(&mut bench, "mic", "11.995"), "2D.1 inside");
    assert_eq!(sends(&mut bench, "mic", "11.996"), "2D.2 GO");
    assert_eq!(sends(&mut bench, "mic", "14.994"), "2C.1 GO");
    let routed = bench.told.iter().filter(|one| one.kind() == "gauge_routed");
    assert_eq!(routed.count(), 1);
    bench.check();
}

#[test]
fn the_answer_may_be_that_it_is_none_and_a_slip_is_held_again() {
    let mut bench = shaft();
    bench.events("mic", "20.008");
    bench.events("mic", "14.995");
    let (belongs, reason) = (false, String::new());
    bench.asks(Command::AnswerHeld { belongs, reason });
    assert_eq!(bench.ends()[1], End::SetAside);
    assert_eq!(
        fed(&bench, "mic"),
        ["C", "D"],
        "nothing was learned from it"
    );
    // C is said, and the value is that of D: it waits for another answer, with the reason.
    bench.events("mic", "11.995");
    let events = bench.asks(choose("C"));
    assert_eq!(kinds(&events), ["gauge_routed", "reading_held"]);
    assert_eq!(went(&bench), "1C.1 held other_characteristic");
    // Measured again, and it fits: the slip is put aside by that.
    let again = bench.events("mic", "14.996");
    let expected = [
        "reading_received",
        "reading_set_aside",
        "reading_assigned",
        "verdict_given",
    ];
    assert_eq!(kinds(&again), expected);
    assert_eq!(went(&bench), "1C.1 GO");
    bench.check();
}

#[test]
fn what_a_person_chose_and_what_is_cut_keeps_every_gauge() {
    let mut bench = shaft();
    bench.events("mic", "20.008");
    bench.asks(choose("D"));
    assert_eq!(sends(&mut bench, "caliper", "11.99"), "1D.1 DOUBT");
    let mut bench = shaft();
    bench.asks(Command::SwitchCutting(true));
    assert_eq!(sends(&mut bench, "caliper", "20.30"), "1A.1 cutting_noted");
    bench.asks(Command::SwitchCutting(false));
    // A gauge that the plan does not name goes where the work is.
    let mut bench = shaft();
    assert_eq!(sends(&mut bench, "nobody", "20.008"), "1A.1 DOUBT");
    bench.check();
}

#[test]
fn without_lists_and_with_one_gauge_everything_goes_where_the_work_is() {
    let text = feature("A", "20 k6", "") + &feature("B", "15 h6", "gauge = [\"mic\"]");
    let mut bench = Bench::new(plan(&text));
    assert_eq!([fed(&bench, "mic"), fed(&bench, "caliper")], [["A"], ["A"]]);
    assert_eq!(sends(&mut bench, "mic", "20.008"), "1A.1 GO");
    assert_eq!(sends(&mut bench, "mic", "14.995"), "1B.1 GO");
    bench.check();
}

#[test]
fn measuring_again_puts_a_slip_aside_and_two_slips_wait_for_a_person() {
    let mut bench = shaft();
    assert!(sends(&mut bench, "mic", "0.7877").contains("inch"));
    // Another gauge says nothing of this one; the same slip again is no proof of a slip.
    assert_eq!(
        kinds(&bench.events("caliper", "35.00")),
        ["reading_received"]
    );
    assert_eq!(kinds(&bench.events("mic", "0.7878")), ["reading_received"]);
    assert_eq!(bench.state().waiting(), 2);
    bench.events("mic", "20.008");
    assert_eq!(
        bench.ends(),
        [End::SetAside, End::Judged, End::SetAside, End::Judged]
    );
    let why = bench.told.iter().find_map(|event| match event {
        Event::ReadingSetAside { reason, .. } => Some(reason.as_str()),
        _ => None,
    });
    assert_eq!(why, Some("measured again, and what was read then fits"));
    // What really is so is said by a person.
    let mut bench = shaft();
    assert!(sends(&mut bench, "mic", "19.2").contains("held"));
    bench.events("mic", "19.2");
    let (belongs, reason) = (true, String::new());
    bench.asks(Command::AnswerHeld { belongs, reason });
    assert!(went(&bench).contains("NO-GO") || went(&bench).contains("held"));
    bench.check();
}
