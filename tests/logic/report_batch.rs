//! All parts together in a report: the same numbers in every form and as the command `statistics`
//! says them; nothing made better than it is; and what is said where there is little to be said.
//! The files are left in the target folder, for those who look at them.

use std::fs;
use std::path::Path;

use fitledger::gauge::{CheckEnd, CheckOutcome, GaugeId, Origin};
use fitledger::journal::{Disposition, DispositionKind};
use fitledger::quantity::Length;
use fitledger::report::{
    Axis, BatchCell, BatchFacts, BatchSheet, Chart, ChartSize, DecimalMark, ENGLISH, Ink, Layer,
    ReportOptions, Scale, Selection, Sheet, Stroke, csv_batch, csv_batch_metadata, csv_text_back,
    drawing, html, html_text, json, pdf,
};
use fitledger::session::{Command, Incoming, check_reading};
use serde_json::Value;

use crate::statistics_made::Made;
use crate::support::batch_shafts::{parts_of, shafts};
use crate::support::bench::{Bench, feature, plan, typed};
use crate::support::hostile::TEXTS;
use crate::support::pdf_read::{Read, bare};
use crate::support::sheets::{bytes_of, sheet_of, sheet_of_bytes};

const STEADY: [&str; 10] = [
    "20.008", "20.010", "20.007", "20.009", "20.008", "20.010", "20.008", "20.007", "20.009",
    "20.008",
];

/// What all forms of a sheet say.
struct Forms {
    page: String,
    paper: Read,
    object: Value,
    /// The table's fields by column, a row a characteristic.
    table: Vec<Vec<(String, String)>>,
}

fn forms(name: &str, sheet: &Sheet, options: &ReportOptions) -> Forms {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("report_batch");
    fs::create_dir_all(&folder).unwrap();
    let (page, paper) = (html(sheet, options), pdf(sheet, options).unwrap());
    fs::write(folder.join(format!("{name}.html")), &page).unwrap();
    fs::write(folder.join(format!("{name}.pdf")), &paper).unwrap();
    Forms {
        page,
        paper: Read::of(&paper),
        object: serde_json::from_slice(&json(sheet)).unwrap(),
        table: table(sheet),
    }
}

fn forms_of(sheet: &Sheet) -> Forms {
    forms("any", sheet, &ReportOptions::default())
}

fn table(sheet: &Sheet) -> Vec<Vec<(String, String)>> {
    let Some(bytes) = csv_batch(sheet).unwrap() else {
        return Vec::new();
    };
    let mut reader = csv::Reader::from_reader(bytes.as_slice());
    let header = reader.headers().unwrap().clone();
    let rows = reader.records().map(|record| {
        let record = record.unwrap();
        let fields = record.iter().map(|field| csv_text_back(field).to_owned());
        header.iter().map(str::to_owned).zip(fields).collect()
    });
    rows.collect()
}

impl Forms {
    /// The page's text outside of tags, charts and style.
    fn page_text(&self) -> String {
        let body = self.page.split("</style>").last().unwrap();
        let pieces = body.split('<');
        let pieces = pieces.map(|piece| piece.split_once('>').map_or("", |(_, text)| text));
        pieces.collect::<Vec<&str>>().join(" ")
    }

    fn field(&self, row: usize, column: &str) -> &str {
        let mut fields = self.table[row].iter();
        &fields.find(|(name, _)| name == column).unwrap().1
    }
}

fn batch(sheet: &Sheet) -> &BatchSheet {
    sheet.batch.as_ref().unwrap()
}

fn first(sheet: &Sheet) -> &BatchFacts {
    &batch(sheet).characteristics[0]
}

fn cell(sheet: &Sheet, part: u32, number: usize) -> &BatchCell {
    let mut rows = batch(sheet).rows.iter();
    let row = rows.find(|row| row.part == part).unwrap();
    row.cells.iter().find(|cell| cell.number == number).unwrap()
}

/// Values around the middle of 20 k6, in millimetres; wide enough for the step of the gauge.
fn wide(n: usize, seed: u64) -> Vec<String> {
    let values = Made::new(seed).normal(n);
    let um = values.iter().map(|one| (20_008.5 + 4.2 * one).round());
    um.map(|um| format!("{:.3}", um / 1e3)).collect()
}

fn session(values: &[String]) -> Bench {
    let texts: Vec<&str> = values.iter().map(String::as_str).collect();
    parts_of("20 k6", "name = \"bearing seat\"", &texts)
}

/// Whether a number stands in a text by itself: no digit, and no mark with a digit, touches it.
fn stands_alone(text: &str, number: &str) -> bool {
    text.match_indices(number).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let mut after = text[at + number.len()..].chars();
        let is_more = match after.next() {
            Some('.') => after.next().is_some_and(|c| c.is_ascii_digit()),
            next => next.is_some_and(|c| c.is_ascii_digit()),
        };
        !before.is_some_and(|c| c.is_ascii_digit() || c == '.') && !is_more
    })
}

/// Every text that is a number, with its key, wherever it is in the object.
fn numbers<'v>(key: &'v str, value: &'v Value, found: &mut Vec<(&'v str, &'v str)>) {
    match value {
        Value::String(text) if text.parse::<f64>().is_ok() => found.push((key, text)),
        Value::Array(all) => all.iter().for_each(|one| numbers(key, one, found)),
        Value::Object(map) => map.iter().for_each(|(key, one)| numbers(key, one, found)),
        _ => {}
    }
}

#[test]
fn a_number_is_the_same_text_in_every_form() {
    let mut compared = 0;
    for (name, n, seed) in [("agree-24", 24, 5), ("agree-40", 40, 6)] {
        let sheet = sheet_of(&session(&wide(n, seed)));
        let forms = forms(name, &sheet, &ReportOptions::default());
        let (page, paper) = (forms.page_text(), forms.paper.pages.join("\n"));
        let facts = &forms.object["batch"]["characteristics"][0];
        let mut found = Vec::new();
        numbers("", facts, &mut found);
        assert!(found.len() > 25, "{name}: {found:?}");
        let fields: Vec<&str> = forms.table[0].iter().map(|(_, field)| &**field).collect();
        for (key, text) in found {
            // The spread seen stands in the table as the share that measuring has of it; the
            // spread behind the limits, and theirs, beside the charts.
            let is_aside = ["seen", "measuring", "parts", "deviation"].contains(&key);
            assert!(is_aside || fields.contains(&text), "{name}: {key} {text}");
            // A share stands as percent.
            if ["share", "confidence"].contains(&key) {
                continue;
            }
            assert!(
                stands_alone(&page, text),
                "{name}: {key} {text} in the page"
            );
            assert!(stands_alone(&paper, text), "{name}: {key} {text} on paper");
            compared += 1;
        }
        // Every part's value, in the table of parts.
        for row in &batch(&sheet).rows {
            let own = &row.cells[0];
            let told = format!("{} {}", own.value, own.standing);
            let is_good = own.standing == "GO";
            assert!(!is_good || page.contains(&told), "{name}: {told}");
            assert!(!is_good || paper.contains(&told), "{name}: {told}");
        }
    }
    assert!(compared > 50, "{compared}");
}

/// A text is that number, rounded once to the digits that it shows.
#[cfg(unix)]
fn is_rounded(name: &str, text: &str, exact: &Value) {
    let exact = exact.as_f64().unwrap_or_else(|| panic!("{name}: {exact}"));
    let decimals = text.split_once('.').map_or(0, |(_, rest)| rest.len());
    let half = 0.5 * 10_f64.powi(-i32::try_from(decimals).unwrap());
    let shown: f64 = text.parse().unwrap_or_else(|_| panic!("{name}: {text:?}"));
    assert!(
        (shown - exact).abs() <= half * 1.000_001,
        "{name}: {text} is not {exact}"
    );
}

#[cfg(unix)]
#[test]
fn the_numbers_are_those_of_the_command_statistics() {
    let shop = crate::support::program::Shop::new();
    for (n, seed) in [(24, 5), (40, 6)] {
        let values = wide(n, seed);
        let arguments = [
            "statistics",
            "--json",
            "--lower",
            "20.002",
            "--upper",
            "20.015",
            "--resolution",
            "0.001",
        ];
        let answer = shop.run(&arguments, &(values.join("\n") + "\n"));
        let told = answer.lines.last().unwrap();
        let sheet = sheet_of(&session(&values));
        let facts = first(&sheet);
        assert_eq!(told["n"], facts.values);
        for (name, text) in [
            ("mean", &facts.mean),
            ("sd", &facts.sd),
            ("min", &facts.smallest),
            ("max", &facts.largest),
            ("lower", &facts.lower),
            ("upper", &facts.upper),
        ] {
            is_rounded(name, text, &told[name]);
        }
        let range = told["max"].as_f64().unwrap() - told["min"].as_f64().unwrap();
        is_rounded("range", &facts.range, &Value::from(range));
        assert_eq!(facts.indices.len(), 4);
        for index in &facts.indices {
            let known = &told[index.name.to_lowercase()];
            is_rounded(&index.name, &index.lower, &known["lower"]);
            is_rounded(&index.name, &index.upper, &known["upper"]);
            assert_eq!(index.estimate.is_empty(), n < 30, "{}", index.name);
            assert_eq!(known["estimate"].is_null(), n < 30);
            if n >= 30 {
                is_rounded(&index.name, &index.estimate, &known["estimate"]);
            }
        }
        let normality = facts.normality.as_ref().unwrap();
        let resolution = &told["resolution"];
        is_rounded("step", &normality.step_over_sd, &resolution["step_over_sd"]);
        assert_eq!(resolution["too_coarse"], normality.is_too_coarse);
        is_rounded("A2", &normality.a2, &told["anderson_darling"]["a2"]);
        is_rounded("p of A2", &normality.a2_p, &told["anderson_darling"]["p"]);
        is_rounded("W", &normality.w, &told["shapiro_wilk"]["w"]);
        is_rounded("p of W", &normality.w_p, &told["shapiro_wilk"]["p"]);
        let (trend, line) = (facts.trend.as_ref().unwrap(), &told["trend"]);
        is_rounded("slope", &trend.slope, &line["slope"]);
        is_rounded(
            "its lower end",
            &trend.lower,
            &line["slope_interval"]["lower"],
        );
        is_rounded(
            "its upper end",
            &trend.upper,
            &line["slope_interval"]["upper"],
        );
        assert_eq!(line["significant"], trend.is_beyond_chance);
        // At the bench limits stand after 25 parts: of more they are those of the first.
        if n <= 25 {
            let (stretch, limits) = (&facts.stretches[0], &told["control"]["location"]);
            is_rounded("lower control", &stretch.lower_control, &limits["lower"]);
            is_rounded("centre", &stretch.centre, &limits["centre"]);
            is_rounded("upper control", &stretch.upper_control, &limits["upper"]);
            is_rounded("s", &stretch.deviation, &told["control"]["within_sd"]);
            let signals = told["signals"].as_array().unwrap();
            let count: usize = facts.signals.iter().map(|one| one.parts.len()).sum();
            assert_eq!(signals.len(), count);
        }
    }
}

/// By whole numbers alone: mean, least, largest and range of 20.004, 20.006, ... in micrometres.
#[test]
fn plain_numbers_are_those_of_the_arithmetic() {
    let values = ["20.004", "20.006", "20.009", "20.008", "20.010", "20.004"];
    let sheet = sheet_of(&parts_of("20 k6", "", &values));
    let facts = first(&sheet);
    // 41 / 6 = 6.83 micrometres above 20; the squares of the distances sum to 32.83, s² = 6.567.
    assert_eq!((&*facts.mean, &*facts.sd), ("20.0068", "0.00256"));
    assert_eq!((&*facts.smallest, &*facts.largest), ("20.004", "20.010"));
    assert_eq!((&*facts.range, facts.values), ("0.006", 6));
    // ISO 286-1: k6 of 20 mm is +2 to +15 micrometres.
    assert_eq!((&*facts.lower, &*facts.upper), ("20.002", "20.015"));
}

#[test]
fn a_decimal_comma_stands_in_every_number_and_in_no_file_for_programs() {
    let sheet = sheet_of(&shafts(40));
    let comma = ReportOptions {
        decimal_mark: DecimalMark::Comma,
        ..ReportOptions::default()
    };
    let forms = forms("comma", &sheet, &comma);
    let facts = first(&sheet);
    for text in [
        &facts.mean,
        &facts.sd,
        &facts.range,
        &facts.stretches[0].centre,
    ] {
        let marked = text.replace('.', ",");
        assert!(forms.page_text().contains(&marked), "{marked}");
        assert!(forms.paper.all().contains(&marked), "{marked}");
        assert!(!stands_alone(&forms.paper.pages.join("\n"), text), "{text}");
    }
    let is_advised = facts.advice.iter().find(|text| text.contains("µm"));
    let advice = is_advised.unwrap();
    assert!(advice.contains('.') && !forms.page_text().contains(advice.as_str()));
    assert_eq!(forms.field(0, "mean"), facts.mean);
    assert_eq!(
        forms.object["batch"]["characteristics"][0]["mean"],
        *facts.mean
    );
}

/// A bench with a seat, a journal measured on every third part, and a tapped hole with its plug.
fn mixed() -> Bench {
    let thread = "[[feature]]\nid = \"T\"\ncallout = \"M8-6H\"\nelements = [\"go_plug\"]\n";
    let text = feature("A", "20 k6", "") + &feature("B", "15 h6", "every = 3") + thread;
    let mut opened = plan(&text);
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    let seats = [
        "20.008", "20.022", "20.0145", "20.009", "20.008", "20.010", "20.007",
    ];
    for (at, seat) in seats.iter().enumerate() {
        bench.reads(seat);
        if at % 3 == 0 {
            bench.reads("14.995");
        }
        let outcome = match at {
            4 => CheckOutcome::DoesNot,
            _ => CheckOutcome::Goes,
        };
        if at < 6 {
            let plug = GaugeId::new("plug");
            let reading = check_reading(CheckEnd::Go, outcome, &plug, outcome.word());
            bench.take(vec![Incoming::Reading(reading)]);
        }
    }
    bench
}

#[test]
fn every_cell_says_how_the_part_stands_and_never_better() {
    let mut bench = mixed();
    let voided = bench.readings()[0];
    bench.void(Some(voided));
    let sheet = sheet_of(&bench);
    let stands = |part, number| {
        let cell = cell(&sheet, part, number);
        (&*cell.standing, &*cell.value)
    };
    assert_eq!(stands(2, 1), ("NO-GO", "20.022"));
    assert_eq!(stands(3, 1).0, "DOUBT");
    assert_eq!(stands(4, 1), ("GO", "20.009"));
    assert_eq!(stands(2, 2), ("not selected", ""));
    assert_eq!(stands(4, 2), ("GO", "14.995"));
    assert_eq!(stands(5, 3), ("NO-GO", "does_not"));
    assert_eq!(stands(7, 3), ("open", ""));
    // What was voided is no value; its part is open, and it is told that there was one.
    assert_eq!((stands(1, 1), cell(&sheet, 1, 1).voided), (("open", ""), 1));
    assert_eq!(cell(&sheet, 2, 1).voided, 0);
    let forms = forms("mixed", &sheet, &ReportOptions::default());
    for text in [&forms.page_text(), &forms.paper.pages.join("\n")] {
        for told in [
            "not selected",
            "open",
            "1 voided",
            "does not go",
            "20.009 GO",
            "DOUBT",
            "NO-GO",
        ] {
            assert!(text.contains(told), "{told}");
        }
    }
    let facts = &batch(&sheet).characteristics;
    let numbers: Vec<usize> = facts.iter().map(|one| one.number).collect();
    assert_eq!(numbers, [1, 2], "a check has no numbers");
    let sampled = &facts[1].stands;
    assert_eq!((sampled.go, sampled.not_selected, sampled.open), (3, 4, 0));
    assert_eq!(facts[1].remarks.len(), 1);
    assert!(facts[1].remarks[0].contains("4 of 7 parts were not selected"));
    let all: u32 = [facts[0].stands.go, facts[0].stands.no_go].iter().sum();
    assert_eq!(
        (all, facts[0].stands.doubt, facts[0].stands.open),
        (5, 1, 1)
    );
}

/// Every cell is the part's own result, whatever the record holds.
#[test]
fn the_table_and_the_parts_say_the_same() {
    for sheet in [sheet_of(&mixed()), sheet_of(&shafts(40))] {
        let mut compared = 0;
        for (row, part) in batch(&sheet).rows.iter().zip(&sheet.parts) {
            assert_eq!((row.part, &row.serial), (part.number, &part.serial));
            for (cell, result) in row.cells.iter().zip(&part.results) {
                let expected = match (&*result.verdict, result.is_selected) {
                    ("" | "INSIDE", true) => "open",
                    ("", false) => "not selected",
                    (word, _) => word,
                };
                assert_eq!(cell.standing, expected, "part {}", row.part);
                if result.points.len() == 1 {
                    assert_eq!(cell.value, result.points[0].value);
                }
                compared += 1;
            }
        }
        assert!(compared > 20);
    }
}

#[test]
fn what_is_in_doubt_is_shown_and_counts_for_nothing() {
    let mut bench = parts_of("20 k6", "", &["20.004", "20.006", "20.008"]);
    bench.asks(Command::DoubtGauge {
        gauge: GaugeId::new("mic"),
        since: None,
        reason: "dropped".to_owned(),
    });
    let sheet = sheet_of(&bench);
    let facts = first(&sheet);
    assert_eq!((facts.in_doubt, facts.values), (3, 0));
    assert_eq!(
        (&*facts.mean, facts.stands.go, facts.stands.doubt),
        ("", 0, 3)
    );
    assert!(
        facts
            .remarks
            .iter()
            .any(|text| text.starts_with("3 in doubt"))
    );
    let own = cell(&sheet, 2, 1);
    assert_eq!(
        (&*own.standing, &*own.value, own.is_in_doubt),
        ("DOUBT", "20.006", true)
    );
    let forms = forms("in-doubt", &sheet, &ReportOptions::default());
    assert!(
        forms
            .page_text()
            .contains("No part has a value that counts.")
    );
    assert!(
        forms
            .paper
            .all()
            .contains(&bare("3 in doubt, since the gauge"))
    );
}

#[test]
fn stretches_begin_with_their_breaks_and_signals_stand_at_their_parts() {
    let before = [
        "20.008", "20.010", "20.007", "20.009", "20.008", "20.010", "20.008", "20.007", "20.009",
        "20.008", "20.022",
    ];
    let mut bench = parts_of("20 k6", "", &before);
    bench.asks(Command::ChangeTool {
        note: "insert 4".to_owned(),
    });
    bench.asks(Command::ApplyOffset {
        amount: Length::from_um(-3),
        note: String::new(),
    });
    for value in &before[..4] {
        bench.reads(value);
    }
    bench.asks(Command::ApplyOffset {
        amount: Length::from_um(2),
        note: "too far".to_owned(),
    });
    let sheet = sheet_of(&bench);
    let facts = first(&sheet);
    let rows = facts.stretches.iter();
    let rows: Vec<_> = rows
        .map(|one| (one.from_part, one.to_part, one.parts))
        .collect();
    assert_eq!(rows, [(1, 11, 11), (12, 15, 4), (16, 0, 0)]);
    let kinds = |at: usize| -> Vec<(String, String)> {
        let breaks = facts.stretches[at].breaks.iter();
        breaks
            .map(|one| (one.kind.clone(), one.amount.clone() + &one.note))
            .collect()
    };
    let pair = |kind: &str, text: &str| (kind.to_owned(), text.to_owned());
    assert!(kinds(0).is_empty());
    let both = [
        pair("tool_changed", "insert 4"),
        pair("offset_applied", "-0.003"),
    ];
    assert_eq!(kinds(1), both);
    assert_eq!(kinds(2), [pair("offset_applied", "+0.002too far")]);
    // Moving ranges 2 3 2 1 2 2 1 2 1 14 micrometres, mean 3.0: with the mean of 9.6 the upper limit
    // is 9.6 + 2.66 x 3.0 = 17.6, and part 11 lies at 22.
    let beyond = facts.signals.iter().find(|one| one.test == 1).unwrap();
    assert_eq!(beyond.parts, [11]);
    assert_eq!(cell(&sheet, 11, 1).tests, [1]);
    assert!(cell(&sheet, 10, 1).tests.is_empty());
    let forms = forms("stretches", &sheet, &ReportOptions::default());
    assert!(forms.field(0, "signals").starts_with("11: 1"));
    for text in [bare(&forms.page_text()), forms.paper.all()] {
        for told in [
            "signal: 1",
            "tool changed: insert 4; offset -0.003 mm",
            "16 to –",
        ] {
            assert!(text.contains(&bare(told)), "{told}");
        }
    }
}

#[test]
fn a_drift_says_where_it_leads_with_its_interval() {
    let values: Vec<String> = (0..14)
        .map(|at| format!("20.0{:02}", 3 + at * 6 / 10 + at % 2))
        .collect();
    let sheet = sheet_of(&session(&values));
    let facts = first(&sheet);
    let ahead = facts.ahead.as_ref().unwrap();
    assert!(ahead.is_upper && ahead.part > 14);
    assert!((15..=ahead.part).contains(&ahead.earliest));
    assert!(ahead.latest == 0 || ahead.latest >= ahead.part);
    let forms = forms("drift", &sheet, &ReportOptions::default());
    let told = format!(
        "Next: {}, the upper limit less the guard band, reached at part {} ({} to {})",
        ahead.limit, ahead.part, ahead.earliest, ahead.latest
    );
    assert!(forms.page_text().contains(&told), "{told}");
    assert!(forms.paper.all().contains(&bare(&told)), "{told}");
    assert_eq!(forms.field(0, "ahead_part"), ahead.part.to_string());
    assert!(
        facts.advice.iter().any(|text| text.contains("grows")),
        "{facts:?}"
    );
    // The chart of the trend stands in the place of the run.
    assert!(forms.page.contains(": trend.") && !forms.page.contains(": run of values."));
    // Of a diameter the dial may read half of it: the page says which, and never the bare number.
    assert!(facts.offset.starts_with('-') && forms.field(0, "offset") == facts.offset);
    let told = format!("offset \u{2212}{} on the diameter", &facts.offset[1..]);
    assert_eq!(facts.offset_told, told);
    assert!(forms.page_text().contains(&told) && forms.paper.all().contains(&bare(&told)));
    let mut opened = plan(&feature("A", "20 k6", ""));
    (opened.advance_always, opened.dial) = (true, "radius 0.001".to_owned());
    let mut bench = Bench::new(opened);
    for value in &values {
        bench.reads(value);
    }
    let sheet = sheet_of(&bench);
    assert!(first(&sheet).offset_told.ends_with("on the dial (radius)"));
    let forms = forms_of(&sheet);
    assert!(forms.page_text().contains(&first(&sheet).offset_told));
}

#[test]
fn under_thirty_values_no_index_stands_alone_and_that_is_said() {
    for (n, is_bare) in [(29, false), (30, true)] {
        let sheet = sheet_of(&session(&wide(n, 7)));
        let facts = first(&sheet);
        assert_eq!(facts.indices.len(), 4);
        let has_estimate = facts.indices.iter().all(|one| !one.estimate.is_empty());
        assert_eq!(has_estimate, is_bare);
        let refusal = "Fewer than 30 values: an index alone is not told";
        let forms = forms("indices", &sheet, &ReportOptions::default());
        let own = &facts.indices[3];
        let interval = match is_bare {
            true => format!("Ppk {} ({} to {})", own.estimate, own.lower, own.upper),
            false => format!("Ppk {} to {}", own.lower, own.upper),
        };
        for text in [&forms.page_text(), &forms.paper.pages.join("\n")] {
            assert_eq!(text.contains(refusal), !is_bare, "{n}");
            assert!(text.contains(&interval), "{interval}");
            assert!(text.contains("moving ranges, last stretch"));
            assert!(text.contains("all values, taken as normal"));
        }
        assert_eq!(forms.field(0, "ppk").is_empty(), !is_bare);
    }
}

/// What is asked of degenerate sessions: no panic in any form, and that it is said.
#[test]
fn little_is_said_as_little() {
    let equal = vec!["20.008"; 12];
    let runout: Vec<String> = (0..40)
        .map(|at| format!("0.0{:02}", (at * at) % 17))
        .collect();
    let runout: Vec<&str> = runout.iter().map(String::as_str).collect();
    let cases: [(&str, Bench, &str); 5] = [
        (
            "equal",
            parts_of("20 k6", "", &equal),
            "All values are the same: they show no spread.",
        ),
        (
            "one-value",
            parts_of("20 k6", "points = 2", &["20.008", "20.007", "20.009"]),
            "1 open: without a value",
        ),
        (
            "two-parts",
            parts_of("20 k6", "", &["20.008", "20.009"]),
            "fewer than 5 parts",
        ),
        (
            "runout",
            parts_of("0.03 max", "surface = \"length\"", &runout),
            "The characteristic ends at zero",
        ),
        (
            "one-limit",
            parts_of("20 max", "", &["19.9", "19.8"]),
            "no lower limit",
        ),
    ];
    for (name, bench, told) in cases {
        let sheet = sheet_of(&bench);
        let forms = forms(name, &sheet, &ReportOptions::default());
        assert!(forms.page_text().contains(told), "{name}: {told}");
        assert!(forms.paper.all().contains(&bare(told)), "{name}: {told}");
        assert_eq!(forms.table.len(), 1, "{name}");
        let facts = first(&sheet);
        assert!(!facts.smallest.is_empty(), "{name}");
    }
    let sheet = sheet_of(&parts_of("20 k6", "", &equal));
    let facts = first(&sheet);
    assert_eq!(
        (&*facts.sd, &*facts.range, facts.indices.len()),
        ("0.00000", "0.000", 0)
    );
    assert_eq!(
        (facts.interval.is_none(), facts.normality.is_none()),
        (true, true)
    );
    let sheet = sheet_of(&parts_of("0.03 max", "surface = \"length\"", &runout));
    let names: Vec<&str> = first(&sheet).indices.iter().map(|one| &*one.name).collect();
    assert_eq!(names, ["Ppk"], "never taken as normal");
    assert_eq!(first(&sheet).interval, None);
}

#[test]
fn a_batch_whose_readings_are_all_voided_has_numbers_of_nothing() {
    let mut bench = parts_of("20 k6", "", &["20.008", "20.009", "20.007"]);
    for reading in bench.readings() {
        bench.void(Some(reading));
    }
    let sheet = sheet_of(&bench);
    let facts = first(&sheet);
    assert_eq!(
        (facts.values, facts.stands.open, facts.stands.go),
        (0, 3, 0)
    );
    assert_eq!((&*facts.mean, facts.stretches.len()), ("", 0));
    let forms = forms("voided", &sheet, &ReportOptions::default());
    for text in [&forms.page_text(), &forms.paper.pages.join("\n")] {
        assert!(text.contains("No part has a value that counts."));
        assert_eq!(text.matches("1 voided").count(), 3);
    }
    assert_eq!(forms.field(0, "mean"), "");
}

#[test]
fn fifty_characteristics_are_broken_over_tables_and_none_is_lost() {
    let all: String = (0..50)
        .map(|at| feature(&format!("F{at}"), &format!("{} ±0.1", 10 + at % 12), ""))
        .collect();
    let mut opened = plan(&all);
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    for _ in 0..3 {
        for at in 0..50 {
            bench.reads(&format!("{}.012", 10 + at % 12));
        }
    }
    let sheet = sheet_of(&bench);
    assert_eq!(batch(&sheet).characteristics.len(), 50);
    let forms = forms("fifty", &sheet, &ReportOptions::default());
    for (from, to) in [(1, 5), (26, 30), (46, 50)] {
        let told = format!("Parts by characteristics, no. {from} to {to}");
        assert!(forms.page.contains(&told), "{told}");
        assert!(forms.paper.all().contains(&bare(&told)), "{told}");
    }
    // Three parts, ten tables.
    let rows = forms.page.split("section class=\"part\"").next().unwrap();
    let rows = rows.split("Parts by characteristics").skip(1);
    let rows: usize = rows.map(|one| one.matches("<tr>").count() - 1).sum();
    let reason: Vec<String> = (1..=50).map(|number| number.to_string()).collect();
    let reason = format!("No. {}: All values are the same", reason.join(", "));
    assert!(forms.page_text().contains(&reason));
    assert!(forms.paper.all().contains(&bare(&reason)));
    assert_eq!(rows, 30);
    assert_eq!(forms.table.len(), 50);
}

#[test]
fn a_damaged_record_says_what_its_numbers_stand_on() {
    let bench = session(&wide(12, 8));
    let sound = sheet_of(&bench);
    assert!(batch(&sound).remarks.is_empty());
    let mut bytes = bytes_of(&bench);
    // A verdict in the middle: 20.0 becomes 21.0 there, and the line's hash is wrong.
    let at = bytes.len() / 2;
    let at = at + bytes[at..].iter().position(|byte| *byte == b'\n').unwrap() + 60;
    bytes[at] ^= 1;
    let sheet = sheet_of_bytes(&bytes, &Selection::default());
    assert_eq!(sheet.record.state, "damaged");
    let remark = &batch(&sheet).remarks[0];
    let parts = sheet.parts.len();
    assert!(remark.contains("The record is damaged"), "{remark}");
    assert!(
        remark.contains(&format!("stand on the {parts} parts")),
        "{remark}"
    );
    let forms = forms("damaged", &sheet, &ReportOptions::default());
    assert!(forms.page_text().contains(remark.as_str()));
    assert!(
        forms
            .page_text()
            .contains("All parts together, as far as readable")
    );
    assert!(forms.paper.all().contains(&bare(remark)));
    assert!(forms.field(0, "remarks").contains(remark.as_str()));
}

#[test]
fn one_part_a_choice_and_checks_alone_have_no_batch() {
    let one = sheet_of(&{
        let mut bench = Bench::new(plan(&feature("A", "20 k6", "")));
        bench.reads("20.008");
        bench
    });
    assert_eq!((one.parts.len(), &one.batch), (1, &None));
    let bytes = bytes_of(&parts_of("20 k6", "", &["20.008", "20.009", "20.007"]));
    let choice = |parts: Vec<u32>| Selection {
        parts: Some(parts),
        serial: None,
    };
    // Numbers of all parts would tell of those that are left out.
    assert_eq!(sheet_of_bytes(&bytes, &choice(vec![1, 2])).batch, None);
    assert!(
        sheet_of_bytes(&bytes, &choice(vec![1, 2, 3]))
            .batch
            .is_some()
    );
    let text = "[[feature]]\nid = \"T\"\ncallout = \"M8-6H\"\nelements = [\"go_plug\"]\n";
    let mut opened = plan(text);
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    for _ in 0..3 {
        let plug = GaugeId::new("plug");
        let goes = CheckOutcome::Goes;
        let reading = check_reading(CheckEnd::Go, goes, &plug, goes.word());
        bench.take(vec![Incoming::Reading(reading)]);
    }
    let checks = sheet_of(&bench);
    assert_eq!((checks.parts.len(), &checks.batch), (3, &None));
    let forms = forms("checks", &checks, &ReportOptions::default());
    assert!(!forms.page.contains("All parts together"));
    assert!(!forms.paper.all().contains("Allpartstogether"));
    assert!(forms.table.is_empty() && forms.object.get("batch").is_none());
}

/// No colour says anything: there is none, in a page's charts and on paper's.
#[test]
fn charts_are_black_and_greys_and_are_read_aloud() {
    let sheet = sheet_of(&shafts(40));
    let forms = forms("shafts-40", &sheet, &ReportOptions::default());
    let charts: Vec<&str> = forms.page.split("<svg class=\"chart\"").skip(1).collect();
    // An apostrophe of a sentence is no colour.
    let charts: Vec<String> = charts
        .iter()
        .map(|one| one.split("</svg>").next().unwrap().replace("&#39;", "'"))
        .collect();
    assert!(charts.len() >= 16, "{}", charts.len());
    let mut colours = 0;
    for chart in &charts {
        for piece in chart.split('#').skip(1) {
            let Some(code) = piece
                .get(..6)
                .filter(|code| code.chars().all(|one| one.is_ascii_hexdigit()))
            else {
                assert!(piece.starts_with("fff\""), "{piece}");
                continue;
            };
            let same = code[..2] == code[2..4] && code[2..4] == code[4..6];
            assert!(same, "{code} is a colour");
            colours += 1;
        }
        let title = chart.split("<title>").nth(1).unwrap();
        let title = title.split("</title>").next().unwrap();
        assert!(title.len() > 30, "{title}");
        // A number that is cut would be another one.
        assert!(!chart.contains("...<"), "{chart}");
    }
    assert!(colours > 100);
    // On paper each picture has its words: those of the page, and the bars of the parts.
    let figures: Vec<String> = forms
        .paper
        .with_key(b"Alt")
        .iter()
        .map(|one| {
            let text = one.get(b"Alt").unwrap().as_str().unwrap();
            String::from_utf8_lossy(text).replace('\0', "")
        })
        .collect();
    let names = [
        "run of values",
        "single values",
        "moving ranges",
        "how the values",
    ];
    for name in names {
        assert!(figures.iter().any(|alt| alt.contains(name)), "{name}");
    }
    assert_eq!(forms.paper.count_of(b"Figure"), figures.len());
}

#[test]
fn two_hundred_parts_stay_small() {
    let few = forms(
        "shafts-12",
        &sheet_of(&shafts(12)),
        &ReportOptions::default(),
    );
    assert!(few.page.len() < 200_000, "{} bytes", few.page.len());
    let sheet = sheet_of(&shafts(200));
    let forms = forms("shafts-200", &sheet, &ReportOptions::default());
    assert_eq!(batch(&sheet).rows.len(), 200);
    assert!(forms.page.len() < 2_000_000, "{} bytes", forms.page.len());
    // The section alone: charts thinned, a cell a few bytes.
    let section = forms
        .page
        .split("section class=\"part batch\"")
        .nth(1)
        .unwrap();
    let section = section.split("section class=\"part\"").next().unwrap();
    assert!(section.len() < 400_000, "{} bytes", section.len());
    assert!(forms.paper.pages.len() < 130, "{}", forms.paper.pages.len());
}

#[test]
fn the_table_for_programs_is_described_column_by_column() {
    let described: Value = serde_json::from_slice(&csv_batch_metadata("a b-batch.csv")).unwrap();
    assert_eq!(described["url"], "a%20b-batch.csv");
    assert_eq!(described["tableSchema"]["primaryKey"], "characteristic");
    let columns = described["tableSchema"]["columns"].as_array().unwrap();
    let sheet = sheet_of(&shafts(40));
    let rows = table(&sheet);
    assert_eq!(rows.len(), 5);
    let mut checked = 0;
    for row in &rows {
        assert_eq!(row.len(), columns.len());
        for ((name, field), column) in row.iter().zip(columns) {
            assert_eq!(column["name"], **name);
            let base = column["datatype"]["base"].as_str();
            let base = base.or(column["datatype"].as_str()).unwrap();
            let is_right = match base {
                _ if field.is_empty() => name != "characteristic",
                "integer" => field.parse::<i64>().is_ok(),
                "decimal" => field.parse::<f64>().is_ok() && !field.contains(['e', 'E', '+']),
                "boolean" => ["true", "false"].contains(&field.as_str()),
                _ => true,
            };
            assert!(is_right, "{name}: {field} is no {base}");
            checked += usize::from(!field.is_empty());
        }
    }
    assert!(checked > 150, "{checked}");
}

/// Names, notes and serial numbers from outside, in the section, its charts and its table.
#[test]
fn hostile_texts_are_seen_and_do_nothing() {
    for text in TEXTS {
        // A plan takes no control characters in its names; the note of a tool takes everything.
        let in_plan = match text.chars().any(char::is_control) || text.trim().is_empty() {
            true => "plain",
            false => text,
        };
        let quoted = in_plan.replace('\\', "\\\\").replace('"', "\\\"");
        let mut bench = parts_of("20 k6", &format!("name = \"{quoted}\""), &STEADY);
        let note = text.to_owned();
        bench.asks(Command::ChangeTool { note });
        for value in &STEADY[..6] {
            bench.reads(value);
        }
        let sheet = sheet_of(&bench);
        let page = html(&sheet, &ReportOptions::default());
        check_well_formed(&page);
        assert!(page.contains(&*html_text(text)), "{text:?}");
        assert!(
            !page.contains("<script") && !page.contains("<img"),
            "{text:?}"
        );
        let hidden = |c: char| c.is_control() && c != '\n' || matches!(c, '\u{200b}' | '\u{202e}');
        assert!(!page.contains(hidden), "{text:?}");
        pdf(&sheet, &ReportOptions::default()).unwrap();
        let bytes = csv_batch(&sheet).unwrap().unwrap();
        let mut raw = csv::Reader::from_reader(bytes.as_slice());
        for field in raw.records().next().unwrap().unwrap().iter() {
            let is_number = field.parse::<f64>().is_ok();
            let starts = field.starts_with(['=', '+', '-', '@', '\t', '\r', '\0']);
            assert!(is_number || !starts, "{field:?}");
        }
        let rows = table(&sheet);
        let began = rows[0]
            .iter()
            .find(|(name, _)| name == "stretch_began")
            .unwrap();
        assert_eq!(began.1, format!("tool_changed {text}"), "{text:?}");
        let object: Value = serde_json::from_slice(&json(&sheet)).unwrap();
        let stretch = &object["batch"]["characteristics"][0]["stretches"][1];
        assert_eq!(stretch["breaks"][0]["note"], text);
    }
}

/// Fails where tags do not match or a reference is not known.
fn check_well_formed(page: &str) {
    let mut reader = quick_xml::Reader::from_str(page);
    reader.config_mut().allow_dangling_amp = false;
    loop {
        match reader.read_event() {
            Ok(quick_xml::events::Event::Eof) => break,
            Ok(_) => {}
            Err(error) => panic!("{error} at {}", reader.error_position()),
        }
    }
}

#[test]
fn a_concession_stands_beside_its_verdict_and_changes_nothing() {
    let mut bench = parts_of("20 k6", "", &["20.008", "20.022", "20.009"]);
    bench.asks(Command::Dispose(Box::new(Disposition {
        part: 2,
        kind: DispositionKind::Concession,
        feature: String::new(),
        element: String::new(),
        reason: "the bearing is fitted to it".to_owned(),
        by: "Carla".to_owned(),
        agreed_with: "Pump works".to_owned(),
        of: 0,
    })));
    let sheet = sheet_of(&bench);
    let line = sheet.parts[1].decisions[0].line;
    let own = cell(&sheet, 2, 1);
    assert_eq!((&*own.standing, own.concession), ("NO-GO", Some(line)));
    assert_eq!(cell(&sheet, 1, 1).concession, None);
    assert_eq!((first(&sheet).stands.no_go, first(&sheet).values), (1, 3));
    let forms = forms("concession", &sheet, &ReportOptions::default());
    for text in [bare(&forms.page_text()), forms.paper.all()] {
        let told = bare(&format!("NO-GO 20.022 decision in line {line}"));
        assert!(text.contains(&told), "{told}");
    }
}

#[cfg(unix)]
#[test]
fn the_program_writes_the_table_beside_and_says_so() {
    let shop = crate::support::program::Shop::new();
    let measured = |parts: &str, values: &str| {
        let callout = [
            "inspect",
            "--json",
            "--callout",
            "20 k6",
            "--gauge",
            "typed",
        ];
        let answer = shop.run(&[&callout[..], &["--parts", parts]].concat(), values);
        let journal = answer.lines.last().unwrap()["journal"].as_str().unwrap();
        journal.to_owned()
    };
    let export = |journal: &str, form: &str, more: &[&str]| {
        let all = ["export", journal, "--format", form, "--json", "--out"];
        shop.run(&[&all[..], &[&format!("out.{form}")], more].concat(), "")
    };
    let journal = measured("2", "20.008\n20.009\n");
    let answer = export(&journal, "csv", &[]);
    let line = &answer.lines[0];
    assert_eq!(line["batch"], "out-batch.csv", "{}", answer.text);
    assert_eq!(line["batch_metadata"], "out-batch.csv-metadata.json");
    let table = fs::read_to_string(shop.path("out-batch.csv")).unwrap();
    assert_eq!(table.lines().count(), 2);
    assert!(table.contains(",20.0085,"), "{table}");
    assert_eq!(
        fs::read(shop.path("out-batch.csv-metadata.json")).unwrap(),
        csv_batch_metadata("out-batch.csv")
    );
    // What is there stays: none of the four is written.
    fs::remove_file(shop.path("out.csv")).unwrap();
    fs::write(shop.path("out-batch.csv"), "mine").unwrap();
    assert_eq!(export(&journal, "csv", &[]).code, 2);
    assert_eq!(
        fs::read_to_string(shop.path("out-batch.csv")).unwrap(),
        "mine"
    );
    assert!(!shop.path("out.csv").exists());
    assert_eq!(export(&journal, "csv", &["--replace"]).code, 0);
    let answer = export(&journal, "json", &[]);
    assert!(answer.lines[0].get("batch").is_none(), "{}", answer.text);
    // A single part has none.
    let one = measured("1", "20.008\n");
    let answer = export(&one, "csv", &["--replace"]);
    assert!(answer.lines[0].get("batch").is_none(), "{}", answer.text);
}

/// A name at a line from top to bottom stands where no line goes through it.
#[test]
fn names_of_breaks_are_not_struck_through() {
    let line = |y: f64| Layer::HorizontalLine {
        y,
        from: None,
        label: String::new(),
        stroke: Stroke::Limit,
    };
    let axis = |to: f64| Axis {
        title: String::new(),
        from: 0.0,
        to,
        scale: Scale::Numbers,
    };
    for height in [0.93, 0.85, 0.7, 0.2] {
        let chart = Chart {
            title: "any".to_owned(),
            x: axis(10.0),
            y: axis(1.0),
            layers: vec![
                line(height),
                Layer::VerticalLine {
                    x: 5.0,
                    label: "tool changed".to_owned(),
                    stroke: Stroke::Break,
                },
            ],
            notes: Vec::new(),
        };
        let size = ChartSize::new(680.0, 200.0).unwrap();
        let drawn = drawing(&[chart], size, DecimalMark::Point).unwrap();
        let base = drawn.inks.iter().find_map(|ink| match ink {
            Ink::Text { text, at, .. } if text == "tool changed" => Some(at.y),
            _ => None,
        });
        let base = base.unwrap();
        let across = drawn.inks.iter().find_map(|ink| match ink {
            Ink::Lines { pieces, pen } if pen.width > 2.0 => Some(pieces[0][0].y),
            _ => None,
        });
        let across = across.unwrap();
        assert!(
            across < base - 11.0 || across > base + 2.0,
            "{height}: {across} {base}"
        );
    }
}

#[test]
fn what_all_numbers_stand_on_is_said_before_them() {
    let staged = feature(
        "A",
        "20 k6",
        "stages = [\"turned\", \"ground\"]\nleave = 0.2",
    );
    let mut opened = plan(&staged);
    opened.advance_always = true;
    opened.stage = "turned".to_owned();
    let mut bench = Bench::new(opened);
    let mut simulated = typed("mic", "20.209");
    simulated.origin = Origin::Simulated;
    bench.take(vec![Incoming::Reading(simulated)]);
    bench.reads("20.208");
    let sheet = sheet_of(&bench);
    let remarks = &batch(&sheet).remarks;
    assert_eq!(remarks, &[ENGLISH.earlier_stage, ENGLISH.was_simulated]);
    let forms = forms("stands-on", &sheet, &ReportOptions::default());
    for text in [bare(&forms.page_text()), forms.paper.all()] {
        let numbers = text.find(&bare("Numbers over the parts")).unwrap();
        for remark in remarks {
            assert!(text.find(&bare(remark)).unwrap() < numbers, "{remark}");
        }
    }
    assert!(batch(&sheet_of(&mixed())).remarks.is_empty());
}
