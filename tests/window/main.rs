//! The window without a display: view structs by value, painting by accessibility name, pictures
//! by a renderer on the processor.

mod bar_view;
mod bench_paint;
mod bench_view;
mod chart_view;
mod desk;
mod drawing;
mod keys;
mod look;
mod outline;
mod pictures;
mod renderer;
mod settings;
mod shell;
mod start;
mod support;
mod why_view;
