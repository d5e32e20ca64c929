//! Quantiles against references and against sorting.

use crate::statistics_cases::data_sets;
use crate::table::cases;
use fitledger::statistics::{StatisticsError, quantile, quantiles};
use proptest::prelude::*;

#[test]
fn quantiles_agree_with_their_references() {
    let sets = data_sets();
    let all = cases(include_str!("../tables/quantiles.csv"));
    assert_eq!(all.len(), 40);
    for case in &all {
        let set = sets.iter().find(|set| set.name == case.text("data"));
        let found = quantile(&set.unwrap().values(), case.number("p")).unwrap();
        case.check("expected", found);
    }
}

#[test]
fn a_median_of_few_values_is_their_middle() {
    assert_eq!(quantile(&[3.0], 0.3), Ok(3.0));
    assert_eq!(quantile(&[3.0, 1.0], 0.5), Ok(2.0));
    assert_eq!(quantile(&[3.0, -1.0, 2.0], 0.5), Ok(2.0));
    assert_eq!(quantile(&[-5.0, -7.0, 0.0, -0.0, 6.0], 0.25), Ok(-5.0));
    assert_eq!(quantiles(&[1.0, 2.0], &[]), Ok(Vec::new()));
    // In the order in which they are asked, one of them twice.
    let found = quantiles(&[4.0, 1.0, 3.0, 2.0, 5.0], &[1.0, 0.0, 0.5, 1.0]);
    assert_eq!(found, Ok(vec![5.0, 1.0, 3.0, 5.0]));
}

#[test]
fn bad_lists_and_shares_are_refused() {
    assert_eq!(quantile(&[], 0.5).unwrap_err().code(), "too_few");
    for p in [-0.01, 1.01, f64::NAN, f64::INFINITY] {
        assert_eq!(quantile(&[1.0, 2.0], p).unwrap_err().code(), "out_of_range");
    }
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let refused = StatisticsError::NotFinite { index: 1 };
        assert_eq!(quantile(&[1.0, bad, 2.0], 0.5), Err(refused));
    }
    assert!(quantile(&[1.0, 1e200], 0.5).is_err());
}

proptest! {
    #[test]
    fn quantiles_are_those_of_the_sorted_list(
        values in prop::collection::vec(-1e6_f64..1e6, 1..300),
        shares in prop::collection::vec(0.0_f64..=1.0, 0..8),
    ) {
        let found = quantiles(&values, &shares).unwrap();
        let mut sorted = values.clone();
        sorted.sort_by(f64::total_cmp);
        prop_assert_eq!(found.len(), shares.len());
        for (p, found) in shares.iter().zip(found) {
            let height = p * (sorted.len() - 1) as f64;
            let below = (0..sorted.len()).rev().find(|j| *j as f64 <= height).unwrap();
            let low = sorted[below];
            let high = sorted[(below + 1).min(sorted.len() - 1)];
            let expected = low + (height - below as f64) * (high - low);
            prop_assert!((found - expected).abs() <= 1e-9, "{} {}", found, expected);
            prop_assert!(low <= found && found <= high);
        }
    }
}
