//! The window without a display: view structs by value, painting by accessibility name, pictures
//! by a renderer on the processor.
// Helpers of tests may fail loudly, and pixels are small numbers.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::float_cmp,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss
)]

mod bar_view;
mod batch;
mod bench_paint;
mod bench_view;
mod chart_view;
mod checks;
mod desk;
mod drawing;
mod gauges;
mod keys;
mod look;
mod outline;
mod pictures;
mod records;
mod renderer;
mod settings;
mod shell;
mod start;
mod study;
mod support;
mod teaching;
mod why_view;
mod wires;
