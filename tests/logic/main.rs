//! The logic tests: one program, so that the library is linked once.

mod gauges;
mod plan;
mod quantity;
mod support;
