//! Teaching in the window: a simulated gauge behind a made-up port, the real routine, real keys.

use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use eframe::egui::Context;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::gauge::{Date, GaugeId, Register};
use fitledger::quantity::Length;
use fitledger::session::{AskedPort, Begin, BeginError, Request, Snapshot, Tap, What, Workspace};
use fitledger::window::app::Disk;
use fitledger::window::gauges_facts::TeachFacts;
use fitledger::window::gauges_room::{GaugesFacts, GaugesPage, TeachPress};
use fitledger::window::settings::Settings;
use fitledger::window::shell::{Outside, Running, Window};
use fitledger::window::start::{GaugeChoice, StartFacts};
use fitledger::window::teach_run::{Kept, TeachOutside, TeachSide};
use fitledger::window::teach_setup::{TeachOrder, TeachSetup};
use fitledger::wire::{
    Adapter, Decoded, LineSettings, Port, PortError, PortFault, Trigger, decode_groups, line_text,
};

use crate::shell::{events_of, harness};
use crate::support::bench::{Bench, feature, plan};
use crate::support::picture::{compare, keep};
#[cfg(unix)]
use crate::support::program::FarEnd;
use crate::support::taught_gauges::{Gauge, text_gauges, through_line};

const GAUGES: &str = "[[gauge]]\nid = \"ring\"\nkind = \"setting_ring\"\nrange = 20.000\n\
[[gauge]]\nid = \"Bench_caliper\"\nkind = \"caliper\"\nrange = [0, 150]\nresolution = 0.01\n\
port = { path = \"/dev/ttyUSB7\" }\n\
[[gauge]]\nid = \"loose\"\nkind = \"caliper\"\nrange = [0, 150]\nresolution = 0.01\n";

/// How long a test waits for something that happens on another thread.
const PATIENCE: Duration = Duration::from_secs(60);

/// What test and made-up port share.
#[derive(Default)]
struct Bag {
    /// How the port is set now; none while it is closed.
    line: Option<LineSettings>,
    /// How often it was opened.
    opened: usize,
    /// The next time it is opened it is in use.
    is_busy: bool,
    orders: Vec<TeachOrder>,
}

type Shared = Arc<Mutex<Bag>>;

struct SimulatedPort {
    bytes: Arc<Mutex<Receiver<Vec<u8>>>>,
    now_ms: Arc<Mutex<u64>>,
    bag: Shared,
}

fn fault(fault: PortFault) -> PortError {
    PortError {
        fault,
        port: "/dev/ttyUSB7".to_owned(),
        errno: None,
        found: String::new(),
    }
}

impl Port for SimulatedPort {
    /// Each 20 ms of the test are 50 ms for the routine.
    fn read(&mut self, buffer: &mut [u8]) -> Result<usize, PortError> {
        let bytes = self.bytes.lock().unwrap();
        match bytes.recv_timeout(Duration::from_millis(20)) {
            Ok(bytes) => {
                buffer[..bytes.len()].copy_from_slice(&bytes);
                Ok(bytes.len())
            }
            Err(_) => {
                *self.now_ms.lock().unwrap() += 50;
                Err(fault(PortFault::Timeout))
            }
        }
    }

    fn write(&mut self, _: &[u8]) -> Result<(), PortError> {
        Ok(())
    }
}

impl AskedPort for SimulatedPort {
    fn ask(&mut self, _: &Trigger) -> Result<(), PortError> {
        Ok(())
    }
}

impl Drop for SimulatedPort {
    fn drop(&mut self) {
        let bag = self.bag.lock();
        bag.unwrap_or_else(PoisonError::into_inner).line = None;
    }
}

/// What the thread of a teaching has.
struct AtSimulated {
    bytes: Arc<Mutex<Receiver<Vec<u8>>>>,
    now_ms: Arc<Mutex<u64>>,
    bag: Shared,
    /// The port opens only while the test does not hold it.
    gate: Arc<Mutex<()>>,
    folder: std::path::PathBuf,
    context: Context,
    ended: Sender<()>,
}

impl Drop for AtSimulated {
    fn drop(&mut self) {
        let _ = self.ended.send(());
    }
}

impl TeachOutside for AtSimulated {
    fn open(&mut self, line: LineSettings) -> Result<Box<dyn AskedPort>, PortError> {
        drop(self.gate.lock().unwrap());
        let mut bag = self.bag.lock().unwrap();
        assert!(bag.line.is_none(), "the port is opened while it is open");
        if std::mem::take(&mut bag.is_busy) {
            return Err(fault(PortFault::Busy));
        }
        bag.line = Some(line);
        bag.opened += 1;
        Ok(Box::new(SimulatedPort {
            bytes: Arc::clone(&self.bytes),
            now_ms: Arc::clone(&self.now_ms),
            bag: Arc::clone(&self.bag),
        }))
    }

    fn now_ms(&mut self) -> u64 {
        *self.now_ms.lock().unwrap()
    }

    fn today(&mut self) -> Option<Date> {
        Date::parse("2026-11-26")
    }

    fn keep(&mut self, name: &str, text: &str, replace: bool) -> Kept {
        let workspace = Workspace::locate(Some(&self.folder));
        match workspace.keep_adapter(name, None, text, replace) {
            Ok(path) => Kept::At(
                path.strip_prefix(&self.folder)
                    .unwrap()
                    .display()
                    .to_string(),
            ),
            Err(error) if error.code() == "file_exists" => Kept::IsThere,
            Err(error) => Kept::Failed(error.to_string()),
        }
    }

    fn changed(&mut self) {
        self.context.request_repaint();
    }
}

/// A session that only is there, and holds the ports of its taps.
struct Held(Arc<Snapshot>);

impl Running for Held {
    fn snapshot(&self) -> Arc<Snapshot> {
        Arc::clone(&self.0)
    }

    fn send(&self, _: Request) {}

    fn now_ms(&self) -> u64 {
        0
    }

    fn stop(&self) {}
}

struct Made {
    side: Option<AtSimulated>,
    bag: Shared,
    snapshot: Option<Arc<Snapshot>>,
    ports: Vec<String>,
}

impl Outside for Made {
    fn facts(&mut self) -> StartFacts {
        StartFacts::default()
    }

    fn gauges(&mut self) -> Vec<GaugeChoice> {
        Vec::new()
    }

    fn gauge_facts(&mut self) -> GaugesFacts {
        GaugesFacts {
            register: Register::parse(GAUGES, "gauges.toml").unwrap(),
            today: Date::parse("2026-11-26"),
            ..GaugesFacts::default()
        }
    }

    fn ports(&mut self) -> Vec<String> {
        self.ports.clone()
    }

    fn teach(&mut self, order: TeachOrder, side: TeachSide) -> Result<(), String> {
        self.bag.lock().unwrap().orders.push(order.clone());
        let mut taught = self.side.take().ok_or("There is one gauge only.")?;
        std::thread::spawn(move || side.run(&order, &mut taught));
        Ok(())
    }

    fn begin(&mut self, _: &Begin) -> Result<Box<dyn Running>, BeginError> {
        match self.snapshot.take() {
            Some(snapshot) => Ok(Box::new(Held(snapshot))),
            None => Err(BeginError::bad("none", "There is none.", None)),
        }
    }

    fn keep_settings(&mut self, _: &str) -> Result<(), String> {
        Ok(())
    }
}

struct Scene<'a> {
    harness: Harness<'a, Option<Window>>,
    wire: Sender<Vec<u8>>,
    ended: Receiver<()>,
    bag: Shared,
    gate: Arc<Mutex<()>>,
    folder: tempfile::TempDir,
}

impl Scene<'_> {
    fn open(snapshot: Option<Snapshot>, ports: &[&str]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let (wire, bytes) = channel();
        let (ends, ended) = channel();
        let bag = Shared::default();
        let gate = Arc::<Mutex<()>>::default();
        let held = Arc::clone(&gate);
        let made = Mutex::new(Some((bytes, ends, snapshot)));
        let (path, shared) = (folder.path().to_path_buf(), Arc::clone(&bag));
        let ports: Vec<String> = ports.iter().map(|&port| port.to_owned()).collect();
        let make = move |context: &Context| {
            let (bytes, ended, snapshot) = made.lock().unwrap().take().unwrap();
            let has_session = snapshot.is_some();
            let outside = Made {
                side: Some(AtSimulated {
                    bytes: Arc::new(Mutex::new(bytes)),
                    now_ms: Arc::default(),
                    bag: Arc::clone(&shared),
                    gate: Arc::clone(&held),
                    folder: path.clone(),
                    context: context.clone(),
                    ended,
                }),
                bag: Arc::clone(&shared),
                snapshot: snapshot.map(Arc::new),
                ports: ports.clone(),
            };
            let begin = has_session.then(|| Begin::new(What::Demo));
            let settings = Settings::usual('.');
            Window::new(Box::new(outside), settings, &[], begin.as_ref())
        };
        Self {
            harness: harness(800.0, 480.0, make),
            wire,
            ended,
            bag,
            gate,
            folder,
        }
    }

    fn keys(&mut self, keys: &str) {
        for key in keys.chars() {
            for event in events_of(key) {
                self.harness.event(event);
            }
            self.harness.step();
            self.harness.step();
        }
    }

    fn window(&self) -> &Window {
        self.harness.state().as_ref().unwrap()
    }

    fn facts(&self) -> TeachFacts {
        self.window().teaching().unwrap_or_default()
    }

    fn fault(&self) -> String {
        let room = self.window().gauges().unwrap();
        room.fault.clone().unwrap_or_default()
    }

    fn shows(&self, text: &str) -> bool {
        self.harness.query_by_label_contains(text).is_some()
    }

    /// Frames go on until it holds.
    fn until(&mut self, what: &str, holds: impl Fn(&TeachFacts) -> bool) -> TeachFacts {
        let begun = Instant::now();
        loop {
            self.harness.step();
            let facts = self.facts();
            if holds(&facts) {
                self.harness.step();
                return facts;
            }
            assert!(begun.elapsed() < PATIENCE, "{what}: {facts:#?}");
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    /// What a person with that gauge does until the routine has ended; what was asked.
    fn goes_through(&mut self, gauge: &Gauge) -> Vec<String> {
        let mut prompts: Vec<String> = Vec::new();
        let mut last = (usize::MAX, String::new());
        loop {
            let seen = last.clone();
            let facts = self.until("the next step", move |facts| {
                let is_new = (facts.step, facts.prompt.clone()) != seen;
                let waits = facts.asks_yes_or_no || facts.prompt.contains("easure ");
                !facts.is_running || (is_new && waits)
            });
            last = (facts.step, facts.prompt.clone());
            if !facts.is_running {
                return prompts;
            }
            prompts.push(facts.prompt.clone());
            assert!(self.shows(&facts.prompt), "{}", facts.prompt);
            if facts.asks_yes_or_no {
                self.keys(if facts.prompt.contains("unit key") {
                    "-"
                } else {
                    "+"
                });
                continue;
            }
            let nm = asked_nm(&facts.prompt).unwrap();
            let line = self.bag.lock().unwrap().line.map(line_text).unwrap();
            let sent = through_line(&gauge.send(nm + 1_300, false), gauge.line, &line);
            self.wire.send(sent).unwrap();
        }
    }

    fn file(&self, name: &str) -> Option<String> {
        std::fs::read_to_string(self.folder.path().join(name)).ok()
    }
}

/// What the gauge shows where it is asked to be measured, nanometres.
pub(crate) fn asked_nm(prompt: &str) -> Option<i64> {
    let number = |after: &str| {
        let rest = &prompt[prompt.find(after)? + after.len()..];
        Length::parse_mm(rest.split(' ').next()?).ok()
    };
    let zero = number("Zero the gauge on ").unwrap_or(Length::ZERO);
    Some(number("easure ")?.as_nm() - zero.as_nm())
}

fn gauge(name: &str) -> Gauge {
    let mut gauges = text_gauges().into_iter();
    gauges.find(|gauge| gauge.name == name).unwrap()
}

fn session(taps: Vec<Tap>) -> Snapshot {
    let bench = Bench::new(plan(&feature("A", "20 k6", "")));
    let mut snapshot = crate::support::shown::snapshot(&bench);
    snapshot.taps = taps;
    snapshot
}

#[test]
fn a_negative_size_to_teach_with_is_refused_as_that_and_blanks_around_one_are_none_of_it() {
    let register = Register::parse(GAUGES, "gauges.toml").unwrap();
    let gauge = register.gauge(&GaugeId::new("Bench_caliper")).unwrap();
    let mut setup = TeachSetup::new(gauge, Vec::new()).unwrap();
    let mut typed = |text: &str| setup.press(&TeachPress::Answer(text.to_owned()));
    assert!(typed("-2").unwrap_err().contains("negative"));
    assert!(typed("2,5,1").unwrap_err().contains("7.5"));
    assert_eq!(typed(" 7,5 "), Ok(None));
    assert!(
        setup
            .facts()
            .found
            .iter()
            .any(|one| one.ends_with("7.500 mm"))
    );
}

/// From the first key to an adapter on the disk that reads what was not taught.
#[test]
fn a_gauge_is_taught_in_the_window_from_the_first_key_to_its_adapter() {
    let gauge = gauge("line-comma");
    let mut scene = Scene::open(None, &[]);
    scene.bag.lock().unwrap().is_busy = true;
    scene.keys("⑥+7");
    assert!(scene.shows("Enter begins"));
    scene.keys("⏎1⏎");
    assert!(scene.shows("the port: /dev/ttyUSB7"));
    assert!(scene.facts().awaits == "size, mm", "{:?}", scene.facts());
    scene.keys("1⏎");
    assert!(
        scene.fault().contains("1.000 mm is one of the others"),
        "{}",
        scene.fault()
    );
    scene.keys("7.5⏎20⏎20⏎");
    assert!(
        scene.fault().contains("one of the others"),
        "{}",
        scene.fault()
    );
    scene.keys("12.345⏎");
    // The port is in use at first; it is told, and Enter tries again.
    let facts = scene.until("in use", |facts| facts.prompt.contains("is in use"));
    assert!(scene.shows(&facts.prompt));
    scene.keys("⏎");
    let prompts = scene.goes_through(&gauge);
    assert!(prompts.len() >= 8, "{prompts:#?}");
    let facts = scene.facts();
    assert!(facts.prompt.contains("known and confirmed"), "{facts:#?}");
    assert!(!facts.found.is_empty() && !facts.assumed.is_empty());
    assert_eq!(facts.written, "adapters/bench-caliper.toml");
    let usage = "port = { path = \"/dev/ttyUSB7\", adapter = \"bench-caliper\" }";
    assert_eq!(facts.usage, usage);
    assert!(scene.shows(usage) && scene.shows(&facts.written));
    let text = scene.file("adapters/bench-caliper.toml").unwrap();
    let adapter = Arc::new(Adapter::from_text(&text, None).unwrap());
    assert_eq!(adapter.name(), "bench-caliper");
    match decode_groups(&adapter, &[gauge.send(9_990_000, false)]).as_slice() {
        [Decoded::Reading(reading)] => {
            let shown = gauge.count(9_990_000, false) * gauge.step_nm[0];
            assert_eq!(reading.length.unwrap().as_nm(), shown);
        }
        other => panic!("{other:?}"),
    }
    // It was not heard at the first setting: the port was opened anew, and let go before.
    assert!(scene.bag.lock().unwrap().opened > 1);
    scene.ended.recv_timeout(PATIENCE).unwrap();
    assert!(
        scene.bag.lock().unwrap().line.is_none(),
        "the port is let go"
    );
    let image = scene.harness.render().unwrap();
    keep("gauges-night-taught", &image);
}

/// Where nothing tells which port it is, it is asked; an adapter is not written over unasked.
#[test]
fn a_port_is_chosen_by_its_number_and_an_adapter_is_left_when_it_is_to_be_left() {
    let mut scene = Scene::open(None, &["/dev/ttyS0", "/dev/ttyUSB7"]);
    let old = "the old one";
    std::fs::create_dir(scene.folder.path().join("adapters")).unwrap();
    std::fs::write(scene.folder.path().join("adapters/loose.toml"), old).unwrap();
    scene.keys("⑥++7⏎");
    assert!(scene.shows("1: /dev/ttyS0") && scene.shows("2: /dev/ttyUSB7"));
    scene.keys("3");
    assert!(scene.fault().contains("no port 3"), "{}", scene.fault());
    scene.keys("2");
    // One size is not enough where it is zero.
    scene.keys("0⏎⏎");
    assert!(scene.fault().contains("larger than 0"), "{}", scene.fault());
    scene.keys("7.5⏎⏎12⏎");
    let gauge = gauge("line-free");
    scene.until("listening", |facts| !facts.prompt.contains("opened"));
    let orders = scene.bag.lock().unwrap().orders.clone();
    assert_eq!(orders.len(), 1);
    assert!(orders[0].usage().contains("/dev/ttyUSB7"), "{orders:?}");
    // Every question is answered with yes but the last one.
    let begun = Instant::now();
    let mut last = (usize::MAX, String::new());
    while scene.facts().is_running {
        scene.harness.step();
        assert!(begun.elapsed() < PATIENCE, "{:#?}", scene.facts());
        let facts = scene.facts();
        let now = (facts.step, facts.prompt.clone());
        if now == last {
            std::thread::sleep(Duration::from_millis(2));
            continue;
        }
        if facts.prompt.contains("replace it?") {
            scene.keys("-");
            break;
        }
        if facts.asks_yes_or_no {
            scene.keys("-");
        } else if let Some(nm) = asked_nm(&facts.prompt) {
            scene.wire.send(gauge.send(nm, false)).unwrap();
        }
        last = now;
    }
    let facts = scene.until("the end", |facts| !facts.is_running);
    assert!(facts.prompt.contains("Nothing is written"), "{facts:#?}");
    assert_eq!(scene.file("adapters/loose.toml").unwrap(), old);
}

/// The routine waits on its own thread: rooms are changed meanwhile, and a key ends it.
#[test]
fn teaching_goes_on_behind_every_room_and_a_key_ends_it_with_nothing_written() {
    let mut scene = Scene::open(Some(session(Vec::new())), &["/dev/ttyUSB7"]);
    scene.keys("⑥");
    let gauges = scene.window().gauges().unwrap();
    assert_eq!(gauges.page, GaugesPage::Facts);
    scene.keys("7⏎");
    assert!(scene.facts().is_running, "{}", scene.fault());
    let gate = Arc::clone(&scene.gate);
    let held = gate.lock().unwrap();
    // A port that takes long to open holds up no frame and no key.
    scene.keys("7.5⏎⏎12⏎①⑥");
    assert!(scene.shows("The port is being opened."));
    drop(held);
    scene.until("a press is waited for", |facts| {
        facts.prompt.contains("Measure 7.500")
    });
    scene.keys("①");
    assert!(scene.window().gauges().is_none() && scene.window().desk().is_some());
    assert!(scene.facts().is_running);
    scene.keys("⑥");
    assert_eq!(scene.window().gauges().unwrap().page, GaugesPage::Teach);
    assert!(scene.shows("Measure 7.5"));
    assert!(scene.bag.lock().unwrap().line.is_some());
    scene.keys("⌫");
    assert!(
        scene.fault().contains("Nothing is written"),
        "{}",
        scene.fault()
    );
    assert!(scene.window().teaching().is_none());
    scene.ended.recv_timeout(PATIENCE).unwrap();
    assert!(
        scene.bag.lock().unwrap().line.is_none(),
        "the port is let go"
    );
    assert!(!scene.folder.path().join("adapters").exists());
}

#[test]
fn a_port_that_the_session_holds_is_not_opened_twice() {
    let tap = Tap {
        gauges: vec![GaugeId::new("another")],
        port: "/dev/ttyUSB7".to_owned(),
        ..Tap::default()
    };
    let mut scene = Scene::open(Some(session(vec![tap])), &["/dev/ttyUSB7"]);
    scene.keys("⑥7⏎");
    let fault = scene.fault();
    assert!(
        fault.contains("session holds the port /dev/ttyUSB7"),
        "{fault}"
    );
    assert!(scene.window().teaching().is_none());
    assert_eq!(scene.bag.lock().unwrap().opened, 0);
    assert!(scene.bag.lock().unwrap().orders.is_empty());
}

/// A step of the routine as it is seen, looked at once.
#[test]
fn the_accepted_picture_of_teaching() {
    let mut scene = Scene::open(None, &[]);
    scene.keys("⑥+7⏎1⏎7.5⏎20⏎12.345⏎");
    scene.until("a press", |facts| facts.prompt.contains("Measure 1.000"));
    let first = gauge("line-free");
    for _ in 0..2 {
        let step = scene.facts().step;
        scene.wire.send(first.send(1_001_000, false)).unwrap();
        scene.until("heard", move |facts| {
            facts.step > step && facts.prompt.contains("easure")
        });
    }
    let image = scene.harness.render().unwrap();
    keep("gauges-night-teaching", &image);
    compare("gauges-night-teaching", &image).unwrap();
}

/// The real outside: a pseudo-terminal is opened, listened to, and the adapter is on the disk.
#[cfg(unix)]
#[test]
fn the_real_outside_teaches_at_a_real_port_and_watches_no_port_meanwhile() {
    let (mut far, gauge) = (FarEnd::new(), gauge("line-free"));
    let folder = tempfile::tempdir().unwrap();
    let register = GAUGES.replace("/dev/ttyUSB7", &far.path);
    std::fs::write(folder.path().join("gauges.toml"), register).unwrap();
    let workspace = Workspace::locate(Some(folder.path()));
    let make = move |context: &Context| {
        let disk = Disk::new(workspace.clone(), context.clone());
        Window::new(Box::new(disk), Settings::usual('.'), &[], None)
    };
    let mut harness = harness(800.0, 480.0, make);
    let keys = |harness: &mut Harness<'_, Option<Window>>, keys: &str| {
        for key in keys.chars() {
            events_of(key)
                .into_iter()
                .for_each(|one| harness.event(one));
            harness.step();
            harness.step();
        }
    };
    keys(&mut harness, "⑥+7⏎7.5⏎20⏎⏎12.345⏎");
    // The page of the wire does not open the port that is being taught: five pages back.
    for _ in 0..5 {
        harness.key_press(eframe::egui::Key::ArrowLeft);
        harness.step();
    }
    let window = harness.state().as_ref().unwrap();
    let room = window.gauges().unwrap();
    let fault = room.fault.clone().unwrap_or_default();
    assert_eq!(
        (room.page, fault.contains("is being taught")),
        (GaugesPage::Live, true)
    );
    for _ in 0..5 {
        harness.key_press(eframe::egui::Key::ArrowRight);
        harness.step();
    }
    let facts = |harness: &Harness<'_, Option<Window>>| {
        let window = harness.state().as_ref().unwrap();
        window.teaching().unwrap_or_default()
    };
    let begun = Instant::now();
    let mut last = (usize::MAX, String::new());
    while facts(&harness).is_running {
        assert!(begun.elapsed() < 2 * PATIENCE, "{:#?}", facts(&harness));
        harness.step();
        let now = facts(&harness);
        if (now.step, &now.prompt) == (last.0, &last.1) {
            std::thread::sleep(Duration::from_millis(5));
            continue;
        }
        last = (now.step, now.prompt.clone());
        if now.asks_yes_or_no {
            keys(&mut harness, "-");
        } else if let Some(nm) = asked_nm(&now.prompt) {
            far.send(&gauge.send(nm, false));
        }
    }
    let facts = facts(&harness);
    assert!(facts.prompt.contains("known and confirmed"), "{facts:#?}");
    let path = folder.path().join("adapters").join("bench-caliper.toml");
    assert_eq!(facts.written, path.display().to_string());
    let text = std::fs::read_to_string(path).unwrap();
    Adapter::from_text(&text, None).unwrap();
}
