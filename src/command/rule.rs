//! The decision rule that options ask for.

use crate::measure::Rule;

use super::arguments::{RuleArguments, RuleName};
use super::problem::Problem;

/// The rule asked for; none leaves it to whether an uncertainty is known. A number that belongs
/// to a rule asks for that rule.
///
/// # Errors
/// A number that does not belong to the rule named beside it. Whether it is in range is known
/// where values are judged.
pub(crate) fn asked_rule(arguments: &RuleArguments) -> Result<Option<Rule>, Problem> {
    let probability = || match arguments.confidence {
        Some(confidence) => Rule::Probability { confidence },
        None => Rule::PROBABILITY,
    };
    let guard = || match arguments.guard_factor {
        Some(factor) => Rule::Guard { factor },
        None => Rule::GUARD,
    };
    let foreign = |option: &str, rule: &str| {
        let message =
            format!("--{option} belongs to the rule {rule}, and another one is asked for.");
        Err(Problem::bad(
            "rule_option_mismatch",
            message,
            Some("Leave one of the two out."),
        ))
    };
    let (confidence, factor) = (
        arguments.confidence.is_some(),
        arguments.guard_factor.is_some(),
    );
    match arguments.rule {
        None | Some(RuleName::Guard) if confidence && factor => {
            foreign("confidence", "probability")
        }
        Some(RuleName::Guard | RuleName::Simple) if confidence => {
            foreign("confidence", "probability")
        }
        Some(RuleName::Probability | RuleName::Simple) if factor => {
            foreign("guard-factor", "guard")
        }
        Some(RuleName::Probability) => Ok(Some(probability())),
        Some(RuleName::Guard) => Ok(Some(guard())),
        Some(RuleName::Simple) => Ok(Some(Rule::Simple)),
        None if confidence => Ok(Some(probability())),
        None if factor => Ok(Some(guard())),
        None => Ok(None),
    }
}
