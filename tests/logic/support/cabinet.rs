//! Workspaces full of records, for what is looked for among them.

use std::fs;
use std::path::PathBuf;

use fitledger::journal::{Disposition, DispositionKind, Job, Manner, Meaning, SignedOff};
use fitledger::session::{Catalogue, Command, Entry, Incoming, RecordFolders, Workspace};
use tempfile::TempDir;

use super::bench::{Bench, NAME};
use super::journals::Seeded;
use crate::session_random::{random_incoming, random_plan};

/// A workspace.
pub(crate) struct Cabinet {
    pub(crate) place: TempDir,
}

impl Cabinet {
    pub(crate) fn new() -> Self {
        let place = tempfile::tempdir().unwrap();
        fs::create_dir(place.path().join("sessions")).unwrap();
        Self { place }
    }

    pub(crate) fn workspace(&self) -> Workspace {
        Workspace::locate(Some(self.place.path()))
    }

    pub(crate) fn folders(&self) -> RecordFolders {
        RecordFolders::of_workspace(&self.workspace())
    }

    pub(crate) fn session(&self, name: &str) -> PathBuf {
        self.place.path().join("sessions").join(name)
    }

    pub(crate) fn index(&self) -> PathBuf {
        self.place.path().join("cache").join("records.index")
    }

    /// Puts the record of a bench there.
    pub(crate) fn put(&self, name: &str, bench: &Bench) {
        fs::write(self.session(name), bench.disk.bytes(NAME)).unwrap();
    }

    /// As it is looked at an hour from now: nothing has changed just before.
    pub(crate) fn opened(&self) -> Catalogue {
        let later = jiff::Timestamp::now() + jiff::SignedDuration::from_hours(1);
        Catalogue::open_at(&self.workspace(), later, |_| true).unwrap()
    }

    /// Without the index, which is left as it is.
    pub(crate) fn read_anew(&self) -> Vec<Entry> {
        let kept = fs::read(self.index()).ok();
        let catalogue = Catalogue::open_anew(&self.workspace(), |_| true).unwrap();
        match kept {
            Some(bytes) => fs::write(self.index(), bytes).unwrap(),
            None => drop(fs::remove_file(self.index())),
        }
        catalogue.entries().to_vec()
    }
}

/// A person's decision, which may be refused.
fn random_decision(random: &mut Seeded) -> Command {
    let who = ["Ada", "Bo", "Cy"][random.below(3)].to_owned();
    let part = u32::try_from(random.below(4)).unwrap();
    match random.below(7) {
        0 => Command::NamePart {
            part: (part > 0).then_some(part),
            serial: format!("SN-{}", random.below(1_000)),
        },
        1 => Command::NoteJob(Job {
            order: ["", "PO-7", "PO-8"][random.below(3)].to_owned(),
            customer: ["", "Garden works", "Brunnen GmbH"][random.below(3)].to_owned(),
            material_lot: ["", "L1"][random.below(2)].to_owned(),
            machine: ["", "lathe 2"][random.below(2)].to_owned(),
        }),
        2 => Command::ChangeOperator { name: who },
        3 | 4 => {
            let kinds = DispositionKind::WORDS;
            Command::Dispose(Box::new(Disposition {
                part,
                kind: kinds[random.below(kinds.len())].0,
                feature: ["", "F0"][random.below(2)].to_owned(),
                element: String::new(),
                reason: "as agreed".to_owned(),
                by: who,
                agreed_with: "the customer".to_owned(),
                of: random.next() % 200,
            }))
        }
        _ => Command::SignOff(Box::new(SignedOff {
            part,
            meaning: Meaning::WORDS[random.below(3)].0,
            manner: Manner::WORDS[random.below(4)].0,
            by: who,
            reason: "needed today".to_owned(),
            covers: SignedOff::JUST_BEFORE,
            hash: String::new(),
            left: Vec::new(),
        })),
    }
}

/// A session of whatever comes, decisions too; every third is left open.
pub(crate) fn random_session(seed: u64, steps: usize) -> Bench {
    let mut random = Seeded(seed);
    let opened = random_plan(&mut random);
    let mut bench = Bench::new(opened);
    bench.now_ms += 1_000 * (random.next() % 200);
    for _ in 0..steps {
        let known = bench.readings();
        let one = match random.below(4) {
            0 => Incoming::Command(random_decision(&mut random)),
            _ => random_incoming(&mut random, &known),
        };
        bench.take(vec![one]);
    }
    if random.below(3) > 0 {
        let reason = "done".to_owned();
        bench.asks(Command::Close { reason });
    }
    bench
}
