//! The English texts that only the report on paper has; all others are in [`Words`](super::Words).

/// Texts of the paper form in one language.
#[derive(Debug)]
pub(super) struct PdfWords {
    /// Heading of what the parts came to.
    pub(super) outcome: &'static str,
    /// Under the outline.
    pub(super) outline_note: &'static str,
    /// Before the numbers that are not in the outline.
    pub(super) not_in_outline: &'static str,
    /// What the marks of a bar mean, and in which unit values stand.
    pub(super) bar_key: &'static str,
    /// `Chance of conformity`.
    pub(super) conformance: &'static str,
    /// `Points`.
    pub(super) points: &'static str,
    /// Before what holds for all rows.
    pub(super) unless: &'static str,
    /// `Notes`.
    pub(super) notes: &'static str,
    /// Before the number of parts of which one is measured.
    pub(super) every: &'static str,
    /// Where a report has no part.
    pub(super) no_part: &'static str,
    /// Where some characters stand as code points.
    pub(super) as_code_points: &'static str,
    /// Where readings are simulated.
    pub(super) was_simulated: &'static str,
    /// Where readings are imported.
    pub(super) was_imported: &'static str,
    /// Before the readings that one value is taken from.
    pub(super) taken_from: &'static str,
    /// Before why a reading waited for an answer.
    pub(super) held: &'static str,
    /// Before the verdicts that a reading had.
    pub(super) before: &'static str,
    /// `Decided`.
    pub(super) decided: &'static str,
    /// `What`.
    pub(super) what: &'static str,
    /// `About`.
    pub(super) about: &'static str,
    /// What a decision without a feature is about.
    pub(super) whole_part: &'static str,
    /// Before the number of readings of a gauge.
    pub(super) readings: &'static str,
    /// Before the number of frames that were no readings.
    pub(super) refused: &'static str,
    /// Heading of signatures under the session.
    pub(super) session_signatures: &'static str,
    /// Heading of readings without a part.
    pub(super) other_readings: &'static str,
    /// Parts in the record.
    pub(super) parts_in_record: &'static str,
}

/// English.
pub(super) static ENGLISH: PdfWords = PdfWords {
    outcome: "Outcome",
    outline_note: "Drawn from the plan, not to scale. The numbers are those of the tables.",
    not_in_outline: "Not in the outline",
    bar_key: "Lengths in mm. Bar: the two heavy strokes are the limits, the line with end caps is \
              the uncertainty. Full disc: GO. Open disc: DOUBT. Cross: NO-GO. Open square: no \
              verdict yet. An arrow points to a value outside the picture.",
    conformance: "Chance of conformity",
    points: "Points",
    unless: "Where a row says nothing else",
    notes: "Notes",
    every: "Measured on one part in",
    no_part: "No part stands in this report.",
    as_code_points: "Characters that this page cannot draw stand as their code points (\\u{...}); \
                     the record has them as they were given.",
    was_simulated: "Simulated readings: nothing of this part was measured.",
    was_imported: "Some values were taken elsewhere and imported; this record does not show how \
                   they were measured.",
    taken_from: "of lines",
    held: "Waited for an answer",
    before: "Verdict before",
    decided: "Decided",
    what: "What",
    about: "About",
    whole_part: "the whole part",
    readings: "Readings",
    refused: "Frames refused",
    session_signatures: "Signatures under the session",
    other_readings: "Readings given to no part",
    parts_in_record: "Parts in the record",
};
