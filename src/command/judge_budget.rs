//! The uncertainty budget of a judged value: each line with its share, and what it comes to.

use crate::measure::{DegreesOfFreedom, Uncertainty};
use crate::quantity::Length;

use super::answers::Note;
use super::judge_why::{Shown, percent};
use super::output_judge::{BudgetEntry, JudgeLine};

/// U is said for this probability of being within plus or minus U (usual practice).
const COVERAGE_PROBABILITY: f64 = 0.95;

/// Puts the budget into an answer; nothing where no coverage factor can be had.
pub(super) fn fill(answer: &mut JudgeLine, uncertainty: &Uncertainty) {
    let (Ok(expanded), Ok(factor)) = (
        uncertainty.expanded(COVERAGE_PROBABILITY),
        uncertainty.coverage_factor(COVERAGE_PROBABILITY),
    ) else {
        return;
    };
    let lines = uncertainty.lines().iter();
    let entries = lines.map(|line| BudgetEntry {
        source: line.source.word(),
        u: Length::steps_text(line.standard_nm),
        share: uncertainty.share(line),
        degrees_of_freedom: finite(line.degrees_of_freedom),
    });
    answer.budget = entries.collect();
    answer.degrees_of_freedom = Some(finite(uncertainty.degrees_of_freedom()));
    answer.expanded_uncertainty = Some(expanded.to_mm());
    answer.coverage_factor = Some(factor);
    answer.coverage_probability = Some(COVERAGE_PROBABILITY);
}

fn finite(freedom: DegreesOfFreedom) -> Option<f64> {
    match freedom {
        DegreesOfFreedom::Finite(freedom) => Some(freedom),
        DegreesOfFreedom::Infinite => None,
    }
}

/// The budget for people: its lines, then U.
pub(super) fn notes(answer: &JudgeLine) -> Vec<Note> {
    let mut notes: Vec<Note> = Vec::new();
    for entry in &answer.budget {
        let freedom = match entry.degrees_of_freedom {
            Some(freedom) => format!(", {} degrees of freedom", whole(freedom)),
            None => String::new(),
        };
        let text = format!(
            "{}: u = {} mm, {} of u\u{b2}{freedom}",
            entry.source.replace('_', " "),
            entry.u,
            percent(entry.share),
        );
        let title = if notes.is_empty() { "budget" } else { "" };
        notes.push(Note::new(title, text));
    }
    if let (Some(freedom), Some(expanded), Some(factor), Some(probability)) = (
        answer.degrees_of_freedom,
        &answer.expanded_uncertainty,
        answer.coverage_factor,
        answer.coverage_probability,
    ) {
        let freedom = match freedom {
            Some(freedom) => format!("{} effective degrees of freedom", whole(freedom)),
            None => "degrees of freedom infinite".to_owned(),
        };
        let percent = probability * 100.0;
        let text = format!(
            "U = {expanded} mm, k = {factor:.2} for {percent:.0} %, {freedom}; first order"
        );
        notes.push(Note::new("expanded", text));
    }
    notes
}

/// Degrees of freedom as they are used: truncated.
fn whole(freedom: f64) -> String {
    format!("{:.0}", (freedom * (1.0 + 1e-12)).floor())
}
