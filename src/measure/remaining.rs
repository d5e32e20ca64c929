//! Metal still to come off, and how deep the next cut is.

use std::fmt;

use crate::quantity::{Length, Rounding};
use crate::tolerance::{Limits, MetalSide, Surface};

/// What to aim at inside the zone that can be proved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Aim {
    /// The middle of the zone.
    Middle,
    /// The zone's edge with the most metal on.
    TowardMetal,
}

/// What the numbers on the cross-slide dial are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DialReads {
    /// What comes off the diameter.
    Diameter,
    /// How far the tool goes in.
    Radius,
}

/// The dial that the cut is set on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Dial {
    /// What its numbers are.
    pub reads: DialReads,
    /// One graduation, above zero.
    pub step: Length,
}

/// How the next cut is chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CutSetting {
    /// What to aim at.
    pub aim: Aim,
    /// Width of the guard band at each limit, not negative.
    pub guard: Length,
    /// What to leave on the dimension for a later operation; not negative.
    pub leave: Length,
    /// The least cut that still cuts (depth for a diameter, else what comes off); below it the
    /// advice is to polish.
    pub least_cut: Length,
    /// The dial, if its graduation is known.
    pub dial: Option<Dial>,
}

/// What to do next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CutAdvice {
    /// Cut.
    Cut,
    /// Too little for a cut: polish.
    Polish,
    /// Inside the zone that can be proved: stop.
    Stop,
    /// On the metal-gone side of that zone: no cut helps.
    PastZone,
}

/// How far the tool goes into the metal; made only by [`remaining_metal`], so that what comes off
/// a diameter cannot be shown as a depth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct DepthOfCut(Length);

impl DepthOfCut {
    /// The depth as a length.
    pub fn length(self) -> Length {
        self.0
    }
}

/// Metal between a value and its target.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RemainingMetal {
    target: Length,
    left: Length,
    advice: CutAdvice,
    cut: Length,
    dial_numbers: Option<Length>,
    surface: Surface,
}

impl RemainingMetal {
    /// The size to aim at.
    pub fn target(&self) -> Length {
        self.target
    }

    /// Metal to come off the dimension until the target; negative when the target is passed.
    pub fn left(&self) -> Length {
        self.left
    }

    /// What to do next.
    pub fn advice(&self) -> CutAdvice {
        self.advice
    }

    /// What the advised cut takes off the dimension; zero unless the advice is to cut.
    pub fn cut(&self) -> Length {
        self.cut
    }

    /// The advised depth of cut; only for diameters, and only when the advice is to cut.
    pub fn depth_of_cut(&self) -> Option<DepthOfCut> {
        (self.advice == CutAdvice::Cut && self.surface.is_diameter())
            .then(|| DepthOfCut(self.cut.div_floor(2)))
    }

    /// By how much to turn the dial on, in its own numbers; only when the advice is to cut.
    pub fn dial_numbers(&self) -> Option<Length> {
        self.dial_numbers
    }
}

/// Why no remaining metal can be told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RemainingError {
    /// The metal of this dimension has no side.
    NoMetalSide {
        /// The kind of surface.
        surface: Surface,
    },
    /// There is no limit on the metal-on side, so nothing must come off.
    NoMetalOnLimit,
    /// The guard bands leave no zone: no size can be proved with this gauge.
    ZoneEmpty {
        /// Width of each guard band.
        guard: Length,
        /// Width of the limits.
        tolerance: Length,
    },
    /// A guard, an allowance or a least cut below zero, or a dial step not above zero.
    SettingOutOfRange {
        /// Which.
        name: &'static str,
        /// What was given.
        found: Length,
    },
}

/// Metal still to come off a dimension.
///
/// Formula: zone = limits less the guard bands, moved toward metal by the allowance; target its
///          middle or its metal-on edge; left = value - target (outside), target - value (inside,
///          slot, depth); depth = left / 2 for diameters
/// Symbols: all lengths exact; the allowance is what a later operation takes off.
/// Valid:   dimensions whose metal has a side; one-sided limits aim at the metal-on edge.
/// Rounding: target, depth and dial numbers toward metal on, to 1 nm or a dial step, so that a
///           rounded cut never takes more than the metal that is left.
/// Source:  geometry; the dial reads diameter or radius: common practice.
/// Checked: tests/tables/remaining.csv.
/// Errors:  NoMetalSide, NoMetalOnLimit, ZoneEmpty, SettingOutOfRange.
///
/// ```
/// use fitledger::measure::{Aim, CutAdvice, CutSetting, remaining_metal};
/// use fitledger::quantity::Length;
/// use fitledger::tolerance::{Derivation, Limits, Surface};
/// let (low, high) = (Length::from_um(20_002), Length::from_um(20_015)); // 20 k6
/// let seat = Limits::new(Some(low), Some(high), Derivation::Stated)?;
/// let setting = CutSetting {
///     aim: Aim::Middle,
///     guard: Length::from_um(2),
///     leave: Length::ZERO,
///     least_cut: Length::from_um(10),
///     dial: None,
/// };
/// let metal = remaining_metal(Length::from_um(20_046), &seat, Surface::Outside, &setting)?;
/// assert_eq!(metal.advice(), CutAdvice::Cut);
/// assert_eq!(metal.left(), Length::from_nm(37_500));
/// assert_eq!(metal.depth_of_cut().map(|depth| depth.length()), Some(Length::from_nm(18_750)));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn remaining_metal(
    value: Length,
    limits: &Limits,
    surface: Surface,
    setting: &CutSetting,
) -> Result<RemainingMetal, RemainingError> {
    check(setting)?;
    // On the metal axis larger is always more metal, for a shaft and for a bore alike.
    let sign = match surface.metal_side() {
        MetalSide::Larger => 1,
        MetalSide::Smaller => -1,
        MetalSide::Neither => return Err(RemainingError::NoMetalSide { surface }),
    };
    let (gone_limit, on_limit) = if sign > 0 {
        (limits.lower(), limits.upper())
    } else {
        (limits.upper(), limits.lower())
    };
    let on_limit = on_limit.ok_or(RemainingError::NoMetalOnLimit)? * sign;
    let gone_limit = gone_limit.map(|limit| limit * sign);
    let on_edge = on_limit - setting.guard + setting.leave;
    let gone_edge = gone_limit.map(|limit| limit + setting.guard + setting.leave);
    if let (Some(gone_limit), Some(gone_edge)) = (gone_limit, gone_edge)
        && gone_edge > on_edge
    {
        return Err(RemainingError::ZoneEmpty {
            guard: setting.guard,
            tolerance: on_limit - gone_limit,
        });
    }
    let target = match (setting.aim, gone_edge) {
        (Aim::Middle, Some(gone_edge)) => (gone_edge + on_edge).div_ceil(2),
        _ => on_edge,
    };
    let metal = value * sign;
    let left = metal - target;
    let (cut, dial_numbers) = planned_cut(left, surface, setting.dial);
    let advance = if surface.is_diameter() {
        cut.div_floor(2)
    } else {
        cut
    };
    let advice = if gone_edge.is_some_and(|gone_edge| metal < gone_edge) {
        CutAdvice::PastZone
    } else if metal <= on_edge {
        CutAdvice::Stop
    } else if advance < setting.least_cut || advance <= Length::ZERO {
        CutAdvice::Polish
    } else {
        CutAdvice::Cut
    };
    let cutting = advice == CutAdvice::Cut;
    Ok(RemainingMetal {
        target: target * sign,
        left,
        advice,
        cut: if cutting { cut } else { Length::ZERO },
        dial_numbers: dial_numbers.filter(|_| cutting),
        surface,
    })
}

/// What a cut takes off the dimension, and what the dial is turned on by.
fn planned_cut(left: Length, surface: Surface, dial: Option<Dial>) -> (Length, Option<Length>) {
    let on_step = |length: Length, step| length.round_to(step, Rounding::Floor);
    match (surface.is_diameter(), dial) {
        (true, Some(dial)) => match dial.reads {
            DialReads::Diameter => {
                let numbers = on_step(left, dial.step);
                (numbers, Some(numbers))
            }
            DialReads::Radius => {
                let numbers = on_step(left.div_floor(2), dial.step);
                (numbers * 2, Some(numbers))
            }
        },
        (true, None) => (left.div_floor(2) * 2, None),
        (false, Some(dial)) => {
            let numbers = on_step(left, dial.step);
            (numbers, Some(numbers))
        }
        (false, None) => (left, None),
    }
}

fn check(setting: &CutSetting) -> Result<(), RemainingError> {
    let amounts = [
        ("guard band", setting.guard),
        ("allowance to leave", setting.leave),
        ("least cut", setting.least_cut),
    ];
    for (name, found) in amounts {
        if found.is_negative() {
            return Err(RemainingError::SettingOutOfRange { name, found });
        }
    }
    match setting.dial {
        Some(dial) if dial.step <= Length::ZERO => Err(RemainingError::SettingOutOfRange {
            name: "dial step",
            found: dial.step,
        }),
        _ => Ok(()),
    }
}

impl RemainingError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NoMetalSide { .. } => "no_metal_side",
            Self::NoMetalOnLimit => "no_metal_on_limit",
            Self::ZoneEmpty { .. } => "zone_empty",
            Self::SettingOutOfRange { .. } => "cut_setting_out_of_range",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        Some(match self {
            Self::NoMetalSide { .. } => "Say where the metal is: outside, inside, depth or slot.",
            Self::NoMetalOnLimit => "Give a limit on the metal-on side, or stop cutting.",
            Self::ZoneEmpty { .. } => "Use a gauge with a smaller uncertainty.",
            Self::SettingOutOfRange { .. } => "Give zero or more; a dial step above zero.",
        })
    }
}

impl fmt::Display for RemainingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoMetalSide { surface } => write!(
                f,
                "The metal of a {} has no side, so what is left cannot be told.",
                surface.word()
            ),
            Self::NoMetalOnLimit => {
                f.write_str("There is no limit on the metal-on side, so nothing has to come off.")
            }
            Self::ZoneEmpty { guard, tolerance } => write!(
                f,
                "Two guard bands of {guard} mm leave nothing of a tolerance of {tolerance} mm: no \
                 size can be proved with this gauge."
            ),
            Self::SettingOutOfRange { name, found } => {
                write!(f, "The {name} of {found} mm is too small.")
            }
        }
    }
}

impl std::error::Error for RemainingError {}
