//! Binary families beyond the corpus, and where every error stands in the stream.
//!
//! Expectations are counted by hand from the bytes; scales are exact products.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::collections::BTreeSet;
use std::sync::Arc;

use fitledger::quantity::Length;
use fitledger::wire::{
    Adapter, Decoded, Decoder, Heard, Trigger, WireError, built_in, built_in_names, decode_all,
    decode_groups,
};

const LINE: &str = "line = { baud = 9600, data_bits = 8, parity = \"none\", stop_bits = 1 }\n\
                    trigger = { kind = \"unsolicited\" }\n";
const MM: &str = "unit = { rule = \"fixed\", value = \"mm\" }\n";

fn described(text: &str) -> Arc<Adapter> {
    Arc::new(Adapter::from_text(&format!("{LINE}{text}\n{MM}"), Some("bench")).unwrap())
}

/// Groups in hexadecimal, parted by blanks; `'…'` stands for characters.
fn groups(text: &str) -> Vec<Vec<u8>> {
    let unhex = |digits: &str| -> Vec<u8> {
        let digits = digits.as_bytes();
        let pairs = digits.chunks(2).map(|pair| str::from_utf8(pair).unwrap());
        pairs
            .map(|pair| u8::from_str_radix(pair, 16).unwrap())
            .collect()
    };
    let group = |text: &str| {
        let parts = text.split('\'').enumerate().map(|(at, part)| match at % 2 {
            0 => unhex(part),
            _ => part.as_bytes().to_vec(),
        });
        parts.collect::<Vec<_>>().concat()
    };
    text.split_whitespace().map(group).collect()
}

/// What came out: value with unit, state or error, then the place and the count of its bytes.
fn told(decoded: &Decoded) -> String {
    match decoded {
        Decoded::Reading(sent) => format!(
            "{} {}@{}+{}",
            sent.value_text(),
            sent.unit.symbol(),
            sent.offset,
            sent.raw.len()
        ),
        Decoded::Status(sent) => {
            let word = sent.status.word();
            format!("{word}@{}+{}", sent.offset, sent.raw.len())
        }
        Decoded::Error(sent) => {
            let code = sent.error.code();
            format!("{code}@{}+{}", sent.offset, sent.raw.len())
        }
    }
}

fn decoded(adapter: &Arc<Adapter>, text: &str) -> String {
    let found = decode_groups(adapter, &groups(text));
    found.iter().map(told).collect::<Vec<_>>().join(", ")
}

/// Built-in adapter, groups, and what comes out with its place.
const PLACES: &[(&str, &str, &str)] = &[
    // Start and length: the search goes on one byte after the first of a frame that failed.
    (
        "bcd13-bytes",
        "03080f0f0f0f000001020304050300",
        "bad_header@0+2, 12.345 mm@2+13",
    ),
    (
        "bcd13-bytes",
        "0f0f0f0f0f000001020304050300",
        "bad_digit@0+13, 12.345 mm@1+13",
    ),
    (
        "bcd13-bytes",
        "0f0f0f0f000001020f0f0f0f000001020304060300",
        "bad_digit@0+13, 12.346 mm@8+13",
    ),
    (
        "bcd13-bytes",
        "0f0f0f0f000001020304050300aabb0f0f0f0f000000000000010300",
        "12.345 mm@0+13, bad_header@13+2, 0.001 mm@15+13",
    ),
    (
        "bcd13-bytes",
        "0f0f0f0f0000010203040503000f0f",
        "12.345 mm@0+13, bad_header@13+2",
    ),
    (
        "bcd13-bytes",
        "0f0f0f0f0000010203040503000f0f0f0f00",
        "12.345 mm@0+13, truncated@13+5",
    ),
    (
        "bcd13-bytes",
        "0f0f0f0f000001020304050307",
        "unknown_unit@0+13",
    ),
    // 5A0009h: inch bit set, 655 369 counts of 0.0005 in are far beyond 12 in.
    (
        "bits-high-first",
        "5a5a0009c7",
        "out_of_limits@0+4, 25.03 mm@1+4",
    ),
    // Pauses: each burst stands where its first byte came.
    (
        "bin24",
        "55aa 01 e80300",
        "truncated@0+2, truncated@2+1, 10.00 mm@3+3",
    ),
    (
        "bin24",
        "d20400d20400 d20400",
        "wrong_length@0+6, 12.34 mm@6+3",
    ),
    (
        "bin24",
        "'0123456789012345678901234567890123456789' d20400",
        "wrong_length@0+7, 12.34 mm@40+3",
    ),
    (
        "modbus-i32",
        "010304000030392e00 018302c0f1 020304000030391d21 0103 010304000030392e21",
        "bad_check@0+9, device_error@9+5, wrong_address@14+9, truncated@23+2, 12.345 mm@25+9",
    ),
    ("bcd7", "04030201000004", "12.34 mm@0+7"),
    // The half step in millimetres is known of no gauge; a bit that is not named means nothing.
    ("bcd7", "04030201000006", "bad_digit@0+7"),
    ("bcd7", "0403020100000c", "12.34 mm@0+7"),
    // Text, hexadecimal groups too: line ends before a frame are no part of it.
    (
        "bcd13-hex",
        "0d0a'FFFF001G34530'0d0a'FFFF000123453x'0a",
        "bad_digit@2+13, wrong_length@17+14",
    ),
    (
        "line-strict",
        "'+1.500'0d'+1,500'0d'+1.50'0d00'+1.5'80'0'0d",
        "1.500 mm@0+6, malformed@7+6, wrong_decimals@14+5, bad_char@21+6",
    ),
    (
        "line-strict",
        "'+1.500'0d'+12345678901234567890123456789'0d'+12'",
        "1.500 mm@0+6, too_long@7+24, truncated@38+3",
    ),
    ("line-comma", "0d0a'1,5'20'cm'0d0a", "unknown_unit@2+6"),
    ("id-line", "'01Z+00012.345'0d", "unknown_status@0+13"),
    ("id-line", "0d'01N'0d", "no_reading@1+3"),
    (
        "sum-check",
        "'+1.500$00'0d'+1.500'0d",
        "bad_check@0+9, bad_check@10+6",
    ),
    (
        "stx-check",
        "20'xy'02'01'20'+1.5'02'01'",
        "bad_header@1+2, truncated@3+8, truncated@11+3",
    ),
    ("flagged", "'a+1.25M'0a", "wrong_length@0+7"),
    (
        "line-free",
        "0a'1234567890123456789012345678901'0d",
        "not_exact@1+31",
    ),
];

#[test]
fn every_error_stands_at_the_byte_where_its_frame_began() {
    let mut names = BTreeSet::new();
    for (name, text, expected) in PLACES {
        let adapter = built_in(name).unwrap();
        assert_eq!(decoded(&adapter, text), *expected, "{name} {text}");
        for one in decode_groups(&adapter, &groups(text)) {
            if let Decoded::Error(sent) = one {
                names.insert(sent.error);
            }
        }
    }
    // Every name but no name twice over: the table above leaves none out.
    assert_eq!(names.len(), WireError::WORDS.len(), "{names:?}");
}

#[test]
fn start_and_end_of_several_bytes_are_found_wherever_they_are_cut() {
    let adapter = described(
        "frame = { kind = \"start_end\", start_hex = \"0202\", end_hex = \"0303\", max_bytes = 16 }\n\
         fields = { kind = \"pattern\", pattern = '(?P<num>[0-9.]+)' }",
    );
    for (text, expected) in [
        ("0202'1.5'0303", "1.5 mm@0+7"),
        ("'A'0202'1.5'0303", "bad_header@0+1, 1.5 mm@1+7"),
        ("0202'1'0202'1.5'0303", "truncated@0+3, 1.5 mm@3+7"),
        ("0202'1.5'0303'03'", "1.5 mm@0+7, bad_header@7+2"),
        ("20000d0202'1.5'0303", "1.5 mm@3+7"),
        ("0202'1.5'03", "truncated@0+6"),
        (
            "0202'11111111111111111111'0202'1.2'0303",
            "too_long@0+17, 1.2 mm@22+7",
        ),
        // The next start begins on the very byte that made the frame too long.
        (
            "0202'11111111111111'0202'1.2'0303",
            "too_long@0+16, 1.2 mm@16+7",
        ),
    ] {
        assert_eq!(decoded(&adapter, text), expected, "{text}");
        let bytes = groups(text).concat();
        let single: Vec<Vec<u8>> = bytes.iter().map(|byte| vec![*byte]).collect();
        assert_eq!(
            decode_groups(&adapter, &single),
            decode_all(&adapter, &bytes)
        );
    }
}

#[test]
fn a_pause_ends_a_frame_only_where_nothing_else_does() {
    let paused: Vec<(&str, u32)> = built_in_names()
        .filter_map(|name| Some((name, built_in(name).unwrap().gap_ms()?)))
        .collect();
    assert_eq!(
        paused,
        [
            ("bcd13-packed-high", 40),
            ("bcd7", 50),
            ("bin24", 50),
            ("modbus-f32", 4),
            ("modbus-i16", 5),
            ("modbus-i32", 4),
            ("modbus-u32", 4),
        ]
    );
    let count = |name: &str, bytes: &[u8]| {
        let mut decoder = Decoder::new(built_in(name).unwrap());
        let mut counts = Vec::new();
        let mut found = 0;
        decoder.push(bytes, &mut |_: Heard<'_>| found += 1);
        counts.push(found);
        decoder.gap(&mut |_: Heard<'_>| found += 1);
        decoder.gap(&mut |_: Heard<'_>| found += 1);
        counts.push(found);
        decoder.idle(&mut |_: Heard<'_>| found += 1);
        counts.push(found);
        counts
    };
    assert_eq!(count("bin24", b"\xd2\x04\x00"), [0, 1, 1]);
    assert_eq!(count("line-free", b"12.34"), [0, 0, 1]);
    // An idle line ends a burst too: it is a pause that lasts.
    let alone = decode_all(&built_in("bin24").unwrap(), b"\xd2\x04\x00");
    assert_eq!(told(&alone[0]), "12.34 mm@0+3");
}

#[test]
fn text_that_only_a_pause_ends_may_have_any_length_up_to_the_longest() {
    let adapter = described(
        "frame = { kind = \"gap\", max_bytes = 8, gap_ms = 20 }\n\
         fields = { kind = \"pattern\", pattern = '(?P<sign>-?)(?P<num>[0-9.]+)' }",
    );
    assert_eq!(
        decoded(&adapter, "'12.5' '-3.25' 20 '12345678' '123456789' '1'0d"),
        "12.5 mm@0+4, -3.25 mm@4+5, 12345678 mm@10+8, too_long@18+9, bad_char@27+2"
    );
}

#[test]
fn groups_packed_low_half_first_are_taken_apart_in_their_order() {
    let adapter = described(
        "frame = { kind = \"gap\", length = 4, gap_ms = 20 }\n\
         fields = { kind = \"nibbles\", coding = \"packed_low_first\", count = 7, header = \"A\", \
         digits = [6, 1], sign = 6 }\n\
         sign = { map = { \"0\" = \"+\", \"C\" = \"-\" } }\n\
         number = { places = { \"mm\" = 2 } }",
    );
    // Header A, then 4 3 2 1 0 lowest first, then the sign; the last half is not used.
    for (text, expected) in [
        ("4a230100", "12.34 mm@0+4"),
        ("4a2301fc", "-12.34 mm@0+4"),
        ("4a230107", "bad_digit@0+4"),
        ("4a2b0100", "bad_digit@0+4"),
        ("4b230100", "bad_header@0+4"),
        ("4a2301", "truncated@0+3"),
    ] {
        assert_eq!(decoded(&adapter, text), expected, "{text}");
    }
}

/// CRC-16 the other way round: polynomial 8005h, bits of each byte and of the result mirrored.
fn mirrored_crc(bytes: &[u8]) -> [u8; 2] {
    let mut check = 0xffff_u16;
    for byte in bytes {
        check ^= u16::from(byte.reverse_bits()) << 8;
        for _ in 0..8 {
            let carry = check & 0x8000 != 0;
            check <<= 1;
            if carry {
                check ^= 0x8005;
            }
        }
    }
    check.reverse_bits().to_le_bytes()
}

#[test]
fn the_requests_of_the_register_adapters_carry_a_right_check() {
    // 4B37h for "123456789": Modbus serial line guide as quoted in public notes.
    assert_eq!(mirrored_crc(b"123456789"), [0x37, 0x4b]);
    let mut asked = 0;
    for name in built_in_names().filter(|name| name.starts_with("modbus-")) {
        let adapter = built_in(name).unwrap();
        let Trigger::Request { send, .. } = adapter.trigger() else {
            panic!("{name} does not ask")
        };
        let (body, check) = send.split_last_chunk::<2>().unwrap();
        assert_eq!(*check, mirrored_crc(body), "{name}");
        asked += 1;
    }
    assert_eq!(asked, 4);
}

/// A register adapter for address 9, function 3.
fn registers(kind: &str, length: usize, number: &str) -> Arc<Adapter> {
    described(&format!(
        "frame = {{ kind = \"gap\", length = {length}, gap_ms = 4 }}\n\
         check = {{ kind = \"crc16_modbus\" }}\n\
         fields = {{ kind = \"registers\", address = 9, function = 3, {kind} }}\n\
         number = {number}\nid = {{ from = \"address\" }}"
    ))
}

/// One reply of address 9, function 3.
fn reply(data: &[u8]) -> Vec<u8> {
    let mut bytes = vec![9, 3, u8::try_from(data.len()).unwrap()];
    bytes.extend_from_slice(data);
    let check = mirrored_crc(&bytes);
    bytes.extend_from_slice(&check);
    bytes
}

/// Value, nanometres and id of the one reading, or the error.
fn reading(adapter: &Arc<Adapter>, bytes: &[u8]) -> String {
    match decode_all(adapter, bytes).as_slice() {
        [Decoded::Reading(sent)] => format!(
            "{}{} {:?} {}",
            sent.value_text(),
            if sent.rounded { " rounded" } else { "" },
            sent.length.map(Length::as_nm).map_err(WireError::code),
            sent.id.as_deref().unwrap_or("-")
        ),
        other => other.iter().map(told).collect::<Vec<_>>().join(", "),
    }
}

#[test]
fn every_register_type_gives_its_number_exactly() {
    let hundredths = "{ scale = \"0.01\" }";
    let thousandths = "{ scale = { \"mm\" = \"0.001\" } }";
    let word = |kind, number| registers(kind, 7, number);
    let long = |kind, number| registers(kind, 9, number);
    let u16_ = word("type = \"u16\"", hundredths);
    let i16_ = word("type = \"i16\"", hundredths);
    let i32_ = long("type = \"i32\", word_order = \"low_first\"", thousandths);
    let u32_ = long("type = \"u32\", word_order = \"high_first\"", thousandths);
    for (adapter, data, expected) in [
        (&u16_, [0xff, 0xff].as_slice(), "655.35 Ok(655350000) 9"),
        (&i16_, &[0xff, 0xff], "-0.01 Ok(-10000) 9"),
        (&i16_, &[0x80, 0x00], "-327.68 Ok(-327680000) 9"),
        // FFFF FFFEh, low word first: -2 thousandths.
        (&i32_, &[0xff, 0xfe, 0xff, 0xff], "-0.002 Ok(-2000) 9"),
        // 8000 0000h as a signed number: -2 147 483.648 mm is beyond 10 m.
        (
            &i32_,
            &[0x00, 0x00, 0x80, 0x00],
            "-2147483.648 Err(\"out_of_limits\") 9",
        ),
        (
            &u32_,
            &[0xff, 0xff, 0xff, 0xff],
            "4294967.295 Err(\"out_of_limits\") 9",
        ),
    ] {
        assert_eq!(reading(adapter, &reply(data)), expected, "{data:02x?}");
    }
    // The device says another count of bytes than it sends.
    let mut lying = reply(&[0x00, 0x01]);
    lying[2] = 4;
    let check = mirrored_crc(&lying[..5]);
    lying[5..].copy_from_slice(&check);
    assert_eq!(reading(&u16_, &lying), "malformed@0+7");
}

#[test]
fn a_float_in_registers_is_rounded_to_its_decimals_and_then_scaled_exactly() {
    let metres = registers(
        "type = \"f32\", word_order = \"high_first\"",
        9,
        "{ decimals = 6, scale = \"1000\" }",
    );
    let limited = built_in("modbus-f32").unwrap();
    for (bits, expected) in [
        // 3C4C CCCDh is the nearest to 0.0125 (from the binary32 format, by hand: 2^-7 × 1.6).
        (0x3c4c_cccd_u32, "12.500000 Ok(12500000) 9"),
        (0xbc4c_cccd, "-12.500000 Ok(-12500000) 9"),
        (0x0000_0000, "0.000000 Ok(0) 9"),
        (0x7f80_0000, "malformed@0+9"),
        // 2^100 is no length; 1e-30 would show as nothing.
        (0x7180_0000, "out_of_limits@0+9"),
        (0x0da2_4260, "malformed@0+9"),
    ] {
        let data = bits.to_be_bytes();
        assert_eq!(reading(&metres, &reply(&data)), expected, "{bits:08x}");
    }
    // 4974 2400h is 1 000 000; the adapter's own limit is 500 mm. Low word first, address 7.
    let mut bytes = vec![7, 3, 4, 0x24, 0x00, 0x49, 0x74];
    let check = mirrored_crc(&bytes);
    bytes.extend_from_slice(&check);
    assert_eq!(reading(&limited, &bytes), "out_of_limits@0+9");
}

#[test]
fn counts_that_are_no_whole_nanometres_are_rounded_half_to_even_and_marked() {
    let adapter = described(
        "frame = { kind = \"gap\", length = 3, gap_ms = 50 }\n\
         fields = { kind = \"bits\", byte_order = \"low_first\", magnitude = [0, 20], sign = 20 }\n\
         number = { scale = \"25.4/20480\" }",
    );
    for (bytes, expected) in [
        // 25.4 mm / 20480 = 1240.234375 nm (computed by hand); 32 counts are 39 687.5 nm, a tie.
        ([0x01, 0x00, 0x00], "0.001240 rounded Ok(1240) -"),
        ([0x01, 0x00, 0x10], "-0.001240 rounded Ok(-1240) -"),
        ([0x20, 0x00, 0x00], "0.039688 rounded Ok(39688) -"),
        ([0x60, 0x00, 0x10], "-0.119062 rounded Ok(-119062) -"),
        ([0x00, 0x50, 0x00], "25.400000 Ok(25400000) -"),
    ] {
        assert_eq!(reading(&adapter, &bytes), expected, "{bytes:02x?}");
    }
}

#[test]
fn a_checked_binary_frame_is_read_without_its_check_bytes() {
    let adapter = described(
        "frame = { kind = \"start_length\", start_hex = \"31\", length = 11 }\n\
         check = { kind = \"crc16_modbus\" }\n\
         fields = { kind = \"bits\", skip = 3, byte_order = \"low_first\", magnitude = [0, 20] }\n\
         number = { scale = \"0.001\" }",
    );
    // Bytes 34h 35h 36h, lowest first, of which 20 bits count: 63534h = 406 836.
    assert_eq!(decoded(&adapter, "'123456789'374b"), "406.836 mm@0+11");
    assert_eq!(
        decoded(&adapter, "'123456780'374b'123456789'374b"),
        "bad_check@0+11, 406.836 mm@11+11"
    );
}
