//! A real session for every state that the Bench can be in, each run through the one writer.

use std::sync::LazyLock;

use eframe::egui::Color32;
use fitledger::gauge::{GaugeId, Register};
use fitledger::journal::{Event, GaugeSource, SessionOpened};
use fitledger::plan::Plan;
use fitledger::quantity::{Celsius, LengthUnit};
use fitledger::session::{
    Command, Incoming, PartState, Recorder, Snapshot, Tap, TapKind, TapLine, TargetLimits,
    Unrecorded, resume_session,
};
use fitledger::window::desk::{Desk, Form, Menu, Mode};
use fitledger::window::look::Tokens;
use fitledger::window::view::{BenchView, Mark, bench_view};

use super::bench::{Bench, NAME, feature, moment_at, plan, typed, typed_angle};
use super::cruel_disk::{CruelDisk, Fault, Plan as FaultPlan};
use super::shown::snapshot;
use super::suited_scenes::suited_scenes;
use super::thread_scenes::thread_scenes;

/// Disk full.
const ENOSPC: i32 = 28;

/// A state of the Bench.
#[derive(Clone)]
pub(crate) struct Scene {
    pub(crate) name: &'static str,
    pub(crate) snapshot: Snapshot,
    /// What the person is just doing.
    pub(crate) desk: Desk,
    /// The state that its verdict block must show.
    pub(crate) mark: Mark,
}

impl Scene {
    pub(crate) fn new(name: &'static str, bench: &Bench, mark: Mark) -> Self {
        Self {
            name,
            snapshot: snapshot(bench),
            desk: Desk::default(),
            mark,
        }
    }

    fn doing(mut self, mode: Mode) -> Self {
        self.desk.mode = mode;
        self
    }

    pub(crate) fn view(&self) -> BenchView {
        bench_view(&self.snapshot, &self.desk, self.snapshot.now_ms)
    }

    /// The fill that its verdict block must have.
    pub(crate) fn fill(&self, tokens: &Tokens) -> Option<Color32> {
        tokens.fill(self.mark)
    }
}

/// The demonstration's plan and gauges, all gauges typed.
pub(crate) fn demo() -> SessionOpened {
    let source = |gauge: &str| GaugeSource {
        gauge: gauge.to_owned(),
        source: "typed".to_owned(),
        adapter: String::new(),
        repeat_ms: 0,
    };
    SessionOpened {
        program: "test".to_owned(),
        plan_name: "pump-shaft.toml".to_owned(),
        plan: Some(Plan::DEMO_TEXT.to_owned()),
        gauges: Register::DEMO_TEXT.to_owned(),
        operator: "night shift".to_owned(),
        sources: ["mic-25", "caliper-150", "bore-6"].map(source).to_vec(),
        parts: Some(12),
        offset: "+01:00".to_owned(),
        ..SessionOpened::default()
    }
}

fn at_demo() -> Bench {
    Bench::new(demo())
}

/// The same with the micrometer at a port.
fn at_port() -> Bench {
    let mut opened = demo();
    "serial:/dev/ttyUSB0".clone_into(&mut opened.sources[0].source);
    Bench::new(opened)
}

fn mic(bench: &mut Bench, readings: &[&str]) {
    for reading in readings {
        bench.events("mic-25", reading);
    }
}

fn cutting() -> Bench {
    let mut bench = at_demo();
    bench.asks(Command::SwitchCutting(true));
    bench
}

fn choose(feature: &str) -> Command {
    Command::ChooseCharacteristic {
        feature: feature.to_owned(),
        element: String::new(),
    }
}

fn notice(bench: &mut Bench, event: Event) {
    let taken = bench.take(vec![Incoming::Notice(event)]);
    assert_eq!(taken.failure, None);
}

fn line(gauge: &str, state: &str, detail: &str) -> Event {
    Event::GaugeStateChanged {
        gauge: gauge.to_owned(),
        state: state.to_owned(),
        detail: detail.to_owned(),
    }
}

/// Reads something good at the place that is measured next, `off_nm` from its middle.
fn read_good(bench: &mut Bench, off_nm: i64) {
    let state = bench.state();
    let target = state.current_target().unwrap_or(0);
    let target = &state.setup().targets[target];
    let TargetLimits::Length(limits) = target.limits else {
        panic!("an angle");
    };
    let both = [limits.lower(), limits.upper()].map(|limit| limit.unwrap().as_nm());
    let middle = both.iter().sum::<i64>() / 2;
    let gauge = ["mic-25", "caliper-150", "bore-6"]
        .into_iter()
        .find(|gauge| target.may_prove(&GaugeId::new(gauge)))
        .unwrap();
    let set = state.setup().gauge(&GaugeId::new(gauge));
    let zero = set.map_or(0, |gauge| {
        gauge.size_of(fitledger::quantity::Length::ZERO).as_nm()
    });
    let step = if gauge == "caliper-150" {
        10_000
    } else {
        1_000
    };
    let shown = (middle + off_nm - zero).div_euclid(step) * step;
    let text = fitledger::quantity::Length::from_nm(shown).to_text(LengthUnit::Millimetre, 3);
    bench.events(gauge, &text);
}

/// Parts of the demonstration, all good, with a little spread.
fn parts(bench: &mut Bench, count: usize) {
    let done = |bench: &Bench| {
        let parts = bench.state().parts();
        parts
            .iter()
            .filter(|part| part.state() != PartState::Open)
            .count()
    };
    let mut turn = 0_i64;
    while done(bench) < count {
        turn += 1;
        read_good(bench, (turn * 7 % 5 - 2) * 700);
        assert!(turn < 20 * i64::try_from(count).unwrap(), "it never ends");
    }
}

fn celsius(part: i32, gauge: i32) -> Command {
    Command::SetTemperature {
        part: Some(Celsius::from_milli(part)),
        gauge: Some(Celsius::from_milli(gauge)),
    }
}

fn measured() -> Vec<Scene> {
    let mut scenes = Vec::new();
    let mut add = |name, bench: &Bench, mark| scenes.push(Scene::new(name, bench, mark));
    let mut bench = at_demo();
    add("fresh", &bench, Mark::Open);
    mic(&mut bench, &["20.008", "20.009"]);
    add("inside", &bench, Mark::Inside);
    mic(&mut bench, &["20.008"]);
    add("go", &bench, Mark::Go);
    let mut bench = cutting();
    mic(&mut bench, &["20.412", "20.046"]);
    add("cutting", &bench, Mark::Cutting);
    mic(&mut bench, &["20.019"]);
    add("cutting-near", &bench, Mark::Cutting);
    let mut bench = at_demo();
    mic(&mut bench, &["19.986"]);
    add("nogo-gone", &bench, Mark::NoGo);
    let mut bench = at_demo();
    mic(&mut bench, &["20.046"]);
    add("nogo-on", &bench, Mark::NoGo);
    let mut bench = at_demo();
    mic(&mut bench, &["20.014"]);
    add("doubt", &bench, Mark::Doubt);
    bench.asks(choose("A"));
    mic(&mut bench, &["20.003"]);
    add("doubt-disagree", &bench, Mark::Doubt);
    let mut bench = at_demo();
    mic(&mut bench, &["20.008", "20.508"]);
    add("held", &bench, Mark::Held);
    mic(&mut bench, &["20.009", "20.010", "20.008"]);
    add("held-waiting", &bench, Mark::Held);
    let mut bench = at_demo();
    mic(&mut bench, &["20.008", "20.014"]);
    bench.void(None);
    add("voided", &bench, Mark::Open);
    scenes
}

fn warm_and_many() -> Vec<Scene> {
    let mut scenes = Vec::new();
    let mut add = |name, bench: &Bench, mark| scenes.push(Scene::new(name, bench, mark));
    let mut bench = at_demo();
    bench.asks(celsius(31_000, 21_500));
    mic(&mut bench, &["20.011"]);
    add("warm", &bench, Mark::Inside);
    bench.now_ms += 3 * 60_000;
    add("warm-a-while", &bench, Mark::Inside);
    let mut bench = at_demo();
    bench.asks(celsius(31_000, 21_500));
    for reading in ["20.023", "20.022", "20.021", "20.020", "20.019", "20.018"] {
        bench.now_ms += 9_000;
        mic(&mut bench, &[reading]);
    }
    add("cooling", &bench, Mark::Doubt);
    let mut bench = at_demo();
    bench.asks(celsius(31_000, 21_500));
    mic(&mut bench, &["20.011"]);
    bench.now_ms += 3 * 3_600_000;
    add("temperature-lapsed", &bench, Mark::Inside);
    let mut bench = at_demo();
    parts(&mut bench, 1);
    add("part-go", &bench, Mark::Go);
    parts(&mut bench, 12);
    add("batch", &bench, Mark::Go);
    let mut bench = at_demo();
    mic(&mut bench, &["20.008", "20.009", "20.008"]);
    bench.asks(Command::TakeOut);
    add("left-open", &bench, Mark::Go);
    scenes.push(Scene::new("closed", &closed(), Mark::Go));
    let mut next_batch = Scene::new("closed-next", &closed(), Mark::Go);
    next_batch.desk.can_begin_again = true;
    let mut late = Scene::new("closed-late", &closed(), Mark::NotRecorded);
    late.desk.can_begin_again = true;
    late.snapshot.unrecorded = Some(Unrecorded {
        cause: "The session is closed.".to_owned(),
        hint: "Write it down; measure it again in the next session.".to_owned(),
        count: 1,
        readings: vec!["20.010".to_owned()],
    });
    scenes.extend([next_batch, late]);
    scenes.push(Scene::new("ten-thousand", &ten_thousand(), Mark::Go));
    scenes
}

fn closed() -> Bench {
    let mut bench = at_demo();
    parts(&mut bench, 2);
    let reason = "end of shift".to_owned();
    bench.asks(Command::Close { reason });
    bench
}

/// One feature, one reading a part, GO each.
fn ten_thousand() -> Bench {
    let mut bench = Bench::new(plan(&feature("A", "20 h9", "")));
    let mut left = 10_000_u32;
    while left > 0 {
        let some = left.min(2_000);
        let batch = (0..some).map(|at| {
            let text = format!("19.9{:02}", 62 + (at * 13 + at / 7) % 25);
            Incoming::Reading(typed("mic", &text))
        });
        let taken = bench.take(batch.collect());
        assert_eq!(taken.failure, None);
        left -= some;
    }
    bench
}

fn troubled() -> Vec<Scene> {
    let mut scenes = Vec::new();
    let mut add = |name, bench: &Bench, mark| scenes.push(Scene::new(name, bench, mark));
    let mut bench = at_port();
    notice(&mut bench, line("mic-25", "attached", "/dev/ttyUSB0"));
    mic(&mut bench, &["20.008"]);
    notice(&mut bench, line("mic-25", "unplugged", "/dev/ttyUSB0"));
    add("unplugged", &bench, Mark::Inside);
    let mut bench = at_port();
    notice(&mut bench, line("mic-25", "attached", "/dev/ttyUSB0"));
    mic(&mut bench, &["20.008"]);
    for _ in 0..3 {
        let refused = Event::ReadingRefused {
            gauge: "mic-25".to_owned(),
            code: "frame_too_long".to_owned(),
            raw: b"\xff\xfe2\x000.0".to_vec(),
        };
        notice(&mut bench, refused);
    }
    add("refused", &bench, Mark::Inside);
    let (mut bench, disk) = failing();
    add("not-recorded", &bench, Mark::NotRecorded);
    disk.heal();
    let moment = bench.later();
    let taken = bench.recorder.continue_in(&disk, "session-2.jsonl", moment);
    assert_eq!(taken.unwrap().failure, None);
    add("continued", &bench, Mark::Go);
    add("damaged-resumed", &resumed(), Mark::Inside);
    add("zero-failed", &comparator(true), Mark::Doubt);
    add("zero-due", &comparator(false), Mark::Go);
    scenes
}

/// A bore read by a comparator that is checked on its ring every eight hours: not yet, or in vain.
fn comparator(fails: bool) -> Bench {
    let mut opened = plan(&feature("A", "20 H7", "name = \"bush\""));
    let every = "set_on = \"ring\"\nzero_check = { every_hours = 8, on = \"ring\" }";
    opened.gauges = opened.gauges.replace("set_on = \"ring\"", every);
    let mut bench = Bench::new(opened);
    if fails {
        bench.asks(Command::AskZeroCheck {
            gauge: GaugeId::new("comparator"),
            standard: None,
        });
        bench.events("comparator", "0.05");
    }
    bench.events("comparator", "0.010");
    bench
}

/// A session whose disk is full from the second reading on.
fn failing() -> (Bench, CruelDisk) {
    for at in 1..200 {
        let disk = CruelDisk::failing(FaultPlan {
            at,
            fault: Fault::Errno(ENOSPC),
            persistent: true,
        });
        let Ok(mut bench) = Bench::on(disk.clone(), demo()) else {
            continue;
        };
        let mut read = |text: &str| {
            bench.take(vec![Incoming::Reading(typed("mic-25", text))]);
            bench.recorder.has_failed()
        };
        if !read("20.008") && read("20.009") {
            read("20.007");
            return (bench, disk);
        }
    }
    panic!("no call fails between the first and the second reading")
}

/// The record ended in the middle of a line; it was taken up all the same.
fn resumed() -> Bench {
    let mut bench = at_demo();
    mic(&mut bench, &["20.008", "20.009"]);
    let disk = CruelDisk::default();
    drop(fitledger::journal::StorageFolder::create_new(&disk, NAME).unwrap());
    disk.put_junk(NAME, &bench.disk.bytes(NAME));
    disk.put_junk(NAME, b"{\"seq\":99,\"time\":\"20");
    let continued = |_: &str, attempt: u32| format!("session-{}.jsonl", attempt + 2);
    let recorder: Recorder<CruelDisk> =
        resume_session(&disk, NAME, continued, "test", |last_ms, _| {
            moment_at(last_ms + 60_000)
        })
        .unwrap()
        .recorder;
    Bench {
        recorder,
        now_ms: bench.now_ms + 60_000,
        disk,
        told: Vec::new(),
    }
}

fn other_plans() -> Vec<Scene> {
    let mut scenes = Vec::new();
    let mut add = |name, bench: &Bench, mark| scenes.push(Scene::new(name, bench, mark));
    let mut bench = at_demo();
    bench.asks(choose("C"));
    bench.events("bore-6", "0.006");
    add("bore", &bench, Mark::Go);
    let mut bench = at_demo();
    bench.asks(choose("E"));
    bench.events("caliper-150", "62.31");
    add("length", &bench, Mark::NoGo);
    let mut bench = Bench::new(plan(&feature("A", "30° ±0.5°", "name = \"chamfer\"")));
    let angle = Incoming::Reading(typed_angle("protractor", "30.2"));
    bench.take(vec![angle]);
    add("angle", &bench, Mark::Go);
    let mut bench = Bench::new(plan(&feature("A", "20 max", "name = \"flange\"")));
    bench.events("caliper", "19.82");
    add("one-sided", &bench, Mark::Go);
    let rules = "[rules]\ngeneral = \"m\"\n";
    let text = rules.to_owned() + &feature("A", "20", "name = \"spacer\"");
    let mut bench = Bench::new(plan(&text));
    bench.events("caliper", "20.31");
    add("general-exceeded", &bench, Mark::NoGo);
    add("long-names", &long_names(), Mark::Go);
    add("control-names", &control_names(), Mark::Go);
    scenes
}

fn long_names() -> Bench {
    let long =
        "pump housing cover plate, machined from the casting of the second foundry, ".repeat(4);
    let text = format!(
        "drawing = \"{}\"\nrevision = \"{}\"\n",
        "GP-07-000000000000-".repeat(4),
        "Z".repeat(40)
    ) + &feature(
        "FEATURE-WITH-A-LONG-ID",
        "20 k6",
        &format!("name = \"{long}\""),
    ) + &feature("B", "25 +0.000123/-0.000456", &format!("name = \"{long}\""));
    let mut opened = plan(&text.replacen("[[feature", "\n[[feature", 1));
    opened.operator = long;
    let mut bench = Bench::new(opened);
    bench.reads("20.008");
    bench
}

/// A plan may not hold them; a person's name and what the system says of a port may.
fn control_names() -> Bench {
    let mut opened = demo();
    opened.operator = "a\u{7}b\u{200B}c\u{202E}d\u{9B}31m".to_owned();
    let mut bench = Bench::new(opened);
    let detail = "/dev/tty\u{1b}[31m\n\tUSB\u{202E}0";
    notice(&mut bench, line("mic-25", "missing", detail));
    let refused = Event::ReadingRefused {
        gauge: "mic-25".to_owned(),
        code: "no\u{0}number\r\n".to_owned(),
        raw: (0..=255).collect(),
    };
    notice(&mut bench, refused);
    mic(&mut bench, &["20.008", "20.009", "20.008"]);
    bench
}

/// The line of a gauge that streams.
pub(crate) fn live(gauge: &str) -> Tap {
    let line = TapLine {
        at_ms: 0,
        raw: b"20.008".to_vec(),
        text: "20.008 mm".to_owned(),
        is_value: true,
    };
    Tap {
        gauges: vec![GaugeId::new(gauge)],
        kind: TapKind::Streams,
        lines: [line].into(),
        ..Tap::default()
    }
}

/// What the person is doing while nothing changes in the session.
fn at_the_keys() -> Vec<Scene> {
    let mut bench = at_demo();
    mic(&mut bench, &["20.008", "20.009", "20.008"]);
    let scene = |name| Scene::new(name, &bench, Mark::Go);
    // What is typed stands beside the place that it goes to, where nothing is measured yet.
    let typed = |name| Scene::new(name, &bench, Mark::Open);
    let gauge = GaugeId::new("mic-25");
    let typing = |text: &str| Mode::Typing {
        text: text.to_owned(),
        gauge: gauge.clone(),
    };
    let mut scenes = vec![
        typed("typing").doing(typing("20.01")),
        scene("menu-bench").doing(Mode::Choosing(Menu::Bench)),
        scene("menu-void").doing(Mode::Choosing(Menu::VoidReasons)),
        scene("menu-take-out").doing(Mode::Choosing(Menu::TakeOut)),
        scene("menu-next-part").doing(Mode::Choosing(Menu::NextPart)),
        scene("menu-decide").doing(Mode::Choosing(Menu::Decide)),
        scene("menu-look").doing(Mode::Choosing(Menu::Look)),
        scene("menu-close").doing(Mode::Choosing(Menu::Close)),
        scene("form-temperature").doing(Mode::Filling {
            form: Form::Temperature,
            text: "31.0 21".to_owned(),
        }),
    ];
    for (name, is_rework) in [("rework", true), ("put-aside", false)] {
        let mut opened = demo();
        (opened.advance_always, opened.advance_rework) = (!is_rework, is_rework);
        let mut bench = Bench::new(opened);
        // All three points, so that it is settled where the session moves on.
        let last = if is_rework { 1 } else { 3 };
        mic(&mut bench, &["20.046", "20.045", "20.046"][..last]);
        scenes.push(Scene::new(name, &bench, Mark::NoGo));
    }
    let mut which =
        Scene::new("live-which", &at_demo(), Mark::Open).doing(Mode::Choosing(Menu::LiveGauge));
    which.snapshot.taps = ["caliper-150", "bore-6"].map(live).to_vec();
    scenes.push(which);
    let mut fault = typed("typing-fault").doing(typing("20.0.1"));
    fault.desk.fault = Some("A second point at column 5.".to_owned());
    let mut why = scene("why");
    why.desk.is_why = true;
    let mut glance = scene("glance");
    glance.desk.is_glance = true;
    scenes.extend([fault, why, glance]);
    scenes
}

/// Every scene, run once in a program.
/// A shaft of which every part came out so.
pub(crate) fn batch_of(values: &[&str]) -> Bench {
    let mut opened = plan(&feature("A", "20 k6", "name = \"bearing seat, left\""));
    opened.parts = Some(16);
    let mut bench = Bench::new(opened);
    for value in values {
        bench.reads(value);
    }
    bench
}

/// Parts of which the last six grow steadily, and none is beyond a control limit.
pub(crate) const GROWING: [&str; 11] = [
    "20.006", "20.009", "20.005", "20.008", "20.006", "20.005", "20.006", "20.007", "20.008",
    "20.009", "20.010",
];

/// Many parts: a drift that signals.
fn batches() -> Vec<Scene> {
    vec![Scene::new("signal", &batch_of(&GROWING), Mark::Go)]
}

static SCENES: LazyLock<Vec<Scene>> = LazyLock::new(|| {
    let groups = [
        measured,
        batches,
        warm_and_many,
        troubled,
        other_plans,
        at_the_keys,
        thread_scenes,
        suited_scenes,
    ];
    groups.into_iter().flat_map(|group| group()).collect()
});

/// Every scene.
pub(crate) fn scenes() -> Vec<Scene> {
    SCENES.clone()
}

/// The scene of a name.
pub(crate) fn scene(name: &str) -> Scene {
    let scene = SCENES.iter().find(|scene| scene.name == name);
    scene.unwrap_or_else(|| panic!("no scene {name}")).clone()
}
