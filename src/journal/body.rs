//! Whether a body is one JSON object, written without blanks. It refuses to know what the object
//! means: that is the event formats' matter.
//!
//! Stricter than RFC 8259 in three ways: no blank between tokens, nesting of at most
//! [`DEEPEST_BODY`] levels, and no `\u` escape of a surrogate (such characters are written as
//! themselves, in UTF-8).

/// The deepest nesting of a body, the object itself included (chosen).
pub const DEEPEST_BODY: u32 = 32;

/// Where a body stops being one JSON object.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BodyFault {
    /// Byte offset in the body.
    pub offset: usize,
    /// What would have been right there.
    pub expected: &'static str,
}

/// Checks that `body` is exactly one JSON object in the form above.
///
/// # Errors
/// [`BodyFault`] at the first byte that is not of the form.
pub fn check_body(body: &str) -> Result<(), BodyFault> {
    let mut scan = Scan {
        bytes: body.as_bytes(),
        at: 0,
    };
    if scan.peek() != Some(b'{') {
        return Err(scan.fault("an object, `{`"));
    }
    scan.object(1)?;
    if scan.at == scan.bytes.len() {
        Ok(())
    } else {
        Err(scan.fault("the end of the body"))
    }
}

struct Scan<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl Scan<'_> {
    fn fault(&self, expected: &'static str) -> BodyFault {
        BodyFault {
            offset: self.at,
            expected,
        }
    }

    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    fn take(&mut self, byte: u8) -> bool {
        let taken = self.peek() == Some(byte);
        self.at += usize::from(taken);
        taken
    }

    fn demand(&mut self, byte: u8, expected: &'static str) -> Result<(), BodyFault> {
        if self.take(byte) {
            Ok(())
        } else {
            Err(self.fault(expected))
        }
    }

    fn value(&mut self, depth: u32) -> Result<(), BodyFault> {
        match self.peek() {
            Some(b'"') => self.string(),
            Some(b'{') => self.object(depth + 1),
            Some(b'[') => self.array(depth + 1),
            Some(b't') => self.word(b"true"),
            Some(b'f') => self.word(b"false"),
            Some(b'n') => self.word(b"null"),
            Some(b'-' | b'0'..=b'9') => self.number(),
            _ => Err(self.fault("a value")),
        }
    }

    fn object(&mut self, depth: u32) -> Result<(), BodyFault> {
        self.enter(depth)?;
        if self.take(b'}') {
            return Ok(());
        }
        loop {
            self.string()?;
            self.demand(b':', "`:`")?;
            self.value(depth)?;
            if self.take(b'}') {
                return Ok(());
            }
            self.demand(b',', "`,` or `}`")?;
        }
    }

    fn array(&mut self, depth: u32) -> Result<(), BodyFault> {
        self.enter(depth)?;
        if self.take(b']') {
            return Ok(());
        }
        loop {
            self.value(depth)?;
            if self.take(b']') {
                return Ok(());
            }
            self.demand(b',', "`,` or `]`")?;
        }
    }

    fn enter(&mut self, depth: u32) -> Result<(), BodyFault> {
        if depth > DEEPEST_BODY {
            return Err(self.fault("no deeper nesting"));
        }
        self.at += 1;
        Ok(())
    }

    fn string(&mut self) -> Result<(), BodyFault> {
        self.demand(b'"', "a string, `\"`")?;
        loop {
            match self.peek() {
                Some(b'"') => {
                    self.at += 1;
                    return Ok(());
                }
                Some(b'\\') => self.escape()?,
                Some(byte) if byte >= 0x20 => self.at += 1,
                _ => return Err(self.fault("the end of the string, `\"`")),
            }
        }
    }

    fn escape(&mut self) -> Result<(), BodyFault> {
        let rest = self.bytes.get(self.at + 1..).unwrap_or_default();
        let length = match rest {
            [b'"' | b'\\' | b'/' | b'b' | b'f' | b'n' | b'r' | b't', ..] => 2,
            [b'u', digits @ ..] if digits.get(..4).is_some_and(is_plain_escape) => 6,
            _ => return Err(self.fault("an escape")),
        };
        self.at += length;
        Ok(())
    }

    fn word(&mut self, word: &'static [u8]) -> Result<(), BodyFault> {
        if !self.bytes[self.at..].starts_with(word) {
            return Err(self.fault("true, false or null"));
        }
        self.at += word.len();
        Ok(())
    }

    fn number(&mut self) -> Result<(), BodyFault> {
        self.take(b'-');
        if !self.take(b'0') {
            self.digits()?;
        }
        if self.take(b'.') {
            self.digits()?;
        }
        if self.take(b'e') || self.take(b'E') {
            let _sign = self.take(b'+') || self.take(b'-');
            self.digits()?;
        }
        Ok(())
    }

    fn digits(&mut self) -> Result<(), BodyFault> {
        let start = self.at;
        while self.peek().is_some_and(|byte| byte.is_ascii_digit()) {
            self.at += 1;
        }
        if self.at == start {
            Err(self.fault("a digit"))
        } else {
            Ok(())
        }
    }
}

/// Four hexadecimal digits that are no surrogate (D800 to DFFF).
fn is_plain_escape(digits: &[u8]) -> bool {
    let surrogate = matches!(digits, [b'd' | b'D', second, ..]
        if !matches!(second, b'0'..=b'7'));
    digits.iter().all(u8::is_ascii_hexdigit) && !surrogate
}
