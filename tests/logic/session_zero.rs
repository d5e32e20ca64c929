//! The zero of a gauge: checked, taken off, failed; and what is in doubt then.

use fitledger::gauge::GaugeId;
use fitledger::journal::{EarlierZero, Event, Outcome, SessionOpened, VerdictGiven};
use fitledger::measure::VerdictWord;
use fitledger::quantity::Length;
use fitledger::session::{Command, End, PartState, ZeroState, account, resting_on};

use crate::support::bench::{Bench, GAUGES, feature, plan};

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

fn mic() -> GaugeId {
    GaugeId::new("mic")
}

/// One bearing seat; `mic` may prove it.
fn seat(gauges: &str) -> SessionOpened {
    let mut opened = plan(&feature("A", "20 k6", ""));
    opened.gauges = format!("{gauges}{GAUGES}");
    opened
}

fn ask(gauge: &str, standard: Option<&str>) -> Command {
    Command::AskZeroCheck {
        gauge: GaugeId::new(gauge),
        standard: standard.map(GaugeId::new),
    }
}

/// The check that a reading came to.
fn checks(bench: &mut Bench, gauge: &str, shown: &str) -> (String, Option<String>, bool) {
    match bench.events(gauge, shown).pop() {
        Some(Event::ZeroChecked(checked)) => (
            checked.offset.to_mm(),
            checked.bound.map(Length::to_mm),
            checked.good,
        ),
        other => panic!("{other:?}"),
    }
}

fn noted(verdict: &VerdictGiven, note: &str) -> bool {
    verdict.notes.iter().any(|one| one == note)
}

#[test]
fn an_offset_within_the_bound_is_taken_off_exactly_and_said_in_the_account() {
    let mut bench = Bench::new(seat(""));
    // 20 k6 is 20.002 to 20.015 (ISO 286-2, tables of k6, 18 to 30 mm).
    assert_eq!(bench.verdict("mic", "20.008").value_at_20, 20_008_000);
    bench.asks(ask("mic", Some("ring")));
    assert_eq!(
        bench.state().zeros().asked(&mic()).unwrap().shows,
        mm("20.000")
    );
    // The bound is the permissible error, for the register states none.
    let check = checks(&mut bench, "mic", "20.0015");
    assert_eq!(check, ("0.0015".into(), Some("0.002".into()), true));
    assert!(bench.state().zeros().asked(&mic()).is_none(), "asked once");
    let verdict = bench.verdict("mic", "20.0085");
    assert_eq!(verdict.value_at_20, 20_007_000);
    let account = account(bench.state(), &verdict).unwrap();
    assert_eq!(account.zero_offset, mm("0.0015"));
    assert_eq!(account.indication, mm("20.007"));
    assert!(account.is_same);
    assert_eq!(bench.ends(), [End::Judged, End::ZeroCheck, End::Judged]);
    // Another gauge keeps its own zero.
    assert_eq!(bench.verdict("plain-mic", "20.008").value_at_20, 20_008_000);
    bench.check();
}

#[test]
fn a_comparator_shows_nothing_on_the_ring_that_it_is_set_on() {
    let mut bench = Bench::new(plan(&feature("B", "20 H7", "")));
    bench.asks(ask("comparator", None));
    let asked = bench
        .state()
        .zeros()
        .asked(&GaugeId::new("comparator"))
        .cloned();
    let asked = asked.unwrap();
    assert_eq!(
        (asked.shows, asked.standard.unwrap().as_str()),
        (Length::ZERO, "ring")
    );
    // Calibrated, with no permissible error and no stated bound: one step.
    let check = checks(&mut bench, "comparator", "-0.001");
    assert_eq!(check, ("-0.001".into(), Some("0.001".into()), true));
    assert_eq!(bench.verdict("comparator", "0.009").value_at_20, 20_010_000);
    bench.check();
}

#[test]
fn a_failed_check_applies_nothing_and_the_gauge_proves_nothing_until_a_good_one() {
    let mut bench = Bench::new(seat(""));
    bench.asks(ask("mic", None));
    let check = checks(&mut bench, "mic", "0.003");
    assert_eq!(check, ("0.003".into(), Some("0.002".into()), false));
    let verdict = bench.verdict("mic", "20.008");
    assert_eq!(verdict.value_at_20, 20_008_000, "nothing is taken off");
    assert_eq!(verdict.outcome, Outcome::Verdict(VerdictWord::Doubt));
    assert!(noted(&verdict, "zero_check_failed"));
    // A NO-GO stays one: the gauge's word is not needed to stop.
    bench.void(None);
    let verdict = bench.verdict("mic", "20.030");
    assert_eq!(verdict.outcome, Outcome::Verdict(VerdictWord::NoGo));
    bench.void(None);
    assert_eq!(
        bench.state().zero_state(&mic(), bench.now_ms),
        ZeroState::Failed
    );
    bench.asks(ask("mic", None));
    assert!(checks(&mut bench, "mic", "0.000").2);
    let verdict = bench.verdict("mic", "20.008");
    assert_eq!(verdict.outcome, Outcome::Verdict(VerdictWord::Go));
    bench.check();
}

#[test]
fn what_was_measured_since_the_last_good_check_is_in_doubt_and_measured_again() {
    let mut opened = seat("");
    opened.plan = opened
        .plan
        .map(|text| text + &feature("B", "10 ±0.1", "surface = \"length\"\n"));
    let mut bench = Bench::new(opened);
    let read = |bench: &mut Bench, gauge: &str, text: &str| bench.reads_with(gauge, text);
    read(&mut bench, "mic", "20.008");
    read(&mut bench, "caliper", "10.00");
    bench.asks(ask("mic", None));
    checks(&mut bench, "mic", "0.001");
    read(&mut bench, "mic", "20.009");
    read(&mut bench, "caliper", "10.01");
    read(&mut bench, "mic", "20.010");
    let states = |bench: &Bench| -> Vec<PartState> {
        bench
            .state()
            .parts()
            .iter()
            .map(|part| part.state())
            .collect()
    };
    assert_eq!(
        states(&bench),
        [PartState::Go, PartState::Go, PartState::Open]
    );
    bench.asks(ask("mic", None));
    checks(&mut bench, "mic", "0.010");
    // Part 1 was measured before the good check; the caliper's readings are its own.
    assert_eq!(
        states(&bench),
        [PartState::Go, PartState::Doubt, PartState::Open]
    );
    let doubted = bench
        .state()
        .readings()
        .iter()
        .filter(|one| one.doubted_by > 0);
    let doubted: Vec<i64> = doubted.map(|one| one.value).collect();
    assert_eq!(doubted, [20_009_000, 20_010_000]);
    // The part at hand is to be measured there again first.
    let (at, place) = bench.state().current_place().unwrap();
    assert_eq!((at, place.feature.as_str(), place.part), (0, "A", 3));
    bench.asks(ask("mic", None));
    checks(&mut bench, "mic", "0.000");
    read(&mut bench, "mic", "20.008");
    assert_eq!(bench.state().current_place().unwrap().1.feature, "B");
    read(&mut bench, "caliper", "10.00");
    assert_eq!(
        states(&bench),
        [PartState::Go, PartState::Doubt, PartState::Go]
    );
    bench.check();
}

#[test]
fn a_failed_check_that_is_voided_doubts_nothing_and_a_good_one_is_not_voided() {
    let mut bench = Bench::new(seat(""));
    bench.reads("20.008");
    bench.asks(ask("mic", None));
    checks(&mut bench, "mic", "0.010");
    assert_eq!(
        bench.state().parts().last().unwrap().state(),
        PartState::Doubt
    );
    let failed = *bench.readings().last().unwrap();
    bench.void(None);
    assert_eq!(
        bench.ends(),
        [End::Judged, End::Voided],
        "the last is the check"
    );
    assert_eq!(bench.state().parts().last().unwrap().state(), PartState::Go);
    assert_eq!(
        bench.state().zero_state(&mic(), bench.now_ms),
        ZeroState::NotAsked
    );
    bench.asks(ask("mic", None));
    checks(&mut bench, "mic", "0.001");
    let good = *bench.readings().last().unwrap();
    for reading in [good, failed] {
        let command = Command::VoidReading {
            reading: Some(reading),
            reason: "dirt".to_owned(),
        };
        assert_eq!(bench.refuses(command), "no_such_reading");
    }
    bench.check();
}

#[test]
fn a_reading_that_is_voided_after_a_check_leaves_the_others_with_their_own_offset() {
    let mut bench = Bench::new(plan(&feature("A", "20 k6", "points = 2\n")));
    bench.reads("20.008");
    bench.asks(ask("mic", None));
    checks(&mut bench, "mic", "0.002");
    bench.reads("20.008");
    let first = bench.readings()[0];
    let values = |bench: &Bench| -> Vec<i64> {
        let part = bench.state().parts().last().unwrap();
        part.characteristics[0]
            .points
            .iter()
            .map(|point| point.value_at_20)
            .collect()
    };
    assert_eq!(values(&bench), [20_008_000, 20_006_000]);
    bench.void(Some(first));
    bench.reads("20.009");
    assert_eq!(values(&bench), [20_007_000, 20_006_000]);
    bench.check();
}

#[test]
fn a_check_is_due_by_the_register_and_one_before_the_session_still_holds() {
    let zeroed = "[[gauge]]\nid = \"zeroed\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
                  resolution = 0.001\nmpe = 0.002\nzero_check = { every_hours = 8, bound = 0.001 }\n";
    let gauge = GaugeId::new("zeroed");
    let mut bench = Bench::new(seat(zeroed));
    assert_eq!(bench.state().zero_state(&gauge, 0), ZeroState::Due);
    let verdict = bench.verdict("zeroed", "20.008");
    assert!(noted(&verdict, "zero_check_due"));
    assert_eq!(
        verdict.outcome,
        Outcome::Verdict(VerdictWord::Go),
        "told, not forbidden"
    );
    bench.asks(ask("zeroed", None));
    // The register's bound counts, not the permissible error.
    let check = checks(&mut bench, "zeroed", "0.002");
    assert_eq!(check, ("0.002".into(), Some("0.001".into()), false));
    bench.check();

    let hour = 3_600_000;
    let earlier = |age_ms, good| {
        let mut opened = seat(zeroed);
        opened.zeros = vec![EarlierZero {
            gauge: "zeroed".to_owned(),
            standard: "ring".to_owned(),
            time: "2026-11-24T07:00:00Z".to_owned(),
            age_ms,
            offset: mm("0.001"),
            good,
        }];
        opened
    };
    let mut bench = Bench::new(earlier(hour, true));
    assert_eq!(bench.verdict("zeroed", "20.008").value_at_20, 20_007_000);
    let state = bench.state();
    assert_eq!(state.zero_state(&gauge, 7 * hour), ZeroState::Good);
    assert_eq!(state.zero_state(&gauge, 7 * hour + 1), ZeroState::Due);
    bench.check();
    let mut bench = Bench::new(earlier(100 * hour, false));
    assert!(noted(
        &bench.verdict("zeroed", "20.008"),
        "zero_check_failed"
    ));
    bench.check();
}

#[test]
fn a_gauge_found_wrong_doubts_what_rests_on_it() {
    let mut bench = Bench::new(plan(&feature("B", "20 H7", "")));
    assert_eq!(bench.reads_with("comparator", "0.010"), "GO");
    let found = |gauge: &str, reason: &str| Command::DoubtGauge {
        gauge: GaugeId::new(gauge),
        since: None,
        reason: reason.to_owned(),
    };
    assert_eq!(bench.refuses(found("ring", " ")), "reason_missing");
    assert_eq!(bench.refuses(found("rnig", "worn")), "no_such_gauge");
    bench.asks(found("caliper", "fell"));
    assert_eq!(bench.state().parts().last().unwrap().state(), PartState::Go);
    bench.asks(found("ring", "worn, after its recalibration"));
    assert_eq!(
        bench.state().parts().last().unwrap().state(),
        PartState::Doubt
    );
    let rests = resting_on(
        bench.state().setup().register.gauges(),
        &GaugeId::new("ring"),
    );
    let rests: Vec<&str> = rests.iter().map(GaugeId::as_str).collect();
    assert_eq!(rests, ["comparator", "ring"]);
    bench.check();
}

#[test]
fn what_cannot_be_checked_is_refused_with_its_reason() {
    let mut bench = Bench::new(seat(
        "[[gauge]]\nid = \"mic-50\"\nkind = \"outside_micrometer\"\nrange = [25, 50]\n",
    ));
    for (gauge, standard, code) in [
        ("nobody", None, "no_such_gauge"),
        ("mic", Some("nobody"), "no_such_gauge"),
        ("ring", None, "gauge_has_no_zero"),
        ("protractor", None, "gauge_has_no_zero"),
        ("mic", Some("caliper"), "no_setting_standard"),
        // A micrometer from 25 mm has no zero of its own, and cannot show 20 mm.
        ("mic-50", None, "standard_out_of_range"),
        ("mic-50", Some("ring"), "standard_out_of_range"),
    ] {
        assert_eq!(
            bench.refuses(ask(gauge, standard)),
            code,
            "{gauge} {standard:?}"
        );
    }
    bench.asks(ask("mic", None));
    bench.asks(Command::DropZeroCheck { gauge: mic() });
    assert!(
        bench
            .asks(Command::DropZeroCheck { gauge: mic() })
            .is_empty()
    );
    assert_eq!(
        bench.reads("20.008"),
        "GO",
        "it is a reading of the part again"
    );
    bench.check();
}

#[test]
fn what_a_calibration_says_is_no_zero_offset_and_the_standard_counts_once_it_was_used() {
    // A micrometer that shows 1 µm too much from 20 mm on (its certificate), and a block that is
    // 0.5 µm too large (its own): on the block it must show 20.001 with a nominal 20.000.
    let gauges = "[[gauge]]\nid = \"cal-mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
                  resolution = 0.0001\ncalibration = { U = 0.001, k = 2, bias = [[0, 0], [20, 0.001], [25, 0.001]] }\n\
                  zero_check = { every_hours = 8, bound = 0.003, on = \"block\" }\n\
                  [[gauge]]\nid = \"block\"\nkind = \"gauge_block\"\nrange = 20\n\
                  calibration = { U = 0.0002, k = 2, bias = [[20, -0.0005]] }\n";
    let mut bench = Bench::new(seat(gauges));
    let lines = |bench: &Bench, verdict: &VerdictGiven| {
        let uncertainty = account(bench.state(), verdict)
            .unwrap()
            .measured
            .uncertainty;
        uncertainty.unwrap().lines().len()
    };
    // Before any check: the bias alone is taken off, and no standard is in the budget.
    let before = bench.verdict("cal-mic", "20.0090");
    assert_eq!(before.value_at_20, 20_008_000);
    let without = lines(&bench, &before);
    bench.asks(ask("cal-mic", None));
    let shows = bench
        .state()
        .zeros()
        .asked(&GaugeId::new("cal-mic"))
        .unwrap()
        .shows;
    assert_eq!(shows, mm("20.001"));
    // It shows what bias and block say: 20.0005 + 0.001. The nominal block leaves 0.5 µm, which
    // the block's own certificate gives back.
    let check = checks(&mut bench, "cal-mic", "20.0015");
    assert_eq!(check, ("0.0005".into(), Some("0.003".into()), true));
    bench.void(Some(bench.readings()[0]));
    let after = bench.verdict("cal-mic", "20.0090");
    assert_eq!(after.value_at_20, 20_008_000);
    assert!(
        lines(&bench, &after) > without,
        "the block is in the budget now"
    );
    bench.check();
}
