//! `fitledger decide`, and decisions typed at the bench, with the real program on real files.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::support::program::{Answer, Shop, lines_of};

/// A session of two parts, the first GO, the second NO-GO; closed, with who measured.
fn closed_session(shop: &Shop) {
    let answer = shop.run(
        &[
            "inspect",
            "--json",
            "--callout",
            "20 k6",
            "--gauge",
            "typed",
            "--operator",
            "Ada",
            "--order",
            "2026-114",
            "--machine",
            "small lathe",
        ],
        "s GP-1\n20.009\n20.031\nq\n",
    );
    assert_eq!(answer.code, 1, "{:?}", answer.lines);
}

fn decide(shop: &Shop, journal: &Path, more: &[&str]) -> Answer {
    let mut arguments = vec!["decide", "--json", journal.to_str().unwrap()];
    arguments.extend(more);
    shop.run(&arguments, "")
}

fn error(answer: &Answer) -> &str {
    answer.lines[0]["error"]["code"].as_str().unwrap()
}

#[test]
fn a_closed_record_goes_on_in_a_further_file_and_its_own_file_keeps_every_byte() {
    let shop = Shop::new();
    closed_session(&shop);
    let journal = shop.journal();
    let before = fs::read(&journal).unwrap();
    let release = ["release", "--part", "1", "--by", "Weber"];
    let answer = decide(&shop, &journal, &release);
    assert_eq!(answer.code, 0, "{:?}", answer.lines);
    let decision = &answer.lines[0]["decision"];
    assert_eq!(
        (decision["what"].as_str(), decision["standing"].as_str()),
        (Some("released"), Some("released"))
    );
    assert_eq!(fs::read(&journal).unwrap(), before);
    let further = Path::new(answer.lines[1]["journal"].as_str().unwrap());
    assert_ne!(further, journal);
    let verified = shop.verified(further);
    assert_eq!(
        (verified["state"].as_str(), verified["files"].as_u64()),
        (Some("sound"), Some(2))
    );
    assert_eq!(verified["head"], answer.lines[1]["head"]);
    // The signature names the line before it by its hash.
    let signed = &lines_of(further, "signed_off")[0];
    assert_eq!(signed["prev"], signed["body"]["hash"]);
    assert_eq!(
        signed["body"]["covers"].as_u64().unwrap() + 1,
        signed["seq"].as_u64().unwrap()
    );
    // What comes next goes on from there, also when the first file is named.
    let scrap = [
        "scrap",
        "--part",
        "2",
        "--by",
        "Weber",
        "--reason",
        "metal gone",
    ];
    let answer = decide(&shop, &journal, &scrap);
    assert_eq!(answer.code, 0, "{:?}", answer.lines);
    let third = Path::new(answer.lines[1]["journal"].as_str().unwrap());
    let verified = shop.verified(third);
    assert_eq!(
        (verified["state"].as_str(), verified["files"].as_u64()),
        (Some("sound"), Some(3))
    );
    let all = decide(&shop, third, &["release", "--by", "Weber"]);
    assert_eq!(all.code, 0, "{:?}", all.lines);
    assert_eq!(all.lines[0]["decision"]["part"], 0);
}

/// Two people decide about one closed record at the same moment, in two programs: neither decision
/// is lost, the record does not fork, and who is refused is told so in a sentence.
#[test]
fn of_two_decisions_at_the_same_time_the_second_sees_the_first_or_is_refused() {
    let shop = Shop::in_memory();
    closed_session(&shop);
    let journal = shop.journal();
    let name = journal.to_str().unwrap();
    let (mut done, mut refused) = (0, 0);
    for round in 0..30 {
        let reason = format!("round {round}");
        let decide = |by| {
            let asked = [
                "decide", "--json", name, "hold", "--part", "2", "--by", by, "--reason", &reason,
            ];
            shop.start(&asked)
        };
        for mut running in [decide("Weber"), decide("Ada")] {
            running.end_input();
            let answer = running.ended();
            if answer.code == 0 {
                done += 1;
                continue;
            }
            assert_eq!((answer.code, error(&answer)), (3, "journal_locked"));
            let hint = answer.lines[0]["error"]["hint"].as_str().unwrap();
            assert!(hint.ends_with("try again."), "{hint}");
            refused += 1;
        }
    }
    assert_eq!(done + refused, 60);
    assert!(done >= 30, "of each two one is done: {done}");
    let listed = shop.run(&["list", "--json"], "");
    assert_eq!(listed.lines.len(), 1, "the record forked");
    let newest = listed.lines[0]["journal"].as_str().unwrap();
    let verified = shop.verified(&shop.path("sessions").join(newest));
    assert_eq!(verified["state"], "sound", "{verified}");
    let all = shop.journals();
    assert_eq!(verified["files"].as_u64().unwrap(), all.len() as u64);
    let held = all
        .iter()
        .map(|one| lines_of(one, "disposition_given").len());
    assert_eq!(held.sum::<usize>(), done, "a decision was lost");
}

/// Continuations are numbered from the session's name; those that were named otherwise before are
/// read, and gone on from.
#[test]
fn further_files_are_numbered_from_the_first_one_s_name() {
    let shop = Shop::in_memory();
    closed_session(&shop);
    let journal = shop.journal();
    let stem = journal
        .to_str()
        .unwrap()
        .trim_end_matches(".jsonl")
        .to_owned();
    let hold = |reason| {
        let asked = ["hold", "--part", "2", "--by", "Ada", "--reason", reason];
        let answer = decide(&shop, &journal, &asked);
        assert_eq!(answer.code, 0, "{:?}", answer.lines);
        answer.lines[1]["journal"].as_str().unwrap().to_owned()
    };
    assert_eq!(hold("one"), format!("{stem}-2.jsonl"));
    assert_eq!(hold("two"), format!("{stem}-3.jsonl"));
    let old = format!("{stem}-2-2.jsonl");
    fs::rename(format!("{stem}-3.jsonl"), &old).unwrap();
    assert_eq!(shop.verified(Path::new(&old))["files"], 3);
    assert_eq!(hold("three"), format!("{stem}-3.jsonl"));
    assert_eq!(hold("four"), format!("{stem}-4.jsonl"));
    let last = shop.verified(Path::new(&format!("{stem}-4.jsonl")));
    assert_eq!(
        (&last["state"], &last["files"]),
        (&"sound".into(), &5.into())
    );
}

/// Where no file may grow, the session crawls on in ever more of them, and their names do not grow.
#[test]
fn under_a_file_size_limit_names_do_not_grow() {
    let shop = Shop::in_memory();
    let input: String = (0..40).map(|at| format!("20.0{at:02}\n")).collect();
    let line = "ulimit -f 16; exec \"$FITLEDGER\" inspect --json --callout '20 k6' --gauge typed";
    let answer = shop.shell(line, &input);
    let elsewhere = fs::read_dir(shop.path("tmp/fitledger-sessions")).unwrap();
    let mut names = shop.journals();
    names.extend(elsewhere.map(|entry| entry.unwrap().path()));
    assert!(names.len() > 5, "{names:?} {}", answer.told);
    let name = |path: &std::path::PathBuf| path.file_stem().unwrap().to_str().unwrap().to_owned();
    let mut stems: Vec<String> = names.iter().map(name).collect();
    stems.sort_by_key(|stem| (stem.len(), stem.clone()));
    let first = stems.remove(0);
    for (at, stem) in stems.iter().enumerate() {
        assert_eq!(*stem, format!("{first}-{}", at + 2));
    }
}

#[test]
fn what_may_not_be_decided_leaves_no_file_behind() {
    let shop = Shop::new();
    closed_session(&shop);
    let journal = shop.journal();
    for (more, code) in [
        (
            &["release", "--part", "2", "--by", "Weber"][..],
            "not_releasable",
        ),
        (
            &["release", "--part", "9", "--by", "Weber"][..],
            "no_such_part",
        ),
        (&["release", "--part", "1"][..], "name_missing"),
        (
            &["scrap", "--by", "Weber", "--reason", "x"][..],
            "part_missing",
        ),
        (
            &["scrap", "--part", "2", "--by", "Weber"][..],
            "reason_missing",
        ),
        (
            &[
                "concession",
                "--part",
                "1",
                "--by",
                "Weber",
                "--reason",
                "x",
            ][..],
            "nothing_to_concede",
        ),
        (
            &[
                "withdraw", "--part", "1", "--of", "3", "--by", "W", "--reason", "x",
            ][..],
            "no_such_decision",
        ),
        (
            &[
                "hold",
                "--part",
                "1",
                "--feature",
                "Q",
                "--by",
                "W",
                "--reason",
                "x",
            ][..],
            "no_such_characteristic",
        ),
    ] {
        let answer = decide(&shop, &journal, more);
        assert_eq!((answer.code, error(&answer)), (2, code), "{more:?}");
    }
    assert_eq!(shop.journals(), [journal]);
    let nowhere = decide(
        &shop,
        &shop.path("sessions/none.jsonl"),
        &["checked", "--by", "W"],
    );
    assert_eq!((nowhere.code, error(&nowhere)), (3, "journal_not_read"));
}

#[test]
fn a_running_session_is_decided_about_at_its_bench_only() {
    let shop = Shop::new();
    let mut running = shop.start(&[
        "inspect",
        "--json",
        "--callout",
        "20 k6",
        "--gauge",
        "typed",
    ]);
    running.type_text("20.009\n");
    assert_eq!(running.next()["verdict"], "GO");
    let journal = shop.journal();
    let answer = decide(
        &shop,
        &journal,
        &["release", "--part", "1", "--by", "Weber"],
    );
    assert_eq!((answer.code, error(&answer)), (3, "journal_locked"));
    // A name is given with it: who measures is not known here.
    running.type_text("release\nrelease / Weber\n");
    assert_eq!(running.next()["error"]["code"], "name_missing");
    let decision = running.next();
    assert_eq!(decision["decision"]["by"], "Weber");
    assert_eq!(decision["decision"]["standing"], "released");
    running.end_input();
    running.ended();
    assert_eq!(lines_of(&journal, "signed_off").len(), 1);
    assert_eq!(shop.verified(&journal)["state"], "sound");
}

#[test]
fn order_machine_and_serial_number_stand_in_the_record() {
    let shop = Shop::new();
    closed_session(&shop);
    let journal = shop.journal();
    let opened: Value = lines_of(&journal, "session_opened").remove(0);
    assert_eq!(opened["body"]["job"]["order"], "2026-114");
    assert_eq!(opened["body"]["job"]["machine"], "small lathe");
    assert_eq!(opened["body"]["job"].get("customer"), None);
    assert_eq!(
        lines_of(&journal, "part_named")[0]["body"]["serial"],
        "GP-1"
    );
}
