//! The English texts about all parts together; see `words_english.rs`.

use super::words_batch::BatchWords;
use crate::measure::{CannotHold, LimitAhead, Offset, OffsetAdvice, SamplingAdvice};

/// The texts about all parts together, in English.
pub(super) const BATCH: BatchWords = BatchWords {
    heading: "All parts together",
    heading_numbers: "Numbers over the parts",
    heading_table: "Parts by characteristics",
    numbered: |from, to| match from == to {
        true => format!("no. {from}"),
        false => format!("no. {from} to {to}"),
    },
    key: "Each cell: the part's value at 20 °C (of several points their mean, and below it the \
          smallest and the largest where it is not GO) and its verdict. NO-GO and DOUBT stand out \
          by their plate or frame. A part that was not selected was not measured: nothing is said \
          of it. Under a value: readings voided, tests that signal, a concession by its line.",
    values: "Values",
    mean: "Mean",
    sd: "s",
    extremes: "Smallest, largest",
    range: "range",
    capability: "Capability",
    open: "open",
    voided: |count| format!("{count} voided"),
    signals: |tests| format!("signal: {tests}"),
    in_doubt: "in doubt",
    to: "to",
    ways: &[
        ("moving_range", "moving ranges, last stretch"),
        ("overall", "all values, taken as normal"),
        ("folded_normal", "quantiles, folded normal"),
        ("log_normal", "quantiles, log-normal"),
        ("rayleigh", "quantiles, Rayleigh"),
        ("truncated_normal", "quantiles, normal cut off at zero"),
    ],
    heading_stretches: "Stretches between tool changes and offsets, with control limits",
    began: "Began with",
    first_stretch: "the first part",
    control: ["Lower control", "Centre", "Upper control"],
    deviation: "s part to part",
    provisional: "provisional: few parts",
    coarse: "one step of the gauge is no signal",
    no_control: "too few parts for control limits",
    earlier_stretches: |count| format!("{count} earlier stretches are not shown here."),
    tool_changed: "tool changed",
    offset_applied: |amount| format!("offset {amount} mm"),
    put_back: |parts, more| match more {
        0 => format!("Clamped anew before part {parts}."),
        more => format!("Clamped anew before part {parts} and {more} more."),
    },
    ahead: LimitAhead::sentence,
    offset: OffsetAdvice::sentence,
    cannot_hold: CannotHold::sentence,
    sampling: SamplingAdvice::sentence,
    share: |seen, measuring, percent, parts| match parts {
        "" => format!(
            "Measuring alone (s {measuring}) explains the spread from part to part (s {seen}): \
             nothing is known of the parts' own."
        ),
        parts => format!(
            "Of the spread from part to part (s {seen}) measuring makes s {measuring}, {percent} % \
             of the variance; the parts themselves spread by s {parts}."
        ),
    },
    interval: |share, confidence, lower, upper| {
        format!(
            "With {confidence} % confidence {share} % of all parts lie between {lower} and {upper} \
             (ISO 16269-6, values taken as normal)."
        )
    },
    too_coarse: |step| {
        format!(
            "The gauge's step, {step} s, is too coarse to say whether the values are normal; what \
             is said as of normal values may be wrong by that."
        )
    },
    fine_enough: |step| {
        format!("The gauge's step, {step} s, is fine enough to ask whether the values are normal.")
    },
    anderson_darling: |a2, p, is_odd| normal("Anderson-Darling", "A²", a2, p, is_odd),
    shapiro_wilk: |w, p, is_odd| normal("Shapiro-Wilk", "W", w, p, is_odd),
    tiny: "below 0.0001",
    damaged: |parts| {
        format!(
            "The record is damaged. All numbers here stand on the {parts} parts and those of \
             their readings that could be read; what is lost may change every one of them."
        )
    },
    left_out: |count| {
        format!("{count} in doubt, since the gauge was found wrong after: not in the numbers.")
    },
    doubted_elsewhere: |count| match count {
        1 => "1 value came in doubt by other records of the workspace. It is marked in the table; \
              the numbers and charts still count it."
            .to_owned(),
        count => format!(
            "{count} values came in doubt by other records of the workspace. They are marked in \
             the table; the numbers and charts still count them."
        ),
    },
    sampled: |every, left_out, all| {
        format!(
            "Measured on one part in {every}: {left_out} of {all} parts were not selected, and \
             nothing is said of them."
        )
    },
    not_rechucked: |left_out, all| {
        format!(
            "Asked only where the part was clamped anew between datum and feature: {left_out} of \
             {all} parts were not, and nothing is said of them."
        )
    },
    still_open: |count| format!("{count} open: without a value, or not all points measured."),
    no_value: "No part has a value that counts.",
    one_value: "One value shows no spread: there is no capability, control limit or trend.",
    all_equal: "All values are the same: they show no spread. There is no capability, test of \
                normal values or interval; a finer gauge may show one.",
    no_bare_index: "Fewer than 30 values: an index alone is not told, since only its interval says \
                    something.",
    no_within: "Cp and Cpk are not told: the points of a part show its form, not what parts do \
                from one to the next.",
    ends_at_zero: "The characteristic ends at zero: its values are not taken as normal, and of \
                   the indices Ppk alone is told, by quantiles of a fitted distribution.",
    no_capability: |names, error| format!("{names}: {error}"),
    no_interval: |error| format!("Interval of all parts: {error}"),
    no_test: |name, error| format!("{name}: {error}"),
    no_trend: |error| format!("Trend: {error}"),
    few: |least| {
        format!(
            "A characteristic with fewer than {least} parts that count has no section of its own: \
             the tables have all of it."
        )
    },
    intervals: |confidence| format!("The intervals of indices have {confidence} % confidence."),
    next: "Next",
    reaches: |limit, is_upper, part, earliest, latest| {
        let side = if is_upper { "upper" } else { "lower" };
        let until = match latest {
            0 => format!("{earliest} on"),
            latest => format!("{earliest} to {latest}"),
        };
        format!("{limit}, the {side} limit less the guard band, reached at part {part} ({until})")
    },
    give: Offset::line,
    every: |every| match every {
        1 => "measure every part".to_owned(),
        every => format!("measure every {every} parts"),
    },
};

fn normal(test: &str, sign: &str, value: &str, p: &str, is_odd: bool) -> String {
    let says = match is_odd {
        true => "the values do not look normal, and what is said as of normal values may be wrong",
        false => "nothing speaks against normal values",
    };
    format!("{test}: {sign} {value}, p {p}: {says}.")
}
