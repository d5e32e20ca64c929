//! README.md and DEVELOPERS.md say what is true: the files they name are there, every file of the
//! source is named, and the command lines are taken by the program.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use clap::Parser;
use fitledger::command::Arguments;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn text(name: &str) -> String {
    fs::read_to_string(root().join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn files_below(folder: &Path, found: &mut Vec<String>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files_below(&path, found);
        } else {
            let inside = path.strip_prefix(root()).unwrap();
            found.push(inside.to_string_lossy().replace('\\', "/"));
        }
    }
}

/// What stands between single backquotes, outside code blocks.
fn quoted(document: &str) -> Vec<String> {
    let mut all = Vec::new();
    let mut in_block = false;
    for line in document.lines() {
        if line.starts_with("```") {
            in_block = !in_block;
        } else if !in_block {
            all.extend(line.split('`').skip(1).step_by(2).map(str::to_owned));
        }
    }
    all
}

/// The lines of code blocks that carry no language, or `sh`.
fn shell_lines(document: &str) -> Vec<&str> {
    let mut lines = Vec::new();
    let mut block = None;
    for line in document.lines() {
        match (line.strip_prefix("```"), block) {
            (Some(language), None) => block = Some(language),
            (Some(_), Some(_)) => block = None,
            (None, Some("" | "sh")) => lines.push(line),
            (None, _) => {}
        }
    }
    assert!(block.is_none(), "a code block does not end");
    lines
}

/// The words of a command line as a shell splits them; only single quotes are known.
fn words(line: &str) -> Vec<String> {
    let mut words = Vec::new();
    for (at, piece) in line.split('\'').enumerate() {
        if at % 2 == 1 {
            words.push(piece.to_owned());
        } else {
            words.extend(piece.split_whitespace().map(str::to_owned));
        }
    }
    words
}

#[test]
fn every_file_of_the_source_is_named_for_developers() {
    let named: BTreeSet<String> = quoted(&text("DEVELOPERS.md")).into_iter().collect();
    let mut files = Vec::new();
    files_below(&root().join("src"), &mut files);
    assert!(files.len() > 100, "only {} files", files.len());
    let missing: Vec<&String> = files.iter().filter(|file| !named.contains(*file)).collect();
    assert!(missing.is_empty(), "DEVELOPERS.md lacks {missing:?}");
}

#[test]
fn every_file_that_a_document_names_is_there() {
    let beginnings = [
        "src/",
        "tests/",
        "tolerances/",
        "benches/",
        "fuzz/",
        ".ci/",
        "LICENSE-",
    ];
    for document in ["README.md", "DEVELOPERS.md"] {
        let mut named = 0;
        for name in quoted(&text(document)) {
            // Patterns and placeholders (`*`, NAME) stand for many files or the reader's own.
            let is_file = beginnings.iter().any(|start| name.starts_with(start))
                && !name.contains(['*', ' '])
                && !name.contains("NAME");
            // `tolerances/` and what begins with it may be the workspace's, in the README.
            if is_file {
                named += 1;
                assert!(root().join(&name).exists(), "{document} names {name}");
            }
        }
        assert!(named > 0, "{document} names no file");
    }
    for link in ["LICENSE-MIT", "LICENSE-APACHE", "DEVELOPERS.md"] {
        assert!(text("README.md").contains(&format!("]({link})")), "{link}");
    }
}

#[test]
fn the_readme_begins_with_the_job_the_verdicts_and_the_two_commands() {
    let readme = text("README.md");
    let mut paragraphs = readme.split("\n\n").filter(|p| !p.starts_with('#'));
    let first = paragraphs.next().unwrap();
    assert!(!first.trim().is_empty());
    for wanted in [
        "GO",
        "NO-GO",
        "DOUBT",
        "CUTTING",
        "still held",
        "inspection record",
        "not** computed yet",
        "`cargo run --release`",
        "`cargo test`",
    ] {
        assert!(first.contains(wanted), "the first paragraph lacks {wanted}");
    }
}

#[test]
fn every_command_line_of_the_documents_is_taken_by_the_program() {
    let mut read = 0;
    for document in ["README.md", "DEVELOPERS.md"] {
        let document = text(document);
        for line in shell_lines(&document) {
            for command in line.split('|').map(str::trim) {
                // What is read from a file is no argument.
                let command = command.split(" < ").next().unwrap_or(command);
                if command.starts_with("fitledger ") {
                    read += 1;
                    let parsed = Arguments::try_parse_from(words(command));
                    assert!(parsed.is_ok(), "{command}: {}", parsed.unwrap_err());
                }
            }
        }
    }
    let readme = quoted(&text("README.md"));
    let inline = readme
        .iter()
        .filter(|piece| piece.starts_with("fitledger "));
    for command in inline.filter(|piece| !piece.contains("--help")) {
        read += 1;
        let parsed = Arguments::try_parse_from(words(command));
        assert!(parsed.is_ok(), "{command}: {}", parsed.unwrap_err());
    }
    assert!(read >= 15, "only {read} command lines");
}

#[test]
fn plans_and_registers_of_the_readme_are_read_without_a_fault() {
    let readme = text("README.md");
    let mut blocks = readme.split("```toml\n").skip(1);
    let mut next = || blocks.next().unwrap().split("```").next().unwrap();
    let register = fitledger::gauge::Register::parse(next(), "gauges.toml").unwrap();
    assert_eq!(register.gauges().len(), 2);
    let tables = fitledger::tolerance::Tables::standard();
    let plan = fitledger::plan::Plan::parse(next(), "bush.toml", tables).unwrap();
    assert_eq!(plan.order().len(), 2);
    let plan = fitledger::plan::Plan::parse(next(), "valve.toml", tables).unwrap();
    let elements = plan
        .order()
        .into_iter()
        .filter_map(|one| one.id.element.clone());
    let elements: Vec<_> = elements.collect();
    let internal = ["minor", "go_plug", "no_go_plug", "full_thread"];
    let external = ["major", "wires", "go_ring", "no_go_ring"];
    let expected = [internal, external].concat();
    assert!(
        elements.iter().map(AsRef::as_ref).eq(expected),
        "{elements:?}"
    );
    // The fit of `press` is run in tests/logic/press.rs.
    assert!(next().starts_with("fit = "));
    assert!(blocks.next().is_none(), "a block that no test reads");
}

#[test]
fn every_dependency_is_listed_with_its_version() {
    let developers = text("DEVELOPERS.md");
    let manifest: toml::Table = toml::from_str(&text("Cargo.toml")).unwrap();
    let lock: toml::Table = toml::from_str(&text("Cargo.lock")).unwrap();
    let unix = &manifest["target"]["cfg(unix)"]["dependencies"];
    let tables = [
        &manifest["dependencies"],
        &manifest["dev-dependencies"],
        unix,
    ];
    let names = tables
        .into_iter()
        .flat_map(|t| t.as_table().unwrap().keys());
    for name in names {
        let locked = lock["package"].as_array().unwrap().iter();
        let versions: Vec<&str> = locked
            .filter(|package| package["name"].as_str() == Some(name))
            .map(|package| {
                package["version"]
                    .as_str()
                    .unwrap()
                    .split('+')
                    .next()
                    .unwrap()
            })
            .collect();
        let listed = |version: &&str| developers.contains(&format!("| `{name}` | {version} |"));
        assert!(versions.iter().any(listed), "{name} {versions:?}");
    }
}
