//! Any text is a callout or a pointed refusal; a callout survives its canonical text.
#![no_main]

use fitledger::tolerance::{Context, limits_of, parse_callout, render_caret};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    match parse_callout(text) {
        Ok(callout) => {
            match limits_of(text, &Context::standard()) {
                Ok((_, limits)) => {
                    let steps = limits.explain(&Context::standard());
                    assert!(steps.iter().all(|step| !step.to_string().is_empty()));
                }
                Err(error) => {
                    let _ = (error.to_string(), error.hint(), render_caret(&error));
                }
            }
            assert_eq!(parse_callout(&callout.to_string()).as_ref(), Ok(&callout));
        }
        Err(error) => {
            let _ = (error.to_string(), error.hint(), render_caret(&error));
        }
    }
});
