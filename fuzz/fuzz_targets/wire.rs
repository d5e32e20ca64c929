//! Any bytes decode, whole or split anywhere, to the same events, in bounded memory.
#![no_main]

use std::sync::Arc;

use fitledger::wire::{Decoder, Heard, built_in, built_in_names, decode_all};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|input: (u8, u16, &[u8])| {
    let (which, split, bytes) = input;
    let names: Vec<&str> = built_in_names().collect();
    let name = names[usize::from(which) % names.len()];
    let Ok(adapter) = built_in(name) else { return };
    let whole = decode_all(&adapter, bytes);
    let mut decoder = Decoder::new(Arc::clone(&adapter));
    let mut pieces = Vec::new();
    let at = usize::from(split).min(bytes.len());
    for piece in [&bytes[..at], &bytes[at..]] {
        decoder.push(piece, &mut |heard: Heard<'_>| pieces.push(heard.to_decoded()));
        assert!(decoder.held_bytes() < 64 * 1024);
    }
    decoder.idle(&mut |heard: Heard<'_>| pieces.push(heard.to_decoded()));
    assert_eq!(whole, pieces);
});
