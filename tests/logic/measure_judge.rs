//! Verdicts against the decision tables and as properties.
#![allow(clippy::cast_possible_truncation)] // whole nanometres of small float lengths

use crate::table::cases;
use fitledger::measure::{JudgeError, Rule, Side, VerdictWord, doubt_beyond, guard_band, judge};
use fitledger::quantity::{Angle, Exact, Length};
use fitledger::tolerance::{Derivation, Limits, Surface};
use proptest::prelude::*;

fn limits(lower: &str, upper: &str) -> Limits {
    let parsed = |text: &str| (!text.is_empty()).then(|| Length::parse_mm(text).unwrap());
    Limits::new(parsed(lower), parsed(upper), Derivation::Stated).unwrap()
}

fn um(lower: i64, upper: i64) -> Limits {
    let (lower, upper) = (Length::from_um(lower), Length::from_um(upper));
    Limits::new(Some(lower), Some(upper), Derivation::Stated).unwrap()
}

#[test]
fn verdicts_agree_with_the_decision_table() {
    let rules = [
        (None, "expected_probability"),
        (Some(Rule::PROBABILITY), "expected_probability"),
        (Some(Rule::GUARD), "expected_guard_1_65"),
        (Some(Rule::Guard { factor: 2.0 }), "expected_guard_2"),
        (Some(Rule::Simple), "expected_simple"),
    ];
    for case in cases(include_str!("../tables/decisions.csv")) {
        let value = Length::parse_mm(case.text("value_mm")).unwrap();
        let limits = limits(case.text("lower_mm"), case.text("upper_mm"));
        let u = Some(case.number("u_mm") * 1e6);
        for (rule, column) in rules {
            let judged = judge(value, &limits, Surface::Outside, u, rule).unwrap();
            assert_eq!(judged.verdict.word(), case.text(column), "{}", case.name());
            case.check(
                "expected_conformance",
                judged.conformance_probability.unwrap(),
            );
        }
    }
}

#[test]
fn conformance_probabilities_agree_with_their_references() {
    for case in cases(include_str!("../tables/conformance.csv")) {
        let value = Length::parse_mm(case.text("value_mm")).unwrap();
        let limits = limits(case.text("lower_mm"), case.text("upper_mm"));
        let u = Some(case.number("u_mm") * 1e6);
        let judged = judge(value, &limits, Surface::Length, u, None).unwrap();
        case.check(
            "expected_conformance",
            judged.conformance_probability.unwrap(),
        );
    }
}

#[test]
fn the_probability_rule_needs_the_tabled_guard_in_a_narrow_tolerance() {
    // u = 1 mm, so that a step of 1 nm is the table's last digit.
    for case in cases(include_str!("../tables/guard_growth.csv")) {
        let tolerance = (case.number("tolerance_over_u") * 10.0).round() as i64 * 100_000;
        let limits = Limits::new(
            Some(Length::ZERO),
            Some(Length::from_nm(tolerance)),
            Derivation::Stated,
        )
        .unwrap();
        let verdict = |nm: i64| {
            let value = Length::from_nm(nm);
            judge(value, &limits, Surface::Length, Some(1e6), None)
                .unwrap()
                .verdict
        };
        match case.number_if_any("expected_guard_over_u") {
            None => assert_eq!(verdict(tolerance / 2), VerdictWord::Doubt),
            Some(guard) => {
                let guard_nm = (guard * 1e6).round() as i64;
                assert_eq!(verdict(guard_nm - 1), VerdictWord::Doubt, "{}", case.name());
                assert_eq!(verdict(guard_nm + 1), VerdictWord::Go, "{}", case.name());
                assert_eq!(verdict(tolerance - guard_nm - 1), VerdictWord::Go);
                assert_eq!(verdict(tolerance - guard_nm + 1), VerdictWord::Doubt);
            }
        }
    }
}

/// JCGM 106:2012 clause 9.5, precision resistors (inputs confirmed in a public script): process
/// 1500 ± 0.12, u 0.04, limits 1499.8 to 1500.2, accepted from 1499.82 to 1500.18. Expected risks
/// by adaptive quadrature and 4 million simulated pairs; printed in the guide as 0.01 and 0.07.
#[test]
fn global_risks_follow_from_the_conformance_probability() {
    let (mean, process, u) = (1500.0, 0.12, 0.04_f64);
    let limits = limits("1499.8", "1500.2");
    let marginal = f64::hypot(process, u);
    let (shrink, sd) = (process.powi(2) / marginal.powi(2), process * u / marginal);
    let (mut consumer, mut producer) = (0.0, 0.0);
    let step = 0.0002;
    for k in -5000..5000 {
        let reading = (f64::from(k) + 0.5) * step;
        let density = (-0.5 * (reading / marginal).powi(2)).exp()
            / (marginal * (2.0 * std::f64::consts::PI).sqrt());
        let truth = Length::from_nm(((mean + shrink * reading) * 1e6).round() as i64);
        let judged = judge(truth, &limits, Surface::Length, Some(sd * 1e6), None).unwrap();
        let inside = judged.conformance_probability.unwrap();
        if reading.abs() <= 0.18 {
            consumer += density * (1.0 - inside) * step;
        } else {
            producer += density * inside * step;
        }
    }
    assert!((consumer - 0.009_878_29).abs() < 1e-6, "{consumer}");
    assert!((producer - 0.069_026_51).abs() < 1e-6, "{producer}");
}

#[test]
fn the_side_says_whether_metal_is_on_or_gone() {
    use Side::{Above, Below, MetalGone, MetalOn};
    for (surface, above, below) in [
        (Surface::Outside, MetalOn, MetalGone),
        (Surface::Inside, MetalGone, MetalOn),
        (Surface::Slot, MetalGone, MetalOn),
        (Surface::Depth, MetalGone, MetalOn),
        (Surface::Length, Above, Below),
        (Surface::Step, Above, Below),
    ] {
        let side = |value: i64| {
            judge(Length::from_um(value), &um(100, 200), surface, None, None)
                .unwrap()
                .side
        };
        assert_eq!((side(201), side(99)), (above, below), "{surface:?}");
        assert_eq!((side(200), side(100)), (Side::Inside, Side::Inside));
    }
}

#[test]
fn amounts_are_what_to_add_to_the_value() {
    let judged = |value: i64| {
        let limits = um(20_000, 20_021);
        judge(Length::from_um(value), &limits, Surface::Inside, None, None).unwrap()
    };
    let (mid, nm) = (Some(Length::from_nm(-1_500)), Length::from_um(9));
    assert_eq!(
        (judged(20_012).to_middle, judged(20_012).to_nearest_limit),
        (mid, nm)
    );
    assert_eq!(judged(20_003).to_middle, Some(Length::from_nm(7_500)));
    assert_eq!(judged(20_003).to_nearest_limit, Length::from_um(-3));
    assert_eq!(judged(20_025).to_nearest_limit, Length::from_um(-4));
    assert_eq!(judged(20_025).beyond, Length::from_um(4));
    assert_eq!(judged(19_990).to_nearest_limit, Length::from_um(10));
    assert_eq!(judged(19_990).beyond, Length::from_um(10));
    let runout = limits("", "0.0125");
    let one = judge(Length::from_um(10), &runout, Surface::Length, None, None).unwrap();
    assert_eq!(
        (one.to_middle, one.to_nearest_limit),
        (None, Length::from_nm(2_500))
    );
    let half = limits("0.000001", "0.000004");
    let odd = judge(Length::ZERO, &half, Surface::Length, None, None).unwrap();
    assert_eq!(
        odd.to_middle,
        Some(Length::from_nm(2)),
        "2.5 nm goes to the even 2"
    );
}

#[test]
fn without_an_uncertainty_acceptance_is_simple_and_other_rules_are_refused() {
    let judged = |rule| {
        judge(
            Length::from_um(200),
            &um(100, 200),
            Surface::Outside,
            None,
            rule,
        )
    };
    let plain = judged(None).unwrap();
    assert_eq!((plain.verdict, plain.rule), (VerdictWord::Go, Rule::Simple));
    assert_eq!(plain.conformance_probability, None);
    for rule in [Rule::PROBABILITY, Rule::GUARD] {
        assert_eq!(
            judged(Some(rule)).unwrap_err().code(),
            "missing_uncertainty"
        );
    }
}

#[test]
fn an_uncertainty_or_a_rule_that_is_none_is_refused() {
    let judged = |u, rule| {
        judge(
            Length::from_um(150),
            &um(100, 200),
            Surface::Outside,
            Some(u),
            rule,
        )
    };
    for u in [-1.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e17] {
        let error = judged(u, None).unwrap_err();
        assert!(
            matches!(error, JudgeError::UncertaintyOutOfRange { .. }),
            "{u}"
        );
    }
    for confidence in [0.0, 0.49, 1.0, f64::NAN] {
        let error = judged(1.0, Some(Rule::Probability { confidence })).unwrap_err();
        assert_eq!(error.code(), "confidence_out_of_range");
    }
    for factor in [-0.1, 11.0, f64::INFINITY, f64::NAN] {
        let error = judged(1.0, Some(Rule::Guard { factor })).unwrap_err();
        assert_eq!(error.code(), "guard_factor_out_of_range");
    }
}

#[test]
fn on_its_limit_a_value_is_go_only_without_any_uncertainty() {
    let judged = |um: i64, u: f64| {
        let limits = self::um(100, 200);
        judge(
            Length::from_um(um),
            &limits,
            Surface::Outside,
            Some(u),
            None,
        )
        .unwrap()
    };
    for um in [100, 200] {
        assert_eq!(judged(um, 0.0).verdict, VerdictWord::Go);
        assert_eq!(judged(um, 0.0).conformance_probability, Some(1.0));
        assert_eq!(judged(um, 1e-300).verdict, VerdictWord::Doubt);
    }
    assert_eq!(judged(201, 0.0).verdict, VerdictWord::NoGo);
    assert_eq!(judged(201, 0.0).conformance_probability, Some(0.0));
}

#[test]
fn the_guard_band_is_rounded_up_but_not_by_binary_noise() {
    let guard = |u: f64, factor: f64| {
        guard_band(&um(0, 10_000), Some(u), Rule::Guard { factor })
            .unwrap()
            .unwrap()
            .as_nm()
    };
    assert_eq!(guard(1000.1, 1.65), 1651);
    assert_eq!(guard(1000.0, 1.65), 1650);
    // 50 × 1.1 is 55.00000000000001 in binary floats.
    assert_eq!(guard(50.0, 1.1), 55);
    assert_eq!(guard(0.3, 1.0), 1);
    assert_eq!(guard(0.0, 2.0), 0);
}

#[test]
fn angles_are_judged_like_lengths() {
    let limits = Limits::new(
        Some(Angle::parse("29.5").unwrap()),
        Some(Angle::parse("30.5").unwrap()),
        Derivation::Stated,
    )
    .unwrap();
    let value = Angle::parse("30.6").unwrap();
    let u = Some(Angle::parse("0.05").unwrap().units_f64());
    let judged = judge(value, &limits, Surface::Length, u, None).unwrap();
    // z = 2: Phi(2) = 0.97725 beyond.
    assert_eq!(
        (judged.verdict, judged.side),
        (VerdictWord::NoGo, Side::Above)
    );
    assert!((judged.conformance_probability.unwrap() - 0.022_75).abs() < 5e-6);
}

fn rule() -> impl Strategy<Value = Rule> {
    prop_oneof![
        (0.5_f64..0.9999).prop_map(|confidence| Rule::Probability { confidence }),
        (0.0_f64..10.0).prop_map(|factor| Rule::Guard { factor }),
        Just(Rule::Simple),
    ]
}

/// One- and two-sided limits around 20 mm, some of them of no width.
fn any_limits() -> impl Strategy<Value = Limits> {
    (19_990_000_i64..20_010_000, 0_i64..50_000, 0_u8..4).prop_map(|(low, width, sides)| {
        let (lower, upper) = (Length::from_nm(low), Length::from_nm(low + width));
        let lower = (sides != 1).then_some(lower);
        Limits::new(lower, (sides != 2).then_some(upper), Derivation::Stated).unwrap()
    })
}

fn any_u() -> impl Strategy<Value = f64> {
    prop_oneof![
        0.0_f64..30_000.0,
        Just(0.0),
        Just(1e-300),
        Just(1e9),
        Just(9e15)
    ]
}

/// Rank on the way from proved good, over doubt, to proved bad.
fn rank(verdict: VerdictWord) -> u8 {
    match verdict {
        VerdictWord::Go => 0,
        VerdictWord::Doubt => 1,
        VerdictWord::NoGo => 2,
    }
}

proptest! {
    #[test]
    fn a_wider_uncertainty_never_settles_a_doubt(
        value in 19_980_000_i64..20_070_000, limits in any_limits(), rule in rule(),
        u in any_u(), wider in 1.0_f64..100.0,
    ) {
        let value = Length::from_nm(value);
        let verdict = |u| judge(value, &limits, Surface::Inside, Some(u), Some(rule))
            .unwrap().verdict;
        let (first, second) = (verdict(u), verdict((u * wider).min(9e15)));
        prop_assert!(first == second || second == VerdictWord::Doubt);
    }

    #[test]
    fn go_is_never_outside_and_no_go_never_inside(
        value in 19_980_000_i64..20_070_000, limits in any_limits(), rule in rule(), u in any_u(),
    ) {
        let value = Length::from_nm(value);
        let judged = judge(value, &limits, Surface::Inside, Some(u), Some(rule)).unwrap();
        match judged.verdict {
            VerdictWord::Go => prop_assert!(limits.contains(value)),
            VerdictWord::NoGo => prop_assert!(!limits.contains(value)),
            VerdictWord::Doubt => prop_assert!(rule != Rule::Simple),
        }
        prop_assert_eq!(judged.side == Side::Inside, limits.contains(value));
        prop_assert_eq!(judged.beyond == Length::ZERO, limits.contains(value));
        let chance = judged.conformance_probability.unwrap();
        prop_assert!((0.0..=1.0).contains(&chance));
    }

    #[test]
    fn verdicts_only_worsen_as_a_value_walks_out(
        limits in any_limits(), rule in rule(), u in any_u(),
        from in 0_i64..60_000, step in 0_i64..20_000, up in any::<bool>(),
    ) {
        let centre = match (limits.lower(), limits.upper()) {
            (Some(low), Some(high)) => (low + high).div_half_even(2),
            (low, high) => low.or(high).unwrap(),
        };
        let walk = |distance: i64| {
            let off = Length::from_nm(if up { distance } else { -distance });
            judge(centre + off, &limits, Surface::Outside, Some(u), Some(rule)).unwrap().verdict
        };
        let (near, far) = (rank(walk(from)), rank(walk(from + step)));
        let toward_open_side = if up { limits.upper().is_none() } else { limits.lower().is_none() };
        if toward_open_side {
            prop_assert!(far <= near);
        } else {
            prop_assert!(far >= near);
        }
    }

    #[test]
    fn no_uncertainty_at_all_decides_like_simple_acceptance(
        value in 19_980_000_i64..20_070_000, limits in any_limits(), rule in rule(),
    ) {
        let value = Length::from_nm(value);
        let verdict = |rule| judge(value, &limits, Surface::Inside, Some(0.0), Some(rule))
            .unwrap().verdict;
        prop_assert_eq!(verdict(rule), verdict(Rule::Simple));
    }
}

/// z(0.95) = 1.644854 (table of the normal distribution): 1.644854 × 2000 nm = 3289.7, up to 3290.
#[test]
fn doubt_ends_so_far_beyond_a_limit() {
    let beyond = |rule| doubt_beyond::<Length>(Some(2_000.0), rule).unwrap().as_nm();
    assert_eq!(beyond(Rule::PROBABILITY), 3_290);
    assert_eq!(beyond(Rule::Guard { factor: 1.65 }), 3_300);
    assert_eq!(beyond(Rule::Simple), 0);
    let missing = doubt_beyond::<Length>(None, Rule::PROBABILITY);
    assert!(matches!(
        missing,
        Err(JudgeError::MissingUncertainty { .. })
    ));
}

proptest! {
    /// Just beyond it a value is NO-GO, just before it DOUBT.
    #[test]
    fn doubt_beyond_is_where_no_go_begins(u in 1.0_f64..1e6, rule in rule()) {
        let limits = um(-1_000_000, 0);
        let word = |nm: i64| {
            judge(Length::from_nm(nm), &limits, Surface::Length, Some(u), Some(rule))
                .unwrap()
                .verdict
        };
        let beyond = doubt_beyond::<Length>(Some(u), rule).unwrap().as_nm();
        prop_assert_eq!(word(beyond + 1), VerdictWord::NoGo);
        if rule != Rule::Simple && beyond > 2 {
            prop_assert_eq!(word(beyond - 1), VerdictWord::Doubt);
        }
    }
}
