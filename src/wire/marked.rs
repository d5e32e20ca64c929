//! Bytes that were damaged on the line, as the driver marks them. Pure.
//!
//! With PARMRK a byte with a framing or parity error comes as FF 00 and the byte, a break as
//! FF 00 00, and a true FF as FF FF (POSIX, termios). A damaged byte is handed on as FF, which no
//! text has: its frame is refused. (As NUL it might pass for noise before a frame, and `-12.345`
//! with a damaged sign for `12.345`.)

/// What stands for a damaged byte.
pub(super) const DAMAGED: u8 = 0xff;

/// Undoes the marks, over any pieces.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Marked {
    state: State,
}

#[derive(Debug, Clone, Copy, Default)]
enum State {
    #[default]
    Plain,
    /// FF came.
    Mark,
    /// FF 00 came: the damaged byte is next.
    Damaged,
}

impl Marked {
    /// Undoes the marks in place; how many bytes are left at the front.
    pub(super) fn undone(&mut self, bytes: &mut [u8]) -> usize {
        let mut kept = 0;
        for at in 0..bytes.len() {
            let Some(byte) = bytes.get(at).copied() else {
                break;
            };
            let (next, out) = match (self.state, byte) {
                (State::Plain, DAMAGED) => (State::Mark, None),
                (State::Plain, byte) => (State::Plain, Some(byte)),
                (State::Mark, 0) => (State::Damaged, None),
                (State::Mark | State::Damaged, _) => (State::Plain, Some(DAMAGED)),
            };
            self.state = next;
            if let (Some(out), Some(place)) = (out, bytes.get_mut(kept)) {
                *place = out;
                kept += 1;
            }
        }
        kept
    }
}

#[cfg(test)]
mod tests {
    use super::Marked;

    #[test]
    fn marks_are_undone_over_every_split() {
        for (marked, plain) in [
            (&b"+1.5\r"[..], &b"+1.5\r"[..]),
            (b"+\xff\x00\x31.5\r", b"+\xff.5\r"),
            (b"\xff\xff\xff\x00\xff\xff\x00\x00a", b"\xff\xff\xffa"),
        ] {
            for split in 0..=marked.len() {
                let mut undo = Marked::default();
                let mut all = Vec::new();
                for piece in [&marked[..split], &marked[split..]] {
                    let mut bytes = piece.to_vec();
                    let kept = undo.undone(&mut bytes);
                    all.extend_from_slice(&bytes[..kept]);
                }
                assert_eq!(all, plain, "{marked:?} at {split}");
            }
        }
    }
}
