//! The words of attribute checks: what is asked at the bench, and the answers that may be given.

use crate::gauge::{CheckAsked, CheckEnd, CheckOutcome, CheckTool};

/// A question about a limit gauge or a mating part, with its two answers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckQuestion {
    /// What to do: `Put in the GO plug by hand, without force.`
    pub request: String,
    /// The question: `Does it go the whole way?`
    pub question: &'static str,
    /// The answer yes (`+`): the outcome and its words.
    pub yes: (CheckOutcome, &'static str),
    /// The answer no (`-`).
    pub no: (CheckOutcome, &'static str),
}

/// What is asked at the bench.
///
/// The answers of a NO-GO screw gauge are counted turns, since it may enter by two (ISO 1502); yes
/// is always that it goes.
pub fn check_question(asked: &CheckAsked) -> CheckQuestion {
    let name = asked.name();
    let way = match asked.with {
        CheckTool::ThreadRing => "on",
        _ => "in",
    };
    let goes = (CheckOutcome::Goes, "goes");
    let does_not = (CheckOutcome::DoesNot, "does not");
    let (request, question, yes, no) = match (asked.end, asked.with) {
        (_, CheckTool::Colour) => (
            "Blue one cone thinly, put both together, turn once by a little, take them apart."
                .to_owned(),
            "Does it carry evenly over its whole length?",
            (CheckOutcome::Goes, "carries evenly"),
            (CheckOutcome::DoesNot, "does not"),
        ),
        (CheckEnd::Mate, _) => (
            format!("Try the {name} by hand: its feel is recorded and proves nothing."),
            "Does it go together?",
            goes,
            does_not,
        ),
        (CheckEnd::Go, CheckTool::PlainPlug | CheckTool::GapGauge) => (
            format!("Try the {name} by its own weight or by hand, without force."),
            "Does it go?",
            goes,
            does_not,
        ),
        (CheckEnd::Go, _) => (
            format!("Screw the {name} {way} by hand, without force."),
            "Does it go over the whole thread?",
            goes,
            does_not,
        ),
        (CheckEnd::NoGo, CheckTool::PlainPlug | CheckTool::GapGauge) => (
            format!("Try the {name} by hand, without force."),
            "Does it go?",
            goes,
            does_not,
        ),
        (CheckEnd::NoGo, _) if asked.short_thread => (
            format!("Screw the {name} {way} by hand, without force: the thread is short."),
            "Does it pass right through?",
            (CheckOutcome::Goes, "passes through"),
            (CheckOutcome::DoesNot, "does not"),
        ),
        (CheckEnd::NoGo, _) => (
            format!(
                "Try the {name} by hand at every end that it can enter, without force; count the \
                 turns while unscrewing."
            ),
            "How many turns?",
            (CheckOutcome::TurnsMore, "more than two"),
            (CheckOutcome::TurnsTwoOrFewer, "two or fewer"),
        ),
    };
    CheckQuestion {
        request,
        question,
        yes,
        no,
    }
}

/// What may be typed as an answer, in a sentence.
pub fn check_answers(asked: &CheckAsked) -> &'static str {
    if asked.counts_turns() {
        "Type the turns counted while unscrewing, such as 1.5; or + for more than two, - for two \
         or fewer."
    } else {
        "Type + or goes, - or does not; no number."
    }
}

/// What a word for the trade is called: `minor diameter` of the element `minor`.
pub fn element_words(element: &str) -> &str {
    match element {
        "major" => "major diameter",
        "pitch" => "pitch diameter",
        "minor" => "minor diameter",
        "wires" => "over three wires",
        "go_plug" => "GO plug",
        "no_go_plug" => "NO-GO plug",
        "go_ring" => "GO ring",
        "no_go_ring" => "NO-GO ring",
        "full_thread" => "full thread",
        "mate" => "mating part",
        "total_runout" => "total runout",
        "taper" => "taper along it",
        "contact" => "contact by colour",
        "size" | "angle" => "",
        other => other,
    }
}
