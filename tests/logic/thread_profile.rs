//! The basic profile against what the handbooks print.

use fitledger::quantity::Length;
use fitledger::tolerance::ThreadProfile;

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
