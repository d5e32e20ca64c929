//! Histograms: every value in one bin, and every bin fair.

use fitledger::statistics::{histogram, number_of_bins};
use proptest::prelude::*;

use crate::statistics_cases::{json_cases, numbers};

#[test]
fn bins_hold_whole_steps_of_the_resolution() {
    // 25.00 to 25.09 mm by a caliper of 0.01 mm: ten possible readings in five bins of two.
    let values: Vec<f64> = (0..10).map(|k| 25.0 + f64::from(k) * 0.01).collect();
    let found = histogram(&values, 0.01, 5).unwrap();
    assert_eq!(found.steps_per_bin, 2);
    assert_eq!(found.counts, [2; 5]);
    assert!((found.bin_width - 0.02).abs() < 1e-12);
    assert!((found.start - 24.995).abs() < 1e-12);
}

#[test]
fn a_new_reading_moves_no_bin_edge_of_the_same_width() {
    let found = histogram(&[3.0, 5.0, 6.0, 9.0], 1.0, 4).unwrap();
    let wider = histogram(&[3.0, 5.0, 6.0, 9.0, 2.0], 1.0, 4).unwrap();
    assert_eq!((found.steps_per_bin, wider.steps_per_bin), (2, 2));
    assert_eq!(found.counts, [1, 1, 1, 1]);
    assert_eq!(wider.counts, [2, 1, 1, 1]);
    assert!((found.start - 1.5).abs() < 1e-12 && (wider.start - 1.5).abs() < 1e-12);
}

#[test]
fn where_aligned_bins_are_one_too_many_they_are_a_step_wider() {
    // Two steps wide, 1 to 8 would need five bins: 0-1, 2-3, 4-5, 6-7, 8-9.
    let values: Vec<f64> = (1..=8).map(f64::from).collect();
    let found = histogram(&values, 1.0, 4).unwrap();
    assert_eq!((found.steps_per_bin, found.counts), (3, vec![2, 3, 3]));
}

#[test]
fn degenerate_lists_and_settings_have_stated_results() {
    let single = histogram(&[-0.3], 0.1, 7).unwrap();
    assert_eq!((single.counts, single.steps_per_bin), (vec![1], 1));
    let one_bin = histogram(&[-2.0, -1.0, 0.0, 1.0], 1.0, 1).unwrap();
    assert_eq!(one_bin.counts, [4]);
    assert!((one_bin.start + 2.5).abs() < 1e-12);
    assert_eq!(histogram(&[], 0.1, 7).unwrap_err().code(), "too_few");
    assert_eq!(
        histogram(&[1.0, f64::NAN], 0.1, 7).unwrap_err().code(),
        "not_finite"
    );
    for resolution in [0.0, -0.1, f64::NAN, f64::INFINITY, 1e-300] {
        assert_eq!(
            histogram(&[1.0], resolution, 7).unwrap_err().code(),
            "out_of_range"
        );
    }
    for bins in [0, 10_001] {
        assert_eq!(
            histogram(&[1.0], 0.1, bins).unwrap_err().code(),
            "out_of_range"
        );
    }
    // Extremes as far apart as steps can be counted: done at once.
    let far = histogram(&[-4e15, 4e15], 1.0, 2).unwrap();
    assert_eq!(far.counts, [1, 1]);
}

/// Against numpy's `histogram_bin_edges(…, bins="auto")`.
#[test]
fn a_list_is_worth_as_many_bins_as_the_reference_says() {
    let table = include_str!("../tables/histogram_bins.json");
    let univariate = include_str!("../tables/strd_univariate.json");
    let cases = json_cases(table, 11);
    for case in cases {
        let data = match case["data"].as_str() {
            Some(other) => {
                let id = other.split(' ').nth(1).unwrap();
                numbers(&crate::statistics_cases::case(univariate, id)["data"])
            }
            None => numbers(&case["data"]),
        };
        let expected = case["bins"].as_u64().unwrap();
        let found = number_of_bins(&data).unwrap();
        assert_eq!(found as u64, expected, "{}", case["id"]);
    }
    assert_eq!(number_of_bins(&[]).unwrap_err().code(), "too_few");
    assert_eq!(
        number_of_bins(&[1.0, f64::NAN]).unwrap_err().code(),
        "not_finite"
    );
}

proptest! {
    #[test]
    fn every_value_is_in_the_bin_around_it(
        steps in prop::collection::vec(-500_i32..500, 1..200),
        resolution in prop::sample::select(vec![0.001, 0.01, 0.0254, 0.5, 1.0]),
        bins in 1_usize..40,
    ) {
        let values: Vec<f64> = steps.iter().map(|s| f64::from(*s) * resolution).collect();
        let found = histogram(&values, resolution, bins).unwrap();
        prop_assert!(found.counts.len() <= bins);
        prop_assert!(found.counts.first() > Some(&0) && found.counts.last() > Some(&0));
        prop_assert_eq!(found.counts.iter().sum::<u64>(), values.len() as u64);
        for (bin, count) in found.counts.iter().enumerate() {
            let low = found.start + bin as f64 * found.bin_width;
            let high = low + found.bin_width;
            let inside = values.iter().filter(|y| low < **y && **y < high).count();
            prop_assert_eq!(inside as u64, *count);
        }
    }
}
