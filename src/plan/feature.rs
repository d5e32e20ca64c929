//! Features of a part, and the characteristics that prove them.

use std::fmt;
use std::sync::Arc;

use super::form::Form;
use super::stage::Stage;
use crate::gauge::{CheckAsked, Faces, GaugeId};
use crate::quantity::{Angle, Length};
use crate::tolerance::{Callout, Limits, MetalSide, Surface, ThreadProfile};

/// The name of a feature in its plan (`A`).
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct FeatureId(Arc<str>);

impl FeatureId {
    /// The id of that name.
    pub fn new(name: &str) -> Self {
        Self(Arc::from(name))
    }

    /// The name.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for FeatureId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

/// The name of a characteristic: its feature, and the element of it where it has several.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct CharacteristicId {
    /// The feature.
    pub feature: FeatureId,
    /// What of the feature (`pitch` of a thread); none for a plain size or angle.
    pub element: Option<Arc<str>>,
}

/// `A`, or `A pitch`.
impl fmt::Display for CharacteristicId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.element {
            None => self.feature.fmt(f),
            Some(element) => f.pad(&format!("{} {element}", self.feature)),
        }
    }
}

/// How one measurement comes out of readings that move.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Take {
    /// The value when a button, key or foot switch is pressed.
    #[default]
    Press,
    /// The first value that holds still.
    Stable,
    /// The largest while swinging (a bore gauge's reversal point from the other side).
    Largest,
    /// The smallest while swinging.
    Smallest,
    /// The largest less the smallest (runout).
    Range,
}

impl Take {
    /// Every way with its word in plans.
    pub const WORDS: [(Self, &'static str); 5] = [
        (Self::Press, "press"),
        (Self::Stable, "stable"),
        (Self::Largest, "largest"),
        (Self::Smallest, "smallest"),
        (Self::Range, "range"),
    ];

    /// The way's word.
    pub fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(take, _)| *take == self)
            .map_or("press", |(_, word)| word)
    }
}

/// Where between its limits a size is aimed while cutting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Aim {
    /// The middle.
    #[default]
    Middle,
    /// The side on which rework is still possible.
    TowardMetal,
}

impl Aim {
    /// Every aim with its word in plans.
    pub const WORDS: [(Self, &'static str); 2] = [
        (Self::Middle, "middle"),
        (Self::TowardMetal, "toward_metal"),
    ];

    /// The aim's word.
    pub fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(aim, _)| *aim == self)
            .map_or("middle", |(_, word)| word)
    }
}

/// The limits of a characteristic: of a length or of an angle; or what a limit gauge is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bounds {
    /// Limits of size.
    Length(Limits<Length>),
    /// Limits of an angle.
    Angle(Limits<Angle>),
    /// What a limit gauge or a mating part is asked.
    Check(CheckAsked),
}

impl Bounds {
    /// The limits of size, if it is a length.
    pub fn length(&self) -> Option<&Limits<Length>> {
        match self {
            Self::Length(limits) => Some(limits),
            Self::Angle(_) | Self::Check(_) => None,
        }
    }

    /// The limits of the angle, if it is one.
    pub fn angle(&self) -> Option<&Limits<Angle>> {
        match self {
            Self::Angle(limits) => Some(limits),
            Self::Length(_) | Self::Check(_) => None,
        }
    }
}

/// Something of the part that a drawing's callout asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct Feature {
    /// Its name, unique in the plan.
    pub id: FeatureId,
    /// What it is to the trade (`bearing seat, left`).
    pub name: Option<String>,
    /// In which setting of the part it is made and measured; 1 when not stated.
    pub setting: u32,
    /// From where to where on the part's axis.
    pub along: Option<(Length, Length)>,
    /// What proves it; never empty.
    pub characteristics: Vec<Characteristic>,
}

/// One thing to measure, with everything needed to judge it.
#[derive(Debug, Clone, PartialEq)]
pub struct Characteristic {
    /// Its name.
    pub id: CharacteristicId,
    /// The callout as the plan writes it.
    pub callout_text: String,
    /// The callout as it was understood.
    pub callout: Callout,
    /// Nominal size, where the callout has one; `None` for an angle.
    pub nominal: Option<Length>,
    /// Where the metal is, from the callout or the plan; `None` when neither says.
    pub surface: Option<Surface>,
    /// Two-point sizes wanted.
    pub points: u32,
    /// The names of their places, as many as there are points; empty where the plan has none.
    pub places: Arc<[String]>,
    /// How one measurement comes out of moving readings.
    pub take: Take,
    /// It is measured on every so many-th part, beginning with the first.
    pub every: u32,
    /// The gauges that may prove it; empty means any.
    pub gauges: Vec<GaugeId>,
    /// Where it is aimed while cutting.
    pub aim: Aim,
    /// The smallest useful cut, on the diameter where it is one; less is a matter of polishing.
    pub least_cut: Option<Length>,
    /// How a measurement over three wires becomes the pitch diameter, if that is measured.
    pub over_wires: Option<OverWires>,
    /// The form or position that is asked for, if it is none of a size.
    pub form: Option<Form>,
    /// Its stages in order, never empty; the last decides.
    pub stages: Vec<Stage>,
}

/// A pitch diameter that is measured over three wires.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OverWires {
    /// The thread's basic profile.
    pub profile: ThreadProfile,
    /// Its lead.
    pub lead: Length,
    /// Diameter of the wires.
    pub wire: Length,
}

impl Characteristic {
    /// Which direction still has metal on; neither when nothing says where the metal is.
    pub fn metal_side(&self) -> MetalSide {
        self.surface.map_or(MetalSide::Neither, Surface::metal_side)
    }

    /// Which faces of a gauge it takes; where nothing says, the least accurate of a caliper.
    pub fn faces(&self) -> Faces {
        match self.surface {
            Some(Surface::Outside | Surface::Length) => Faces::Outside,
            Some(Surface::Depth | Surface::Step) => Faces::Depth,
            Some(Surface::Inside | Surface::Slot) | None => Faces::Inside,
        }
    }
}
