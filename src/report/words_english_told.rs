//! The sentences of what happened, in English; see `words_english.rs`.

use super::words_told::Told;
use crate::gauge::Remark;
use crate::journal::Finding;
use crate::session::{self, SuitedLimit};
use crate::tolerance::Step;

/// What happened, in English.
pub(super) const TOLD: Told = Told {
    part_named: |part, serial| match serial {
        "" => format!("Part {part} has no serial number any more."),
        serial => format!("Part {part} was given the serial number {serial}."),
    },
    part_assembled: |one| {
        let others = one.with.iter();
        let others: Vec<String> = others
            .map(|other| format!("{} {}", other.member, other.serial))
            .collect();
        let with = match others.is_empty() {
            true => String::new(),
            false => format!(" with {}", others.join(", ")),
        };
        format!(
            "Part {} went as {} into {} {}{with}; the assembly was {} then (by {}).",
            one.part, one.member, one.assembly, one.serial, one.state, one.by
        )
    },
    part_taken_up: |part| format!("Work went on at part {part}."),
    session_resumed: |program, tables| {
        format!("The session was taken up again by {program}, tolerance tables {tables}.")
    },
    continuation_opened: |file, line| {
        format!("Recording went on in another file: {file} counts up to line {line}.")
    },
    tail_damaged: |bytes, offset| {
        format!(
            "An unfinished line of {bytes} bytes at byte {offset} was found and left where it \
             was; it was never acknowledged."
        )
    },
    clock_stepped: |ms| {
        format!("The computer's clock was set by {ms} ms against the time that had passed.")
    },
    unknown_event: |kind| format!("An event of a kind that this program does not know: {kind}."),
    gauge_doubted: |gauge, by, reason, since| {
        let since = since.unwrap_or("its last good check");
        format!(
            "{gauge} was found wrong by {by}: {reason}. What it measured since {since} is in doubt."
        )
    },
    study_begun: |study| {
        let (parts, operators) = (study.parts.len(), study.operators.len());
        format!(
            "A study of {} was begun: {parts} parts, {operators} operators, {} trials, {} readings \
             in all.",
            study.gauge,
            study.trials,
            study.order.len()
        )
    },
    zero: session::zero_sentence,
    taken_out: |open| match open {
        [] => "The part was taken out of the machine.".to_owned(),
        open => format!(
            "The part was taken out of the machine; still open in that setting: {}.",
            open.join(", ")
        ),
    },
    put_back: |method, runout| {
        let found = match runout {
            None => "runout not recorded".to_owned(),
            Some(runout) => format!("runout {runout} mm"),
        };
        match method {
            "" => format!("The part was put back, {found}."),
            method => format!("The part was put back, set true by {method}, {found}."),
        }
    },
    tool_changed: "The tool was changed",
    offset_given: |amount| format!("A tool offset of {amount} mm was given"),
    temperatures: |part, gauge| match (part, gauge) {
        (None, None) => "The temperatures are not known any more.".to_owned(),
        (Some(part), None) => format!("Temperature of the part: {part} °C."),
        (None, Some(gauge)) => format!("Temperature of the gauge: {gauge} °C."),
        (Some(part), Some(gauge)) => {
            format!("Temperature of the part: {part} °C; of the gauge: {gauge} °C.")
        }
    },
    job_from_here: |named| format!("From here on: {}.", named.join(", ")),
    job_names: ["order", "customer", "material lot", "machine"],
    operator_from_here: |name| match name {
        "" => "From here on nobody is named as measuring.".to_owned(),
        name => format!("From here on {name} measured."),
    },
    limit_step: Step::to_string,
    suited: SuitedLimit::sentences,
    suited_limits: "made to suit its measured mate: limits of this session only, not the class's",
    suits: |suits| {
        let each = suits.iter().map(|suit| {
            let size = suit.size.to_mm();
            let (feature, mate, source) = (&suit.feature, &suit.mate, &suit.source);
            format!("{feature} to suit {mate}, {size} mm ({source})")
        });
        let all: Vec<String> = each.collect();
        format!(
            "Limits of this session only, made to suit: {}.",
            all.join("; ")
        )
    },
    over_wires: |wire, lead| {
        format!(
            "measured over three wires of {wire} mm, lead {lead} mm; the size over them is turned \
             into the pitch diameter"
        )
    },
    form: session::form_said,
    gauge_kind: |word| word.replace('_', " "),
    gauge_remark: Remark::to_string,
    not_in_register: "not in the register: nothing is known of its error and its calibration",
    error_not_known: "not known",
    error_stated: |mpe| format!("largest permitted error {mpe}, stated in the register"),
    error_assumed: |mpe, ground| {
        format!("largest permitted error {mpe}, assumed for its kind: {ground}")
    },
    error_calibrated: |expanded, factor| format!("calibration: U = {expanded}, k = {factor}"),
    read_by: |gauge| format!("read by {gauge}"),
    source_by_adapter: |source, adapter| format!("{source}, adapter {adapter}"),
    zero_found_wrong: |time, why| format!("{time}: found wrong, {why}"),
    zero_good: |time, on, offset| format!("{time}: good {}, {offset} taken off", on_standard(on)),
    zero_failed: |time, on, offset| format!("{time}: failed {}, {offset}", on_standard(on)),
    left_open: |name, state, chance| match chance {
        None => format!("{name}: {state}"),
        Some(chance) => format!("{name}: {state}, chance of conformity {chance} %"),
    },
    same_frame: |line| format!("the same frame as line {line}"),
    taken: |how, values, span, ms| {
        let span = span.map_or_else(String::new, |(from, to)| format!(" from {from} to {to}"));
        format!("{how} of {values} values{span} in {ms} ms")
    },
    finding: Finding::to_string,
    notice: "notice",
    found_in_event: |file, line, event, what| format!("{file}, line {line}, event {event}: {what}"),
    more_findings: |count| match count {
        1 => "1 more finding".to_owned(),
        count => format!("{count} more findings"),
    },
    unknown_events: |count| match count {
        1 => "1 event is of a kind that this program does not know".to_owned(),
        count => format!("{count} events are of kinds that this program does not know"),
    },
    check: session::check_sentence,
    found_by: |what, record, line| format!("{what} ({record}, line {line})"),
    found_elsewhere: |time, what| {
        format!("Found in other records of the workspace on {time}: {what}.")
    },
    in_doubt_lines: |lines| match lines.contains(',') {
        false => format!("In doubt by it: the reading in line {lines} of this record."),
        true => format!("In doubt by it: the readings in lines {lines} of this record."),
    },
    looked_through: |count, newest| {
        format!(
            "Records of the workspace that were looked through for gauges found wrong: {count}, \
             the newest of {newest}."
        )
    },
    not_read_whole: |count| {
        format!(
            "Records of the workspace that could not be read whole: {count}. What else they say of \
             gauges is not known here."
        )
    },
    in_doubt_since: |time, what| format!("in doubt since {time}: {what}"),
    measure_again: |why, number, line, was_released| {
        let decided = if was_released { "Released, and " } else { "" };
        format!(
            "{decided}{why}. Characteristic {number}, the reading in line {line}: to be measured \
             again."
        )
    },
};

fn on_standard(standard: Option<&str>) -> String {
    match standard {
        Some(standard) => format!("on {standard}"),
        None => "at its own zero".to_owned(),
    }
}
