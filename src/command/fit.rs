//! `fitledger fit`: the class limits of a fit, its clearances and its kind; what measured parts do
//! together, and what the other part must become.

use crate::material::Materials;
use crate::quantity::Length;
use crate::session::Workspace;

use super::FitArguments;
use super::answers::{Form, answer_each};
use super::fit_choose;
use super::fit_plain::{FitAsked, Half, Warm};
use super::house::{self, InForce};
use super::limits::{COLUMNS, LimitsAnswer, fit_of};
use super::output::{Output, Stopped};
use super::problem::Problem;

/// What is asked beside the fits.
struct Options {
    in_force: InForce,
    asked: FitAsked,
}

impl Options {
    fn new(arguments: &FitArguments, workspace: &Workspace) -> Result<Self, Problem> {
        let half = |size: &Option<String>, u: &Option<String>| -> Result<Half, Problem> {
            let length = |text: &Option<String>| text.as_deref().map(house::length).transpose();
            Ok(Half {
                size: length(size)?,
                standard_nm: length(u)?.map(Length::as_nm_f64),
            })
        };
        let in_force = InForce::new(workspace, None, None)?;
        Ok(Self {
            asked: FitAsked {
                hole: half(&arguments.hole, &arguments.hole_u)?,
                shaft: half(&arguments.shaft, &arguments.shaft_u)?,
                warm: warm(arguments, in_force.materials())?,
            },
            in_force,
        })
    }
}

/// The working temperature with both materials.
fn warm(arguments: &FitArguments, materials: &Materials) -> Result<Option<Warm>, Problem> {
    let (Some(celsius), Some(hole), Some(shaft)) = (
        &arguments.working_temperature,
        &arguments.hole_material,
        &arguments.shaft_material,
    ) else {
        return Ok(None);
    };
    Ok(Some(Warm {
        celsius: house::celsius(celsius)?,
        hole: materials.find(hole)?.clone(),
        shaft: materials.find(shaft)?.clone(),
    }))
}

/// Answers each fit.
pub(super) fn run(
    arguments: &FitArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    if let Some(purpose) = arguments.purpose {
        return fit_choose::run(arguments, purpose, workspace, out);
    }
    let options = Options::new(arguments, workspace);
    let form = Form {
        json: arguments.json,
        columns: COLUMNS,
        word_at: 1,
    };
    answer_each(
        &arguments.fits,
        form,
        out,
        |text| -> Result<LimitsAnswer, Problem> {
            let options = options.as_ref().map_err(Problem::clone)?;
            fit_of(text, &options.in_force, &options.asked)
        },
    )
}
