//! What a person does, wherever it comes from: keyboard, keypad, mouse, touch, foot switch.

/// Most characters of a text that is quoted in a fault (chosen).
const QUOTED_MAX: usize = 40;
/// What is said of a keypad that moves the cursor, wherever it only types.
pub(super) const NUM_LOCK_OFF: &str =
    "Num Lock is off: the keypad gives no digits. Press Num Lock.";

/// One press.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Press {
    /// A digit, 0 to 9.
    Digit(char),
    /// The decimal key: point or comma.
    Marker,
    /// Enter, or a foot switch that sends it.
    Enter,
    /// Backspace.
    Backspace,
    /// `+`.
    Plus,
    /// `-`.
    Minus,
    /// `*`.
    Star,
    /// `/`.
    Slash,
    /// To the row before: of characteristics, of a list, of fields.
    Up,
    /// To the next row.
    Down,
    /// Escape: away from what is open.
    Escape,
    /// The space bar.
    Space,
    /// Any other character, for words and for the letters of commands.
    Letter(char),
    /// A row was pointed at, by its place: at the Bench a characteristic in measuring order, in the
    /// other rooms an entry of the list that is seen.
    Choose(usize),
    /// The verdict was pointed at.
    Verdict,
    /// A reading, typed within a few milliseconds by a device that plays keyboard.
    Burst(String),
    /// Such a burst without its end: something is missing, so it is no reading.
    BurstCut(String),
    /// Backspace that is held down: it goes on erasing, and does nothing else.
    BackspaceHeld,
    /// To the left.
    Left,
    /// To the right.
    Right,
    /// To the next field.
    Tab,
    /// A digit of the keypad came as a cursor key.
    NumLockOff,
    /// The function key of a room, or its tab was pointed at.
    Room(u8),
    /// What is seen is to be explained, or no longer.
    Explain,
    /// Text from the clipboard.
    Pasted(String),
}

impl Press {
    /// The character that it writes into a text; none where it writes none.
    pub fn character(&self) -> Option<char> {
        match self {
            Self::Digit(character) | Self::Letter(character) => Some(*character),
            Self::Marker => Some('.'),
            Self::Plus => Some('+'),
            Self::Minus => Some('-'),
            Self::Star => Some('*'),
            Self::Slash => Some('/'),
            Self::Space => Some(' '),
            _ => None,
        }
    }
}

/// A text from outside as it is quoted in a fault: not all of a long one, and nothing invisible.
pub(super) fn quoted(text: &str) -> String {
    let short: String = text.chars().take(QUOTED_MAX).collect();
    short.escape_debug().to_string()
}

/// That a device that plays keyboard sent something where no session runs.
pub(super) fn no_session(text: &str) -> String {
    format!(
        "“{}” came from a device that types, and no session runs: it was not recorded.",
        quoted(text)
    )
}
