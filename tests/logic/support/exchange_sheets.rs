//! Reports made by hand: one as a workshop would have it, and one with the same text in every
//! field that holds a text from outside.

use fitledger::report::{
    Asked, Bar, DecisionRow, GaugeFacts, Happening, JobFacts, PartSheet, PointRow, ReadingRow,
    RecordFacts, ResultRow, RuleFacts, Sheet, SignatureRow,
};

use super::batch_sheets::by_hand;
use super::made_sheets::{Kind, with_texts};

/// Texts that did harm somewhere once: markup, formulas, quotes, line ends, what XML 1.0 forbids,
/// what turns the direction of writing, what is no character, paths, long ones.
pub(crate) const HOSTILE: [&str; 29] = [
    "plain",
    "=1+1",
    "+1",
    "-1",
    "-1.5",
    "@SUM(A1)",
    "\tx",
    "\rx",
    "\nx",
    "\0x",
    "'=1",
    "''quoted",
    "a,b;c",
    "she said \"20 k6\"",
    "\"",
    "two\r\nlines",
    "<script>alert(1)</script>",
    "a & b < c > d ' e",
    "]]>",
    "<!-- -->",
    "&amp;",
    "\u{b}\u{1b}[31m\u{7f}\u{85}",
    "\u{202e}oG\u{2066}\u{200b}",
    "\u{fffe}\u{ffff}\u{10ffff}",
    "../../etc/passwd",
    "CON",
    "  blanks  ",
    "Größe Ø20 – 中文 😀",
    "=cmd|' /C calc'!A0",
];

fn text(of: &str) -> String {
    of.to_owned()
}

fn reading(line: u64, number: usize, value: &str, unit: &str, end: &str) -> ReadingRow {
    ReadingRow {
        line,
        time: format!("2026-11-24T08:{:02}:00.250Z", line % 60),
        number,
        point: 1,
        gauge: text("mic-25"),
        origin: text("typed"),
        raw: text(value),
        value: text(value),
        unit: text(unit),
        value_at_20: text(value),
        operator: text("bench 2"),
        end: text(end),
        counts: end == "judged",
        ..ReadingRow::default()
    }
}

fn result(number: usize, actual: &str, verdict: &str, reading: u64) -> ResultRow {
    ResultRow {
        number,
        is_selected: true,
        actual: text(actual),
        verdict: text(verdict),
        side: text("inside"),
        rule: text("probability 0.95"),
        gauge: text("mic-25"),
        method: text("two_point"),
        operator: text("bench 2"),
        time: format!("2026-11-24T08:{:02}:00.250Z", reading % 60),
        reading,
        from: vec![reading],
        origin: text("typed"),
        ..ResultRow::default()
    }
}

fn asked(number: usize, [feature, element, callout, unit]: [&str; 4]) -> Asked {
    Asked {
        number,
        feature: text(feature),
        element: text(element),
        callout: text(callout),
        unit: text(unit),
        points: 1,
        every: 1,
        ..Asked::default()
    }
}

fn limits(of: Asked, surface: &str, [nominal, lower, upper]: [&str; 3]) -> Asked {
    Asked {
        surface: text(surface),
        nominal: text(nominal),
        lower: text(lower),
        upper: text(upper),
        ..of
    }
}

/// Every kind of characteristic once. Limits of 20 k6: ISO 286-2, +0.015 and +0.002 (from memory);
/// those of the thread: `tests/tables/thread_published.csv` has its sources. The others are free.
pub(crate) fn asked_of_all_kinds() -> Vec<Asked> {
    let seat = asked(1, ["A", "size", "20 k6", "mm"]);
    let thread = |number, element, unit| asked(number, ["B", element, "M10-6g", unit]);
    vec![
        limits(seat, "outside", ["20", "20.002", "20.015"]),
        limits(
            thread(2, "pitch", "mm"),
            "outside",
            ["9.026", "8.862", "8.994"],
        ),
        limits(thread(3, "go_ring", "check"), "outside", ["", "", ""]),
        limits(
            asked(4, ["C", "size", "40 ±0.1", "mm"]),
            "length",
            ["40", "39.9", "40.1"],
        ),
        limits(
            asked(5, ["D", "size", "6 H9", "mm"]),
            "slot",
            ["6", "6.000", "6.030"],
        ),
        limits(
            asked(6, ["E", "size", "12 max", "mm"]),
            "depth",
            ["12", "", "12"],
        ),
        limits(
            asked(7, ["F", "angle", "30° ±0.5°", "angle"]),
            "",
            ["30", "29.5", "30.5"],
        ),
        limits(
            asked(8, ["G", "size", "R2 ±0.2", "mm"]),
            "",
            ["2", "1.8", "2.2"],
        ),
        limits(asked(9, ["H", "size", "8", "mm"]), "", ["8", "", ""]),
        limits(
            asked(10, ["I", "size", "10 min", "mm"]),
            "inside",
            ["10", "10", ""],
        ),
    ]
}

/// Two parts: one with everything, one hardly begun.
pub(crate) fn plain() -> Sheet {
    let good = PartSheet {
        number: 1,
        serial: text("GP-0007"),
        state: text("DOUBT"),
        standing: text("under concession"),
        results: plain_results(),
        readings: plain_readings(),
        decisions: vec![DecisionRow {
            line: 40,
            time: text("2026-11-24T09:00:00Z"),
            what: text("concession"),
            number: 5,
            about: text("D"),
            reason: text("the key is ground to match"),
            by: text("foreman"),
            agreed_with: text("customer"),
            withdrawn_by: 0,
        }],
        signatures: vec![SignatureRow {
            line: 41,
            time: text("2026-11-24T09:10:00Z"),
            meaning: text("released"),
            manner: text("under_concession"),
            by: text("foreman"),
            covers: 40,
            hash: "ab".repeat(32),
            ..SignatureRow::default()
        }],
        from: text("2026-11-24T08:10:00.250Z"),
        to: text("2026-11-24T08:24:00.250Z"),
        job_notes: vec![text("lot L-9")],
        ..PartSheet::default()
    };
    let begun = PartSheet {
        number: 2,
        state: text("open"),
        standing: text("open"),
        results: (1..=10).map(|number| result(number, "", "", 0)).collect(),
        ..PartSheet::default()
    };
    let asked = asked_of_all_kinds();
    Sheet {
        record: RecordFacts {
            files: vec![text("2026-11-24-1.jsonl")],
            state: text("sound"),
            events: 42,
            head: "0123456789abcdef".repeat(4),
            opened: text("2026-11-24T08:00:00Z"),
            last: text("2026-11-24T09:10:00Z"),
            other_readings: vec![reading(7, 0, "0.002", "mm", "zero_check")],
            programs: vec![text("fitledger 0.1.0")],
            parts: 2,
            ..RecordFacts::default()
        },
        job: JobFacts {
            part_name: text("Pump shaft"),
            drawing: text("GP-07"),
            revision: text("B"),
            customer: text("garden customer"),
            order: text("4711"),
            plan_name: text("pump-shaft.toml"),
            ..JobFacts::default()
        },
        rule: RuleFacts {
            rules: vec![text("probability 0.95")],
            ..RuleFacts::default()
        },
        parts: vec![good, begun],
        gauges: vec![GaugeFacts {
            id: text("mic-25"),
            kind: text("outside micrometer"),
            serial: text("EX-0001"),
            resolution: text("0.001"),
            calibrated: text("2026-03-01"),
            due: text("2027-03-01"),
            readings: 12,
            ..GaugeFacts::default()
        }],
        happenings: vec![Happening {
            line: 8,
            time: text("2026-11-24T08:08:00Z"),
            part: 0,
            what: text("tool changed"),
        }],
        batch: Some(by_hand(&asked, 12)),
        asked,
        outline: None,
    }
}

fn plain_results() -> Vec<ResultRow> {
    let seat = ResultRow {
        points: vec![
            PointRow {
                point: 1,
                place: text("left"),
                value: text("20.009"),
                reading: 10,
                outcome: text("GO"),
            },
            PointRow {
                point: 2,
                place: text("right"),
                value: text("20.0100"),
                reading: 11,
                outcome: text("GO"),
            },
        ],
        deviation: text("-0.0015"),
        bar: Some(Bar {
            at: 540,
            half_width: 90,
        }),
        u: text("0.0012"),
        conformance_ppm: Some(998_000),
        set_on: text("block-20"),
        part_temperature: text("22.5"),
        gauge_temperature: text("-1.5"),
        notes: vec![text("outlier")],
        ..result(1, "20.0100", "GO", 11)
    };
    let slot = ResultRow {
        side: text("metal_on"),
        concession: Some(40),
        ..result(5, "5.990", "NO-GO", 15)
    };
    let depth = ResultRow {
        side: text("above"),
        ..result(6, "12.020", "NO-GO", 16)
    };
    let unselected = ResultRow {
        number: 10,
        ..ResultRow::default()
    };
    vec![
        seat,
        ResultRow {
            u: text("0.004"),
            ..result(2, "8.931", "GO", 12)
        },
        result(3, "goes", "GO", 13),
        ResultRow {
            is_in_doubt: true,
            ..result(4, "40.00", "DOUBT", 14)
        },
        slot,
        depth,
        ResultRow {
            deviation: text("0.2"),
            u: text("0.05"),
            ..result(7, "30.2", "DOUBT", 17)
        },
        result(8, "2.05", "INSIDE", 18),
        result(9, "8.01", "NOTED", 19),
        unselected,
    ]
}

fn plain_readings() -> Vec<ReadingRow> {
    let judged = |line, number, value, unit, verdict: &str| ReadingRow {
        verdict: text(verdict),
        ..reading(line, number, value, unit, "judged")
    };
    vec![
        judged(10, 1, "20.009", "mm", "INSIDE"),
        ReadingRow {
            point: 2,
            zero_offset: text("-0.001"),
            ..judged(11, 1, "20.0100", "mm", "GO")
        },
        judged(12, 2, "8.931", "mm", "GO"),
        judged(13, 3, "goes", "check", "GO"),
        judged(14, 4, "40.00", "mm", "GO"),
        ReadingRow {
            value: text("0.2358"),
            value_at_20: text("5.990"),
            ..judged(15, 5, "0.2358", "in", "NO-GO")
        },
        judged(16, 6, "12.020", "mm", "NO-GO"),
        judged(17, 7, "30.2", "angle", "DOUBT"),
        judged(18, 8, "2.05", "mm", "INSIDE"),
        judged(19, 9, "8.01", "mm", "NOTED"),
        ReadingRow {
            reason: text("a chip was under the anvil"),
            by: text("bench 2"),
            replaced_by: 11,
            verdict: text("NO-GO"),
            ..reading(20, 1, "20.022", "mm", "voided")
        },
        ReadingRow {
            value_at_20: String::new(),
            reason: text("not this part"),
            ..reading(21, 0, "-3.25", "mm", "set_aside")
        },
        ReadingRow {
            value_at_20: String::new(),
            held: text("far off"),
            ..reading(22, 1, "2.009", "mm", "held")
        },
        reading(23, 1, "20.3", "mm", "cutting"),
        reading(24, 1, "20.009", "mm", "repeat"),
    ]
}

/// The plain sheet with one text in every field that holds a text from outside, or a word that
/// no form needs to know; lists have it twice.
pub(crate) fn hostile(of: &str) -> Sheet {
    with_texts(plain(), &mut |kind, field| {
        if kind != Kind::Value {
            of.clone_into(field);
        }
    })
}
