//! Changes to the text of a register that keep everything else as the person wrote it.
//!
//! The changed text is read again before it is given back: the gauge must state what was to be
//! written, and every other gauge what it stated before. Refuses to know where the text is kept.

use toml_edit::{Array, DocumentMut, InlineTable, Item, Table, Value};

use super::certificate::Taken;
use super::date::Date;
use super::reading::GaugeId;
use super::register::{Gauge, Register, StatedError};
use super::standing::AssumedNumber;
use crate::quantity::{Length, LengthUnit};

/// What a certificate says, as the register keeps it.
#[derive(Debug, Clone, PartialEq)]
pub struct CertificateEntry {
    /// U, k and the biases.
    pub taken: Taken,
    /// The day of the calibration.
    pub calibrated: Date,
    /// The certificate's number.
    pub certificate: Option<String>,
    /// The gauge's serial number, as the certificate writes it.
    pub serial: String,
    /// The day of the next calibration, if the person names a new one.
    pub due: Option<Date>,
}

/// Why a register's text was left alone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EditError {
    /// The register has a problem of its own.
    NotSound {
        /// The first problem, with its place.
        problem: String,
    },
    /// There is no gauge of that id.
    NoGauge {
        /// The id.
        id: String,
    },
    /// The gauge is of a kind that no such number belongs to.
    NotForKind {
        /// The id.
        id: String,
        /// The kind.
        kind: &'static str,
    },
    /// The certificate is for another serial number than the register states.
    OtherSerial {
        /// The id.
        id: String,
        /// The register's.
        register: String,
        /// The certificate's.
        certificate: String,
    },
    /// Nothing of the gauge is assumed.
    NothingAssumed {
        /// The id.
        id: String,
    },
    /// The register states a later calibration than the certificate's.
    Older {
        /// The id.
        id: String,
        /// The register's date.
        register: Date,
        /// The certificate's date.
        certificate: Date,
    },
    /// The date of the next calibration is not later than the certificate's.
    DuePassed {
        /// The id.
        id: String,
        /// The date.
        due: Date,
    },
    /// The entry is written in a form that is not changed here.
    Form,
}

impl EditError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NotSound { .. } => "gauge_register_invalid",
            Self::NoGauge { .. } => "unknown_gauge",
            Self::NotForKind { .. } => "gauge_kind",
            Self::OtherSerial { .. } => "other_serial_number",
            Self::NothingAssumed { .. } => "nothing_assumed",
            Self::Older { .. } => "older_certificate",
            Self::DuePassed { .. } => "due_before_calibrated",
            Self::Form => "register_form",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::NotSound { .. } => "Mend gauges.toml first.",
            Self::NoGauge { .. } => "List the gauges with: fitledger gauges",
            Self::NotForKind { .. } => "Check which gauge was meant.",
            Self::OtherSerial { .. } => {
                "Compare the number on the gauge with the certificate and with gauges.toml."
            }
            Self::NothingAssumed { .. } => "There is nothing to confirm.",
            Self::Older { .. } => "Use the newest certificate, or change `calibrated` by hand.",
            Self::DuePassed { .. } => "Set `due` to the next calibration first.",
            Self::Form => "Write the entry under [[gauge]], or change it by hand.",
        }
    }
}

impl std::fmt::Display for EditError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NotSound { problem } => f.write_str(problem),
            Self::NoGauge { id } => write!(f, "The register has no gauge “{id}”."),
            Self::NotForKind { id, kind } => {
                write!(f, "{id} is of kind {kind}, which takes no such number.")
            }
            Self::OtherSerial {
                id,
                register,
                certificate,
            } => write!(
                f,
                "{id} has the serial number “{register}”, but the certificate is for \
                 “{certificate}”."
            ),
            Self::NothingAssumed { id } => {
                write!(
                    f,
                    "Nothing of {id} is assumed with a number that could be confirmed."
                )
            }
            Self::Older {
                id,
                register,
                certificate,
            } => write!(
                f,
                "{id} was calibrated on {register}; the certificate is of {certificate}."
            ),
            Self::DuePassed { id, due } => {
                write!(
                    f,
                    "{id} is due on {due}, which is not later than the certificate."
                )
            }
            Self::Form => f.write_str(
                "The gauge stands in gauges.toml in a form that this program does not change.",
            ),
        }
    }
}

impl std::error::Error for EditError {}

/// The register's text with what a certificate says of one gauge.
///
/// The calibration takes the place of `mpe`, since only one of them counts; that line stays as a
/// comment. `due` stays unless a new day is given: the interval is the owner's decision.
///
/// # Errors
/// The [`EditError`] that stands in the way; the text is then to be left as it is.
pub fn with_certificate(
    text: &str,
    id: &GaugeId,
    entry: &CertificateEntry,
) -> Result<String, EditError> {
    let before = sound(text)?;
    let gauge = gauge_of(&before, id)?;
    let name = || id.as_str().to_owned();
    if gauge.kind.reads_angles() || gauge.kind.is_limit_gauge() {
        let kind = gauge.kind.word();
        return Err(EditError::NotForKind { id: name(), kind });
    }
    if let Some(serial) = gauge
        .serial
        .as_ref()
        .filter(|serial| **serial != entry.serial)
    {
        return Err(EditError::OtherSerial {
            id: name(),
            register: serial.clone(),
            certificate: entry.serial.clone(),
        });
    }
    if let Some(known) = gauge.calibrated.filter(|known| *known > entry.calibrated) {
        return Err(EditError::Older {
            id: name(),
            register: known,
            certificate: entry.calibrated,
        });
    }
    let due = entry.due.or(gauge.due);
    if let Some(due) = due.filter(|due| *due <= entry.calibrated) {
        return Err(EditError::DuePassed { id: name(), due });
    }
    let mut document = document(text)?;
    let table = entry_of(&mut document, id)?;
    // `mpe` makes room where it stood, with the comments above it.
    put(
        table,
        "calibration",
        calibration(&entry.taken, gauge.unit),
        Some("mpe"),
    );
    put(table, "serial", entry.serial.as_str().into(), None);
    put(table, "calibrated", date(entry.calibrated)?, None);
    match &entry.certificate {
        Some(number) => put(table, "certificate", number.as_str().into(), None),
        // The number of an older certificate does not belong to this calibration.
        None => drop(table.remove("certificate")),
    }
    if let Some(due) = entry.due {
        put(table, "due", date(due)?, None);
    }
    let changed = document.to_string();
    let after = sound(&changed)?;
    let now = gauge_of(&after, id)?;
    let is_written = now.due == due
        && now.error == StatedError::Calibration(entry.taken.calibration.clone())
        && now.calibrated == Some(entry.calibrated)
        && now.certificate == entry.certificate
        && now.serial.as_ref() == Some(&entry.serial);
    kept(is_written && are_others_same(&before, &after, id), changed)
}

/// What a study found of a gauge, as the register keeps it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StudyEntry {
    /// The repeatability standard deviation.
    pub repeatability: Length,
    /// How many readings it stands for: its degrees of freedom and one more.
    pub readings: u32,
    /// The day of the study.
    pub on: Date,
}

/// The line of a study in an entry that counts in that unit:
/// `repeatability = { s = 0.0008, n = 25, on = 2026-11-26 }`.
///
/// # Errors
/// [`EditError::Form`], which no entry is known to give.
pub fn study_line(entry: &StudyEntry, unit: LengthUnit) -> Result<String, EditError> {
    Ok(format!(
        "repeatability = {}",
        study(entry, unit)?.to_string().trim()
    ))
}

/// The register's text with what a study found of one gauge.
///
/// # Errors
/// The [`EditError`] that stands in the way; the text is then to be left as it is.
pub fn with_study(text: &str, id: &GaugeId, entry: &StudyEntry) -> Result<String, EditError> {
    let before = sound(text)?;
    let gauge = gauge_of(&before, id)?;
    if gauge.kind.reads_angles() || gauge.kind.is_limit_gauge() {
        let (id, kind) = (id.as_str().to_owned(), gauge.kind.word());
        return Err(EditError::NotForKind { id, kind });
    }
    let mut document = document(text)?;
    let table = entry_of(&mut document, id)?;
    // One that was spread over lines of its own makes room.
    let is_spread = table.get("repeatability").is_some_and(Item::is_table);
    if is_spread {
        table.remove("repeatability");
    }
    put(table, "repeatability", study(entry, gauge.unit)?, None);
    let changed = document.to_string();
    let after = sound(&changed)?;
    let now = gauge_of(&after, id)?;
    let is_written = (
        now.repeatability,
        now.repeatability_readings,
        now.repeatability_on,
    ) == (
        Some(entry.repeatability),
        Some(entry.readings),
        Some(entry.on),
    );
    let is_else_same = Gauge {
        repeatability: gauge.repeatability,
        repeatability_readings: gauge.repeatability_readings,
        repeatability_on: gauge.repeatability_on,
        ..now.clone()
    } == *gauge;
    let is_right = is_written && is_else_same && are_others_same(&before, &after, id);
    kept(is_right, changed)
}

/// The register's text without what a study found of one gauge, and a last line that says why.
///
/// # Errors
/// The [`EditError`] that stands in the way; the text is then to be left as it is.
pub fn without_study(text: &str, id: &GaugeId, why: &str) -> Result<String, EditError> {
    let before = sound(text)?;
    let gauge = gauge_of(&before, id)?;
    let mut document = document(text)?;
    let table = entry_of(&mut document, id)?;
    table.remove("repeatability");
    let why: String = why.chars().filter(|c| !c.is_control()).collect();
    let changed = format!(
        "{}\n# The repeatability of {id} is left out, its study is in doubt: {why}\n",
        document.to_string().trim_end()
    );
    let after = sound(&changed)?;
    let is_right = *gauge_of(&after, id)?
        == Gauge {
            repeatability: None,
            repeatability_readings: None,
            repeatability_on: None,
            ..gauge.clone()
        };
    kept(is_right && are_others_same(&before, &after, id), changed)
}

fn study(entry: &StudyEntry, unit: LengthUnit) -> Result<Value, EditError> {
    let mut table = InlineTable::new();
    table.insert("s", length(entry.repeatability, unit));
    table.insert("n", bare(&entry.readings.to_string()));
    table.insert("on", date(entry.on)?);
    Ok(Value::InlineTable(table))
}

/// The register's text with the assumed numbers of one gauge written out, each with a comment that
/// says where it comes from and that it was confirmed.
///
/// # Errors
/// The [`EditError`] that stands in the way; the text is then to be left as it is.
pub fn with_confirmed(
    text: &str,
    id: &GaugeId,
    numbers: &[AssumedNumber],
    today: Date,
) -> Result<String, EditError> {
    let before = sound(text)?;
    let gauge = gauge_of(&before, id)?;
    if numbers.is_empty() {
        let id = id.as_str().to_owned();
        return Err(EditError::NothingAssumed { id });
    }
    let mut document = document(text)?;
    let table = entry_of(&mut document, id)?;
    for number in numbers {
        let mut value = length(number.assumed.value, gauge.unit);
        let source = number.assumed.source.replace(['\n', '\r'], " ");
        let basis = number.assumed.basis.word();
        let comment = format!(" # {basis}: {source}; confirmed {today}");
        value.decor_mut().set_suffix(comment);
        put(table, number.key, value, None);
    }
    let changed = document.to_string();
    let after = sound(&changed)?;
    let now = gauge_of(&after, id)?;
    let is_written = numbers.iter().all(|number| {
        let value = number.assumed.value;
        match number.key {
            "mpe" => now.error == StatedError::Mpe(value),
            _ => now.resolution == Some(value),
        }
    });
    kept(is_written && are_others_same(&before, &after, id), changed)
}

fn kept(is_right: bool, changed: String) -> Result<String, EditError> {
    match is_right {
        true => Ok(changed),
        false => Err(EditError::Form),
    }
}

fn sound(text: &str) -> Result<Register, EditError> {
    Register::parse(text, "gauges.toml").map_err(|errors| EditError::NotSound {
        problem: errors
            .first()
            .map_or_else(String::new, |error| error.sentence()),
    })
}

fn gauge_of<'r>(register: &'r Register, id: &GaugeId) -> Result<&'r Gauge, EditError> {
    register.gauge(id).ok_or_else(|| EditError::NoGauge {
        id: id.as_str().to_owned(),
    })
}

/// Whether every gauge but one states what it stated before.
fn are_others_same(before: &Register, after: &Register, id: &GaugeId) -> bool {
    let others = |register: &Register| -> Vec<Gauge> {
        let all = register.gauges().iter();
        all.filter(|one| one.id != *id).cloned().collect()
    };
    others(before) == others(after)
}

fn document(text: &str) -> Result<DocumentMut, EditError> {
    text.parse::<DocumentMut>().map_err(|_| EditError::Form)
}

fn entry_of<'d>(document: &'d mut DocumentMut, id: &GaugeId) -> Result<&'d mut Table, EditError> {
    let list = document
        .get_mut("gauge")
        .and_then(Item::as_array_of_tables_mut)
        .ok_or(EditError::Form)?;
    let is_it = |table: &&mut Table| {
        let named = table.get("id").and_then(Item::as_str);
        named == Some(id.as_str())
    };
    list.iter_mut().find(is_it).ok_or(EditError::Form)
}

/// Puts a value under a key, in the place of `instead_of` where that is written. A key that is
/// there keeps its comments; one that gives way stays as a comment above what took its place.
fn put(table: &mut Table, key: &str, mut value: Value, instead_of: Option<&str>) {
    // Not by `insert`, which would take the comments above the key away.
    if let Some(old) = table.get_mut(key).and_then(Item::as_value_mut) {
        *value.decor_mut() = old.decor().clone();
        *old = value;
        return;
    }
    let old = instead_of.and_then(|old| table.remove_entry(old));
    table.insert(key, Item::Value(value));
    if let (Some((old_key, Item::Value(old))), Some(mut key)) = (old, table.key_mut(key)) {
        let above = old_key
            .leaf_decor()
            .prefix()
            .and_then(|above| above.as_str());
        let line = format!("{} ={old}", old_key.get());
        let above = format!("{}# {}\n", above.unwrap_or(""), line.trim());
        key.leaf_decor_mut().set_prefix(above);
    }
}

/// `{ U = 0.0015, k = 2, bias = [[2.5, 0], [5.101, 0.001]] }`.
fn calibration(taken: &Taken, unit: LengthUnit) -> Value {
    let stated = &taken.calibration;
    let mut table = InlineTable::new();
    table.insert("U", length(stated.expanded_uncertainty(), unit));
    table.insert("k", bare(&taken.coverage_factor.to_string()));
    let mut list = Array::new();
    for point in stated.bias_points() {
        let pair = [length(point.at, unit), length(point.bias, unit)];
        list.push(Value::Array(Array::from_iter(pair)));
    }
    if !list.is_empty() {
        table.insert("bias", Value::Array(list));
    }
    Value::InlineTable(table)
}

/// A length in millimetres; in an entry that counts in inches it carries its unit.
fn length(length: Length, unit: LengthUnit) -> Value {
    match unit {
        LengthUnit::Millimetre => bare(&length.to_string()),
        LengthUnit::Inch => Value::from(format!("{length} mm")),
    }
}

/// A number with exactly these digits: a binary float would change them.
fn bare(digits: &str) -> Value {
    let parsed = digits.parse::<Value>();
    parsed.unwrap_or_else(|_| Value::from(digits))
}

fn date(day: Date) -> Result<Value, EditError> {
    day.to_string()
        .parse::<Value>()
        .map_err(|_| EditError::Form)
}
