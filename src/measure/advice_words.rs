//! Every advice in a sentence, with the numbers that it rests on; and in a few words for where
//! there is only one line.

use super::advice::{
    CannotHold, LeaveReason, LimitAhead, Offset, OffsetAdvice, SamplingAdvice, SamplingReason,
    rounded,
};
use super::allowance::{LearnedAllowance, MeasurementShare};
use super::shown::{self, millimetres, signed};
use super::{DialReads, advice};
use crate::quantity::Length;
use crate::tolerance::MetalSide;

/// Micrometres with one decimal, no sign.
fn micrometres(length: Length) -> String {
    shown::micrometres(length, 1)
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

impl LimitAhead {
    /// The advice in a sentence.
    pub fn sentence(&self) -> String {
        let drift = micrometres(rounded(self.drift_nm));
        let until = match self.latest {
            Some(latest) => format!("between part {} and part {latest}", self.earliest),
            None => format!("from part {} on", self.earliest),
        };
        format!(
            "Over the last {} parts the size {} by {drift} a part: at part {} it reaches {}, \
             the {} limit less the guard band ({until} with {} confidence). A single part may lie \
             beyond it from part {} on.",
            self.parts,
            if self.drift_nm > 0.0 {
                "grows"
            } else {
                "shrinks"
            },
            self.part,
            millimetres(self.limit),
            if self.is_upper { "upper" } else { "lower" },
            percent(self.confidence),
            self.single,
        )
    }

    /// In a few words.
    pub fn line(&self) -> String {
        let limit = millimetres(self.limit);
        match self.latest {
            Some(latest) => format!(
                "reaches {limit} at part {} ({} to {latest})",
                self.part, self.earliest
            ),
            None => format!(
                "reaches {limit} at part {} ({} on)",
                self.part, self.earliest
            ),
        }
    }
}

impl OffsetAdvice {
    /// The advice in a sentence.
    pub fn sentence(&self) -> String {
        match self {
            Self::Give(offset) => offset.sentence(),
            Self::Leave {
                off,
                noise,
                parts,
                reason,
            } => {
                let side = if off.is_negative() { "below" } else { "above" };
                let stands = format!(
                    "The process stands {} {side} the middle ({parts} parts)",
                    micrometres(*off)
                );
                match reason {
                    LeaveReason::Noise => format!(
                        "Give no offset. {stands}; chance alone makes {}, and correcting chance \
                         adds to the spread.",
                        micrometres(*noise)
                    ),
                    LeaveReason::BelowStep(step) => format!(
                        "Give no offset. {stands}, less than the least step ({}).",
                        millimetres(*step)
                    ),
                }
            }
        }
    }
}

impl Offset {
    /// The advice in a sentence.
    pub fn sentence(&self) -> String {
        let side = if self.off.is_negative() {
            "below"
        } else {
            "above"
        };
        format!(
            "Give an offset of {}: the process stands {} {side} the middle ({} parts; chance alone \
             makes {}).",
            self.amount(),
            micrometres(self.off),
            self.parts,
            micrometres(self.noise),
        )
    }

    /// In a few words.
    pub fn line(&self) -> String {
        let of_dial = match self.on_dial {
            Some((DialReads::Radius, turn)) => Some((turn, " on the dial (radius)")),
            Some((DialReads::Diameter, turn)) => Some((turn, " on the dial (diameter)")),
            None => None,
        };
        let (amount, what) = match of_dial {
            Some(found) if self.is_diameter => found,
            None if self.is_diameter => (self.on_dimension, " on the diameter"),
            _ => (self.on_dimension, ""),
        };
        format!("offset {}{what}", signed(amount))
    }

    /// As the dial reads; where that is not known, on the diameter and on the radius.
    fn amount(&self) -> String {
        match (self.on_dial, self.is_diameter) {
            (Some((DialReads::Radius, turn)), true) => format!(
                "{} on the dial (radius), {} on the diameter",
                signed(turn),
                signed(self.on_dimension)
            ),
            (Some((DialReads::Diameter, turn)), true) => {
                format!("{} on the dial (diameter)", signed(turn))
            }
            (None, true) => format!(
                "{} on the diameter, {} on the radius",
                signed(self.on_dimension),
                signed(self.on_tool)
            ),
            (_, false) => signed(self.on_dimension),
        }
    }
}

impl CannotHold {
    /// The advice in a sentence.
    pub fn sentence(&self) -> String {
        let worst = format!(
            "even the upper end of Cpk is {:.2} ({} values; {:.2} is needed)",
            self.worst_upper, self.values, self.needed
        );
        match (self.might_centred, self.centred_upper) {
            (true, Some(upper)) => format!(
                "As it stands this process cannot hold this tolerance: {worst}. In the middle it \
                 might (Cp up to {upper:.2}): centre it first."
            ),
            _ => format!(
                "This process cannot hold this tolerance: {worst}. Another tool, another way or \
                 another tolerance; an offset does not help."
            ),
        }
    }

    /// In a few words.
    pub fn line(&self) -> String {
        match self.might_centred {
            true => format!(
                "not held off the middle: Cpk at most {:.2}",
                self.worst_upper
            ),
            false => format!("cannot be held: Cpk at most {:.2}", self.worst_upper),
        }
    }
}

impl SamplingAdvice {
    /// The advice in a sentence.
    pub fn sentence(&self) -> String {
        let every = match self.every {
            1 => "Measure every part".to_owned(),
            every => format!("Measure every {every} parts"),
        };
        match self.because {
            SamplingReason::Drift { single } => {
                format!("{every}: the drift may bring one beyond the limit from part {single} on.")
            }
            SamplingReason::Ample { worst_lower } => format!(
                "{every} is enough: no drift, and even the lower end of Cpk is {worst_lower:.2} \
                 (common practice from {:.2}).",
                advice::CPK_AMPLE
            ),
            SamplingReason::NotProved => {
                format!("{every}: nothing proves yet that fewer are enough.")
            }
        }
    }
}

impl MeasurementShare {
    /// The share in a sentence.
    pub fn sentence(&self) -> String {
        let seen = micrometres(rounded(self.seen_nm));
        let gauge = micrometres(rounded(self.measurement_nm));
        match self.process_nm {
            Some(process) => format!(
                "Of the spread seen (s {seen}) measuring makes s {gauge}, {} of the variance; \
                 the parts themselves spread by s {}.",
                percent(self.share),
                micrometres(rounded(process))
            ),
            None => format!(
                "Measuring alone (s {gauge}) explains the spread seen (s {seen}): nothing is known \
                 of the parts' own."
            ),
        }
    }
}

impl LearnedAllowance {
    /// What was learned, in a sentence.
    pub fn sentence(&self) -> String {
        let change = format!(
            "On {} parts the operation changed the size by {} on average; {} of all parts lie \
             between {} and {} (with {} confidence)",
            self.parts,
            signed(self.mean),
            percent(self.share),
            signed(self.least),
            signed(self.most),
            percent(self.confidence)
        );
        match self.leave {
            Some(leave) => format!(
                "{change}. Leave {} for it, and keep {} inside each limit before it.",
                millimetres(leave),
                millimetres(self.tighten)
            ),
            None => format!("{change}. {}.", self.why_nothing_to_leave()),
        }
    }

    /// Why nothing is to be left for the operation, where that is so.
    pub fn why_nothing_to_leave(&self) -> &'static str {
        match self.surface.metal_side() {
            MetalSide::Neither => {
                "Metal has no side here, so that what comes off and is to be left cannot be told"
            }
            _ if self.mean == Length::ZERO => {
                "On average it takes no metal: nothing is to be left for it"
            }
            _ => "It adds metal: nothing is to be left for it",
        }
    }
}
