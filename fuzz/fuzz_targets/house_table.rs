//! Any text is a house table or a refusal.
#![no_main]

use fitledger::tolerance::Tables;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    if let Err(error) = Tables::standard().with_house(text, "house.csv") {
        let _ = error.to_string();
    }
});
