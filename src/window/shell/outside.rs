//! What lies outside the window, as it is asked: the disk, ports, the running session.

use std::path::Path;
use std::sync::Arc;

use crate::gauge::{Gauge, GaugeId, StudyEntry};
use crate::session::{
    Begin, BeginError, GaugeStory, Live, MateWanted, PortWatch, Request, Seen, Snapshot,
};
use crate::window::batch_run::BatchSide;
use crate::window::gauges_room::GaugesFacts;
use crate::window::links_run::LinksSide;
use crate::window::plan_disk::PlanShelf;
use crate::window::plan_learned::LearnedSide;
use crate::window::records_run::RecordsSide;
use crate::window::sound::Tone;
use crate::window::start::{GaugeChoice, StartFacts};
use crate::window::study_past::{Days, StudyAt};
use crate::window::teach_run::TeachSide;
use crate::window::teach_setup::TeachOrder;

/// A session that runs.
pub trait Running {
    /// As it was last published.
    fn snapshot(&self) -> Arc<Snapshot>;
    /// Asks for something; never waits.
    fn send(&self, request: Request);
    /// Monotonic milliseconds since the session started, now.
    fn now_ms(&self) -> u64;
    /// Ends it; it stays unfinished unless it was closed.
    fn stop(&self);
}

/// A port that is watched until this is dropped.
pub trait Watching {
    /// As it was last seen.
    fn seen(&self) -> Arc<Seen>;
    /// Asks the gauge for a value.
    ///
    /// # Errors
    /// Why it was not asked, in a sentence.
    fn ask(&self) -> Result<(), String>;
}

/// What lies outside the window.
pub trait Outside {
    /// What there is to begin with, looked up now.
    fn facts(&mut self) -> StartFacts;
    /// Where readings may come from, looked up now: ports come and go.
    fn gauges(&mut self) -> Vec<GaugeChoice>;
    /// What the Gauges room shows, looked up now.
    fn gauge_facts(&mut self) -> GaugesFacts {
        GaugesFacts::default()
    }
    /// Checks and readings in doubt of every session, read in the background since
    /// [`Outside::gauge_facts`] was asked last; none before they are.
    fn story(&mut self) -> Option<Arc<GaugeStory>> {
        None
    }
    /// Watches the port of a gauge that no session holds, with nothing recorded.
    ///
    /// # Errors
    /// Why it cannot be watched, in a sentence.
    fn watch(&mut self, gauge: &Gauge) -> Result<Box<dyn Watching>, String> {
        Err(format!("{} cannot be watched here.", gauge.id))
    }
    /// The ports that are there now, by name.
    fn ports(&mut self) -> Vec<String> {
        Vec::new()
    }
    /// Goes through a teaching apart from the window: runs `side` with the port of the order.
    ///
    /// # Errors
    /// Why it did not begin, in a sentence.
    fn teach(&mut self, order: TeachOrder, side: TeachSide) -> Result<(), String> {
        drop(side);
        Err(format!("{} cannot be taught here.", order.gauge))
    }
    /// A number that nobody chose, to draw an order with.
    fn seed(&mut self) -> u64 {
        1
    }
    /// Enters what a study found in the register of the workspace; answers the file.
    ///
    /// # Errors
    /// Why it was not entered, in a sentence.
    fn keep_study(&mut self, gauge: &GaugeId, entry: &StudyEntry) -> Result<String, String> {
        let _ = entry;
        Err(format!("What was found of {gauge} cannot be entered here."))
    }
    /// The days on which the same was studied as in that study, looked for in the background; none
    /// before they are found.
    fn study_days(&mut self, at: &StudyAt) -> Option<Days> {
        let _ = at;
        None
    }
    /// Reads, checks and writes records apart from the window: runs `side` until the window leaves.
    ///
    /// # Errors
    /// Why it did not begin, in a sentence.
    fn records(&mut self, side: RecordsSide) -> Result<(), String> {
        drop(side);
        Err("Records cannot be read here.".to_owned())
    }
    /// Works the numbers of a batch out apart from the window: runs `side` until the window leaves.
    ///
    /// # Errors
    /// Why it did not begin, in a sentence.
    fn batch(&mut self, side: BatchSide) -> Result<(), String> {
        drop(side);
        Err("The numbers cannot be worked out here.".to_owned())
    }
    /// Collects the measured halves of pairs apart from the window: runs `side` until it leaves.
    ///
    /// # Errors
    /// Why it did not begin, in a sentence.
    fn links(&mut self, side: LinksSide) -> Result<(), String> {
        drop(side);
        Err("The measured parts of pairs cannot be looked for here.".to_owned())
    }
    /// The mates of a plan that other plans make, and that it may be made to suit.
    fn mates(&mut self, plan: &Path) -> Vec<MateWanted> {
        let _ = plan;
        Vec::new()
    }
    /// What lies outside the Plan room; none where plans cannot be edited.
    fn plan_shelf(&mut self) -> Option<Box<dyn PlanShelf>> {
        None
    }
    /// Looks for what earlier batches teach apart from the window: runs `side` until the Plan room
    /// is left.
    ///
    /// # Errors
    /// Why it did not begin, in a sentence.
    fn learned(&mut self, side: LearnedSide) -> Result<(), String> {
        drop(side);
        Err("The records cannot be read here.".to_owned())
    }
    /// Begins a session.
    ///
    /// # Errors
    /// Why none was begun.
    fn begin(&mut self, begin: &Begin) -> Result<Box<dyn Running>, BeginError>;
    /// Keeps the card of keys, a PDF, in the folder of reports; answers the file.
    ///
    /// # Errors
    /// Why it was not kept, in a sentence.
    fn keep_card(&mut self, bytes: Vec<u8>) -> Result<String, String> {
        drop(bytes);
        Err("Nothing can be kept here.".to_owned())
    }
    /// Asks for a sound; never waits.
    fn play(&mut self, tone: Tone) {
        let _ = tone;
    }
    /// Sound is turned on: what failed before may be tried again.
    fn sound_anew(&mut self) {}
    /// Why there is no sound, once.
    fn sound_told(&mut self) -> Option<String> {
        None
    }
    /// The settings' file as it stands now; none where there is none or it cannot be read.
    fn settings_file(&mut self) -> Option<String> {
        None
    }
    /// Keeps the settings' text.
    ///
    /// # Errors
    /// Why it was not kept, in a sentence.
    fn keep_settings(&mut self, text: &str) -> Result<(), String>;
}

impl Watching for PortWatch {
    fn seen(&self) -> Arc<Seen> {
        PortWatch::seen(self)
    }

    fn ask(&self) -> Result<(), String> {
        PortWatch::ask(self)
    }
}

impl Running for Live {
    fn snapshot(&self) -> Arc<Snapshot> {
        Live::snapshot(self)
    }

    fn send(&self, request: Request) {
        Live::send(self, request);
    }

    fn now_ms(&self) -> u64 {
        Live::now_ms(self)
    }

    fn stop(&self) {
        Live::stop(self);
    }
}
