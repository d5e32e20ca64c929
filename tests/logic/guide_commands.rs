//! Every command of the guide is run, page by page in the order in which it stands there, in the
//! workspace of a reader who has written the files that the guide shows; and what the guide shows
//! as an answer is in the answer. See `support/guide.rs` for what a page tells its test.
#![cfg(unix)]

use std::fs;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use crate::support::guide::{PORT, Piece, all, pieces};
use crate::support::program::{FarEnd, Shop};

/// A gauge that is played is read by then, however busy the machine is.
const PATIENCE: Duration = Duration::from_secs(60);

/// Where commands find the program, the sources' root, and no display.
fn prefix() -> String {
    let root = env!("CARGO_MANIFEST_DIR");
    format!(
        "PATH=\"$PWD/bin:$PATH\"; export PATH; ROOT='{root}'; \
         unset DISPLAY WAYLAND_DISPLAY WAYLAND_SOCKET; COLUMNS=80; export COLUMNS\n"
    )
}

/// A workspace with every file that the guide shows.
fn workspace() -> Shop {
    let shop = Shop::in_memory();
    for folder in ["bin", "plans", "sessions"] {
        fs::create_dir(shop.path(folder)).unwrap();
    }
    let program = env!("CARGO_BIN_EXE_fitledger");
    std::os::unix::fs::symlink(program, shop.path("bin/fitledger")).unwrap();
    for (_, pieces) in all() {
        for piece in pieces {
            if let Some(name) = piece.said("file") {
                assert!(!Path::new(&shop.path(name)).exists(), "{name} twice");
                fs::write(shop.path(name), piece.text).unwrap();
            }
        }
    }
    shop
}

/// Runs what stands on a page; gives the number of commands.
fn run(text: &str) -> usize {
    let shop = workspace();
    let mut count = 0;
    let mut answered = String::new();
    for piece in pieces(text) {
        match piece.kind.as_str() {
            "before" => {
                let done = shop.shell(&format!("set -e; {}{}", prefix(), piece.text), "");
                assert_eq!(done.code, 0, "{}\n{}\n{}", piece.text, done.text, done.told);
            }
            "sh" => {
                answered.clear();
                for (at, command) in piece.commands().enumerate() {
                    let done = shop.shell(&(prefix() + command), &piece.typed(at));
                    let said = format!("{}\n{}\n", done.text, done.told);
                    assert_eq!(done.code, piece.exit(at), "{command}\n{said}");
                    assert!(!said.contains("panicked"), "{command}\n{said}");
                    answered += &said;
                    count += 1;
                    if let Some(value) = piece.said("port").filter(|_| command.contains(PORT)) {
                        with_a_gauge(&shop, command, value);
                    }
                }
            }
            "text" => {
                let lines: Vec<&str> = answered.lines().map(str::trim_end).collect();
                for line in piece.text.lines().filter(|line| !line.trim().is_empty()) {
                    assert!(lines.contains(&line.trim_end()), "{line}\n{answered}");
                }
            }
            "bench" => typed_at_the_bench(&shop, &piece),
            _ => assert!(piece.said("file").is_some(), "{piece:?}"),
        }
    }
    count
}

/// Runs a command once more with a gauge at the port, which sends its value until it is shown;
/// then Ctrl-C ends it, cleanly.
fn with_a_gauge(shop: &Shop, command: &str, value: &str) {
    let mut far = FarEnd::new();
    let command = command.replace(PORT, &far.path);
    let running = shop.start_shell(&format!("{}exec {command}", prefix()));
    let shown = Arc::new(AtomicBool::new(false));
    let (ended, frame) = (Arc::clone(&shown), format!("{value}\r"));
    let hand = std::thread::spawn(move || {
        // What comes before the port is open is lost.
        while !ended.load(Ordering::Relaxed) {
            far.send(frame.as_bytes());
            std::thread::sleep(Duration::from_millis(100));
        }
        far
    });
    let is_read = |line: &str| line.contains(value) && (line.contains("mm") || line.contains("u "));
    let since = Instant::now();
    loop {
        let line = running.next_text();
        if is_read(&line) {
            break;
        }
        assert!(since.elapsed() < PATIENCE, "{command}: {line}");
    }
    shown.store(true, Ordering::Relaxed);
    let _open_until_it_has_ended = hand.join().unwrap();
    running.signal("-INT");
    let ended = running.ended();
    assert!([0, 1].contains(&ended.code), "{command}: {}", ended.told);
}

/// Every line is one that the bench understands: none is taken for a size that is wrongly written.
fn typed_at_the_bench(shop: &Shop, piece: &Piece) {
    for line in piece.text.lines() {
        let typed = line.split("   ").next().unwrap();
        let typed = typed.split("  ").next().unwrap();
        let plan = piece.said("plan").unwrap();
        let session = [
            "inspect",
            "--plan",
            plan,
            "--gauge",
            "typed",
            "--operator",
            "Ada",
        ];
        let done = shop.run(&session, &format!("20.030\n{typed}\nq\n"));
        assert!(
            !done.told.contains("does not belong"),
            "{typed}: {}",
            done.told
        );
    }
    let session = [
        "inspect",
        "--plan",
        piece.said("plan").unwrap(),
        "--gauge",
        "typed",
    ];
    let done = shop.run(&session, "releaze\nq\n");
    assert!(done.told.contains("does not belong"), "{}", done.told);
}

macro_rules! pages {
    ($($name:ident $least:literal)*) => {
        $(
            #[test]
            fn $name() {
                let page = fitledger::guide::page(stringify!($name)).unwrap();
                let count = run(page.text);
                assert!(count >= $least, "{count} commands");
            }
        )*

        #[test]
        fn every_page_is_run() {
            let run = [$(stringify!($name)),*];
            let names: Vec<&str> = all().map(|(page, _)| page.name).collect();
            let without = ["cautions", "platforms"];
            let wanted = names.iter().filter(|name| !without.contains(*name));
            assert!(wanted.eq(run.iter()), "{names:?}");
            for page in without {
                let page = fitledger::guide::page(page).unwrap();
                assert_eq!(pieces(page.text), []);
            }
        }
    };
}

pages! {
    start 8
    bench 6
    plan 4
    gauges 13
    adapters 7
    threads 14
    form 4
    pairs 14
    batch 8
    records 10
    reports 6
    window 2
    verdicts 7
    trouble 11
    scripts 10
}

#[test]
fn a_page_that_is_wrong_is_found_out() {
    let wrong = [
        "```sh\nfitledger limits '20 q6'\n```\n",
        "```sh exit=1\nfitledger limits '20 k6'\n```\n",
        "```sh\nfitledger limits '20 k6'\n```\n\n```text\n20 k6 is a hole\n```\n",
        "<!-- before\nfalse\n-->\n",
        "```\nfitledger limits '20 k6'\n```\n",
    ];
    for page in wrong {
        let run = std::panic::catch_unwind(|| run(page));
        assert!(run.is_err(), "{page}");
    }
    assert_eq!(
        run("```sh exit=0,2\nfitledger limits '20 k6'\nfitledger limits q\n```\n"),
        2
    );
}

/// Lengths of lines, code and single words apart.
fn widest(text: &str) -> usize {
    let lines = text.lines().filter(|line| !line.starts_with("    "));
    lines.map(|line| line.chars().count()).max().unwrap_or(0)
}

#[test]
fn the_command_lists_the_pages_and_prints_one_in_the_width_of_the_screen() {
    let shop = Shop::in_memory();
    let list = shop.shell("COLUMNS=72 \"$FITLEDGER\" guide", "");
    assert_eq!((list.code, list.told.as_str()), (0, ""));
    assert!(widest(&list.text) <= 72, "{}", list.text);
    for page in fitledger::guide::pages() {
        let row = format!("{:<10} ", page.name);
        assert!(
            list.text.lines().any(|line| line.starts_with(&row)),
            "{}",
            page.name
        );
    }
    assert!(list.text.contains("fitledger guide start"));
    for width in [50, 80] {
        let line = format!("COLUMNS={width} \"$FITLEDGER\" guide RECORDS");
        let page = shop.shell(&line, "");
        assert_eq!((page.code, page.told.as_str()), (0, ""));
        assert!(
            page.text
                .starts_with("Records and decisions\n=====================\n")
        );
        assert!(
            page.text.contains("\n    fitledger list\n"),
            "{}",
            page.text
        );
        assert!(widest(&page.text) <= width, "{}", page.text);
    }
    let json = shop.run(&["guide", "--json"], "");
    let names = json.lines.iter().map(|line| line["page"].as_str().unwrap());
    assert!(names.eq(fitledger::guide::pages().iter().map(|page| page.name)));
    assert!(
        json.lines
            .iter()
            .all(|line| line.get("text").is_none() && line["about"].is_string())
    );
    let one = shop.run(&["guide", "--json", "cautions"], "");
    assert_eq!(one.lines[0]["title"], "Cautions");
    assert!(one.lines[0]["text"].as_str().unwrap().contains("chuck key"));
    // What only tests are told stands in the text of no page.
    for page in fitledger::guide::pages() {
        let line = shop.shell(
            &format!("COLUMNS=60 \"$FITLEDGER\" guide --json {}", page.name),
            "",
        );
        assert_eq!(line.lines[0]["text"], page.told(80), "{}", page.name);
    }
}

#[test]
fn what_the_command_cannot_do_is_said_in_sentences() {
    let shop = Shop::in_memory();
    let near = shop.run(&["guide", "gauge"], "");
    assert_eq!((near.code, near.text.as_str()), (2, ""));
    for said in [
        "no page “gauge”",
        "Nearest is “gauges”",
        "fitledger guide lists the pages",
    ] {
        assert!(near.told.contains(said), "{}", near.told);
    }
    let json = shop.run(&["guide", "--json", "\u{1b}[31mx"], "");
    assert_eq!(
        (json.code, &json.lines[0]["error"]["code"]),
        (2, &"no_such_page".into())
    );
    assert!(
        !json.lines[0]["error"]["message"]
            .as_str()
            .unwrap()
            .contains('\u{1b}')
    );
    for wrong in [
        &["guide", "--html"][..],
        &["guide", "--out", "g.html"],
        &["guide", "start", "--html", "--out", "g.html"],
        &["guide", "--html", "--out", "g.txt"],
    ] {
        let answer = shop.run(wrong, "");
        assert_eq!((answer.code, answer.text.as_str()), (2, ""), "{wrong:?}");
    }
    let nowhere = shop.run(&["guide", "--html", "--out", "nowhere/g.html"], "");
    assert_eq!(nowhere.code, 3, "{}", nowhere.told);
}

#[test]
fn the_html_is_written_whole_and_replaces_nothing_unless_that_is_asked() {
    let shop = Shop::in_memory();
    fs::write(shop.path("g.html"), "mine").unwrap();
    let kept = shop.run(&["guide", "--html", "--out", "g.html"], "");
    assert_eq!(kept.code, 2, "{}", kept.told);
    assert_eq!(fs::read_to_string(shop.path("g.html")).unwrap(), "mine");
    let line = ["guide", "--html", "--out", "g.html", "--replace", "--json"];
    let written = shop.run(&line, "");
    assert_eq!(
        (written.code, &written.lines[0]["guide"]),
        (0, &"g.html".into())
    );
    let html = fs::read_to_string(shop.path("g.html")).unwrap();
    assert_eq!(
        html,
        fitledger::report::guide_html(fitledger::guide::pages())
    );
}

#[test]
fn completions_know_the_pages() {
    let shop = Shop::in_memory();
    let script = |shell: &str| shop.run(&["completions", shell], "").text;
    let names: Vec<&str> = fitledger::guide::pages()
        .iter()
        .map(|page| page.name)
        .collect();
    assert!(script("bash").contains(&format!("--help {}\"", names.join(" "))));
    let (zsh, fish) = (script("zsh"), script("fish"));
    for page in fitledger::guide::pages() {
        assert!(
            zsh.contains(&format!("{}\\:\"{}\"", page.name, page.title)),
            "{}",
            page.name
        );
        let line = format!(
            "subcommand guide\" -f -a \"{}\" -d '{}'",
            page.name, page.title
        );
        assert!(fish.contains(&line), "{line}");
    }
}
