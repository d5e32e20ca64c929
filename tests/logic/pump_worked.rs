//! The demonstration's pump worked through from plan to press force, by the real program: a bush
//! that is pressed into its housing, and an impeller on its seat.
//!
//! The numbers beside it were not computed with our formulas. Limits are those of ISO 286-1:2010
//! (20 H7 0/+21, r6 +28/+41, 16 H7 0/+18, 15 H7 0/+18, f7 -34/-16 µm). Pressures, stresses, growth
//! and shrinkage come from the stresses of two rings, A - B/r² and A + B/r² (Lamé, F2 of the
//! project's collection of facts): the four constants from the four conditions at the edges (no
//! pressure outside and inside, one pressure at the joint, half of the interference between both
//! displacements) as a linear system in exact fractions, in Python; the closed formula of the
//! pressure (F1) is in none of it. Forces are m π D L p (F5), torques half of that times D (F6),
//! temperatures (U + D/1000)/(α D) (F9), the loss 0.8 (4 + 2.5) = 5.2 µm (F4).

use serde_json::Value;

use crate::support::program::{Answer, Shop};

const GAUGES: &str = r#"
[[gauge]]
id = "mic-25"
kind = "outside_micrometer"
range = [0, 25]
resolution = 0.001
calibration = { U = 0.002, k = 2 }

[[gauge]]
id = "bore-20"
kind = "bore_gauge"
range = [-0.2, 0.2]
resolution = 0.001
calibration = { U = 0.002, k = 2 }
reads = "deviation"
set_on = "ring-20"

[[gauge]]
id = "ring-20"
kind = "setting_ring"
range = 20.000
calibration = { U = 0.001, k = 2 }

[[gauge]]
id = "bore-15"
kind = "bore_gauge"
range = [-0.2, 0.2]
resolution = 0.001
calibration = { U = 0.002, k = 2 }
reads = "deviation"
set_on = "ring-15"

[[gauge]]
id = "ring-15"
kind = "setting_ring"
range = 15.000
calibration = { U = 0.001, k = 2 }
"#;
const PLANS: [(&str, &str); 5] = [
    (
        "housing",
        "[part]\nname = \"Pump housing\"\n[[feature]]\nid = \"bore\"\ncallout = \"20 H7\"\n",
    ),
    (
        "bush",
        "[part]\nname = \"Pump bush\"\n[[feature]]\nid = \"P\"\ncallout = \"20 r6\"\n\
         [[pair]]\nhole = \"housing.toml#bore\"\nshaft = \"P\"\nintended = \"20 H7/r6\"\n",
    ),
    (
        "shaft",
        "[part]\nname = \"Pump shaft\"\n[[feature]]\nid = \"D\"\ncallout = \"15 f7\"\n",
    ),
    (
        "impeller",
        "[part]\nname = \"Pump impeller\"\n[[feature]]\nid = \"bore\"\ncallout = \"15 H7\"\n\
         [[pair]]\nhole = \"bore\"\nshaft = \"shaft.toml#D\"\nintended = \"15 H7/f7\"\n",
    ),
    (
        "pump",
        "[assembly]\nname = \"Pump head\"\n\
         [[member]]\nid = \"housing\"\nplan = \"housing.toml\"\n\
         [[member]]\nid = \"bush\"\nplan = \"bush.toml\"\n\
         [[member]]\nid = \"shaft\"\nplan = \"shaft.toml\"\n\
         [[member]]\nid = \"impeller\"\nplan = \"impeller.toml\"\n",
    ),
];
/// The joint of the bush in its housing; the interference and the bore come before it.
const JOINT: &str = "length_mm = 25\nhub_outside_mm = 50\nhub_material = \"EN-GJL-250\"\n\
                     shaft_material = \"CuSn8\"\nRz_hub_um = 4\nRz_shaft_um = 2.5\n\
                     surface = \"oiled\"\nbore = \"16 H7\"\n";

fn shop() -> Shop {
    let shop = Shop::new();
    std::fs::create_dir(shop.path("plans")).unwrap();
    std::fs::write(shop.path("gauges.toml"), GAUGES).unwrap();
    for (name, text) in PLANS {
        std::fs::write(shop.path(&format!("plans/{name}.toml")), text).unwrap();
    }
    shop
}

/// Measures one part; the name of its record.
fn measured(
    shop: &Shop,
    plan: &str,
    with: &str,
    typed: &str,
    suit: Option<&str>,
) -> (Answer, String) {
    let file = format!("plans/{plan}.toml");
    let gauge = format!("{with}=typed");
    let mut asked = vec!["inspect", "--json", "--plan", &file, "--gauge", &gauge];
    if let Some(mate) = suit {
        asked.extend(["--suit", mate]);
    }
    let answer = shop.run(&asked, typed);
    assert_eq!(answer.code, 0, "{}", answer.told);
    let records = shop.journals().into_iter().map(|path| {
        let name = path.file_name().unwrap();
        name.to_str().unwrap().to_owned()
    });
    let of_plan = format!("-{plan}.jsonl");
    let mut record = records.filter(|name| name.ends_with(&of_plan));
    (answer, record.next().unwrap())
}

/// What the session said of its verdict and the standard uncertainty behind it, µm.
fn verdict(answer: &Answer) -> (String, f64) {
    let said = answer.lines.iter().find(|line| line["verdict"].is_string());
    let said = said.unwrap_or_else(|| panic!("{:?}", answer.lines));
    let u: f64 = said["u"].as_str().unwrap().parse().unwrap();
    (said["verdict"].as_str().unwrap().to_owned(), u * 1e3)
}

fn pressed(shop: &Shop, name: &str, interference: &str) -> Answer {
    std::fs::write(shop.path(name), format!("{interference}{JOINT}")).unwrap();
    shop.run(&["press", "--json", "--from", name], "")
}

/// By the names of the answer, each to the last digit that is given here.
fn says(line: &Value, wanted: &[(&str, f64)]) {
    for (name, expected) in wanted {
        let mut found = line;
        for part in name.split('.') {
            found = match part.parse::<usize>() {
                Ok(at) => &found[at],
                Err(_) => &found[part],
            };
        }
        let found = found.as_f64().unwrap_or_else(|| panic!("{name}: {line}"));
        assert!(
            (found - expected).abs() <= 6e-7 * expected.abs().max(1.0),
            "{name}: {found}, not {expected}"
        );
    }
}

#[test]
fn the_bush_of_the_pump_from_its_plan_to_the_press() {
    let shop = shop();
    // What the drawing intends, before anything is measured: 7 to 41 µm of interference.
    let by_class = pressed(&shop, "class.toml", "fit = \"20 H7/r6\"\n");
    let line = &by_class.lines[0];
    says(
        line,
        &[
            ("interference_min_um", 7.0),
            ("interference_max_um", 41.0),
            ("smoothing_loss_um", 5.2),
            ("effective_interference_min_um", 1.8),
            ("pressure_min_mpa", 1.687_219),
            ("pressure_max_mpa", 38.431_095),
            ("hub_hoop_max_mpa", 53.071_512),
            ("hub_von_mises_max_mpa", 79.580_970),
            ("hub_tresca_max_mpa", 91.502_607),
            ("shaft_hoop_max_mpa", -213.934_071),
            ("press_in_force_kn.0", 0.132_513_9),
            ("press_in_force_kn.1", 7.244_090_7),
            ("torque_nm.0", 1.325_139),
            ("torque_nm.1", 3.180_333),
            ("hub_growth_max_um", 6.654_735),
            ("shaft_bore_shrink_min_um", 1.366_911),
            ("shaft_bore_shrink_max_um", 31.135_187),
            ("hub_temperature_c", 310.476_190),
            ("shaft_temperature_c", -149.444_444),
            // 16 - 31.135 and 16.018 - 1.367 µm.
            ("bore.after_mm.0", 15.968_864_8),
            ("bore.after_mm.1", 16.016_633_1),
        ],
    );
    // 29.8 µm of shrinkage between the pairs are more than the 18 µm of 16 H7: not to be made
    // beforehand, as long as the pair is not measured.
    assert!(line["bore"]["make_mm"].is_null() && line["bore"]["stays"] == false);
    assert_eq!((line["holds"].as_bool(), by_class.code), (Some(true), 1));
    // The housing is measured; the bush is made to suit it, and measured.
    let (housing, record) = measured(&shop, "housing", "bore-20", "s GH-3\n0.009\n", None);
    assert_eq!(verdict(&housing).0, "GO");
    let suit = format!("housing.toml#bore={record}#1");
    let (bush, _) = measured(&shop, "bush", "mic-25", "s GB-7\n20.036\n", Some(&suit));
    assert_eq!(verdict(&bush).0, "GO");
    // 20.009 + 7 µm to 20.009 + 41 µm, less twice the u of that measurement (told to 0.1 µm) at
    // each end.
    let (_, u_um) = verdict(&housing);
    let told = bush.told.clone();
    assert!(told.contains("it may be 20.016 to 20.050 mm"), "{told}");
    let leaves = told.split("leaves ").nth(1).unwrap();
    let lower: f64 = leaves.split(' ').next().unwrap().parse().unwrap();
    assert!(
        (lower - (20.016 + 2.0 * u_um / 1e3)).abs() < 2.1e-4,
        "{told}"
    );
    let fit = shop.run(
        &[
            "fit",
            "--json",
            "20 H7/r6",
            "--hole",
            "20.009",
            "--hole-u",
            "0.0012",
            "--shaft",
            "20.036",
            "--shaft-u",
            "0.0011",
        ],
        "",
    );
    assert_eq!(fit.lines[0]["clearance"], "-0.027");
    assert_eq!(fit.lines[0]["intended"], "yes");
    // Of the measured pair the press needs so much, and the bore can be made beforehand.
    let of_pair = pressed(&shop, "pair.toml", "hub_mm = 20.009\nshaft_mm = 20.036\n");
    let line = &of_pair.lines[0];
    says(
        line,
        &[
            ("pressure_min_mpa", 20.454_555),
            ("pressure_max_mpa", 25.333_623),
            ("hub_hoop_max_mpa", 34.994_871),
            ("hub_von_mises_max_mpa", 52.468_851),
            ("shaft_hoop_max_mpa", -140.798_647),
            ("press_in_force_kn.0", 1.607_219_9),
            ("press_in_force_kn.1", 4.777_424_3),
            ("slip_force_kn.1", 3.857_327_8),
            ("torque_nm.1", 38.590_636),
            ("hub_growth_max_um", 4.391_477),
            ("hub_temperature_c", 243.751_693),
            ("shaft_temperature_c", -110.521_821),
            // 165 and 280 MPa (the materials table), by F3.
            ("hub_pressure_limit_brittle_mpa", 119.447_440),
            ("shaft_pressure_limit_mpa", 50.379_848),
            // 16 + 20.491 and 16.018 + 16.545 µm.
            ("bore.make_mm.0", 16.020_491_3),
            ("bore.make_mm.1", 16.034_544_8),
        ],
    );
    assert_eq!(line["press_with"]["code"], "vice");
    assert_eq!((line["yields"].as_bool(), of_pair.code), (Some(false), 1));
    // Bored to 16.028 before, as it was told.
    let bored = "hub_mm = 20.009\nshaft_mm = 20.036\nbore_mm = 16.028\n";
    let bored = pressed(&shop, "bored.toml", bored);
    let line = &bored.lines[0];
    says(
        line,
        &[
            ("shaft_bore_shrink_min_um", 16.568_082),
            ("shaft_bore_shrink_max_um", 20.520_102),
            ("press_in_force_kn.1", 4.758_273_7),
            // 16.028 - 20.520 and 16.028 - 16.568 µm.
            ("bore.after_mm.0", 16.007_479_9),
            ("bore.after_mm.1", 16.011_431_9),
        ],
    );
    assert!(line["bore"]["stays"] == true && line["holds"] == true && bored.code == 0);
}

#[test]
fn the_impeller_on_its_seat_runs_free_and_nothing_grips() {
    let shop = shop();
    let (_, record) = measured(&shop, "shaft", "mic-25", "s GS-12\n14.976\n", None);
    let suit = format!("shaft.toml#D={record}#1");
    let (impeller, _) = measured(&shop, "impeller", "bore-15", "s GI-4\n0.012\n", Some(&suit));
    assert_eq!(verdict(&impeller).0, "GO");
    // 14.976 + 16 µm to 14.976 + 52 µm.
    let told = &impeller.told;
    assert!(told.contains("it may be 14.992 to 15.028 mm"), "{told}");
    // 36 µm; and at 60 °C brass grows 15.012 · 19e-6 · 40 = 11.409 µm, the shaft of 1.4301
    // 14.976 · 16.5e-6 · 40 = 9.884 µm: 37.525 µm.
    let fit = shop.run(
        &[
            "fit",
            "--json",
            "15 H7/f7",
            "--hole",
            "15.012",
            "--hole-u",
            "0.0012",
            "--shaft",
            "14.976",
            "--shaft-u",
            "0.0011",
            "--working-temperature",
            "60",
            "--hole-material",
            "brass",
            "--shaft-material",
            "1.4301",
        ],
        "",
    );
    let line = &fit.lines[0];
    assert_eq!(line["clearance"], "0.036");
    assert_eq!((line["intended"].as_str(), fit.code), (Some("yes"), 0));
    let warm = line["at_temperature"]["measured"]["clearance"].as_str();
    let warm: f64 = warm.unwrap_or_else(|| panic!("{line}")).parse().unwrap();
    assert!((warm - 0.037_525).abs() < 6e-7, "{line}");
    // Pressed together they would not grip: no force, no torque, never less than none.
    let pressed = shop.run(
        &["press", "--json"],
        "{\"fit\":\"15 H7/f7\",\"length_mm\":14,\"hub_outside_mm\":30,\"hub_material\":\"brass\",\
         \"shaft_material\":\"1.4301\"}\n",
    );
    let line = &pressed.lines[0];
    says(
        line,
        &[
            ("interference_min_um", -52.0),
            ("interference_max_um", -16.0),
            ("pressure_max_mpa", 0.0),
            ("press_in_force_kn.1", 0.0),
            ("torque_nm.1", 0.0),
        ],
    );
    assert!(line["holds"] == false && pressed.code == 1);
    // Three impellers on three shafts: sorted, 35, 35 and 34 µm.
    let table = "part,kind,size\nI1,hole,15.004\nI2,hole,15.011\nI3,hole,15.016\n\
                 S1,shaft,14.969\nS2,shaft,14.976\nS3,shaft,14.982\n";
    let pairs = shop.run(&["pair", "--json", "15 H7/f7"], table);
    let pairs = pairs.lines[0]["pairs"].as_array().unwrap();
    let found: Vec<&str> = pairs
        .iter()
        .map(|one| one["clearance"].as_str().unwrap())
        .collect();
    assert_eq!(found, ["0.035", "0.035", "0.034"]);
}

#[test]
fn the_pump_is_go_when_its_parts_and_both_pairs_are() {
    let shop = shop();
    let (_, housing) = measured(&shop, "housing", "bore-20", "s GH-3\n0.009\n", None);
    let suit = format!("housing.toml#bore={housing}#1");
    measured(&shop, "bush", "mic-25", "s GB-7\n20.036\n", Some(&suit));
    measured(&shop, "shaft", "mic-25", "s GS-12\n14.976\n", None);
    measured(&shop, "impeller", "bore-15", "s GI-4\n0.012\n", None);
    let parts = ["housing=GH-3", "bush=GB-7", "shaft=GS-12", "impeller=GI-4"];
    let asked = [&["assembly", "--json", "plans/pump.toml"][..], &parts].concat();
    let answer = shop.run(&asked, "");
    let line = &answer.lines[0];
    assert_eq!(
        (line["state"].as_str(), answer.code),
        (Some("GO"), 0),
        "{line}"
    );
    let mates = line["mates"].as_array().unwrap();
    let found: Vec<_> = mates
        .iter()
        .map(|one| one["max_clearance"].as_str().unwrap())
        .collect();
    assert_eq!(found, ["-0.027", "0.036"]);
    // Without the impeller it is open.
    let asked = [&["assembly", "--json", "plans/pump.toml"][..], &parts[..3]].concat();
    let answer = shop.run(&asked, "");
    assert_eq!(
        (answer.lines[0]["state"].as_str(), answer.code),
        (Some("open"), 1)
    );
}
