//! What was measured, for the exchange file: one set of results a part. What counts stands there;
//! readings that were voided or set aside are in the table and in the JSON file.
//!
//! The file's words are fewer than the record's. What a word leaves out (decision rule, expanded
//! uncertainty, concession, who decided) stands beside it as a named text.

use std::io;

use super::qif_asked::{Characteristic, Characteristics, Form};
use super::qif_xml::Xml;
use super::safe::is_plain_number;
use super::sheet::{Asked, PartSheet, ResultRow, Sheet, SignatureRow};
use crate::quantity::{Decimal, DecimalMark};

/// The numbers of a part's elements.
pub(super) struct PartIds {
    pub(super) results: u32,
    pub(super) component: u32,
    /// One for each characteristic, in order.
    pub(super) measurements: Vec<u32>,
}

/// Numbers and names that measurements refer to.
pub(super) struct Known<'a> {
    pub(super) sheet: &'a Sheet,
    pub(super) characteristics: &'a Characteristics<'a>,
    pub(super) parts: &'a [PartIds],
    /// The devices' numbers, in the order of the sheet's gauges.
    pub(super) devices: &'a [u32],
}

impl Known<'_> {
    /// The results; nothing where there is no part.
    pub(super) fn write(&self, xml: &mut Xml) -> io::Result<()> {
        if self.parts.is_empty() {
            return Ok(());
        }
        let n = self.parts.len();
        let both = || self.sheet.parts.iter().zip(self.parts);
        xml.element("Results", &[], |xml| {
            xml.counted("MeasurementResultsSet", n, |xml| {
                both().try_for_each(|(part, ids)| self.write_part(part, ids, xml))
            })?;
            xml.counted("ActualComponentSets", 1, |xml| {
                xml.counted("ActualComponentSet", n, |xml| {
                    both().try_for_each(|(part, ids)| write_component(part, ids, xml))
                })
            })
        })
    }

    fn write_part(&self, part: &PartSheet, ids: &PartIds, xml: &mut Xml) -> io::Result<()> {
        let job = &self.sheet.job;
        let record = &self.sheet.record;
        let id = ids.results.to_string();
        let mut people: Vec<&str> = Vec::new();
        for reading in &part.readings {
            if !reading.operator.is_empty() && !people.contains(&reading.operator.as_str()) {
                people.push(&reading.operator);
            }
        }
        xml.element("MeasurementResults", &[("id", &id)], |xml| {
            xml.element("InspectionTraceability", &[], |xml| {
                xml.text_if_any("OrderNumber", &job.order)?;
                xml.text_if_any("ReportNumber", record.files.last().map_or("", |file| file))?;
                xml.moment("InspectionStart", &part.from)?;
                xml.moment("InspectionEnd", &part.to)?;
                if let Some(first) = people.first() {
                    xml.element("InspectionOperator", &[], |xml| xml.text("Name", first))?;
                }
                xml.attributes(&[
                    ("operators".to_owned(), people.join("; ")),
                    ("customer".to_owned(), job.customer.clone()),
                    ("machine".to_owned(), job.machine.clone()),
                    ("stage".to_owned(), job.stage.clone()),
                ])
            })?;
            if !ids.measurements.is_empty() {
                let all = self.characteristics.0.iter().zip(&ids.measurements);
                xml.element("MeasuredCharacteristics", &[], |xml| {
                    xml.counted(
                        "CharacteristicMeasurements",
                        ids.measurements.len(),
                        |xml| {
                            for (characteristic, id) in all {
                                self.write_measurement(characteristic, *id, (part, ids), xml)?;
                            }
                            Ok(())
                        },
                    )
                })?;
            }
            xml.element("InspectionStatus", &[], |xml| {
                xml.text("InspectionStatusEnum", status_of_part(part))
            })?;
            xml.ids("ActualComponentIds", &[ids.component])
        })
    }

    fn write_measurement(
        &self,
        of: &Characteristic<'_>,
        id: u32,
        (part, ids): (&PartSheet, &PartIds),
        xml: &mut Xml,
    ) -> io::Result<()> {
        let row = |asked: &Asked| part.results.iter().find(|row| row.number == asked.number);
        let nothing = ResultRow::default();
        let is_thread = of.form == Form::Thread;
        let own = row(of.asked).unwrap_or(&nothing);
        // What is read over wires is told as the pitch diameter that it gives.
        let is_pitch = |asked: &&&Asked| ["pitch", "wires"].contains(&asked.element.as_str());
        let pitch = of.elements.iter().find(is_pitch);
        // A thread as a whole has the pitch diameter's value, and all its elements' status.
        let shown = match is_thread {
            true => pitch.and_then(|pitch| row(pitch)).unwrap_or(&nothing),
            false => own,
        };
        let status = match is_thread {
            true => status_of_all(of.elements.iter().map(|asked| row(asked))),
            false => status(own),
        };
        let mut devices = Vec::new();
        let gauge = self
            .sheet
            .gauges
            .iter()
            .position(|gauge| gauge.id == shown.gauge);
        devices.extend(gauge.and_then(|at| self.devices.get(at)).copied());
        let element = of.form.element("Measurement");
        xml.element(&element, &[("id", &id.to_string())], |xml| {
            let said = if is_thread {
                Vec::new()
            } else {
                told_beside(own, part)
            };
            xml.attributes(&said)?;
            xml.element("Status", &[], |xml| {
                xml.text("CharacteristicStatusEnum", status)
            })?;
            xml.text("CharacteristicItemId", &of.item.to_string())?;
            xml.moment("TimeStamp", &shown.time)?;
            xml.text("ActualComponentId", &ids.component.to_string())?;
            xml.ids("MeasurementDeviceIds", &devices)?;
            match of.form {
                Form::Attribute => xml.text_if_any("Value", &own.actual),
                Form::Thread => write_value("PitchDiameter", shown, xml),
                _ => {
                    write_value("Value", shown, xml)?;
                    let (least, most) = extremes(shown);
                    xml.number("MaxValue", &[], most)?;
                    xml.number("MinValue", &[], least)
                }
            }
        })
    }
}

/// A value with its standard uncertainty. The schema's notes say that a combined uncertainty and a
/// mean error go together: what is known of the error has been taken off the value.
fn write_value(name: &str, row: &ResultRow, xml: &mut Xml) -> io::Result<()> {
    let has_u = is_plain_number(&row.u) && !row.u.starts_with('-');
    let u = [("combinedUncertainty", row.u.as_str()), ("meanError", "0")];
    xml.number(name, if has_u { &u } else { &[] }, &row.actual)
}

/// The smallest and the largest value of several points; empty for fewer than two.
fn extremes(row: &ResultRow) -> (&str, &str) {
    let number = |text: &str| Decimal::parse(text, DecimalMark::Point).ok();
    let values = row.points.iter().filter_map(|point| {
        let value = number(&point.value)?;
        Some((comparable(value)?, point.value.as_str()))
    });
    let values: Vec<(i128, &str)> = values.collect();
    if values.len() < 2 {
        return ("", "");
    }
    let least = values.iter().min_by_key(|value| value.0);
    let most = values.iter().max_by_key(|value| value.0);
    (
        least.map_or("", |value| value.1),
        most.map_or("", |value| value.1),
    )
}

/// In steps of a billionth of the unit, which is finer than any value of a record.
fn comparable(value: Decimal) -> Option<i128> {
    let up = u32::from(9_u8.checked_sub(value.decimals())?);
    value.mantissa().checked_mul(10_i128.checked_pow(up)?)
}

/// Twice a number, with its decimals: the expanded uncertainty with k = 2. Empty for none.
fn doubled(text: &str) -> String {
    let number = is_plain_number(text).then(|| Decimal::parse(text, DecimalMark::Point).ok());
    let twice = number.flatten().and_then(|number| {
        let twice = number.mantissa().checked_mul(2)?;
        Decimal::new(twice, number.decimals()).ok()
    });
    twice.map_or_else(String::new, |twice| twice.to_string())
}

/// What the file's own elements cannot say of a result.
fn told_beside(row: &ResultRow, part: &PartSheet) -> Vec<(String, String)> {
    if !row.is_selected {
        return vec![said(
            "not measured",
            "left out on this part by the sampling plan",
        )];
    }
    let ppm = row
        .conformance_ppm
        .map_or_else(String::new, |ppm| ppm.to_string());
    let with_reading = if row.reading > 0 {
        row.reading.to_string()
    } else {
        String::new()
    };
    let mut all = vec![
        said("verdict", &row.verdict),
        said("side", &row.side),
        said("decision rule", &row.rule),
        said("standard uncertainty u", &row.u),
        said("expanded uncertainty U, k = 2", &doubled(&row.u)),
        said("deviation", &row.deviation),
        said("chance of conformity, parts per million", &ppm),
        said("reading, line of the record", &with_reading),
        said("origin", &row.origin),
        said("operator", &row.operator),
        said("method", &row.method),
        said("set on", &row.set_on),
        said("part temperature, degrees Celsius", &row.part_temperature),
        said("gauge temperature, degrees Celsius", &row.gauge_temperature),
        said("noticed", &row.notes.join("; ")),
    ];
    if !row.verdict.is_empty() && row.u.is_empty() {
        all.push(said("uncertainty", "not considered"));
    }
    if row.is_in_doubt {
        all.push(said(
            "in doubt",
            "the gauge was found wrong after this value",
        ));
    }
    for point in row.points.iter().filter(|_| row.points.len() > 1) {
        let place = match point.place.as_str() {
            "" => String::new(),
            place => format!(", {place}"),
        };
        all.push((format!("point {}{place}", point.point), point.value.clone()));
    }
    let mut decisions = part.decisions.iter();
    let concession = decisions.find(|decision| Some(decision.line) == row.concession);
    if let Some(one) = concession {
        let text = format!("line {}, by {}: {}", one.line, one.by, one.reason);
        all.push(said("concession", &text));
    }
    all
}

fn said(name: &str, value: &str) -> (String, String) {
    (name.to_owned(), value.to_owned())
}

/// The file's word for a result: what a customer would have to know first.
fn status(row: &ResultRow) -> &'static str {
    match (row.verdict.as_str(), row.side.as_str()) {
        _ if row.is_in_doubt => "INDETERMINATE",
        ("GO", _) => "PASS",
        ("NO-GO", "metal_on") => "REWORK",
        ("NO-GO", _) => "FAIL",
        // Inside at the points that were measured, and others are still wanted.
        ("DOUBT" | "INSIDE", _) => "INDETERMINATE",
        _ => "NOT_ANALYZED",
    }
}

/// The worst of all; a thread of which something was not measured is not through.
fn status_of_all<'r>(rows: impl Iterator<Item = Option<&'r ResultRow>>) -> &'static str {
    const WORST_FIRST: [&str; 5] = ["FAIL", "REWORK", "INDETERMINATE", "NOT_ANALYZED", "PASS"];
    let selected = rows
        .flatten()
        .filter(|row| row.is_selected && row.verdict != "NOTED");
    let each: Vec<&str> = selected.map(status).collect();
    let mut words = WORST_FIRST.into_iter();
    words
        .find(|word| each.contains(word))
        .unwrap_or("NOT_ANALYZED")
}

/// The file's word for a part: its list is another than that of characteristics.
fn status_of_part(part: &PartSheet) -> &'static str {
    let needs_rework = || {
        let mut standing = part
            .decisions
            .iter()
            .rev()
            .filter(|one| one.withdrawn_by == 0);
        standing
            .next()
            .is_some_and(|decision| decision.what == "rework")
    };
    match (part.standing.as_str(), part.state.as_str()) {
        _ if part.is_good => "PASS",
        ("scrap", _) => "FAIL",
        _ if needs_rework() => "REWORK",
        (_, "NO-GO") => "FAIL",
        (_, "open") if part.readings.is_empty() => "NOT_MEASURED",
        (_, "open") => "NOT_CALCULATED",
        _ => "UNKNOWN",
    }
}

/// A signature in words, with what it covers.
pub(super) fn signature_text(one: &SignatureRow) -> String {
    let lapsed = if one.has_lapsed { " (lapsed)" } else { "" };
    let words = [one.meaning.as_str(), &one.manner.replace('_', " ")].join(" ");
    format!(
        "{} by {}, covers line {} {}{lapsed}",
        words.trim_end(),
        one.by,
        one.covers,
        one.hash
    )
}

fn write_component(part: &PartSheet, ids: &PartIds, xml: &mut Xml) -> io::Result<()> {
    let mut all = vec![
        said("part number in the session", &part.number.to_string()),
        said("state", &part.state),
        said("standing", &part.standing),
    ];
    for one in &part.decisions {
        let ended = match one.withdrawn_by {
            0 => String::new(),
            line => format!(" (withdrawn by line {line})"),
        };
        let text = format!(
            "{} {} by {}: {}{ended}",
            one.what, one.about, one.by, one.reason
        );
        all.push((format!("decision, line {}", one.line), text));
    }
    for one in &part.signatures {
        let text = signature_text(one);
        all.push((format!("signature, line {}", one.line), text));
    }
    for (at, note) in part.job_notes.iter().enumerate() {
        all.push((format!("work, {}", at + 1), note.clone()));
    }
    xml.element(
        "ActualComponent",
        &[("id", &ids.component.to_string())],
        |xml| {
            xml.attributes(&all)?;
            xml.text_if_any("SerialNumber", &part.serial)?;
            xml.element("Status", &[], |xml| {
                xml.text("InspectionStatusEnum", status_of_part(part))
            })
        },
    )
}

#[cfg(test)]
mod tests {
    use super::{doubled, extremes};
    use crate::report::{PointRow, ResultRow};

    #[test]
    fn twice_a_number_keeps_its_decimals() {
        // By hand.
        assert_eq!(doubled("0.0012"), "0.0024");
        assert_eq!(doubled("0.0050"), "0.0100");
        assert_eq!(doubled("7"), "14");
        assert_eq!(doubled(""), "");
        assert_eq!(doubled("one"), "");
    }

    #[test]
    fn the_extremes_are_texts_of_the_record_compared_as_numbers() {
        let values = ["9.98", "10.010", "", "9.9", "10.01"];
        let points = values.iter().map(|value| PointRow {
            value: (*value).to_owned(),
            ..PointRow::default()
        });
        let row = ResultRow {
            points: points.collect(),
            ..ResultRow::default()
        };
        assert_eq!(extremes(&row).0, "9.9");
        assert!(["10.010", "10.01"].contains(&extremes(&row).1));
        assert_eq!(extremes(&ResultRow::default()), ("", ""));
    }
}
