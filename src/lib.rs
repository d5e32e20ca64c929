//! Fitledger: measure parts while they are still held in the machine, judge them against ISO
//! limits, and keep an inspection record.
//!
//! The rooms, from the ground up. A room may use those of the floors below it, never above;
//! `tests/logic/architecture.rs` holds the walls.
//!
//! - [`quantity`]: exact lengths, angles, temperatures, and decimal text.
//! - [`statistics`]: numbers from lists of floats.
//! - [`tolerance`]: a callout becomes limits of size, with their why.
//! - [`gauge`]: what measures, and what it showed.
//! - [`material`]: expansion and other constants, with sources.
//! - [`measure`]: a reading becomes a verdict.
//! - [`pair`]: what happens when two parts meet.
//! - [`plan`]: what a part must be.
//! - [`wire`]: bytes become readings.
//! - [`journal`]: events, and the file that keeps them.
//! - [`session`]: the state of the bench, and what each input does to it.
//! - [`report`]: what leaves the workshop, from a record.
//! - [`guide`]: the pages that explain it all to those who measure.
//! - [`command`]: the command line.
//! - `window`: the Bench on a screen (feature `window`).

pub mod command;
pub mod gauge;
pub mod guide;
pub mod journal;
pub mod material;
pub mod measure;
pub mod pair;
pub mod plan;
pub mod quantity;
pub mod report;
pub mod session;
pub mod statistics;
pub mod tolerance;
#[cfg(feature = "window")]
pub mod window;
pub mod wire;
