//! What a register entry says, in the trade's words.

use super::Mark;
use super::words::{Words, clean};
use crate::gauge::{Due, Faces, Gauge, GaugeReads, Known, PortPlace, StatedError};
use crate::quantity::{Length, LengthUnit};

/// Bytes that have names of their own (ISO/IEC 646).
const NAMED: [(u8, &str); 9] = [
    (0x02, "STX"),
    (0x03, "ETX"),
    (0x04, "EOT"),
    (0x05, "ENQ"),
    (0x06, "ACK"),
    (0x15, "NAK"),
    (0x0A, "LF"),
    (0x0D, "CR"),
    (0x09, "TAB"),
];

/// `outside micrometer`.
pub(super) fn kind(gauge: &Gauge) -> String {
    gauge.kind.word().replace('_', " ")
}

/// `0 to 25 mm`; `20.000 mm`; `0° to 90°`.
pub(super) fn range(gauge: &Gauge, words: Words) -> String {
    if let Some((lower, upper)) = gauge.angular.range {
        let text = format!("{}° to {}°", lower.to_degrees(), upper.to_degrees());
        return words.sentence(&text);
    }
    let text = match (gauge.fixed_size(), gauge.range) {
        (Some(size), _) => format!("{} mm", size.to_mm()),
        (None, Some((lower, upper))) => format!("{} to {} mm", short(lower), short(upper)),
        (None, None) => return String::new(),
    };
    words.sentence(&text)
}

/// Millimetres without zeros behind the marker.
fn short(length: Length) -> String {
    let text = length.to_text(LengthUnit::Millimetre, 6);
    let bare = text.trim_end_matches('0').trim_end_matches('.');
    match bare {
        "" | "-" => "0".to_owned(),
        bare => bare.to_owned(),
    }
}

/// `0.001 mm`, and whether it is assumed.
pub(super) fn step(gauge: &Gauge, words: Words) -> Option<(String, Option<String>)> {
    if let Some(step) = gauge.angular.resolution {
        return Some((words.sentence(&step.to_dms()), None));
    }
    let step = gauge.step()?;
    let text = words.sentence(&format!("{} mm", short(step.value())));
    Some((text, source_of(&step)))
}

/// Where an assumed number comes from.
fn source_of(known: &Known) -> Option<String> {
    match known {
        Known::Stated(_) => None,
        Known::Assumed(assumed) => Some(clean(&assumed.source)),
    }
}

/// The gauge's error in words.
pub(super) struct ErrorWords {
    /// `MPE`, `U`.
    pub(super) name: &'static str,
    /// `2 µm`, `1.2 µm (k = 2)`; empty when nothing is known.
    pub(super) value: String,
    /// Where it comes from, if it is assumed.
    pub(super) assumed: Option<String>,
}

/// The error at the upper end of its range, where it is largest.
pub(super) fn error(gauge: &Gauge, words: Words) -> ErrorWords {
    if let StatedError::Calibration(calibration) = &gauge.error {
        let factor = calibration.coverage_factor();
        let expanded = words.um_up(calibration.expanded_uncertainty());
        return ErrorWords {
            name: "U",
            value: words.sentence(&format!("{expanded} (k = {factor})")),
            assumed: None,
        };
    }
    if let Some(mpe) = gauge.angular.mpe {
        return ErrorWords {
            name: "MPE",
            value: mpe.to_dms(),
            assumed: None,
        };
    }
    let known = gauge.permissible_error(largest(gauge), Faces::Outside);
    ErrorWords {
        name: "MPE",
        value: known
            .as_ref()
            .map_or(String::new(), |known| words.um_up(known.value())),
        assumed: known.as_ref().and_then(source_of),
    }
}

/// The largest size that it measures.
pub(super) fn largest(gauge: &Gauge) -> Length {
    let upper = gauge.range.map_or(Length::ZERO, |(_, upper)| upper);
    gauge.size_of(upper)
}

/// `/dev/ttyUSB0`; `USB 1209:0001`.
pub(super) fn place(gauge: &Gauge) -> String {
    match gauge.port.as_ref().map(|port| &port.place) {
        None => String::new(),
        Some(PortPlace::Path(path)) => clean(path),
        Some(PortPlace::Usb {
            vendor,
            product,
            serial,
        }) => {
            let serial = serial.as_deref().map(|one| format!(":{}", clean(one)));
            format!(
                "USB {vendor:04x}:{product:04x}{}",
                serial.unwrap_or_default()
            )
        }
    }
}

/// `calibrated until 2027-03-01`, and how well that is; none when nothing is stated.
pub(super) fn due(due: Due, date: Option<crate::gauge::Date>) -> Option<(String, Mark)> {
    let days = |days: i64| match days {
        1 => "1 day".to_owned(),
        days => format!("{days} days"),
    };
    Some(match due {
        Due::NotStated => return None,
        Due::Ok => (format!("calibrated until {}", date?), Mark::Inside),
        Due::Soon { days_left: 0 } => ("calibration due today".to_owned(), Mark::Doubt),
        Due::Soon { days_left } => (
            format!("calibration due in {}", days(days_left)),
            Mark::Doubt,
        ),
        Due::Overdue { days_over } => (
            format!("calibration overdue for {}", days(days_over)),
            Mark::NoGo,
        ),
    })
}

/// `deviations from ring-20 (20.000 mm)`; empty for what reads sizes.
pub(super) fn reads(gauge: &Gauge, words: Words) -> String {
    match &gauge.reads {
        GaugeReads::Deviation { set_on, set_size } => words.sentence(&format!(
            "deviations from {} ({} mm)",
            clean(set_on.as_str()),
            set_size.to_mm()
        )),
        _ => String::new(),
    }
}

/// Bytes as they can be read: letters as they are, the named ones by name, the others as numbers;
/// all as numbers where most are no letters.
pub fn bytes_text(bytes: &[u8]) -> String {
    let is_plain = |byte: &u8| (0x20..0x7F).contains(byte);
    let name_of = |byte: u8| NAMED.iter().find(|(one, _)| *one == byte);
    let odd = bytes
        .iter()
        .filter(|byte| !is_plain(byte) && name_of(**byte).is_none());
    if odd.count() * 3 > bytes.len() {
        let all: Vec<String> = bytes.iter().map(|byte| format!("{byte:02X}")).collect();
        return all.join(" ");
    }
    let mut text = String::new();
    let mut was_plain = true;
    for byte in bytes {
        let plain = is_plain(byte);
        if (!plain || !was_plain) && !text.is_empty() {
            text.push(' ');
        }
        match (plain, name_of(*byte)) {
            (true, _) => text.push(char::from(*byte)),
            (false, Some((_, name))) => text.push_str(name),
            (false, None) => text.push_str(&format!("{byte:02X}")),
        }
        was_plain = plain;
    }
    text
}
