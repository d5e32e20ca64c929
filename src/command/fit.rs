//! `fitledger fit`: the class limits of a fit, its clearances and its kind; of a thread also the
//! play of measured pitch diameters.

use crate::measure::MeasuredPitch;
use crate::quantity::Length;
use crate::session::Workspace;

use super::FitArguments;
use super::answers::{Form, answer_each};
use super::fit_thread::MeasuredPair;
use super::house::{self, InForce};
use super::limits::{COLUMNS, LimitsAnswer, fit_of};
use super::output::{Output, Stopped};
use super::problem::Problem;

/// What is asked beside the fits.
struct Options {
    in_force: InForce,
    measured: MeasuredPair,
}

impl Options {
    fn new(arguments: &FitArguments, workspace: &Workspace) -> Result<Self, Problem> {
        let member = |size: &Option<String>, u: &Option<String>| match size {
            None => Ok(None),
            Some(size) => measured(size, u.as_deref()).map(Some),
        };
        Ok(Self {
            in_force: InForce::new(workspace, None, None)?,
            measured: MeasuredPair {
                hole: member(&arguments.hole, &arguments.hole_u)?,
                shaft: member(&arguments.shaft, &arguments.shaft_u)?,
            },
        })
    }
}

fn measured(size: &str, u: Option<&str>) -> Result<MeasuredPitch, Problem> {
    let u = u.map(house::length).transpose()?;
    Ok(MeasuredPitch {
        diameter: house::length(size)?,
        standard_nm: u.map(Length::as_nm_f64),
    })
}

/// Answers each fit.
pub(super) fn run(
    arguments: &FitArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
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
            fit_of(text, &options.in_force, &options.measured)
        },
    )
}
