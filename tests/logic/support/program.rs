//! The real program in a workspace of its own, its terminal, and its record.

use std::ffi::CStr;
use std::fs::{self, File, OpenOptions};
use std::io::{BufRead, BufReader, Read, Write};
use std::os::fd::AsRawFd;
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};

use serde_json::Value;
use tempfile::TempDir;

const PATIENCE: Duration = Duration::from_secs(60);

/// A workspace.
pub(crate) struct Shop {
    pub(crate) place: TempDir,
}

impl Shop {
    pub(crate) fn new() -> Self {
        Self::below(Path::new(env!("CARGO_TARGET_TMPDIR")))
    }

    /// A workspace in memory, where there is one: for many runs that need no real disk.
    pub(crate) fn in_memory() -> Self {
        let memory = Path::new("/dev/shm");
        if memory.is_dir() {
            Self::below(memory)
        } else {
            Self::new()
        }
    }

    fn below(folder: &Path) -> Self {
        let place = tempfile::tempdir_in(folder).unwrap();
        fs::create_dir(place.path().join("tmp")).unwrap();
        Self { place }
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.place.path().join(name)
    }

    /// A program that runs in the workspace.
    pub(crate) fn command(&self, program: &str) -> Command {
        let mut command = Command::new(program);
        command
            .current_dir(self.place.path())
            .env("FITLEDGER_WORKSPACE", self.place.path())
            .env("TMPDIR", self.path("tmp"))
            .env_remove("NO_COLOR")
            .env("TERM", "xterm");
        command
    }

    pub(crate) fn start(&self, arguments: &[&str]) -> Running {
        let mut command = self.command(env!("CARGO_BIN_EXE_fitledger"));
        command.args(arguments);
        Running::new(command)
    }

    /// Runs it to its end on that input.
    pub(crate) fn run(&self, arguments: &[&str], input: &str) -> Answer {
        let mut running = self.start(arguments);
        running.type_text(input);
        running.end_input();
        running.ended()
    }

    /// A line of a shell; `$FITLEDGER` is the program.
    pub(crate) fn shell(&self, line: &str, input: &str) -> Answer {
        let mut command = self.command("sh");
        command
            .args(["-c", line])
            .env("FITLEDGER", env!("CARGO_BIN_EXE_fitledger"));
        let mut running = Running::new(command);
        running.type_text(input);
        running.end_input();
        running.ended()
    }

    /// A line of a shell that goes on.
    pub(crate) fn start_shell(&self, line: &str) -> Running {
        let mut command = self.command("sh");
        command.args(["-c", line]);
        Running::new(command)
    }

    pub(crate) fn journals(&self) -> Vec<PathBuf> {
        let Ok(entries) = fs::read_dir(self.path("sessions")) else {
            return Vec::new();
        };
        let mut all: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
        all.sort();
        all
    }

    /// The one journal there is.
    pub(crate) fn journal(&self) -> PathBuf {
        let mut all = self.journals();
        assert_eq!(all.len(), 1, "{all:?}");
        all.remove(0)
    }

    /// What `verify` says of a journal.
    pub(crate) fn verified(&self, journal: &Path) -> Value {
        let answer = self.run(&["verify", "--json", journal.to_str().unwrap()], "");
        let line = answer.lines.into_iter().next().unwrap();
        let passes = line["state"] == "sound" || line["state"] == "not_closed";
        assert_eq!(answer.code, i32::from(!passes), "{line}");
        line
    }

    /// Waits until the journal says so often that a gauge is `state`.
    pub(crate) fn wait_for(&self, word: &str, count: usize) {
        let since = Instant::now();
        loop {
            let text: String = self.journals().iter().map(|path| text_of(path)).collect();
            if text.matches(word).count() >= count {
                return;
            }
            let states: Vec<&str> = text
                .lines()
                .filter_map(|line| line.split_once("\"gauge_state_changed\""))
                .map(|(_, rest)| rest.get(..200).unwrap_or(rest))
                .collect();
            assert!(
                since.elapsed() < PATIENCE,
                "{count} times {word}: {states:#?}"
            );
            std::thread::sleep(Duration::from_millis(10));
        }
    }
}

fn text_of(path: &Path) -> String {
    String::from_utf8_lossy(&fs::read(path).unwrap_or_default()).into_owned()
}

/// The lines of a kind in a journal.
pub(crate) fn lines_of(journal: &Path, kind: &str) -> Vec<Value> {
    let lines = fs::read_to_string(journal).unwrap();
    let all = lines
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).unwrap());
    all.filter(|line| line["kind"] == kind).collect()
}

/// What a program answered.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) lines: Vec<Value>,
    pub(crate) text: String,
    pub(crate) told: String,
    pub(crate) code: i32,
}

/// A program that runs.
pub(crate) struct Running {
    pub(crate) child: Child,
    input: Option<ChildStdin>,
    lines: Receiver<String>,
}

impl Running {
    fn new(mut command: Command) -> Self {
        let mut child = command
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (tell, lines) = channel();
        let out = BufReader::new(child.stdout.take().unwrap());
        std::thread::spawn(move || {
            for line in out.lines().map_while(Result::ok) {
                drop(tell.send(line));
            }
        });
        let input = child.stdin.take();
        Self {
            child,
            input,
            lines,
        }
    }

    pub(crate) fn type_text(&mut self, text: &str) {
        // The program may have ended.
        drop(self.input.as_mut().unwrap().write_all(text.as_bytes()));
    }

    pub(crate) fn take_input(&mut self) -> ChildStdin {
        self.input.take().unwrap()
    }

    pub(crate) fn end_input(&mut self) {
        self.input = None;
    }

    /// The next line, as JSON.
    pub(crate) fn next(&self) -> Value {
        let line = self.lines.recv_timeout(PATIENCE).unwrap();
        serde_json::from_str(&line).unwrap()
    }

    /// The next line as it is.
    pub(crate) fn next_text(&self) -> String {
        self.lines.recv_timeout(PATIENCE).unwrap()
    }

    /// Nothing is said for so long.
    pub(crate) fn says_nothing(&self, time: Duration) {
        let said = self.lines.recv_timeout(time);
        assert_eq!(said, Err(RecvTimeoutError::Timeout));
    }

    pub(crate) fn signal(&self, name: &str) {
        let process = self.child.id().to_string();
        let sent = Command::new("kill")
            .args([name, &process])
            .status()
            .unwrap();
        assert!(sent.success());
    }

    /// Kills it and gives the lines that had been printed whole.
    pub(crate) fn killed(mut self) -> Vec<Value> {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
        let all = self.lines.iter();
        let read = all.filter_map(|line| serde_json::from_str(&line).ok());
        read.collect()
    }

    pub(crate) fn ended(mut self) -> Answer {
        self.input = None;
        let mut err = self.child.stderr.take().unwrap();
        let told = std::thread::spawn(move || {
            let mut told = String::new();
            err.read_to_string(&mut told).unwrap();
            told
        });
        let lines: Vec<String> = self.lines.iter().collect();
        let code = self.child.wait().unwrap().code().unwrap_or(-1);
        let read = lines
            .iter()
            .filter_map(|line| serde_json::from_str(line).ok());
        Answer {
            lines: read.collect(),
            text: lines.join("\n"),
            told: told.join().unwrap(),
            code,
        }
    }
}

impl Drop for Running {
    /// A test that fails leaves no program behind, which would go on looking for its port.
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

/// A pseudo-terminal: its far end, and the path of the near one. The far end is not handed on to
/// programs that other tests start just then, or they would keep it open.
pub(crate) struct FarEnd {
    master: File,
    pub(crate) path: String,
}

impl FarEnd {
    pub(crate) fn new() -> Self {
        let master = OpenOptions::new()
            .read(true)
            .write(true)
            .custom_flags(libc::O_NOCTTY | libc::O_NONBLOCK)
            .open("/dev/ptmx")
            .unwrap();
        let path = unlocked(&master);
        Self { master, path }
    }

    /// Exactly so many bytes.
    pub(crate) fn read_exact(&mut self, bytes: &mut [u8]) {
        let (mut had, since) = (0, Instant::now());
        while had < bytes.len() {
            assert!(since.elapsed() < PATIENCE, "nobody writes");
            match self.master.read(&mut bytes[had..]) {
                Ok(count) => had += count,
                Err(_) => std::thread::sleep(Duration::from_millis(2)),
            }
        }
    }

    pub(crate) fn near(&self) -> File {
        OpenOptions::new()
            .read(true)
            .write(true)
            .open(&self.path)
            .unwrap()
    }

    pub(crate) fn send(&mut self, bytes: &[u8]) {
        let mut rest = bytes;
        let since = Instant::now();
        while !rest.is_empty() {
            assert!(since.elapsed() < PATIENCE * 2, "nobody reads");
            match self.master.write(rest) {
                Ok(count) => rest = &rest[count..],
                Err(error) if error.kind() == std::io::ErrorKind::WouldBlock => {
                    std::thread::sleep(Duration::from_millis(1));
                }
                Err(error) => panic!("{error}"),
            }
        }
    }

    /// Reads until the text has been shown; gives all that was shown.
    pub(crate) fn shown_until(&mut self, wanted: &str) -> String {
        let (mut shown, since) = (Vec::new(), Instant::now());
        loop {
            let text = String::from_utf8_lossy(&shown).into_owned();
            if text.contains(wanted) {
                return text;
            }
            assert!(since.elapsed() < PATIENCE, "{wanted}: {text}");
            let mut buffer = [0; 1024];
            if let Ok(count) = self.master.read(&mut buffer) {
                shown.extend_from_slice(&buffer[..count]);
            } else {
                std::thread::sleep(Duration::from_millis(5));
            }
        }
    }
}

/// Makes the near end usable, without echo; gives its path.
#[allow(unsafe_code)]
fn unlocked(master: &File) -> String {
    /// The system keeps one name at a time.
    static NAMING: Mutex<()> = Mutex::new(());
    let naming = NAMING.lock().unwrap();
    let fd = master.as_raw_fd();
    // SAFETY: the descriptor is open for as long as `master` lives; the settings are filled in
    // before they are used; the name is copied before another may be asked for.
    let path = unsafe {
        assert_eq!((libc::grantpt(fd), libc::unlockpt(fd)), (0, 0));
        let mut settings = std::mem::zeroed();
        assert_eq!(libc::tcgetattr(fd, &raw mut settings), 0);
        libc::cfmakeraw(&raw mut settings);
        assert_eq!(libc::tcsetattr(fd, libc::TCSANOW, &raw const settings), 0);
        CStr::from_ptr(libc::ptsname(fd)).to_owned()
    };
    drop(naming);
    path.into_string().unwrap()
}
