//! Items from standard input, one a line: bounded, and whatever the bytes are.

use std::io::{self, BufRead};

use super::problem::Problem;

/// Longest line that is read, bytes, without its end (chosen: far above any item).
pub(crate) const LINE_BYTES_MAX: usize = 64 * 1024;
/// The word of a line that is longer.
pub(super) const LINE_TOO_LONG: &str = "line_too_long";
/// How much of a refused line is shown.
const SHOWN_CHARS_MAX: usize = 100;

/// A line that is no item.
#[derive(Debug)]
pub(crate) struct BadLine {
    /// The line, or its beginning; bytes that are no text are shown as U+FFFD.
    pub(crate) input: String,
    /// Why.
    pub(crate) problem: Problem,
}

/// Lines without their ends (LF, or CR LF). A last line without an end counts, nothing after
/// the last end does not.
pub(crate) struct ItemLines<R> {
    reader: R,
    first: bool,
    ended: bool,
}

impl<R: BufRead> ItemLines<R> {
    pub(crate) fn new(reader: R) -> Self {
        Self {
            reader,
            first: true,
            ended: false,
        }
    }

    /// The next line's bytes up to the bound, and whether it was longer; `None` at the end.
    fn next_bytes(&mut self) -> io::Result<Option<(Vec<u8>, bool)>> {
        let mut line = Vec::new();
        let mut too_long = false;
        let mut began = false;
        loop {
            let ready = match self.reader.fill_buf() {
                Ok(ready) => ready,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error),
            };
            if ready.is_empty() {
                return Ok(began.then_some((line, too_long)));
            }
            began = true;
            let end = ready.iter().position(|byte| *byte == b'\n');
            let piece = ready.get(..end.unwrap_or(ready.len())).unwrap_or(ready);
            // One more for a CR that belongs to the end.
            let room = (LINE_BYTES_MAX + 1).saturating_sub(line.len());
            too_long |= piece.len() > room;
            line.extend_from_slice(piece.get(..room).unwrap_or(piece));
            let used = end.map_or(ready.len(), |end| end + 1);
            self.reader.consume(used);
            if end.is_some() {
                return Ok(Some((line, too_long)));
            }
        }
    }

    fn item(&mut self, mut line: Vec<u8>, too_long: bool) -> Result<String, BadLine> {
        if line.last() == Some(&b'\r') && !too_long {
            line.pop();
        }
        if std::mem::take(&mut self.first) && line.starts_with(b"\xef\xbb\xbf") {
            line.drain(..3);
        }
        let refuse = |bytes: &[u8], problem| {
            let text = String::from_utf8_lossy(bytes);
            let shown = text.chars().take(SHOWN_CHARS_MAX).collect();
            Err(BadLine {
                input: shown,
                problem,
            })
        };
        if too_long || line.len() > LINE_BYTES_MAX {
            let message = format!("The line is longer than {LINE_BYTES_MAX} bytes.");
            let hint = Some("Give one item a line.");
            return refuse(&line, Problem::bad(LINE_TOO_LONG, message, hint));
        }
        match String::from_utf8(line) {
            Ok(text) => Ok(text),
            Err(error) => {
                let at = error.utf8_error().valid_up_to() + 1;
                let message = format!("The line is no UTF-8 text from byte {at} on.");
                let hint = Some("Save the list as UTF-8.");
                refuse(
                    error.as_bytes(),
                    Problem::bad("line_not_text", message, hint),
                )
            }
        }
    }
}

impl<R: BufRead> Iterator for ItemLines<R> {
    type Item = Result<String, BadLine>;

    fn next(&mut self) -> Option<Self::Item> {
        if self.ended {
            return None;
        }
        match self.next_bytes() {
            Ok(Some((line, too_long))) => Some(self.item(line, too_long)),
            Ok(None) => {
                self.ended = true;
                None
            }
            Err(error) => {
                self.ended = true;
                let message = format!("Standard input could not be read: {error}.");
                let problem = Problem::outside("input_failed", message, None);
                Some(Err(BadLine {
                    input: String::new(),
                    problem,
                }))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::io::BufReader;

    use super::{ItemLines, LINE_BYTES_MAX};

    fn read(bytes: &[u8]) -> Vec<String> {
        // A small buffer, so that lines span several fillings.
        ItemLines::new(BufReader::with_capacity(7, bytes))
            .map(|line| line.unwrap_or_else(|bad| format!("{}: {}", bad.problem.code, bad.input)))
            .collect()
    }

    #[test]
    fn every_line_is_one_item_a_blank_one_too() {
        assert_eq!(
            read(b"25 H7\n\n12 max\r\nlast"),
            ["25 H7", "", "12 max", "last"]
        );
        assert_eq!(read(b"25 H7\n"), ["25 H7"]);
        assert_eq!(read(b""), Vec::<String>::new());
        assert_eq!(read(b"\n"), [""]);
    }

    #[test]
    fn a_byte_order_mark_is_dropped_from_the_first_line_only() {
        let found = read(b"\xef\xbb\xbf25 H7\n\xef\xbb\xbf12\n");
        assert_eq!(found, ["25 H7", "\u{feff}12"]);
    }

    #[test]
    fn bytes_that_are_no_text_and_endless_lines_are_refused_and_the_rest_goes_on() {
        let found = read(b"\xff\xfe\n25 H7\n");
        assert_eq!(found, ["line_not_text: \u{fffd}\u{fffd}", "25 H7"]);
        let longest = [vec![b'x'; LINE_BYTES_MAX], b"\r\n".to_vec()].concat();
        assert_eq!(read(&longest).concat().len(), LINE_BYTES_MAX);
        let longer = [vec![b'x'; 3 * LINE_BYTES_MAX], b"\n25 H7".to_vec()].concat();
        let found = read(&longer);
        assert!(found[0].starts_with("line_too_long: xxx") && found[0].len() < 200);
        assert_eq!(found[1], "25 H7");
        let one_more = [vec![b'x'; LINE_BYTES_MAX + 1], b"\n".to_vec()].concat();
        assert!(read(&one_more)[0].starts_with("line_too_long"));
    }
}
