//! What a gauge can prove, before anything is measured.

use crate::table::cases;
use fitledger::measure::{
    CentredProcess, FOUR_TO_ONE, Proof, Rule, SOMETIMES_FROM_SHARE, TEN_TO_ONE, VerdictWord, judge,
    meets_ratio, suitability,
};
use fitledger::quantity::Length;
use fitledger::tolerance::{Derivation, Limits, Surface};
use proptest::prelude::*;

fn limits(lower: Option<i64>, upper: Option<i64>) -> Limits {
    let nm = |limit: Option<i64>| limit.map(Length::from_nm);
    Limits::new(nm(lower), nm(upper), Derivation::Stated).unwrap()
}

#[test]
fn suitability_agrees_with_the_table() {
    for case in cases(include_str!("../tables/suitability.csv")) {
        let tolerance: i64 = case.text("tolerance_nm").parse().unwrap();
        let limits = limits(Some(20_000_000), Some(20_000_000 + tolerance));
        let number = case.number_if_any("rule_number");
        let rule = match case.text("rule") {
            "probability" => Rule::Probability {
                confidence: number.unwrap(),
            },
            "guard" => Rule::Guard {
                factor: number.unwrap(),
            },
            _ => Rule::Simple,
        };
        let process = CentredProcess {
            capability: case.number("cp"),
        };
        let (u, expanded) = (case.number("u_nm"), case.number("expanded_nm"));
        let found = suitability(&limits, u, expanded, rule, process).unwrap();
        let name = case.name();
        assert_eq!(found.proof.word(), case.text("expected_proof"), "{name}");
        case.check("expected_ratio", found.ratio.unwrap());
        case.check("expected_doubt_share", found.doubt_share.unwrap());
        let guard = found.guard.map(|guard| guard.as_nm().to_string());
        assert_eq!(
            guard.unwrap_or_default(),
            case.text("expected_guard_nm"),
            "{name}"
        );
        match found.guard_share {
            Some(share) => case.check("expected_guard_share", share),
            None => assert_eq!(case.text("expected_guard_share"), "", "{name}"),
        }
    }
}

#[test]
fn ratios_agree_with_the_table_and_meet_the_old_rules_or_not() {
    for case in cases(include_str!("../tables/instrument_ratios.csv")) {
        let nm = |column| Length::parse_mm(case.text(column)).unwrap().as_nm();
        let limits = limits(Some(0), Some(nm("tolerance_mm")));
        let expanded = Length::parse_mm(case.text("expanded_mm")).unwrap();
        let u = expanded.as_nm_f64() / 2.0;
        let usual = CentredProcess::USUAL;
        let found = suitability(&limits, u, expanded.as_nm_f64(), Rule::PROBABILITY, usual);
        let ratio = found.unwrap().ratio.unwrap();
        case.check("expected_ratio", ratio);
        let word = |meets: bool| if meets { "yes" } else { "no" };
        assert_eq!(
            word(meets_ratio(ratio, TEN_TO_ONE)),
            case.text("meets_10_to_1")
        );
        assert_eq!(
            word(meets_ratio(ratio, FOUR_TO_ONE)),
            case.text("meets_4_to_1")
        );
    }
}

#[test]
fn one_sided_limits_have_room_from_zero_up() {
    let asked = |lower, upper, u: f64| {
        let rule = Rule::Guard { factor: 2.0 };
        let limits = limits(lower, upper);
        suitability(&limits, u, 2.0 * u, rule, CentredProcess::USUAL).unwrap()
    };
    // Runout of 10 µm at most: 2 u of guard; 1 µm leaves most, 2 µm little, 5.001 µm nothing.
    let proof = |u| asked(None, Some(10_000), u).proof;
    assert_eq!(proof(1_000.0), Proof::Can);
    assert_eq!(proof(2_000.0), Proof::Sometimes);
    assert_eq!(
        proof(5_000.0),
        Proof::Sometimes,
        "a perfect part shows zero"
    );
    assert_eq!(proof(5_001.0), Proof::Cannot);
    let upper = asked(None, Some(10_000), 1_000.0);
    assert_eq!((upper.ratio, upper.doubt_share), (None, None));
    assert_eq!(upper.guard, Some(Length::from_um(2)));
    assert!((upper.guard_share.unwrap() - 0.2).abs() < 1e-12);
    // At least 12 mm: there is always something larger.
    let lower = asked(Some(12_000_000), None, 1e6);
    assert_eq!((lower.proof, lower.guard_share), (Proof::Can, None));
    assert_eq!(lower.guard, Some(Length::from_mm(2)));
}

#[test]
fn an_uncertainty_that_is_none_is_refused() {
    let limits = limits(Some(0), Some(10_000));
    for bad in [-1.0, f64::NAN, f64::INFINITY] {
        let usual = CentredProcess::USUAL;
        let found = suitability(&limits, bad, 1.0, Rule::PROBABILITY, usual);
        assert_eq!(found.unwrap_err().code(), "uncertainty_out_of_range");
    }
}

proptest! {
    /// The answer is what the judge will do: where it says cannot, not even the middle is GO;
    /// where it says can, the value one guard inside is, and the value one step less is not.
    #[test]
    fn the_answer_is_what_the_judge_will_do(
        half in 1_i64..20_000, u in 1.0_f64..20_000.0, by_guard in any::<bool>(),
    ) {
        let rule = if by_guard { Rule::GUARD } else { Rule::PROBABILITY };
        let limits = limits(Some(0), Some(2 * half));
        let found = suitability(&limits, u, 2.0 * u, rule, CentredProcess::USUAL).unwrap();
        let verdict = |nm: i64| {
            let value = Length::from_nm(nm);
            judge(value, &limits, Surface::Length, Some(u), Some(rule)).unwrap().verdict
        };
        match found.guard {
            None => {
                prop_assert_eq!(found.proof, Proof::Cannot);
                prop_assert_eq!(verdict(half), VerdictWord::Doubt);
            }
            Some(guard) => {
                prop_assert!(found.proof != Proof::Cannot);
                prop_assert_eq!(verdict(guard.as_nm()), VerdictWord::Go);
                prop_assert_eq!(verdict(guard.as_nm() - 1), VerdictWord::Doubt);
                let wide = found.guard_share.unwrap() > SOMETIMES_FROM_SHARE;
                prop_assert_eq!(wide, found.proof == Proof::Sometimes);
            }
        }
        let doubt = found.doubt_share.unwrap();
        prop_assert!((0.0..=1.0).contains(&doubt));
    }
}
