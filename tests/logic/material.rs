//! Materials: found by every customary name, with numbers and sources.

use fitledger::material::{material, materials};
use proptest::prelude::*;

#[test]
fn a_material_is_found_by_designation_number_and_plain_word() {
    // Expansion in 1e-6/K; sources stand in the table's rows.
    for (name, designation, expansion) in [
        ("C45", "C45", 11.5),
        ("c 45", "C45", 11.5),
        ("1.0503", "C45", 11.5),
        ("C45+QT", "C45+QT", 11.5),
        ("1.4301", "X5CrNi18-10", 16.5),
        ("x5crni18-10", "X5CrNi18-10", 16.5),
        ("14301", "X5CrNi18-10", 16.5),
        ("cw614n", "CuZn39Pb3", 20.5),
        ("EN AW-6082", "EN AW-6082 T6", 23.4),
        ("0.6025", "EN-GJL-250", 10.5),
        ("pom", "POM-C", 109.0),
        // Plain words: JCGM 100 H.1 for steel, handbook values from memory for the others.
        ("STEEL", "steel", 11.5),
        ("Stainless steel", "stainless", 16.5),
        ("aluminium", "aluminium", 23.1),
        ("aluminum", "aluminium", 23.1),
        ("brass", "brass", 19.0),
    ] {
        let found = material(name).unwrap();
        assert_eq!(found.designation, designation, "{name}");
        let difference = found.expansion().per_kelvin - expansion * 1e-6;
        assert!(difference.abs() < 1e-15, "{name}");
    }
}

#[test]
fn an_unknown_material_names_the_nearest() {
    for (name, nearest) in [
        ("stel", Some("steel")),
        ("1.4302", Some("1.4301")),
        ("C46", Some("C45")),
        ("unobtainium", None),
        ("", None),
        ("-", None),
    ] {
        let error = material(name).unwrap_err();
        assert_eq!(error.code(), "unknown_material");
        match nearest {
            Some(near) => assert!(error.to_string().contains(&format!("“{near}”?")), "{error}"),
            None => assert!(!error.to_string().contains("mean"), "{error}"),
        }
    }
}

#[test]
fn the_default_uncertainty_is_a_tenth_but_at_least_one_millionth() {
    // Definition (chosen): rectangular half-width, u = a / sqrt 3 (JCGM 100 clause 4.3.7).
    let u = |name: &str| {
        material(name)
            .unwrap()
            .expansion()
            .standard_uncertainty_per_kelvin
    };
    assert!((u("aluminium") - 2.31e-6 / 3.0_f64.sqrt()).abs() < 1e-15);
    assert!((u("carbide") - 1e-6 / 3.0_f64.sqrt()).abs() < 1e-15);
}

#[test]
fn every_material_is_physical_and_sourced() {
    for row in materials() {
        let name = row.designation;
        assert!((0.0..0.5).contains(&row.poisson_ratio), "{name}");
        assert!((1.0..700.0).contains(&row.youngs_modulus_gpa), "{name}");
        assert!((1.0..200.0).contains(&row.expansion_um_per_m_k), "{name}");
        assert!((900.0..16_000.0).contains(&row.density_kg_m3), "{name}");
        assert!(!row.expansion_source.is_empty() && !row.youngs_modulus_source.is_empty());
        assert!(!row.poisson_ratio_source.is_empty() && !row.density_source.is_empty());
        assert_eq!(
            row.yield_mpa.is_some(),
            !row.yield_source.is_empty(),
            "{name}"
        );
        assert!(
            !row.yield_kind.is_empty() && !row.state.is_empty(),
            "{name}"
        );
        assert_eq!(material(name).unwrap().designation, name);
    }
}

proptest! {
    #[test]
    fn no_name_makes_the_lookup_panic(name in "\\PC{0,60}") {
        let _ = material(&name).map_err(|error| error.to_string());
    }
}
