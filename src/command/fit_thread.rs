//! `fitledger fit` for threads with measured pitch diameters: what play they have together, or what
//! the other member must be.

use crate::measure::{
    AsIntended, CLEARANCE_CAUTION, ClearanceError, FlankClearance, MeasuredPitch, flank_clearance,
};
use crate::quantity::Length;
use crate::tolerance::{ThreadElement, ThreadFitLimits};

use super::answers::Note;
use super::exit::Exit;
use super::judge_why::{NOT_CONSIDERED, Shown};
use super::output_thread::{PlayLine, SidesLine, four};
use super::problem::Problem;

/// Pitch diameters that were measured.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct MeasuredPair {
    /// Of the internal thread.
    pub(super) hole: Option<MeasuredPitch>,
    /// Of the external thread.
    pub(super) shaft: Option<MeasuredPitch>,
}

/// What follows from measured pitch diameters.
pub(super) enum Play {
    /// Both are measured.
    Both {
        /// Their clearance.
        clearance: FlankClearance,
        /// Whether it is inside the intended range, and whether that is proved.
        inside: bool,
        /// The same with what is proved.
        intended: AsIntended,
        /// The arithmetic.
        why: Vec<String>,
    },
    /// One is measured, the other is to be made.
    Make {
        /// Which one: `make_shaft` or `make_hole`.
        shaft: bool,
        /// Limits of its pitch diameter.
        limits: (Length, Length),
        /// The arithmetic.
        why: Vec<String>,
    },
}

impl Play {
    /// From what was measured; nothing when nothing was.
    pub(super) fn new(fit: &ThreadFitLimits, pair: &MeasuredPair) -> Result<Option<Self>, Problem> {
        let intended = fit.clearance(ThreadElement::Pitch);
        let Some((least, most)) = intended.and_then(|one| Some((one.min, one.max?))) else {
            return Ok(None); // a pitch diameter always has both limits
        };
        let range = format!("intended {} to {} mm", least.to_mm(), most.to_mm());
        let lone = match (pair.hole, pair.shaft) {
            (Some(hole), None) => Some((hole.diameter, hole.diameter - most)),
            (None, Some(shaft)) => Some((shaft.diameter, shaft.diameter + least)),
            _ => None,
        };
        if let Some((found, other)) = lone
            && found.min(other) <= Length::ZERO
        {
            return Err(ClearanceError::DiameterOutOfRange { found }.into());
        }
        match (pair.hole, pair.shaft) {
            (None, None) => Ok(None),
            (Some(hole), Some(shaft)) => Self::both(hole, shaft, (least, most)).map(Some),
            (Some(hole), None) => {
                let (lower, upper) = (hole.diameter - most, hole.diameter - least);
                let why = vec![format!(
                    "shaft: {} less the clearance, {range}, is {} to {} mm",
                    hole.diameter.to_mm(),
                    lower.to_mm(),
                    upper.to_mm()
                )];
                let limits = (lower, upper);
                Ok(Some(Self::Make {
                    shaft: true,
                    limits,
                    why,
                }))
            }
            (None, Some(shaft)) => {
                let (lower, upper) = (shaft.diameter + least, shaft.diameter + most);
                let why = vec![format!(
                    "hole: {} and the clearance, {range}, is {} to {} mm",
                    shaft.diameter.to_mm(),
                    lower.to_mm(),
                    upper.to_mm()
                )];
                let limits = (lower, upper);
                Ok(Some(Self::Make {
                    shaft: false,
                    limits,
                    why,
                }))
            }
        }
    }

    /// Both are measured; `intended` is the least and the greatest clearance.
    fn both(
        hole: MeasuredPitch,
        shaft: MeasuredPitch,
        (least, most): (Length, Length),
    ) -> Result<Self, Problem> {
        let clearance = flank_clearance(hole, shaft)?;
        let size = clearance.on_diameter();
        let why = vec![
            format!(
                "clearance on the pitch diameter: {} - {} = {} mm, intended {} to {} mm",
                hole.diameter.to_mm(),
                shaft.diameter.to_mm(),
                size.to_mm(),
                least.to_mm(),
                most.to_mm()
            ),
            format!(
                "square to each flank, centred: c / 4 = {} mm; along the axis: c tan 30° = {} mm",
                four(clearance.square_to_flank()),
                four(clearance.axial_play())
            ),
            match clearance.standard_nm() {
                Some(u) => format!(
                    "u(c) = √(u(D2)² + u(d2)²) = {} mm; ISO 14253-1 at 95 %",
                    Length::steps_text(u)
                ),
                None => format!("{NOT_CONSIDERED}: that of both is needed"),
            },
            CLEARANCE_CAUTION.to_owned(),
        ];
        Ok(Self::Both {
            inside: (least..=most).contains(&size),
            intended: clearance.as_intended(least, most)?,
            clearance,
            why,
        })
    }

    /// The fields that it adds to the answer.
    pub(super) fn line(&self) -> PlayLine {
        match self {
            Self::Both {
                clearance,
                inside,
                intended,
                ..
            } => PlayLine {
                clearance: Some(clearance.on_diameter().to_mm()),
                clearance_uncertainty: Some(clearance.standard_nm().map(Length::steps_text)),
                as_intended: Some(*inside),
                intended: Some(intended.word()),
                fit: Some(clearance.state().word()),
                clearance_square_to_flank: Some(four(clearance.square_to_flank())),
                axial_play: Some(four(clearance.axial_play())),
                ..PlayLine::default()
            },
            Self::Make { shaft, limits, .. } => {
                let made = Some(SidesLine {
                    upper_limit: Some(limits.1.to_mm()),
                    lower_limit: Some(limits.0.to_mm()),
                });
                match shaft {
                    true => PlayLine {
                        make_shaft: made,
                        ..PlayLine::default()
                    },
                    false => PlayLine {
                        make_hole: made,
                        ..PlayLine::default()
                    },
                }
            }
        }
    }

    /// What people are told of it.
    pub(super) fn notes(&self) -> Vec<Note> {
        match self {
            Self::Both {
                clearance,
                intended,
                ..
            } => {
                let u = match clearance.standard_nm() {
                    Some(u) => format!("u {} mm", Length::steps_text(u)),
                    None => NOT_CONSIDERED.to_owned(),
                };
                let size = clearance.on_diameter().to_mm();
                let state = clearance.state().word();
                let flank = four(clearance.square_to_flank());
                vec![
                    Note::new(
                        "measured",
                        format!("{size} mm on the pitch diameter, {state}, {u}"),
                    ),
                    Note::new("flanks", format!("{flank} mm square to each")),
                    Note::new("axial play", format!("{} mm", four(clearance.axial_play()))),
                    Note::new("as intended", intended.word().to_owned()),
                    Note::new("caution", CLEARANCE_CAUTION.to_owned()),
                ]
            }
            Self::Make { shaft, limits, .. } => {
                let title = if *shaft { "make shaft" } else { "make hole" };
                let (lower, upper) = (limits.0.to_mm(), limits.1.to_mm());
                vec![Note::new(
                    title,
                    format!("pitch diameter {lower} to {upper} mm"),
                )]
            }
        }
    }

    /// How it came about.
    pub(super) fn why(&self) -> &[String] {
        match self {
            Self::Both { why, .. } | Self::Make { why, .. } => why,
        }
    }

    /// A clearance that is not proved as intended is something that is not good.
    pub(super) fn exit(&self) -> Exit {
        match self {
            Self::Both { intended, .. } if *intended != AsIntended::Yes => Exit::NotGood,
            _ => Exit::Answered,
        }
    }
}
