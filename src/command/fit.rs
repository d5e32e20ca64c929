//! `fitledger fit`: the class limits of a fit, its clearances and its kind.

use crate::session::Workspace;

use super::answers::{Form, answer_each};
use super::arguments::FitArguments;
use super::house::InForce;
use super::limits::{COLUMNS, LimitsAnswer, fit_of};
use super::output::{Output, Stopped};
use super::problem::Problem;

/// Answers each fit.
pub(super) fn run(
    arguments: &FitArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let in_force = InForce::new(workspace, None, None);
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
            fit_of(text, in_force.as_ref().map_err(Problem::clone)?)
        },
    )
}
