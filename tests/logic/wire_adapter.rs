//! Adapter descriptions: what is taken, and what is refused with its place.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::sync::Arc;

use fitledger::quantity::Length;
use fitledger::wire::{
    Adapter, AdapterError, DEFAULT_ADAPTER, Decoded, Flow, Parity, Pin, Trigger, WireError,
    built_in, built_in_names, built_in_text, decode_all,
};
use proptest::prelude::{any, prop, proptest};

/// Code, what stands at the place, what the sentence says, the line that is wrong.
const REFUSED: &str = include_str!("../frames/refused_adapters.tsv");
/// The same for binary families: code, the built-in adapter in which a piece is replaced, what
/// stands at the place, what the sentence says, the piece, and what stands there instead.
const REFUSED_BINARY: &str = include_str!("../frames/refused_binary_adapters.tsv");

const LINE: &str = "line = { baud = 9600, data_bits = 8, parity = \"none\", stop_bits = 1 }\n";
const TRIGGER: &str = "trigger = { kind = \"unsolicited\" }\n";
const FRAME: &str = "frame = { kind = \"terminated\", terminator = \"cr\", max_bytes = 24 }\n";
const FIELDS: &str =
    "fields = { kind = \"pattern\", pattern = '(?P<sign>[+-]?)(?P<num>[0-9.,]+)' }\n";
const UNIT: &str = "unit = { rule = \"fixed\", value = \"mm\" }\n";

/// A good description in which one line is replaced.
fn with(line: &str) -> String {
    let key = line.split(['=', ' ']).next().unwrap();
    let mut parts = [LINE, TRIGGER, FRAME, FIELDS, UNIT]
        .map(str::to_owned)
        .to_vec();
    match parts
        .iter_mut()
        .find(|part| part.starts_with(&format!("{key} ")))
    {
        Some(part) => *part = format!("{line}\n"),
        None => parts.push(format!("{line}\n")),
    }
    parts.concat()
}

fn adapter(line: &str) -> Arc<Adapter> {
    Arc::new(Adapter::from_text(&with(line), None).unwrap())
}

/// Code, line and the text at the column of the error.
fn refused(text: &str) -> (String, usize, String, String) {
    let error = Adapter::from_text(text, None).unwrap_err();
    let (line, column) = error.place().unwrap();
    let at: String = text
        .lines()
        .nth(line - 1)
        .unwrap_or_default()
        .chars()
        .skip(column - 1)
        .take(8)
        .collect();
    (error.code().to_owned(), line, at, error.to_string())
}

#[test]
fn every_built_in_adapter_is_read_and_says_what_it_is() {
    let names: Vec<&str> = built_in_names().collect();
    assert_eq!(names.len(), 25);
    assert!(names.is_sorted() && names.contains(&DEFAULT_ADAPTER));
    for name in names {
        let adapter = built_in(name).unwrap();
        assert_eq!(adapter.name(), name);
        assert!(adapter.note().is_some());
        assert_eq!(
            adapter.line().is_none(),
            *adapter.trigger() == Trigger::Typed
        );
        let streams = *adapter.trigger() == Trigger::Stream;
        assert_eq!(
            adapter.repeat_ignore_ms(),
            (!streams).then_some(150),
            "{name}"
        );
        assert!(built_in_text(name).is_some());
    }
    assert_eq!(built_in("nobody").unwrap_err().code(), "unknown_adapter");
}

#[test]
fn line_and_trigger_are_read_as_written() {
    let fixed = built_in("line-fixed").unwrap();
    let line = fixed.line().unwrap();
    assert_eq!((line.baud, line.data_bits, line.stop_bits), (4800, 7, 2));
    assert_eq!(
        (line.parity, line.flow, line.dtr, line.rts),
        (Parity::Even, Flow::None, true, true)
    );
    let send = vec![0x0d];
    assert_eq!(
        *fixed.trigger(),
        Trigger::Request {
            send,
            reply_ms: 500
        }
    );

    let pulsed = adapter("trigger = { kind = \"line_pulse\", pin = \"rts\", pulse_ms = 20 }");
    let pin = Pin::Rts;
    assert_eq!(*pulsed.trigger(), Trigger::LinePulse { pin, pulse_ms: 20 });
    let held = adapter(
        "line = { baud = 300, data_bits = 7, parity = \"space\", stop_bits = 2, \
         flow = \"rts_cts\", dtr = \"off\", rts = \"off\" }",
    );
    let line = held.line().unwrap();
    assert_eq!(
        (line.parity, line.flow, line.dtr, line.rts),
        (Parity::Space, Flow::RtsCts, false, false)
    );
    assert_eq!(
        adapter("repeat = { ignore_same_ms = 40 }").repeat_ignore_ms(),
        Some(40)
    );
}

#[test]
fn a_slip_is_refused_at_its_line_and_column_with_what_was_expected() {
    let cases: Vec<Vec<&str>> = REFUSED
        .lines()
        .map(|row| row.split('\t').collect())
        .collect();
    assert_eq!(cases.len(), 39);
    for case in &cases {
        let [code, at, says, line] = case.as_slice() else {
            panic!("{case:?}")
        };
        let text = with(line);
        let (found_code, _, found_at, sentence) = refused(&text);
        assert_eq!(found_code, *code, "{line}: {sentence}");
        assert!(
            found_at.starts_with(at) || at.starts_with(&found_at),
            "{line}: {found_at} {sentence}"
        );
        assert!(sentence.contains(says), "{line}: {sentence}");
        assert!(
            sentence.starts_with("Line ") && sentence.ends_with('.'),
            "{sentence}"
        );
    }
}

#[test]
fn a_slip_in_a_binary_family_is_refused_at_its_place_with_what_was_expected() {
    let cases: Vec<Vec<&str>> = REFUSED_BINARY
        .lines()
        .map(|row| row.split('\t').collect())
        .collect();
    assert_eq!(cases.len(), 59);
    let mut wrong = Vec::new();
    for case in &cases {
        let [code, name, at, says, piece, instead] = case.as_slice() else {
            panic!("{case:?}")
        };
        let good = built_in_text(name).unwrap();
        assert_eq!(good.matches(piece).count(), 1, "{case:?}");
        let instead = instead.replace("\\n", "\n");
        let (found_code, _, found_at, sentence) = refused(&good.replacen(piece, &instead, 1));
        if found_code != *code || !found_at.starts_with(at) || !sentence.contains(says) {
            wrong.push(format!("{case:?}: {found_at:?} {sentence}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_file_may_hold_a_table_of_adapters_of_which_one_is_named() {
    let one = |name: &str, text: &str| {
        let keys: String = text.lines().map(|line| format!("{line}\n")).collect();
        format!("[{name}]\n{keys}\n")
    };
    let text = one("a-free", built_in_text("line-free").unwrap())
        + &one("b-strict", built_in_text("line-strict").unwrap())
        + &one(
            "c-bits",
            &with("fields = { kind = \"bits\", byte_order = \"low_first\" }"),
        );
    assert_eq!(
        Adapter::names(&text).unwrap().unwrap(),
        ["a-free", "b-strict", "c-bits"]
    );
    let strict = Adapter::from_text(&text, Some("b-strict")).unwrap();
    assert_eq!((strict.name(), strict.max_bytes()), ("b-strict", 24));
    assert_eq!(
        Adapter::from_text(&text, None).unwrap_err().code(),
        "adapter_not_named"
    );
    match Adapter::from_text(&text, Some("d")) {
        Err(AdapterError::Unknown { known, .. }) => assert_eq!(known.len(), 3),
        other => panic!("{other:?}"),
    }
    let bits = Adapter::from_text(&text, Some("c-bits")).unwrap_err();
    assert_eq!(bits.code(), "adapter_value");
    let alone = one("only", built_in_text("wedge").unwrap());
    assert_eq!(Adapter::from_text(&alone, None).unwrap().name(), "only");
    assert_eq!(Adapter::names(&with(UNIT.trim())).unwrap(), None);
    let named = with("name = \"bench\"");
    assert_eq!(
        Adapter::from_text(&named, Some("file")).unwrap().name(),
        "bench"
    );
    assert_eq!(
        Adapter::from_text(&with("id = {}"), Some("file"))
            .unwrap()
            .name(),
        "file"
    );
}

/// What is missing is told, not that there were several.
#[test]
fn the_tables_of_one_adapter_are_no_names_of_several() {
    let text = LINE.to_owned() + TRIGGER + "repeat = { ignore_same_ms = 500 }\n[taught]\nby = 1\n";
    assert_eq!(Adapter::names(&text).unwrap(), None);
    let error = Adapter::from_text(&text, None).unwrap_err();
    assert_eq!(error.code(), "adapter_missing", "{error}");
}

#[test]
fn what_was_taught_is_free_to_say_anything() {
    adapter(
        "taught = { when = 2026-11-24, blocks = [\"1.005\", \"20\"], assumed = { sign = true } }",
    );
}

/// What one line of text decodes to: value and nanometres, or the error.
fn decoded(adapter: &Arc<Adapter>, line: &str) -> String {
    match decode_all(adapter, line.as_bytes()).as_slice() {
        [Decoded::Reading(sent)] => format!(
            "{} {} {:?}{}",
            sent.value_text(),
            sent.unit.symbol(),
            sent.length.map(Length::as_nm).map_err(WireError::code),
            if sent.rounded { " rounded" } else { "" }
        ),
        [Decoded::Error(sent)] => sent.error.code().to_owned(),
        other => format!("{other:?}"),
    }
}

#[test]
fn a_ratio_scale_is_rounded_once_half_to_even_and_says_so() {
    let ratio = adapter("number = { scale = \"25.4/20480\" }");
    for (line, expected) in [
        // 25.4 mm / 20480 = 1240.234375 nm, exactly (computed by hand).
        ("1\r", "0.001240 mm Ok(1240) rounded"),
        ("-1\r", "-0.001240 mm Ok(-1240) rounded"),
        // 20480 counts are one inch; 64 counts 79 375 nm: whole, so not rounded.
        ("20480\r", "25.400000 mm Ok(25400000)"),
        ("64\r", "0.079375 mm Ok(79375)"),
        // 32 counts: 39 687.5 nm, a tie, to the even 39 688; 96 counts: 119 062.5, to 119 062.
        ("32\r", "0.039688 mm Ok(39688) rounded"),
        ("96\r", "0.119062 mm Ok(119062) rounded"),
    ] {
        assert_eq!(decoded(&ratio, line), expected, "{line:?}");
    }
}

#[test]
fn scales_limits_and_declared_decimals_hold_to_the_last_digit() {
    let scaled = adapter("number = { scale = { \"mm\" = \"0.0005\" } }");
    assert_eq!(decoded(&scaled, "25013\r"), "12.5065 mm Ok(12506500)");
    let limited = adapter("limits = { max_abs = { \"mm\" = \"350\" } }");
    for (line, expected) in [
        ("350.000\r", "350.000 mm Ok(350000000)"),
        ("-350.001\r", "out_of_limits"),
        ("350.001\r", "out_of_limits"),
        ("349.9999999\r", "349.9999999 mm Err(\"not_exact\")"),
        ("350.0000001\r", "out_of_limits"),
        ("99999999999999999999\r", "out_of_limits"),
    ] {
        assert_eq!(decoded(&limited, line), expected, "{line:?}");
        // The remembered layout must not let through what the long way refuses.
        let primed = format!("349.000\r100.0000000\r{line}");
        let last = decode_all(&limited, primed.as_bytes()).pop().unwrap();
        let alone = decode_all(&limited, line.as_bytes()).pop().unwrap();
        assert_eq!(
            format!("{last:?}").split(" offset").next(),
            format!("{alone:?}").split(" offset").next()
        );
    }
}

#[test]
fn a_digit_that_means_something_is_not_taken_for_one_that_only_counts() {
    let picky =
        adapter("fields = { kind = \"pattern\", pattern = '(?P<num>[1-9][0-9])(?P<id>[0-4])?' }");
    for (adapter, frames) in [
        (
            built_in("implied").unwrap(),
            "500015750\r600015750\r500015754\r500015759\r700015750\r",
        ),
        (picky, "120\r124\r125\r020\r12\r02\r"),
    ] {
        // Each frame after each other one says what it says alone.
        for first in frames.split_inclusive('\r') {
            for second in frames.split_inclusive('\r') {
                let both = decode_all(&adapter, [first, second].concat().as_bytes());
                let words = |found: &[Decoded]| match found.last() {
                    Some(Decoded::Reading(sent)) => {
                        format!("{} {:?} {:?}", sent.value_text(), sent.id, sent.status)
                    }
                    Some(Decoded::Status(sent)) => sent.status.word().to_owned(),
                    Some(Decoded::Error(sent)) => sent.error.code().to_owned(),
                    None => String::new(),
                };
                let alone = decode_all(&adapter, second.as_bytes());
                assert_eq!(words(&both), words(&alone), "{first:?} then {second:?}");
            }
        }
    }
}

#[test]
fn a_terminator_of_several_bytes_and_a_frame_at_its_longest_are_cut_exactly() {
    let two =
        adapter("frame = { kind = \"terminated\", terminator_hex = \"3b0a\", max_bytes = 5 }");
    for (line, expected) in [
        ("1.234;\n", "1.234 mm Ok(1234000)"),
        ("12.345;\n", "too_long"),
        ("1.23;4\n", "too_long"),
        ("1.2;\n", "1.2 mm Ok(1200000)"),
        ("\r\n1.2;\n", "1.2 mm Ok(1200000)"),
        ("1;.2;\n", "malformed"),
        ("1.234;", "truncated"),
        ("1.23\n", "truncated"),
        (";\n", "[]"),
    ] {
        assert_eq!(decoded(&two, line), expected, "{line:?}");
    }
    let long = decode_all(&two, b"1234567;;\n1.2;\n");
    assert_eq!(long.len(), 2, "{long:?}");
}

#[test]
fn numbers_of_many_digits_are_exact_or_refused_never_wrapped() {
    let wide = adapter("frame = { kind = \"terminated\", terminator = \"cr\", max_bytes = 200 }");
    for (line, expected) in [
        (
            "000000000000000000000000000000000000001.5\r",
            "1.5 mm Ok(1500000)",
        ),
        (
            "1.5000000000000000000000000000\r",
            "1.5000000000000000000000000000 mm Ok(1500000)",
        ),
        (
            "18446744073709551617.5\r",
            "18446744073709551617.5 mm Err(\"out_of_limits\")",
        ),
        ("0.0000000000000000000000000000000000001\r", "not_exact"),
        ("1234567890123456789012345678901234567890\r", "not_exact"),
    ] {
        assert_eq!(decoded(&wide, line), expected, "{line:?}");
    }
}

proptest! {
    #[test]
    fn any_text_is_an_adapter_or_a_named_error(text in "[ -~\n]{0,200}") {
        let _ = Adapter::from_text(&text, None).map_err(|error| error.to_string());
    }

    #[test]
    fn a_damaged_description_never_panics(
        which in 0_usize..25,
        at in any::<prop::sample::Index>(),
        byte in 0x20_u8..0x7f,
        cut in any::<bool>(),
    ) {
        let name = built_in_names().nth(which).unwrap();
        let mut text = built_in_text(name).unwrap().as_bytes().to_vec();
        let place = at.index(text.len());
        if cut {
            text.remove(place);
        } else {
            text[place] = byte;
        }
        let text = String::from_utf8(text).unwrap();
        match Adapter::from_text(&text, None) {
            Ok(adapter) => {
                decode_all(&Arc::new(adapter), b"+12.345 mm\r\n01A+00012.345\r\n\x0212\x03");
            }
            Err(error) => assert!(!error.to_string().is_empty() && error.place().is_some()),
        }
    }
}
