//! The logic tests: one program, so that the library is linked once.

mod journal_damage;
mod quantity;
mod support;
