//! A disk that behaves as badly as real ones may. It keeps two images of each file: what programs
//! see, and what a power cut leaves. Its N-th call can fail, once or from then on. A failed sync
//! marks its sectors clean without keeping them, so that a later one "succeeds" for nothing (as
//! measured on common file systems by Rebello et al., USENIX ATC 2020).

use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Cursor};
use std::sync::{Arc, Mutex, MutexGuard};

use fitledger::journal::{FileStatus, Lock, Storage, StorageFolder};

/// The smallest piece a disk writes whole, in bytes.
pub(crate) const SECTOR: usize = 512;

/// What a call does instead of its work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Fault {
    /// Fails with this error number; nothing is done.
    Errno(i32),
    /// A write takes half of the bytes and says so; other calls fail with EIO.
    Short,
    /// A write takes half of the bytes and fails with EIO all the same; so do other calls.
    HalfThenError,
}

#[derive(Debug, Clone, Copy)]
pub(crate) struct Plan {
    /// The call that fails, from 1.
    pub(crate) at: u64,
    pub(crate) fault: Fault,
    /// Whether all later calls fail too.
    pub(crate) persistent: bool,
}

#[derive(Debug, Clone, Default)]
struct Image {
    live: Vec<u8>,
    durable: Vec<u8>,
    dirty: BTreeSet<usize>,
    entry_durable: bool,
    locked: bool,
}

/// Everything on the disk just before a call: what a power cut may do with it, and what had been
/// acknowledged by then.
#[derive(Debug, Clone)]
pub(crate) struct Snapshot {
    images: BTreeMap<String, Image>,
    pub(crate) acknowledged: usize,
}

#[derive(Debug, Default)]
struct World {
    images: BTreeMap<String, Image>,
    plan: Option<Plan>,
    calls: u64,
    acknowledged: usize,
    snapshots: Vec<Snapshot>,
    failed_syncs: BTreeMap<String, u64>,
    syncs_after_failure: u64,
    /// Files made, and writes to them.
    changes: u64,
    tracing: Tracing,
}

/// When a snapshot is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Tracing {
    /// Before each sync of a file.
    #[default]
    Syncs,
    /// Before each call.
    Calls,
    /// Never.
    Nothing,
}

/// A folder on that disk. Clones are the same folder.
#[derive(Debug, Clone, Default)]
pub(crate) struct CruelDisk(Arc<Mutex<World>>);

pub(crate) struct CruelFile {
    disk: CruelDisk,
    name: String,
    holds_lock: bool,
}

const EIO: i32 = 5;

impl CruelDisk {
    pub(crate) fn failing(plan: Plan) -> Self {
        // Whole copies before each sync would take gigabytes where much is written.
        let disk = Self::tracing(Tracing::Nothing);
        disk.world().plan = Some(plan);
        disk
    }

    pub(crate) fn tracing(tracing: Tracing) -> Self {
        let disk = Self::default();
        disk.world().tracing = tracing;
        disk
    }

    /// A disk that holds just this file.
    pub(crate) fn with_file(name: &str, bytes: &[u8]) -> Self {
        let disk = Self::tracing(Tracing::Nothing);
        disk.put_file(name, bytes);
        disk
    }

    /// Puts a file on the disk behind every program's back.
    pub(crate) fn put_file(&self, name: &str, bytes: &[u8]) {
        let image = Image {
            live: bytes.to_vec(),
            durable: bytes.to_vec(),
            entry_durable: true,
            ..Image::default()
        };
        self.world().images.insert(name.to_owned(), image);
    }

    /// The call after so many more fails.
    pub(crate) fn fail_after(&self, calls: u64, fault: Fault, persistent: bool) {
        let mut world = self.world();
        let at = world.calls + 1 + calls;
        world.plan = Some(Plan {
            at,
            fault,
            persistent,
        });
    }

    /// How often a file was made or written to.
    pub(crate) fn changes(&self) -> u64 {
        self.world().changes
    }

    /// From now on nothing fails any more.
    pub(crate) fn heal(&self) {
        self.world().plan = None;
    }

    fn world(&self) -> MutexGuard<'_, World> {
        self.0.lock().unwrap()
    }

    /// Whether the planned fault has struck.
    pub(crate) fn struck(&self) -> bool {
        let world = self.world();
        world.plan.is_some_and(|plan| world.calls >= plan.at)
    }

    /// Syncs that were asked of a file after one of its syncs had failed.
    pub(crate) fn syncs_after_failure(&self) -> u64 {
        self.world().syncs_after_failure
    }

    /// Whether a sync of a file has failed on this disk: what programs see of it may not be there.
    pub(crate) fn has_failed_sync(&self) -> bool {
        !self.world().failed_syncs.is_empty()
    }

    /// The test says how many events have been acknowledged to it.
    pub(crate) fn note_acknowledged(&self, events: usize) {
        self.world().acknowledged = events;
    }

    pub(crate) fn snapshots(&self) -> Vec<Snapshot> {
        self.world().snapshots.clone()
    }

    /// The disk as a power cut at this moment may leave it.
    pub(crate) fn snapshot(&self) -> Snapshot {
        let world = self.world();
        Snapshot {
            images: world.images.clone(),
            acknowledged: world.acknowledged,
        }
    }

    /// What programs see of a file.
    pub(crate) fn bytes(&self, name: &str) -> Vec<u8> {
        self.world()
            .images
            .get(name)
            .map(|image| image.live.clone())
            .unwrap_or_default()
    }

    /// Puts bytes at the end of a file, on the disk, behind every program's back.
    pub(crate) fn put_junk(&self, name: &str, junk: &[u8]) {
        let mut world = self.world();
        let image = world.images.get_mut(name).unwrap();
        image.live.extend_from_slice(junk);
        image.durable = image.live.clone();
    }

    /// Counts a call; gives the fault that it must show.
    fn call(&self) -> Option<Fault> {
        let tracing = self.world().tracing;
        if tracing == Tracing::Calls {
            let snapshot = self.snapshot();
            self.world().snapshots.push(snapshot);
        }
        let mut world = self.world();
        world.calls += 1;
        let calls = world.calls;
        world
            .plan
            .filter(|plan| calls == plan.at || (plan.persistent && calls > plan.at))
            .map(|plan| plan.fault)
    }

    fn simple_call(&self) -> io::Result<()> {
        match self.call() {
            None => Ok(()),
            Some(Fault::Errno(number)) => Err(io::Error::from_raw_os_error(number)),
            Some(Fault::Short | Fault::HalfThenError) => Err(io::Error::from_raw_os_error(EIO)),
        }
    }

    fn open_file(&self, name: &str) -> CruelFile {
        CruelFile {
            disk: self.clone(),
            name: name.to_owned(),
            holds_lock: false,
        }
    }
}

impl Snapshot {
    /// The sectors that no sync has brought to the disk.
    pub(crate) fn unsynced(&self) -> Vec<(String, usize)> {
        self.images
            .iter()
            .flat_map(|(name, image)| image.dirty.iter().map(move |at| (name.clone(), *at)))
            .collect()
    }

    /// The files whose entry no sync of the folder has brought to the disk.
    pub(crate) fn unsynced_entries(&self) -> Vec<String> {
        let unsynced = self.images.iter().filter(|(_, image)| !image.entry_durable);
        unsynced.map(|(name, _)| name.clone()).collect()
    }

    /// The disk after a power cut that kept just these sectors, the last of them only up to
    /// `torn_at` bytes; `grown` says whether a file's new length was kept in any case.
    pub(crate) fn after_power_cut(
        &self,
        keeps: &[(String, usize)],
        torn_at: usize,
        grown: bool,
    ) -> CruelDisk {
        self.with_entries(&[], keeps, torn_at, grown)
    }

    /// As [`Snapshot::after_power_cut`], with the entries of these files kept too although the
    /// folder was not synced: a file may then be there without its bytes.
    pub(crate) fn with_entries(
        &self,
        entries: &[String],
        keeps: &[(String, usize)],
        torn_at: usize,
        grown: bool,
    ) -> CruelDisk {
        let disk = CruelDisk::tracing(Tracing::Nothing);
        let is_there =
            |(name, image): &(&String, &Image)| image.entry_durable || entries.contains(name);
        for (name, image) in self.images.iter().filter(is_there) {
            let mut left = image.durable.clone();
            if grown && !image.dirty.is_empty() {
                left.resize(image.live.len(), 0);
            }
            for (index, (_, sector)) in keeps
                .iter()
                .enumerate()
                .filter(|(_, (file, _))| file == name)
            {
                let whole = if index + 1 == keeps.len() {
                    torn_at
                } else {
                    SECTOR
                };
                let from = sector * SECTOR;
                let to = (from + whole).min(image.live.len());
                if left.len() < to {
                    left.resize(to, 0);
                }
                left[from..to].copy_from_slice(&image.live[from..to]);
            }
            let image = Image {
                live: left.clone(),
                durable: left,
                entry_durable: true,
                ..Image::default()
            };
            disk.world().images.insert(name.clone(), image);
        }
        disk
    }
}

impl StorageFolder for CruelDisk {
    type File = CruelFile;
    type Source = Cursor<Vec<u8>>;

    fn create_new(&self, name: &str) -> io::Result<CruelFile> {
        self.simple_call()?;
        let mut world = self.world();
        if world.images.contains_key(name) {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        world.changes += 1;
        world.images.insert(name.to_owned(), Image::default());
        drop(world);
        Ok(self.open_file(name))
    }

    fn open_append(&self, name: &str) -> io::Result<CruelFile> {
        self.simple_call()?;
        if !self.world().images.contains_key(name) {
            return Err(io::ErrorKind::NotFound.into());
        }
        Ok(self.open_file(name))
    }

    fn open_read(&self, name: &str) -> io::Result<Cursor<Vec<u8>>> {
        self.simple_call()?;
        let world = self.world();
        let image = world.images.get(name).ok_or(io::ErrorKind::NotFound)?;
        Ok(Cursor::new(image.live.clone()))
    }

    fn list(&self) -> io::Result<Vec<String>> {
        Ok(self.world().images.keys().cloned().collect())
    }

    fn sync(&self) -> io::Result<()> {
        self.simple_call()?;
        self.world()
            .images
            .values_mut()
            .for_each(|image| image.entry_durable = true);
        Ok(())
    }
}

impl CruelFile {
    fn put(&self, bytes: &[u8]) {
        let mut world = self.disk.world();
        world.changes += 1;
        let image = world.images.get_mut(&self.name).unwrap();
        let from = image.live.len();
        image.live.extend_from_slice(bytes);
        if !bytes.is_empty() {
            image
                .dirty
                .extend(from / SECTOR..=(image.live.len() - 1) / SECTOR);
        }
    }
}

impl Storage for CruelFile {
    fn append(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let half = &bytes[..bytes.len() / 2];
        match self.disk.call() {
            None => {
                self.put(bytes);
                Ok(bytes.len())
            }
            Some(Fault::Errno(number)) => Err(io::Error::from_raw_os_error(number)),
            Some(Fault::Short) => {
                self.put(half);
                Ok(half.len())
            }
            Some(Fault::HalfThenError) => {
                self.put(half);
                Err(io::Error::from_raw_os_error(EIO))
            }
        }
    }

    fn sync_data(&mut self) -> io::Result<()> {
        let tracing = self.disk.world().tracing;
        let snapshot = (tracing == Tracing::Syncs).then(|| self.disk.snapshot());
        let answer = self.disk.simple_call();
        let interrupted = answer
            .as_ref()
            .is_err_and(|error| error.kind() == io::ErrorKind::Interrupted);
        let mut world = self.disk.world();
        world.snapshots.extend(snapshot);
        if world.failed_syncs.contains_key(&self.name) {
            world.syncs_after_failure += 1;
        }
        if answer.is_err() && !interrupted {
            *world.failed_syncs.entry(self.name.clone()).or_default() += 1;
        }
        if interrupted {
            return answer;
        }
        let image = world.images.get_mut(&self.name).unwrap();
        let dirty = std::mem::take(&mut image.dirty);
        if answer.is_ok() {
            image.durable.resize(image.live.len(), 0);
            for sector in dirty {
                let from = sector * SECTOR;
                let to = (from + SECTOR).min(image.live.len());
                image.durable[from..to].copy_from_slice(&image.live[from..to]);
            }
        }
        answer
    }

    fn sync_all(&mut self) -> io::Result<()> {
        self.sync_data()
    }

    fn try_lock(&mut self) -> io::Result<Lock> {
        self.disk.simple_call()?;
        let mut world = self.disk.world();
        let image = world.images.get_mut(&self.name).unwrap();
        if image.locked {
            return Ok(Lock::Theirs(None));
        }
        image.locked = true;
        self.holds_lock = true;
        Ok(Lock::Ours)
    }

    fn status(&mut self) -> io::Result<FileStatus> {
        self.disk.simple_call()?;
        let world = self.disk.world();
        let length = world
            .images
            .get(&self.name)
            .map_or(0, |image| image.live.len() as u64);
        Ok(FileStatus {
            length,
            in_place: world.images.contains_key(&self.name),
        })
    }
}

impl Drop for CruelFile {
    fn drop(&mut self) {
        if self.holds_lock
            && let Some(image) = self.disk.world().images.get_mut(&self.name)
        {
            image.locked = false;
        }
    }
}
