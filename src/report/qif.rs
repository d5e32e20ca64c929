//! The results for other programs in the Quality Information Framework 3.0 (ISO 23952:2020): one
//! XML file with what was asked, what was measured, with which devices, on which pieces.
//!
//! The same sheet always gives the same bytes: the file's own id is made from the head of the
//! record, and its moment is the record's last.

use std::io;

use super::qif_asked::Characteristics;
use super::qif_results::{Known, PartIds, signature_text};
use super::qif_xml::Xml;
use super::safe::is_plain_number;
use super::sheet::{GaugeFacts, Sheet};

/// The namespace of the framework.
const NAMESPACE: &str = "http://qifstandards.org/xsd/qif3";
/// The framework's version.
const VERSION: &str = "3.0.0";

/// The results as XML.
///
/// # Errors
/// None that is known: it is written to memory.
pub fn qif(sheet: &Sheet) -> io::Result<Vec<u8>> {
    let mut last = 0;
    let mut next_id = || {
        last += 1;
        last
    };
    let standard = next_id();
    let part = next_id();
    let devices: Vec<u32> = sheet.gauges.iter().map(|_| next_id()).collect();
    let characteristics = Characteristics::of(sheet, &mut next_id);
    let parts = sheet.parts.iter().map(|_| PartIds {
        results: next_id(),
        component: next_id(),
        measurements: characteristics.0.iter().map(|_| next_id()).collect(),
    });
    let parts: Vec<PartIds> = parts.collect();
    let known = Known {
        sheet,
        characteristics: &characteristics,
        parts: &parts,
        devices: &devices,
    };
    let mut xml = Xml::new()?;
    let id_max = last.to_string();
    let attributes = [
        ("xmlns", NAMESPACE),
        ("versionQIF", VERSION),
        ("idMax", &id_max),
    ];
    xml.element("QIFDocument", &attributes, |xml| {
        write_head(sheet, standard, xml)?;
        write_units(xml)?;
        write_devices(&sheet.gauges, &devices, xml)?;
        characteristics.write_threads(xml)?;
        write_product(sheet, part, &characteristics.nominals(), xml)?;
        characteristics.write(standard, xml)?;
        known.write(xml)
    })?;
    Ok(xml.into_bytes())
}

/// A UUID of the head's hash: its first 122 bits, marked as version 8 (RFC 9562, custom).
fn id_of_file(head: &str) -> String {
    let hex = head.bytes().filter(u8::is_ascii_hexdigit).map(char::from);
    let mut hex: Vec<char> = hex.chain(std::iter::repeat('0')).take(32).collect();
    hex[12] = '8';
    // The variant is the two bits 10.
    let variant = hex[16].to_digit(16).unwrap_or_default() & 0b0011 | 0b1000;
    hex[16] = char::from_digit(variant, 16).unwrap_or('8');
    let piece = |from: usize, to: usize| hex[from..to].iter().collect::<String>();
    format!(
        "{}-{}-{}-{}-{}",
        piece(0, 8),
        piece(8, 12),
        piece(12, 16),
        piece(16, 20),
        piece(20, 32)
    )
}

fn write_head(sheet: &Sheet, standard: u32, xml: &mut Xml) -> io::Result<()> {
    let record = &sheet.record;
    let rule = &sheet.rule;
    let mut all = vec![
        ("record", record.files.join("; ")),
        ("record state", record.state.clone()),
        ("record events", record.events.to_string()),
        ("record head", record.head.clone()),
        ("record opened", record.opened.clone()),
        ("record closed", record.closed.clone().unwrap_or_default()),
        ("programs", record.programs.join("; ")),
        ("tolerance tables", record.tables.clone()),
        ("decision rules", rule.rules.join("; ")),
        ("decision rule agreed with", rule.agreed_with.clone()),
        ("material", sheet.job.material.clone()),
        ("material lot", sheet.job.material_lot.clone()),
        ("plan", sheet.job.plan_name.clone()),
    ];
    for one in &record.signatures {
        all.push(("signature under the session", signature_text(one)));
    }
    all.extend(
        record
            .findings
            .iter()
            .map(|one| ("record finding", one.clone())),
    );
    let all = all
        .into_iter()
        .map(|(name, value)| (name.to_owned(), value));
    let all: Vec<(String, String)> = all.collect();
    xml.text("QPId", &id_of_file(&record.head))?;
    xml.attributes(&all)?;
    xml.element("Version", &[], |xml| {
        xml.moment("TimeCreated", &record.last)
    })?;
    xml.element("Header", &[], |xml| {
        xml.element("Application", &[], |xml| xml.text("Name", "Fitledger"))?;
        xml.text(
            "Description",
            "What counts of an inspection record. A recorded verdict is not a certificate of \
             calibration.",
        )
    })?;
    // The file has to name one, and the record has none.
    xml.counted("StandardsDefinitions", 1, |xml| {
        xml.element("Standard", &[("id", &standard.to_string())], |xml| {
            xml.element("Organization", &[], |xml| {
                xml.text("StandardsOrganizationEnum", "ISO")
            })?;
            xml.text("Designator", "ISO 8015")?;
            let description = "The record does not name the rule set of the drawing.";
            xml.text("Description", description)
        })
    })
}

fn write_units(xml: &mut Xml) -> io::Result<()> {
    xml.element("FileUnits", &[], |xml| {
        xml.element("PrimaryUnits", &[], |xml| {
            xml.element("AngularUnit", &[], |xml| {
                xml.text("SIUnitName", "radian")?;
                xml.text("UnitName", "degree")?;
                // Pi / 180.
                xml.element("UnitConversion", &[], |xml| {
                    xml.text("Factor", "0.017453292519943295769")
                })
            })?;
            xml.element("LinearUnit", &[], |xml| {
                xml.text("SIUnitName", "meter")?;
                xml.text("UnitName", "mm")?;
                xml.element("UnitConversion", &[], |xml| xml.text("Factor", "0.001"))
            })
        })
    })
}

fn write_devices(gauges: &[GaugeFacts], ids: &[u32], xml: &mut Xml) -> io::Result<()> {
    if gauges.is_empty() {
        return Ok(());
    }
    xml.element("MeasurementResources", &[], |xml| {
        xml.counted("MeasurementDevices", gauges.len(), |xml| {
            gauges
                .iter()
                .zip(ids)
                .try_for_each(|(gauge, id)| write_device(gauge, *id, xml))
        })
    })
}

fn write_device(gauge: &GaugeFacts, id: u32, xml: &mut Xml) -> io::Result<()> {
    let kind = gauge.kind.to_lowercase();
    let element = match () {
        () if kind.contains("micrometer") => "Micrometer",
        () if kind.contains("caliper") => "Caliper",
        () => "GageDevice",
    };
    let overdue = if gauge.was_overdue { "yes" } else { "" };
    let remarks = gauge.remarks.join(" ");
    let all = [
        ("kind", gauge.kind.as_str()),
        ("error", &gauge.error_basis),
        ("calibrated", &gauge.calibrated),
        ("certificate", &gauge.certificate),
        ("calibration due", &gauge.due),
        ("calibration overdue on the day", overdue),
        ("set on", &gauge.set_on),
        ("zero check", &gauge.zero),
        ("made for", &gauge.callout),
        ("remarks", &remarks),
        ("source", &gauge.source),
    ];
    let all = all.map(|(name, value)| (name.to_owned(), value.to_owned()));
    xml.element(element, &[("id", &id.to_string())], |xml| {
        xml.text("Name", &gauge.id)?;
        xml.text_if_any("SerialNumber", &gauge.serial)?;
        xml.attributes(&all)?;
        // A calibration of the file must have an end.
        if let Some(due) = day(&gauge.due) {
            xml.counted("Calibrations", 1, |xml| {
                xml.element("Calibration", &[], |xml| {
                    if let Some(calibrated) = day(&gauge.calibrated) {
                        xml.text("CalibrationDate", &calibrated)?;
                    }
                    xml.text("ExpirationDate", &due)
                })
            })?;
        }
        if element == "GageDevice" {
            return Ok(());
        }
        if is_plain_number(&gauge.resolution) {
            xml.element("LinearResolution", &[], |xml| {
                xml.number("LinearValue", &[], &gauge.resolution)
            })?;
        }
        match () {
            () if element == "Caliper" => Ok(()),
            () if kind.contains("outside") => xml.text("InternalExternal", "EXTERNAL"),
            () if kind.contains("inside") => xml.text("InternalExternal", "INTERNAL"),
            () => xml.text("InternalExternal", "NOT_APPLICABLE"),
        }
    })
}

/// A day as the moment that it starts, in no time zone; none where the text is no day.
fn day(text: &str) -> Option<String> {
    let is_day = text.len() == 10 && text.parse::<jiff::civil::Date>().is_ok();
    is_day.then(|| format!("{text}T00:00:00"))
}

fn write_product(sheet: &Sheet, id: u32, nominals: &[u32], xml: &mut Xml) -> io::Result<()> {
    let job = &sheet.job;
    let label = match job.drawing.as_str() {
        "" => &job.part_name,
        drawing => drawing,
    };
    let id = id.to_string();
    xml.element("Product", &[], |xml| {
        xml.counted("PartSet", 1, |xml| {
            xml.element("Part", &[("label", label), ("id", &id)], |xml| {
                xml.attributes(&[("name".to_owned(), job.part_name.clone())])?;
                xml.text_if_any("ModelNumber", &job.drawing)?;
                xml.text_if_any("Version", &job.revision)?;
                xml.ids("CharacteristicNominalIds", nominals)
            })
        })?;
        xml.element("RootPart", &[], |xml| xml.text("Id", &id))
    })
}

#[cfg(test)]
mod tests {
    use super::id_of_file;

    /// RFC 9562, section 4.1 and 4.2: version and variant stand in these places (from memory).
    #[test]
    fn the_files_id_comes_from_the_head_alone() {
        let head = "0123456789abcdef".repeat(4);
        assert_eq!(id_of_file(&head), "01234567-89ab-8def-8123-456789abcdef");
        assert_eq!(id_of_file("ffff"), "ffff0000-0000-8000-8000-000000000000");
        assert_eq!(
            id_of_file(&"f".repeat(64)),
            "ffffffff-ffff-8fff-bfff-ffffffffffff"
        );
        assert_eq!(id_of_file(""), "00000000-0000-8000-8000-000000000000");
    }
}
