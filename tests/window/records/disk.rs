//! The room with a real workspace: sessions are measured, found, opened, reported, damaged, checked
//! and decided about.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use eframe::egui::Context;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::journal::Part;
use fitledger::session::{Begin, What, Workspace};
use fitledger::window::app::Disk;
use fitledger::window::records_disk::RecordsDisk;
use fitledger::window::records_facts::{RecordsTold, SessionRow};
use fitledger::window::records_room::{RecordsMode, RecordsPage};
use fitledger::window::records_run::RecordsOutside;
use fitledger::window::shell::Window;

use crate::shell::{events_of, harness};

const GAUGES: &str = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
                      resolution = 0.001\nmpe = 0.002\nrepeatability = 0.0005\n";
const PLAN: &str = "[part]\nname = \"Pump shaft\"\ndrawing = \"GP-07\"\n\
                    [[feature]]\nid = \"A\"\ncallout = \"20 k6\"\nalong = [0, 14]\n\
                    [[feature]]\nid = \"B\"\ncallout = \"15 h6\"\nalong = [14, 40]\n";

/// A window on a workspace of its own.
struct Bench<'a> {
    harness: Harness<'a, Option<Window>>,
    folder: tempfile::TempDir,
}

impl Bench<'_> {
    /// With a session of two features in it, `M. Brook` measuring.
    fn measuring() -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("gauges.toml"), GAUGES).unwrap();
        let plan = folder.path().join("shaft.toml");
        std::fs::write(&plan, PLAN).unwrap();
        let mut begin = Begin::new(What::Plan(plan));
        begin.gauges = vec!["mic=typed".to_owned()];
        begin.operator = "M. Brook".to_owned();
        let mut bench = Self::open(folder, Some(begin));
        bench.keys("20.008⏎");
        bench.until("the verdict", |bench| {
            bench.journals().contains("verdict_given")
        });
        bench
    }

    fn open(folder: tempfile::TempDir, begin: Option<Begin>) -> Self {
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

    /// Closes the session and looks at the records.
    fn closed(mut self) -> Self {
        self.keys("␛+");
        self.until("the end", |bench| {
            bench.journals().contains("session_closed")
        });
        drop(self.harness);
        let mut bench = Self::open(self.folder, None);
        bench.records();
        bench
    }

    fn records(&mut self) {
        self.keys("⑤");
        self.until("the list", |bench| {
            bench
                .told()
                .is_some_and(|told| told.listing.is_none() && !told.rows.is_empty())
        });
    }

    /// Opens the chosen session.
    fn open_session(&mut self) {
        self.keys("⏎");
        self.until("the session", |bench| {
            bench
                .told()
                .is_some_and(|told| told.open.is_some_and(|open| open.sheet.is_some()))
        });
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
            assert!(
                Instant::now() < end,
                "{what}: {:?}",
                self.told().map(|told| told.done)
            );
            std::thread::sleep(Duration::from_millis(5));
        }
        self.harness.step();
    }

    fn window(&self) -> &Window {
        self.harness.state().as_ref().unwrap()
    }

    fn told(&self) -> Option<RecordsTold> {
        self.window().records_told()
    }

    fn said(&mut self, text: &str) {
        let text = text.to_owned();
        self.until(&text.clone(), |bench| bench.sees(&text));
    }

    fn sees(&self, text: &str) -> bool {
        self.harness
            .query_all_by_label_contains(text)
            .next()
            .is_some()
    }

    fn paths(&self, folder: &str) -> Vec<PathBuf> {
        let entries = std::fs::read_dir(self.folder.path().join(folder));
        let entries = entries
            .into_iter()
            .flatten()
            .map(|entry| entry.unwrap().path());
        let mut paths: Vec<PathBuf> = entries.collect();
        paths.sort();
        paths
    }

    fn journals(&self) -> String {
        let texts = self.paths("sessions").into_iter();
        texts
            .map(|path| std::fs::read_to_string(path).unwrap())
            .collect()
    }

    fn reports(&self) -> Vec<String> {
        let paths = self.paths("reports").into_iter();
        paths
            .map(|path| path.file_name().unwrap().to_string_lossy().into_owned())
            .collect()
    }

    /// Writes one more report with that key; its path.
    fn written(&mut self, key: &str) -> PathBuf {
        let before = self.told().unwrap().done.number;
        self.keys(key);
        self.until("the file", |bench| {
            bench.told().unwrap().done.number > before
        });
        let done = self.told().unwrap().done;
        assert!(!done.is_fault, "{}", done.said);
        PathBuf::from(done.said.strip_prefix("Written: ").unwrap())
    }
}

fn read(path: &Path) -> Vec<u8> {
    std::fs::read(path).unwrap()
}

#[test]
fn a_running_session_is_found_opened_and_decided_about_through_the_session_itself() {
    let mut bench = Bench::measuring();
    bench.records();
    assert!(bench.sees("Pump shaft, GP-07, 1 open, open here now"));
    bench.keys("shaft");
    bench.until("the search", |bench| {
        bench.told().unwrap().found_for.text == "shaft"
    });
    assert_eq!(bench.told().unwrap().found.len(), 1);
    bench.keys("x");
    bench.until("the search", |bench| bench.told().unwrap().found.is_empty());
    bench.keys("⌫");
    bench.until("the search", |bench| bench.told().unwrap().found.len() == 1);
    bench.open_session();
    bench.said("1, 20 k6, 20.002 to 20.015, 20.008, GO");
    bench.keys("d3seal is late⏎A. Field⏎");
    bench.said("It is in the record.");
    assert!(bench.journals().contains("\"kind\":\"disposition_given\""));
    bench.until("the standing", |bench| bench.sees("on hold"));
    // The session is still the one writer: no further file, and it goes on.
    assert_eq!(bench.paths("sessions").len(), 1);
    // Refused, with what to do; nothing that was typed is lost.
    let before = bench.journals();
    bench.keys("s3⏎");
    bench.said("Withdraw the hold first");
    assert_eq!(bench.journals(), before);
    let mode = bench.window().records().unwrap().mode.clone();
    let RecordsMode::Filling(filling) = mode else {
        panic!("{mode:?}");
    };
    assert_eq!(filling.name(), "A. Field");
    bench.keys("␛");
    bench.keys("①");
    bench.keys("14.995⏎");
    bench.until("the next verdict", |bench| {
        bench
            .journals()
            .matches("\"kind\":\"verdict_given\"")
            .count()
            == 2
    });
}

#[test]
fn reports_are_written_beside_each_other_and_none_is_ever_replaced() {
    let mut bench = Bench::measuring().closed();
    bench.open_session();
    let first = bench.written("p");
    assert!(
        first.starts_with(bench.folder.path().join("reports")),
        "{first:?}"
    );
    let bytes = read(&first);
    assert!(bytes.starts_with(b"%PDF-"));
    bench.said("Written: ");
    let second = bench.written("⏎2");
    assert_ne!(first, second);
    assert!(second.to_string_lossy().ends_with("-2.pdf"), "{second:?}");
    assert_eq!(read(&first), bytes, "the first stays as it was");
    for (key, ends, begins) in [
        ("h", "html", "<!DOCTYPE html>"),
        ("j", "json", "{"),
        ("q", "qif", "<?xml"),
        ("c", "csv", ""),
    ] {
        let path = bench.written(key);
        assert_eq!(path.extension().unwrap(), ends);
        let text = String::from_utf8(read(&path)).unwrap();
        assert!(
            text.to_lowercase().starts_with(&begins.to_lowercase()),
            "{ends}: {text:.40}"
        );
        assert!(text.contains("20.008"), "{ends} holds the value");
        if ends == "csv" {
            let beside = format!("{}-metadata.json", path.display());
            let beside = String::from_utf8(read(Path::new(&beside))).unwrap();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            let name = name.replace(' ', "%20");
            assert!(beside.ends_with(&format!("\"url\":\"{name}\"}}")), "{name}");
        }
    }
    assert_eq!(bench.reports().len(), 7);
}

#[test]
fn the_table_of_all_parts_is_written_beside_that_of_the_readings() {
    let mut bench = Bench::measuring();
    for (value, count) in [("14.995⏎", 2), ("20.010⏎", 3)] {
        bench.keys(value);
        bench.until("the verdict", |bench| {
            let journals = bench.journals();
            journals.matches("\"kind\":\"verdict_given\"").count() == count
        });
    }
    let mut bench = bench.closed();
    bench.open_session();
    let path = bench.written("c");
    let stem = path.file_stem().unwrap().to_string_lossy().into_owned();
    let beside = path.with_file_name(format!("{stem}-batch.csv"));
    let table = String::from_utf8(read(&beside)).unwrap();
    // 20.008 and 20.010.
    assert!(table.contains(",20.0090,"), "{table}");
    let described = format!("{}-metadata.json", beside.display());
    let described = String::from_utf8(read(Path::new(&described))).unwrap();
    assert!(described.contains("-batch.csv\"}"), "{described}");
    assert_eq!(bench.reports().len(), 4);
    let second = bench.written("c");
    assert!(second.to_string_lossy().ends_with("-2.csv"), "{second:?}");
    assert_eq!(bench.reports().len(), 8);
}

#[test]
fn a_name_from_outside_never_leads_out_of_the_folder() {
    let mut bench = Bench::measuring().closed();
    bench.open_session();
    bench.keys("d1../../evil\u{202e}fdp⏎");
    bench.until("the serial number", |bench| {
        bench.journals().contains("part_named")
    });
    bench.said("It is in the record.");
    bench.keys("o");
    let path = bench.written("p");
    let reports = bench.folder.path().join("reports");
    assert_eq!(path.parent().unwrap(), reports);
    let name = path.file_name().unwrap().to_string_lossy().into_owned();
    assert!(!name.contains("..") && !name.contains('\u{202e}'), "{name}");
    assert!(name.contains("evil"), "{name}");
    assert_eq!(bench.reports(), [name]);
}

#[test]
fn what_cannot_be_written_is_told_in_a_sentence_and_the_room_stays_as_it_is() {
    let mut bench = Bench::measuring().closed();
    bench.open_session();
    std::fs::write(bench.folder.path().join("reports"), "in the way").unwrap();
    bench.keys("p");
    bench.until("the fault", |bench| bench.told().unwrap().done.is_fault);
    bench.said("reports");
    bench.said("could not be written");
    assert_eq!(bench.window().records().unwrap().page, RecordsPage::Sheet);
    assert!(bench.told().unwrap().open.unwrap().sheet.is_some());
}

#[test]
fn a_closed_session_is_decided_about_in_a_further_file_and_stays_one_session() {
    let mut bench = Bench::measuring().closed();
    bench.open_session();
    let first = bench.paths("sessions").remove(0);
    let before = read(&first);
    bench.keys("s3A. Field⏎");
    bench.said("Measure it, or release the part early");
    assert_eq!(
        bench.paths("sessions").len(),
        1,
        "refused: nothing is written"
    );
    bench.keys("␛s4wanted today⏎⏎");
    bench.said("It is in the record.");
    bench.until("it is read again", |bench| bench.sees("released early"));
    assert_eq!(bench.paths("sessions").len(), 2);
    assert_eq!(read(&first), before, "the closed file is as it was");
    bench.keys("⌫");
    let told = bench.told().unwrap();
    assert_eq!(told.rows.len(), 1);
    assert_eq!(told.rows[0].standings, [("released early".to_owned(), 1)]);
    // Withdrawn decisions and early releases are no GO anywhere.
    assert!(bench.sees("1 released early"));
}

/// A check tells how many bytes it has read of how many, never less than before, and all at the
/// end; it ends where that is asked for.
#[test]
fn a_check_tells_its_bytes_step_by_step_and_is_ended_at_any_of_them() {
    let folder = tempfile::tempdir().unwrap();
    let sessions = folder.path().join("sessions");
    std::fs::create_dir(&sessions).unwrap();
    let bytes = format!("{}\n", "no line of a record ".repeat(40)).repeat(1_500);
    for name in ["a.jsonl", "b.jsonl"] {
        std::fs::write(sessions.join(name), &bytes).unwrap();
    }
    let whole = 2 * bytes.len() as u64;
    let part = |name: &str| Part {
        name: name.to_owned(),
        until: None,
    };
    let row = SessionRow {
        record: vec![part("a.jsonl"), part("b.jsonl")],
        bytes: whole,
        ..SessionRow::default()
    };
    let workspace = Workspace::locate(Some(folder.path()));
    let mut disk = RecordsDisk::new(workspace, Context::default());
    let mut told = Vec::new();
    let verified = disk.verify(&row, &mut |read, of| {
        told.push((read, of));
        true
    });
    assert_eq!(verified.unwrap().unwrap().state, "damaged");
    assert_eq!(told.first(), Some(&(0, whole)));
    assert_eq!(told.last(), Some(&(whole, whole)));
    assert!(told.is_sorted(), "{told:?}");
    assert!(told.iter().all(|(_, of)| *of == whole), "{told:?}");
    assert!(told.len() > 6, "{told:?}");
    for ended_after in 1..told.len() {
        let mut heard = 0;
        let verified = disk.verify(&row, &mut |_, _| {
            heard += 1;
            heard < ended_after
        });
        assert_eq!((verified.unwrap(), heard), (None, ended_after));
    }
}

/// A name under the whole session, as a further line of its record; and every reading of it.
#[test]
fn the_whole_session_is_signed_and_all_its_readings_are_shown() {
    let mut bench = Bench::measuring().closed();
    bench.open_session();
    bench.keys("a");
    bench.said("part 1, 1 20 k6: 20.008 mm, GO");
    bench.said("typed, by M. Brook");
    bench.keys("s2A. Field⏎");
    bench.said("It is in the record.");
    bench.keys("r");
    bench.until("the signature", |bench| {
        let open = bench.told().unwrap().open.unwrap();
        open.sheet
            .is_some_and(|sheet| sheet.record.signatures.len() == 1)
    });
    assert!(bench.sees("the record"));
    let journals = bench.journals();
    let line = journals
        .lines()
        .find(|line| line.contains("\"signed_off\""))
        .unwrap();
    assert!(
        line.contains("\"part\":0,\"meaning\":\"checked\""),
        "{line}"
    );
    let sheet = bench.told().unwrap().open.unwrap().sheet.unwrap();
    assert_eq!(sheet.record.signatures.len(), 1);
    assert!(sheet.parts.iter().all(|part| part.signatures.is_empty()));
    // A release of all that is not all proved is refused, as everywhere.
    bench.keys("s3⏎");
    bench.said("Decide about each part first");
    assert_eq!(bench.journals(), journals);
}

/// One bit of a verdict's line is turned: that line is told by its place, the others are read.
#[test]
fn a_damaged_session_says_where_opens_and_fails_its_check_without_being_touched() {
    let mut bench = Bench::measuring();
    bench.keys("⏎14.995⏎");
    bench.until("both verdicts", |bench| {
        bench
            .journals()
            .matches("\"kind\":\"verdict_given\"")
            .count()
            == 2
    });
    let mut bench = bench.closed();
    let path = bench.paths("sessions").remove(0);
    let mut bytes = read(&path);
    let text = String::from_utf8(bytes.clone()).unwrap();
    let (at, line) = text
        .lines()
        .scan(0, |offset, line| {
            let start = *offset;
            *offset += line.len() + 1;
            Some((start, line))
        })
        .find(|(_, line)| line.contains("\"kind\":\"verdict_given\""))
        .unwrap();
    let number = text[..at].lines().count() + 1;
    let inside = line.find("20.008").unwrap_or(line.len() / 2);
    bytes[at + inside] ^= 1;
    std::fs::write(&path, &bytes).unwrap();
    bench.keys(" ");
    bench.until("the damage", |bench| {
        bench.told().unwrap().rows[0].is_damaged()
    });
    let row = bench.told().unwrap().rows[0].clone();
    let place = format!(
        "line {number}, {} bytes at byte {at}: altered",
        line.len() + 1
    );
    assert!(row.damage[0].contains(&place), "{place}: {:?}", row.damage);
    bench.said(&place);
    assert!(bench.sees("damaged, as far as readable: "));
    bench.open_session();
    assert!(bench.sees("not as it was written"));
    let sheet = bench.told().unwrap().open.unwrap().sheet.unwrap();
    let readable: Vec<&str> = sheet.parts[0]
        .results
        .iter()
        .map(|row| row.actual.as_str())
        .collect();
    assert!(
        readable.contains(&"14.995"),
        "the rest is readable: {readable:?}"
    );
    bench.keys("v");
    bench.until("the check", |bench| {
        let verify = bench.told().unwrap().verify;
        verify.is_some_and(|verify| verify.result.is_some())
    });
    let verified = bench.told().unwrap().verify.unwrap();
    // It was read once from end to end, and that is what the bar told.
    let length = bytes.len() as u64;
    assert_eq!((verified.read, verified.whole), (length, length));
    let result = verified.result.unwrap().unwrap();
    assert_eq!(result.state, "damaged");
    assert!(
        result.findings.iter().any(|found| found.contains(&place)),
        "{result:?}"
    );
    assert!(bench.sees("what is not stands below"));
    assert_eq!(read(&path), bytes, "looking changes nothing");
}

#[test]
fn the_records_are_reached_by_a_keypad_and_left_for_the_bench_that_went_on() {
    let mut bench = Bench::measuring();
    bench.keys(".05");
    assert!(bench.window().records().is_some());
    assert!(bench.sees("F5 Records, open"));
    bench.keys(".");
    assert!(bench.window().records().is_none());
    bench.keys("d7");
    bench.said("Measure it, or release the part early");
    bench.keys("d3customer is asked⏎");
    bench.until("the hold", |bench| {
        bench.journals().contains("disposition_given")
    });
    bench.keys("d6answered⏎");
    bench.until("its withdrawal", |bench| {
        bench.journals().matches("disposition_given").count() == 2
    });
    assert!(bench.journals().contains("withdrawn"));
}
