//! Assemblies: what is wrong in their files, and real parts put together from their records.

use std::sync::Arc;

use fitledger::plan::{Assembly, AssemblyError, Plan};
use fitledger::quantity::Length;
use fitledger::report::{Asked, AssembledState, RealPart, ResultRow, assembled};
use fitledger::tolerance::Tables;

const HOUSING: &str = r#"
[part]
name = "Pump housing"
[[feature]]
id = "B"
callout = "26 H7"
[[feature]]
id = "D"
callout = "30 +0.1/0"
surface = "depth"
[[feature]]
id = "T"
callout = "M10-6H"
[[pair]]
hole = "B"
shaft = "bush.toml#A"
intended = "26 H7/p6"
"#;
const BUSH: &str = r#"
[part]
name = "Pump bush"
[[feature]]
id = "A"
callout = "26 p6"
[[feature]]
id = "C"
callout = "16 H7"
[[feature]]
id = "L"
callout = "12 0/-0.05"
surface = "length"
"#;
const SHAFT: &str = r#"
[part]
name = "Pump shaft"
[[feature]]
id = "A"
callout = "16 f6"
points = 2
[[feature]]
id = "L"
callout = "15 ±0.02"
surface = "length"
"#;
const PUMP: &str = r#"
[assembly]
name = "Pump head"
drawing = "GP-200"
[[member]]
id = "housing"
plan = "housing.toml"
[[member]]
id = "bush"
plan = "bush.toml"
[[member]]
id = "shaft"
plan = "shaft.toml"
[[mate]]
hole = "bush#C"
shaft = "shaft#A"
intended = "16 H7/f6"
[[stack]]
name = "end play"
plus = ["housing#D"]
minus = ["bush#L", "shaft#L", "2 x 1.4 0/-0.05"]
limits = [0.1, 0.5]
"#;

fn plan(file: &str) -> Result<Arc<Plan>, String> {
    let text = match file {
        "housing.toml" => HOUSING,
        "bush.toml" => BUSH,
        "shaft.toml" => SHAFT,
        other => return Err(format!("{other} is not there.")),
    };
    let plan = Plan::parse(text, file, Tables::standard());
    plan.map(Arc::new).map_err(|errors| errors[0].to_string())
}

fn parse(text: &str) -> Result<Assembly, Vec<AssemblyError>> {
    Assembly::parse(text, "pump.toml", Tables::standard(), plan)
}

fn um(um: i64) -> Length {
    Length::from_um(um)
}

#[test]
fn an_assembly_knows_its_parts_their_pairs_and_its_rows() {
    let pump = parse(PUMP).unwrap();
    assert_eq!(
        (pump.name.as_str(), pump.drawing.as_deref()),
        ("Pump head", Some("GP-200"))
    );
    let ids: Vec<&str> = pump.members.iter().map(|one| one.id.as_str()).collect();
    assert_eq!(ids, ["housing", "bush", "shaft"]);
    // The pair that the assembly says, and the one that the housing's plan says of bush.toml.
    let [said, planned] = pump.mates.as_slice() else {
        panic!("{:?}", pump.mates);
    };
    // 16 H7 is 0 to +18, f6 -27 to -16 µm; 26 H7 0 to +21, p6 +22 to +35 µm (ISO 286-2:2010).
    assert_eq!(said.clearance, (um(16), um(45)));
    assert_eq!(planned.clearance, (um(-35), um(-1)));
    assert_eq!((planned.hole.member, planned.shaft.member), (0, 1));
    let row = &pump.stacks[0];
    assert_eq!(row.limits, (um(100), um(500)));
    let links: Vec<_> = row
        .links
        .iter()
        .map(|one| (one.takes, one.count, one.limits))
        .collect();
    assert_eq!(
        links,
        [
            (false, 1, (um(30_000), um(30_100))),
            (true, 1, (um(11_950), um(12_000))),
            (true, 1, (um(14_980), um(15_020))),
            (true, 2, (um(1_350), um(1_400))),
        ]
    );
    // Without an intended fit it is that of the two classes.
    let plain = parse(&PUMP.replace("intended = \"16 H7/f6\"\n", "")).unwrap();
    assert_eq!(plain.mates[0].clearance, (um(16), um(45)));
    // Said by the assembly, the plan's own pair is not there twice; and a plan that stands for two
    // members says nothing of which of them is meant.
    let mate = "[[mate]]\nhole = \"housing#B\"\nshaft = \"bush#A\"\n";
    assert_eq!(parse(&format!("{PUMP}{mate}")).unwrap().mates.len(), 2);
    let second = "[[member]]\nid = \"spare\"\nplan = \"bush.toml\"\n";
    assert_eq!(parse(&format!("{PUMP}{second}")).unwrap().mates.len(), 1);
}

#[test]
fn what_is_wrong_in_an_assembly_is_told_with_its_place() {
    for (from, to, code, told) in [
        (
            "plan = \"bush.toml\"",
            "plan = \"bosh.toml\"",
            "member_plan",
            "line 10, column 8: bosh.toml is not there.",
        ),
        ("id = \"bush\"", "id = \"housing\"", "repeated", "line 9"),
        (
            "hole = \"bush#C\"",
            "hole = \"bsh#C\"",
            "unknown_member",
            "no member “bsh”; did you mean “bush”?",
        ),
        (
            "hole = \"bush#C\"",
            "hole = \"bush#K\"",
            "unknown_feature",
            "The plan of bush has no feature “K”",
        ),
        (
            "hole = \"bush#C\"",
            "hole = \"bush\"",
            "bad_reference",
            "names no member and feature",
        ),
        (
            "hole = \"bush#C\"",
            "hole = \"bush#A\"",
            "pair_side",
            "“bush#A” cannot be the hole.",
        ),
        (
            "shaft = \"shaft#A\"",
            "shaft = \"bush#C\"",
            "pair_side",
            "“bush#C” cannot be the shaft.",
        ),
        (
            "hole = \"bush#C\"",
            "hole = \"housing#T\"",
            "not_plain",
            "several characteristics",
        ),
        (
            "16 H7/f6",
            "16 H7",
            "intended_no_fit",
            "The intended fit is none.",
        ),
        ("16 H7/f6", "16 H7/q6", "", "line 17"),
        (
            "limits = [0.1, 0.5]",
            "limits = [0.5, 0.1]",
            "gap_limits",
            "the least first",
        ),
        (
            "limits = [0.1, 0.5]",
            "limits = 0.5",
            "gap_limits",
            "two lengths",
        ),
        (
            "2 x 1.4 0/-0.05",
            "0 x 1.4 0/-0.05",
            "out_of_range",
            "So many",
        ),
        (
            "2 x 1.4 0/-0.05",
            "99 x 1.4 0/-0.05",
            "out_of_range",
            "So many",
        ),
        ("2 x 1.4 0/-0.05", "2 x shaft#L", "out_of_range", "So many"),
        ("2 x 1.4 0/-0.05", "1.4", "", "line 21"),
        ("2 x 1.4 0/-0.05", "30°", "", "line 21"),
        ("name = \"Pump head\"\n", "", "missing_key", "name"),
        ("plus = [\"housing#D\"]\n", "", "missing_key", "plus"),
        ("[[stack]]", "[[stock]]", "unknown_key", "stock"),
    ] {
        assert!(PUMP.contains(from), "{from}");
        let errors = parse(&PUMP.replacen(from, to, 1)).unwrap_err();
        let error = &errors[0];
        assert!(
            code.is_empty() || error.code() == code,
            "{from} {to}: {}",
            error.code()
        );
        assert!(error.sentence().contains(told), "{}", error.sentence());
        assert!(error.hint().is_some() || code == "missing_key", "{error}");
    }
    assert!(parse("").is_err());
}

/// A part whose characteristics came to these values and words.
fn real(results: &[(&str, &str, &str, &str)]) -> RealPart {
    let mut real = RealPart::default();
    real.part.is_good = true;
    real.part.standing = "GO".to_owned();
    for (at, (feature, value, u, verdict)) in results.iter().enumerate() {
        real.asked.push(Asked {
            number: at + 1,
            feature: (*feature).to_owned(),
            unit: "mm".to_owned(),
            ..Asked::default()
        });
        real.part.results.push(ResultRow {
            number: at + 1,
            actual: (*value).to_owned(),
            u: (*u).to_owned(),
            verdict: (*verdict).to_owned(),
            ..ResultRow::default()
        });
    }
    real
}

#[test]
fn uncertainty_doubt_and_what_is_not_measured_count_in_pairs_and_gaps() {
    let pump = parse(PUMP).unwrap();
    let housing = real(&[
        ("B", "26.010", "0.001", "GO"),
        ("D", "30.050", "0.002", "GO"),
    ]);
    let bush = |bore: &str, u: &str, verdict: &str| {
        real(&[
            ("A", "26.030", "0.001", "GO"),
            ("C", bore, u, verdict),
            ("L", "11.980", "0.002", "GO"),
        ])
    };
    let shaft = real(&[
        ("A", "15.980", "0.001", "GO"),
        ("L", "15.000", "0.002", "GO"),
    ]);
    let told = |bush: RealPart| {
        let parts = [Some(housing.clone()), Some(bush), Some(shaft.clone())];
        assembled(&pump, &parts).unwrap()
    };
    // 16.010 - 15.980 = 0.030 of 0.016 to 0.045, u = sqrt(2) µm: sure.
    let sure = told(bush("16.010", "0.001", "GO"));
    let mate = &sure.mates[0];
    assert_eq!(
        (mate.state, mate.clearance),
        (AssembledState::Go, Some((um(30), um(30))))
    );
    assert!((mate.standard_nm.unwrap() - 1_414.213_56).abs() < 1e-3);
    assert_eq!(sure.state, AssembledState::Go);
    // 16.0245 - 15.980 = 0.0445: within, and nearer to the limit than the uncertainty lets be said.
    let near = told(bush("16.0245", "0.001", "GO"));
    assert_eq!(
        (near.mates[0].state, near.state),
        (AssembledState::Doubt, AssembledState::Doubt)
    );
    // Without an uncertainty it is taken as it is.
    assert_eq!(
        told(bush("16.0245", "", "GO")).mates[0].state,
        AssembledState::Go
    );
    // A gauge found wrong after it; a point still wanted; nothing measured.
    let mut doubted = bush("16.010", "0.001", "GO");
    doubted.part.results[1].is_in_doubt = true;
    doubted.part.results[2].is_in_doubt = true;
    let told_doubted = told(doubted);
    assert_eq!(told_doubted.mates[0].state, AssembledState::Doubt);
    assert_eq!(told_doubted.mates[1].state, AssembledState::Go);
    assert_eq!(told_doubted.stacks[0].state, AssembledState::Doubt);
    for verdict in ["INSIDE", ""] {
        let open = told(bush("16.010", "0.001", verdict));
        assert_eq!(
            (open.mates[0].state, open.mates[0].clearance),
            (AssembledState::Open, None)
        );
    }
    // A gap that is good or bad as the unmeasured washers turn out is open; one that is bad with any
    // of them is NO-GO, and one that is good with any of them is GO.
    let gap = |housing: &str| {
        let parts = [
            Some(real(&[
                ("B", "26.010", "0.001", "GO"),
                ("D", housing, "0.001", "GO"),
            ])),
            Some(bush("16.010", "0.001", "GO")),
            Some(shaft.clone()),
        ];
        assembled(&pump, &parts).unwrap().stacks[0].state
    };
    // 30.05 - 11.98 - 15 - 2.8 to 2.7 = 0.27 to 0.37 of 0.1 to 0.5.
    assert_eq!(gap("30.050"), AssembledState::Go);
    assert_eq!(gap("30.200"), AssembledState::Open);
    assert_eq!(gap("30.400"), AssembledState::NoGo);
    // What stands by a decision is in doubt, what is bad is bad, and what nobody named is open.
    let standing = |word: &str, good: bool| {
        let mut one = bush("16.010", "0.001", "GO");
        (one.part.standing, one.part.is_good) = (word.to_owned(), good);
        told(one).members[1].0
    };
    assert_eq!(standing("released", true), AssembledState::Go);
    for word in [
        "under concession",
        "released in doubt",
        "released under concession",
        "DOUBT",
    ] {
        assert_eq!(standing(word, false), AssembledState::Doubt, "{word}");
    }
    for word in ["NO-GO", "scrap"] {
        assert_eq!(standing(word, false), AssembledState::NoGo, "{word}");
    }
    for word in ["open", "on hold", "rework", "changed since release"] {
        assert_eq!(standing(word, false), AssembledState::Open, "{word}");
    }
    let mut damaged = bush("16.010", "0.001", "GO");
    damaged.is_damaged = true;
    assert_eq!(told(damaged).members[1].0, AssembledState::Open);
    // A doubt of another record makes nothing better: what is given up stays so.
    let doubted = |word: &str, good: bool| {
        let mut one = bush("16.010", "0.001", "GO");
        (one.part.standing, one.part.is_good) = (word.to_owned(), good);
        one.part.doubts.push("its gauge was found wrong".to_owned());
        told(one).members[1].clone()
    };
    let doubt = (
        AssembledState::Doubt,
        "its gauge was found wrong".to_owned(),
    );
    for (word, good) in [
        ("GO", true),
        ("released", false),
        ("under concession", false),
    ] {
        assert_eq!(doubted(word, good), doubt, "{word}");
    }
    for (word, state) in [
        ("NO-GO", AssembledState::NoGo),
        ("scrap", AssembledState::NoGo),
        ("rework", AssembledState::Open),
    ] {
        assert_eq!(doubted(word, false), (state, word.to_owned()));
    }
}

mod program {
    use std::fs;

    use serde_json::Value;

    use super::{BUSH, HOUSING, PUMP, SHAFT};
    use crate::support::program::{Answer, Shop};

    const GAUGES: &str = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 50]\n\
        resolution = 0.001\ncalibration = { U = 0.001, k = 2 }\nrepeatability = 0.0005\n";

    fn shop() -> Shop {
        let shop = Shop::new();
        fs::create_dir_all(shop.path("plans")).unwrap();
        let files = [
            (
                "plans/housing.toml",
                HOUSING.replace("[[feature]]\nid = \"T\"\ncallout = \"M10-6H\"\n", ""),
            ),
            ("plans/bush.toml", BUSH.to_owned()),
            ("plans/shaft.toml", SHAFT.to_owned()),
            ("plans/pump.toml", PUMP.to_owned()),
            ("gauges.toml", GAUGES.to_owned()),
        ];
        for (name, text) in files {
            fs::write(shop.path(name), text).unwrap();
        }
        shop
    }

    /// A session of one part with that serial number, all measured by `mic`.
    fn measure(shop: &Shop, plan: &str, serial: &str, values: &[&str]) {
        let mut typed = format!("s {serial}\n");
        for value in values {
            typed += &format!("{value}\n");
        }
        let plan = format!("plans/{plan}.toml");
        let answer = shop.run(
            &[
                "inspect",
                "--plan",
                &plan,
                "--gauge",
                "mic=typed",
                "--rule",
                "simple",
            ],
            &typed,
        );
        assert!(answer.code <= 1, "{}", answer.text);
    }

    fn ask(shop: &Shop, parts: &[&str]) -> Answer {
        let all = [&["assembly", "--json", "plans/pump.toml"][..], parts].concat();
        shop.run(&all, "")
    }

    fn states(line: &Value, of: &str) -> Vec<String> {
        let all = line[of].as_array().unwrap().iter();
        all.map(|one| one["state"].as_str().unwrap().to_owned())
            .collect()
    }

    #[test]
    fn real_parts_are_found_by_their_serial_numbers_and_put_together() {
        let shop = shop();
        measure(&shop, "housing", "GH-1", &["26.008", "30.04"]);
        measure(&shop, "bush", "GB-1", &["26.030", "16.010", "11.98"]);
        measure(&shop, "bush", "GB-2", &["26.030", "16.002", "11.98"]);
        measure(&shop, "shaft", "GS-1", &["15.980", "15.976", "15.00"]);
        // Nobody is named: what the drawings alone say.
        let none = ask(&shop, &[]);
        let line = &none.lines[0];
        assert_eq!((line["state"].as_str(), none.code), (Some("open"), 1));
        // By hand: 30 - 12 - 15.02 - 2.8 = 0.18; 30.1 - 11.95 - 14.98 - 2.7 = 0.47.
        let row = &line["stacks"][0];
        assert_eq!(
            (
                row["worst_case_min"].as_str(),
                row["worst_case_max"].as_str()
            ),
            (Some("0.180"), Some("0.470")),
            "{row}"
        );
        assert_eq!(
            row["state"], "GO",
            "whatever is made within its limits fits"
        );

        let whole = ask(&shop, &["housing=GH-1", "bush=GB-1", "shaft=GS-1"]);
        let line = &whole.lines[0];
        assert_eq!(
            states(line, "members"),
            ["GO", "GO", "GO"],
            "{}",
            whole.text
        );
        // Bush on shaft: 16.010 - 15.980 = 0.030 and 16.010 - 15.976 = 0.034; intended 0.016 to 0.045.
        let mate = &line["mates"][0];
        assert_eq!(
            (
                mate["min_clearance"].as_str(),
                mate["max_clearance"].as_str()
            ),
            (Some("0.030"), Some("0.034"))
        );
        assert_eq!(
            (mate["state"].as_str(), mate["fit"].as_str()),
            (Some("GO"), Some("clearance"))
        );
        // Housing on bush: 26.008 - 26.030 = -0.022; intended -0.035 to -0.001.
        let mate = &line["mates"][1];
        assert_eq!(mate["min_clearance"], "-0.022");
        assert_eq!(
            (mate["state"].as_str(), mate["fit"].as_str()),
            (Some("GO"), Some("interference"))
        );
        // 30.04 - 11.98 - 15.00 - 2 x 1.4 = 0.26, and 0.1 more with the thinnest washers.
        let row = &line["stacks"][0];
        assert_eq!(
            (row["gap_min"].as_str(), row["gap_max"].as_str()),
            (Some("0.260"), Some("0.360"))
        );
        assert_eq!(row["not_measured"], serde_json::json!(["1.4 0/-0.05"]));
        assert_eq!((line["state"].as_str(), whole.code), (Some("GO"), 0));
        let head = line["members"][1]["head"].as_str().unwrap();
        assert_eq!(head.len(), 64);
        // For people.
        let told = shop.run(
            &[
                "assembly",
                "plans/pump.toml",
                "housing=GH-1",
                "bush=GB-1",
                "shaft=GS-1",
            ],
            "",
        );
        for part in [
            "Pump head: GO",
            "bush#C",
            "0.030 to 0.034",
            "end play: not measured: 1.4 0/-0.05",
        ] {
            assert!(told.text.contains(part), "{part}: {}", told.text);
        }
        // Both halves are good, and yet this bush is too tight on this shaft: 16.002 - 15.980 = 0.022
        // is within 0.016 to 0.045, so take the fit closer.
        let closer = PUMP.replace("16 H7/f6", "16 H7/e8");
        fs::write(shop.path("plans/pump.toml"), closer).unwrap();
        let tight = ask(&shop, &["housing=GH-1", "bush=GB-2", "shaft=GS-1"]);
        let line = &tight.lines[0];
        assert_eq!(states(line, "members"), ["GO", "GO", "GO"]);
        // 16 e8 is -59 to -32 µm: the clearance would have to be 0.032 to 0.077.
        assert_eq!(states(line, "mates"), ["NO-GO", "GO"], "{}", tight.text);
        assert_eq!((line["state"].as_str(), tight.code), (Some("NO-GO"), 1));
    }

    #[test]
    fn a_part_that_is_not_good_or_not_whole_holds_the_assembly_back() {
        let shop = shop();
        measure(&shop, "housing", "GH-1", &["26.008", "30.04"]);
        measure(&shop, "bush", "GB-1", &["26.030", "16.010"]);
        measure(&shop, "shaft", "GS-1", &["15.950"]);
        let answer = ask(&shop, &["housing=GH-1", "bush=GB-1", "shaft=GS-1"]);
        let line = &answer.lines[0];
        // The bush's length is missing, the shaft is too small and not measured at its second point.
        assert_eq!(
            states(line, "members"),
            ["GO", "open", "open"],
            "{}",
            answer.text
        );
        assert_eq!(
            states(line, "mates")[1],
            "GO",
            "the pair does not wait for the length"
        );
        let row = &line["stacks"][0];
        assert_eq!(
            row["not_measured"],
            serde_json::json!(["bush#L", "shaft#L", "1.4 0/-0.05"])
        );
        // Measured again in a later session: that one counts.
        measure(&shop, "bush", "GB-1", &["26.030", "16.010", "11.98"]);
        let answer = ask(&shop, &["housing=GH-1", "bush=GB-1", "shaft=GS-1"]);
        assert_eq!(states(&answer.lines[0], "members"), ["GO", "GO", "open"]);
        measure(&shop, "shaft", "GS-1", &["15.950", "15.950", "15.00"]);
        let answer = ask(&shop, &["housing=GH-1", "bush=GB-1", "shaft=GS-1"]);
        let line = &answer.lines[0];
        assert_eq!(states(line, "members")[2], "NO-GO", "{}", answer.text);
        assert_eq!(states(line, "mates")[0], "NO-GO", "0.06 is more than 0.045");
    }

    #[test]
    fn what_cannot_be_put_together_is_told() {
        let shop = shop();
        measure(&shop, "bush", "GB-1", &["26.030", "16.010", "11.98"]);
        for (parts, code, told) in [
            (
                vec!["bush=GB-9"],
                "no_such_part",
                "Pump bush with the serial number “GB-9”",
            ),
            // A serial number of another plan's part is none of this one's.
            (
                vec!["shaft=GB-1"],
                "no_such_part",
                "Pump shaft with the serial number “GB-1”",
            ),
            (
                vec!["bosh=GB-1"],
                "bad_member",
                "“bosh=GB-1” names no member",
            ),
            (vec!["bush="], "bad_member", "names no member"),
            (vec!["GB-1"], "bad_member", "names no part"),
            (
                vec!["bush=GB-1", "bush=GB-1"],
                "bad_member",
                "The member bush is named twice.",
            ),
        ] {
            let answer = ask(&shop, &parts);
            let error = &answer.lines[0]["error"];
            assert_eq!(
                (error["code"].as_str(), answer.code),
                (Some(code), 2),
                "{}",
                answer.text
            );
            assert!(error["message"].as_str().unwrap().contains(told), "{error}");
        }
        let spare = PUMP.to_owned() + "[[member]]\nid = \"spare\"\nplan = \"bush.toml\"\n";
        fs::write(shop.path("plans/pump.toml"), spare).unwrap();
        let answer = ask(&shop, &["bush=GB-1", "spare=GB-1"]);
        assert_eq!(
            answer.lines[0]["error"]["code"], "part_twice",
            "{}",
            answer.text
        );
        fs::write(
            shop.path("plans/pump.toml"),
            PUMP.replace("bush#C", "bush#X"),
        )
        .unwrap();
        let answer = ask(&shop, &[]);
        let error = &answer.lines[0]["error"];
        assert_eq!(error["code"], "unknown_feature");
        assert!(
            error["message"]
                .as_str()
                .unwrap()
                .contains("pump.toml, line 15"),
            "{error}"
        );
        let gone = shop.run(&["assembly", "--json", "plans/none.toml"], "");
        assert_eq!(gone.code, 2, "{}", gone.text);
        fs::write(shop.path("plans/pump.toml"), PUMP).unwrap();
        let journal = shop.journal();
        let text = fs::read_to_string(&journal).unwrap();
        fs::write(&journal, text.replacen("11.98", "11.97", 1)).unwrap();
        let answer = ask(&shop, &["bush=GB-1"]);
        let bush = &answer.lines[0]["members"][1];
        assert_eq!(bush["state"], "open", "{}", answer.text);
        assert_eq!(bush["why"], "its record is damaged");
        fs::remove_file(shop.path("plans/shaft.toml")).unwrap();
        let answer = ask(&shop, &[]);
        assert_eq!(
            answer.lines[0]["error"]["code"], "member_plan",
            "{}",
            answer.text
        );
    }

    #[test]
    fn that_parts_went_into_an_assembly_stands_in_the_record_of_each() {
        let shop = shop();
        measure(&shop, "housing", "GH-1", &["26.008", "30.04"]);
        measure(&shop, "bush", "GB-1", &["26.030", "16.010", "11.98"]);
        measure(&shop, "shaft", "GS-1", &["15.980", "15.976", "15.00"]);
        let before = shop.journals();
        let parts = ["housing=GH-1", "bush=GB-1", "shaft=GS-1"];
        // Half of it is not recorded, and nothing is written.
        for (some, more) in [(&parts[..2], "PH-1"), (&parts[..], " ")] {
            let all = [some, &["--record-as", more, "--by", "Ada"]].concat();
            let answer = ask(&shop, &all);
            assert_eq!(
                answer.lines[0]["error"]["code"], "not_recorded",
                "{}",
                answer.text
            );
            assert_eq!(shop.journals(), before);
        }
        let heads: Vec<String> = ask(&shop, &parts).lines[0]["members"]
            .as_array()
            .unwrap()
            .iter()
            .map(|one| one["head"].as_str().unwrap().to_owned())
            .collect();
        let answer = ask(
            &shop,
            &[&parts[..], &["--record-as", "PH-1", "--by", "Ada"]].concat(),
        );
        let line = &answer.lines[0];
        assert_eq!(
            (line["recorded_as"].as_str(), answer.code),
            (Some("PH-1"), 0),
            "{}",
            answer.text
        );
        // Each closed record went on in a further file, is sound, and names the other two by their
        // records' ends.
        assert_eq!(shop.journals().len(), 6);
        let mut told = Vec::new();
        for journal in shop.journals().iter().filter(|one| !before.contains(one)) {
            assert_eq!(shop.verified(journal)["state"], "sound");
            let noted = crate::support::program::lines_of(journal, "part_assembled");
            assert_eq!(noted.len(), 1);
            let body = noted[0]["body"].clone();
            assert_eq!(
                (body["serial"].as_str(), body["state"].as_str()),
                (Some("PH-1"), Some("GO"))
            );
            assert_eq!(body["drawing"], "GP-200");
            let with = body["with"].as_array().unwrap();
            assert_eq!(with.len(), 2);
            for other in with {
                assert!(heads.contains(&other["head"].as_str().unwrap().to_owned()));
                assert!(
                    shop.path("sessions")
                        .join(other["journal"].as_str().unwrap())
                        .exists()
                );
            }
            told.push(body["member"].as_str().unwrap().to_owned());
        }
        told.sort();
        assert_eq!(told, ["bush", "housing", "shaft"]);
        // Asked again it says where they are; a release before it does not lapse by it.
        let again = ask(&shop, &parts);
        let line = &again.lines[0];
        assert_eq!(line["state"], "GO", "{}", again.text);
        assert_eq!(line["members"][1]["assembled_into"], "Pump head PH-1");
        assert_eq!(line["members"][1]["state"], "GO");
        let bush = line["members"][1]["journal"].as_str().unwrap();
        let bush = format!("sessions/{bush}");
        let report = shop.run(&["report", &bush, "--out", "bush.html"], "");
        assert_eq!(report.code, 0, "{}", report.text);
        let page = fs::read_to_string(shop.path("bush.html")).unwrap();
        assert!(
            page.contains("went as bush into Pump head PH-1 with housing GH-1, shaft GS-1"),
            "{page}"
        );
        // What is given up goes into nothing.
        let scrap = [
            "decide", &bush, "scrap", "--part", "1", "--by", "Ada", "--reason", "dropped",
        ];
        assert_eq!(shop.run(&scrap, "").code, 0);
        let answer = ask(
            &shop,
            &[&parts[..], &["--record-as", "PH-2", "--by", "Ada"]].concat(),
        );
        assert_eq!(
            answer.lines[0]["error"]["code"], "part_scrapped",
            "{}",
            answer.text
        );
    }

    #[test]
    fn a_release_does_not_lapse_when_the_part_goes_into_an_assembly() {
        let shop = shop();
        measure(&shop, "housing", "GH-1", &["26.008", "30.04"]);
        measure(&shop, "bush", "GB-1", &["26.030", "16.010", "11.98"]);
        measure(&shop, "shaft", "GS-1", &["15.980", "15.976", "15.00"]);
        let all = ["housing=GH-1", "bush=GB-1", "shaft=GS-1"];
        let bush = ask(&shop, &all).lines[0]["members"][1]["journal"]
            .as_str()
            .unwrap()
            .to_owned();
        let bush = format!("sessions/{bush}");
        let release = [
            "decide", "--json", &bush, "release", "--part", "1", "--by", "Weber",
        ];
        assert_eq!(shop.run(&release, "").code, 0);
        let answer = ask(
            &shop,
            &[&all[..], &["--record-as", "PH-1", "--by", "Ada"]].concat(),
        );
        assert_eq!(
            answer.lines[0]["members"][1]["why"], "released",
            "{}",
            answer.text
        );
        let again = ask(&shop, &all);
        let bush = &again.lines[0]["members"][1];
        assert_eq!(
            (bush["why"].as_str(), bush["state"].as_str()),
            (Some("released"), Some("GO"))
        );
        assert_eq!(bush["assembled_into"], "Pump head PH-1");
    }
}
