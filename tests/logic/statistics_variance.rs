//! Analysis of variance and gauge studies against published examples and reference libraries.

use crate::statistics_cases::{case, cases, groups, near, number, numbers};
use fitledger::statistics::{
    Components, Crossed, Pooling, StatisticsError, VarianceStudy, average_and_range, bias,
    linearity, one_way, repeatability, stability, variance_study,
};
use proptest::prelude::*;
use serde_json::Value;

const STUDY: &str = include_str!("../tables/gauge_study.json");
const VARIANCE: &str = include_str!("../tables/variance.json");

#[test]
fn the_certified_analysis_is_met_to_more_than_nine_digits() {
    let cases = cases(include_str!("../tables/strd_anova.json"));
    assert_eq!(cases.len(), 1);
    let found = one_way(&groups(&cases[0]["groups"])).unwrap();
    let wanted = &cases[0]["expected"];
    let (between, within) = (&wanted["between"], &wanted["within"]);
    near("F", found.ratio, number(&wanted["F"]), 1e-11);
    near(
        "between",
        found.between_squares,
        number(&between["ss"]),
        1e-11,
    );
    near("within", found.within_squares, number(&within["ss"]), 1e-11);
    near("r2", found.r_squared, number(&wanted["r_squared"]), 1e-11);
    near("sd", found.within_sd, number(&wanted["residual_sd"]), 1e-12);
    near("df", found.between_freedom, number(&between["df"]), 1e-15);
    near("df", found.within_freedom, number(&within["df"]), 1e-15);
    let component =
        number(&cases[0]["derived_computed_from_formula"]["between_variance_component"]);
    near("component", found.between_sd.powi(2), component, 1e-8);
}

#[test]
fn a_large_common_part_costs_no_digits() {
    let small = [[0.25, 0.5, 0.75], [0.5, 0.75, 1.0], [0.0, 0.25, 1.0]];
    let large = small.map(|group| group.map(|value| value + 1e12));
    let (near_zero, far) = (one_way(&small).unwrap(), one_way(&large).unwrap());
    near("F", far.ratio, near_zero.ratio, 1e-14);
    near("within", far.within_sd, near_zero.within_sd, 1e-14);
    near("mean", far.mean - 1e12, near_zero.mean, 1e-3);
}

/// A study from data[part][operator][trial].
fn study(data: &Value) -> Crossed {
    let parts = data.as_array().unwrap();
    let operators = parts[0].as_array().unwrap();
    let trials = operators[0].as_array().unwrap();
    let all: Vec<f64> = parts
        .iter()
        .flat_map(|part| groups(part).concat())
        .collect();
    Crossed::new(parts.len(), operators.len(), trials.len(), &all).unwrap()
}

#[test]
fn the_published_gauge_study_is_met_by_averages_and_ranges() {
    assert_eq!(cases(STUDY).len(), 2);
    let case = case(STUDY, "ten_parts_three_operators_three_trials");
    let found = average_and_range(&study(&case["data"])).unwrap();
    let wanted = &case["average_range"]["expected_computed"];
    for (name, list) in [
        ("R_bar_per_operator", &found.mean_ranges),
        ("mean_per_operator", &found.means),
    ] {
        for (found, wanted) in list.iter().zip(numbers(&wanted[name])) {
            near(name, *found, wanted, 1e-12);
        }
        assert_eq!(list.len(), 3);
    }
    near("R", found.mean_range, number(&wanted["R_bar_bar"]), 1e-12);
    near(
        "X",
        found.difference_of_means,
        number(&wanted["X_diff"]),
        1e-12,
    );
    near("Rp", found.range_of_parts, number(&wanted["R_p"]), 1e-12);
    // The file's factors have six (D4) and four digits (K1, K2, K3); ours have all.
    near("limit", found.range_limit, number(&wanted["UCL_R"]), 1e-6);
    let of = found.components;
    let deviations = [
        ("EV", of.repeatability),
        ("AV", of.reproducibility),
        ("GRR", of.gauge),
        ("PV", of.part),
        ("TV", of.total),
    ];
    let published = &case["average_range"]["published"];
    for (name, found) in deviations {
        near(name, found, number(&wanted[name]), 1.5e-4);
        near(name, found, number(&published[name]), 2.5e-4);
        if name != "TV" {
            let percent = format!("pct_{name}");
            near(
                &percent,
                100.0 * found / of.total,
                number(&wanted[&percent]),
                2.5e-4,
            );
            near(
                &percent,
                100.0 * found / of.total,
                number(&published[&percent]),
                5e-4,
            );
        }
    }
    near(
        "ndc",
        of.categories().unwrap(),
        number(&wanted["ndc_raw"]),
        2e-4,
    );
    assert_eq!(of.distinct_categories(), Some(5));
    near("share", of.share_of_variation().unwrap(), 0.266_780, 2.5e-4);
    // 6 x 0.30577 of a tolerance of 8: 22.9 %.
    near(
        "tolerance",
        of.share_of_tolerance(8.0).unwrap(),
        0.229_325,
        1.5e-4,
    );
    // Part 4 by the second operator: 0.01, 1.03, 0.20, a range of 1.02 over the limit of 0.88.
    assert_eq!(found.wild, vec![(3, 1)]);
}

#[test]
fn the_published_gauge_study_is_met_by_analysis_of_variance() {
    let case = case(STUDY, "ten_parts_three_operators_three_trials");
    let study = study(&case["data"]);
    let (wanted, published) = (
        &case["anova"]["expected_computed"],
        &case["anova"]["published"],
    );
    let apart = variance_study(&study, Pooling::Never).unwrap();
    let table = &wanted["anova"];
    for (name, found) in [
        ("parts", apart.parts),
        ("operators", apart.operators),
        ("interaction", apart.interaction),
        ("repeatability", apart.repeatability),
    ] {
        near(name, found.freedom, number(&table[name]["df"]), 1e-15);
        near(name, found.squares, number(&table[name]["SS"]), 1e-10);
        near(name, found.mean_square(), number(&table[name]["MS"]), 1e-10);
    }
    near(
        "F",
        apart.interaction_ratio,
        number(&table["interaction"]["F"]),
        1e-9,
    );
    near(
        "p",
        apart.interaction_p,
        number(&table["interaction"]["p"]),
        1e-9,
    );
    for (key, squares) in [
        ("operator_SS", apart.operators.squares),
        ("part_SS", apart.parts.squares),
        ("interaction_SS", apart.interaction.squares),
        ("repeatability_SS", apart.repeatability.squares),
    ] {
        assert!(
            (squares - number(&published[key])).abs() < 0.000_06,
            "{key}"
        );
    }
    assert!(!apart.pooled);
    check_components(&apart, &wanted["components_with_interaction"]);
    let joined = variance_study(&study, Pooling::Above(0.05)).unwrap();
    assert!(joined.pooled);
    check_components(&joined, &wanted["components_interaction_pooled"]);
    let of = joined.components;
    for (name, found) in [
        ("EV", of.repeatability),
        ("AV", of.reproducibility),
        ("GRR", of.gauge),
        ("PV", of.part),
    ] {
        // Six decimals, made of rounded components.
        assert!(
            (found - number(&published["pooled"][name])).abs() < 2e-6,
            "{name}"
        );
    }
    assert_eq!(variance_study(&study, Pooling::Always).unwrap(), joined);
    assert!(!variance_study(&study, Pooling::Above(0.98)).unwrap().pooled);
}

fn check_components(found: &VarianceStudy, wanted: &Value) {
    let of: Components = found.components;
    for (name, found) in [
        ("var_repeatability", of.repeatability.powi(2)),
        ("var_operator", found.operator.powi(2)),
        ("var_interaction", found.interaction_sd.powi(2)),
        ("var_reproducibility", of.reproducibility.powi(2)),
        ("var_grr", of.gauge.powi(2)),
        ("var_part", of.part.powi(2)),
        ("var_total", of.total.powi(2)),
        ("EV", of.repeatability),
        ("AV", of.reproducibility),
        ("GRR", of.gauge),
        ("PV", of.part),
        ("TV", of.total),
        ("pct_GRR_of_TV", 100.0 * of.share_of_variation().unwrap()),
        (
            "pct_contribution_GRR",
            100.0 * of.share_of_variation().unwrap().powi(2),
        ),
        ("ndc_raw", of.categories().unwrap()),
    ] {
        near(name, found, number(&wanted[name]), 1e-10);
    }
    assert_eq!(of.distinct_categories(), Some(4));
}

#[test]
fn the_published_linearity_example_is_met() {
    let case = case(STUDY, "linearity_five_parts");
    let (references, readings) = (numbers(&case["reference"]), groups(&case["readings"]));
    let found = linearity(&references, &readings).unwrap();
    let (wanted, published) = (&case["expected"], &case["published"]);
    assert_eq!(found.biases.len(), 5);
    for (found, wanted) in found.biases.iter().zip(numbers(&wanted["mean_bias"])) {
        near("bias", *found, wanted, 1e-12);
    }
    let line = found.line;
    near("slope", line.slope, number(&wanted["slope"]), 1e-12);
    near(
        "intercept",
        line.intercept,
        number(&wanted["intercept"]),
        1e-12,
    );
    near("s", line.residual_sd, number(&wanted["s_residual"]), 1e-12);
    near("r2", line.r_squared, number(&wanted["r_squared"]), 1e-12);
    near(
        "t",
        line.slope / line.slope_sd,
        number(&wanted["t_slope"]),
        1e-11,
    );
    near(
        "t",
        line.intercept / line.intercept_sd,
        number(&wanted["t_intercept"]),
        1e-11,
    );
    near(
        "df",
        line.degrees_of_freedom(),
        number(&wanted["df"]),
        1e-15,
    );
    for point in wanted["points"].as_array().unwrap() {
        let found = line.predict(number(&point["x0"]), 0.95).unwrap();
        near("value", found.value, number(&point["yhat"]), 1e-11);
        near(
            "line",
            found.line_half_width,
            number(&point["confidence_half_width"]),
            1e-8,
        );
        near(
            "single",
            found.single_half_width,
            number(&point["prediction_half_width"]),
            1e-8,
        );
    }
    for (name, found, digits) in [
        ("slope", line.slope, 0.000_005),
        ("intercept", line.intercept, 0.000_005),
        ("s", line.residual_sd, 0.000_005),
        ("t_slope", line.slope / line.slope_sd, 0.0005),
        ("t_intercept", line.intercept / line.intercept_sd, 0.0005),
        ("r_squared", line.r_squared, 0.0005),
    ] {
        assert!(
            (found - number(&published[name])).abs() <= digits,
            "{name} {found}"
        );
    }
    assert!(!found.is_free_of_bias(0.95).unwrap());
    let straight = linearity(&[1.0, 2.0], &[vec![1.01, 0.99], vec![2.01, 1.99]]).unwrap();
    assert!(straight.is_free_of_bias(0.95).unwrap() && straight.is_free_of_bias(1.0).is_err());
    // The same bias everywhere, far from zero where the line meets the axis with much doubt.
    let (a, b) = (vec![100.03, 100.01, 100.02], vec![101.01, 101.03, 101.02]);
    let level = linearity(&[100.0, 101.0], &[a, b]).unwrap();
    assert!(level.line.intercept_p > 0.05 && !level.line.is_significant(0.95));
    assert!(!level.is_free_of_bias(0.95).unwrap());
    // A slope through zero in the middle: t is 3.3, over 2.92, and the band still holds zero.
    let (a, b) = (vec![0.97, 0.988], vec![3.012, 3.03]);
    let tilted = linearity(&[1.0, 3.0], &[a, b]).unwrap();
    assert!(!tilted.is_free_of_bias(0.9).unwrap());
}

#[test]
fn one_person_studies_and_variances_agree_with_the_reference_libraries() {
    let cases = cases(VARIANCE);
    assert_eq!(cases.len(), 11);
    for case in cases {
        let name = case["id"].as_str().unwrap();
        let wanted = |key: &str| number(&case[key]);
        match case["kind"].as_str().unwrap() {
            "one_way" => {
                let found = one_way(&groups(&case["groups"])).unwrap();
                near(name, found.ratio, wanted("F"), 1e-8);
                near(name, found.p, wanted("p"), 1e-8);
                near(name, found.within_sd, wanted("within_sd"), 1e-10);
                assert!(
                    (found.between_sd - wanted("between_sd")).abs() < 1e-8,
                    "{name}"
                );
            }
            "crossed" => {
                let found = variance_study(&study(&case["data"]), Pooling::Above(0.05)).unwrap();
                let rows = [
                    found.parts,
                    found.operators,
                    found.interaction,
                    found.repeatability,
                ];
                let (squares, freedom) = (numbers(&case["squares"]), numbers(&case["freedom"]));
                for (row, (squares, freedom)) in rows.iter().zip(squares.iter().zip(freedom)) {
                    near(name, row.squares, *squares, 1e-8);
                    near(name, row.freedom, freedom, 1e-12);
                }
                near(name, found.interaction_ratio, wanted("interaction_F"), 1e-7);
                near(name, found.interaction_p, wanted("interaction_p"), 1e-6);
                assert_eq!(found.pooled, wanted("interaction_p") > 0.05);
            }
            "repeatability" => {
                let level = wanted("confidence");
                let found = repeatability(&[numbers(&case["data"])], level).unwrap();
                near(name, found.sd, wanted("sd"), 1e-10);
                let ends = numbers(&case["interval"]);
                near(name, found.interval.0, ends[0], 1e-10);
                near(name, found.interval.1, ends[1], 1e-10);
            }
            "bias" => {
                let level = wanted("confidence");
                let found = bias(&numbers(&case["data"]), wanted("reference"), level).unwrap();
                near(name, found.p, wanted("p"), 1e-7);
                let ends = numbers(&case["interval"]);
                assert!((found.interval.0 - ends[0]).abs() < 1e-12, "{name}");
                assert!((found.interval.1 - ends[1]).abs() < 1e-12, "{name}");
                assert_eq!(found.is_significant(level), wanted("p") < 1.0 - level);
            }
            "stability" => {
                let readings = groups(&case["groups"]);
                let found = stability(&numbers(&case["days"]), &readings).unwrap();
                near(name, found.days.ratio, wanted("F"), 1e-8);
                near(name, found.days.p, wanted("p"), 1e-8);
                let drift = found.drift.unwrap();
                near(name, drift.slope, wanted("slope"), 1e-9);
                near(name, drift.slope_p, wanted("slope_p"), 1e-7);
                near(name, drift.slope_sd, wanted("slope_sd"), 1e-8);
                let sd = found.days.within_sd.hypot(found.days.between_sd);
                near(name, found.sd, sd, 1e-15);
                assert!(found.days.between_sd > 0.0);
            }
            other => panic!("unknown kind {other}"),
        }
    }
}

#[test]
fn a_wild_range_is_named_for_measuring_again() {
    let mut values = vec![];
    for part in 0..5_u32 {
        for operator in 0..2_u32 {
            let base = f64::from(part) + 0.01 * f64::from(operator);
            values.extend([base, base + 0.002, base - 0.002]);
        }
    }
    // The second trial of part 3 by operator 1.
    values[(3 * 2 + 1) * 3 + 1] += 0.05;
    let found = average_and_range(&Crossed::new(5, 2, 3, &values).unwrap()).unwrap();
    assert_eq!(found.wild, vec![(3, 1)]);
}

#[test]
fn studies_without_any_spread_have_stated_results() {
    let still = Crossed::new(2, 2, 2, &[1.0; 8]).unwrap();
    let found = average_and_range(&still).unwrap().components;
    assert!(found.gauge.abs() <= 0.0 && found.share_of_variation().is_none());
    assert!(found.categories().is_none() && found.distinct_categories().is_none());
    let found = variance_study(&still, Pooling::Above(0.05)).unwrap();
    assert!(found.pooled && found.interaction_ratio.abs() <= 0.0);
    assert!(found.components.total.abs() <= 0.0);
    // Nothing varies within the cells, but the operators differ from part to part.
    let mixed = Crossed::new(2, 2, 2, &[1.0, 1.0, 2.0, 2.0, 2.0, 2.0, 1.0, 1.0]).unwrap();
    let found = variance_study(&mixed, Pooling::Above(0.05)).unwrap();
    assert!(found.interaction_ratio.is_infinite() && !found.pooled && found.interaction_sd > 0.7);
    let apart = one_way(&[[1.0, 1.0], [2.0, 2.0]]).unwrap();
    assert!(apart.ratio.is_infinite() && apart.p.abs() <= 0.0);
    assert!((apart.between_sd - 0.5_f64.sqrt()).abs() < 1e-15);
}

#[test]
fn incomplete_studies_are_refused() {
    let missing = Crossed::new(2, 2, 2, &[1.0; 7]).unwrap_err();
    assert_eq!(
        missing,
        StatisticsError::Ragged {
            found: 7,
            needed: 8
        }
    );
    assert_eq!(missing.to_string(), "There are 7 values where 8 belong.");
    for (parts, operators, trials) in [(1, 2, 2), (2, 1, 2), (2, 2, 1), (0, 0, 0)] {
        assert!(Crossed::new(parts, operators, trials, &[1.0; 4]).is_err());
    }
    let told = |parts, operators, trials| {
        let refused = Crossed::new(parts, operators, trials, &[1.0]);
        refused.unwrap_err().to_string()
    };
    let needs = "; a gauge study of parts and operators needs 2.";
    assert_eq!(told(1, 2, 2), format!("There is 1 part{needs}"));
    assert_eq!(told(2, 1, 2), format!("There is 1 operator{needs}"));
    assert_eq!(told(2, 2, 0), format!("There are 0 repetitions{needs}"));
    assert_eq!(told(2, 2, 2), "There is 1 value where 8 belong.");
    let alone = one_way(&[[1.0, 2.0]]).unwrap_err().to_string();
    assert_eq!(alone, "There is 1 group; a comparison of groups needs 2.");
    assert!(Crossed::new(usize::MAX, usize::MAX, 3, &[]).is_err());
    let mut values = [1.0; 8];
    values[5] = f64::NAN;
    let bad = Crossed::new(2, 2, 2, &values).unwrap_err();
    assert_eq!(bad, StatisticsError::NotFinite { index: 5 });
    let good = Crossed::new(2, 2, 2, &[1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 9.0]).unwrap();
    assert!(good.cell(2, 0).is_empty() && good.cell(0, 2).is_empty());
    assert!((good.cell(1, 1)[1] - 9.0).abs() < 1e-15);
    assert!(variance_study(&good, Pooling::Above(f64::NAN)).is_err());
    let found = average_and_range(&good).unwrap().components;
    assert!(found.share_of_tolerance(0.0).is_err() && found.share_of_tolerance(f64::NAN).is_err());

    assert_eq!(one_way(&[vec![1.0, 2.0]]).unwrap_err().code(), "too_few");
    assert_eq!(
        one_way(&[vec![1.0], vec![2.0]]).unwrap_err().code(),
        "too_few"
    );
    assert_eq!(
        one_way(&[vec![1.0, 2.0], vec![]]).unwrap_err().code(),
        "too_few"
    );
    assert_eq!(
        one_way(&[[1.0, 1.0], [1.0, 1.0]]),
        Err(StatisticsError::AllEqual)
    );
    let bad = one_way(&[[1.0, 2.0], [3.0, f64::INFINITY]]);
    assert_eq!(bad, Err(StatisticsError::NotFinite { index: 3 }));
    assert_eq!(
        repeatability(&[[1.0, 1.0]], 0.95),
        Err(StatisticsError::AllEqual)
    );
    assert_eq!(repeatability(&[[1.0]], 0.95).unwrap_err().code(), "too_few");
    assert!(bias(&[1.0], 1.0, 0.95).is_err() && bias(&[1.0, 1.0], 1.0, 0.95).is_err());
    assert!(bias(&[1.0, 2.0], f64::NAN, 0.95).is_err() && bias(&[1.0, 2.0], 1.0, 1.0).is_err());
    assert!(linearity(&[1.0], &[[1.0, 2.0], [1.0, 2.0]]).is_err());
    assert_eq!(
        linearity(&[1.0], &[[1.0, 2.0, 3.0]]),
        Err(StatisticsError::AllEqual)
    );
    let bad = linearity(&[1.0, 2.0], &[[1.0, 2.0], [1.0, f64::NAN]]);
    assert_eq!(bad, Err(StatisticsError::NotFinite { index: 3 }));
    assert!(stability(&[1.0, 2.0, 3.0], &[[1.0, 2.0], [1.0, 2.0]]).is_err());
    assert!(
        stability(&[1.0, 2.0], &[[1.0, 2.0], [1.0, 2.5]])
            .unwrap()
            .drift
            .is_none()
    );
}

proptest! {
    #[test]
    fn the_squares_of_a_study_add_up_and_order_does_not_matter(
        values in prop::collection::vec(-1.0_f64..1.0, 24), place in -1e3_f64..1e3,
    ) {
        let moved: Vec<f64> = values.iter().map(|value| value + place).collect();
        let study = Crossed::new(4, 3, 2, &moved).unwrap();
        let found = variance_study(&study, Pooling::Never).unwrap();
        let mean = values.iter().sum::<f64>() / 24.0;
        let total: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
        let parts = found.parts.squares + found.operators.squares + found.interaction.squares
            + found.repeatability.squares;
        prop_assert!((total - parts).abs() < 1e-9);
        let of = found.components;
        prop_assert!((of.total.powi(2) - of.gauge.powi(2) - of.part.powi(2)).abs() < 1e-12);
        let cells: Vec<&[f64]> = moved.chunks(2).collect();
        let pooled = repeatability(&cells, 0.95).unwrap();
        prop_assert!((pooled.sd - found.repeatability.mean_square().sqrt()).abs() < 1e-12);
        prop_assert!(pooled.interval.0 < pooled.sd && pooled.sd < pooled.interval.1);
    }
}
