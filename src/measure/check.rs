//! What the outcome of a limit gauge means for the part.

use super::{Side, VerdictWord};
use crate::gauge::{CheckAsked, CheckEnd, CheckOutcome, CheckTool};

/// A verdict by a limit gauge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct CheckVerdict {
    /// GO or NO-GO; a limit gauge knows no doubt.
    pub verdict: VerdictWord,
    /// Inside, or where the metal is wrong.
    pub side: Side,
}

/// What the outcome means; none for a mating part, whose feel is recorded and proves nothing.
///
/// The GO end must go the whole way: whatever else it does, metal is still on. The NO-GO end must
/// not go: a screw gauge may enter by two turns, a plain one not at all, and on a thread of three
/// turns or fewer a screw gauge may enter and must not pass through; if it goes, metal is gone.
/// The rules in words and their sources are those of
/// [`acceptance_rules`](crate::tolerance::acceptance_rules).
///
/// ```
/// use fitledger::gauge::{CheckAsked, CheckEnd, CheckOutcome, CheckTool};
/// use fitledger::measure::{Side, VerdictWord, judge_check};
/// let plug = CheckAsked {
///     end: CheckEnd::NoGo,
///     with: CheckTool::ThreadPlug,
///     short_thread: false,
/// };
/// let two = judge_check(&plug, CheckOutcome::TurnsTwoOrFewer);
/// assert_eq!(two.map(|two| two.verdict), Some(VerdictWord::Go));
/// let more = judge_check(&plug, CheckOutcome::TurnsMore);
/// assert_eq!(more.map(|more| more.side), Some(Side::MetalGone));
/// ```
pub fn judge_check(asked: &CheckAsked, outcome: CheckOutcome) -> Option<CheckVerdict> {
    let is_plain = matches!(asked.with, CheckTool::PlainPlug | CheckTool::GapGauge);
    let wrong = match (asked.end, outcome) {
        (CheckEnd::Mate, _) => return None,
        // Where a cone does not carry says nothing of where its metal is.
        (_, CheckOutcome::Goes) if asked.with == CheckTool::Colour => None,
        _ if asked.with == CheckTool::Colour => Some(Side::Below),
        (CheckEnd::Go, CheckOutcome::Goes) => None,
        (CheckEnd::Go, _) => Some(Side::MetalOn),
        (CheckEnd::NoGo, CheckOutcome::DoesNot) => None,
        (CheckEnd::NoGo, CheckOutcome::TurnsTwoOrFewer) if !is_plain => None,
        (CheckEnd::NoGo, CheckOutcome::TurnsMore) if asked.short_thread && !is_plain => None,
        (CheckEnd::NoGo, _) => Some(Side::MetalGone),
    };
    Some(match wrong {
        None => CheckVerdict {
            verdict: VerdictWord::Go,
            side: Side::Inside,
        },
        Some(side) => CheckVerdict {
            verdict: VerdictWord::NoGo,
            side,
        },
    })
}
