//! The interval of the median: ranks by the binomial distribution.

use fitledger::statistics::{StatisticsError, median_interval};

use crate::table::cases;

#[test]
fn the_ranks_are_those_of_the_binomial_distribution() {
    let cases = cases(include_str!("../tables/median_ranks.csv"));
    assert_eq!(cases.len(), 60);
    for case in &cases {
        let n = case.text("n").parse::<u32>().unwrap();
        // In no order: the ranks must not hang on it.
        let mut values: Vec<f64> = (1..=n).map(f64::from).collect();
        values.reverse();
        let (half, rest) = values.split_at(values.len() / 2);
        let values = [rest, half].concat();
        let found = median_interval(&values, case.number("confidence")).unwrap();
        let (lower, upper) = found.unwrap_or((0.0, f64::from(n) + 1.0));
        case.check("rank", lower);
        case.check("rank", f64::from(n) + 1.0 - upper);
    }
}

#[test]
fn what_has_no_interval_says_so() {
    assert_eq!(median_interval(&[1.0, 2.0], 0.95), Ok(None));
    assert_eq!(
        median_interval(&[1.0, f64::NAN], 0.95),
        Err(StatisticsError::NotFinite { index: 1 })
    );
    assert_eq!(median_interval(&[], 0.95).unwrap_err().code(), "too_few");
    assert_eq!(
        median_interval(&[1.0], 1.5).unwrap_err().code(),
        "out_of_range"
    );
}
