//! `fitledger plugs`: the GO and NO-GO screw gauges of a thread.

use crate::session::Workspace;

use super::arguments::PlugsArguments;
use super::output::{Output, Stopped};

pub(super) fn run(_: &PlugsArguments, _: &Workspace, _: &mut Output) -> Result<(), Stopped> {
    Ok(())
}
