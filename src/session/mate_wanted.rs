//! The mates of a plan that other plans make: what a session may be asked to be made to suit.

use super::begin_error::BeginError;
use super::suit_asked::{told, typed_size};
use crate::pair::Measured;
use crate::plan::Plan;
use crate::quantity::Length;

/// A half that another plan makes, whose mate in this plan may be made to suit it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MateWanted {
    /// As the pair names it, and as `--suit` takes it: `bearing.toml#ring`.
    pub name: String,
    /// The plan file that makes it, as the pair names it.
    pub file: String,
    /// Which half it is.
    pub measured: Measured,
    /// The features of this plan that would be made to suit it.
    pub made: Vec<String>,
    /// The intended fit: `20 H7/g6`.
    pub fit: String,
}

/// The mates that a session of this plan can be made to suit, each once: halves that other plans
/// make, with a fit that is stated, since their limits are not in this plan.
pub fn mates_wanted(plan: &Plan) -> Vec<MateWanted> {
    let mut mates: Vec<MateWanted> = Vec::new();
    for pair in &plan.pairs {
        let (mate, made, measured) = match (&pair.hole, &pair.shaft) {
            (hole, shaft) if hole.plan.is_some() && shaft.plan.is_none() => {
                (hole, shaft, Measured::Hole)
            }
            (hole, shaft) if hole.plan.is_none() && shaft.plan.is_some() => {
                (shaft, hole, Measured::Shaft)
            }
            _ => continue,
        };
        let (Some(file), Some(fit)) = (&mate.plan, &pair.intended) else {
            continue;
        };
        let (name, made) = (told(mate), made.feature.as_str().to_owned());
        match mates.iter_mut().find(|one| one.name == name) {
            Some(one) => one.made.push(made),
            None => mates.push(MateWanted {
                name,
                file: file.clone(),
                measured,
                made: vec![made],
                fit: fit.to_string(),
            }),
        }
    }
    mates
}

/// A typed size as `--suit` takes it behind the feature, `SIZE` or `SIZE±u`: the size, and its
/// standard uncertainty where that is typed.
///
/// # Errors
/// As a session that is begun with it would say.
pub fn check_typed_mate(text: &str) -> Result<(Length, Option<Length>), BeginError> {
    typed_size(text)
}
