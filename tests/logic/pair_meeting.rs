//! Two measured halves, and the half that is made to suit, against worked examples.

use fitledger::material::{Expansion, material};
use fitledger::measure::AsIntended;
use fitledger::pair::{
    Between, Measured, Meeting, MeetingKind, Member, OutOfClass, guard_of, make_to_suit,
    random_pairs,
};
use fitledger::quantity::{Celsius, Length};
use proptest::prelude::*;

use crate::press::{agrees, example, given};

fn mm(text: f64) -> Length {
    Length::parse_mm(&format!("{text:.6}")).unwrap()
}

/// From micrometres, to the nanometre.
#[allow(clippy::cast_possible_truncation)]
fn um(value: f64) -> Length {
    Length::from_nm((value * 1_000.0).round() as i64)
}

fn member(size: Length, standard_nm: f64) -> Member {
    Member {
        size,
        standard_nm: Some(standard_nm),
    }
}

#[test]
fn measured_pairs_and_what_suits_them_as_computed_elsewhere() {
    for id in ["MP-01", "MP-02", "MP-03"] {
        let one = example(id);
        let k = given(&one, "coverage_factor");
        let standard = |name: &str| given(&one, name) * 1_000.0 / k;
        let (bore, shaft) = (mm(given(&one, "bore_mm")), mm(given(&one, "shaft_mm")));
        let pair = Meeting::of(
            member(bore, standard("U_bore_um")),
            member(shaft, standard("U_shaft_um")),
        );
        let range = (
            um(given(&one, "class_clearance_min_um")),
            um(given(&one, "class_clearance_max_um")),
        );
        let class: Vec<f64> = one["given"]["shaft_class_limits_mm"]
            .as_array()
            .unwrap()
            .iter()
            .map(|end| end.as_f64().unwrap())
            .collect();
        let class = Between {
            lower: mm(class[0]),
            upper: mm(class[1]),
        };
        let expanded = pair.expanded_nm().unwrap();
        let guard = guard_of(pair.standard_nm().unwrap());
        let suits = make_to_suit((Measured::Hole, bore), range, guard, class).unwrap();
        // The table's rows of the class have no guard band.
        let bare = make_to_suit((Measured::Hole, bore), range, Length::ZERO, class).unwrap();
        let in_class = bare.in_class.unwrap();
        let size = |length: Length| length.as_nm_f64() / 1e6;
        agrees(
            &one,
            &[
                ("clearance of the pair", pair.clearance_nm() / 1_000.0),
                ("expanded uncertainty (k=2)", expanded / 1_000.0),
                (
                    "probability of interference",
                    pair.interference_probability().unwrap(),
                ),
                (
                    "probability of clearance inside the class limits",
                    pair.inside_probability(range).unwrap(),
                ),
                (
                    "shaft min to keep the intent (no guard)",
                    size(suits.whole.lower),
                ),
                (
                    "shaft max to keep the intent (no guard)",
                    size(suits.whole.upper),
                ),
                ("shaft min with guard U", size(suits.guarded.lower)),
                ("shaft max with guard U", size(suits.guarded.upper)),
                ("shaft min kept inside its own class", size(in_class.lower)),
                ("shaft max kept inside its own class", size(in_class.upper)),
            ],
        );
    }
}

#[test]
fn batches_of_pairs_as_computed_elsewhere() {
    for id in ["BT-01", "BT-02", "BT-03"] {
        let one = example(id);
        let both = |of: &str| {
            (
                given(&one, &format!("{of}_mean")),
                given(&one, &format!("{of}_sd")),
            )
        };
        let found = random_pairs(both("hole"), both("shaft"));
        let p = found.interference;
        let none = (1.0 - p).powi(20);
        agrees(
            &one,
            &[
                ("mean clearance", found.clearance),
                ("standard deviation of clearance", found.deviation),
                ("probability of interference", p),
                ("probability that clearance is positive", 1.0 - p),
                (
                    "probability of at most one interference in 20 pairs",
                    none + 20.0 * p * (1.0 - p).powi(19),
                ),
            ],
        );
    }
}

#[test]
fn what_a_pair_is_depends_on_how_sure_it_is() {
    let pair = |clearance_um: f64, u_nm: f64| {
        Meeting::of(
            member(mm(20.0) + um(clearance_um), u_nm),
            member(mm(20.0), 0.0),
        )
    };
    assert_eq!(pair(3.0, 1_000.0).kind(), MeetingKind::Clearance);
    assert_eq!(pair(1.9, 1_000.0).kind(), MeetingKind::Undecided);
    assert_eq!(pair(-1.9, 1_000.0).kind(), MeetingKind::Undecided);
    assert_eq!(pair(-3.0, 1_000.0).kind(), MeetingKind::Interference);
    assert_eq!(pair(0.0, 0.0).kind(), MeetingKind::Undecided);
    // Size for size: by hand one half.
    assert!((pair(0.0, 1_000.0).interference_probability().unwrap() - 0.5).abs() < 1e-12);
    let sure = pair(1.0, 0.0);
    assert!(sure.interference_probability().unwrap().abs() < 1e-300);
    assert!((sure.inside_probability((um(1.0), um(2.0))).unwrap() - 1.0).abs() < 1e-300);
    assert!(sure.inside_probability((um(1.1), um(2.0))).unwrap().abs() < 1e-300);
    let unknown = Meeting::of(
        Member {
            size: mm(20.01),
            standard_nm: None,
        },
        member(mm(20.0), 500.0),
    );
    assert_eq!(unknown.kind(), MeetingKind::Clearance);
    assert_eq!(unknown.interference_probability(), None);
    assert_eq!(unknown.inside_probability((um(0.0), um(20.0))), None);
}

/// A steel shaft of 20 mm in a bore of aluminium 10 µm larger: by hand
/// 20 mm (23.4 - 11.5) 1e-6 60 K = 14.28 µm more at 80 °C, and the bore's own 10 µm 23.4e-6 60 K.
#[test]
fn a_warm_pair_has_the_clearance_that_its_materials_make() {
    let (aluminium, steel) = (
        Expansion {
            per_kelvin: 23.4e-6,
            standard_uncertainty_per_kelvin: 1e-6,
        },
        Expansion {
            per_kelvin: 11.5e-6,
            standard_uncertainty_per_kelvin: 0.5e-6,
        },
    );
    let bore = (member(mm(20.01), 600.0), aluminium);
    let shaft = (member(mm(20.0), 800.0), steel);
    let warm = |milli: i32| Meeting::at(bore, shaft, Celsius::from_milli(milli));
    let cold = warm(20_000).unwrap();
    assert!((cold.clearance_nm() - 10_000.0).abs() < 1e-9);
    assert!((cold.standard_nm().unwrap() - 1_000.0).abs() < 1e-9);
    let found = warm(80_000).unwrap();
    assert!((found.clearance_nm() - (10_000.0 + 14_280.0 + 14.04)).abs() < 1e-6);
    // u: 1 µm, 20.01 mm 1e-6 60 K = 1.2006 µm, 20 mm 0.5e-6 60 K = 0.6 µm.
    let u = (1.0_f64 + 1.2006 * 1.2006 + 0.36).sqrt() * 1_000.0;
    assert!((found.standard_nm().unwrap() - u).abs() < 1e-6);
    // Cooled by 42 K it is gone: by hand 11.9e-6 20 mm 42 K = 9.996 µm, and 9.8 nm of the bore's own.
    let gone = warm(-22_000).unwrap();
    assert!(gone.clearance_nm() < 0.0 && gone.clearance_nm() > -10.0);
    for milli in [-200_001, 400_001, i32::MAX, i32::MIN] {
        assert_eq!(warm(milli).unwrap_err().code(), "out_of_range");
    }
    assert!(material("EN AW-6082").is_ok());
}

#[test]
fn what_cannot_suit_says_why() {
    let class = Between {
        lower: mm(24.98),
        upper: mm(24.993),
    };
    let range = (um(7.0), um(41.0));
    let suit = |bore: f64| make_to_suit((Measured::Hole, mm(bore)), range, um(2.0), class);
    // 25 H7 bored 30 µm too large: the shaft must be at least 24.991 with its guard band.
    assert_eq!(
        suit(25.030).unwrap().in_class,
        Ok(Between {
            lower: mm(24.991),
            upper: mm(24.993)
        })
    );
    let lost = suit(25.040).unwrap();
    assert_eq!(
        lost.in_class,
        Err(OutOfClass::ClassTooSmall {
            class_upper: mm(24.993),
            lower: mm(25.001)
        })
    );
    let told = lost.in_class.unwrap_err().sentence();
    assert!(
        told.contains("ends at 24.993 mm") && told.contains("needs 25.001 mm"),
        "{told}"
    );
    let small = suit(24.980).unwrap().in_class.unwrap_err();
    assert!(
        matches!(small, OutOfClass::ClassTooLarge { .. }),
        "{small:?}"
    );
    let shaft = make_to_suit((Measured::Shaft, mm(24.99)), range, um(2.0), class).unwrap();
    assert_eq!(
        (shaft.whole.lower, shaft.whole.upper),
        (mm(24.997), mm(25.031))
    );
    assert_eq!(
        (shaft.guarded.lower, shaft.guarded.upper),
        (mm(24.999), mm(25.029))
    );
    let guard = make_to_suit((Measured::Hole, mm(25.0)), range, um(18.0), class).unwrap_err();
    assert_eq!(guard.code(), "nothing_left");
    assert!(guard.to_string().contains("0.034") && guard.to_string().contains("0.018"));
    let turned = (range.1, range.0);
    let turned = make_to_suit((Measured::Hole, mm(25.0)), turned, um(0.0), class).unwrap_err();
    assert_eq!(turned.code(), "clearance_reversed");
    assert_eq!(turned.hint(), Some("Give the smaller clearance first."));
}

#[test]
fn a_guard_band_is_rounded_up_and_never_negative() {
    assert_eq!(guard_of(1_500.2), Length::from_nm(3_001));
    assert_eq!(guard_of(0.0), Length::ZERO);
    assert_eq!(guard_of(-7.0), Length::ZERO);
    for beyond in [1e300, f64::INFINITY] {
        assert_eq!(guard_of(beyond), Length::MAX, "{beyond}");
    }
}

#[test]
fn a_pair_is_as_intended_where_that_is_proved() {
    let pair = |clearance_um: f64, u_nm: Option<f64>| {
        let hole = Member {
            size: mm(20.0) + um(clearance_um),
            standard_nm: u_nm,
        };
        Meeting::of(hole, member(mm(20.0), 0.0))
    };
    let range = (um(7.0), um(41.0));
    let found = |clearance_um, u_nm| pair(clearance_um, u_nm).as_intended(range).unwrap();
    // 1.645 u of 1 µm inside or beyond a limit is proved at 95 %, less is not.
    for (clearance, expected) in [
        (9.0, AsIntended::Yes),
        (8.0, AsIntended::Doubt),
        (6.0, AsIntended::Doubt),
        (5.0, AsIntended::No),
        (43.0, AsIntended::No),
        (39.0, AsIntended::Yes),
    ] {
        assert_eq!(found(clearance, Some(1_000.0)), expected, "{clearance}");
    }
    assert_eq!(found(7.0, None), AsIntended::Yes);
    assert_eq!(found(6.999, None), AsIntended::No);
    let turned = pair(20.0, None).as_intended((range.1, range.0)).unwrap();
    assert_eq!(turned, AsIntended::No);
    let no_u = pair(20.0, Some(f64::INFINITY))
        .as_intended(range)
        .unwrap_err();
    assert_eq!(no_u.code(), "uncertainty_out_of_range");
}

proptest! {
    /// What is turned to suit within its guard bands is proved as intended, and what lies beyond
    /// the limits without them is not.
    #[test]
    fn what_is_made_to_suit_is_as_intended(
        measured in -40_i64..40, least in -40_i64..40, width in 1_i64..60,
        u_hole in 1.0_f64..3_000.0, u_shaft in 1.0_f64..3_000.0, at in 0.0_f64..1.0,
        beyond_nm in 1_i64..9_000,
    ) {
        let range = (Length::from_um(least), Length::from_um(least + width));
        let measured = mm(25.0) + Length::from_um(measured);
        let class = Between { lower: mm(24.0), upper: mm(26.0) };
        let guard = guard_of(u_hole.hypot(u_shaft));
        for which in [Measured::Hole, Measured::Shaft] {
            let Ok(found) = make_to_suit((which, measured), range, guard, class) else {
                prop_assert!(guard * 2 > range.1 - range.0);
                continue;
            };
            let together = |other: Length| match which {
                Measured::Hole => Meeting::of(member(measured, u_hole), member(other, u_shaft)),
                Measured::Shaft => Meeting::of(member(other, u_hole), member(measured, u_shaft)),
            };
            let span = (found.guarded.upper - found.guarded.lower).as_nm_f64();
            #[allow(clippy::cast_possible_truncation)]
            let inside = found.guarded.lower + Length::from_nm((span * at).floor() as i64);
            for other in [inside, found.guarded.lower, found.guarded.upper] {
                prop_assert_eq!(together(other).as_intended(range).unwrap(), AsIntended::Yes);
            }
            let beyond = Length::from_nm(beyond_nm);
            for other in [found.whole.lower - beyond, found.whole.upper + beyond] {
                prop_assert!(together(other).as_intended(range).unwrap() != AsIntended::Yes);
            }
        }
    }

    /// Any size between the limits keeps the clearance, any beyond does not.
    #[test]
    fn a_half_made_to_suit_keeps_the_clearance_and_no_other_does(
        measured in 0_i64..100, least in -40_i64..40, width in 0_i64..40, try_um in -200_i64..300,
    ) {
        let (least, most) = (Length::from_um(least), Length::from_um(least + width));
        let measured = mm(25.0) + Length::from_um(measured);
        let other = mm(25.0) + Length::from_um(try_um);
        let class = Between { lower: mm(20.0), upper: mm(30.0) };
        for which in [Measured::Hole, Measured::Shaft] {
            let found = make_to_suit((which, measured), (least, most), Length::ZERO, class);
            let found = found.unwrap().whole;
            let clearance = match which {
                Measured::Hole => measured - other,
                Measured::Shaft => other - measured,
            };
            let keeps = (least..=most).contains(&clearance);
            prop_assert_eq!(keeps, (found.lower..=found.upper).contains(&other));
        }
    }
}
