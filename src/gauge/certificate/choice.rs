//! From two columns of a certificate to a calibration: the biases and the uncertainty of a gauge.
//!
//! Which column is which is told by names alone, so that a choice is made here only where it is
//! clear, and the person points everywhere else.

use super::number::{Inexact, length, length_power, plain};
use super::problem::ChoiceProblem;
use super::table::{Certificate, Column, Role, Table, each};
use crate::gauge::build::ERROR_MAX;
use crate::gauge::{BiasPoint, Calibration};
use crate::quantity::{Decimal, Length};

/// Which columns are meant; all counted from 1, as people count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Choice {
    /// The table.
    pub table: Option<usize>,
    /// The column of the sizes.
    pub at: Option<usize>,
    /// The column of the errors.
    pub error: Option<usize>,
}

/// The columns that count, with every number filled in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Chosen {
    /// The table, from 1.
    pub table: usize,
    /// The column of the sizes, from 1.
    pub at: usize,
    /// The column of the errors, from 1.
    pub error: usize,
    /// Whether the sizes are what the gauge showed; otherwise they are the standards' sizes.
    pub at_is_indication: bool,
}

/// A calibration taken from a certificate.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// Where it stands.
    pub chosen: Chosen,
    /// U, k and the biases, as the register keeps them.
    pub calibration: Calibration,
    /// The coverage factor exactly as written.
    pub coverage_factor: Decimal,
    /// Whether the certificate states several uncertainties, of which the largest was taken.
    pub is_largest_of_several: bool,
}

impl Certificate {
    /// Which columns are meant: what the person says, the rest by the names where they are clear.
    ///
    /// # Errors
    /// A number that is none of the certificate's, and names that leave it open.
    pub fn choose(&self, choice: Choice) -> Result<Chosen, ChoiceProblem> {
        let lengths = |table: &Table| table.columns.iter().any(is_length);
        if !self.tables.iter().any(lengths) {
            return Err(ChoiceProblem::NoTable);
        }
        let table = match (choice.table, choice.at.or(choice.error)) {
            (Some(table), _) => table,
            (None, Some(_)) if self.tables.len() == 1 => 1,
            (None, _) => {
                let clear = |table: &&(usize, &Table)| pair_of(table.1).is_some();
                let all: Vec<(usize, &Table)> = self.tables.iter().enumerate().collect();
                let mut clear = all.iter().filter(clear);
                match (clear.next(), clear.next()) {
                    (Some((at, _)), None) => at + 1,
                    _ => return Err(ChoiceProblem::NotClear),
                }
            }
        };
        let Some(found) = table.checked_sub(1).and_then(|at| self.tables.get(at)) else {
            return Err(ChoiceProblem::NoSuchTable {
                found: table,
                tables: self.tables.len(),
            });
        };
        let told = |asked: Option<usize>, roles: &[Role]| match asked {
            Some(asked) if (1..=found.columns.len()).contains(&asked) => Ok(asked),
            Some(asked) => Err(ChoiceProblem::NoSuchColumn {
                found: asked,
                columns: found.columns.len(),
            }),
            None => only(found, roles).ok_or(ChoiceProblem::NotClear),
        };
        let at = told(choice.at, &[Role::Nominal]).or_else(|problem| match choice.at {
            None => told(None, &[Role::Indication]),
            Some(_) => Err(problem),
        })?;
        let error = told(choice.error, &[Role::Error])?;
        if at == error {
            return Err(ChoiceProblem::SameColumn);
        }
        let is_indication = |at: usize| {
            let column = at.checked_sub(1).and_then(|at| found.columns.get(at));
            column.is_some_and(|column| column.role() == Role::Indication)
        };
        Ok(Chosen {
            table,
            at,
            error,
            at_is_indication: is_indication(at),
        })
    }

    /// The calibration that two columns give.
    ///
    /// A bias belongs to what the gauge showed, so that a standard's size is moved by the error
    /// found on it. Where the certificate has several uncertainties the one with the largest
    /// standard uncertainty U / k is taken, for the whole range.
    ///
    /// # Errors
    /// The [`ChoiceProblem`] that stands in the way.
    pub fn take(&self, choice: Choice) -> Result<Taken, ChoiceProblem> {
        let chosen = self.choose(choice)?;
        let column = |at: usize| {
            let table = self.tables.get(chosen.table.wrapping_sub(1));
            table.and_then(|table| table.columns.get(at.wrapping_sub(1)))
        };
        let (Some(at), Some(error)) = (column(chosen.at), column(chosen.error)) else {
            return Err(ChoiceProblem::NotClear);
        };
        if at.values.len() != error.values.len() || at.values.is_empty() {
            return Err(ChoiceProblem::DifferentLength);
        }
        let mut bias = Vec::new();
        for row in 0..at.values.len() {
            let size = length_at(at, chosen.at, row)?;
            let found = length_at(error, chosen.error, row)?;
            if found.abs() > ERROR_MAX {
                return Err(out_of_range(found));
            }
            let shown = match chosen.at_is_indication {
                true => size,
                false => size + found,
            };
            bias.push(BiasPoint {
                at: shown,
                bias: found,
            });
        }
        bias.sort_by_key(|point| point.at);
        let twice = bias.iter().zip(bias.iter().skip(1));
        if let Some((point, _)) = twice.into_iter().find(|(one, two)| one.at == two.at) {
            return Err(ChoiceProblem::SamePoint {
                at: point.at.to_string(),
            });
        }
        let (expanded, coverage_factor, is_largest_of_several) =
            largest_uncertainty(error, chosen.error)?;
        let factor: f64 = coverage_factor
            .to_string()
            .parse()
            .map_err(|_| bad_factor(coverage_factor))?;
        let calibration =
            Calibration::new(expanded, factor, bias).map_err(|_| bad_factor(coverage_factor))?;
        Ok(Taken {
            chosen,
            calibration,
            coverage_factor,
            is_largest_of_several,
        })
    }
}

fn out_of_range(found: Length) -> ChoiceProblem {
    ChoiceProblem::OutOfRange {
        found: found.to_string(),
    }
}

fn bad_factor(found: Decimal) -> ChoiceProblem {
    ChoiceProblem::CoverageFactor {
        found: found.to_string(),
    }
}

fn is_length(column: &Column) -> bool {
    length_power(column.unit_of(0)).is_some()
}

/// The only column of one of these roles, from 1.
fn only(table: &Table, roles: &[Role]) -> Option<usize> {
    let fits = |column: &Column| is_length(column) && roles.contains(&column.role());
    let mut all = table.columns.iter().enumerate();
    let first = all.find(|(_, column)| fits(column))?;
    let more = all.any(|(_, column)| fits(column));
    (!more).then_some(first.0 + 1)
}

/// The columns of sizes and errors, where the names of a table tell both.
fn pair_of(table: &Table) -> Option<(usize, usize)> {
    let at = only(table, &[Role::Nominal]).or_else(|| only(table, &[Role::Indication]))?;
    Some((at, only(table, &[Role::Error])?))
}

/// One value of a column as a length.
fn length_at(column: &Column, number: usize, row: usize) -> Result<Length, ChoiceProblem> {
    let text = column.values.get(row).map_or("", String::as_str);
    length_of(column, number, row, text)
}

fn length_of(
    column: &Column,
    number: usize,
    row: usize,
    text: &str,
) -> Result<Length, ChoiceProblem> {
    let unit = column.unit_of(row);
    let Some(power) = length_power(unit) else {
        return Err(ChoiceProblem::Unit {
            column: number,
            found: super::xml::short(unit),
        });
    };
    let found = super::xml::short(text);
    length(text, power).map_err(|error| match error {
        Inexact::NoNumber => ChoiceProblem::Number {
            column: number,
            found,
        },
        Inexact::NotWhole => ChoiceProblem::NotExact {
            column: number,
            found,
        },
    })
}

/// U and k of the largest standard uncertainty, and whether there were several.
fn largest_uncertainty(
    column: &Column,
    number: usize,
) -> Result<(Length, Decimal, bool), ChoiceProblem> {
    let none = || ChoiceProblem::NoUncertainty { column: number };
    let stated = column.uncertainty.as_ref().ok_or_else(none)?;
    let rows = column.values.len();
    let fits = |count: usize| count == 1 || count == rows;
    if !fits(stated.expanded.len()) || !fits(stated.coverage_factor.len()) {
        return Err(none());
    }
    let mut largest: Option<(Length, Decimal)> = None;
    let mut is_several = false;
    for row in 0..rows {
        let text = each(&stated.expanded, row).ok_or_else(none)?;
        let expanded = length_of(column, number, row, text)?;
        if expanded <= Length::ZERO || expanded > ERROR_MAX {
            return Err(out_of_range(expanded));
        }
        let text = each(&stated.coverage_factor, row).ok_or_else(none)?;
        let factor = plain(text).ok_or_else(|| ChoiceProblem::CoverageFactor {
            found: super::xml::short(text),
        })?;
        if !is_factor(factor) {
            return Err(bad_factor(factor));
        }
        let Some((before, by)) = largest else {
            largest = Some((expanded, factor));
            continue;
        };
        is_several |= (before, by) != (expanded, factor);
        if is_larger((expanded, factor), (before, by)) {
            largest = Some((expanded, factor));
        }
    }
    let (expanded, factor) = largest.ok_or_else(none)?;
    Ok((expanded, factor, is_several))
}

/// From 1 to 10, and of few enough digits to be compared exactly.
fn is_factor(factor: Decimal) -> bool {
    const DECIMALS_MAX: u8 = 15;
    let one = 10_i128.pow(u32::from(factor.decimals().min(DECIMALS_MAX)));
    factor.decimals() <= DECIMALS_MAX && (one..=10 * one).contains(&factor.mantissa())
}

/// Whether U1 / k1 exceeds U2 / k2: U1 k2 > U2 k1, in whole numbers.
fn is_larger((one, k1): (Length, Decimal), (two, k2): (Length, Decimal)) -> bool {
    let scaled = |expanded: Length, other: Decimal, own: Decimal| {
        let scale = 10_i128.pow(u32::from(own.decimals()));
        let product = i128::from(expanded.as_nm()).saturating_mul(other.mantissa());
        product.saturating_mul(scale)
    };
    // U1 (m2 / 10^d2) > U2 (m1 / 10^d1), times 10^(d1 + d2).
    scaled(one, k2, k1) > scaled(two, k1, k2)
}
