//! Sessions of a workshop that makes garden-irrigation pumps, as the room is told them.
#![allow(clippy::unwrap_used)]

use std::sync::Arc;

use fitledger::plan::Plan;
use fitledger::report::{
    Asked, Bar, DecisionRow, GaugeFacts, Happening, JobFacts, PartSheet, PointRow, ReadingRow,
    RecordFacts, ResultRow, RuleFacts, Sheet, SignatureRow,
};
use fitledger::tolerance::Tables;
use fitledger::window::records_facts::{OpenRecord, RecordsTold, SessionRow};
use fitledger::window::records_find::{Query, find};

use crate::support::bench::feature;

pub(crate) const HEAD: &str = "5b1d2c44a0e1f7d3985b6c1a2d3e4f50617283940a1b2c3d4e5f60718293a4b5";
/// As `finding.rs` words it.
pub(crate) const DAMAGE: &str = "2026-11-20-bush.jsonl: line 14, 212 bytes at byte 3021: altered: \
                                 the bytes are not those that were hashed; event 14 is lost";

fn row(file: &str, opened: &str, part: &str, drawing: &str) -> SessionRow {
    SessionRow {
        files: vec![file.to_owned()],
        opened: opened.to_owned(),
        part: part.to_owned(),
        drawing: drawing.to_owned(),
        parts: 2,
        readings: 12,
        state: "sound".to_owned(),
        ..SessionRow::default()
    }
}

pub(crate) fn rows() -> Vec<SessionRow> {
    let texts = |all: &[&str]| all.iter().map(|one| (*one).to_owned()).collect::<Vec<_>>();
    let stand = |all: &[(&str, usize)]| {
        let all = all.iter().map(|(word, count)| ((*word).to_owned(), *count));
        all.collect::<Vec<_>>()
    };
    vec![
        SessionRow {
            customer: "Green Valley Nurseries".to_owned(),
            order: "4711".to_owned(),
            serials: texts(&["GP-0017", "GP-0018"]),
            gauges: texts(&["mic-25", "plug-m12"]),
            standings: stand(&[("GO", 1), ("open", 1)]),
            state: "not_closed".to_owned(),
            ..row(
                "2026-11-24-shaft.jsonl",
                "2026-11-24 07:12",
                "Pump shaft",
                "GP-07 rev B",
            )
        },
        SessionRow {
            customer: "Riverside Parks".to_owned(),
            serials: texts(&["", ""]),
            gauges: texts(&["bore-20"]),
            standings: stand(&[("NO-GO", 1), ("GO", 11)]),
            parts: 12,
            readings: 96,
            ..row(
                "2026-11-22-housing.jsonl",
                "2026-11-22 15:40",
                "Pump housing",
                "GP-03 rev A",
            )
        },
        SessionRow {
            gauges: texts(&["caliper-150"]),
            standings: stand(&[("GO", 3)]),
            parts: 3,
            readings: 9,
            state: "damaged".to_owned(),
            damage: vec![DAMAGE.to_owned()],
            ..row("2026-11-20-bush.jsonl", "2026-11-20 09:05", "Bush", "GP-11")
        },
        SessionRow {
            standings: stand(&[("released in doubt", 1)]),
            parts: 1,
            readings: 4,
            state: "torn_tail".to_owned(),
            damage: texts(&[
                "2026-11-19-20-k6.jsonl: line 9, 17 bytes at byte 1400: unfinished: \
                             its writing was cut off; it was never acknowledged",
            ]),
            ..row("2026-11-19-20-k6.jsonl", "2026-11-19 16:58", "20 k6", "")
        },
    ]
}

pub(crate) fn told(rows: Vec<SessionRow>) -> RecordsTold {
    let found = find(&rows, &Query::default());
    RecordsTold {
        rows: Arc::new(rows),
        found: Arc::new(found),
        ..RecordsTold::default()
    }
}

/// The same with the first session open.
pub(crate) fn told_open() -> RecordsTold {
    RecordsTold {
        open: Some(OpenRecord {
            key: "2026-11-24-shaft.jsonl".to_owned(),
            sheet: Some(Arc::new(sheet())),
            fault: None,
        }),
        ..told(rows())
    }
}

fn asked(number: usize, feature: &str, callout: &str, limits: [&str; 2]) -> Asked {
    Asked {
        number,
        feature: feature.to_owned(),
        element: "size".to_owned(),
        callout: callout.to_owned(),
        unit: "mm".to_owned(),
        lower: limits[0].to_owned(),
        upper: limits[1].to_owned(),
        points: 1,
        every: 1,
        is_drawn: true,
        why: vec![format!(
            "ISO 286-2:2010, {callout}: {} to {} mm.",
            limits[0], limits[1]
        )],
        ..Asked::default()
    }
}

/// A value with its distance from the middle and its place between the limits, in thousandths.
fn result(number: usize, actual: &str, verdict: &str, (deviation, at): (&str, i32)) -> ResultRow {
    ResultRow {
        number,
        is_selected: true,
        actual: actual.to_owned(),
        deviation: deviation.to_owned(),
        bar: Some(Bar {
            at,
            half_width: 130,
        }),
        u: "0.0011".to_owned(),
        verdict: verdict.to_owned(),
        side: "inside".to_owned(),
        gauge: "mic-25".to_owned(),
        method: "two_point".to_owned(),
        origin: "sent".to_owned(),
        operator: "M. Brook".to_owned(),
        part_temperature: "22".to_owned(),
        ..ResultRow::default()
    }
}

pub(crate) fn reading(line: u64, value: &str, end: &str) -> ReadingRow {
    ReadingRow {
        line,
        time: "2026-11-24T07:20:11.250+01:00".to_owned(),
        number: 1,
        value: value.to_owned(),
        value_at_20: value.to_owned(),
        unit: "mm".to_owned(),
        gauge: "mic-25".to_owned(),
        origin: "sent".to_owned(),
        raw: format!("01A+{value}"),
        operator: "M. Brook".to_owned(),
        end: end.to_owned(),
        ..ReadingRow::default()
    }
}

/// A shaft that is GO and signed for; another that has a NO-GO accepted under a concession, a
/// voided reading, a hold that was withdrawn, a signature that has lapsed.
pub(crate) fn sheet() -> Sheet {
    let shape = feature("A", "20 k6", "along = [0, 14]")
        + &feature("B", "25 h9", "along = [14, 60]")
        + &feature("C", "15 h6", "along = [60, 95]");
    let text = format!("[part]\nname = \"Pump shaft\"\n{shape}");
    Sheet {
        record: RecordFacts {
            files: vec!["2026-11-24-shaft.jsonl".to_owned()],
            state: "not_closed".to_owned(),
            events: 61,
            head: HEAD.to_owned(),
            opened: "2026-11-24T07:12:03.000+01:00".to_owned(),
            last: "2026-11-24T08:02:40.000+01:00".to_owned(),
            programs: vec!["fitledger 0.1.0".to_owned()],
            tables: "77".repeat(32),
            offset: "+01:00".to_owned(),
            ..RecordFacts::default()
        },
        job: JobFacts {
            part_name: "Pump shaft".to_owned(),
            drawing: "GP-07".to_owned(),
            revision: "B".to_owned(),
            customer: "Green Valley Nurseries".to_owned(),
            order: "4711".to_owned(),
            material: "stainless steel 1.4301".to_owned(),
            operators: vec!["M. Brook".to_owned()],
            ..JobFacts::default()
        },
        rule: RuleFacts {
            rules: vec!["probability 0.95".to_owned()],
            ..RuleFacts::default()
        },
        asked: vec![
            asked(1, "A", "Ø20 k6", ["20.002", "20.015"]),
            asked(2, "B", "Ø25 h9", ["24.948", "25"]),
            asked(3, "C", "Ø15 h6", ["14.989", "15"]),
        ],
        parts: vec![good_part(), conceded_part()],
        gauges: vec![GaugeFacts {
            id: "mic-25".to_owned(),
            kind: "outside micrometer".to_owned(),
            serial: "31-77".to_owned(),
            resolution: "0.001".to_owned(),
            error_basis: "largest permitted error 0.002 mm".to_owned(),
            calibrated: "2026-03-01".to_owned(),
            due: "2026-11-01".to_owned(),
            was_overdue: true,
            ..GaugeFacts::default()
        }],
        happenings: vec![Happening {
            line: 30,
            time: "2026-11-24T07:40:00.000+01:00".to_owned(),
            part: 1,
            what: "The tool was changed: new insert.".to_owned(),
        }],
        batch: None,
        outline: Plan::parse(&text, "plan.toml", Tables::standard())
            .unwrap()
            .outline(),
    }
}

fn good_part() -> PartSheet {
    PartSheet {
        number: 1,
        serial: "GP-0017".to_owned(),
        state: "GO".to_owned(),
        standing: "released".to_owned(),
        is_good: true,
        results: vec![
            result(1, "20.008", "GO", ("-0.0005", 460)),
            result(2, "24.962", "GO", ("-0.012", 270)),
            result(3, "14.995", "GO", ("0.0005", 545)),
        ],
        readings: vec![
            ReadingRow {
                reason: "chip or dirt between".to_owned(),
                by: "M. Brook".to_owned(),
                replaced_by: 21,
                verdict: "NO-GO".to_owned(),
                ..reading(18, "20.021", "voided")
            },
            ReadingRow {
                verdict: "GO".to_owned(),
                counts: true,
                ..reading(21, "20.008", "judged")
            },
            ReadingRow {
                reason: "the same frame as line 21".to_owned(),
                ..reading(24, "20.008", "repeat")
            },
        ],
        signatures: vec![SignatureRow {
            line: 52,
            time: "2026-11-24T08:00:12.000+01:00".to_owned(),
            meaning: "released".to_owned(),
            by: "A. Field".to_owned(),
            covers: 51,
            hash: HEAD.to_owned(),
            ..SignatureRow::default()
        }],
        from: "2026-11-24T07:15:00.000+01:00".to_owned(),
        to: "2026-11-24T07:31:00.000+01:00".to_owned(),
        ..PartSheet::default()
    }
}

fn conceded_part() -> PartSheet {
    let mut bad = result(2, "25.011", "NO-GO", ("0.037", 1212));
    bad.side = "metal_on".to_owned();
    bad.concession = Some(58);
    let mut points = result(3, "", "", ("", 0));
    points.bar = None;
    points.points = vec![PointRow {
        point: 1,
        value: "14.994".to_owned(),
        outcome: "INSIDE".to_owned(),
        ..PointRow::default()
    }];
    PartSheet {
        number: 2,
        serial: "GP-0018".to_owned(),
        state: "NO-GO".to_owned(),
        standing: "under concession".to_owned(),
        results: vec![result(1, "20.003", "DOUBT", ("-0.0055", 77)), bad, points],
        decisions: vec![
            DecisionRow {
                line: 55,
                time: "2026-11-24T08:00:30.000+01:00".to_owned(),
                what: "hold".to_owned(),
                reason: "customer is asked".to_owned(),
                by: "A. Field".to_owned(),
                withdrawn_by: 57,
                ..DecisionRow::default()
            },
            DecisionRow {
                line: 58,
                time: "2026-11-24T08:01:10.000+01:00".to_owned(),
                what: "concession".to_owned(),
                about: "B size".to_owned(),
                reason: "runs free in the seal".to_owned(),
                by: "A. Field".to_owned(),
                agreed_with: "Green Valley Nurseries".to_owned(),
                ..DecisionRow::default()
            },
        ],
        signatures: vec![SignatureRow {
            line: 54,
            time: "2026-11-24T08:00:20.000+01:00".to_owned(),
            meaning: "measured".to_owned(),
            by: "M. Brook".to_owned(),
            covers: 53,
            hash: HEAD.to_owned(),
            has_lapsed: true,
            ..SignatureRow::default()
        }],
        ..PartSheet::default()
    }
}
