//! Any text is an adapter or a refusal; an adapter decodes any bytes.
#![no_main]

use std::sync::Arc;

use fitledger::wire::{Adapter, decode_all};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|input: (&str, &[u8])| {
    let (text, bytes) = input;
    match Adapter::from_text(text, None) {
        Ok(adapter) => {
            let _ = decode_all(&Arc::new(adapter), bytes);
        }
        Err(error) => {
            let _ = error.to_string();
        }
    }
});
