//! The reasons of an attribute check: the rule by which the gauge decides, with its source.

use super::check_view::{about, check_verdict, outcome_words};
use super::focus::Focus;
use super::words::{Words, clean};
use super::{Mark, WhyLine, WhyView};
use crate::gauge::{CheckAsked, CheckEnd, CheckTool};
use crate::journal::{Outcome, VerdictGiven};
use crate::session::{State, note_of_verdict};
use crate::tolerance::{ThreadMember, acceptance_rules};

const NO_SIZE: &str = "A limit gauge shows no size: it goes or it does not, so nothing is \
                       corrected and no uncertainty is stated.";
/// So many of the acceptance rules say how the gauges are used.
const RULES_OF_USE: usize = 3;
const NO_PROOF: &str = "A mating part is no gauge: how it feels is recorded, and proves nothing.";

/// Why the check in focus came out as it did; before an answer, by which rule it will.
pub(super) fn why_check(
    state: &State,
    focus: &Focus<'_>,
    asked: &CheckAsked,
    words: Words,
) -> WhyView {
    let verdict = check_verdict(focus).map(|(_, verdict)| verdict);
    let name = asked.name();
    let title = match verdict {
        Some(verdict) => format!(
            "{}, {name}: {}",
            about(focus.target),
            outcome_words(verdict)
        ),
        None => format!("{}, {name}: not answered yet", about(focus.target)),
    };
    let mut rule = vec![proof(asked)];
    rule.extend(verdict.map(found));
    let notes = verdict.map_or(&[][..], |verdict| verdict.notes.as_slice());
    let told = |note: &String| verdict.map(|verdict| note_of_verdict(state, verdict, note));
    WhyView {
        title: words.sentence(&title),
        mark: Mark::Open,
        page: 0,
        limits: rules(asked, words),
        corrections: Vec::new(),
        budget: Vec::new(),
        total: match asked.end {
            CheckEnd::Mate => NO_PROOF.to_owned(),
            CheckEnd::Go | CheckEnd::NoGo => NO_SIZE.to_owned(),
        },
        rule,
        remedies: notes
            .iter()
            .filter_map(told)
            .map(|text| clean(&text))
            .collect(),
    }
}

/// What the two gauges prove together.
fn proof(asked: &CheckAsked) -> WhyLine {
    let (what, source) = match (asked.end, asked.with) {
        (CheckEnd::Mate, _) => ("the GO and NO-GO gauges are the proof, not this", ""),
        (_, CheckTool::ThreadPlug | CheckTool::ThreadRing) => (
            "GO and NO-GO screw gauge together are the proof of the thread",
            "ISO 1502, from memory",
        ),
        (_, CheckTool::Colour) => (
            "colour shows where the cone carries; its angle and diameter are proved elsewhere",
            "common practice",
        ),
        _ => (
            "the GO end goes and the NO-GO end does not: together the proof",
            "common practice",
        ),
    };
    WhyLine {
        what: what.to_owned(),
        value: String::new(),
        source: source.to_owned(),
    }
}

fn found(verdict: &VerdictGiven) -> WhyLine {
    let value = match verdict.outcome {
        Outcome::Noted => "recorded",
        Outcome::Inside => "inside",
        Outcome::Verdict(word) => word.word(),
    };
    WhyLine {
        what: format!("found: {}", outcome_words(verdict)),
        value: value.to_owned(),
        source: String::new(),
    }
}

/// The rules that count for this gauge, a line each.
fn rules(asked: &CheckAsked, words: Words) -> Vec<WhyLine> {
    let (member, count) = match asked.with {
        CheckTool::PlainPlug | CheckTool::GapGauge | CheckTool::Colour => return Vec::new(),
        CheckTool::ThreadPlug => (ThreadMember::Internal, usize::MAX),
        CheckTool::ThreadRing => (ThreadMember::External, usize::MAX),
        // Which crest is left to measure depends on the thread, and is none of the mating part's.
        CheckTool::MatingPart => (ThreadMember::Internal, RULES_OF_USE),
    };
    let rules = acceptance_rules(member);
    let rules = rules.iter().take(count);
    rules.map(|rule| sourced(rule, words)).collect()
}

/// A sentence with its source in brackets at its end.
fn sourced(rule: &str, words: Words) -> WhyLine {
    let rule = rule.trim_end_matches('.');
    let parts = rule
        .strip_suffix(')')
        .and_then(|text| text.rsplit_once(" ("));
    let (what, source) = parts.unwrap_or((rule, ""));
    WhyLine {
        what: words.sentence(what),
        value: String::new(),
        source: clean(source),
    }
}
