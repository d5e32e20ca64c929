//! The logic tests: one program, so that the library is linked once.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod architecture;
mod command;
mod command_terminal;
mod documents;
mod events;
mod gauges;
mod journal_damage;
mod journal_faults;
mod journal_golden;
mod journal_killed;
mod journal_line;
mod journal_writers;
mod material;
mod measure_judge;
mod measure_plausible;
mod measure_points;
mod measure_remaining;
mod measure_remedy;
mod measure_repeats;
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
mod tolerance_limits;
mod tolerance_tables;
mod wire_adapter;
mod wire_frames;
mod wire_port;
