//! A reading as a person types it: a value with its decimals and its unit, or what a limit gauge
//! did; and the characters as they came.

use std::fmt;

use super::check_words::check_answers;
use super::setup::{Setup, Target, TargetLimits};
use super::sources::UNNAMED_TYPED;
use crate::gauge::{
    CheckAsked, CheckEnd, CheckOutcome, GaugeId, GaugeStatus, Observed, Origin, Reading, Shown,
};
use crate::quantity::{Angle, Decimal, DecimalMark, LengthUnit, QuantityError, parse_entry};

/// More turns than that are a slip (chosen: no gauge has as many).
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

/// Refuses a gauge that was named in typing and that the session does not know: a slip in its name
/// would leave what it shows without an uncertainty.
///
/// # Errors
/// Which gauges the session knows.
pub fn known_gauge(setup: &Setup, gauge: &GaugeId) -> Result<(), TypedError> {
    if gauge.as_str() == UNNAMED_TYPED || setup.gauge_index(gauge).is_some() {
        return Ok(());
    }
    let known = setup.gauge_ids().join(", ");
    Err(TypedError {
        code: "no_such_gauge",
        sentence: format!(
            "This session has no gauge “{}”; its gauges are {known}.",
            gauge.as_str().escape_debug()
        ),
        hint: Some("One that is added to gauges.toml is known to the next session."),
    })
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
    let is_check = matches!(wanted, Wanted::Check(_));
    if let (false, Some(error)) = (is_check, misplaced_answer(value)) {
        return Err(error);
    }
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
    Ok(reading_of(observed, shown, &gauge, text))
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
    reading_of(Observed::Check { end, outcome }, PLAIN, gauge, answer)
}

fn reading_of(observed: Observed, shown: Shown, gauge: &GaugeId, typed: &str) -> Reading {
    Reading {
        gauge: gauge.clone(),
        observed,
        shown,
        status: GaugeStatus::Ok,
        origin: Origin::Typed,
        raw: typed.as_bytes().to_vec(),
        rounded: false,
    }
}

/// A typed answer in a few spellings, kept as what was said: that it goes, that it does not, or
/// how many turns a NO-GO screw gauge came off with.
fn typed_outcome(text: &str, asked: &CheckAsked) -> Result<CheckOutcome, TypedError> {
    let counts = asked.counts_turns();
    let lower = text.to_lowercase();
    let words = lower.split_whitespace().collect::<Vec<&str>>().join(" ");
    let outcome = match words.as_str() {
        "+" | "more" | "more than two" if counts => Some(CheckOutcome::TurnsMore),
        "-" | "\u{2212}" | "two" | "fewer" | "two or fewer" if counts => {
            Some(CheckOutcome::TurnsTwoOrFewer)
        }
        "+" | "goes" | "yes" | "y" => Some(CheckOutcome::Goes),
        "-" | "\u{2212}" | "does not" | "does not go" | "no" | "n" => Some(CheckOutcome::DoesNot),
        number if counts => turns(number),
        _ => None,
    };
    outcome.ok_or_else(|| TypedError {
        code: "no_answer",
        sentence: format!(
            "“{}” is no answer for the {}.",
            text.escape_debug(),
            asked.name()
        ),
        hint: Some(check_answers(asked)),
    })
}

/// What counted turns say. Nobody counts finer than tenths or quarters of a turn: a number with
/// more decimals is a size, and no answer.
fn turns(text: &str) -> Option<CheckOutcome> {
    let turns = Decimal::parse(text, DecimalMark::Either).ok()?;
    let hundredths = turns.in_steps(100).filter(|turns| *turns >= 0)?;
    let is_counted = hundredths % 10 == 0 || hundredths % 25 == 0;
    match hundredths {
        _ if !is_counted || turns.decimals() > 2 || hundredths > TURNS_MAX * 100 => None,
        0 => Some(CheckOutcome::DoesNot),
        1..=200 => Some(CheckOutcome::TurnsTwoOrFewer),
        _ => Some(CheckOutcome::TurnsMore),
    }
}

/// An answer where a size is wanted: said so, rather than as letters that are no number.
fn misplaced_answer(text: &str) -> Option<TypedError> {
    let word = text.trim().to_lowercase();
    let is_answer = matches!(
        word.as_str(),
        "+" | "-" | "\u{2212}" | "goes" | "does not" | "does not go" | "yes" | "no"
    );
    is_answer.then(|| TypedError {
        code: "no_check_here",
        sentence: format!(
            "“{}” answers for a limit gauge, and a size is wanted here.",
            text.trim().escape_debug()
        ),
        hint: Some("Type the size; or choose the check with f, its feature and its element."),
    })
}
