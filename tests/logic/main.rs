//! The logic tests: one program, so that the library is linked once.

mod quantity;
mod tolerance_callouts;
mod tolerance_formulas;
mod tolerance_house;
mod tolerance_tables;
