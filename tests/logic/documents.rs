//! README.md and DEVELOPERS.md say what is true: the files they name are there, every file of the
//! source is named, and the command lines are taken by the program. The guide's are run, by
//! `guide_commands.rs`.

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
    let pages = fitledger::guide::pages().iter();
    let pages: Vec<String> = pages
        .map(|page| format!("src/guide/{}.md", page.name))
        .collect();
    let pages = pages.iter().map(String::as_str);
    let mut named = 0;
    for document in ["README.md", "DEVELOPERS.md"].into_iter().chain(pages) {
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
    }
    assert!(named > 400, "only {named} files are named");
    for link in ["LICENSE-MIT", "LICENSE-APACHE", "DEVELOPERS.md"] {
        assert!(text("README.md").contains(&format!("]({link})")), "{link}");
    }
}

/// The pictures of the README are accepted ones: a test fails when the window looks otherwise, and
/// the command that accepts the new look writes them anew.
#[test]
fn pictures_of_the_readme_are_those_that_tests_compare() {
    let readme = text("README.md");
    let marks = readme.match_indices("![");
    let pictures: Vec<&str> = marks
        .map(|(at, _)| {
            let rest = readme[at..].split_once("](").unwrap().1;
            rest.split_once(')').unwrap().0
        })
        .collect();
    let different: BTreeSet<&str> = pictures.iter().copied().collect();
    assert!(pictures.len() >= 2 && different.len() == pictures.len());
    let mut tests = Vec::new();
    files_below(&root().join("tests/window"), &mut tests);
    let code: String = tests
        .iter()
        .filter(|name| name.ends_with(".rs"))
        .map(|name| text(name))
        .collect();
    for picture in pictures {
        let name = picture.strip_prefix("tests/window/pictures/").unwrap();
        let name = name.strip_suffix(".png").unwrap();
        assert!(root().join(picture).exists(), "{picture}");
        assert!(
            code.contains(&format!("\"{name}\"")),
            "no test compares {name}"
        );
        let said = readme.split(&format!("]({picture})")).next().unwrap();
        let said = said.rsplit("![").next().unwrap();
        assert!(
            said.len() > 20,
            "{name} says nothing to those who do not see it"
        );
    }
}

/// Pictures are kept for ever: each is small, and so are all together.
#[test]
fn accepted_pictures_are_few_and_small() {
    let (mut count, mut bytes) = (0, 0);
    for entry in std::fs::read_dir(root().join("tests/window/pictures")).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|end| end == "png") {
            let size = path.metadata().unwrap().len();
            assert!(size < 260_000, "{} has {size} bytes", path.display());
            (count, bytes) = (count + 1, bytes + size);
        }
    }
    assert!(count >= 40, "only {count}");
    assert!(bytes < 8_000_000, "{bytes} bytes in {count} pictures");
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
        "whole assembly",
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
    // Most command lines stand in the guide.
    assert!(read >= 6, "only {read} command lines");
}

/// One page: what stands elsewhere is in the guide.
#[test]
fn the_readme_is_one_page_and_leads_to_every_page_of_the_guide() {
    let readme = text("README.md");
    let lines = readme.lines().count();
    assert!(lines <= 110, "{lines} lines");
    for page in fitledger::guide::pages() {
        let link = format!("[{0}](src/guide/{0}.md)", page.name);
        assert!(readme.contains(&link), "{link}");
    }
    // What is counted in presses, and the cautions, are alike in both.
    let start = text("src/guide/start.md");
    let rows: Vec<&str> = readme
        .lines()
        .filter(|line| line.starts_with("| "))
        .collect();
    let paths = rows
        .iter()
        .position(|row| row.starts_with("| path"))
        .unwrap();
    for row in &rows[paths..] {
        assert!(start.lines().any(|line| line == *row), "{row}");
    }
    assert_eq!(rows[paths..].len(), 6);
    let cautions = text("src/guide/cautions.md");
    let (_, cautions) = cautions.split_once("\n\n").unwrap();
    assert!(readme.contains(cautions) && cautions.lines().count() > 10);
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
