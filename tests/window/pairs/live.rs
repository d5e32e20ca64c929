//! The room over a running session on a real disk: readings come in while it is seen, and a
//! session that is begun by what it says measures by what it says.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::time::{Duration, Instant};

use eframe::egui::Context;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::quantity::{Length, LengthUnit, Rounding};
use fitledger::session::{Begin, TargetLimits, What, Workspace, setup_asked};
use fitledger::window::app::Disk;
use fitledger::window::shell::Window;

use crate::shell::{events_of, harness};

const GAUGES: &str = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
                      resolution = 0.001\ncalibration = { U = 0.002, k = 2 }\n";
const PLAN: &str = "[part]\nname = \"Pump shaft\"\n\
                    [[feature]]\nid = \"bore\"\ncallout = \"20 H7\"\n\
                    [[feature]]\nid = \"A\"\ncallout = \"20 g6\"\n\
                    [[pair]]\nhole = \"bore\"\nshaft = \"A\"\nintended = \"20 H7/g6\"\n";

struct Bench<'a> {
    harness: Harness<'a, Option<Window>>,
    folder: tempfile::TempDir,
}

impl Bench<'_> {
    fn measuring(plan: Option<&str>) -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("gauges.toml"), GAUGES).unwrap();
        let begin = plan.map(|text| {
            let path = folder.path().join("shaft.toml");
            std::fs::write(&path, text).unwrap();
            let mut begin = Begin::new(What::Plan(path));
            begin.gauges = vec!["mic=typed".to_owned()];
            begin
        });
        let workspace = Workspace::locate(Some(folder.path()));
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

    fn keys(&mut self, keys: &str) {
        for key in keys.chars() {
            for event in events_of(key) {
                self.harness.event(event);
            }
            self.harness.step();
            self.harness.step();
        }
    }

    fn until_told(&mut self, text: &str) {
        let end = Instant::now() + Duration::from_secs(30);
        loop {
            self.harness.step();
            if self.tells(text) {
                return;
            }
            assert!(Instant::now() < end, "{text}");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    fn tells(&self, text: &str) -> bool {
        let mut found = self.harness.query_all_by_label_contains(text);
        found.next().is_some()
    }

    fn window(&self) -> &Window {
        self.harness.state().as_ref().unwrap()
    }

    fn record(&self) -> String {
        let sessions = self.folder.path().join("sessions");
        let names = std::fs::read_dir(sessions).unwrap();
        let names = names.map(|entry| entry.unwrap().file_name().into_string().unwrap());
        let mut names: Vec<String> = names.filter(|name| name.ends_with(".jsonl")).collect();
        assert_eq!(names.len(), 1);
        names.pop().unwrap()
    }
}

#[test]
fn what_is_measured_reaches_the_room_and_what_it_says_begins_a_session() {
    let mut bench = Bench::measuring(Some(PLAN));
    bench.keys("③");
    bench.until_told("The hole bore is not measured");
    assert!(bench.window().pairs().is_some());
    // A device that plays keyboard is heard at the Bench, whatever is seen.
    let keys = "20.010".chars().chain(['⏎']);
    let events: Vec<_> = keys.flat_map(events_of).collect();
    bench.harness.input_mut().events.extend(events);
    bench.until_told("Make the shaft A ");
    let suit = format!("bore={}#1", bench.record());
    assert!(bench.tells(&format!("--suit '{suit}'")));
    bench.keys(".");
    assert!(bench.window().pairs().is_none() && bench.window().desk().is_some());
    // From a keypad.
    bench.keys(".03");
    assert!(bench.window().pairs().is_some());
    bench.until_told("Make the shaft A ");
    let begin = Begin {
        suits: vec![suit],
        gauges: vec!["mic=typed".to_owned()],
        ..Begin::new(What::Plan(bench.folder.path().join("shaft.toml")))
    };
    let workspace = Workspace::locate(Some(bench.folder.path()));
    let setup = setup_asked(&begin, None, &workspace).unwrap();
    let shaft = setup.choose("A", "").unwrap();
    let TargetLimits::Length(limits) = shaft.limits else {
        panic!("no size");
    };
    let (lower, upper) = (limits.lower().unwrap(), limits.upper().unwrap());
    // What is told lies inside, by less than a tenth of a micrometre.
    let tenth = Length::from_nm(100);
    let lower = lower.round_to(tenth, Rounding::Ceil);
    let upper = upper.round_to(tenth, Rounding::Floor);
    let shown = |limit: Length| limit.to_text(LengthUnit::Millimetre, 4);
    let told = format!("Make the shaft A {} to {} mm", shown(lower), shown(upper));
    assert!(bench.tells(&told), "{told}");
    bench.keys("④");
    assert!(bench.window().pairs().is_none() && bench.window().batch().is_some());
    bench.keys("③①");
    assert!(bench.window().pairs().is_none() && bench.window().batch().is_none());
}

#[test]
fn without_a_session_or_a_pair_the_room_says_what_to_do() {
    let mut bench = Bench::measuring(None);
    bench.keys("③");
    bench.until_told("No session runs");
    bench.keys("+*⏎.");
    assert!(bench.window().pairs().is_none());
    let plan = PLAN.split("[[pair]]").next();
    let mut bench = Bench::measuring(plan);
    bench.keys("③");
    bench.until_told("has no pair");
}
