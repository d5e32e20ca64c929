//! `inspect` on a failing disk; and what `verify`, `replay` and `list` say of records.

#![cfg(unix)]

use std::fs;
use std::path::{Path, PathBuf};

use fitledger::journal::{Hash, Moment, encode, verify};
use serde_json::Value;

use crate::support::program::{Shop, lines_of};

const TYPED: [&str; 6] = [
    "inspect",
    "--json",
    "--callout",
    "20 k6",
    "--gauge",
    "typed",
];

/// The files of a session, the oldest first, found by what each says of the one before it.
fn files_of(shop: &Shop, newest: &Path) -> Vec<(PathBuf, Option<u64>)> {
    let mut files = vec![(newest.to_owned(), None)];
    loop {
        let text = fs::read_to_string(&files[0].0).unwrap();
        let first: Value = serde_json::from_str(text.lines().next().unwrap()).unwrap();
        if first["kind"] != "continuation_opened" {
            return files;
        }
        let name = first["body"]["file"].as_str().unwrap();
        let places = [shop.path("sessions"), shop.path("tmp/fitledger-sessions")];
        let found = places
            .iter()
            .map(|place| place.join(name))
            .find(|path| path.is_file());
        files.insert(0, (found.unwrap(), first["body"]["seq"].as_u64()));
    }
}

/// Everything that was sent is recorded in the files of the session, once and in order.
fn check_whole(shop: &Shop, newest: &Path, sent: &[String]) -> usize {
    let files = files_of(shop, newest);
    let verified = shop.verified(newest);
    assert_eq!(verified["files"], files.len(), "{verified}");
    assert_eq!(verified["state"], "sound", "{verified}");
    let mut values = Vec::new();
    for (file, until) in &files {
        verify(fs::read(file).unwrap().as_slice(), |sound| {
            if sound.line.kind == "reading_received"
                && until.is_none_or(|until| sound.line.seq <= until)
            {
                let body: Value = serde_json::from_str(sound.line.body).unwrap();
                values.push(body["value"].as_str().unwrap().to_owned());
            }
        })
        .unwrap();
    }
    assert_eq!(values, sent);
    files.len()
}

#[test]
fn a_file_that_may_not_grow_is_told_and_the_session_goes_on_in_another() {
    let shop = Shop::new();
    let sent: Vec<String> = (0..60).map(|at| format!("20.{:03}", 2 + at % 14)).collect();
    let input = sent.join("\n") + "\n";
    let line = "ulimit -f 16; exec \"$FITLEDGER\" inspect --json --callout '20 k6' --gauge typed";
    let answer = shop.shell(line, &input);
    assert_eq!(answer.code, 3, "{}", answer.told);
    assert!(answer.text.contains("NOT RECORDED"), "{}", answer.text);
    let told: Vec<&Value> = answer
        .lines
        .iter()
        .filter(|line| line["verdict"].is_string())
        .collect();
    let values: Vec<&str> = told
        .iter()
        .map(|line| line["value"].as_str().unwrap())
        .collect();
    assert_eq!(values, sent);
    let newest = PathBuf::from(answer.lines.last().unwrap()["journal"].as_str().unwrap());
    assert!(check_whole(&shop, &newest, &sent) > 1);
}

#[test]
fn when_its_folder_is_gone_the_session_goes_on_elsewhere_and_is_found_there() {
    let shop = Shop::new();
    let mut running = shop.start(&TYPED);
    running.type_text("20.003\n");
    assert_eq!(running.next()["verdict"], "GO");
    fs::rename(shop.path("sessions"), shop.path("away")).unwrap();
    running.type_text("20.004\n");
    running.type_text("20.005\n");
    let mut said = vec![running.next()];
    while said.last().unwrap()["value"] != "20.005" {
        said.push(running.next());
    }
    assert_eq!(said[0]["error"]["code"], "not_recorded", "{said:?}");
    assert_eq!(said[1]["input"], "20.004", "the value is shown: {said:?}");
    let answer = running.ended();
    assert_eq!(answer.code, 3);
    assert!(
        answer.told.contains("Recording goes on in"),
        "{}",
        answer.told
    );
    let newest = PathBuf::from(answer.lines.last().unwrap()["journal"].as_str().unwrap());
    assert!(newest.starts_with(shop.path("tmp")), "{newest:?}");
    fs::rename(shop.path("away"), shop.path("sessions")).unwrap();
    let sent = ["20.003", "20.004", "20.005"].map(str::to_owned);
    assert_eq!(check_whole(&shop, &newest, &sent), 2);
    let listed = shop.run(&["list", "--json"], "");
    assert_eq!(listed.lines.len(), 1, "{}", listed.text);
    assert_eq!(
        (&listed.lines[0]["readings"], &listed.lines[0]["state"]),
        (&3.into(), &"sound".into())
    );
}

#[test]
fn a_full_disk_is_told_and_no_reading_is_lost() {
    let shop = Shop::new();
    fs::create_dir(shop.path("sessions")).unwrap();
    let probe = shop.shell(
        "unshare -rm sh -c 'mount -t tmpfs -o size=16k none sessions'",
        "",
    );
    if probe.code != 0 {
        println!(
            "skipped: no file system can be mounted here: {}",
            probe.told
        );
        return;
    }
    let sent: Vec<String> = (0..60).map(|at| format!("20.{:03}", 2 + at % 14)).collect();
    let line = "unshare -rm sh -c 'mount -t tmpfs -o size=16k none sessions && \"$FITLEDGER\" inspect --json \
                --callout \"20 k6\" --gauge typed; code=$?; cp sessions/* copied; exit $code'";
    fs::create_dir(shop.path("copied")).unwrap();
    let answer = shop.shell(line, &(sent.join("\n") + "\n"));
    assert_eq!(answer.code, 3, "{}", answer.told);
    fs::remove_dir(shop.path("sessions")).unwrap();
    fs::rename(shop.path("copied"), shop.path("sessions")).unwrap();
    let newest = PathBuf::from(answer.lines.last().unwrap()["journal"].as_str().unwrap());
    assert!(newest.starts_with(shop.path("tmp")), "{newest:?}");
    assert!(check_whole(&shop, &newest, &sent) > 1);
}

#[test]
fn a_workspace_that_cannot_be_written_is_told_and_nothing_is_measured() {
    let shop = Shop::new();
    fs::write(shop.path("sessions"), "a file, not a folder").unwrap();
    let answer = shop.run(&TYPED, "20.008\n");
    assert_eq!((answer.code, answer.lines.len()), (3, 1), "{}", answer.text);
    assert!(
        answer.lines[0]["error"]["hint"].is_string(),
        "{}",
        answer.text
    );
}

fn collection() -> Vec<PathBuf> {
    let place = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/journals");
    let folders =
        ["good", "torn", "tampered"].map(|folder| fs::read_dir(place.join(folder)).unwrap());
    let mut all: Vec<PathBuf> = folders
        .into_iter()
        .flatten()
        .map(|entry| entry.unwrap().path())
        .collect();
    all.retain(|path| path.extension().is_some_and(|end| end == "jsonl"));
    all.sort();
    all
}

#[test]
fn every_damage_of_the_collection_is_told_in_its_place_and_the_rest_is_printed() {
    let shop = Shop::new();
    for path in collection() {
        let expected = fs::read_to_string(path.with_extension("expected.json")).unwrap();
        let expected: Value = serde_json::from_str(&expected).unwrap();
        let (case, content) = (path.display().to_string(), fs::read(&path).unwrap());
        let shown = shop.run(&["replay", "--json", &case], "");
        let is_error = |line: &&Value| line["error"].is_object();
        let errors: Vec<&Value> = shown.lines.iter().filter(is_error).collect();
        assert_eq!(shown.code, i32::from(!errors.is_empty()), "{case}");
        let mut lines = 0;
        verify(content.as_slice(), |_| lines += 1).unwrap();
        let stored = shown
            .text
            .lines()
            .filter(|line| line.starts_with("{\"v\":"));
        assert!(stored.count() >= lines, "{case}");
        for error in &errors {
            assert!(error["error"]["offset"].as_u64().is_some(), "{case}");
        }
        // `verify` says at least what the journal's own reader finds, at the same places.
        let verified = shop.run(&["verify", "--json", &case], "");
        let found = verified.lines[0]["findings"].as_array().unwrap();
        for wanted in expected["findings"].as_array().unwrap() {
            let same = |one: &&Value| {
                ["kind", "line", "offset", "length"]
                    .iter()
                    .all(|key| one[*key] == wanted[*key])
            };
            assert!(
                found.iter().any(|one| same(&one)),
                "{case}: {wanted} in {found:?}"
            );
        }
        assert_eq!(verified.lines[0]["head"], expected["head"], "{case}");
        assert_eq!(fs::read(&path).unwrap(), content, "{case}: was changed");
    }
}

/// The journal with one body changed, and every hash from there on made new.
pub(crate) fn forged(journal: &Path, kind: &str, change: impl Fn(&str) -> String) -> Vec<u8> {
    let bytes = fs::read(journal).unwrap();
    let (mut out, mut prev, mut left) = (Vec::new(), Hash::GENESIS, 1);
    verify(bytes.as_slice(), |sound| {
        let line = &sound.line;
        let mut body = line.body.to_owned();
        if line.kind == kind && left > 0 && change(&body) != body {
            left -= 1;
            body = change(&body);
        }
        let moment = Moment {
            time: line.time.parse().unwrap(),
            mono_ms: line.mono_ms,
        };
        prev = encode(&mut out, line.seq, moment, line.kind, &body, prev).unwrap();
    })
    .unwrap();
    assert_eq!(left, 0, "nothing was forged in {kind}");
    out
}

#[test]
fn a_verdict_changed_and_hashed_anew_is_found_when_it_is_derived_again() {
    let shop = Shop::new();
    let answer = shop.run(
        &TYPED,
        "20.030\n20.008\nv again\n20.009\nc\n20.100\n20.008\n",
    );
    assert_eq!(answer.code, 1, "{}", answer.text);
    let journal = shop.journal();
    let forgery = shop.path("forged.jsonl");
    let swap = |from: &'static str, to: &'static str| move |body: &str| body.replacen(from, to, 1);
    let voided = lines_of(&journal, "reading_voided")[0]["body"]["reading"].to_string();
    let last = lines_of(&journal, "reading_received").last().unwrap()["seq"].to_string();
    for (kind, change, finding) in [
        (
            "verdict_given",
            Box::new(swap("NO-GO", "GO")) as Box<dyn Fn(&str) -> String>,
            "verdict_differs",
        ),
        (
            "verdict_given",
            Box::new(swap("metal_on", "inside")),
            "verdict_differs",
        ),
        (
            "verdict_given",
            Box::new(swap("20.015", "20.035")),
            "verdict_differs",
        ),
        (
            "verdict_given",
            Box::new(swap("\"value_at_20\":\"20.03", "\"value_at_20\":\"20.01")),
            "verdict_differs",
        ),
        (
            "reading_received",
            Box::new(swap("20.030", "20.010")),
            "verdict_differs",
        ),
        (
            "cutting_noted",
            Box::new(swap("\"left\":\"0.0", "\"left\":\"0.1")),
            "verdict_differs",
        ),
        (
            "verdict_given",
            Box::new(move |body: &str| {
                body.replace(
                    &format!("\"reading\":{last}"),
                    &format!("\"reading\":{voided}"),
                )
            }),
            "event_misfit",
        ),
    ] {
        fs::write(&forgery, forged(&journal, kind, change)).unwrap();
        let answer = shop.run(&["verify", "--json", forgery.to_str().unwrap()], "");
        let line = &answer.lines[0];
        assert_eq!(
            (answer.code, &line["state"]),
            (1, &"damaged".into()),
            "{kind}: {line}"
        );
        let found = line["findings"].as_array().unwrap();
        assert!(
            found.iter().any(|one| one["kind"] == finding),
            "{kind}: {line}"
        );
        assert!(
            line["findings"][0]["offset"].as_u64().unwrap() > 0,
            "{line}"
        );
    }
    // Other tables than those of the record are worth a word, no more.
    let digest = |body: &str| {
        let at = body.find("\"tables\":\"").unwrap() + 10;
        format!("{}{}{}", &body[..at], "0".repeat(64), &body[at + 64..])
    };
    fs::write(&forgery, forged(&journal, "session_opened", digest)).unwrap();
    let line = shop.verified(&forgery);
    let finding = &line["findings"][0];
    assert_eq!(
        (&finding["kind"], &finding["notice"]),
        (&"tables_differ".into(), &true.into())
    );
    assert_eq!(line["state"], "sound");
}

#[test]
fn what_cannot_be_read_is_told_for_each_and_the_others_are_checked() {
    let shop = Shop::new();
    shop.run(&TYPED, "20.008\n");
    let journal = shop.journal().display().to_string();
    let answer = shop.run(&["verify", "--json", "none.jsonl", &journal], "");
    assert_eq!(answer.lines[0]["error"]["code"], "journal_not_read");
    assert_eq!(
        (answer.lines[1]["state"].as_str(), answer.code),
        (Some("sound"), 3)
    );
    assert_eq!(shop.run(&["replay", "--json", "none.jsonl"], "").code, 3);
    // A name alone is not looked for in other folders.
    let name = shop.journal().file_name().unwrap().to_owned();
    assert_eq!(
        shop.run(&["verify", "--json", name.to_str().unwrap()], "")
            .code,
        3
    );
    let empty = Shop::new();
    let none = empty.run(&["list", "--json"], "");
    assert_eq!((none.lines.len(), none.code), (0, 0));
}
