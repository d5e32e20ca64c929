//! What two measured threads do together: clearance on the pitch diameter and between the flanks.
//!
//! Wires and thread micrometers do not see errors of pitch and flank angle; these take clearance
//! away, and only a GO gauge finds them. So a clearance from here is the largest there can be.

use std::fmt;

use super::judge::{JudgeError, judge};
use super::temperature::with_correction;
use super::verdict::{Rule, VerdictWord};
use crate::quantity::Length;
use crate::tolerance::{Derivation, Limits, Surface};

/// Said beside every clearance.
pub const CLEARANCE_CAUTION: &str = "Errors of pitch and flank angle take clearance away and are \
                                     not in this number; only a GO gauge finds them.";

/// A measured pitch diameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredPitch {
    /// The pitch diameter at 20 degrees C.
    pub diameter: Length,
    /// Its standard uncertainty, nm, if known.
    pub standard_nm: Option<f64>,
}

/// What the flanks do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FlankState {
    /// They are apart, or just touch.
    Clearance,
    /// They are in each other's way.
    Interference,
    /// The uncertainty leaves both possible.
    Undecided,
}

/// Whether a clearance is as intended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AsIntended {
    /// Inside the intended limits, proved where an uncertainty is known.
    Yes,
    /// Beyond them, proved where an uncertainty is known.
    No,
    /// Neither is proved.
    Doubt,
}

/// The clearance of an internal and an external thread; negative is interference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlankClearance {
    on_diameter: Length,
    standard_nm: Option<f64>,
    state: FlankState,
}

/// Why two pitch diameters give no clearance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ClearanceError {
    /// A pitch diameter that is not above zero and at most 10 m.
    DiameterOutOfRange {
        /// What was given.
        found: Length,
    },
    /// The uncertainty is refused.
    Judge(JudgeError),
}

/// The clearance of two measured threads.
///
/// Formula: c = D2 - d2; u(c)^2 = u(D2)^2 + u(d2)^2
/// Symbols: D2, d2 measured pitch diameters inside and outside; u standard uncertainties.
/// Valid:   same nominal diameter, pitch and flank angle; uncorrelated; u(c) only where both are
///          known.
/// Rounding: none.
/// Source:  geometry; JCGM 100:2008 clause 5.1.2.
/// Checked: tests/tables/thread_clearance.csv.
/// Errors:  DiameterOutOfRange, Judge (an uncertainty that is none).
pub fn flank_clearance(
    internal: MeasuredPitch,
    external: MeasuredPitch,
) -> Result<FlankClearance, ClearanceError> {
    for found in [internal.diameter, external.diameter] {
        if found <= Length::ZERO || found > Length::MAX {
            return Err(ClearanceError::DiameterOutOfRange { found });
        }
    }
    let on_diameter = internal.diameter - external.diameter;
    for pitch in [internal, external] {
        // Refuses what is no uncertainty, also when the other one is not known.
        worded(pitch.diameter, Length::ZERO, None, pitch.standard_nm)?;
    }
    let both = internal.standard_nm.zip(external.standard_nm);
    let standard_nm = both.map(|(inside, outside)| inside.hypot(outside));
    let state = match worded(on_diameter, Length::ZERO, None, standard_nm)? {
        VerdictWord::Go => FlankState::Clearance,
        VerdictWord::NoGo => FlankState::Interference,
        VerdictWord::Doubt => FlankState::Undecided,
    };
    Ok(FlankClearance {
        on_diameter,
        standard_nm,
        state,
    })
}

/// The verdict on a clearance between two limits, by the usual rule.
fn worded(
    clearance: Length,
    lower: Length,
    upper: Option<Length>,
    standard_nm: Option<f64>,
) -> Result<VerdictWord, ClearanceError> {
    let rule = standard_nm.map_or(Rule::Simple, |_| Rule::PROBABILITY);
    // Reversed limits are ordered: what is intended are two clearances.
    let (lower, upper) = match upper {
        Some(upper) => (lower.min(upper), Some(lower.max(upper))),
        None => (lower, None),
    };
    let Ok(limits) = Limits::new(Some(lower), upper, Derivation::Stated) else {
        return Ok(VerdictWord::Doubt); // never: the limits are ordered
    };
    judge(clearance, &limits, Surface::Length, standard_nm, Some(rule))
        .map(|judged| judged.verdict)
        .map_err(ClearanceError::Judge)
}

impl FlankClearance {
    /// Clearance on the pitch diameter; negative is interference.
    pub fn on_diameter(&self) -> Length {
        self.on_diameter
    }

    /// Standard uncertainty of it, nm; none unless both are known.
    pub fn standard_nm(&self) -> Option<f64> {
        self.standard_nm
    }

    /// What the flanks do: by ISO 14253-1 at 95 % where the uncertainty is known, else by the
    /// sign alone.
    pub fn state(&self) -> FlankState {
        self.state
    }

    /// Clearance square to each flank, the screw centred in the nut.
    ///
    /// Formula: c/2 sin 30 = c/4
    /// Symbols: c clearance on the pitch diameter.
    /// Valid:   60 degree profile, centred, both flanks alike.
    /// Rounding: once, half to even, to 1 nm; its uncertainty is a quarter of that of c.
    /// Source:  geometry.
    /// Checked: tests/tables/thread_clearance.csv.
    /// Errors:  none.
    pub fn square_to_flank(&self) -> Length {
        self.on_diameter.div_half_even(4)
    }

    /// How far the screw can be shifted along its axis, the screw centred in the nut.
    ///
    /// Formula: c tan 30 = c / sqrt(3)
    /// Symbols: c clearance on the pitch diameter; half of it on each side, twice tan 30.
    /// Valid:   60 degree profile, centred; negative for interference.
    /// Rounding: once, half to even, to 1 nm; its uncertainty is that of c over sqrt(3).
    /// Source:  geometry.
    /// Checked: tests/tables/thread_clearance.csv.
    /// Errors:  none.
    pub fn axial_play(&self) -> Length {
        with_correction(Length::ZERO, self.on_diameter.as_nm_f64() / 3.0_f64.sqrt())
    }

    /// Whether the clearance on the pitch diameter lies between the two intended ones, both
    /// inclusive; by ISO 14253-1 at 95 % where the uncertainty is known.
    ///
    /// # Errors
    /// None that [`flank_clearance`] has not found before.
    pub fn as_intended(&self, least: Length, most: Length) -> Result<AsIntended, ClearanceError> {
        let word = worded(self.on_diameter, least, Some(most), self.standard_nm)?;
        Ok(match word {
            VerdictWord::Go => AsIntended::Yes,
            VerdictWord::NoGo => AsIntended::No,
            VerdictWord::Doubt => AsIntended::Doubt,
        })
    }
}

impl FlankState {
    /// `clearance`, `interference` or `undecided`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Clearance => "clearance",
            Self::Interference => "interference",
            Self::Undecided => "undecided",
        }
    }
}

impl AsIntended {
    /// `yes`, `no` or `doubt`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::Doubt => "doubt",
        }
    }
}

impl ClearanceError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::DiameterOutOfRange { .. } => "diameter_out_of_range",
            Self::Judge(error) => error.code(),
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::DiameterOutOfRange { .. } => Some("Give pitch diameters above zero."),
            Self::Judge(error) => error.hint(),
        }
    }
}

impl fmt::Display for ClearanceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::DiameterOutOfRange { found } => write!(
                f,
                "A pitch diameter of {found} mm is not above zero and at most 10 m."
            ),
            Self::Judge(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for ClearanceError {}
