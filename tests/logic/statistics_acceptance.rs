//! Acceptance sampling against the table, letter by letter, and against the binomial distribution.

use crate::table::{Case, cases};
use fitledger::statistics::{AcceptancePlan, InspectionLevel, QualityLimit, acceptance_plan};

const LEVELS: [(InspectionLevel, &str); 3] = [
    (InspectionLevel::I, "level_I"),
    (InspectionLevel::II, "level_II"),
    (InspectionLevel::III, "level_III"),
];

fn letters() -> Vec<Case> {
    let all = cases(include_str!("../tables/acceptance_code_letters.csv"));
    assert_eq!(all.len(), 15);
    all
}

fn plans() -> Vec<Case> {
    let all = cases(include_str!("../tables/acceptance_single_normal.csv"));
    assert_eq!(all.len(), 16);
    all
}

#[test]
fn every_lot_size_and_level_has_its_letter() {
    let limit = QualityLimit::of_percent(1.0).unwrap();
    let mut asked = 0;
    for case in letters() {
        let from: u64 = case.text("lot_from").parse().unwrap();
        let to = case.text("lot_to").parse().unwrap_or(u64::MAX);
        for (level, column) in LEVELS {
            for lot in [from, from + (to - from) / 2, to] {
                let found = acceptance_plan(lot, level, limit).unwrap();
                assert_eq!(found.letter_of_lot.to_string(), case.text(column), "{lot}");
                asked += 1;
            }
        }
    }
    assert_eq!(asked, 135);
}

/// A lot size and level that have this letter.
fn lot_with(letter: &str) -> (u64, InspectionLevel) {
    let found = letters().into_iter().find_map(|case| {
        let level = LEVELS
            .iter()
            .find(|(_, column)| case.text(column) == letter)?;
        Some((case.text("lot_from").parse().unwrap(), level.0))
    });
    found.unwrap_or_else(|| panic!("no lot has {letter}"))
}

/// The plan that the table of the test gives: up or down to the first cell with numbers.
fn expected(plans: &[Case], at: usize, column: &str) -> (usize, u32, u32) {
    let numbers = |row: usize| {
        let (accept, refuse) = plans[row].text(column).split_once('/')?;
        Some((row, accept.parse().ok()?, refuse.parse().ok()?))
    };
    let found = match plans[at].text(column) {
        "v" => (at..plans.len()).find_map(numbers),
        "^" => (0..=at).rev().find_map(numbers),
        _ => numbers(at),
    };
    found.unwrap()
}

#[test]
fn every_cell_of_the_table_gives_its_plan() {
    let plans = plans();
    let (mut numbers, mut arrows) = (0, 0);
    for limit in QualityLimit::all() {
        let column = format!("AQL_{}", limit.percent_text());
        for (at, case) in plans.iter().enumerate() {
            let (lot, level) = lot_with(case.text("code_letter"));
            let found = acceptance_plan(lot, level, limit).unwrap();
            let (row, accept, refuse) = expected(&plans, at, &column);
            let sample: u64 = plans[row].text("sample_size").parse().unwrap();
            let wanted = AcceptancePlan {
                letter_of_lot: case.text("code_letter").chars().next().unwrap(),
                letter_of_plan: plans[row].text("code_letter").chars().next().unwrap(),
                sample_size: sample,
                parts_to_inspect: sample.min(lot),
                is_whole_lot: sample >= lot,
                accept_up_to: accept,
                refuse_from: refuse,
            };
            assert_eq!(found, wanted, "{} at {column}", case.name());
            numbers += u32::from(row == at);
            arrows += u32::from(row != at);
        }
    }
    assert_eq!((numbers, arrows), (54, 42));
}

#[test]
fn a_usual_lot_has_the_plan_that_everyone_knows() {
    // 1000 parts, level II, 1.0: letter J, 80 parts, accept 2, refuse 3 (ISO 2859-1, from memory).
    let limit = QualityLimit::of_percent(1.0).unwrap();
    let found = acceptance_plan(1000, InspectionLevel::II, limit).unwrap();
    assert_eq!((found.letter_of_plan, found.sample_size), ('J', 80));
    assert_eq!((found.accept_up_to, found.refuse_from), (2, 3));
    assert!(!found.is_whole_lot);
    // A batch of 10: the arrow leads to 13 parts, so all are inspected.
    let small = acceptance_plan(10, InspectionLevel::II, limit).unwrap();
    assert_eq!((small.letter_of_lot, small.letter_of_plan), ('B', 'E'));
    assert_eq!((small.parts_to_inspect, small.is_whole_lot), (10, true));
    let equal = acceptance_plan(13, InspectionLevel::II, limit).unwrap();
    assert_eq!((equal.parts_to_inspect, equal.is_whole_lot), (13, true));
}

/// The chance that a lot with this share of nonconforming parts is accepted.
fn chance_to_accept(plan: &AcceptancePlan, share: f64) -> f64 {
    let n = plan.sample_size as f64;
    let mut chance = (n * (1.0 - share).ln()).exp();
    let mut sum = chance;
    for k in 0..plan.accept_up_to {
        let k = f64::from(k);
        chance *= (n - k) / (k + 1.0) * share / (1.0 - share);
        sum += chance;
    }
    sum
}

#[test]
fn a_lot_at_its_quality_limit_is_accepted_as_often_as_the_standard_promises() {
    // ISO 2859-1: lots at the limit are accepted with 88 to 99 % (from memory; the binomial
    // distribution of these plans gives 0.875 for the smallest).
    for limit in QualityLimit::all() {
        let mut before = 0.0;
        for case in plans() {
            let (lot, level) = lot_with(case.text("code_letter"));
            let plan = acceptance_plan(lot, level, limit).unwrap();
            let chance = chance_to_accept(&plan, limit.percent() / 100.0);
            assert!((0.87..0.999).contains(&chance), "{} {chance}", case.name());
            assert_eq!(plan.refuse_from, plan.accept_up_to + 1);
            // Larger samples refuse bad lots more surely.
            let refused = 1.0 - chance_to_accept(&plan, limit.percent() / 100.0 * 5.0);
            assert!(refused >= before - 0.02, "{}", case.name());
            before = refused;
        }
    }
}

#[test]
fn what_is_not_tabled_is_refused() {
    let limit = QualityLimit::of_percent(2.5).unwrap();
    for lot in [0, 1] {
        let refused = acceptance_plan(lot, InspectionLevel::II, limit).unwrap_err();
        assert_eq!(refused.code(), "out_of_range");
    }
    for percent in [0.0, 0.4, 10.0, f64::NAN] {
        assert!(QualityLimit::of_percent(percent).is_err(), "{percent}");
    }
    let texts: Vec<&str> = QualityLimit::all()
        .map(QualityLimit::percent_text)
        .collect();
    assert_eq!(texts, ["0.65", "1.0", "1.5", "2.5", "4.0", "6.5"]);
}
