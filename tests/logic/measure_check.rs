//! What the outcome of a limit gauge means: every end, gauge and outcome, by the rule of ISO 1502
//! as `src/measure/check.rs` has it with its sources (the two turns: johs-boss.de; three turns or
//! fewer: from memory).

use fitledger::gauge::{CheckAsked, CheckEnd, CheckOutcome, CheckTool, GaugeKind};
use fitledger::measure::{Side, VerdictWord, judge_check};

const TOOLS: [CheckTool; 5] = [
    CheckTool::ThreadPlug,
    CheckTool::ThreadRing,
    CheckTool::PlainPlug,
    CheckTool::GapGauge,
    CheckTool::MatingPart,
];

/// In the order of [`CheckOutcome::WORDS`]: goes, does not, two turns or fewer, more.
fn words(end: CheckEnd, with: CheckTool, short_thread: bool) -> [&'static str; 4] {
    let asked = CheckAsked {
        end,
        with,
        short_thread,
    };
    CheckOutcome::WORDS.map(|(outcome, _)| match judge_check(&asked, outcome) {
        None => "noted",
        Some(found) => match (found.verdict, found.side) {
            (VerdictWord::Go, Side::Inside) => "GO",
            (VerdictWord::NoGo, Side::MetalOn) => "metal on",
            (VerdictWord::NoGo, Side::MetalGone) => "metal gone",
            other => panic!("{asked:?}: {other:?}"),
        },
    })
}

#[test]
fn the_go_end_goes_the_whole_way_or_metal_is_still_on() {
    for with in TOOLS {
        for short in [false, true] {
            let expected = ["GO", "metal on", "metal on", "metal on"];
            assert_eq!(words(CheckEnd::Go, with, short), expected, "{with:?}");
        }
    }
}

#[test]
fn a_no_go_screw_gauge_enters_by_two_turns_at_most() {
    for with in [CheckTool::ThreadPlug, CheckTool::ThreadRing] {
        let expected = ["metal gone", "GO", "GO", "metal gone"];
        assert_eq!(words(CheckEnd::NoGo, with, false), expected, "{with:?}");
    }
}

#[test]
fn on_a_short_thread_a_no_go_screw_gauge_must_only_not_pass_through() {
    for with in [CheckTool::ThreadPlug, CheckTool::ThreadRing] {
        let expected = ["metal gone", "GO", "GO", "GO"];
        assert_eq!(words(CheckEnd::NoGo, with, true), expected, "{with:?}");
    }
}

#[test]
fn a_plain_no_go_gauge_does_not_enter_at_all() {
    for with in [CheckTool::PlainPlug, CheckTool::GapGauge] {
        for short in [false, true] {
            let expected = ["metal gone", "GO", "metal gone", "metal gone"];
            assert_eq!(words(CheckEnd::NoGo, with, short), expected, "{with:?}");
        }
    }
}

#[test]
fn a_mating_part_proves_nothing_whatever_it_does() {
    for with in TOOLS {
        assert_eq!(words(CheckEnd::Mate, with, false), ["noted"; 4], "{with:?}");
    }
}

#[test]
fn only_a_gauge_of_its_kind_can_be_what_is_tried() {
    let fitting = |with| -> Vec<GaugeKind> {
        let asked = CheckAsked {
            end: CheckEnd::Go,
            with,
            short_thread: false,
        };
        let kinds = GaugeKind::WORDS.iter().map(|(kind, _)| *kind);
        kinds.filter(|kind| asked.fits(*kind)).collect()
    };
    assert_eq!(fitting(CheckTool::ThreadPlug), [GaugeKind::Plug]);
    assert_eq!(fitting(CheckTool::ThreadRing), [GaugeKind::Ring]);
    let plain = [GaugeKind::PlainPlug, GaugeKind::Pins];
    assert_eq!(fitting(CheckTool::PlainPlug), plain);
    assert_eq!(fitting(CheckTool::GapGauge), [GaugeKind::GapGauge]);
    assert_eq!(fitting(CheckTool::MatingPart), []);
}

#[test]
fn every_outcome_is_its_own_number_and_word() {
    for (outcome, word) in CheckOutcome::WORDS {
        assert_eq!(CheckOutcome::from_word(word), Some(outcome));
        assert_eq!(CheckOutcome::from_number(outcome.number()), Some(outcome));
    }
    for number in [-1, 4, 10_000_000] {
        assert_eq!(CheckOutcome::from_number(number), None);
    }
    let words = CheckEnd::WORDS.map(|(end, word)| (CheckEnd::from_word(word), end));
    assert!(words.iter().all(|(found, end)| *found == Some(*end)));
}
