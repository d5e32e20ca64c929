//! Two measured threads together.

use crate::table::cases;
use fitledger::measure::{
    AsIntended, CLEARANCE_CAUTION, FlankClearance, FlankState, MeasuredPitch, flank_clearance,
};
use fitledger::quantity::Length;
use proptest::{prop_assert, prop_assert_eq, proptest};

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

fn known(diameter: Length, standard_nm: Option<f64>) -> MeasuredPitch {
    MeasuredPitch {
        diameter,
        standard_nm,
    }
}

fn plain(internal: &str, external: &str) -> FlankClearance {
    flank_clearance(known(mm(internal), None), known(mm(external), None)).unwrap()
}

#[test]
fn clearances_agree_with_an_independent_computation() {
    for case in cases(include_str!("../tables/thread_clearance.csv")) {
        let found = plain(case.text("internal_mm"), case.text("external_mm"));
        for (column, length) in [
            ("on_diameter_mm", found.on_diameter()),
            ("square_mm", found.square_to_flank()),
            ("axial_mm", found.axial_play()),
        ] {
            case.check(column, length.as_nm_f64() / 1e6);
            assert_eq!(length, mm(case.text(column)), "{}", case.name());
        }
    }
}

#[test]
fn without_an_uncertainty_the_sign_decides() {
    assert_eq!(plain("9.100", "8.928").state(), FlankState::Clearance);
    assert_eq!(plain("9.100", "9.100").state(), FlankState::Clearance);
    assert_eq!(plain("9.026", "9.030").state(), FlankState::Interference);
    assert_eq!(plain("9.100", "8.928").standard_nm(), None);
    let half = flank_clearance(known(mm("9.1"), Some(500.0)), known(mm("9"), None)).unwrap();
    assert_eq!(half.standard_nm(), None);
    assert!(CLEARANCE_CAUTION.contains("GO gauge"));
}

/// u = 3 and 4 µm make 5 µm; one-sided 95 % is 1.645 u = 8.2 µm (normal tables).
#[test]
fn with_an_uncertainty_the_state_may_stay_open() {
    let with = |c_um: i64| {
        let inside = mm("9") + Length::from_um(c_um);
        let fit = flank_clearance(known(inside, Some(3_000.0)), known(mm("9"), Some(4_000.0)));
        fit.unwrap()
    };
    assert!((with(10).standard_nm().unwrap() - 5_000.0).abs() < 1e-9);
    for (c_um, state) in [
        (9, FlankState::Clearance),
        (8, FlankState::Undecided),
        (0, FlankState::Undecided),
        (-8, FlankState::Undecided),
        (-9, FlankState::Interference),
    ] {
        assert_eq!(with(c_um).state(), state, "{c_um}");
    }
}

#[test]
fn an_intended_clearance_is_met_missed_or_in_doubt() {
    let (least, most) = (mm("0.042"), mm("0.424"));
    let asked = |inside: &str, u: Option<f64>| {
        let fit = flank_clearance(known(mm(inside), u), known(mm("9"), u)).unwrap();
        fit.as_intended(least, most).unwrap()
    };
    for (inside, expected) in [
        ("9.041999", AsIntended::No),
        ("9.042", AsIntended::Yes),
        ("9.424", AsIntended::Yes),
        ("9.424001", AsIntended::No),
    ] {
        assert_eq!(asked(inside, None), expected, "{inside}");
        assert_eq!(asked(inside, Some(2_000.0)), AsIntended::Doubt, "{inside}");
    }
    assert_eq!(asked("9.2", Some(2_000.0)), AsIntended::Yes);
    assert_eq!(asked("9.5", Some(2_000.0)), AsIntended::No);
    let fit = plain("9.2", "9");
    assert_eq!(fit.as_intended(most, least), fit.as_intended(least, most));
}

#[test]
fn what_is_no_measurement_is_refused() {
    let good = known(mm("9"), Some(1_000.0));
    for diameter in [Length::ZERO, mm("-9"), Length::MAX + mm("1")] {
        for (inside, outside) in [(known(diameter, None), good), (good, known(diameter, None))] {
            let error = flank_clearance(inside, outside).unwrap_err();
            assert_eq!(error.code(), "diameter_out_of_range");
        }
    }
    for u in [-1.0, f64::NAN, f64::INFINITY] {
        for other in [Some(1_000.0), None] {
            let fit = flank_clearance(known(mm("9"), Some(u)), known(mm("9"), other));
            assert_eq!(fit.unwrap_err().code(), "uncertainty_out_of_range");
        }
    }
}

proptest! {
    /// More clearance never turns into interference, and a wider u decides nothing anew.
    #[test]
    fn states_follow_the_clearance(nm in -40_000_i64..40_000, u in 100.0_f64..9_000.0) {
        let at = |nm: i64, u: f64| {
            let inside = mm("9") + Length::from_nm(nm);
            flank_clearance(known(inside, Some(u)), known(mm("9"), Some(u))).unwrap().state()
        };
        let rank = |state| match state {
            FlankState::Interference => 0,
            FlankState::Undecided => 1,
            FlankState::Clearance => 2,
        };
        prop_assert!(rank(at(nm + 1_000, u)) >= rank(at(nm, u)));
        if at(nm, u) == FlankState::Undecided {
            prop_assert_eq!(at(nm, u * 1.5), FlankState::Undecided);
        }
    }

    /// Swapping the parts turns the sign of every number.
    #[test]
    fn signs_turn_together(nm in -400_000_i64..400_000) {
        let (one, other) = (known(mm("9"), None), known(mm("9") + Length::from_nm(nm), None));
        let (there, back) =
            (flank_clearance(one, other).unwrap(), flank_clearance(other, one).unwrap());
        prop_assert_eq!(there.on_diameter(), -back.on_diameter());
        prop_assert_eq!(there.square_to_flank(), -back.square_to_flank());
        prop_assert_eq!(there.axial_play(), -back.axial_play());
        // c / sqrt(3) is 4/sqrt(3) times c/4.
        let ratio = there.axial_play().as_nm_f64() - there.square_to_flank().as_nm_f64() * 2.309_401_077;
        prop_assert!(ratio.abs() < 2.0, "{ratio}");
    }
}
