//! The press page says what `fitledger press` says of the same fit: the real program is asked.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::io::Write;
use std::process::{Command, Stdio};

use fitledger::session::{Snapshot, paired};
use fitledger::window::pairs_room::FIELDS;
use fitledger::window::view::PressView;
use serde_json::{Value, json};

use super::scenes::{bush, measured, opened, pressing_at, pump_bush};
use super::{page, said};
use crate::support::bench::Bench;
use crate::support::shown::snapshot;

/// A fit: the page of a pair with that typed, and the same as the command is asked.
struct Fit {
    snapshot: Snapshot,
    chosen: usize,
    fields: [&'static str; FIELDS],
    asked: Value,
}

/// Without any gauge known: 20.010 and 20.030.
fn without_gauges() -> Snapshot {
    let mut opened = opened(1);
    opened.gauges = String::new();
    let mut bench = Bench::new(opened);
    for size in ["20.010", "19.986", "20.030"] {
        bench.verdict("mic", size);
    }
    snapshot(&bench)
}

#[rustfmt::skip]
fn fits() -> Vec<Fit> {
    let fit = |snapshot, chosen, fields, asked| Fit { snapshot, chosen, fields, asked };
    let both = measured(1, "0.010", &["19.986", "20.030"]);
    // U of both by hand: twice the root of the sum of the squares.
    let sizes = paired(&both.state);
    let u = |size: Option<&fitledger::session::SizeNow>| size.unwrap().standard.unwrap().as_nm();
    let (of_hole, of_shaft) = (u(sizes[1].hole.size()), u(sizes[1].shaft.size()));
    let wide = 2.0 * (of_hole as f64).hypot(of_shaft as f64) / 1e3;
    vec![
        fit(bush("steel"), 0, ["60", "100", "", "", "", "", "", "", "", "", ""],
            json!({"fit": "50 H7/s6", "length_mm": 60, "hub_outside_mm": 100,
                   "hub_material": "steel", "shaft_material": "steel"})),
        fit(bush("1.4301"), 0, ["20", "56", "30", "", "C45", "6.3", "3.2", "shrunk", "degreased", "", ""],
            json!({"fit": "50 H7/s6", "length_mm": 20, "hub_outside_mm": 56, "shaft_bore_mm": 30,
                   "hub_material": "1.4301", "shaft_material": "C45", "Rz_hub_um": 6.3,
                   "Rz_shaft_um": 3.2, "joining": "shrunk", "surface": "degreased"})),
        fit(bush("C45"), 0, ["40", "90", "", "", "42CrMo4", "2.5", "1", "shrunk", "degreased", "", ""],
            json!({"fit": "50 H7/s6", "length_mm": 40, "hub_outside_mm": 90, "hub_material": "C45",
                   "shaft_material": "42CrMo4", "Rz_hub_um": 2.5, "Rz_shaft_um": 1,
                   "joining": "shrunk", "surface": "degreased"})),
        fit(bush("C45"), 0, ["40", "90", "", "", "42CrMo4", "", "", "", "oiled", "", ""],
            json!({"fit": "50 H7/s6", "length_mm": 40, "hub_outside_mm": 90, "hub_material": "C45",
                   "shaft_material": "42CrMo4", "surface": "oiled"})),
        fit(bush("steel"), 0, ["60", "", "", "POM-C", "42CrMo4", "10", "", "shrunk", "oiled", "", ""],
            json!({"fit": "50 H7/s6", "length_mm": 60, "hub_material": "POM-C",
                   "shaft_material": "42CrMo4", "Rz_hub_um": 10, "joining": "shrunk",
                   "surface": "oiled"})),
        fit(pump_bush(), 0, ["15", "50", "", "EN-GJL-250", "", "6.3", "4", "pressed", "oiled", "16 H7", ""],
            json!({"fit": "20 H7/p6", "length_mm": 15, "hub_outside_mm": 50,
                   "hub_material": "EN-GJL-250", "shaft_material": "CuSn8", "Rz_hub_um": 6.3,
                   "Rz_shaft_um": 4, "joining": "pressed", "surface": "oiled", "bore": "16 H7"})),
        fit(pump_bush(), 0, ["15", "50", "", "EN-GJL-250", "", "", "", "", "dry", "16 H9", "16.040"],
            json!({"fit": "20 H7/p6", "length_mm": 15, "hub_outside_mm": 50,
                   "hub_material": "EN-GJL-250", "shaft_material": "CuSn8", "surface": "dry",
                   "bore": "16 H9", "bore_mm": 16.040})),
        fit(pump_bush(), 0, ["8,5", "30", "15.9", "steel", "", "1.6", "", "", "", "15.99-16.012", "16.02"],
            json!({"fit": "20 H7/p6", "length_mm": 8.5, "hub_outside_mm": 30, "shaft_bore_mm": 15.9,
                   "hub_material": "steel", "shaft_material": "CuSn8", "Rz_hub_um": 1.6,
                   "bore_limits_mm": [15.99, 16.012], "bore_mm": 16.02})),
        fit(pump_bush(), 0, ["15", "50", "", "EN-GJL-250", "", "1", "", "", "dry", "16 H9", ""],
            json!({"fit": "20 H7/p6", "length_mm": 15, "hub_outside_mm": 50, "Rz_hub_um": 1,
                   "hub_material": "EN-GJL-250", "shaft_material": "CuSn8", "surface": "dry",
                   "bore": "16 H9"})),
        fit(both, 1, ["15", "40", "", "bronze", "steel", "4", "2.5", "", "oiled", "", ""],
            json!({"joint_diameter_mm": 20.010, "shaft_deviations_um": [20.0 - wide, 20.0 + wide],
                   "hub_deviations_um": [0, 0], "length_mm": 15, "hub_outside_mm": 40,
                   "hub_material": "bronze", "shaft_material": "steel", "Rz_hub_um": 4,
                   "Rz_shaft_um": 2.5, "surface": "oiled"})),
        fit(without_gauges(), 1, ["0.75 in", "40", "6", "EN AW-6082 T6", "steel", "", "2", "pressed", "", "", ""],
            json!({"shaft_mm": 20.030, "hub_mm": 20.010, "length_mm": 19.05, "hub_outside_mm": 40,
                   "shaft_bore_mm": 6, "hub_material": "EN AW-6082 T6", "shaft_material": "steel",
                   "Rz_shaft_um": 2, "joining": "pressed"})),
    ]
}

/// An answer of the command; its numbers are read to the last bit, which a tie may hang on.
struct Answer {
    line: String,
    value: Value,
}

impl Answer {
    fn text(&self, name: &str) -> &str {
        let (_, after) = self
            .line
            .split_once(&format!("\"{name}\":"))
            .unwrap_or_else(|| panic!("{name}: {}", self.line));
        after
    }

    fn one(&self, name: &str) -> Option<f64> {
        let text = self.text(name);
        text[..text.find([',', '}']).unwrap()].parse().ok()
    }

    fn pair(&self, name: &str) -> (f64, f64) {
        let text = self.text(name).strip_prefix('[').unwrap();
        let (low, high) = text[..text.find(']').unwrap()].split_once(',').unwrap();
        (low.parse().unwrap(), high.parse().unwrap())
    }
}

/// The answers of the real program, one for each question.
fn answered(fits: &[Fit]) -> Vec<Answer> {
    let mut child = Command::new(env!("CARGO_BIN_EXE_fitledger"))
        .args(["press", "--json"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    for fit in fits {
        writeln!(stdin, "{}", fit.asked).unwrap();
    }
    drop(stdin);
    let output = child.wait_with_output().unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    let lines = text.lines().map(|line| Answer {
        line: line.to_owned(),
        value: serde_json::from_str(line).unwrap(),
    });
    lines.collect()
}

/// What the page must say, in the numbers of the command's answer.
fn must_say(of: &Answer) -> Vec<String> {
    let answer = &of.value;
    let one = |name: &str| of.one(name).unwrap_or_else(|| panic!("{name}: {answer}"));
    let (slips, holds) = of.pair("slip_force_kn");
    let (turns, stays) = of.pair("torque_nm");
    let (low, high) = of.pair("press_in_force_kn");
    let mut all = vec![
        match answer["holds"].as_bool().unwrap() {
            true => "Every pair grips.".to_owned(),
            false => "The loosest pair does not grip.".to_owned(),
        },
        match answer["yields"].as_bool() {
            Some(true) => "The tightest pair goes beyond what a material bears.".to_owned(),
            Some(false) => "Both parts stay elastic in the tightest pair.".to_owned(),
            None => "Whether both parts stay elastic is not known.".to_owned(),
        },
        format!(
            "Pressure {:.1} to {:.1} MPa",
            one("pressure_min_mpa"),
            one("pressure_max_mpa")
        ),
        format!(
            "Interference {:.1} to {:.1} µm",
            one("interference_min_um"),
            one("interference_max_um")
        ),
        format!(
            "Pressing in takes {low:.2} to {high:.2} kN at the end of the way; the loosest pair \
             slips at {slips:.2} to {holds:.2} kN, or turns at {turns:.1} to {stays:.1} N m."
        ),
        format!(
            "the hub at {:.0} °C, or the shaft at {:.0} °C.",
            one("hub_temperature_c"),
            one("shaft_temperature_c")
        ),
        format!("grows by up to {:.1} µm", one("hub_growth_max_um")),
        answer["press_with"]["sentence"]
            .as_str()
            .unwrap()
            .to_owned(),
    ];
    if one("smoothing_loss_um") > 0.0 {
        all.push(format!(
            "Smoothing takes {:.1} µm: the loosest pair keeps {:.1} µm.",
            one("smoothing_loss_um"),
            one("effective_interference_min_um")
        ));
    }
    if one("shaft_bore_shrink_max_um") > 0.0 {
        all.push(format!(
            "the shaft's bore shrinks by {:.1} to {:.1} µm.",
            one("shaft_bore_shrink_min_um"),
            one("shaft_bore_shrink_max_um")
        ));
    }
    for (name, limit) in [
        ("hub by von Mises", "hub_pressure_limit_von_mises_mpa"),
        ("hub by Tresca", "hub_pressure_limit_tresca_mpa"),
        ("brittle hub", "hub_pressure_limit_brittle_mpa"),
        ("shaft", "shaft_pressure_limit_mpa"),
    ] {
        if let Some(limit) = of.one(limit) {
            all.push(format!("{name} {limit:.0} MPa"));
        }
    }
    for what in ["slip", "press_in"] {
        let (low, high) = of.pair(what);
        all.push(format!("is taken as {low} to {high} ("));
    }
    if let Some(most) = of.one("hub_heat_max_c") {
        all.push(format!("It may be {most:.0} °C hot ("));
    }
    let bore = &answer["bore"];
    if !bore.is_null() {
        let ((least, most), (lower, upper)) = (of.pair("after_mm"), of.pair("limits_mm"));
        let word = match bore["stays"].as_bool().unwrap() {
            true => "stays within",
            false => "may leave",
        };
        all.push(format!(
            "The bush's bore {word} its limits: {least:.4} to {most:.4} mm after pressing, of \
             {lower:.4} to {upper:.4} mm."
        ));
        if word == "may leave" && !bore["make_mm"].is_null() {
            let (from, to) = of.pair("make_mm");
            all.push(format!("Make it {from:.4} to {to:.4} mm before"));
        }
    }
    for caution in answer["cautions"].as_array().unwrap().iter().skip(4) {
        all.push(format!("Caution: {}", caution.as_str().unwrap()));
    }
    all
}

fn curve_agrees(page: &PressView, of: &Answer) {
    let answer = &of.value;
    let curve = page.curve.as_ref().unwrap();
    let (low, high) = of.pair("press_in_force_kn");
    assert_eq!(
        curve.forces,
        (format!("{low:.2} kN"), format!("{high:.2} kN"))
    );
    let along = answer["press_in_curve"].as_array().unwrap();
    let whole = along.last().unwrap()[0].as_f64().unwrap();
    for (points, at) in [(&curve.low, 1), (&curve.high, 2)] {
        for (way, share) in points {
            let far = f64::from(*way) * whole;
            let next = along
                .iter()
                .position(|one| one[0].as_f64().unwrap() >= far - 1e-4);
            let next = next.unwrap().max(1);
            let of = |at: usize, column: usize| along[at][column].as_f64().unwrap();
            let part = (far - of(next - 1, 0)) / (of(next, 0) - of(next - 1, 0));
            let force = of(next - 1, at) + part * (of(next, at) - of(next - 1, at));
            let shown = f64::from(*share) * high;
            assert!(
                (shown - force).abs() <= 1e-5 * high.max(1e-9),
                "{shown}, not {force}"
            );
        }
    }
}

#[test]
fn the_page_says_what_the_command_says_of_the_same_fit() {
    let fits = fits();
    let answers = answered(&fits);
    assert_eq!(answers.len(), fits.len());
    let mut words = Vec::new();
    for (fit, answer) in fits.iter().zip(&answers) {
        let page = page(pressing_at(&fit.snapshot, fit.chosen, fit.fields, 0));
        let text = said(&page).replace('\u{2212}', "-");
        for sentence in must_say(answer) {
            assert!(
                text.contains(&sentence),
                "{}: {sentence}\n{text}",
                fit.asked
            );
            words.push(sentence);
        }
        let cautions = page
            .lines
            .iter()
            .filter(|line| line.text.starts_with("Caution: "));
        let of_command = answer.value["cautions"].as_array().unwrap().len() - 4;
        assert_eq!(cautions.count(), of_command, "{}", fit.asked);
        curve_agrees(&page, answer);
    }
    // The fits reach what the page may have to say.
    for reached in [
        "Every pair grips",
        "does not grip",
        "goes beyond",
        "stay elastic in",
        "Smoothing takes",
        "bore stays within",
        "bore may leave",
        "Make it",
        "brittle hub",
        "Caution: Plastic",
        "is taken as 0.2 to 0.2 (",
        "is taken as 0.05 to 0.08 (",
    ] {
        assert!(words.iter().any(|word| word.contains(reached)), "{reached}");
    }
}
