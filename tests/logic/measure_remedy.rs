//! What would settle a doubt: each remedy that is named does settle it.

use fitledger::measure::{
    BudgetLine, Remedy, Rule, Uncertainty, UncertaintySource, VerdictWord, guard_band, judge,
    largest_proving_uncertainty, remedies,
};
use fitledger::quantity::Length;
use fitledger::tolerance::{Derivation, Limits, Surface};
use proptest::prelude::*;

fn um(lower: i64, upper: i64) -> Limits {
    let (lower, upper) = (Length::from_um(lower), Length::from_um(upper));
    Limits::new(Some(lower), Some(upper), Derivation::Stated).unwrap()
}

fn budget(rest_nm: f64, repeatability_nm: f64) -> Uncertainty {
    Uncertainty::combined(vec![
        BudgetLine::known(UncertaintySource::MaximumPermissibleError, rest_nm),
        BudgetLine::known(UncertaintySource::Repeatability, repeatability_nm),
    ])
    .unwrap()
}

/// 20 h7, 19.979 to 20.000. 4 µm inside the upper limit: u = 4 / 1.644854 = 2.4318 µm (by hand,
/// the other limit is 7 u away), so U = 4.8636 µm; with 1 µm beyond, U = 2 / 1.644854 = 1.2159.
#[test]
fn remedies_come_in_order_with_their_numbers() {
    let limits = um(19_979, 20_000);
    let value = Length::from_um(19_996);
    let found = remedies(
        value,
        &limits,
        Rule::PROBABILITY,
        &budget(2_000.0, 3_000.0),
        1,
    );
    // Repeats: 3^2 / (2.4318^2 - 2^2) = 4.70, so 5 readings.
    assert_eq!(
        found,
        vec![
            Remedy::SettingStandard { size: value },
            Remedy::BetterGauge {
                expanded_at_most: Length::from_nm(4_863)
            },
            Remedy::Repeats { readings: 5 },
        ]
    );
    let beyond = Length::from_um(20_001);
    let found = remedies(
        beyond,
        &limits,
        Rule::PROBABILITY,
        &budget(2_000.0, 3_000.0),
        1,
    );
    let better = Remedy::BetterGauge {
        expanded_at_most: Length::from_nm(1_215),
    };
    assert_eq!(
        found,
        vec![Remedy::SettingStandard { size: beyond }, better]
    );
}

/// 4 µm inside: u may be 2.4318 µm. Wires of 2 µm leave sqrt(2.4318^2 - 4) = 1.3834 for the gauge;
/// a gauge of 2 µm leaves as much for the wires, of whose diameter a third. By hand.
#[test]
fn over_wires_gauge_and_wires_share_what_may_be_uncertain() {
    let (limits, value) = (um(19_979, 20_000), Length::from_um(19_996));
    let found = |gauge: f64, wires: f64| {
        let lines = vec![
            BudgetLine::known(UncertaintySource::MaximumPermissibleError, gauge),
            BudgetLine::known(UncertaintySource::WireDiameter, wires),
        ];
        let budget = Uncertainty::combined(lines).unwrap();
        let mut all = remedies(value, &limits, Rule::PROBABILITY, &budget, 1);
        assert_eq!(all.remove(0), Remedy::SettingStandard { size: value });
        all
    };
    let gauge = |nm| Remedy::BetterGauge {
        expanded_at_most: Length::from_nm(nm),
    };
    let wires = |nm| Remedy::BetterWires {
        expanded_at_most: Length::from_nm(nm),
    };
    assert_eq!(found(2_000.0, 2_000.0), [gauge(2_766), wires(922)]);
    assert_eq!(found(2_000.0, 2_500.0), [wires(922)], "no gauge would do");
    assert_eq!(found(2_500.0, 2_000.0), [gauge(2_766)], "no wires would do");
    assert_eq!(found(2_500.0, 2_500.0), [], "neither alone");
    // Without wires none are named.
    assert_eq!(found(3_000.0, 0.0), [gauge(4_863)]);
}

#[test]
fn repeats_are_named_only_where_they_suffice() {
    let limits = um(19_979, 20_000);
    let repeats = |rest, repeatability, readings| {
        let budget = budget(rest, repeatability);
        remedies(
            Length::from_um(19_996),
            &limits,
            Rule::PROBABILITY,
            &budget,
            readings,
        )
        .into_iter()
        .find_map(|remedy| match remedy {
            Remedy::Repeats { readings } => Some(readings),
            _ => None,
        })
    };
    assert_eq!(
        repeats(2_500.0, 3_000.0, 1),
        None,
        "they never shrink an MPE"
    );
    assert_eq!(repeats(2_000.0, 0.0, 1), None, "nothing to average");
    assert_eq!(
        repeats(2_400.0, 3_000.0, 1),
        None,
        "more than ten are no remedy"
    );
    // A mean of four with 1.5 µm is one reading of 3 µm: still 5 in all.
    assert_eq!(repeats(2_000.0, 1_500.0, 4), Some(5));
}

#[test]
fn a_value_on_its_limit_is_settled_by_no_gauge() {
    let (limits, value) = (um(19_979, 20_000), Length::from_mm(20));
    assert_eq!(
        largest_proving_uncertainty(value, &limits, Rule::PROBABILITY),
        None
    );
    assert_eq!(
        largest_proving_uncertainty(value, &limits, Rule::GUARD),
        None
    );
    let found = remedies(value, &limits, Rule::PROBABILITY, &budget(1_000.0, 0.0), 1);
    assert_eq!(found, vec![Remedy::SettingStandard { size: value }]);
}

#[test]
fn no_guard_is_told_where_no_value_can_be_proved() {
    // Below T = 3.92 u no reading can prove conformity (computed, JCGM 106 clause 7).
    let limits = um(0, 100);
    let guard = |u: f64, rule| guard_band(&limits, Some(u), rule).unwrap();
    assert_eq!(guard(100_000.0 / 3.91, Rule::PROBABILITY), None);
    assert!(guard(100_000.0 / 3.93, Rule::PROBABILITY).is_some());
    assert_eq!(guard(100_000.0 / 3.29, Rule::GUARD), None);
    assert!(guard(100_000.0 / 3.31, Rule::GUARD).is_some());
    assert_eq!(
        guard_band(&limits, None, Rule::Simple),
        Ok(Some(Length::ZERO))
    );
    let code = guard_band(&limits, None, Rule::GUARD).unwrap_err().code();
    assert_eq!(code, "missing_uncertainty");
}

fn rule() -> impl Strategy<Value = Rule> {
    prop_oneof![
        (0.6_f64..0.999).prop_map(|confidence| Rule::Probability { confidence }),
        (0.1_f64..10.0).prop_map(|factor| Rule::Guard { factor }),
    ]
}

proptest! {
    #[test]
    fn the_guard_band_is_where_go_begins(
        width in 0_i64..60_000, u in 0.0_f64..20_000.0, rule in rule(), sides in 0_u8..3,
    ) {
        let (low, high) = (Length::from_mm(20), Length::from_nm(20_000_000 + width));
        let lower = (sides != 1).then_some(low);
        let limits = Limits::new(lower, (sides != 2).then_some(high), Derivation::Stated).unwrap();
        let go = |value| {
            let judged = judge(value, &limits, Surface::Outside, Some(u), Some(rule)).unwrap();
            judged.verdict == VerdictWord::Go
        };
        match guard_band(&limits, Some(u), rule).unwrap() {
            None => prop_assert!(!go((low + high).div_floor(2)) && sides == 0),
            Some(guard) => {
                let short = guard - Length::from_nm(1);
                if sides != 1 { prop_assert!(go(low + guard) && !go(low + short)); }
                if sides != 2 { prop_assert!(go(high - guard) && !go(high - short)); }
            }
        }
    }

    #[test]
    fn the_largest_uncertainty_settles_and_a_larger_one_does_not(
        nm in 19_990_000_i64..20_040_000, rule in rule(),
    ) {
        let (limits, value) = (um(20_000, 20_021), Length::from_nm(nm));
        let settled = |u: f64| judge(value, &limits, Surface::Outside, Some(u), Some(rule))
            .unwrap().verdict != VerdictWord::Doubt;
        if let Some(u) = largest_proving_uncertainty(value, &limits, rule) {
            prop_assert!(settled(u * (1.0 - 1e-9)));
            // The guard is rounded up to 1 nm, so allow it that much.
            prop_assert!(!settled(u * (1.0 + 1e-6) + 11.0));
        } else {
            prop_assert!(!settled(10.0));
        }
    }
}
