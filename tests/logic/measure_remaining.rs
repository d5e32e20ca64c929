//! Metal still to come off, against hand-made cases and as properties.

use crate::table::{Case, cases};
use fitledger::measure::{
    Aim, CutAdvice, CutSetting, Dial, DialReads, RemainingError, remaining_metal,
};
use fitledger::quantity::Length;
use fitledger::tolerance::{Derivation, Limits, Surface};
use proptest::prelude::*;

fn mm(case: &Case, column: &str) -> Option<Length> {
    let text = case.text(column);
    (!text.is_empty()).then(|| Length::parse_mm(text).unwrap())
}

fn setting(case: &Case) -> CutSetting {
    let reads = match case.text("dial") {
        "diameter" => Some(DialReads::Diameter),
        "radius" => Some(DialReads::Radius),
        _ => None,
    };
    CutSetting {
        aim: match case.text("aim") {
            "middle" => Aim::Middle,
            "toward_metal" => Aim::TowardMetal,
            other => panic!("unknown aim {other}"),
        },
        guard: mm(case, "guard_mm").unwrap(),
        leave: mm(case, "leave_mm").unwrap(),
        least_cut: mm(case, "least_cut_mm").unwrap(),
        dial: reads
            .zip(mm(case, "dial_step_mm"))
            .map(|(reads, step)| Dial { reads, step }),
    }
}

#[test]
fn remaining_metal_agrees_with_the_table() {
    for case in cases(include_str!("../tables/remaining.csv")) {
        let name = case.name();
        let surface = Surface::from_word(case.text("surface")).unwrap();
        let (lower, upper) = (mm(&case, "lower_mm"), mm(&case, "upper_mm"));
        let limits = Limits::new(lower, upper, Derivation::Stated).unwrap();
        let value = mm(&case, "value_mm").unwrap();
        let metal = remaining_metal(value, &limits, surface, &setting(&case)).unwrap();
        let advice = match metal.advice() {
            CutAdvice::Cut => "cut",
            CutAdvice::Polish => "polish",
            CutAdvice::Stop => "stop",
            CutAdvice::PastZone => "past_zone",
        };
        assert_eq!(advice, case.text("expected_advice"), "{name}");
        assert_eq!(
            Some(metal.target()),
            mm(&case, "expected_target_mm"),
            "{name}"
        );
        assert_eq!(Some(metal.left()), mm(&case, "expected_left_mm"), "{name}");
        let depth = metal.depth_of_cut().map(|depth| depth.length());
        assert_eq!(depth, mm(&case, "expected_depth_mm"), "{name}");
        assert_eq!(
            metal.dial_numbers(),
            mm(&case, "expected_dial_mm"),
            "{name}"
        );
    }
}

fn plain() -> CutSetting {
    CutSetting {
        aim: Aim::Middle,
        guard: Length::ZERO,
        leave: Length::ZERO,
        least_cut: Length::ZERO,
        dial: None,
    }
}

#[test]
fn what_cannot_be_told_is_refused() {
    let limits = |lower: Option<i64>, upper: Option<i64>| {
        Limits::new(
            lower.map(Length::from_um),
            upper.map(Length::from_um),
            Derivation::Stated,
        )
        .unwrap()
    };
    let both = limits(Some(20_000), Some(20_020));
    let value = Length::from_mm(21);
    for surface in [Surface::Length, Surface::Step] {
        let error = remaining_metal(value, &both, surface, &plain()).unwrap_err();
        assert_eq!(error, RemainingError::NoMetalSide { surface });
    }
    let only_lower = limits(Some(20_000), None);
    let error = remaining_metal(value, &only_lower, Surface::Outside, &plain()).unwrap_err();
    assert_eq!(error, RemainingError::NoMetalOnLimit);
    let wide = CutSetting {
        guard: Length::from_nm(10_001),
        ..plain()
    };
    for surface in [Surface::Outside, Surface::Inside] {
        let error = remaining_metal(value, &both, surface, &wide).unwrap_err();
        let tolerance = Length::from_um(20);
        assert_eq!(
            error,
            RemainingError::ZoneEmpty {
                guard: wide.guard,
                tolerance
            }
        );
    }
    let below = Length::from_nm(-1);
    let dial = Some(Dial {
        reads: DialReads::Radius,
        step: Length::ZERO,
    });
    for setting in [
        CutSetting {
            guard: below,
            ..plain()
        },
        CutSetting {
            leave: below,
            ..plain()
        },
        CutSetting {
            least_cut: below,
            ..plain()
        },
        CutSetting { dial, ..plain() },
    ] {
        let error = remaining_metal(value, &both, Surface::Outside, &setting).unwrap_err();
        assert_eq!(error.code(), "cut_setting_out_of_range");
    }
}

proptest! {
    #[test]
    fn a_cut_never_takes_more_than_the_metal_that_is_left(
        value in 19_000_000_i64..21_000_000, width in 0_i64..100_000, share in 0_i64..=50,
        leave in 0_i64..300_000, step in 1_i64..60_000, dialled in any::<bool>(),
        outside in any::<bool>(), radius in any::<bool>(), toward in any::<bool>(),
    ) {
        let (low, high) = (Length::from_mm(20), Length::from_nm(20_000_000 + width));
        let limits = Limits::new(Some(low), Some(high), Derivation::Stated).unwrap();
        let surface = if outside { Surface::Outside } else { Surface::Inside };
        let reads = if radius { DialReads::Radius } else { DialReads::Diameter };
        let setting = CutSetting {
            aim: if toward { Aim::TowardMetal } else { Aim::Middle },
            guard: Length::from_nm(width * share / 100),
            leave: Length::from_nm(leave),
            dial: dialled.then_some(Dial { reads, step: Length::from_nm(step) }),
            ..plain()
        };
        let value = Length::from_nm(value);
        let metal = remaining_metal(value, &limits, surface, &setting).unwrap();
        if let Some(depth) = metal.depth_of_cut() {
            let off = depth.length() * 2;
            prop_assert!(off > Length::ZERO && off <= metal.left());
            let after = if outside { value - off } else { value + off };
            // What is left after the later operation is still not past the limits.
            if outside { prop_assert!(after - setting.leave >= low) }
            else { prop_assert!(after + setting.leave <= high) }
        } else {
            prop_assert!(metal.advice() != CutAdvice::Cut);
        }
        let numbers = metal.dial_numbers().map_or(0, |numbers| numbers.as_nm() % step);
        prop_assert_eq!(numbers, 0);
    }
}
