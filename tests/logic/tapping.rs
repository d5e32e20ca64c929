//! Tapping drills of ISO 2306.

use fitledger::quantity::Length;
use fitledger::tolerance::{DRILL_TEXTS, ThreadProfile, tapping_drill};

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
