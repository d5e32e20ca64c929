//! What a callout says, before any table is asked; and its canonical text.
//!
//! `parse_callout(&callout.to_string())` gives the same callout again.

use std::fmt;

use crate::quantity::{Angle, Length, LengthUnit};

use super::class::ToleranceClass;
use super::thread::ThreadCallout;

/// A callout of a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Callout {
    /// A size with a class, deviations, one limit, both limits, or nothing (general tolerance).
    Size(SizeCallout),
    /// A nominal size with a hole class and a shaft class.
    Fit(FitCallout),
    /// An angle.
    Angle(AngleCallout),
    /// A broken edge: external radius or chamfer.
    Edge(EdgeCallout),
    /// An ISO metric thread.
    Thread(ThreadCallout),
}

/// How the tolerance of a size, edge or angle is indicated, other than by a class.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Indication<Q> {
    /// Nothing beside the nominal: a general tolerance must say it.
    Bare {
        /// Nominal value.
        nominal: Q,
    },
    /// Deviations from the nominal, `lower` not above `upper`.
    Deviations {
        /// Nominal value.
        nominal: Q,
        /// Upper limit deviation, with its sign.
        upper: Q,
        /// Lower limit deviation, with its sign.
        lower: Q,
    },
    /// `12 max`: only an upper limit.
    Maximum {
        /// The upper limit.
        limit: Q,
    },
    /// `12 min`: only a lower limit.
    Minimum {
        /// The lower limit.
        limit: Q,
    },
    /// `20.000..20.021`, `12.000..`, `..0.0125`: limits without a nominal.
    Limits {
        /// The lower limit.
        lower: Option<Q>,
        /// The upper limit.
        upper: Option<Q>,
    },
}

impl<Q: Copy> Indication<Q> {
    /// The nominal value; the limit of `max` or `min` counts as one, bare limits have none.
    pub fn nominal(&self) -> Option<Q> {
        match *self {
            Self::Bare { nominal } | Self::Deviations { nominal, .. } => Some(nominal),
            Self::Maximum { limit } | Self::Minimum { limit } => Some(limit),
            Self::Limits { .. } => None,
        }
    }
}

/// How the tolerance of a size is indicated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SizeForm {
    /// By a tolerance class.
    Class {
        /// Nominal size.
        nominal: Length,
        /// The class.
        class: ToleranceClass,
    },
    /// By anything else.
    Indicated(Indication<Length>),
}

/// A size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SizeCallout {
    /// How the tolerance is indicated.
    pub form: SizeForm,
    /// The unit of all its numbers; values are exact lengths in either case.
    pub unit: LengthUnit,
    /// Whether a diameter sign stands before it.
    pub diameter: bool,
    /// Ⓔ: the envelope requirement (ISO 14405-1).
    pub envelope: bool,
}

impl SizeCallout {
    /// The nominal size, if one is written.
    pub fn nominal(&self) -> Option<Length> {
        match &self.form {
            SizeForm::Class { nominal, .. } => Some(*nominal),
            SizeForm::Indicated(indication) => indication.nominal(),
        }
    }
}

/// A fit: one nominal size, a hole class and a shaft class.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FitCallout {
    /// Nominal size of both.
    pub nominal: Length,
    /// Class of the hole.
    pub hole: ToleranceClass,
    /// Class of the shaft.
    pub shaft: ToleranceClass,
    /// The unit of the nominal size.
    pub unit: LengthUnit,
    /// Whether a diameter sign stands before it.
    pub diameter: bool,
}

/// An angle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AngleCallout {
    /// How the tolerance is indicated.
    pub indication: Indication<Angle>,
}

/// Which kind of broken edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EdgeKind {
    /// `R2`: an external radius.
    Radius,
    /// `1x45°`: a chamfer; the limits are those of its height.
    Chamfer {
        /// The chamfer's angle.
        angle: Angle,
    },
}

/// A broken edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct EdgeCallout {
    /// Radius or chamfer.
    pub kind: EdgeKind,
    /// Radius or chamfer height, and how its tolerance is indicated. The chamfer's own angle is
    /// not limited here.
    pub indication: Indication<Length>,
    /// The unit of all its numbers.
    pub unit: LengthUnit,
}

/// The text of a value in a callout.
trait Written: Copy + Ord + std::ops::Neg<Output = Self> {
    const ZERO: Self;
    fn written(self, unit: LengthUnit) -> String;
}

impl Written for Length {
    const ZERO: Self = Self::ZERO;
    fn written(self, unit: LengthUnit) -> String {
        self.to_text(unit, 0)
    }
}

impl Written for Angle {
    const ZERO: Self = Self::ZERO;
    fn written(self, _: LengthUnit) -> String {
        angle_text(self)
    }
}

/// An angle with its marks, exact: decimal degrees where they end within five decimals, else
/// degrees, minutes and seconds.
pub(super) fn angle_text(angle: Angle) -> String {
    const MAS_PER_FIFTH_DECIMAL: i64 = 36;
    let mas = angle.as_mas();
    if mas % MAS_PER_FIFTH_DECIMAL == 0 {
        return format!("{}°", angle.to_degrees());
    }
    let sign = if mas < 0 { "-" } else { "" };
    let whole = mas.unsigned_abs();
    let (degrees, minutes) = (whole / 3_600_000, whole / 60_000 % 60);
    let (seconds, rest) = (whole / 1_000 % 60, whole % 1_000);
    let decimals = match rest {
        0 => String::new(),
        _ => format!(".{rest:03}").trim_end_matches('0').to_owned(),
    };
    format!("{sign}{degrees}°{minutes}'{seconds}{decimals}\"")
}

/// A deviation with its sign; zero has none.
fn signed<Q: Written>(value: Q, unit: LengthUnit) -> String {
    let sign = if value > Q::ZERO { "+" } else { "" };
    format!("{sign}{}", value.written(unit))
}

fn write_indication<Q: Written>(
    f: &mut fmt::Formatter<'_>,
    indication: &Indication<Q>,
    unit: LengthUnit,
    first_suffix: &str,
) -> fmt::Result {
    let text = |value: Q| value.written(unit);
    let nominal = |value: Q| format!("{}{first_suffix}", value.written(unit));
    match *indication {
        Indication::Bare { nominal: value } => f.write_str(&nominal(value)),
        Indication::Deviations {
            nominal: value,
            upper,
            lower,
        } if upper == -lower => write!(f, "{} ±{}", nominal(value), text(upper)),
        Indication::Deviations {
            nominal: value,
            upper,
            lower,
        } => {
            let (upper, lower) = (signed(upper, unit), signed(lower, unit));
            write!(f, "{} {upper}/{lower}", nominal(value))
        }
        Indication::Maximum { limit } => write!(f, "{} max", nominal(limit)),
        Indication::Minimum { limit } => write!(f, "{} min", nominal(limit)),
        Indication::Limits { lower, upper } => {
            if let Some(low) = lower {
                f.write_str(&nominal(low))?;
            }
            f.write_str("..")?;
            match (lower, upper) {
                (Some(_), Some(high)) => f.write_str(&text(high)),
                (None, Some(high)) => f.write_str(&nominal(high)),
                (_, None) => Ok(()),
            }
        }
    }
}

/// `in` after an inch number, nothing after millimetres.
fn suffix(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Millimetre => "",
        LengthUnit::Inch => "in",
    }
}

fn diameter_sign(diameter: bool) -> &'static str {
    if diameter { "Ø" } else { "" }
}

impl fmt::Display for SizeCallout {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(diameter_sign(self.diameter))?;
        let unit = self.unit;
        match &self.form {
            SizeForm::Class { nominal, class } => {
                write!(f, "{}{} {class}", nominal.written(unit), suffix(unit))?;
            }
            SizeForm::Indicated(form) => write_indication(f, form, unit, suffix(unit))?,
        }
        if self.envelope {
            f.write_str(" Ⓔ")?;
        }
        Ok(())
    }
}

impl fmt::Display for FitCallout {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (sign, unit) = (diameter_sign(self.diameter), suffix(self.unit));
        let nominal = self.nominal.written(self.unit);
        write!(f, "{sign}{nominal}{unit} {}/{}", self.hole, self.shaft)
    }
}

impl fmt::Display for AngleCallout {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_indication(f, &self.indication, LengthUnit::Millimetre, "")
    }
}

impl fmt::Display for EdgeCallout {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.kind {
            EdgeKind::Radius => {
                f.write_str("R")?;
                write_indication(f, &self.indication, self.unit, suffix(self.unit))
            }
            EdgeKind::Chamfer { angle } => {
                let after = format!("{}x{}", suffix(self.unit), angle_text(angle));
                write_indication(f, &self.indication, self.unit, &after)
            }
        }
    }
}

impl fmt::Display for Callout {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Size(size) => size.fmt(f),
            Self::Fit(fit) => fit.fmt(f),
            Self::Angle(angle) => angle.fmt(f),
            Self::Edge(edge) => edge.fmt(f),
            Self::Thread(thread) => thread.fmt(f),
        }
    }
}
