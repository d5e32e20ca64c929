//! Where the Plan room finds plan files, and where it keeps them.

use std::path::{Path, PathBuf};

use eframe::egui::Context;

use super::app_facts::plan_file;
use super::plan_learned::LearnedOutside;
use super::start::Known;
use crate::gauge::{Register, RegisterError};
use crate::material::MATERIALS_FILE;
use crate::plan::PlanSheet;
use crate::session::{
    GaugesSaid, GaugesWatch, LearnedFound, PlanKey, PlanWatch, PlanWriteError, Workspace, new_plan,
    operations_of, plan_beside, plan_files, read_plan, replace_plan,
};
use crate::tolerance::Tables;

/// So many sessions of a part are read for what its batches teach, those used last (chosen: all of
/// them are in memory at once).
const SESSIONS_MAX: usize = 24;
/// What the register's file is called where its faults are told.
const GAUGES_FILE: &str = "gauges.toml";

/// What there is in the workspace for plans, looked up once.
#[derive(Debug, Clone, Default)]
pub struct PlanShelfFacts {
    /// The plan files.
    pub plans: Vec<Known>,
    /// The ids of the features of each, by the file's name and by its place in the workspace.
    pub features: Vec<(String, Vec<String>)>,
    /// The text of the gauge register that counts: the last one that was sound; empty where there
    /// is none.
    pub gauges: String,
    /// What its file says.
    pub gauges_said: GaugesSaid,
    /// Why the file is not what counts, in a sentence; none where it is.
    pub gauges_fault: Option<String>,
    /// The house's tables: name and text.
    pub house: Vec<(String, String)>,
    /// The tolerance tables with those of the house.
    pub tables: Option<Tables>,
    /// What could not be read, a sentence each.
    pub faults: Vec<String>,
}

impl PlanShelfFacts {
    /// Takes in what the register's file says by now: one that is not sound, or cannot be read,
    /// leaves the last one that was.
    pub fn hear_gauges(&mut self, said: GaugesSaid) {
        let fault = match &said {
            GaugesSaid::Text(text) => match Register::parse(text, GAUGES_FILE) {
                Ok(_) => {
                    self.gauges.clone_from(text);
                    None
                }
                Err(errors) => Some(first_of(&errors)),
            },
            GaugesSaid::NotThere => {
                self.gauges.clear();
                None
            }
            GaugesSaid::Unreadable(why) => Some(why.clone()),
        };
        self.gauges_fault = fault;
        self.gauges_said = said;
    }

    /// What was looked up anew, with the last register that was sound.
    #[must_use]
    pub fn after(mut self, before: &Self) -> Self {
        if self.gauges_fault.is_some() {
            self.gauges.clone_from(&before.gauges);
        }
        self
    }
}

/// The first fault with what to do, and how many more there are.
fn first_of(errors: &[RegisterError]) -> String {
    let Some(first) = errors.first() else {
        return String::new();
    };
    let hint = first.hint().unwrap_or_default();
    let more = match errors.len() {
        ..=1 => String::new(),
        2 => " There is 1 more fault.".to_owned(),
        count => format!(" There are {} more faults.", count - 1),
    };
    format!("{} {hint}", first.sentence()).trim().to_owned() + &more
}

/// How saving went.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PlanKept {
    /// It is on the disk, there.
    At(PathBuf),
    /// The file says something else by now: this. Nothing was written.
    Overtaken(String),
    /// The file is gone. Nothing was written.
    Gone,
    /// It is not on the disk: why, in a sentence.
    Failed(String),
}

/// A plan file that is watched until this is dropped.
pub trait WatchingPlan {
    /// What it says now, once since it was last asked.
    fn news(&self) -> Option<String>;
}

/// The gauge register's file that is watched until this is dropped.
pub trait WatchingGauges {
    /// What it says now, once since it was last asked.
    fn news(&self) -> Option<GaugesSaid>;
}

/// What lies outside the Plan room.
pub trait PlanShelf {
    /// What there is, looked up now.
    fn facts(&mut self) -> PlanShelfFacts;
    /// The text of a file.
    ///
    /// # Errors
    /// Why it cannot be read, in a sentence.
    fn read(&mut self, path: &Path) -> Result<String, String>;
    /// Puts a text in the place of the one that the change began from.
    fn replace(&mut self, path: &Path, before: &str, text: &str) -> PlanKept;
    /// Writes a file that is not there yet. A name without a folder lies in the workspace's
    /// `plans`.
    fn create(&mut self, path: &Path, text: &str) -> PlanKept;
    /// Writes a text beside a file, under a name with that word.
    fn beside(&mut self, path: Option<&Path>, word: &str, text: &str) -> PlanKept;
    /// Watches the gauge register's file, which says this now.
    fn watch_gauges(&mut self, known: &GaugesSaid) -> Option<Box<dyn WatchingGauges>>;
    /// Watches a file that says this now.
    fn watch(&mut self, path: &Path, known: &str) -> Option<Box<dyn WatchingPlan>>;
    /// A file's name as people are told it.
    fn name(&self, path: &Path) -> String;
}

/// The plans of a workspace.
pub struct PlanDisk {
    workspace: Workspace,
    context: Context,
}

impl PlanDisk {
    /// Those of that workspace; `context` is asked for a frame when a file changes.
    pub fn new(workspace: Workspace, context: Context) -> Self {
        Self { workspace, context }
    }

    fn tables(&self, facts: &mut PlanShelfFacts) -> Tables {
        let mut tables = Tables::standard().clone();
        match self.workspace.house_tables() {
            Ok(house) => facts.house = house,
            Err(error) => facts.faults.push(error.to_string()),
        }
        for (name, text) in facts
            .house
            .iter()
            .filter(|(name, _)| name != MATERIALS_FILE)
        {
            match tables.clone().with_house(text, name) {
                Ok(more) => tables = more,
                Err(error) => facts.faults.push(error.to_string()),
            }
        }
        tables
    }
}

impl PlanShelf for PlanDisk {
    fn facts(&mut self) -> PlanShelfFacts {
        let mut facts = PlanShelfFacts::default();
        let tables = self.tables(&mut facts);
        facts.hear_gauges(GaugesSaid::now(&self.workspace));
        let (paths, faults) = plan_files(self.workspace.root());
        facts.faults.extend(faults);
        for path in paths {
            let Ok(text) = read_plan(&path) else { continue };
            let name = self.name(&path);
            if let Ok(sheet) = PlanSheet::read(&text) {
                let ids = sheet
                    .features()
                    .iter()
                    .map(|one| one.shown("id").to_owned());
                facts.features.push((name, ids.collect()));
            }
            let known = plan_file(&text, path, self.workspace.root(), &tables);
            facts.plans.extend(known);
        }
        facts.tables = Some(tables);
        facts
    }

    fn read(&mut self, path: &Path) -> Result<String, String> {
        read_plan(path).map_err(|error| format!("{error} {}", error.hint()))
    }

    fn replace(&mut self, path: &Path, before: &str, text: &str) -> PlanKept {
        match replace_plan(path, before, text) {
            Ok(()) => PlanKept::At(path.to_path_buf()),
            Err(PlanWriteError::Overtaken(now)) => PlanKept::Overtaken(now),
            Err(PlanWriteError::Gone) => PlanKept::Gone,
            Err(PlanWriteError::Failed(error)) => failed(&error),
        }
    }

    fn create(&mut self, path: &Path, text: &str) -> PlanKept {
        let is_bare = path
            .parent()
            .is_none_or(|folder| folder.as_os_str().is_empty());
        let path = match is_bare {
            true => self.workspace.root().join("plans").join(path),
            false => path.to_path_buf(),
        };
        match new_plan(&path, text) {
            Ok(()) => PlanKept::At(path),
            Err(error) => failed(&error),
        }
    }

    fn beside(&mut self, path: Option<&Path>, word: &str, text: &str) -> PlanKept {
        let folder = self.workspace.root().join("plans");
        match plan_beside(path, &folder, word, text) {
            Ok(path) => PlanKept::At(path),
            Err(error) => failed(&error),
        }
    }

    fn watch_gauges(&mut self, known: &GaugesSaid) -> Option<Box<dyn WatchingGauges>> {
        let context = self.context.clone();
        let changed = move || context.request_repaint();
        // Without a thread it is read when the room is entered.
        let watch = GaugesWatch::start(self.workspace.clone(), known.clone(), changed).ok()?;
        Some(Box::new(watch))
    }

    fn watch(&mut self, path: &Path, known: &str) -> Option<Box<dyn WatchingPlan>> {
        let context = self.context.clone();
        let changed = move || context.request_repaint();
        // Without a thread a change is told when it is saved.
        let watch = PlanWatch::start(path.to_path_buf(), known.to_owned(), changed).ok()?;
        Some(Box::new(watch))
    }

    fn name(&self, path: &Path) -> String {
        let inside = path.strip_prefix(self.workspace.root());
        inside.unwrap_or(path).display().to_string()
    }
}

/// The records of a workspace, for what they teach of a plan's part. It runs apart from the frame.
pub struct LearnedDisk {
    workspace: Workspace,
    context: Context,
}

impl LearnedDisk {
    /// Those of that workspace; `context` is asked for a frame when something was found.
    pub fn new(workspace: Workspace, context: Context) -> Self {
        Self { workspace, context }
    }
}

impl LearnedOutside for LearnedDisk {
    fn learned(
        &mut self,
        of: &PlanKey,
        goes_on: &mut dyn FnMut() -> bool,
    ) -> Result<LearnedFound, String> {
        operations_of(&self.workspace, of, SESSIONS_MAX, goes_on).map_err(|error| error.to_string())
    }

    fn changed(&mut self) {
        self.context.request_repaint();
    }
}

impl WatchingGauges for GaugesWatch {
    fn news(&self) -> Option<GaugesSaid> {
        GaugesWatch::news(self)
    }
}

impl WatchingPlan for PlanWatch {
    fn news(&self) -> Option<String> {
        PlanWatch::news(self)
    }
}

fn failed(error: &crate::session::WorkspaceError) -> PlanKept {
    // The cause first: which file it is stands above, and a line has only so much room.
    let cause = match error.code() {
        "file_exists" => "there is a file of that name, which is never written over".to_owned(),
        _ => error.cause.to_string(),
    };
    PlanKept::Failed(format!(
        "Not saved, and your edits are still here: {cause}."
    ))
}
