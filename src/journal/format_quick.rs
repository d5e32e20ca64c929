//! The quick way through the three kinds of bodies that most lines of a long record have. It knows
//! the one spelling that this program writes and nothing else: whatever is spelled otherwise is
//! none here, and the caller reads it as any JSON. It refuses to judge: an error is the caller's.

use super::format_bodies::{Assigned, PlaceBody, Received, Text, Verdict};

/// The body of `reading_received`, of a size or an angle.
#[inline]
pub(super) fn received(body: &str) -> Option<Received<'_>> {
    let mut at = Cursor(body);
    let gauge = at.word("{\"gauge\":").text()?;
    let origin = at.word(",\"origin\":").text()?;
    let value = at.word(",\"value\":").text()?;
    let unit = at.word(",\"unit\":").text()?;
    let status = at.word(",\"status\":").text()?;
    let rounded = at.is_next(",\"rounded\":true");
    let raw = at.word(",\"raw\":").text()?;
    at.word("}").end()?;
    Some(Received {
        gauge: gauge.into(),
        origin,
        value: Some(value.into()),
        unit: Some(unit),
        check: None,
        status,
        rounded,
        raw: raw.into(),
    })
}

/// The body of `reading_assigned`.
#[inline]
pub(super) fn assigned(body: &str) -> Option<Assigned<'_>> {
    let mut at = Cursor(body);
    let reading = at.word("{\"reading\":").number()?;
    let place = at.word(",\"place\":").place()?;
    at.word("}").end()?;
    Some(Assigned { reading, place })
}

/// The body of `verdict_given`.
#[inline]
pub(super) fn verdict(body: &str) -> Option<Verdict<'_>> {
    let mut at = Cursor(body);
    let reading = at.word("{\"reading\":").number()?;
    let place = at.word(",\"place\":").place()?;
    let points = at.word(",\"points\":").number()?.try_into().ok()?;
    let from = at.word(",\"from\":").list(Cursor::number)?;
    let unit = at.word(",\"unit\":").text()?;
    let value_at_20 = at.word(",\"value_at_20\":").text()?.into();
    let u = at.word(",\"u\":").text_or_null()?;
    let lower = at.word(",\"lower\":").text_or_null()?;
    let upper = at.word(",\"upper\":").text_or_null()?;
    let verdict = at.word(",\"verdict\":").text()?;
    let side = at.word(",\"side\":").or_null(Cursor::text)?;
    let to_middle = at.word(",\"to_middle\":").text_or_null()?;
    let conformance_ppm = match at.word(",\"conformance_ppm\":").or_null(Cursor::number)? {
        Some(ppm) => Some(ppm.try_into().ok()?),
        None => None,
    };
    let rule = at.word(",\"rule\":").text()?.into();
    let note = |at: &mut Cursor<'_>| at.text().map(str::to_owned);
    let notes = at.word(",\"notes\":").list(note)?;
    at.word("}").end()?;
    Some(Verdict {
        reading,
        place,
        points,
        from,
        unit,
        value_at_20,
        u,
        lower,
        upper,
        verdict,
        side,
        to_middle,
        conformance_ppm,
        rule,
        notes,
    })
}

/// What is still to be read. Once something is not as expected, nothing is left that would be.
struct Cursor<'a>(&'a str);

impl<'a> Cursor<'a> {
    #[inline]
    fn is_next(&mut self, word: &str) -> bool {
        match self.0.strip_prefix(word) {
            Some(rest) => {
                self.0 = rest;
                true
            }
            None => false,
        }
    }

    #[inline]
    fn word(&mut self, word: &str) -> &mut Self {
        if !self.is_next(word) {
            // No value, no list and no end begins so.
            self.0 = "?";
        }
        self
    }

    fn end(&self) -> Option<()> {
        self.0.is_empty().then_some(())
    }

    /// A string in which nothing is escaped.
    #[inline]
    fn text(&mut self) -> Option<&'a str> {
        let rest = self.0.strip_prefix('"')?;
        let special = |byte: &u8| *byte == b'"' || *byte == b'\\' || *byte < 0x20;
        let at = rest.as_bytes().iter().position(special)?;
        let (text, rest) = rest.split_at_checked(at)?;
        self.0 = rest.strip_prefix('"')?;
        Some(text)
    }

    /// A whole number below 10^15: no sign, fraction or exponent, no leading zero.
    #[inline]
    fn number(&mut self) -> Option<u64> {
        let (mut number, mut count) = (0_u64, 0);
        for byte in self.0.bytes().take(16) {
            let digit = byte.wrapping_sub(b'0');
            if digit > 9 {
                break;
            }
            number = number * 10 + u64::from(digit);
            count += 1;
        }
        let has_leading_zero = count > 1 && self.0.starts_with('0');
        let rest = self.0.get(count..)?;
        let goes_on = rest.starts_with(['.', 'e', 'E']);
        if count == 0 || count > 15 || has_leading_zero || goes_on {
            return None;
        }
        self.0 = rest;
        Some(number)
    }

    #[inline]
    fn or_null<T>(&mut self, read: impl FnOnce(&mut Self) -> Option<T>) -> Option<Option<T>> {
        match self.is_next("null") {
            true => Some(None),
            false => read(self).map(Some),
        }
    }

    fn text_or_null(&mut self) -> Option<Option<Text<'a>>> {
        self.or_null(|at| at.text().map(Text::from))
    }

    #[inline]
    fn list<T>(&mut self, read: impl Fn(&mut Self) -> Option<T>) -> Option<Vec<T>> {
        let mut all = Vec::new();
        if self.is_next("[]") {
            return Some(all);
        }
        self.word("[");
        loop {
            all.push(read(self)?);
            if self.is_next("]") {
                return Some(all);
            }
            self.word(",");
        }
    }

    fn place(&mut self) -> Option<PlaceBody<'a>> {
        let part = self.word("{\"part\":").number()?.try_into().ok()?;
        let feature = self.word(",\"feature\":").text()?.into();
        let element = self.word(",\"element\":").text()?.into();
        let point = self.word(",\"point\":").number()?.try_into().ok()?;
        self.is_next("}").then_some(PlaceBody {
            part,
            feature,
            element,
            point,
        })
    }
}

#[cfg(test)]
mod tests {
    use std::fmt::Debug;

    use proptest::prelude::*;
    use serde::Deserialize;

    use super::{assigned, received, verdict};
    use crate::journal::format_bodies::{Assigned, Received, Verdict};

    /// What the quick way says, it says as JSON does.
    fn agree<'a, T: Debug + Deserialize<'a>>(quick: Option<T>, body: &'a str) -> bool {
        let Some(quick) = quick else { return false };
        let slow = serde_json::from_str::<T>(body);
        let slow = slow.unwrap_or_else(|error| panic!("{body}: {error}"));
        assert_eq!(format!("{quick:?}"), format!("{slow:?}"), "{body}");
        true
    }

    fn any_agrees(body: &str) -> bool {
        let received = agree::<Received<'_>>(received(body), body);
        let assigned = agree::<Assigned<'_>>(assigned(body), body);
        let verdict = agree::<Verdict<'_>>(verdict(body), body);
        received || assigned || verdict
    }

    const RECEIVED: &str = concat!(
        r#"{"gauge":"mic-25","origin":"sent","value":"-0.010","unit":"mm","#,
        r#""status":"ok","raw":"2b30"}"#,
    );
    const ASSIGNED: &str = concat!(
        r#"{"reading":31,"place":{"part":3,"feature":"Ø A","element":"size","#,
        r#""point":2}}"#,
    );
    const VERDICT: &str = concat!(
        r#"{"reading":31,"place":{"part":3,"feature":"A","element":"size","#,
        r#""point":2},"points":3,"from":[30,31],"unit":"mm","#,
        r#""value_at_20":"20.0085","u":"0.00251","lower":null,"upper":"20.015","#,
        r#""verdict":"GO","side":"inside","to_middle":"0.0","#,
        r#""conformance_ppm":990000,"rule":"simple","notes":["worst point 1","#,
        r#""zeroed"]}"#,
    );

    #[test]
    fn what_is_written_is_read_quickly() {
        for body in [RECEIVED, ASSIGNED, VERDICT] {
            assert!(any_agrees(body), "{body}");
        }
        let rounded = RECEIVED.replace("\"ok\",", "\"ok\",\"rounded\":true,");
        assert!(any_agrees(&rounded));
        for (from, to) in [
            ("[30,31]", "[]"),
            ("990000", "null"),
            ("\"inside\"", "null"),
        ] {
            assert!(any_agrees(&VERDICT.replace(from, to)), "{to}");
        }
    }

    #[test]
    fn what_is_spelled_otherwise_is_left_to_json() {
        for (from, to) in [
            ("mic-25", "mic\\u002d25"),
            ("\"ok\"", "\"o\\\\k\""),
            (",\"status\"", ", \"status\""),
            ("\"raw\":\"2b30\"", "\"raw\":\"2b30\",\"more\":1"),
            ("}", "} "),
            ("mm", "m\tm"),
        ] {
            let body = RECEIVED.replace(from, to);
            assert_ne!(body, RECEIVED);
            assert!(received(&body).is_none(), "{body}");
        }
        for (from, to) in [
            ("31", "031"),
            ("31", "31.0"),
            ("31", "-31"),
            ("31", "1234567890123456"),
            ("\"point\":2", "\"point\":65536"),
            ("\"part\":3", "\"part\":4294967296"),
            ("2}}", "2}"),
        ] {
            let body = ASSIGNED.replace(from, to);
            assert_ne!(body, ASSIGNED);
            assert!(assigned(&body).is_none(), "{body}");
        }
        for (from, to) in [
            ("[30,31]", "[30,]"),
            ("[30,31]", "[,30]"),
            ("990000", "nul"),
        ] {
            assert!(verdict(&VERDICT.replace(from, to)).is_none(), "{to}");
        }
    }

    proptest! {
        /// No change of a few bytes makes the quick way say what JSON does not.
        #[test]
        fn nothing_is_read_quickly_that_json_reads_otherwise(
            which in 0..3_usize,
            changes in prop::collection::vec(
                (any::<prop::sample::Index>(), any::<u8>(), 0..3_u8),
                1..4,
            ),
        ) {
            let mut bytes = [RECEIVED, ASSIGNED, VERDICT][which].as_bytes().to_vec();
            for (at, byte, how) in changes {
                let at = at.index(bytes.len());
                match how {
                    0 => bytes[at] = byte,
                    1 => bytes.insert(at, *b"\"{}[],:0e.\\".get(usize::from(byte) % 11).unwrap()),
                    _ => drop(bytes.remove(at)),
                }
            }
            if let Ok(body) = String::from_utf8(bytes) {
                let _may_be_read = any_agrees(&body);
            }
        }
    }
}
