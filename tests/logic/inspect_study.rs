//! Gauge studies by the real program: guided, left and taken up again, told and entered in the
//! register.

#![cfg(unix)]

use std::fs;

use serde_json::Value;

use crate::statistics_cases::json_cases;
use crate::support::forged::{chained, lines_of as of_journal};
use crate::support::program::{Answer, Shop, lines_of};

const STUDY: &str = include_str!("../tables/gauge_study.json");
const GAUGES: &str = "\
# Bench at the window.\n\
[[gauge]]\nid = \"mic\" # the old one\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
resolution = 0.001\nmpe = 0.002\ncalibrated = 2099-01-02\ndue = 2099-12-01\n\n\
[[gauge]]\nid = \"ring\"\nkind = \"setting_ring\"\nrange = 20.000\n";

fn shop() -> Shop {
    let shop = Shop::new();
    fs::write(shop.path("gauges.toml"), GAUGES).unwrap();
    shop
}

fn study(shop: &Shop, more: &[&str], input: &str) -> Answer {
    let mut all = vec!["gauge-study", "--json"];
    all.extend(more);
    shop.run(&all, input)
}

/// The published study as lines to type, in the stated order: trial by trial, person by person.
fn published() -> (Vec<String>, Value) {
    let cases = json_cases(STUDY, 2);
    let case = cases.into_iter().next().unwrap();
    let data = &case["data"];
    let mut lines = Vec::new();
    for trial in 0..3 {
        for operator in 0..3 {
            for part in 0..10 {
                lines.push(format!("{}\n", data[part][operator][trial]));
            }
        }
    }
    (lines, case)
}

const CROSSED: [&str; 10] = [
    "--gauge",
    "mic=typed",
    "--parts",
    "10",
    "--operators",
    "Ada,Bea,Cid",
    "--trials",
    "3",
    "--order",
    "stated",
];

fn near(found: &Value, expected: &Value, what: &str) {
    let (found, expected) = (found.as_f64().unwrap(), expected.as_f64().unwrap());
    assert!(
        (found / expected - 1.0).abs() < 1e-6,
        "{what}: {found}, {expected}"
    );
}

#[test]
fn the_published_study_is_measured_left_taken_up_again_and_told() {
    let shop = shop();
    let (lines, case) = published();
    // Left after 41 readings: one of them taken once more, one voided.
    let mut first: String = lines[..40].concat();
    first.push_str("5.00\n*\n");
    first.push_str(&lines[40]);
    first.push_str("7.00\nvoid slipped\n");
    let left = study(&shop, &CROSSED, &first);
    assert_eq!(left.code, 1, "{}", left.told);
    assert!(left.told.contains("--continue"), "{}", left.told);
    let told = left.lines.iter().find(|line| line["wanted"] == 90).unwrap();
    assert_eq!(
        (&told["filled"], told["missing"].as_array().unwrap().len()),
        (&41.into(), 49)
    );
    assert_eq!(told["study"]["variance_analysis"], Value::Null);
    let journal = shop.journal();
    assert_eq!(shop.verified(&journal)["state"], "not_closed");

    let path = journal.to_str().unwrap();
    let rest = study(&shop, &["--continue", path], &lines[41..].concat());
    assert_eq!(rest.code, 0, "{}", rest.told);
    assert_eq!(shop.verified(&journal)["state"], "sound");
    let told = rest.lines.iter().find(|line| line["wanted"] == 90).unwrap();
    let expected = &case["anova"]["expected_computed"]["components_interaction_pooled"];
    let found = &told["study"]["variance_analysis"]["components"];
    for (name, known) in [
        ("repeatability", "EV"),
        ("reproducibility", "AV"),
        ("gauge", "GRR"),
        ("part", "PV"),
        ("total", "TV"),
    ] {
        near(&found[name]["sd"], &expected[known], name);
    }
    assert_eq!(found["distinct_categories"], expected["ndc"]);
    let ranges = &told["study"]["average_and_range"]["components"];
    let known = &case["average_range"]["expected_computed"];
    // The book's factors have four digits.
    let by_ranges = ranges["gauge"]["sd"].as_f64().unwrap() / known["GRR"].as_f64().unwrap();
    assert!((by_ranges - 1.0).abs() < 1e-4, "{by_ranges}");
    // Every cell's line came before, in the order of the study.
    let cells: Vec<&Value> = rest
        .lines
        .iter()
        .filter(|line| !line["trial"].is_null())
        .collect();
    assert_eq!(cells.len(), 49);
    assert_eq!(
        (&cells[0]["part"], &cells[0]["operator"], &cells[0]["trial"]),
        (&"2".into(), &"Bea".into(), &2.into())
    );
    // And the record alone says the same again.
    let again = study(&shop, &["--record", path], "");
    assert_eq!(again.lines[0]["study"], told["study"]);
    // The report and the list know what it is.
    let out = shop.path("study.html");
    let report = shop.run(&["report", path, "--out", out.to_str().unwrap()], "");
    let page = fs::read_to_string(&out).unwrap();
    assert!(page.contains("A study of mic was begun"), "{}", report.told);
    let list = shop.run(&["list", "--json", "gauge-study"], "");
    assert!(list.text.contains("gauge-study"), "{}", list.text);
}

#[test]
fn one_person_and_a_setting_ring_learn_repeatability_and_bias_and_enter_it() {
    let shop = shop();
    let values = "20.003\n20.001\n20.002\n20.004\n20.003\n20.002\n";
    let all = [
        "--gauge",
        "mic=typed",
        "--on",
        "ring",
        "--trials",
        "6",
        "--write",
    ];
    let answer = study(&shop, &all, values);
    assert_eq!(answer.code, 0, "{}", answer.told);
    let told = answer
        .lines
        .iter()
        .find(|line| line["wanted"] == 6)
        .unwrap();
    // numpy 2.4.6: std([3,1,2,4,3,2], ddof=1) = 1.0488088481701516, mean 2.5.
    let repeated = &told["study"]["repeatability"];
    near(&repeated["sd"], &0.001_048_808_848_170_151_6.into(), "sd");
    assert_eq!(repeated["degrees_of_freedom"], 5.0);
    near(&told["study"]["bias"][0]["bias"], &0.0025.into(), "bias");
    assert_eq!(told["study"]["bias"][0]["significant"], true);
    let next = told["next"].to_string();
    assert!(
        next.contains("On ring it reads 0.002500 mm too much"),
        "{next}"
    );
    // The register has it, rounded up, with the day; comments and the rest stay.
    let register = fs::read_to_string(shop.path("gauges.toml")).unwrap();
    let line = told["register"].as_str().unwrap();
    assert!(
        line.starts_with("repeatability = { s = 0.001049, n = 6, on = 20"),
        "{line}"
    );
    assert!(register.contains(line), "{register}");
    for kept in ["# Bench at the window.", "# the old one", "mpe = 0.002"] {
        assert!(register.contains(kept), "{register}");
    }
    assert!(line.contains(mic_day(&shop).as_str()), "{line}");
    // Its calibration is said to be later: the study has to be made again.
    let gauges = shop.run(&["gauges", "--json", "--on", "2099-02-01"], "");
    let mic = &gauges.lines[0];
    assert_eq!(
        (&mic["repeatability"]["s"], &mic["repeatability"]["n"]),
        (&"0.001049".into(), &6.into())
    );
    let remarks = mic["remarks"].to_string();
    assert!(remarks.contains("study_before_calibration"), "{remarks}");
}

#[test]
fn days_are_found_in_the_records_and_compared() {
    let shop = shop();
    let one = ["--gauge", "mic=typed", "--on", "ring", "--trials", "3"];
    study(&shop, &one, "20.001\n20.002\n20.003\n");
    let first = shop.journal();
    // The first one becomes one of 2026-11-24: the same lines with other times.
    let earlier = chained(&of_journal(&fs::read(&first).unwrap()));
    fs::write(&first, earlier).unwrap();
    assert_eq!(shop.verified(&first)["state"], "sound");
    let second = study(&shop, &one, "20.011\n20.012\n20.013\n");
    let told = second
        .lines
        .iter()
        .find(|line| line["wanted"] == 3)
        .unwrap();
    let days = &told["days"][0];
    assert_eq!(
        (&days["part"], &days["reference"]),
        (&"ring".into(), &20.0.into())
    );
    let means: Vec<f64> = days["days"]
        .as_array()
        .unwrap()
        .iter()
        .map(|day| day["mean"].as_f64().unwrap())
        .collect();
    assert!(
        (means[0] - 0.002).abs() < 1e-9 && (means[1] - 0.012).abs() < 1e-9,
        "{means:?}"
    );
    // scipy 1.17.1: f_oneway([1, 2, 3], [11, 12, 13]).pvalue.
    let p = days["p"].as_f64().unwrap();
    assert!((p / 0.000_255_216_749_441_926_8 - 1.0).abs() < 1e-6, "{p}");
    // Another thing is not compared with it.
    let other = ["--gauge", "mic=typed", "--part", "shaft", "--trials", "3"];
    let third = study(&shop, &other, "20.011\n20.012\n20.013\n");
    let told = third.lines.iter().find(|line| line["wanted"] == 3).unwrap();
    assert_eq!(told["days"].as_array().unwrap().len(), 1);
}

#[test]
fn a_part_that_nobody_named_is_compared_with_no_other_day() {
    let shop = shop();
    let one = ["--gauge", "mic=typed", "--trials", "3"];
    study(&shop, &one, "20.001\n20.002\n20.003\n");
    let first = shop.journal();
    fs::write(&first, chained(&of_journal(&fs::read(&first).unwrap()))).unwrap();
    let second = study(&shop, &one, "20.011\n20.012\n20.013\n");
    let told = second.lines.iter().find(|line| line["wanted"] == 3);
    let told = told.unwrap();
    assert_eq!(told["days"].as_array().unwrap().len(), 0, "{told}");
    let notes = told["study"]["notes"].to_string();
    assert!(notes.contains("Nobody named the part"), "{notes}");
    // With a known size it is: the days compare how far the readings are from it.
    let sized = ["--gauge", "mic=typed", "--trials", "3", "--reference", "20"];
    let third = study(&shop, &sized, "20.011\n20.012\n20.013\n");
    let told = third.lines.iter().find(|line| line["wanted"] == 3);
    assert!(
        !told.unwrap()["study"]["notes"]
            .to_string()
            .contains("Nobody")
    );
}

#[test]
fn a_day_in_doubt_is_compared_with_no_other() {
    let shop = shop();
    let pause = || std::thread::sleep(std::time::Duration::from_millis(5));
    let one = ["--gauge", "mic=typed", "--on", "ring", "--trials", "3"];
    study(&shop, &one, "20.001\n20.002\n20.003\n");
    let first = shop.journal();
    fs::write(&first, chained(&of_journal(&fs::read(&first).unwrap()))).unwrap();
    let days = |answer: &Answer| {
        let told = answer.lines.iter().find(|line| line["wanted"] == 3);
        told.unwrap()["days"].as_array().unwrap().len()
    };
    pause();
    assert_eq!(days(&study(&shop, &one, "20.001\n20.002\n20.003\n")), 1);
    pause();
    let zero = ["zero-check", "--gauge", "mic=typed", "--json"];
    assert_eq!(shop.run(&zero, "0.050\n").code, 1);
    pause();
    assert_eq!(shop.run(&zero, "0.000\n").code, 0);
    pause();
    // Both days before lie in doubt: nothing is left to compare with.
    assert_eq!(days(&study(&shop, &one, "20.001\n20.002\n20.003\n")), 0);
}

/// What was entered before the check failed is found again by what the study came to then.
#[test]
fn what_was_entered_before_the_same_session_failed_its_check_is_left_out_too() {
    let shop = shop();
    let pause = || std::thread::sleep(std::time::Duration::from_millis(5));
    let all = [
        "--gauge",
        "mic=typed",
        "--on",
        "ring",
        "--trials",
        "3",
        "--write",
    ];
    let left = study(&shop, &all, "20.000\n20.004\n20.002\nz mic\n0.050\n");
    let told = left.lines.iter().find(|line| line["wanted"] == 3).unwrap();
    assert_eq!(
        (&told["filled"], &told["register"]),
        (&0.into(), &Value::Null)
    );
    assert!(
        told["next"][0]
            .as_str()
            .unwrap()
            .starts_with("3 readings are in doubt"),
        "{told}"
    );
    assert!(left.text.contains("study_in_doubt"), "{}", left.text);
    // Their deviation is 2 µm, which somebody entered in the window meanwhile.
    let entered = GAUGES.replacen(
        "mpe = 0.002\n",
        "mpe = 0.002\nrepeatability = { s = 0.002, n = 3, on = 2026-11-26 }\n",
        1,
    );
    assert!(entered.contains("n = 3"));
    fs::write(shop.path("gauges.toml"), entered).unwrap();
    pause();
    shop.run(&["zero-check", "--gauge", "mic=typed", "--json"], "0.000\n");
    pause();
    let inspect = [
        "inspect",
        "--callout",
        "20 k6",
        "--gauge",
        "mic=typed",
        "--json",
    ];
    let told = shop.run(&inspect, "20.008\n").told;
    assert!(
        told.contains("mic: its repeatability is left out"),
        "{told}"
    );
}

#[test]
fn a_simulated_comparator_shows_deviations_from_what_it_is_set_on() {
    let shop = shop();
    let comparator = "[[gauge]]\nid = \"bore\"\nkind = \"bore_gauge\"\nrange = [-0.5, 0.5]\n\
        resolution = 0.001\nmpe = 0.002\nreads = \"deviation\"\nset_on = \"ring\"\n";
    fs::write(shop.path("gauges.toml"), format!("{GAUGES}{comparator}")).unwrap();
    let all = [
        "--gauge",
        "bore=simulated:3",
        "--on",
        "ring",
        "--trials",
        "8",
    ];
    let answer = study(&shop, &all, "");
    assert_eq!(answer.code, 0, "{}", answer.told);
    let told = answer
        .lines
        .iter()
        .find(|line| line["wanted"] == 8)
        .unwrap();
    let bias = told["study"]["bias"][0]["bias"].as_f64().unwrap();
    assert!(told["filled"] == 8 && bias.abs() < 0.02, "{told}");
    // Two people of a simulated study differ, as people do.
    let all = [
        "--gauge",
        "mic=simulated:3",
        "--parts",
        "6",
        "--operators",
        "A,B",
        "--seed",
        "1",
    ];
    let answer = study(&shop, &all, "");
    let told = answer
        .lines
        .iter()
        .find(|line| line["wanted"] == 36)
        .unwrap();
    let of = &told["study"]["variance_analysis"]["components"];
    for name in ["repeatability", "reproducibility", "part"] {
        assert!(of[name]["sd"].as_f64().unwrap() > 0.0, "{name}: {of}");
    }
}

/// The lines of `doubtful`, the studies among them.
fn doubted(shop: &Shop) -> (i32, Vec<Value>) {
    let answer = shop.run(&["doubtful", "--json"], "");
    let studies = answer.lines.iter().map(|line| line["study"].clone());
    (answer.code, studies.collect())
}

#[test]
fn a_study_whose_gauge_fails_its_zero_check_later_feeds_no_session_any_more() {
    let shop = shop();
    let pause = || std::thread::sleep(std::time::Duration::from_millis(5));
    let all = ["--gauge", "mic=typed", "--on", "ring", "--trials", "6"];
    let values = "20.000\n20.004\n20.002\n20.004\n20.000\n20.002\n";
    let written = study(&shop, &[&all[..], &["--write"]].concat(), values);
    assert_eq!(written.code, 0, "{}", written.told);
    let journal = shop.journal();
    let path = journal.to_str().unwrap().to_owned();
    let register = fs::read_to_string(shop.path("gauges.toml")).unwrap();
    // sqrt(16/5) µm is 1.7889 µm.
    assert!(
        register.contains("repeatability = { s = 0.001789, n = 6"),
        "{register}"
    );
    let measured = |value: &str| {
        pause();
        let all = [
            "inspect",
            "--callout",
            "20 k6",
            "--gauge",
            "mic=typed",
            "--json",
        ];
        shop.run(&all, value)
    };
    // While the study holds, its repeatability is in u.
    let before = measured("20.008\n");
    assert!(!before.told.contains("left out"), "{}", before.told);
    let u = before.lines[0]["u"].as_str().unwrap().to_owned();
    assert_eq!(doubted(&shop), (0, vec![]));
    pause();
    let zero = ["zero-check", "--gauge", "mic=typed", "--json"];
    assert_eq!(shop.run(&zero, "0.050\n").code, 1);
    let (code, studies) = doubted(&shop);
    assert_eq!(code, 1);
    let found = studies.iter().find(|study| study.is_object()).unwrap();
    assert_eq!(
        (&found["gauge"], &found["readings"], &found["of"]),
        (&"mic".into(), &6.into(), &6.into())
    );
    assert!(path.ends_with(found["journal"].as_str().unwrap()));
    assert_eq!(found["measured_again"], false);
    let people = shop.run(&["doubtful"], "");
    assert!(
        people.text.contains("The study of mic") && people.text.contains("6 of 6 readings"),
        "{}",
        people.text
    );
    pause();
    assert_eq!(shop.run(&zero, "0.000\n").code, 0);
    // The zero is right again; the study is as doubtful as before.
    let after = measured("20.008\n");
    assert!(
        after.told.contains("mic: its repeatability is left out"),
        "{}",
        after.told
    );
    assert_ne!(after.lines[0]["u"], Value::from(u), "{}", after.text);
    let newest = after.lines.last().unwrap()["journal"].as_str().unwrap();
    let newest = std::path::PathBuf::from(newest);
    let opened = &lines_of(&newest, "session_opened")[0]["body"]["gauges"];
    let opened = opened.as_str().unwrap();
    assert!(
        !opened.contains("s = 0.001789") && opened.contains("its study is in doubt"),
        "{opened}"
    );
    assert_eq!(shop.verified(&newest)["state"], "sound");
    // And so for a value that is judged without a session.
    let judge = ["judge", "20 k6", "20.014", "--gauge", "mic", "--json"];
    let doubtful_u = shop.run(&judge, "").lines[0]["u"].clone();
    assert!(!doubtful_u.is_null());
    // The register's list says it, too.
    let gauges = shop.run(&["gauges", "--json", "--on", "2099-02-01"], "");
    let remarks = gauges.lines[0]["remarks"].to_string();
    assert!(remarks.contains("study_in_doubt"), "{remarks}");
    // It is told of the study itself, and nothing is entered.
    let told = study(&shop, &["--record", &path, "--write"], "");
    let line = told.lines.iter().find(|line| line["wanted"] == 6).unwrap();
    assert!(
        line["in_doubt"]
            .as_str()
            .unwrap()
            .contains("failed its zero check"),
        "{line}"
    );
    assert!(
        line["next"][0]
            .as_str()
            .unwrap()
            .starts_with("The study is in doubt"),
        "{line}"
    );
    assert_eq!(line["register"], Value::Null);
    assert!(told.text.contains("study_in_doubt"), "{}", told.text);
    assert!(told.code >= 2);
    // Studied again: that one counts, and is compared with no day in doubt.
    pause();
    let again = study(&shop, &[&all[..], &["--write"]].concat(), values);
    assert_eq!(again.code, 0, "{}", again.told);
    let (code, studies) = doubted(&shop);
    let found = studies.iter().find(|study| study.is_object()).unwrap();
    assert_eq!(found["measured_again"], true, "{found}");
    // What was measured between is in doubt still, so that its exit is not good.
    assert_eq!(code, 1);
    let gauges = shop.run(&["gauges", "--json", "--on", "2099-02-01"], "");
    let remarks = gauges.lines[0]["remarks"].to_string();
    assert!(!remarks.contains("study_in_doubt"), "{remarks}");
    let sound_u = shop.run(&judge, "").lines[0]["u"].clone();
    assert_ne!(sound_u, doubtful_u);
}

#[test]
fn the_share_of_the_tolerance_is_told_once() {
    let shop = shop();
    let (lines, _) = published();
    let mut all = vec!["gauge-study"];
    all.extend(CROSSED);
    all.extend(["--tolerance", "8"]);
    let text = shop.run(&all, &lines.concat()).text;
    let told = text.matches("of the tolerance:").count();
    assert_eq!(
        (told, text.matches("common practice: up to 10 %").count()),
        (1, 1),
        "{text}"
    );
    // Six times the deviation that the publication prints, 0.302373 (pooled), over 8.
    assert!(
        text.contains("The gauge takes 23 % of the tolerance: acceptable"),
        "{text}"
    );
    assert!(
        text.contains("no interval is given for reproducibility and parts"),
        "{text}"
    );
    assert!(
        text.contains("no intervals are given by averages and ranges"),
        "{text}"
    );
    assert!(text.contains("Readings count as shown"), "{text}");
    // A table of one operator: once too, and judged.
    let table = "part,value\na,20.001\na,20.003\na,20.002\na,20.002\n";
    let text = shop
        .run(&["gauge-study", "--tolerance", "0.02"], table)
        .text;
    // sd 0.8165 µm, by hand: 6 x 0.8165/20 = 24.5 %.
    assert!(
        text.contains("The gauge takes 24 % of the tolerance: acceptable"),
        "{text}"
    );
    assert_eq!(text.matches("of the tolerance").count(), 1, "{text}");
}

#[test]
fn bad_options_are_told_and_begin_nothing() {
    let shop = shop();
    for (all, code) in [
        (
            &["--gauge", "mic=typed", "--trials", "0"][..],
            "study_refused",
        ),
        (
            &[
                "--gauge",
                "mic=typed",
                "--parts",
                "3",
                "--reference",
                "1",
                "2",
            ],
            "study_refused",
        ),
        (&["--gauge", "mic=typed", "--on", "mic"], "study_refused"),
        (&["--gauge", "ring=typed"], "study_refused"),
        (
            &["--gauge", "mic=typed", "--operators", "Ada,Ada"],
            "study_refused",
        ),
        (
            &["--gauge", "mic=typed", "--tolerance", "nothing"],
            "bad_character",
        ),
        (&["--parts", "3"], "gauge_missing"),
        (&["--record", "nowhere.jsonl"], "journal_not_read"),
    ] {
        let answer = study(&shop, all, "");
        assert_eq!(
            answer.lines[0]["error"]["code"], code,
            "{all:?} {}",
            answer.text
        );
        assert!(answer.code >= 2, "{all:?}");
    }
    assert_eq!(shop.journals().len(), 0);
}

#[test]
fn a_simulated_gauge_goes_through_a_study_by_itself() {
    let shop = shop();
    let all = [
        "--gauge",
        "mic=simulated:3",
        "--parts",
        "5",
        "--operators",
        "Ada,Bea",
        "--seed",
        "4",
    ];
    let answer = study(&shop, &all, "");
    assert_eq!(answer.code, 0, "{}", answer.told);
    let told = answer
        .lines
        .iter()
        .find(|line| line["wanted"] == 30)
        .unwrap();
    assert_eq!(told["filled"], 30);
    assert!(
        told["study"]["variance_analysis"]["components"]["gauge"]["sd"]
            .as_f64()
            .unwrap()
            > 0.0
    );
    let cells = lines_of(&shop.journal(), "study_cell_filled");
    assert_eq!(cells.len(), 30);
}

/// The day of the study as the register's list tells it.
fn mic_day(shop: &Shop) -> String {
    let gauges = shop.run(&["gauges", "--json", "--on", "2099-02-01"], "");
    gauges.lines[0]["repeatability"]["on"]
        .as_str()
        .unwrap()
        .to_owned()
}
