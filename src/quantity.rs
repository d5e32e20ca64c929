//! Exact quantities: lengths, angles, temperatures, and decimal text in and out of them.
//!
//! A [`Length`] is a whole number of nanometres. Text becomes a length only when it is exact;
//! nothing here rounds behind the caller's back, saturates, or goes through a binary float.
//! Both 0.001 mm and 0.000 05 in (1270 nm) are whole, so every hand gauge's step is.
//!
//! This room refuses to know tolerances, gauges, files and screens.
//!
//! ```
//! use fitledger::quantity::{Length, LengthUnit};
//! let bore = Length::parse_mm("25.021")?;
//! assert_eq!(bore.as_nm(), 25_021_000);
//! assert_eq!(Length::parse_inch("1")?, Length::parse_mm("25.4")?);
//! assert_eq!(bore.to_text(LengthUnit::Millimetre, 4), "25.0210");
//! # Ok::<(), fitledger::quantity::QuantityError>(())
//! ```

mod angle;
mod celsius;
mod count;
mod decimal;
mod entry;
mod error;
mod length;
mod rounding;

pub use angle::Angle;
pub use celsius::Celsius;
pub use count::counted;
pub use decimal::{Decimal, DecimalMark};
pub use entry::{Entry, parse_entry};
pub use error::QuantityError;
pub use length::{Length, LengthUnit};
pub use rounding::Rounding;

/// A quantity held as a whole number of its smallest step (nanometre, milliarcsecond).
///
/// Lets limits and verdicts be written once for lengths and for angles, without floats.
pub trait Exact: Copy + Ord + std::fmt::Debug + std::fmt::Display {
    /// The number of smallest steps.
    fn units(self) -> i64;
    /// The quantity of so many smallest steps.
    fn from_units(units: i64) -> Self;
    /// The same number as a float, for statistics; exact below 2^53 steps.
    fn units_f64(self) -> f64;
}
