//! The basic profile against what the handbooks print.

use crate::table::cases;
use fitledger::quantity::Length;
use fitledger::tolerance::{CalloutLimits, Context, ThreadProfile, ThreadTables, limits_of};

fn profile(nominal: &str, pitch: &str) -> ThreadProfile {
    ThreadProfile {
        nominal: Length::parse_mm(nominal).unwrap(),
        pitch: Length::parse_mm(pitch).unwrap(),
    }
}

/// The printed factors of the pitch, six decimals (Machinery's Handbook 27th ed. p.1784;
/// 0.613435 UNI 4535-64): at a pitch of 1 mm every height is its factor, to the nanometre.
#[test]
fn the_factors_are_those_of_the_handbook() {
    let one = profile("10", "1");
    let factors = [
        (one.triangle_height().to_nm(), "0.866025"),
        (
            Length::from_mm(10) - one.pitch_diameter().to_nm(),
            "0.649519",
        ),
        (
            Length::from_mm(10) - one.minor_diameter().to_nm(),
            "1.082532",
        ),
        (
            Length::from_mm(10) - one.design_minor_diameter().to_nm(),
            "1.226869",
        ),
        (one.external_height_on_diameter().to_nm(), "1.226869"),
        (one.root_radius().to_nm(), "0.144338"),
        (one.least_root_radius().to_nm(), "0.125"),
        (one.least_root_drop().to_nm(), "0.616025"),
    ];
    for (found, printed) in factors {
        assert_eq!(found, Length::parse_mm(printed).unwrap(), "{printed}");
    }
}

/// UNI 4535-64 as a tap maker's guide prints it (M1.6 to M18), and Machinery's Handbook for M10.
#[test]
fn basic_diameters_of_known_sizes() {
    let cases = [
        ("10", "1.5", "9.026", "8.376", "8.16"),
        ("6", "1", "5.35", "4.917", "4.773"),
        ("16", "2", "14.701", "13.835", "13.546"),
        ("3", "0.5", "2.675", "2.459", "2.387"),
    ];
    for (nominal, pitch, d2, d1, d3) in cases {
        let profile = profile(nominal, pitch);
        let mm = |text| Length::parse_mm(text).unwrap();
        assert_eq!(
            profile.pitch_diameter().printed(),
            mm(d2),
            "d2 of M{nominal}"
        );
        assert_eq!(
            profile.minor_diameter().printed(),
            mm(d1),
            "d1 of M{nominal}"
        );
        assert_eq!(
            profile.design_minor_diameter().printed(),
            mm(d3),
            "d3 of M{nominal}"
        );
    }
}

/// All 352 pairs of ISO 261, computed apart from the program with 50 digits; the least minor
/// diameter of an external thread is rounded once, at the end.
#[test]
fn every_pair_of_iso_261_agrees_with_fifty_digits() {
    let tables = ThreadTables::standard();
    let mut pairs = Vec::new();
    for case in cases(include_str!("../tables/thread_profile.csv")) {
        let (nominal, pitch) = (case.text("nominal_mm"), case.text("pitch_mm"));
        let profile = profile(nominal, pitch);
        pairs.push((profile.nominal, profile.pitch));
        let diameters = [
            (profile.pitch_diameter(), "pitch"),
            (profile.minor_diameter(), "minor"),
            (profile.design_minor_diameter(), "design_minor"),
        ];
        for (exact, name) in diameters {
            let mm = |column: String| Length::parse_mm(case.text(&column)).unwrap();
            assert_eq!(
                exact.to_nm(),
                mm(format!("{name}_diameter_mm")),
                "{}",
                case.name()
            );
            assert_eq!(
                exact.printed(),
                mm(format!("{name}_printed_mm")),
                "{}",
                case.name()
            );
        }
        let callout = format!("M{nominal}x{pitch}-{}", case.text("class"));
        let (_, limits) = limits_of(&callout, &Context::standard()).unwrap();
        let CalloutLimits::Thread(limits) = limits else {
            panic!("{callout}")
        };
        let least = limits.minor.lower().unwrap().to_mm();
        assert_eq!(least, case.text("least_minor_mm"), "{callout}");
    }
    let mut tabled: Vec<_> = tables
        .sizes()
        .iter()
        .map(|size| (size.nominal, size.pitch))
        .collect();
    tabled.sort_unstable();
    pairs.sort_unstable();
    assert_eq!(pairs, tabled);
    assert_eq!(pairs.len(), 352);
}

/// What a picture of the profile needs, of a pitch of 1.5 mm: P/8, P/4 and 5/8 H on the radius
/// (0.811899 as a public worked example for M10 prints it), twice.
#[test]
fn flats_and_engaged_height_are_exact() {
    let profile = profile("10", "1.5");
    let mm = |text| Length::parse_mm(text).unwrap();
    assert_eq!(profile.crest_flat().to_nm(), mm("0.1875"));
    assert_eq!(profile.root_flat().to_nm(), mm("0.375"));
    assert_eq!(profile.engaged_height_on_diameter().to_nm(), mm("1.623798"));
    assert_eq!(profile.triangle_height().to_nm(), mm("1.299038"));
    let engaged = profile.nominal - profile.minor_diameter().to_nm();
    assert_eq!(profile.engaged_height_on_diameter().to_nm(), engaged);
}

/// R_min is printed by the table as P/8 to the micrometre.
#[test]
fn the_printed_root_radius_is_an_eighth_of_the_pitch() {
    let tables = ThreadTables::standard();
    for size in tables.sizes() {
        let printed = tables.least_root_radius(size.pitch).unwrap();
        let exact = profile("1", &size.pitch.to_mm())
            .least_root_radius()
            .to_nm();
        let off = (printed - exact).abs();
        assert!(off <= Length::from_nm(500), "{}", size.pitch);
    }
}
