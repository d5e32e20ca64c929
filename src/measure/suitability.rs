//! Whether a gauge can prove a tolerance at all, asked before anything is measured.

use super::guard::{doubt_beyond, guard_band};
use super::judge::JudgeError;
use super::verdict::Rule;
use crate::quantity::Exact;
use crate::statistics::normal_cdf;
use crate::tolerance::Limits;

/// Guard zones that take more than this share of the tolerance make it a gauge that proves only
/// sometimes (chosen: a gauge at 4:1 loses about a fifth under the usual rule, and passes).
pub const SOMETIMES_FROM_SHARE: f64 = 0.25;

/// The ratio T/(2U) that the old gauge makers' rule asks for; common practice, no source.
pub const TEN_TO_ONE: f64 = 10.0;

/// The ratio T/(2U) that many shops are content with; common practice, no source.
pub const FOUR_TO_ONE: f64 = 4.0;

/// Whether a ratio is at least the wanted one, a hair of binary noise aside.
pub fn meets_ratio(ratio: f64, wanted: f64) -> bool {
    ratio >= wanted * (1.0 - 1e-12)
}

/// What the sizes of a batch are assumed to do: normal about the middle of the tolerance, with
/// the tolerance as so many times six standard deviations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CentredProcess {
    /// Process capability Cp = T / (6 sd).
    pub capability: f64,
}

impl CentredProcess {
    /// The assumption where nothing is known: sd = T / 6, so that 99.7 % of the parts are good.
    pub const USUAL: Self = Self { capability: 1.0 };
}

/// Whether a gauge can prove that a part is within limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Proof {
    /// It can, for most of the tolerance.
    Can,
    /// Only for values well inside: the guard zones take more than a quarter of the tolerance.
    Sometimes,
    /// No value at all can be GO.
    Cannot,
}

impl Proof {
    /// Every answer with its word in JSON.
    pub const WORDS: [(Self, &'static str); 3] = [
        (Self::Can, "can"),
        (Self::Sometimes, "only_sometimes"),
        (Self::Cannot, "cannot"),
    ];

    /// The answer's word.
    pub fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(proof, _)| *proof == self)
            .map_or("cannot", |(_, word)| word)
    }
}

/// What an uncertainty leaves of a tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suitability<Q> {
    /// The answer.
    pub proof: Proof,
    /// T/(2U); none for one-sided limits and where U is zero.
    pub ratio: Option<f64>,
    /// How far inside each limit a value must lie to be GO; none when no value is.
    pub guard: Option<Q>,
    /// Guard zones of both limits over the tolerance, 0 to 1; with one upper limit its one zone
    /// over the size from zero. None without a guard, and with one lower limit.
    pub guard_share: Option<f64>,
    /// Share of a centred process that would be DOUBT, 0 to 1; none for one-sided limits.
    pub doubt_share: Option<f64>,
}

/// What an uncertainty leaves of a tolerance, under the rule that will judge.
///
/// Formula: ratio = T / (2 U); share = 2 g / T;
///          doubt = 2 P(-(T/2 - g) / s) - 2 P(-(T/2 + d) / s), s = sqrt((T / (6 Cp))^2 + u^2)
/// Symbols: T upper minus lower limit; U expanded uncertainty and u standard uncertainty in
///          smallest steps; g [`guard_band`]; d [`doubt_beyond`]; P normal distribution function;
///          without a guard T/2 - g is 0.
/// Valid:   u and U finite, at least 0; Cp above 0; a normal process in the middle of two limits
///          (assumed). With one upper limit above zero the room is the size from 0 to it (no size
///          is negative); one lower limit leaves room for ever, so it can be proved.
/// Rounding: g and d up to a whole step.
/// Source:  guard bands JCGM 106:2012 clause 8, ISO 14253-1; ratio: common practice, no source.
/// Checked: tests/tables/suitability.csv, tests/tables/instrument_ratios.csv.
/// Errors:  as [`guard_band`].
pub fn suitability<Q: Exact>(
    limits: &Limits<Q>,
    standard_uncertainty: f64,
    expanded_uncertainty: f64,
    rule: Rule,
    process: CentredProcess,
) -> Result<Suitability<Q>, JudgeError> {
    let u = Some(standard_uncertainty);
    let guard = guard_band(limits, u, rule)?;
    let beyond = doubt_beyond::<Q>(u, rule)?.units_f64();
    let tolerance = limits.tolerance().map(Exact::units_f64);
    let room = match tolerance {
        Some(tolerance) => Some((tolerance, 2.0)),
        None => limits
            .upper()
            .filter(|upper| upper.units() > 0)
            .map(|upper| (upper.units_f64(), 1.0)),
    };
    // With one limit, a guard wider than the size itself leaves no value either.
    let guard = guard.filter(|guard| match (tolerance, room) {
        (None, Some((room, _))) => guard.units_f64() <= room,
        _ => true,
    });
    let guard_share = guard.zip(room).and_then(|(guard, (room, zones))| {
        (room > 0.0).then(|| (zones * guard.units_f64() / room).min(1.0))
    });
    let proof = match (guard, guard_share) {
        (None, _) => Proof::Cannot,
        (Some(_), Some(share)) if share > SOMETIMES_FROM_SHARE => Proof::Sometimes,
        _ => Proof::Can,
    };
    let ratio = tolerance
        .filter(|_| expanded_uncertainty > 0.0)
        .map(|tolerance| tolerance / (2.0 * expanded_uncertainty));
    let doubt_share = tolerance.map(|tolerance| {
        let spread = (tolerance / (6.0 * process.capability)).hypot(standard_uncertainty);
        let half = tolerance / 2.0;
        let proved_to = guard.map_or(0.0, |guard| half - guard.units_f64());
        doubtful(proved_to, half + beyond, spread)
    });
    Ok(Suitability {
        proof,
        ratio,
        guard,
        guard_share,
        doubt_share,
    })
}

/// Probability of a centred normal value between the two distances, to both sides.
fn doubtful(from: f64, to: f64, spread: f64) -> f64 {
    if spread <= 0.0 {
        return if from > 0.0 { 0.0 } else { 1.0 };
    }
    let beyond = |distance: f64| 2.0 * normal_cdf(-distance / spread);
    (beyond(from) - beyond(to)).clamp(0.0, 1.0)
}
