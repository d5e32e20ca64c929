//! Readings that are likely a slip of hand or unit are held, with the likely cause.
//!
//! A reading inside its own limits is never held. A trap that would put a reading inside holds
//! it only where chance would not: the traps are sharp for narrow limits and blunt for wide
//! ones, and a blunt trap only names the cause of a reading that is far off anyway.

use std::fmt;

use crate::gauge::Origin;
use crate::quantity::{Length, LengthUnit, Rounding};
use crate::tolerance::{Limits, MetalSide, Surface};

/// A reading is far when it is outside by more than so many tolerances (chosen) ...
const FAR_TOLERANCES: i64 = 10;
/// ... and by more than this (chosen).
const FAR: Length = Length::from_um(250);
/// One-sided limits have no tolerance: far is a share of the limit, one part in so many (chosen).
const FAR_SHARE: i64 = 10;
/// A ratio (inch and millimetre, radius and diameter) is sharp when the tolerance is at most one
/// part in so many of the middle (chosen).
const SHARP_RATIO_SHARE: i64 = 10;
/// While cutting, metal may seem to have grown by this much through a burr, heat or a lighter
/// touch (chosen); more is held.
const GROWN_MIN: Length = Length::from_um(50);

/// What a reading is compared with.
#[derive(Debug, Clone, Copy)]
pub struct Circumstances<'a> {
    /// The reading's value, setting offset included.
    pub value: Length,
    /// Limits of the characteristic that it would be assigned to.
    pub limits: &'a Limits,
    /// Where the metal is.
    pub surface: Surface,
    /// The unit that the gauge showed or the person typed.
    pub unit: LengthUnit,
    /// Typed or sent.
    pub origin: Origin,
    /// Read from a thimble.
    pub thimble: bool,
    /// The bench is cutting.
    pub cutting: bool,
    /// The last value of the same characteristic of the same part.
    pub last_value: Option<Length>,
    /// The limits of this part's other characteristics.
    pub others: &'a [Limits],
}

/// Whether a reading may be assigned at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Plausibility {
    /// It may.
    Plausible,
    /// It is held until a person answers.
    Held(Cause),
}

/// The likely cause of an implausible reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// An inch reading was taken for millimetres; in inches it is this size.
    InchTakenForMillimetre {
        /// The size that would be inside.
        would_be: Length,
    },
    /// A millimetre reading was taken for inches; in millimetres it is this size.
    MillimetreTakenForInch {
        /// The size that would be inside.
        would_be: Length,
    },
    /// The thimble was read one turn off.
    ThimbleTurn {
        /// The size that would be inside.
        would_be: Length,
    },
    /// It fits another characteristic of this part.
    OtherCharacteristic {
        /// Which, counted from 0 in the slice of the others.
        index: usize,
    },
    /// A radius was entered for a diameter.
    RadiusForDiameter {
        /// The diameter that would be inside.
        would_be: Length,
    },
    /// More metal than at the last reading, while cutting.
    MetalGrown {
        /// The last value.
        last: Length,
    },
    /// Far outside the limits, for no known reason.
    Far {
        /// How far beyond the limit.
        beyond: Length,
    },
}

/// Whether a reading is plausible where it would be assigned.
///
/// Rules, in order (numbers are chosen unless a definition gives them):
/// 1. Inside its limits: plausible, whatever else.
/// 2. While cutting, a reading on the metal-on side is held only for inch and millimetre, or for
///    a diameter with more metal than the last reading (by more than 0.05 mm); that other
///    characteristic is named which such a reading fits. Where metal has no side, both sides
///    count as metal on while cutting.
/// 3. A sharp trap puts it inside: held. Inch and millimetre (ratio exactly 25.4) and radius for
///    diameter are sharp when the tolerance is at most a tenth of the size; a thimble turn
///    (exactly 0.5 mm, or 0.025 in on an inch thimble) when the tolerance is at most half a turn,
///    only for typed readings of a thimble; another characteristic when the reading is beyond its
///    own limits by more than both tolerances.
/// 4. Outside by more than 10 tolerances and 0.25 mm (one-sided limits: a tenth of the limit and
///    0.25 mm): held, with the cause of the first trap that fits, sharp or not.
pub fn plausibility(about: &Circumstances<'_>) -> Plausibility {
    if about.limits.contains(about.value) {
        return Plausibility::Plausible;
    }
    let beyond = about.limits.beyond(about.value);
    if about.cutting && metal_on(about, beyond) {
        return match unit_trap(about).filter(|_| ratio_is_sharp(about.limits)) {
            Some(cause) => Plausibility::Held(cause),
            // Metal does not grow: where the size fits another characteristic, that is likelier.
            None => grown(about).map_or(Plausibility::Plausible, |grown| {
                Plausibility::Held(other_trap(about, beyond.abs()).unwrap_or(grown))
            }),
        };
    }
    let far = is_far(beyond.abs(), about.limits);
    let ratios = far || ratio_is_sharp(about.limits);
    let turns = far || turn_is_sharp(about);
    let cause = unit_trap(about)
        .filter(|_| ratios)
        .or_else(|| turn_trap(about).filter(|_| turns))
        .or_else(|| other_trap(about, beyond.abs()))
        .or_else(|| radius_trap(about).filter(|_| ratios))
        .or(far.then_some(Cause::Far {
            beyond: beyond.abs(),
        }));
    cause.map_or(Plausibility::Plausible, Plausibility::Held)
}

fn metal_on(about: &Circumstances<'_>, beyond: Length) -> bool {
    match about.surface.metal_side() {
        MetalSide::Larger => beyond > Length::ZERO,
        MetalSide::Smaller => beyond.is_negative(),
        MetalSide::Neither => true,
    }
}

fn grown(about: &Circumstances<'_>) -> Option<Cause> {
    let last = about.last_value?;
    let more = match about.surface.metal_side() {
        MetalSide::Larger => about.value - last,
        MetalSide::Smaller => last - about.value,
        MetalSide::Neither => return None,
    };
    (about.surface.is_diameter() && more > GROWN_MIN).then_some(Cause::MetalGrown { last })
}

fn is_far(beyond: Length, limits: &Limits) -> bool {
    let several = match (limits.tolerance(), limits.upper().or(limits.lower())) {
        (Some(tolerance), _) => tolerance * FAR_TOLERANCES,
        (None, Some(limit)) => limit.abs().div_ceil(FAR_SHARE),
        (None, None) => Length::ZERO,
    };
    beyond > FAR && beyond > several
}

fn ratio_is_sharp(limits: &Limits) -> bool {
    match (limits.tolerance(), limits.lower()) {
        (Some(tolerance), Some(lower)) => {
            let middle = lower + tolerance.div_floor(2);
            tolerance * SHARP_RATIO_SHARE <= middle.abs()
        }
        _ => false,
    }
}

/// A size that is inside two-sided limits; one-sided ones hold half of all sizes and prove no
/// trap.
fn inside(size: Length, limits: &Limits) -> Option<Length> {
    (limits.tolerance().is_some() && limits.contains(size)).then_some(size)
}

/// The value times a fraction, to the nearest nanometre; none when it leaves the range.
fn scaled(value: Length, numerator: i64, denominator: i64) -> Option<Length> {
    let product = i128::from(value.as_nm()) * i128::from(numerator);
    let nm = Rounding::HalfEven.divide(product, i128::from(denominator));
    Length::checked_nm(nm).ok()
}

/// Inch and millimetre: the unit that was shown says which way round it is.
fn unit_trap(about: &Circumstances<'_>) -> Option<Cause> {
    let size = |numerator, denominator| {
        scaled(about.value, numerator, denominator).and_then(|size| inside(size, about.limits))
    };
    match about.unit {
        LengthUnit::Millimetre => {
            size(127, 5).map(|would_be| Cause::InchTakenForMillimetre { would_be })
        }
        LengthUnit::Inch => size(5, 127).map(|would_be| Cause::MillimetreTakenForInch { would_be }),
    }
}

/// One turn of a thimble: 0.5 mm, or 0.025 in.
fn turn(unit: LengthUnit) -> Length {
    match unit {
        LengthUnit::Millimetre => Length::from_um(500),
        LengthUnit::Inch => Length::from_um(635),
    }
}

fn turn_trap(about: &Circumstances<'_>) -> Option<Cause> {
    if !about.thimble || about.origin != Origin::Typed {
        return None;
    }
    let turn = turn(about.unit);
    [about.value - turn, about.value + turn]
        .into_iter()
        .find_map(|size| inside(size, about.limits))
        .map(|would_be| Cause::ThimbleTurn { would_be })
}

fn turn_is_sharp(about: &Circumstances<'_>) -> bool {
    about
        .limits
        .tolerance()
        .is_some_and(|tolerance| tolerance * 2 <= turn(about.unit))
}

/// Another characteristic that it fits, when it is beyond its own limits by more than its own
/// tolerance and the other's: neighbouring zones of one size prove nothing.
fn other_trap(about: &Circumstances<'_>, beyond: Length) -> Option<Cause> {
    let own = about.limits.tolerance().unwrap_or(FAR);
    about
        .others
        .iter()
        .position(|other| {
            let wide = other.tolerance();
            beyond > own && wide.is_some_and(|wide| beyond > wide) && other.contains(about.value)
        })
        .map(|index| Cause::OtherCharacteristic { index })
}

fn radius_trap(about: &Circumstances<'_>) -> Option<Cause> {
    if !about.surface.is_diameter() {
        return None;
    }
    scaled(about.value, 2, 1)
        .and_then(|size| inside(size, about.limits))
        .map(|would_be| Cause::RadiusForDiameter { would_be })
}

/// How much the zero seems to have slipped, from the last readings of different characteristics
/// (value and limits each): only a warning, never a reason to hold.
///
/// Three or more readings (chosen), each outside two-sided limits on the same side, whose
/// deviations from the middle differ by no more than the narrowest of the tolerances: their mean
/// deviation, rounded half to even. None otherwise.
pub fn slipped_zero(last: &[(Length, Limits)]) -> Option<Length> {
    const READINGS_MIN: usize = 3;
    let mut sum = Length::ZERO;
    let (mut least, mut most) = (None::<Length>, None::<Length>);
    let mut narrowest = None::<Length>;
    for (value, limits) in last {
        let (middle, width) = (limits.middle()?, limits.tolerance()?);
        if limits.contains(*value) {
            return None;
        }
        let deviation = *value - middle;
        sum += deviation;
        least = Some(least.map_or(deviation, |known| known.min(deviation)));
        most = Some(most.map_or(deviation, |known| known.max(deviation)));
        narrowest = Some(narrowest.map_or(width, |known| known.min(width)));
    }
    let (least, most) = (least?, most?);
    let alike = most - least <= narrowest? && least.is_negative() == most.is_negative();
    let count = i64::try_from(last.len()).ok()?;
    (last.len() >= READINGS_MIN && alike).then(|| sum.div_half_even(count))
}

impl Cause {
    /// The cause's word in JSON and records.
    pub fn code(self) -> &'static str {
        match self {
            Self::InchTakenForMillimetre { .. } => "inch_taken_for_millimetre",
            Self::MillimetreTakenForInch { .. } => "millimetre_taken_for_inch",
            Self::ThimbleTurn { .. } => "thimble_turn",
            Self::OtherCharacteristic { .. } => "other_characteristic",
            Self::RadiusForDiameter { .. } => "radius_for_diameter",
            Self::MetalGrown { .. } => "metal_grown",
            Self::Far { .. } => "far",
        }
    }
}

/// A sentence for the person who must answer.
impl fmt::Display for Cause {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::InchTakenForMillimetre { would_be } => {
                write!(
                    f,
                    "Inch taken for millimetre? Then it is {would_be} mm, inside."
                )
            }
            Self::MillimetreTakenForInch { would_be } => {
                write!(
                    f,
                    "Millimetre taken for inch? Then it is {would_be} mm, inside."
                )
            }
            Self::ThimbleTurn { would_be } => {
                write!(
                    f,
                    "One turn of the thimble off? Then it is {would_be} mm, inside."
                )
            }
            Self::OtherCharacteristic { .. } => {
                f.write_str("It fits another characteristic of this part.")
            }
            Self::RadiusForDiameter { would_be } => write!(
                f,
                "Radius for diameter? Then the diameter is {would_be} mm, inside."
            ),
            Self::MetalGrown { last } => write!(
                f,
                "More metal than before the cut: the last reading was {last} mm."
            ),
            Self::Far { beyond } => write!(f, "Far outside: {beyond} mm beyond the limit."),
        }
    }
}
