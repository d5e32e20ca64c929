//! The window on a real screen: the only file of this room that touches the outside. It opens the
//! window, hands each frame to [`Window`], looks up what there is to begin with, and keeps the
//! settings.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Instant;

use eframe::egui::{Context, Ui, ViewportBuilder};

use super::app_facts::{attached_gauges, gauge_choices, plan_file, unfinished_session};
use super::batch_disk::BatchDisk;
use super::batch_run::BatchSide;
use super::gauges_room::GaugesFacts;
use super::look::{Tokens, install_faces};
use super::records_disk::RecordsDisk;
use super::records_run::RecordsSide;
use super::settings::{SETTINGS_FILE, Settings, marker_of_locale};
use super::shell::{Outside, Running, Watching, Window};
use super::start::{GaugeChoice, Known, StartFacts};
use super::study_past::{Days, StudyAt, StudyPast};
use super::teach_run::{Kept, TeachOutside, TeachSide};
use super::teach_setup::TeachOrder;
use crate::gauge::{Date, Gauge, GaugeId, PortPlace, Register, StudyEntry};
use crate::journal::Sequence;
use crate::session::{
    AskedPort, Begin, BeginError, GaugeStory, Live, PortWatch, RecordFolders, Workspace,
    adapter_named, drawn_seed, enter_study, prepare, read_text, today, unfinished,
};
use crate::tolerance::Tables;
use crate::wire::{DEFAULT_ADAPTER, LineSettings, PortAddress, PortError, SerialLine, list_ports};

/// The environment variable that names the file for the log of frames.
pub const FRAME_LOG_VARIABLE: &str = "FITLEDGER_FRAME_LOG";
/// Most plan files that are looked into for the list (chosen).
const PLANS_MAX: usize = 50;
const NO_DISPLAY_HINT: &str = "Run fitledger inspect --demo, which needs none.";

/// Opens the window and comes back when it is closed: with a session, or where one is chosen. A
/// session that cannot begin is told in the window, where another may be chosen.
///
/// # Errors
/// `no_display`: there is none; `no_window`: there is one, but no window could be opened on it.
/// No journal has been made then.
pub fn open(begin: Option<Begin>, workspace: Workspace) -> Result<(), BeginError> {
    let started = Instant::now();
    if !has_display() {
        return Err(no_display("neither DISPLAY nor WAYLAND_DISPLAY is set"));
    }
    let options = eframe::NativeOptions {
        viewport: ViewportBuilder::default()
            .with_title("Fitledger")
            .with_app_id("fitledger")
            .with_inner_size([800.0, 480.0])
            .with_min_inner_size([480.0, 320.0]),
        persist_window: false,
        ..eframe::NativeOptions::default()
    };
    // The session begins only once the window is there.
    let create = move |context: &eframe::CreationContext<'_>| -> AppMade {
        let app = App::new(&context.egui_ctx, begin.as_ref(), workspace, started);
        Ok(Box::new(app))
    };
    eframe::run_native("fitledger", options, Box::new(create)).map_err(|error| match error {
        eframe::Error::Winit(_) | eframe::Error::WinitEventLoop(_) => {
            // What the library says names places of the machine that built the program.
            no_display("what DISPLAY or WAYLAND_DISPLAY names does not answer")
        }
        other => BeginError::outside(
            "no_window",
            format!("No window could be opened: {other}."),
            Some(NO_DISPLAY_HINT),
        ),
    })
}

type AppMade = Result<Box<dyn eframe::App>, Box<dyn std::error::Error + Send + Sync>>;

fn no_display(why: &str) -> BeginError {
    let message = format!("There is no display to open the window on: {why}.");
    BeginError::outside("no_display", message, Some(NO_DISPLAY_HINT))
}

/// Whether a display is named at all; elsewhere there always is one.
fn has_display() -> bool {
    let is_named = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    let needs_name = cfg!(all(unix, not(target_os = "macos")));
    !needs_name
        || ["WAYLAND_DISPLAY", "WAYLAND_SOCKET", "DISPLAY"]
            .into_iter()
            .any(is_named)
}

/// The decimal marker of the system's locale.
fn usual_marker() -> char {
    let names = ["LC_ALL", "LC_NUMERIC", "LANG"];
    let mut values = names
        .into_iter()
        .filter_map(|name| std::env::var(name).ok());
    let locale = values.find(|value| !value.is_empty());
    marker_of_locale(&locale.unwrap_or_default())
}

struct App {
    window: Window,
    log: Option<FrameLog>,
}

impl App {
    fn new(
        context: &Context,
        begin: Option<&Begin>,
        workspace: Workspace,
        started: Instant,
    ) -> Self {
        install_faces(context);
        // Sizes follow the settings, not a browser's keys.
        context.options_mut(|options| options.zoom_with_keyboard = false);
        let outside = Disk::new(workspace, context.clone());
        let (settings, faults) = outside.settings(usual_marker());
        Self {
            window: Window::new(Box::new(outside), settings, &faults, begin),
            log: FrameLog::asked_for(started),
        }
    }
}

impl eframe::App for App {
    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        let frame_ms = self.log.as_ref().map(FrameLog::now_ms);
        self.window.ui(ui);
        if let (Some(log), Some(frame_ms)) = (&mut self.log, frame_ms) {
            log.frame(frame_ms, self.window.drawn(), self.window.session_now_ms());
        }
    }

    fn on_exit(&mut self, _gl: Option<&eframe::glow::Context>) {
        self.window.stop();
    }

    fn clear_color(&self, _visuals: &eframe::egui::Visuals) -> [f32; 4] {
        let tokens = Tokens::of(self.window.settings().theme);
        tokens.ground.to_normalized_gamma_f32()
    }
}

/// One line for each frame, for those who measure how long a reading takes to the screen.
struct FrameLog {
    file: fs::File,
    started: Instant,
    shown: Sequence,
}

impl FrameLog {
    /// The log, if the environment asks for one.
    fn asked_for(started: Instant) -> Option<Self> {
        let path = std::env::var_os(FRAME_LOG_VARIABLE).filter(|path| !path.is_empty())?;
        let mut file = fs::File::create(path).ok()?;
        writeln!(file, "frame_ms first_shown_sequence received_ms drawn_ms").ok()?;
        Some(Self {
            file,
            started,
            shown: 0,
        })
    }

    fn now_ms(&self) -> f64 {
        self.started.elapsed().as_secs_f64() * 1_000.0
    }

    /// `drawn`: the newest reading on the screen and when it was received; `now_ms`: the session's
    /// clock. Only the frame that shows a reading first names it; the others say 0.
    fn frame(&mut self, frame_ms: f64, drawn: Option<(Sequence, u64)>, now_ms: Option<u64>) {
        let fresh = drawn.filter(|(sequence, _)| *sequence > self.shown);
        let (sequence, received_ms) = fresh.unwrap_or((0, 0));
        let drawn_ms = fresh.and(now_ms).unwrap_or(0);
        self.shown = drawn.map_or(0, |(sequence, _)| sequence);
        let line = format!("{frame_ms:.3} {sequence} {received_ms} {drawn_ms}\n");
        // A log that cannot be written must not disturb the work.
        let _ = self.file.write_all(line.as_bytes());
    }
}

/// A gauge that is taught at a real port.
struct AtPort {
    address: PortAddress,
    workspace: Workspace,
    context: Context,
    begun: Instant,
}

impl TeachOutside for AtPort {
    fn open(&mut self, line: LineSettings) -> Result<Box<dyn AskedPort>, PortError> {
        Ok(Box::new(SerialLine::open(&self.address, line)?))
    }

    fn now_ms(&mut self) -> u64 {
        u64::try_from(self.begun.elapsed().as_millis()).unwrap_or(u64::MAX)
    }

    fn today(&mut self) -> Option<Date> {
        today()
    }

    fn keep(&mut self, name: &str, text: &str, replace: bool) -> Kept {
        match self.workspace.keep_adapter(name, None, text, replace) {
            Ok(path) => Kept::At(path.display().to_string()),
            Err(error) if error.cause.kind() == io::ErrorKind::AlreadyExists => Kept::IsThere,
            Err(error) => Kept::Failed(error.to_string()),
        }
    }

    fn changed(&mut self) {
        self.context.request_repaint();
    }
}

/// The real outside: a workspace, its ports, and sessions on its disk.
pub struct Disk {
    workspace: Workspace,
    context: Context,
    /// What the records say of the gauges; the thread that reads it fills it in.
    story: Arc<Mutex<Option<Arc<GaugeStory>>>>,
    past: StudyPast,
}

impl Disk {
    /// That workspace; `context` is asked for a frame when a session has something new.
    pub fn new(workspace: Workspace, context: Context) -> Self {
        Self {
            workspace,
            context,
            story: Arc::default(),
            past: StudyPast::default(),
        }
    }

    /// The settings, and what is wrong with their file.
    pub fn settings(&self, marker: char) -> (Settings, Vec<String>) {
        match read_text(&self.settings_path()) {
            Ok(text) => Settings::parse(&text, marker),
            Err(error) if error.cause.kind() == io::ErrorKind::NotFound => {
                (Settings::usual(marker), Vec::new())
            }
            Err(error) => (Settings::usual(marker), vec![error.to_string()]),
        }
    }

    fn settings_path(&self) -> PathBuf {
        self.workspace.root().join(SETTINGS_FILE)
    }

    fn tables(&self, faults: &mut Vec<String>) -> Option<Tables> {
        let house = match self.workspace.house_tables() {
            Ok(house) => house,
            Err(error) => {
                faults.push(error.to_string());
                return None;
            }
        };
        let mut tables = Tables::standard().clone();
        for (name, text) in &house {
            match tables.clone().with_house(text, name) {
                Ok(more) => tables = more,
                Err(error) => faults.push(error.to_string()),
            }
        }
        Some(tables)
    }

    fn register(&self, faults: &mut Vec<String>) -> Register {
        let text = match self.workspace.gauges() {
            Ok(kept) => kept.map(|(_, text)| text).unwrap_or_default(),
            Err(error) => {
                faults.push(error.to_string());
                String::new()
            }
        };
        Register::parse(&text, "gauges.toml").unwrap_or_else(|errors| {
            faults.extend(errors.first().map(|error| error.sentence()));
            Register::default()
        })
    }

    fn gauges_now(&self, faults: &mut Vec<String>) -> Vec<GaugeChoice> {
        let register = self.register(faults);
        let ports = list_ports().unwrap_or_else(|error| {
            faults.push(error.to_string());
            Vec::new()
        });
        gauge_choices(&register, &ports, is_there)
    }

    /// Every record is read anew, on a thread of its own: there may be many.
    fn read_story(&mut self) {
        let folder = RecordFolders::of_workspace(&self.workspace);
        let (context, read) = (self.context.clone(), Arc::default());
        self.story = Arc::clone(&read);
        let work = move || {
            let is_wanted = || Arc::strong_count(&read) > 1;
            // A folder that cannot be read is told where sessions are begun.
            let story = GaugeStory::read(&folder, |_, _| is_wanted()).unwrap_or_default();
            *read.lock().unwrap_or_else(PoisonError::into_inner) = Some(Arc::new(story));
            context.request_repaint();
        };
        // Without a thread nothing is known of earlier sessions, and the page says so.
        drop(beside("records", work));
    }

    /// The plan files of the workspace: in its folder and in `plans`.
    fn plans(&self, tables: Option<&Tables>, faults: &mut Vec<String>) -> Vec<Known> {
        let root = self.workspace.root();
        let mut paths = Vec::new();
        for folder in [root.to_path_buf(), root.join("plans")] {
            match toml_files(&folder) {
                Ok(found) => paths.extend(found),
                Err(error) if error.kind() == io::ErrorKind::NotFound => {}
                Err(error) => {
                    faults.push(format!(
                        "“{}” could not be listed: {error}.",
                        folder.display()
                    ));
                }
            }
        }
        let tables = tables.unwrap_or_else(|| Tables::standard());
        let known = paths
            .into_iter()
            .filter_map(|path| plan_file(&read_text(&path).ok()?, path, root, tables));
        known.take(PLANS_MAX).collect()
    }
}

/// Work on a thread of its own.
fn beside(name: &str, work: impl FnOnce() + Send + 'static) -> io::Result<()> {
    let thread = std::thread::Builder::new().name(name.to_owned());
    thread.spawn(work).map(drop)
}

/// Whether a path exists: pseudo-terminals are not listed.
fn is_there(place: &PortPlace) -> bool {
    match place {
        PortPlace::Path(path) => Path::new(path).exists(),
        PortPlace::Usb { .. } => false,
    }
}

fn toml_files(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        let is_other = path
            .file_name()
            .is_some_and(|name| name == SETTINGS_FILE || name == "gauges.toml");
        if !is_other && path.extension().is_some_and(|end| end == "toml") {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}

impl Outside for Disk {
    fn facts(&mut self) -> StartFacts {
        let mut faults = Vec::new();
        let tables = self.tables(&mut faults);
        let gauges = self.gauges_now(&mut faults);
        let open = unfinished(&self.workspace).unwrap_or_else(|error| {
            faults.push(error.to_string());
            Vec::new()
        });
        StartFacts {
            unfinished: open.into_iter().map(unfinished_session).collect(),
            plans: self.plans(tables.as_ref(), &mut faults),
            gauges,
            tables,
            faults,
        }
    }

    fn gauges(&mut self) -> Vec<GaugeChoice> {
        // What is wrong has been told on entering.
        self.gauges_now(&mut Vec::new())
    }

    fn gauge_facts(&mut self) -> GaugesFacts {
        let mut faults = Vec::new();
        let register = self.register(&mut faults);
        let ports = list_ports().unwrap_or_default();
        self.read_story();
        GaugesFacts {
            attached: attached_gauges(&register, &ports, is_there),
            today: today(),
            register,
            faults,
            ..GaugesFacts::default()
        }
    }

    fn story(&mut self) -> Option<Arc<GaugeStory>> {
        let story = self.story.lock();
        story.unwrap_or_else(PoisonError::into_inner).clone()
    }

    fn watch(&mut self, gauge: &Gauge) -> Result<Box<dyn Watching>, String> {
        let Some(port) = &gauge.port else {
            return Err(format!("{} has no port in the register.", gauge.id));
        };
        let name = port.adapter.as_deref().unwrap_or(DEFAULT_ADAPTER);
        let told = |error: BeginError| error.message;
        let adapter = adapter_named(&self.workspace, name).map_err(told)?;
        let context = self.context.clone();
        let notify = move || context.request_repaint();
        let watch =
            PortWatch::start(PortAddress::from(&port.place), adapter, notify).map_err(told)?;
        Ok(Box::new(watch))
    }

    fn ports(&mut self) -> Vec<String> {
        let ports = list_ports().unwrap_or_default();
        ports.into_iter().map(|port| port.path).collect()
    }

    fn teach(&mut self, order: TeachOrder, side: TeachSide) -> Result<(), String> {
        let mut taught = AtPort {
            address: PortAddress::from(&order.place),
            workspace: self.workspace.clone(),
            context: self.context.clone(),
            begun: Instant::now(),
        };
        let work = move || side.run(&order, &mut taught);
        beside("teaching", work).map_err(|error| format!("Teaching could not begin: {error}."))
    }

    fn seed(&mut self) -> u64 {
        drawn_seed()
    }

    fn keep_study(&mut self, gauge: &GaugeId, entry: &StudyEntry) -> Result<String, String> {
        enter_study(&self.workspace, gauge, entry)
    }

    fn study_days(&mut self, at: &StudyAt) -> Option<Days> {
        let (folders, context) = (
            RecordFolders::of_workspace(&self.workspace),
            self.context.clone(),
        );
        let notify = move || context.request_repaint();
        if let Some(work) = self.past.to_do(at, folders, notify) {
            drop(beside("study days", work));
        }
        self.past.found()
    }

    fn records(&mut self, mut side: RecordsSide) -> Result<(), String> {
        let mut disk = RecordsDisk::new(self.workspace.clone(), self.context.clone());
        beside("records room", move || side.run(&mut disk))
            .map_err(|error| format!("The records cannot be read: {error}."))
    }

    fn batch(&mut self, mut side: BatchSide) -> Result<(), String> {
        let mut disk = BatchDisk::new(self.workspace.clone(), self.context.clone());
        beside("batch room", move || side.run(&mut disk))
            .map_err(|error| format!("The numbers cannot be worked out: {error}."))
    }

    fn begin(&mut self, begin: &Begin) -> Result<Box<dyn Running>, BeginError> {
        let prepared = prepare(begin, &self.workspace)?;
        let context = self.context.clone();
        let live = Live::start(prepared, move || context.request_repaint())?;
        Ok(Box::new(live))
    }

    fn keep_settings(&mut self, text: &str) -> Result<(), String> {
        let path = self.settings_path();
        keep(&path, text)
            .map_err(|error| format!("“{}” could not be written: {error}.", path.display()))
    }
}

/// Writes a new file beside the old one and puts it in its place, so that there is always a whole
/// one.
fn keep(path: &Path, text: &str) -> io::Result<()> {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder)?;
    }
    let fresh = path.with_extension("toml.new");
    let mut file = fs::File::create(&fresh)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()?;
    fs::rename(&fresh, path)
}
