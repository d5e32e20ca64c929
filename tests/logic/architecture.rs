//! The house rules, read from the source: who may use whom, what is banned where, how long things
//! may be, and that every fixture is read by a test.
//!
//! The walls are text: they catch habit, not malice.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Which rooms each room may use. A room always may use itself.
const WALLS: [(&str, &[&str]); 15] = [
    ("quantity", &[]),
    ("guide", &[]),
    ("statistics", &[]),
    ("tolerance", &["quantity"]),
    ("gauge", &["quantity"]),
    ("material", &["quantity"]),
    (
        "measure",
        &["quantity", "statistics", "tolerance", "gauge", "material"],
    ),
    (
        "pair",
        &[
            "quantity",
            "statistics",
            "tolerance",
            "gauge",
            "material",
            "measure",
        ],
    ),
    (
        "plan",
        &["quantity", "statistics", "tolerance", "gauge", "material"],
    ),
    ("wire", &["quantity", "gauge"]),
    ("journal", JOURNAL_USES),
    ("session", SESSION_USES),
    ("report", REPORT_USES),
    ("command", EDGE_USES),
    ("window", EDGE_USES),
];
const JOURNAL_USES: &[&str] = &[
    "quantity",
    "statistics",
    "tolerance",
    "gauge",
    "material",
    "measure",
    "pair",
    "plan",
    "wire",
];
const SESSION_USES: &[&str] = &[
    "quantity",
    "statistics",
    "tolerance",
    "gauge",
    "material",
    "measure",
    "pair",
    "plan",
    "wire",
    "journal",
];
const REPORT_USES: &[&str] = &[
    "quantity",
    "statistics",
    "tolerance",
    "gauge",
    "material",
    "measure",
    "pair",
    "plan",
    "wire",
    "journal",
    "session",
    "guide",
];
const EDGE_USES: &[&str] = &[
    "quantity",
    "statistics",
    "tolerance",
    "gauge",
    "material",
    "measure",
    "pair",
    "plan",
    "wire",
    "journal",
    "session",
    "report",
    "guide",
];

/// The rooms that must stay plain functions.
const PURE: [&str; 10] = [
    "quantity",
    "guide",
    "statistics",
    "tolerance",
    "gauge",
    "material",
    "measure",
    "pair",
    "plan",
    "wire",
];

/// The only files that may touch the outside world: disk, clock, threads, environment.
const OUTSIDE: [&str; 12] = [
    "src/wire/port.rs",
    "src/journal/store.rs",
    "src/session/runner.rs",
    // How the workspace's files are read within a bound and written whole.
    "src/session/plain_files.rs",
    "src/session/workspace.rs",
    // The journals' status and the cache: the workspace's files beside those that people write.
    "src/session/workspace_files.rs",
    // Plan files, which are read, replaced and watched.
    "src/session/workspace_plans.rs",
    "src/window/app.rs",
    // For those who measure: when each frame was drawn, in a file that the environment names.
    "src/window/frame_log.rs",
    // Sounds are played by a program of the system: its start, its end, and files for it.
    "src/window/sound_player.rs",
    "src/main.rs",
    "src/command", // the whole room
];

/// A word, and the only files (or folders) where it may stand.
const FENCED: [(&str, &[&str]); 10] = [
    ("rustix::", &["src/journal/store.rs"]),
    ("tiny_skia::", &["src/report/chart_png.rs"]),
    ("pulldown_cmark", &["src/guide/parse.rs"]),
    ("tokio::", &["src/session/runner.rs"]),
    ("egui", &["src/window"]),
    ("eframe", &["src/window"]),
    ("serialport::", &["src/wire/port.rs"]),
    ("statrs::", &["src/statistics/special.rs"]),
    (
        "Serialize",
        &[
            "src/journal/format",
            "src/plan/format",
            "src/gauge/format",
            "src/wire/format",
            "src/session/catalogue/format",
            "src/command/output",
        ],
    ),
    (
        "Deserialize",
        &[
            "src/material/format",
            "src/journal/format",
            "src/plan/format",
            "src/gauge/format",
            "src/wire/format",
            "src/session/catalogue/format",
            "src/command/output",
        ],
    ),
];

const FILE_LINES_MAX: usize = 500;
const FUNCTION_LINES_MAX: usize = 70;
const COLUMNS_MAX: usize = 100;

struct Source {
    path: String,
    /// The text, without its `#[cfg(test)]` module at the end.
    code: String,
    whole: String,
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn files_below(folder: &Path, found: &mut Vec<PathBuf>) {
    let Ok(entries) = fs::read_dir(folder) else {
        return;
    };
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        if path.is_dir() {
            files_below(&path, found)
        } else {
            found.push(path)
        }
    }
}

fn relative(path: &Path) -> String {
    path.strip_prefix(root())
        .unwrap()
        .to_string_lossy()
        .replace('\\', "/")
}

fn sources() -> Vec<Source> {
    let mut found = Vec::new();
    files_below(&root().join("src"), &mut found);
    found
        .iter()
        .filter(|path| path.extension().is_some_and(|end| end == "rs"))
        .map(|path| {
            let whole = fs::read_to_string(path).unwrap();
            let code = whole
                .split("\n#[cfg(test)]\nmod ")
                .next()
                .unwrap()
                .to_owned();
            Source {
                path: relative(path),
                code,
                whole,
            }
        })
        .collect()
}

fn room_of(path: &str) -> Option<&str> {
    let rest = path.strip_prefix("src/")?;
    let room = rest.split('/').next()?.trim_end_matches(".rs");
    WALLS
        .iter()
        .any(|(known, _)| *known == room)
        .then_some(room)
}

/// The lines of code without comments and documentation.
fn code_lines(source: &Source) -> impl Iterator<Item = (usize, &str)> {
    source.code.lines().enumerate().filter_map(|(at, line)| {
        let trimmed = line.trim_start();
        (!trimmed.starts_with("//")).then(|| {
            let code = line.split(" // ").next().unwrap_or(line);
            (at + 1, code)
        })
    })
}

/// The rooms that a line names behind `crate::`, braces included.
fn named_rooms(code: &str) -> Vec<String> {
    let mut rooms = Vec::new();
    for piece in code.split("crate::").skip(1) {
        let piece = piece.trim_start();
        if let Some(list) = piece.strip_prefix('{') {
            for entry in list.split([',', '}', ';']) {
                rooms.push(entry.trim().split("::").next().unwrap_or("").to_owned());
            }
        } else {
            rooms.push(
                piece
                    .chars()
                    .take_while(|c| c.is_alphanumeric() || *c == '_')
                    .collect(),
            );
        }
    }
    rooms
}

fn assert_none(broken: &[String], rule: &str) {
    assert!(broken.is_empty(), "{rule}:\n{}", broken.join("\n"));
}

#[test]
fn every_room_uses_only_the_rooms_below_it() {
    let walls: BTreeMap<&str, &[&str]> = WALLS.into_iter().collect();
    let mut broken = Vec::new();
    for source in sources() {
        let Some(room) = room_of(&source.path) else {
            continue;
        };
        let code: String = code_lines(&source)
            .map(|(_, line)| line)
            .collect::<Vec<_>>()
            .join("\n");
        for named in named_rooms(&code) {
            let known = walls.contains_key(named.as_str());
            if known && named != room && !walls[room].contains(&named.as_str()) {
                broken.push(format!("{} uses {named}", source.path));
            }
        }
    }
    assert_none(&broken, "A room may use only the rooms below it");
}

#[test]
fn only_the_edges_touch_disk_clock_threads_and_environment() {
    let banned = [
        "std::fs",
        "std::net",
        "std::thread",
        "std::env",
        "std::process",
        "SystemTime",
        "Instant::",
        "std::io::stdin",
        "Timestamp::now",
        "Zoned::now",
        "File::",
        "println!",
        "eprintln!",
        "print!(",
    ];
    let mut broken = Vec::new();
    for source in sources() {
        if OUTSIDE.iter().any(|edge| source.path.starts_with(edge)) {
            continue;
        }
        for (number, line) in code_lines(&source) {
            for word in banned.iter().filter(|word| line.contains(**word)) {
                broken.push(format!("{}:{number} has {word}", source.path));
            }
        }
    }
    assert_none(&broken, "Only the named edge files touch the outside");
    for room in PURE {
        assert!(room_of(&format!("src/{room}.rs")).is_some());
    }
}

#[test]
fn each_fenced_library_stays_behind_its_fence() {
    let mut broken = Vec::new();
    for source in sources() {
        for (number, line) in code_lines(&source) {
            for (word, homes) in FENCED {
                let at_home = homes.iter().any(|home| source.path.starts_with(home));
                if has_word(line, word) && !at_home {
                    broken.push(format!("{}:{number} has {word}", source.path));
                }
            }
        }
    }
    assert_none(&broken, "A fenced library is named only behind its fence");
}

/// Whether a line names the word; a longer name that begins with it is another.
fn has_word(line: &str, word: &str) -> bool {
    let goes_on = |rest: &str| rest.starts_with(|c: char| c.is_alphanumeric() || c == '_');
    let is_path = word.ends_with(':');
    line.match_indices(word)
        .any(|(at, _)| is_path || !goes_on(&line[at + word.len()..]))
}

/// What is to be seen is decided apart from how it is painted, so that it can be tested by value.
#[test]
fn views_know_no_paint_and_painters_ask_nothing_of_the_trade() {
    let mut broken = Vec::new();
    let mut views = 0;
    let mut painters = 0;
    for source in sources() {
        let Some(file) = source.path.strip_prefix("src/window/") else {
            continue;
        };
        let is_view = file.starts_with("view")
            || file.ends_with("_view.rs")
            || ["desk", "press", "settings"]
                .iter()
                .any(|name| file.starts_with(name));
        let is_painter = file.ends_with("_ui.rs");
        views += usize::from(is_view);
        painters += usize::from(is_painter);
        for (number, line) in code_lines(&source) {
            let paints = is_view && line.contains("egui");
            let judges = is_painter
                && [
                    "crate::session",
                    "crate::measure",
                    "crate::journal",
                    "crate::tolerance",
                ]
                .iter()
                .any(|room| line.contains(room));
            if paints || judges {
                broken.push(format!("{}:{number}: {line}", source.path));
            }
        }
    }
    assert_none(
        &broken,
        "Views know no egui, painters know only plain structs",
    );
    assert!(
        views > 5 && painters > 3,
        "{views} views, {painters} painters"
    );
}

#[test]
fn exact_rooms_hold_no_floats() {
    let mut broken = Vec::new();
    for source in sources() {
        let exact =
            source.path.starts_with("src/quantity") || source.path.starts_with("src/tolerance");
        if !exact || source.path == "src/tolerance/formula.rs" {
            continue;
        }
        let doors = [
            "fn as_nm_f64",
            "fn units_f64",
            "as f64",
            "fn above_reference_k",
        ];
        for (number, line) in code_lines(&source) {
            let float = line.contains("f64") || line.contains("f32");
            let door = doors.iter().any(|door| line.contains(door))
                || line.contains("self.as_nm_f64()")
                || line.contains("f64::from(self.0 - Self::REFERENCE.0)");
            if float && !door {
                broken.push(format!("{}:{number} {}", source.path, line.trim()));
            }
        }
    }
    assert_none(&broken, "Lengths and limits are exact: no floats here");
}

#[test]
fn files_functions_and_lines_keep_their_size() {
    let mut broken = Vec::new();
    for source in sources() {
        let lines = source.code.lines().count();
        if lines > FILE_LINES_MAX {
            broken.push(format!("{} has {lines} lines", source.path));
        }
        for (at, line) in source.whole.lines().enumerate() {
            if line.chars().count() > COLUMNS_MAX {
                broken.push(format!("{}:{} is too wide", source.path, at + 1));
            }
        }
        broken.extend(long_functions(&source));
    }
    assert_none(&broken, "Files, functions and lines have limits");
}

/// Functions longer than allowed; the end is the closing brace at the start's indentation.
fn long_functions(source: &Source) -> Vec<String> {
    let lines: Vec<&str> = source.code.lines().collect();
    let mut broken = Vec::new();
    for (start, line) in lines.iter().enumerate() {
        let trimmed = line.trim_start();
        let is_function = [
            "fn ",
            "pub fn ",
            "pub(crate) fn ",
            "pub(super) fn ",
            "const fn ",
            "pub const fn ",
        ]
        .iter()
        .any(|head| trimmed.starts_with(head));
        if !is_function || trimmed.ends_with(';') {
            continue;
        }
        let indent = line.len() - trimmed.len();
        let closing = format!("{}}}", " ".repeat(indent));
        let length = lines[start..]
            .iter()
            .position(|line| *line == closing)
            .map_or(1, |n| n + 1);
        if length > FUNCTION_LINES_MAX {
            broken.push(format!(
                "{}:{} function of {length} lines",
                source.path,
                start + 1
            ));
        }
    }
    broken
}

#[test]
fn nothing_is_imported_by_glob_or_left_unfinished() {
    let banned = [
        "::*;",
        "::*}",
        "todo!(",
        "unimplemented!(",
        "dbg!(",
        "#[ignore",
        "untagged",
        "serde(flatten",
    ];
    let mut broken = Vec::new();
    for source in sources() {
        for (number, line) in code_lines(&source) {
            for word in banned.iter().filter(|word| line.contains(**word)) {
                broken.push(format!("{}:{number} has {word}", source.path));
            }
        }
    }
    assert_none(&broken, "These do not stand in the source");
}

#[test]
fn every_formula_has_its_seven_lines() {
    let wanted = [
        "Formula:",
        "Symbols:",
        "Valid:",
        "Rounding:",
        "Source:",
        "Checked:",
        "Errors:",
    ];
    let mut broken = Vec::new();
    let mut formulas = 0;
    for source in sources() {
        let lines: Vec<&str> = source.code.lines().collect();
        for (at, line) in lines.iter().enumerate() {
            if !line.trim_start().starts_with("/// Formula:") {
                continue;
            }
            formulas += 1;
            let end = lines[at..]
                .iter()
                .position(|l| !l.trim_start().starts_with("//"))
                .unwrap_or(0);
            let comment = lines[at..at + end].join("\n");
            for word in wanted.iter().filter(|word| !comment.contains(**word)) {
                broken.push(format!("{}:{} lacks {word}", source.path, at + 1));
            }
        }
        broken.extend(formulas_without_comment(&source));
    }
    assert!(
        formulas >= 3,
        "only {formulas} formulas are documented as such"
    );
    assert_none(&broken, "Every formula has its seven lines");
}

/// Public functions of the computing rooms that give a float have the formula comment.
fn formulas_without_comment(source: &Source) -> Vec<String> {
    let computing = [
        "src/measure/temperature",
        "src/measure/uncertainty",
        "src/tolerance/formula",
        "src/pair/",
    ];
    if !computing.iter().any(|place| source.path.starts_with(place)) {
        return Vec::new();
    }
    let lines: Vec<&str> = source.code.lines().collect();
    let mut broken = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        let gives_float = line.trim_start().starts_with("pub fn ")
            && line.contains("-> f64")
            && !line.contains("(self)")
            && !line.contains("(&self)");
        if !gives_float {
            continue;
        }
        let comment: Vec<&str> = lines[..at]
            .iter()
            .rev()
            .take_while(|l| l.trim_start().starts_with("//") || l.trim_start().starts_with("#["))
            .copied()
            .collect();
        if !comment.iter().any(|line| line.contains("Formula:")) {
            broken.push(format!("{}:{} has no formula comment", source.path, at + 1));
        }
    }
    broken
}

#[test]
fn every_fixture_is_read_by_a_test() {
    let mut all = Vec::new();
    files_below(&root().join("tests"), &mut all);
    let (code, data): (Vec<_>, Vec<_>) = all
        .into_iter()
        .partition(|path| path.extension().is_some_and(|end| end == "rs"));
    let texts: String = code
        .iter()
        .map(|path| fs::read_to_string(path).unwrap())
        .collect();
    let ci = fs::read_to_string(root().join(".ci/run")).unwrap_or_default();
    let mut broken = Vec::new();
    // What a failing property leaves behind is no fixture.
    let data = data
        .into_iter()
        .filter(|path| !relative(path).starts_with("tests/proptest-regressions"));
    for path in data {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let folder = path
            .parent()
            .unwrap()
            .file_name()
            .unwrap()
            .to_string_lossy()
            .into_owned();
        let outer = relative(path.parent().unwrap());
        let walked = folder != "tables"
            && (texts.contains(&format!("\"{folder}\"")) || texts.contains(&outer));
        if !walked && !texts.contains(&name) && !ci.contains(&name) {
            broken.push(relative(&path));
        }
    }
    assert_none(&broken, "A fixture that no test reads proves nothing");
}

#[test]
fn the_top_level_holds_only_what_was_agreed() {
    let agreed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE-MIT",
        "LICENSE-APACHE",
        "src",
        "tests",
        "tolerances",
        "sessions",
        "benches",
        "fuzz",
        ".ci",
        ".git",
        ".gitignore",
        ".gitattributes",
        ".cargo",
        ".config",
        "rustfmt.toml",
        "clippy.toml",
        "deny.toml",
        "target",
    ];
    for entry in fs::read_dir(root()).unwrap() {
        let name = entry.unwrap().file_name().to_string_lossy().into_owned();
        assert!(
            agreed.contains(&name.as_str()),
            "{name} is outside the agreed layout"
        );
    }
}
