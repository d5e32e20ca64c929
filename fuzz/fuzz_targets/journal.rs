//! Any file is read to its end: lines, damage, events, and a state, without a panic.
#![no_main]

use fitledger::journal::{Part, verify};
use fitledger::session::{Check, replay};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let report = verify(bytes, |_| {}).expect("memory can be read");
    let part = Part { name: "fuzz".to_owned(), until: None };
    let (reports, _) = replay(&[part], |_| Ok(bytes), Check::Verdicts).expect("memory can be read");
    assert_eq!(reports.first().map(|first| first.events), Some(report.events));
});
