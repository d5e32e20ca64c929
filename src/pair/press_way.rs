//! With what a joint is usually pressed together. Common practice, no source: the rating on the
//! press decides.

/// Up to here a vice or a small arbor press usually does, N.
const VICE_N: f64 = 5_000.0;
/// Up to here an arbor press with a rack or a lever usually does, N.
const ARBOR_N: f64 = 30_000.0;
/// Up to here a shop press does, N.
const HYDRAULIC_N: f64 = 200_000.0;

/// What usually brings up such a force.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PressWay {
    /// A vice with soft jaws, or a small arbor press.
    Vice,
    /// An arbor press.
    Arbor,
    /// A hydraulic press.
    Hydraulic,
    /// Not pressed cold: heat or cold.
    Thermal,
}

impl PressWay {
    /// For the largest force that pressing in may take, N.
    pub fn for_force(newton: f64) -> Self {
        match newton {
            force if force <= VICE_N => Self::Vice,
            force if force <= ARBOR_N => Self::Arbor,
            force if force <= HYDRAULIC_N => Self::Hydraulic,
            _ => Self::Thermal,
        }
    }

    /// The word in JSON.
    pub fn code(self) -> &'static str {
        match self {
            Self::Vice => "vice",
            Self::Arbor => "arbor_press",
            Self::Hydraulic => "hydraulic_press",
            Self::Thermal => "heat_or_cold",
        }
    }

    /// The advice, in steps.
    pub fn sentence(self) -> &'static str {
        match self {
            Self::Vice => {
                "Up to 5 kN: a vice with soft jaws and a squared spacer, or a small arbor press. \
                 Chamfer the entry, oil it, start it square, press without stopping (common \
                 practice, no source)."
            }
            Self::Arbor => {
                "Up to 30 kN: an arbor press of that rating, the hub on a ring close to the joint. \
                 Chamfer the entry, oil it, start it square, press without stopping (common \
                 practice, no source)."
            }
            Self::Hydraulic => {
                "Above 30 kN: a hydraulic press of that rating with a guard and a gauge for its \
                 force; watch that the force rises evenly, and stop when it jumps (common \
                 practice, no source)."
            }
            Self::Thermal => {
                "Above 200 kN: not pressed cold in a small workshop; warm the hub or cool the \
                 shaft instead (common practice, no source)."
            }
        }
    }
}
