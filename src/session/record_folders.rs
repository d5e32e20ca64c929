//! The folders in which the files of one session may be: its own, and the one where recording
//! goes on when that fails.

use std::io;
use std::path::{Path, PathBuf};

use super::begin::file_name;
use super::workspace::{Workspace, rescue_folder};
use crate::journal::{DiskFile, DiskFolder, StorageFolder};

/// The folder that a journal lies in, and its name there.
pub(super) fn folder_and_name(journal: &Path) -> (DiskFolder, String) {
    let parent = journal.parent();
    let parent = parent.filter(|parent| !parent.as_os_str().is_empty());
    let folder = DiskFolder::new(parent.unwrap_or(Path::new(".")));
    (folder, file_name(journal))
}

/// Several folders read as one; the first comes first where a name is in several.
#[derive(Debug, Clone)]
pub struct RecordFolders {
    own: DiskFolder,
    others: Vec<DiskFolder>,
    /// This file is read from the first folder or not at all: it was asked for by its path.
    asked: String,
    /// The workspace, where these are its folders.
    root: Option<PathBuf>,
}

impl RecordFolders {
    /// The workspace's sessions, and where they may have gone on.
    pub fn of_workspace(workspace: &Workspace) -> Self {
        Self {
            own: DiskFolder::new(workspace.sessions_path()),
            others: vec![rescue_folder()],
            asked: String::new(),
            root: Some(workspace.root().to_path_buf()),
        }
    }

    /// The folder of a journal, and where its other files may be; and the journal's name.
    pub fn of_journal(path: &Path, workspace: &Workspace) -> (Self, String) {
        let (own, name) = folder_and_name(path);
        let folders = Self {
            own,
            others: vec![DiskFolder::new(workspace.sessions_path()), rescue_folder()],
            asked: name.clone(),
            root: None,
        };
        (folders, name)
    }

    /// The first folder, where the names in it count before those of the others.
    pub(super) fn own(&self) -> &DiskFolder {
        &self.own
    }

    /// The others.
    pub(super) fn others(&self) -> &[DiskFolder] {
        &self.others
    }

    /// The workspace's folder, where these are the folders of a workspace.
    pub(super) fn root(&self) -> Option<&Path> {
        self.root.as_deref()
    }

    /// The names in the first folder.
    ///
    /// # Errors
    /// What the system answered.
    pub fn own_names(&self) -> io::Result<Vec<String>> {
        self.own.list()
    }
}

impl StorageFolder for RecordFolders {
    type File = DiskFile;
    type Source = <DiskFolder as StorageFolder>::Source;

    fn create_new(&self, name: &str) -> io::Result<DiskFile> {
        self.own.create_new(name)
    }

    fn open_append(&self, name: &str) -> io::Result<DiskFile> {
        self.own.open_append(name)
    }

    fn open_read(&self, name: &str) -> io::Result<Self::Source> {
        let own = self.own.open_read(name);
        match &own {
            Err(error) if error.kind() == io::ErrorKind::NotFound && name != self.asked => {
                let mut others = self.others.iter();
                others
                    .find_map(|other| other.open_read(name).ok())
                    .map_or(own, Ok)
            }
            _ => own,
        }
    }

    fn list(&self) -> io::Result<Vec<String>> {
        let mut names = self.own.list()?;
        for other in &self.others {
            // A folder that is not there, or a file that cannot be read, holds none of this.
            let found = other.list().unwrap_or_default();
            names.extend(
                found
                    .into_iter()
                    .filter(|name| *name != self.asked && other.open_read(name).is_ok()),
            );
        }
        names.sort();
        names.dedup();
        Ok(names)
    }

    fn sync(&self) -> io::Result<()> {
        self.own.sync()
    }
}
