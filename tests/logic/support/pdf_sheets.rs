//! Sheets made by hand for the tests of the report on paper, so that they need no record.

use fitledger::plan::{Characteristic, Plan};
use fitledger::report::{
    Asked, Bar, DecisionRow, GaugeFacts, Happening, JobFacts, PartSheet, PointRow, ReadingRow,
    RecordFacts, ResultRow, RuleFacts, Sheet, SignatureRow,
};
use fitledger::tolerance::Tables;

use super::batch_sheets::by_hand;
use super::made_sheets::{Kind, with_texts};

/// A hash as it stands in a record: 64 hexadecimal digits.
pub(crate) const HEAD: &str = "3f9a17c04be2d86510ffab94e7c3028d5b61907ac2e4f8831d6a90b7e5c4f210";
const TABLES: &str = "a1b2c3d4e5f60718293a4b5c6d7e8f90112233445566778899aabbccddeeff00";

/// Names that try to do something else than be shown: control characters, turned writing,
/// markup, formulas, paths, other scripts, nothing to see, and what no face has.
pub(crate) const HOSTILE: [&str; 14] = [
    "bell\u{7}and escape\u{1b}[31m red",
    "turned \u{202e}gpj.exe",
    "<script>alert('x')</script> & \"quotes\"",
    "=HYPERLINK(\"x\")",
    "../../etc/passwd",
    "two\nlines\r\nand a\ttab",
    "zero\u{200b}width\u{feff}marks",
    "ключ Ωμέγα łódź ÅÄÖ",
    "轴承座 베어링",
    "מדיד مقياس",
    "(brackets) \\backslash\\ %percent",
    "private \u{e000} and \u{10fffd} and \u{fffe}",
    "e\u{301}\u{301}\u{301} stacked",
    "⌀ ▲ ✗ ½ µm 😀",
];

/// The record of all these sheets.
fn record() -> RecordFacts {
    RecordFacts {
        files: vec!["2026-11-24-0712-GP-07.journal".to_owned()],
        state: "sound".to_owned(),
        events: 143,
        head: HEAD.to_owned(),
        opened: "2026-11-24T07:12:03.120Z".to_owned(),
        last: "2026-11-24T09:48:51.007Z".to_owned(),
        closed: Some("end of shift".to_owned()),
        programs: vec!["fitledger 0.1.0".to_owned()],
        tables: TABLES.to_owned(),
        offset: "+01:00".to_owned(),
        ..RecordFacts::default()
    }
}

fn job() -> JobFacts {
    JobFacts {
        part_name: "Pump shaft".to_owned(),
        drawing: "GP-07".to_owned(),
        revision: "B".to_owned(),
        customer: "Orchard Water Works".to_owned(),
        order: "4711".to_owned(),
        material: "1.4301".to_owned(),
        material_lot: String::new(),
        machine: "lathe 2".to_owned(),
        quantity: "12".to_owned(),
        plan_name: "pump_shaft.toml".to_owned(),
        operators: vec!["R. Field".to_owned(), "S. Brook".to_owned()],
        ..JobFacts::default()
    }
}

/// Number, feature, name, callout, nominal, lower, upper, surface, points.
type Row<'t> = (
    &'t str,
    &'t str,
    &'t str,
    &'t str,
    &'t str,
    &'t str,
    &'t str,
    u16,
);

const SHAFT: [Row<'_>; 6] = [
    (
        "A",
        "bearing seat, left",
        "⌀20 k6",
        "20",
        "20.002",
        "20.015",
        "outside",
        3,
    ),
    (
        "B", "collar", "⌀25 h9", "25", "24.948", "25.000", "outside", 1,
    ),
    (
        "C",
        "pin bore through the collar",
        "⌀6 H8",
        "6",
        "6.000",
        "6.018",
        "inside",
        1,
    ),
    (
        "D",
        "impeller seat",
        "⌀15 f7",
        "15",
        "14.966",
        "14.984",
        "outside",
        2,
    ),
    (
        "E",
        "length over the shoulders",
        "62 ±0.1",
        "62",
        "61.900",
        "62.100",
        "length",
        1,
    ),
    (
        "G",
        "thread for the nut",
        "M12-6g",
        "",
        "",
        "",
        "outside",
        1,
    ),
];

fn asked() -> Vec<Asked> {
    let one = |(at, row): (usize, &Row<'_>)| {
        let &(feature, name, callout, nominal, lower, upper, surface, points) = row;
        let is_check = feature == "G";
        Asked {
            number: at + 1,
            feature: feature.to_owned(),
            element: if is_check { "go_ring" } else { "size" }.to_owned(),
            name: name.to_owned(),
            callout: callout.to_owned(),
            unit: if is_check { "check" } else { "mm" }.to_owned(),
            nominal: nominal.to_owned(),
            lower: lower.to_owned(),
            upper: upper.to_owned(),
            surface: surface.to_owned(),
            points,
            places: match points {
                3 => ["left", "middle", "right"].map(str::to_owned).to_vec(),
                _ => Vec::new(),
            },
            every: if feature == "E" { 5 } else { 1 },
            why: vec![
                format!("ISO 286-2:2010, table of {callout}, row of the nominal size"),
                format!("limits {lower} and {upper} from the tabled deviations"),
            ],
            is_drawn: "ABDE".contains(feature),
            ..Asked::default()
        }
    };
    SHAFT.iter().enumerate().map(one).collect()
}

/// A result: number, value, deviation, place of the bar, verdict, side.
fn result(
    number: usize,
    actual: &str,
    deviation: &str,
    at: i32,
    verdict: &str,
    side: &str,
) -> ResultRow {
    let line = 20 + number as u64;
    ResultRow {
        number,
        is_selected: true,
        actual: actual.to_owned(),
        deviation: deviation.to_owned(),
        bar: Some(Bar { at, half_width: 90 }),
        u: "0.0011".to_owned(),
        verdict: verdict.to_owned(),
        side: side.to_owned(),
        rule: "probability 0.95".to_owned(),
        conformance_ppm: Some(998_700),
        gauge: "mic-25".to_owned(),
        method: "two_point".to_owned(),
        set_on: "setting ring R25".to_owned(),
        operator: "R. Field".to_owned(),
        time: format!("2026-11-24T07:2{number}:11.500Z"),
        reading: line,
        origin: "sent".to_owned(),
        part_temperature: "21.4".to_owned(),
        points: vec![PointRow {
            point: 1,
            place: String::new(),
            value: actual.to_owned(),
            reading: line,
            outcome: verdict.to_owned(),
        }],
        ..ResultRow::default()
    }
}

fn check(number: usize, outcome: &str, verdict: &str) -> ResultRow {
    ResultRow {
        bar: None,
        u: String::new(),
        conformance_ppm: None,
        rule: "attribute".to_owned(),
        gauge: "ring-M12".to_owned(),
        method: "limit_gauge".to_owned(),
        set_on: String::new(),
        points: Vec::new(),
        ..result(number, outcome, "", 0, verdict, "")
    }
}

fn gauges() -> Vec<GaugeFacts> {
    let micrometer = GaugeFacts {
        id: "mic-25".to_owned(),
        kind: "micrometer".to_owned(),
        serial: "M-88121".to_owned(),
        resolution: "0.001".to_owned(),
        error_basis: "largest permitted error 0.003 mm".to_owned(),
        calibrated: "2026-05-04".to_owned(),
        certificate: "K-2026-118".to_owned(),
        due: "2027-05-04".to_owned(),
        set_on: "setting ring R25".to_owned(),
        zero: "0.000 at 07:15".to_owned(),
        source: "serial:/dev/ttyUSB0".to_owned(),
        readings: 14,
        ..GaugeFacts::default()
    };
    let ring = GaugeFacts {
        id: "ring-M12".to_owned(),
        kind: "thread ring gauge".to_owned(),
        was_overdue: true,
        calibrated: "2025-01-10".to_owned(),
        due: "2026-01-10".to_owned(),
        callout: "M12-6g".to_owned(),
        source: "typed".to_owned(),
        remarks: vec!["It is worn on its first turn.".to_owned()],
        ..GaugeFacts::default()
    };
    vec![micrometer, ring]
}

/// One part that is good in all.
pub(crate) fn one_part() -> Sheet {
    let mut first = result(1, "20.0081", "-0.0004", 469, "GO", "inside");
    let names = ["left", "middle", "right"];
    let values = ["20.0083", "20.0079", "20.0081"];
    let point = |(at, (place, value)): (usize, (&str, &str))| PointRow {
        point: u16::try_from(at).unwrap() + 1,
        place: place.to_owned(),
        value: value.to_owned(),
        reading: 21 + at as u64,
        outcome: "GO".to_owned(),
    };
    first.points = names
        .into_iter()
        .zip(values)
        .enumerate()
        .map(point)
        .collect();
    let mut third = result(3, "6.0112", "0.0022", 622, "GO", "inside");
    third.gauge = "bore-6".to_owned();
    third.method = "three_point".to_owned();
    let mut length = ResultRow {
        number: 5,
        ..ResultRow::default()
    };
    length.is_selected = false;
    let part = PartSheet {
        number: 1,
        serial: "GP07-0001".to_owned(),
        state: "GO".to_owned(),
        standing: "released".to_owned(),
        is_good: true,
        results: vec![
            first,
            result(2, "24.9713", "-0.0027", 448, "GO", "inside"),
            third,
            result(4, "14.9752", "0.0002", 511, "GO", "inside"),
            length,
            check(6, "goes", "GO"),
        ],
        from: "2026-11-24T07:21:11.500Z".to_owned(),
        to: "2026-11-24T07:31:40.000Z".to_owned(),
        signatures: vec![signature("released", "", "S. Brook")],
        ..PartSheet::default()
    };
    Sheet {
        record: record(),
        job: job(),
        rule: RuleFacts {
            rules: vec!["probability 0.95".to_owned()],
            agreed_with: "Orchard Water Works, order 4711".to_owned(),
            some_without_uncertainty: true,
            some_general: false,
        },
        asked: asked(),
        parts: vec![part],
        gauges: gauges(),
        happenings: vec![Happening {
            line: 17,
            time: "2026-11-24T07:19:00.000Z".to_owned(),
            part: 0,
            what: "New tool: finishing insert".to_owned(),
        }],
        batch: None,
        outline: Plan::demo().outline(),
    }
}

fn signature(meaning: &str, manner: &str, by: &str) -> SignatureRow {
    SignatureRow {
        line: 61,
        time: "2026-11-24T07:40:00.000Z".to_owned(),
        meaning: meaning.to_owned(),
        manner: manner.to_owned(),
        by: by.to_owned(),
        covers: 60,
        hash: HEAD.chars().rev().collect(),
        ..SignatureRow::default()
    }
}

/// A part with a value out of its limits, a doubt, a voided reading, a concession and a lapsed
/// signature.
pub(crate) fn with_concession() -> Sheet {
    let mut sheet = one_part();
    sheet.batch = Some(by_hand(&sheet.asked, 3));
    sheet.rule.some_general = true;
    let part = &mut sheet.parts[0];
    part.state = "NO-GO".to_owned();
    part.standing = "under concession".to_owned();
    part.is_good = false;
    let mut out = result(2, "24.9411", "-0.0329", -133, "NO-GO", "metal_gone");
    out.concession = Some(58);
    out.notes = vec!["bounds_outside".to_owned()];
    let mut doubt = result(4, "14.9671", "-0.0079", 61, "DOUBT", "inside");
    doubt.is_in_doubt = true;
    doubt.u = String::new();
    doubt.rule = "simple".to_owned();
    part.results[1] = out;
    part.results[3] = doubt;
    part.readings = vec![voided(), counting()];
    part.decisions = vec![DecisionRow {
        line: 58,
        time: "2026-11-24T07:35:00.000Z".to_owned(),
        what: "concession".to_owned(),
        about: "B".to_owned(),
        number: 2,
        reason: "the collar has no mating part; 7 µm below the limit is of no consequence"
            .to_owned(),
        by: "S. Brook".to_owned(),
        agreed_with: "Orchard Water Works, letter of 2026-11-23".to_owned(),
        ..DecisionRow::default()
    }];
    let mut lapsed = signature("checked", "", "R. Field");
    lapsed.has_lapsed = true;
    lapsed.lapsed_by = 62;
    let mut released = signature("released", "under_concession", "S. Brook");
    released.left = vec!["B (collar)".to_owned(), "D (impeller seat)".to_owned()];
    released.line = 63;
    released.covers = 62;
    part.signatures = vec![lapsed, released];
    part.job_notes = vec!["Lot of the material: 2026-33 from this part on".to_owned()];
    sheet
}

fn voided() -> ReadingRow {
    ReadingRow {
        line: 19,
        time: "2026-11-24T07:20:05.000Z".to_owned(),
        number: 2,
        point: 1,
        gauge: "mic-25".to_owned(),
        origin: "sent".to_owned(),
        raw: "+00024.8310\\r".to_owned(),
        value: "24.831".to_owned(),
        unit: "mm".to_owned(),
        value_at_20: "24.8309".to_owned(),
        operator: "R. Field".to_owned(),
        end: "voided".to_owned(),
        reason: "swarf under the anvil".to_owned(),
        by: "R. Field".to_owned(),
        replaced_by: 22,
        ..ReadingRow::default()
    }
}

fn counting() -> ReadingRow {
    ReadingRow {
        line: 22,
        raw: "+00024.9410\\r".to_owned(),
        value: "24.941".to_owned(),
        value_at_20: "24.9411".to_owned(),
        end: "judged".to_owned(),
        verdict: "NO-GO".to_owned(),
        reason: String::new(),
        by: String::new(),
        replaced_by: 0,
        counts: true,
        ..voided()
    }
}

/// One part with so many characteristics, each with its own value.
pub(crate) fn long(count: usize) -> Sheet {
    let mut sheet = one_part();
    let asked = sheet.asked.clone();
    let results = sheet.parts[0].results.clone();
    sheet.asked.clear();
    sheet.parts[0].results.clear();
    for number in 1..=count {
        let from = (number - 1) % asked.len();
        let mut one = asked[from].clone();
        one.number = number;
        if number > asked.len() {
            one.feature = format!("{}{number}", one.feature);
            one.name = format!("{}, {number}", one.name);
            one.is_drawn = false;
        }
        let mut row = results[from].clone();
        row.number = number;
        row.reading = 1000 + number as u64;
        if row.bar.is_some() {
            row.actual = format!("{}{:03}", row.actual, number);
            row.points.clear();
        }
        sheet.asked.push(one);
        sheet.parts[0].results.push(row);
    }
    sheet
}

/// So many parts.
pub(crate) fn parts(count: u32) -> Sheet {
    let mut sheet = one_part();
    let first = sheet.parts[0].clone();
    sheet.parts.clear();
    for number in 1..=count {
        let mut part = first.clone();
        part.number = number;
        part.serial = format!("GP07-{number:04}");
        if number % 7 == 3 {
            part.state = "open".to_owned();
            part.standing = "open".to_owned();
            part.is_good = false;
            part.signatures.clear();
            part.results[3] = ResultRow {
                number: 4,
                is_selected: true,
                ..ResultRow::default()
            };
        }
        sheet.parts.push(part);
    }
    sheet
}

/// The text in every field of a sheet that holds one from outside.
pub(crate) fn everywhere(text: &str) -> Sheet {
    with_texts(with_concession(), &mut |kind, field| {
        if kind == Kind::Name {
            text.clone_into(field);
        }
    })
}

/// A shaft with a number for nearly everything that can be asked of one.
pub(crate) fn many() -> Sheet {
    let seats = [
        ("A", "12 h9", 0, 9),
        ("B", "16 k6", 9, 24),
        ("C", "14.5 h11", 24, 26),
        ("D", "18 h9", 26, 40),
        ("E", "20 k6", 40, 58),
        ("F", "28 h11", 58, 64),
        ("G", "24 h9", 64, 80),
        ("H", "20 g6", 80, 96),
        ("I", "18.6 h11", 96, 98),
        ("J", "20 k6", 98, 116),
        ("K", "17 h9", 116, 130),
        ("L", "M14x1.5-6g", 130, 146),
    ];
    let lengths = [
        ("M", "146 ±0.2", 0, 146),
        ("N", "40 ±0.1", 0, 40),
        ("O", "6 +0.05/0", 58, 64),
        ("P", "16 ±0.1", 80, 96),
        ("Q", "30 ±0.1", 116, 146),
        ("R", "18 ±0.1", 40, 58),
    ];
    let cylinder = |(id, callout, from, to): (&str, &str, u32, u32)| {
        feature(
            id,
            callout,
            &format!("along = [{from}, {to}]\nsurface = \"outside\""),
        )
    };
    let length = |(id, callout, from, to): (&str, &str, u32, u32)| {
        feature(
            id,
            callout,
            &format!("along = [{from}, {to}]\nsurface = \"length\""),
        )
    };
    let all = seats
        .into_iter()
        .map(cylinder)
        .chain(lengths.into_iter().map(length));
    of_plan(&all.collect::<String>())
}

/// A pump housing: steps of bores one in the other, a thread in one of them, depths.
pub(crate) fn housing() -> Sheet {
    let inside = |from: u32, to: u32| format!("along = [{from}, {to}]\nsurface = \"inside\"");
    let depth = |from: u32, to: u32| format!("along = [{from}, {to}]\nsurface = \"depth\"");
    let outside = |from: u32, to: u32| format!("along = [{from}, {to}]\nsurface = \"outside\"");
    let all = [
        feature("A", "60 h11", &outside(0, 70)),
        feature("B", "78 h11", &outside(70, 82)),
        feature("C", "47 H7", &inside(0, 14)),
        feature("D", "42 H11", &inside(14, 20)),
        feature("E", "36 H8", &inside(20, 46)),
        feature("F", "M30x1.5-6H", &inside(46, 60)),
        feature("G", "24 H7", &inside(60, 82)),
        feature("H", "14 ±0.1", &depth(0, 14)),
        feature("I", "20 +0.2/0", &depth(0, 20)),
        feature("J", "46 ±0.1", &depth(0, 46)),
        feature("K", "82 ±0.15", &depth(0, 82)),
        feature("L", "12 ±0.1", &depth(70, 82)),
        feature("N", "5 H11", "surface = \"inside\""),
    ];
    of_plan(&all.concat())
}

/// A thin bush: outside and bore have the same middle, and what is drawn lies close together.
pub(crate) fn bush() -> Sheet {
    let all = [
        feature("A", "30 p6", "along = [0, 24]\nsurface = \"outside\""),
        feature("B", "25 H7", "along = [0, 24]\nsurface = \"inside\""),
        feature("C", "36 h11", "along = [24, 28]\nsurface = \"outside\""),
        feature("D", "26 H11", "along = [24, 28]\nsurface = \"inside\""),
        feature("E", "28 ±0.1", "along = [0, 28]\nsurface = \"length\""),
        feature("F", "24 ±0.05", "along = [0, 24]\nsurface = \"length\""),
        feature(
            "G",
            "4 -0.05/-0.1",
            "along = [24, 28]\nsurface = \"length\"",
        ),
        feature("H", "3 H11", "surface = \"inside\""),
    ];
    of_plan(&all.concat())
}

fn feature(id: &str, callout: &str, more: &str) -> String {
    format!("[[feature]]\nid = \"{id}\"\ncallout = \"{callout}\"\nname = \"place {id}\"\n{more}\n")
}

/// One part of a plan, every characteristic good; the limits are invented.
fn of_plan(features: &str) -> Sheet {
    let text = format!("[part]\nname = \"Pump part\"\n[rules]\ngeneral = \"m\"\n{features}");
    let plan = Plan::parse(&text, "test.toml", Tables::standard());
    let plan = plan.unwrap_or_else(|errors| panic!("{}", errors[0]));
    let mut sheet = one_part();
    let one = |(at, one): (usize, &Characteristic)| {
        let element = one.id.element.as_deref().unwrap_or("size");
        let is_check = element.contains("plug") || element.contains("ring");
        let asked = Asked {
            number: at + 1,
            feature: one.id.feature.as_str().to_owned(),
            element: element.to_owned(),
            name: format!("place {}", one.id.feature),
            callout: one.callout_text.clone(),
            unit: if is_check { "check" } else { "mm" }.to_owned(),
            lower: format!("{}.902", 10 + at),
            upper: format!("{}.915", 10 + at),
            points: 1,
            every: 1,
            why: vec!["invented for a picture".to_owned()],
            ..Asked::default()
        };
        let row = match is_check {
            true => check(at + 1, "goes", "GO"),
            false => result(
                at + 1,
                &format!("{}.9081", 10 + at),
                "-0.0004",
                469,
                "GO",
                "inside",
            ),
        };
        (asked, row)
    };
    let order = plan.order();
    let (asked, results) = order.iter().copied().enumerate().map(one).unzip();
    sheet.asked = asked;
    sheet.parts[0].results = results;
    sheet.outline = plan.outline();
    let outline = sheet.outline.clone().unwrap();
    for one in &mut sheet.asked {
        let mut segments = outline.segments.iter();
        let is_it = |id: &fitledger::plan::FeatureId| id.as_str() == one.feature;
        one.is_drawn = segments.any(|segment| segment.feature.as_ref().is_some_and(is_it));
    }
    sheet
}

/// Nothing was recorded.
pub(crate) fn empty() -> Sheet {
    Sheet::default()
}
