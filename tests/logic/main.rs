//! The logic tests: one program, so that the library is linked once.

mod quantity;
mod wire_adapter;
mod wire_frames;
mod wire_port;
