//! Why a verdict is what it is, by value.
//!
//! 20 k6: IT6 over 18 to 30 mm is 13 µm (ISO 286-1, table 1), k for IT4 to IT7 has ei = +2 µm
//! (table 5; both from memory). `mic`: MPE 2 µm, step 1 µm, repeatability 0.5 µm, so
//! u² = 1.3333 + 0.0833 + 0.25 = 1.6667 µm² and u = 1.291 µm.
#![allow(clippy::unwrap_used)]

use fitledger::journal::{Event, SessionOpened};
use fitledger::quantity::{Celsius, Length};
use fitledger::session::{Command, account, account_of, expected_uncertainty};
use fitledger::window::desk::Desk;
use fitledger::window::view::WhyView;

use crate::support::bench::{Bench, feature, plan};
use crate::support::shown::shown_with;
use crate::support::suited_scenes::suited;

fn opened(head: &str) -> SessionOpened {
    plan(&format!("{head}{}", feature("A", "20 k6", "")))
}

fn why(bench: &Bench) -> WhyView {
    let desk = Desk {
        is_why: true,
        ..Desk::default()
    };
    shown_with(bench, &desk).why.unwrap()
}

fn warm(bench: &mut Bench, milli: i32) {
    let part = Some(Celsius::from_milli(milli));
    bench.asks(Command::SetTemperature { part, gauge: None });
}

fn lines(lines: &[fitledger::window::view::WhyLine]) -> Vec<(&str, &str, &str)> {
    let all = lines.iter();
    all.map(|line| {
        (
            line.what.as_str(),
            line.value.as_str(),
            line.source.as_str(),
        )
    })
    .collect()
}

#[test]
fn it_is_shown_only_when_asked_for() {
    let mut bench = Bench::new(opened(""));
    bench.reads("20.008");
    assert_eq!(shown_with(&bench, &Desk::default()).why, None);
}

#[test]
fn the_limits_come_with_table_row_and_arithmetic() {
    let mut bench = Bench::new(opened(""));
    bench.reads("20.014");
    let why = why(&bench);
    assert_eq!(why.title, "Ø20 k6: 20.014 mm is DOUBT");
    assert_eq!(
        lines(&why.limits),
        [
            ("IT6 over 18 to 30 mm", "13 µm", "ISO 286-1:2010 table 1"),
            (
                "shaft k over 18 to 30 mm, IT4 to IT7: ei",
                "+2 µm",
                "ISO 286-1:2010 table 5"
            ),
            ("es = ei + IT6 = 2 + 13", "+15 µm", ""),
            ("lower limit 20 + 0.002", "20.002", ""),
            ("upper limit 20 + 0.015", "20.015", ""),
        ]
    );
}

#[test]
fn a_house_class_comes_from_the_house_tables_of_the_session() {
    let table = "letter,grade_from,grade_to,over_mm,up_to_mm,which,deviation_um,source\n\
                 q,5,7,18,30,es,-4,pump bush running fit 2019\n";
    let mut opened = plan(&feature("A", "20 q6", ""));
    opened.house = vec![("house.csv".to_owned(), table.to_owned())];
    let mut bench = Bench::new(opened);
    bench.reads("19.990");
    let why = why(&bench);
    assert_eq!(
        lines(&why.limits)[1],
        (
            "shaft q over 18 to 30 mm, IT5 to IT7: es",
            "−4 µm",
            "House table, house.csv line 2, pump bush running fit 2019"
        )
    );
    let view = shown_with(&bench, &Desk::default());
    assert_eq!(view.verdict.notes, ["A class of this house."]);
}

#[test]
fn inches_and_general_tolerances_have_their_source() {
    let mut opened = plan(&feature("A", "62", "surface = \"length\""));
    opened.plan = opened
        .plan
        .map(|text| format!("{text}\n[rules]\ngeneral = \"m\"\n"));
    let mut bench = Bench::new(opened);
    // 62 m: ± 0.3 over 30 to 120 mm (ISO 2768-1, table 1, from memory).
    bench.reads_with("caliper", "62.40");
    let told = why(&bench);
    let general = &told.limits[0];
    assert!(general.source.starts_with("ISO 2768-1"), "{general:?}");
    assert!(general.value.contains("0.3"), "{general:?}");
    let view = shown_with(&bench, &Desk::default());
    let note = "A general tolerance: not rejected of itself when function is unimpaired.";
    assert_eq!(view.verdict.notes, [note]);
    let mut bench = Bench::new(plan(&feature(
        "A",
        "0.75in +0.001/-0.001",
        "surface = \"outside\"",
    )));
    bench.reads("19.050");
    assert_eq!(
        lines(&why(&bench).limits)[0],
        // 0.001 in is 0.0254 mm.
        ("upper +0.0254, lower −0.0254", "", "deviations as stated")
    );
}

#[test]
fn the_budget_has_a_bar_a_line_with_shares_of_the_variance() {
    let mut bench = Bench::new(opened(""));
    bench.reads("20.008");
    let why = why(&bench);
    let bars: Vec<(&str, &str)> = why
        .budget
        .iter()
        .map(|bar| (bar.what.as_str(), bar.value.as_str()))
        .collect();
    assert_eq!(
        bars,
        [
            ("gauge, MPE 2 µm, even between", "1.2 µm"),
            ("gauge, step 1 µm", "0.3 µm"),
            ("repeatability 0.5 µm", "0.5 µm"),
        ]
    );
    // 1.3333, 0.0833 and 0.25 of 1.6667: 0.80, 0.05, 0.15.
    for (bar, share) in why.budget.iter().zip([0.80, 0.05, 0.15]) {
        assert!((bar.share - share).abs() < 1e-4, "{:?}", why.budget);
    }
    assert_eq!(why.total, "u 1.3 µm, U 2.6 µm (k = 2)");
    // Without a material the temperature is not considered, and that is said.
    assert_eq!(
        lines(&why.corrections),
        [
            ("what the gauge shows", "20.008 mm", ""),
            (
                "temperature not considered: the part's material is not known",
                "",
                ""
            ),
            ("value at 20 °C", "20.008 mm", ""),
        ]
    );
}

#[test]
fn the_rule_is_named_with_its_guard_and_the_chance() {
    let mut bench = Bench::new(opened(""));
    bench.reads("20.014");
    let why = why(&bench);
    // 1.645 u = 2.124 µm; Φ(1 / 1.291) = Φ(0.7746) = 0.7807 by the table.
    assert_eq!(
        lines(&why.rule),
        [
            (
                "probability that GO or NO-GO needs",
                "95 %",
                "ISO 14253-1:2017"
            ),
            ("how far inside each limit a value is GO", "2.1 µm", ""),
            ("chance of being inside", "78.0 %", ""),
        ]
    );
    // 1 µm inside: u at most 1 / 1.645 = 0.608 µm, U 1.2158 µm.
    assert_eq!(
        why.remedies[0],
        "Zero the gauge on a setting standard of 20.014 mm and measure again."
    );
    assert!(why.remedies[1].starts_with("Measure with a gauge whose U (k = 2) is at most 0.00121"));
}

#[test]
fn simple_acceptance_and_an_unknown_gauge_say_so() {
    let mut bench = Bench::new(opened(""));
    bench.reads_with("unheard-of", "20.014");
    let why = why(&bench);
    assert_eq!(
        why.total,
        "uncertainty not considered: the gauge is not in the register"
    );
    assert_eq!(why.budget, []);
    assert_eq!(
        lines(&why.rule),
        [(
            "simple acceptance: inside is GO, and there is no DOUBT",
            "",
            "JCGM 106:2012"
        )]
    );
}

#[test]
fn corrections_lead_from_the_gauge_to_20_degrees() {
    let mut bench = Bench::new(opened("material = \"1.4301\"\n"));
    warm(&mut bench, 31_000);
    bench.reads("20.050");
    // 20.050 / (1 + 16.5e-6 × 11) = 20.046362 (the table's row of 1.4301).
    let why = why(&bench);
    assert_eq!(
        lines(&why.corrections),
        [
            ("what the gauge shows", "20.050 mm", ""),
            (
                "part 31.0 °C, gauge 20.0 °C, to 20 °C",
                "−0.003638 mm",
                "expansion: part 16.5, gauge 11.5 µm/m per kelvin"
            ),
            ("value at 20 °C", "20.046362 mm", ""),
        ]
    );
    let shares: f32 = why.budget.iter().map(|bar| bar.share).sum();
    assert!((shares - 1.0).abs() < 1e-5, "{shares}");
    assert_eq!(why.budget.len(), 6);
}

#[test]
fn a_comparator_adds_its_ring() {
    let mut bench = Bench::new(plan(&feature("A", "20 H7", "")));
    bench.reads_with("comparator", "0.012");
    let why = why(&bench);
    assert_eq!(
        lines(&why.corrections)[..2],
        [
            ("what the gauge shows", "0.012 mm", ""),
            ("size of the standard that it was set on", "+20.000 mm", ""),
        ]
    );
    // U 2 µm, k = 2: u 1 µm; step 1 µm: 0.289 µm; together 1.041 µm, shares 0.923 and 0.077.
    assert_eq!(why.budget[0].what, "gauge, calibration U 2 µm");
    assert!(
        (why.budget[0].share - 0.923_077).abs() < 1e-5,
        "{:?}",
        why.budget
    );
}

#[test]
fn cutting_has_its_reasons_too() {
    let mut bench = Bench::new(opened(""));
    bench.asks(Command::SwitchCutting(true));
    bench.reads("20.046");
    let why = why(&bench);
    assert_eq!(why.title, "Ø20 k6: 20.046 mm is CUTTING");
    assert_eq!(why.budget.len(), 3);
    assert_eq!(why.remedies, Vec::<String>::new());
}

#[test]
fn an_account_gives_the_numbers_of_the_verdict_until_the_temperature_changes() {
    let mut bench = Bench::new(opened("material = \"1.4301\"\n"));
    warm(&mut bench, 31_000);
    let verdict = bench.verdict("mic", "20.012");
    let told = account(bench.state(), &verdict).unwrap();
    assert!(told.is_same);
    assert_eq!(told.measured.value.as_nm(), verdict.value_at_20);
    assert_eq!(
        (told.readings, told.indication),
        (1, Length::from_um(20_012))
    );
    assert!(told.is_corrected());
    warm(&mut bench, 22_000);
    let told = account(bench.state(), &verdict).unwrap();
    assert!(!told.is_same, "the correction would be another now");
    let first = why(&bench).corrections.remove(0).what;
    assert!(
        first.starts_with("What it rests on has changed since"),
        "{first}"
    );
    let view = shown_with(&bench, &Desk::default());
    assert_eq!(view.verdict.shown, "gauge shows 20.012");
    // The verdict's own value, 20.012 / 1.0001815 = 20.008368, stays.
    assert_eq!(view.verdict.value, "20.008");
    assert!(
        view.verdict
            .notes
            .iter()
            .any(|note| note.starts_with("The temperature entered has"))
    );
}

#[test]
fn the_account_of_a_mean_is_that_of_the_mean() {
    let mut bench = Bench::new(opened(""));
    bench.reads("20.014");
    let verdict = bench.verdict("mic", "20.013");
    assert_eq!(verdict.from.len(), 2);
    let told = account(bench.state(), &verdict).unwrap();
    assert!(told.is_same);
    assert_eq!(
        (told.readings, told.indication),
        (2, Length::from_nm(20_013_500))
    );
    assert!(!told.is_corrected());
    // Readings that disagree are judged by the last alone.
    let verdict = bench.verdict("mic", "20.004");
    assert_eq!(verdict.notes[0], "readings_disagree");
    let told = account(bench.state(), &verdict).unwrap();
    assert!(told.is_same);
    assert_eq!(
        (told.readings, told.indication),
        (1, Length::from_um(20_004))
    );
}

#[test]
fn a_note_while_cutting_has_an_account_until_the_temperature_changes() {
    let mut bench = Bench::new(opened("material = \"1.4301\"\n"));
    bench.asks(Command::SwitchCutting(true));
    let event = bench.events("mic", "20.046").pop().unwrap();
    assert!(matches!(event, Event::CuttingNoted { .. }));
    assert!(account_of(bench.state(), &event).unwrap().is_same);
    warm(&mut bench, 20_000);
    let told = account_of(bench.state(), &event).unwrap();
    assert!(!told.is_same, "the same value, but it was not known then");
    assert_eq!(
        account_of(bench.state(), &Event::PartStarted { part: 1 }),
        None
    );
}

#[test]
fn what_a_gauge_will_be_worth_is_known_before_the_first_reading() {
    let bench = Bench::new(opened(""));
    let u = expected_uncertainty(bench.state(), 0).unwrap();
    assert!((u - 1_290.99).abs() < 0.01, "{u}");
    assert_eq!(expected_uncertainty(bench.state(), 7), None);
}

/// 20 H7/g6: 7 to 41 µm of clearance; a bore of 20.030 takes 19.989 to 20.023, by hand.
#[test]
fn what_is_made_to_suit_shows_its_limits_and_why_they_are_not_the_class() {
    let mut bench = Bench::new(suited("B"));
    bench.reads("20.008");
    let view = shown_with(&bench, &Desk::default());
    let subject = &view.subject;
    assert_eq!(subject.element, "made to suit");
    assert_eq!(subject.name, "made to suit, impeller seat");
    assert!(
        subject.limits.contains("19.991") && subject.limits.contains("20.021"),
        "{}",
        subject.limits
    );
    assert_eq!(
        view.verdict.notes,
        ["Made to suit its measured mate, not the class."]
    );
    let why = why(&bench);
    let whats: Vec<&str> = why.limits.iter().map(|line| line.what.as_str()).collect();
    let has = |text: &str| whats.iter().any(|what| what.contains(text));
    assert!(
        has("the shaft A is made to suit the hole B, 20.030 mm"),
        "{whats:?}"
    );
    assert!(has("Its own class is 19.980 to 19.993 mm"), "{whats:?}");
    // The five steps of the class, then the three sentences.
    assert_eq!(whats.len(), 8, "{whats:?}");
}
