//! Materials: found by every customary name, with numbers and sources.

use fitledger::material::{Friction, Joining, Materials, Wetness, friction, material, materials};
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
    let unseen = material("\u{1b}[2Jxyzw").unwrap_err().to_string();
    assert_eq!(
        unseen,
        "There is no material “\\u{1b}[2Jxyzw” in the table."
    );
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
        let name = &*row.designation;
        assert!((0.0..0.5).contains(&row.poisson_ratio), "{name}");
        assert!((1.0..700.0).contains(&row.youngs_modulus_gpa), "{name}");
        assert!((1.0..200.0).contains(&row.expansion_um_per_m_k), "{name}");
        let density = row.density_kg_m3.unwrap();
        assert!((900.0..16_000.0).contains(&density), "{name}");
        assert_eq!(
            row.joining_max_c.is_some(),
            !row.joining_max_source.is_empty(),
            "{name}"
        );
        assert!(row.house.is_empty(), "{name}");
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

const HOUSE: &str = r#"
[[material]]
designation = "CuSn8"
aliases = ["bush bronze"]
group = "bronze"
state = "drawn hard"
youngs_modulus_gpa = 115
poisson_ratio = 0.34
expansion_um_per_m_k = 17.9
yield_mpa = 450
yield_kind = "Rp0.2"
joining_max_c = 180
source = "certificate of the lot"

[[material]]
designation = "applewood"
group = "wood"
youngs_modulus_gpa = 10
poisson_ratio = 0.3
expansion_um_per_m_k = 40
source = "measured here"
"#;

#[test]
fn a_house_adds_materials_and_its_own_numbers_come_first() {
    let house = Materials::standard()
        .clone()
        .with_house(HOUSE, "materials.toml");
    let house = house.unwrap();
    assert_eq!(house.rows().len(), materials().len() + 2);
    let bronze = house.find("cusn8").unwrap();
    assert_eq!(
        (bronze.yield_mpa, &*bronze.house),
        (Some(450.0), "materials.toml")
    );
    assert_eq!(&*bronze.yield_source, "certificate of the lot");
    assert_eq!(bronze.joining_max_c, Some(180.0));
    assert_eq!(house.find("Bush Bronze").unwrap(), bronze);
    assert_eq!(
        house.find("applewod").unwrap_err().to_string(),
        "There is no material “applewod”; did you mean “applewood”?"
    );
    // The program's own stay, and the standard's table does not change.
    assert_eq!(house.find("C45").unwrap(), material("C45").unwrap());
    assert_eq!(material("CuSn8").unwrap().yield_mpa, Some(280.0));
    assert!(material("applewood").is_err());
}

#[test]
fn what_is_wrong_with_a_house_row_is_told_with_its_line() {
    let wrong = |from: &str, to: &str| {
        assert!(HOUSE.contains(from), "{from}");
        let text = HOUSE.replacen(from, to, 1);
        let error = Materials::standard()
            .clone()
            .with_house(&text, "materials.toml");
        let error = error.unwrap_err();
        assert_eq!(error.code(), "materials_invalid");
        error.to_string()
    };
    for (from, to, told) in [
        (
            "poisson_ratio = 0.34",
            "poisson_ratio = 0.5",
            "line 2: poisson_ratio of CuSn8 is 0.5; allowed is 0 to below 0.5.",
        ),
        (
            "poisson_ratio = 0.34",
            "poisson_ratio = nan",
            "line 2: poisson_ratio of CuSn8 is NaN; allowed is 0 to below 0.5.",
        ),
        (
            "youngs_modulus_gpa = 115",
            "youngs_modulus_gpa = -1",
            "line 2: youngs_modulus_gpa of CuSn8 is -1",
        ),
        (
            "yield_mpa = 450",
            "yield_mpa = 0.5",
            "line 2: yield_mpa of CuSn8 is 0.5",
        ),
        (
            "joining_max_c = 180",
            "joining_max_c = 5",
            "line 2: joining_max_c of CuSn8 is 5",
        ),
        (
            "expansion_um_per_m_k = 40",
            "expansion_um_per_m_k = 400",
            "line 15: expansion_um_per_m_k of applewood is 400",
        ),
        (
            "source = \"measured here\"",
            "source = \" \"",
            "line 15: source of applewood is empty",
        ),
        (
            "source = \"measured here\"",
            "",
            "line 15: missing field `source`",
        ),
        (
            "\"applewood\"",
            "\"Bush-Bronze\"",
            "line 15: “Bush-Bronze” stands in it twice",
        ),
        ("\"applewood\"", "\"--\"", "line 15: designation is empty"),
        (
            "bush bronze",
            "bush;bronze",
            "line 2: an alias of CuSn8 holds a semicolon",
        ),
        (
            "group = \"wood\"",
            "groop = \"wood\"",
            "line 17: unknown field `groop`",
        ),
        ("[[material]]", "[[material", "line 2: "),
        (
            "measured here",
            "measured\\u0007here",
            "line 15: source of applewood is longer",
        ),
    ] {
        let found = wrong(from, to);
        assert!(
            found.starts_with("materials.toml, ") && found.contains(told),
            "{found}"
        );
    }
    let long = wrong("\"applewood\"", &format!("\"{}\"", "w".repeat(10_000)));
    assert!(
        long.contains("line 15: designation of wwww") && long.len() < 200,
        "{long}"
    );
}

#[test]
fn friction_is_a_range_of_the_pair_whichever_is_the_hub() {
    // Each range: typical textbook range, or DIN 7190, from memory (the table's own sources).
    let range = |groups, joining, wetness| {
        let Friction { low, high, source } = friction(groups, joining, wetness);
        assert!(!source.is_empty());
        (low, high)
    };
    let (pressed, shrunk) = (Joining::Pressed, Joining::Shrunk);
    let dry = Some(Wetness::Dry);
    assert_eq!(range(["steel", "steel"], pressed, dry), (0.08, 0.12));
    assert_eq!(range(["steel", "steel"], pressed, None), (0.05, 0.12));
    assert_eq!(
        range(["steel", "steel"], shrunk, Some(Wetness::Degreased)),
        (0.2, 0.2)
    );
    assert_eq!(range(["cast iron", "steel"], pressed, dry), (0.1, 0.12));
    assert_eq!(range(["steel", "bronze"], pressed, dry), (0.05, 0.1));
    assert_eq!(range(["bronze", "steel"], pressed, dry), (0.05, 0.1));
    // Not tabled: over all of that way of joining, and said so.
    assert_eq!(range(["stainless", "plastic"], pressed, None), (0.05, 0.12));
    assert!(
        friction(["stainless", "plastic"], shrunk, None)
            .source
            .starts_with("no row")
    );
    // A surface that is not tabled for the pair: any surface.
    assert_eq!(
        range(["brass", "steel"], pressed, Some(Wetness::Oiled)),
        (0.05, 0.1)
    );
}
