//! Sounds by an external player, where there is one: on a thread of its own, the newest only.
//!
//! The window asks and goes on; nothing waits for a sound. A player that hangs is stopped, one
//! that fails is not asked again, and when none is left it is told once in words.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use super::behind::lock;
use super::sound::Tone;

/// Players that take the name of a file, in the order in which they are tried.
pub const PLAYERS: [&str; 3] = ["pw-play", "paplay", "aplay"];
/// A player is stopped after this (chosen: the longest sound has a second).
pub const PATIENCE: Duration = Duration::from_secs(4);
/// So often a player that plays is looked at; between sounds nothing is.
const LOOK: Duration = Duration::from_millis(10);
/// So many names are tried for the folder of the sounds.
const NAMES_MAX: u32 = 100;
const GO_ON: &str = "Everything is shown as before; 0 in the list “How is it read best?” turns \
                     sound off and on.";

/// Where players and a folder for the sounds are found.
#[derive(Debug, Clone)]
pub struct SoundPlaces {
    /// Folders that are searched for a player, as `PATH` has them.
    pub search: Vec<PathBuf>,
    /// The sounds are written in a new folder in here.
    pub folder: PathBuf,
    /// A player is stopped after this.
    pub patience: Duration,
}

impl SoundPlaces {
    /// Those of the system: `PATH`, the folder of the person's session or that for temporary files.
    pub fn of_system() -> Self {
        let path = std::env::var_os("PATH").unwrap_or_default();
        // A player beside whatever happens to be the current folder is not started.
        let search = std::env::split_paths(&path).filter(|folder| folder.is_absolute());
        let session = std::env::var_os("XDG_RUNTIME_DIR").map(PathBuf::from);
        let session = session.filter(|folder| folder.is_absolute() && folder.is_dir());
        Self {
            search: search.collect(),
            folder: session.unwrap_or_else(std::env::temp_dir),
            patience: PATIENCE,
        }
    }

    /// The players that are there, the first of each name.
    fn players(&self) -> Vec<PathBuf> {
        let found = PLAYERS.iter().filter_map(|name| {
            let mut all = self.search.iter().map(|folder| folder.join(name));
            all.find(|path| path.is_file())
        });
        found.collect()
    }
}

/// What plays sounds; dropping it stops them.
pub struct SoundPlayer {
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
    places: SoundPlaces,
    /// Calls for a frame when there is something to tell.
    notify: Arc<dyn Fn() + Send + Sync>,
}

#[derive(Default)]
struct Shared {
    asked: Mutex<AskedSound>,
    wake: Condvar,
}

#[derive(Default)]
struct AskedSound {
    /// The newest; an older one that was not begun is dropped.
    tone: Option<Tone>,
    /// Players are looked for anew.
    is_anew: bool,
    is_over: bool,
    told: Option<String>,
}

impl Shared {
    fn asked(&self) -> MutexGuard<'_, AskedSound> {
        lock(&self.asked)
    }
}

impl SoundPlayer {
    /// One that starts nothing before it is asked; `notify` is called when there is something to
    /// tell.
    pub fn new(places: SoundPlaces, notify: impl Fn() + Send + Sync + 'static) -> Self {
        Self {
            shared: Arc::default(),
            thread: None,
            places,
            notify: Arc::new(notify),
        }
    }

    /// Asks for a sound; never waits. One that was asked for and not begun is dropped for it.
    pub fn play(&mut self, tone: Tone) {
        if self.thread.is_none() {
            let (shared, places) = (Arc::clone(&self.shared), self.places.clone());
            let notify = Arc::clone(&self.notify);
            let work = move || SoundThread::new(&shared, places, notify.as_ref()).run();
            let thread = std::thread::Builder::new().name("sound".to_owned());
            match thread.spawn(work) {
                Ok(thread) => self.thread = Some(thread),
                Err(error) => {
                    self.shared.asked().told = Some(format!("No sound: {error}. {GO_ON}"));
                    return;
                }
            }
        }
        self.shared.asked().tone = Some(tone);
        self.shared.wake.notify_one();
    }

    /// Looks for players anew when the next sound is asked for: those that failed may be well.
    pub fn anew(&mut self) {
        self.shared.asked().is_anew = true;
    }

    /// What there is to tell, once.
    pub fn told(&mut self) -> Option<String> {
        self.shared.asked().told.take()
    }
}

impl Drop for SoundPlayer {
    fn drop(&mut self) {
        self.shared.asked().is_over = true;
        self.shared.wake.notify_one();
        if let Some(thread) = self.thread.take() {
            // It stops what plays at its next look; what it came to is of no use any more.
            drop(thread.join());
        }
    }
}

/// The thread that starts players, one at a time.
struct SoundThread<'a> {
    shared: &'a Shared,
    places: SoundPlaces,
    notify: &'a (dyn Fn() + Send + Sync),
    /// Those that have not failed; none: not looked for yet.
    players: Option<Vec<PathBuf>>,
    folder: Option<PathBuf>,
}

/// Why a player is not asked again.
enum SoundFailure {
    /// It ended, or could not be begun: another one may play the same.
    Failed(String),
    /// It was stopped: what it should have played is stale.
    Hung(String),
    /// The window goes.
    Over,
}

impl<'a> SoundThread<'a> {
    fn new(shared: &'a Shared, places: SoundPlaces, notify: &'a (dyn Fn() + Send + Sync)) -> Self {
        Self {
            shared,
            places,
            notify,
            players: None,
            folder: None,
        }
    }

    fn run(mut self) {
        while let Some(tone) = self.next() {
            self.play(tone);
        }
        if let Some(folder) = self.folder {
            // What cannot be removed is emptied with the folder that it is in.
            drop(fs::remove_dir_all(folder));
        }
    }

    /// Waits for the next sound; none when the window goes.
    fn next(&mut self) -> Option<Tone> {
        let mut asked = self.shared.asked();
        loop {
            if asked.is_over {
                return None;
            }
            if let Some(tone) = asked.tone.take() {
                if std::mem::take(&mut asked.is_anew) {
                    self.players = None;
                }
                return Some(tone);
            }
            let woken = self.shared.wake.wait(asked);
            asked = woken.unwrap_or_else(PoisonError::into_inner);
        }
    }

    fn play(&mut self, tone: Tone) {
        let is_first = self.players.is_none();
        let players = self.players.get_or_insert_with(|| self.places.players());
        if players.is_empty() {
            if is_first {
                let [one, other, third] = PLAYERS;
                self.tell(&format!("none of {one}, {other} and {third} is installed"));
            }
            return;
        }
        let file = match self.file_of(tone) {
            Ok(file) => file,
            Err(error) => {
                self.players = Some(Vec::new());
                return self.tell(&format!("its file could not be written: {error}"));
            }
        };
        while let Some(player) = self.players.iter().flatten().next().cloned() {
            let failure = match self.play_by(&player, &file) {
                Ok(()) | Err(SoundFailure::Over) => return,
                Err(failure) => failure,
            };
            let rest = self.players.get_or_insert_default();
            rest.retain(|other| *other != player);
            let is_last = rest.is_empty();
            match failure {
                SoundFailure::Failed(why) | SoundFailure::Hung(why) if is_last => self.tell(&why),
                SoundFailure::Hung(_) => return,
                SoundFailure::Failed(_) | SoundFailure::Over => {}
            }
        }
    }

    fn tell(&self, why: &str) {
        self.shared.asked().told = Some(format!("No sound: {why}. {GO_ON}"));
        (self.notify)();
    }

    /// The sound as a file, written once.
    fn file_of(&mut self, tone: Tone) -> io::Result<PathBuf> {
        let folder = match &self.folder {
            Some(folder) => folder.clone(),
            None => new_folder(&self.places.folder)?,
        };
        self.folder = Some(folder.clone());
        let path = folder.join(format!("{}.wav", tone.word()));
        match fs::File::create_new(&path) {
            Ok(mut file) => file.write_all(&tone.wav())?,
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
        Ok(path)
    }

    /// Plays by that player until it ends; one that takes too long is stopped.
    fn play_by(&self, player: &Path, file: &Path) -> Result<(), SoundFailure> {
        let name = player.file_name().unwrap_or_default().to_string_lossy();
        let mut command = Command::new(player);
        command.arg(file).stdin(Stdio::null());
        command.stdout(Stdio::null()).stderr(Stdio::null());
        let failed = |error: io::Error| SoundFailure::Failed(format!("{name}: {error}"));
        let mut child = command.spawn().map_err(failed)?;
        let begun = Instant::now();
        loop {
            match child.try_wait() {
                Ok(Some(ended)) if ended.success() => return Ok(()),
                Ok(Some(ended)) => {
                    let why = format!("{name} ended with {ended}");
                    return Err(SoundFailure::Failed(why));
                }
                Ok(None) => {}
                Err(error) => {
                    stop(&mut child);
                    return Err(failed(error));
                }
            }
            if begun.elapsed() > self.places.patience {
                stop(&mut child);
                let why = format!("{name} did not end by itself and was stopped");
                return Err(SoundFailure::Hung(why));
            }
            let asked = self.shared.asked();
            let over = self
                .shared
                .wake
                .wait_timeout_while(asked, LOOK, |asked| !asked.is_over);
            let (asked, _) = over.unwrap_or_else(PoisonError::into_inner);
            if asked.is_over {
                drop(asked);
                stop(&mut child);
                return Err(SoundFailure::Over);
            }
        }
    }
}

/// Ends a player and takes its end, so that nothing of it is left.
fn stop(child: &mut Child) {
    // It may have ended meanwhile.
    drop(child.kill());
    drop(child.wait());
}

/// A new folder in there that nobody else may write.
fn new_folder(within: &Path) -> io::Result<PathBuf> {
    let mut made = fs::DirBuilder::new();
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut made, 0o700);
    let mut last = io::Error::from(io::ErrorKind::AlreadyExists);
    for number in 0..NAMES_MAX {
        let name = format!("fitledger-sound-{}-{number}", std::process::id());
        let folder = within.join(name);
        match made.create(&folder) {
            Ok(()) => return Ok(folder),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => last = error,
            Err(error) => return Err(error),
        }
    }
    Err(last)
}
