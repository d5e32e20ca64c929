//! The limits of a thread's major, pitch and minor diameters, and what they are the limits of.

use super::super::limits::Limits;
use super::super::profile::ThreadProfile;
use super::super::surface::Surface;
use super::callout::{Engagement, LengthGroup, ThreadCallout};
use super::class::{ThreadClass, ThreadMember};
use super::error::{ThreadError, ThreadReason};
use super::flags::ThreadFlags;
use crate::quantity::Length;

/// A thread of so many turns or fewer is short (ISO 1502, from memory).
const SHORT_TURNS: i64 = 3;

/// One of the three diameters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ThreadElement {
    /// Major diameter.
    Major,
    /// Pitch diameter.
    Pitch,
    /// Minor diameter.
    Minor,
}

impl ThreadElement {
    /// The three, from the outside in.
    pub const ALL: [Self; 3] = [Self::Major, Self::Pitch, Self::Minor];

    /// `major`, `pitch` or `minor`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Major => "major",
            Self::Pitch => "pitch",
            Self::Minor => "minor",
        }
    }

    /// The element of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|element| element.word() == word)
    }
}

/// What one limit of a thread comes from; small enough to be copied with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ThreadKey {
    /// Nominal diameter.
    pub nominal: Length,
    /// Pitch in nanometres; at most 8 mm.
    pub pitch_nm: u32,
    /// Starts.
    pub starts: u8,
    /// Tolerance class; it says which member it is.
    pub class: ThreadClass,
    /// Which diameter.
    pub element: ThreadElement,
    /// No class was written, and the standard's default taken.
    pub class_is_default: bool,
}

impl ThreadKey {
    /// The pitch.
    pub fn pitch(&self) -> Length {
        Length::from_nm(i64::from(self.pitch_nm))
    }

    /// The basic profile.
    pub fn profile(&self) -> ThreadProfile {
        ThreadProfile {
            nominal: self.nominal,
            pitch: self.pitch(),
        }
    }
}

/// One member of a thread, with everything that its designation says or leaves to the standard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ThreadParts {
    /// Nominal diameter.
    pub nominal: Length,
    /// Pitch.
    pub pitch: Length,
    /// Whether no pitch is written: the coarse one.
    pub pitch_is_default: bool,
    /// Starts.
    pub starts: u8,
    /// LH.
    pub left_hand: bool,
    /// Tolerance class.
    pub class: ThreadClass,
    /// Whether no class is written: the standard's default.
    pub class_is_default: bool,
    /// Group of the length of engagement; none where a length in mm is in no table.
    pub engagement: Option<LengthGroup>,
    /// Length of engagement in mm, if written so.
    pub engagement_length: Option<Length>,
}

impl ThreadParts {
    /// Which member it is.
    pub fn member(&self) -> ThreadMember {
        self.class.member()
    }

    /// The designation of this member alone, with everything written.
    pub fn callout(&self) -> ThreadCallout {
        let class = Some(self.class);
        let (internal, external) = match self.member() {
            ThreadMember::Internal => (class, None),
            ThreadMember::External => (None, class),
        };
        let group = self
            .engagement
            .filter(|group| *group != LengthGroup::Normal);
        let length = self.engagement_length.map(Engagement::Length);
        ThreadCallout {
            nominal: self.nominal,
            pitch: (!self.pitch_is_default).then_some(self.pitch),
            lead: (self.starts > 1).then(|| self.lead()),
            internal,
            external,
            engagement: length.or(group.map(Engagement::Group)),
            left_hand: self.left_hand,
        }
    }

    /// Whether a thread of that length has three turns or fewer: then the NO-GO gauge must not
    /// pass right through (ISO 1502, from memory). A turn goes on by the lead.
    pub fn is_short(&self, length: Length) -> bool {
        length <= self.lead() * SHORT_TURNS
    }

    /// Lead: starts by pitch.
    pub fn lead(&self) -> Length {
        self.pitch * i64::from(self.starts)
    }

    /// The basic profile.
    pub fn profile(&self) -> ThreadProfile {
        ThreadProfile {
            nominal: self.nominal,
            pitch: self.pitch,
        }
    }

    /// Where the metal is: inside a hole or outside a shaft.
    pub fn surface(&self) -> Surface {
        match self.member() {
            ThreadMember::Internal => Surface::Inside,
            ThreadMember::External => Surface::Outside,
        }
    }

    pub(super) fn key(&self, element: ThreadElement) -> ThreadKey {
        ThreadKey {
            nominal: self.nominal,
            // Checked against the coarsest pitch, 8 mm.
            pitch_nm: u32::try_from(self.pitch.as_nm()).unwrap_or(u32::MAX),
            starts: self.starts,
            class: self.class,
            element,
            class_is_default: self.class_is_default,
        }
    }
}

/// The limits of size of one member.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ThreadLimits {
    /// What they are the limits of.
    pub parts: ThreadParts,
    /// Of the major diameter; an internal thread has no upper one.
    pub major: Limits,
    /// Of the pitch diameter.
    pub pitch: Limits,
    /// Of the minor diameter. Of an external thread the upper limit is d1 + es, which the GO ring
    /// must clear, and the lower one d3 min, with the root radius P/8 just touching.
    pub minor: Limits,
    /// The fundamental deviation of the pitch diameter: EI or es.
    pub deviation: Length,
    /// The tolerance of the pitch diameter.
    pub pitch_tolerance: Length,
    /// What is to be said beside them.
    pub flags: ThreadFlags,
}

impl ThreadLimits {
    /// The limits of one diameter.
    pub fn element(&self, element: ThreadElement) -> &Limits {
        match element {
            ThreadElement::Major => &self.major,
            ThreadElement::Pitch => &self.pitch,
            ThreadElement::Minor => &self.minor,
        }
    }

    /// The limits before a coating of `thin` to `thick` on every surface, so that these hold
    /// afterwards; major, pitch and minor.
    ///
    /// Errors: a thickness range that is none, or one that leaves no zone.
    pub fn before_coating(&self, thin: Length, thick: Length) -> Result<Self, ThreadError> {
        let surface = self.parts.surface();
        let mut coated = *self;
        for element in ThreadElement::ALL {
            let before = self.element(element).before_coating(surface, thin, thick);
            let moved = before.map_err(|error| ThreadError {
                reason: ThreadReason::Coating { element, error },
                place: None,
            })?;
            *match element {
                ThreadElement::Major => &mut coated.major,
                ThreadElement::Pitch => &mut coated.pitch,
                ThreadElement::Minor => &mut coated.minor,
            } = moved;
        }
        Ok(coated)
    }
}

/// Least and greatest clearance of one diameter; negative is interference.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ThreadClearance {
    /// Between the maximum-material limits.
    pub min: Length,
    /// Between the least-material limits, where both are limited.
    pub max: Option<Length>,
}

/// Both members of a thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ThreadFitLimits {
    /// The internal one.
    pub internal: ThreadLimits,
    /// The external one.
    pub external: ThreadLimits,
}

impl ThreadFitLimits {
    /// Clearance of one diameter: internal less external.
    pub fn clearance(&self, element: ThreadElement) -> Option<ThreadClearance> {
        let (inside, outside) = (
            self.internal.element(element),
            self.external.element(element),
        );
        let max = inside.upper().zip(outside.lower());
        Some(ThreadClearance {
            min: inside.lower()? - outside.upper()?,
            max: max.map(|(upper, lower)| upper - lower),
        })
    }

    /// The flags of both.
    pub fn flags(&self) -> ThreadFlags {
        self.internal.flags.with(self.external.flags)
    }
}

/// The limits of a thread's designation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(clippy::large_enum_variant)] // Copy is worth more than the bytes of a passing value
pub enum ThreadCalloutLimits {
    /// Of the one member whose class is written.
    One(ThreadLimits),
    /// Of both members: both classes are written, or none.
    Both(ThreadFitLimits),
}
