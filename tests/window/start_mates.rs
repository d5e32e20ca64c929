//! The step of the Start room about measured mates: by value, by keys, in pictures, and from real
//! records to a session that measures by what suits.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

use fitledger::pair::Measured;
use fitledger::quantity::Length;
use fitledger::session::{
    Begin, HalfParts, MateWanted, NotOffered, RecordSizes, TargetLimits, half_parts,
};
use fitledger::window::keys::character_press;
use fitledger::window::links_facts::{LinksTold, MatesFacts};
use fitledger::window::look::{Look, Sizes, Theme};
use fitledger::window::press::Press;
use fitledger::window::start::{GaugeChoice, GaugeKind, Known, Start, StartAsked, StartFacts};
use fitledger::window::start_mates::{MateAnswer, MateSteps};
use fitledger::window::start_ui::start_ui;
use fitledger::window::start_view::start_view;

use crate::links::live::{Bench, housings, shop};
use crate::links::scenes::{part, record};
use crate::support::picture::{compare, keep, painted_texts, window};
use crate::support::readable::text_faults;

fn mate(name: &str, made: &[&str]) -> MateWanted {
    MateWanted {
        name: name.to_owned(),
        file: name.split('#').next().unwrap().to_owned(),
        measured: Measured::Hole,
        made: made.iter().map(|one| (*one).to_owned()).collect(),
        fit: "20 H7/g6".to_owned(),
    }
}

/// Housings of 20.010 and 20.014 to 20.018; one is NO-GO.
fn measured() -> HalfParts {
    let parts = vec![
        part(1, "H-0101", Ok((20_010_000, 20_010_000)), Some(600)),
        part(2, "", Ok((20_014_000, 20_018_000)), None),
        part(3, "H-0103", Err(NotOffered::NoGo), None),
    ];
    let record: RecordSizes = record("2026-11-20-081500-housing.jsonl", "B", parts);
    half_parts(&[Arc::new(record)], "B")
}

fn facts(mates: Vec<HalfParts>, reading: Option<(usize, usize)>) -> StartFacts {
    let known = |name: &str| Known {
        path: PathBuf::from(format!("/w/{name}")),
        name: name.to_owned(),
        detail: "Bush".to_owned(),
    };
    StartFacts {
        plans: vec![known("bush.toml")],
        gauges: vec![GaugeChoice {
            source: "mic".to_owned(),
            name: "mic".to_owned(),
            detail: String::new(),
            kind: GaugeKind::Attached,
        }],
        told: LinksTold {
            reading,
            mates: Some(Arc::new(MatesFacts {
                plan: PathBuf::from("/w/bush.toml"),
                mates,
                fault: None,
            })),
            ..LinksTold::default()
        },
        ..StartFacts::default()
    }
}

fn keys(start: &mut Start, facts: &StartFacts, keys: &str) -> Vec<StartAsked> {
    let mut asked = Vec::new();
    for key in keys.chars() {
        let press = match key {
            '⏎' => Press::Enter,
            '⌫' => Press::Backspace,
            '␛' => Press::Escape,
            other => character_press(other),
        };
        asked.extend(start.press(press, facts));
    }
    asked
}

/// The plan is chosen, and asks for those mates.
fn asking(facts: &StartFacts, mates: Vec<MateWanted>) -> Start {
    let mut start = Start::default();
    let asked = keys(&mut start, facts, "bush⏎");
    let plan = PathBuf::from("/w/bush.toml");
    assert_eq!(asked, [StartAsked::LookAgain, StartAsked::Mates(plan)]);
    start.mates = MateSteps::of(mates);
    start
}

fn one() -> Vec<MateWanted> {
    vec![mate("housing.toml#B", &["A"])]
}

fn begun(asked: &[StartAsked]) -> &Begin {
    match asked {
        [StartAsked::Begin(begin)] => begin,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_plan_without_such_a_mate_has_no_further_step() {
    let facts = facts(Vec::new(), None);
    let mut start = asking(&facts, Vec::new());
    assert_eq!(start_view(&start, &facts, '.').list_title, "Which gauge?");
    let asked = keys(&mut start, &facts, "⏎");
    assert!(begun(&asked).suits.is_empty());
    let mut start = Start::default();
    assert_eq!(keys(&mut start, &facts, "20 k6⏎"), [StartAsked::LookAgain]);
}

#[test]
fn a_keypad_takes_the_class_a_measured_part_or_a_typed_size() {
    let facts = facts(vec![measured()], None);
    for (pressed, wanted) in [
        ("⏎⏎", None),
        (
            "*⏎⏎",
            Some("housing.toml#B=/w/sessions/2026-11-20-081500-housing.jsonl#1"),
        ),
        (
            "**⏎⏎",
            Some("housing.toml#B=/w/sessions/2026-11-20-081500-housing.jsonl#2"),
        ),
        (
            "**/⏎⏎",
            Some("housing.toml#B=/w/sessions/2026-11-20-081500-housing.jsonl#1"),
        ),
        ("***⏎⏎", None),
        ("20.030+.001⏎⏎", Some("housing.toml#B=20.030±.001")),
        ("*20,03⏎⏎", Some("housing.toml#B=20.03")),
        ("20.9⌫⌫.03⏎⏎", Some("housing.toml#B=20.03")),
        (
            "20.03*⏎⏎",
            Some("housing.toml#B=/w/sessions/2026-11-20-081500-housing.jsonl#1"),
        ),
    ] {
        let mut start = asking(&facts, one());
        let asked = keys(&mut start, &facts, pressed);
        let suits: Vec<&str> = begun(&asked).suits.iter().map(String::as_str).collect();
        assert_eq!(suits, wanted.into_iter().collect::<Vec<_>>(), "{pressed}");
        assert_eq!(begun(&asked).gauges, ["mic"]);
    }
    // A part that is pointed at.
    let mut start = asking(&facts, one());
    start.press(Press::Choose(2), &facts);
    assert_eq!(start.mates.suits().len(), 1);
    let title = start_view(&start, &facts, '.').list_title;
    assert!(
        title.starts_with("Which gauge? Made to suit housing.toml#B, "),
        "{title}"
    );
}

#[test]
fn what_is_no_size_is_refused_as_the_command_refuses_it_and_nothing_typed_is_lost() {
    let facts = facts(vec![measured()], None);
    let mut start = asking(&facts, one());
    assert!(keys(&mut start, &facts, "20..3⏎").is_empty());
    let fault = start.fault.clone().unwrap();
    let said = fitledger::session::check_typed_mate("20..3").unwrap_err();
    assert_eq!(fault.message, said.message);
    assert_eq!(start.mates.text, "20..3");
    let view = start_view(&start, &facts, '.');
    assert_eq!(
        (view.field.text.as_str(), view.fault),
        ("20..3", said.message.clone())
    );
    keys(&mut start, &facts, "⌫⌫⌫.03+.001");
    assert_eq!(start.mates.text, "20.03±.001");
    let (size, u) = fitledger::session::check_typed_mate("20.03±.001").unwrap();
    assert_eq!(
        (size, u),
        (Length::from_um(20_030), Some(Length::from_um(1)))
    );
    let line = &start_view(&start, &facts, ',').field.lines[0];
    assert_eq!(
        line,
        "Made to suit 20,030 mm, u 1,0 µm (k = 1): guard bands of 2 u."
    );
    start.press(Press::NumLockOff, &facts);
    assert!(start.fault.unwrap().message.contains("Num Lock"));
}

#[test]
fn backspace_leads_back_step_by_step_and_escape_at_once() {
    let facts = facts(vec![measured(), HalfParts::default()], None);
    let two = || vec![mate("housing.toml#B", &["A"]), mate("cover.toml#H", &["C"])];
    let mut start = asking(&facts, two());
    keys(&mut start, &facts, "*⏎");
    assert_eq!(start.mates.asked().unwrap().name, "cover.toml#H");
    keys(&mut start, &facts, "15.02⏎");
    assert!(start.mates.asked().is_none());
    assert_eq!(start.mates.suits().len(), 2);
    keys(&mut start, &facts, "⌫");
    assert_eq!(start.mates.asked().unwrap().name, "cover.toml#H");
    keys(&mut start, &facts, "⌫");
    assert_eq!(start.mates.asked().unwrap().name, "housing.toml#B");
    keys(&mut start, &facts, "⌫");
    assert_eq!((start.what.clone(), start.gauge), (None, None));
    assert_eq!(start.text, "bush", "what was typed is still there");
    let mut start = asking(&facts, two());
    keys(&mut start, &facts, "⏎␛");
    assert_eq!((start.gauge, start.mates), (None, MateSteps::default()));
    // One feature is not asked to suit two mates.
    let same = vec![mate("housing.toml#B", &["A"]), mate("cover.toml#H", &["A"])];
    let mut start = asking(&facts, same);
    keys(&mut start, &facts, "20.01⏎");
    assert!(start.mates.asked().is_none());
    assert_eq!(start.mates.answers[1], MateAnswer::Skipped);
    keys(&mut start, &facts, "⌫");
    assert_eq!(start.mates.asked().unwrap().name, "housing.toml#B");
    keys(&mut start, &facts, "⏎");
    assert_eq!(
        start.mates.asked().unwrap().name,
        "cover.toml#H",
        "by its class: still open"
    );
}

#[test]
fn the_step_says_what_is_asked_what_is_found_and_how_far_the_reading_is() {
    let found = facts(vec![measured()], None);
    let start = asking(&found, one());
    let view = start_view(&start, &found, '.');
    assert_eq!(
        view.list_title,
        "A made to suit a measured mate? (20 H7/g6, hole housing.toml#B)"
    );
    let items: Vec<(&str, &str)> = view
        .items
        .iter()
        .map(|one| (one.text.as_str(), one.detail.as_str()))
        .collect();
    assert_eq!(items[0], ("by its own class", "as the plan says"));
    assert_eq!(
        items[1],
        (
            "H-0101: 20.010, U 1.2 µm",
            "GO, 2026-11-20-081500-housing.jsonl part 1"
        )
    );
    assert_eq!(items[2].0, "no. 2: 20.014 to 20.018, U not known");
    assert!(view.items[0].is_chosen);
    let wanted = "2 measured parts from the records; not offered: 1 NO-GO.";
    assert_eq!(view.field.lines[1], wanted);
    let reading = facts(Vec::new(), Some((12, 340)));
    let view = start_view(&start, &reading, '.');
    assert_eq!(
        view.field.lines[1],
        "The records are being read: 12 of 340."
    );
    assert_eq!(view.items.len(), 1, "the class can be taken at once");
    let mut failed = facts(vec![HalfParts::default()], None);
    let mates = failed.told.mates.take().unwrap();
    failed.told.mates = Some(Arc::new(MatesFacts {
        fault: Some("The folder cannot be listed.".to_owned()),
        ..(*mates).clone()
    }));
    let view = start_view(&start, &failed, '.');
    assert_eq!(view.field.lines[1], "The folder cannot be listed.");
    let none = facts(vec![HalfParts::default()], None);
    let view = start_view(&start, &none, '.');
    let wanted = "No measured part of it is offered from the records.";
    assert_eq!(view.field.lines[1], wanted);
}

/// Each picture is kept too, in `target/pictures`.
#[test]
fn the_step_is_seen_whole_in_any_window() {
    let found = facts(vec![measured()], None);
    let reading = facts(Vec::new(), Some((12, 340)));
    let mut typed = asking(&found, one());
    keys(&mut typed, &found, "20.030+.001");
    let mut wrong = asking(&found, one());
    keys(&mut wrong, &found, "20..3⏎");
    let mut gauge = asking(&found, one());
    keys(&mut gauge, &found, "20.030+.001⏎");
    let mut second = asking(&found, one());
    keys(&mut second, &found, "**");
    let scenes = [
        ("class", asking(&found, one()), &found),
        ("part", second, &found),
        ("reading", asking(&reading, one()), &reading),
        ("typed", typed, &found),
        ("wrong", wrong, &found),
        ("gauge", gauge, &found),
    ];
    let mut faults = Vec::new();
    for (name, start, facts) in &scenes {
        for (size, theme, word) in [
            ([800.0, 458.0], Theme::Night, "night"),
            ([1280.0, 778.0], Theme::Day, "large"),
            ([480.0, 320.0], Theme::HighContrast, "small"),
        ] {
            let view = start_view(start, facts, '.');
            let look = Look::new(theme, Sizes::default());
            let mut harness = window(size, 1.0, move |ui| {
                start_ui(ui, &view, &look, &mut Vec::new());
            });
            let name = format!("mates-{word}-{name}");
            let image = harness.render().unwrap();
            keep(&name, &image);
            if word == "night" && ["mates-night-part", "mates-night-typed"].contains(&&*name) {
                faults.extend(compare(&name, &image).err());
            }
            let found = text_faults(&harness, size).into_iter();
            faults.extend(found.map(|fault| format!("{name}: {fault}")));
            let texts = painted_texts(&harness).into_iter().map(|text| text.text);
            let shortened = texts.filter(|text| text.ends_with('…') && word != "small");
            faults.extend(shortened.map(|text| format!("{name}: {text:?} is shortened")));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

fn until_begun(bench: &mut Bench<'_>) {
    let end = Instant::now() + Duration::from_secs(60);
    while bench.window().desk().is_none() {
        bench.harness.step();
        assert!(Instant::now() < end, "no session");
    }
}

#[test]
fn from_the_start_room_a_session_begins_by_what_suits_a_housing_of_the_records() {
    let shop = shop();
    housings(&shop);
    let mut bench = Bench::open(shop, None);
    bench.keys("bush⏎");
    bench.until_told("2 measured parts from the records; not offered: 1 NO-GO.");
    // The larger of both: 20.014 less 7 to 41 µm, less guard bands of 2 u.
    bench.keys("**⏎");
    bench.until_told("Which gauge? Made to suit housing.toml#B, ");
    bench.keys("⏎");
    until_begun(&mut bench);
    let record = std::fs::read_to_string(
        bench
            .shop
            .journals()
            .into_iter()
            .find(|path| path.to_string_lossy().contains("bush"))
            .unwrap(),
    )
    .unwrap();
    let opened = record.lines().next().unwrap();
    assert!(opened.contains("\"suits\":[{"), "{opened}");
    assert!(opened.contains("housing.jsonl part 2"), "{opened}");
    // The same as the command begins with.
    let workspace = fitledger::session::Workspace::locate(Some(&bench.shop.path("")));
    let housing = bench
        .shop
        .journals()
        .into_iter()
        .find(|path| path.to_string_lossy().contains("housing"))
        .unwrap();
    let begin = Begin {
        suits: vec![format!("housing.toml#B={}#2", housing.display())],
        ..Begin::new(fitledger::session::What::Plan(bench.shop.path("bush.toml")))
    };
    let setup = fitledger::session::setup_asked(&begin, None, &workspace).unwrap();
    let TargetLimits::Length(limits) = setup.choose("A", "").unwrap().limits else {
        panic!("no size");
    };
    bench.keys("③");
    bench.until_told("This session judges the shaft A by");
    let lower = limits.lower().unwrap();
    // 20.014 - 0.041 = 19.973 and 20.014 - 0.007 = 20.007, with 2 u of 0.578 µm at each end.
    assert!(lower > Length::from_um(19_973) && lower < Length::from_um(19_976));
}

#[test]
fn a_typed_slip_is_refused_as_the_command_refuses_it_and_leads_back_to_the_size() {
    let mut bench = Bench::open(shop(), None);
    bench.keys("bush⏎");
    bench.until_told("No measured part of it is offered from the records.");
    bench.keys("25.03⏎⏎");
    bench.until_told("25.030 mm for housing.toml#B would take A");
    assert!(bench.window().desk().is_none());
    bench.keys("⌫20.03+.001⏎⏎");
    until_begun(&mut bench);
    // A plan whose mates are its own business begins as ever.
    let mut bench = Bench::open(shop(), None);
    bench.keys("housing⏎");
    bench.until_told("Which gauge?");
}
