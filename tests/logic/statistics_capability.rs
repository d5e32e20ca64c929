//! Capability against published examples, reference libraries and simulated processes.

use crate::statistics_cases::{case, cases, groups, near, number, numbers};
use crate::statistics_made::Made;
use fitledger::statistics::{
    BoundedModel, Capability, Limits, Quantiles, Sigma, SigmaMethod, StatisticsError, capability,
    capability_with, capability_within, cp_interval, cpk_interval_approximate, cpk_lower_bound,
    cpk_upper_bound, known_indices, normal_quantile, overall_sigma, percentile_performance,
    sigma_by_deviation, sigma_by_moving_range, sigma_by_range, sigma_pooled,
};
use proptest::prelude::*;
use serde_json::Value;

const FILE: &str = include_str!("../tables/capability.json");

/// The limits of a case: LSL, USL or U.
fn limits(input: &Value) -> Limits {
    let upper = input.get("USL").or(input.get("U")).map(number);
    Limits::new(input.get("LSL").map(number), upper).unwrap()
}

fn sigma(value: f64, n: usize) -> Sigma {
    Sigma {
        value,
        degrees_of_freedom: (n - 1) as f64,
        method: SigmaMethod::Overall,
    }
}

#[test]
fn every_case_of_the_capability_file_is_met() {
    let mut read = 0;
    for case in cases(FILE) {
        let (input, expected) = (&case["input"], &case["expected"]);
        match case["id"].as_str().unwrap() {
            "nist_6_1_6" | "one_sided_bottle_strength" => normal_case(&case),
            "cp_confidence" => {
                let cp = limits(input).width().unwrap() / 6.0 / number(&input["s"]);
                near("Cp", cp, number(&expected["Cp"]), 1e-14);
                let (low, high) = cp_interval(cp, number(&input["n"]) - 1.0, 0.95).unwrap();
                let wanted = numbers(&expected["Cp_interval_chi_square"]);
                near("lower", low, wanted[0], 1e-12);
                near("upper", high, wanted[1], 1e-12);
                let published = numbers(&case["published"]["interval"]);
                assert!((low - published[0]).abs() < 0.01 && (high - published[1]).abs() < 0.01);
            }
            "cpk_confidence" => {
                let estimate = number(&input["Cpk_hat"]);
                let (low, high) = cpk_interval_approximate(estimate, 20, 0.95).unwrap();
                let wanted = numbers(&expected["approximate_two_sided"]);
                near("lower", low, wanted[0], 1e-12);
                near("upper", high, wanted[1], 1e-12);
                let bound = cpk_lower_bound(estimate, 20, 19.0, 0.95).unwrap();
                let wanted = number(&expected["lower_bound_one_sided_95_noncentral_t"]);
                near("bound", bound, wanted, 1e-9);
            }
            "subgrouped_flow_width" => subgrouped_case(&case),
            _ => percentile_case(&case),
        }
        read += 1;
    }
    assert_eq!(read, 8);
}

/// A case that gives mean and standard deviation of a normal distribution.
fn normal_case(case: &Value) {
    let (input, expected) = (&case["input"], &case["expected"]);
    let (mean, s) = (number(&input["mean"]), number(&input["s"]));
    let limits = limits(input);
    let found = known_indices(&Quantiles::normal(mean, s), &limits).unwrap();
    let judged = capability_with(mean, 50, &sigma(s, 50), &limits, 0.95).unwrap();
    let pairs = [
        ("Cp", found.spread, judged.spread),
        ("CpkU", found.above, judged.above),
        ("CpkL", found.below, judged.below),
        ("Cpk", Some(found.worst), Some(judged.worst)),
    ];
    for (name, known, index) in pairs {
        let Some(wanted) = expected.get(name).map(number) else {
            assert!(known.is_none() && index.is_none(), "{name}");
            continue;
        };
        near(name, known.unwrap(), wanted, 1e-14);
        near(name, index.unwrap().estimate.unwrap(), wanted, 1e-14);
        if let Some(published) = case["published"].get(name).map(number) {
            assert!((known.unwrap() - published).abs() < 0.005, "{name}");
        }
    }
    let outside = judged.outside_below + judged.outside_above;
    near(
        "outside",
        outside,
        number(&expected["fraction_nonconforming_normal"]),
        1e-12,
    );
}

fn subgrouped_case(case: &Value) {
    let (input, expected) = (&case["input"], &case["expected"]);
    let charts = include_str!("../tables/control_charts.json");
    let subgroups = groups(&self::case(charts, "xbarR_flow_width")["subgroups"]);
    let all: Vec<f64> = subgroups.concat();
    let by_range = sigma_by_range(&subgroups).unwrap();
    let others = [
        (
            "sigma_within_sbar_over_c4",
            sigma_by_deviation(&subgroups).unwrap(),
        ),
        ("sigma_within_pooled", sigma_pooled(&subgroups).unwrap()),
        ("sigma_overall_n_minus_1", overall_sigma(&all).unwrap()),
    ];
    // The file's d2 and c4 have six decimals.
    near(
        "R",
        by_range.value,
        number(&expected["sigma_within_Rbar_over_d2"]),
        5e-7,
    );
    for (name, sigma) in others {
        near(name, sigma.value, number(&expected[name]), 1e-6);
    }
    let limits = limits(input);
    let within = capability_within(&subgroups, &by_range, &limits, 0.95).unwrap();
    let overall = capability(&all, &limits, 0.95).unwrap();
    near("mean", within.mean, number(&expected["mean"]), 1e-14);
    let pairs = [
        ("Cp", within.spread.unwrap(), 5e-7),
        ("Cpk", within.worst, 5e-7),
        ("Pp", overall.spread.unwrap(), 1e-12),
        ("Ppk", overall.worst, 1e-12),
    ];
    for (name, index, allowed) in pairs {
        near(
            name,
            index.estimate.unwrap(),
            number(&expected[name]),
            allowed,
        );
        assert!(index.lower < number(&expected[name]) && number(&expected[name]) < index.upper);
    }
    let outside = within.outside_below + within.outside_above;
    near(
        "outside",
        outside,
        number(&expected["fraction_nonconforming_within"]),
        1e-5,
    );
    assert!(within.sigma.method.is_within() && !overall.sigma.method.is_within());
    let published = &case["published"];
    assert!((within.sigma.value - number(&published["sigma_within"])).abs() < 0.000_05);
    assert!((within.spread.unwrap().estimate.unwrap() - number(&published["Cp"])).abs() < 0.0005);
}

/// A case of a distribution bounded by zero.
fn percentile_case(case: &Value) {
    let (input, expected) = (&case["input"], &case["expected"]);
    let model = match case["id"].as_str().unwrap() {
        "percentile_lognormal" => BoundedModel::LogNormal {
            mu: number(&input["mu_log"]),
            sigma: number(&input["sigma_log"]),
        },
        "percentile_half_normal_runout" => BoundedModel::FoldedNormal {
            location: 0.0,
            sigma: number(&input["sigma"]),
        },
        "truncated_at_zero" => BoundedModel::TruncatedNormal {
            location: 0.010,
            sigma: 0.008,
        },
        other => panic!("unknown case {other}"),
    };
    let limits = limits(input);
    let quantiles = model.quantiles().unwrap();
    near("low", quantiles.low, number(&expected["X_0_135"]), 1e-9);
    near("middle", quantiles.middle, number(&expected["X_50"]), 1e-10);
    near("high", quantiles.high, number(&expected["X_99_865"]), 1e-10);
    let found = known_indices(&quantiles, &limits).unwrap();
    near(
        "PpkU",
        found.above.unwrap(),
        number(&expected["PpkU"]),
        1e-9,
    );
    near("Ppk", found.worst, number(&expected["Ppk"]), 1e-9);
    assert!(found.spread.is_none() && found.below.is_none());
    let outside = model.shares(limits.upper().unwrap()).1;
    near(
        "outside",
        outside,
        number(&expected["fraction_nonconforming_exact"]),
        1e-9,
    );
    // What a normal distribution would promise: too much, in every case.
    let naive = case
        .get("naive_normal")
        .or(case.get("naive_normal_using_mean_and_sd"));
    assert!(number(&naive.unwrap()["Cpk"]) > found.worst * 1.1);
}

#[test]
fn bounds_of_cpk_agree_with_the_reference_library() {
    let cases = cases(include_str!("../tables/capability_references.json"));
    assert_eq!(cases.len(), 11);
    for case in cases {
        let name = case["id"].as_str().unwrap();
        let n = usize::try_from(case["n"].as_u64().unwrap()).unwrap();
        let (c, v) = (
            number(&case["estimate"]),
            number(&case["degrees_of_freedom"]),
        );
        let level = number(&case["confidence"]);
        let (low, high) = (
            cpk_lower_bound(c, n, v, level).unwrap(),
            cpk_upper_bound(c, n, v, level).unwrap(),
        );
        assert!(
            (low - number(&case["lower_bound"])).abs() < 1e-9,
            "{name}: {low}"
        );
        assert!(
            (high - number(&case["upper_bound"])).abs() < 1e-9,
            "{name}: {high}"
        );
    }
}

#[test]
fn intervals_hold_the_truth_as_often_as_they_say() {
    // Limits -3 and 3 for a standard normal process in the middle (both sides matter), and an
    // upper limit alone: 600 samples of 25. Three deviations of a share of 600 are below 0.037.
    let mut made = Made::new(11);
    let both = Limits::new(Some(-3.0), Some(3.0)).unwrap();
    let one = Limits::new(None, Some(3.0)).unwrap();
    let mut held = [0.0_f64; 5];
    for _ in 0..600 {
        let values = made.normal(25);
        let two = capability(&values, &both, 0.9).unwrap();
        let single = capability(&values, &one, 0.9).unwrap();
        let tests = [
            two.spread.unwrap().lower <= 1.0 && 1.0 <= two.spread.unwrap().upper,
            two.worst.lower <= 1.0,
            1.0 <= two.worst.upper,
            single.worst.lower <= 1.0,
            1.0 <= single.worst.upper,
        ];
        for (count, test) in held.iter_mut().zip(tests) {
            *count += f64::from(u8::from(test)) / 600.0;
        }
    }
    assert!((held[0] - 0.9).abs() < 0.037, "Cp {held:?}");
    assert!(held[1] >= 0.93 && held[2] >= 0.93, "two limits {held:?}");
    assert!(
        (held[3] - 0.95).abs() < 0.027 && (held[4] - 0.95).abs() < 0.027,
        "one {held:?}"
    );
}

#[test]
fn standard_deviations_within_groups_have_the_freedom_they_claim() {
    // The relative deviation of each estimate against 1/sqrt(2v); three deviations of a variance
    // from 400 estimates are 21 %.
    let mut made = Made::new(5);
    let rounds = 400;
    let mut sums = [(0.0, 0.0, 0.0); 4];
    for _ in 0..rounds {
        let values = made.normal(40);
        let groups: Vec<&[f64]> = values.chunks(4).collect();
        let found = [
            sigma_by_range(&groups).unwrap(),
            sigma_by_deviation(&groups).unwrap(),
            sigma_pooled(&groups).unwrap(),
            sigma_by_moving_range(&values).unwrap(),
        ];
        for (sum, sigma) in sums.iter_mut().zip(found) {
            sum.0 += sigma.value / f64::from(rounds);
            sum.1 += sigma.value * sigma.value / f64::from(rounds);
            sum.2 = sigma.degrees_of_freedom;
        }
    }
    for (mean, square, freedom) in sums {
        assert!((mean - 1.0).abs() < 0.02, "{mean}");
        let relative = (square - mean * mean) / (mean * mean);
        let claimed = 0.5 / relative;
        assert!(
            (claimed / freedom - 1.0).abs() < 0.21,
            "{claimed} {freedom}"
        );
    }
}

#[test]
fn under_thirty_values_there_is_no_bare_index() {
    let mut made = Made::new(3);
    let limits = Limits::new(Some(-4.0), Some(4.0)).unwrap();
    for (n, shown) in [(2, false), (29, false), (30, true), (100, true)] {
        let found = capability(&made.normal(n), &limits, 0.95).unwrap();
        let indices = [
            found.spread.unwrap(),
            found.below.unwrap(),
            found.above.unwrap(),
            found.worst,
        ];
        for index in indices {
            assert_eq!(index.estimate.is_some(), shown, "{n}");
            assert!(index.lower.is_finite() && index.lower < index.upper);
        }
    }
}

#[test]
fn a_hopeless_and_a_good_process_are_told_apart_from_an_unknown_one() {
    let with = |cpk: f64, n: usize| -> Capability {
        let limits = Limits::new(Some(-3.0 * cpk), Some(3.0 * cpk)).unwrap();
        capability_with(0.0, n, &sigma(1.0, n), &limits, 0.95).unwrap()
    };
    let (hopeless, unknown, good) = (with(0.5, 50), with(1.0, 10), with(2.0, 50));
    assert!(hopeless.cannot_reach(1.0) && !hopeless.surely_reaches(1.0));
    assert!(!unknown.cannot_reach(1.0) && !unknown.surely_reaches(1.0));
    assert!(!good.cannot_reach(1.0) && good.surely_reaches(1.0));
}

#[test]
fn percentiles_need_many_values_and_bound_the_truth() {
    let limits = Limits::new(Some(-4.0), Some(5.0)).unwrap();
    let mut made = Made::new(17);
    let refused = percentile_performance(&made.normal(1000), &limits, 0.95).unwrap_err();
    let StatisticsError::TooFew { found, needed, .. } = refused else {
        panic!("{refused}");
    };
    assert_eq!(found, 1000);
    // ln(0.05/6)/ln(1 - 0.00135) = 3544 values.
    assert_eq!(needed, 3544);
    assert!(percentile_performance(&made.normal(3543), &limits, 0.95).is_err());
    assert!(percentile_performance(&made.normal(3544), &limits, 0.95).is_ok());
    let quantile = normal_quantile(0.99865).unwrap();
    let truth = 4.0 / quantile;
    let mut held = 0;
    for _ in 0..60 {
        let found = percentile_performance(&made.normal(5000), &limits, 0.95).unwrap();
        held += u32::from(found.worst.lower <= truth && truth <= found.worst.upper);
        let spread = found.spread.unwrap();
        assert!(
            spread.lower <= spread.estimate.unwrap() && spread.estimate.unwrap() <= spread.upper
        );
        assert!(found.outside < 0.002);
    }
    assert!(held >= 57, "{held} of 60");
}

#[test]
fn bad_questions_get_clear_answers() {
    let reversed = Limits::new(Some(2.0), Some(1.0)).unwrap_err();
    assert_eq!(reversed.code(), "limits_reversed");
    assert_eq!(
        reversed.to_string(),
        "The lower limit 2 does not lie below the upper limit 1."
    );
    assert_eq!(Limits::new(None, None), Err(StatisticsError::NoLimit));
    assert!(Limits::new(Some(1.0), Some(1.0)).is_err());
    assert!(Limits::new(Some(f64::NAN), None).is_err());
    assert!(Limits::new(None, Some(f64::INFINITY)).is_err());
    let limits = Limits::new(Some(1.0), Some(2.0)).unwrap();
    assert_eq!(
        capability(&[1.5; 9], &limits, 0.95),
        Err(StatisticsError::AllEqual)
    );
    assert_eq!(
        capability(&[1.5], &limits, 0.95).unwrap_err().code(),
        "too_few"
    );
    assert_eq!(
        capability(&[], &limits, 0.95).unwrap_err().code(),
        "too_few"
    );
    let not_finite = capability(&[1.0, f64::NAN, 2.0], &limits, 0.95);
    assert_eq!(not_finite, Err(StatisticsError::NotFinite { index: 1 }));
    for level in [0.0, 0.49, 0.999, 1.0, 95.0, f64::NAN] {
        assert!(
            capability(&[1.0, 1.5, 1.7], &limits, level).is_err(),
            "{level}"
        );
    }
    assert!(cp_interval(1.0, 10.0, 0.999).is_err() && cp_interval(1.0, 10.0, 0.998).is_ok());
    let ragged = [vec![1.0, 2.0], vec![1.0]];
    let found = sigma_by_range(&ragged);
    assert_eq!(
        found,
        Err(StatisticsError::UnevenSubgroup {
            index: 1,
            found: 1,
            needed: 2
        })
    );
    assert!(sigma_by_deviation(&ragged).is_err() && sigma_pooled(&ragged).is_ok());
    assert!(sigma_by_range(&Vec::<Vec<f64>>::new()).is_err());
    assert!(sigma_pooled(&[vec![1.0], vec![2.0]]).is_err());
    assert!(sigma_by_moving_range(&[1.0, 2.0]).is_err());
    assert_eq!(
        sigma_by_moving_range(&[1.0; 5]),
        Err(StatisticsError::AllEqual)
    );
}

proptest! {
    #[test]
    fn bounds_surround_the_estimate_and_close_in(
        c in -1.0_f64..3.0, n in 2_usize..400, level in 0.6_f64..0.99,
    ) {
        let v = (n - 1) as f64;
        let (low, high) = (cpk_lower_bound(c, n, v, level).unwrap(),
            cpk_upper_bound(c, n, v, level).unwrap());
        prop_assert!(low < high);
        let more = (cpk_lower_bound(c, 4 * n, 4.0 * v, level).unwrap(),
            cpk_upper_bound(c, 4 * n, 4.0 * v, level).unwrap());
        prop_assert!(more.1 - more.0 < high - low);
        let surer = cpk_lower_bound(c, n, v, level + 0.005).unwrap();
        prop_assert!(surer <= low);
    }
}
