//! A reading as a person types it: a value with its decimals and its unit, or what a limit gauge
//! did; and the characters as they came.

use std::fmt;

use super::check_words::check_answers;
use super::setup::{Target, TargetLimits};
use crate::gauge::{
    CheckAsked, CheckEnd, CheckOutcome, GaugeId, GaugeStatus, Observed, Origin, Reading, Shown,
};
use crate::quantity::{Angle, Decimal, DecimalMark, LengthUnit, QuantityError, parse_entry};

/// More turns than a gauge has are a slip (chosen).
const TURNS_MAX: i128 = 100;

/// What the characteristic at hand takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// A length.
    Length,
    /// An angle.
    Angle,
    /// An answer about a limit gauge or a mating part.
    Check(CheckAsked),
}

impl Wanted {
    /// What a characteristic takes; without one, a length.
    pub fn of(target: Option<&Target>) -> Self {
        match target.map(|target| &target.limits) {
            Some(TargetLimits::Angle(_)) => Self::Angle,
            Some(TargetLimits::Check(asked)) => Self::Check(*asked),
            Some(TargetLimits::Length(_)) | None => Self::Length,
        }
    }
}

/// What was typed is no reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TypedError {
    /// The stable word for machines.
    pub code: &'static str,
    sentence: String,
    hint: Option<&'static str>,
}

impl TypedError {
    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        self.hint
    }
}

impl fmt::Display for TypedError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

impl std::error::Error for TypedError {}

impl From<QuantityError> for TypedError {
    fn from(error: QuantityError) -> Self {
        Self {
            code: error.code(),
            sentence: error.to_string(),
            hint: error.hint(),
        }
    }
}

/// The reading that `text` is: millimetres, or inches with `in` behind; degrees where an angle is
/// wanted, an answer where a limit gauge is. `gauge=value` names another gauge than `gauge`. The
/// characters are kept as typed.
///
/// # Errors
/// What the text would have to be.
pub fn typed_reading(text: &str, gauge: &GaugeId, wanted: Wanted) -> Result<Reading, TypedError> {
    let (gauge, value) = match text.split_once('=') {
        Some((named, value)) => (GaugeId::new(named.trim()), value.trim()),
        None => (gauge.clone(), text.trim()),
    };
    let (observed, shown) = match wanted {
        Wanted::Angle => (Observed::Angle(Angle::parse(value)?), PLAIN),
        Wanted::Check(asked) => {
            let outcome = typed_outcome(value, &asked)?;
            let end = asked.end;
            (Observed::Check { end, outcome }, PLAIN)
        }
        Wanted::Length => {
            let entry = parse_entry(value, LengthUnit::Millimetre)?;
            let minus = value.starts_with(['-', '\u{2212}', '\u{2013}']);
            let shown = Shown {
                unit: entry.unit,
                decimals: entry.decimals,
                minus,
            };
            (Observed::Length(entry.value), shown)
        }
    };
    let mut reading = check_reading(CheckEnd::Go, CheckOutcome::Goes, &gauge, text);
    (reading.observed, reading.shown) = (observed, shown);
    Ok(reading)
}

/// What has no decimals is shown so.
const PLAIN: Shown = Shown {
    unit: LengthUnit::Millimetre,
    decimals: 0,
    minus: false,
};

/// The reading of a limit gauge or a mating part: what it did, as answered with a key or in words.
pub fn check_reading(
    end: CheckEnd,
    outcome: CheckOutcome,
    gauge: &GaugeId,
    answer: &str,
) -> Reading {
    Reading {
        gauge: gauge.clone(),
        observed: Observed::Check { end, outcome },
        shown: PLAIN,
        status: GaugeStatus::Ok,
        origin: Origin::Typed,
        raw: answer.as_bytes().to_vec(),
        rounded: false,
    }
}

/// A typed answer: yes and no in a few spellings, and counted turns for a NO-GO screw gauge.
fn typed_outcome(text: &str, asked: &CheckAsked) -> Result<CheckOutcome, TypedError> {
    let counts = asked.counts_turns();
    let (goes, does_not) = match counts {
        true => (CheckOutcome::TurnsMore, CheckOutcome::TurnsTwoOrFewer),
        false => (CheckOutcome::Goes, CheckOutcome::DoesNot),
    };
    let lower = text.to_lowercase();
    let words = lower.split_whitespace().collect::<Vec<&str>>().join(" ");
    match words.as_str() {
        "+" | "goes" | "yes" => return Ok(goes),
        "-" | "\u{2212}" | "does not" | "does not go" | "no" => return Ok(does_not),
        "more" | "more than two" if counts => return Ok(goes),
        "two" | "fewer" | "two or fewer" if counts => return Ok(does_not),
        _ => {}
    }
    let unknown = || TypedError {
        code: "no_answer",
        sentence: format!(
            "“{}” is no answer for the {}.",
            text.escape_debug(),
            asked.name()
        ),
        hint: Some(check_answers(asked)),
    };
    let turns = Decimal::parse(&words, DecimalMark::Either).map_err(|_| unknown())?;
    // Thousandths of a turn: nobody counts finer.
    let thousandths = turns.in_steps(1_000).filter(|turns| *turns >= 0);
    match thousandths {
        Some(turns) if counts && turns <= TURNS_MAX * 1_000 => {
            Ok(if turns <= 2_000 { does_not } else { goes })
        }
        _ => Err(unknown()),
    }
}
