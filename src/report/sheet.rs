//! What an inspection report says, as plain values: made once from a record, and the only thing
//! that any form of the report is written from. Every value is the text that stands in the record
//! (exact decimal millimetres with a point, degrees, or an outcome's word), so that the same number
//! stands in each form. Refuses to know paper, markup and colours.

use super::sheet_batch::BatchSheet;
use crate::plan::Outline;

/// A whole report: the session, what was asked, what each part came to.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sheet {
    /// The record that it is taken from.
    pub record: RecordFacts,
    /// What is made, and for whom.
    pub job: JobFacts,
    /// How verdicts came about.
    pub rule: RuleFacts,
    /// What was asked, in the plan's order.
    pub asked: Vec<Asked>,
    /// The parts of the report, in the order of their numbers.
    pub parts: Vec<PartSheet>,
    /// The gauges that were used or named.
    pub gauges: Vec<GaugeFacts>,
    /// What else happened in the session (tool, offset, temperature, zero checks, findings), in
    /// order.
    pub happenings: Vec<Happening>,
    /// All parts together; none of a single part, of a choice of parts, and where nothing has
    /// sizes.
    pub batch: Option<BatchSheet>,
    /// The part's shape, where the plan gives it.
    pub outline: Option<Outline>,
}

impl Sheet {
    /// What was asked under that number.
    pub fn asked_under(&self, number: usize) -> Option<&Asked> {
        self.asked.iter().find(|asked| asked.number == number)
    }

    /// When the first and the last reading of all its parts came; empty without any.
    pub fn measured(&self) -> (&str, &str) {
        let from = self.parts.iter().map(|part| part.from.as_str());
        let from = from.filter(|time| !time.is_empty()).min();
        let to = self.parts.iter().map(|part| part.to.as_str()).max();
        (from.unwrap_or_default(), to.unwrap_or_default())
    }
}

/// The record: which files, how sound, what it ends with.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RecordFacts {
    /// Its files, the oldest first.
    pub files: Vec<String>,
    /// `sound`, `not_closed`, `torn_tail` or `damaged`.
    pub state: String,
    /// Events in it.
    pub events: u64,
    /// The last line's hash, 64 digits: what this report is a witness of.
    pub head: String,
    /// What is wrong with it, one sentence each.
    pub findings: Vec<String>,
    /// Opened at, RFC 3339 with the bench's offset.
    pub opened: String,
    /// Last line written at.
    pub last: String,
    /// Closed, with its reason; none: still open.
    pub closed: Option<String>,
    /// The programs that wrote it, with their versions.
    pub programs: Vec<String>,
    /// SHA-256 of the tolerance tables.
    pub tables: String,
    /// The tables of this program are others than those.
    pub tables_differ: bool,
    /// The bench's distance from UTC, such as `+01:00`; times of lines are UTC.
    pub offset: String,
    /// Parts started in the whole record, whatever was selected of them.
    pub parts: u32,
    /// Signatures under the session as a whole.
    pub signatures: Vec<SignatureRow>,
    /// Readings that were given to no part: zero checks, and what was set aside before; of a
    /// damaged record also those whose part is lost.
    pub other_readings: Vec<ReadingRow>,
    /// What other records of the workspace say of its gauges, and up to when they were looked
    /// through, a sentence each; empty: not looked for.
    pub elsewhere: Vec<String>,
}

impl RecordFacts {
    /// Whether nothing that was written is lost or altered: sound, or only not closed.
    pub fn is_whole(&self) -> bool {
        matches!(self.state.as_str(), "sound" | "not_closed")
    }
}

/// What is made. An empty text was not recorded.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct JobFacts {
    /// The part's name; of typed callouts `one-off`.
    pub part_name: String,
    /// Drawing number.
    pub drawing: String,
    /// Its revision.
    pub revision: String,
    /// Customer.
    pub customer: String,
    /// Order.
    pub order: String,
    /// Material.
    pub material: String,
    /// Lot of the material.
    pub material_lot: String,
    /// Machine.
    pub machine: String,
    /// Parts ordered.
    pub quantity: String,
    /// The plan's file, or how it came about.
    pub plan_name: String,
    /// Stage at which the parts were measured; empty: the last, which decides.
    pub stage: String,
    /// Whether that stage is one before the last: nothing is finished by it.
    pub is_earlier_stage: bool,
    /// Everybody who measured.
    pub operators: Vec<String>,
}

/// How verdicts came about.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RuleFacts {
    /// The rule as the record has it (`probability 0.95`, `guard 1.65`, `simple`); several where
    /// the record has several.
    pub rules: Vec<String>,
    /// With whom it was agreed; empty: with nobody.
    pub agreed_with: String,
    /// Whether some verdict was given without an uncertainty.
    pub some_without_uncertainty: bool,
    /// Whether some limits are of general tolerances (ISO 2768-1).
    pub some_general: bool,
}

/// One characteristic that is asked of every part, with its number on the outline.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Asked {
    /// Number on the outline and in the tables, from 1.
    pub number: usize,
    /// Feature id.
    pub feature: String,
    /// Element of the feature (`size`, `pitch`, `go_plug`, ...).
    pub element: String,
    /// The feature's name; may be empty.
    pub name: String,
    /// The callout as it is written.
    pub callout: String,
    /// `mm`, `angle` or `check`.
    pub unit: String,
    /// Nominal, where the callout has one; text as of lengths.
    pub nominal: String,
    /// Lower limit; empty: none.
    pub lower: String,
    /// Upper limit; empty: none.
    pub upper: String,
    /// Measured inside, outside, ...: word of the surface.
    pub surface: String,
    /// Points wanted.
    pub points: u16,
    /// Names of the points' places; empty where the plan gives none.
    pub places: Vec<String>,
    /// Measured on every so-manieth part.
    pub every: u32,
    /// Standard, table, row and arithmetic behind the limits.
    pub why: Vec<String>,
    /// Drawn in the outline.
    pub is_drawn: bool,
    /// Its limits are of a general tolerance (ISO 2768-1).
    pub is_general: bool,
    /// The limits are those of a stage before its last.
    pub is_earlier_stage: bool,
    /// The limits hold in this session only: it is made to suit its measured mate.
    pub is_suited: bool,
}

/// One part.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PartSheet {
    /// Running number in the session, from 1.
    pub number: u32,
    /// Serial number; empty: none given.
    pub serial: String,
    /// What its characteristics give: `open`, `GO`, `NO-GO`, `DOUBT`, `NOTED`, `not selected`.
    pub state: String,
    /// What stands for it in all, in words: the state, or what was decided on top of it
    /// (`released`, `released in doubt`, `under concession`, `scrap`, `on hold`, ...).
    pub standing: String,
    /// Whether that standing is one that a customer may take for good without reading on; never
    /// in a damaged record, where what is lost may say otherwise.
    pub is_good: bool,
    /// One row for each of [`Sheet::asked`], in its order.
    pub results: Vec<ResultRow>,
    /// Every reading that was given to the part, in the order of the record.
    pub readings: Vec<ReadingRow>,
    /// What was decided about the part, in order.
    pub decisions: Vec<DecisionRow>,
    /// Who signed for it, in order.
    pub signatures: Vec<SignatureRow>,
    /// The first reading's time, RFC 3339.
    pub from: String,
    /// The last reading's time.
    pub to: String,
    /// Material lot, machine and so on, where they differ from the head's: those of the sheet's
    /// first measured part.
    pub job_notes: Vec<String>,
    /// The assembly that it went into last, name and serial number; empty: into none.
    pub assembled_into: String,
    /// What other records put in doubt of what counts, since when and by which of them, a sentence
    /// each.
    pub doubts: Vec<String>,
}

impl PartSheet {
    /// Whether a result or a reading of it is of that origin.
    pub fn has_origin(&self, origin: &str) -> bool {
        let results = self.results.iter().map(|row| &row.origin);
        let mut all = results.chain(self.readings.iter().map(|row| &row.origin));
        all.any(|one| one == origin)
    }
}

/// What a characteristic of a part came to.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ResultRow {
    /// [`Asked::number`].
    pub number: usize,
    /// Asked of this part; otherwise the sampling plan leaves it out: "not selected".
    pub is_selected: bool,
    /// The deciding value at 20 °C as the record has it (the worst point's); empty: not measured.
    pub actual: String,
    /// The values of all points that count, in the order of the points.
    pub points: Vec<PointRow>,
    /// Value less the middle of the limits (or the nominal, where there is no middle), a plain
    /// number with a minus where it is below; empty where there is neither.
    pub deviation: String,
    /// Where it lies between the limits.
    pub bar: Option<Bar>,
    /// Standard uncertainty; empty: not considered.
    pub u: String,
    /// `GO`, `NO-GO`, `DOUBT`, `INSIDE` (points still wanted), `NOTED`; empty: not measured.
    /// What was GO on a gauge that was found wrong after it is `DOUBT` here; the reading's own row
    /// keeps the record's word.
    pub verdict: String,
    /// `inside`, `metal_on`, `metal_gone`, `above`, `below`; may be empty.
    pub side: String,
    /// The rule of the verdict.
    pub rule: String,
    /// Chance of conformity in parts per million.
    pub conformance_ppm: Option<u32>,
    /// Gauge id.
    pub gauge: String,
    /// Way of measuring: `two_point`, `three_point`, `comparator`, `transfer`, `limit_gauge`,
    /// `over_wires`; empty: not recorded.
    pub method: String,
    /// The setting standard that the value rests on; may be empty.
    pub set_on: String,
    /// Who measured.
    pub operator: String,
    /// When, RFC 3339.
    pub time: String,
    /// The reading's line.
    pub reading: u64,
    /// All readings that were taken together for it (repeats of one point), that one included.
    pub from: Vec<u64>,
    /// `sent`, `typed`, `simulated` or `imported`.
    pub origin: String,
    /// Part temperature in degrees Celsius; empty: not recorded.
    pub part_temperature: String,
    /// Gauge temperature; empty: not recorded.
    pub gauge_temperature: String,
    /// What was noticed, one word each, as in the record.
    pub notes: Vec<String>,
    /// It rests on a gauge that was found wrong after it.
    pub is_in_doubt: bool,
    /// The concession that covers it: its line in [`PartSheet::decisions`].
    pub concession: Option<u64>,
}

/// Where a value lies, for a bar that is drawn: thousandths of the distance from the lower limit
/// (0) to the upper (1000); a value outside may be below 0 or above 1000 and is clamped when drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Bar {
    /// The value.
    pub at: i32,
    /// Half width of the uncertainty shown (the guard band, or 2 u); 0: none.
    pub half_width: i32,
}

/// One point of a characteristic.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PointRow {
    /// From 1.
    pub point: u16,
    /// The name of its place; may be empty.
    pub place: String,
    /// Value at 20 °C; empty: not measured.
    pub value: String,
    /// The reading's line.
    pub reading: u64,
    /// What it came to at this point alone.
    pub outcome: String,
}

/// One reading.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ReadingRow {
    /// Its line in the record.
    pub line: u64,
    /// RFC 3339.
    pub time: String,
    /// [`Asked::number`] that it was given to; 0: none.
    pub number: usize,
    /// Point, from 1; 0: none.
    pub point: u16,
    /// Gauge id.
    pub gauge: String,
    /// `sent`, `typed`, `simulated` or `imported`.
    pub origin: String,
    /// What arrived: the characters, others as escapes.
    pub raw: String,
    /// The value as it was shown, in its unit.
    pub value: String,
    /// `mm`, `in`, `angle` or `check`.
    pub unit: String,
    /// The value at 20 °C; empty where it came to none.
    pub value_at_20: String,
    /// What the zero check took off it; empty: nothing.
    pub zero_offset: String,
    /// Who measured.
    pub operator: String,
    /// Part temperature; empty: not recorded.
    pub part_temperature: String,
    /// Gauge temperature; empty: not recorded.
    pub gauge_temperature: String,
    /// Stage at which it was taken; empty: the last.
    pub stage: String,
    /// `judged`, `cutting`, `set_aside`, `repeat`, `voided`, `held`, `zero_check`, `open`.
    pub end: String,
    /// The verdict that it brought last; may be empty.
    pub verdict: String,
    /// What it had brought before, the oldest first: it was judged again when another was voided.
    pub verdicts_before: Vec<String>,
    /// Why it was voided, set aside or held; may be empty.
    pub reason: String,
    /// Who voided it.
    pub by: String,
    /// The reading that counts in its place, 0: none.
    pub replaced_by: u64,
    /// It stands behind a value in [`PartSheet::results`], alone or with its repeats.
    pub counts: bool,
    /// Why it was held for an answer, if it ever was.
    pub held: String,
    /// Out of what it was taken, where a gauge was shown live (`largest of 41 values`); else empty.
    pub taken: String,
    /// The line that put it in doubt after it was judged, 0: none.
    pub doubted_by: u64,
    /// What another record put it in doubt by, when and where that stands; empty: nothing.
    pub doubt: String,
}

/// What was decided about a part.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct DecisionRow {
    /// Its line in the record.
    pub line: u64,
    /// RFC 3339.
    pub time: String,
    /// `rework`, `scrap`, `hold`, `concession`, `withdrawn`.
    pub what: String,
    /// Feature and element it is about; empty: the whole part.
    pub about: String,
    /// [`Asked::number`] that it is about; 0: the whole part, or a feature of several.
    pub number: usize,
    /// Why.
    pub reason: String,
    /// Who decided.
    pub by: String,
    /// With whom it was agreed; may be empty.
    pub agreed_with: String,
    /// The later line that withdrew it, 0: it stands.
    pub withdrawn_by: u64,
}

/// A signature: a name under what the record says.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SignatureRow {
    /// Its line in the record.
    pub line: u64,
    /// RFC 3339.
    pub time: String,
    /// `measured`, `checked` or `released`.
    pub meaning: String,
    /// Of a release: empty, `early` or `in_doubt` or `under_concession`.
    pub manner: String,
    /// Who signs.
    pub by: String,
    /// Why, where it had to be said.
    pub reason: String,
    /// The last line that it covers.
    pub covers: u64,
    /// That line's hash, 64 digits.
    pub hash: String,
    /// Characteristics that were open or in doubt then.
    pub left: Vec<String>,
    /// The part changed after it, so that it holds no longer.
    pub has_lapsed: bool,
    /// The line of that change, 0: none.
    pub lapsed_by: u64,
}

/// A gauge on the day.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct GaugeFacts {
    /// Its id in the register.
    pub id: String,
    /// Kind in words.
    pub kind: String,
    /// Serial number; may be empty.
    pub serial: String,
    /// Resolution, mm; may be empty.
    pub resolution: String,
    /// What its error rests on, in words (largest permitted error, calibration, assumed).
    pub error_basis: String,
    /// Calibrated on; empty: not recorded.
    pub calibrated: String,
    /// Certificate; may be empty.
    pub certificate: String,
    /// Calibration due; empty: not recorded.
    pub due: String,
    /// Whether it was overdue on the day of the session.
    pub was_overdue: bool,
    /// The setting standard it is set on; may be empty.
    pub set_on: String,
    /// Its last zero check before or in the session, in words; empty: none recorded.
    pub zero: String,
    /// Where its readings came from (`serial:PORT`, `typed`, ...) and by which adapter.
    pub source: String,
    /// The callout that a limit gauge is made for; may be empty.
    pub callout: String,
    /// Way of measuring, as of [`ResultRow::method`]; empty: its kind does not say.
    pub method: String,
    /// Readings of it in this report.
    pub readings: u64,
    /// Frames that were refused, or that said something else than a reading.
    pub refused: u64,
    /// What whoever relies on it should know, a sentence each.
    pub remarks: Vec<String>,
}

/// Something that happened and may matter to whoever reads the record.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Happening {
    /// Its line in the record.
    pub line: u64,
    /// RFC 3339.
    pub time: String,
    /// The part at hand then; 0: none yet.
    pub part: u32,
    /// What, in a sentence.
    pub what: String,
}
