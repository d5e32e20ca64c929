//! The logic tests: one program, so that the library is linked once.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod quantity;
mod tolerance_callouts;
mod tolerance_formulas;
mod tolerance_house;
mod tolerance_limits;
mod tolerance_tables;
