//! What can be wrong in a plan.

use std::fmt;

use super::problem_form::FormProblem;
use crate::gauge::{FileProblem, Problem};
use crate::quantity::{Length, counted};
use crate::tolerance::{CalloutError, LimitsError};

/// A fault of a plan's form or meaning.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PlanProblem {
    /// A fault of form.
    File(FileProblem),
    /// The plan has no feature, so nothing would be measured.
    NoFeatures,
    /// The callout is none, or gives no limits.
    Callout(CalloutError),
    /// A fit, and nothing says which of its two members this part is.
    FitNeedsSurface,
    /// A thread's designation for both members, and nothing says which this part has.
    ThreadNeedsSurface,
    /// The callout's class and the surface contradict each other.
    SurfaceContradicts {
        /// What the class is of: `hole` or `shaft`.
        class: &'static str,
        /// The surface as written.
        surface: &'static str,
    },
    /// Elements of something that is neither a thread nor a plain hole or shaft.
    ElementsWithoutThread,
    /// A key that means something for threads only.
    KeyWithoutThread {
        /// The key.
        key: &'static str,
    },
    /// `elements` is an empty list.
    NoElements,
    /// An end of a limit gauge for a limit that the callout does not have.
    ElementNeedsLimit {
        /// The element.
        element: String,
        /// `lower` or `upper`.
        limit: &'static str,
    },
    /// A word that is no element of such a thing.
    UnknownElement {
        /// The word.
        found: String,
        /// What it would prove, with its article: `an internal thread`.
        member: &'static str,
        /// The words that there are.
        known: Vec<&'static str>,
    },
    /// An element needs a key that is not there.
    ElementNeedsKey {
        /// The element.
        element: String,
        /// The key.
        key: &'static str,
    },
    /// A key of an element that the list does not name.
    KeyNeedsElement {
        /// The key.
        key: &'static str,
        /// The element.
        element: &'static str,
    },
    /// A key for what is measured, or for its diameters, where nothing such proves the thread.
    KeyNeedsMeasured {
        /// The key.
        key: &'static str,
    },
    /// Wires for an internal thread.
    WireInside,
    /// Wires on a thread whose lead angle is too steep for the formula.
    WiresTooSteep,
    /// A wire that does not touch the flanks near the pitch line.
    WireOutOfRange {
        /// The wire's diameter.
        found: Length,
        /// The least usable one.
        least: Length,
        /// The largest usable one.
        largest: Length,
    },
    /// Limits are to be moved, and nothing says where the metal is.
    MetalSideUnknown {
        /// The key.
        key: &'static str,
    },
    /// The limits cannot be moved like that.
    Moved {
        /// The key.
        key: &'static str,
        /// Why.
        error: LimitsError,
    },
    /// Not as many places as points.
    PlacesCount {
        /// How many are named.
        found: usize,
        /// How many points there are, if that is written.
        points: Option<u32>,
    },
    /// Fewer stages than metal left and coating need.
    TooFewStages {
        /// How many are there.
        found: usize,
        /// How many are needed.
        needed: usize,
    },
    /// A key that means nothing for an angle.
    NotForAngles {
        /// The key.
        key: &'static str,
    },
    /// `along` does not run upwards.
    AlongReversed,
    /// A pair's end that is no reference to a feature.
    BadReference {
        /// The key.
        key: &'static str,
        /// The reference as written.
        found: String,
    },
    /// A pair names a feature that this plan does not have.
    UnknownFeature {
        /// The key.
        key: &'static str,
        /// The id as written.
        found: String,
        /// The id that was probably meant.
        nearest: Option<String>,
    },
    /// A pair of a feature with itself.
    PairedWithItself,
    /// A pair's end is a feature of the other kind, or an angle.
    PairSide {
        /// The key: `hole` or `shaft`.
        key: &'static str,
        /// The feature.
        found: String,
        /// What it is.
        is: &'static str,
    },
    /// The intended fit is a callout of something else.
    IntendedNoFit,
    /// A fault of a form or position.
    Form(FormProblem),
}

impl From<FileProblem> for PlanProblem {
    fn from(problem: FileProblem) -> Self {
        Self::File(problem)
    }
}

impl From<FormProblem> for PlanProblem {
    fn from(problem: FormProblem) -> Self {
        Self::Form(problem)
    }
}

impl From<CalloutError> for PlanProblem {
    fn from(error: CalloutError) -> Self {
        Self::Callout(error)
    }
}

impl Problem for PlanProblem {
    fn code(&self) -> &'static str {
        match self {
            Self::File(problem) => problem.code(),
            Self::NoFeatures => "no_features",
            Self::Callout(error) => error.code(),
            Self::FitNeedsSurface => "fit_needs_surface",
            Self::ThreadNeedsSurface => "thread_needs_surface",
            Self::SurfaceContradicts { .. } => "surface_contradicts",
            Self::ElementsWithoutThread => "elements_without_thread",
            Self::KeyWithoutThread { .. } => "key_without_thread",
            Self::NoElements => "no_elements",
            Self::ElementNeedsLimit { .. } => "element_needs_limit",
            Self::UnknownElement { .. } => "unknown_element",
            Self::ElementNeedsKey { .. } => "element_needs_key",
            Self::KeyNeedsElement { .. } => "key_needs_element",
            Self::KeyNeedsMeasured { .. } => "key_needs_measured",
            Self::WireInside => "wire_inside",
            Self::WiresTooSteep => "wires_too_steep",
            Self::WireOutOfRange { .. } => "wire_out_of_range",
            Self::MetalSideUnknown { .. } => "metal_side_unknown",
            Self::Moved { error, .. } => error.code(),
            Self::PlacesCount { .. } => "places_count",
            Self::TooFewStages { .. } => "too_few_stages",
            Self::NotForAngles { .. } => "not_for_angles",
            Self::AlongReversed => "along_reversed",
            Self::BadReference { .. } => "bad_reference",
            Self::UnknownFeature { .. } => "unknown_feature",
            Self::PairedWithItself => "paired_with_itself",
            Self::PairSide { .. } => "pair_side",
            Self::IntendedNoFit => "intended_no_fit",
            Self::Form(problem) => problem.code(),
        }
    }

    fn hint(&self) -> Option<String> {
        let text = match self {
            Self::File(problem) => return problem.hint(),
            Self::Callout(CalloutError::MissingGeneralClass { .. }) => {
                "Write its tolerance beside it, or general = \"m\" under [rules] for the drawing's \
                 class of ISO 2768-1 (f, m, c or v)."
            }
            Self::Callout(CalloutError::MissingShorterSide { .. }) => {
                "Write its tolerance beside it, as 30° ±0.5°."
            }
            Self::Callout(error) => return error.hint(),
            Self::NoFeatures => "Add a [[feature]] with an id and a callout.",
            Self::FitNeedsSurface => {
                "Write this part's own class alone, or add surface = \"inside\" or \"outside\"."
            }
            Self::ThreadNeedsSurface => {
                "Write this part's own class, as 6H or 6g, or add surface = \"inside\" or \
                 \"outside\"."
            }
            Self::SurfaceContradicts { class, .. } => match *class {
                "internal thread" => "An internal thread is inside.",
                "external thread" => "An external thread is outside.",
                "hole" => "Capital letters are holes: inside, slot, length, depth or step.",
                _ => "Small letters are shafts: outside, length, depth or step.",
            },
            Self::ElementsWithoutThread
            | Self::KeyWithoutThread { .. }
            | Self::NoElements
            | Self::UnknownElement { .. }
            | Self::ElementNeedsLimit { .. }
            | Self::ElementNeedsKey { .. }
            | Self::KeyNeedsElement { .. }
            | Self::KeyNeedsMeasured { .. } => return self.hint_of_elements(),
            Self::WiresTooSteep => "Leave it out: prove the thread by ring gauge.",
            Self::WireInside => "Leave it out: an internal thread is proved by plug gauge.",
            Self::WireOutOfRange { least, largest, .. } => {
                return Some(format!(
                    "Use wires of {least} to {largest} mm at this pitch."
                ));
            }
            Self::MetalSideUnknown { .. } => {
                "Say where the metal is: surface = \"outside\", \"inside\", \"slot\" or \"depth\"."
            }
            Self::Moved { error, .. } => return error.hint().map(str::to_owned),
            Self::PlacesCount { .. } => "Name the place of each point, or leave `places` out.",
            Self::TooFewStages { .. } => {
                "The last stage decides, a coating comes last, and metal is left before that."
            }
            Self::NotForAngles { .. } => "Leave it out.",
            Self::AlongReversed => "Write the smaller end first, as [0, 14].",
            Self::BadReference { .. } => "Write \"B\", or \"other-plan.toml#B\".",
            Self::UnknownFeature {
                nearest: Some(id), ..
            } => return Some(format!("Did you mean \"{id}\"?")),
            Self::UnknownFeature {
                key: "datum" | "of",
                ..
            } => "Name another feature of this plan.",
            Self::UnknownFeature { .. } => {
                "Name a feature of this plan, or \"other-plan.toml#B\" for one of another."
            }
            Self::PairedWithItself => "Name the bore as hole and the shaft as shaft.",
            Self::PairSide { .. } => "Swap the two, or mend the feature's surface.",
            Self::IntendedNoFit => "Write it as 20 H7/k6.",
            Self::Form(problem) => problem.hint(),
        };
        Some(text.to_owned())
    }
}

impl fmt::Display for PlanProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::File(problem) => problem.fmt(f),
            Self::NoFeatures => f.write_str("the plan has no feature; expected at least one."),
            Self::Callout(error) => error.fmt(f),
            Self::FitNeedsSurface => f.write_str(
                "the callout is a fit of a hole and a shaft; expected the one that this part has.",
            ),
            Self::ThreadNeedsSurface => f.write_str(
                "the callout stands for an internal and an external thread; expected the one that \
                 this part has.",
            ),
            Self::SurfaceContradicts { class, surface } => write!(
                f,
                "`surface` is {surface}, but the callout's class is that of {} {class}.",
                if class.starts_with(['i', 'e']) {
                    "an"
                } else {
                    "a"
                }
            ),
            Self::ElementsWithoutThread
            | Self::KeyWithoutThread { .. }
            | Self::NoElements
            | Self::UnknownElement { .. }
            | Self::ElementNeedsLimit { .. }
            | Self::ElementNeedsKey { .. }
            | Self::KeyNeedsElement { .. }
            | Self::KeyNeedsMeasured { .. }
            | Self::WireInside
            | Self::WiresTooSteep
            | Self::WireOutOfRange { .. } => self.fmt_of_thread(f),
            Self::MetalSideUnknown { key } => write!(
                f,
                "`{key}` needs a side on which the metal is; this surface has none, or none is \
                 stated."
            ),
            Self::Moved { key, error } => write!(f, "`{key}`: {error}"),
            Self::PlacesCount { .. } | Self::TooFewStages { .. } => self.fmt_of_counts(f),
            Self::NotForAngles { key } => {
                write!(f, "`{key}` is for lengths, but the callout is an angle.")
            }
            Self::AlongReversed => {
                f.write_str("`along` does not run upwards; expected the smaller end first.")
            }
            Self::BadReference { key, found } => write!(
                f,
                "`{key}` is \"{}\"; expected a feature's id, after a file and # for another plan.",
                found.escape_debug()
            ),
            Self::UnknownFeature { key, found, .. } => write!(
                f,
                "`{key}` names \"{found}\"; expected a feature of this plan."
            ),
            Self::PairedWithItself => {
                f.write_str("`hole` and `shaft` name the same feature; expected two.")
            }
            Self::PairSide { key, found, is } => {
                write!(f, "`{key}` names \"{found}\", which is {is}.")
            }
            Self::Form(problem) => problem.fmt(f),
            Self::IntendedNoFit => {
                f.write_str("`intended` is no fit; expected a hole class and a shaft class.")
            }
        }
    }
}

impl PlanProblem {
    fn fmt_of_counts(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::PlacesCount {
                found,
                points: Some(points),
            } => {
                let (places, are) = (
                    counted(*found, "place"),
                    if *points == 1 { "is" } else { "are" },
                );
                let points = counted(*points, "point");
                write!(f, "`places` names {places}, and there {are} {points}.")
            }
            Self::PlacesCount { found, .. } => {
                let places = counted(*found, "place");
                write!(f, "`places` names {places}; expected 1 to 99.")
            }
            Self::TooFewStages { found, needed } => write!(
                f,
                "`stages` has {found} in its list; expected at least {needed} for what is left \
                 and coated."
            ),
            _ => Ok(()),
        }
    }
}

impl PlanProblem {
    /// What to do about the list of what proves a feature.
    fn hint_of_elements(&self) -> Option<String> {
        let text = match self {
            Self::ElementsWithoutThread => {
                "Leave it out, or say of a plain size surface = \"inside\" or \"outside\"."
            }
            Self::KeyWithoutThread { .. } => "Leave it out; only threads have it.",
            Self::NoElements => "Name what proves it, or leave the key out.",
            Self::UnknownElement { member, known, .. } => {
                let (article, rest) = member.split_once(' ').unwrap_or(("", *member));
                let article = if article == "an" { "An" } else { "A" };
                return Some(format!("{article} {rest} has: {}.", known.join(", ")));
            }
            Self::ElementNeedsLimit { .. } => "Leave the element out, or state both limits.",
            Self::ElementNeedsKey { key, .. } => match *key {
                "wire" => "Write the diameter of the wires in mm, as wire = 0.895.",
                _ => "Write the least length of full thread in mm, as full_thread = 12.",
            },
            Self::KeyNeedsElement { element, .. } => {
                return Some(format!("Add \"{element}\" to `elements`, or leave it out."));
            }
            Self::KeyNeedsMeasured { .. } => {
                "Leave it out, or name a diameter in `elements`: limit gauges only go or do not."
            }
            _ => return None,
        };
        Some(text.to_owned())
    }

    /// The sentence of what is wrong with what proves a feature.
    fn fmt_of_thread(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::ElementsWithoutThread => f.write_str(
                "`elements` is stated, but the callout is neither a thread nor a plain hole or \
                 shaft.",
            ),
            Self::KeyWithoutThread { key } => {
                write!(f, "`{key}` is stated, but the callout is no thread.")
            }
            Self::NoElements => f.write_str("`elements` is empty; expected at least one."),
            Self::UnknownElement { found, member, .. } => write!(
                f,
                "\"{}\" is nothing that proves {member}.",
                found.escape_debug()
            ),
            Self::ElementNeedsLimit { element, limit } => write!(
                f,
                "\"{element}\" is made to the {limit} limit, which the callout does not state."
            ),
            Self::ElementNeedsKey { element, key } => {
                write!(
                    f,
                    "\"{element}\" needs the key `{key}`, which is not stated."
                )
            }
            Self::KeyNeedsElement { key, element } => write!(
                f,
                "`{key}` is stated, but `elements` does not name \"{element}\"."
            ),
            Self::KeyNeedsMeasured { key } => {
                let words = match *key {
                    "points" | "places" | "take" => "what is measured, and nothing",
                    _ => "a diameter that is measured, and none",
                };
                write!(f, "`{key}` is for {words} of this feature is.")
            }
            Self::WiresTooSteep => {
                f.write_str("`wire` is stated, but the lead angle is too steep for three wires.")
            }
            Self::WireInside => {
                f.write_str("`wire` is stated, but wires do not measure an internal thread.")
            }
            Self::WireOutOfRange { found, .. } => write!(
                f,
                "`wire`: a wire of {found} mm does not touch the flanks near the pitch line."
            ),
            _ => Ok(()),
        }
    }
}
