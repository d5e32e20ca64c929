//! The answers of `gauges` and `certificate` as JSON.
//!
//! `gauges` gives one object a gauge: `state` is `ok`, `due_soon`, `overdue` or `no_due_date`;
//! `error.basis` is `stated`, `calibration`, `assumed` or, with nothing known, `error` is null;
//! `assumed` lists what a person has yet to confirm; `remarks` are words with their sentences.
//! `certificate` gives one object: values of tables as they are written in the file, the taken
//! calibration in millimetres, and `signature` as `none` or `not_checked`.

use serde::Serialize;

/// A gauge on a day.
#[derive(Debug, Serialize)]
pub(super) struct GaugeLine {
    pub(super) gauge: String,
    pub(super) kind: &'static str,
    pub(super) on: String,
    pub(super) state: &'static str,
    pub(super) days: Option<i64>,
    pub(super) due: Option<String>,
    pub(super) calibrated: Option<String>,
    pub(super) certificate: Option<String>,
    pub(super) serial: Option<String>,
    pub(super) range: Option<[String; 2]>,
    pub(super) unit: &'static str,
    pub(super) resolution: Option<String>,
    pub(super) error: Option<ErrorBody>,
    pub(super) repeatability: Option<RepeatabilityBody>,
    pub(super) reads: &'static str,
    pub(super) set_on: Option<String>,
    pub(super) read_by: Option<String>,
    pub(super) callout: Option<String>,
    pub(super) end: Option<&'static str>,
    pub(super) made_of: Option<String>,
    pub(super) zero_check: Option<ZeroBody>,
    pub(super) port: Option<PortBody>,
    pub(super) assumed: Vec<AssumedBody>,
    pub(super) remarks: Vec<RemarkBody>,
}

/// The error that counts.
#[derive(Debug, Serialize)]
pub(super) struct ErrorBody {
    pub(super) basis: &'static str,
    /// Half-width of the permissible error, or U.
    pub(super) value: String,
    pub(super) k: Option<f64>,
    pub(super) source: Option<String>,
}

/// A repeatability with the readings of its study.
#[derive(Debug, Serialize)]
pub(super) struct RepeatabilityBody {
    pub(super) s: String,
    pub(super) n: Option<u32>,
    /// The day of the study.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) on: Option<String>,
}

/// What is asked of the zero, and how it stands.
#[derive(Debug, Serialize)]
pub(super) struct ZeroBody {
    pub(super) every_hours: Option<u32>,
    pub(super) bound: Option<String>,
    pub(super) on: Option<String>,
    pub(super) last_good: Option<String>,
    pub(super) required: bool,
}

/// Where its readings come from.
#[derive(Debug, Serialize)]
pub(super) struct PortBody {
    pub(super) usb: Option<String>,
    pub(super) path: Option<String>,
    pub(super) adapter: Option<String>,
    pub(super) id: Option<String>,
}

/// A number that stands in for one that the register does not state.
#[derive(Debug, Serialize)]
pub(super) struct AssumedBody {
    pub(super) key: &'static str,
    pub(super) value: String,
    pub(super) basis: &'static str,
    pub(super) source: String,
}

/// A word and its sentence.
#[derive(Debug, Serialize)]
pub(super) struct RemarkBody {
    pub(super) code: &'static str,
    pub(super) message: String,
}

/// What `--confirm` wrote.
#[derive(Debug, Serialize)]
pub(super) struct ConfirmedLine {
    pub(super) gauge: String,
    pub(super) confirmed: Vec<AssumedBody>,
    pub(super) file: String,
}

/// A certificate.
#[derive(Debug, Serialize)]
pub(super) struct CertificateLine<'a> {
    pub(super) file: String,
    pub(super) version: Option<&'a str>,
    pub(super) number: Option<&'a str>,
    pub(super) performed: Option<String>,
    pub(super) issued: Option<String>,
    pub(super) laboratory: Option<&'a str>,
    pub(super) signature: &'static str,
    pub(super) items: Vec<ItemBody<'a>>,
    pub(super) conditions: Vec<ConditionBody<'a>>,
    pub(super) conformity: Vec<ConformityBody<'a>>,
    pub(super) tables: Vec<TableBody<'a>>,
    pub(super) calibration: Option<CalibrationBody>,
    /// Why there is no calibration.
    pub(super) open: Option<RemarkBody>,
    pub(super) gauge: Option<&'a str>,
    pub(super) written: Option<String>,
}

/// One thing that was calibrated.
#[derive(Debug, Serialize)]
pub(super) struct ItemBody<'a> {
    pub(super) name: Option<&'a str>,
    pub(super) manufacturer: Option<&'a str>,
    pub(super) model: Option<&'a str>,
    pub(super) identifications: Vec<IdentificationBody<'a>>,
}

/// One number that it is known by.
#[derive(Debug, Serialize)]
pub(super) struct IdentificationBody<'a> {
    pub(super) issuer: &'a str,
    pub(super) name: Option<&'a str>,
    pub(super) value: &'a str,
}

/// A condition at the calibration.
#[derive(Debug, Serialize)]
pub(super) struct ConditionBody<'a> {
    pub(super) name: &'a str,
    pub(super) value: &'a str,
    pub(super) unit: &'a str,
    pub(super) uncertainty: Option<&'a str>,
}

/// A statement of the laboratory.
#[derive(Debug, Serialize)]
pub(super) struct ConformityBody<'a> {
    pub(super) word: &'a str,
    pub(super) about: Option<&'a str>,
}

/// A table; tables and columns are counted from 1.
#[derive(Debug, Serialize)]
pub(super) struct TableBody<'a> {
    pub(super) table: usize,
    pub(super) title: &'a str,
    pub(super) columns: Vec<ColumnBody<'a>>,
}

/// A column with its values as written.
#[derive(Debug, Serialize)]
pub(super) struct ColumnBody<'a> {
    pub(super) column: usize,
    pub(super) name: &'a str,
    pub(super) ref_type: &'a str,
    pub(super) role: &'static str,
    pub(super) units: &'a [String],
    pub(super) values: &'a [String],
    pub(super) expanded_uncertainty: Option<&'a [String]>,
    pub(super) coverage_factor: Option<&'a [String]>,
}

/// What is taken of it.
#[derive(Debug, Serialize)]
pub(super) struct CalibrationBody {
    pub(super) table: usize,
    pub(super) at_column: usize,
    pub(super) error_column: usize,
    #[serde(rename = "U")]
    pub(super) expanded: String,
    pub(super) k: String,
    pub(super) largest_of_several: bool,
    /// Pairs of what the gauge showed and by how much that was too much.
    pub(super) bias: Vec<[String; 2]>,
}
