//! The thread tables against the formulas behind them (ISO 965-1 from memory; BS 3643). The table
//! wins; every cell that differs stands in a list, so that no digit can change unseen. The
//! formulas are written here a second time, apart from the program's.

use std::collections::BTreeMap;

use crate::table::cases;
use fitledger::tolerance::{
    CalloutLimits, Context, THREAD_TEXTS, Tables, ThreadElement, ThreadFlag, ThreadLimits,
    limits_of,
};

/// The numbers to which tolerances are rounded: R40, whole numbers below 100 (from memory).
const SERIES: [f64; 79] = [
    10.0, 10.5, 11.0, 12.0, 13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0, 20.0, 21.0, 22.0, 24.0, 25.0,
    26.0, 28.0, 30.0, 32.0, 34.0, 36.0, 38.0, 40.0, 42.0, 45.0, 48.0, 50.0, 53.0, 56.0, 60.0, 63.0,
    67.0, 71.0, 75.0, 80.0, 85.0, 90.0, 95.0, 100.0, 106.0, 112.0, 118.0, 125.0, 132.0, 140.0,
    150.0, 160.0, 170.0, 180.0, 190.0, 200.0, 212.0, 224.0, 236.0, 250.0, 265.0, 280.0, 300.0,
    315.0, 335.0, 355.0, 375.0, 400.0, 425.0, 450.0, 475.0, 500.0, 530.0, 560.0, 600.0, 630.0,
    670.0, 710.0, 750.0, 800.0, 850.0, 900.0, 950.0,
];

fn nearest(value: f64) -> f64 {
    let thousands = SERIES[39..].iter().map(|one| one * 10.0);
    let mut best = SERIES[0];
    for one in SERIES.iter().copied().chain(thousands) {
        if (one - value).abs() < (best - value).abs() {
            best = one;
        }
    }
    best
}

/// A table's rows, each by the names of its columns.
fn rows(name: &str) -> Vec<BTreeMap<String, String>> {
    let (_, text) = THREAD_TEXTS
        .into_iter()
        .find(|(known, _)| *known == name)
        .unwrap();
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().unwrap().split(',').collect();
    lines
        .map(|line| {
            let fields: Vec<&str> = line.split(',').collect();
            assert_eq!(fields.len(), header.len(), "{line}");
            let pairs = header.iter().zip(fields);
            pairs
                .map(|(column, field)| ((*column).to_owned(), field.to_owned()))
                .collect()
        })
        .collect()
}

fn number(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("“{text}”"))
}

/// Cells as (name, tabled value, formula's value), in micrometres.
type Cells = Vec<(String, f64, f64)>;

fn graded(
    cells: &mut Cells,
    symbol: &str,
    file: &str,
    factors: &[(u8, f64)],
    six: fn(f64, f64) -> f64,
) {
    for row in rows(file) {
        let pitch = number(&row["pitch_mm"]);
        let (range, mean) = match (row.get("d_over_mm"), row.get("d_to_incl_mm")) {
            (Some(over), Some(to)) => (format!("{over}-{to}"), (number(over) * number(to)).sqrt()),
            _ => (String::new(), 1.0),
        };
        for (grade, factor) in factors {
            let field = &row[&format!("{symbol}_{grade}_um")];
            if !field.is_empty() {
                let formula = nearest(factor * six(pitch, mean));
                let name = format!("{symbol} {range} P{} grade {grade}", row["pitch_mm"]);
                cells.push((name, number(field), formula));
            }
        }
    }
}

fn all_cells() -> Cells {
    let mut cells = Vec::new();
    let flank: fn(f64, f64) -> f64 = |p, d| 90.0 * p.powf(0.4) * d.powf(0.1);
    let outside = [
        (3, 0.5),
        (4, 0.63),
        (5, 0.8),
        (6, 1.0),
        (7, 1.25),
        (8, 1.6),
        (9, 2.0),
    ];
    let inside = [(4, 0.85), (5, 1.06), (6, 1.32), (7, 1.7), (8, 2.12)];
    let crest = [(4, 0.63), (5, 0.8), (6, 1.0), (7, 1.25), (8, 1.6)];
    graded(
        &mut cells,
        "Td2",
        "iso965/pitch_diameter_external.csv",
        &outside,
        flank,
    );
    graded(
        &mut cells,
        "TD2",
        "iso965/pitch_diameter_internal.csv",
        &inside,
        flank,
    );
    graded(
        &mut cells,
        "Td",
        "iso965/major_diameter_external.csv",
        &[(4, 0.63), (6, 1.0), (8, 1.6)],
        |p, _| 180.0 * p.powf(2.0 / 3.0) - 3.15 / p.sqrt(),
    );
    graded(
        &mut cells,
        "TD1",
        "iso965/minor_diameter_internal.csv",
        &crest,
        |p, _| {
            if p <= 0.8 {
                433.0 * p - 190.0 * p.powf(1.22)
            } else {
                230.0 * p.powf(0.7)
            }
        },
    );
    for row in rows("iso965/deviations.csv") {
        for (letter, constant) in [("e", 50.0), ("f", 30.0), ("g", 15.0)] {
            let (pitch, field) = (&row["pitch_mm"], &row[&format!("es_{letter}_um")]);
            if !field.is_empty() {
                let formula = nearest(constant + 11.0 * number(pitch));
                cells.push((format!("es {letter} P{pitch}"), -number(field), formula));
            }
        }
    }
    for row in rows("iso965/root_radius_external.csv") {
        let pitch = &row["pitch_mm"];
        let formula = (125.0 * number(pitch) + 0.5).floor();
        cells.push((format!("R_min P{pitch}"), number(&row["R_min_um"]), formula));
    }
    cells
}

#[test]
fn every_tabled_cell_is_its_formula_or_stands_in_the_list() {
    let listed: BTreeMap<String, (String, String)> =
        cases(include_str!("../tables/thread_formula_deviations.csv"))
            .iter()
            .map(|case| {
                // One blank where a table has no range.
                let name = case.name().split_whitespace().collect::<Vec<_>>().join(" ");
                let (tabled, formula) = (case.text("tabled_um"), case.text("formula_um"));
                (name, (tabled.to_owned(), formula.to_owned()))
            })
            .collect();
    let cells = all_cells();
    let differing: BTreeMap<String, (String, String)> = cells
        .iter()
        .filter(|(_, tabled, formula)| (tabled - formula).abs() > 0.1)
        .map(|(name, tabled, formula)| {
            let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
            (name, (tabled.to_string(), formula.to_string()))
        })
        .collect();
    assert_eq!(differing, listed);
    assert_eq!((cells.len(), listed.len()), (763, 95));
}

/// Without a formula (a to d) the values still rise from a to h and with the pitch; G mirrors g.
#[test]
fn deviations_are_mirrored_and_in_order() {
    let mut last: BTreeMap<&str, f64> = BTreeMap::new();
    for row in rows("iso965/deviations.csv") {
        let pitch = row["pitch_mm"].clone();
        let (inside, outside) = (&row["EI_G_um"], &row["es_g_um"]);
        assert_eq!(
            inside.strip_prefix('+'),
            outside.strip_prefix('-'),
            "{pitch}"
        );
        assert!(inside.starts_with('+'), "{pitch}");
        assert_eq!(
            (row["EI_H_um"].as_str(), row["es_h_um"].as_str()),
            ("0", "0")
        );
        let mut before = f64::MIN;
        for letter in ["a", "b", "c", "d", "e", "f", "g"] {
            let field = &row[&format!("es_{letter}_um")];
            if field.is_empty() {
                assert!(!last.contains_key(letter), "{letter} ends at {pitch}");
                continue;
            }
            let value = number(field);
            assert!(value > before, "{letter} at {pitch}");
            let finer = last.insert(letter, value);
            assert!(
                finer.is_none_or(|finer| value <= finer),
                "{letter} at {pitch}"
            );
            before = value;
        }
    }
    let from = |letter: &str| {
        let rows = rows("iso965/deviations.csv");
        let with = rows
            .iter()
            .find(|row| !row[&format!("es_{letter}_um")].is_empty());
        with.unwrap()["pitch_mm"].clone()
    };
    let found = ["a", "b", "c", "d", "e", "f", "g"].map(from);
    assert_eq!(found, ["1", "1", "1", "1", "0.5", "0.35", "0.2"]);
}

fn one(text: &str) -> Box<ThreadLimits> {
    match limits_of(text, &Context::standard()) {
        Ok((_, CalloutLimits::Thread(limits))) => limits,
        other => panic!("{text}: {other:?}"),
    }
}

fn widths(text: &str) -> [String; 3] {
    let limits = one(text);
    ThreadElement::ALL.map(|element| {
        let width = limits.element(element).tolerance();
        width.map(|width| width.to_mm()).unwrap_or_default()
    })
}

/// By hand. M10x1.1: d = sqrt(5.6 x 11.2) = 7.920; Td2(6) = 90 x 1.1^0.4 x 7.92^0.1 = 114.99, so
/// 112; Td(6) = 180 x 1.1^(2/3) - 3.15/sqrt(1.1) = 188.8, so 190; es_g = 15 + 12.1 = 27.1, so 28.
/// TD2(6) = 1.32 x 114.99 = 151.8, so 150; TD1(6) = 230 x 1.1^0.7 = 245.9, so 250.
/// M10x0.9 has TD1(6) = 433 x 0.9 - 190 x 0.9^1.22 = 222.6, so 224: the fine formula below 1 mm.
#[test]
fn a_pitch_between_two_tabled_ones_is_computed_and_flagged() {
    let screw = one("M10x1.1-6g");
    assert_eq!(screw.major.upper().unwrap().to_mm(), "9.972");
    assert_eq!(widths("M10x1.1-6g")[..2], ["0.190", "0.112"]);
    assert_eq!(widths("M10x1.1-6H")[1..], ["0.150", "0.250"]);
    assert_eq!(widths("M10x0.9-6H")[2], "0.224");
    for flag in [
        ThreadFlag::NotInIso261,
        ThreadFlag::PitchToleranceComputed,
        ThreadFlag::PitchNotTabled,
    ] {
        assert!(screw.flags.has(flag), "{flag}");
    }
    // The pitch is tabled, the row of that range is not: only the flank is computed.
    // M12x0.75: d = sqrt(11.2 x 22.4) = 15.84; Td2(6) = 90 x 0.75^0.4 x 15.84^0.1 = 105.8.
    let fine = one("M12x0.75-6g");
    assert_eq!(widths("M12x0.75-6g")[..2], ["0.140", "0.106"]);
    assert!(fine.flags.has(ThreadFlag::PitchToleranceComputed));
    assert!(!fine.flags.has(ThreadFlag::PitchNotTabled));
}

/// A grade that one of the two neighbouring pitches lacks is not computed between them.
#[test]
fn a_grade_is_computed_only_where_both_neighbours_have_it() {
    let code = |text: &str| match limits_of(text, &Context::standard()) {
        Ok(_) => "limits",
        Err(error) => error.code(),
    };
    // Td2 has grade 8 from 0.8 mm on, Td too; TD1 has grade 6 from 0.3 mm, grade 8 from 0.8 mm.
    assert_eq!(code("M10x0.78-8g"), "grade_not_tabled");
    assert_eq!(code("M10x0.9-8g"), "limits");
    assert_eq!(code("M5x0.78-8H"), "grade_not_tabled");
    assert_eq!(code("M5x0.9-8H"), "limits");
    assert_eq!(code("M1.4x0.28-6H"), "grade_not_tabled");
    assert_eq!(code("M1.4x0.32-6H"), "limits");
    // e from 0.5 mm, f from 0.35 mm; a to d have no formula at all.
    assert_eq!(code("M4x0.48-6e"), "position_not_tabled");
    assert_eq!(code("M4x0.52-6e"), "limits");
    assert_eq!(code("M4x0.34-6f"), "position_not_tabled");
    assert_eq!(code("M4x0.36-6f"), "limits");
    assert_eq!(code("M10x1.1-6a"), "position_not_tabled");
    assert_eq!(code("M10x1.25-6a"), "limits");
}

/// The digest of a record is taken over these texts: a changed digit shows.
#[test]
fn the_thread_tables_belong_to_the_texts_of_a_record() {
    let names: Vec<&str> = Tables::standard().texts().map(|(name, _)| name).collect();
    let on_disk = std::fs::read_dir("tolerances/iso965").unwrap();
    let mut files: Vec<String> = on_disk
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name != "tapping_drills.csv")
        .collect();
    files.sort();
    assert_eq!(files.len(), THREAD_TEXTS.len());
    for file in files {
        let name = format!("iso965/{file}");
        assert!(names.contains(&name.as_str()), "{name}");
        let text = std::fs::read_to_string(format!("tolerances/{name}")).unwrap();
        let found = Tables::standard().texts().find(|(known, _)| *known == name);
        assert_eq!(found.unwrap().1, text, "{name}");
    }
}
