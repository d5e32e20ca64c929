//! Constants and limits of control charts against tables and published charts.

use crate::statistics_cases::{json_cases, numbers, text_of};
use crate::table::cases;
use fitledger::statistics::{
    ChartConstants, ControlChart, ControlLimits, StatisticsError, individuals_chart,
    individuals_limits, mean_and_deviation_chart, mean_and_deviation_limits, mean_and_range_chart,
    mean_and_range_limits, range_factors, unbiasing_factor,
};
use serde_json::Value;

#[test]
fn constants_agree_with_the_table_for_every_size() {
    let all = cases(include_str!("../tables/control_chart_constants.csv"));
    assert_eq!(all.len(), 24);
    for (case, n) in all.iter().zip(2_usize..) {
        assert_eq!(case.text("n").parse(), Ok(n));
        let found = ChartConstants::of(n).unwrap();
        assert_eq!(found.subgroup_size, n);
        case.check("d2", found.d2);
        case.check("d3", found.d3);
        case.check("c4", found.c4);
        case.check("A2", found.a2);
        case.check("A3", found.a3);
        case.check("B3", found.b3);
        case.check("B4", found.b4);
        case.check("D3", found.range_lower);
        case.check("D4", found.range_upper);
        case.check("E2", found.e2);
    }
}

#[test]
fn range_moments_agree_with_their_references_to_ten_digits() {
    let all = cases(include_str!("../tables/range_moments.csv"));
    assert_eq!(all.len(), 26);
    for case in all {
        let n: usize = case.text("n").parse().unwrap();
        let found = match case.text("function") {
            "d2" => ChartConstants::of(n).unwrap().d2,
            "d3" => ChartConstants::of(n).unwrap().d3,
            "c4" => unbiasing_factor((n - 1) as f64).unwrap(),
            other => panic!("unknown function {other}"),
        };
        case.check("expected", found);
    }
}

#[test]
fn gauge_studies_use_the_constant_for_few_groups() {
    let all = cases(include_str!("../tables/gauge_study_ranges.csv"));
    assert_eq!(all.len(), 14);
    for case in all {
        let count = |column| case.text(column).parse().unwrap();
        let factors = range_factors(count("values")).unwrap();
        let found = factors.for_groups(count("groups"));
        case.check("inverse", 1.0 / found);
    }
}

#[test]
fn sizes_without_constants_are_refused() {
    for size in [0, 1, 26, usize::MAX] {
        assert_eq!(ChartConstants::of(size).unwrap_err().code(), "out_of_range");
        assert!(mean_and_range_limits(0.0, 1.0, size).is_err());
    }
    for size in [0, 1, 1_001, usize::MAX] {
        assert!(range_factors(size).is_err());
    }
}

struct Expected<'a>(&'a Value);

impl Expected<'_> {
    /// The number is there and agrees within 1e-6 of it.
    fn agrees(&self, key: &str, found: f64) {
        self.within(key, found, 1e-6);
    }

    fn within(&self, key: &str, found: f64, share: f64) {
        let expected = self.0[key].as_f64();
        let expected = expected.unwrap_or_else(|| panic!("no {key}"));
        let allowed = share * expected.abs().max(1e-6);
        let far = (found - expected).abs();
        assert!(far <= allowed, "{key}: expected {expected}, found {found}");
    }

    fn limits(&self, head: &str, found: &ControlLimits) {
        self.agrees(&format!("{head}_LCL"), found.lower);
        self.agrees(&format!("{head}_CL"), found.centre);
        self.agrees(&format!("{head}_UCL"), found.upper);
    }
}

fn subgroups(case: &Value) -> Vec<Vec<f64>> {
    let rows = case["subgroups"].as_array().unwrap();
    let rows: Vec<Vec<f64>> = rows.iter().map(numbers).collect();
    let n = usize::try_from(case["n"].as_u64().unwrap()).unwrap();
    assert!(rows.iter().all(|row| row.len() == n));
    rows
}

fn none_beyond(expected: &Value, key: &str, limits: &ControlLimits, points: &[f64]) {
    assert_eq!(expected[key].as_array().map(Vec::len), Some(0));
    assert_eq!(limits.places_beyond(points), Vec::<usize>::new());
}

#[test]
fn charts_of_subgroups_and_of_single_values_agree_with_the_published_ones() {
    let all = json_cases(include_str!("../tables/control_charts.json"), 3);
    let rows = subgroups(&all[0]);

    let chart = mean_and_range_chart(&rows).unwrap();
    let ControlChart { limits, .. } = &chart;
    let expected = &all[0]["expected_computed"];
    let of = Expected(expected);
    assert_eq!(text_of(&all[0], "chart"), "X-bar and R");
    of.limits("xbar", &limits.location);
    of.limits("R", &limits.spread);
    of.agrees("xbarbar", limits.location.centre);
    of.agrees("Rbar", limits.spread.centre);
    of.agrees("sigma_hat_Rbar_over_d2", limits.within_deviation);
    let (means, ranges) = (&chart.locations, &chart.spreads);
    none_beyond(
        expected,
        "points_beyond_limits_xbar",
        &limits.location,
        means,
    );
    none_beyond(expected, "points_beyond_limits_R", &limits.spread, ranges);
    // Published with three-digit constants.
    let published = Expected(&all[0]["published"]);
    published.within("xbarbar", limits.location.centre, 1e-5);
    published.within("Rbar", limits.spread.centre, 1e-5);
    published.within("xbar_UCL", limits.location.upper, 2.5e-4);
    published.within("xbar_LCL", limits.location.lower, 2.5e-4);
    published.within("R_UCL", limits.spread.upper, 2.5e-4);

    assert_eq!(
        text_of(&all[1], "subgroups"),
        "same data as xbarR_flow_width"
    );
    let limits = mean_and_deviation_chart(&rows).unwrap().limits;
    let of = Expected(&all[1]["expected_computed"]);
    of.limits("xbar", &limits.location);
    of.limits("s", &limits.spread);
    of.agrees("sbar", limits.spread.centre);
    of.agrees("sigma_hat_sbar_over_c4", limits.within_deviation);

    let chart = individuals_chart(&numbers(&all[2]["data"])).unwrap();
    let limits = chart.limits;
    let expected = &all[2]["expected_computed"];
    let of = Expected(expected);
    of.limits("X", &limits.location);
    of.limits("MR", &limits.spread);
    of.agrees("xbar", limits.location.centre);
    of.agrees("MRbar", limits.spread.centre);
    of.agrees("sigma_hat_MRbar_over_d2", limits.within_deviation);
    none_beyond(
        expected,
        "points_beyond_limits_X",
        &limits.location,
        &chart.locations,
    );
    let published = Expected(&all[2]["published"]);
    published.within("X_UCL", limits.location.upper, 1e-4);
    published.within("X_LCL", limits.location.lower, 1e-4);
    assert_eq!(chart.spreads.len(), chart.locations.len() - 1);
}

#[test]
fn a_moved_subgroup_is_beyond_the_limits_and_a_point_on_them_is_not() {
    let all = json_cases(include_str!("../tables/control_charts.json"), 3);
    let mut rows = subgroups(&all[0]);
    let limits = mean_and_range_chart(&rows).unwrap().limits;
    for y in &mut rows[7] {
        *y += 0.2;
    }
    rows[20][0] += 1.0;
    let chart = mean_and_range_chart(&rows).unwrap();
    assert_eq!(limits.location.places_beyond(&chart.locations), [7]);
    assert_eq!(limits.spread.places_beyond(&chart.spreads), [20]);
    let ends = [limits.location.lower, limits.location.upper];
    assert_eq!(limits.location.places_beyond(&ends), Vec::<usize>::new());
}

#[test]
fn the_limits_of_two_values_are_those_of_the_constants() {
    let (quick, of) = (
        individuals_limits(5.0, 2.0).unwrap(),
        ChartConstants::of(2).unwrap(),
    );
    assert!((quick.location.upper - 5.0 - 2.0 * of.e2).abs() < 1e-9);
    assert!((quick.location.lower - 5.0 + 2.0 * of.e2).abs() < 1e-9);
    assert!((quick.spread.upper - 2.0 * of.range_upper).abs() < 1e-9);
    assert!((quick.within_deviation - 2.0 / of.d2).abs() < 1e-9);
}

#[test]
fn degenerate_charts_have_stated_results() {
    let none: [Vec<f64>; 0] = [];
    let too_few = |chart: Result<ControlChart, StatisticsError>| chart.unwrap_err().code();
    assert_eq!(too_few(mean_and_range_chart(&none)), "too_few");
    assert_eq!(too_few(mean_and_range_chart(&[[1.0, 2.0]])), "too_few");
    assert_eq!(
        too_few(mean_and_deviation_chart(&[[1.0], [2.0]])),
        "too_few"
    );
    assert_eq!(too_few(individuals_chart(&[1.0])), "too_few");
    let ragged = mean_and_range_chart(&[vec![1.0, 2.0], vec![1.0, 2.0, 3.0]]).unwrap_err();
    let expected = StatisticsError::UnevenSubgroup {
        index: 1,
        found: 3,
        needed: 2,
    };
    assert_eq!(ragged, expected);
    let bad = mean_and_deviation_chart(&[[1.0, 2.0], [1.0, f64::NAN]]).unwrap_err();
    assert_eq!(bad, StatisticsError::NotFinite { index: 3 });
    assert_eq!(
        individuals_chart(&[1.0, f64::INFINITY]).unwrap_err().code(),
        "not_finite"
    );
    for chart in [
        mean_and_range_chart(&[[0.1; 3]; 4]).unwrap(),
        mean_and_deviation_chart(&[[0.1; 3]; 4]).unwrap(),
        individuals_chart(&[0.1; 4]).unwrap(),
    ] {
        let lines = chart.limits.location;
        for line in [lines.lower, lines.centre, lines.upper] {
            assert_eq!(line.to_bits(), 0.1_f64.to_bits());
        }
        assert!(chart.limits.within_deviation.abs() < f64::MIN_POSITIVE);
    }
    for spread in [-1.0, f64::NAN, f64::INFINITY] {
        assert!(individuals_limits(0.0, spread).is_err());
        assert!(mean_and_deviation_limits(0.0, spread, 5).is_err());
        assert!(mean_and_range_limits(spread * f64::INFINITY, 1.0, 5).is_err());
    }
}
