//! A file of captured bursts, one press a line:
//!
//! ```text
//! trigger request 520d 500
//! 9600-8N1 size 1.005: 2b 31 2e 30 30 35 0d 0a
//! 9600-8N1 zeroed 7.5 on 20: ...
//! 9600-8N1 unit 7.5: ...
//! 9600-8N1 confirm 12.5: ...
//! ```
//!
//! A bar between bytes is a pause. Sizes are in millimetres. Lines that begin with # are nothing.

use std::fmt;

use super::setting::line_of_text;
use super::{Lesson, Press, Role};
use crate::quantity::Length;
use crate::wire::adapter::{Adapter, Pin, Trigger};

/// A line that is no press.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CapturedError {
    /// Which line, from 1.
    pub line: usize,
    /// What was expected.
    pub expected: &'static str,
}

impl fmt::Display for CapturedError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "Line {} of the captured bursts is wrong; expected {}.",
            self.line, self.expected
        )
    }
}

impl std::error::Error for CapturedError {}

/// The lesson of a file's text; `error` is what gauge and block may be off.
///
/// # Errors
/// The first line that is neither a trigger nor a press.
pub fn captured_lesson(text: &str, error: Length) -> Result<Lesson, CapturedError> {
    let mut lesson = Lesson {
        presses: Vec::new(),
        trigger: Trigger::Unsolicited,
        error,
    };
    for (at, line) in text.lines().enumerate() {
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        let refused = |expected| CapturedError {
            line: at + 1,
            expected,
        };
        if let Some(words) = line.strip_prefix("trigger ") {
            let expected =
                "trigger unsolicited, stream, typed, request HEX MS, or pulse dtr|rts MS";
            lesson.trigger = trigger(words).ok_or_else(|| refused(expected))?;
        } else {
            let press = press(line).map_err(refused)?;
            lesson.presses.push(press);
        }
    }
    Ok(lesson)
}

fn trigger(words: &str) -> Option<Trigger> {
    let words: Vec<&str> = words.split_whitespace().collect();
    match *words.as_slice() {
        ["unsolicited"] => Some(Trigger::Unsolicited),
        ["stream"] => Some(Trigger::Stream),
        ["typed"] => Some(Trigger::Typed),
        ["request", hex] => Some(Trigger::Request {
            send: bytes(hex)?,
            reply_ms: Adapter::REPLY_MS,
        }),
        ["request", hex, ms] => Some(Trigger::Request {
            send: bytes(hex)?,
            reply_ms: ms.parse().ok().filter(|ms| (1..60_001).contains(ms))?,
        }),
        ["pulse", pin, ms] => Some(Trigger::LinePulse {
            pin: match pin {
                "dtr" => Pin::Dtr,
                "rts" => Pin::Rts,
                _ => return None,
            },
            pulse_ms: ms.parse().ok().filter(|ms| (1..10_001).contains(ms))?,
        }),
        _ => None,
    }
}

fn press(line: &str) -> Result<Press, &'static str> {
    let whole = "SETTING ROLE SIZE: BYTES, such as 9600-8N1 size 7.5: 37 2e 35 0d";
    let (head, tail) = line.split_once(':').ok_or(whole)?;
    let words: Vec<&str> = head.split_whitespace().collect();
    let size = |text: &str| {
        Length::parse_mm(text)
            .ok()
            .filter(|size| !size.is_negative())
            .ok_or("a size in millimetres, such as 7.5")
    };
    let (setting, role) = match *words.as_slice() {
        [setting, "size", of] => (setting, Role::Size(size(of)?)),
        [setting, "unit", of] => (setting, Role::OtherUnit(size(of)?)),
        [setting, "confirm", of] => (setting, Role::Confirm(size(of)?)),
        [setting, "zeroed", of, "on", on] => {
            let (on, size) = (size(on)?, size(of)?);
            (setting, Role::Zeroed { on, size })
        }
        _ => return Err(whole),
    };
    let line = line_of_text(setting).ok_or("line settings such as 9600-8N1")?;
    let chunks: Option<Vec<Vec<u8>>> = tail.split('|').map(bytes).collect();
    let chunks = chunks.ok_or("bytes in pairs of hexadecimal digits, a bar for a pause")?;
    Ok(Press { role, line, chunks })
}

fn bytes(text: &str) -> Option<Vec<u8>> {
    let digits: String = text.split_whitespace().collect();
    let plain = digits.bytes().all(|byte| byte.is_ascii_hexdigit());
    if !plain || !digits.len().is_multiple_of(2) {
        return None;
    }
    let pair = |at| u8::from_str_radix(digits.get(at..at + 2)?, 16).ok();
    (0..digits.len()).step_by(2).map(pair).collect()
}

#[cfg(test)]
mod tests {
    use super::captured_lesson;
    use crate::quantity::Length;
    use crate::wire::Trigger;
    use crate::wire::teach::Role;

    #[test]
    fn a_file_is_read_and_a_wrong_line_named() {
        let text = "# bench\ntrigger request 520d 300\n\n9600-8N1 size 1.005: 2b31|0d\n\
                    4800-7E2 zeroed 7.5 on 20: 2d\n";
        let lesson = captured_lesson(text, Length::from_um(20)).unwrap();
        assert!(matches!(
            lesson.trigger,
            Trigger::Request { reply_ms: 300, .. }
        ));
        assert_eq!(lesson.presses[0].chunks, [vec![0x2b, 0x31], vec![0x0d]]);
        assert_eq!(lesson.presses[1].role.expected(), Length::from_um(-12_500));
        assert!(matches!(lesson.presses[0].role, Role::Size(_)));
        for (text, line) in [
            ("9600-8N1 size 1.005 2b", 1),
            ("\n9600-8N1 size x: 2b", 2),
            ("9600-8N1 size 1: 2", 1),
            ("9600-8N1 length 1: 2b", 1),
            ("fast size 1: 2b", 1),
            ("trigger whenever", 1),
            ("9600-8N1 size 1: 2é", 1),
        ] {
            let refused = captured_lesson(text, Length::from_um(20)).unwrap_err();
            assert_eq!(refused.line, line, "{text}");
        }
    }
}
