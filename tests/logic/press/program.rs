//! Press fits by the command, as printed and as a machine reads them.

use std::fs;

use serde_json::{Value, json};

use super::{example, given};
use crate::support::program::Shop;

/// The question as the contract has it: the keys of the examples are those of the command.
fn asked(id: &str) -> Value {
    example(id)["given"].clone()
}

#[test]
fn the_command_answers_the_examples_by_the_names_of_the_contract() {
    let shop = Shop::new();
    let lines: Vec<String> = ["IF-C1", "IF-C2", "IF-C3"]
        .iter()
        .map(|id| asked(id).to_string())
        .collect();
    let answer = shop.run(&["press", "--json"], &(lines.join("\n") + "\n"));
    assert_eq!((answer.lines.len(), answer.code), (3, 1), "{}", answer.text);
    for (id, line) in ["IF-C1", "IF-C2", "IF-C3"].iter().zip(&answer.lines) {
        let one = example(id);
        let names = [
            ("max interference", "interference_max_um", 1.0),
            ("min interference", "interference_min_um", 1.0),
            ("smoothing loss", "smoothing_loss_um", 1.0),
            (
                "min effective interference",
                "effective_interference_min_um",
                1.0,
            ),
            (
                "max pressure (no smoothing, for the stress check)",
                "pressure_max_mpa",
                1.0,
            ),
            (
                "max pressure (with smoothing)",
                "pressure_max_smoothed_mpa",
                1.0,
            ),
            ("min pressure (with smoothing)", "pressure_min_mpa", 1.0),
            ("hub hoop at bore, max", "hub_hoop_max_mpa", 1.0),
            ("hub von Mises, max", "hub_von_mises_max_mpa", 1.0),
            ("hub Tresca, max", "hub_tresca_max_mpa", 1.0),
            ("shaft hoop governing, max", "shaft_hoop_max_mpa", 1.0),
            (
                "elastic pressure limit hub, von Mises",
                "hub_pressure_limit_von_mises_mpa",
                1.0,
            ),
            (
                "elastic pressure limit hub, Tresca",
                "hub_pressure_limit_tresca_mpa",
                1.0,
            ),
            ("axial slip force at min pressure", "slip_force_min_kn", 1.0),
            (
                "press-in force at max pressure",
                "press_in_force_max_kn",
                1.0,
            ),
            (
                "hub outside growth at max pressure (diameter)",
                "hub_growth_max_um",
                1.0,
            ),
            (
                "hub heating above shaft for max interference + clearance",
                "hub_heating_k",
                1.0,
            ),
            (
                "shaft cooling below hub for max interference + clearance",
                "shaft_cooling_k",
                1.0,
            ),
            ("torque at min pressure", "torque_min_nm", 1_000.0),
        ];
        for (name, key, per) in names {
            let all = one["results"].as_array().unwrap().iter();
            let expected = all.clone().find(|result| result["name"] == name).unwrap();
            let expected = expected["recomputed"].as_f64().unwrap() * per;
            let found = line[key]
                .as_f64()
                .unwrap_or_else(|| panic!("{key}: {line}"));
            let near = 2e-7 * expected.abs().max(1e-9);
            assert!(
                (found - expected).abs() <= near,
                "{id} {key}: {found}, {expected}"
            );
        }
        let room = 20.0 + line["hub_heating_k"].as_f64().unwrap();
        assert!((line["hub_temperature_c"].as_f64().unwrap() - room).abs() < 1e-9);
        assert_eq!(line["holds"], *id != "IF-C3");
        assert_eq!(line["yields"], false);
        assert!(line["cautions"].as_array().unwrap().len() >= 4);
        let curve = line["press_in_curve"].as_array().unwrap();
        assert_eq!(curve.last().unwrap()[0], given(&one, "length_mm"));
        assert_eq!(curve.last().unwrap()[2], line["press_in_force_max_kn"]);
    }
}

#[test]
fn a_fit_is_said_by_class_by_deviations_or_by_what_was_measured() {
    let shop = Shop::new();
    let base = json!({
        "hub_outside_mm": 50, "shaft_bore_mm": 16, "length_mm": 25,
        "hub_material": "EN-GJL-250", "shaft_material": "CuSn8",
        "Rz_hub_um": 6.3, "Rz_shaft_um": 4, "mu_slip": 0.05, "mu_slip_max": 0.1, "mu_press_in": 0.1,
    });
    let with = |more: Value| {
        let mut object = base.clone();
        object
            .as_object_mut()
            .unwrap()
            .extend(more.as_object().unwrap().clone());
        object.to_string()
    };
    let asked = [
        with(json!({ "fit": "20 H7/p6" })),
        with(json!({
            "joint_diameter_mm": 20, "shaft_deviations_um": [22, 35], "hub_deviations_um": [0, 21]
        })),
        with(json!({ "shaft_mm": 20.03, "hub_mm": 20.008 })),
    ];
    let answer = shop.run(&["press", "--json"], &(asked.join("\n") + "\n"));
    let ends = |line: &Value| {
        let um = |key: &str| line[key].as_f64().unwrap().round();
        (um("interference_min_um"), um("interference_max_um"))
    };
    // 20 H7 is 0 to +21, p6 +22 to +35 µm (ISO 286-1).
    assert_eq!(ends(&answer.lines[0]), (1.0, 35.0));
    assert_eq!(
        answer.lines[0]["pressure_max_mpa"],
        answer.lines[1]["pressure_max_mpa"]
    );
    assert_eq!(ends(&answer.lines[2]), (22.0, 22.0));
    // Grey iron is brittle: it has one limit, of its own.
    assert!(answer.lines[0]["hub_pressure_limit_brittle_mpa"].is_number());
    assert!(answer.lines[0]["hub_pressure_limit_von_mises_mpa"].is_null());
    let slip = &answer.lines[2]["slip_force_kn"];
    let (low, high) = (slip[0].as_f64().unwrap(), slip[1].as_f64().unwrap());
    assert!((high - 2.0 * low).abs() < 1e-9 && low > 0.0);
    // The same as the guide's file, for people.
    let block = crate::support::guide::file("bush.toml");
    fs::write(shop.path("bush.toml"), block).unwrap();
    let told = shop.run(&["press", "--from", "bush.toml"], "").text;
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        "Interference 1.0 to 35.0 µm on 20 mm",
        // 1 µm less 0.8 (6.3 + 4) µm.
        "keeps -7.2 µm",
        "The loosest pair does not grip.",
        "Friction against slip was not said: 0.05 to 0.12 is taken (no row for cast iron and bronze",
        "Caution: Press work",
        "never go beyond the press's rating",
    ] {
        assert!(told.contains(part), "{part}: {told}");
    }
}

#[test]
fn the_bore_of_the_bush_friction_and_heat_come_from_the_tables() {
    let shop = Shop::new();
    let base = json!({
        "joint_diameter_mm": 20, "shaft_deviations_um": [30, 37], "hub_deviations_um": [0, 10],
        "hub_outside_mm": 50, "length_mm": 25, "bore": "16 H7",
        "hub_material": "C45", "shaft_material": "CuSn8", "surface": "dry",
    });
    let with = |more: Value| {
        let mut object = base.as_object().unwrap().clone();
        object.extend(more.as_object().unwrap().clone());
        Value::from(object).to_string() + "\n"
    };
    let ask = |more: Value| shop.run(&["press", "--json"], &with(more));
    let answer = ask(json!({}));
    let line = &answer.lines[0];
    assert_eq!(answer.code, 1, "{}", answer.text);
    let bore = &line["bore"];
    assert_eq!(bore["limits_mm"], json!([16.0, 16.018]));
    assert_eq!(bore["before_mm"], json!([16.0, 16.018]));
    assert_eq!(bore["stays"], false);
    let um = |value: &Value| value.as_f64().unwrap() * 1e3;
    let shrink = um(&json!(16.0)) - um(&bore["after_mm"][0]);
    let told = line["shaft_bore_shrink_max_um"].as_f64().unwrap();
    assert!((shrink - told).abs() < 0.11, "{shrink} {told}");
    assert!(
        line["caution_codes"]
            .to_string()
            .contains("bore_leaves_limits")
    );
    // Bronze in steel, dry, pressed: 0.05 to 0.1; C45 normalized may be 350 °C hot (the tables).
    assert_eq!(line["friction"]["slip"], json!([0.05, 0.1]));
    assert_eq!(line["hub_heat_max_c"], 350.0);
    assert!(
        line["hub_heat_max_source"]
            .as_str()
            .unwrap()
            .contains("DIN 7190")
    );
    assert_eq!(line["press_with"]["code"], "arbor_press");
    // Made as it says, the measured bore stays.
    let make = &bore["make_mm"];
    let middle = f64::midpoint(make[0].as_f64().unwrap(), make[1].as_f64().unwrap());
    let answer = ask(json!({ "bore_mm": middle }));
    assert_eq!(answer.lines[0]["bore"]["stays"], true, "{}", answer.text);
    assert_eq!(answer.code, 0);
    let shrunk = ask(json!({ "joining": "shrunk", "shaft_material": "C45" }));
    assert_eq!(shrunk.lines[0]["friction"]["slip"], json!([0.14, 0.14]));
    for (more, code) in [
        (json!({ "bore": "16 h7" }), "not_a_bore"),
        (json!({ "bore": "20 H7/p6" }), "not_a_bore"),
        (json!({ "bore_limits_mm": [16, 16.01] }), "bore_twice"),
        (json!({ "surface": "wet" }), "unknown_word"),
        (json!({ "joining": "glued" }), "unknown_word"),
        (json!({ "hub_material": "applewood" }), "unknown_material"),
    ] {
        let answer = ask(more);
        assert_eq!(answer.lines[0]["error"]["code"], code, "{}", answer.text);
    }
}

#[test]
fn the_house_may_say_what_its_materials_bear() {
    let shop = Shop::new();
    let asked = json!({
        "fit": "20 H7/p6", "hub_outside_mm": 60, "length_mm": 25,
        "hub_material": "C45", "shaft_material": "C45",
    });
    let asked = asked.to_string() + "\n";
    let usual = shop.run(&["press", "--json"], &asked);
    assert_eq!(usual.lines[0]["yields"], false, "{}", usual.text);
    let house = |bears: &str| {
        let text = format!(
            "[[material]]\ndesignation = \"C45\"\ngroup = \"steel\"\nyoungs_modulus_gpa = 210\n\
             poisson_ratio = 0.3\nexpansion_um_per_m_k = 11.5\nyield_mpa = {bears}\n\
             source = \"certificate 4711\"\n"
        );
        fs::write(shop.path("materials.toml"), text).unwrap();
        shop.run(&["press", "--json"], &asked)
    };
    let soft = house("100");
    assert_eq!(soft.lines[0]["yields"], true, "{}", soft.text);
    let notes = soft.lines[0]["notes"].to_string();
    assert!(
        notes.contains("of materials.toml") && notes.contains("certificate 4711"),
        "{notes}"
    );
    let wrong = house("0");
    let error = &wrong.lines[0]["error"];
    assert_eq!(
        (error["code"].as_str(), wrong.code),
        (Some("materials_invalid"), 2)
    );
    assert!(
        error["message"]
            .as_str()
            .unwrap()
            .starts_with("materials.toml, line 1: yield_mpa")
    );
}

#[test]
fn friction_that_is_said_is_not_assumed_whatever_a_material_is_called() {
    let shop = Shop::new();
    let house = "[[material]]\ndesignation = \"Friction lining\"\ngroup = \"steel\"\n\
                 youngs_modulus_gpa = 210\npoisson_ratio = 0.3\n\
                 expansion_um_per_m_k = 11.5\nsource = \"certificate 4711\"\n";
    fs::write(shop.path("materials.toml"), house).unwrap();
    let asked = |more: &str| {
        let line = format!(
            "{{\"fit\": \"20 H7/p6\", \"hub_outside_mm\": 60, \"length_mm\": 25, \
             \"hub_material\": \"Friction lining\", \"shaft_material\": \"C45\"{more}}}\n"
        );
        let answer = shop.run(&["press", "--json"], &line);
        answer.lines[0]["friction"]["is_assumed"].clone()
    };
    assert_eq!(asked(""), true);
    assert_eq!(asked(", \"mu_slip\": 0.1"), true);
    assert_eq!(asked(", \"mu_slip\": 0.1, \"mu_press_in\": 0.1"), false);
}

#[test]
fn what_describes_no_fit_says_what_is_wrong() {
    let shop = Shop::new();
    let code = |text: &str| {
        let answer = shop.run(&["press", "--json"], &format!("{text}\n"));
        let error = answer.lines[0]["error"].clone();
        (
            error["code"].as_str().unwrap().to_owned(),
            error["message"].to_string(),
            answer.code,
        )
    };
    let whole = "\"length_mm\": 25, \"hub_material\": \"steel\", \"shaft_material\": \"steel\"";
    for (text, word, part) in [
        ("25".to_owned(), "not_a_fit", "describes no fit"),
        ("{\"lenght_mm\": 2}".to_owned(), "not_a_fit", "lenght_mm"),
        (format!("{{{whole}}}"), "interference_missing", "once"),
        (
            format!("{{{whole}, \"fit\": \"20 H7/p6\", \"shaft_mm\": 20, \"hub_mm\": 20}}"),
            "interference_missing",
            "once",
        ),
        (
            format!("{{{whole}, \"fit\": \"20 H7\"}}"),
            "not_a_fit",
            "no fit",
        ),
        (
            format!("{{{whole}, \"fit\": \"20 H7/p6\", \"hub_outside_mm\": 19}}"),
            "hub_too_thin",
            "larger than the joint",
        ),
        (
            format!("{{{whole}, \"fit\": \"20 H7/p6\", \"room_C\": 500}}"),
            "out_of_range",
            "room temperature",
        ),
        (
            "{\"fit\": \"20 H7/p6\", \"length_mm\": 25}".to_owned(),
            "missing_field",
            "E_hub_MPa or hub_material",
        ),
        (
            "{\"fit\": \"20 H7/p6\", \"hub_material\": \"steel\"}".to_owned(),
            "missing_field",
            "length_mm",
        ),
        (
            "{\"fit\": \"20 H7/p6\", \"length_mm\": 25, \"hub_material\": \"alumnium\"}".to_owned(),
            "unknown_material",
            "aluminium",
        ),
    ] {
        let (found, message, exit) = code(&text);
        assert_eq!((found.as_str(), exit), (word, 2), "{text}: {message}");
        assert!(message.contains(part), "{text}: {message}");
    }
    assert_eq!(shop.run(&["press", "--from", "none.toml"], "").code, 3);
    // A device tells no length and does not end.
    let line = "ulimit -v 2000000; exec \"$FITLEDGER\" press --json --from /dev/zero";
    let endless = shop.shell(line, "");
    assert_eq!(endless.code, 3, "{}", endless.told);
    let error = &endless.lines[0]["error"];
    assert!(
        error["message"]
            .as_str()
            .unwrap()
            .contains("longer than a fit"),
        "{error}"
    );
    assert_eq!(shop.run(&["press", "--json"], "").code, 0);
}
