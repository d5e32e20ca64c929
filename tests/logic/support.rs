//! What the tests share: doubles and makers of test data.

pub(crate) mod cruel_disk;
pub(crate) mod journals;
