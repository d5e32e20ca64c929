//! The state of something measured, as the look tells it apart by fill, pattern, shape and word.

/// One of the states that look different.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mark {
    /// Not measured yet: no fill.
    Open,
    /// Inside at this point, more points to come: no fill, a ring.
    Inside,
    /// Recorded, and nothing is proved by it.
    Noted,
    /// Proved inside.
    Go,
    /// Proved outside.
    NoGo,
    /// Neither is proved.
    Doubt,
    /// Metal still comes off.
    Cutting,
    /// Waits for an answer.
    Held,
    /// The sampling plan leaves it out.
    NotSelected,
    /// Came in, but is not on the disk.
    NotRecorded,
}
