//! What is said of a press fit: cautions, a bush's bore, the way in, what is refused.

use fitledger::material::material;
use fitledger::pair::{
    Elastic, Joint, Press, PressCaution, PressError, PressWay, Strength, Surfaces,
    force_over_travel, press,
};

use super::{near, steel};

fn plain() -> Press {
    Press {
        joint: Joint::new(20.0, Some(40.0), 0.0, 25.0).unwrap(),
        interference_mm: (0.010, 0.030),
        hub: steel(),
        shaft: steel(),
        hub_strength: Strength::Yields(340.0),
        shaft_strength: Strength::Yields(340.0),
        surfaces: Surfaces::default(),
        friction_slip: (0.05, 0.10),
        friction_press_in: (0.08, 0.12),
        clearance_mm: 0.01,
        room_c: 20.0,
        lengths_mm: None,
        hub_heat_max_c: Some(200.0),
        is_plastic: false,
        bore_mm: None,
    }
}

#[test]
fn what_is_special_is_said_beside_the_usual_cautions() {
    let said = |fit: Press| {
        let found = press(&fit).unwrap();
        (found.cautions[4..].to_vec(), found.yields)
    };
    let cold = PressCaution::ColdShrinksLess;
    assert_eq!(said(plain()), (vec![cold], Some(false)));
    let tight = Press {
        interference_mm: (0.010, 0.090),
        ..plain()
    };
    let (cautions, yields) = said(tight);
    assert_eq!(yields, Some(true));
    assert!(cautions.contains(&PressCaution::HubYields));
    assert!(cautions.contains(&PressCaution::TooHot));
    assert!(cautions.contains(&PressCaution::TooCold));
    // By hand: p = E U (1-q²)/(2D) = 78.75 MPa at 20 µm; a brittle hub bears 165 (1-q²)/(1+q²) = 99.
    let iron = |most: f64| Press {
        interference_mm: (0.01, most),
        hub_strength: Strength::Cracks(165.0),
        ..plain()
    };
    assert!(!said(iron(0.025)).0.contains(&PressCaution::HubCracks));
    assert!(said(iron(0.026)).0.contains(&PressCaution::HubCracks));
    let unknown = Press {
        hub_strength: Strength::Unknown,
        ..plain()
    };
    let (cautions, yields) = said(unknown);
    assert_eq!(yields, None);
    assert!(cautions.contains(&PressCaution::StrengthUnknown));
    let short = Press {
        joint: Joint::new(20.0, Some(40.0), 0.0, 9.9).unwrap(),
        lengths_mm: Some((9.9, 30.0)),
        ..plain()
    };
    let (cautions, _) = said(short);
    assert!(cautions.contains(&PressCaution::Short));
    assert!(cautions.contains(&PressCaution::EdgePressure));
    let not_known = Press {
        hub_heat_max_c: None,
        ..plain()
    };
    // 30 µm and 10 µm of clearance on 20 mm at 11.5e-6/K: 174 K, 194 °C.
    assert!(said(not_known).0.contains(&PressCaution::HeatUnknown));
    let barely_warm = Press {
        interference_mm: (0.001, 0.005),
        clearance_mm: 0.005,
        ..not_known
    };
    assert!(!said(barely_warm).0.contains(&PressCaution::HeatUnknown));
    let plastic = Press {
        is_plastic: true,
        ..plain()
    };
    assert!(said(plastic).0.contains(&PressCaution::Creeps));
    for caution in PressCaution::ALWAYS {
        assert!(caution.sentence().ends_with('.') && !caution.code().is_empty());
    }
}

/// A bush of 20 x 16 in a thick housing, all steel, 10 to 30 µm of interference.
fn bush(bore: (f64, f64), limits: (f64, f64)) -> Press {
    Press {
        joint: Joint::new(20.0, None, 16.0, 25.0).unwrap(),
        bore_mm: Some((bore, limits)),
        ..plain()
    }
}

#[test]
fn the_bore_of_a_bush_is_told_after_pressing_and_what_to_make_it_before() {
    // 16 H7: 16.000 to 16.018 (ISO 286-1). The shrinkage by hand: Lamé, one steel, a very thick hub,
    // s = 2 p Di/(E (1 - (Di/D)²)).
    let limits = (16.0, 16.018);
    let found = press(&bush(limits, limits)).unwrap();
    let (least, most) = found.shaft_bore_shrink_mm;
    let by_hand = |u: f64| {
        let q2 = (16.0_f64 / 20.0).powi(2);
        let p = u / 20.0 / ((1.0 + 0.3) / 210e3 + ((1.0 + q2) / (1.0 - q2) - 0.3) / 210e3);
        2.0 * p * 16.0 / (210e3 * (1.0 - q2))
    };
    near(least, by_hand(0.010), 1e-12);
    near(most, by_hand(0.030), 1e-12);
    let bore = found.bore.unwrap();
    near(bore.after_mm.0, 16.0 - most, 1e-12);
    near(bore.after_mm.1, 16.018 - least, 1e-12);
    assert!(!bore.stays && found.cautions.contains(&PressCaution::BoreLeaves));
    // Made to what it says, it stays, and not one hair outside of it.
    let (from, to) = bore.before_mm.unwrap();
    let stays = |bore: (f64, f64)| press(&bush(bore, limits)).unwrap().bore.unwrap().stays;
    assert!(stays((from + 1e-9, to - 1e-9)));
    assert!(!stays((from - 1e-4, to)) && !stays((from, to + 1e-4)));
    // A bore finer than the shrinkage's spread must be finished after pressing.
    let fine = press(&bush((16.0, 16.0), (16.0, 16.005)))
        .unwrap()
        .bore
        .unwrap();
    assert_eq!(fine.before_mm, None);
    for (bore, limits) in [
        ((16.0, 15.0), (16.0, 16.018)),
        ((16.0, 16.0), (16.018, 16.0)),
    ] {
        assert!(matches!(
            press(&bush(bore, limits)),
            Err(PressError::Reversed { .. })
        ));
    }
    assert!(press(&bush((f64::NAN, 16.0), limits)).is_err());
}

#[test]
fn what_usually_brings_up_the_force_is_said_in_steps() {
    // Common practice, no source.
    let way = |newton: f64| PressWay::for_force(newton).code();
    assert_eq!(way(0.0), "vice");
    assert_eq!(way(5_000.0), "vice");
    assert_eq!(way(5_001.0), "arbor_press");
    assert_eq!(way(30_001.0), "hydraulic_press");
    assert_eq!(way(200_001.0), "heat_or_cold");
    assert_eq!(way(f64::INFINITY), "heat_or_cold");
    for newton in [1.0, 6e3, 5e4, 5e5] {
        assert!(
            PressWay::for_force(newton)
                .sentence()
                .contains("common practice, no source")
        );
    }
    // 0.12 π 20 25 p of the tightest pair.
    let found = press(&plain()).unwrap();
    assert_eq!(found.way, PressWay::for_force(found.press_in_force_n.1));
}

#[test]
fn force_grows_along_the_way_to_the_whole_force() {
    let joint = plain().joint;
    let curve = force_over_travel(&joint, (78.75, 0.1), 4);
    // By hand: 0.1 π 20 25 78.75 = 12 370 N.
    let whole = joint.axial_force_n(78.75, 0.1);
    near(whole, 12_370.021, 1e-6);
    let expected: Vec<(f64, f64)> = (0..=4)
        .map(|k| (25.0 * f64::from(k) / 4.0, whole * f64::from(k) / 4.0))
        .collect();
    assert_eq!(curve, expected);
}

#[test]
fn what_cannot_be_is_refused_with_what_it_must_be() {
    let thin = Joint::new(20.0, Some(20.0), 0.0, 25.0).unwrap_err();
    assert_eq!(thin.code(), "hub_too_thin");
    assert!(
        thin.to_string().contains("larger than the joint of 20 mm"),
        "{thin}"
    );
    let hollow = Joint::new(20.0, Some(40.0), 20.0, 25.0).unwrap_err();
    assert_eq!(hollow.code(), "shaft_too_thin");
    for (d, length) in [
        (20.0, 0.0),
        (0.0, 25.0),
        (f64::NAN, 25.0),
        (20.0, f64::INFINITY),
    ] {
        let error = Joint::new(d, Some(40.0), 0.0, length).unwrap_err();
        assert_eq!(error.code(), "out_of_range", "{error}");
    }
    for (e, nu, alpha) in [
        (0.0, 0.3, 1e-5),
        (210_000.0, 0.5, 1e-5),
        (210_000.0, -0.1, 1e-5),
        (210_000.0, 0.3, 1e-3),
        // The hub would have to be infinitely hot.
        (210_000.0, 0.3, 0.0),
        (f64::NAN, 0.3, 1e-5),
    ] {
        assert_eq!(
            Elastic::new(e, nu, alpha).unwrap_err().code(),
            "out_of_range"
        );
    }
    let refused = |fit: Press| press(&fit).unwrap_err();
    let reversed = Press {
        interference_mm: (0.03, 0.01),
        ..plain()
    };
    assert!(matches!(refused(reversed), PressError::Reversed { .. }));
    let odd = [
        Press {
            interference_mm: (0.01, 3.0),
            ..plain()
        },
        Press {
            room_c: 900.0,
            ..plain()
        },
        Press {
            friction_slip: (0.2, 0.1),
            ..plain()
        },
        Press {
            surfaces: Surfaces {
                rz_shaft_um: -1.0,
                rz_hub_um: 0.0,
            },
            ..plain()
        },
        Press {
            hub_strength: Strength::Yields(0.0),
            ..plain()
        },
        Press {
            clearance_mm: -0.01,
            ..plain()
        },
    ];
    for fit in odd {
        assert_eq!(refused(fit).code(), "out_of_range");
    }
}

#[test]
fn every_material_of_the_table_gives_as_it_says() {
    for known in fitledger::material::materials() {
        let elastic = Elastic::of(known).unwrap();
        near(elastic.young_mpa(), known.youngs_modulus_gpa * 1e3, 1e-12);
    }
    let bronze = Elastic::of(material("CuSn8").unwrap()).unwrap();
    assert!(bronze.young_mpa() < steel().young_mpa());
}
