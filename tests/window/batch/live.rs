//! The room over a running session on a real disk: readings come in while it is seen, and charts
//! are kept beside the reports.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

use eframe::egui::Context;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::session::{Begin, What, Workspace};
use fitledger::window::app::Disk;
use fitledger::window::batch_room::BatchPage;
use fitledger::window::batch_run::BatchFacts;
use fitledger::window::shell::Window;

use crate::shell::{events_of, harness};

const GAUGES: &str = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
                      resolution = 0.001\nmpe = 0.002\nrepeatability = 0.0005\n";

struct Bench<'a> {
    harness: Harness<'a, Option<Window>>,
    folder: tempfile::TempDir,
}

impl Bench<'_> {
    fn measuring() -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("gauges.toml"), GAUGES).unwrap();
        let mut begin = Begin::new(What::Callouts(vec!["20 k6".to_owned()]));
        begin.gauges = vec!["mic=typed".to_owned()];
        let workspace = Workspace::locate(Some(folder.path()));
        let make = move |context: &Context| {
            let disk = Disk::new(workspace.clone(), context.clone());
            let (settings, faults) = disk.settings('.');
            Window::new(Box::new(disk), settings, &faults, Some(&begin))
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

    fn until(&mut self, what: &str, is_so: impl Fn(&Self) -> bool) {
        let end = Instant::now() + Duration::from_secs(30);
        loop {
            self.harness.step();
            if is_so(self) {
                break;
            }
            assert!(Instant::now() < end, "{what}");
            std::thread::sleep(Duration::from_millis(5));
        }
        self.harness.step();
    }

    fn window(&self) -> &Window {
        self.harness.state().as_ref().unwrap()
    }

    fn facts(&self) -> Option<Arc<BatchFacts>> {
        self.window().batch_told()?.facts
    }

    fn points(&self) -> usize {
        let facts = self.facts();
        facts.map_or(0, |facts| facts.batch.series()[0].points().len())
    }

    fn kept(&self, ends: &str) -> Vec<PathBuf> {
        let folder = self.folder.path().join("reports");
        let files = std::fs::read_dir(folder).into_iter().flatten();
        let files = files.map(|file| file.unwrap().path());
        let mut found: Vec<PathBuf> = files
            .filter(|path| path.extension().is_some_and(|end| end == ends))
            .collect();
        found.sort();
        found
    }
}

#[test]
fn readings_reach_the_room_while_it_is_seen_and_nothing_is_worked_out_twice() {
    let mut bench = Bench::measuring();
    bench.keys("20.008⏎");
    bench.keys("④");
    bench.until("the first part", |bench| bench.points() == 1);
    assert_eq!(bench.window().batch().unwrap().page, BatchPage::Run);
    let shown = "One value shows no spread.";
    assert!(bench.harness.query_by_label_contains(shown).is_some());
    let first = bench.facts().unwrap();
    for _ in 0..20 {
        bench.harness.step();
    }
    std::thread::sleep(Duration::from_millis(50));
    let again = bench.facts().unwrap();
    assert!(
        Arc::ptr_eq(&first, &again),
        "a frame alone works nothing out"
    );
    // A device that plays keyboard is heard at the Bench, whatever is seen.
    for (at, value) in ["20.009", "20.010", "20.008"].iter().enumerate() {
        let keys = value.chars().chain(['⏎']);
        let events: Vec<_> = keys.flat_map(events_of).collect();
        bench.harness.input_mut().events.extend(events);
        bench.until("the next part", |bench| bench.points() == at + 2);
    }
    assert!(
        bench
            .harness
            .query_by_label_contains("4 parts: 4 GO")
            .is_some()
    );
    bench.keys("0");
    bench.until("the table", |bench| {
        let cell = "part 4, A: 20.008, GO";
        bench.harness.query_by_label_contains(cell).is_some()
    });
    bench.keys("①");
    assert!(bench.window().batch().is_none() && bench.window().desk().is_some());
}

#[test]
fn charts_are_kept_whole_beside_those_that_are_there() {
    let mut bench = Bench::measuring();
    bench.keys("20.008⏎");
    bench.keys("④");
    bench.until("the first part", |bench| bench.points() == 1);
    bench.keys("/1");
    bench.until("a picture", |bench| bench.kept("png").len() == 1);
    let said = "Written: ";
    bench.until("that it is written", |bench| {
        bench.harness.query_by_label_contains(said).is_some()
    });
    let first = std::fs::read(&bench.kept("png")[0]).unwrap();
    assert!(first.starts_with(b"\x89PNG") && first.ends_with(b"IEND\xaeB`\x82"));
    bench.keys("p");
    bench.until("a second one", |bench| bench.kept("png").len() == 2);
    let again = bench.kept("png");
    let same = again
        .iter()
        .filter(|path| std::fs::read(path).unwrap() == first);
    assert_eq!(same.count(), 2, "the first stayed as it was");
    bench.keys("s");
    bench.until("a drawing", |bench| bench.kept("svg").len() == 1);
    let svg = std::fs::read_to_string(&bench.kept("svg")[0]).unwrap();
    assert!(svg.contains("20 k6: run of values") && svg.ends_with("</svg>\n"));
    // Advice has no chart: it says so and writes nothing.
    bench.keys("7");
    bench.until("the advice", |bench| {
        bench
            .facts()
            .is_some_and(|facts| facts.at.page == BatchPage::Advice)
    });
    bench.keys("p");
    let fault = "no chart that could be kept";
    assert!(bench.harness.query_by_label_contains(fault).is_some());
    assert_eq!(bench.kept("png").len(), 2);
}

#[test]
fn without_a_session_the_room_says_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    let workspace = Workspace::locate(Some(folder.path()));
    let make = move |context: &Context| {
        let disk = Disk::new(workspace.clone(), context.clone());
        let (settings, faults) = disk.settings('.');
        Window::new(Box::new(disk), settings, &faults, None)
    };
    let mut bench = Bench {
        harness: harness(800.0, 480.0, make),
        folder,
    };
    bench.keys("④");
    let told = bench.harness.query_by_label_contains("No session runs");
    assert!(told.is_some());
    bench.keys("+1/*7.");
    assert!(bench.window().batch().is_none());
}
