//! Rows of the tolerance tables as their files hold them.
//!
//! This file reads rows one at a time; which of them fit together is known in `tables.rs`.

use crate::quantity::{Angle, Length};

use super::class::{ClassKind, Grade, Letter};
use super::csv::{Field, Sheet, TableError};
use super::general::GeneralClass;

/// `over < nominal <= up_to`; with `lower_included` also `nominal == over`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SizeRange {
    /// The size that the range lies over.
    pub over: Length,
    /// The size that it goes up to and includes; none: no bound.
    pub up_to: Option<Length>,
    /// Whether `over` itself belongs to the range.
    pub lower_included: bool,
}

impl SizeRange {
    /// Whether a nominal size lies in the range.
    pub fn contains(self, nominal: Length) -> bool {
        let above = self.over < nominal || (self.lower_included && self.over == nominal);
        above && self.up_to.is_none_or(|end| nominal <= end)
    }

    /// Whether two ranges share a size.
    pub(super) fn overlaps(self, other: Self) -> bool {
        let below = |a: Self, b: Self| a.up_to.is_none_or(|end| b.over < end);
        below(self, other) && below(other, self)
    }
}

/// `over 18 to 30 mm`, `over 6 mm`, `from 0.5 to 3 mm`.
impl std::fmt::Display for SizeRange {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let start = if self.lower_included { "from" } else { "over" };
        match self.up_to {
            Some(end) if self.over == Length::ZERO => write!(f, "up to {end} mm"),
            Some(end) => write!(f, "{start} {} to {end} mm", self.over),
            None => write!(f, "{start} {} mm", self.over),
        }
    }
}

/// Which deviation a row of a letter gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DeviationSymbol {
    /// Upper deviation of a shaft, es.
    ShaftUpper,
    /// Lower deviation of a shaft, ei.
    ShaftLower,
    /// Upper deviation of a hole, ES.
    HoleUpper,
    /// Lower deviation of a hole, EI.
    HoleLower,
}

impl DeviationSymbol {
    const ALL: [(Self, &str); 4] = [
        (Self::ShaftUpper, "es"),
        (Self::ShaftLower, "ei"),
        (Self::HoleUpper, "ES"),
        (Self::HoleLower, "EI"),
    ];

    /// The standard's symbol: es, ei, ES, EI.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::ShaftUpper => "es",
            Self::ShaftLower => "ei",
            Self::HoleUpper => "ES",
            Self::HoleLower => "EI",
        }
    }

    /// Whether it is an upper deviation.
    pub fn is_upper(self) -> bool {
        matches!(self, Self::ShaftUpper | Self::HoleUpper)
    }

    /// The other deviation of the same kind of feature.
    pub fn other(self) -> Self {
        match self {
            Self::ShaftUpper => Self::ShaftLower,
            Self::ShaftLower => Self::ShaftUpper,
            Self::HoleUpper => Self::HoleLower,
            Self::HoleLower => Self::HoleUpper,
        }
    }

    fn kind(self) -> ClassKind {
        match self {
            Self::ShaftUpper | Self::ShaftLower => ClassKind::Shaft,
            Self::HoleUpper | Self::HoleLower => ClassKind::Hole,
        }
    }
}

/// A row of the standard tolerance grades or of the delta table.
#[derive(Debug, Clone)]
pub(super) struct GradeRow {
    pub(super) range: SizeRange,
    pub(super) grade: Grade,
    pub(super) value: Length,
    pub(super) source: String,
    pub(super) house: bool,
    pub(super) line: usize,
}

/// The value of a row of fundamental deviations.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum RowValue {
    /// A tabled deviation.
    Tabled(Length),
    /// js and JS: half the tolerance on each side.
    HalfTolerance,
}

/// A row of fundamental deviations.
#[derive(Debug, Clone)]
pub(super) struct DeviationRow {
    pub(super) letter: Letter,
    pub(super) finest: Grade,
    pub(super) coarsest: Grade,
    pub(super) range: SizeRange,
    pub(super) which: DeviationSymbol,
    pub(super) value: RowValue,
    pub(super) add_delta: bool,
    pub(super) source: String,
    pub(super) house: bool,
    pub(super) line: usize,
}

impl DeviationRow {
    pub(super) fn holds(&self, grade: Grade) -> bool {
        self.finest <= grade && grade <= self.coarsest
    }
}

/// A row of the general tolerances; `Q` is the tolerated quantity.
#[derive(Debug, Clone)]
pub(super) struct GeneralRow<Q> {
    pub(super) class: GeneralClass,
    pub(super) range: SizeRange,
    pub(super) plus_minus: Q,
    pub(super) source: String,
    pub(super) house: bool,
    pub(super) line: usize,
}

/// The rows of one file, known by its header.
pub(super) enum TableRows {
    Grades(Vec<GradeRow>),
    Delta(Vec<GradeRow>),
    Deviations(Vec<DeviationRow>),
    Linear(Vec<GeneralRow<Length>>),
    Edges(Vec<GeneralRow<Length>>),
    Angular(Vec<GeneralRow<Angle>>),
}

const GRADES: &str = "over_mm,up_to_mm,grade,tolerance_um,source";
const DELTA: &str = "over_mm,up_to_mm,grade,delta_um,source";
const SHAFTS: &str = "letter,grade_from,grade_to,over_mm,up_to_mm,which,deviation_um,source";
const HOLES: &str =
    "letter,grade_from,grade_to,over_mm,up_to_mm,which,deviation_um,add_delta,source";
const GENERAL: &str = "class,over_mm,up_to_mm,lower_included,plus_minus_mm,source";
const EDGES: &str = "class,edge_over_mm,up_to_mm,lower_included,plus_minus_mm,source";
const ANGULAR: &str = "class,shorter_side_over_mm,up_to_mm,lower_included,plus_minus_arcmin,source";

/// Reads a table file; its kind is known by the header line.
pub(super) fn read(text: &str, origin: &str, house: bool) -> Result<TableRows, TableError> {
    let sheet = Sheet::read(text, origin)?;
    match sheet.header.as_str() {
        GRADES => grade_rows(&sheet, house).map(TableRows::Grades),
        DELTA if !house => grade_rows(&sheet, house).map(TableRows::Delta),
        SHAFTS => deviation_rows(&sheet, ClassKind::Shaft, house).map(TableRows::Deviations),
        HOLES => deviation_rows(&sheet, ClassKind::Hole, house).map(TableRows::Deviations),
        GENERAL => general_rows(&sheet, house, plus_minus_mm).map(TableRows::Linear),
        EDGES => general_rows(&sheet, house, plus_minus_mm).map(TableRows::Edges),
        ANGULAR => general_rows(&sheet, house, plus_minus_arcmin).map(TableRows::Angular),
        other => Err(TableError {
            origin: origin.to_owned(),
            line: 1,
            column: 1,
            found: other.chars().take(120).collect(),
            expected: format!(
                "one of the headers “{GRADES}”, “{SHAFTS}”, “{HOLES}”, “{GENERAL}”, “{EDGES}”, \
                 “{ANGULAR}”"
            ),
        }),
    }
}

impl Sheet<'_> {
    /// Over one size, up to and including another above it.
    pub(super) fn range(&self, over: &Field, up_to: &Field) -> Result<SizeRange, TableError> {
        let start = self.size(over)?;
        let end = self.size(up_to)?;
        if end <= start {
            return Err(self.fault(up_to, format!("a size above {start} mm")));
        }
        Ok(SizeRange {
            over: start,
            up_to: Some(end),
            lower_included: false,
        })
    }

    fn grade(&self, field: &Field, digits: &str) -> Result<Grade, TableError> {
        Grade::parse(digits).ok_or_else(|| self.fault(field, "a grade 01, 0, 1 to 18"))
    }
}

fn plus_minus_mm(sheet: &Sheet<'_>, field: &Field) -> Result<Length, TableError> {
    sheet.size(field)
}

fn plus_minus_arcmin(sheet: &Sheet<'_>, field: &Field) -> Result<Angle, TableError> {
    let expected = "whole minutes of arc, 1 to 5400";
    match field.text.parse::<i64>() {
        Ok(minutes) if (1..=5_400).contains(&minutes) => Ok(Angle::from_minutes(minutes)),
        _ => Err(sheet.fault(field, expected)),
    }
}

fn grade_rows(sheet: &Sheet<'_>, house: bool) -> Result<Vec<GradeRow>, TableError> {
    let mut rows = Vec::with_capacity(sheet.rows.len());
    for fields in &sheet.rows {
        let [over, up_to, grade, value, source] = fields.as_slice() else {
            continue; // the sheet has checked the width against the header
        };
        let digits = grade.text.strip_prefix("IT").unwrap_or_default();
        let tolerance = sheet.micrometres(value)?;
        if tolerance.is_negative() || (house && tolerance == Length::ZERO) {
            return Err(sheet.fault(value, "a tolerance above zero"));
        }
        rows.push(GradeRow {
            range: sheet.range(over, up_to)?,
            grade: sheet.grade(grade, digits)?,
            value: tolerance,
            source: sheet.source(source, house)?,
            house,
            line: over.line,
        });
    }
    Ok(rows)
}

fn deviation_rows(
    sheet: &Sheet<'_>,
    kind: ClassKind,
    house: bool,
) -> Result<Vec<DeviationRow>, TableError> {
    let mut rows = Vec::with_capacity(sheet.rows.len());
    for fields in &sheet.rows {
        let (head, delta, source) = match fields.as_slice() {
            [head @ .., delta, source] if kind == ClassKind::Hole => (head, Some(delta), source),
            [head @ .., source] => (head, None, source),
            [] => continue,
        };
        let [letter, from, to, over, up_to, which, value] = head else {
            continue; // the sheet has checked the width against the header
        };
        let name = Letter::any(&letter.text)
            .filter(|name| name.kind() == kind)
            .ok_or_else(|| sheet.fault(letter, letter_expected(kind)))?;
        let symbol = DeviationSymbol::ALL
            .into_iter()
            .find(|(symbol, text)| *text == which.text && symbol.kind() == kind)
            .map(|(symbol, _)| symbol)
            .ok_or_else(|| sheet.fault(which, symbol_expected(kind)))?;
        let (finest, coarsest) = (sheet.grade(from, &from.text)?, sheet.grade(to, &to.text)?);
        if coarsest < finest {
            return Err(sheet.fault(to, format!("a grade not finer than {finest}")));
        }
        rows.push(DeviationRow {
            letter: name,
            finest,
            coarsest,
            range: sheet.range(over, up_to)?,
            which: symbol,
            value: match value.text.as_str() {
                "IT/2" => RowValue::HalfTolerance,
                _ => RowValue::Tabled(sheet.micrometres(value)?),
            },
            add_delta: match delta {
                Some(field) => sheet.yes(field)?,
                None => false,
            },
            source: sheet.source(source, house)?,
            house,
            line: letter.line,
        });
    }
    Ok(rows)
}

fn letter_expected(kind: ClassKind) -> &'static str {
    match kind {
        ClassKind::Shaft => "one to three small letters, other than in, mm, max, min",
        ClassKind::Hole => "one to three capital letters",
    }
}

fn symbol_expected(kind: ClassKind) -> &'static str {
    match kind {
        ClassKind::Shaft => "es or ei",
        ClassKind::Hole => "ES or EI",
    }
}

fn general_rows<Q>(
    sheet: &Sheet<'_>,
    house: bool,
    read: fn(&Sheet<'_>, &Field) -> Result<Q, TableError>,
) -> Result<Vec<GeneralRow<Q>>, TableError> {
    let mut rows = Vec::with_capacity(sheet.rows.len());
    for fields in &sheet.rows {
        let [class, over, up_to, included, value, source] = fields.as_slice() else {
            continue; // the sheet has checked the width against the header
        };
        let name = GeneralClass::from_word(&class.text)
            .ok_or_else(|| sheet.fault(class, "one of the general classes f, m, c, v"))?;
        let mut range = match up_to.text.as_str() {
            "" => SizeRange {
                over: sheet.size(over)?,
                up_to: None,
                lower_included: false,
            },
            _ => sheet.range(over, up_to)?,
        };
        range.lower_included = sheet.yes(included)?;
        rows.push(GeneralRow {
            class: name,
            range,
            plus_minus: read(sheet, value)?,
            source: sheet.source(source, house)?,
            house,
            line: class.line,
        });
    }
    Ok(rows)
}
