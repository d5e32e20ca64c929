//! What a person does, wherever it comes from: keyboard, keypad, mouse, touch, foot switch.

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
    /// To the characteristic before.
    Up,
    /// To the next characteristic.
    Down,
    /// Escape: away from what is open.
    Escape,
    /// The space bar.
    Space,
    /// Any other character, for words and for the letters of commands.
    Letter(char),
    /// A characteristic was pointed at, by its place in measuring order.
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
