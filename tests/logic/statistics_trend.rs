//! Straight lines, their bands, and where they reach a limit.

use crate::statistics_cases::{case, cases, near, number, numbers};
use crate::statistics_made::Made;
use fitledger::statistics::{Line, LineSums, StatisticsError, fit_line, trend};
use proptest::prelude::*;
use serde_json::Value;

const FILE: &str = include_str!("../tables/linear_trend.json");

fn line_of(case: &Value) -> Line {
    fit_line(&numbers(&case["x"]), &numbers(&case["y"])).unwrap()
}

/// Predictions at the points of a case.
fn check_points(line: &Line, points: &Value) {
    let points = points.as_array().unwrap();
    assert!(points.len() >= 3);
    for point in points {
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
}

#[test]
fn the_certified_line_is_met_to_twelve_digits() {
    assert_eq!(cases(FILE).len(), 2);
    let case = case(FILE, "strd_norris");
    let line = line_of(&case);
    let wanted = &case["expected"];
    near("B0", line.intercept, number(&wanted["B0"]), 1e-12);
    near("B1", line.slope, number(&wanted["B1"]), 1e-14);
    near("sd B0", line.intercept_sd, number(&wanted["sd_B0"]), 1e-13);
    near("sd B1", line.slope_sd, number(&wanted["sd_B1"]), 1e-13);
    near(
        "sd",
        line.residual_sd,
        number(&wanted["residual_sd"]),
        1e-13,
    );
    near("r2", line.r_squared, number(&wanted["r_squared"]), 1e-14);
    check_points(&line, &case["computed_from_formula"]["points"]);
}

#[test]
fn a_drifting_diameter_reaches_its_limit_where_the_file_says() {
    let case = case(FILE, "drift_turned_diameter");
    let line = line_of(&case);
    let wanted = &case["expected"];
    near("b0", line.intercept, number(&wanted["b0"]), 1e-13);
    near("b1", line.slope, number(&wanted["b1"]), 1e-10);
    near("s", line.residual_sd, number(&wanted["s_residual"]), 1e-10);
    near("sb0", line.intercept_sd, number(&wanted["sb0"]), 1e-10);
    near("sb1", line.slope_sd, number(&wanted["sb1"]), 1e-10);
    check_points(&line, &wanted["points"]);
    let limit = number(&case["upper_limit"]);
    let found = line.reaches(limit, 0.95).unwrap().unwrap();
    near(
        "crossing",
        found.at,
        number(&wanted["x_where_line_meets_limit"]),
        1e-9,
    );
    let first = number(&wanted["first_part_whose_predicted_value_exceeds_limit"]);
    assert!((found.at.floor() + 1.0 - first).abs() < 1e-9);
    let key = "first_part_whose_upper_95_prediction_bound_two_sided_exceeds_limit";
    let first = number(&wanted[key]);
    assert!(
        (found.single.0.floor() + 1.0 - first).abs() < 1e-9,
        "{found:?}"
    );
    assert!(found.single.0 < found.line.0 && found.line.0 < found.at);
    assert!(found.at < found.line.1 && found.line.1 < found.single.1);
    let same = trend(&numbers(&case["y"])).unwrap();
    near("in order", same.slope, line.slope, 1e-15);
}

#[test]
fn bands_and_crossings_agree_with_the_reference_library() {
    let cases = cases(include_str!("../tables/fieller.json"));
    assert_eq!(cases.len(), 10);
    let mut crossed = 0;
    for case in cases {
        let name = case["id"].as_str().unwrap();
        let level = number(&case["confidence"]);
        let line = trend(&numbers(&case["data"])).unwrap();
        near(name, line.slope_p, number(&case["slope_p"]), 1e-7);
        near(name, line.intercept_p, number(&case["intercept_p"]), 1e-6);
        let ends = line.slope_interval(level).unwrap();
        let wanted = numbers(&case["slope_interval"]);
        assert!((ends.0 - wanted[0]).abs() < 1e-8 * line.slope_sd, "{name}");
        assert!((ends.1 - wanted[1]).abs() < 1e-8 * line.slope_sd, "{name}");
        let found = line.predict(number(&case["at"]), level).unwrap();
        near(name, found.value, number(&case["value"]), 1e-12);
        let (band, single) = (numbers(&case["line"]), numbers(&case["single"]));
        near(name, found.value - found.line_half_width, band[0], 1e-11);
        near(
            name,
            found.value + found.single_half_width,
            single[1],
            1e-11,
        );
        let found = line.reaches(number(&case["limit"]), level).unwrap();
        assert_eq!(found.is_some(), case["crossing"].is_number(), "{name}");
        assert_eq!(found.is_some(), line.is_significant(level), "{name}");
        let Some(found) = found else { continue };
        crossed += 1;
        near(name, found.at, number(&case["crossing"]), 1e-8);
        let (band, single) = (
            numbers(&case["crossing_line"]),
            numbers(&case["crossing_single"]),
        );
        for (end, wanted) in [
            (found.line.0, band[0]),
            (found.line.1, band[1]),
            (found.single.0, single[0]),
            (found.single.1, single[1]),
        ] {
            near(name, end, wanted, 1e-7);
        }
    }
    assert!(crossed >= 6, "{crossed}");
}

#[test]
fn the_interval_of_a_crossing_holds_the_truth_as_often_as_it_says() {
    // A line of 0.1 per part with noise 1, 30 parts, limit where the truth is part 50.
    let mut made = Made::new(31);
    let (mut held, mut asked) = (0.0, 0.0);
    for _ in 0..1500 {
        let values: Vec<f64> = (1..=30)
            .map(|at| 0.1 * f64::from(at) + made.one())
            .collect();
        if let Some(found) = trend(&values).unwrap().reaches(5.0, 0.9).unwrap() {
            asked += 1.0;
            held += f64::from(u8::from(found.line.0 <= 50.0 && 50.0 <= found.line.1));
        }
    }
    // Three deviations of a share of 1500 are 0.023.
    assert!(
        asked > 1400.0 && (held / asked - 0.9_f64).abs() < 0.025,
        "{held} of {asked}"
    );
}

#[test]
fn degenerate_lists_have_stated_results() {
    let level = trend(&[3.0; 6]).unwrap();
    assert!(level.slope.abs() <= 0.0 && (level.slope_p - 1.0).abs() <= 0.0);
    assert!(level.reaches(4.0, 0.95).unwrap().is_none() && !level.is_significant(0.95));
    assert!((level.predict(100.0, 0.95).unwrap().value - 3.0).abs() < 1e-15);
    let straight = trend(&[1.0, 2.0, 3.0, 4.0]).unwrap();
    let found = straight.reaches(10.0, 0.95).unwrap().unwrap();
    assert!((found.at - 10.0).abs() < 1e-12 && (found.single.1 - found.single.0).abs() < 1e-9);
    assert!(straight.is_significant(0.95) && (straight.r_squared - 1.0).abs() < 1e-15);
    assert_eq!(trend(&[1.0, 2.0]).unwrap_err().code(), "too_few");
    assert_eq!(trend(&[]).unwrap_err().code(), "too_few");
    assert_eq!(
        trend(&[1.0, f64::NAN, 2.0]),
        Err(StatisticsError::NotFinite { index: 1 })
    );
    assert_eq!(
        fit_line(&[1.0; 3], &[1.0, 2.0, 3.0]),
        Err(StatisticsError::AllEqual)
    );
    let ragged = fit_line(&[1.0, 2.0], &[1.0, 2.0, 3.0]);
    assert_eq!(
        ragged,
        Err(StatisticsError::Ragged {
            found: 2,
            needed: 3
        })
    );
    assert!(fit_line(&[1.0, f64::INFINITY, 3.0], &[1.0, 2.0, 3.0]).is_err());
    assert!(trend(&[-1e308, 1e308, 0.0]).is_err(), "beyond floats");
    assert!(straight.predict(f64::NAN, 0.95).is_err() && straight.predict(1.0, 1.0).is_err());
    assert!(straight.reaches(f64::INFINITY, 0.95).is_err());
}

proptest! {
    #[test]
    fn a_common_part_changes_nothing_but_the_level(
        values in prop::collection::vec(-1.0_f64..1.0, 3..60), place in -1e4_f64..1e4,
    ) {
        let line = trend(&values).unwrap();
        let moved: Vec<f64> = values.iter().map(|value| value + place).collect();
        let other = trend(&moved).unwrap();
        prop_assert!((line.slope - other.slope).abs() < 1e-10);
        prop_assert!((line.residual_sd - other.residual_sd).abs() < 1e-9);
        if let Some(found) = line.reaches(3.0, 0.9).unwrap() {
            prop_assert!(found.single.0 <= found.line.0 && found.line.1 <= found.single.1);
            prop_assert!(found.line.0 <= found.at && found.at <= found.line.1);
        }
    }
}

/// Every number of a line, by its name.
fn numbers_of(line: &Line) -> [(&'static str, f64); 11] {
    [
        ("intercept", line.intercept),
        ("slope", line.slope),
        ("residual_sd", line.residual_sd),
        ("intercept_sd", line.intercept_sd),
        ("slope_sd", line.slope_sd),
        ("r_squared", line.r_squared),
        ("slope_p", line.slope_p),
        ("intercept_p", line.intercept_p),
        ("place_mean", line.place_mean),
        ("value_mean", line.value_mean),
        ("place_squares", line.place_squares),
    ]
}

proptest! {
    /// Sums of readings as they come give the line of the whole list.
    #[test]
    fn exact_sums_give_the_line_of_the_list(
        points in prop::collection::vec((1_i64..400, -9_000_i64..9_000), 3..60),
        level in prop_oneof![Just(0_i64), Just(20_008_000)],
    ) {
        let mut sums = LineSums::new();
        let (mut places, mut values) = (Vec::new(), Vec::new());
        for (place, value) in &points {
            sums.add(*place, *value + level).unwrap();
            places.push(*place as f64);
            values.push((*value + level) as f64);
        }
        match (sums.line(), fit_line(&places, &values)) {
            (Ok(found), Ok(expected)) => {
                prop_assert_eq!(found.n, expected.n);
                for ((name, one), (_, other)) in numbers_of(&found).iter().zip(numbers_of(&expected)) {
                    // Near 0 the list's own rounding shows.
                    let near = (one - other).abs() <= 1e-9 * other.abs().max(1e-6);
                    prop_assert!(near, "{}: {} and {}", name, one, other);
                }
            }
            (found, expected) => prop_assert_eq!(found, expected),
        }
    }
}

#[test]
fn sums_say_what_they_cannot_take() {
    let mut sums = LineSums::new();
    assert_eq!(sums.line().unwrap_err().code(), "too_few");
    for place in [7, 7, 7] {
        sums.add(place, 1).unwrap();
    }
    assert_eq!(sums.line(), Err(StatisticsError::AllEqual));
    let before = sums;
    assert!(sums.add(20_000_000_000, 0).is_err() && sums.add(0, i64::MAX).is_err());
    assert_eq!(sums, before);
    // Beyond what whole numbers hold, floats go on: y = 3 x with a deviation of 1 at one point.
    let mut long = LineSums::new();
    for place in 1..=1_000 {
        let value = 300_000_000 * place + i64::from(place == 500);
        long.add(place, value).unwrap();
    }
    let line = long.line().unwrap();
    assert!(
        (line.slope - 3e8).abs() < 1e-3 && line.residual_sd < 1e6,
        "{line:?}"
    );
}
