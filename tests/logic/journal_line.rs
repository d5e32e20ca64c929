//! One line: what is written is what is read, and there is one spelling only.

#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests too

use fitledger::journal::{Hash, Line, LineFault, Moment, check_body, encode};
use proptest::prelude::{Strategy, any, prop_assert, prop_assert_eq, proptest};

use crate::support::journals::moment;

/// From `printf '\0%s' … | sha256sum` (GNU coreutils 9.1) over the bytes before `,"hash"`.
const KNOWN: &str = concat!(
    r#"{"v":1,"seq":7,"time":"2026-11-24T22:51:03.123Z","mono":61250,"kind":"reading_received","#,
    r#""body":{"gauge":"mic-25"},"#,
    r#""prev":"0000000000000000000000000000000000000000000000000000000000000000","#,
    r#""hash":"@"}"#
);
const KNOWN_HASH: &str = "3f03e172cc497b06ea9cc9c8785028194e0d251ea90ca7835134f45054df3bd6";

fn known() -> String {
    KNOWN.replace('@', KNOWN_HASH)
}

#[test]
fn a_line_is_written_byte_for_byte_in_the_described_form() {
    let mut out = b"before\n".to_vec();
    let time = "2026-11-24T22:51:03.123999Z".parse().unwrap();
    let at = Moment {
        time,
        mono_ms: 61_250,
    };
    let body = r#"{"gauge":"mic-25"}"#;
    let hash = encode(&mut out, 7, at, "reading_received", body, Hash::GENESIS).unwrap();
    assert_eq!(hash.to_string(), KNOWN_HASH);
    assert_eq!(
        String::from_utf8(out).unwrap(),
        format!("before\n{}\n", known())
    );
}

#[test]
fn a_refused_line_leaves_the_buffer_as_it_was() {
    let mut out = b"before\n".to_vec();
    let long = format!("{{\"note\":\"{}\"}}", "x".repeat(65_400));
    for (seq, kind, body) in [
        (0, "a", "{}"),
        (1, "A", "{}"),
        (1, "a", "[]"),
        (1, "a", &long),
    ] {
        assert!(encode(&mut out, seq, moment(1), kind, body, Hash::GENESIS).is_err());
        assert_eq!(out, b"before\n");
    }
    let far = Moment {
        time: jiff::Timestamp::MIN,
        mono_ms: 0,
    };
    assert!(encode(&mut out, 1, far, "a", "{}", Hash::GENESIS).is_err());
}

/// The known line with one part spelt otherwise, and with the hash right for that spelling.
fn respelt(part: &str, other: &str) -> String {
    let line = known();
    assert!(line.contains(part), "{part}");
    let covered = line.replacen(part, other, 1);
    let covered = &covered[..covered.rfind(",\"hash\"").unwrap()];
    format!("{covered},\"hash\":\"{}\"}}", Hash::of(covered.as_bytes()))
}

#[test]
fn there_is_no_other_spelling_of_a_line_even_with_the_right_hash() {
    assert!(Line::parse(known().as_bytes()).is_ok());
    for (part, other) in [
        ("{\"v\"", " {\"v\""),
        ("\"v\":1", "\"v\": 1"),
        ("\"v\":1", "\"v\":01"),
        ("\"seq\":7", "\"seq\":07"),
        ("\"seq\":7", "\"seq\":0"),
        ("\"seq\":7", "\"seq\":-7"),
        ("\"seq\":7", "\"seq\":7.0"),
        ("\"seq\":7", "\"seq\":9007199254740992"),
        ("\"seq\":7", "\"seq\":99999999999999999999"),
        ("\"mono\":61250", "\"mono\":6125e1"),
        ("\"mono\":61250", "\"mono\":\"61250\""),
        (".123Z", "Z"),
        (".123Z", ".1230Z"),
        (".123Z", ".123+00:00"),
        ("2026-11-24", "2026-11-31"),
        ("2026-11-24", "2026-02-29"),
        ("2026-11-24", "2026-13-24"),
        ("2026-11-24", "2026-00-24"),
        ("T22:", "T24:"),
        (":51:", ":60:"),
        (":03.", ":60."),
        ("T22", "t22"),
        ("reading_received", "Reading"),
        ("reading_received", ""),
        ("reading_received", "_reading"),
        ("reading_received", "reading received"),
        ("reading_received", "lesen\u{fc}"),
        ("{\"gauge\":\"mic-25\"}", "[\"mic-25\"]"),
        ("{\"gauge\":\"mic-25\"}", "{"),
        ("{\"gauge\":\"mic-25\"}", "{\"a\":\"\t\"}"),
        ("{\"gauge\":\"mic-25\"}", "{} "),
        (",\"prev\"", ", \"prev\""),
        ("\"prev\":\"0", "\"prev\":\"A"),
        ("\"prev\":\"0", "\"prev\":\""),
        ("\"seq\":7,", ""),
    ] {
        let line = respelt(part, other);
        let parsed = Line::parse(line.as_bytes());
        assert!(
            matches!(parsed, Err(LineFault::Form { .. })),
            "{line}: {parsed:?}"
        );
    }
    for line in [
        format!("{} ", known()),
        format!("{}\n", known()),
        known().replace("\"}", "\" }"),
    ] {
        assert!(Line::parse(line.as_bytes()).is_err(), "{line:?}");
    }
    assert!(Line::parse(respelt("2026-11-24", "2028-02-29").as_bytes()).is_ok());
}

#[test]
fn a_body_is_one_object_without_blanks() {
    for body in [
        "{}",
        r#"{"a":0,"b":-0.5e+10,"c":[true,false,null,{}],"d":"\"\\\/\b\f\n\r\t\u00e9"}"#,
        r#"{"Weiß":"⌀ 25 😀"}"#,
        r#"{"a":[[[[[[]]]]]]}"#,
    ] {
        assert_eq!(check_body(body), Ok(()), "{body}");
        assert!(
            serde_json::from_str::<serde_json::Value>(body).is_ok(),
            "{body}"
        );
    }
    for body in [
        "",
        " {}",
        "{} ",
        "{ }",
        "{}{}",
        "[]",
        "1",
        "{\"a\"}",
        "{\"a\":}",
        "{\"a\":1,}",
        "{a:1}",
        "{\"a\":01}",
        "{\"a\":1.}",
        "{\"a\":.1}",
        "{\"a\":+1}",
        "{\"a\":1e}",
        "{\"a\":-}",
        "{\"a\": 1}",
        "{\"a\":1, \"b\":2}",
        "{\"a\":[1,]}",
        "{\"a\":[1 2]}",
        "{\"a\":tru}",
        "{\"a\":\"\u{1}\"}",
        "{\"a\":\"\\x\"}",
        "{\"a\":\"\\u12g4\"}",
        "{\"a\":\"\\u12\"}",
        "{\"a\":\"\\ud83d\\ude00\"}",
        "{\"a\":\"",
        "{\"a\":\"\\",
        "{\"a\":NaN}",
        "{\"a\":1}}",
    ] {
        assert!(check_body(body).is_err(), "{body}");
    }
}

/// A JSON object as the standard library of the ecosystem writes it.
fn bodies() -> impl Strategy<Value = String> {
    proptest::collection::btree_map(any::<String>(), any::<(String, i64, Option<bool>)>(), 0..5)
        .prop_map(|map| serde_json::to_string(&map).unwrap())
}

proptest! {
    #[test]
    fn what_is_written_is_read_back(
        seq in 1..=9_007_199_254_740_991_u64,
        mono_ms in 0..=9_007_199_254_740_991_u64,
        millis in -62_167_219_200_000..=253_402_300_799_999_i64,
        kind in "[a-z][a-z0-9_]{0,63}",
        body in bodies(),
        prev in any::<Vec<u8>>(),
    ) {
        let time = jiff::Timestamp::from_millisecond(millis).unwrap_or(jiff::Timestamp::UNIX_EPOCH);
        let (at, prev) = (Moment { time, mono_ms }, Hash::of(&prev));
        let mut out = Vec::new();
        let hash = encode(&mut out, seq, at, &kind, &body, prev).unwrap();
        prop_assert_eq!(out.pop(), Some(b'\n'));
        let line = Line::parse(&out).unwrap();
        prop_assert_eq!((line.v, line.seq, line.mono_ms), (1, seq, mono_ms));
        prop_assert_eq!((line.kind, line.body), (&*kind, &*body));
        prop_assert_eq!((line.prev, line.hash), (prev, hash));
        prop_assert_eq!(line.time.parse::<jiff::Timestamp>().unwrap(), time);
        // It is JSON to every other reader.
        let value: serde_json::Value = serde_json::from_slice(&out).unwrap();
        prop_assert_eq!(&value["kind"], &serde_json::Value::from(kind));
    }

    #[test]
    fn no_bytes_make_the_parser_panic(bytes in any::<Vec<u8>>(), text in any::<String>()) {
        prop_assert!(Line::parse(&bytes).is_err());
        let accepted = check_body(&text).is_ok();
        prop_assert!(!accepted || serde_json::from_str::<serde_json::Value>(&text).is_ok());
    }
}
