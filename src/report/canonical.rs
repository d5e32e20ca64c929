//! JSON in one form only, so that equal content has equal bytes and equal hashes: RFC 8785 (JSON
//! Canonicalization Scheme). Keys are sorted by their UTF-16 units, there is no white space, texts
//! have the fewest escapes.
//!
//! The scheme prints numbers as IEEE doubles, which would change `12.340` and large integers. So
//! values are texts here, and the only numbers are integers that a double holds exactly; any other
//! number is written as a text.

use serde_json::{Map, Number, Value};

/// The largest integer of which a double holds every smaller one too: 2^53 - 1.
const SAFE_MAX: u64 = (1 << 53) - 1;

/// The one form of a value, as UTF-8.
pub(super) fn canonical(value: &Value) -> Vec<u8> {
    let mut text = String::new();
    write(value, &mut text);
    text.into_bytes()
}

fn write(value: &Value, to: &mut String) {
    match value {
        Value::Null | Value::Bool(_) => to.push_str(&value.to_string()),
        Value::Number(number) => write_number(number, to),
        // Its escapes are those of RFC 8785, section 3.2.2.2: \b \t \n \f \r \" \\, and \u00xx
        // in small letters for the other control characters.
        Value::String(_) => to.push_str(&value.to_string()),
        Value::Array(values) => {
            to.push('[');
            for (at, value) in values.iter().enumerate() {
                if at > 0 {
                    to.push(',');
                }
                write(value, to);
            }
            to.push(']');
        }
        Value::Object(map) => write_object(map, to),
    }
}

fn write_object(map: &Map<String, Value>, to: &mut String) {
    let mut entries: Vec<(&String, &Value)> = map.iter().collect();
    entries.sort_by(|(one, _), (other, _)| one.encode_utf16().cmp(other.encode_utf16()));
    to.push('{');
    for (at, (key, value)) in entries.into_iter().enumerate() {
        if at > 0 {
            to.push(',');
        }
        write(&Value::from(key.as_str()), to);
        to.push(':');
        write(value, to);
    }
    to.push('}');
}

fn write_number(number: &Number, to: &mut String) {
    let is_safe = match (number.as_u64(), number.as_i64()) {
        (Some(positive), _) => positive <= SAFE_MAX,
        (None, Some(negative)) => negative.unsigned_abs() <= SAFE_MAX,
        (None, None) => false,
    };
    match is_safe {
        true => to.push_str(&number.to_string()),
        false => to.push_str(&format!("\"{number}\"")),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::canonical;

    fn text(value: &Value) -> String {
        String::from_utf8(canonical(value)).unwrap()
    }

    /// RFC 8785, section 3.2.3: the sorting sample and the order that it must come to.
    #[test]
    fn keys_are_sorted_as_in_the_published_sample() {
        let sample = r#"{
            "\u20ac": "Euro Sign",
            "\r": "Carriage Return",
            "\ufb33": "Hebrew Letter Dalet With Dagesh",
            "1": "One",
            "\ud83d\ude00": "Emoji: Grinning Face",
            "\u0080": "Control",
            "\u00f6": "Latin Small Letter O With Diaeresis"
        }"#;
        let value: Value = serde_json::from_str(sample).unwrap();
        let sorted: Value = serde_json::from_str(&text(&value)).unwrap();
        assert_eq!(sorted, value);
        let expected = [
            "Carriage Return",
            "One",
            "Control",
            "Latin Small Letter O With Diaeresis",
            "Euro Sign",
            "Emoji: Grinning Face",
            "Hebrew Letter Dalet With Dagesh",
        ];
        let written = text(&value);
        let places: Vec<usize> = expected
            .iter()
            .map(|name| written.find(&format!("\"{name}\"")).unwrap())
            .collect();
        assert!(places.is_sorted(), "{written}");
    }

    /// RFC 8785, section 3.2.2, the sample object without its numbers, and section 3.2.4, its
    /// bytes: the string escapes and the literals.
    #[test]
    fn texts_and_literals_are_written_as_in_the_published_sample() {
        let sample = r#"{
            "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
            "literals": [null, true, false]
        }"#;
        let value: Value = serde_json::from_str(sample).unwrap();
        let expected = "{\"literals\":[null,true,false],\
            \"string\":\"€$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}";
        assert_eq!(text(&value), expected);
        // Section 3.2.4 gives the bytes of the text: e2 82 ac 24 5c 75 30 30 30 66 5c 6e 41 27 42
        // 5c 22 5c 5c 5c 5c 5c 22 2f.
        let bytes = [
            0xe2, 0x82, 0xac, 0x24, 0x5c, 0x75, 0x30, 0x30, 0x30, 0x66, 0x5c, 0x6e, 0x41, 0x27,
            0x42, 0x5c, 0x22, 0x5c, 0x5c, 0x5c, 0x5c, 0x5c, 0x22, 0x2f,
        ];
        let written = canonical(&value);
        assert!(written.windows(bytes.len()).any(|window| window == bytes));
    }

    /// RFC 8785, section 3.2.2.2: every control character has its one escape.
    #[test]
    fn control_characters_have_their_one_escape() {
        let value = json!("\u{8}\t\n\u{c}\r\u{0}\u{1f}\u{7f}\u{2028}");
        let expected = "\"\\b\\t\\n\\f\\r\\u0000\\u001f\u{7f}\u{2028}\"";
        assert_eq!(text(&value), expected);
    }

    /// RFC 8785, appendix D: integers beyond 2^53 belong in texts; no fraction is a number here.
    #[test]
    fn no_number_is_written_that_a_double_would_change() {
        let value = json!([
            0,
            -1,
            9_007_199_254_740_991_u64,
            9_007_199_254_740_993_u64,
            12.5
        ]);
        let expected = r#"[0,-1,9007199254740991,"9007199254740993","12.5"]"#;
        assert_eq!(text(&value), expected);
        assert_eq!(
            text(&json!(-9_007_199_254_740_993_i64)),
            "\"-9007199254740993\""
        );
    }
}
