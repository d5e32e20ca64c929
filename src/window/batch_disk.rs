//! Where the Batch room keeps its charts (the folder of reports of the workspace), and where it
//! finds what was measured before. It runs apart from the frame.

use eframe::egui::Context;

use super::batch_run::BatchOutside;
use crate::report::file_name_with;
use crate::session::{Snapshot, State, Workspace, session_before};

/// The charts on the disk.
pub struct BatchDisk {
    workspace: Workspace,
    context: Context,
}

impl BatchDisk {
    /// Those of that workspace; `context` is asked for a frame when there is something new.
    pub fn new(workspace: Workspace, context: Context) -> Self {
        Self { workspace, context }
    }
}

impl BatchOutside for BatchDisk {
    fn keep(&mut self, stem: &str, ends: &str, bytes: Vec<u8>) -> Result<String, String> {
        let named = |number: u32| {
            let stem = match number {
                1 => stem.to_owned(),
                number => format!("{stem}-{number}"),
            };
            vec![file_name_with(&stem, ends)]
        };
        let kept = self.workspace.keep_reports(named, |_| vec![bytes]);
        kept.map(|path| path.display().to_string())
            .map_err(|error| error.to_string())
    }

    fn earlier(&mut self, of: &Snapshot) -> Option<State> {
        session_before(&self.workspace, &of.journal, &of.state)
    }

    fn changed(&mut self) {
        self.context.request_repaint();
    }
}
