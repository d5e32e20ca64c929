//! Reads the sizes of a plan's parts from the records of the workspace, each record once until it
//! changes; may take long, so it runs apart from a frame.

use std::collections::{BTreeMap, HashMap};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::begin::file_name;
use super::catalogue::{Catalogue, Entry, JournalState, Progress};
use super::opening::session_parts;
use super::part_sizes::{RecordSizes, record_sizes};
use super::record::SessionRecord;
use super::record_folders::RecordFolders;
use super::replay::{Check, Retold};
use super::runner::at_once;
use super::snapshot::Snapshot;
use super::workspace::{Workspace, read_text, rescue_folder};
use crate::journal::{Event, Sequence};
use crate::plan::Plan;
use crate::tolerance::Tables;

/// Where plans lie in a workspace, beside its own folder.
const PLANS: &str = "plans";

/// By what the records of a plan are known.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum PlanKey {
    /// What it makes, by the part's name and its drawing.
    Part {
        /// The part's name.
        name: String,
        /// Number of its drawing; may be empty.
        drawing: String,
    },
    /// The plan file's name alone: the file itself is not there, or is no plan.
    File(String),
}

/// What the records of a plan hold.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PlanRecords {
    /// What each of them says.
    pub records: Vec<Arc<RecordSizes>>,
    /// So many were not read, since reading was ended.
    pub missing: usize,
    /// So many cannot be read.
    pub unreadable: usize,
}

/// By what an entry is known again: head, doubt from elsewhere, damage.
type EntryKey = (String, Vec<u32>, bool);

/// The records of a workspace, as far as they were read.
pub struct PairRecords {
    workspace: Workspace,
    catalogue: Option<Catalogue>,
    known: HashMap<String, (EntryKey, Arc<RecordSizes>)>,
}

impl PlanKey {
    /// That of a plan; none where it names no part.
    pub fn of(plan: &Plan) -> Option<Self> {
        let part = &plan.part;
        (!part.name.is_empty()).then(|| Self::Part {
            name: part.name.clone(),
            drawing: part.drawing.clone().unwrap_or_default(),
        })
    }

    /// Whether a session is of that plan.
    pub(super) fn is_of(&self, entry: &Entry) -> bool {
        match self {
            Self::Part { name, drawing } => entry.part == *name && entry.drawing == *drawing,
            Self::File(file) => entry.plan_name == *file,
        }
    }
}

impl PairRecords {
    /// Those of that workspace; nothing is read yet.
    pub fn new(workspace: Workspace) -> Self {
        Self {
            workspace,
            catalogue: None,
            known: HashMap::new(),
        }
    }

    /// Looks which records there are; `told` hears how many of those that changed are read, and
    /// says whether to go on.
    ///
    /// # Errors
    /// Why they cannot be listed, in a sentence; those that are known stay.
    pub fn look(&mut self, told: &mut dyn FnMut(usize, usize) -> bool) -> Result<(), String> {
        let told = |progress: Progress| told(progress.done, progress.of);
        let read = match &mut self.catalogue {
            Some(catalogue) => catalogue.refresh(told),
            None => Catalogue::open(&self.workspace, told).map(|fresh| {
                self.catalogue = Some(fresh);
            }),
        };
        read.map_err(|error| error.to_string())
    }

    /// The key of the plan that a pair names; `file` as it names it, `beside` the folder of the
    /// plan that names it, where that is known.
    pub fn plan_key(&self, file: &str, beside: Option<&Path>, tables: &Tables) -> PlanKey {
        let root = self.workspace.root();
        let folders = [root.to_path_buf(), root.join(PLANS)];
        let beside = beside.map(Path::to_path_buf);
        let paths = beside.into_iter().chain(folders);
        let mut plans = paths.filter_map(|folder| {
            let text = read_text(&folder.join(file)).ok()?;
            let plan = Plan::parse(&text, file, tables).ok()?;
            PlanKey::of(&plan)
        });
        let named = || PlanKey::File(file_name(&PathBuf::from(file)));
        plans.next().unwrap_or_else(named)
    }

    /// What the records of a plan hold, but that of the session with the journal `but`.
    pub fn of_plan(
        &mut self,
        key: &PlanKey,
        but: &str,
        told: &mut dyn FnMut(usize, usize) -> bool,
    ) -> PlanRecords {
        let mut found = PlanRecords::default();
        let Some(catalogue) = &self.catalogue else {
            return found;
        };
        found.missing = catalogue.missing();
        let is_meant = |entry: &&Entry| key.is_of(entry) && !has_file(entry, but);
        let mut to_read = Vec::new();
        for entry in catalogue.entries().iter().filter(is_meant) {
            if entry.state == JournalState::Unreadable {
                found.unreadable += 1;
                continue;
            }
            match self.known.get(entry.journal()) {
                Some((at, sizes)) if *at == key_of(entry) => found.records.push(Arc::clone(sizes)),
                _ => to_read.push(entry),
            }
        }
        let folders = RecordFolders::of_workspace(&self.workspace);
        let all = to_read.len();
        let read = at_once(
            &to_read,
            |entry| self.sizes(&folders, entry),
            |done| told(done, all),
        );
        let fresh: Vec<_> = to_read
            .iter()
            .zip(read)
            .map(|(entry, read)| (entry.journal().to_owned(), key_of(entry), read))
            .collect();
        for (journal, at, read) in fresh {
            match read {
                None => found.missing += 1,
                Some(None) => found.unreadable += 1,
                Some(Some(sizes)) => {
                    let sizes = Arc::new(sizes);
                    found.records.push(Arc::clone(&sizes));
                    self.known.insert(journal, (at, sizes));
                }
            }
        }
        found
    }

    fn sizes(&self, folders: &RecordFolders, entry: &Entry) -> Option<RecordSizes> {
        let mut standard: BTreeMap<Sequence, Option<i64>> = BTreeMap::new();
        let told = |retold: &Retold<'_>| hear(&mut standard, retold);
        let read = SessionRecord::read_with(folders, entry.record_parts(), Check::State, told);
        let state = read.ok()?.replayed.state?;
        let of = |line: Sequence| standard.get(&line).copied().flatten();
        let is_elsewhere = entry
            .files
            .last()
            .is_some_and(|file| file.stamp.is_elsewhere);
        let folder = match is_elsewhere {
            true => rescue_folder().path().to_path_buf(),
            false => self.workspace.sessions_path(),
        };
        Some(RecordSizes {
            journal: entry.journal().to_owned(),
            path: folder.join(entry.journal()).display().to_string(),
            opened_ms: entry.opened.map_or(0, |at| at.as_millisecond()),
            ..record_sizes(&state, &of, &entry.in_doubt, entry.is_damaged())
        })
    }

    /// What the session that goes on holds; the uncertainties are read from its record.
    pub fn running(&self, snapshot: &Snapshot) -> RecordSizes {
        let folders = RecordFolders::of_workspace(&self.workspace);
        let mut standard: BTreeMap<Sequence, Option<i64>> = BTreeMap::new();
        if let Ok(files) = session_parts(&folders, &snapshot.journal) {
            let told = |retold: &Retold<'_>| hear(&mut standard, retold);
            // What cannot be read leaves an uncertainty that is not known.
            let _ = SessionRecord::read_with(&folders, files, Check::State, told);
        }
        let of = |line: Sequence| standard.get(&line).copied().flatten();
        let entries = self.catalogue.iter().flat_map(Catalogue::entries);
        let own = { entries }.find(|entry| has_file(entry, &snapshot.journal));
        let doubted = own.map_or(&[][..], |entry| &entry.in_doubt);
        RecordSizes {
            journal: snapshot.journal.clone(),
            path: snapshot.path.clone(),
            opened_ms: i64::MAX,
            is_here: true,
            ..record_sizes(&snapshot.state, &of, doubted, false)
        }
    }
}

fn hear(standard: &mut BTreeMap<Sequence, Option<i64>>, retold: &Retold<'_>) {
    if let Event::VerdictGiven(verdict) = retold.event {
        standard.insert(verdict.reading, verdict.u);
    }
}

fn has_file(entry: &Entry, journal: &str) -> bool {
    let mut files = entry.files.iter();
    files.any(|file| file.stamp.name == journal)
}

fn key_of(entry: &Entry) -> EntryKey {
    let head = entry.head.clone();
    (head, entry.in_doubt.clone(), entry.is_damaged())
}
