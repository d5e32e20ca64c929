//! Tapping drills of ISO 2306, clearance holes of ISO 273.

use fitledger::quantity::Length;
use fitledger::tolerance::{
    CLEARANCE_HOLE_TEXTS, ClearanceSeries, DRILL_TEXTS, ThreadProfile, clearance_hole,
    tapping_drill,
};

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

/// The rows that a public page of tapping drills prints (DIN13 shop table, named in the rows).
#[test]
fn drills_of_usual_sizes() {
    let rows = [
        ("3", "0.5", "2.5"),
        ("4", "0.7", "3.3"),
        ("5", "0.8", "4.2"),
        ("6", "1", "5"),
        ("8", "1.25", "6.8"),
        ("10", "1.5", "8.5"),
        ("12", "1.75", "10.2"),
        ("16", "2", "14"),
        ("20", "2.5", "17.5"),
        ("30", "3.5", "26.5"),
    ];
    for (nominal, pitch, diameter) in rows {
        let drill = tapping_drill(mm(nominal), mm(pitch)).unwrap();
        assert_eq!(drill.diameter, mm(diameter), "M{nominal}");
        assert!(
            drill.source.contains("shop table of DIN 13"),
            "{}",
            drill.source
        );
    }
    assert_eq!(tapping_drill(mm("10"), mm("1.4")), None);
    assert_eq!(tapping_drill(mm("10"), mm("-1.5")), None);
}

/// Each row is found, is marked as from memory, and makes a thread of 60 to 100 % (basic D1 is
/// 100 %): less is no thread that a tap should cut (common practice, no source).
#[test]
fn every_row_is_found_and_makes_a_thread() {
    let mut count = 0;
    for line in DRILL_TEXTS[0].1.lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let drill = tapping_drill(mm(fields[0]), mm(fields[1])).unwrap();
        assert_eq!(
            (drill.diameter, drill.source.as_str()),
            (mm(fields[2]), fields[3]),
            "{line}"
        );
        assert!(drill.source.starts_with("from memory"), "{line}");
        let profile = ThreadProfile {
            nominal: drill.nominal,
            pitch: drill.pitch,
        };
        let depth = (drill.nominal - drill.diameter).as_nm_f64();
        let full = (drill.nominal - profile.minor_diameter().to_nm()).as_nm_f64();
        assert!((0.60..=1.0).contains(&(depth / full)), "{line}");
        count += 1;
    }
    assert_eq!(count, 127);
}

/// Values as public tables of ISO 273 and DIN EN 20273 print them.
#[test]
fn clearance_holes_of_usual_sizes() {
    let rows = [
        ("3", ["3.2", "3.4", "3.6"]),
        ("6", ["6.4", "6.6", "7"]),
        ("8", ["8.4", "9", "10"]),
        ("10", ["10.5", "11", "12"]),
        ("12", ["13", "13.5", "14.5"]),
        ("16", ["17", "17.5", "18.5"]),
        ("20", ["21", "22", "24"]),
        ("24", ["25", "26", "28"]),
        ("30", ["31", "33", "35"]),
        ("42", ["43", "45", "48"]),
    ];
    for (nominal, diameters) in rows {
        let hole = clearance_hole(mm(nominal)).unwrap();
        assert_eq!(hole.diameters, diameters.map(mm), "M{nominal}");
        assert!(
            hole.source.contains("public encyclopedia table"),
            "{}",
            hole.source
        );
    }
    assert_eq!(
        clearance_hole(mm("9")),
        Err([Some(mm("8")), Some(mm("10"))])
    );
    assert_eq!(clearance_hole(mm("160")), Err([Some(mm("150")), None]));
    assert_eq!(clearance_hole(mm("-1")), Err([None, Some(mm("1"))]));
}

/// Every row is found; a bolt passes, and more freely from fine to coarse and from bolt to bolt.
#[test]
fn every_clearance_hole_is_wider_than_its_bolt() {
    let mut before: Option<(Length, [Length; 3])> = None;
    let mut count = 0;
    for line in CLEARANCE_HOLE_TEXTS[0].1.lines().skip(1) {
        let fields: Vec<&str> = line.splitn(5, ',').collect();
        let hole = clearance_hole(mm(fields[0])).unwrap();
        let all = ClearanceSeries::ALL.map(|series| hole.diameter(series));
        assert_eq!(
            all.map(|one| one.to_mm()),
            [1, 2, 3].map(|at| mm(fields[at]).to_mm())
        );
        assert!(
            hole.nominal < all[0] && all[0] < all[1] && all[1] < all[2],
            "{line}"
        );
        let row = (hole.nominal, all);
        if let Some((nominal, wide)) = before {
            assert!(
                hole.nominal > nominal && (0..3).all(|at| all[at] > wide[at]),
                "{line}"
            );
        }
        assert!(!hole.source.is_empty());
        before = Some(row);
        count += 1;
    }
    assert_eq!(count, 51);
}
