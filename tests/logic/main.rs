//! The logic tests: one program, so that the library is linked once.

mod journal_damage;
mod journal_faults;
mod journal_golden;
mod journal_killed;
mod journal_line;
mod journal_writers;
mod quantity;
mod support;
