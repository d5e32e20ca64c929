//! Every case of the wire corpus, split in every way, and random bytes under every adapter.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::sync::{Arc, LazyLock};

use fitledger::gauge::{GaugeId, GaugeStatus, Observed, Origin};
use fitledger::quantity::{Length, LengthUnit};
use fitledger::wire::{
    Adapter, Decoded, Decoder, Heard, WireError, built_in, built_in_names, decode_all,
    decode_groups,
};
use proptest::prelude::{Just, Strategy, any, prop, prop_assert, prop_assert_eq, proptest};
use serde_json::Value;

const CORPUS: &str = include_str!("../frames/corpus.jsonl");

static BUILT_IN: LazyLock<Vec<Arc<Adapter>>> = LazyLock::new(|| {
    built_in_names()
        .map(|name| built_in(name).unwrap())
        .collect()
});

/// One case of the corpus.
struct Case {
    name: String,
    adapter: Arc<Adapter>,
    /// Bytes with a pause after each group.
    groups: Vec<Vec<u8>>,
    events: Vec<String>,
    exact: bool,
}

fn cases() -> Vec<Case> {
    CORPUS
        .lines()
        .map(|line| {
            let case: Value = serde_json::from_str(line).unwrap();
            let groups = case["chunks_hex"]
                .as_array()
                .unwrap()
                .iter()
                .map(|chunk| unhex(chunk.as_str().unwrap()))
                .collect();
            Case {
                name: case["case"].as_str().unwrap().to_owned(),
                adapter: built_in(case["profile"].as_str().unwrap()).unwrap(),
                groups,
                events: case["events"]
                    .as_array()
                    .unwrap()
                    .iter()
                    .map(expected)
                    .collect(),
                exact: case["exact_errors"].as_bool().unwrap(),
            }
        })
        .collect()
}

fn unhex(text: &str) -> Vec<u8> {
    (0..text.len())
        .step_by(2)
        .map(|at| u8::from_str_radix(&text[at..at + 2], 16).unwrap())
        .collect()
}

/// An expected event as one line of text.
fn expected(event: &Value) -> String {
    let text = |value: &Value| value.as_str().unwrap_or("-").to_owned();
    if let Some(reading) = event.get("reading") {
        ["value", "sign", "unit", "id", "status"]
            .map(|key| text(&reading[key]))
            .join(" ")
    } else if let Some(status) = event.get("status") {
        format!("status {} {}", text(&status["id"]), text(&status["status"]))
    } else {
        text(&event["error"])
    }
}

/// A decoded event as one line of text.
fn told(decoded: &Decoded) -> String {
    match decoded {
        Decoded::Reading(sent) => format!(
            "{} {} {} {} {}",
            sent.value_text(),
            if sent.minus { "-" } else { "+" },
            sent.unit.symbol(),
            sent.id.as_deref().unwrap_or("-"),
            sent.status.word()
        ),
        Decoded::Status(sent) => format!(
            "status {} {}",
            sent.id.as_deref().unwrap_or("-"),
            sent.status.word()
        ),
        Decoded::Error(sent) => sent.error.code().to_owned(),
    }
}

/// Groups with a pause after each, each group cut in pieces by `cut`.
fn in_pieces<'b>(
    adapter: &Arc<Adapter>,
    groups: &'b [Vec<u8>],
    mut cut: impl FnMut(&'b [u8]) -> Vec<&'b [u8]>,
) -> Vec<Decoded> {
    let mut decoder = Decoder::new(Arc::clone(adapter));
    let mut found = Vec::new();
    let mut out = |heard: Heard<'_>| found.push(heard.to_decoded());
    for group in groups {
        for piece in cut(group) {
            decoder.push(piece, &mut out);
        }
        decoder.gap(&mut out);
    }
    decoder.idle(&mut out);
    assert!(decoder.held_bytes() <= 2 * adapter.max_bytes() + 16);
    found
}

/// Byte by byte.
fn in_bytes(adapter: &Arc<Adapter>, groups: &[Vec<u8>]) -> Vec<Decoded> {
    in_pieces(adapter, groups, |group| group.chunks(1).collect())
}

/// Whether pauses mean something to the adapter.
fn paused(adapter: &Adapter) -> bool {
    adapter.gap_ms().is_some()
}

#[test]
fn every_case_of_the_corpus_decodes_exactly() {
    let cases = cases();
    assert_eq!(cases.len(), 262);
    for case in cases {
        let ways = [
            decode_groups(&case.adapter, &case.groups),
            in_bytes(&case.adapter, &case.groups),
        ];
        for found in ways {
            let found: Vec<String> = found.iter().map(told).collect();
            if case.exact {
                assert_eq!(found, case.events, "{}", case.name);
                continue;
            }
            let errors: Vec<&String> = found
                .iter()
                .filter(|event| WireError::from_code(event).is_some())
                .collect();
            assert_eq!(errors.len(), found.len(), "{}: a false reading", case.name);
            assert!(!errors.is_empty(), "{}: no error told", case.name);
        }
    }
}

#[test]
fn every_case_decodes_alike_whole_byte_by_byte_and_cut_anywhere_in_two() {
    for case in cases() {
        let whole = decode_groups(&case.adapter, &case.groups);
        assert_eq!(
            in_bytes(&case.adapter, &case.groups),
            whole,
            "{}",
            case.name
        );
        let longest = case.groups.iter().map(Vec::len).max().unwrap_or(0);
        for at in 0..longest.min(400) {
            let found = in_pieces(&case.adapter, &case.groups, |group| {
                let (left, right) = group.split_at(at.min(group.len()));
                vec![left, right]
            });
            assert_eq!(found, whole, "{} at {at}", case.name);
        }
        // Where frames have ends of their own a pause changes nothing.
        if !paused(&case.adapter) {
            let joined = case.groups.concat();
            assert_eq!(decode_all(&case.adapter, &joined), whole, "{}", case.name);
            let bytes: Vec<Vec<u8>> = joined.iter().map(|byte| vec![*byte]).collect();
            assert_eq!(decode_groups(&case.adapter, &bytes), whole, "{}", case.name);
        }
    }
}

#[test]
fn every_error_and_reading_tells_where_its_bytes_stand() {
    for case in cases() {
        let bytes = case.groups.concat();
        for decoded in decode_groups(&case.adapter, &case.groups) {
            let (raw, offset) = match &decoded {
                Decoded::Reading(sent) => (&sent.raw, sent.offset),
                Decoded::Status(sent) => (&sent.raw, sent.offset),
                Decoded::Error(sent) => (&sent.raw, sent.offset),
            };
            let from = usize::try_from(offset).unwrap();
            assert_eq!(
                &bytes[from..from + raw.len()],
                raw.as_slice(),
                "{}",
                case.name
            );
            assert!(!raw.is_empty() && raw.len() <= case.adapter.max_bytes() + 4);
        }
    }
}

#[test]
fn an_endless_line_costs_bounded_memory_and_one_error() {
    // A start byte that never ends anything is an error for each frame's length: not endless
    // silence. Everything else is one error at most.
    for adapter in BUILT_IN.iter() {
        for byte in [b'1', b' ', b'\r', b'x', 0x00, 0x02, 0x0f, 0x5a, 0xff] {
            let mut decoder = Decoder::new(Arc::clone(adapter));
            let (mut readings, mut errors) = (0, 0);
            let mut out = |heard: Heard<'_>| match heard {
                Decoded::Error(sent) => {
                    assert!(sent.raw.len() <= adapter.max_bytes() + 4);
                    errors += 1;
                }
                _ => readings += 1,
            };
            for _ in 0..100 {
                decoder.push(&[byte; 1000], &mut out);
            }
            let held = decoder.held_bytes();
            decoder.idle(&mut out);
            let name = adapter.name();
            assert!(held <= 2 * adapter.max_bytes() + 16, "{name}: {held} bytes");
            let starts = matches!(
                (name, byte),
                ("stx-check", 0x02) | ("bcd13-bytes", 0x0f) | ("bits-high-first", 0x5a)
            );
            assert_eq!(readings, 0, "{name} {byte:02x}");
            assert!(starts || errors <= 1, "{name} {byte:02x}: {errors}");
            assert!(errors <= 100_000, "{name} {byte:02x}: {errors}");
        }
    }
}

#[test]
fn after_an_idle_line_the_next_frame_is_read_afresh() {
    let mut decoder = Decoder::new(built_in("line-strict").unwrap());
    let mut found = Vec::new();
    let mut out = |heard: Heard<'_>| found.push(told(&heard.to_decoded()));
    decoder.push(b"+12.3", &mut out);
    decoder.idle(&mut out);
    decoder.idle(&mut out);
    decoder.push(b"+1.500\r", &mut out);
    decoder.push(&[b'7'; 100], &mut out);
    decoder.idle(&mut out);
    decoder.push(b"-2.500\r", &mut out);
    assert_eq!(
        found,
        [
            "truncated",
            "1.500 + mm - ok",
            "too_long",
            "-2.500 - mm - ok"
        ]
    );
}

#[test]
fn a_number_that_is_no_whole_nanometre_is_told_as_sent_but_gives_no_length() {
    for (line, value, length) in [
        ("12.345 mm\r", "12.345", Ok(12_345_000)),
        // 0.000 001 in = 25.4 nm (25.4 mm to the inch, exact).
        ("0.000001 in\r", "0.000001", Err(WireError::NotExact)),
        ("0.000005 in\r", "0.000005", Ok(127)),
        ("0.1234567 mm\r", "0.1234567", Err(WireError::NotExact)),
        ("-0.1234560 mm\r", "-0.1234560", Ok(-123_456)),
        ("10000.000 mm\r", "10000.000", Ok(10_000_000_000)),
        ("10000.001 mm\r", "10000.001", Err(WireError::OutOfLimits)),
        ("123456 mm\r", "123456", Err(WireError::OutOfLimits)),
    ] {
        let found = decode_all(&built_in("line-free").unwrap(), line.as_bytes());
        let [Decoded::Reading(sent)] = found.as_slice() else {
            panic!("{line:?}: {found:?}")
        };
        assert_eq!(sent.value_text(), value);
        assert_eq!(sent.length.map(Length::as_nm), length, "{line:?}");
        let reading = sent.to_reading(GaugeId::new("mic"), Origin::Sent);
        assert_eq!(reading.is_err(), length.is_err(), "{line:?}");
    }
}

#[test]
fn a_sent_reading_becomes_a_reading_of_its_gauge_with_all_that_was_shown() {
    let found = decode_all(&built_in("line-free").unwrap(), b"\0-0.0000 in\r\n");
    let [Decoded::Reading(sent)] = found.as_slice() else {
        panic!("{found:?}")
    };
    let reading = sent
        .to_reading(GaugeId::new("cal-150"), Origin::Simulated)
        .unwrap();
    assert_eq!(reading.observed, Observed::Length(Length::ZERO));
    assert_eq!(reading.shown.unit, LengthUnit::Inch);
    assert_eq!((reading.shown.decimals, reading.shown.minus), (4, true));
    assert_eq!(reading.status, GaugeStatus::Ok);
    assert_eq!(reading.origin, Origin::Simulated);
    assert_eq!(reading.raw, b"-0.0000 in");
    assert_eq!(
        (reading.gauge.as_str(), reading.rounded),
        ("cal-150", false)
    );
}

/// Bytes that come close to frames: pieces of the corpus, terminators, and noise.
fn near_frames() -> impl Strategy<Value = Vec<u8>> {
    let pieces: Vec<Vec<u8>> = cases()
        .into_iter()
        .map(|case| case.groups.concat())
        .filter(|bytes| bytes.len() <= 60 && !bytes.is_empty())
        .collect();
    let piece = prop::sample::select(pieces);
    let part = prop::strategy::Union::new([
        piece.clone().boxed(),
        piece
            .prop_flat_map(|bytes| {
                let length = bytes.len();
                (Just(bytes), 0..length, any::<u8>())
            })
            .prop_map(|(mut bytes, at, byte)| {
                bytes[at] = byte;
                bytes
            })
            .boxed(),
        prop::collection::vec(any::<u8>(), 0..30).boxed(),
        prop::collection::vec(
            prop::sample::select(b"+-0123456789.,$ mMinI\"\r\n\t\x02\x03\0/A".to_vec()),
            0..30,
        )
        .boxed(),
    ]);
    prop::collection::vec(part, 0..12).prop_map(|parts| parts.concat())
}

/// Layouts that repeat, so that the remembered ones are used.
fn like_frames() -> impl Strategy<Value = (&'static str, Vec<u8>)> {
    let shapes = prop::sample::select(vec![
        ("line-free", "+####.### mm\r\n"),
        ("line-free", "-#.#,## in\r"),
        ("line-free", "########.######## mm\r"),
        ("line-free", "#########mm\n"),
        ("line-free", ".###\"\r"),
        ("line-free", "  #### mm \r\n"),
        ("line-free", "#####mm#\r"),
        ("line-strict", "+##.###\r\n"),
        ("line-fixed", "-####.###\r"),
        ("line-fixed", "   ##.###\r"),
        ("id-line", "##A+#####.###\r"),
        ("id-line", "##B-#####.###\r\n"),
        ("flagged", "a+##.##M  \r\n"),
        ("flagged", "#+ #.##MO#\n"),
        ("implied", "5#######0\r"),
        ("implied", "6#######4\r"),
        ("implied", "#########\r"),
        ("sum-check", "+##.###$##\r"),
        ("tail-id", "##.### P/"),
        ("line-inch", "#.##### in\r\n"),
        ("line-comma", "##,### mm\r\n"),
        ("typed-tab", "#,###\t"),
        ("half-micron", "+#####\n"),
        ("padded-unit", "+   #.###, MM\r\n"),
    ]);
    shapes.prop_flat_map(|(name, shape)| {
        let places = shape.len();
        let digits = prop::collection::vec(
            prop::sample::select(b"0123456789012345678901234567 .:/x".to_vec()),
            places,
        );
        let line = digits.prop_map(move |digits| {
            shape
                .bytes()
                .zip(digits)
                .map(|(byte, digit)| if byte == b'#' { digit } else { byte })
                .collect::<Vec<u8>>()
        });
        (
            Just(name),
            prop::collection::vec(line, 1..30).prop_map(|lines| lines.concat()),
        )
    })
}

proptest! {
    #[test]
    fn any_bytes_decode_alike_however_they_are_split(
        groups in prop::collection::vec(near_frames(), 0..4),
        cuts in prop::collection::vec(1_usize..40, 1..20),
    ) {
        let mut steps = cuts.iter().cycle();
        for adapter in BUILT_IN.iter() {
            let whole = decode_groups(adapter, &groups);
            prop_assert_eq!(&in_bytes(adapter, &groups), &whole);
            let pieces = in_pieces(adapter, &groups, |group| {
                let mut rest = group;
                let mut pieces = Vec::new();
                while !rest.is_empty() {
                    let step = steps.next().copied().unwrap_or(1);
                    let (piece, after) = rest.split_at(step.min(rest.len()));
                    pieces.push(piece);
                    rest = after;
                }
                pieces
            });
            prop_assert_eq!(&pieces, &whole);
            if !paused(adapter) {
                prop_assert_eq!(&decode_all(adapter, &groups.concat()), &whole);
            }
        }
    }

    #[test]
    fn whatever_comes_out_of_any_bytes_stands_where_it_says_in_order(
        groups in prop::collection::vec(near_frames(), 0..4),
    ) {
        let bytes = groups.concat();
        for adapter in BUILT_IN.iter() {
            let mut last = 0;
            for decoded in decode_groups(adapter, &groups) {
                let (raw, offset) = match &decoded {
                    Decoded::Reading(sent) => (&sent.raw, sent.offset),
                    Decoded::Status(sent) => (&sent.raw, sent.offset),
                    Decoded::Error(sent) => (&sent.raw, sent.offset),
                };
                let from = usize::try_from(offset).unwrap();
                prop_assert_eq!(&bytes[from..from + raw.len()], raw.as_slice());
                prop_assert!(!raw.is_empty() && raw.len() <= adapter.max_bytes() + 4);
                prop_assert!(offset >= last, "{} goes back", adapter.name());
                last = offset;
            }
        }
    }

    #[test]
    fn remembered_layouts_give_what_the_long_way_gives((name, bytes) in like_frames()) {
        let adapter = built_in(name).unwrap();
        // Byte by byte no layout is ever remembered: frames are read the long way.
        let groups = [bytes];
        prop_assert_eq!(in_bytes(&adapter, &groups), decode_groups(&adapter, &groups));
    }

    #[test]
    fn what_the_layouts_remember_does_not_depend_on_the_frames_before(
        (name, bytes) in like_frames(),
        (other, before) in like_frames(),
    ) {
        if name == other {
            let adapter = built_in(name).unwrap();
            let joined = [[before, bytes].concat()];
            prop_assert_eq!(in_bytes(&adapter, &joined), decode_groups(&adapter, &joined));
        }
    }

    #[test]
    fn random_bytes_never_give_a_reading_under_a_strict_adapter_unless_a_frame_is_in_them(
        bytes in prop::collection::vec(any::<u8>(), 0..400),
    ) {
        let adapter = built_in("line-strict").unwrap();
        for decoded in decode_all(&adapter, &bytes) {
            if let Decoded::Reading(sent) = decoded {
                let raw = std::str::from_utf8(&sent.raw).unwrap().trim();
                let (sign, number) = raw.split_at(1);
                prop_assert!(sign == "+" || sign == "-");
                let (whole, fraction) = number.split_once('.').unwrap();
                prop_assert_eq!(fraction.len(), 3);
                prop_assert!(whole.bytes().chain(fraction.bytes()).all(|b| b.is_ascii_digit()));
            }
        }
    }
}
