//! Statistical tolerance intervals against published tables and the reference library.

use crate::statistics_cases;
use crate::statistics_cases::{near, number, numbers};
use crate::statistics_made::Made;
use crate::table::cases;
use fitledger::statistics::{
    Limits, Sides, StatisticsError, normal_cdf, overall_sigma, tolerance_factor_approximate,
    tolerance_factor_one_sided, tolerance_factor_two_sided, tolerance_interval,
};

fn count(number: f64) -> usize {
    format!("{number}").parse().unwrap()
}

#[test]
fn the_table_of_factors_is_met_to_its_last_digit() {
    let cases = cases(include_str!("../tables/tolerance_factors.csv"));
    assert_eq!(cases.len(), 114);
    for case in cases {
        let n = count(case.number("n"));
        let (share, level) = (case.number("share"), case.number("confidence"));
        case.check(
            "one_sided",
            tolerance_factor_one_sided(n, share, level).unwrap(),
        );
        case.check(
            "two_sided",
            tolerance_factor_two_sided(n, share, level).unwrap(),
        );
        let howe = tolerance_factor_approximate(n, share, level).unwrap();
        case.check("two_sided_approximation", howe);
    }
}

#[test]
fn factors_beyond_the_table_agree_with_the_reference_library() {
    let cases = cases(include_str!("../tables/tolerance_references.csv"));
    assert_eq!(cases.len(), 20);
    for case in cases {
        let n = count(case.number("n"));
        let (share, level) = (case.number("share"), case.number("confidence"));
        let found = match case.text("function") {
            "one_sided" => tolerance_factor_one_sided(n, share, level),
            _ => tolerance_factor_two_sided(n, share, level),
        };
        case.check("factor", found.unwrap());
    }
}

#[test]
fn published_tables_and_examples_are_met() {
    let cases = statistics_cases::cases(include_str!("../tables/tolerance_intervals.json"));
    assert_eq!(cases.len(), 2);
    let (expected, published) = (&cases[0]["expected"], &cases[0]["published"]);
    let howe = tolerance_factor_approximate(43, 0.9, 0.99).unwrap();
    near("Howe", howe, number(&expected["k2_Howe"]), 1e-10);
    assert!((howe - number(&published["k2"])).abs() < 0.0005);
    let exact = tolerance_factor_two_sided(43, 0.9, 0.99).unwrap();
    near("two-sided", exact, number(&expected["k2_exact"]), 1e-9);
    let one = tolerance_factor_one_sided(43, 0.9, 0.99).unwrap();
    near(
        "one-sided",
        one,
        number(&expected["k1_exact_noncentral_t"]),
        1e-9,
    );
    // The published factor is Natrella's approximation.
    assert!((one - number(&published["k1"])).abs() < 0.002);
    let ends = numbers(&expected["two_sided_interval_Howe"]);
    near("lower", 97.07 - howe * 0.0268, ends[0], 1e-12);
    near("upper", 97.07 + howe * 0.0268, ends[1], 1e-12);
    let table = cases[1]["table"].as_object().unwrap();
    assert_eq!(table.len(), 14);
    for (n, row) in table {
        for (share, printed) in [0.9, 0.95, 0.99].iter().zip(numbers(row)) {
            let found = tolerance_factor_two_sided(n.parse().unwrap(), *share, 0.95).unwrap();
            assert!(
                (found - printed).abs() < 0.006,
                "{n} {share}: {found} {printed}"
            );
        }
    }
}

#[test]
fn intervals_hold_their_share_as_often_as_they_say() {
    // 4000 samples of 10; two deviations of a share of 4000 near 0.95 are 0.007.
    let mut made = Made::new(23);
    let first = made.normal(10);
    let factors = [Sides::Both, Sides::Upper, Sides::Lower]
        .map(|sides| tolerance_interval(&first, sides, 0.9, 0.95).unwrap().factor);
    let mut held = [0_u32; 3];
    for _ in 0..4000 {
        let values = made.normal(10);
        let (mean, sd) = (
            values.iter().sum::<f64>() / 10.0,
            overall_sigma(&values).unwrap().value,
        );
        let high = factors.map(|factor| normal_cdf(mean + factor * sd));
        let low = factors.map(|factor| normal_cdf(mean - factor * sd));
        let shares = [high[0] - low[0], high[1], 1.0 - low[2]];
        for (count, share) in held.iter_mut().zip(shares) {
            *count += u32::from(share >= 0.9);
        }
    }
    for count in held {
        assert!((f64::from(count) / 4000.0 - 0.95).abs() < 0.012, "{held:?}");
    }
}

#[test]
fn an_interval_is_compared_with_the_limits_it_has() {
    let values = [1.0, 1.1, 0.9, 1.05, 0.95, 1.02];
    let found = tolerance_interval(&values, Sides::Both, 0.95, 0.95).unwrap();
    let (low, high) = (found.lower.unwrap(), found.upper.unwrap());
    assert!((found.mean - 0.5 * (low + high)).abs() < 1e-12 && found.n == 6);
    let limits = |low, high| Limits::new(low, high).unwrap();
    assert!(found.lies_within(&limits(Some(low - 0.01), Some(high + 0.01))));
    assert!(!found.lies_within(&limits(Some(low + 0.01), Some(high + 0.01))));
    assert!(!found.lies_within(&limits(None, Some(high - 0.01))));
    let upper = tolerance_interval(&values, Sides::Upper, 0.95, 0.95).unwrap();
    assert!(upper.lower.is_none() && upper.upper.unwrap() < high);
    assert!(upper.lies_within(&limits(Some(5.0), Some(9.0))));
}

#[test]
fn questions_without_an_answer_are_refused() {
    assert_eq!(
        tolerance_factor_two_sided(1, 0.9, 0.95).unwrap_err().code(),
        "too_few"
    );
    assert!(tolerance_factor_one_sided(20_000_000, 0.9, 0.95).is_err());
    for bad in [0.0, 0.4, 1.0, f64::NAN] {
        assert!(tolerance_factor_two_sided(9, bad, 0.95).is_err());
        assert!(tolerance_factor_one_sided(9, 0.9, bad).is_err());
        assert!(tolerance_factor_approximate(9, 0.9, bad).is_err());
    }
    let equal = tolerance_interval(&[3.0; 4], Sides::Both, 0.9, 0.95);
    assert_eq!(equal, Err(StatisticsError::AllEqual));
    let bad = tolerance_interval(&[3.0, f64::INFINITY], Sides::Both, 0.9, 0.95);
    assert_eq!(bad, Err(StatisticsError::NotFinite { index: 1 }));
}
