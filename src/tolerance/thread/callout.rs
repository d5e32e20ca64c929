//! What a thread's designation says, before any table is asked; and its canonical text.

use std::fmt;

use crate::quantity::Length;

use super::class::ThreadClass;

/// A thread's designation (ISO 965-1 clause 12).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ThreadCallout {
    /// Nominal diameter.
    pub nominal: Length,
    /// Pitch; none written means the coarse pitch of that size.
    pub pitch: Option<Length>,
    /// Lead of a thread with several starts, a whole multiple of the pitch.
    pub lead: Option<Length>,
    /// Class of the internal thread, if written.
    pub internal: Option<ThreadClass>,
    /// Class of the external thread, if written.
    pub external: Option<ThreadClass>,
    /// Length of thread engagement, if written.
    pub engagement: Option<Engagement>,
    /// LH: left-hand thread.
    pub left_hand: bool,
}

/// Group of lengths of thread engagement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LengthGroup {
    /// S.
    Short,
    /// N.
    Normal,
    /// L.
    Long,
}

impl LengthGroup {
    /// `S`, `N` or `L`.
    pub fn letter(self) -> char {
        match self {
            Self::Short => 'S',
            Self::Normal => 'N',
            Self::Long => 'L',
        }
    }
}

/// How the length of engagement is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Engagement {
    /// By its group.
    Group(LengthGroup),
    /// By a group for each member.
    Groups {
        /// Of the internal thread.
        internal: LengthGroup,
        /// Of the external thread.
        external: LengthGroup,
    },
    /// In millimetres (older style).
    Length(Length),
}

impl ThreadCallout {
    /// How many starts: lead by pitch, 1 where no lead is written.
    pub fn starts(&self) -> i64 {
        match (self.lead, self.pitch) {
            (Some(lead), Some(pitch)) if pitch > Length::ZERO => lead.as_nm() / pitch.as_nm(),
            _ => 1,
        }
    }
}

impl fmt::Display for ThreadCallout {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "M{}", self.nominal)?;
        match (self.pitch, self.lead) {
            (Some(pitch), Some(lead)) => write!(f, "xPh{lead}P{pitch}")?,
            (Some(pitch), None) => write!(f, "x{pitch}")?,
            _ => {}
        }
        match (self.internal, self.external) {
            (Some(internal), Some(external)) => write!(f, "-{internal}/{external}")?,
            (Some(class), None) | (None, Some(class)) => write!(f, "-{class}")?,
            (None, None) => {}
        }
        match self.engagement {
            Some(Engagement::Group(group)) => write!(f, "-{}", group.letter())?,
            Some(Engagement::Groups { internal, external }) => {
                write!(f, "-{}/{}", internal.letter(), external.letter())?;
            }
            Some(Engagement::Length(length)) => write!(f, "-{length}")?,
            None => {}
        }
        if self.left_hand {
            f.write_str("-LH")?;
        }
        Ok(())
    }
}
