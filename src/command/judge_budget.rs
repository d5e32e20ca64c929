//! The uncertainty budget of a judged value: each line with its share, and what it comes to.

use crate::measure::{DegreesOfFreedom, Uncertainty};
use crate::quantity::Length;

use super::answers::Note;
use super::judge_why::{Shown, percent};
use super::output_judge::{Budget, BudgetEntry};

/// U is said for this probability of being within plus or minus U (usual practice).
const COVERAGE_PROBABILITY: f64 = 0.95;

/// The budget for machines; none where no coverage factor can be had.
pub(super) fn of(uncertainty: &Uncertainty) -> Option<Budget> {
    let lines = uncertainty.lines().iter();
    let entries = lines.map(|line| BudgetEntry {
        source: line.source.word(),
        u: Length::steps_text(line.standard_nm),
        share: uncertainty.share(line),
        degrees_of_freedom: finite(line.degrees_of_freedom),
    });
    let expanded = uncertainty.expanded(COVERAGE_PROBABILITY).ok()?;
    Some(Budget {
        budget: entries.collect(),
        degrees_of_freedom: finite(uncertainty.degrees_of_freedom()),
        expanded_uncertainty: expanded.to_mm(),
        coverage_factor: uncertainty.coverage_factor(COVERAGE_PROBABILITY).ok()?,
        coverage_probability: COVERAGE_PROBABILITY,
    })
}

fn finite(freedom: DegreesOfFreedom) -> Option<f64> {
    match freedom {
        DegreesOfFreedom::Finite(freedom) => Some(freedom),
        DegreesOfFreedom::Infinite => None,
    }
}

/// The budget for people: its lines, then U.
pub(super) fn notes(budget: &Budget) -> Vec<Note> {
    let mut notes: Vec<Note> = Vec::new();
    for entry in &budget.budget {
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
    let freedom = match budget.degrees_of_freedom {
        Some(freedom) => format!("{} effective degrees of freedom", whole(freedom)),
        None => "degrees of freedom infinite".to_owned(),
    };
    let text = format!(
        "U = {} mm, k = {:.2} for {:.0} %, {freedom}; first order",
        budget.expanded_uncertainty,
        budget.coverage_factor,
        budget.coverage_probability * 100.0,
    );
    notes.push(Note::new("expanded", text));
    notes
}

/// Degrees of freedom as they are used: truncated.
fn whole(freedom: f64) -> String {
    format!("{:.0}", (freedom * (1.0 + 1e-12)).floor())
}
