//! Repeats of one point: agreement, mean, and what is assumed without a study.

use fitledger::gauge::{Calibration, GaugeError};
use fitledger::measure::{Repeatability, RepeatabilityOrigin, Repeats, settled_repeats};
use fitledger::quantity::Length;
use proptest::prelude::*;

fn um(values: &[i64]) -> Vec<Length> {
    values.iter().copied().map(Length::from_um).collect()
}

fn study(s_nm: i64, step_um: i64) -> Repeatability {
    Repeatability::of(&GaugeError {
        mpe: Some(Length::from_um(4)),
        repeatability: Some(Length::from_nm(s_nm)),
        resolution: Some(Length::from_um(step_um)),
        ..GaugeError::default()
    })
    .unwrap()
}

#[test]
fn readings_within_the_repeatability_limit_are_averaged() {
    // s_r = 1 µm: limit 2.8 µm (definition).
    let s = study(1_000, 1);
    assert_eq!(s.limit(), Length::from_nm(2_800));
    let agreed = settled_repeats(&um(&[20_001, 20_003]), Some(&s), false);
    let mean = Length::from_um(20_002);
    assert_eq!(agreed, Some(Repeats::Agreed { mean, readings: 2 }));
    let apart = settled_repeats(&um(&[20_001, 20_004, 20_002]), Some(&s), false);
    let (smallest, largest) = (Length::from_um(20_001), Length::from_um(20_004));
    let limit = s.limit();
    assert_eq!(
        apart,
        Some(Repeats::Disagree {
            smallest,
            largest,
            limit
        })
    );
    assert_eq!(settled_repeats(&[], Some(&s), false), None);
}

#[test]
fn exactly_at_the_limit_readings_agree() {
    let s = study(10_000, 1);
    let at = settled_repeats(&um(&[0, 28]), Some(&s), false);
    assert!(matches!(at, Some(Repeats::Agreed { .. })));
    let beyond = [Length::ZERO, Length::from_nm(28_001)];
    let beyond = settled_repeats(&beyond, Some(&s), false);
    assert!(matches!(beyond, Some(Repeats::Disagree { .. })));
}

#[test]
fn neighbouring_steps_always_agree() {
    let fine = study(100, 10);
    let next = settled_repeats(&um(&[20_010, 20_020]), Some(&fine), false);
    assert!(matches!(next, Some(Repeats::Agreed { readings: 2, .. })));
    let two = settled_repeats(&um(&[20_010, 20_030]), Some(&fine), false);
    assert!(matches!(two, Some(Repeats::Disagree { .. })));
}

#[test]
fn while_cutting_the_latest_counts() {
    let s = study(100, 1);
    let latest = settled_repeats(&um(&[20_400, 20_300]), Some(&s), true);
    let mean = Length::from_um(20_300);
    assert_eq!(latest, Some(Repeats::Agreed { mean, readings: 1 }));
}

#[test]
fn the_mean_is_rounded_half_to_even() {
    let nm = |values: [i64; 2]| values.map(Length::from_nm);
    let mean = |values| match settled_repeats(&nm(values), None, false) {
        Some(Repeats::Agreed { mean, .. }) => mean.as_nm(),
        other => panic!("{other:?}"),
    };
    assert_eq!((mean([0, 1]), mean([1, 2]), mean([-1, 0])), (0, 2, 0));
}

#[test]
fn without_a_study_the_repeatability_is_assumed_and_says_so() {
    let of = |gauge: GaugeError| {
        Repeatability::of(&gauge).map(|found| (found.origin, found.standard_nm))
    };
    let (mpe, step) = (Some(Length::from_um(6)), Some(Length::from_um(12)));
    let calibration = Some(Calibration::new(Length::from_um(3), 2.0, Vec::new()).unwrap());
    let (origin, s) = of(GaugeError {
        mpe,
        ..GaugeError::default()
    })
    .unwrap();
    assert_eq!(origin, RepeatabilityOrigin::PermissibleError);
    assert!((s - 2_000.0).abs() < 1e-9);
    let (origin, s) = of(GaugeError {
        calibration,
        ..GaugeError::default()
    })
    .unwrap();
    assert_eq!(origin, RepeatabilityOrigin::Calibration);
    assert!((s - 1_500.0).abs() < 1e-9);
    // 12 µm / sqrt 12 = 3.4641 µm.
    let (origin, s) = of(GaugeError {
        resolution: step,
        ..GaugeError::default()
    })
    .unwrap();
    assert_eq!(origin, RepeatabilityOrigin::Resolution);
    assert!((s - 3_464.1).abs() < 0.05);
    assert_eq!(of(GaugeError::default()), None);
}

proptest! {
    #[test]
    fn a_mean_lies_between_its_readings(
        values in prop::collection::vec(-10_000_000_000_i64..10_000_000_000, 1..20),
    ) {
        let readings: Vec<Length> = values.iter().copied().map(Length::from_nm).collect();
        let Some(Repeats::Agreed { mean, .. }) = settled_repeats(&readings, None, false) else {
            panic!("nothing can disagree without a repeatability");
        };
        let (least, most) = (readings.iter().min().unwrap(), readings.iter().max().unwrap());
        prop_assert!(*least <= mean && mean <= *most);
    }
}
