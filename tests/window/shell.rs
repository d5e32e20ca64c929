//! The window with real key events, a real session on a real disk, and no frame.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::time::{Duration, Instant};

use eframe::egui::{
    Context, Event, Key, Modifiers, PointerButton, ViewportCommand, ViewportEvent, vec2,
};
use egui_kittest::Harness;
use egui_kittest::kittest::{By, NodeT, Queryable};
use fitledger::session::{Begin, BeginError, Request, Snapshot, What, Workspace};
use fitledger::window::app::Disk;
use fitledger::window::desk::Mode;
use fitledger::window::look::{Theme, install_faces};
use fitledger::window::settings::Settings;
use fitledger::window::shell::{Outside, Running, Window};
use fitledger::window::start::{GaugeChoice, StartFacts};

const GAUGES: &str = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
                      resolution = 0.001\nmpe = 0.002\nrepeatability = 0.0005\n";

/// A window on a folder of its own.
pub(crate) struct Desk<'a> {
    pub(crate) harness: Harness<'a, Option<Window>>,
    pub(crate) folder: tempfile::TempDir,
}

fn workspace(folder: &tempfile::TempDir) -> Workspace {
    Workspace::locate(Some(folder.path()))
}

impl Desk<'_> {
    pub(crate) fn open(begin: Option<Begin>) -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("gauges.toml"), GAUGES).unwrap();
        Self::open_in(folder, begin)
    }

    pub(crate) fn open_in(folder: tempfile::TempDir, begin: Option<Begin>) -> Self {
        let workspace = workspace(&folder);
        let make = move |context: &Context| {
            let disk = Disk::new(workspace.clone(), context.clone());
            let (settings, faults) = disk.settings('.');
            Window::new(Box::new(disk), settings, &faults, begin.as_ref())
        };
        Self {
            harness: harness(800.0, 480.0, make),
            folder,
        }
    }

    pub(crate) fn window(&self) -> &Window {
        self.harness.state().as_ref().unwrap()
    }

    /// Keys as a hand presses them: one frame each, and frames in between.
    pub(crate) fn keys(&mut self, keys: &str) {
        for key in keys.chars() {
            for event in events_of(key) {
                self.harness.event(event);
            }
            self.harness.step();
            self.pause();
        }
    }

    /// The same two by two: slower than a device plays keyboard, with fewer frames.
    pub(crate) fn keys_quickly(&mut self, keys: &str) {
        let keys: Vec<char> = keys.chars().collect();
        for two in keys.chunks(2) {
            for event in two.iter().copied().flat_map(events_of) {
                self.harness.input_mut().events.push(event);
            }
            self.harness.step();
        }
        self.pause();
    }

    fn pause(&mut self) {
        // A frame of the harness lasts 1/4 s for the window.
        self.harness.step();
    }

    /// Everything in one frame, as from a device that plays keyboard.
    pub(crate) fn burst(&mut self, text: &str) {
        let keys = text.chars().chain(['⏎']);
        let events: Vec<Event> = keys.flat_map(events_of).collect();
        self.harness.input_mut().events.extend(events);
        self.harness.step();
        self.pause();
    }

    /// The session's records on the disk.
    pub(crate) fn journal(&self) -> String {
        let sessions = self.folder.path().join("sessions");
        let mut all = String::new();
        if let Ok(entries) = std::fs::read_dir(sessions) {
            for entry in entries {
                all += &std::fs::read_to_string(entry.unwrap().path()).unwrap();
            }
        }
        all
    }

    pub(crate) fn count(&self, kind: &str) -> usize {
        self.journal()
            .matches(&format!("\"kind\":\"{kind}\""))
            .count()
    }

    /// Waits until the disk has so many of a kind, and the window shows it.
    pub(crate) fn wait(&mut self, kind: &str, count: usize) {
        Self::wait_all(std::slice::from_mut(self), kind, count);
    }

    /// The same of several windows at once.
    pub(crate) fn wait_all(desks: &mut [Self], kind: &str, count: usize) {
        let until = Instant::now() + Duration::from_secs(60);
        for desk in &mut *desks {
            while desk.count(kind) < count {
                assert!(Instant::now() < until, "{kind}: {}", desk.journal());
                std::thread::sleep(Duration::from_millis(5));
            }
        }
        let shown_by = Instant::now() + Duration::from_secs(30);
        for desk in &mut *desks {
            while desk.is_behind() && Instant::now() < shown_by {
                std::thread::sleep(Duration::from_millis(5));
                desk.harness.step();
            }
        }
        std::thread::sleep(Duration::from_millis(30));
        for desk in desks {
            desk.pause();
        }
    }

    /// Whether the foot names an event of its record behind which the disk has more: on a busy
    /// machine what was written is seen some time after it.
    fn is_behind(&self) -> bool {
        let all = self.harness.query_all(By::new());
        let mut labels = all.filter_map(|node| node.accesskit_node().value());
        let told = labels.find_map(|label| {
            let (event, name) = label.strip_prefix("recorded: event ")?.split_once(" in ")?;
            Some((event.parse::<usize>().ok()?, name.to_owned()))
        });
        let Some((event, name)) = told else {
            return false;
        };
        let path = self.folder.path().join("sessions").join(name);
        let lines = std::fs::read_to_string(path).map_or(0, |text| text.lines().count());
        event < lines
    }

    fn mode(&self) -> Option<&Mode> {
        self.window().desk().map(|desk| &desk.mode)
    }
}

pub(crate) fn harness<'a>(
    width: f32,
    height: f32,
    make: impl Fn(&Context) -> Window + 'a,
) -> Harness<'a, Option<Window>> {
    Harness::builder()
        .with_size(vec2(width, height))
        .with_step_dt(0.25)
        .with_context_setup(install_faces)
        .with_render_cursor(false)
        .renderer(crate::support::renderer::Renderer::default())
        .build_ui_state(
            move |ui, window: &mut Option<Window>| {
                window.get_or_insert_with(|| make(ui.ctx())).ui(ui);
            },
            None,
        )
}

pub(crate) fn events_of(key: char) -> Vec<Event> {
    let pressed = |key, pressed| Event::Key {
        key,
        physical_key: None,
        pressed,
        repeat: false,
        modifiers: Modifiers::NONE,
    };
    let named = match key {
        '⏎' => Some(Key::Enter),
        '⌫' => Some(Key::Backspace),
        '␛' => Some(Key::Escape),
        '↓' => Some(Key::ArrowDown),
        '↑' => Some(Key::ArrowUp),
        '①' => Some(Key::F1),
        '②' => Some(Key::F2),
        '③' => Some(Key::F3),
        '⇥' => Some(Key::Tab),
        '←' => Some(Key::ArrowLeft),
        '→' => Some(Key::ArrowRight),
        '④' => Some(Key::F4),
        '⑤' => Some(Key::F5),
        '⑥' => Some(Key::F6),
        '⑦' => Some(Key::F7),
        ' ' => Some(Key::Space),
        other => Key::from_name(&other.to_string()),
    };
    let mut events: Vec<Event> = named.map(|key| pressed(key, true)).into_iter().collect();
    if !"⏎⌫␛↓↑←→⇥①②③④⑤⑥⑦".contains(key) {
        events.push(Event::Text(key.to_string()));
    }
    events.extend(named.map(|key| pressed(key, false)));
    events
}

fn callout(text: &str, gauge: &str) -> Begin {
    let mut begin = Begin::new(What::Callouts(vec![text.to_owned()]));
    begin.gauges = vec![gauge.to_owned()];
    begin
}

#[test]
fn from_the_start_room_to_a_go_with_keys_alone_and_left_unfinished() {
    let mut desk = Desk::open(None);
    assert_eq!(desk.count("session_opened"), 0);
    desk.keys("20 k6");
    assert!(
        desk.harness
            .query_by_label_contains("20.002 to 20.015 mm")
            .is_some()
    );
    desk.keys("⏎");
    assert!(
        desk.harness
            .query_by_label_contains("Which gauge?")
            .is_some()
    );
    assert_eq!(
        desk.count("session_opened"),
        0,
        "nothing is begun by choosing"
    );
    let typed = desk.harness.query_by_label_contains("typed").unwrap();
    typed.click();
    desk.pause();
    desk.pause();
    desk.wait("session_opened", 1);
    desk.keys("20.008⏎");
    desk.wait("verdict_given", 1);
    assert!(desk.journal().contains("\"verdict\":\"GO\""));
    desk.keys("⏎⏎");
    desk.wait("part_started", 2);
    desk.keys("␛0");
    assert!(desk.window().desk().is_none(), "back in the Start room");
    assert_eq!(desk.count("session_closed"), 0);
    // It can be gone on with.
    assert!(desk.harness.query_by_label_contains("go on with").is_some());
    desk.keys("1⏎");
    desk.wait("session_resumed", 1);
    desk.keys("␛+");
    desk.wait("session_closed", 1);
    desk.keys("⏎");
    assert!(desk.window().desk().is_none());
    assert!(desk.harness.query_by_label_contains("go on with").is_none());
}

#[test]
fn a_slow_typist_and_a_wedge_both_get_their_reading_and_the_wedge_presses_nothing() {
    let mut desk = Desk::open(Some(callout("20 k6", "mic=typed")));
    desk.wait("session_opened", 1);
    desk.keys("c");
    desk.wait("cutting_switched", 1);
    desk.keys("c");
    desk.wait("cutting_switched", 2);
    desk.burst("c+20.0*/");
    assert_eq!(
        (
            desk.count("cutting_switched"),
            desk.count("reading_received")
        ),
        (2, 0)
    );
    desk.burst("20.008");
    desk.wait("verdict_given", 1);
    // A question is open: the burst is recorded, and presses no answer.
    desk.keys("25⏎");
    desk.wait("reading_held", 1);
    desk.burst("25.001");
    desk.wait("reading_received", 3);
    assert_eq!(
        desk.count("reading_set_aside") + desk.count("reading_assigned"),
        1
    );
    desk.keys("-");
    desk.wait("reading_set_aside", 1);
    // The one that waited looks wrong too; a further one that fits shows that it was a slip.
    desk.wait("reading_held", 2);
    desk.burst("20.009");
    desk.wait("reading_set_aside", 2);
    desk.wait("verdict_given", 2);
}

/// `key` goes down and stays down: the system repeats it.
fn held_down(desk: &mut Desk<'_>, key: Key, text: &str, repeats: usize) {
    for at in 0..=repeats {
        desk.harness.event(Event::Key {
            key,
            physical_key: None,
            pressed: true,
            repeat: at > 0,
            modifiers: Modifiers::NONE,
        });
        desk.harness.event(Event::Text(text.to_owned()));
        desk.harness.step();
        std::thread::sleep(Duration::from_millis(5));
    }
    desk.harness.event(Event::Key {
        key,
        physical_key: None,
        pressed: false,
        repeat: false,
        modifiers: Modifiers::NONE,
    });
    desk.pause();
}

#[test]
fn a_thread_typed_at_the_start_is_proved_by_keys_and_a_held_key_answers_once() {
    let mut desk = Desk::open(None);
    desk.keys("M10-6H");
    let explained = "minor diameter 8.376 to 8.676 mm, GO plug, NO-GO plug";
    assert!(desk.harness.query_by_label_contains(explained).is_some());
    desk.keys("⏎");
    desk.harness
        .query_by_label_contains("typed")
        .unwrap()
        .click();
    desk.pause();
    desk.pause();
    desk.wait("session_opened", 1);
    for row in ["M10-6H minor, now", "A GO plug, open", "A NO-GO plug, open"] {
        assert!(desk.harness.query_by_label_contains(row).is_some(), "{row}");
    }
    desk.keys("8.520⏎");
    desk.wait("verdict_given", 1);
    held_down(&mut desk, Key::Plus, "+", 40);
    desk.wait("verdict_given", 2);
    desk.pause();
    assert_eq!(desk.count("reading_received"), 2, "{}", desk.journal());
    held_down(&mut desk, Key::Minus, "-", 40);
    desk.wait("verdict_given", 3);
    assert_eq!(desk.count("reading_received"), 3, "{}", desk.journal());
    assert_eq!(desk.journal().matches("\"verdict\":\"GO\"").count(), 3);
}

#[test]
fn two_clicks_of_one_hand_answer_one_question() {
    let mut desk = Desk::open(Some(callout("M10-6H", "typed")));
    desk.wait("session_opened", 1);
    desk.keys("8.520⏎");
    desk.wait("verdict_given", 1);
    // The window follows the journal a moment later.
    let until = Instant::now() + Duration::from_secs(60);
    while desk.harness.query_by_label("goes").is_none() {
        assert!(Instant::now() < until, "{}", desk.journal());
        std::thread::sleep(Duration::from_millis(5));
        desk.pause();
    }
    let field = desk.harness.get_by_label("goes").rect();
    // Where the next question has an answer too.
    let place = field.left_center() + vec2(30.0, 20.0);
    for click in 0..2 {
        let button = |pressed| Event::PointerButton {
            pos: place,
            button: PointerButton::Primary,
            pressed,
            modifiers: Modifiers::NONE,
        };
        let events = [Event::PointerMoved(place), button(true), button(false)];
        desk.harness.input_mut().events.extend(events);
        desk.harness.step();
        if click == 0 {
            // What it answered is on the screen before the hand clicks again.
            let until = Instant::now() + Duration::from_secs(60);
            while desk.count("verdict_given") < 2 {
                assert!(Instant::now() < until, "{}", desk.journal());
                std::thread::sleep(Duration::from_millis(5));
            }
            std::thread::sleep(Duration::from_millis(30));
        }
    }
    desk.pause();
    desk.pause();
    std::thread::sleep(Duration::from_millis(100));
    assert_eq!(desk.count("reading_received"), 2, "{}", desk.journal());
}

#[test]
fn tab_and_enter_never_press_what_is_drawn() {
    let mut desk = Desk::open(Some(callout("20 k6", "typed")));
    desk.wait("session_opened", 1);
    let before = desk.journal();
    for _ in 0..12 {
        for pressed in [true, false] {
            desk.harness.event(Event::Key {
                key: Key::Tab,
                physical_key: None,
                pressed,
                repeat: false,
                modifiers: Modifiers::NONE,
            });
        }
        desk.pause();
        desk.keys("⏎ ");
    }
    assert_eq!(desk.journal(), before);
    assert_eq!(desk.mode(), Some(&Mode::Measuring));
}

#[test]
fn the_gauges_room_opens_over_a_session_that_goes_on_and_checks_a_zero() {
    let mut desk = Desk::open(Some(callout("20 k6", "mic=typed")));
    desk.wait("session_opened", 1);
    let is_open = |desk: &Desk<'_>, tab: &str| {
        let name = format!("{tab}, open");
        desk.harness.query_by_label(&name).is_some()
    };
    assert!(is_open(&desk, "F1 Bench"));
    desk.keys("⑥");
    assert!(desk.window().gauges().is_some() && is_open(&desk, "F6 Gauges"));
    // What a device types is recorded, whatever is seen.
    desk.burst("20.008");
    desk.wait("verdict_given", 1);
    desk.keys("5⏎");
    desk.wait("zero_check_asked", 1);
    desk.keys("0.001⏎");
    desk.wait("zero_checked", 1);
    assert!(desk.journal().contains("\"offset_nm\":1000") || desk.journal().contains("0.001"));
    desk.keys("⏎");
    desk.wait("zero_check_asked", 2);
    desk.keys("⌫");
    desk.wait("zero_check_dropped", 1);
    // By the keypad alone: back, and in again through the list of the Bench.
    desk.keys(".");
    assert!(desk.window().gauges().is_none() && is_open(&desk, "F1 Bench"));
    desk.keys("⏎.06");
    assert!(desk.window().gauges().is_some());
    desk.keys("①");
    assert!(desk.window().gauges().is_none());
    desk.keys("20.009⏎");
    desk.wait("verdict_given", 2);
}

#[test]
fn the_demonstration_runs_on_its_space_bar() {
    let mut begin = Begin::new(What::Demo);
    begin.gauges = vec!["simulated:1".to_owned()];
    let mut desk = Desk::open(Some(begin));
    desk.wait("session_opened", 1);
    desk.keys("p");
    for _ in 0..8 {
        desk.keys(" ");
    }
    desk.wait("reading_received", 3);
    assert!(desk.window().drawn().is_some());
}

#[test]
fn a_session_that_cannot_begin_is_told_in_the_start_room_and_makes_no_journal() {
    let mut desk = Desk::open(Some(callout("20 qq99", "typed")));
    desk.pause();
    assert!(desk.window().desk().is_none());
    assert!(desk.harness.query_by_label_contains("qq").is_some());
    assert_eq!(desk.journal(), "");
    let mut desk = Desk::open(Some(callout("20 k6", "serial:/nowhere/at-all")));
    desk.pause();
    assert!(
        desk.harness
            .query_by_label_contains("/nowhere/at-all")
            .is_some()
    );
    assert_eq!(desk.journal(), "");
}

#[test]
fn settings_are_kept_at_once_and_read_again() {
    let mut desk = Desk::open(Some(callout("20 k6", "typed")));
    desk.wait("session_opened", 1);
    desk.keys(".92.94.99g");
    let file = desk.folder.path().join("window.toml");
    let text = std::fs::read_to_string(&file).unwrap();
    for line in [
        "theme = \"day\"",
        "distance_m = 0.5",
        "decimal_marker = \",\"",
        "glance = true",
    ] {
        assert!(text.contains(line), "{line}: {text}");
    }
    // Matched to a rule: 10 points longer and one shorter, over 50 mm.
    desk.keys(".98*-⏎");
    let usual = Settings::usual('.').points_per_mm;
    let set = desk.window().settings().points_per_mm;
    assert!((set - usual - 9.0 / 50.0).abs() < 1e-4, "{set}");
    let text = std::fs::read_to_string(&file).unwrap();
    assert!(text.contains("points_per_mm = 3.959"), "{text}");
    desk.keys(".98*⌫");
    assert!((desk.window().settings().points_per_mm - set).abs() < 1e-6);
    let Desk { harness, folder } = desk;
    drop(harness);
    let again = Desk::open_in(folder, None);
    assert_eq!(again.window().settings().theme, Theme::Day);
    assert_eq!(again.window().settings().marker, ',');
}

#[test]
fn a_settings_file_that_is_no_toml_is_told_and_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("window.toml");
    std::fs::write(&file, "theme = ").unwrap();
    let mut desk = Desk::open_in(folder, Some(callout("20 k6", "typed")));
    desk.wait("session_opened", 1);
    desk.keys(".92");
    assert_eq!(desk.window().settings().theme, Theme::Day);
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "theme = ");
}

#[test]
fn every_size_is_survived_in_every_room() {
    for (width, height) in [
        (0.0, 0.0),
        (1.0, 1.0),
        (0.0, 480.0),
        (30.0, 3000.0),
        (4000.0, 9.0),
    ] {
        let mut desk = Desk::open(None);
        desk.keys("20 k6");
        desk.harness.set_size(vec2(width, height));
        desk.pause();
        desk.keys("⏎⏎");
        desk.wait("session_opened", 1);
        desk.keys("20.0⌫⌫⌫⌫.98⌫w␛g");
    }
}

#[test]
fn an_idle_window_asks_for_no_frame() {
    let mut desk = Desk::open(None);
    desk.keys("20 k6⏎⏎");
    desk.wait("session_opened", 1);
    for _ in 0..20 {
        desk.pause();
    }
    let quiet = |desk: &Desk<'_>| {
        let output = desk.harness.output();
        output
            .viewport_output
            .values()
            .map(|one| one.repaint_delay)
            .min()
            .unwrap()
    };
    assert_eq!(quiet(&desk), Duration::MAX);
    // The age of a temperature is told by the minute.
    desk.keys("t31⏎");
    desk.wait("temperature_set", 1);
    for _ in 0..20 {
        desk.pause();
    }
    let due = quiet(&desk);
    assert!(
        due > Duration::from_secs(30) && due <= Duration::from_secs(61),
        "{due:?}"
    );
}

/// A session whose disk has failed, told by hand: what it is asked is kept.
struct Failed {
    snapshot: std::sync::Arc<Snapshot>,
    asked: std::sync::Arc<std::sync::Mutex<Vec<String>>>,
}

impl Running for Failed {
    fn snapshot(&self) -> std::sync::Arc<Snapshot> {
        std::sync::Arc::clone(&self.snapshot)
    }

    fn send(&self, request: Request) {
        self.asked.lock().unwrap().push(format!("{request:?}"));
    }

    fn now_ms(&self) -> u64 {
        self.snapshot.now_ms
    }

    fn stop(&self) {
        self.asked.lock().unwrap().push("stop".to_owned());
    }
}

struct FailedDisk(Option<Failed>);

impl Outside for FailedDisk {
    fn facts(&mut self) -> StartFacts {
        StartFacts::default()
    }

    fn gauges(&mut self) -> Vec<GaugeChoice> {
        Vec::new()
    }

    fn begin(&mut self, _begin: &Begin) -> Result<Box<dyn Running>, BeginError> {
        match self.0.take() {
            Some(failed) => Ok(Box::new(failed)),
            None => Err(BeginError::bad("none", "There is no other.", None)),
        }
    }

    fn keep_settings(&mut self, _text: &str) -> Result<(), String> {
        Err("“window.toml” could not be written: no room.".to_owned())
    }
}

#[test]
fn a_window_with_readings_not_recorded_asks_before_it_closes() {
    use crate::support::bench::{Bench, feature, plan};
    let bench = Bench::new(plan(&feature("A", "20 k6", "")));
    let mut snapshot = crate::support::shown::snapshot(&bench);
    snapshot.unrecorded = Some(fitledger::session::Unrecorded {
        cause: "The disk is full.".to_owned(),
        hint: "Make room.".to_owned(),
        count: 2,
        readings: vec!["20.009".to_owned(), "20.008".to_owned()],
    });
    let asked = std::sync::Arc::new(std::sync::Mutex::new(Vec::new()));
    let failed = Failed {
        snapshot: std::sync::Arc::new(snapshot),
        asked: std::sync::Arc::clone(&asked),
    };
    let outside = std::sync::Mutex::new(Some(Box::new(FailedDisk(Some(failed)))));
    let make = move |_: &Context| {
        let outside = outside.lock().unwrap().take().unwrap();
        Window::new(
            outside,
            Settings::usual('.'),
            &[],
            Some(&Begin::new(What::Demo)),
        )
    };
    let folder = tempfile::tempdir().unwrap();
    let mut desk = Desk {
        harness: harness(800.0, 480.0, make),
        folder,
    };
    let commands = |desk: &Desk<'_>| -> Vec<ViewportCommand> {
        let output = desk.harness.output().viewport_output.values();
        output.flat_map(|one| one.commands.clone()).collect()
    };
    let close = |desk: &mut Desk<'_>| {
        let input = desk.harness.input_mut();
        let id = input.viewport_id;
        let viewport = input.viewports.entry(id).or_default();
        viewport.events.push(ViewportEvent::Close);
        desk.harness.step();
        let commands = commands(desk);
        let input = desk.harness.input_mut();
        input.viewports.entry(id).or_default().events.clear();
        commands
    };
    assert_eq!(close(&mut desk), [ViewportCommand::CancelClose]);
    // Nothing but + and − answers; a reading from a wedge is still taken.
    desk.keys("⏎ 1c");
    desk.burst("20.010");
    assert!(asked.lock().unwrap()[0].contains("Reading"), "{asked:?}");
    assert_eq!(asked.lock().unwrap().len(), 1);
    desk.keys("+");
    desk.keys("␛0");
    desk.keys("+");
    assert!(desk.window().desk().is_some(), "leaving asks too");
    assert_eq!(asked.lock().unwrap().len(), 1);
    // Enter tries again to record.
    desk.keys("⏎");
    assert_eq!(asked.lock().unwrap().last().unwrap(), "TryRecording");
    assert_eq!(close(&mut desk), [ViewportCommand::CancelClose]);
    for event in events_of('-') {
        desk.harness.event(event);
    }
    desk.harness.step();
    desk.harness.step();
    assert_eq!(asked.lock().unwrap().last().unwrap(), "stop");
    assert_eq!(close(&mut desk), [], "now it closes");
}
