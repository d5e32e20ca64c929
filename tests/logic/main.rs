//! The logic tests: one program, so that the library is linked once.

mod gauges;
mod quantity;
mod support;
