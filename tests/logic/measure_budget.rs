//! Budgets line by line: shares, the guide's contributions, and gauges behind gauges.

use crate::table::cases;
use fitledger::gauge::{BiasPoint, Calibration, GaugeError};
use fitledger::material::Expansion;
use fitledger::measure::{
    BudgetLine, Correction, DegreesOfFreedom, Temperature, Thermal, Thermometer, Uncertainty,
    UncertaintySource, gauge_lines, indication_for, measure, thermal_lines,
};
use fitledger::quantity::{Celsius, Length};

fn source(word: &str) -> UncertaintySource {
    let known = UncertaintySource::WORDS
        .iter()
        .find(|(_, known)| *known == word);
    known.unwrap_or_else(|| panic!("no source {word}")).0
}

fn finite(source: UncertaintySource, standard_nm: f64, freedom: f64) -> BudgetLine {
    BudgetLine {
        source,
        standard_nm,
        degrees_of_freedom: DegreesOfFreedom::Finite(freedom),
    }
}

/// The end gauge of JCGM 100:2008 H.1, its temperature terms through the correction's own code.
fn end_gauge() -> Uncertainty {
    let thermal = Thermal {
        part: Temperature {
            celsius: Celsius::from_milli(19_900),
            standard_uncertainty_k: 0.029,
        },
        part_expansion: Expansion {
            per_kelvin: 11.5e-6,
            standard_uncertainty_per_kelvin: 0.58e-6,
        },
        gauge: Temperature {
            celsius: Celsius::REFERENCE,
            standard_uncertainty_k: 0.0,
        },
        gauge_expansion: Expansion {
            per_kelvin: 11.5e-6,
            standard_uncertainty_per_kelvin: 0.0,
        },
        thermometer: Thermometer::Separate,
    };
    let parts = thermal.uncertainty(Length::from_nm(50_000_623)).unwrap();
    let freedom = |source| match source {
        UncertaintySource::PartExpansion => 50.0,
        _ => 2.0,
    };
    let mut lines = vec![
        finite(UncertaintySource::Calibration, 75.0 / 3.0, 18.0),
        finite(UncertaintySource::Repeatability, 9.7, 25.6),
    ];
    lines.extend(
        thermal_lines(&parts)
            .map(|line| finite(line.source, line.standard_nm, freedom(line.source))),
    );
    Uncertainty::combined(lines).unwrap()
}

fn micrometer_error() -> GaugeError {
    GaugeError {
        mpe: Some(Length::from_um(4)),
        resolution: Some(Length::from_um(1)),
        repeatability: Some(Length::from_nm(900)),
        repeatability_freedom: Some(9),
        ..GaugeError::default()
    }
}

/// 20 mm of steel, 2 K (rectangular) between part and micrometer, all through the program's code.
fn micrometer() -> Uncertainty {
    let steel = Expansion {
        per_kelvin: 11.5e-6,
        standard_uncertainty_per_kelvin: 0.0,
    };
    let thermal = Thermal {
        part: Temperature::measured(Celsius::REFERENCE, 2.0),
        part_expansion: steel,
        gauge: Temperature::measured(Celsius::REFERENCE, 0.0),
        gauge_expansion: steel,
        thermometer: Thermometer::Separate,
    };
    let measured = measure(Length::from_mm(20), &micrometer_error(), Some(&thermal), 1);
    measured.unwrap().uncertainty.unwrap()
}

fn line_of<'a>(budget: &'a Uncertainty, word: &str) -> &'a BudgetLine {
    let source = source(word);
    let line = budget.lines().iter().find(|line| line.source == source);
    line.unwrap_or_else(|| panic!("no line {word}"))
}

#[test]
fn each_line_of_a_budget_and_its_share_agree_with_the_table() {
    for case in cases(include_str!("../tables/budget_lines.csv")) {
        let budget = match case.name() {
            "end gauge" => end_gauge(),
            "micrometer on 20 mm" => micrometer(),
            other => panic!("unknown budget {other}"),
        };
        let line = line_of(&budget, case.text("line"));
        case.check("expected_nm", line.standard_nm);
        case.check("expected_share", budget.share(line));
        let freedom = match line.degrees_of_freedom {
            DegreesOfFreedom::Finite(freedom) => freedom,
            DegreesOfFreedom::Infinite => f64::INFINITY,
        };
        let expected = case.number_if_any("degrees_of_freedom");
        assert_eq!(
            expected.unwrap_or(f64::INFINITY).to_bits(),
            freedom.to_bits()
        );
    }
    for budget in [end_gauge(), micrometer()] {
        assert_eq!(budget.lines().len(), 4);
        let whole: f64 = budget.lines().iter().map(|line| budget.share(line)).sum();
        assert!((whole - 1.0).abs() < 1e-12, "{whole}");
    }
}

#[test]
fn the_end_gauge_agrees_with_what_the_guide_prints() {
    for case in cases(include_str!("../tables/budget_published.csv")) {
        let budget = end_gauge();
        case.check(
            "expected_nm",
            line_of(&budget, case.text("line")).standard_nm,
        );
    }
}

/// From gauge and temperature to U in one go: effective degrees of freedom 543.96, k = 1.96434
/// (constructed; Python 3, scipy 1.17.1), U = 1.96434 x 2509.42 nm = 4930 nm, rounded up.
#[test]
fn a_study_s_degrees_of_freedom_reach_the_coverage_factor() {
    let budget = micrometer();
    let DegreesOfFreedom::Finite(freedom) = budget.degrees_of_freedom() else {
        panic!("the study has nine degrees of freedom");
    };
    assert!((freedom - 543.960_601).abs() < 1e-5, "{freedom}");
    assert!((budget.coverage_factor(0.95).unwrap() - 1.964_346).abs() < 5e-6);
    assert_eq!(budget.expanded(0.95), Ok(Length::from_nm(4_930)));
    // A study that says nothing of its size is taken as exactly known.
    let silent = GaugeError {
        repeatability_freedom: None,
        ..micrometer_error()
    };
    let lines = gauge_lines(&silent, 1).unwrap().unwrap();
    let budget = Uncertainty::combined(lines).unwrap();
    assert_eq!(budget.degrees_of_freedom(), DegreesOfFreedom::Infinite);
}

fn ring(bias_um: Option<i64>) -> GaugeError {
    let point = bias_um.map(|um| BiasPoint {
        at: Length::from_mm(25),
        bias: Length::from_um(um),
    });
    let calibration = Calibration::new(Length::from_um(1), 2.0, point.into_iter().collect());
    GaugeError {
        calibration: Some(calibration.unwrap()),
        ..GaugeError::default()
    }
}

fn bore_gauge(standard: GaugeError) -> GaugeError {
    GaugeError {
        mpe: Some(Length::from_um(2)),
        resolution: Some(Length::from_um(1)),
        repeatability: Some(Length::from_nm(800)),
        repeatability_freedom: Some(9),
        standard: Some(Box::new(standard)),
        ..GaugeError::default()
    }
}

fn small_hole_gauge() -> GaugeError {
    GaugeError {
        mpe: Some(Length::from_um(4)),
        resolution: Some(Length::from_um(1)),
        transfer: Some(Box::new(GaugeError {
            mpe: Some(Length::from_um(5)),
            repeatability: Some(Length::from_um(3)),
            repeatability_freedom: Some(4),
            ..GaugeError::default()
        })),
        form: Some(Length::from_um(2)),
        ..GaugeError::default()
    }
}

#[test]
fn standards_and_gauges_behind_a_gauge_are_in_its_budget() {
    for case in cases(include_str!("../tables/gauge_chains.csv")) {
        let (error, readings) = match case.name() {
            "bore gauge on a ring" => (bore_gauge(ring(None)), 1),
            "bore gauge on a ring, mean of 4" => (bore_gauge(ring(None)), 4),
            "small-hole gauge by micrometer" => (small_hole_gauge(), 1),
            other => panic!("unknown chain {other}"),
        };
        let lines = gauge_lines(&error, readings).unwrap().unwrap();
        let budget = Uncertainty::combined(lines).unwrap();
        match case.text("line") {
            "u" => case.check("expected_nm", budget.standard_nm()),
            word => case.check("expected_nm", line_of(&budget, word).standard_nm),
        }
    }
    // The transfer gauge's own study: v = u^4 / (s^4 / 4) with u^2 = 5000^2/3 + 3000^2: 14.836.
    let lines = gauge_lines(&small_hole_gauge(), 1).unwrap().unwrap();
    let transfer = lines
        .iter()
        .find(|line| line.source == UncertaintySource::TransferGauge);
    let DegreesOfFreedom::Finite(freedom) = transfer.unwrap().degrees_of_freedom else {
        panic!("the study has four degrees of freedom");
    };
    let by_hand = 4.0 * (25e6_f64 / 3.0 + 9e6).powi(2) / 9e6_f64.powi(2);
    assert!((freedom - by_hand).abs() < 1e-9, "{freedom}");
}

#[test]
fn a_chain_with_an_unknown_link_has_no_uncertainty_at_all() {
    let unknown = GaugeError::default();
    assert_eq!(gauge_lines(&bore_gauge(unknown.clone()), 1), Ok(None));
    let carried = GaugeError {
        transfer: Some(Box::new(unknown)),
        ..micrometer_error()
    };
    assert_eq!(gauge_lines(&carried, 1), Ok(None));
}

#[test]
fn an_endless_chain_of_standards_ends() {
    let link = |behind: Option<GaugeError>| GaugeError {
        standard: behind.map(Box::new),
        ..micrometer_error()
    };
    let chain = |links: usize| (1..links).fold(link(None), |chain, _| link(Some(chain)));
    assert!(gauge_lines(&chain(8), 1).unwrap().is_some());
    assert_eq!(gauge_lines(&chain(9), 1), Ok(None));
}

/// The ring is engraved 25.000 and was found to show 2 µm too much: it is 24.998. A bore gauge
/// set on it as 25.000 shows every bore 2 µm too large.
#[test]
fn the_deviation_of_the_setting_standard_is_taken_off() {
    let error = bore_gauge(ring(Some(2)));
    let shown = Length::from_um(25_010);
    let measured = measure(shown, &error, None, 1).unwrap();
    assert_eq!(measured.value, Length::from_um(25_008));
    let added = Length::from_um(-2);
    assert_eq!(measured.corrections, vec![Correction::Standard { added }]);
    assert_eq!(indication_for(measured.value, &error, None), Ok(shown));
    // And of a gauge that carries the size, by the same reasoning.
    let carried = GaugeError {
        transfer: Some(Box::new(ring(Some(-3)))),
        ..micrometer_error()
    };
    let measured = measure(shown, &carried, None, 1).unwrap();
    let added = Length::from_um(3);
    assert_eq!(measured.corrections, vec![Correction::Transfer { added }]);
    assert_eq!(measured.value, Length::from_um(25_013));
}
