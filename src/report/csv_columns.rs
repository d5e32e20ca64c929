//! The columns of the table of readings: what each is called, means, is measured in and holds.
//! The table and its description are both made from here, so that they cannot differ.

use super::sheet::{Asked, GaugeFacts, PartSheet, PointRow, ReadingRow, ResultRow, Sheet};

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// A text.
    Text,
    /// A number, or nothing.
    Number,
    /// A number, or a word such as of a limit gauge.
    NumberOrText,
}

/// A column.
pub(super) struct Column {
    /// Its name in the first line, with its unit.
    pub(super) name: &'static str,
    /// What it holds.
    pub(super) kind: Kind,
    /// Its datatype in the description (a name of XML Schema).
    pub(super) datatype: &'static str,
    /// Its unit, where it has one.
    pub(super) unit: &'static str,
    /// What it means, in a sentence.
    pub(super) meaning: &'static str,
    /// Its text in a row; empty: nothing recorded.
    pub(super) of: fn(&Row<'_>) -> String,
}

/// A reading with what it belongs to.
pub(super) struct Row<'a> {
    sheet: &'a Sheet,
    /// None: it was given to no part.
    part: Option<&'a PartSheet>,
    reading: &'a ReadingRow,
    asked: Option<&'a Asked>,
    /// What its characteristic came to.
    result: Option<&'a ResultRow>,
    /// Its point, where it is the reading that counts there.
    point: Option<&'a PointRow>,
    gauge: Option<&'a GaugeFacts>,
}

impl<'a> Row<'a> {
    pub(super) fn new(
        sheet: &'a Sheet,
        part: Option<&'a PartSheet>,
        reading: &'a ReadingRow,
    ) -> Self {
        let number = reading.number;
        let mut results = part.into_iter().flat_map(|part| &part.results);
        let result = results.find(|row| row.number == number);
        let mut points = result.into_iter().flat_map(|row| &row.points);
        Self {
            sheet,
            part,
            reading,
            asked: sheet.asked_under(number),
            result,
            point: points.find(|point| point.reading == reading.line),
            gauge: sheet.gauges.iter().find(|gauge| gauge.id == reading.gauge),
        }
    }

    /// The result, where it rests on this reading.
    fn decided(&self) -> Option<&'a ResultRow> {
        self.result.filter(|row| row.reading == self.reading.line)
    }

    /// A text of the characteristic where that has this unit.
    fn in_unit(&self, unit: &str, of: fn(&Asked) -> &String) -> String {
        let asked = self.asked.filter(|asked| asked.unit == unit);
        asked.map(of).cloned().unwrap_or_default()
    }

    /// A text of the result where it rests on this reading and has this unit.
    fn decided_in(&self, unit: &str, of: fn(&ResultRow) -> &String) -> String {
        let is_asked = self.asked.is_some_and(|asked| asked.unit == unit);
        self.of_result(|row| {
            if is_asked {
                of(row).clone()
            } else {
                String::new()
            }
        })
    }

    fn of_part(&self, of: impl Fn(&PartSheet) -> String) -> String {
        self.part.map(of).unwrap_or_default()
    }

    fn of_asked(&self, of: fn(&Asked) -> &String) -> String {
        self.asked.map(of).cloned().unwrap_or_default()
    }

    fn of_gauge(&self, of: fn(&GaugeFacts) -> &String) -> String {
        self.gauge.map(of).cloned().unwrap_or_default()
    }

    fn of_result(&self, of: impl Fn(&ResultRow) -> String) -> String {
        self.decided().map(of).unwrap_or_default()
    }

    /// What the reading came to, where it has this unit.
    fn at_20_in(&self, units: &[&str]) -> String {
        if units.contains(&self.reading.unit.as_str()) {
            return self.reading.value_at_20.clone();
        }
        String::new()
    }

    fn place(&self) -> String {
        let named = self.point.map(|point| point.place.clone());
        named.filter(|place| !place.is_empty()).unwrap_or_else(|| {
            let at = usize::from(self.reading.point).checked_sub(1);
            let places = self.asked.map(|asked| &asked.places);
            let place = at.and_then(|at| places?.get(at));
            place.cloned().unwrap_or_default()
        })
    }
}

/// A number that is 0 where there is none.
fn some(number: impl ToString + PartialEq + Default) -> String {
    if number == Default::default() {
        return String::new();
    }
    number.to_string()
}

fn listed(texts: &[String]) -> String {
    texts.join("; ")
}

fn decisions(part: &PartSheet) -> String {
    let one = part.decisions.iter().map(|decision| {
        let about = match decision.about.as_str() {
            "" => String::new(),
            about => format!(" of {about}"),
        };
        let ended = match decision.withdrawn_by {
            0 => String::new(),
            line => format!(", withdrawn by line {line}"),
        };
        format!(
            "line {}: {}{about} by {}: {}{ended}",
            decision.line, decision.what, decision.by, decision.reason
        )
    });
    one.collect::<Vec<String>>().join("; ")
}

fn signatures(part: &PartSheet) -> String {
    let one = part.signatures.iter().map(|signed| {
        let manner = match signed.manner.as_str() {
            "" => String::new(),
            manner => format!(" ({})", manner.replace('_', " ")),
        };
        let ended = if signed.has_lapsed { ", lapsed" } else { "" };
        format!(
            "line {}: {}{manner} by {}, covers line {} {}{ended}",
            signed.line, signed.meaning, signed.by, signed.covers, signed.hash
        )
    });
    one.collect::<Vec<String>>().join("; ")
}

const fn column(
    name: &'static str,
    kind: Kind,
    (datatype, unit): (&'static str, &'static str),
    meaning: &'static str,
    of: fn(&Row<'_>) -> String,
) -> Column {
    Column {
        name,
        kind,
        datatype,
        unit,
        meaning,
        of,
    }
}

const TEXT: (&str, &str) = ("string", "");
const COUNT: (&str, &str) = ("integer", "");
const MM: (&str, &str) = ("decimal", "mm");
const DEGREE: (&str, &str) = ("decimal", "degree");
const CELSIUS: (&str, &str) = ("decimal", "degree Celsius");
const YES_NO: (&str, &str) = ("boolean", "");
const MOMENT: (&str, &str) = ("dateTimeStamp", "");
const DAY: (&str, &str) = ("date", "");

/// Every column, from left to right.
#[rustfmt::skip]
pub(super) const COLUMNS: &[Column] = &[
    column("reading", Kind::Number, COUNT,
        "The reading's line in the record.", |row| row.reading.line.to_string()),
    column("time", Kind::Text, MOMENT,
        "When the reading was recorded.", |row| row.reading.time.clone()),
    column("part", Kind::Number, COUNT,
        "Running number of the part in the session; empty: the reading was given to none.",
        |row| row.of_part(|one| one.number.to_string())),
    column("serial", Kind::Text, TEXT,
        "Serial number of the part.", |row| row.of_part(|one| one.serial.clone())),
    column("part_state", Kind::Text, TEXT,
        "What the part's characteristics give.", |row| row.of_part(|one| one.state.clone())),
    column("part_standing", Kind::Text, TEXT,
        "What stands for the part in all, decisions and releases included.",
        |row| row.of_part(|one| one.standing.clone())),
    column("part_is_good", Kind::Text, YES_NO,
        "Whether the part may be taken for good without reading on.",
        |row| row.of_part(|one| one.is_good.to_string())),
    column("characteristic", Kind::Number, COUNT,
        "Number of the characteristic in the report; empty: the reading was given to none.",
        |row| some(row.reading.number)),
    column("feature", Kind::Text, TEXT,
        "Feature of the plan.", |row| row.of_asked(|asked| &asked.feature)),
    column("element", Kind::Text, TEXT,
        "Element of the feature: size, pitch, go_plug and so on.",
        |row| row.of_asked(|asked| &asked.element)),
    column("characteristic_name", Kind::Text, TEXT,
        "The feature's name.", |row| row.of_asked(|asked| &asked.name)),
    column("callout", Kind::Text, TEXT,
        "What the drawing asks.", |row| row.of_asked(|asked| &asked.callout)),
    column("surface", Kind::Text, TEXT,
        "Where the metal is.", |row| row.of_asked(|asked| &asked.surface)),
    column("nominal_mm", Kind::Number, MM,
        "Nominal size.", |row| row.in_unit("mm", |asked| &asked.nominal)),
    column("lower_limit_mm", Kind::Number, MM,
        "Lower limit of size; empty: none.", |row| row.in_unit("mm", |asked| &asked.lower)),
    column("upper_limit_mm", Kind::Number, MM,
        "Upper limit of size; empty: none.", |row| row.in_unit("mm", |asked| &asked.upper)),
    column("nominal_degree", Kind::Number, DEGREE,
        "Nominal angle.", |row| row.in_unit("angle", |asked| &asked.nominal)),
    column("lower_limit_degree", Kind::Number, DEGREE,
        "Lower limit of the angle.", |row| row.in_unit("angle", |asked| &asked.lower)),
    column("upper_limit_degree", Kind::Number, DEGREE,
        "Upper limit of the angle.", |row| row.in_unit("angle", |asked| &asked.upper)),
    column("point", Kind::Number, COUNT,
        "Point of the characteristic, from 1.", |row| some(row.reading.point)),
    column("place", Kind::Text, TEXT,
        "The name of the point's place.", |row| row.place()),
    column("gauge", Kind::Text, TEXT,
        "Id of the gauge.", |row| row.reading.gauge.clone()),
    column("gauge_serial", Kind::Text, TEXT,
        "The gauge's serial number.", |row| row.of_gauge(|gauge| &gauge.serial)),
    column("gauge_calibrated", Kind::Text, DAY,
        "When it was calibrated.", |row| row.of_gauge(|gauge| &gauge.calibrated)),
    column("gauge_due", Kind::Text, DAY,
        "When its calibration is due.", |row| row.of_gauge(|gauge| &gauge.due)),
    column("origin", Kind::Text, TEXT,
        "sent by the gauge, typed, simulated, or imported: measured elsewhere.",
        |row| row.reading.origin.clone()),
    column("raw", Kind::Text, TEXT,
        "What arrived, character by character.", |row| row.reading.raw.clone()),
    column("value", Kind::NumberOrText, TEXT,
        "The value as the gauge showed it, in value_unit; of a check what was found.",
        |row| row.reading.value.clone()),
    column("value_unit", Kind::Text, TEXT,
        "mm, in, angle (degrees) or check.", |row| row.reading.unit.clone()),
    column("value_at_20_mm", Kind::Number, MM,
        "The size at 20 degrees Celsius that the reading came to.",
        |row| row.at_20_in(&["mm", "in"])),
    column("angle_degree", Kind::Number, DEGREE,
        "The angle that the reading came to.", |row| row.at_20_in(&["angle"])),
    column("check_outcome", Kind::Text, TEXT,
        "What the check came to.", |row| row.at_20_in(&["check"])),
    column("zero_offset_mm", Kind::Number, MM,
        "What the zero check took off the value.", |row| row.reading.zero_offset.clone()),
    column("operator", Kind::Text, TEXT,
        "Who measured.", |row| row.reading.operator.clone()),
    column("part_temperature_celsius", Kind::Number, CELSIUS,
        "Temperature of the part; empty: not recorded.",
        |row| row.reading.part_temperature.clone()),
    column("gauge_temperature_celsius", Kind::Number, CELSIUS,
        "Temperature of the gauge; empty: not recorded.",
        |row| row.reading.gauge_temperature.clone()),
    column("stage", Kind::Text, TEXT,
        "Stage at which it was measured; empty: the last, which decides.",
        |row| row.reading.stage.clone()),
    column("end", Kind::Text, TEXT,
        "What became of it: judged, cutting, set_aside, repeat, voided, held, zero_check or open.",
        |row| row.reading.end.clone()),
    column("counts", Kind::Text, YES_NO,
        "Whether a result rests on it, alone or with its repeats.",
        |row| row.reading.counts.to_string()),
    column("verdict", Kind::Text, TEXT,
        "The verdict that it brought last.", |row| row.reading.verdict.clone()),
    column("verdicts_before", Kind::Text, TEXT,
        "What it had brought before it was judged again, the oldest first.",
        |row| listed(&row.reading.verdicts_before)),
    column("taken", Kind::Text, TEXT,
        "Out of what it was taken, where the gauge was shown live.",
        |row| row.reading.taken.clone()),
    column("reason", Kind::Text, TEXT,
        "Why it was voided, set aside or held.", |row| row.reading.reason.clone()),
    column("held", Kind::Text, TEXT,
        "Why it was held for an answer, if it ever was.", |row| row.reading.held.clone()),
    column("voided_by", Kind::Text, TEXT,
        "Who voided it.", |row| row.reading.by.clone()),
    column("replaced_by", Kind::Number, COUNT,
        "The reading that counts in its place.", |row| some(row.reading.replaced_by)),
    column("doubted_by", Kind::Number, COUNT,
        "The line that put it in doubt after it was judged.",
        |row| some(row.reading.doubted_by)),
    column("doubt", Kind::Text, TEXT,
        "What another record of the workspace put it in doubt by.",
        |row| row.reading.doubt.clone()),
    column("decides", Kind::Text, YES_NO,
        "Whether the characteristic's result rests on it; the columns that follow speak then.",
        |row| row.decided().is_some().to_string()),
    column("result", Kind::Text, TEXT,
        "What the characteristic came to.", |row| row.of_result(|one| one.verdict.clone())),
    column("side", Kind::Text, TEXT,
        "inside, metal_on, metal_gone, above or below.",
        |row| row.of_result(|one| one.side.clone())),
    column("deviation_mm", Kind::Number, MM,
        "Value less the middle of the limits, or less the nominal where there is none.",
        |row| row.decided_in("mm", |one| &one.deviation)),
    column("deviation_degree", Kind::Number, DEGREE,
        "The same of an angle.", |row| row.decided_in("angle", |one| &one.deviation)),
    column("u_mm", Kind::Number, MM,
        "Standard uncertainty; empty: not considered.",
        |row| row.decided_in("mm", |one| &one.u)),
    column("u_degree", Kind::Number, DEGREE,
        "The same of an angle.", |row| row.decided_in("angle", |one| &one.u)),
    column("rule", Kind::Text, TEXT,
        "The decision rule of the verdict.", |row| row.of_result(|one| one.rule.clone())),
    column("conformance_ppm", Kind::Number, COUNT,
        "Chance of conformity in parts per million.",
        |row| row.of_result(|one| one.conformance_ppm.map_or_else(String::new, |n| n.to_string()))),
    column("method", Kind::Text, TEXT,
        "Way of measuring; empty: not recorded.", |row| row.of_result(|one| one.method.clone())),
    column("set_on", Kind::Text, TEXT,
        "The setting standard that the value rests on.",
        |row| row.of_result(|one| one.set_on.clone())),
    column("notes", Kind::Text, TEXT,
        "What was noticed.", |row| row.of_result(|one| listed(&one.notes))),
    column("in_doubt", Kind::Text, YES_NO,
        "Whether the gauge was found wrong after it.",
        |row| row.of_result(|one| one.is_in_doubt.to_string())),
    column("concession", Kind::Number, COUNT,
        "The line of the concession that covers the result.",
        |row| row.of_result(|one| one.concession.map_or_else(String::new, |n| n.to_string()))),
    column("part_decisions", Kind::Text, TEXT,
        "What was decided about the part.", |row| row.of_part(decisions)),
    column("part_signatures", Kind::Text, TEXT,
        "Who signed for the part.", |row| row.of_part(signatures)),
    column("part_doubts", Kind::Text, TEXT,
        "What other records put in doubt of what counts of the part.",
        |row| row.of_part(|one| listed(&one.doubts))),
    column("part_name", Kind::Text, TEXT,
        "What is made.", |row| row.sheet.job.part_name.clone()),
    column("drawing", Kind::Text, TEXT,
        "Drawing number.", |row| row.sheet.job.drawing.clone()),
    column("revision", Kind::Text, TEXT,
        "The drawing's revision.", |row| row.sheet.job.revision.clone()),
    column("customer", Kind::Text, TEXT,
        "For whom.", |row| row.sheet.job.customer.clone()),
    column("order", Kind::Text, TEXT,
        "Order number.", |row| row.sheet.job.order.clone()),
    column("material", Kind::Text, TEXT,
        "Material.", |row| row.sheet.job.material.clone()),
    column("material_lot", Kind::Text, TEXT,
        "Lot of the material.", |row| row.sheet.job.material_lot.clone()),
    column("machine", Kind::Text, TEXT,
        "Machine.", |row| row.sheet.job.machine.clone()),
    column("part_job_notes", Kind::Text, TEXT,
        "Lot, machine and so on of this part, where they differ.",
        |row| row.of_part(|one| listed(&one.job_notes))),
    column("plan", Kind::Text, TEXT,
        "The plan's file.", |row| row.sheet.job.plan_name.clone()),
    column("rule_agreed_with", Kind::Text, TEXT,
        "With whom the decision rule was agreed.", |row| row.sheet.rule.agreed_with.clone()),
    column("record", Kind::Text, TEXT,
        "The record's files.", |row| listed(&row.sheet.record.files)),
    column("other_records", Kind::Text, TEXT,
        "What other records of the workspace say of the gauges; empty: not looked for.",
        |row| listed(&row.sheet.record.elsewhere)),
    column("record_state", Kind::Text, TEXT,
        "sound, not_closed, torn_tail or damaged.", |row| row.sheet.record.state.clone()),
    column("record_events", Kind::Number, COUNT,
        "Events in the record.", |row| row.sheet.record.events.to_string()),
    column("record_head", Kind::Text, TEXT,
        "Hash of the record's last line.", |row| row.sheet.record.head.clone()),
];
