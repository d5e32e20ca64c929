//! Characteristics that cannot be below zero.

use crate::statistics_cases::{cases, near, number, numbers};
use crate::statistics_made::Made;
use fitledger::statistics::{
    BoundedModel, Limits, StatisticsError, bounded_capability, capability, fit_bounded,
    known_indices,
};
use proptest::prelude::*;

#[test]
fn every_model_agrees_with_the_reference_library() {
    let cases = cases(include_str!("../tables/bounded.json"));
    assert_eq!(cases.len(), 9);
    for case in cases {
        let name = case["id"].as_str().unwrap();
        let (location, sigma) = (number(&case["location"]), number(&case["sigma"]));
        let model = match case["model"].as_str().unwrap() {
            "folded_normal" => BoundedModel::FoldedNormal { location, sigma },
            "log_normal" => BoundedModel::LogNormal {
                mu: location,
                sigma,
            },
            "rayleigh" => BoundedModel::Rayleigh { sigma },
            "truncated_normal" => BoundedModel::TruncatedNormal { location, sigma },
            other => panic!("unknown model {other}"),
        };
        let found = model.quantiles().unwrap();
        let wanted = numbers(&case["quantiles"]);
        for (found, wanted) in [found.low, found.middle, found.high].iter().zip(wanted) {
            near(name, *found, wanted, 1e-9);
        }
        let (below, above) = model.shares(number(&case["x"]));
        near(name, above, number(&case["above"]), 1e-10);
        assert!((below + above - 1.0).abs() < 1e-15);
    }
}

#[test]
fn fits_are_the_likeliest_ones() {
    let cases = cases(include_str!("../tables/bounded_fits.json"));
    assert_eq!(cases.len(), 4);
    for case in cases {
        let name = case["id"].as_str().unwrap();
        let data = numbers(&case["data"]);
        let found = fit_bounded(&data).unwrap();
        let likelihood = |model: &str| number(&case["log_likelihood"][model]);
        let worth = [
            likelihood("folded") - 2.0,
            likelihood("log_normal") - 2.0,
            likelihood("rayleigh") - 1.0,
            likelihood("half_normal") - 1.0,
        ];
        let best = (0..4)
            .max_by(|a, b| worth[*a].total_cmp(&worth[*b]))
            .unwrap();
        match (best, found) {
            (0, BoundedModel::FoldedNormal { location, sigma }) => {
                let (at, wide) = (
                    number(&case["folded_location"]),
                    number(&case["folded_sigma"]),
                );
                assert!((location - at).abs() < 1e-4, "{name}: {location}");
                assert!((sigma - wide).abs() < 1e-4, "{name}: {sigma}");
            }
            (3, BoundedModel::FoldedNormal { location, .. }) => assert!(location <= 0.0, "{name}"),
            (1, BoundedModel::LogNormal { .. }) | (2, BoundedModel::Rayleigh { .. }) => {}
            (_, other) => panic!("{name}: {other:?} {worth:?}"),
        }
    }
}

/// How often the interval holds the truth, over `rounds` samples.
fn coverage(rounds: u32, truth: f64, upper: f64, mut sample: impl FnMut() -> Vec<f64>) -> f64 {
    let held = (0..rounds).filter(|_| {
        let found = bounded_capability(&sample(), upper, 0.9).unwrap().worst;
        found.lower <= truth && truth <= found.upper
    });
    held.count() as f64 / f64::from(rounds)
}

#[test]
fn intervals_hold_the_truth_about_as_often_as_they_say() {
    let truth = |model: BoundedModel, upper: f64| {
        let limits = Limits::new(None, Some(upper)).unwrap();
        known_indices(&model.quantiles().unwrap(), &limits)
            .unwrap()
            .worst
    };
    let mut made = Made::new(29);
    let half = truth(
        BoundedModel::FoldedNormal {
            location: 0.0,
            sigma: 1.0,
        },
        3.5,
    );
    let found = coverage(200, half, 3.5, || {
        made.normal(50).iter().map(|value| value.abs()).collect()
    });
    assert!((0.85..=0.99).contains(&found), "half normal {found}");
    let length = truth(BoundedModel::Rayleigh { sigma: 1.0 }, 4.0);
    let found = coverage(200, length, 4.0, || {
        (0..50).map(|_| made.one().hypot(made.one())).collect()
    });
    assert!((0.85..=0.99).contains(&found), "length {found}");
    let log = truth(
        BoundedModel::LogNormal {
            mu: 0.0,
            sigma: 0.4,
        },
        4.0,
    );
    let found = coverage(200, log, 4.0, || {
        made.normal(50)
            .iter()
            .map(|value| (0.4 * value).exp())
            .collect()
    });
    assert!((0.85..=0.99).contains(&found), "log-normal {found}");
    let away = truth(
        BoundedModel::FoldedNormal {
            location: 3.0,
            sigma: 1.0,
        },
        7.0,
    );
    let found = coverage(200, away, 7.0, || {
        made.normal(50)
            .iter()
            .map(|value| (3.0 + value).abs())
            .collect()
    });
    assert!((0.85..=0.99).contains(&found), "folded {found}");
}

#[test]
fn a_normal_model_would_promise_more() {
    let mut made = Made::new(41);
    let values: Vec<f64> = made
        .normal(300)
        .iter()
        .map(|value| value.abs() * 0.006)
        .collect();
    let limits = Limits::new(None, Some(0.02)).unwrap();
    let naive = capability(&values, &limits, 0.95).unwrap();
    let found = bounded_capability(&values, 0.02, 0.95).unwrap();
    assert!(
        found.worst.estimate.unwrap() < 0.85 * naive.worst.estimate.unwrap(),
        "{found:?}"
    );
    assert!(found.outside > 5.0 * naive.outside_above && found.quantiles.low >= 0.0);
    let few = bounded_capability(&values[..29], 0.02, 0.95).unwrap();
    assert!(few.worst.estimate.is_none());
}

#[test]
fn what_is_no_amount_is_refused() {
    let mut values = vec![
        0.001, 0.002, 0.003, 0.0, 0.004, 0.001, 0.002, 0.005, 0.001, 0.002,
    ];
    assert!(
        bounded_capability(&values, 0.01, 0.95).is_ok(),
        "zero is an amount"
    );
    assert!(bounded_capability(&values, 0.0, 0.95).is_err());
    assert!(bounded_capability(&values, f64::NAN, 0.95).is_err());
    assert_eq!(fit_bounded(&values[..9]).unwrap_err().code(), "too_few");
    values[2] = -0.001;
    assert_eq!(
        fit_bounded(&values),
        Err(StatisticsError::BelowZero { index: 2 })
    );
    values[2] = f64::NAN;
    assert_eq!(
        fit_bounded(&values),
        Err(StatisticsError::NotFinite { index: 2 })
    );
    assert_eq!(fit_bounded(&[0.1; 12]), Err(StatisticsError::AllEqual));
    assert_eq!(fit_bounded(&[0.0; 12]), Err(StatisticsError::AllEqual));
    let wrong = [
        BoundedModel::Rayleigh { sigma: 0.0 },
        BoundedModel::FoldedNormal {
            location: -1.0,
            sigma: 1.0,
        },
        BoundedModel::LogNormal {
            mu: f64::NAN,
            sigma: 1.0,
        },
        BoundedModel::TruncatedNormal {
            location: -31.0,
            sigma: 1.0,
        },
    ];
    for model in wrong {
        assert!(
            model.checked().is_err() && model.quantile(0.5).is_err(),
            "{model:?}"
        );
    }
    let good = BoundedModel::Rayleigh { sigma: 1.0 };
    assert!(good.quantile(0.0).is_err() && good.quantile(f64::NAN).is_err());
}

proptest! {
    #[test]
    fn quantiles_undo_the_shares(
        kind in 0_u8..4, location in 0.0_f64..8.0, sigma in 0.01_f64..2.0, p in 0.001_f64..0.999,
    ) {
        let model = match kind {
            0 => BoundedModel::FoldedNormal { location, sigma },
            1 => BoundedModel::LogNormal { mu: location, sigma },
            2 => BoundedModel::Rayleigh { sigma },
            _ => BoundedModel::TruncatedNormal { location: location - 4.0 * sigma, sigma },
        };
        let x = model.quantile(p).unwrap();
        prop_assert!(x >= 0.0 && (model.shares(x).0 - p).abs() < 1e-9, "{}", x);
    }

    #[test]
    fn any_amounts_get_a_model_or_a_reason(
        values in prop::collection::vec(0.0_f64..5.0, 0..60), upper in 0.01_f64..20.0,
    ) {
        if let Ok(found) = bounded_capability(&values, upper, 0.95) {
            prop_assert!(found.worst.lower <= found.worst.upper);
            prop_assert!((0.0..=1.0).contains(&found.outside));
        } else {
            prop_assert!(values.len() < 10);
        }
    }
}
