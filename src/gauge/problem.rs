//! What can be wrong in a gauge register.

use std::fmt;

use super::date::Date;
use super::file_problem::FileProblem;
use super::pointed::Problem;
use crate::quantity::Length;

/// A fault of a register's form or meaning.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RegisterProblem {
    /// A fault of form.
    File(FileProblem),
    /// Both `mpe` and `calibration` are stated.
    TwoErrors,
    /// The range does not run upwards.
    RangeReversed,
    /// One size instead of a range, for a gauge that is no standard.
    RangeNeedsTwoEnds,
    /// A point of the bias list is no pair.
    BiasPoint,
    /// The sizes of the bias list do not run upwards.
    BiasOrder,
    /// A comparator that does not say what it is set on.
    SetOnMissing,
    /// Set on something, though it reads sizes.
    SetOnWithoutDeviation,
    /// A standard that is not in the register.
    StandardUnknown {
        /// The key that names it.
        key: &'static str,
        /// The id as written.
        found: String,
        /// The id that was probably meant.
        nearest: Option<String>,
    },
    /// A standard that has no size of its own.
    NoStandard {
        /// The key that names it.
        key: &'static str,
        /// The id as written.
        found: String,
        /// Its kind.
        kind: &'static str,
    },
    /// The zero is checked on a size that the gauge does not reach.
    ZeroOutside {
        /// The standard.
        found: String,
        /// Its size.
        size: Length,
    },
    /// A transfer gauge that would read itself.
    ReadByItself,
    /// Read by a gauge that is not in the register.
    ReadByUnknown {
        /// The id as written.
        found: String,
        /// The id that was probably meant.
        nearest: Option<String>,
    },
    /// Read by a gauge that carries sizes itself.
    ReadByCarrier {
        /// The id as written.
        found: String,
    },
    /// Read by something that shows no size.
    ReadByNoSize {
        /// The id as written.
        found: String,
        /// Its kind.
        kind: &'static str,
    },
    /// Due on or before the day of the calibration.
    DueBeforeCalibrated {
        /// That day.
        calibrated: Date,
    },
    /// A key that means nothing for a gauge of that kind.
    KeyNotForKind {
        /// The key.
        key: &'static str,
        /// The kind.
        kind: &'static str,
        /// Why not.
        why: &'static str,
    },
    /// A port with neither or both of `usb` and `path`.
    PortNeedsOne,
    /// A USB identity of another form.
    BadUsb {
        /// The identity as written.
        found: String,
    },
    /// A key that means nothing for a gauge that reads angles.
    NotForAngles {
        /// The key.
        key: &'static str,
    },
}

impl From<FileProblem> for RegisterProblem {
    fn from(problem: FileProblem) -> Self {
        Self::File(problem)
    }
}

impl Problem for RegisterProblem {
    fn code(&self) -> &'static str {
        match self {
            Self::File(problem) => problem.code(),
            Self::TwoErrors => "two_errors",
            Self::RangeReversed => "range_reversed",
            Self::RangeNeedsTwoEnds => "range_needs_two_ends",
            Self::BiasPoint => "bias_point",
            Self::BiasOrder => "bias_order",
            Self::SetOnMissing => "set_on_missing",
            Self::SetOnWithoutDeviation => "set_on_without_deviation",
            Self::StandardUnknown { key: "set_on", .. } => "set_on_unknown",
            Self::StandardUnknown { .. } => "standard_unknown",
            Self::NoStandard { key: "set_on", .. } => "set_on_no_standard",
            Self::NoStandard { .. } => "no_standard",
            Self::ZeroOutside { .. } => "zero_outside_range",
            Self::ReadByItself => "read_by_itself",
            Self::ReadByUnknown { .. } => "read_by_unknown",
            Self::ReadByCarrier { .. } => "read_by_carrier",
            Self::ReadByNoSize { .. } => "read_by_no_size",
            Self::DueBeforeCalibrated { .. } => "due_before_calibrated",
            Self::KeyNotForKind { .. } => "key_not_for_kind",
            Self::PortNeedsOne => "port_needs_one",
            Self::BadUsb { .. } => "bad_usb_identity",
            Self::NotForAngles { .. } => "not_for_angles",
        }
    }

    fn hint(&self) -> Option<String> {
        let text = match self {
            Self::File(problem) => return problem.hint(),
            Self::TwoErrors => {
                "Keep the calibration if the certificate is current, else the maker's mpe."
            }
            Self::RangeReversed => "Write the smaller end first, as [0, 25].",
            Self::RangeNeedsTwoEnds => {
                "Write [0, 25]; one size alone is for setting_ring, gauge_block, pins and wires."
            }
            Self::BiasPoint => "Write [[0, 0.0], [25, 0.001]].",
            Self::BiasOrder => "Sort the points by size, each size once.",
            Self::SetOnMissing => {
                "Add set_on = \"…\" with the id of a setting ring or gauge block of the register."
            }
            Self::SetOnWithoutDeviation => "Add reads = \"deviation\", or leave set_on out.",
            Self::StandardUnknown {
                nearest: Some(id), ..
            }
            | Self::ReadByUnknown {
                nearest: Some(id), ..
            } => return Some(format!("Did you mean \"{id}\"?")),
            Self::StandardUnknown { .. } => "Add a [[gauge]] for it, with its size as range.",
            Self::ReadByUnknown { .. } => "Add a [[gauge]] for it.",
            Self::ReadByItself | Self::ReadByCarrier { .. } | Self::ReadByNoSize { .. } => {
                "Name the micrometer that the carried size is read with."
            }
            Self::ZeroOutside { .. } => "Name a standard whose size the gauge can show.",
            Self::DueBeforeCalibrated { .. } => "Check both dates; due is the next calibration.",
            Self::NoStandard { .. } => {
                "Name a setting_ring, gauge_block or pins entry whose range is one size."
            }
            Self::PortNeedsOne => "Keep usb where the adapter has a serial number, else path.",
            Self::BadUsb { .. } => "Write \"1209:0001\" or \"1209:0001:SERIAL\".",
            Self::NotForAngles { .. } | Self::KeyNotForKind { .. } => "Leave it out.",
        };
        Some(text.to_owned())
    }
}

impl fmt::Display for RegisterProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = match self {
            Self::File(problem) => return problem.fmt(f),
            Self::StandardUnknown { key, found, .. } => {
                return write!(
                    f,
                    "`{key}` names \"{found}\"; expected a gauge of this register."
                );
            }
            Self::NoStandard { key, found, kind } => {
                return write!(
                    f,
                    "`{key}` names \"{found}\", a {kind} without one size; expected a standard."
                );
            }
            Self::ZeroOutside { found, size } => {
                return write!(
                    f,
                    "`on` names \"{found}\" of {size} mm, which lies outside the gauge's range."
                );
            }
            Self::ReadByUnknown { found, .. } => {
                return write!(
                    f,
                    "`read_by` names \"{found}\"; expected a gauge of this register."
                );
            }
            Self::ReadByCarrier { found } => {
                return write!(
                    f,
                    "`read_by` names \"{found}\", which only carries sizes itself."
                );
            }
            Self::ReadByNoSize { found, kind } => {
                return write!(
                    f,
                    "`read_by` names \"{found}\", a {kind}, which shows no size."
                );
            }
            Self::DueBeforeCalibrated { calibrated } => {
                return write!(f, "`due` is not later than `calibrated`, {calibrated}.");
            }
            Self::KeyNotForKind { key, kind, why } => {
                return write!(
                    f,
                    "`{key}` means nothing for a gauge of kind {kind}: {why}."
                );
            }
            Self::BadUsb { found } => {
                return write!(
                    f,
                    "`usb` is \"{found}\"; expected vendor and product in four hexadecimal digits \
                     each, then a serial number, with colons between."
                );
            }
            Self::NotForAngles { key } => {
                return write!(f, "`{key}` is a length, but a protractor reads angles.");
            }
            Self::ReadByItself => "`read_by` names the gauge itself.",
            Self::TwoErrors => {
                "both `mpe` and `calibration` are stated; expected one, so that it is clear which \
                 error counts."
            }
            Self::RangeReversed => "`range` does not run upwards; expected the smaller end first.",
            Self::RangeNeedsTwoEnds => "`range` has one size; expected two ends.",
            Self::BiasPoint => "a point of `bias` is no pair; expected [size, bias].",
            Self::BiasOrder => {
                "the sizes of `bias` do not run upwards; expected each larger than \
                                the one before."
            }
            Self::SetOnMissing => {
                "a gauge that reads deviations needs `set_on`, or no size follows from it."
            }
            Self::SetOnWithoutDeviation => "`set_on` is stated, but the gauge reads sizes.",
            Self::PortNeedsOne => "`port` needs exactly one of `usb` and `path`.",
        };
        f.write_str(text)
    }
}
