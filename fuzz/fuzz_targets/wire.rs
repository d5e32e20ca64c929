//! Any bytes with pauses anywhere decode, whole or in any pieces, to the same events under every
//! built-in adapter, in bounded memory, and each event stands where it says.
#![no_main]

use std::sync::{Arc, LazyLock};

use fitledger::wire::{
    Adapter, Decoded, Decoder, Heard, built_in, built_in_names, decode_all, decode_groups,
};
use libfuzzer_sys::fuzz_target;

static ADAPTERS: LazyLock<Vec<Arc<Adapter>>> =
    LazyLock::new(|| built_in_names().filter_map(|name| built_in(name).ok()).collect());

fuzz_target!(|input: (u8, Vec<u8>, &[u8])| {
    let (which, cuts, bytes) = input;
    let adapter = &ADAPTERS[usize::from(which) % ADAPTERS.len()];
    // A cut in two, by its lowest bit: a pause, or only the end of a piece.
    let mut groups: Vec<Vec<u8>> = vec![Vec::new()];
    let mut decoder = Decoder::new(Arc::clone(adapter));
    let mut pieces = Vec::new();
    let mut rest = bytes;
    for cut in &cuts {
        let (piece, after) = rest.split_at(usize::from(cut >> 1).min(rest.len()));
        rest = after;
        decoder.push(piece, &mut |heard: Heard<'_>| pieces.push(heard.to_decoded()));
        assert!(decoder.held_bytes() <= 2 * adapter.max_bytes() + 16);
        if let Some(group) = groups.last_mut() {
            group.extend_from_slice(piece);
        }
        if cut & 1 == 1 {
            decoder.gap(&mut |heard: Heard<'_>| pieces.push(heard.to_decoded()));
            groups.push(Vec::new());
        }
    }
    decoder.push(rest, &mut |heard: Heard<'_>| pieces.push(heard.to_decoded()));
    decoder.idle(&mut |heard: Heard<'_>| pieces.push(heard.to_decoded()));
    if let Some(group) = groups.last_mut() {
        group.extend_from_slice(rest);
    }
    assert_eq!(decode_groups(adapter, &groups), pieces);
    if adapter.gap_ms().is_none() {
        assert_eq!(decode_all(adapter, bytes), pieces);
    }
    let mut last = 0;
    for decoded in &pieces {
        let (raw, offset) = match decoded {
            Decoded::Reading(sent) => (&sent.raw, sent.offset),
            Decoded::Status(sent) => (&sent.raw, sent.offset),
            Decoded::Error(sent) => (&sent.raw, sent.offset),
        };
        let from = offset as usize;
        assert_eq!(&bytes[from..from + raw.len()], raw.as_slice());
        assert!(!raw.is_empty() && raw.len() <= adapter.max_bytes() + 4 && offset >= last);
        last = offset;
    }
});
