//! What the tests share: doubles and makers of test data.

#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests too

pub(crate) mod cruel_disk;
pub(crate) mod journals;
