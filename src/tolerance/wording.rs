//! The words of the steps: the only place where a why becomes text.

use std::fmt;

use crate::quantity::{Angle, Length, LengthUnit};

use super::callout::angle_text;
use super::class::{ClassKind, Grade, Letter, ToleranceClass};
use super::general::{GENERAL_STANDARD, GeneralKind};
use super::moved::Move;
use super::resolve::CLASS_STANDARD;
use super::rows::DeviationSymbol;
use super::step::{Amount, SpecialRule, Step};

impl Amount {
    fn is_negative(self) -> bool {
        match self {
            Self::Length(length) => length.is_negative(),
            Self::Angle(angle) => angle < Angle::ZERO,
        }
    }

    fn sign_and_size(self) -> (&'static str, Self) {
        let sign = if self.is_negative() { "-" } else { "+" };
        let size = match self {
            Self::Length(length) => Self::Length(length.abs()),
            Self::Angle(angle) => Self::Angle(angle.abs()),
        };
        (sign, size)
    }

    /// With at least three decimals, as limits are shown.
    fn as_limit(self) -> String {
        match self {
            Self::Length(length) => length.to_mm(),
            Self::Angle(angle) => angle_text(angle),
        }
    }

    fn signed(self) -> String {
        let zero = matches!(self, Self::Length(Length::ZERO) | Self::Angle(Angle::ZERO));
        let sign = if zero || self.is_negative() { "" } else { "+" };
        format!("{sign}{self}")
    }
}

impl fmt::Display for Amount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Length(length) => length.fmt(f),
            Self::Angle(angle) => f.write_str(&angle_text(*angle)),
        }
    }
}

/// Micrometres with sign, such as `+21 µm`, `-13.5 µm`, `0`.
fn signed_um(length: Length) -> String {
    let sign = if length > Length::ZERO { "+" } else { "" };
    match length {
        Length::ZERO => "0".to_owned(),
        _ => format!("{sign}{} µm", um(length)),
    }
}

/// Micrometres without unit.
pub(super) fn um(length: Length) -> String {
    length.to_um(0)
}

/// ISO 286-1:2010 has holes in tables 2 (A to M) and 3 (N to ZC), shafts in tables 4 (a to j)
/// and 5 (k to zc); table 1 has the grades (numbers from memory).
fn deviation_table(letter: Letter) -> u8 {
    let early = [
        "a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h", "js", "j",
    ];
    match letter.kind() {
        ClassKind::Hole if letter.is_any_of(&early) || letter.is_any_of(&["k", "m"]) => 2,
        ClassKind::Hole => 3,
        ClassKind::Shaft if letter.is_any_of(&early) => 4,
        ClassKind::Shaft => 5,
    }
}

/// The place of a row: the standard and its table, or the house table.
fn table(standard: &str, number: u8, house: bool) -> String {
    if house {
        "House table".to_owned()
    } else {
        format!("{standard} table {number}")
    }
}

impl fmt::Display for SpecialRule {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Delta => {
                "special rule of ISO 286-1 for K, M, N to IT8 and P to ZC to IT7, over 3 to \
                 500 mm: ES = -ei(shaft) + delta"
            }
            Self::HoleM6 => {
                "exception of ISO 286-1: M6 over 250 to 315 mm has ES = -9 µm (the rule of delta \
                 would give -11 µm)"
            }
            Self::HoleNCoarse => {
                "rule of ISO 286-1: N with grades coarser than IT8, over 3 to 500 mm, has ES = 0"
            }
            Self::ShaftKOtherGrades => {
                "rule of ISO 286-1: k has its value for IT4 to IT7 only, other grades have ei = 0"
            }
        })
    }
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::FromInch { nominal } => write!(
                f,
                "{} in = {nominal} mm (1 in = 25.4 mm, exact)",
                nominal.to_text(LengthUnit::Inch, 0)
            ),
            Self::StatedLimit { side, limit } => {
                write!(f, "{} limit {}, as stated", side.word(), limit.as_limit())
            }
            Self::StatedDeviations { upper, lower } => write!(
                f,
                "deviations as stated: upper {}, lower {}",
                upper.signed(),
                lower.signed()
            ),
            Self::Grade { .. } => self.write_grade(f),
            Self::Deviation { .. } => self.write_deviation(f),
            Self::Delta {
                grade,
                range,
                delta,
            } => write!(
                f,
                "{CLASS_STANDARD} table 3: delta of {grade} {range} = {} µm",
                um(*delta)
            ),
            Self::WithDelta { value, delta } => write!(
                f,
                "ES = {} + {} = {}",
                um(*value),
                um(*delta),
                signed_um(*value + *delta)
            ),
            Self::Symmetric { class, half } => self.write_symmetric(f, *class, *half),
            Self::Rule(rule) => rule.fmt(f),
            Self::OtherDeviation {
                known,
                value,
                grade,
                tolerance,
            } => write_other(f, *known, *value, *grade, *tolerance),
            Self::General { .. } => self.write_general(f),
            Self::GeneralMeaning => write!(
                f,
                "{GENERAL_STANDARD}: exceeding a general tolerance is not automatic rejection \
                 when the function is unimpaired"
            ),
            Self::Limit {
                side,
                nominal,
                deviation,
                limit,
            } => {
                let (sign, size) = deviation.sign_and_size();
                let sum = limit.as_limit();
                write!(f, "{} limit {nominal} {sign} {size} = {sum}", side.word())
            }
            Self::Thread(step) => step.fmt(f),
            Self::Moved {
                cause,
                lower,
                upper,
            } => write_moved(f, *cause, *lower, *upper),
            Self::Envelope => f.write_str(
                "Ⓔ envelope requirement (ISO 14405-1): the maximum-material size is also the \
                 limit of a perfect envelope",
            ),
        }
    }
}

impl Step {
    fn write_grade(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self::Grade {
            grade,
            range,
            tolerance,
            house,
            source,
        } = self
        else {
            return Ok(());
        };
        let place = table(CLASS_STANDARD, 1, *house);
        write!(f, "{place}: {grade} {range} = {} µm", um(*tolerance))?;
        house_source(f, *house, source)
    }

    fn write_deviation(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self::Deviation {
            letter,
            symbol,
            value,
            range,
            finest,
            coarsest,
            add_delta,
            house,
            source,
        } = self
        else {
            return Ok(());
        };
        let symbol = symbol.symbol();
        let kind = letter.kind().word();
        if letter.is_any_of(&["h"]) && !house {
            return write!(f, "{kind} {letter}: {symbol} = 0");
        }
        let place = table(CLASS_STANDARD, deviation_table(*letter), *house);
        let grades = match (finest.digits(), coarsest.digits()) {
            ("01" | "1", "18") => String::new(),
            (from, to) if from == to => format!(", IT{from}"),
            (from, to) => format!(", IT{from} to IT{to}"),
        };
        let delta = if *add_delta { " + delta" } else { "" };
        let value = signed_um(*value);
        write!(
            f,
            "{place}: {kind} {letter} {range}{grades}: {symbol} = {value}{delta}"
        )?;
        house_source(f, *house, source)
    }

    fn write_general(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self::General {
            class,
            kind,
            range,
            plus_minus,
            house,
            source,
        } = self
        else {
            return Ok(());
        };
        let place = table(GENERAL_STANDARD, kind.table(), *house);
        let side = match kind {
            GeneralKind::Angle => ", shorter side",
            GeneralKind::Edge => ", edge",
            GeneralKind::Linear => "",
        };
        let unit = match plus_minus {
            Amount::Length(_) => " mm",
            Amount::Angle(_) => "",
        };
        write!(
            f,
            "{place}: class {class}{side} {range} = ±{plus_minus}{unit}"
        )?;
        house_source(f, *house, source)
    }

    fn write_symmetric(
        &self,
        f: &mut fmt::Formatter<'_>,
        class: ToleranceClass,
        half: Length,
    ) -> fmt::Result {
        let (upper, lower) = match class.kind() {
            ClassKind::Hole => ("ES", "EI"),
            ClassKind::Shaft => ("es", "ei"),
        };
        let (kind, letter, half) = (class.kind().word(), class.letter(), um(half));
        write!(
            f,
            "{kind} {letter}: {upper} = +{0}/2 = +{half} µm, {lower} = -{0}/2 = -{half} µm",
            class.grade()
        )
    }
}

/// A house row shows whose it is.
fn house_source(f: &mut fmt::Formatter<'_>, house: bool, source: &str) -> fmt::Result {
    if house {
        write!(f, " (house: {source})")
    } else {
        Ok(())
    }
}

fn write_other(
    f: &mut fmt::Formatter<'_>,
    known: DeviationSymbol,
    value: Length,
    grade: Grade,
    tolerance: Length,
) -> fmt::Result {
    let (sign, result) = if known.is_upper() {
        ("-", value - tolerance)
    } else {
        ("+", value + tolerance)
    };
    let (symbol, other) = (known.symbol(), known.other().symbol());
    write!(
        f,
        "{other} = {symbol} {sign} {grade} = {} {sign} {} = {}",
        um(value),
        um(tolerance),
        signed_um(result)
    )
}

pub(super) fn write_moved(
    f: &mut fmt::Formatter<'_>,
    cause: Move,
    lower: Option<Length>,
    upper: Option<Length>,
) -> fmt::Result {
    let shift = cause.shift().unwrap_or((Length::ZERO, Length::ZERO));
    match cause {
        Move::Coating {
            surface,
            thin,
            thick,
        } => write!(
            f,
            "before a coating of {thin} to {thick} mm per surface ({}):",
            surface.word()
        )?,
        Move::FlankCoating {
            surface,
            thin,
            thick,
        } => write!(
            f,
            "before a coating of {thin} to {thick} mm per surface (flanks {}, four times on the \
             pitch diameter):",
            surface.word()
        )?,
        Move::Allowance { surface, amount } => {
            write!(f, "with {amount} mm left on ({}):", surface.word())?;
        }
        Move::ToSuit { .. } => write!(f, "made to suit the measured mate:")?,
    }
    let parts = [("lower", lower, shift.0), ("upper", upper, shift.1)];
    for (word, limit, by) in parts {
        if let Some(limit) = limit {
            let (before, sign) = (limit - by, if by.is_negative() { "-" } else { "+" });
            let (before, by, limit) = (before.to_mm(), by.abs(), limit.to_mm());
            write!(f, " {word} limit {before} {sign} {by} = {limit};")?;
        }
    }
    Ok(())
}
