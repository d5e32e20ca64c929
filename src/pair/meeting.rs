//! Two measured parts: the clearance between them, how sure it is, and what warmth makes of it.

use super::pair_error::PairError;
use crate::material::Expansion;
use crate::measure::{AsIntended, JudgeError, VerdictWord, judge};
use crate::quantity::{Celsius, Length};
use crate::statistics::normal_cdf;
use crate::tolerance::{Derivation, Limits, Surface};

/// Working temperatures that are taken, thousandths of a degree C.
const TEMPERATURE: (Celsius, Celsius) =
    (Celsius::from_milli(-200_000), Celsius::from_milli(400_000));
/// Coverage of a statement: so many standard uncertainties (95 %, JCGM 100).
pub(super) const COVERAGE: f64 = 2.0;

/// A measured half of a pair, its size at 20 degrees C.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Member {
    /// Its size.
    pub size: Length,
    /// Its standard uncertainty, nm; none: not known.
    pub standard_nm: Option<f64>,
}

/// Two halves together: clearance is positive, interference negative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meeting {
    /// The clearance, nm; whole at 20 degrees C.
    clearance_nm: f64,
    standard_nm: Option<f64>,
}

/// What a pair is, as far as its uncertainty lets it be said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeetingKind {
    /// There is clearance.
    Clearance,
    /// There is interference.
    Interference,
    /// It may be either.
    Undecided,
}

impl MeetingKind {
    /// The word in JSON.
    pub fn code(self) -> &'static str {
        match self {
            Self::Clearance => "clearance",
            Self::Interference => "interference",
            Self::Undecided => "undecided",
        }
    }
}

impl Meeting {
    /// Two halves at 20 degrees C.
    ///
    /// Formula: C = hole - shaft, u = sqrt(uh^2 + us^2)
    /// Symbols: sizes (nm, exact) with their standard uncertainties uh, us; C clearance.
    /// Valid:   errors of the two independent; without one of them nothing is said of u.
    /// Rounding: none.
    /// Source:  JCGM 100:2008 5.1.2.
    /// Checked: tests/tables/pair_examples.json.
    /// Errors:  none.
    pub fn of(hole: Member, shaft: Member) -> Self {
        let both = hole.standard_nm.zip(shaft.standard_nm);
        Self {
            clearance_nm: (hole.size - shaft.size).as_nm_f64(),
            standard_nm: both.map(|(one, other)| one.hypot(other)),
        }
    }

    /// The same two halves at another temperature, both at it.
    ///
    /// Formula: C(t) = C + (H ah - S as)(t - 20); u with H uah (t - 20) and S uas (t - 20) beside
    /// Symbols: H, S sizes of hole and shaft (nm); ah, as their expansions (1/K), uah, uas the
    ///          uncertainties of these; t degrees C.
    /// Valid:   -200 to 400 degrees C; expansions even over the span, errors independent.
    /// Rounding: none.
    /// Source:  linear expansion, textbook (from memory); JCGM 100:2008 5.1.2.
    /// Checked: tests/logic/pair_meeting.rs.
    /// Errors:  `OutOfRange`.
    pub fn at(
        (hole, of_hole): (Member, Expansion),
        (shaft, of_shaft): (Member, Expansion),
        celsius: Celsius,
    ) -> Result<Self, PairError> {
        if !(TEMPERATURE.0..=TEMPERATURE.1).contains(&celsius) {
            return Err(PairError::Temperature { found: celsius });
        }
        let cold = Self::of(hole, shaft);
        let warmer = celsius.above_reference_k();
        let grows = |member: Member, per_kelvin: f64| member.size.as_nm_f64() * per_kelvin * warmer;
        let moved = grows(hole, of_hole.per_kelvin) - grows(shaft, of_shaft.per_kelvin);
        let unsure = grows(hole, of_hole.standard_uncertainty_per_kelvin)
            .hypot(grows(shaft, of_shaft.standard_uncertainty_per_kelvin));
        Ok(Self {
            clearance_nm: cold.clearance_nm + moved,
            standard_nm: cold.standard_nm.map(|standard| standard.hypot(unsure)),
        })
    }

    /// The clearance, nm; negative: interference.
    pub fn clearance_nm(&self) -> f64 {
        self.clearance_nm
    }

    /// Its standard uncertainty, nm.
    pub fn standard_nm(&self) -> Option<f64> {
        self.standard_nm
    }

    /// Its expanded uncertainty (k = 2), nm.
    pub fn expanded_nm(&self) -> Option<f64> {
        self.standard_nm.map(|standard| COVERAGE * standard)
    }

    /// The probability that there is interference.
    ///
    /// Formula: P = F(-C/u)
    /// Symbols: C clearance, u its standard uncertainty; F normal distribution.
    /// Valid:   normal errors, nothing known of the pair before; with u = 0 it is 0 or 1.
    /// Rounding: none.
    /// Source:  JCGM 106:2012 (the probability of a measured value's true one).
    /// Checked: tests/tables/pair_examples.json.
    /// Errors:  none; none without an uncertainty.
    pub fn interference_probability(&self) -> Option<f64> {
        self.standard_nm
            .map(|standard| below(0.0, self.clearance_nm, standard))
    }

    /// The probability that the clearance lies between two, both included.
    ///
    /// Formula: P = F((most - C)/u) - F((least - C)/u)
    /// Symbols: as [`Meeting::interference_probability`].
    /// Valid:   as there.
    /// Rounding: none.
    /// Source:  as there.
    /// Checked: tests/tables/pair_examples.json.
    /// Errors:  none; none without an uncertainty.
    pub fn inside_probability(&self, (least, most): (Length, Length)) -> Option<f64> {
        let standard = self.standard_nm?;
        let clearance = self.clearance_nm;
        if standard <= 0.0 {
            let is_inside = (least.as_nm_f64()..=most.as_nm_f64()).contains(&clearance);
            return Some(f64::from(u8::from(is_inside)));
        }
        let upper = below(most.as_nm_f64(), clearance, standard);
        Some((upper - below(least.as_nm_f64(), clearance, standard)).max(0.0))
    }

    /// Whether the clearance is one of those between two, both included: by ISO 14253-1 at 95 %
    /// where the uncertainty is known, else by the size alone. A range that is turned round has
    /// nothing in it.
    ///
    /// # Errors
    /// An uncertainty that is none.
    pub fn as_intended(&self, (least, most): (Length, Length)) -> Result<AsIntended, JudgeError> {
        let Ok(limits) = Limits::new(Some(least), Some(most), Derivation::Stated) else {
            return Ok(AsIntended::No);
        };
        // Whole at 20 °C; else within half a nanometre.
        #[allow(clippy::cast_possible_truncation)]
        let clearance = Length::from_nm(self.clearance_nm.round() as i64);
        let judged = judge(clearance, &limits, Surface::Length, self.standard_nm, None)?;
        Ok(match judged.verdict {
            VerdictWord::Go => AsIntended::Yes,
            VerdictWord::NoGo => AsIntended::No,
            VerdictWord::Doubt => AsIntended::Doubt,
        })
    }

    /// What it is beyond its expanded uncertainty; without one as its size says.
    pub fn kind(&self) -> MeetingKind {
        let room = self.expanded_nm().unwrap_or(0.0);
        match self.clearance_nm {
            clearance if clearance - room > 0.0 => MeetingKind::Clearance,
            clearance if clearance + room < 0.0 => MeetingKind::Interference,
            _ => MeetingKind::Undecided,
        }
    }
}

/// The probability that the true value lies below a place.
fn below(place: f64, value: f64, standard: f64) -> f64 {
    match standard > 0.0 {
        true => normal_cdf((place - value) / standard),
        false => f64::from(u8::from(value < place)),
    }
}

/// What a batch of pairs, put together at random, will do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RandomPairs {
    /// Mean clearance, in the unit given.
    pub clearance: f64,
    /// Standard deviation of the clearance.
    pub deviation: f64,
    /// Share of the pairs with interference.
    pub interference: f64,
}

/// Mean and spread of the clearance of pairs that are put together at random, and the share with
/// interference.
///
/// Formula: m = mh - ms, s = sqrt(sh^2 + ss^2), P = F(-m/s)
/// Symbols: means and standard deviations of holes (mh, sh) and shafts (ms, ss), in one unit.
/// Valid:   normal sizes, holes and shafts independent.
/// Rounding: none.
/// Source:  sums of independent normal values, textbook (from memory).
/// Checked: tests/tables/pair_examples.json.
/// Errors:  none.
pub fn random_pairs(
    (hole_mean, hole_deviation): (f64, f64),
    (shaft_mean, shaft_deviation): (f64, f64),
) -> RandomPairs {
    let clearance = hole_mean - shaft_mean;
    let deviation = hole_deviation.hypot(shaft_deviation);
    RandomPairs {
        clearance,
        deviation,
        interference: below(0.0, clearance, deviation),
    }
}
