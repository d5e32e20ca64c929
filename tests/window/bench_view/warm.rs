//! Parts that are not at 20 °C: what is shown, how old a temperature is, when to let cool.

use fitledger::quantity::{Celsius, Length};
use fitledger::session::Command;
use fitledger::window::desk::Desk;
use fitledger::window::view::bench_view;

use super::{block, shaft, stainless, warm};
use crate::support::bench::{Bench, feature, plan};
use crate::support::shown::{shown, snapshot};

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
