//! The window on a real screen, and the real outside of its rooms: it opens the window, hands each
//! frame to [`Window`], looks up what there is to begin with, starts the threads that work behind
//! it, and keeps the settings.

use std::cell::Cell;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::sync::{Arc, Mutex};
use std::time::Instant;

use eframe::egui::{Context, Ui, ViewportBuilder};

use super::app_facts::{
    attached_gauges, gauge_choices, mates_of, plan_file, register_of, tables_with,
    unfinished_session,
};
use super::batch_disk::BatchDisk;
use super::batch_run::BatchSide;
use super::behind::lock;
use super::frame_log::FrameLog;
use super::gauges_room::GaugesFacts;
use super::links_disk::LinksDisk;
use super::links_run::LinksSide;
use super::look::{Tokens, icon, install_faces};
use super::plan_disk::{LearnedDisk, PlanDisk, PlanShelf};
use super::plan_learned::LearnedSide;
use super::records_disk::RecordsDisk;
use super::records_run::RecordsSide;
use super::settings::{SETTINGS_FILE, Settings, marker_of_locale};
use super::shell::{Outside, Running, Watching, Window};
use super::sound::Tone;
use super::sound_player::{SoundPlaces, SoundPlayer};
use super::start::{GaugeChoice, Known, StartFacts};
use super::study_past::{Days, StudyAt, StudyPast};
use super::taken_away::{never_opened, taken_away, until_taken_away};
use super::teach_run::{Kept, TeachOutside, TeachSide};
use super::teach_setup::TeachOrder;
use crate::gauge::{Date, Gauge, GaugeId, PortPlace, Register, StudyEntry};
use crate::session::{
    AskedPort, Begin, BeginError, GaugeStory, Live, MateWanted, PortWatch, RecordFolders,
    Workspace, adapter_named, drawn_seed, enter_study, plan_files, prepare, read_text, today,
    unfinished,
};
use crate::tolerance::Tables;
use crate::wire::{DEFAULT_ADAPTER, LineSettings, PortAddress, PortError, SerialLine, list_ports};

/// Most plan files that are looked into for the list (chosen).
const PLANS_MAX: usize = 50;
const NO_DISPLAY_HINT: &str = "Run fitledger inspect --demo, which needs none.";

/// Opens the window and comes back when it is closed: with a session, or where one is chosen. A
/// session that cannot begin is told in the window, where another may be chosen.
///
/// # Errors
/// `no_display`: there is none; `no_window`: there is one, but no window could be opened on it.
/// No journal has been made then. `window_lost`: it was taken away; the record is whole.
pub fn open(begin: Option<Begin>, workspace: Workspace) -> Result<(), BeginError> {
    let started = Instant::now();
    if !has_display() {
        return Err(no_display("neither DISPLAY nor WAYLAND_DISPLAY is set"));
    }
    let options = eframe::NativeOptions {
        viewport: ViewportBuilder::default()
            .with_title("Fitledger")
            .with_app_id("fitledger")
            .with_icon(icon(4))
            .with_inner_size([800.0, 480.0])
            .with_min_inner_size([480.0, 320.0]),
        persist_window: false,
        ..eframe::NativeOptions::default()
    };
    // The session begins only once the window is there.
    let is_there = Rc::new(Cell::new(false));
    let opened = Rc::clone(&is_there);
    let create = move |context: &eframe::CreationContext<'_>| -> AppMade {
        opened.set(true);
        let app = App::new(&context.egui_ctx, begin.as_ref(), workspace, started);
        Ok(Box::new(app))
    };
    let run = || eframe::run_native("fitledger", options, Box::new(create));
    let ran = until_taken_away(run).ok_or_else(|| match is_there.get() {
        true => taken_away(),
        false => never_opened(NO_DISPLAY_HINT),
    })?;
    ran.map_err(|error| match error {
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
    sound: SoundPlayer,
}

impl Disk {
    /// That workspace; `context` is asked for a frame when a session has something new.
    pub fn new(workspace: Workspace, context: Context) -> Self {
        let frame = context.clone();
        let notify = move || frame.request_repaint();
        Self {
            workspace,
            context,
            story: Arc::default(),
            past: StudyPast::default(),
            sound: SoundPlayer::new(SoundPlaces::of_system(), notify),
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
        match self.workspace.house_tables() {
            Ok(house) => Some(tables_with(&house, faults)),
            Err(error) => {
                faults.push(error.to_string());
                None
            }
        }
    }

    fn register(&self, faults: &mut Vec<String>) -> Register {
        let text = match self.workspace.gauges() {
            Ok(kept) => kept.map(|(_, text)| text).unwrap_or_default(),
            Err(error) => {
                faults.push(error.to_string());
                return Register::default();
            }
        };
        register_of(&text, faults)
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
            *lock(&read) = Some(Arc::new(story));
            context.request_repaint();
        };
        // Without a thread nothing is known of earlier sessions, and the page says so.
        drop(beside("records", work));
    }

    /// The plan files of the workspace: in its folder and in `plans`.
    fn plans(&self, tables: Option<&Tables>, faults: &mut Vec<String>) -> Vec<Known> {
        let root = self.workspace.root();
        let (paths, failed) = plan_files(root);
        faults.extend(failed);
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
            ..StartFacts::default()
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
        lock(&self.story).clone()
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

    fn links(&mut self, mut side: LinksSide) -> Result<(), String> {
        let tables = self.tables(&mut Vec::new());
        let mut disk = LinksDisk::new(self.workspace.clone(), self.context.clone(), tables);
        beside("pairs room", move || side.run(&mut disk))
            .map_err(|error| format!("The measured parts cannot be looked for: {error}."))
    }

    fn mates(&mut self, plan: &Path) -> Vec<MateWanted> {
        let tables = self.tables(&mut Vec::new());
        // What is wrong with the plan is told when the session begins.
        mates_of(&read_text(plan).unwrap_or_default(), tables.as_ref())
    }

    fn plan_shelf(&mut self) -> Option<Box<dyn PlanShelf>> {
        let (workspace, context) = (self.workspace.clone(), self.context.clone());
        Some(Box::new(PlanDisk::new(workspace, context)))
    }

    fn learned(&mut self, mut side: LearnedSide) -> Result<(), String> {
        let mut disk = LearnedDisk::new(self.workspace.clone(), self.context.clone());
        beside("plan room", move || side.run(&mut disk))
            .map_err(|error| format!("The records cannot be read: {error}."))
    }

    fn begin(&mut self, begin: &Begin) -> Result<Box<dyn Running>, BeginError> {
        let prepared = prepare(begin, &self.workspace)?;
        let context = self.context.clone();
        let live = Live::start(prepared, move || context.request_repaint())?;
        Ok(Box::new(live))
    }

    fn keep_card(&mut self, bytes: Vec<u8>) -> Result<String, String> {
        let named = |number: u32| match number {
            1 => vec!["keys.pdf".to_owned()],
            number => vec![format!("keys-{number}.pdf")],
        };
        let kept = self.workspace.keep_reports(named, |_| vec![bytes]);
        kept.map(|path| path.display().to_string())
            .map_err(|error| error.to_string())
    }

    fn play(&mut self, tone: Tone) {
        self.sound.play(tone);
    }

    fn sound_anew(&mut self) {
        self.sound.anew();
    }

    fn sound_told(&mut self) -> Option<String> {
        self.sound.told()
    }

    fn settings_file(&mut self) -> Option<String> {
        read_text(&self.settings_path()).ok()
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
