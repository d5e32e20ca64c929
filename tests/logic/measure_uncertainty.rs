//! Budgets against the guide's examples, and readings that become measured values.

use crate::table::cases;
use fitledger::gauge::{BiasPoint, Calibration, GaugeError};
use fitledger::material::Expansion;
use fitledger::measure::{
    BudgetLine, Correction, DegreesOfFreedom, Temperature, Thermal, Thermometer, Uncertainty,
    UncertaintyError, UncertaintySource, gauge_lines, measure,
};
use fitledger::quantity::{Celsius, Length};
use proptest::prelude::*;

fn line(standard_nm: f64, freedom: f64) -> BudgetLine {
    BudgetLine {
        source: UncertaintySource::Other,
        standard_nm,
        degrees_of_freedom: if freedom.is_finite() {
            DegreesOfFreedom::Finite(freedom)
        } else {
            DegreesOfFreedom::Infinite
        },
    }
}

fn combined(lines: &[(f64, f64)]) -> Uncertainty {
    Uncertainty::combined(lines.iter().map(|(u, v)| line(*u, *v)).collect()).unwrap()
}

fn freedom(uncertainty: &Uncertainty) -> f64 {
    match uncertainty.degrees_of_freedom() {
        DegreesOfFreedom::Finite(freedom) => freedom,
        DegreesOfFreedom::Infinite => f64::INFINITY,
    }
}

/// The inputs of the named budget, as their sources print them.
fn budget(name: &str) -> Uncertainty {
    let root3 = 3.0_f64.sqrt();
    match name {
        "comparator" => combined(&[(5.8, 24.0), (3.9, 5.0), (6.7, 8.0)]),
        // Inputs as printed: 0.58e-6/K at 0.1 K, 0.029 K at 11.5e-6/K.
        "end gauge" => combined(&[
            (75.0 / 3.0, 18.0),
            (9.7, 25.6),
            (50_000_623.0 * 0.1 * 0.58e-6, 50.0),
            (50_000_623.0 * 11.5e-6 * 0.029, 2.0),
        ]),
        "product of three" => combined(&[(0.25, 9.0), (0.57, 4.0), (0.82, 14.0)]),
        "micrometer on 20 mm" => {
            let gauge = GaugeError {
                mpe: Some(Length::from_um(4)),
                resolution: Some(Length::from_um(1)),
                ..GaugeError::default()
            };
            let mut lines = gauge_lines(&gauge, 1).unwrap().unwrap();
            lines.push(line(900.0, 9.0));
            lines.push(line(20e6 * 11.5e-6 * 2.0 / root3, f64::INFINITY));
            Uncertainty::combined(lines).unwrap()
        }
        other => panic!("unknown budget {other}"),
    }
}

#[test]
fn budgets_agree_with_the_guide() {
    for case in cases(include_str!("../tables/budgets.csv")) {
        let budget = budget(case.name());
        let found = match case.text("quantity") {
            "u" => budget.standard_nm(),
            "freedom" => freedom(&budget),
            "k95" => budget.coverage_factor(0.95).unwrap(),
            "k99" => budget.coverage_factor(0.99).unwrap(),
            "U95" => budget.expanded(0.95).unwrap().as_nm_f64(),
            "U99" => budget.expanded(0.99).unwrap().as_nm_f64(),
            other => panic!("unknown quantity {other}"),
        };
        case.check("expected", found);
    }
}

#[test]
fn gauge_errors_become_standard_uncertainties() {
    for case in cases(include_str!("../tables/gauge_uncertainty.csv")) {
        let given = Length::parse_mm(case.text("given_mm")).unwrap();
        let mut gauge = GaugeError {
            mpe: Some(Length::ZERO),
            ..GaugeError::default()
        };
        let mut readings = 1;
        match case.text("source_of_error") {
            "mpe" => gauge.mpe = Some(given),
            "resolution" => gauge.resolution = Some(given),
            "repeatability" => {
                gauge.repeatability = Some(given);
                readings = case.text("factor").parse().unwrap();
            }
            "calibration" => {
                let factor = case.number("factor");
                gauge.calibration = Some(Calibration::new(given, factor, Vec::new()).unwrap());
            }
            other => panic!("unknown source {other}"),
        }
        let lines = gauge_lines(&gauge, readings).unwrap().unwrap();
        let u = Uncertainty::combined(lines).unwrap();
        case.check("expected_nm", u.standard_nm());
    }
}

#[test]
fn a_bias_is_interpolated_exactly_between_its_points() {
    let points = [(0, 0), (25, 1000), (50, -501)];
    let points = points.map(|(mm, nm)| BiasPoint {
        at: Length::from_mm(mm),
        bias: Length::from_nm(nm),
    });
    let calibration = Calibration::new(Length::from_um(2), 2.0, points.to_vec()).unwrap();
    for case in cases(include_str!("../tables/bias.csv")) {
        let indication = Length::parse_mm(case.text("indication_mm")).unwrap();
        case.check(
            "expected_bias_nm",
            calibration.bias_at(indication).as_nm_f64(),
        );
    }
    let without = Calibration::new(Length::from_um(2), 2.0, Vec::new()).unwrap();
    assert_eq!(without.bias_at(Length::from_mm(7)), Length::ZERO);
}

#[test]
fn a_calibration_that_is_none_is_refused() {
    let code = |u: i64, k: f64, ats: &[i64]| {
        let point = |at: &i64| BiasPoint {
            at: Length::from_mm(*at),
            bias: Length::ZERO,
        };
        Calibration::new(Length::from_um(u), k, ats.iter().map(point).collect())
            .unwrap_err()
            .code()
    };
    assert_eq!(code(-1, 2.0, &[]), "negative_uncertainty");
    for k in [0.0, 0.99, 11.0, f64::NAN, f64::INFINITY] {
        assert_eq!(code(1, k, &[]), "coverage_factor_out_of_range");
    }
    assert_eq!(code(1, 2.0, &[0, 25, 25]), "bias_points_not_rising");
    assert_eq!(code(1, 2.0, &[0, 25, 10]), "bias_points_not_rising");
}

#[test]
fn a_gauge_of_unknown_error_gives_no_uncertainty_at_all() {
    let gauge = GaugeError {
        resolution: Some(Length::from_um(1)),
        repeatability: Some(Length::from_nm(800)),
        ..GaugeError::default()
    };
    assert_eq!(gauge_lines(&gauge, 1), Ok(None));
    let measured = measure(Length::from_mm(20), &gauge, None, 1).unwrap();
    assert_eq!(
        (measured.value, measured.uncertainty),
        (Length::from_mm(20), None)
    );
    assert_eq!(gauge_lines(&gauge, 0), Err(UncertaintyError::NoReadings));
}

#[test]
fn a_calibration_takes_the_place_of_the_permissible_error() {
    let calibration = Calibration::new(Length::from_um(2), 2.0, Vec::new()).unwrap();
    let gauge = GaugeError {
        mpe: Some(Length::from_um(4)),
        calibration: Some(calibration),
        ..GaugeError::default()
    };
    let lines = gauge_lines(&gauge, 1).unwrap().unwrap();
    let known = BudgetLine::known(UncertaintySource::Calibration, 1000.0);
    assert_eq!(lines, vec![known]);
}

#[test]
fn budgets_that_are_none_are_refused() {
    assert_eq!(
        Uncertainty::combined(Vec::new()),
        Err(UncertaintyError::NoLines)
    );
    for bad in [-1.0, f64::NAN, f64::INFINITY, 2e10] {
        assert_eq!(
            Uncertainty::stated(bad).unwrap_err().code(),
            "uncertainty_out_of_range"
        );
    }
    for bad in [0.5, 0.0, f64::NAN] {
        let line = BudgetLine {
            degrees_of_freedom: DegreesOfFreedom::Finite(bad),
            ..line(1.0, 1.0)
        };
        let code = Uncertainty::combined(vec![line]).unwrap_err().code();
        assert_eq!(code, "degrees_of_freedom_out_of_range");
    }
    let zero = Uncertainty::stated(0.0).unwrap();
    assert_eq!(zero.degrees_of_freedom(), DegreesOfFreedom::Infinite);
    assert_eq!(zero.expanded(0.95), Ok(Length::ZERO));
    assert!(zero.expanded(1.0).is_err());
}

/// A steel bush at 31 °C, calibrated micrometer at 22 °C with 0.001 mm of bias at 25 mm. By hand:
/// 25.030 - 0.001 = 25.029; x (1 + 11.5e-6 x 2) / (1 + 11.5e-6 x 11) = 25.026 409 8 mm.
#[test]
fn a_reading_becomes_a_value_at_20_with_its_corrections() {
    let bias = |mm, um| BiasPoint {
        at: Length::from_mm(mm),
        bias: Length::from_um(um),
    };
    let calibration =
        Calibration::new(Length::from_um(2), 2.0, vec![bias(0, 0), bias(25, 1)]).unwrap();
    let gauge = GaugeError {
        calibration: Some(calibration),
        ..GaugeError::default()
    };
    let steel = Expansion::with_usual_uncertainty(11.5e-6);
    let thermal = Thermal {
        part: Temperature::measured(Celsius::from_milli(31_000), 1.0),
        part_expansion: steel,
        gauge: Temperature::measured(Celsius::from_milli(22_000), 1.0),
        gauge_expansion: steel,
        thermometer: Thermometer::Separate,
    };
    let indication = Length::from_um(25_030);
    let measured = measure(indication, &gauge, Some(&thermal), 1).unwrap();
    assert_eq!(measured.value, Length::from_nm(25_026_410));
    let bias = Length::from_um(-1);
    let temperature = Length::from_nm(-2_590);
    assert_eq!(
        measured.corrections,
        vec![
            Correction::Bias { added: bias },
            Correction::Temperature { added: temperature },
        ]
    );
    assert_eq!(indication + bias + temperature, measured.value);
    let u = measured.uncertainty.unwrap();
    assert_eq!(u.lines().len(), 5, "calibration and four temperature lines");
    assert!(u.standard_nm() > 1000.0);
}

proptest! {
    #[test]
    fn a_further_line_never_shrinks_the_uncertainty(
        first in 0.0_f64..1e6, second in 0.0_f64..1e6, v in 1.0_f64..100.0,
    ) {
        let one = combined(&[(first, v)]);
        let two = combined(&[(first, v), (second, f64::INFINITY)]);
        prop_assert!(two.standard_nm() >= one.standard_nm());
        prop_assert!(freedom(&two) >= freedom(&one) * (1.0 - 1e-9));
    }

    #[test]
    fn more_readings_shrink_only_the_repeatability(s_um in 1_i64..20, n in 2_u32..50) {
        let gauge = GaugeError {
            mpe: Some(Length::from_um(4)),
            repeatability: Some(Length::from_um(s_um)),
            ..GaugeError::default()
        };
        let u = |n| Uncertainty::combined(gauge_lines(&gauge, n).unwrap().unwrap()).unwrap();
        let floor = 4000.0 / 3.0_f64.sqrt();
        prop_assert!(u(n).standard_nm() < u(1).standard_nm());
        prop_assert!(u(n).standard_nm() > floor);
    }
}
