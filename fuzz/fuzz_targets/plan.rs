//! Any text is a plan or a list of pointed problems.
#![no_main]

use fitledger::plan::Plan;
use fitledger::tolerance::Tables;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    if let Err(errors) = Plan::parse(text, "plan.toml", Tables::standard()) {
        assert!(!errors.is_empty());
        for error in errors {
            let _ = error.to_string();
        }
    }
});
