//! Distribution functions against references with stated digits.

use crate::table::cases;
use fitledger::statistics::{normal_cdf, normal_quantile, student_quantile};
use proptest::prelude::*;

#[test]
fn distribution_functions_agree_with_their_references() {
    for case in cases(include_str!("../tables/special_functions.csv")) {
        let given = case.number("given");
        let found = match case.text("function") {
            "normal_cdf" => normal_cdf(given),
            "normal_quantile" => normal_quantile(given).unwrap(),
            "student_quantile" => {
                student_quantile(given, case.number("degrees_of_freedom")).unwrap()
            }
            other => panic!("unknown function {other}"),
        };
        case.check("expected", found);
    }
}

#[test]
fn the_ends_of_the_normal_distribution_are_its_limits() {
    assert!(normal_cdf(f64::NEG_INFINITY).abs() < f64::MIN_POSITIVE);
    assert!((normal_cdf(f64::INFINITY) - 1.0).abs() < f64::EPSILON);
    assert!((normal_cdf(0.0) - 0.5).abs() < f64::EPSILON);
    assert!(normal_cdf(f64::NAN).is_nan());
}

#[test]
fn questions_outside_the_measured_range_are_refused() {
    for p in [0.0, 1.0, -0.1, f64::NAN] {
        assert_eq!(normal_quantile(p).unwrap_err().code(), "out_of_range");
        assert!(student_quantile(p, 5.0).is_err());
    }
    for freedom in [0.0, 0.99, -3.0, f64::NAN, f64::NEG_INFINITY] {
        assert!(student_quantile(0.975, freedom).is_err(), "{freedom}");
    }
}

proptest! {
    #[test]
    fn the_normal_quantile_undoes_the_distribution(z in -8.0_f64..4.0) {
        // Further up, a probability near 1 has too few digits left for the way back.
        let back = normal_quantile(normal_cdf(z)).unwrap();
        prop_assert!((back - z).abs() < 1e-11, "{}", back);
    }

    #[test]
    fn student_quantiles_shrink_toward_the_normal_one(
        freedom in 1.0_f64..1e9, p in 0.6_f64..0.999,
    ) {
        let (t, wider) = (student_quantile(p, freedom).unwrap(),
            student_quantile(p, freedom * 1.01).unwrap());
        prop_assert!(t >= wider * (1.0 - 1e-9) && t >= normal_quantile(p).unwrap() * (1.0 - 1e-12));
    }
}
