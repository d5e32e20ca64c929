//! Screw gauges of ISO 1502 against published rows and an independent computation.

use crate::table::cases;
use fitledger::quantity::Length;
use fitledger::tolerance::{
    CheckPlugs, GAUGE_TEXTS, GaugeNote, GaugeStanding, GaugeZone, GaugedThread, ScrewGauge,
    ScrewGaugeError, ScrewGaugeLimits, ThreadMember, ThreadProfile, acceptance_rules,
    screw_gauge_limits,
};
use proptest::prelude::{Just, Strategy, any, prop_oneof};
use proptest::{prop_assert, prop_assert_eq, proptest};

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

fn thread(
    nominal: &str,
    pitch: &str,
    member: ThreadMember,
    deviation: i64,
    tolerance: i64,
) -> GaugedThread {
    GaugedThread {
        profile: ThreadProfile {
            nominal: mm(nominal),
            pitch: mm(pitch),
        },
        member,
        deviation: Length::from_um(deviation),
        tolerance: Length::from_um(tolerance),
    }
}

fn zone_of(limits: &ScrewGaugeLimits, gauge: &str, element: &str) -> GaugeZone {
    let of = |gauge: &ScrewGauge| match element {
        "pitch" => gauge.pitch,
        "major" => gauge.major,
        "minor" => gauge.minor,
        other => panic!("unknown element {other}"),
    };
    match (gauge, limits.check_plugs) {
        ("go", _) => of(&limits.go),
        ("no_go", _) => of(&limits.no_go),
        ("check", Some(CheckPlugs { go, no_go, wear })) => match element {
            "go" => go,
            "no_go" => no_go,
            "wear" => wear,
            other => panic!("unknown check plug {other}"),
        },
        (other, _) => panic!("unknown gauge {other}"),
    }
}

#[test]
fn gauges_agree_with_published_rows_and_independent_computation() {
    for case in cases(include_str!("../tables/screw_gauges.csv")) {
        let member = match case.text("member") {
            "internal" => ThreadMember::Internal,
            "external" => ThreadMember::External,
            other => panic!("unknown member {other}"),
        };
        let (deviation, tolerance) = (case.text("deviation_um"), case.text("tolerance_um"));
        let limits = screw_gauge_limits(&thread(
            case.text("nominal_mm"),
            case.text("pitch_mm"),
            member,
            deviation.parse().unwrap(),
            tolerance.parse().unwrap(),
        ))
        .unwrap();
        let zone = zone_of(&limits, case.text("gauge"), case.text("element"));
        let allowed = case.number("allowed_difference");
        // Half a micrometre is the least step that these gauges are told apart by.
        assert!(allowed > 0.0 && allowed < 0.000_5, "{}", case.name());
        for (column, found) in [
            ("lower_mm", zone.lower),
            ("upper_mm", zone.upper),
            ("worn_mm", zone.worn),
        ] {
            let expected = case.number_if_any(column);
            let found = found.map(|length| length.as_nm_f64() / 1e6);
            let near = match (expected, found) {
                (Some(expected), Some(found)) => (expected - found).abs() <= allowed,
                // A row of a source that prints no worn limit says nothing about it.
                (None, found) => found.is_none(),
                (Some(_), None) => false,
            };
            let name = case.name();
            assert!(
                near,
                "{name}: {column} expected {expected:?}, found {found:?}"
            );
        }
        assert_eq!(
            zone.standing.word(),
            case.text("standing"),
            "{}",
            case.name()
        );
    }
}

/// The rows follow each other without a gap; at each end the row below holds, just above it the
/// next one.
#[test]
fn every_row_of_the_table_is_reached() {
    let mut ends = Vec::new();
    for line in GAUGE_TEXTS[0].1.lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let um = |at: usize| fields[at].parse::<i64>().unwrap();
        let (over, up_to) = (um(0), um(1));
        ends.push((over, up_to));
        for tolerance in [over + 1, up_to] {
            let plug = thread("64", "6", ThreadMember::Internal, 0, tolerance);
            let limits = screw_gauge_limits(&plug).unwrap();
            let width = limits.go.pitch.upper.unwrap() - limits.go.pitch.lower.unwrap();
            assert_eq!(width, Length::from_um(um(3)), "{line}");
            assert_eq!(limits.row_over, Length::from_um(over));
            assert_eq!(limits.row_up_to, Length::from_um(up_to));
            assert_eq!(limits.row_source, *fields.last().unwrap());
        }
    }
    assert_eq!(ends.len(), 7);
    assert!(ends.windows(2).all(|pair| pair[0].1 == pair[1].0));
}

#[test]
fn a_tolerance_without_a_row_is_refused() {
    for (um, listed) in [
        (24, false),
        (25, true),
        (670, true),
        (671, false),
        (-50, false),
    ] {
        let ring = thread("64", "6", ThreadMember::External, -80, um);
        assert_eq!(screw_gauge_limits(&ring).is_ok(), listed, "{um}");
    }
    let error =
        screw_gauge_limits(&thread("10", "1.5", ThreadMember::Internal, 0, 20)).unwrap_err();
    assert_eq!(
        error.to_string(),
        "ISO 1502 has no gauge for a pitch-diameter tolerance of 0.02 mm: its rows go from over \
         0.024 to 0.67 mm."
    );
    for (nominal, pitch) in [("10", "0"), ("10", "-1"), ("1", "1"), ("-10", "1")] {
        let none = screw_gauge_limits(&thread(nominal, pitch, ThreadMember::Internal, 0, 100));
        assert!(
            matches!(none, Err(ScrewGaugeError::NoThread { .. })),
            "{nominal} {pitch}"
        );
    }
}

#[test]
fn what_is_established_and_what_is_not_is_said() {
    let notes = |member, deviation, tolerance| {
        let limits =
            screw_gauge_limits(&thread("20", "2.5", member, deviation, tolerance)).unwrap();
        limits.notes()
    };
    let rest = [GaugeNote::TruncationUnresolved, GaugeNote::NotCovered];
    for (member, tolerance, first) in [
        (ThreadMember::Internal, 170, GaugeNote::PlugEstablished),
        (
            ThreadMember::Internal,
            224,
            GaugeNote::PlugNumbersFromMemory,
        ),
        (ThreadMember::External, 170, GaugeNote::RingFromMemory),
    ] {
        let found = notes(member, 0, tolerance);
        assert_eq!(found, [first, rest[0], rest[1]]);
        let sentences: Vec<String> = found.iter().map(ToString::to_string).collect();
        assert!(sentences[1].contains("H/8") && sentences[1].contains("0.1 P"));
        assert!(sentences.iter().all(|one| one.ends_with('.')));
    }
    let rules = acceptance_rules(ThreadMember::Internal);
    assert!(rules[1].contains("two turns") && rules[3].contains("minor diameter"));
    assert!(acceptance_rules(ThreadMember::External)[3].contains("major diameter"));
}

fn threads() -> impl Strategy<Value = GaugedThread> {
    let sizes = (
        350_i64..6_000,
        8_i64..50,
        25_i64..=670,
        0_i64..200,
        any::<bool>(),
    );
    sizes.prop_map(|(um, times, tolerance, deviation, inside)| {
        let pitch = Length::from_um(um);
        let (member, sign) = if inside {
            (ThreadMember::Internal, 1)
        } else {
            (ThreadMember::External, -1)
        };
        GaugedThread {
            profile: ThreadProfile {
                nominal: pitch * times,
                pitch,
            },
            member,
            deviation: Length::from_um(deviation * sign),
            tolerance: Length::from_um(tolerance),
        }
    })
}

proptest! {
    /// On the metal axis: GO, new and worn, lies on the metal side of NO-GO, new and worn.
    #[test]
    fn go_never_reaches_no_go(thread in threads()) {
        let limits = screw_gauge_limits(&thread).unwrap();
        let sign = if thread.member == ThreadMember::Internal { 1 } else { -1 };
        // Growing toward least material for both members.
        let ends = |zone: &GaugeZone| {
            let all = [zone.lower, zone.upper, zone.worn].map(|end| end.unwrap() * sign);
            let least = all.iter().min().copied();
            (least.unwrap(), all.iter().max().copied().unwrap())
        };
        let (_, go_most) = ends(&limits.go.pitch);
        let (no_go_least, _) = ends(&limits.no_go.pitch);
        prop_assert!(go_most < no_go_least, "{go_most} {no_go_least}");
        // Wear takes metal off the gauge: a plug gets smaller, a ring larger.
        for zone in [limits.go.pitch, limits.no_go.pitch] {
            let (lower, upper) = (zone.lower.unwrap(), zone.upper.unwrap());
            let worn = zone.worn.unwrap();
            prop_assert!(lower < upper);
            let beyond = if sign > 0 { worn < lower } else { worn > upper };
            prop_assert!(beyond, "{worn} in {lower} {upper}");
        }
        // A new NO-GO gauge lies at the work's least-material limit or beyond it.
        let basic = thread.profile.pitch_diameter().to_nm();
        let least_material = (basic + thread.deviation + thread.tolerance * sign) * sign;
        let new = [limits.no_go.pitch.lower, limits.no_go.pitch.upper];
        let nearest = new.map(|end| end.unwrap() * sign).into_iter().min().unwrap();
        prop_assert!((nearest - least_material).abs() <= Length::from_nm(51));
    }

    #[test]
    fn gauges_move_with_the_work(thread in threads(), um in prop_oneof![Just(-30_i64), 1_i64..90]) {
        let moved = GaugedThread { deviation: thread.deviation + Length::from_um(um), ..thread };
        let (one, other) = (screw_gauge_limits(&thread).unwrap(), screw_gauge_limits(&moved).unwrap());
        let by = Length::from_um(um);
        for (one, other) in [(one.go, other.go), (one.no_go, other.no_go)] {
            prop_assert_eq!(one.pitch.worn.map(|end| end + by), other.pitch.worn);
            prop_assert_eq!(one.major.lower.map(|end| end + by), other.major.lower);
            prop_assert_eq!(one.minor.upper.map(|end| end + by), other.minor.upper);
        }
        prop_assert_eq!(one.check_plugs.is_some(), thread.member == ThreadMember::External);
    }

    #[test]
    fn standing_is_never_better_than_the_row(thread in threads()) {
        let limits = screw_gauge_limits(&thread).unwrap();
        let established = limits.go.pitch.standing == GaugeStanding::Established;
        let public = thread.tolerance > Length::from_um(50) && thread.tolerance <= Length::from_um(200);
        prop_assert_eq!(established, public && thread.member == ThreadMember::Internal);
    }
}
