//! Sessions are found by what is asked.

use fitledger::gauge::Date;
use fitledger::journal::{Disposition, DispositionKind, Job, Manner, Meaning, SignedOff};
use fitledger::session::{Catalogue, Command, Entry, Question};

use crate::support::bench::{Bench, GAUGES, feature, plan, typed};
use crate::support::cabinet::Cabinet;

fn bench(name: &str, drawing: &str, customer: &str) -> Bench {
    let mut opened = plan("");
    let mut text = format!("[part]\nname = \"{name}\"\n");
    for (key, value) in [("drawing", drawing), ("customer", customer)] {
        if !value.is_empty() {
            text.push_str(&format!("{key} = \"{value}\"\n"));
        }
    }
    opened.plan = Some(text + &feature("A", "20 k6", ""));
    opened.gauges = GAUGES.to_owned();
    Bench::new(opened)
}

fn decide(bench: &mut Bench, kind: DispositionKind) {
    bench.asks(Command::Dispose(Box::new(Disposition {
        part: 1,
        kind,
        feature: String::new(),
        element: String::new(),
        reason: "crack".to_owned(),
        by: "Mia".to_owned(),
        agreed_with: "Brunnen GmbH".to_owned(),
        of: 0,
    })));
}

fn sign(bench: &mut Bench, manner: Manner) {
    bench.asks(Command::SignOff(Box::new(SignedOff {
        part: 1,
        meaning: Meaning::Released,
        manner,
        by: "Ruth Öhm".to_owned(),
        reason: String::new(),
        covers: SignedOff::JUST_BEFORE,
        hash: String::new(),
        left: Vec::new(),
    })));
}

fn cabinet() -> Cabinet {
    let cabinet = Cabinet::new();
    let close = |bench: &mut Bench| {
        let reason = "done".to_owned();
        bench.asks(Command::Close { reason });
    };
    let mut shaft = bench("Pump shaft", "GP-100", "Garden works");
    assert_eq!(shaft.reads("20.008"), "GO");
    let serial = "WELLE-17".to_owned();
    shaft.asks(Command::NamePart {
        part: Some(1),
        serial,
    });
    sign(&mut shaft, Manner::Plain);
    close(&mut shaft);
    cabinet.put("shaft.jsonl", &shaft);
    let mut bush = bench("Lagerbüchse", "GP-200", "");
    bush.asks(Command::NoteJob(Job {
        order: "PO-55".to_owned(),
        customer: "Brunnen GmbH".to_owned(),
        ..Job::default()
    }));
    assert_eq!(bush.reads("20.100"), "NO-GO metal_on");
    decide(&mut bush, DispositionKind::Scrap);
    bush.asks(Command::NoteJob(Job {
        order: "PO-56".to_owned(),
        ..Job::default()
    }));
    close(&mut bush);
    cabinet.put("bush.jsonl", &bush);
    let mut housing = bench("Housing", "GP-300", "Garden works");
    housing.now_ms += 24 * 3_600_000;
    housing.take(vec![fitledger::session::Incoming::Reading(typed(
        "caliper", "20.01",
    ))]);
    housing.asks(Command::ChangeOperator {
        name: "Zoë".to_owned(),
    });
    decide(&mut housing, DispositionKind::Hold);
    cabinet.put("housing.jsonl", &housing);
    cabinet
}

fn found(catalogue: &Catalogue, question: &Question) -> Vec<String> {
    let found = catalogue.find(question);
    let mut names: Vec<String> = found
        .into_iter()
        .map(|entry: &Entry| entry.journal().trim_end_matches(".jsonl").to_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn sessions_are_found_by_each_of_their_names() {
    let cabinet = cabinet();
    let catalogue = cabinet.opened();
    let all = ["bush", "housing", "shaft"];
    assert_eq!(found(&catalogue, &Question::default()), all);
    type Field = fn(&mut Question) -> &mut String;
    let fields: [(&str, Field); 11] = [
        ("text", |question| &mut question.text),
        ("part", |question| &mut question.part),
        ("drawing", |question| &mut question.drawing),
        ("serial", |question| &mut question.serial),
        ("customer", |question| &mut question.customer),
        ("order", |question| &mut question.order),
        ("operator", |question| &mut question.operator),
        ("verdict", |question| &mut question.verdict),
        ("gauge", |question| &mut question.gauge),
        ("state", |question| &mut question.state),
        ("none", |question| &mut question.text),
    ];
    let cases: [(&str, &str, &[&str]); 50] = [
        ("text", "PUMP", &["shaft"]),
        ("text", "garden gp-3", &["housing"]),
        ("text", "garden gp-2", &[]),
        ("text", "büchse", &["bush"]),
        ("text", "BÜCHSE", &["bush"]),
        ("text", "welle-17", &["shaft"]),
        ("text", "po-55", &["bush"]),
        ("text", "PO-56", &["bush"]),
        ("text", "zoË", &["housing"]),
        ("text", "öhm", &["shaft"]),
        ("text", "shaft.jsonl", &["shaft"]),
        ("text", "caliper", &["housing"]),
        ("text", "test.toml", &all),
        ("text", ".*", &[]),
        ("part", "HOUS", &["housing"]),
        ("part", "gp-100", &["shaft"]),
        ("part", "garden", &[]),
        ("drawing", "gp-", &all),
        ("drawing", "200", &["bush"]),
        ("drawing", "pump", &[]),
        ("serial", "welle", &["shaft"]),
        ("serial", "1", &["shaft"]),
        ("customer", "garden", &["housing", "shaft"]),
        ("customer", "brunnen", &["bush"]),
        ("order", "po-55", &["bush"]),
        ("order", "po-56", &["bush"]),
        ("order", "po-57", &[]),
        ("operator", "ADA", &all),
        ("operator", "zoë", &["housing"]),
        ("operator", "mia", &["bush", "housing"]),
        ("operator", "ruth", &["shaft"]),
        ("verdict", "go", &["shaft"]),
        ("verdict", "NO-GO", &["bush"]),
        ("verdict", "no_go", &["bush"]),
        ("verdict", "nogo", &["bush"]),
        ("verdict", "released", &["shaft"]),
        ("verdict", "released early", &[]),
        ("verdict", "Scrap", &["bush"]),
        ("verdict", "on_hold", &["housing"]),
        ("verdict", "doubt", &["housing"]),
        ("verdict", "o", &[]),
        ("gauge", "MIC", &["bush", "shaft"]),
        ("gauge", "mi", &[]),
        ("gauge", "caliper", &["housing"]),
        ("state", "sound", &["bush", "shaft"]),
        ("state", "NOT closed", &["housing"]),
        ("state", "not_closed", &["housing"]),
        ("state", "damaged", &[]),
        ("none", "", &all),
        ("none", "  ", &all),
    ];
    for (name, asked, expected) in cases {
        let mut question = Question::default();
        let (_, field) = fields.iter().find(|(field, _)| *field == name).unwrap();
        asked.clone_into(field(&mut question));
        assert_eq!(found(&catalogue, &question), expected, "{name} “{asked}”");
    }
    let both = Question {
        customer: "garden".to_owned(),
        verdict: "on hold".to_owned(),
        ..Question::default()
    };
    assert_eq!(found(&catalogue, &both), ["housing"]);
}

#[test]
fn sessions_are_found_by_the_days_of_the_bench() {
    let cabinet = cabinet();
    let catalogue = cabinet.opened();
    let day = |text: &str| (!text.is_empty()).then(|| Date::parse(text).unwrap());
    let cases: [(&str, &str, &[&str]); 7] = [
        ("2026-11-24", "", &["bush", "housing", "shaft"]),
        ("2026-11-25", "", &["housing"]),
        ("2026-11-26", "", &[]),
        ("", "2026-11-24", &["bush", "housing", "shaft"]),
        ("", "2026-11-23", &[]),
        ("2026-11-24", "2026-11-24", &["bush", "housing", "shaft"]),
        ("2026-11-25", "2026-11-24", &["housing"]),
    ];
    for (from, to, expected) in cases {
        let question = Question {
            from: day(from),
            to: day(to),
            ..Question::default()
        };
        assert_eq!(found(&catalogue, &question), expected, "{from} to {to}");
    }
    // 23:30 in UTC is the next day at a bench one hour ahead.
    let cabinet = Cabinet::new();
    let mut late = bench("Pump shaft", "", "");
    late.now_ms += 15 * 3_600_000 + 1_800_000;
    late.reads("20.008");
    cabinet.put("late.jsonl", &late);
    let question = Question {
        from: day("2026-11-25"),
        ..Question::default()
    };
    assert_eq!(found(&cabinet.opened(), &question), ["late"]);
}

#[test]
fn a_part_in_doubt_is_found_as_such_and_not_as_go() {
    let cabinet = cabinet();
    let mut later = bench("Pump shaft", "", "");
    later.now_ms += 3_600_000;
    later.asks(Command::DoubtGauge {
        gauge: fitledger::gauge::GaugeId::new("mic"),
        since: None,
        reason: "dropped".to_owned(),
    });
    cabinet.put("dropped.jsonl", &later);
    let catalogue = cabinet.opened();
    let verdict = |word: &str| Question {
        verdict: word.to_owned(),
        ..Question::default()
    };
    assert_eq!(found(&catalogue, &verdict("GO")), [""; 0]);
    assert_eq!(found(&catalogue, &verdict("in doubt")), ["bush", "shaft"]);
    assert_eq!(found(&catalogue, &verdict("released")), ["shaft"]);
    let shaft = catalogue.find(&Question {
        text: "welle".to_owned(),
        ..Question::default()
    });
    assert_eq!(
        (shaft[0].go_parts(), shaft[0].in_doubt.as_slice()),
        (0, [1].as_slice())
    );
    let gauge = Question {
        gauge: "mic".to_owned(),
        ..Question::default()
    };
    assert_eq!(found(&catalogue, &gauge), ["bush", "dropped", "shaft"]);
}

#[test]
fn every_word_that_is_offered_is_known_and_others_are_not() {
    for word in Question::verdict_words() {
        let question = Question {
            verdict: word.to_uppercase(),
            ..Question::default()
        };
        assert!(question.knows_verdict(), "{word}");
    }
    for (word, known) in [
        ("release", false),
        ("go", true),
        ("gone", false),
        ("", true),
    ] {
        let question = Question {
            verdict: word.to_owned(),
            ..Question::default()
        };
        assert_eq!(question.knows_verdict(), known, "{word}");
    }
    for word in Question::state_words() {
        let question = Question {
            state: word.to_owned(),
            ..Question::default()
        };
        assert!(question.knows_state(), "{word}");
    }
}
