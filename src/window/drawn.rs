//! What was drawn of a page, for the keys that go on in it: a press means what was seen.

/// How much of a page was drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PageDrawn {
    /// So many lines, sentences or rows of a table were seen.
    pub shown: usize,
    /// There are more of them below.
    pub has_more: bool,
    /// So many rows of a list, or places of two rows, had room; 0 where there is neither.
    pub fit: usize,
}

/// The place to read on from where `skipped` lines were passed over, `shown` were seen and there
/// may be more. Past the end it begins again: a keypad has no way back up.
pub(super) fn read_on(skipped: usize, (shown, has_more): (usize, bool)) -> usize {
    match has_more {
        true => skipped.saturating_add(shown.max(1)),
        false => 0,
    }
}
