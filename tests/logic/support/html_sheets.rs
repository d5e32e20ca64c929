//! Sheets made by hand: what a report is written from, without a record. The numbers are invented
//! and are no tolerances of any standard.

use fitledger::plan::Plan;
use fitledger::report::{
    Asked, Bar, DecisionRow, GaugeFacts, Happening, JobFacts, PartSheet, PointRow, ReadingRow,
    RecordFacts, ResultRow, RuleFacts, Sheet, SignatureRow,
};

use super::batch_sheets::by_hand;
use crate::plan::parse;

/// Outside seats, a shoulder, a thread, a bore with a thread in it, lengths, a cross hole that is
/// not drawn.
pub(crate) const SHAFT: &str = r#"
[part]
name = "Pump shaft"
drawing = "GP-07"
revision = "B"
[rules]
general = "m"
[[feature]]
id = "A"
callout = "20 k6"
name = "bearing seat, left"
surface = "outside"
along = [0, 14]
points = 3
[[feature]]
id = "B"
callout = "25 h11"
name = "shoulder"
along = [14, 22]
[[feature]]
id = "C"
callout = "17 h9"
name = "seal seat"
along = [22, 44]
[[feature]]
id = "D"
callout = "M14x1.5-6g"
name = "impeller thread"
along = [46, 62]
wire = 0.895
[[feature]]
id = "E"
callout = "6.8 H11"
name = "tapping hole"
along = [0, 24]
[[feature]]
id = "F"
callout = "M8-6H"
name = "end thread"
along = [0, 16]
[[feature]]
id = "G"
callout = "62 ±0.1"
name = "length over all"
surface = "length"
along = [0, 62]
[[feature]]
id = "H"
callout = "8 +0.05/0"
name = "width of the shoulder"
surface = "length"
along = [14, 22]
[[feature]]
id = "J"
callout = "3 H11"
name = "cross hole"
surface = "inside"
"#;

/// What a plan asks, numbered in its order.
pub(crate) fn asked_of(plan: &Plan) -> Vec<Asked> {
    let each = plan.order().into_iter().enumerate();
    let asked = each.map(|(at, one)| {
        let element = one.id.element.as_deref().unwrap_or("size").to_owned();
        let is_check = ["plug", "ring", "full_thread", "mate"]
            .iter()
            .any(|word| element.contains(word));
        Asked {
            number: at + 1,
            feature: one.id.feature.as_str().to_owned(),
            name: format!("name of {}", one.id.feature),
            callout: one.callout_text.clone(),
            unit: if is_check { "check" } else { "mm" }.to_owned(),
            points: u16::try_from(one.points).unwrap(),
            every: one.every,
            element,
            ..Asked::default()
        }
    });
    asked.collect()
}

/// A sheet that asks what a plan asks, with its outline and no part.
pub(crate) fn sheet_of_plan(plan: &Plan) -> Sheet {
    Sheet {
        record: record(),
        asked: asked_of(plan),
        outline: plan.outline(),
        ..Sheet::default()
    }
}

fn text(text: &str) -> String {
    text.to_owned()
}

fn time(minute: usize) -> String {
    format!("2026-11-24T10:{minute:02}:07.250+01:00")
}

fn hash(digit: char) -> String {
    "0123456789abcdef"
        .chars()
        .cycle()
        .skip(3)
        .take(63)
        .chain([digit])
        .collect()
}

fn record() -> RecordFacts {
    RecordFacts {
        files: vec![text("2026-11-24-1.jsonl"), text("2026-11-24-1-b.jsonl")],
        state: text("sound"),
        events: 214,
        head: hash('7'),
        findings: Vec::new(),
        opened: time(0),
        last: time(59),
        closed: Some(text("finished")),
        programs: vec![text("fitledger 0.1.0")],
        tables: hash('a'),
        tables_differ: false,
        parts: 4,
        offset: text("+01:00"),
        signatures: vec![signature(200, "checked", "")],
        other_readings: vec![ReadingRow {
            end: text("zero_check"),
            ..reading(21, 0, "25.003")
        }],
        elsewhere: vec![text("Nothing <b> was found in 7 other records.")],
    }
}

fn job() -> JobFacts {
    JobFacts {
        part_name: text("Pump shaft"),
        drawing: text("GP-07"),
        revision: text("B"),
        customer: text("Garden works"),
        order: text("4711-3"),
        material: text("1.4301"),
        material_lot: text("heat 88142"),
        machine: text("lathe 2"),
        quantity: text("12"),
        plan_name: text("pump-shaft.toml"),
        stage: text(""),
        is_earlier_stage: false,
        operators: vec![text("M. Weber"), text("J. Lind")],
    }
}

/// The values of part `number`, by the characteristic: actual, deviation, place, verdict.
fn value(asked: &Asked, number: u32) -> (String, String, Bar, &'static str) {
    if asked.unit == "check" {
        let bad = number == 2 && asked.element == "no_go_plug";
        let found = match (asked.element.starts_with("no_go"), bad) {
            (true, false) => "does_not",
            _ => "goes",
        };
        let verdict = if bad { "NO-GO" } else { "GO" };
        return (text(found), String::new(), Bar::default(), verdict);
    }
    let (at, verdict) = match (number, asked.number) {
        (2, 1) => (1_420, "NO-GO"),
        (2, 2) => (9_000, "NO-GO"),
        (3, 3) => (985, "DOUBT"),
        _ => (350 + i32::try_from(asked.number).unwrap() * 31, "GO"),
    };
    let actual = format!("{}.{:03}", 10 + asked.number, 100 + at.unsigned_abs() % 900);
    let bar = Bar { at, half_width: 60 };
    (
        actual,
        format!("-0.{:03}", at.unsigned_abs() % 1000),
        bar,
        verdict,
    )
}

fn result(asked: &Asked, number: u32) -> ResultRow {
    let (actual, deviation, bar, verdict) = value(asked, number);
    let is_check = asked.unit == "check";
    let line = u64::from(number) * 50 + u64::try_from(asked.number).unwrap();
    let points = (1..=asked.points).map(|point| PointRow {
        point,
        place: format!("place {point}"),
        value: match is_check {
            true => actual.clone(),
            false => format!("{actual}{point}"),
        },
        reading: line,
        outcome: text(verdict),
    });
    ResultRow {
        number: asked.number,
        is_selected: true,
        points: points.collect(),
        deviation,
        bar: (!is_check).then_some(bar),
        u: if is_check || asked.number == 4 {
            String::new()
        } else {
            text("0.0012")
        },
        verdict: text(verdict),
        side: text(if verdict == "NO-GO" {
            "metal_on"
        } else {
            "inside"
        }),
        rule: text(match (is_check, asked.number) {
            (true, _) => "attribute",
            (_, 4) => "simple",
            _ => "probability 0.95",
        }),
        conformance_ppm: (!is_check).then_some(if verdict == "DOUBT" { 872_490 } else { 999_999 }),
        gauge: text(if is_check { "plug-m8" } else { "mic-25" }),
        method: text(if is_check { "limit_gauge" } else { "two_point" }),
        set_on: text("ring-25.003"),
        operator: text("M. Weber"),
        time: time(asked.number),
        reading: line,
        from: vec![line, line + 900],
        origin: text(["sent", "typed", "simulated", "imported"][asked.number % 4]),
        part_temperature: if asked.number == 5 {
            String::new()
        } else {
            text("23.5")
        },
        gauge_temperature: text("21.8"),
        notes: vec![text("worst_at_point_1")],
        is_in_doubt: number == 3 && asked.number == 2,
        concession: (number == 2 && asked.number <= 2).then_some(140),
        actual,
    }
}

fn reading(line: u64, number: usize, value: &str) -> ReadingRow {
    ReadingRow {
        line,
        time: time(usize::try_from(line % 60).unwrap()),
        number,
        point: 1,
        gauge: text("mic-25"),
        origin: text("sent"),
        raw: format!("  +{value}\\r\\n"),
        value: text(value),
        unit: text("mm"),
        value_at_20: format!("{value}4"),
        zero_offset: text("-0.001"),
        operator: text("J. Lind"),
        part_temperature: text("24.5"),
        gauge_temperature: String::new(),
        end: text("judged"),
        verdict: text("NO-GO"),
        ..ReadingRow::default()
    }
}

fn readings() -> Vec<ReadingRow> {
    vec![
        ReadingRow {
            end: text("voided"),
            reason: text("chip under the anvil"),
            by: text("J. Lind, after asking"),
            replaced_by: 122,
            ..reading(121, 1, "20.417")
        },
        ReadingRow {
            counts: true,
            verdicts_before: vec![text("DOUBT")],
            held: text("far outside"),
            taken: text("largest of 41 values"),
            doubted_by: 137,
            ..reading(122, 1, "20.021")
        },
        reading(123, 2, "25.311"),
        ReadingRow {
            end: text("set_aside"),
            reason: text("inch for millimetre"),
            unit: text("in"),
            stage: text("turned"),
            ..reading(124, 0, "0.788")
        },
    ]
}

fn decision(line: u64, what: &str, about: &str) -> DecisionRow {
    DecisionRow {
        line,
        time: time(40),
        what: text(what),
        about: text(about),
        reason: format!("reason of {what}"),
        by: text("R. Ode, foreman"),
        agreed_with: text("Garden works, buyer"),
        withdrawn_by: 0,
        number: 0,
    }
}

fn signature(line: u64, meaning: &str, manner: &str) -> SignatureRow {
    SignatureRow {
        line,
        time: time(45),
        meaning: text(meaning),
        manner: text(manner),
        by: text("R. Ode"),
        reason: format!("why in line {line}"),
        covers: line - 1,
        hash: hash('c'),
        ..SignatureRow::default()
    }
}

fn part(number: u32, asked: &[Asked]) -> PartSheet {
    let results: Vec<ResultRow> = asked.iter().map(|asked| result(asked, number)).collect();
    let mut part = PartSheet {
        number,
        serial: format!("S-{number:04}"),
        state: text("GO"),
        standing: text("released"),
        is_good: true,
        results,
        signatures: vec![
            signature(148, "measured", ""),
            signature(149, "released", ""),
        ],
        from: time(1),
        to: time(30),
        ..PartSheet::default()
    };
    match number {
        2 => {
            part.state = text("NO-GO");
            part.standing = text("released under concession");
            part.is_good = false;
            part.readings = readings();
            part.job_notes = vec![text("material lot heat 88150 from here on")];
            let withdrawn = DecisionRow {
                withdrawn_by: 139,
                ..decision(138, "hold", "")
            };
            let back = decision(139, "withdrawn", "");
            let given = DecisionRow {
                number: 1,
                ..decision(140, "concession", "A size")
            };
            part.decisions = vec![withdrawn, back, given];
            let lapsed = SignatureRow {
                has_lapsed: true,
                lapsed_by: 140,
                ..signature(130, "checked", "")
            };
            let release = SignatureRow {
                left: vec![text("A size"), text("B size")],
                ..signature(150, "released", "under_concession")
            };
            part.signatures = vec![lapsed, release];
        }
        3 => {
            part.state = text("DOUBT");
            part.standing = text("released in doubt");
            part.is_good = false;
            part.signatures = vec![signature(151, "released", "in_doubt")];
        }
        4 => {
            part.state = text("open");
            part.standing = text("open");
            part.is_good = false;
            part.serial = String::new();
            part.signatures = Vec::new();
            for row in part.results.iter_mut().skip(2) {
                *row = ResultRow {
                    number: row.number,
                    is_selected: row.number != 5,
                    ..ResultRow::default()
                };
            }
        }
        _ => {}
    }
    part
}

fn gauges() -> Vec<GaugeFacts> {
    let known = GaugeFacts {
        id: text("mic-25"),
        kind: text("outside micrometer"),
        serial: text("88-1204"),
        resolution: text("0.001"),
        error_basis: text("largest permitted error 0.004 mm"),
        calibrated: text("2025-11-03"),
        certificate: text("K-5521"),
        due: text("2026-11-03"),
        was_overdue: true,
        set_on: text("ring-25.003"),
        zero: text("good on 2026-11-24, 0.000 off"),
        source: text("serial:/dev/ttyUSB0, line-free"),
        callout: text(""),
        method: text("two_point"),
        readings: 41,
        refused: 3,
        remarks: vec![text("three frames were refused")],
    };
    let unknown = GaugeFacts {
        id: text("plug-m8"),
        ..GaugeFacts::default()
    };
    vec![known, unknown]
}

/// Four parts: released; released under concession with corrections; released in doubt; open.
pub(crate) fn full() -> Sheet {
    let plan = parse(SHAFT).unwrap_or_else(|errors| panic!("{}", errors[0]));
    let mut asked = asked_of(&plan);
    for one in asked.iter_mut().filter(|one| one.unit == "mm") {
        one.lower = format!("{}.101", 10 + one.number);
        one.upper = format!("{}.133", 10 + one.number);
        one.nominal = format!("{}", 10 + one.number);
        one.surface = text("outside");
        one.why = vec![format!("standard of {}", one.number), text("table, row")];
        if one.number == 2 {
            one.lower = String::new();
        }
    }
    let parts = (1..=4).map(|number| part(number, &asked)).collect();
    let happening = |line: u64, part: u32, what: &str| Happening {
        line,
        time: time(12),
        part,
        what: text(what),
    };
    Sheet {
        record: record(),
        job: job(),
        rule: RuleFacts {
            rules: vec![text("probability 0.95"), text("simple")],
            agreed_with: text("Garden works"),
            some_without_uncertainty: true,
            some_general: true,
        },
        parts,
        gauges: gauges(),
        happenings: vec![
            happening(33, 0, "Zero check of mic-25: good."),
            happening(77, 2, "Tool 4 changed."),
        ],
        batch: Some(by_hand(&asked, 12)),
        outline: plan.outline(),
        asked,
    }
}
