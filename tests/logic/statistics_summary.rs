//! Number, mean, deviation, extremes and neighbours against certified values.

use crate::statistics_cases::{data_sets, digits};
use crate::table::cases;
use fitledger::statistics::{
    StatisticsError, Summary, lag1_autocorrelation, mean_moving_range, summary,
};
use proptest::prelude::*;

/// Digits that must be reached: mean, standard deviation, autocorrelation.
///
/// The bars are those suggested with the data: below 14 only where the decimals of the data
/// themselves are not held by a float (`NumAcc3`: 1000000.1 has 9 digits of its tenth).
const BARS: [(&str, [f64; 3]); 5] = [
    ("strd_lew", [14.0, 14.0, 13.0]),
    ("strd_lottery", [14.0, 14.0, 13.0]),
    ("strd_mavro", [14.0, 12.0, 13.0]),
    ("strd_numacc1", [14.0, 14.0, 14.0]),
    ("strd_numacc3", [14.0, 8.0, 10.0]),
];

#[test]
fn certified_values_are_reached_to_the_digits_that_floats_hold() {
    for (set, (name, bars)) in data_sets().iter().zip(BARS) {
        assert_eq!(set.name, name);
        let values = set.values();
        let found = summary(&values).unwrap();
        let reached = [
            digits(found.mean, set.mean),
            digits(found.standard_deviation.unwrap(), set.standard_deviation),
            digits(lag1_autocorrelation(&values).unwrap(), set.autocorrelation),
        ];
        println!("{name}: digits of mean, deviation, autocorrelation {reached:.1?}");
        for (digits, bar) in reached.into_iter().zip(bars) {
            assert!(digits >= bar, "{name}: {digits} digits, not {bar}");
        }
        assert_eq!(found.count, values.len());
    }
}

#[test]
fn a_list_far_from_zero_keeps_the_digits_of_its_floats() {
    // Offsets that a float holds exactly: the deviations are those without the offset. Certified:
    // the series 1, 2, 3, ... has the variance n(n + 1)/12.
    for offset in [0.0, 1e6, 1e12, -3e14] {
        for n in [2_usize, 7, 2047, 2048, 2049, 5000] {
            let values: Vec<f64> = (1..=n).map(|k| offset + k as f64).collect();
            let found = summary(&values).unwrap();
            let n = n as f64;
            let expected = (n * (n + 1.0) / 12.0).sqrt();
            assert!(digits(found.standard_deviation.unwrap(), expected) >= 14.0);
            assert!(digits(found.mean, offset + (n + 1.0) / 2.0) >= 15.0);
            assert!((found.min - offset - 1.0).abs() < 0.5 && (found.max - offset - n).abs() < 0.5);
        }
    }
}

#[test]
fn a_mean_that_no_float_holds_does_not_widen_the_deviation() {
    // Above 2^53 floats are 2 apart: the mean of two neighbours lies between them.
    let low = 9_007_199_254_740_992.0;
    let found = summary(&[low, low + 2.0]).unwrap();
    assert!(digits(found.standard_deviation.unwrap(), 2.0_f64.sqrt()) >= 15.0);
}

#[test]
fn neighbours_agree_with_their_references() {
    let sets = data_sets();
    let all = cases(include_str!("../tables/sequences.csv"));
    assert_eq!(all.len(), 10);
    for case in all {
        let set = sets.iter().find(|set| set.name == case.text("data"));
        let values = set.unwrap().values();
        let found = match case.text("function") {
            "mean_moving_range" => mean_moving_range(&values),
            "lag1_autocorrelation" => lag1_autocorrelation(&values),
            other => panic!("unknown function {other}"),
        };
        case.check("expected", found.unwrap());
    }
}

#[test]
fn degenerate_lists_have_stated_results() {
    let none = summary(&[]).unwrap_err();
    assert_eq!(none.code(), "too_few");
    let text = "There are 0 values; a summary needs 1.";
    assert_eq!(none.to_string(), text);
    let single = Summary {
        count: 1,
        mean: 25.013,
        standard_deviation: None,
        min: 25.013,
        max: 25.013,
    };
    assert_eq!(summary(&[25.013]), Ok(single));
    // All equal: exactly 0 and exactly the value, however many.
    for n in [2, 3, 2049, 10_000] {
        let values = vec![0.1; n];
        let found = summary(&values).unwrap();
        assert_eq!(found.standard_deviation, Some(0.0));
        assert_eq!(found.mean.to_bits(), 0.1_f64.to_bits());
        assert_eq!(mean_moving_range(&values), Ok(0.0));
        let refused = lag1_autocorrelation(&values).unwrap_err();
        assert_eq!(refused.code(), "all_equal");
    }
    for function in [mean_moving_range, lag1_autocorrelation] {
        assert_eq!(function(&[1.0]).unwrap_err().code(), "too_few");
    }
}

#[test]
fn spreads_whose_squares_vanish_or_overflow_are_still_spreads() {
    for scale in [1e-300, 1e-160, 1e-120, 1e120, 1e139] {
        let values = [scale, 2.0 * scale, 3.0 * scale, 4.0 * scale];
        let found = summary(&values).unwrap().standard_deviation.unwrap();
        assert!(digits(found / scale, (5.0_f64 / 3.0).sqrt()) > 14.0);
        let neighbours = lag1_autocorrelation(&values).unwrap();
        assert!((neighbours - 0.25).abs() < 1e-12, "{neighbours}");
        assert!(digits(mean_moving_range(&values).unwrap(), scale) > 14.0);
    }
    let least = f64::from_bits(1);
    let found = summary(&[0.0, 0.0, 0.0, 0.0, 0.0, 0.0, least]).unwrap();
    assert_eq!(found.standard_deviation, Some(least));
}

#[test]
fn what_is_no_finite_number_is_refused_with_its_place() {
    for n in [2_usize, 9, 2048, 4097] {
        for at in [0, 1, n / 2, n - 1] {
            for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
                let mut values: Vec<f64> = (0..n).map(|k| k as f64).collect();
                values[at] = bad;
                let refused = Err(StatisticsError::NotFinite { index: at });
                assert_eq!(summary(&values).map(|found| found.mean), refused);
                assert_eq!(mean_moving_range(&values), refused);
                assert_eq!(lag1_autocorrelation(&values), refused);
            }
            let mut values = vec![-1e200; n];
            values[at] = -2e200;
            assert_eq!(summary(&values).unwrap_err().code(), "out_of_range");
            assert_eq!(
                mean_moving_range(&values).unwrap_err().code(),
                "out_of_range"
            );
        }
    }
    // Enormous values are refused however near together they are.
    for function in [mean_moving_range, lag1_autocorrelation] {
        assert_eq!(function(&[1e200; 3]).unwrap_err().code(), "out_of_range");
    }
    let place = StatisticsError::NotFinite { index: 4 };
    assert_eq!(place.to_string(), "Value 5 is not a number.");
}

#[test]
fn every_error_says_what_to_do() {
    let errors = [
        StatisticsError::AllEqual,
        StatisticsError::NotFinite { index: 0 },
        StatisticsError::UnevenSubgroup {
            index: 2,
            found: 4,
            needed: 5,
        },
        StatisticsError::UnevenSubgroup {
            index: 1,
            found: 1,
            needed: 2,
        },
        StatisticsError::TooFew {
            of: "value",
            found: 1,
            needed: 2,
            for_what: "a chart",
        },
    ];
    let texts = [
        "All values are the same: they show no spread.",
        "Value 1 is not a number.",
        "Subgroup 3 has 4 values, but the first has 5.",
        "Subgroup 2 has 1 value, but the first has 2.",
        "There is 1 value; a chart needs 2.",
    ];
    for (error, text) in errors.into_iter().zip(texts) {
        assert_eq!(error.to_string(), text);
        assert!(error.hint().unwrap().ends_with('.'), "{text}");
    }
}

/// The plain definition, twice through the list, in whole numbers: exact up to the last division.
fn by_definition(values: &[i32]) -> (f64, f64) {
    let n = values.len() as i128;
    let sum: i128 = values.iter().map(|y| i128::from(*y)).sum();
    let scatter: i128 = values
        .iter()
        .map(|y| (n * i128::from(*y) - sum).pow(2))
        .sum();
    let variance = scatter as f64 / (n * n * (n - 1)) as f64;
    (sum as f64 / n as f64, variance.sqrt())
}

proptest! {
    #[test]
    fn a_summary_is_its_definition(values in prop::collection::vec(-100_000_i32..100_000, 2..5000)) {
        let floats: Vec<f64> = values.iter().map(|y| f64::from(*y)).collect();
        let found = summary(&floats).unwrap();
        let (mean, deviation) = by_definition(&values);
        let found_deviation = found.standard_deviation.unwrap();
        prop_assert!((found.mean - mean).abs() <= 1e-12 * 1e5);
        prop_assert!((found_deviation - deviation).abs() <= 1e-13 * deviation);
        prop_assert_eq!(Some(found.min), values.iter().min().map(|y| f64::from(*y)));
        prop_assert_eq!(Some(found.max), values.iter().max().map(|y| f64::from(*y)));
        let apart: i64 = values.windows(2).map(|w| i64::from((w[1] - w[0]).abs())).sum();
        let range = apart as f64 / (values.len() - 1) as f64;
        prop_assert!((mean_moving_range(&floats).unwrap() - range).abs() <= 1e-12 * range);
    }

    #[test]
    fn any_floats_give_numbers_or_a_stated_error(values in prop::collection::vec(any::<f64>(), 0..20)) {
        if let Ok(found) = summary(&values) {
            let deviation = found.standard_deviation.unwrap_or_default();
            prop_assert!(found.mean.is_finite() && deviation.is_finite() && deviation >= 0.0);
            prop_assert!(found.min <= found.mean && found.mean <= found.max);
            prop_assert_eq!(deviation > 0.0, found.min < found.max);
        }
        if let Ok(found) = mean_moving_range(&values) {
            prop_assert!(found.is_finite());
        }
        if let Ok(found) = lag1_autocorrelation(&values) {
            prop_assert!((-1.0..=1.0).contains(&found));
        }
    }
}
