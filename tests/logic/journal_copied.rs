//! Records that were carried to another machine: line ends converted, a mark put before them,
//! decimal commas, another locale, names folded to capitals, paths with blanks and other letters.
//! A record verifies there, or what was done to it is said.

use std::fs;
use std::path::Path;
use std::process::Command;

use fitledger::journal::{FindingKind, State};

use crate::support::damage::{Harm, Written, five_invariants};
use crate::support::journals::closed_journal;

#[test]
fn converted_line_ends_and_a_mark_are_told_precisely_and_all_is_readable() {
    let written = Written::new(closed_journal(12));
    let text = String::from_utf8(written.bytes.clone()).unwrap();
    let crlf = text.replace('\n', "\r\n");
    let cases: [(&str, String, &[&str]); 4] = [
        ("CR LF", crlf.clone(), &["line_ends_converted"]),
        ("a mark", format!("\u{feff}{text}"), &["byte_order_mark"]),
        (
            "both",
            format!("\u{feff}{crlf}"),
            &["byte_order_mark", "line_ends_converted"],
        ),
        (
            "CR LF twice",
            text.replacen('\n', "\r\n", 5),
            &["line_ends_converted"],
        ),
    ];
    for (what, copy, codes) in cases {
        let harm = Harm {
            case: &what,
            spared: &|_| true,
            told_at: Some(0..=0),
        };
        let read = five_invariants(&written, copy.into_bytes(), &harm);
        assert_eq!(read.codes(), codes, "{what}");
        assert_eq!(read.report.state, State::Damaged, "{what}");
        let told = read.report.findings.iter().map(ToString::to_string);
        let told = told.collect::<Vec<_>>().join("; ");
        let is_mark = codes == ["byte_order_mark"];
        assert_eq!(
            told.contains("line ends were converted"),
            !is_mark,
            "{told}"
        );
        let counted = read.report.findings.iter().find_map(|one| match one.kind {
            FindingKind::LineEndsConverted { lines } => Some(lines),
            _ => None,
        });
        let expected = match what {
            "CR LF twice" => Some(5),
            _ => (!is_mark).then_some(12),
        };
        assert_eq!(counted, expected, "{what}");
    }
}

#[test]
fn what_cannot_be_read_any_more_after_a_conversion_is_named() {
    let written = Written::new(closed_journal(12));
    let text = String::from_utf8(written.bytes.clone()).unwrap();
    let wide: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    for (what, copy, code) in [
        (
            "CR alone",
            text.replace('\n', "\r").into_bytes(),
            "line_ends_converted",
        ),
        ("UTF-16", wide, "not_a_line"),
    ] {
        let harm = Harm {
            case: &what,
            spared: &|_| false,
            told_at: Some(0..=0),
        };
        let read = five_invariants(&written, copy, &harm);
        assert_eq!(read.codes().first(), Some(&code), "{what}");
        assert_eq!(read.report.state, State::Damaged, "{what}");
    }
    // A program of another locale that "corrects" decimal points alters just these lines.
    let is_value = |line: usize| String::from_utf8_lossy(written.line(line)).contains("\"25.0");
    let first = (0..written.lines()).find(|line| is_value(*line)).unwrap();
    let start = written.starts[first] as u64;
    let harm = Harm {
        case: &"decimal commas",
        spared: &|line| !is_value(line),
        told_at: Some(start..=start),
    };
    let read = five_invariants(
        &written,
        text.replace("\"25.0", "\"25,0").into_bytes(),
        &harm,
    );
    assert!(
        read.codes().iter().all(|code| *code == "altered"),
        "{:?}",
        read.codes()
    );
    assert_eq!(
        read.codes().len(),
        (0..written.lines()).filter(|line| is_value(*line)).count()
    );
}

/// The program's answer about a journal: exit code and JSON.
fn verified(folder: &Path, name: &str, locale: &str) -> (Option<i32>, serde_json::Value) {
    let output = Command::new(env!("CARGO_BIN_EXE_fitledger"))
        .args(["verify", "--json", name])
        .current_dir(folder)
        .env("FITLEDGER_WORKSPACE", folder)
        .env("TMPDIR", folder)
        .envs([("LC_ALL", locale), ("LANG", locale)])
        .output()
        .unwrap();
    let line = String::from_utf8(output.stdout).unwrap();
    (output.status.code(), serde_json::from_str(&line).unwrap())
}

#[test]
fn paths_with_blanks_other_letters_and_locales_change_nothing() {
    let place = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let folder = place.path().join("Prüf protokolle – насос 検査");
    fs::create_dir(&folder).unwrap();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("sessions");
    let names = [
        "Welle 4 (links) µ.jsonl",
        "-dash.jsonl",
        "example's \"copy\".jsonl",
    ];
    let whole = fs::read(from.join("example-two-parts.jsonl")).unwrap();
    let mut answers = Vec::new();
    for name in names {
        fs::write(folder.join(name), &whole).unwrap();
        for locale in ["C", "de_DE.UTF-8", "tr_TR.UTF-8"] {
            let path = format!("./{name}");
            let (code, mut answer) = verified(&folder, &path, locale);
            assert_eq!(code, Some(0), "{name}, {locale}: {answer}");
            answer["journal"].take();
            for finding in answer["findings"].as_array_mut().unwrap() {
                finding["file"].take();
            }
            answers.push(answer);
        }
        assert_eq!(
            fs::read(folder.join(name)).unwrap(),
            whole,
            "{name}: was changed"
        );
    }
    assert!(
        answers.windows(2).all(|pair| pair[0] == pair[1]),
        "{answers:?}"
    );
}

/// A continuation names the file before it; where names were folded, that one is not found, and
/// this is said instead of a hundred misfits.
#[test]
fn a_continuation_whose_first_file_has_another_name_says_so() {
    let place = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("sessions");
    let copy = |name: &str, to: &str| {
        fs::copy(from.join(name), place.path().join(to)).unwrap();
    };
    copy("example-continued.jsonl", "EXAMPLE-CONTINUED.JSONL");
    copy("example-continued-2.jsonl", "EXAMPLE-CONTINUED-2.JSONL");
    let (code, answer) = verified(place.path(), "EXAMPLE-CONTINUED-2.JSONL", "C");
    let kinds: Vec<&str> = answer["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["kind"].as_str().unwrap())
        .collect();
    assert_eq!(kinds, ["earlier_file_absent"], "{answer}");
    let message = answer["findings"][0]["message"].as_str().unwrap();
    assert!(message.contains("example-continued.jsonl"), "{message}");
    assert_eq!(code, Some(1));
    let (code, answer) = verified(place.path(), "EXAMPLE-CONTINUED.JSONL", "C");
    assert_eq!(
        (code, &answer["state"]),
        (Some(0), &"not_closed".into()),
        "{answer}"
    );
}
