//! What must be said beside every press or shrink fit.

/// A caution beside an answer. The first four stand beside every one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PressCaution {
    /// Forces and stresses are estimates.
    Estimate,
    /// What the press may do to people.
    Pressing,
    /// What heating may do to people.
    Heating,
    /// What cooling may do to people.
    Cooling,
    /// The loosest pair has no grip.
    NoGrip,
    /// The tightest pair goes beyond the elastic limit of the hub.
    HubYields,
    /// The tightest pair may crack a brittle hub.
    HubCracks,
    /// The tightest pair goes beyond the elastic limit of the shaft.
    ShaftYields,
    /// What a material bears is not known.
    StrengthUnknown,
    /// A short joint: the formula says too much.
    Short,
    /// Hub longer or shorter than the shaft's seat: edges press harder.
    EdgePressure,
    /// The hub would have to be hotter than its state allows.
    TooHot,
    /// The shaft would have to be colder than what cools it.
    TooCold,
    /// Cold steel shrinks less for each degree.
    ColdShrinksLess,
    /// How hot the hub may be is not known, and it must be hot.
    HeatUnknown,
    /// The bush's bore may leave its limits.
    BoreLeaves,
    /// Plastics creep: the grip goes.
    Creeps,
}

impl PressCaution {
    /// Those that stand beside every answer.
    pub const ALWAYS: [Self; 4] = [Self::Estimate, Self::Pressing, Self::Heating, Self::Cooling];

    /// The word in JSON.
    pub fn code(self) -> &'static str {
        match self {
            Self::Estimate => "estimate",
            Self::Pressing => "pressing",
            Self::Heating => "heating",
            Self::Cooling => "cooling",
            Self::NoGrip => "no_grip",
            Self::HubYields => "hub_yields",
            Self::HubCracks => "hub_cracks",
            Self::ShaftYields => "shaft_yields",
            Self::StrengthUnknown => "strength_unknown",
            Self::Short => "short_joint",
            Self::EdgePressure => "edge_pressure",
            Self::TooHot => "too_hot",
            Self::TooCold => "too_cold",
            Self::ColdShrinksLess => "cold_shrinks_less",
            Self::HeatUnknown => "heat_unknown",
            Self::BoreLeaves => "bore_leaves_limits",
            Self::Creeps => "creeps",
        }
    }

    /// The caution in a sentence.
    pub fn sentence(self) -> &'static str {
        match self {
            Self::Estimate => {
                "Forces, temperatures and stresses are estimates for a competent person. Where a \
                 failure can hurt someone (lifting, pressure, vehicles, aircraft, medicine) the \
                 design belongs to a licensed engineer, and local codes come first."
            }
            Self::Pressing => {
                "Press work: guard the parts, wear eye protection, stand clear of the line of \
                 force, never hold the part by hand, never go beyond the press's rating."
            }
            Self::Heating => {
                "Heating for shrink fits: ventilate, no plated or oily part, no open flame near \
                 oil; temper colours mean lost hardness. Hot parts look cold: mark them, dry \
                 gloves and tongs."
            }
            Self::Cooling => {
                "Dry ice and liquid nitrogen burn and take the air away: ventilate, insulated \
                 gloves, face shield, never a closed box."
            }
            Self::NoGrip => {
                "The loosest pair has no interference left after its surfaces are smoothed: it \
                 does not hold."
            }
            Self::HubYields => "The tightest pair strains the hub beyond its elastic limit.",
            Self::HubCracks => {
                "The hub is brittle: the tightest pair reaches the tension at which it may crack."
            }
            Self::ShaftYields => "The tightest pair strains the shaft beyond its elastic limit.",
            Self::StrengthUnknown => {
                "What a material bears is not known: nothing is said of yielding."
            }
            Self::Short => {
                "The joint is shorter than half its diameter: the pressure is less than computed."
            }
            Self::EdgePressure => {
                "Hub and seat are not of one length: where one ends, the pressure is higher than \
                 computed."
            }
            Self::TooHot => {
                "The hub would have to be hotter than its state allows: heating would soften it."
            }
            Self::TooCold => {
                "The shaft would have to be colder than liquid nitrogen: cooling alone is not \
                 enough."
            }
            Self::ColdShrinksLess => {
                "Cold steel shrinks less for each degree than warm steel grows: cool further, or \
                 warm the hub as well."
            }
            Self::HeatUnknown => {
                "How hot the hub may be without losing its state is not known: stay below its last \
                 tempering temperature."
            }
            Self::BoreLeaves => {
                "The bore of the bush may leave its limits when it is pressed in: make it larger \
                 before, or finish it after."
            }
            Self::Creeps => {
                "Plastic creeps: within days the grip is a fraction of what is computed."
            }
        }
    }
}
