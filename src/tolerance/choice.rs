//! From what a joint is for to the classes that are usual for it, each with its source.
//!
//! This file knows no sizes of bearings and no loads in newtons; it holds rows of published and
//! usual choices. None of them stands behind a limit, so they are not in the tables' digest.

use std::sync::LazyLock;

use super::csv::{Field, Sheet, TableError};
use crate::quantity::Length;

const FITS: &str = include_str!("../../tolerances/choosing/fits.csv");
const SEATS: &str = include_str!("../../tolerances/choosing/bearing_seats.csv");
const DOWELS: &str = include_str!("../../tolerances/choosing/dowels.csv");
const RULES: &str = include_str!("../../tolerances/choosing/rules.csv");

/// What a joint of a hole and a shaft is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Purpose {
    /// The shaft turns in the hole.
    Running,
    /// It moves by hand and locates.
    Sliding,
    /// Parts at rest that locate each other.
    Locating,
    /// Pressed together lightly.
    LightPress,
    /// Driven or shrunk together for good.
    Permanent,
    /// A dowel pin in its hole.
    Dowel,
}

impl Purpose {
    /// Every purpose with its word.
    pub const WORDS: [(Self, &'static str); 6] = [
        (Self::Running, "running"),
        (Self::Sliding, "sliding"),
        (Self::Locating, "locating"),
        (Self::LightPress, "light_press"),
        (Self::Permanent, "permanent"),
        (Self::Dowel, "dowel"),
    ];
}

/// The seat of a rolling bearing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Seat {
    /// Of the inner ring on a shaft.
    Shaft,
    /// Of the outer ring in a housing.
    Housing,
}

/// What the ring on that seat does, seen from the direction of the load.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Ring {
    /// It rotates relative to the load.
    Rotates,
    /// It stands still relative to the load.
    Stands,
    /// The direction of the load is not determined.
    Indeterminate,
}

impl Ring {
    /// Every one with its word.
    pub const WORDS: [(Self, &'static str); 3] = [
        (Self::Rotates, "rotates"),
        (Self::Stands, "stands"),
        (Self::Indeterminate, "indeterminate"),
    ];

    /// The word.
    pub fn word(self) -> &'static str {
        word(&Self::WORDS, self)
    }
}

/// How a rolling bearing is loaded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Load {
    /// Light.
    Light,
    /// Normal.
    Normal,
    /// Heavy.
    Heavy,
    /// Shocks.
    Shock,
}

impl Load {
    /// Every one with its word.
    pub const WORDS: [(Self, &'static str); 4] = [
        (Self::Light, "light"),
        (Self::Normal, "normal"),
        (Self::Heavy, "heavy"),
        (Self::Shock, "shock"),
    ];

    /// The word.
    pub fn word(self) -> &'static str {
        word(&Self::WORDS, self)
    }
}

fn word<T: PartialEq + Copy>(words: &[(T, &'static str)], wanted: T) -> &'static str {
    let mut all = words.iter();
    all.find(|(one, _)| *one == wanted)
        .map_or("", |(_, word)| word)
}

fn of_word<T: Copy>(words: &[(T, &'static str)], text: &str) -> Option<T> {
    let mut all = words.iter();
    all.find(|(_, word)| *word == text).map(|(one, _)| *one)
}

/// A hole class and a shaft class that are usual for a purpose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FitChoice {
    /// What it is for.
    pub purpose: Purpose,
    /// Class of the hole.
    pub hole: String,
    /// Class of the shaft or pin.
    pub shaft: String,
    /// When to choose it.
    pub usual_for: String,
    /// Where the row comes from.
    pub source: String,
}

/// Classes that are usual for a seat of a rolling bearing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeatChoice {
    /// Which seat.
    pub seat: Seat,
    /// What its ring does.
    pub ring: Ring,
    /// Under which loads; empty: any.
    pub loads: Vec<Load>,
    /// On what else it depends; empty: on nothing.
    pub condition: String,
    /// Above this diameter.
    pub over: Length,
    /// Up to this one, included; none: no end is stated.
    pub up_to: Option<Length>,
    /// The classes, the first one first.
    pub classes: Vec<String>,
    /// Where the row comes from.
    pub source: String,
}

/// A rule about a choice, not a class.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChoiceRule {
    /// `bearing` or `dowel`.
    about: String,
    /// The rule, a sentence.
    pub rule: String,
    /// Where it comes from.
    pub source: String,
}

struct Choices {
    fits: Vec<FitChoice>,
    seats: Vec<SeatChoice>,
    rules: Vec<ChoiceRule>,
}

#[allow(clippy::expect_used)]
static CHOICES: LazyLock<Choices> = LazyLock::new(|| {
    // The texts are part of the program; a test reads every row of them.
    read().expect("the embedded tables are sound")
});

fn read() -> Result<Choices, TableError> {
    let mut fits = Vec::new();
    let sheet = Sheet::read(FITS, "choosing/fits.csv")?;
    for fields in &sheet.rows {
        let [purpose, hole, shaft, usual_for, source] = fields.as_slice() else {
            continue; // the sheet has checked the width against the header
        };
        let known = of_word(&Purpose::WORDS, &purpose.text);
        fits.push(FitChoice {
            purpose: known.ok_or_else(|| sheet.fault(purpose, "a purpose"))?,
            hole: hole.text.clone(),
            shaft: shaft.text.clone(),
            usual_for: usual_for.text.clone(),
            source: sheet.source(source, false)?,
        });
    }
    let sheet = Sheet::read(DOWELS, "choosing/dowels.csv")?;
    for fields in &sheet.rows {
        let [pin, hole, usual_for, source] = fields.as_slice() else {
            continue;
        };
        fits.push(FitChoice {
            purpose: Purpose::Dowel,
            hole: hole.text.clone(),
            shaft: pin.text.clone(),
            usual_for: usual_for.text.clone(),
            source: sheet.source(source, false)?,
        });
    }
    let sheet = Sheet::read(SEATS, "choosing/bearing_seats.csv")?;
    let seats = sheet.rows.iter().map(|fields| seat(&sheet, fields));
    let seats = seats
        .collect::<Result<Vec<_>, _>>()?
        .into_iter()
        .flatten()
        .collect();
    let mut rules = Vec::new();
    let sheet = Sheet::read(RULES, "choosing/rules.csv")?;
    for fields in &sheet.rows {
        let [about, rule, source] = fields.as_slice() else {
            continue;
        };
        rules.push(ChoiceRule {
            about: about.text.clone(),
            rule: rule.text.clone(),
            source: sheet.source(source, false)?,
        });
    }
    Ok(Choices { fits, seats, rules })
}

fn seat(sheet: &Sheet<'_>, fields: &[Field]) -> Result<Option<SeatChoice>, TableError> {
    let [member, ring, loads, condition, over, up_to, classes, source] = fields else {
        return Ok(None);
    };
    let words = |field: &Field| {
        let all = field.text.split_whitespace().map(str::to_owned);
        all.collect::<Vec<String>>()
    };
    let loads = words(loads)
        .into_iter()
        .map(|word| of_word(&Load::WORDS, &word).ok_or_else(|| sheet.fault(loads, "loads")));
    Ok(Some(SeatChoice {
        seat: match member.text.as_str() {
            "shaft" => Seat::Shaft,
            "housing" => Seat::Housing,
            _ => return Err(sheet.fault(member, "shaft or housing")),
        },
        ring: of_word(&Ring::WORDS, &ring.text).ok_or_else(|| sheet.fault(ring, "a ring"))?,
        loads: loads.collect::<Result<_, _>>()?,
        condition: condition.text.clone(),
        over: sheet.size(over)?,
        up_to: match up_to.text.as_str() {
            "" => None,
            _ => Some(sheet.size(up_to)?),
        },
        classes: words(classes),
        source: sheet.source(source, false)?,
    }))
}

/// The usual fits for a purpose, the loosest first as the table has them.
pub fn fit_choices(purpose: Purpose) -> impl Iterator<Item = &'static FitChoice> {
    CHOICES
        .fits
        .iter()
        .filter(move |one| one.purpose == purpose)
}

/// The usual classes for a bearing's seat of that diameter; of the ring and the load only where
/// they are named.
pub fn seat_choices(
    seat: Seat,
    diameter: Length,
    ring: Option<Ring>,
    load: Option<Load>,
) -> impl Iterator<Item = &'static SeatChoice> {
    CHOICES.seats.iter().filter(move |one| {
        one.seat == seat
            && diameter > one.over
            && one.up_to.is_none_or(|up_to| diameter <= up_to)
            && ring.is_none_or(|ring| ring == one.ring)
            && load.is_none_or(|load| one.loads.is_empty() || one.loads.contains(&load))
    })
}

/// The rules that go with the seats of bearings.
pub fn bearing_rules() -> impl Iterator<Item = &'static ChoiceRule> {
    CHOICES.rules.iter().filter(|one| one.about == "bearing")
}

/// The rules that go with dowels.
pub fn dowel_rules() -> impl Iterator<Item = &'static ChoiceRule> {
    CHOICES.rules.iter().filter(|one| one.about == "dowel")
}

#[cfg(test)]
mod tests {
    use super::{CHOICES, DOWELS, FITS, RULES, SEATS, read};

    #[test]
    fn every_row_of_the_tables_is_a_choice() {
        read().unwrap();
        let rows = |text: &str| text.lines().count() - 1;
        assert_eq!(CHOICES.fits.len(), rows(FITS) + rows(DOWELS));
        assert_eq!(CHOICES.seats.len(), rows(SEATS));
        assert_eq!(CHOICES.rules.len(), rows(RULES));
    }
}
