//! Any text is a callout or a pointed refusal; a callout survives its canonical text.
#![no_main]

use fitledger::tolerance::{Context, parse_callout, render_caret};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    match parse_callout(text) {
        Ok(callout) => {
            let _ = callout.limits(&Context::standard());
            assert_eq!(parse_callout(&callout.to_string()).as_ref(), Ok(&callout));
        }
        Err(error) => {
            let _ = (error.to_string(), render_caret(&error));
        }
    }
});
