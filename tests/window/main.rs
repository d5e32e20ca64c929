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
mod contrast;
mod desk;
mod drawing;
mod explain;
mod gauges;
mod glance;
mod guide;
mod keys;
mod links;
mod live_gauges;
mod look;
mod outline;
mod pairs;
mod pictures;
mod plan;
mod records;
mod renderer;
mod routing;
mod settings;
mod shell;
mod sound;
mod start;
mod start_mates;
mod steady;
mod study;
mod support;
mod teaching;
mod use_batch;
mod use_closed;
mod use_first;
mod use_keys;

mod why_view;
mod wires;
