//! Tests for normal values against published examples and reference libraries.

use crate::statistics_cases::{case, cases, near, number, numbers};
use fitledger::statistics::{StatisticsError, anderson_darling, resolution, shapiro_wilk};
use proptest::prelude::*;

#[test]
fn the_published_examples_are_met() {
    let univariate = include_str!("../tables/strd_univariate.json");
    let cases = cases(include_str!("../tables/normality.json"));
    assert_eq!(cases.len(), 2);
    for case in cases {
        let data = match case["data"].as_str() {
            Some(_) => numbers(&self::case(univariate, "strd_lew")["data"]),
            None => numbers(&case["data"]),
        };
        let found = anderson_darling(&data).unwrap();
        let wanted = &case["anderson_darling"];
        near("A2", found.a2, number(&wanted["A2"]), 1e-12);
        near("A2*", found.adjusted, number(&wanted["A2_star"]), 1e-12);
        near("p", found.p, number(&wanted["p_value"]), 1e-10);
        let found = shapiro_wilk(&data).unwrap();
        let wanted = &case["shapiro_wilk"];
        near("W", found.w, number(&wanted["W"]), 1e-12);
        near("p of W", found.p, number(&wanted["p_value"]), 1e-9);
        if let Some(published) = case["published"].as_object() {
            let found = anderson_darling(&data).unwrap();
            assert!((found.a2 - number(&published["A2"])).abs() <= 0.0005);
            assert!((found.adjusted - number(&published["A2_star"])).abs() <= 0.0005);
        }
    }
}

/// The values that the reference file describes in its line `values`.
fn made(n: usize, shape: &str) -> Vec<f64> {
    let mut state = 20_u64;
    let mut step = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        state >> 44
    };
    let value = |_| match shape {
        "uniform" => step() as f64,
        "sum" => (0..12).map(|_| step()).sum::<u64>() as f64,
        "squared" => ((0..12).map(|_| step()).sum::<u64>() / 4096).pow(2) as f64,
        other => panic!("unknown shape {other}"),
    };
    (0..n).map(value).collect()
}

#[test]
fn three_to_a_million_values_agree_with_the_reference_libraries() {
    let cases = cases(include_str!("../tables/normality_references.json"));
    assert_eq!(cases.len(), 51);
    for case in cases {
        let n = usize::try_from(case["n"].as_u64().unwrap()).unwrap();
        let name = case["id"].as_str().unwrap();
        let values = made(n, case["shape"].as_str().unwrap());
        if case["A2"].is_number() {
            let tested = anderson_darling(&values).unwrap();
            let found = tested.a2;
            // Far out the formula for p turns back up; what is reported must not.
            assert!(tested.p <= if found > 13.0 { 1e-29 } else { 1.0 }, "{name}");
            near(
                name,
                found,
                number(&case["A2"]),
                1e-12 * (n as f64 / 100.0).max(1.0),
            );
        } else {
            assert!(n < 8, "{name}");
        }
        if case["W"].is_number() {
            let found = shapiro_wilk(&values).unwrap();
            let wanted = number(&case["W"]);
            assert!(
                (found.w - wanted).abs() < 1e-12,
                "{name}: {} {wanted}",
                found.w
            );
            near(name, found.p, number(&case["W_p"]), 1e-8);
        } else {
            assert!(n > 5000, "{name}");
        }
    }
}

#[test]
fn the_probability_keeps_falling_and_never_leaves_zero_to_one() {
    let mut values: Vec<f64> = made(200, "sum");
    let mut before = 1.0;
    for power in 0..60 {
        values[0] = 6e6 + 1e5 * 1.4_f64.powi(power);
        let found = anderson_darling(&values).unwrap();
        assert!((0.0..=1.0).contains(&found.p), "{found:?}");
        if power > 12 {
            assert!(found.p <= before * 1.000_001 && found.a2.is_finite());
        }
        before = found.p;
        assert!((0.0..=1.0).contains(&shapiro_wilk(&values).unwrap().p));
    }
    assert!(before < 1e-20);
}

#[test]
fn what_cannot_be_tested_is_refused() {
    let few = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0];
    let message = anderson_darling(&few).unwrap_err().to_string();
    assert_eq!(
        message,
        "There are 7 values; the Anderson-Darling test needs 8."
    );
    assert_eq!(shapiro_wilk(&few[..2]).unwrap_err().code(), "too_few");
    assert_eq!(anderson_darling(&[2.0; 20]), Err(StatisticsError::AllEqual));
    assert_eq!(shapiro_wilk(&[2.0; 20]), Err(StatisticsError::AllEqual));
    assert_eq!(resolution(&[2.0; 20], None), Err(StatisticsError::AllEqual));
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let mut values = made(20, "sum");
        values[7] = bad;
        assert_eq!(
            anderson_darling(&values),
            Err(StatisticsError::NotFinite { index: 7 })
        );
        assert_eq!(
            shapiro_wilk(&values),
            Err(StatisticsError::NotFinite { index: 7 })
        );
        assert_eq!(
            resolution(&values, None),
            Err(StatisticsError::NotFinite { index: 7 })
        );
        assert!(resolution(&few, Some(bad)).is_err());
    }
    assert_eq!(
        shapiro_wilk(&made(5001, "sum")).unwrap_err().code(),
        "out_of_range"
    );
    assert!(anderson_darling(&[-1e308, 1e308, 0.0, 1.0, 2.0, 3.0, 4.0, 5.0]).is_err());
    assert!(resolution(&few, Some(0.0)).is_err() && resolution(&[], None).is_err());
}

#[test]
fn readings_that_are_too_coarse_are_named_as_such() {
    // 200 values, sd near 1 mm: hundredths are fine, tenths give a rise just below the bound,
    // quarters are too coarse.
    let fine: Vec<f64> = made(200, "sum")
        .iter()
        .map(|value| value / 1_048_576.0)
        .collect();
    let rounded = |step: f64| -> Vec<f64> {
        fine.iter()
            .map(|value| (value / step).round() * step)
            .collect()
    };
    let found = resolution(&rounded(0.01), None).unwrap();
    assert!(
        (found.step - 0.01).abs() < 1e-9 && !found.too_coarse,
        "{found:?}"
    );
    let found = resolution(&rounded(0.1), None).unwrap();
    assert!(
        (found.step - 0.1).abs() < 1e-9 && !found.too_coarse,
        "{found:?}"
    );
    assert!((0.06..0.1).contains(&found.rise), "{found:?}");
    let found = resolution(&rounded(0.25), None).unwrap();
    assert!(found.too_coarse && found.distinct < 30, "{found:?}");
    // A stated step counts even where no two readings lie one step apart.
    assert!(resolution(&fine, Some(0.25)).unwrap().too_coarse);
    // The integral itself (mpmath 1.4.0: 0.040044829839575861 for one value and one step).
    near(
        "rise",
        found.rise,
        0.040_044_829_839_575_86 * 200.0 * found.step_over_sd.powi(2),
        1e-12,
    );
}

proptest! {
    #[test]
    fn neither_place_nor_size_nor_order_matters(
        mut values in prop::collection::vec(-50.0_f64..50.0, 8..200),
        place in -1e3_f64..1e3, size in 1e-3_f64..1e3,
    ) {
        let (a, w) = (anderson_darling(&values).unwrap(), shapiro_wilk(&values).unwrap());
        let moved: Vec<f64> = values.iter().map(|value| place - size * value).collect();
        values.reverse();
        let (b, v) = (anderson_darling(&moved).unwrap(), shapiro_wilk(&moved).unwrap());
        prop_assert!((a.a2 - b.a2).abs() < 1e-6 * a.a2.max(1.0) && (w.w - v.w).abs() < 1e-8);
        let b = anderson_darling(&values).unwrap();
        prop_assert!((a.a2 - b.a2).abs() < 1e-11 * a.a2.max(1.0));
        prop_assert!((0.0..=1.0).contains(&w.w) && (0.0..=1.0).contains(&w.p));
    }
}
