//! The guide: every topic has its page, every link its target, its files are valid, and its HTML
//! stands alone.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use fitledger::gauge::Register;
use fitledger::guide::{Block, Span, Target, page, pages};
use fitledger::plan::Plan;
use fitledger::report::guide_html;
use fitledger::tolerance::Tables;

use crate::report_html::taken;
use crate::support::guide::{all, file};

/// Words that a page must have, or its topic is not on it.
const TOPICS: [(&str, &[&str]); 17] = [
    ("start", &["20 k6", "presses", "verify"]),
    (
        "bench",
        &["c ", "v WHY", "held", "Warm", "Slips", "--dial", "question"],
    ),
    (
        "plan",
        &[
            "[[feature]]",
            "points",
            "stages",
            "coating",
            "every",
            "gauge",
        ],
    ),
    (
        "gauges",
        &[
            "mpe",
            "zero",
            "gauge-study",
            "certificate",
            "suitability",
            "--confirm",
        ],
    ),
    (
        "adapters",
        &["line-free", "modbus", "teach", "--captured", "decode"],
    ),
    (
        "threads",
        &["wires", "no_go_plug", "--coating", "full_thread", "plugs"],
    ),
    (
        "form",
        &["runout", "roundness", "coaxiality", "contact", "sine bar"],
    ),
    (
        "pairs",
        &["press", "--suit", "assembly", "holes_and_shafts", "--for"],
    ),
    ("batch", &["Cpk", "trend", "control", "chart", "--before"]),
    (
        "records",
        &[
            "verify",
            "replay",
            "list",
            "decide",
            "concession",
            "head of the chain",
        ],
    ),
    ("reports", &["html", "pdf", "csv", "json", "qif", "import"]),
    (
        "window",
        &[
            "F7",
            "foot switch",
            "sound",
            "Plan room",
            "Batch room",
            "--advance",
        ],
    ),
    (
        "verdicts",
        &[
            "GO",
            "NO-GO",
            "DOUBT",
            "CUTTING",
            "INSIDE",
            "NOTED",
            "NOT RECORDED",
            "U ",
        ],
    ),
    (
        "trouble",
        &[
            "unplugged",
            "dialout",
            "display",
            "damaged",
            "full",
            "renamed",
        ],
    ),
    ("scripts", &["--json", "Exit codes", "completions"]),
    (
        "platforms",
        &["Linux", "Windows", "macOS", "not tried at all"],
    ),
    (
        "cautions",
        &[
            "spindle",
            "chuck key",
            "suffocate",
            "estimates",
            "certificate of calibration",
        ],
    ),
];

#[test]
fn every_topic_has_a_page_and_every_file_of_the_folder_is_one() {
    let names: Vec<&str> = pages().iter().map(|page| page.name).collect();
    assert!(
        TOPICS.iter().map(|topic| &topic.0).eq(names.iter()),
        "{names:?}"
    );
    for (name, words) in TOPICS {
        let text = page(name).unwrap().text;
        for word in words {
            assert!(text.contains(word), "{name} lacks {word}");
        }
    }
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/guide");
    let entries = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path());
    let texts = entries.filter(|path| path.extension().is_some_and(|end| end == "md"));
    assert_eq!(texts.count(), names.len());
}

fn spans_of(block: &Block, told: &mut impl FnMut(&Span)) {
    match block {
        Block::Heading { spans, .. } | Block::Paragraph(spans) => spans.iter().for_each(told),
        Block::List(items) => {
            for block in items.iter().flatten() {
                spans_of(block, told);
            }
        }
        Block::Table { titles, rows } => {
            titles
                .iter()
                .chain(rows.iter().flatten())
                .flatten()
                .for_each(told);
        }
        Block::Code(_) => {}
    }
}

#[test]
fn every_link_has_its_target_within_the_guide() {
    let mut targets = BTreeSet::new();
    let mut links: Vec<(String, Target)> = Vec::new();
    for page in pages() {
        targets.insert((page.name.to_owned(), None));
        for block in page.blocks() {
            if let Block::Heading { anchor, .. } = &block {
                let fresh = targets.insert((page.name.to_owned(), Some(anchor.clone())));
                assert!(fresh, "{} has two headings {anchor}", page.name);
            }
            spans_of(&block, &mut |span| {
                if let Some(target) = &span.target {
                    links.push((page.name.to_owned(), target.clone()));
                }
            });
        }
    }
    assert!(links.len() > 20, "{}", links.len());
    for (on, link) in links {
        let to = if link.page.is_empty() {
            &on
        } else {
            &link.page
        };
        let target = (to.clone(), link.anchor.clone());
        assert!(targets.contains(&target), "{on} leads to {target:?}");
    }
}

#[test]
fn the_html_is_well_formed_alone_and_whole() {
    let page = guide_html(pages());
    assert!(page.starts_with("<!DOCTYPE html>\n<html lang=\"en\">"));
    let taken = taken(&page);
    let mut ids = BTreeSet::new();
    let mut links = Vec::new();
    for (element, attributes) in &taken.elements {
        assert!(!["script", "link", "img", "iframe", "object", "form"].contains(&&**element));
        for (name, value) in attributes {
            match name.as_str() {
                "id" => assert!(ids.insert(value.clone()), "{value} twice"),
                "href" => links.push(value.strip_prefix('#').unwrap_or_else(|| panic!("{value}"))),
                "lang" | "charset" | "http-equiv" | "content" | "name" | "class" | "scope" => {}
                _ => panic!("{element} {name}"),
            }
        }
    }
    assert!(
        links.len() > 30 && links.iter().all(|link| ids.contains(*link)),
        "{links:?}"
    );
    let style = taken.style.to_lowercase();
    for word in ["url(", "@import", "expression", "http", "//", "</"] {
        assert!(!style.contains(word), "{word}");
    }
    assert!(style.contains("prefers-color-scheme:dark") && style.contains("@media print"));
    let first = taken.elements.iter().map(|one| one.0.as_str());
    assert!(first.take(4).eq(["html", "head", "meta", "meta"]));
    let policy = &taken.elements[3].1;
    assert_eq!(policy[0].1, "Content-Security-Policy");
    assert_eq!(policy[1].1, "default-src 'none'; style-src 'unsafe-inline'");
    for one in pages() {
        assert!(
            ids.contains(one.name) && taken.text.contains(one.about),
            "{}",
            one.name
        );
        for block in one.blocks() {
            match &block {
                Block::Code(lines) => assert!(taken.text.contains(lines), "{lines}"),
                block => spans_of(block, &mut |span| {
                    assert!(taken.text.contains(&span.text), "{}", span.text);
                }),
            }
        }
    }
}

/// What a test or a neighbour of the sources is told stands in comments, and nobody reads it.
#[test]
fn comments_and_what_tests_need_are_seen_by_nobody() {
    let html = guide_html(pages());
    for page in pages() {
        let told = page.told(80);
        for hidden in ["<!--", "-->", "stdin=", "exit=", "file=", "$ROOT", "```"] {
            assert!(!told.contains(hidden), "{}: {hidden}", page.name);
        }
    }
    for hidden in ["<!--", "stdin=", "exit=0", "$ROOT", "```"] {
        assert!(!html.contains(hidden), "{hidden}");
    }
}

#[test]
fn every_file_of_the_guide_is_valid() {
    let tables = Tables::standard();
    let mut read = 0;
    for (page, pieces) in all() {
        for piece in pieces.iter().filter(|piece| piece.kind == "toml") {
            read += 1;
            let name = piece.said("file").unwrap();
            let text = piece.text.as_str();
            match text.split_whitespace().next().unwrap() {
                "[[gauge]]" => drop(Register::parse(text, name).unwrap()),
                "[part]" => drop(Plan::parse(text, name, tables).unwrap()),
                // Read by the commands beside them: `assembly`, `press`, `taper`.
                "[assembly]" | "fit" | "kind" => {}
                "[[material]]" => {
                    let house = fitledger::material::Materials::standard().clone();
                    let house = house.with_house(text, name).unwrap();
                    assert_eq!(house.find("CuSn8").unwrap().yield_mpa, Some(450.0));
                }
                other => panic!("{}: {other}", page.name),
            }
        }
    }
    assert_eq!(read, 10);
    let asks = |name: &str| -> Vec<String> {
        let plan = Plan::parse(&file(name), name, tables).unwrap();
        let order = plan.order().into_iter();
        let elements = order.filter_map(|one| one.id.element.clone());
        elements.map(|one| one.as_ref().to_owned()).collect()
    };
    let internal = ["minor", "go_plug", "no_go_plug", "full_thread"];
    let external = ["major", "wires", "go_ring", "no_go_ring"];
    assert_eq!(asks("plans/valve.toml"), [internal, external].concat());
    assert_eq!(
        asks("plans/seat.toml"),
        ["runout", "roundness", "angle", "contact"]
    );
    let register = Register::parse(&file("gauges.toml"), "gauges.toml").unwrap();
    assert_eq!(register.gauges().len(), 2);
    let bush = Plan::parse(&file("plans/bush.toml"), "bush.toml", tables).unwrap();
    assert_eq!(bush.order().len(), 2);
}

/// The adapters that the guide lists are those that are built in.
#[test]
fn the_guide_lists_every_adapter_that_is_built_in() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/wire/adapters");
    let entries = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path());
    let names: BTreeSet<String> = entries
        .map(|path| path.file_stem().unwrap().to_string_lossy().into_owned())
        .collect();
    let text = page("adapters").unwrap().text;
    let rows = text.lines().filter_map(|line| line.strip_prefix("| `"));
    let listed: BTreeSet<String> = rows
        .map(|row| row.split('`').next().unwrap().to_owned())
        .collect();
    assert_eq!(listed, names);
}

/// Every key of plan and register stands in the guide, and every kind of gauge.
#[test]
fn the_guide_names_every_key_of_plan_and_register() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for (source, on) in [
        ("src/plan/format.rs", "plan"),
        ("src/gauge/format.rs", "gauges"),
    ] {
        let source = fs::read_to_string(root.join(source)).unwrap();
        let begin = source.find("_KEYS: &[&str]").unwrap();
        let until = source.find("fn ").unwrap();
        let keys: Vec<&str> = source[begin..until]
            .lines()
            .filter(|line| line.starts_with("    \""))
            .filter_map(|line| line.split('"').nth(1))
            .collect();
        assert!(keys.len() > 18, "{keys:?}");
        let text = page(on).unwrap().text;
        for key in keys {
            assert!(text.contains(&format!("`{key}`")), "{on} lacks {key}");
        }
    }
    let gauges = page("gauges").unwrap().text;
    for (_, word) in fitledger::gauge::GaugeKind::WORDS {
        assert!(gauges.contains(&format!("`{word}`")), "{word}");
    }
}
