//! Three wires: against handbook constants and an independent computation, and there and back.

use crate::table::{Case, cases};
use fitledger::measure::{
    LeadAngle, ThreeWires, Uncertainty, UncertaintySource, WireCaution, WiresError,
    pitch_diameter_uncertainty, wire_line, wire_line_within, wire_range,
};
use fitledger::quantity::Length;
use fitledger::tolerance::{Derivation, Limits, ThreadProfile};
use proptest::prelude::{Strategy, any};
use proptest::{prop_assert, proptest};

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

fn profile(nominal: &str, pitch: &str) -> ThreadProfile {
    ThreadProfile {
        nominal: mm(nominal),
        pitch: mm(pitch),
    }
}

fn found(case: &Case) -> f64 {
    let profile = profile(case.text("nominal_mm"), case.text("pitch_mm"));
    let lead = mm(case.text("lead_mm"));
    let range = wire_range(&profile).unwrap();
    let wires = match case.text("wire_mm") {
        "" => ThreeWires::best(profile, lead).unwrap(),
        wire => ThreeWires::new(profile, lead, mm(wire)).unwrap(),
    };
    let given = || mm(case.text("given_mm"));
    let length = match case.text("quantity") {
        "best_wire" => range.best,
        "usual_min" => range.usual_min,
        "usual_max" => range.usual_max,
        "over_wires" => wires.over_wires(given(), LeadAngle::Ignored).unwrap(),
        "over_wires_corrected" => wires.over_wires(given(), LeadAngle::Corrected).unwrap(),
        "pitch_diameter" => wires.pitch_diameter(given(), LeadAngle::Ignored).unwrap(),
        "pitch_diameter_corrected" => wires.pitch_diameter(given(), LeadAngle::Corrected).unwrap(),
        "effect_um" => {
            let basic = profile.pitch_diameter().to_nm();
            return wires.lead_angle_effect(basic).unwrap().as_nm_f64() / 1e3;
        }
        other => panic!("unknown quantity {other}"),
    };
    length.as_nm_f64() / 1e6
}

/// To the nanometre where it was computed, to the printed digit where it was published.
#[test]
fn wires_agree_with_handbook_and_independent_computation() {
    for case in cases(include_str!("../tables/three_wires.csv")) {
        let found = found(&case);
        case.check("expected", found);
        let computed = case.text("kind") == "computed" && case.text("quantity") != "effect_um";
        let off_nm = (found - case.number("expected")).abs() * 1e6;
        assert!(!computed || off_nm < 0.5, "{}: {off_nm} nm", case.name());
    }
}

/// Geometry: a wire as thick as 7/12 H is level with the crests of the basic profile, one of
/// 7/6 H lies on their edges (H = 1.299038 mm at 1.5: 0.757772 and 1.515544, by hand).
#[test]
fn wires_that_cannot_measure_are_refused() {
    let (ten, lead) = (profile("10", "1.5"), mm("1.5"));
    let make = |wire: &str| ThreeWires::new(ten, lead, mm(wire));
    let best = mm("0.866025");
    assert_eq!(
        make("0.757772"),
        Err(WiresError::WireBelowCrests {
            wire: mm("0.757772"),
            above: mm("0.757772"),
            best
        })
    );
    assert!(make("0.757773").is_ok() && make("1.515543").is_ok());
    assert_eq!(make("1.515544").unwrap_err().code(), "wire_on_crest_edges");
    let error = make("0.7").unwrap_err();
    assert_eq!(error.code(), "wire_below_crests");
    assert!(error.to_string().contains("thicker than 0.757772 mm"));
    assert_eq!(
        error.hint().as_deref(),
        Some("Take wires near 0.866025 mm, the best wire.")
    );
}

#[test]
fn numbers_that_are_none_are_refused() {
    let (ten, lead, wire) = (profile("10", "1.5"), mm("1.5"), mm("0.895"));
    let codes = [
        ThreeWires::new(profile("0", "1.5"), lead, wire),
        ThreeWires::new(profile("10", "0"), lead, wire),
        ThreeWires::new(profile("10", "-1.5"), lead, wire),
        ThreeWires::new(ten, Length::ZERO, wire),
        ThreeWires::new(ten, lead, mm("-0.895")),
        ThreeWires::new(ten, lead, Length::MAX + mm("1")),
    ];
    for code in codes {
        assert_eq!(code.unwrap_err().code(), "wires_out_of_range");
    }
    let half = ThreeWires::new(ten, mm("1.4"), wire).unwrap_err();
    assert_eq!(half.code(), "lead_below_pitch");
    let wires = ThreeWires::new(ten, lead, wire).unwrap();
    for lead_angle in [LeadAngle::Ignored, LeadAngle::Corrected] {
        // M of 1 mm would be a pitch diameter below zero.
        for size in [Length::ZERO, mm("-5"), mm("1")] {
            assert!(wires.pitch_diameter(size, lead_angle).is_err());
        }
        assert!(wires.over_wires(Length::ZERO, lead_angle).is_err());
    }
    // tan psi = 20 / (9 pi) = 0.707.
    let steep = ThreeWires::new(ten, mm("20"), wire).unwrap();
    let error = steep.over_wires(mm("9"), LeadAngle::Corrected).unwrap_err();
    assert_eq!(error.code(), "lead_too_steep");
}

#[test]
fn what_is_not_corrected_is_told() {
    let told = |lead: &str, wire: &str, lead_angle| {
        ThreeWires::new(profile("10", "1.5"), mm(lead), mm(wire))
            .unwrap()
            .cautions(mm("9.026"), lead_angle)
            .unwrap()
    };
    assert_eq!(
        told("1.5", "0.895", LeadAngle::Corrected),
        [WireCaution::ContactForce]
    );
    // c = 0.75 x 0.895 x (1.5 / (9.026 pi))^2 = 0.001878 mm, by hand.
    let ignored = told("1.5", "0.895", LeadAngle::Ignored);
    assert_eq!(
        ignored[0].to_string(),
        "The lead angle is not counted: the pitch diameter reads too large by 1.9 µm."
    );
    // tan psi = 3 / (9.026 pi) = 0.1058: 6 degrees.
    assert_eq!(
        told("3", "0.895", LeadAngle::Corrected)[0],
        WireCaution::SteepLead
    );
    for (wire, outside) in [
        ("0.839", true),
        ("0.84", false),
        ("1.35", false),
        ("1.351", true),
    ] {
        let cautions = told("1.5", wire, LeadAngle::Corrected);
        let said = matches!(cautions[0], WireCaution::OutsideUsualRange { .. });
        assert_eq!(said, outside, "{wire}");
    }
}

/// dM/dW = 3 is the formula's own: the line's factor is held against a wire that is 1 µm larger.
#[test]
fn a_wires_error_counts_three_times() {
    let at = |wire: &str| {
        let wires = ThreeWires::new(profile("10", "1.5"), mm("1.5"), mm(wire)).unwrap();
        wires
            .pitch_diameter(mm("10.37"), LeadAngle::Ignored)
            .unwrap()
    };
    let moved = (at("0.895") - at("0.896")).as_nm_f64();
    let line = wire_line(1_000.0);
    assert!((line.standard_nm - moved).abs() < 1e-9);
    assert_eq!(line.source, UncertaintySource::WireDiameter);
    // 1 µm each way as a rectangle: 3 / sqrt(3) µm, by hand.
    let within = wire_line_within(Length::from_um(1));
    assert!((within.standard_nm - 1_732.050_807_6).abs() < 1e-6);
    // 4 µm of the reading and 3 µm of the wires: 5 µm.
    let reading = Uncertainty::stated(4_000.0).unwrap();
    let whole = pitch_diameter_uncertainty(Some(&reading), line).unwrap();
    let whole = whole.unwrap();
    assert!((whole.standard_nm() - 5_000.0).abs() < 1e-9);
    assert_eq!(whole.lines().len(), 2);
    assert!(pitch_diameter_uncertainty(None, line).unwrap().is_none());
    assert!(pitch_diameter_uncertainty(Some(&reading), wire_line(-1.0)).is_err());
}

/// M10x1.5-6g: d2 8.862 to 8.994 (CAD table of the reference notes); over 0.895 by hand.
#[test]
fn limits_of_the_pitch_diameter_become_limits_over_the_wires() {
    let wires = ThreeWires::new(profile("10", "1.5"), mm("1.5"), mm("0.895")).unwrap();
    let d2 = Limits::new(Some(mm("8.862")), Some(mm("8.994")), Derivation::Stated).unwrap();
    let over = wires.over_wires_limits(&d2, LeadAngle::Ignored).unwrap();
    assert_eq!(over.lower(), Some(mm("10.247962")));
    assert_eq!(over.upper(), Some(mm("10.379962")));
    let one = Limits::new(None, Some(mm("8.994")), Derivation::Stated).unwrap();
    let over = wires.over_wires_limits(&one, LeadAngle::Ignored).unwrap();
    assert_eq!((over.lower(), over.upper()), (None, Some(mm("10.379962"))));
}

/// A thread, its lead, a wire that suits, and a pitch diameter near its own.
fn threads() -> impl Strategy<Value = (ThreeWires, Length)> {
    let numbers = (200_i64..8_000, 8_i64..60, 1_i64..4, 52_i64..100);
    (numbers, -200_000_i64..200_000).prop_map(|((um, times, starts, hundredths), off)| {
        let pitch = Length::from_um(um);
        let nominal = pitch * times;
        let profile = ThreadProfile { nominal, pitch };
        let wire = (pitch * hundredths).div_floor(100);
        let wires = ThreeWires::new(profile, pitch * starts, wire).unwrap();
        let d2 = profile.pitch_diameter().to_nm() + Length::from_nm(off).div_floor(10);
        (wires, d2)
    })
}

proptest! {
    #[test]
    fn there_and_back_is_the_same_pitch_diameter((wires, d2) in threads(), counted in any::<bool>()) {
        let lead_angle = if counted { LeadAngle::Corrected } else { LeadAngle::Ignored };
        let over = wires.over_wires(d2, lead_angle).unwrap();
        let back = wires.pitch_diameter(over, lead_angle).unwrap();
        prop_assert!((back - d2).abs() <= Length::from_nm(1), "{d2} became {back}");
    }

    #[test]
    fn a_larger_pitch_diameter_measures_larger((wires, d2) in threads(), nm in 2_i64..9_000) {
        let more = Length::from_nm(nm);
        for lead_angle in [LeadAngle::Ignored, LeadAngle::Corrected] {
            let over = wires.over_wires(d2, lead_angle).unwrap();
            prop_assert!(wires.over_wires(d2 + more, lead_angle).unwrap() > over);
        }
    }

    #[test]
    fn ignoring_the_lead_angle_reads_large((wires, d2) in threads()) {
        let over = wires.over_wires(d2, LeadAngle::Corrected).unwrap();
        let plain = wires.pitch_diameter(over, LeadAngle::Ignored).unwrap();
        let effect = wires.lead_angle_effect(d2).unwrap();
        prop_assert!((plain - d2 - effect).abs() <= Length::from_nm(2), "{plain} {d2} {effect}");
        prop_assert!(effect > Length::ZERO);
    }
}
