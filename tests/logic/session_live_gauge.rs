//! Several live gauges at a characteristic that the plan binds none of them to: whose value is
//! taken is said once, recorded, and known again when the session is taken up.

use fitledger::gauge::GaugeId;
use fitledger::journal::Event;
use fitledger::session::{Command, LiveGauge};

use crate::support::bench::{Bench, feature, plan};

fn ids(names: &[&str]) -> Vec<GaugeId> {
    names.iter().map(|name| GaugeId::new(name)).collect()
}

/// A is bound to no gauge, B to the caliper, C to one that is not live here.
fn shaft() -> Bench {
    let text = feature("A", "20 k6", "")
        + &feature(
            "B",
            "35 ±0.2",
            "surface = \"length\"\ngauge = [\"caliper\"]",
        )
        + &feature("C", "15 h6", "gauge = [\"plain-mic\"]");
    Bench::new(plan(&text))
}

fn name(gauge: &str, feature: &str) -> Command {
    Command::NameGauge {
        gauge: GaugeId::new(gauge),
        feature: feature.to_owned(),
        element: "size".to_owned(),
    }
}

fn of(gauge: &str) -> LiveGauge {
    LiveGauge::Of(GaugeId::new(gauge))
}

#[test]
fn what_is_not_bound_is_named_once_and_known_after_a_restart() {
    let live = ids(&["mic", "caliper"]);
    let mut bench = shaft();
    assert_eq!(
        bench.state().live_gauge(&live),
        LiveGauge::Which(live.clone())
    );
    assert_eq!(bench.state().live_choice(&live), live);
    // One alone is no question, and none is no gauge.
    let alone = ids(&["mic"]);
    assert_eq!(bench.state().live_gauge(&alone), of("mic"));
    assert_eq!(bench.state().live_gauge(&[]), LiveGauge::Nobody);
    let events = bench.asks(name("mic", "A"));
    let [Event::GaugeRouted { gauge, feature, .. }] = events.as_slice() else {
        panic!("{events:?}")
    };
    assert_eq!((gauge.as_str(), feature.as_str()), ("mic", "A"));
    assert_eq!(bench.state().live_gauge(&live), of("mic"));
    // Said again it is nothing new; said otherwise, the newest holds.
    assert_eq!(bench.asks(name("mic", "A")), []);
    assert_eq!(bench.asks(name("caliper", "A")).len(), 1);
    assert_eq!(bench.state().live_gauge(&live), of("caliper"));
    bench.asks(name("mic", "A"));
    // One that is gone is not waited for.
    let others = ids(&["caliper", "comparator"]);
    assert_eq!(
        bench.state().live_gauge(&others),
        LiveGauge::Which(others.clone())
    );
    // The record gives the same state again.
    bench.check();
    let (_, replayed) = bench.replayed();
    let again = replayed.state.unwrap();
    assert_eq!(again.live_gauge(&live), of("mic"));
    // On the next part it is known too.
    bench.events("mic", "20.008");
    bench.asks(Command::StartNextPart);
    assert_eq!(bench.state().live_gauge(&live), of("mic"));
}

#[test]
fn what_the_plan_says_needs_no_question_and_is_changed_by_none() {
    let live = ids(&["mic", "caliper"]);
    let mut bench = shaft();
    bench.events("mic", "20.008");
    // B is the caliper's.
    assert_eq!(bench.state().live_gauge(&live), of("caliper"));
    assert_eq!(bench.state().live_choice(&live), []);
    assert_eq!(bench.asks(name("caliper", "B")), []);
    bench.events("caliper", "35.00");
    // C's gauge is not live: any may rough, and it is asked which.
    assert_eq!(
        bench.state().live_gauge(&live),
        LiveGauge::Which(live.clone())
    );
    bench.asks(name("mic", "C"));
    assert_eq!(bench.state().live_gauge(&live), of("mic"));
    // A gauge that is not bound there is routed nowhere by that: it goes where the work is.
    let choose = |feature: &str| Command::ChooseCharacteristic {
        feature: feature.to_owned(),
        element: String::new(),
    };
    bench.asks(choose("A"));
    assert_eq!(bench.state().live_gauge(&live), LiveGauge::Which(live));
    assert_eq!(bench.refuses(name("nobody", "A")), "no_such_gauge");
    assert_eq!(bench.refuses(name("mic", "Z")), "no_such_characteristic");
    bench.check();
}

#[test]
fn a_zero_check_and_a_held_reading_are_of_their_own_gauge() {
    let live = ids(&["mic", "caliper"]);
    let mut bench = shaft();
    bench.asks(name("mic", "A"));
    // Held of the caliper: measured again it is with the caliper.
    bench.events("caliper", "0.79");
    assert!(bench.state().bench().held.is_some());
    assert_eq!(bench.state().live_gauge(&live), of("caliper"));
    let gauge = GaugeId::new("mic");
    let standard = None;
    bench.asks(Command::AskZeroCheck { gauge, standard });
    assert_eq!(bench.state().live_gauge(&live), of("mic"));
}
