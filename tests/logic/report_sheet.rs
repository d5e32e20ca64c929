//! The sheet of each record in `sessions/`, against the record's own lines: these are read here as
//! JSON, through none of the program's own code.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use fitledger::report::{PartSheet, ReadingRow, ResultRow, Selection, Sheet};
use serde_json::Value;

use crate::support::sheets::{row, sheet_at};

/// The newest file of each session, and its other files.
const RECORDS: [(&str, &[&str]); 6] = [
    ("example-continued-2.jsonl", &["example-continued.jsonl"]),
    ("example-gauges.jsonl", &[]),
    ("example-not-closed.jsonl", &[]),
    ("example-study.jsonl", &[]),
    ("example-threads.jsonl", &[]),
    ("example-two-parts.jsonl", &[]),
];

fn path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("sessions")
        .join(name)
}

fn sheet(name: &str) -> Sheet {
    sheet_at(&path(name), &Selection::default())
}

/// One line of a journal.
struct Line {
    seq: u64,
    time: String,
    kind: String,
    body: Value,
    hash: String,
}

/// The lines that count, the oldest file first: of a continued file those up to the line that the
/// continuation names.
fn lines(newest: &str, others: &[&str]) -> Vec<Line> {
    let mut all: Vec<Line> = Vec::new();
    for name in others.iter().chain([&newest]) {
        let text = fs::read_to_string(path(name)).unwrap();
        for line in text.lines() {
            let line: Value = serde_json::from_str(line).unwrap();
            let body = line["body"].clone();
            if line["kind"] == "continuation_opened" {
                let until = body["seq"].as_u64().unwrap();
                all.retain(|line| line.seq <= until);
            }
            all.push(Line {
                seq: line["seq"].as_u64().unwrap(),
                time: line["time"].as_str().unwrap().to_owned(),
                kind: line["kind"].as_str().unwrap().to_owned(),
                body,
                hash: line["hash"].as_str().unwrap().to_owned(),
            });
        }
    }
    all
}

/// The text of a field, empty for null and for what is not there.
fn text<'v>(body: &'v Value, key: &str) -> &'v str {
    body[key].as_str().unwrap_or("")
}

/// A decimal number of millimetres in nanometres; only of plain numbers.
fn nanometres(text: &str) -> i64 {
    let (sign, digits) = text.strip_prefix('-').map_or((1, text), |rest| (-1, rest));
    let (whole, rest) = digits.split_once('.').unwrap_or((digits, ""));
    let nanometres = format!("{whole}{rest:0<6}");
    sign * nanometres.parse::<i64>().unwrap()
}

fn of_kind<'l>(lines: &'l [Line], kind: &str) -> impl DoubleEndedIterator<Item = &'l Line> {
    let kind = kind.to_owned();
    lines.iter().filter(move |line| line.kind == kind)
}

#[test]
fn every_reading_of_the_golden_records_stands_on_the_sheet_as_it_came() {
    let mut seen = 0;
    for (newest, others) in RECORDS {
        let (sheet, lines) = (sheet(newest), lines(newest, others));
        for line in of_kind(&lines, "reading_received") {
            let (row, body) = (row(&sheet, line.seq), &line.body);
            let is_check = body["check"].is_object();
            let (value, unit) = match is_check {
                true => (text(&body["check"], "outcome"), "check"),
                false => (text(body, "value"), text(body, "unit")),
            };
            // All of them were typed, in printable ASCII.
            let raw = text(body, "raw").as_bytes().chunks(2).map(|pair| {
                let pair = std::str::from_utf8(pair).unwrap();
                char::from(u8::from_str_radix(pair, 16).unwrap())
            });
            let raw: String = raw.collect();
            let found = (
                &*row.time,
                &*row.gauge,
                &*row.origin,
                &*row.value,
                &*row.unit,
                &*row.raw,
            );
            let told = (
                &*line.time,
                text(body, "gauge"),
                text(body, "origin"),
                value,
                unit,
                &*raw,
            );
            assert_eq!(found, told, "{newest} line {}", line.seq);
            seen += 1;
        }
        let rows = sheet.parts.iter().map(|part| part.readings.len());
        let rows = rows.sum::<usize>() + sheet.record.other_readings.len();
        assert_eq!(
            rows,
            of_kind(&lines, "reading_received").count(),
            "{newest}"
        );
    }
    assert_eq!(seen, 50); // counted with grep -c in sessions/, the surplus line 11 left out
}

#[test]
fn every_reading_says_what_became_of_it() {
    for (newest, others) in RECORDS {
        let (sheet, lines) = (sheet(newest), lines(newest, others));
        let last = |kind: &str, reading: u64| {
            let mut all = of_kind(&lines, kind).rev();
            all.find(|line| line.body["reading"] == reading)
        };
        for line in of_kind(&lines, "reading_received") {
            let (row, reading) = (row(&sheet, line.seq), line.seq);
            let verdict = last("verdict_given", reading);
            let cut = last("cutting_noted", reading);
            let voided = last("reading_voided", reading);
            let aside = last("reading_set_aside", reading);
            let zero = last("zero_checked", reading);
            let cell = last("study_cell_filled", reading);
            let end = match (voided, aside, zero, cut, cell) {
                (Some(_), ..) => "voided",
                (_, Some(_), ..) => "set_aside",
                (_, _, Some(_), ..) => "zero_check",
                (.., Some(_), _) => "cutting",
                (.., Some(_)) => "study",
                _ => "judged",
            };
            assert_eq!(row.end, end, "{newest} line {reading}");
            let value = verdict
                .or(cut)
                .map_or("", |one| text(&one.body, "value_at_20"));
            assert_eq!(row.value_at_20, value, "{newest} line {reading}");
            let word = verdict.map_or("", |one| text(&one.body, "verdict"));
            assert_eq!(row.verdict, word, "{newest} line {reading}");
            let why = voided.or(aside).map_or("", |one| text(&one.body, "reason"));
            assert_eq!(row.reason, why, "{newest} line {reading}");
            assert_eq!(row.by, voided.map_or("", |one| text(&one.body, "by")));
        }
    }
}

/// The last verdict of each point whose reading was not voided after it.
fn standing(lines: &[Line]) -> BTreeMap<(u64, String, String, u64), &Line> {
    let mut standing = BTreeMap::new();
    for line in lines {
        if line.kind == "verdict_given" {
            let place = &line.body["place"];
            let key = (
                place["part"].as_u64().unwrap(),
                text(place, "feature").to_owned(),
                text(place, "element").to_owned(),
                place["point"].as_u64().unwrap(),
            );
            standing.insert(key, line);
        }
        if line.kind == "reading_voided" {
            standing
                .retain(|_, verdict: &mut &Line| verdict.body["reading"] != line.body["reading"]);
        }
    }
    standing
}

fn result<'s>(sheet: &'s Sheet, part: u64, feature: &str, element: &str) -> &'s ResultRow {
    let asked = sheet.asked.iter();
    let mut fits = asked.filter(|one| one.feature == feature && one.element == element);
    let number = fits.next().unwrap().number;
    let found = |one: &&PartSheet| u64::from(one.number) == part;
    let part = sheet.parts.iter().find(found).unwrap();
    part.results
        .iter()
        .find(|row| row.number == number)
        .unwrap()
}

#[test]
fn every_result_is_the_records_verdict_word_for_word() {
    let mut compared = 0;
    for (newest, others) in RECORDS {
        let (sheet, lines) = (sheet(newest), lines(newest, others));
        for ((part, feature, element, point), line) in standing(&lines) {
            let (body, row) = (&line.body, result(&sheet, part, &feature, &element));
            let at = usize::try_from(point).unwrap() - 1;
            let shown = &row.points[at];
            assert_eq!(shown.value, text(body, "value_at_20"), "{newest} {feature}");
            assert_eq!(shown.reading, body["reading"].as_u64().unwrap());
            let asked = &sheet.asked[row.number - 1];
            assert_eq!(
                asked.lower,
                text(body, "lower"),
                "{newest} {feature} {element}"
            );
            assert_eq!(
                asked.upper,
                text(body, "upper"),
                "{newest} {feature} {element}"
            );
            assert_eq!(asked.unit, text(body, "unit"));
            if row.reading != shown.reading {
                continue;
            }
            let found = (&*row.actual, &*row.u, &*row.side, &*row.rule);
            let told = (
                text(body, "value_at_20"),
                text(body, "u"),
                text(body, "side"),
                text(body, "rule"),
            );
            assert_eq!(found, told, "{newest} {feature} {element}");
            let chance = row.conformance_ppm.map(u64::from);
            assert_eq!(chance, body["conformance_ppm"].as_u64());
            let notes: Vec<Value> = row.notes.iter().map(|note| note.as_str().into()).collect();
            assert_eq!(Value::from(notes), body["notes"]);
            if body["to_middle"].is_string() {
                let deviation = -nanometres(text(body, "to_middle"));
                assert_eq!(nanometres(&row.deviation), deviation, "{newest} {feature}");
            }
            compared += 1;
        }
    }
    assert_eq!(compared, 22);
}

/// The point that decides has the least room to a limit, and no point is worse.
#[test]
fn the_actual_value_is_that_of_the_worst_point() {
    let two_parts = sheet("example-two-parts.jsonl");
    // Lines 14, 17 and 20 of the record: 20.008, 20.009, 20.007 within 20.002 to 20.015. Room to
    // the nearer limit: 6, 6 and 5 um.
    let seat = result(&two_parts, 1, "B", "size");
    assert_eq!((&*seat.actual, seat.reading), ("20.007", 20));
    assert_eq!(seat.verdict, "GO");
    // 20.008 inside, then 19.990 NO-GO, the third not measured.
    let open = sheet("example-not-closed.jsonl");
    let seat = result(&open, 1, "B", "size");
    assert_eq!((&*seat.actual, &*seat.verdict), ("19.990", "NO-GO"));
    assert_eq!((&*seat.side, &*seat.points[2].value), ("metal_gone", ""));
    assert_eq!(open.parts[0].state, "open");
    assert!(!open.parts[0].is_good);
}

#[test]
fn a_bar_shows_where_a_value_lies_and_two_standard_uncertainties() {
    let sheet = sheet("example-two-parts.jsonl");
    let collar = result(&sheet, 1, "A", "size").bar.unwrap();
    // 24.980 between 24.948 and 25.000: 32 of 52 um; u = 1.435 um, so 2.870 of 52. By hand.
    assert_eq!((collar.at, collar.half_width), (615, 55));
    let threads = sheet_at(&path("example-threads.jsonl"), &Selection::default());
    assert_eq!(result(&threads, 1, "A", "go_plug").bar, None);
    assert_eq!(result(&threads, 1, "A", "full_thread").bar, None); // no upper limit
}

#[test]
fn the_record_says_who_wrote_it_when_and_with_which_head() {
    for (newest, others) in RECORDS {
        let (sheet, lines) = (sheet(newest), lines(newest, others));
        let (first, last) = (lines.first().unwrap(), lines.last().unwrap());
        let facts = &sheet.record;
        assert_eq!(facts.head, last.hash, "{newest}");
        assert_eq!(
            facts.events,
            u64::try_from(lines.len()).unwrap(),
            "{newest}"
        );
        assert_eq!(facts.tables, text(&first.body, "tables"), "{newest}");
        assert_eq!(facts.programs, [text(&first.body, "program")], "{newest}");
        let parts = of_kind(&lines, "part_started").count();
        assert_eq!(usize::try_from(facts.parts).unwrap(), parts, "{newest}");
        assert_eq!(sheet.parts.len(), parts, "{newest}");
        let closed = of_kind(&lines, "session_closed").next();
        let closed = closed.map(|line| text(&line.body, "reason").to_owned());
        assert_eq!(facts.closed, closed, "{newest}");
        let state = if closed.is_some() {
            "sound"
        } else {
            "not_closed"
        };
        assert_eq!(facts.state, state, "{newest}: {:?}", facts.findings);
        let files: Vec<&str> = others.iter().copied().chain([newest]).collect();
        assert_eq!(facts.files, files);
        // The same moment, on the bench's clock.
        let opened: jiff::Timestamp = facts.opened.parse().unwrap();
        assert_eq!(opened, first.time.parse::<jiff::Timestamp>().unwrap());
        assert!(
            facts.opened.ends_with(text(&first.body, "offset")),
            "{facts:?}"
        );
    }
}

#[test]
fn a_continued_record_tells_of_its_files_and_of_who_went_on() {
    let sheet = sheet("example-continued-2.jsonl");
    assert_eq!(sheet.record.files.len(), 2);
    // Line 11 of the first file was never acknowledged: the same number is used in the second.
    assert!(sheet.record.findings[0].starts_with("notice: example-continued.jsonl, line 11"));
    let told: Vec<(u64, &str)> = sheet
        .happenings
        .iter()
        .map(|h| (h.line, &*h.what))
        .collect();
    assert!(
        told[0].1.contains("taken up again by fitledger 0.1.0"),
        "{told:?}"
    );
    assert_eq!((told[0].0, told[1].0), (6, 11));
    assert!(
        told[1]
            .1
            .contains("example-continued.jsonl counts up to line 10"),
        "{told:?}"
    );
}

#[test]
fn a_thread_says_how_each_element_was_measured() {
    let sheet = sheet("example-threads.jsonl");
    let method = |feature, element| result(&sheet, 1, feature, element).method.clone();
    // bore-10 is an inside micrometer: two points or three, which its kind does not say; depth-25
    // is a depth micrometer; wires of 0.895 mm are named in the plan.
    assert_eq!(method("A", "minor"), "");
    assert_eq!(method("A", "go_plug"), "limit_gauge");
    assert_eq!(method("A", "no_go_plug"), "limit_gauge");
    assert_eq!(method("A", "full_thread"), "");
    assert_eq!(method("A", "mate"), "");
    assert_eq!(method("B", "major"), "two_point");
    assert_eq!(method("B", "wires"), "over_wires");
    assert_eq!(method("B", "go_ring"), "limit_gauge");
    let mate = result(&sheet, 1, "A", "mate");
    assert_eq!(
        (&*mate.verdict, &*mate.side, &*mate.actual),
        ("NOTED", "", "goes")
    );
    let turns = result(&sheet, 1, "A", "no_go_plug");
    assert_eq!((&*turns.actual, &*turns.u), ("turns_two_or_fewer", ""));
    assert!(
        !sheet.rule.some_without_uncertainty,
        "checks have none to consider"
    );
    assert_eq!(sheet.rule.rules.len(), 2); // limit gauges, and the rest
    // Line 27 was voided, 31 counts in its place.
    let wrong: &ReadingRow = row(&sheet, 27);
    assert_eq!((wrong.replaced_by, wrong.counts), (31, false));
    assert!(row(&sheet, 31).counts);
}

#[test]
fn a_gauge_found_wrong_leaves_no_go_behind() {
    let sheet = sheet("example-gauges.jsonl");
    // Line 21 fails the zero check: what was measured since line 4 is in doubt; part 2 was
    // measured again after the good check of line 29, but its bore was carried by `holes`, which
    // line 37 says was bent.
    let seat = |part| result(&sheet, part, "A", "size");
    let bore = |part| result(&sheet, part, "B", "size");
    assert_eq!((&*seat(1).verdict, seat(1).is_in_doubt), ("DOUBT", true));
    assert_eq!(row(&sheet, 5).verdict, "GO", "the record's own word");
    assert_eq!(row(&sheet, 5).doubted_by, 21);
    assert_eq!((&*seat(2).verdict, seat(2).is_in_doubt), ("GO", false));
    assert_eq!((&*bore(2).verdict, bore(2).is_in_doubt), ("DOUBT", true));
    assert_eq!(row(&sheet, 34).doubted_by, 37);
    for part in &sheet.parts {
        assert_eq!((&*part.state, part.is_good), ("DOUBT", false));
    }
    // Offsets that were taken off: 0.0012 after line 4, 0.0002 after line 29.
    assert_eq!(row(&sheet, 5).zero_offset, "0.0012");
    assert_eq!(row(&sheet, 31).zero_offset, "0.0002");
    assert_eq!(seat(2).set_on, "block-20");
    let zeros: Vec<u64> = sheet
        .record
        .other_readings
        .iter()
        .map(|row| row.line)
        .collect();
    assert_eq!(zeros, [3, 20, 28]);
    let mic = sheet
        .gauges
        .iter()
        .find(|gauge| gauge.id == "mic-25")
        .unwrap();
    assert_eq!(
        mic.zero,
        "2026-11-26 01:02:38 +00:00: good on block-20, +0.0002 mm taken off"
    );
    assert_eq!(mic.error_basis, "calibration: U = 0.0015 mm, k = 2");
    let ids: Vec<&str> = sheet.gauges.iter().map(|gauge| &*gauge.id).collect();
    assert!(
        ids.contains(&"block-20") && ids.contains(&"holes"),
        "{ids:?}"
    );
    let told = |word: &str| sheet.happenings.iter().any(|one| one.what.contains(word));
    assert!(told("holes was found wrong by A. Turner: bent in a fall"));
}

/// The mean of `[23, 27]` disagreed; when 23 was voided, 27 was judged anew.
#[test]
fn a_reading_judged_again_keeps_its_first_verdict() {
    let sheet = sheet("example-two-parts.jsonl");
    let again = row(&sheet, 27);
    assert_eq!(
        (&*again.verdict, again.verdicts_before.clone()),
        ("GO", vec!["DOUBT".to_owned()])
    );
    let first = row(&sheet, 23);
    assert_eq!(
        (&*first.verdict, &*first.end, first.replaced_by),
        ("NO-GO", "voided", 27)
    );
    assert_eq!(
        (&*first.reason, &*first.by),
        ("chip under the anvil", "Ada")
    );
    let held = row(&sheet, 11);
    assert_eq!(held.end, "set_aside");
    assert!(held.held.starts_with("Inch taken for millimetre?"));
}

#[test]
fn the_head_has_what_the_plan_says_and_each_limit_its_source() {
    let sheet = sheet("example-two-parts.jsonl");
    let job = &sheet.job;
    assert_eq!(
        (&*job.part_name, &*job.drawing, &*job.revision),
        ("Pump shaft", "GP-07", "B")
    );
    assert_eq!((&*job.customer, &*job.material), ("", ""));
    assert_eq!(job.operators, ["Ada"]);
    assert_eq!(sheet.rule.rules, ["probability 0.95"]);
    let seat = &sheet.asked[1];
    assert_eq!(
        (&*seat.callout, &*seat.nominal, &*seat.name),
        ("20 k6", "20.000", "bearing seat")
    );
    assert_eq!((seat.points, &*seat.surface), (3, "outside"));
    // ISO 286-1: k6 at 20 mm has ei = +2 um and IT6 = 13 um.
    let why = seat.why.join("\n");
    assert!(why.contains("ISO 286") && why.contains("IT6"), "{why}");
    let mic = &sheet.gauges[0];
    assert_eq!(
        (&*mic.kind, &*mic.due),
        ("outside micrometer", "2027-03-01")
    );
    assert_eq!(
        (&*mic.resolution, mic.was_overdue, mic.readings),
        ("0.001", false, 12)
    );
    assert_eq!(
        mic.error_basis,
        "largest permitted error 0.002 mm, stated in the register"
    );
    let good: Vec<_> = sheet
        .parts
        .iter()
        .map(|part| (&*part.standing, part.is_good))
        .collect();
    assert_eq!(good, [("GO", true), ("GO", true)]);
    assert_eq!(row(&sheet, 7).part_temperature, "", "nobody entered one");
}

#[test]
fn a_selection_leaves_nothing_of_other_parts() {
    let only = |parts: &[u32]| Selection {
        parts: Some(parts.to_vec()),
        serial: None,
    };
    let whole = sheet("example-two-parts.jsonl");
    let second = sheet_at(&path("example-two-parts.jsonl"), &only(&[2]));
    assert_eq!(second.parts, whole.parts[1..]);
    assert_eq!(second.record.parts, 2);
    assert!(second.record.other_readings.is_empty());
    let none = sheet_at(&path("example-two-parts.jsonl"), &only(&[9]));
    assert_eq!((none.parts.len(), none.record.parts), (0, 2));
}
