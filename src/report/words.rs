//! What a report says in words, a field each, so that a report in another language is one more
//! [`Words`]. The words of verdicts and standings are the trade's own and stay as they are.

use super::chart_words::ChartWords;
use super::sheet::RecordFacts;
use super::words_batch::BatchWords;
use super::words_told::Told;

/// The texts of a report in one language. A plain text a field; lists pair a word of the record
/// with what people read.
#[derive(Debug, Clone, Copy)]
pub struct Words {
    /// The language by its tag (BCP 47).
    pub language: &'static str,
    /// The document's title.
    pub title: &'static str,
    /// What stands where the record has nothing.
    pub not_recorded: &'static str,
    /// What stands where nothing was measured.
    pub not_measured: &'static str,
    /// A characteristic that the sampling plan leaves out.
    pub not_selected: &'static str,
    /// Beside a verdict without an uncertainty.
    pub uncertainty_not_considered: &'static str,
    /// Beside a verdict that rests on a gauge found wrong after it.
    pub in_doubt: &'static str,
    /// The name of what other records of the workspace say of the gauges.
    pub elsewhere: &'static str,
    /// Where they were not looked through.
    pub elsewhere_not_looked: &'static str,
    /// Beside a value that a concession covers.
    pub under_concession: &'static str,
    /// Under the table, where limits are of general tolerances.
    pub general_tolerance: &'static str,
    /// On parts measured at a stage before the last.
    pub earlier_stage: &'static str,
    /// Beside a signature that holds no longer.
    pub signature_lapsed: &'static str,
    /// Under a head whose record has findings.
    pub record_damaged: &'static str,
    /// Under a head whose record was made with other tables.
    pub tables_differ: &'static str,
    /// Beside a gauge whose calibration was overdue on the day.
    pub was_overdue: &'static str,
    /// Yes and no.
    pub yes: &'static str,
    /// No.
    pub no: &'static str,

    /// `Part`.
    pub part: &'static str,
    /// `Parts`.
    pub parts: &'static str,
    /// `Serial number`.
    pub serial: &'static str,
    /// `Drawing`.
    pub drawing: &'static str,
    /// `Revision`.
    pub revision: &'static str,
    /// `Customer`.
    pub customer: &'static str,
    /// `Order`.
    pub order: &'static str,
    /// `Material`.
    pub material: &'static str,
    /// `Lot of the material`.
    pub material_lot: &'static str,
    /// `Machine`.
    pub machine: &'static str,
    /// `Parts ordered`.
    pub quantity: &'static str,
    /// `Plan`.
    pub plan: &'static str,
    /// `Stage`.
    pub stage: &'static str,
    /// `Measured by`.
    pub measured_by: &'static str,
    /// `Measured from`.
    pub measured_from: &'static str,
    /// `to`.
    pub measured_to: &'static str,
    /// `Standing`.
    pub standing: &'static str,
    /// `Result`.
    pub state: &'static str,

    /// `Decision rule`.
    pub rule: &'static str,
    /// `Agreed with`.
    pub agreed_with: &'static str,
    /// Where the rule was agreed with nobody.
    pub agreed_with_nobody: &'static str,

    /// `No.`
    pub number: &'static str,
    /// `Characteristic`.
    pub characteristic: &'static str,
    /// `Callout`.
    pub callout: &'static str,
    /// `Nominal`.
    pub nominal: &'static str,
    /// `Lower limit`.
    pub lower: &'static str,
    /// `Upper limit`.
    pub upper: &'static str,
    /// `Actual at 20 °C`.
    pub actual: &'static str,
    /// `Deviation`.
    pub deviation: &'static str,
    /// Standard uncertainty.
    pub u: &'static str,
    /// `Gauge`.
    pub gauge: &'static str,
    /// `Method`.
    pub method: &'static str,
    /// `Verdict`.
    pub verdict: &'static str,
    /// `Point`.
    pub point: &'static str,
    /// `Place`.
    pub place: &'static str,
    /// `Time`.
    pub time: &'static str,
    /// `Value shown`.
    pub value: &'static str,
    /// `As received`.
    pub raw: &'static str,
    /// `Origin`.
    pub origin: &'static str,
    /// `Zero offset`.
    pub zero_offset: &'static str,
    /// Temperature of the part, `Part, °C`.
    pub part_temperature: &'static str,
    /// Temperature of the gauge, `Gauge, °C`.
    pub gauge_temperature: &'static str,
    /// `Line`.
    pub line: &'static str,
    /// `Reason`.
    pub reason: &'static str,
    /// `By`.
    pub by: &'static str,
    /// `Counts in its place`.
    pub replaced_by: &'static str,

    /// Heading of the outline.
    pub heading_outline: &'static str,
    /// Heading of the table of results.
    pub heading_results: &'static str,
    /// Heading of the attribute checks.
    pub heading_checks: &'static str,
    /// Heading of the readings.
    pub heading_readings: &'static str,
    /// Heading of corrections.
    pub heading_corrections: &'static str,
    /// Heading of decisions.
    pub heading_decisions: &'static str,
    /// Heading of signatures.
    pub heading_signatures: &'static str,
    /// Heading of the gauges.
    pub heading_gauges: &'static str,
    /// Heading of what happened.
    pub heading_happenings: &'static str,
    /// Heading of the limits' reasons.
    pub heading_why: &'static str,
    /// Heading of the cautions.
    pub heading_cautions: &'static str,
    /// Heading of what the record is not.
    pub heading_not: &'static str,
    /// Heading of the record's facts.
    pub heading_record: &'static str,

    /// `Kind`.
    pub gauge_kind: &'static str,
    /// `Resolution`.
    pub resolution: &'static str,
    /// `Error taken from`.
    pub error_basis: &'static str,
    /// `Calibrated`.
    pub calibrated: &'static str,
    /// `Certificate`.
    pub certificate: &'static str,
    /// `Calibration due`.
    pub due: &'static str,
    /// `Set on`.
    pub set_on: &'static str,
    /// `Zero check`.
    pub zero: &'static str,
    /// `Readings from`.
    pub source: &'static str,

    /// `Signed`.
    pub signed: &'static str,
    /// `Covers the record up to line`.
    pub covers: &'static str,
    /// `Not proved when signed`.
    pub left: &'static str,
    /// `Withdrawn by line`.
    pub withdrawn_by: &'static str,

    /// `Record`.
    pub record: &'static str,
    /// `Files`.
    pub files: &'static str,
    /// `State of the record`.
    pub record_state: &'static str,
    /// `Events`.
    pub events: &'static str,
    /// `Hash of the last line`.
    pub head: &'static str,
    /// `Opened`.
    pub opened: &'static str,
    /// `Last line`.
    pub last: &'static str,
    /// `Closed`.
    pub closed: &'static str,
    /// Where it was not closed.
    pub not_closed: &'static str,
    /// `Programs`.
    pub programs: &'static str,
    /// `Tolerance tables (SHA-256)`.
    pub tables: &'static str,
    /// `Findings`.
    pub findings: &'static str,
    /// Where there are none.
    pub no_findings: &'static str,
    /// `Page` and `of` of a page's foot.
    pub page: &'static str,
    /// `of`.
    pub of: &'static str,

    /// Heading of what the parts came to.
    pub heading_outcome: &'static str,
    /// Behind how parts of a damaged record stand.
    pub as_far_as_readable: &'static str,
    /// Heading of readings without a part.
    pub heading_other_readings: &'static str,
    /// Heading of signatures under the whole session.
    pub heading_session_signed: &'static str,
    /// `What it means`, of a standing.
    pub what_it_means: &'static str,
    /// `Limits`.
    pub limits: &'static str,
    /// `Points`.
    pub points: &'static str,
    /// Heading of who measured, when, how.
    pub circumstances: &'static str,
    /// `Asked`, of an attribute check.
    pub asked_for: &'static str,
    /// `Found`, of an attribute check.
    pub found: &'static str,
    /// The stage of a plan without an earlier one.
    pub stage_last: &'static str,
    /// `Decided`.
    pub decided: &'static str,
    /// `About`.
    pub about: &'static str,
    /// What a decision without a feature is about.
    pub whole_part: &'static str,
    /// `What`.
    pub what: &'static str,
    /// Hash of the line that a signature covers.
    pub hash_of_line: &'static str,
    /// Where there is none.
    pub no_decisions: &'static str,
    /// Where there is none.
    pub no_signatures: &'static str,
    /// Where there is none.
    pub no_corrections: &'static str,
    /// Where there is none.
    pub no_happenings: &'static str,
    /// Where a report has no part.
    pub no_parts: &'static str,
    /// Under the outline.
    pub outline_note: &'static str,
    /// Where the outline is half a section.
    pub half_section: &'static str,
    /// Where lengths and diameters are drawn differently.
    pub not_to_scale: &'static str,
    /// Before what the outline does not show.
    pub not_in_outline: &'static str,
    /// Where there is none.
    pub no_outline: &'static str,
    /// What the marks of a bar mean, and in which unit values stand.
    pub bar_key: &'static str,
    /// Before a chance in percent.
    pub conformance: &'static str,
    /// Before what holds for all rows.
    pub unless: &'static str,
    /// `Notes`.
    pub notes: &'static str,
    /// Before the number of parts of which one is measured.
    pub every: &'static str,
    /// Beside limits of a general tolerance.
    pub general: &'static str,
    /// Beside limits of a stage before the last.
    pub earlier_limits: &'static str,
    /// Where a limit is absent.
    pub no_upper: &'static str,
    /// Where a limit is absent.
    pub no_lower: &'static str,
    /// Before gauges used with another.
    pub with: &'static str,
    /// Before the line of a concession.
    pub concession_line: &'static str,
    /// Before the readings that one value is taken from.
    pub taken_from: &'static str,
    /// Where readings are simulated.
    pub was_simulated: &'static str,
    /// Where readings are imported.
    pub was_imported: &'static str,
    /// Of a reading whose value counts.
    pub counts: &'static str,
    /// Before the verdicts that a reading had.
    pub before: &'static str,
    /// Before why a reading waited for an answer.
    pub held: &'static str,
    /// Before the line that put a verdict in doubt.
    pub doubted_by: &'static str,
    /// Of a reading that was given to no characteristic.
    pub not_assigned: &'static str,
    /// Before the number of readings of a part.
    pub readings_shown: &'static str,
    /// Before the number of readings of a gauge.
    pub readings: &'static str,
    /// Before the number of frames of a gauge that were no readings.
    pub refused: &'static str,
    /// Before the number of parts in the record.
    pub parts_in_record: &'static str,
    /// Where some characters stand as code points.
    pub as_code_points: &'static str,

    /// Decision rules.
    pub rules: Rules,
    /// What a note of a verdict means, from the record's word.
    pub note: fn(&str) -> String,
    /// Sentences that have something of the record in them.
    pub told: Told,
    /// What is said of all parts together.
    pub batch: BatchWords,
    /// The texts of charts.
    pub charts: &'static ChartWords,
    /// What lies between the words of the record and of people, by kind of word.
    pub lists: Lists,
    /// What to keep in mind at the machine, a sentence each.
    pub cautions: &'static [&'static str],
    /// What the record is not, a sentence each.
    pub what_it_is_not: &'static [&'static str],
}

/// A word of the record, and what people read for it.
pub type Pair = (&'static str, &'static str);

/// Words of the record by kind, with what people read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lists {
    /// Of [`ResultRow::side`](super::ResultRow::side).
    pub sides: &'static [Pair],
    /// Of [`ResultRow::method`](super::ResultRow::method).
    pub methods: &'static [Pair],
    /// Of [`ReadingRow::origin`](super::ReadingRow::origin).
    pub origins: &'static [Pair],
    /// Of [`ReadingRow::end`](super::ReadingRow::end).
    pub ends: &'static [Pair],
    /// Of [`DecisionRow::what`](super::DecisionRow::what).
    pub decisions: &'static [Pair],
    /// Of [`SignatureRow::meaning`](super::SignatureRow::meaning).
    pub meanings: &'static [Pair],
    /// Of [`SignatureRow::manner`](super::SignatureRow::manner).
    pub manners: &'static [Pair],
    /// Of [`RecordFacts::state`](super::RecordFacts::state).
    pub record_states: &'static [Pair],
    /// Of [`Asked::element`](super::Asked::element).
    pub elements: &'static [Pair],
    /// Outcomes of attribute checks.
    pub outcomes: &'static [Pair],
    /// Of [`Asked::surface`](super::Asked::surface).
    pub surfaces: &'static [Pair],
    /// What the standings of parts mean.
    pub standings: &'static [Pair],
}

/// Decision rules; `{}` is where a number of the rule stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rules {
    /// At least that chance of conformity.
    pub probability: &'static str,
    /// A guard band of so many standard uncertainties.
    pub guard: &'static str,
    /// Simple acceptance.
    pub simple: &'static str,
    /// Of attribute checks.
    pub attribute: &'static str,
}

impl Words {
    /// What people read for a word of the record; the word itself where the list has none.
    pub fn text_for<'t>(&self, list: &'static [Pair], word: &'t str) -> &'t str {
        let found = list.iter().find(|(known, _)| *known == word);
        found.map_or(word, |(_, text)| text)
    }

    /// A text that may be empty: then that it was not recorded.
    pub fn or_not_recorded<'t>(&self, text: &'t str) -> &'t str {
        if text.is_empty() {
            self.not_recorded
        } else {
            text
        }
    }

    /// Where a value lies (`metal on`).
    pub fn side<'t>(&self, word: &'t str) -> &'t str {
        self.text_for(self.lists.sides, word)
    }

    /// A way of measuring; empty: not recorded.
    pub fn method_of<'t>(&self, word: &'t str) -> &'t str {
        self.or_not_recorded(self.text_for(self.lists.methods, word))
    }

    /// Where a reading came from.
    pub fn origin_of<'t>(&self, word: &'t str) -> &'t str {
        self.text_for(self.lists.origins, word)
    }

    /// What became of a reading.
    pub fn end_of<'t>(&self, word: &'t str) -> &'t str {
        self.text_for(self.lists.ends, word)
    }

    /// What was decided.
    pub fn decision<'t>(&self, word: &'t str) -> &'t str {
        self.text_for(self.lists.decisions, word)
    }

    /// What a signature says.
    pub fn meaning<'t>(&self, word: &'t str) -> &'t str {
        self.text_for(self.lists.meanings, word)
    }

    /// How it was released.
    pub fn manner<'t>(&self, word: &'t str) -> &'t str {
        self.text_for(self.lists.manners, word)
    }

    /// How parts stand: in a damaged record only as far as it could be read.
    pub fn stands(&self, text: &str, record: &RecordFacts) -> String {
        match record.state.as_str() {
            "damaged" => format!("{text}, {}", self.as_far_as_readable),
            _ => text.to_owned(),
        }
    }

    /// How sound the record is.
    pub fn state_of_record<'t>(&self, word: &'t str) -> &'t str {
        self.text_for(self.lists.record_states, word)
    }

    /// The element of a feature; empty for its size or angle.
    pub fn element<'t>(&self, word: &'t str) -> &'t str {
        self.text_for(self.lists.elements, word)
    }

    /// An outcome of an attribute check.
    pub fn outcome<'t>(&self, word: &'t str) -> &'t str {
        self.text_for(self.lists.outcomes, word)
    }

    /// Where the metal is.
    pub fn surface<'t>(&self, word: &'t str) -> &'t str {
        self.text_for(self.lists.surfaces, word)
    }

    /// The decision rule as people read it, from the record's text (`probability 0.95`).
    pub fn rule_in_words(&self, rule: &str) -> String {
        let rules = &self.rules;
        match rule.split_once(' ') {
            Some(("probability", chance)) => rules.probability.replace("{}", chance),
            Some(("guard", factor)) => rules.guard.replace("{}", factor),
            _ if rule == "simple" => rules.simple.to_owned(),
            _ if rule == "attribute" => rules.attribute.to_owned(),
            _ => rule.to_owned(),
        }
    }

    /// What a standing means; empty for a word that this version does not know.
    pub fn standing_means(&self, word: &str) -> &'static str {
        let found = self
            .lists
            .standings
            .iter()
            .find(|(known, _)| *known == word);
        found.map_or("", |(_, meaning)| meaning)
    }

    /// What a note of a verdict means.
    pub fn note(&self, note: &str) -> String {
        (self.note)(note)
    }
}
