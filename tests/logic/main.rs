//! The logic tests: one program, so that the library is linked once.

mod events;
mod quantity;
