//! What the tests of the window share.
#![allow(dead_code, clippy::unwrap_used, clippy::panic)]

#[path = "../logic/support/bench.rs"]
pub(crate) mod bench;
pub(crate) mod colour_vision;
#[path = "../logic/support/cruel_disk.rs"]
pub(crate) mod cruel_disk;
#[cfg(unix)]
#[path = "../logic/support/forged.rs"]
pub(crate) mod forged;
pub(crate) mod hand;
pub(crate) mod picture;
#[path = "../logic/support/program.rs"]
pub(crate) mod program;
pub(crate) mod readable;
pub(crate) mod renderer;
pub(crate) mod scenes;
pub(crate) mod shown;
pub(crate) mod suited_scenes;
#[path = "../logic/support/taught_gauges.rs"]
pub(crate) mod taught_gauges;
pub(crate) mod thread_scenes;
