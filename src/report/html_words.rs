//! The English texts that only the HTML form of a report has; all others are in
//! [`Words`](super::Words).

/// Texts of the HTML form in one language.
#[derive(Debug)]
pub(super) struct HtmlWords {
    pub(super) outcome: &'static str,
    pub(super) meaning: &'static str,
    pub(super) limits: &'static str,
    pub(super) points: &'static str,
    pub(super) circumstances: &'static str,
    pub(super) asked_for: &'static str,
    pub(super) found: &'static str,
    pub(super) stage_last: &'static str,
    pub(super) about: &'static str,
    pub(super) whole_part: &'static str,
    pub(super) what: &'static str,
    pub(super) hash: &'static str,
    pub(super) no_decisions: &'static str,
    pub(super) no_signatures: &'static str,
    pub(super) no_corrections: &'static str,
    pub(super) no_happenings: &'static str,
    pub(super) outline_title: &'static str,
    pub(super) not_to_scale: &'static str,
    pub(super) not_drawn: &'static str,
    pub(super) no_outline: &'static str,
    pub(super) bar_key: &'static str,
    pub(super) chance: &'static str,
    pub(super) concession_line: &'static str,
    pub(super) every: &'static str,
    pub(super) points_wanted: &'static str,
    pub(super) readings_shown: &'static str,
    pub(super) not_assigned: &'static str,
    pub(super) was_simulated: &'static str,
    pub(super) was_imported: &'static str,
    pub(super) no_upper: &'static str,
    pub(super) no_lower: &'static str,
    pub(super) no_parts: &'static str,
    pub(super) counts: &'static str,
    pub(super) before: &'static str,
    pub(super) doubted_by: &'static str,
    pub(super) other_readings: &'static str,
    pub(super) with: &'static str,
    pub(super) general: &'static str,
    pub(super) earlier_limits: &'static str,
    pub(super) readings: &'static str,
    pub(super) refused: &'static str,
    pub(super) session_signed: &'static str,
    pub(super) standings: &'static [(&'static str, &'static str)],
}

impl HtmlWords {
    /// What a standing means; empty for a word that this version does not know.
    pub(super) fn standing(&self, word: &str) -> &'static str {
        let found = self.standings.iter().find(|(known, _)| *known == word);
        found.map_or("", |(_, meaning)| meaning)
    }
}

/// English.
pub(super) static ENGLISH: HtmlWords = HtmlWords {
    outcome: "Outcome",
    meaning: "What it means",
    limits: "Limits",
    points: "Points",
    circumstances: "How it was measured",
    asked_for: "Asked",
    found: "Found",
    stage_last: "the last one, which decides",
    about: "About",
    whole_part: "the whole part",
    what: "What",
    hash: "Hash of that line",
    no_decisions: "No decision was recorded.",
    no_signatures: "Nobody has signed for this part.",
    no_corrections: "No reading of this part was voided or replaced.",
    no_happenings: "Nothing else was recorded.",
    outline_title: "Outline of the part as far as the plan gives it: outside above the axis, \
                    section below it. The numbers are those of the tables.",
    not_to_scale: "Lengths and diameters are drawn in different scales.",
    not_drawn: "Not drawn:",
    no_outline: "The plan gives no shape that could be drawn; the numbers are those of the tables.",
    bar_key: "Deviation: from the middle of the limits. The two heavy strokes are the limits, \
              the line with end caps is the uncertainty. Full disc: GO. Open disc: DOUBT. Cross: \
              NO-GO. Open square: no verdict yet. An arrow points to a value outside the picture.",
    chance: "chance of being inside",
    concession_line: "decision in line",
    every: "on every part of so many:",
    points_wanted: "points wanted:",
    readings_shown: "Readings given to this part in the record:",
    not_assigned: "none",
    was_simulated: "Simulated readings are among these results: they measure no part.",
    was_imported: "Some values were taken elsewhere and imported; this record does not show how \
                   they were measured.",
    no_upper: "no upper limit",
    no_lower: "no lower limit",
    no_parts: "The record has no part of this choice.",
    counts: "its value counts",
    before: "before:",
    doubted_by: "put in doubt by line",
    other_readings: "Readings that were given to no part",
    with: "together with",
    general: "limits of a general tolerance",
    earlier_limits: "limits of a stage before the last",
    readings: "readings:",
    refused: "refused or no reading:",
    session_signed: "Signed under the session as a whole:",
    standings: STANDINGS,
};

const STANDINGS: &[(&str, &str)] = &[
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
