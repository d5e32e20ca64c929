//! The metal bar over any limits, values and doubts.
#![allow(clippy::unwrap_used)]

use fitledger::tolerance::MetalSide;
use fitledger::window::view::{BarFacts, BarView, ZoneKind, bar};
use proptest::prelude::{ProptestConfig, Strategy, any, prop_assert, prop_assert_eq, proptest};

/// 20 k6 (20.002 to 20.015, ISO 286-2 from memory) with a guard of 2 µm, in nanometres.
fn seat() -> BarFacts {
    BarFacts {
        lower: Some(20_002_000),
        upper: Some(20_015_000),
        metal: MetalSide::Larger,
        guard: Some(2_000),
        doubt: 2_000,
        value: None,
        target: None,
        last: Vec::new(),
        labels: ("20.002".to_owned(), "20.015".to_owned()),
    }
}

fn at(facts: &BarFacts, value: i64) -> f32 {
    let facts = BarFacts {
        value: Some(value),
        ..facts.clone()
    };
    bar(&facts).unwrap().value.unwrap()
}

fn kinds(bar: &BarView) -> Vec<ZoneKind> {
    bar.zones.iter().map(|zone| zone.kind).collect()
}

#[test]
fn the_zones_stand_where_the_limits_and_the_doubt_put_them() {
    let facts = seat();
    let seen = bar(&facts).unwrap();
    let all = [
        ZoneKind::Gone,
        ZoneKind::Guard,
        ZoneKind::Go,
        ZoneKind::Guard,
        ZoneKind::On,
    ];
    assert_eq!(kinds(&seen), all);
    // Limits at 0.22 and 0.56: 2 of 13 µm are 0.34 × 2 / 13 = 0.0523 to each side of them.
    let edges: Vec<f32> = seen.zones.iter().map(|zone| zone.to).collect();
    for (edge, by_hand) in edges.iter().zip([0.1677, 0.2723, 0.5077, 0.6123, 1.0]) {
        assert!((edge - by_hand).abs() < 1e-4, "{edges:?}");
    }
    let labels: Vec<&str> = seen.zones.iter().map(|zone| zone.label.as_str()).collect();
    assert_eq!(labels, ["metal gone", "", "GO", "", "metal on"]);
    assert_eq!(seen.direction, "metal comes off this way");
    let ticks: Vec<(f32, &str)> = seen
        .ticks
        .iter()
        .map(|t| (t.at, t.label.as_str()))
        .collect();
    assert_eq!(ticks, [(0.22, "20.002"), (0.56, "20.015")]);
}

#[test]
fn a_gauge_that_proves_nothing_leaves_no_go_zone() {
    let facts = BarFacts {
        guard: None,
        doubt: 9_000,
        ..seat()
    };
    let seen = bar(&facts).unwrap();
    assert_eq!(
        kinds(&seen),
        [ZoneKind::Gone, ZoneKind::Guard, ZoneKind::On]
    );
}

#[test]
fn where_metal_has_no_side_the_left_is_smaller() {
    let facts = BarFacts {
        metal: MetalSide::Neither,
        ..seat()
    };
    let seen = bar(&facts).unwrap();
    assert_eq!(seen.direction, "smaller");
    let labels: Vec<&str> = seen.zones.iter().map(|zone| zone.label.as_str()).collect();
    assert_eq!(labels, ["smaller", "", "GO", "", "larger"]);
}

#[test]
fn near_values_are_to_scale_and_far_ones_say_that_they_are_not() {
    let facts = seat();
    // 20.0085 is the middle of the limits, so the middle of 0.22 and 0.56.
    assert!((at(&facts, 20_008_500) - 0.39).abs() < 1e-6);
    let far = |value| {
        let value = Some(value);
        let facts = BarFacts { value, ..seat() };
        bar(&facts).unwrap().is_compressed
    };
    assert!(!far(20_020_000), "0.69");
    assert!(far(20_046_000), "1.37 if it were to scale");
    assert!(far(787_700), "an inch reading");
    assert!(!far(20_000_000), "0.168");
}

#[test]
fn no_limit_no_bar() {
    let facts = BarFacts {
        lower: None,
        upper: None,
        ..seat()
    };
    assert_eq!(bar(&facts), None);
}

/// Limits within 500 mm and a tolerance up to 5 mm; none of the two may be missing.
fn any_facts() -> impl Strategy<Value = BarFacts> {
    let metal = (0..3).prop_map(|at| match at {
        0 => MetalSide::Larger,
        1 => MetalSide::Smaller,
        _ => MetalSide::Neither,
    });
    (
        0_i64..500_000_000,
        1_i64..5_000_000,
        metal,
        any::<u8>(),
        0_i64..3_000_000,
        0_u8..4,
    )
        .prop_map(|(lower, width, metal, share, doubt, kind)| {
            let guard = width / 2 * i64::from(share) / 255;
            BarFacts {
                lower: (kind != 1).then_some(lower),
                upper: (kind != 2).then_some(lower + width),
                metal,
                guard: (kind != 3).then_some(guard),
                doubt,
                ..seat()
            }
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn zones_cover_the_bar_without_gaps(facts in any_facts()) {
        let seen = bar(&facts).unwrap();
        let mut from = 0.0_f32;
        for zone in &seen.zones {
            prop_assert!(zone.from.total_cmp(&from).is_eq(), "{:?}", seen.zones);
            prop_assert!(zone.to > zone.from, "{:?}", seen.zones);
            from = zone.to;
        }
        prop_assert!(from.total_cmp(&1.0).is_eq(), "{:?}", seen.zones);
        if facts.guard.is_none() {
            prop_assert!(seen.zones.iter().all(|zone| zone.kind != ZoneKind::Go));
        }
    }

    #[test]
    fn more_metal_is_never_further_left(
        facts in any_facts(),
        one in -10_000_000_000_i64..10_000_000_000,
        more in 1_i64..1_000_000_000,
    ) {
        let sign = if facts.metal == MetalSide::Smaller { -1 } else { 1 };
        let (less, other) = (at(&facts, one), at(&facts, one + more * sign));
        prop_assert!(less <= other, "{less} {other}");
        prop_assert!(less > 0.0 && other <= 1.0 && other > 0.0, "{less} {other}");
    }

    /// Within a hundred tolerances a tenth of a tolerance is a different place; the screen has
    /// no finer ones further out.
    #[test]
    fn places_that_differ_are_told_apart(
        facts in any_facts(),
        steps in -1_000_i64..1_000,
    ) {
        let (Some(lower), Some(upper)) = (facts.lower, facts.upper) else { return Ok(()) };
        let step = ((upper - lower) / 10).max(1);
        let value = lower + steps * step;
        prop_assert!(at(&facts, value).total_cmp(&at(&facts, value + step)).is_ne());
    }

    /// A bore is the shaft seen in a mirror: the same metal stands at the same place.
    #[test]
    fn shaft_and_bore_mirror_each_other(facts in any_facts(), offset in -9_000_000_i64..9_000_000) {
        let (Some(lower), Some(upper)) = (facts.lower, facts.upper) else { return Ok(()) };
        let shaft = BarFacts { metal: MetalSide::Larger, ..facts };
        let bore = BarFacts { metal: MetalSide::Smaller, ..shaft.clone() };
        let mirrored = |value: i64| lower + upper - value;
        let value = lower + offset;
        let (one, other) = (at(&shaft, value), at(&bore, mirrored(value)));
        prop_assert!((one - other).abs() < 1e-6, "{one} {other}");
        let (shaft, bore) = (bar(&shaft).unwrap(), bar(&bore).unwrap());
        prop_assert_eq!(shaft.zones, bore.zones);
    }

    /// A value is drawn in the zone that its verdict comes from.
    #[test]
    fn the_value_stands_in_its_zone(facts in any_facts(), offset in -9_000_000_i64..9_000_000) {
        let (Some(lower), Some(upper), Some(guard)) = (facts.lower, facts.upper, facts.guard)
        else { return Ok(()) };
        let facts = BarFacts { metal: MetalSide::Larger, ..facts };
        let value = lower + offset;
        let place = at(&facts, value);
        let seen = bar(&facts).unwrap();
        let right = if value < lower - facts.doubt {
            ZoneKind::Gone
        } else if value > upper + facts.doubt {
            ZoneKind::On
        } else if value > lower + guard && value < upper - guard {
            ZoneKind::Go
        } else {
            ZoneKind::Guard
        };
        let near = |zone: &&fitledger::window::view::BarZone| {
            zone.from <= place + 1e-5 && place <= zone.to + 1e-5
        };
        let found: Vec<ZoneKind> = seen.zones.iter().filter(near).map(|zone| zone.kind).collect();
        let is_edge = guard == 0 && facts.doubt == 0;
        prop_assert!(found.contains(&right) || is_edge, "{right:?} {found:?} {place}");
    }
}
