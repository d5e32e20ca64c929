//! The room on real files, driven by keys: saved, overtaken, read-only, gone, new.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use eframe::egui::{Context, ViewportEvent, ViewportId};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::session::{Begin, What, Workspace, new_plan, plan_beside, replace_plan};
use fitledger::session::{PlanWriteError, read_plan};
use fitledger::window::app::Disk;
use fitledger::window::shell::Window;

use super::faults::faulty;
use super::scenes::{GAUGES, SHAFT};
use crate::shell::{events_of, harness};

pub(super) struct Bench<'a> {
    harness: Harness<'a, Option<Window>>,
    pub(super) folder: tempfile::TempDir,
}

impl Bench<'_> {
    /// A workspace with the shaft's plan; measuring by it, or in the Start room.
    pub(super) fn open(is_measuring: bool) -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("gauges.toml"), GAUGES).unwrap();
        std::fs::create_dir(folder.path().join("plans")).unwrap();
        let path = folder.path().join("plans/shaft.toml");
        std::fs::write(&path, SHAFT).unwrap();
        let begin = is_measuring.then(|| {
            let mut begin = Begin::new(What::Plan(path));
            begin.gauges = vec!["mic-25=typed".to_owned()];
            begin
        });
        Self::with(folder, begin)
    }

    pub(super) fn with(folder: tempfile::TempDir, begin: Option<Begin>) -> Self {
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

    pub(super) fn keys(&mut self, keys: &str) {
        for key in keys.chars() {
            for event in events_of(key) {
                self.harness.event(event);
            }
            self.harness.step();
            self.harness.step();
        }
    }

    pub(super) fn tells(&self, text: &str) -> bool {
        let mut found = self.harness.query_all_by_label_contains(text);
        found.next().is_some()
    }

    pub(super) fn until_told(&mut self, text: &str) {
        let end = Instant::now() + Duration::from_secs(30);
        loop {
            self.harness.step();
            if self.tells(text) {
                return;
            }
            assert!(Instant::now() < end, "{text}");
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    fn window(&self) -> &Window {
        self.harness.state().as_ref().unwrap()
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join("plans").join(name)
    }

    pub(super) fn file(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    /// Every name in the folder of plans, what is hidden too.
    fn names(&self) -> Vec<String> {
        names(&self.folder.path().join("plans"))
    }
}

fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).unwrap();
    let names = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<String> = names.collect();
    names.sort();
    names
}

#[test]
fn a_plan_is_opened_edited_and_saved_and_only_that_is_changed_in_the_file() {
    let mut bench = Bench::open(false);
    bench.keys("②");
    assert!(bench.tells("Which plan?") && bench.tells("plans/shaft.toml, Pump shaft, GP-07"));
    bench.keys("⏎");
    assert!(bench.tells("plans/shaft.toml: saved"));
    bench.keys("⏎↓⏎⌫⌫m6⏎");
    assert!(bench.tells("1 edit, not saved") && bench.tells("20.008 to 20.021 mm"));
    assert_eq!(
        bench.file("shaft.toml"),
        SHAFT,
        "nothing before it is saved"
    );
    // A comma is a comma in a name.
    bench.keys("⏎, outer⏎");
    bench.keys("s");
    assert!(bench.tells("Saved: plans/shaft.toml."));
    let expected = SHAFT
        .replace("20 k6", "20 m6")
        .replace("seat, left", "seat, left, outer");
    assert_eq!(bench.file("shaft.toml"), expected);
    assert_eq!(bench.names(), ["shaft.toml"], "nothing is left beside it");
    bench.keys("␛.");
    assert!(bench.window().plan().is_none());
    // One comes back to the same plan.
    bench.keys("②");
    assert!(bench.tells("plans/shaft.toml: saved"));
}

#[test]
fn permissions_and_links_stay_as_they_are() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let mut bench = Bench::open(false);
    let real = bench.folder.path().join("kept.txt");
    std::fs::rename(bench.path("shaft.toml"), &real).unwrap();
    std::fs::set_permissions(&real, PermissionsExt::from_mode(0o640)).unwrap();
    symlink(&real, bench.path("shaft.toml")).unwrap();
    bench.keys("②⏎x");
    bench.keys("s");
    assert!(bench.tells("Saved: "));
    assert!(
        bench
            .path("shaft.toml")
            .symlink_metadata()
            .unwrap()
            .is_symlink()
    );
    assert!(!std::fs::read_to_string(&real).unwrap().contains("20 k6"));
    assert_eq!(
        std::fs::metadata(&real).unwrap().permissions().mode() & 0o777,
        0o640
    );
}

#[test]
fn a_change_from_outside_is_noticed_while_it_is_open_and_put_together() {
    let mut bench = Bench::open(false);
    bench.keys("②⏎⏎↓⏎⌫⌫m6⏎␛");
    let theirs = SHAFT
        .replace("25 h9", "25 h8")
        .replace("# stainless", "# acid-proof");
    std::fs::write(bench.path("shaft.toml"), &theirs).unwrap();
    bench.until_told("Somebody else changed this file");
    bench.keys("s");
    assert!(bench.tells("was changed by somebody else"));
    assert_eq!(bench.file("shaft.toml"), theirs, "nothing is written over");
    bench.keys("1");
    assert!(bench.tells("1 edit of yours is on top"));
    bench.keys("s");
    assert_eq!(bench.file("shaft.toml"), theirs.replace("20 k6", "20 m6"));
    bench.keys("x");
    assert!(bench.tells("plans/shaft.toml: 1 edit, not saved"));
}

#[test]
fn a_change_just_before_saving_is_noticed_by_its_bytes() {
    let mut bench = Bench::open(false);
    bench.keys("②⏎⏎↓⏎⌫⌫m6⏎␛");
    let path = bench.path("shaft.toml");
    // The same length and the same time: only the bytes tell.
    let times = std::fs::metadata(&path).unwrap().modified().unwrap();
    let theirs = SHAFT.replace("collar", "flange");
    std::fs::write(&path, &theirs).unwrap();
    let file = std::fs::File::options().write(true).open(&path).unwrap();
    file.set_modified(times).unwrap();
    bench.keys("s");
    assert!(bench.tells("was changed by somebody else"));
    assert_eq!(bench.file("shaft.toml"), theirs);
    // Saved beside it, and that one is open now.
    bench.keys("2");
    assert!(bench.tells("shaft.mine.toml, which is open now"));
    assert_eq!(bench.file("shaft.toml"), theirs);
    assert_eq!(
        bench.file("shaft.mine.toml"),
        SHAFT.replace("20 k6", "20 m6")
    );
    bench.keys("u");
    bench.keys("s");
    assert_eq!(bench.file("shaft.mine.toml"), SHAFT);
    assert_eq!(bench.names(), ["shaft.mine.toml", "shaft.toml"]);
}

#[test]
fn theirs_is_read_again_and_mine_stays_as_a_draft() {
    let mut bench = Bench::open(false);
    std::fs::write(bench.path("shaft.draft.toml"), "in the way").unwrap();
    bench.keys("②⏎⏎↓⏎⌫⌫m6⏎␛");
    let theirs = SHAFT.replace("25 h9", "25 h8");
    std::fs::write(bench.path("shaft.toml"), &theirs).unwrap();
    bench.keys("s");
    bench.keys("3");
    assert!(bench.tells("yours is plans/shaft.draft-2.toml"));
    assert!(bench.tells("plans/shaft.toml: saved") && bench.tells("B, 25 h8, collar"));
    assert_eq!(
        bench.file("shaft.draft-2.toml"),
        SHAFT.replace("20 k6", "20 m6")
    );
    assert_eq!(bench.file("shaft.draft.toml"), "in the way");
}

#[test]
fn without_edits_a_changed_file_is_simply_read_again_and_a_touched_one_is_no_news() {
    let mut bench = Bench::open(false);
    bench.keys("②⏎");
    std::fs::write(bench.path("shaft.toml"), SHAFT).unwrap();
    std::thread::sleep(Duration::from_millis(1_200));
    bench.keys("↓");
    assert!(!bench.tells("has been read again"));
    std::fs::write(bench.path("shaft.toml"), "[part\n").unwrap();
    bench.until_told("no TOML");
    std::fs::write(bench.path("shaft.toml"), SHAFT.replace("25 h9", "25 h8")).unwrap();
    bench.until_told("B, 25 h8, collar");
}

#[test]
fn what_cannot_be_written_is_told_and_the_edits_stay() {
    use std::os::unix::fs::PermissionsExt;
    let mut bench = Bench::open(false);
    let path = bench.path("shaft.toml");
    bench.keys("②⏎⏎↓⏎⌫⌫m6⏎␛");
    std::fs::set_permissions(&path, PermissionsExt::from_mode(0o444)).unwrap();
    bench.keys("s");
    assert!(bench.tells("Not saved, and your edits are still here: "));
    assert!(bench.tells("may not be written") && bench.tells("1 edit, not saved"));
    assert_eq!(bench.file("shaft.toml"), SHAFT);
    assert_eq!(bench.names(), ["shaft.toml"]);
    std::fs::set_permissions(&path, PermissionsExt::from_mode(0o644)).unwrap();
    // The folder is gone with the file.
    std::fs::remove_dir_all(bench.folder.path().join("plans")).unwrap();
    bench.keys("s");
    assert!(bench.tells("is not there any more"));
    bench.keys("+");
    assert!(bench.tells("Saved: "));
    assert_eq!(bench.file("shaft.toml"), SHAFT.replace("20 k6", "20 m6"));
    // Something else stands there.
    bench.keys("u");
    std::fs::remove_file(&path).unwrap();
    std::fs::create_dir(&path).unwrap();
    bench.keys("s");
    assert!(bench.tells("Not saved, and your edits are still here: "));
}

#[test]
fn a_new_plan_is_written_under_a_free_name_and_measured_by() {
    let mut bench = Bench::open(false);
    bench.keys("②n⏎Pump bush⏎");
    bench.keys("1nx");
    assert!(bench.tells("character"), "x is no callout");
    bench.keys("⌫20 k6⏎␛");
    bench.keys("m");
    assert!(bench.tells("Save the plan first"));
    bench.keys("s");
    assert!(bench.tells("pump-bush.toml"));
    // A name that is taken is never written over.
    for _ in 0.."pump-bush.toml".len() {
        bench.keys("⌫");
    }
    bench.keys("shaft⏎");
    assert!(bench.tells("Not saved") && bench.file("shaft.toml") == SHAFT);
    bench.keys("s");
    bench.keys("⏎");
    let text = "[part]\nname = \"Pump bush\"\n\n[[feature]]\nid = \"A\"\ncallout = \"20 k6\"\n";
    assert_eq!(bench.file("pump-bush.toml"), text);
    assert_eq!(bench.names(), ["pump-bush.toml", "shaft.toml"]);
    bench.keys("m");
    assert!(bench.window().plan().is_none() && bench.tells("Which gauge?"));
    bench.keys("⏎");
    bench.until_told("20 k6");
    assert!(bench.window().desk().is_some());
    bench.keys("②");
    assert!(bench.tells("goes on with the plan that it began with"));
    assert!(
        bench.tells("plans/pump-bush.toml: saved"),
        "the plan of the session"
    );
    bench.keys("m");
    assert!(bench.tells("A session runs: leave it first"));
}

#[test]
fn a_plan_with_faults_is_not_measured_by_and_it_is_said_where_they_stand() {
    for (count, told) in [
        (1, "The plan has 1 fault, page 4"),
        (2, "The plan has 2 faults, page 4"),
    ] {
        let mut bench = Bench::open(false);
        let path = bench.folder.path().join("plans/shaft.toml");
        std::fs::write(path, faulty(count)).unwrap();
        bench.keys("②⏎m");
        assert!(bench.tells(told), "{told}");
        assert!(bench.window().plan().is_some());
    }
}

#[test]
fn a_running_session_keeps_its_plan_while_the_file_is_edited() {
    let mut bench = Bench::open(true);
    bench.keys("②");
    bench.until_told("goes on with the plan that it began with");
    bench.keys("⏎↓⏎⌫⌫m6⏎␛s");
    assert_eq!(bench.file("shaft.toml"), SHAFT.replace("20 k6", "20 m6"));
    bench.keys(".");
    // ISO 286-1, 20 k6 (by hand): the session judges by what it began with.
    bench.until_told("20 k6");
    bench.keys(".0");
    assert!(bench.tells("to the Plan room"));
    bench.keys("2");
    assert!(bench.window().plan().is_some());
    bench.keys(".");
    std::fs::write(bench.path("shaft.toml"), format!("# As it was.\n{SHAFT}")).unwrap();
    // Left unfinished and taken up again: the file that says the same is found.
    bench.keys(".00");
    let folder = bench.folder;
    drop(bench.harness);
    let mut journals = names(&folder.path().join("sessions")).into_iter();
    let journal = journals.rfind(|name| name.ends_with(".jsonl")).unwrap();
    let begin = Begin::new(What::Continue(folder.path().join("sessions").join(journal)));
    let mut bench = Bench::with(folder, Some(begin));
    bench.keys("②");
    bench.until_told("plans/shaft.toml: saved");
}

#[test]
fn leaving_with_edits_asks_whichever_way_one_goes() {
    let mut bench = Bench::open(false);
    bench.keys("②⏎x");
    for way in ["①", "⑥", "."] {
        bench.keys(way);
        assert!(bench.tells("has edits that are not saved"), "{way}");
        bench.keys("␛");
        assert!(bench.window().plan().is_some() && bench.tells("1 edit, not saved"));
    }
    let close = |bench: &mut Bench<'_>| {
        let input = bench.harness.input_mut();
        let viewport = input.viewports.entry(ViewportId::ROOT).or_default();
        viewport.events.push(ViewportEvent::Close);
        bench.harness.step();
        let viewport = bench
            .harness
            .input_mut()
            .viewports
            .get_mut(&ViewportId::ROOT);
        viewport.unwrap().events.clear();
        bench.harness.step();
    };
    close(&mut bench);
    assert!(bench.tells("close the window, and lose them"));
    bench.keys("␛");
    // To another room with a draft.
    bench.keys("⑥0");
    assert!(bench.window().plan().is_none() && bench.window().gauges().is_some());
    assert!(!bench.file("shaft.draft.toml").contains("20 k6"));
    assert_eq!(bench.file("shaft.toml"), SHAFT);
    // Saved on the way out.
    bench.keys("②x①+");
    assert!(bench.window().plan().is_none());
    assert!(!bench.file("shaft.toml").contains("20 k6"));
}

#[test]
fn the_writers_of_plan_files_never_replace_what_they_did_not_read() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.toml");
    assert!(matches!(
        replace_plan(&path, "", "new"),
        Err(PlanWriteError::Gone)
    ));
    new_plan(&path, "one").unwrap();
    assert!(new_plan(&path, "two").is_err());
    let found = replace_plan(&path, "another", "two");
    assert!(matches!(found, Err(PlanWriteError::Overtaken(now)) if now == "one"));
    replace_plan(&path, "one", "two").unwrap();
    assert_eq!(read_plan(&path).unwrap(), "two");
    let beside = plan_beside(Some(&path), folder.path(), "mine", "three").unwrap();
    assert_eq!(beside, folder.path().join("a.mine.toml"));
    let again = plan_beside(Some(&path), folder.path(), "mine", "four").unwrap();
    assert_eq!(again, folder.path().join("a.mine-2.toml"));
    assert_eq!(
        names(folder.path()),
        ["a.mine-2.toml", "a.mine.toml", "a.toml"]
    );
    // A name as long as the system takes it.
    let long = folder.path().join(format!("{}.toml", "n".repeat(250)));
    new_plan(&long, "one").unwrap();
    replace_plan(&long, "one", "two").unwrap();
    std::fs::write(&path, [0xff, 0xfe]).unwrap();
    assert_eq!(read_plan(&path).unwrap_err().code(), "file_not_text");
    assert!(matches!(
        replace_plan(&path, "two", "x"),
        Err(PlanWriteError::Failed(_))
    ));
}
