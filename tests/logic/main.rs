//! The logic tests: one program, so that the library is linked once.

mod architecture;
mod events;
mod quantity;
