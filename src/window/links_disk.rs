//! The records of a workspace for pairing, as they lie on the disk. It runs apart from the frame.

use std::path::Path;

use eframe::egui::Context;

use super::links_run::{LinksOutside, Seen};
use crate::session::{PairRecords, PlanKey, PlanRecords, RecordSizes, Snapshot, Workspace};
use crate::tolerance::Tables;

/// A new frame for so many records that were read.
const STEP_RECORDS: usize = 10;

/// The records on the disk.
pub struct LinksDisk {
    records: PairRecords,
    context: Context,
    tables: Tables,
}

impl LinksDisk {
    /// Those of that workspace; `context` is asked for a frame when there is something new.
    pub fn new(workspace: Workspace, context: Context, tables: Option<Tables>) -> Self {
        Self {
            records: PairRecords::new(workspace),
            context,
            tables: tables.unwrap_or_else(|| Tables::standard().clone()),
        }
    }
}

/// Hears how far it is, and asks for a frame now and then.
fn shown<'a>(context: &Context, seen: Seen<'a>) -> impl FnMut(usize, usize) -> bool + use<'a> {
    let context = context.clone();
    move |done, of| {
        if done.is_multiple_of(STEP_RECORDS) {
            context.request_repaint();
        }
        seen(done, of)
    }
}

impl LinksOutside for LinksDisk {
    fn look(&mut self, seen: Seen<'_>) -> Result<(), String> {
        self.records.look(&mut shown(&self.context, seen))
    }

    fn plan_key(&mut self, file: &str, beside: Option<&Path>) -> PlanKey {
        self.records.plan_key(file, beside, &self.tables)
    }

    fn of_plan(&mut self, key: &PlanKey, but: &str, seen: Seen<'_>) -> PlanRecords {
        let mut told = shown(&self.context, seen);
        self.records.of_plan(key, but, &mut told)
    }

    fn running(&mut self, snapshot: &Snapshot) -> RecordSizes {
        self.records.running(snapshot)
    }

    fn changed(&mut self) {
        self.context.request_repaint();
    }
}
