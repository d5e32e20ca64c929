//! Slips of hand and unit are held, good readings never.

use fitledger::gauge::Origin;
use fitledger::measure::{Cause, Circumstances, Plausibility, plausibility, slipped_zero};
use fitledger::quantity::{Length, LengthUnit};
use fitledger::tolerance::{Derivation, Limits, Surface};
use proptest::prelude::*;

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

fn limits(lower: &str, upper: &str) -> Limits {
    let parsed = |text: &str| (!text.is_empty()).then(|| mm(text));
    Limits::new(parsed(lower), parsed(upper), Derivation::Stated).unwrap()
}

/// A sent millimetre reading of a shaft.
fn about<'a>(value: &str, limits: &'a Limits) -> Circumstances<'a> {
    Circumstances {
        value: mm(value),
        limits,
        surface: Surface::Outside,
        unit: LengthUnit::Millimetre,
        origin: Origin::Sent,
        thimble: false,
        cutting: false,
        last_value: None,
        others: &[],
    }
}

/// The code of the cause that a reading is held for, or `plausible`.
fn found(about: &Circumstances<'_>) -> &'static str {
    match plausibility(about) {
        Plausibility::Plausible => "plausible",
        Plausibility::Held(cause) => cause.code(),
    }
}

#[test]
fn far_is_beyond_ten_tolerances_and_a_quarter_millimetre() {
    let fine = limits("19.979", "20.000");
    for (value, expected) in [
        ("20.210", "plausible"),
        ("20.250", "plausible"),
        ("20.250001", "far"),
        ("19.729", "plausible"),
        ("19.728999", "far"),
    ] {
        assert_eq!(found(&about(value, &fine)), expected, "{value}");
    }
    let coarse = limits("19.9", "20.1");
    assert_eq!(found(&about("22.1", &coarse)), "plausible");
    assert_eq!(found(&about("22.100001", &coarse)), "far");
    // One-sided: a tenth of the limit, and 0.25 mm.
    let least = limits("12", "");
    assert_eq!(found(&about("10.8", &least)), "plausible");
    assert_eq!(found(&about("10.799999", &least)), "far");
    let runout = limits("", "0.0125");
    assert_eq!(found(&about("0.2625", &runout)), "plausible");
    assert_eq!(found(&about("0.262501", &runout)), "far");
}

#[test]
fn inch_and_millimetre_are_told_apart_either_way() {
    let shaft = limits("19.979", "20.000");
    // 0.787 in = 19.9898 mm.
    let inch = about("0.787", &shaft);
    let would_be = mm("19.9898");
    let cause = Cause::InchTakenForMillimetre { would_be };
    assert_eq!(plausibility(&inch), Plausibility::Held(cause));
    assert_eq!(
        cause.to_string(),
        "Inch taken for millimetre? Then it is 19.9898 mm, inside."
    );
    // 19.99 shown as inches is 507.746 mm.
    let metric = Circumstances {
        unit: LengthUnit::Inch,
        ..about("507.746", &shaft)
    };
    assert_eq!(found(&metric), "millimetre_taken_for_inch");
    // A millimetre gauge does not show 507 mm for an inch slip: only far.
    assert_eq!(found(&about("507.746", &shaft)), "far");
}

#[test]
fn a_thimble_turn_is_seen_only_in_typed_readings_of_a_thimble() {
    let shaft = limits("19.979", "20.000");
    let typed = Circumstances {
        origin: Origin::Typed,
        thimble: true,
        ..about("19.490", &shaft)
    };
    assert_eq!(found(&typed), "thimble_turn");
    assert_eq!(
        found(&Circumstances {
            value: mm("20.49"),
            ..typed
        }),
        "thimble_turn"
    );
    assert_eq!(
        found(&Circumstances {
            origin: Origin::Sent,
            ..typed
        }),
        "far"
    );
    assert_eq!(
        found(&Circumstances {
            thimble: false,
            ..typed
        }),
        "far"
    );
    // 0.025 in = 0.635 mm.
    let inch = Circumstances {
        unit: LengthUnit::Inch,
        ..typed
    };
    assert_eq!(
        found(&Circumstances {
            value: mm("19.36"),
            ..inch
        }),
        "thimble_turn"
    );
    assert_eq!(found(&inch), "far");
    // Wide limits: a turn proves nothing.
    let wide = limits("19.5", "20.5");
    assert_eq!(
        found(&Circumstances {
            value: mm("20.7"),
            limits: &wide,
            ..typed
        }),
        "plausible"
    );
}

#[test]
fn a_reading_that_fits_another_characteristic_is_held_and_names_it() {
    let shaft = limits("19.979", "20.000");
    let others = [limits("20.002", "20.015"), limits("25.000", "25.021")];
    let reading = Circumstances {
        others: &others,
        ..about("25.01", &shaft)
    };
    let cause = Cause::OtherCharacteristic { index: 1 };
    assert_eq!(plausibility(&reading), Plausibility::Held(cause));
    // 8 µm too large is a bad shaft before it is the seat beside it.
    assert_eq!(
        found(&Circumstances {
            value: mm("20.008"),
            ..reading
        }),
        "plausible"
    );
    // A wide zone around proves nothing.
    let around = [limits("19.5", "20.5")];
    let bad = Circumstances {
        others: &around,
        ..about("20.1", &shaft)
    };
    assert_eq!(found(&bad), "plausible");
}

#[test]
fn a_radius_is_seen_only_where_a_diameter_is_asked() {
    let shaft = limits("19.979", "20.000");
    assert_eq!(found(&about("9.995", &shaft)), "radius_for_diameter");
    let length = Circumstances {
        surface: Surface::Length,
        ..about("9.995", &shaft)
    };
    assert_eq!(found(&length), "far");
    // In wide limits a doubled size is inside by chance.
    assert_eq!(found(&about("4.9", &limits("5", "12"))), "plausible");
}

#[test]
fn metal_on_while_cutting_is_not_held() {
    let shaft = limits("19.979", "20.000");
    let cutting = |value| Circumstances {
        cutting: true,
        ..about(value, &shaft)
    };
    assert_eq!(found(&cutting("25")), "plausible");
    assert_eq!(found(&about("25", &shaft)), "far");
    assert_eq!(found(&cutting("19.0")), "far", "metal gone is held as ever");
    let inch = Circumstances {
        unit: LengthUnit::Inch,
        ..cutting("507.746")
    };
    assert_eq!(found(&inch), "millimetre_taken_for_inch");
    // Larger than the last one: only beyond a burr's worth, and only for diameters.
    let last = Some(mm("22"));
    let after = |value| Circumstances {
        last_value: last,
        ..cutting(value)
    };
    assert_eq!(found(&after("21.5")), "plausible");
    assert_eq!(found(&after("22.05")), "plausible");
    assert_eq!(found(&after("22.050001")), "metal_grown");
    let slot_limits = limits("8", "8.036");
    let bore = Circumstances {
        surface: Surface::Inside,
        last_value: Some(mm("7.5")),
        cutting: true,
        ..about("7.4", &slot_limits)
    };
    assert_eq!(found(&bore), "metal_grown");
    assert_eq!(
        found(&Circumstances {
            surface: Surface::Slot,
            ..bore
        }),
        "plausible"
    );
}

#[test]
fn a_slipped_zero_is_suspected_when_all_are_off_alike() {
    let off = |a: &str, b: &str, c: &str| {
        slipped_zero(&[
            (mm(a), limits("19.990", "20.010")),
            (mm(b), limits("24.980", "25.020")),
            (mm(c), limits("29.990", "30.010")),
        ])
    };
    assert_eq!(off("20.050", "25.052", "30.051"), Some(mm("0.051")));
    assert_eq!(off("20.050", "24.948", "30.051"), None, "not on one side");
    assert_eq!(off("20.050", "25.052", "30.005"), None, "one is inside");
    assert_eq!(off("20.050", "25.052", "30.080"), None, "not alike");
    let wide = (mm("30.045"), limits("29.950", "30.050"));
    let narrow = (mm("20.050"), limits("19.990", "20.010"));
    assert_eq!(
        slipped_zero(&[narrow, narrow, wide]),
        None,
        "alike, but one is inside"
    );
    let one = (mm("20.050"), limits("19.990", "20.010"));
    assert_eq!(slipped_zero(&[one, one]), None, "two prove nothing");
    assert_eq!(slipped_zero(&[]), None);
}

proptest! {
    #[test]
    fn a_reading_inside_its_limits_is_never_held(
        low in 100_000_i64..100_000_000, width in 0_i64..2_000_000, share in 0_i64..=100,
        typed in any::<bool>(), thimble in any::<bool>(), cutting in any::<bool>(),
        inch in any::<bool>(), bore in any::<bool>(), last in 0_i64..100_000_000,
    ) {
        let (lower, upper) = (Length::from_nm(low), Length::from_nm(low + width));
        let limits = Limits::new(Some(lower), Some(upper), Derivation::Stated).unwrap();
        let others = [limits];
        let reading = Circumstances {
            value: Length::from_nm(low + width * share / 100),
            limits: &limits,
            surface: if bore { Surface::Inside } else { Surface::Outside },
            unit: if inch { LengthUnit::Inch } else { LengthUnit::Millimetre },
            origin: if typed { Origin::Typed } else { Origin::Sent },
            thimble,
            cutting,
            last_value: Some(Length::from_nm(last)),
            others: &others,
        };
        prop_assert_eq!(plausibility(&reading), Plausibility::Plausible);
    }

    #[test]
    fn a_slightly_bad_reading_of_a_gauge_is_never_held(
        low in 1_000_000_i64..100_000_000, width in 2_000_i64..200_000, off in 1_i64..=100,
        above in any::<bool>(), inch in any::<bool>(), bore in any::<bool>(),
    ) {
        // Beyond a limit by up to one tolerance, with a neighbour of the same size beside it.
        let (lower, upper) = (Length::from_nm(low), Length::from_nm(low + width));
        let limits = Limits::new(Some(lower), Some(upper), Derivation::Stated).unwrap();
        let beyond = Length::from_nm((width * off / 100).max(1));
        let value = if above { upper + beyond } else { lower - beyond };
        let others = [Limits::new(Some(value), Some(value), Derivation::Stated).unwrap()];
        let reading = Circumstances {
            value,
            limits: &limits,
            surface: if bore { Surface::Inside } else { Surface::Outside },
            unit: if inch { LengthUnit::Inch } else { LengthUnit::Millimetre },
            origin: Origin::Sent,
            thimble: true,
            cutting: false,
            last_value: None,
            others: &others,
        };
        prop_assert_eq!(plausibility(&reading), Plausibility::Plausible);
    }
}

#[test]
fn metal_that_seems_to_have_grown_is_named_by_the_characteristic_that_it_fits() {
    let seat = limits("14.966", "14.984");
    let others = [limits("24.948", "25.000"), limits("20.002", "20.015")];
    let cutting = Circumstances {
        cutting: true,
        last_value: Some(mm("14.975")),
        others: &others,
        ..about("20.0084", &seat)
    };
    assert_eq!(
        plausibility(&cutting),
        Plausibility::Held(Cause::OtherCharacteristic { index: 1 })
    );
    let fits_none = Circumstances {
        value: mm("20.1"),
        ..cutting
    };
    assert_eq!(found(&fits_none), "metal_grown");
    // Less metal than the last time is no slip, whatever else it would fit.
    let cut = Circumstances {
        last_value: Some(mm("20.4")),
        ..cutting
    };
    assert_eq!(found(&cut), "plausible");
}
