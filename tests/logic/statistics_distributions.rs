//! Chi-square, Fisher, Student and noncentral Student against references with stated digits.

use crate::table::cases;
use fitledger::statistics::{
    chi_square_cdf, chi_square_quantile, fisher_upper_tail, noncentral_t_cdf,
    noncentral_t_quantile, normal_cdf, student_cdf, student_quantile, student_two_tails,
    unbiasing_factor,
};
use proptest::prelude::*;

#[test]
fn every_distribution_agrees_with_its_references() {
    let cases = cases(include_str!("../tables/distributions.csv"));
    assert_eq!(cases.len(), 132);
    for case in cases {
        let given = case.number("given");
        let first = case.number_if_any("first").unwrap_or(f64::NAN);
        let second = case.number_if_any("second").unwrap_or(f64::NAN);
        let found = match case.text("function") {
            "chi_square_cdf" => chi_square_cdf(given, first),
            "chi_square_quantile" => chi_square_quantile(given, first),
            "unbiasing_factor" => unbiasing_factor(given),
            "fisher_upper_tail" => fisher_upper_tail(given, first, second),
            "student_two_tails" => student_two_tails(given, first),
            "student_cdf" => student_cdf(given, first),
            "noncentral_t_cdf" => noncentral_t_cdf(given, first, second),
            "noncentral_t_quantile" => noncentral_t_quantile(given, first, second),
            other => panic!("unknown function {other}"),
        };
        case.check("expected", found.unwrap());
    }
}

#[test]
fn the_ends_of_the_distributions_are_their_limits() {
    let near = |found: f64, wanted: f64| assert!((found - wanted).abs() < 1e-15, "{found}");
    near(chi_square_cdf(0.0, 3.0).unwrap(), 0.0);
    near(chi_square_cdf(f64::INFINITY, 3.0).unwrap(), 1.0);
    near(chi_square_cdf(1e9, 3.0).unwrap(), 1.0);
    near(fisher_upper_tail(0.0, 2.0, 3.0).unwrap(), 1.0);
    near(fisher_upper_tail(f64::INFINITY, 2.0, 3.0).unwrap(), 0.0);
    near(student_cdf(0.0, 3.0).unwrap(), 0.5);
    near(noncentral_t_cdf(1e30, 3.0, 2.0).unwrap(), 1.0);
    near(noncentral_t_cdf(-1e30, 3.0, 2.0).unwrap(), 0.0);
}

#[test]
fn arguments_outside_the_measured_range_are_refused() {
    for bad in [0.0, -1.0, 1e9, f64::NAN, f64::INFINITY] {
        assert!(chi_square_cdf(1.0, bad).is_err(), "{bad}");
        assert!(chi_square_quantile(0.5, bad).is_err());
        assert!(unbiasing_factor(bad).is_err());
        assert!(fisher_upper_tail(1.0, bad, 2.0).is_err());
        assert!(fisher_upper_tail(1.0, 2.0, bad).is_err());
        assert!(student_cdf(1.0, bad).is_err());
        assert!(noncentral_t_cdf(1.0, bad, 0.0).is_err());
    }
    for p in [0.0, 1.0, -0.1, 1.1, f64::NAN] {
        assert!(chi_square_quantile(p, 3.0).is_err());
        assert!(noncentral_t_quantile(p, 3.0, 1.0).is_err());
    }
    assert!(chi_square_cdf(-1.0, 3.0).is_err() && chi_square_cdf(f64::NAN, 3.0).is_err());
    assert!(fisher_upper_tail(f64::NAN, 3.0, 3.0).is_err());
    assert!(student_cdf(f64::NAN, 3.0).is_err() && noncentral_t_cdf(1.0, 0.9, 0.0).is_err());
    assert!(noncentral_t_cdf(f64::NAN, 3.0, 0.0).is_err());
    assert!(noncentral_t_cdf(1.0, 3.0, 1e8).is_err());
}

proptest! {
    #[test]
    fn quantiles_undo_their_distributions(
        v in 1.0_f64..3000.0, p in 0.001_f64..0.999, d in -30.0_f64..200.0,
    ) {
        let x = chi_square_quantile(p, v).unwrap();
        prop_assert!((chi_square_cdf(x, v).unwrap() - p).abs() < 1e-12);
        let t = student_quantile(p, v).unwrap();
        prop_assert!((student_cdf(t, v).unwrap() - p).abs() < 1e-9);
        let whole = v.floor();
        let t = noncentral_t_quantile(p, whole, d).unwrap();
        prop_assert!((noncentral_t_cdf(t, whole, d).unwrap() - p).abs() < 1e-11);
    }

    #[test]
    fn relatives_of_the_same_family_agree(v in 4.0_f64..1e5, t in -6.0_f64..6.0) {
        let student = student_cdf(t, v).unwrap();
        prop_assert!((noncentral_t_cdf(t, v.floor(), 0.0).unwrap()
            - student_cdf(t, v.floor()).unwrap()).abs() < 1e-12);
        prop_assert!((student - normal_cdf(t)).abs() < 0.3 / v);
        // A squared normal value is chi-square with one degree of freedom.
        let square = chi_square_cdf(t * t, 1.0).unwrap();
        prop_assert!((square - (1.0 - 2.0 * normal_cdf(-t.abs()))).abs() < 1e-13);
    }
}
