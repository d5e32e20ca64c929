//! The logic tests: one program, so that the library is linked once.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod gauges;
mod material;
mod measure_judge;
mod measure_temperature;
mod measure_uncertainty;
mod plan;
mod plan_properties;
mod quantity;
mod statistics_special;
mod support;
mod table;
mod tolerance_callouts;
mod tolerance_formulas;
mod tolerance_house;
mod tolerance_tables;
