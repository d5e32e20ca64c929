//! Earlier studies of a gauge, looked for apart from the window and compared by their days.

use std::sync::{Arc, Mutex};

use super::behind::lock;
use crate::gauge::GaugeId;
use crate::session::{RecordFolders, StudyDays, past_studies, study_days};

/// Which study is looked at: its gauge, its record, and the last line of that.
pub type StudyAt = (GaugeId, String, u64);

/// What the days say, once they were looked through.
pub type Days = Arc<[StudyDays]>;

/// The days of the study that is looked at.
#[derive(Debug, Default)]
pub struct StudyPast {
    at: Option<StudyAt>,
    found: Arc<Mutex<Option<Days>>>,
}

impl StudyPast {
    /// What is to be done apart from the window to find the days of that study; none when that was
    /// given out before. `notify` is called when they were found.
    pub fn to_do(
        &mut self,
        at: &StudyAt,
        folders: RecordFolders,
        notify: impl FnOnce() + Send + 'static,
    ) -> Option<impl FnOnce() + Send + 'static> {
        if self.at.as_ref() == Some(at) {
            return None;
        }
        let (found, gauge) = (Arc::default(), at.0.clone());
        (self.at, self.found) = (Some(at.clone()), Arc::clone(&found));
        Some(move || {
            let past = past_studies(&folders, &gauge);
            // Records that cannot be read are told where they are listed.
            let days = past.ok().and_then(|past| study_days(&past).ok());
            *lock(&found) = Some(days.unwrap_or_default().into());
            notify();
        })
    }

    /// The days; none while they are being looked for.
    pub fn found(&self) -> Option<Days> {
        lock(&self.found).clone()
    }
}
