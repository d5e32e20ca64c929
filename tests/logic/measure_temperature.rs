//! Correction to 20 °C against exact fractions, and the age of a temperature.

use crate::table::{Case, cases};
use fitledger::gauge::{BiasPoint, Calibration, GaugeError};
use fitledger::material::Expansion;
use fitledger::measure::{Temperature, Thermal, Thermometer, indication_for, measure};
use fitledger::quantity::{Celsius, Length};
use proptest::prelude::*;

fn thermal(case: &Case) -> Thermal {
    let temperature = |celsius: &str, u: &str| Temperature {
        celsius: Celsius::parse(case.text(celsius)).unwrap(),
        standard_uncertainty_k: case.number(u),
    };
    let expansion = |per_kelvin: &str, u: &str| Expansion {
        per_kelvin: case.number(per_kelvin),
        standard_uncertainty_per_kelvin: case.number(u),
    };
    Thermal {
        part: temperature("part_celsius", "u_part_k"),
        part_expansion: expansion("part_per_kelvin", "u_part_per_kelvin"),
        gauge: temperature("gauge_celsius", "u_gauge_k"),
        gauge_expansion: expansion("gauge_per_kelvin", "u_gauge_per_kelvin"),
        thermometer: Thermometer::Separate,
    }
}

#[test]
fn sizes_at_20_and_their_uncertainty_agree_with_the_table() {
    for case in cases(include_str!("../tables/temperature.csv")) {
        let (thermal, name) = (thermal(&case), case.name());
        let indication = Length::parse_mm(case.text("indication_mm")).unwrap();
        let expected = Length::parse_mm(case.text("expected_size_mm")).unwrap();
        assert_eq!(thermal.size_at_20(indication), Ok(expected), "{name}");
        let shown = thermal.gauge_must_show(expected).unwrap();
        assert!((shown - indication).abs() <= Length::from_nm(1), "{name}");
        let u = thermal.uncertainty(indication).unwrap();
        case.check("expected_u_part_expansion_nm", u.part_expansion_nm);
        case.check("expected_u_gauge_expansion_nm", u.gauge_expansion_nm);
        case.check("expected_u_part_temperature_nm", u.part_temperature_nm);
        case.check("expected_u_gauge_temperature_nm", u.gauge_temperature_nm);
        case.check("expected_u_nm", u.combined_nm());
    }
}

/// JCGM 100:2008 Annex H.1: 50.000 623 mm, 11.5e-6/K: 0.029 K of temperature difference gives
/// 16.6 nm (16.68 unrounded), 0.58e-6/K of expansion difference at -0.1 K gives 2.9 nm.
#[test]
fn sensitivities_agree_with_the_end_gauge_of_the_guide() {
    let thermal = Thermal {
        part: Temperature {
            celsius: Celsius::from_milli(19_900),
            standard_uncertainty_k: 0.05 / 3.0_f64.sqrt(),
        },
        part_expansion: Expansion {
            per_kelvin: 11.5e-6,
            standard_uncertainty_per_kelvin: 1e-6 / 3.0_f64.sqrt(),
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
    let u = thermal.uncertainty(Length::from_nm(50_000_623)).unwrap();
    assert!((u.part_temperature_nm - 16.6).abs() < 0.05);
    assert!((u.part_expansion_nm - 2.9).abs() < 0.05);
}

fn steel_thermal(part_milli: i32, gauge_milli: i32, half_width_k: f64) -> Thermal {
    let steel = Expansion::with_usual_uncertainty(11.5e-6);
    Thermal {
        part: Temperature::measured(Celsius::from_milli(part_milli), half_width_k),
        part_expansion: steel,
        gauge: Temperature::measured(Celsius::from_milli(gauge_milli), half_width_k),
        gauge_expansion: steel,
        thermometer: Thermometer::Separate,
    }
}

#[test]
fn a_shared_thermometer_cancels_between_equal_materials() {
    let separate = steel_thermal(27_000, 27_000, 1.0);
    let shared = Thermal {
        thermometer: Thermometer::Shared,
        ..separate
    };
    let length = Length::from_mm(25);
    let (apart, together) = (
        separate.uncertainty(length).unwrap(),
        shared.uncertainty(length).unwrap(),
    );
    // 25 mm x 11.5e-6 x 1 K / sqrt 3 = 165.99 nm each (by hand).
    assert!((apart.part_temperature_nm - 165.99).abs() < 0.005);
    assert!(together.part_temperature_nm.abs() < 1e-9);
    assert!(together.gauge_temperature_nm.abs() < 1e-9);
    assert!(together.combined_nm() < apart.combined_nm());
    // Aluminium on steel keeps the difference: 25 mm x 11.6e-6 x 1 K / sqrt 3 = 167.43 nm.
    let aluminium = Thermal {
        part_expansion: Expansion::with_usual_uncertainty(23.1e-6),
        ..shared
    };
    let kept = aluminium.uncertainty(length).unwrap().part_temperature_nm;
    assert!((kept - 167.43).abs() < 0.005, "{kept}");
}

#[test]
fn a_temperature_nobody_measured_corrects_nothing_but_costs_uncertainty() {
    let assumed = Thermal {
        part: Temperature::assumed(),
        gauge: Temperature::measured(Celsius::REFERENCE, 0.0),
        ..steel_thermal(20_000, 20_000, 0.0)
    };
    let length = Length::from_mm(20);
    assert_eq!(assumed.size_at_20(length), Ok(length));
    // Chosen half-width 5 K: 20 mm x 11.5e-6 x 5 / sqrt 3 = 663.95 nm (by hand).
    let u = assumed.uncertainty(length).unwrap().combined_nm();
    assert!((u - 663.95).abs() < 0.005, "{u}");
}

#[test]
fn a_temperature_grows_doubtful_and_lapses_after_ten_minutes() {
    let warm = Temperature::measured(Celsius::from_milli(31_000), 1.0);
    let u = |age_ms| warm.aged(age_ms).map(|aged| aged.standard_uncertainty_k);
    assert_eq!(warm.aged(0), Some(warm));
    // Chosen drift at 31 °C: 0.1 + 0.05 x 11 = 0.65 K a minute; after 4 minutes 2.6 K half-width:
    // sqrt(1/3 + 2.6^2/3) = 1.608 K (by hand).
    assert!((u(240_000).unwrap() - 1.608).abs() < 0.000_5);
    assert!(u(600_000).is_some());
    assert_eq!(u(600_001), None);
    assert_eq!(u(u64::MAX), None);
}

#[test]
fn what_is_out_of_range_is_refused_with_its_place() {
    let code = |thermal: Thermal| thermal.size_at_20(Length::from_mm(20)).unwrap_err();
    let hot = code(steel_thermal(120_001, 20_000, 1.0));
    assert_eq!(hot.code(), "temperature_out_of_range");
    assert!(
        hot.to_string()
            .starts_with("The part temperature 120.001 °C"),
        "{hot}"
    );
    let cold = code(steel_thermal(20_000, -20_001, 1.0));
    assert!(
        cold.to_string().starts_with("The gauge temperature"),
        "{cold}"
    );
    for bad in [f64::NAN, f64::INFINITY, -1.0] {
        let found = code(steel_thermal(20_000, 20_000, bad));
        assert_eq!(found.code(), "temperature_uncertainty_out_of_range");
        let mut thermal = steel_thermal(20_000, 20_000, 1.0);
        thermal.part_expansion.per_kelvin = bad;
        assert_eq!(code(thermal).code(), "expansion_out_of_range");
        let mut thermal = steel_thermal(20_000, 20_000, 1.0);
        thermal.gauge_expansion.standard_uncertainty_per_kelvin = bad;
        assert_eq!(code(thermal).code(), "expansion_out_of_range");
    }
}

proptest! {
    #[test]
    fn what_the_gauge_must_show_is_what_the_correction_undoes(
        nm in -1_000_000_000_i64..1_000_000_000, part in -20_000..=120_000_i32,
        gauge in -20_000..=120_000_i32,
    ) {
        let (thermal, size) = (steel_thermal(part, gauge, 1.0), Length::from_nm(nm));
        let shown = thermal.gauge_must_show(size).unwrap();
        let back = thermal.size_at_20(shown).unwrap();
        prop_assert!((back - size).abs() <= Length::from_nm(1));
    }

    #[test]
    fn a_warmer_part_is_smaller_at_20(part in -20_000..119_000_i32, warmer in 1..1000_i32) {
        let size = |milli| steel_thermal(milli, 20_000, 1.0).size_at_20(Length::from_mm(500));
        prop_assert!(size(part + warmer).unwrap() < size(part).unwrap());
    }

    #[test]
    fn doubt_about_a_temperature_only_grows(age in 0_u64..600_000, later in 0_u64..600_000) {
        let warm = Temperature::measured(Celsius::from_milli(45_000), 1.0);
        let now = warm.aged(age).unwrap().standard_uncertainty_k;
        if let Some(then) = warm.aged(age + later) {
            prop_assert!(then.standard_uncertainty_k >= now);
        }
    }
}

/// 20.0085 at 20 °C is 20.0085 × (1 + 16.5e-6 × 11) = 20.012132 on a gauge at 20 °C; with 3 µm too
/// much shown there it is 20.015132. The step of first order, indication + (target - value), would
/// be 37.9 µm × 1.8e-4 = 7 nm off from a reading of 20.050.
#[test]
fn what_the_gauge_must_show_is_the_correction_backwards() {
    let stainless = Expansion::with_usual_uncertainty(16.5e-6);
    let thermal = Thermal {
        part_expansion: stainless,
        ..steel_thermal(31_000, 20_000, 1.0)
    };
    let middle = Length::from_nm(20_008_500);
    let plain = GaugeError::default();
    let shown = indication_for(middle, &plain, Some(&thermal));
    assert_eq!(shown, Ok(Length::from_nm(20_012_132)));
    let bias = vec![BiasPoint {
        at: Length::from_mm(20),
        bias: Length::from_um(3),
    }];
    let calibration = Calibration::new(Length::from_um(2), 2.0, bias).unwrap();
    let calibrated = GaugeError {
        calibration: Some(calibration),
        ..GaugeError::default()
    };
    let shown = indication_for(middle, &calibrated, Some(&thermal));
    assert_eq!(shown, Ok(Length::from_nm(20_015_132)));
    assert_eq!(indication_for(middle, &plain, None), Ok(middle));
}

proptest! {
    /// Measured again, what the gauge must show gives the size, within the rounding.
    #[test]
    fn what_the_gauge_must_show_measures_as_the_size(
        nm in 1_000_000_i64..500_000_000,
        part in -10_000_i32..60_000,
        low in -20_000_i64..20_000,
        high in -20_000_i64..20_000,
    ) {
        let thermal = steel_thermal(part, 20_000, 1.0);
        let point = |at: i64, bias: i64| BiasPoint {
            at: Length::from_mm(at),
            bias: Length::from_nm(bias),
        };
        let bias = vec![point(0, low), point(500, high)];
        let error = GaugeError {
            calibration: Some(Calibration::new(Length::from_um(1), 2.0, bias).unwrap()),
            ..GaugeError::default()
        };
        let size = Length::from_nm(nm);
        let shown = indication_for(size, &error, Some(&thermal)).unwrap();
        let again = measure(shown, &error, Some(&thermal), 1).unwrap().value;
        prop_assert!((again - size).abs() <= Length::from_nm(2), "{size} {shown} {again}");
    }
}

/// Against decimal arithmetic of 60 digits, ties and places where binary floats err included.
#[test]
fn sizes_at_20_are_the_exact_quotient_rounded_once() {
    for case in cases(include_str!("../tables/temperature_exact.csv")) {
        let temperature = |column: &str| Temperature {
            celsius: Celsius::parse(case.text(column)).unwrap(),
            standard_uncertainty_k: 0.0,
        };
        let expansion = |column: &str| Expansion {
            per_kelvin: case.number(column),
            standard_uncertainty_per_kelvin: 0.0,
        };
        let thermal = Thermal {
            part: temperature("part_celsius"),
            part_expansion: expansion("part_per_kelvin"),
            gauge: temperature("gauge_celsius"),
            gauge_expansion: expansion("gauge_per_kelvin"),
            thermometer: Thermometer::Separate,
        };
        let indication = Length::parse_mm(case.text("indication_mm")).unwrap();
        let expected = Length::parse_mm(case.text("expected_size_mm")).unwrap();
        let name = case.name();
        assert_eq!(thermal.size_at_20(indication), Ok(expected), "{name}");
        let before = case.number("expected_before_rounding_nm");
        assert!((expected.as_nm_f64() - before).abs() <= 0.5, "{name}");
    }
}
