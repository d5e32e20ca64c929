//! Repeated readings that drift, and those that only scatter.

use crate::table::cases;
use fitledger::measure::{Drift, Repeatability, RepeatabilityOrigin, drift};
use fitledger::quantity::Length;

fn repeatability(step: Length, study: Option<Length>) -> Repeatability {
    Repeatability {
        standard_nm: study.map_or(0.0, Length::as_nm_f64),
        origin: match study {
            Some(_) => RepeatabilityOrigin::Study,
            None => RepeatabilityOrigin::Resolution,
        },
        resolution: step,
    }
}

#[test]
fn drifts_agree_with_the_table() {
    for case in cases(include_str!("../tables/drift.csv")) {
        let step = Length::parse_mm(case.text("step_mm")).unwrap();
        let study = case.text("study_mm");
        let study = (!study.is_empty()).then(|| Length::parse_mm(study).unwrap());
        let readings: Vec<(u64, Length)> = case
            .text("readings_s_and_um")
            .split(' ')
            .map(|one| {
                let (s, um) = one.split_once(':').unwrap();
                let at_ms = s.parse::<u64>().unwrap() * 1_000;
                (at_ms, Length::from_um(um.parse().unwrap()))
            })
            .collect();
        let found = drift(&readings, &repeatability(step, study));
        let word = found.map_or("none", |drift| match drift.is_shrinking() {
            true => "shrinks",
            false => "grows",
        });
        assert_eq!(word, case.text("expected"), "{}", case.name());
        if let Some(found) = found {
            case.check("expected_change_nm", found.change.as_nm_f64());
            let over = case.text("expected_over_s").parse::<u64>().unwrap();
            assert_eq!(found.over_ms, over * 1_000);
        }
    }
}

/// Nearly normal noise of deviation 1: twelve numbers of a linear congruence, less their mean.
struct Noise(u64);

impl Noise {
    fn next(&mut self) -> f64 {
        let uniform = |state: &mut u64| {
            *state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (*state >> 11) as f64 / (1_u64 << 53) as f64
        };
        (0..12).map(|_| uniform(&mut self.0)).sum::<f64>() - 6.0
    }
}

fn alarms(series: u32, deviation_nm: f64, known: Option<Length>, step: Length) -> u32 {
    let mut noise = Noise(20_261_125);
    let mut alarms = 0;
    for number in 0..series {
        let count = 3 + u64::from(number % 8);
        let readings: Vec<(u64, Length)> = (0..count)
            .map(|at| {
                let steps = (noise.next() * deviation_nm / step.as_nm_f64()).round();
                let nm = steps as i64 * step.as_nm();
                (at * 60_000 / (count - 1), Length::from_nm(25_000_000 + nm))
            })
            .collect();
        alarms += u32::from(drift(&readings, &repeatability(step, known)).is_some());
    }
    alarms
}

/// Chosen: at most one series of noise in a hundred may look like a drift; the threshold is made
/// for one in 500.
#[test]
fn noise_is_no_drift() {
    let step = Length::from_um(1);
    for deviation_um in [0, 1, 2, 5, 20] {
        let nm = deviation_um as f64 * 1_000.0;
        let known = Length::from_um(deviation_um);
        for study in [Some(known), None] {
            let found = alarms(5_000, nm, study, step);
            assert!(found <= 50, "{deviation_um} µm, {study:?}: {found} of 5000");
        }
    }
    // A hundredth step hides no drift and makes none.
    let found = alarms(5_000, 3_000.0, None, Length::from_um(10));
    assert!(found <= 50, "coarse step: {found} of 5000");
}

#[test]
fn a_drift_is_said_with_its_sign_and_its_time() {
    let drift = |um, seconds: u64| Drift {
        change: Length::from_nm(um),
        over_ms: seconds * 1_000,
        readings: 4,
    };
    assert_eq!(
        drift(-3_000, 60).to_string(),
        "still cooling: the readings shrink by 3 µm in the last minute"
    );
    assert_eq!(
        drift(2_540, 42).to_string(),
        "still warming: the readings grow by 2.5 µm in the last 42 s"
    );
}

#[test]
fn odd_series_are_no_drift_and_no_panic() {
    let known = repeatability(Length::from_um(1), None);
    let at = |ms, mm| (ms, Length::from_mm(mm));
    assert_eq!(drift(&[], &known), None);
    assert_eq!(drift(&[at(0, 1), at(0, 2), at(0, 3)], &known), None);
    // Times that run backwards: those after the latest do not count.
    let backwards = [at(90_000, 3), at(60_000, 2), at(30_000, 1)];
    assert_eq!(drift(&backwards, &known), None);
    let ends = [at(0, 10_000), at(1, -10_000), at(u64::MAX, 0)];
    assert_eq!(drift(&ends, &known), None);
}
