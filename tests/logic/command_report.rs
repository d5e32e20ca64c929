//! `fitledger report`: what is written, what is said, and that nothing half written is left.

#![cfg(unix)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::support::program::{Answer, FarEnd, Shop};

/// Readings of two parts of one callout, the second part beyond its limit; then the end.
const TWO_PARTS: &str = "20.009\n20.900\n";

/// A session of two parts, one GO and one not; its journal.
fn measured(shop: &Shop, input: &str) -> PathBuf {
    let answer = shop.run(
        &[
            "inspect",
            "--json",
            "--callout",
            "20 k6",
            "--gauge",
            "typed",
            "--operator",
            "M. Weber",
        ],
        input,
    );
    let last = answer.lines.last().unwrap();
    PathBuf::from(
        last["journal"]
            .as_str()
            .unwrap_or_else(|| panic!("{}", answer.text)),
    )
}

fn report(shop: &Shop, journal: &Path, out: &str, more: &[&str]) -> Answer {
    let mut arguments = vec!["report", "--json", journal.to_str().unwrap(), "--out", out];
    arguments.extend(more);
    shop.run(&arguments, "")
}

fn code(answer: &Answer) -> &str {
    answer.lines[0]["error"]["code"]
        .as_str()
        .unwrap_or_else(|| panic!("{}", answer.text))
}

/// What lies in the workspace beside its own folders.
fn files(shop: &Shop) -> Vec<String> {
    let entries = fs::read_dir(shop.place.path()).unwrap();
    let mut names: Vec<String> = entries
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|name| !["sessions", "tmp", "cache"].contains(&name.as_str()))
        .collect();
    names.sort();
    names
}

#[test]
fn the_page_is_written_whole_and_what_it_is_of_is_said() {
    let shop = Shop::new();
    let journal = measured(&shop, TWO_PARTS);
    let verified = shop.verified(&journal);
    let answer = report(&shop, &journal, "both.html", &[]);
    assert_eq!(answer.lines.len(), 1, "{}", answer.text);
    let line = &answer.lines[0];
    assert_eq!(line["report"], "both.html");
    for field in ["head", "events", "state"] {
        assert_eq!(line[field], verified[field], "{field}");
    }
    let parts = usize::try_from(line["parts"].as_u64().unwrap()).unwrap();
    assert!(parts >= 2);
    // Not everything is good.
    assert_eq!(answer.code, 1);
    let page = fs::read_to_string(shop.path("both.html")).unwrap();
    assert!(page.starts_with("<!DOCTYPE html>") && page.ends_with("</html>\n"));
    assert!(page.contains(verified["head"].as_str().unwrap()));
    for word in ["20.009", "20.900", "NO-GO", "M. Weber", "20 k6"] {
        assert!(page.contains(word), "{word}");
    }
    assert_eq!(page.matches("<section class=\"part\">").count(), parts);
    assert_eq!(files(&shop), ["both.html"]);
    // For people: the same in words.
    let told = shop.run(
        &["report", journal.to_str().unwrap(), "--out", "told.html"],
        "",
    );
    assert_eq!(told.code, 1);
    for word in [
        "told.html",
        "part 1: GO",
        verified["head"].as_str().unwrap(),
    ] {
        assert!(told.text.contains(word), "{word}: {}", told.text);
    }
}

#[test]
fn one_part_alone_is_good_when_it_is_and_parts_that_are_not_there_are_said() {
    let shop = Shop::new();
    let journal = measured(&shop, TWO_PARTS);
    let answer = report(&shop, &journal, "one.html", &["--part", "1"]);
    assert_eq!(
        (answer.code, &answer.lines[0]["parts"]),
        (0, &Value::from(1)),
        "{}",
        answer.text
    );
    let page = fs::read_to_string(shop.path("one.html")).unwrap();
    assert!(page.contains("20.009") && !page.contains("20.900"));
    for more in [&["--part", "1", "--part", "77"][..], &["--serial", "S-1"]] {
        let answer = report(&shop, &journal, "none.html", more);
        assert_eq!((answer.code, code(&answer)), (2, "no_such_part"));
    }
    assert_eq!(files(&shop), ["one.html"]);
}

#[test]
fn the_decimal_mark_and_all_readings_are_as_asked() {
    let shop = Shop::new();
    let journal = measured(&shop, TWO_PARTS);
    let more = ["--decimal", "comma", "--readings"];
    report(&shop, &journal, "comma.html", &more);
    let page = fs::read_to_string(shop.path("comma.html")).unwrap();
    assert!(page.contains("20,009") && page.contains("All readings"));
    report(&shop, &journal, "point.html", &[]);
    let page = fs::read_to_string(shop.path("point.html")).unwrap();
    assert!(!page.contains("20,009") && !page.contains("All readings"));
}

#[test]
fn a_file_that_is_there_stays_unless_it_is_to_be_replaced() {
    let shop = Shop::new();
    let journal = measured(&shop, "20.009\n");
    fs::write(shop.path("kept.html"), "kept").unwrap();
    let answer = report(&shop, &journal, "kept.html", &[]);
    assert_eq!((answer.code, code(&answer)), (2, "file_exists"));
    assert_eq!(fs::read_to_string(shop.path("kept.html")).unwrap(), "kept");
    let answer = report(&shop, &journal, "kept.html", &["--replace"]);
    assert!(answer.lines[0]["report"].is_string(), "{}", answer.text);
    assert!(
        fs::read_to_string(shop.path("kept.html"))
            .unwrap()
            .contains("20.009")
    );
    assert_eq!(files(&shop), ["kept.html"]);
}

#[test]
fn what_cannot_be_written_or_read_is_told_and_leaves_nothing_behind() {
    let shop = Shop::new();
    let journal = measured(&shop, "20.009\n");
    fs::create_dir(shop.path("folder.html")).unwrap();
    fs::write(shop.path("file"), "").unwrap();
    for (out, exit, word) in [
        ("report.txt", 2, "form_unknown"),
        ("report", 2, "form_unknown"),
        ("none/report.html", 3, "file_not_written"),
        ("file/report.html", 3, "file_not_written"),
        // No folder of a disk: nobody may make files there.
        ("/proc/report.html", 3, "file_not_written"),
        ("folder.html", 2, "is_a_folder"),
    ] {
        let answer = report(&shop, &journal, out, &["--replace"]);
        assert_eq!((answer.code, code(&answer)), (exit, word), "{out}");
    }
    let answer = report(&shop, Path::new("sessions/none.jsonl"), "report.html", &[]);
    assert_eq!((answer.code, code(&answer)), (3, "journal_not_read"));
    assert_eq!(files(&shop), ["file", "folder.html"]);
}

#[test]
fn a_disk_that_takes_no_more_leaves_what_was_there_and_no_piece() {
    let shop = Shop::new();
    let journal = measured(&shop, "20.009\n");
    fs::write(shop.path("kept.html"), "kept").unwrap();
    for (out, more) in [("kept.html", "--replace"), ("new.html", "")] {
        let journal = journal.display();
        let line =
            format!("ulimit -f 4; exec \"$FITLEDGER\" report --json {journal} --out {out} {more}");
        let answer = shop.shell(&line, "");
        assert_eq!(
            (answer.code, code(&answer)),
            (3, "file_not_written"),
            "{}",
            answer.told
        );
    }
    assert_eq!(fs::read_to_string(shop.path("kept.html")).unwrap(), "kept");
    assert_eq!(files(&shop), ["kept.html"]);
}

#[test]
fn a_damaged_record_gives_a_page_that_says_so() {
    let shop = Shop::new();
    let journal = measured(&shop, TWO_PARTS);
    let mut bytes = fs::read(&journal).unwrap();
    // One bit in the middle of the last but one reading's line.
    let text = String::from_utf8(bytes.clone()).unwrap();
    let at = text.rfind("\"reading_received\"").unwrap();
    bytes[at + 3] ^= 1;
    fs::write(&journal, bytes).unwrap();
    let answer = report(&shop, &journal, "damaged.html", &["--part", "1"]);
    assert_eq!(
        (answer.code, answer.lines[0]["state"].as_str()),
        (1, Some("damaged"))
    );
    let page = fs::read_to_string(shop.path("damaged.html")).unwrap();
    assert!(page.contains("The record is not as it was written."));
    assert!(!page.contains("class=\"standing go\""));
    let name = journal.to_str().unwrap();
    let told = shop.run(&["report", name, "--out", "told.html", "--part", "1"], "");
    let record = told.text.find("record damaged").unwrap();
    let part = told.text.find(", as far as readable").unwrap();
    assert!(record < part, "{}", told.text);
    // What is no record at all is one that is damaged from its first line on.
    fs::write(shop.path("sessions/noise.jsonl"), [0x80; 300]).unwrap();
    let answer = report(&shop, &shop.path("sessions/noise.jsonl"), "noise.html", &[]);
    assert_eq!(answer.code, 1, "{} {}", answer.text, answer.told);
    assert_eq!(answer.lines[0]["parts"], 0);
}

#[test]
fn any_file_of_a_session_gives_the_report_of_all_of_it() {
    let shop = Shop::new();
    let sent: Vec<String> = (0..60).map(|at| format!("20.{:03}", 2 + at % 14)).collect();
    let line = "ulimit -f 16; exec \"$FITLEDGER\" inspect --json --callout '20 k6' --gauge typed";
    let answer = shop.shell(line, &(sent.join("\n") + "\n"));
    assert_eq!(answer.code, 3, "{}", answer.told);
    let newest = answer
        .lines
        .iter()
        .rev()
        .find_map(|line| line["journal"].as_str())
        .unwrap();
    let newest = shop.place.path().join(newest);
    let verified = shop.verified(&newest);
    assert!(verified["files"].as_u64().unwrap() > 1, "{verified}");
    let first = shop.journals().remove(0);
    assert_ne!(first, newest);
    for (journal, out) in [(&newest, "newest.html"), (&first, "first.html")] {
        let answer = report(&shop, journal, out, &[]);
        assert_eq!(answer.lines[0]["head"], verified["head"], "{}", answer.text);
        let page = fs::read_to_string(shop.path(out)).unwrap();
        let sections = page.matches("<section class=\"part\">").count();
        assert!(sections >= sent.len(), "{sections}");
    }
    let pages = ["newest.html", "first.html"].map(|out| fs::read(shop.path(out)).unwrap());
    assert_eq!(pages[0], pages[1]);
    // What is made for programs is of all of it too.
    let exports = [(&newest, "newest.json"), (&first, "first.json")].map(|(journal, out)| {
        let journal = journal.to_str().unwrap();
        let arguments = ["export", journal, "--format", "json", "--out", out];
        let answer = shop.run(&arguments, "");
        assert_eq!(answer.code, 0, "{}", answer.told);
        fs::read(shop.path(out)).unwrap()
    });
    assert_eq!(exports[0], exports[1]);
}

/// Names of people and things go through the whole program into the page as text.
#[test]
fn hostile_names_are_text_on_the_page() {
    let shop = Shop::new();
    let name = "<script>alert('x')</script>";
    let answer = shop.run(
        &[
            "inspect",
            "--json",
            "--callout",
            "20 k6",
            "--gauge",
            "typed",
            "--operator",
            name,
            "--customer",
            "\"><img src=x onerror=alert(1)>",
            "--machine",
            "a\u{202e}b",
        ],
        "20.009\n",
    );
    let journal = PathBuf::from(answer.lines.last().unwrap()["journal"].as_str().unwrap());
    report(&shop, &journal, "names.html", &["--readings"]);
    let page = fs::read_to_string(shop.path("names.html")).unwrap();
    assert!(!page.contains("<script") && !page.contains("<img") && !page.contains('\u{202e}'));
    assert!(page.contains("&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt;"));
    assert!(page.contains("&quot;&gt;&lt;img") && page.contains("a\\u{202e}b"));
}

#[test]
fn the_ending_chooses_the_form() {
    let shop = Shop::new();
    let journal = measured(&shop, "20.009\n");
    let answer = report(&shop, &journal, "page.PDF", &[]);
    assert_eq!(answer.lines[0]["report"], "page.PDF", "{}", answer.text);
    let bytes = fs::read(shop.path("page.PDF")).unwrap();
    assert!(bytes.starts_with(b"%PDF-"));
    assert_eq!(files(&shop), ["page.PDF"]);
}

/// The same record so many times more, under names of its own.
fn copies(shop: &Shop, journal: &Path, count: usize) {
    let bytes = fs::read(shop.place.path().join(journal)).unwrap();
    for number in 0..count {
        let name = format!("sessions/2026-01-02-{number}.jsonl");
        fs::write(shop.path(&name), &bytes).unwrap();
    }
}

/// A report, and an export, with the file that each writes.
fn both_ways(journal: &Path) -> [(Vec<String>, &'static str); 2] {
    let journal = journal.to_str().unwrap();
    let words = |text: &str| text.split(' ').map(str::to_owned).collect::<Vec<_>>();
    [
        (
            words(&format!("report {journal} --readings --out page.html")),
            "page.html",
        ),
        (
            words(&format!("export {journal} --format csv --out page.csv")),
            "page.csv",
        ),
    ]
}

/// As Ctrl-C at a terminal does.
#[allow(unsafe_code)]
fn interrupt(child: &Child) {
    let process = libc::pid_t::try_from(child.id()).unwrap();
    // SAFETY: the process is a child that was not waited for, so its number is still its own.
    assert_eq!(unsafe { libc::kill(process, libc::SIGINT) }, 0);
}

/// Names in the workspace that begin with a report's, or are pieces of one.
fn pages(shop: &Shop) -> Vec<String> {
    let mut names = files(shop);
    names.retain(|name| name.contains("page"));
    names
}

#[test]
fn looking_through_many_records_is_shown_at_a_terminal_and_ended_by_ctrl_c() {
    const MORE: usize = 1_500;
    for at in 0..2 {
        let shop = Shop::in_memory();
        let journal = measured(&shop, TWO_PARTS);
        copies(&shop, &journal, MORE);
        let (arguments, out) = &both_ways(&journal)[at];
        let mut terminal = FarEnd::new();
        let mut command = shop.command(env!("CARGO_BIN_EXE_fitledger"));
        command
            .args(arguments)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(terminal.near());
        let mut child = command.spawn().unwrap();
        drop(command);
        terminal.shown_until(&format!(" of {}", MORE + 1));
        interrupt(&child);
        let shown = terminal.shown_until("Stopped as asked, before anything was written.");
        assert_eq!(child.wait().unwrap().code(), Some(3), "{shown}");
        assert_eq!(pages(&shop), [""; 0], "{out}");
        // Asked again it is written, and without a terminal nothing is shown on the way.
        let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
        let answer = shop.run(&words, "");
        assert_eq!(
            (
                answer.told.as_str(),
                pages(&shop).contains(&(*out).to_owned())
            ),
            ("", true)
        );
    }
}

/// Whether a piece of a file lies in the folder before the program has ended by itself.
fn sees_a_piece(shop: &Shop, child: &mut Child) -> bool {
    let since = Instant::now();
    while child.try_wait().unwrap().is_none() {
        if files(shop).iter().any(|name| name.ends_with(".part")) {
            return true;
        }
        assert!(since.elapsed() < Duration::from_secs(60), "it does not end");
    }
    false
}

#[test]
fn ctrl_c_while_it_is_written_leaves_the_whole_file_or_none_and_no_piece() {
    let shop = Shop::new();
    let values: Vec<String> = (0..150)
        .map(|at| format!("20.{:03}", 2 + at % 14))
        .collect();
    let journal = measured(&shop, &(values.join("\n") + "\n"));
    let mut stopped = 0;
    for round in 0..12 {
        let (arguments, out) = &both_ways(&journal)[round % 2];
        let mut command = shop.command(env!("CARGO_BIN_EXE_fitledger"));
        command
            .args(arguments)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        let mut child = command.spawn().unwrap();
        if sees_a_piece(&shop, &mut child) {
            interrupt(&child);
            stopped += 1;
        }
        child.wait().unwrap();
        let left = pages(&shop);
        assert!(left.iter().all(|name| !name.ends_with(".part")), "{left:?}");
        if left.contains(&(*out).to_owned()) {
            let text = fs::read_to_string(shop.path(out)).unwrap();
            let end = if out.ends_with("html") {
                "</html>\n"
            } else {
                "\r\n"
            };
            assert!(text.len() > 10_000 && text.ends_with(end), "{out}");
        }
        for name in left {
            fs::remove_file(shop.path(&name)).unwrap();
        }
    }
    assert!(stopped > 0, "it was never stopped while it wrote");
}
