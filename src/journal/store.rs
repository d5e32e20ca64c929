//! Where journals are kept: a folder of plain files. This is the only part of the room that
//! touches the disk. It knows bytes, names, syncs and locks, and nothing of lines.
//!
//! A journal's writer holds an exclusive lock on the file itself for as long as it lives; the
//! system lets it go when the process dies, however it dies, and nothing is left behind to clear.
//! On Linux the holder can be named. Where the system enforces locks against readers too, a
//! journal that is being written cannot be read by another program (not tested).
//!
//! A process that may meet a file-size limit must ignore the signal SIGXFSZ (the program's start
//! does), so that the write fails with an error instead of ending the process.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, BufRead, BufReader, Write};
use std::path::{Path, PathBuf};

/// What a file says of itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FileStatus {
    /// Its length in bytes.
    pub length: u64,
    /// Whether it is still the file of that name in its folder: neither renamed, replaced nor
    /// removed. Always true where the system cannot tell.
    pub in_place: bool,
}

/// What came of asking for the exclusive lock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Lock {
    /// It is ours until the file is dropped.
    Ours,
    /// Another one holds it; who, where that can be known.
    Theirs(Option<String>),
}

/// One journal file, open for appending.
pub trait Storage: Send {
    /// Appends bytes at the end, once: how many were taken. Does not try again.
    ///
    /// # Errors
    /// What the system answered.
    fn append(&mut self, bytes: &[u8]) -> io::Result<usize>;

    /// Brings the file's bytes and length to the disk.
    ///
    /// # Errors
    /// What the system answered. After an error nothing may be believed of this file.
    fn sync_data(&mut self) -> io::Result<()>;

    /// As [`Storage::sync_data`], with everything else that is known of the file.
    ///
    /// # Errors
    /// As there.
    fn sync_all(&mut self) -> io::Result<()>;

    /// Asks for the exclusive lock, without waiting.
    ///
    /// # Errors
    /// What the system answered.
    fn try_lock(&mut self) -> io::Result<Lock>;

    /// Length and place.
    ///
    /// # Errors
    /// What the system answered.
    fn status(&mut self) -> io::Result<FileStatus>;
}

/// A folder of journal files. Names are single file names.
pub trait StorageFolder {
    /// Its files, open for appending.
    type File: Storage;
    /// Its files, open for reading.
    type Source: BufRead;

    /// Makes a new, empty file.
    ///
    /// # Errors
    /// `AlreadyExists`, or what the system answered.
    fn create_new(&self, name: &str) -> io::Result<Self::File>;

    /// Opens a file for appending; its content stays as it is.
    ///
    /// # Errors
    /// `NotFound`, or what the system answered.
    fn open_append(&self, name: &str) -> io::Result<Self::File>;

    /// Opens a file for reading only.
    ///
    /// # Errors
    /// `NotFound`, or what the system answered.
    fn open_read(&self, name: &str) -> io::Result<Self::Source>;

    /// The names of its files, sorted.
    ///
    /// # Errors
    /// What the system answered.
    fn list(&self) -> io::Result<Vec<String>>;

    /// Brings the folder's entries to the disk, so that a new file is still there after a power
    /// cut.
    ///
    /// # Errors
    /// What the system answered.
    fn sync(&self) -> io::Result<()>;
}

/// A folder of the file system.
#[derive(Debug, Clone)]
pub struct DiskFolder {
    path: PathBuf,
}

impl DiskFolder {
    /// The folder at `path`; it is not looked at yet.
    pub fn new(path: impl Into<PathBuf>) -> Self {
        Self { path: path.into() }
    }

    /// Where it is.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Bytes that may still be written to the disk of this folder; `None` where the system does not
    /// say, as for a folder that is not there.
    #[cfg(unix)]
    #[must_use]
    pub fn free_bytes(&self) -> Option<u64> {
        let disk = rustix::fs::statvfs(&self.path).ok()?;
        Some(disk.f_bavail.saturating_mul(disk.f_frsize))
    }

    /// Not known to be possible on this system.
    #[cfg(not(unix))]
    #[must_use]
    pub fn free_bytes(&self) -> Option<u64> {
        None
    }

    /// The path of a file in it; refuses anything but a plain file name.
    fn file(&self, name: &str) -> io::Result<PathBuf> {
        let plain = !name.is_empty()
            && !name.starts_with('.')
            && !name.contains(['/', '\\', ':', '\0'])
            && name.len() <= 255;
        if plain {
            return Ok(self.path.join(name));
        }
        Err(io::Error::new(
            io::ErrorKind::InvalidInput,
            format!("{name:?} is not a plain file name"),
        ))
    }
}

impl DiskFolder {
    /// The path of a file in it that is there: no device, pipe or folder, which might never end.
    fn plain_file(&self, name: &str) -> io::Result<PathBuf> {
        let path = self.file(name)?;
        if fs::metadata(&path)?.is_file() {
            return Ok(path);
        }
        let fault = format!("{} is not a plain file", path.display());
        Err(io::Error::new(io::ErrorKind::InvalidInput, fault))
    }
}

impl StorageFolder for DiskFolder {
    type File = DiskFile;
    type Source = BufReader<File>;

    fn create_new(&self, name: &str) -> io::Result<DiskFile> {
        let path = self.file(name)?;
        let file = OpenOptions::new()
            .append(true)
            .create_new(true)
            .open(&path)?;
        Ok(DiskFile { file, path })
    }

    fn open_append(&self, name: &str) -> io::Result<DiskFile> {
        let path = self.plain_file(name)?;
        let file = OpenOptions::new().append(true).open(&path)?;
        Ok(DiskFile { file, path })
    }

    fn open_read(&self, name: &str) -> io::Result<BufReader<File>> {
        Ok(BufReader::with_capacity(
            64 * 1024,
            File::open(self.plain_file(name)?)?,
        ))
    }

    fn list(&self) -> io::Result<Vec<String>> {
        let mut names = Vec::new();
        for entry in fs::read_dir(&self.path)? {
            let entry = entry?;
            let is_file = entry.path().is_file();
            if let (true, Ok(name)) = (is_file, entry.file_name().into_string()) {
                names.push(name);
            }
        }
        names.sort();
        Ok(names)
    }

    #[cfg(unix)]
    fn sync(&self) -> io::Result<()> {
        File::open(&self.path)?.sync_all()
    }

    /// Not known to be possible on this system.
    #[cfg(not(unix))]
    fn sync(&self) -> io::Result<()> {
        Ok(())
    }
}

/// A file of the file system, open for appending.
#[derive(Debug)]
pub struct DiskFile {
    file: File,
    path: PathBuf,
}

impl Storage for DiskFile {
    fn append(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write(bytes)
    }

    fn sync_data(&mut self) -> io::Result<()> {
        self.file.sync_data()
    }

    fn sync_all(&mut self) -> io::Result<()> {
        self.file.sync_all()
    }

    fn try_lock(&mut self) -> io::Result<Lock> {
        match self.file.try_lock() {
            Ok(()) => Ok(Lock::Ours),
            Err(TryLockError::WouldBlock) => Ok(Lock::Theirs(holder(&self.file))),
            Err(TryLockError::Error(error)) => Err(error),
        }
    }

    #[cfg(unix)]
    fn status(&mut self) -> io::Result<FileStatus> {
        use std::os::unix::fs::MetadataExt;
        let ours = self.file.metadata()?;
        let in_place = match fs::metadata(&self.path) {
            Ok(named) => (named.dev(), named.ino()) == (ours.dev(), ours.ino()),
            Err(error) if error.kind() == io::ErrorKind::NotFound => false,
            Err(error) => return Err(error),
        };
        Ok(FileStatus {
            length: ours.len(),
            in_place,
        })
    }

    #[cfg(not(unix))]
    fn status(&mut self) -> io::Result<FileStatus> {
        let length = self.file.metadata()?.len();
        Ok(FileStatus {
            length,
            in_place: self.path.exists(),
        })
    }
}

impl Drop for DiskFile {
    /// Lets the lock go at once. Closing alone would not, while a process that was being started
    /// just then still has its copy of the file.
    fn drop(&mut self) {
        let _closing_lets_it_go_too = self.file.unlock();
    }
}

/// The process that holds the file's lock, as the system lists it.
#[cfg(target_os = "linux")]
fn holder(file: &File) -> Option<String> {
    use std::os::unix::fs::MetadataExt;
    let inode = file.metadata().ok()?.ino().to_string();
    let locks = fs::read_to_string("/proc/locks").ok()?;
    // e.g. `1: FLOCK  ADVISORY  WRITE 4242 fe:01:393229 0 EOF`
    let process = locks.lines().find_map(|line| {
        let words: Vec<&str> = line.split_whitespace().collect();
        let [_, "FLOCK", _, "WRITE", process, place, ..] = words.as_slice() else {
            return None;
        };
        (place.rsplit(':').next() == Some(inode.as_str())).then(|| (*process).to_owned())
    })?;
    let name = fs::read_to_string(format!("/proc/{process}/comm")).unwrap_or_default();
    Some(match name.trim() {
        "" => format!("process {process}"),
        name => format!("process {process} ({name})"),
    })
}

#[cfg(not(target_os = "linux"))]
fn holder(_file: &File) -> Option<String> {
    None
}
