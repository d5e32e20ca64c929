//! The English texts of a report, in whatever form: with
//! `words_english_charts.rs` all that another language translates.
//! Notes of verdicts are said as they are at the bench.

use super::words::{Lists, Pair, Rules, Words};
use super::words_told::Told;
use crate::gauge::Remark;
use crate::journal::Finding;
use crate::session;
use crate::tolerance::Step;

/// English.
pub static ENGLISH: Words = Words {
    language: "en",
    title: "Inspection record",
    not_recorded: "not recorded",
    not_measured: "not measured",
    not_selected: "not selected",
    uncertainty_not_considered: "uncertainty not considered",
    in_doubt: "in doubt: its gauge was found wrong after it",
    elsewhere: "Gauges in other records",
    elsewhere_not_looked: "Not looked for: whether another record found a gauge of this one wrong.",
    under_concession: "accepted under concession",
    general_tolerance: "Limits of general tolerances (ISO 2768-1): exceeding one does not by \
                        itself mean rejection when the function is unimpaired.",
    earlier_stage: "Measured at a stage before the last: nothing is finished by it, and no part \
                    is GO.",
    signature_lapsed: "holds no longer: the part changed after it",
    record_damaged: "The record is not as it was written. What could be read is shown; what is \
                     lost may change what is said here.",
    tables_differ: "The tolerance tables of this program are not those that the record was made \
                    with; limits and verdicts are shown as recorded.",
    was_overdue: "overdue on the day",
    yes: "yes",
    no: "no",
    part: "Part",
    parts: "Parts",
    serial: "Serial number",
    drawing: "Drawing",
    revision: "Revision",
    customer: "Customer",
    order: "Order",
    material: "Material",
    material_lot: "Lot of the material",
    machine: "Machine",
    quantity: "Parts ordered",
    plan: "Plan",
    stage: "Stage",
    measured_by: "Measured by",
    measured_from: "Measured from",
    measured_to: "to",
    standing: "Standing",
    state: "Result",
    rule: "Decision rule",
    agreed_with: "Agreed with",
    agreed_with_nobody: "no agreement recorded",
    number: "No.",
    characteristic: "Characteristic",
    callout: "Callout",
    nominal: "Nominal",
    lower: "Lower limit",
    upper: "Upper limit",
    actual: "Actual at 20 °C",
    deviation: "Deviation",
    u: "u",
    gauge: "Gauge",
    method: "Method",
    verdict: "Verdict",
    point: "Point",
    place: "Place",
    time: "Time",
    value: "Value shown",
    raw: "As received",
    origin: "Origin",
    zero_offset: "Zero offset",
    part_temperature: "Part, °C",
    gauge_temperature: "Gauge, °C",
    line: "Line",
    reason: "Reason",
    by: "By",
    replaced_by: "Counts in its place",
    heading_outline: "Outline",
    heading_results: "Results",
    heading_checks: "Attribute checks",
    heading_readings: "All readings",
    heading_corrections: "Corrections",
    heading_decisions: "Decisions and concessions",
    heading_signatures: "Signatures",
    heading_gauges: "Gauges on the day",
    heading_happenings: "What else happened",
    heading_why: "Where the limits come from",
    heading_cautions: "Cautions",
    heading_not: "What this record is not",
    heading_record: "The record",
    gauge_kind: "Kind",
    resolution: "Resolution, mm",
    error_basis: "Error taken from",
    calibrated: "Calibrated",
    certificate: "Certificate",
    due: "Calibration due",
    set_on: "Set on",
    zero: "Zero check",
    source: "Readings from",
    signed: "Signed",
    covers: "Covers the record up to line",
    left: "Not proved when signed",
    withdrawn_by: "Withdrawn by line",
    record: "Record",
    files: "Files",
    record_state: "State of the record",
    events: "Events",
    head: "Hash of the last line",
    opened: "Opened",
    last: "Last line written",
    closed: "Closed",
    not_closed: "not closed: more may follow, or the end may be missing",
    programs: "Written by",
    tables: "Tolerance tables, SHA-256",
    findings: "Findings",
    no_findings: "none",
    page: "Page",
    of: "of",
    heading_outcome: "Outcome",
    as_far_as_readable: "as far as readable",
    heading_other_readings: "Readings that were given to no part",
    heading_session_signed: "Signatures under the session as a whole",
    what_it_means: "What it means",
    limits: "Limits",
    points: "Points",
    circumstances: "How it was measured",
    asked_for: "Asked",
    found: "Found",
    stage_last: "the last one, which decides",
    decided: "Decided",
    about: "About",
    whole_part: "the whole part",
    what: "What",
    hash_of_line: "Hash of that line",
    no_decisions: "No decision was recorded.",
    no_signatures: "Nobody has signed for this part.",
    no_corrections: "No reading of this part was voided or replaced.",
    no_happenings: "Nothing else was recorded.",
    no_parts: "The record has no part of this choice.",
    outline_note: "Drawn from the plan as far as it goes, not for measuring. The numbers are \
                   those of the tables.",
    half_section: "Outside above the axis, section below it.",
    not_to_scale: "Lengths and diameters are drawn in different scales.",
    not_in_outline: "Not in the outline",
    no_outline: "The plan gives no shape that could be drawn; the numbers are those of the \
                 tables.",
    bar_key: "Lengths in mm. Deviation: from the middle of the limits. Bar: the two heavy \
              strokes are the limits, the line with end caps is the uncertainty. Full disc: GO. \
              Open disc: DOUBT. Cross: NO-GO. Open square: no verdict yet. An arrow points to a \
              value outside the picture.",
    conformance: "Chance of conformity",
    unless: "Where a row says nothing else",
    notes: "Notes",
    every: "Measured on one part in",
    general: "limits of a general tolerance",
    earlier_limits: "limits of a stage before the last",
    no_upper: "no upper limit",
    no_lower: "no lower limit",
    with: "together with",
    concession_line: "decision in line",
    taken_from: "of lines",
    was_simulated: "Simulated readings are among these results: they measure no part.",
    was_imported: "Some values were taken elsewhere and imported; this record does not show how \
                   they were measured.",
    counts: "its value counts",
    before: "Verdict before",
    held: "Waited for an answer",
    doubted_by: "put in doubt by line",
    not_assigned: "none",
    readings_shown: "Readings given to this part in the record",
    readings: "Readings",
    refused: "Refused, or no reading",
    parts_in_record: "Parts in the record",
    as_code_points: "Characters that this page cannot draw stand as their code points \
                     (\\u{...}); the record has them as they were given.",
    rules: Rules {
        probability: "probability of conformity at least {} (ISO 14253-1:2017)",
        guard: "guard band of {} u at each limit",
        simple: "simple acceptance, uncertainty not considered",
        attribute: "limit gauge: it goes or it does not",
    },
    note: session::note_words,
    told: TOLD,
    lists: LISTS,
    cautions: &[
        "Stop the spindle, and keep hands and gauges clear, before measuring; take the chuck key \
         out.",
        "No gloves, sleeves or rags near anything that turns; keep gauge cables and the data foot \
         switch apart from the chuck and the machine's own pedals.",
        "No hand-held emery strip on turning work; deburr, and clear swarf with a hook and a \
         brush, not by hand.",
        "Hot parts burn, and they measure large.",
        "Press work: use guard and eye protection, and never go beyond the press's rating.",
        "Heating for shrink fits: ventilate; no plated or oily parts; temper colours mean that \
         hardness is lost.",
        "Dry ice and liquid nitrogen burn by cold and can suffocate.",
        "Computed forces, temperatures and stresses are estimates for a competent person.",
        "Parts whose failure can hurt someone (lifting, pressure, vehicles, aircraft, medical) \
         follow their own code, local rules and licensed practice.",
    ],
    what_it_is_not: &[
        "It is not a certificate of calibration.",
        "Its signatures are names that were typed; they are no electronic signatures in the \
         legal sense.",
        "Its times are those of the computer at the bench; they are no trusted time.",
        "Its chain of hashes shows an alteration, a gap or an end cut off only against a head \
         hash that was kept elsewhere, such as on this page; it is no proof against someone who \
         rewrites the whole record.",
        "It says nothing of what was not measured: other characteristics, material, hardness, \
         surface, and hidden faults.",
    ],
};

const LISTS: Lists = Lists {
    sides: &[
        ("inside", "inside"),
        ("metal_on", "metal on"),
        ("metal_gone", "metal gone"),
        ("above", "above"),
        ("below", "below"),
    ],
    methods: &[
        ("two_point", "two-point"),
        ("three_point", "three-point"),
        ("comparator", "comparator"),
        ("transfer", "transfer"),
        ("limit_gauge", "limit gauge"),
        ("over_wires", "over three wires"),
    ],
    origins: &[
        ("sent", "sent by the gauge"),
        ("typed", "typed"),
        ("simulated", "simulated"),
        ("imported", "imported, taken elsewhere"),
    ],
    ends: &[
        ("judged", "judged"),
        ("cutting", "taken while cutting"),
        ("set_aside", "set aside"),
        ("repeat", "the same press again"),
        ("voided", "voided"),
        ("held", "waits for an answer"),
        ("zero_check", "zero check"),
        ("open", "nothing decided"),
    ],
    decisions: &[
        ("rework", "rework"),
        ("scrap", "scrap"),
        ("hold", "on hold"),
        ("concession", "concession"),
        ("withdrawn", "withdrawn"),
    ],
    meanings: &[
        ("measured", "measured"),
        ("checked", "checked"),
        ("released", "released"),
    ],
    manners: &[
        ("early", "early, before everything was measured"),
        ("in_doubt", "in doubt: not proved by a gauge"),
        ("under_concession", "under concession"),
    ],
    record_states: &[
        ("sound", "sound"),
        ("not_closed", "sound, not closed"),
        ("torn_tail", "sound but for an unfinished last line"),
        ("damaged", "damaged"),
    ],
    elements: &[
        ("size", ""),
        ("angle", ""),
        ("major", "major diameter"),
        ("pitch", "pitch diameter"),
        ("minor", "minor diameter"),
        ("wires", "over three wires"),
        ("go_plug", "GO plug"),
        ("no_go_plug", "NO-GO plug"),
        ("go_ring", "GO ring"),
        ("no_go_ring", "NO-GO ring"),
        ("full_thread", "full thread"),
        ("mate", "mating part"),
    ],
    outcomes: &[
        ("goes", "goes"),
        ("does_not", "does not go"),
        ("turns_two_or_fewer", "two turns or fewer"),
        ("turns_more", "more than two turns"),
    ],
    surfaces: &[
        ("outside", "outside"),
        ("inside", "inside"),
        ("length", "length"),
        ("depth", "depth"),
        ("slot", "slot"),
        ("step", "step"),
    ],
    standings: STANDINGS,
};

const STANDINGS: &[Pair] = &[
    (
        "open",
        "Something that is asked has not been measured or decided. An open part is never GO.",
    ),
    (
        "GO",
        "Everything asked is proved to be inside its limits, under the decision rule.",
    ),
    (
        "NO-GO",
        "Something is proved to be beyond a limit, under the decision rule.",
    ),
    (
        "DOUBT",
        "Something is proved neither inside nor beyond its limits. This is not GO.",
    ),
    (
        "NOTED",
        "Everything was recorded; nothing of it proves a limit.",
    ),
    (
        "not selected",
        "The sampling plan left this part out: nothing was measured, and nothing is said of it.",
    ),
    (
        "open (stage done)",
        "Everything asked at this stage is good; later stages are still to come. It is not GO.",
    ),
    (
        "rework",
        "It is being worked on again, and is to be measured anew.",
    ),
    ("on hold", "It is kept back. It is not to be used."),
    ("scrap", "It is given up. It is not to be used."),
    (
        "under concession",
        "What is not GO is accepted by a concession. It is not GO, and not released yet.",
    ),
    (
        "released",
        "A named person released it, with everything asked proved.",
    ),
    (
        "released early",
        "EARLY RELEASE: a named person released it before everything asked was measured. It is \
         not GO.",
    ),
    (
        "released in doubt",
        "RELEASED IN DOUBT: a named person released it although something is not proved. It is \
         not GO.",
    ),
    (
        "released under concession",
        "A named person released it; what is not GO is accepted by a concession.",
    ),
    (
        "changed since release",
        "It was released, and something changed after that: the release holds no longer.",
    ),
];

const TOLD: Told = Told {
    part_named: |part, serial| match serial {
        "" => format!("Part {part} has no serial number any more."),
        serial => format!("Part {part} was given the serial number {serial}."),
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
    over_wires: |wire, lead| {
        format!(
            "measured over three wires of {wire} mm, lead {lead} mm; the size over them is turned \
             into the pitch diameter"
        )
    },
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
    more_findings: |count| format!("{count} more findings"),
    unknown_events: |count| format!("{count} events are of kinds that this program does not know"),
    check: session::check_sentence,
    found_by: |what, record, line| format!("{what} ({record}, line {line})"),
    found_elsewhere: |time, what| {
        format!("Found in other records of the workspace on {time}: {what}.")
    },
    in_doubt_lines: |lines| {
        format!("In doubt by it: the readings in lines {lines} of this record.")
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
