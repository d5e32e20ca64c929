//! Any text is a gauge register or a list of pointed problems.
#![no_main]

use fitledger::gauge::Register;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    if let Err(errors) = Register::parse(text, "gauges.toml") {
        assert!(!errors.is_empty());
        for error in errors {
            let _ = error.to_string();
        }
    }
});
