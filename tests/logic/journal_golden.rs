//! Journals that another program wrote (`tests/independent_writer.py`, from the description of the
//! form alone), each with the report that it must give beside it.

use std::fs;
use std::path::{Path, PathBuf};

use fitledger::journal::{
    FileStart, Hash, Link, Part, Report, State, session_state, sessions, verify, verify_parts,
};
use serde_json::{Value, json};

fn place() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/journals")
}

fn as_json(report: &Report) -> Value {
    let findings: Vec<_> = report
        .findings
        .iter()
        .map(|finding| {
            json!({
                "kind": finding.code(),
                "line": finding.place.line,
                "offset": finding.place.offset,
                "length": finding.place.length,
            })
        })
        .collect();
    json!({
        "state": report.state.code(),
        "events": report.events,
        "head": report.head.hash.to_string(),
        "findings": findings,
    })
}

#[test]
fn every_journal_of_the_collection_gives_the_report_beside_it() {
    let mut read = 0;
    for (folder, states) in [
        ("good", &["sound", "not_closed"][..]),
        ("torn", &["torn_tail"]),
        ("tampered", &["damaged"]),
    ] {
        for entry in fs::read_dir(place().join(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path
                .extension()
                .is_none_or(|extension| extension != "jsonl")
            {
                continue;
            }
            let expected = fs::read_to_string(path.with_extension("expected.json")).unwrap();
            let expected: Value = serde_json::from_str(&expected).unwrap();
            let content = fs::read(&path).unwrap();
            let report = verify(content.as_slice(), |_| {}).unwrap();
            assert_eq!(as_json(&report), expected, "{}", path.display());
            assert!(states.contains(&report.state.code()), "{}", path.display());
            assert_eq!(
                fs::read(&path).unwrap(),
                content,
                "{}: was changed",
                path.display()
            );
            read += 1;
        }
    }
    assert!(read >= 32, "only {read} journals");
}

#[test]
fn a_session_of_two_files_is_found_followed_and_checked_as_one() {
    let open = |name: &str| fs::read(place().join("good").join(name)).unwrap();
    let start = |name: &str| FileStart::read(name, open(name).as_slice()).unwrap();
    let files = [
        start("continuation.jsonl"),
        start("not_closed.jsonl"),
        start("closed.jsonl"),
    ];
    let found = sessions(&files);
    let names: Vec<Vec<_>> = found
        .iter()
        .map(|session| {
            session
                .parts
                .iter()
                .map(|part| part.name.as_str())
                .collect()
        })
        .collect();
    assert_eq!(
        names,
        [
            vec!["closed.jsonl"],
            vec!["not_closed.jsonl", "continuation.jsonl"]
        ]
    );

    let mut read = Vec::new();
    let reports = verify_parts(
        &found[1].parts,
        |part| Ok(std::io::Cursor::new(open(&part.name))),
        |part, sound| read.push((part, sound.line.seq)),
    )
    .unwrap();
    assert_eq!(
        read,
        [(0, 1), (0, 2), (0, 3), (0, 4), (1, 5), (1, 6), (1, 7)]
    );
    assert_eq!(session_state(&reports), State::Sound);

    // Without the old file the new one still says what it lacks.
    let alone = sessions(&files[..1]);
    assert_eq!(alone[0].absent.as_ref().unwrap().file, "not_closed.jsonl");
    assert_eq!(alone[0].absent.as_ref().unwrap().link.seq, 4);
}

#[test]
fn lines_after_the_last_that_counts_are_told_and_not_handed_out() {
    let content = fs::read(place().join("good/closed.jsonl")).unwrap();
    let counted = |until: Link| {
        let part = Part {
            name: "closed.jsonl".to_owned(),
            until: Some(until),
        };
        let mut numbers = Vec::new();
        let reports = verify_parts(
            &[part],
            |_| Ok(content.as_slice()),
            |_, sound| numbers.push(sound.line.seq),
        );
        (numbers, reports.unwrap().remove(0))
    };
    let mut third = None;
    verify(content.as_slice(), |sound| {
        if sound.line.seq == 3 {
            third = Some(Link::of(&sound.line));
        }
    })
    .unwrap();
    let (numbers, report) = counted(third.unwrap());
    assert_eq!(numbers, [1, 2, 3]);
    assert_eq!(
        (report.state, report.head),
        (State::NotClosed, third.unwrap())
    );
    assert_eq!(report.findings[0].code(), "not_acknowledged");
    assert_eq!(report.findings[0].place.line, 4);

    let (_, report) = counted(Link {
        seq: 3,
        hash: Hash::GENESIS,
    });
    assert_eq!(report.state, State::Damaged);
    assert_eq!(report.findings[0].code(), "link_absent");
    assert!(!report.findings[0].to_string().contains("lost"));
}

/// What a continued file lost is named by its numbers, whether a line after the last that counts
/// stands there or nothing does.
#[test]
fn what_is_lost_before_the_link_of_a_continuation_is_named() {
    let content = fs::read(place().join("good/closed.jsonl")).unwrap();
    let lines: Vec<&[u8]> = content.split_inclusive(|byte| *byte == b'\n').collect();
    let mut fourth = None;
    verify(content.as_slice(), |sound| {
        if sound.line.seq == 4 {
            fourth = Some(Link::of(&sound.line));
        }
    })
    .unwrap();
    let told = |kept: &[usize]| {
        let content: Vec<u8> = kept.iter().flat_map(|at| lines[*at - 1]).copied().collect();
        let part = Part {
            name: "first.jsonl".to_owned(),
            until: fourth,
        };
        let open = |_: &Part| Ok(content.as_slice());
        let report = verify_parts(&[part], open, |_, _| {}).unwrap().remove(0);
        let one = report.findings.first().map(ToString::to_string);
        one.unwrap_or_default()
    };
    let lost = "the continuation goes on from event 4, which is not here; events 3 to 4 are lost";
    assert!(told(&[1, 2]).ends_with(lost), "{}", told(&[1, 2]));
    assert!(told(&[1, 2, 5]).ends_with(lost), "{}", told(&[1, 2, 5]));
    // What comes later out of its order is read, and told apart.
    assert!(
        told(&[1, 2, 6, 4]).ends_with(lost),
        "{}",
        told(&[1, 2, 6, 4])
    );
    let one = "which is not here; event 4 is lost";
    assert!(told(&[1, 2, 3]).ends_with(one), "{}", told(&[1, 2, 3]));
    assert_eq!(told(&[1, 2, 3, 4]), "");
}

#[test]
fn what_a_failed_retry_left_behind_is_in_no_session_and_circles_end() {
    use fitledger::journal::ContinuationOf;
    let file = |name: &str, of: Option<&str>, holds_events: bool| FileStart {
        name: name.to_owned(),
        continues: of.map(|file| ContinuationOf {
            file: file.to_owned(),
            link: Link::GENESIS,
        }),
        holds_events,
    };
    let names = |files: &[FileStart]| -> Vec<Vec<String>> {
        let named = |session: fitledger::journal::SessionFiles| {
            session.parts.into_iter().map(|part| part.name).collect()
        };
        sessions(files).into_iter().map(named).collect()
    };
    let a = file("a", None, true);
    let retried = [
        a.clone(),
        file("b", Some("a"), false),
        file("c", Some("a"), true),
    ];
    assert_eq!(names(&retried), [["a", "c"]]);
    let last = [a.clone(), file("b", Some("a"), false)];
    assert_eq!(names(&last), [["a", "b"]]);
    let forked = [a, file("b", Some("a"), true), file("c", Some("a"), true)];
    assert_eq!(names(&forked), [["a", "b"], ["a", "c"]]);
    let circle = [file("a", Some("b"), true), file("b", Some("a"), true)];
    assert_eq!(names(&circle), [["a"], ["b"]]);
}
