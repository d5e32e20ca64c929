//! One reading out of moving ones, by value.

use fitledger::gauge::{GaugeId, GaugeStatus, Observed, Origin, Reading, Shown};
use fitledger::plan::Take;
use fitledger::quantity::{Length, LengthUnit};
use fitledger::session::{STABLE_MS, STABLE_VALUES, TakenReading, Taking, TakingRefusal};

fn read(nm: i64, decimals: u8) -> Reading {
    Reading {
        gauge: GaugeId::new("bore"),
        observed: Observed::Length(Length::from_nm(nm)),
        shown: Shown {
            unit: LengthUnit::Millimetre,
            decimals,
            minus: nm < 0,
        },
        status: GaugeStatus::Ok,
        origin: Origin::Sent,
        raw: format!("<{nm}>").into_bytes(),
        rounded: false,
    }
}

fn taking(how: Take) -> Taking {
    Taking::new(GaugeId::new("bore"), how, None, 0)
}

/// Values in micrometres, 100 ms apart.
fn sweep(how: Take, um: &[i64]) -> Result<TakenReading, TakingRefusal> {
    let mut taking = taking(how);
    for (at, um) in (0..).zip(um) {
        assert_eq!(taking.value(&read(um * 1_000, 3), at * 100), None);
    }
    taking.end()
}

#[test]
fn each_way_gives_its_value_with_the_bytes_it_rests_on() {
    let swept = [12, 7, -3, 9, 12, 4];
    for (how, um, raw) in [
        (Take::Largest, 12, "<12000>"),
        (Take::Smallest, -3, "<-3000>"),
        (Take::Range, 15, "<-3000><12000>"),
    ] {
        let taken = sweep(how, &swept).unwrap();
        let length = Observed::Length(Length::from_um(um));
        assert_eq!(taken.reading.observed, length, "{how:?}");
        assert_eq!(taken.reading.raw, raw.as_bytes(), "{how:?}");
        let from = &taken.from;
        assert_eq!((from.how.as_str(), from.values), (how.word(), 6));
        assert_eq!(from.smallest, Some(Length::from_um(-3)));
        assert_eq!(from.largest, Some(Length::from_um(12)));
        assert_eq!(from.over_ms, 500);
        assert!(how != Take::Range || !taken.reading.shown.minus);
    }
    let taken = taking(Take::Press).value(&read(5, 3), 9).unwrap();
    assert_eq!((taken.from.values, taken.from.over_ms), (1, 0));
}

#[test]
fn what_is_no_sweep_gives_nothing() {
    for how in [Take::Largest, Take::Smallest, Take::Range] {
        assert_eq!(sweep(how, &[]), Err(TakingRefusal::NoValue));
        assert_eq!(sweep(how, &[3]), Err(TakingRefusal::TooFew { values: 1 }));
    }
    let told = TakingRefusal::TooFew { values: 1 }.to_string();
    assert!(told.contains("a sweep takes more than 1 value."), "{told}");
    let mut only_state = taking(Take::Largest);
    only_state.status(GaugeStatus::OverRange);
    let broken = TakingRefusal::Broken(GaugeStatus::OverRange);
    assert_eq!(only_state.end(), Err(broken));
}

/// The time at which a value is taken as still, of values so many milliseconds apart.
fn still_at(nm: &[i64], every_ms: u64, step: Option<Length>) -> Option<(u64, TakenReading)> {
    let mut taking = Taking::new(GaugeId::new("bore"), Take::Stable, step, 0);
    (0..).zip(nm).find_map(|(at, nm)| {
        let at_ms = at * every_ms;
        taking
            .value(&read(*nm, 3), at_ms)
            .map(|taken| (at_ms, taken))
    })
}

#[test]
fn still_is_so_many_values_within_one_step_for_so_long() {
    let flicker: Vec<i64> = (0..100).map(|at| 20_000_000 + (at % 2) * 1_000).collect();
    // Few and slow: the count decides. Many and fast: the time does.
    let (at, taken) = still_at(&flicker, 400, None).unwrap();
    assert_eq!(at, u64::from(STABLE_VALUES - 1) * 400);
    assert_eq!(taken.from.values, STABLE_VALUES);
    let (at, taken) = still_at(&flicker, 10, None).unwrap();
    assert_eq!((at, taken.from.values), (STABLE_MS, 51));
    assert_eq!(taken.reading.raw, b"<20000000>");
    // Two steps of flicker are no standing still, unless the register says the step is as large.
    let wide: Vec<i64> = (0..100).map(|at| (at % 3) * 1_000).collect();
    assert_eq!(still_at(&wide, 100, None), None);
    assert!(still_at(&wide, 100, Some(Length::from_um(2))).is_some());
}

#[test]
fn a_slow_drift_is_no_standing_still() {
    // One step every two values: neighbours always agree, five in a row never do.
    let drift: Vec<i64> = (0..300).map(|at| at / 2 * 1_000).collect();
    assert_eq!(still_at(&drift, 100, None), None);
}

#[test]
fn what_breaks_a_standstill_begins_it_anew() {
    let mut taking = taking(Take::Stable);
    for at in 0..4 {
        assert_eq!(taking.value(&read(7_000, 3), at * 200), None);
    }
    taking.status(GaugeStatus::NoReading);
    for at in 4..8 {
        assert_eq!(taking.value(&read(7_000, 3), at * 200), None, "{at}");
    }
    assert!(taking.value(&read(7_000, 3), 1_600).is_some());
}

#[test]
fn a_range_is_shown_in_the_finer_digits_of_its_two_values() {
    let mut taking = taking(Take::Range);
    taking.value(&read(-5_000, 3), 0);
    taking.value(&read(1_230, 5), 10);
    let taken = taking.end().unwrap();
    assert_eq!(
        taken.reading.observed,
        Observed::Length(Length::from_nm(6_230))
    );
    assert_eq!(taken.reading.shown.decimals, 5);
}
