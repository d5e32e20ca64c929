//! How a gauge stands on a given day: whether its calibration holds, what of it is only assumed,
//! and what keeps its error from being known.
//!
//! Refuses to know today's date and when a zero was last checked: both are asked of others.

use super::assumed::Assumed;
use super::date::{Date, Due};
use super::kind::Faces;
use super::reading::GaugeId;
use super::register::{Gauge, GaugeReads, Known, Register, StatedError};
use crate::quantity::Length;

/// How a gauge stands on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// Whether its calibration holds.
    pub due: Due,
    /// Numbers that the register does not state; a person has yet to confirm them.
    pub assumed: Vec<AssumedNumber>,
    /// What is wrong or open, the most serious first.
    pub remarks: Vec<Remark>,
}

/// A number that stands in for one that the register does not state.
#[derive(Debug, Clone, PartialEq)]
pub struct AssumedNumber {
    /// The key that would state it: `mpe` or `resolution`.
    pub key: &'static str,
    /// The number with its source.
    pub assumed: Assumed,
}

/// Something about a gauge that whoever measures should know.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Remark {
    /// The date of its next calibration has passed.
    Overdue {
        /// Days since.
        days: i64,
    },
    /// A gauge that it rests on is overdue.
    RestsOnOverdue {
        /// That gauge.
        on: GaugeId,
        /// Days since.
        days: i64,
    },
    /// No date of its next calibration is stated.
    NoDueDate,
    /// Nothing is known of its error.
    ErrorNotKnown,
    /// A standard whose own error is not known.
    SizeNotCalibrated,
    /// Nothing is known of the error of the standard that it is set on.
    StandardNotKnown {
        /// The standard.
        on: GaugeId,
    },
    /// It only carries sizes, and nobody says which gauge reads it.
    NoReader,
    /// A limit gauge that does not say what it is made for.
    NoCallout,
    /// Its calibration does not reach over its whole range.
    BiasShort,
    /// Its repeatability was studied before it was calibrated, and perhaps mended, last.
    StudyBeforeCalibration {
        /// The day of the study.
        studied: Date,
        /// The day of the calibration.
        calibrated: Date,
    },
    /// The study that gave its repeatability is in doubt: sessions leave it out.
    StudyInDoubt,
}

impl Standing {
    /// Whether the gauge, and all that it rests on, may be relied on that day.
    pub fn is_in_date(&self) -> bool {
        let is_over =
            |one: &Remark| matches!(one, Remark::Overdue { .. } | Remark::RestsOnOverdue { .. });
        !self.remarks.iter().any(is_over)
    }
}

impl Remark {
    /// The remark's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Overdue { .. } => "overdue",
            Self::RestsOnOverdue { .. } => "rests_on_overdue",
            Self::NoDueDate => "no_due_date",
            Self::ErrorNotKnown => "error_not_known",
            Self::SizeNotCalibrated => "size_not_calibrated",
            Self::StandardNotKnown { .. } => "standard_not_known",
            Self::NoReader => "no_reader",
            Self::NoCallout => "no_callout",
            Self::BiasShort => "bias_short",
            Self::StudyBeforeCalibration { .. } => "study_before_calibration",
            Self::StudyInDoubt => "study_in_doubt",
        }
    }
}

/// One sentence, without the gauge's name.
impl std::fmt::Display for Remark {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let plural = |days: &i64| if *days == 1 { "day" } else { "days" };
        match self {
            Self::Overdue { days } => write!(f, "overdue for {days} {}", plural(days)),
            Self::RestsOnOverdue { on, days } => {
                write!(f, "rests on {on}, overdue for {days} {}", plural(days))
            }
            Self::NoDueDate => f.write_str("no date of the next calibration"),
            Self::ErrorNotKnown => {
                f.write_str("error not known: its verdicts do not consider uncertainty")
            }
            Self::SizeNotCalibrated => {
                f.write_str("error of its size not known: what is set on it leaves that out")
            }
            Self::StandardNotKnown { on } => {
                write!(
                    f,
                    "error of {on} not known: it is left out of the uncertainty"
                )
            }
            Self::NoReader => f.write_str("no read_by: nobody says which gauge reads it"),
            Self::NoCallout => f.write_str("no callout: it may be tried on any part"),
            Self::BiasShort => f.write_str(
                "calibrated over a part of its range; the end values are kept beyond it",
            ),
            Self::StudyBeforeCalibration {
                studied,
                calibrated,
            } => write!(
                f,
                "repeatability studied on {studied}, before its calibration of {calibrated}: study \
                 it again"
            ),
            Self::StudyInDoubt => f.write_str(
                "the study of its repeatability is in doubt and left out: study it again",
            ),
        }
    }
}

impl Register {
    /// How a gauge stands on the day `today`.
    pub fn standing(&self, gauge: &Gauge, today: Date) -> Standing {
        let mut remarks = Vec::new();
        let due = gauge.due_on(today);
        if let Due::Overdue { days_over } = due {
            remarks.push(Remark::Overdue { days: days_over });
        }
        for on in self.rests_on(gauge) {
            if let Due::Overdue { days_over } = on.due_on(today) {
                let (on, days) = (on.id.clone(), days_over);
                remarks.push(Remark::RestsOnOverdue { on, days });
            }
        }
        if gauge.is_carrier() && gauge.read_by.is_none() {
            remarks.push(Remark::NoReader);
        } else if gauge.kind.is_limit_gauge() {
            if gauge.callout.is_none() {
                remarks.push(Remark::NoCallout);
            }
        } else if self.is_error_unknown(gauge) {
            remarks.push(match gauge.kind.is_standard() {
                true => Remark::SizeNotCalibrated,
                false => Remark::ErrorNotKnown,
            });
        }
        if let Some(standard) = self.unknown_standard_of(gauge) {
            let on = standard.id.clone();
            remarks.push(Remark::StandardNotKnown { on });
        }
        if gauge.is_bias_short() {
            remarks.push(Remark::BiasShort);
        }
        if let (Some(studied), Some(calibrated)) = (gauge.repeatability_on, gauge.calibrated)
            && studied < calibrated
        {
            remarks.push(Remark::StudyBeforeCalibration {
                studied,
                calibrated,
            });
        }
        if due == Due::NotStated {
            remarks.push(Remark::NoDueDate);
        }
        Standing {
            due,
            assumed: gauge.assumed_numbers(),
            remarks,
        }
    }

    /// The standard that it is set on, where nothing is known of that standard's error.
    fn unknown_standard_of(&self, gauge: &Gauge) -> Option<&Gauge> {
        self.standard_of(gauge).filter(|standard| {
            let size = standard.fixed_size().unwrap_or(Length::ZERO);
            standard.error_at(size, Faces::Outside).is_none()
        })
    }

    /// The standard whose error is left out of the uncertainty of what that gauge measures, since
    /// nothing is known of it: its own, or that of the gauge that reads it. None where the
    /// uncertainty is not considered at all.
    pub fn standard_left_out(&self, gauge: &Gauge) -> Option<&Gauge> {
        let reader = self.reader_of(gauge).unwrap_or(gauge);
        let standard = self.unknown_standard_of(reader)?;
        (!self.is_error_unknown(gauge)).then_some(standard)
    }

    /// The gauges whose error goes into that of this one.
    pub fn rests_on(&self, gauge: &Gauge) -> Vec<&Gauge> {
        let reader = self.reader_of(gauge);
        let standard = self.standard_of(reader.unwrap_or(gauge));
        reader.into_iter().chain(standard).collect()
    }

    /// Whether nothing is known of the error of a size got with it. An angle's error stands in
    /// its own entry.
    fn is_error_unknown(&self, gauge: &Gauge) -> bool {
        match gauge.kind.reads_angles() {
            true => gauge.angular.mpe.is_none(),
            false => self
                .error_of(gauge, gauge.farthest(), Faces::Outside)
                .is_none(),
        }
    }
}

impl Gauge {
    /// The end of its range farthest from zero; of a comparator the size it is set on.
    fn farthest(&self) -> Length {
        match (&self.reads, self.range) {
            (GaugeReads::Deviation { set_size, .. }, _) => *set_size,
            (GaugeReads::Size, Some((lower, upper))) => lower.abs().max(upper.abs()),
            (GaugeReads::Size, None) => Length::ZERO,
        }
    }

    /// What is assumed of it: the step and the largest permissible error over its range, between
    /// whatever faces; none where the register or a calibration says it.
    pub fn assumed_numbers(&self) -> Vec<AssumedNumber> {
        let mut numbers = Vec::new();
        let is_stated = matches!(self.error, StatedError::Calibration(_)) || self.is_carrier();
        if let Some(Known::Assumed(assumed)) = self.step().filter(|_| !is_stated) {
            let key = "resolution";
            numbers.push(AssumedNumber { key, assumed });
        }
        let size = self.farthest();
        let all = Faces::WORDS.iter().filter_map(|(faces, _)| {
            match self.permissible_error(size, *faces) {
                Some(Known::Assumed(assumed)) => Some(assumed),
                _ => None,
            }
        });
        // The first of equals is kept: between outside faces, where nothing is added.
        let largest = all.fold(None, |largest: Option<Assumed>, one| match largest {
            Some(before) if before.value >= one.value => Some(before),
            _ => Some(one),
        });
        let key = "mpe";
        numbers.extend(largest.map(|assumed| AssumedNumber { key, assumed }));
        numbers
    }

    /// Whether its bias was found over less than its range.
    fn is_bias_short(&self) -> bool {
        let StatedError::Calibration(calibration) = &self.error else {
            return false;
        };
        let points = calibration.bias_points();
        let (Some(first), Some(last), Some((lower, upper))) =
            (points.first(), points.last(), self.range)
        else {
            return false;
        };
        // A tenth of the range at either end is common practice, no source.
        let tenth = (upper - lower).div_half_even(10);
        !self.kind.is_standard() && (first.at > lower + tenth || last.at < upper - tenth)
    }
}
