//! Pitch diameter of an external thread over three wires.
//!
//! Two wires lie in neighbouring grooves on one side, the third opposite. What the micrometer
//! shows over them is M; the pitch diameter follows by geometry. Contact force flattens wires and
//! flanks; that is not corrected here, and said.

use std::fmt;

use super::shown::micrometres;
use super::temperature::with_correction;
use super::uncertainty::{BudgetLine, Uncertainty, UncertaintyError, UncertaintySource};
use crate::quantity::Length;
use crate::tolerance::{
    Derivation, Limits, ProfileLength, STEEPEST_OVER_WIRES, ThreadProfile, lead_angle_tangent,
};

/// How much of a wire's error goes into the pitch diameter.
pub(super) const WIRE_FACTOR: f64 = 3.0;
/// From 5 degrees on the usual formula is only near (handbooks, from memory): its tangent.
const STEEP_TANGENT: f64 = 0.087_488_663_525_924;
/// A neglected lead angle that changes the pitch diameter by less is not told (chosen).
const EFFECT_TOLD_FROM: Length = Length::from_nm(100);
/// Steps of the inverse; each leaves less than 0.6 of the last change.
const INVERSE_STEPS_MAX: usize = 60;
/// The inverse rests when it moves by less, nm.
const AT_REST_NM: f64 = 1e-5;

/// The wires for a pitch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WireRange {
    /// Touches at the pitch line: an error of the flank angle has no first-order effect.
    pub best: Length,
    /// Least usual wire, 0.56 P rounded up.
    pub usual_min: Length,
    /// Largest usual wire, 0.90 P rounded down.
    pub usual_max: Length,
    /// A wire must be thicker, else it does not stand proud of the crests.
    pub crest_level: Length,
    /// A wire must be thinner, else it does not touch the flanks.
    pub crest_edge: Length,
}

/// Whether the lead angle is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LeadAngle {
    /// Taken as zero, as shop tables do.
    Ignored,
    /// Counted, at the pitch cylinder.
    Corrected,
}

/// Three equal wires on a thread; made only when they touch the flanks and stand proud.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ThreeWires {
    profile: ThreadProfile,
    lead: Length,
    wire: Length,
}

/// What to know about a measurement over wires; none of it is corrected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WireCaution {
    /// The wire is outside 0.56 P to 0.90 P.
    OutsideUsualRange {
        /// The wire.
        wire: Length,
        /// Least usual wire.
        least: Length,
        /// Largest usual wire.
        largest: Length,
    },
    /// The lead angle is not counted: the pitch diameter reads too large by this.
    LeadAngleIgnored {
        /// How much too large.
        effect: Length,
    },
    /// The lead angle is 5 degrees or more: the formula is only near.
    SteepLead,
    /// The contact force is not corrected.
    ContactForce,
}

/// Why wires give no pitch diameter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WiresError {
    /// A length that must be above zero and at most 10 m.
    OutOfRange {
        /// Which.
        name: &'static str,
        /// What was given.
        found: Length,
    },
    /// The lead is smaller than the pitch.
    LeadBelowPitch {
        /// The lead.
        lead: Length,
        /// The pitch.
        pitch: Length,
    },
    /// The wire does not stand proud of the crests.
    WireBelowCrests {
        /// The wire.
        wire: Length,
        /// It must be thicker than this.
        above: Length,
        /// The best wire.
        best: Length,
    },
    /// The wire lies on the edges of the crests and does not touch the flanks.
    WireOnCrestEdges {
        /// The wire.
        wire: Length,
        /// It must be thinner than this.
        below: Length,
        /// The best wire.
        best: Length,
    },
    /// The lead angle is too steep for the formula.
    LeadTooSteep {
        /// The lead.
        lead: Length,
        /// The pitch diameter at which it is.
        pitch_diameter: Length,
    },
}

/// The wires that suit a pitch.
///
/// Formula: best W = P/sqrt(3); usual 0.56 P to 0.90 P; crest level 7/12 H; crest edge 7/6 H
/// Symbols: P pitch, H height of the triangle.
/// Valid:   symmetrical 60 degree profile, basic crest flat P/8; pitch above 0 to 10 m.
/// Rounding: once, to 1 nm; the usual range inward.
/// Source:  geometry; usual range: a rule that neme-s.org publishes.
/// Checked: tests/tables/three_wires.csv.
/// Errors:  OutOfRange.
pub fn wire_range(profile: &ThreadProfile) -> Result<WireRange, WiresError> {
    in_range("pitch", profile.pitch)?;
    let (usual_min, usual_max) = profile.usable_wires();
    Ok(WireRange {
        best: profile.best_wire().to_nm(),
        usual_min,
        usual_max,
        crest_level: profile.crest_level_wire().to_nm(),
        crest_edge: profile.crest_edge_wire().to_nm(),
    })
}

/// The budget line of the wires, from the standard uncertainty of their mean diameter.
///
/// Formula: u(d2) = 3 u(W), from dM/dW = 3
/// Symbols: u(W) standard uncertainty of the mean wire diameter, nm.
/// Valid:   60 degrees; the three wires share one error; the lead angle adds a hair.
/// Rounding: none.
/// Source:  the formula of [`ThreeWires::over_wires`], differentiated.
/// Checked: tests/logic/measure_wires.rs.
/// Errors:  none; a negative or endless number is refused where lines are combined.
pub fn wire_line(standard_nm: f64) -> BudgetLine {
    BudgetLine::known(UncertaintySource::WireDiameter, WIRE_FACTOR * standard_nm)
}

/// The budget line of the wires, from limits of error that their maker states: as [`wire_line`],
/// with u(W) = a / sqrt(3) for plus and minus `half_width`.
pub fn wire_line_within(half_width: Length) -> BudgetLine {
    let half_width_nm = WIRE_FACTOR * half_width.abs().as_nm_f64();
    BudgetLine::rectangular(UncertaintySource::WireDiameter, half_width_nm)
}

/// The uncertainty of a pitch diameter from that of the reading over the wires and the line of
/// the wires. Without an uncertainty of the reading there is none, as elsewhere.
///
/// # Errors
/// As [`Uncertainty::combined`].
pub fn pitch_diameter_uncertainty(
    over_wires: Option<&Uncertainty>,
    wires: BudgetLine,
) -> Result<Option<Uncertainty>, UncertaintyError> {
    let Some(over_wires) = over_wires else {
        return Ok(None);
    };
    let mut lines = over_wires.lines().to_vec();
    lines.push(wires);
    Uncertainty::combined(lines).map(Some)
}

impl ThreeWires {
    /// Wires of that diameter on a thread of that profile and lead (starts x pitch; the pitch
    /// itself for one start).
    ///
    /// # Errors
    /// Lengths out of range; a wire that lies below the crests or on their edges.
    pub fn new(profile: ThreadProfile, lead: Length, wire: Length) -> Result<Self, WiresError> {
        in_range("nominal diameter", profile.nominal)?;
        let range = wire_range(&profile)?;
        in_range("lead", lead)?;
        in_range("wire diameter", wire)?;
        let (pitch, best) = (profile.pitch, range.best);
        if lead < pitch {
            return Err(WiresError::LeadBelowPitch { lead, pitch });
        }
        let above = range.crest_level;
        if wire <= above {
            return Err(WiresError::WireBelowCrests { wire, above, best });
        }
        let below = range.crest_edge;
        if wire >= below {
            return Err(WiresError::WireOnCrestEdges { wire, below, best });
        }
        Ok(Self {
            profile,
            lead,
            wire,
        })
    }

    /// The best wires on that thread.
    ///
    /// # Errors
    /// As [`ThreeWires::new`].
    pub fn best(profile: ThreadProfile, lead: Length) -> Result<Self, WiresError> {
        Self::new(profile, lead, wire_range(&profile)?.best)
    }

    /// The wire's diameter.
    pub fn wire(&self) -> Length {
        self.wire
    }

    /// The size over the wires at a pitch diameter.
    ///
    /// Formula: M = d2 + 3 W - sqrt(3)/2 P; with the lead angle M = d2 - sqrt(3)/2 P
    ///          + W (1 + sqrt(4 + 3 tan^2 psi))
    /// Symbols: d2 pitch diameter, W wire, P pitch; tan psi = lead / (pi d2).
    /// Valid:   60 degrees, symmetrical; tan psi at most 0.5, near only from 5 degrees on; no
    ///          contact force.
    /// Rounding: once, half to even, to 1 nm; without the lead angle from exact numbers.
    /// Source:  constants as Machinery's Handbook 31st ed. p.2129; lead angle: geometry, the
    ///          usual formula with csc 30 = 2 and cot 30 = sqrt(3).
    /// Checked: tests/tables/three_wires.csv.
    /// Errors:  OutOfRange, LeadTooSteep.
    pub fn over_wires(
        &self,
        pitch_diameter: Length,
        lead_angle: LeadAngle,
    ) -> Result<Length, WiresError> {
        in_range("pitch diameter", pitch_diameter)?;
        let wires = pitch_diameter + self.wire * 3;
        match lead_angle {
            LeadAngle::Ignored => {
                Ok((ProfileLength::from(wires) - self.profile.triangle_height()).to_nm())
            }
            LeadAngle::Corrected => {
                let effect = self.effect_nm(pitch_diameter.as_nm_f64())?;
                Ok(with_correction(wires, effect - self.height_nm()))
            }
        }
    }

    /// The pitch diameter of a size over the wires: [`ThreeWires::over_wires`] solved for d2.
    ///
    /// Formula: d2 = M - 3 W + sqrt(3)/2 P - c; c = W (sqrt(4 + 3 tan^2 psi) - 2), zero without
    ///          the lead angle; c from d2, repeated until d2 rests (one step suffices in practice)
    /// Symbols: as there; M size over the wires.
    /// Valid:   as there.
    /// Rounding: once, half to even, to 1 nm.
    /// Source:  as there.
    /// Checked: tests/tables/three_wires.csv; round trip in tests/logic/measure_wires.rs.
    /// Errors:  OutOfRange, LeadTooSteep.
    pub fn pitch_diameter(
        &self,
        over_wires: Length,
        lead_angle: LeadAngle,
    ) -> Result<Length, WiresError> {
        in_range("size over the wires", over_wires)?;
        let inside = over_wires - self.wire * 3;
        let plain = (ProfileLength::from(inside) + self.profile.triangle_height()).to_nm();
        in_range("pitch diameter", plain)?;
        if lead_angle == LeadAngle::Ignored {
            return Ok(plain);
        }
        let height_nm = self.height_nm();
        let uncorrected_nm = inside.as_nm_f64() + height_nm;
        let mut effect = self.effect_nm(uncorrected_nm)?;
        for _ in 0..INVERSE_STEPS_MAX {
            let next = self.effect_nm(uncorrected_nm - effect)?;
            let moved = (next - effect).abs();
            effect = next;
            if moved < AT_REST_NM {
                break;
            }
        }
        Ok(with_correction(inside, height_nm - effect))
    }

    /// By how much the pitch diameter reads too large when the lead angle is ignored.
    ///
    /// Formula: c = W (sqrt(4 + 3 tan^2 psi) - 2), near 0.75 W tan^2 psi
    /// Symbols: W wire; tan psi = lead / (pi d2).
    /// Valid:   as [`ThreeWires::over_wires`].
    /// Rounding: once, half to even, to 1 nm.
    /// Source:  as there.
    /// Checked: tests/tables/three_wires.csv.
    /// Errors:  OutOfRange, LeadTooSteep.
    pub fn lead_angle_effect(&self, pitch_diameter: Length) -> Result<Length, WiresError> {
        in_range("pitch diameter", pitch_diameter)?;
        let effect = self.effect_nm(pitch_diameter.as_nm_f64())?;
        Ok(with_correction(Length::ZERO, effect))
    }

    /// The limits over the wires for limits of the pitch diameter, each by
    /// [`ThreeWires::over_wires`].
    ///
    /// # Errors
    /// As there.
    pub fn over_wires_limits(
        &self,
        pitch_diameter: &Limits,
        lead_angle: LeadAngle,
    ) -> Result<Limits, WiresError> {
        let over = |limit: Option<Length>| {
            limit
                .map(|size| self.over_wires(size, lead_angle))
                .transpose()
        };
        let (lower, upper) = (over(pitch_diameter.lower())?, over(pitch_diameter.upper())?);
        // The size over the wires grows with the pitch diameter, so limits stay limits.
        Limits::new(lower, upper, Derivation::Stated).map_err(|_| WiresError::OutOfRange {
            name: "pitch diameter",
            found: pitch_diameter.lower().unwrap_or(Length::ZERO),
        })
    }

    /// What to know about this measurement at a pitch diameter.
    ///
    /// # Errors
    /// As [`ThreeWires::over_wires`].
    pub fn cautions(
        &self,
        pitch_diameter: Length,
        lead_angle: LeadAngle,
    ) -> Result<Vec<WireCaution>, WiresError> {
        let range = wire_range(&self.profile)?;
        let (wire, least, largest) = (self.wire, range.usual_min, range.usual_max);
        let effect = self.lead_angle_effect(pitch_diameter)?;
        let steep = lead_angle_tangent(self.lead, pitch_diameter) >= STEEP_TANGENT;
        let mut all = Vec::new();
        if wire < least || wire > largest {
            all.push(WireCaution::OutsideUsualRange {
                wire,
                least,
                largest,
            });
        }
        if lead_angle == LeadAngle::Ignored && effect >= EFFECT_TOLD_FROM {
            all.push(WireCaution::LeadAngleIgnored { effect });
        }
        if lead_angle == LeadAngle::Corrected && steep {
            all.push(WireCaution::SteepLead);
        }
        all.push(WireCaution::ContactForce);
        Ok(all)
    }

    /// Height of the triangle, nm.
    fn height_nm(&self) -> f64 {
        0.5 * 3.0_f64.sqrt() * self.profile.pitch.as_nm_f64()
    }

    /// The effect of the lead angle at a pitch diameter (nm), nm.
    fn effect_nm(&self, pitch_diameter_nm: f64) -> Result<f64, WiresError> {
        // At a fraction of a nanometre, so that the inverse comes to rest.
        let tangent = self.lead.as_nm_f64() / (std::f64::consts::PI * pitch_diameter_nm);
        if pitch_diameter_nm < 1.0 || tangent > STEEPEST_OVER_WIRES {
            return Err(WiresError::LeadTooSteep {
                lead: self.lead,
                pitch_diameter: with_correction(Length::ZERO, pitch_diameter_nm),
            });
        }
        let square = 3.0 * tangent * tangent;
        // sqrt(4 + x) - 2 without the loss of digits.
        Ok(self.wire.as_nm_f64() * square / ((4.0 + square).sqrt() + 2.0))
    }
}

fn in_range(name: &'static str, found: Length) -> Result<(), WiresError> {
    if found > Length::ZERO && found <= Length::MAX {
        Ok(())
    } else {
        Err(WiresError::OutOfRange { name, found })
    }
}

impl fmt::Display for WireCaution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutsideUsualRange {
                wire,
                least,
                largest,
            } => write!(
                f,
                "The wire of {wire} mm is outside the usual range of {least} to {largest} mm \
                 (0.56 P to 0.90 P)."
            ),
            Self::LeadAngleIgnored { effect } => write!(
                f,
                "The lead angle is not counted: the pitch diameter reads too large by {}.",
                micrometres(*effect, 1)
            ),
            Self::SteepLead => f.write_str(
                "The lead angle is 5 degrees or more: there the correction is only near (from \
                 memory of handbooks).",
            ),
            Self::ContactForce => f.write_str(
                "The contact force is not corrected: it makes the pitch diameter read small, 0.1 \
                 to 2 µm at 1 to 11 N (from memory); set the micrometer on a reference with the \
                 same force.",
            ),
        }
    }
}

impl WiresError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::OutOfRange { .. } => "wires_out_of_range",
            Self::LeadBelowPitch { .. } => "lead_below_pitch",
            Self::WireBelowCrests { .. } => "wire_below_crests",
            Self::WireOnCrestEdges { .. } => "wire_on_crest_edges",
            Self::LeadTooSteep { .. } => "lead_too_steep",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<String> {
        Some(match self {
            Self::OutOfRange { .. } => "Give a length above zero, at most 10 m.".to_owned(),
            Self::LeadBelowPitch { .. } => "The lead is the starts times the pitch.".to_owned(),
            Self::WireBelowCrests { best, .. } | Self::WireOnCrestEdges { best, .. } => {
                format!("Take wires near {best} mm, the best wire.")
            }
            Self::LeadTooSteep { .. } => {
                "Check the lead and the pitch diameter; measure so steep a thread otherwise."
                    .to_owned()
            }
        })
    }
}

impl fmt::Display for WiresError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange { name, found } => write!(
                f,
                "The {name} of {found} mm is not above zero and at most 10 m."
            ),
            Self::LeadBelowPitch { lead, pitch } => write!(
                f,
                "The lead of {lead} mm is smaller than the pitch of {pitch} mm."
            ),
            Self::WireBelowCrests { wire, above, .. } => write!(
                f,
                "A wire of {wire} mm does not stand proud of the crests: on this pitch it must be \
                 thicker than {above} mm."
            ),
            Self::WireOnCrestEdges { wire, below, .. } => write!(
                f,
                "A wire of {wire} mm lies on the edges of the crests and does not touch the \
                 flanks: on this pitch it must be thinner than {below} mm."
            ),
            Self::LeadTooSteep {
                lead,
                pitch_diameter,
            } => write!(
                f,
                "A lead of {lead} mm is too steep at a pitch diameter of {pitch_diameter} mm for \
                 measurement over wires."
            ),
        }
    }
}

impl std::error::Error for WiresError {}
