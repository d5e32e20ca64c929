//! Builds the page on which a gauge is studied.

use super::gauges_view::GaugesSeen;
use super::words::{Words, clean, counted};
use super::{BudgetBar, EntryView, FactView, Mark, StudyView};
use crate::gauge::Gauge;
use crate::window::study_facts::{StudyFacts, StudyStage};

/// The page of a study.
pub(super) fn study(seen: &GaugesSeen<'_>, gauge: &Gauge, words: Words) -> StudyView {
    let Some(facts) = &seen.facts.study else {
        let prompt = format!(
            "How far can {} be trusted? Readings of the same parts, again and again, tell. Enter \
             begins a study.",
            gauge.id
        );
        return StudyView {
            prompt: clean(&prompt),
            ..StudyView::default()
        };
    };
    let entry = (!facts.awaits.is_empty()).then(|| EntryView {
        text: clean(seen.room.entry.as_deref().unwrap_or_default()),
        what: clean(&facts.awaits),
        fault: String::new(),
    });
    let bars = facts.bars.iter().map(|(what, value, share)| BudgetBar {
        what: what.clone(),
        value: words.sentence(value),
        share: *share,
    });
    StudyView {
        step: step(facts),
        prompt: words.sentence(&prompt(facts)),
        value: words.sentence(&facts.last),
        remark: words.sentence(&facts.remark),
        entry,
        bars: bars.collect(),
        bars_of: words.sentence(&facts.bars_of),
        total: words.sentence(&facts.total),
        lines: lines(facts, words),
    }
}

fn step(facts: &StudyFacts) -> String {
    let (filled, wanted) = facts.progress;
    match facts.stage {
        StudyStage::Setup => String::new(),
        StudyStage::Measuring => format!("{filled} of {}", counted(wanted, "reading")),
        StudyStage::Complete => format!("all {}", counted(wanted, "reading")),
        StudyStage::Closed => {
            format!(
                "{filled} of {}, recorded and closed",
                counted(wanted, "reading")
            )
        }
    }
}

/// Once all is measured the first thing to do is what counts.
fn prompt(facts: &StudyFacts) -> String {
    match facts.stage {
        StudyStage::Setup | StudyStage::Measuring => facts.prompt.clone(),
        StudyStage::Complete | StudyStage::Closed => {
            facts.steps.first().cloned().unwrap_or_default()
        }
    }
}

fn lines(facts: &StudyFacts, words: Words) -> Vec<FactView> {
    let line = |what: &str, value: &str, mark| FactView {
        what: what.to_owned(),
        value: words.sentence(&clean(value)),
        note: String::new(),
        mark,
    };
    let mut all: Vec<FactView> = facts
        .answers
        .iter()
        .map(|(what, value)| line(what, value, None))
        .collect();
    let days = facts.days.iter();
    all.extend(days.map(|(what, said)| line(&clean(what), said, None)));
    let more = facts.steps.iter().skip(1);
    all.extend(more.map(|step| line("then", step, Some(Mark::Doubt))));
    if !facts.line.is_empty() {
        // A line of a file: its numbers keep their points.
        let value = clean(&facts.line);
        all.push(match facts.written.as_str() {
            "" => FactView {
                note: "+ enters it in gauges.toml".to_owned(),
                value,
                ..line("for the register", "", None)
            },
            file => FactView {
                note: clean(file),
                value,
                ..line("in the register", "", Some(Mark::Go))
            },
        });
    }
    all
}
