//! The HTML form of a report: well formed, alone, safe whatever the texts say, and whole.

use std::collections::BTreeSet;

use fitledger::report::{
    DecimalMark, ENGLISH, PartSheet, ReportOptions, Sheet, html, html_text, is_plain_number,
};
use quick_xml::Reader;
use quick_xml::events::Event;

use crate::support::html_sheets::full;
use crate::support::made_sheets::with_texts;

/// Texts that want to be more than text; control and turning characters among them.
const HOSTILE: [&str; 16] = [
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "' onmouseover='alert(1)' x='",
    "</title></style><script src=//example.org/x.js></script>",
    "]]><![CDATA[<b>",
    "<!-- --><!DOCTYPE html>",
    "&lt;script&gt; &#60; & &amp;",
    "javascript:alert(1)",
    "}body{background:url(http://example.org/)}",
    "@import 'http://example.org/x.css';",
    "\u{202e}gpj.exe\u{2066}",
    "\0\u{1b}[31m\r\n\t",
    "\\00003c/style><script>",
    "<svg/onload=alert(1)>",
    "\u{feff}\u{ffff}\u{fffe}",
    "Ünicode 直径 Ø",
];

fn with_readings() -> ReportOptions {
    ReportOptions {
        with_readings: true,
        ..ReportOptions::default()
    }
}

/// A page taken apart by a strict parser.
#[derive(Debug, Default)]
pub(crate) struct Taken {
    /// All text between tags, the style apart.
    pub(crate) text: String,
    pub(crate) style: String,
    /// Every element with its attributes.
    pub(crate) elements: Vec<(String, Vec<(String, String)>)>,
}

/// Fails when tags do not match, an attribute stands twice or a reference is not known.
pub(crate) fn taken(page: &str) -> Taken {
    let mut reader = Reader::from_str(page);
    let config = reader.config_mut();
    config.check_comments = true;
    config.allow_dangling_amp = false;
    config.allow_unmatched_ends = false;
    let mut taken = Taken::default();
    let mut open: Vec<String> = Vec::new();
    loop {
        let event = reader.read_event();
        match event.unwrap_or_else(|error| panic!("{error} at {}", reader.error_position())) {
            Event::Eof => break,
            Event::Start(tag) => {
                let name = String::from_utf8(tag.name().as_ref().to_vec()).unwrap();
                taken.elements.push((name.clone(), attributes(&tag)));
                open.push(name);
            }
            Event::Empty(tag) => {
                let name = String::from_utf8(tag.name().as_ref().to_vec()).unwrap();
                taken.elements.push((name, attributes(&tag)));
            }
            Event::End(tag) => {
                let name = String::from_utf8(tag.name().as_ref().to_vec()).unwrap();
                assert_eq!(open.pop(), Some(name));
                // What stands in two elements is not one word.
                taken.text.push('\n');
            }
            Event::Text(text) => {
                let text = text.decode().unwrap();
                match open.last().map(String::as_str) {
                    Some("style") => taken.style += &text,
                    _ => taken.text += &text,
                }
            }
            Event::GeneralRef(reference) => {
                let known = ["amp", "lt", "gt", "quot", "#39"];
                let name = reference.decode().unwrap().into_owned();
                assert!(known.contains(&name.as_str()), "{name}");
                taken.text += match name.as_str() {
                    "amp" => "&",
                    "lt" => "<",
                    "gt" => ">",
                    "quot" => "\"",
                    _ => "'",
                };
            }
            Event::DocType(kind) => assert_eq!(kind.decode().unwrap().trim(), "html"),
            other => panic!("{other:?}"),
        }
    }
    assert!(open.is_empty(), "{open:?}");
    taken
}

fn attributes(tag: &quick_xml::events::BytesStart<'_>) -> Vec<(String, String)> {
    let all = tag.attributes().map(|one| {
        let one = one.unwrap();
        let name = String::from_utf8(one.key.as_ref().to_vec()).unwrap();
        (name, String::from_utf8(one.value.into_owned()).unwrap())
    });
    all.collect()
}

/// What the page may be made of; everything else is refused, whatever it is called.
fn check_alone(page: &str) -> Taken {
    const ELEMENTS: [&str; 49] = [
        "html", "head", "meta", "title", "style", "body", "main", "header", "footer", "section",
        "h1", "h2", "h3", "h4", "desc", "p", "b", "s", "small", "span", "br", "dl", "div", "dt",
        "dd", "ul", "li", "table", "caption", "thead", "tbody", "tr", "th", "td", "svg", "path",
        "circle", "polygon", "polyline", "g", "text", "line", "rect", "time", "code", "ol", "bdi",
        "i", "q",
    ];
    const ATTRIBUTES: [&str; 32] = [
        "lang",
        "class",
        "scope",
        "role",
        "charset",
        "http-equiv",
        "content",
        "name",
        "viewBox",
        "fill",
        "stroke",
        "stroke-width",
        "stroke-linecap",
        "stroke-linejoin",
        "stroke-dasharray",
        "points",
        "d",
        "cx",
        "cy",
        "r",
        "x",
        "y",
        "x1",
        "x2",
        "y1",
        "y2",
        "width",
        "height",
        "font-size",
        "font-family",
        "font-weight",
        "text-anchor",
    ];
    let taken = taken(page);
    for (element, attributes) in &taken.elements {
        assert!(ELEMENTS.contains(&element.as_str()), "<{element}>");
        for (name, value) in attributes {
            assert!(ATTRIBUTES.contains(&name.as_str()), "{element} {name}");
            let value = value.to_lowercase();
            assert!(!value.contains("url") && !value.contains(':'), "{value}");
        }
    }
    let style = taken.style.to_lowercase();
    for word in ["url(", "@import", "expression", "http", "//", "</"] {
        assert!(!style.contains(word), "{word}");
    }
    let policy = taken.elements.iter().find(|(_, attributes)| {
        attributes
            .iter()
            .any(|one| one.1 == "Content-Security-Policy")
    });
    let (_, policy) = policy.unwrap();
    let content = policy.iter().find(|one| one.0 == "content").unwrap();
    assert_eq!(content.1, "default-src 'none'; style-src 'unsafe-inline'");
    // Nothing may stand before the policy that it would not hold for.
    let first: Vec<&str> = taken
        .elements
        .iter()
        .map(|one| one.0.as_str())
        .take(4)
        .collect();
    assert_eq!(first, ["html", "head", "meta", "meta"]);
    taken
}

#[test]
fn the_page_is_well_formed_and_alone() {
    for options in [ReportOptions::default(), with_readings()] {
        let page = html(&full(), &options);
        assert!(page.starts_with("<!DOCTYPE html>\n<html lang=\"en\">"));
        check_alone(&page);
        let empty = Sheet::default();
        let taken = check_alone(&html(&empty, &options));
        assert!(taken.text.contains("not recorded"));
    }
}

#[test]
fn text_from_outside_is_text_and_nothing_else_in_every_field() {
    let styles = taken(&html(&full(), &with_readings())).style;
    let fixed = styles.split("@bottom-left").next().unwrap();
    for hostile in HOSTILE {
        let mut fields = 0;
        let sheet = with_texts(full(), &mut |_, text| {
            fields += 1;
            *text = format!("{hostile} {fields}");
        });
        assert!(fields > 600, "{fields}");
        let page = html(&sheet, &with_readings());
        let taken = check_alone(&page);
        assert!(taken.style.starts_with(fixed), "{hostile}");
        assert!(page.contains(&*html_text(hostile)), "{hostile}");
        let unseen = |c: char| c.is_control() && c != '\n';
        assert!(!page.contains(unseen), "{hostile:?}");
        assert!(!page.contains(['\u{202e}', '\u{2066}', '\u{feff}', '\u{ffff}']));
    }
}

/// Every text that a record gave is in the page; words of lists stand there as people read them.
#[test]
fn every_value_of_the_sheet_is_in_the_page() {
    let mut at = 0_u32;
    let mut put = BTreeSet::new();
    // A text that stands nowhere else, so that it is found only where it belongs.
    let sheet = with_texts(full(), &mut |_, text| {
        at += 1;
        *text = format!("zz{at}zz");
        put.insert(text.clone());
    });
    let mut sheet = sheet;
    // The unit of a reading is a word that chooses a form.
    let of_parts = sheet.parts.iter_mut().map(|part| &mut part.readings);
    let readings = of_parts.chain([&mut sheet.record.other_readings]).flatten();
    for row in readings {
        put.remove(&row.unit);
        row.unit = "mm".to_owned();
    }
    // A check has neither a deviation nor an uncertainty.
    for part in &mut sheet.parts {
        for (row, asked) in part.results.iter_mut().zip(&sheet.asked) {
            if asked.unit == "check" {
                put.remove(&std::mem::take(&mut row.deviation));
                put.remove(&std::mem::take(&mut row.u));
            }
        }
    }
    let page = taken(&html(&sheet, &with_readings())).text;
    let lost: Vec<&String> = put
        .iter()
        .filter(|text| !page.contains(text.as_str()))
        .collect();
    assert!(lost.is_empty(), "{lost:?}");
    // Numbers that are no texts.
    let sheet = full();
    let page = taken(&html(&sheet, &with_readings())).text;
    let words: BTreeSet<&str> = page.split_whitespace().collect();
    for part in &sheet.parts {
        for row in &part.results {
            assert!(row.reading == 0 || words.contains(row.reading.to_string().as_str()));
        }
        for row in &part.signatures {
            assert!(words.contains(row.covers.to_string().as_str()));
        }
        for row in part.readings.iter().filter(|row| row.replaced_by > 0) {
            assert!(page.contains(&format!("Counts in its place: line {}", row.replaced_by)));
        }
    }
    assert!(page.contains("214") && page.contains("Withdrawn by line 139"));
}

#[test]
fn everything_stands_in_its_order() {
    let page = taken(&html(&full(), &with_readings())).text;
    let order = [
        "Pump shaft",
        "GP-07",
        "Garden works",
        "4711-3",
        "lathe 2",
        "M. Weber, J. Lind",
        "Decision rule",
        "Outcome",
        "Outline",
        "All parts together",
        "Numbers over the parts",
        "Parts by characteristics",
        "Part 1",
        "Results",
        "Points",
        "Attribute checks",
        "How it was measured",
        "Corrections",
        "Decisions and concessions",
        "Signatures",
        "Part 2",
        "Corrections",
        "All readings",
        "Decisions and concessions",
        "Signatures",
        "Part 3",
        "Part 4",
        "Gauges on the day",
        "What else happened",
        "Where the limits come from",
        "Cautions",
        "What this record is not",
        "The record",
        "Hash of the last line",
    ];
    let mut rest = page.as_str();
    // The title stands before everything.
    rest = &rest[rest.find('\n').unwrap()..];
    for word in order {
        let at = rest
            .find(word)
            .unwrap_or_else(|| panic!("{word} is not after the one before"));
        rest = &rest[at + word.len()..];
    }
}

fn of_part(number: u32, change: impl FnOnce(&mut PartSheet)) -> String {
    let mut sheet = full();
    sheet.parts.retain(|part| part.number == number);
    change(&mut sheet.parts[0]);
    taken(&html(&sheet, &ReportOptions::default())).text
}

#[test]
fn a_part_is_told_by_what_stands_for_it_and_never_better() {
    let open = of_part(4, |_| {});
    assert!(open.contains("An open part is never GO."));
    assert!(!open.contains("released"));
    let early = of_part(1, |part| {
        part.standing = "released early".to_owned();
        part.is_good = false;
        part.signatures[1].manner = "early".to_owned();
    });
    assert!(early.contains("EARLY RELEASE"));
    assert!(early.contains("R. Ode: early, before everything was measured"));
    let in_doubt = of_part(3, |_| {});
    assert!(in_doubt.contains("RELEASED IN DOUBT"));
    assert!(
        in_doubt.contains("3: Chance of conformity 87.2 %"),
        "{in_doubt}"
    );
    let conceded = of_part(2, |_| {});
    assert!(conceded.contains("accepted under concession (decision in line 140)"));
    // A chance is cut, not rounded: 99.9999 % is no certainty.
    let near = of_part(3, |part| part.results[2].conformance_ppm = Some(999_999));
    assert!(near.contains("Chance of conformity 99.9 %"));
    // The border says the same as the word.
    for part in full().parts {
        let mut sheet = full();
        sheet.parts.retain(|one| one.number == part.number);
        let page = html(&sheet, &ReportOptions::default());
        let good = format!("<span class=\"standing go\">{}</span>", part.standing);
        assert_eq!(page.contains(&good), part.is_good, "{}", part.standing);
    }
}

#[test]
fn corrections_are_shown_with_or_without_all_readings() {
    for options in [ReportOptions::default(), with_readings()] {
        let page = html(&full(), &options);
        let text = taken(&page).text;
        // The old value struck out, the new one beside it, who and why.
        assert!(page.contains("<s>20.417 mm</s>") && page.contains("<s>20.4174</s>"));
        for word in [
            "20.021 mm",
            "voided",
            "chip under the anvil",
            "J. Lind, after asking",
            "Counts in its place: line 122",
            "inch for millimetre",
            "Readings given to this part in the record: 4",
        ] {
            assert!(text.contains(word), "{word}");
        }
        // Line 123 was neither voided nor replaced.
        assert_eq!(text.contains("25.311 mm"), options.with_readings);
        assert_eq!(text.contains("All readings"), options.with_readings);
    }
}

#[test]
fn signatures_and_decisions_that_hold_no_longer_are_struck_out_and_say_so() {
    let page = html(&full(), &ReportOptions::default());
    assert_eq!(page.matches("<s>checked</s>").count(), 1);
    assert_eq!(
        page.matches("holds no longer: the part changed after it")
            .count(),
        1
    );
    assert_eq!(page.matches("<s>on hold</s>").count(), 1);
    assert!(page.contains("<b>released</b>") && page.contains("<b>concession</b>"));
}

#[test]
fn what_is_missing_and_what_was_not_considered_is_said() {
    let page = taken(&html(&full(), &ReportOptions::default())).text;
    for word in [
        "uncertainty not considered",
        "exceeding one does not by itself mean rejection",
        "overdue on the day",
        "no lower limit",
        "not selected",
        "not measured",
        "Simulated readings are among these results: they measure no part.",
        "taken elsewhere and imported",
        "It is not a certificate of calibration.",
    ] {
        assert!(page.contains(word), "{word}");
    }
    // Beside each value without an uncertainty, not only at the head.
    let sheet = full();
    let rows = sheet.parts.iter().flat_map(|part| &part.results);
    let without = rows.filter(|row| row.bar.is_some() && row.u.is_empty());
    let said = html(&sheet, &ReportOptions::default());
    let said = said.matches("<small>uncertainty not considered</small>");
    assert_eq!(said.count(), without.count());
    let mut sheet = full();
    for fact in [
        &mut sheet.job.customer,
        &mut sheet.job.order,
        &mut sheet.job.machine,
        &mut sheet.job.revision,
    ] {
        fact.clear();
    }
    let cleared = taken(&html(&sheet, &ReportOptions::default())).text;
    let count = |text: &str| text.matches("not recorded").count();
    assert_eq!(count(&cleared), count(&page) + 4);
    sheet.rule.some_general = false;
    sheet.parts.truncate(1);
    for row in &mut sheet.parts[0].results {
        row.origin = "sent".to_owned();
    }
    let measured = taken(&html(&sheet, &ReportOptions::default())).text;
    assert!(!measured.contains("exceeding one does not"));
    assert!(!measured.contains("Simulated readings") && !measured.contains("imported"));
}

#[test]
fn a_damaged_record_and_other_tables_are_told_at_once() {
    let mut sheet = full();
    let sound = taken(&html(&sheet, &ReportOptions::default())).text;
    assert!(!sound.contains("is not as it was written"));
    sheet.record.state = "damaged".to_owned();
    sheet.record.findings = vec!["Line 88: the hash does not fit.".to_owned()];
    sheet.record.tables_differ = true;
    let good = |sheet: &Sheet| html(sheet, &ReportOptions::default()).contains("verdict go\">GO<");
    sheet.parts.truncate(1);
    sheet.parts[0].state = "GO".to_owned();
    sheet.parts[0].results.clear();
    assert!(!good(&sheet), "what is lost may say otherwise");
    let damaged = taken(&html(&sheet, &ReportOptions::default())).text;
    assert!(damaged.contains("Outcome, as far as readable"));
    let standing = format!("{}, as far as readable", sheet.parts[0].standing);
    assert!(damaged.matches(&standing).count() >= 2, "{standing}");
    sheet.record.state = "sound".to_owned();
    assert!(good(&sheet));
    assert!(
        !taken(&html(&sheet, &ReportOptions::default()))
            .text
            .contains("as far as readable")
    );
    let at = |word: &str| damaged.find(word).unwrap_or_else(|| panic!("{word}"));
    assert!(at("The record is not as it was written") < at("Outcome"));
    at("Line 88: the hash does not fit.");
    at("are not those that the record was made with");
}

#[test]
fn the_head_hash_stands_whole_in_the_page_and_begins_every_printed_foot() {
    let sheet = full();
    let taken = taken(&html(&sheet, &ReportOptions::default()));
    assert!(taken.text.matches(&sheet.record.head).count() >= 2);
    let foot = format!("@bottom-left{{content:\"{}\"", &sheet.record.head[..16]);
    assert!(taken.style.contains(&foot));
}

#[test]
fn origins_look_different_from_one_another() {
    let page = html(&full(), &ReportOptions::default());
    for (class, word) in [
        ("from sent", "sent by the gauge"),
        ("from typed", "typed"),
        ("from simulated", "simulated"),
        ("from imported", "imported, taken elsewhere"),
    ] {
        assert!(
            page.contains(&format!("<span class=\"{class}\">{word}</span>")),
            "{class}"
        );
        let look = class.replace("from ", ".");
        assert!(page.contains(&format!("\n{look}{{")), "{class} has no look");
    }
}

/// A value that was taken elsewhere is known for it where it stands, also where all were.
#[test]
fn imported_values_are_marked_at_each_value() {
    let mark = "<span class=\"from imported\">imported, taken elsewhere</span></td>";
    for all in [false, true] {
        let mut sheet = full();
        let rows = sheet.parts.iter_mut().flat_map(|part| &mut part.results);
        for row in rows.filter(|row| !row.actual.is_empty()) {
            let is_imported = all || row.number % 2 == 0;
            row.origin = if is_imported { "imported" } else { "sent" }.to_owned();
        }
        let page = html(&sheet, &ReportOptions::default());
        let mut marked = 0;
        for part in &sheet.parts {
            // The part's own section, from its results to its signatures.
            let at = format!("<h2>Part {}", part.number);
            let section = &page[page.find(&at).unwrap()..];
            let section = section.split("<section").next().unwrap();
            for row in part.results.iter().filter(|row| !row.actual.is_empty()) {
                let value = ENGLISH.outcome(&row.actual);
                let cells = section.split("<td").filter(|cell| {
                    cell.contains(&format!("<b>{value}</b>")) && !cell.contains("verdict")
                });
                let mut cells = cells.peekable();
                assert!(cells.peek().is_some(), "{value}");
                // Checks have their outcomes in common.
                let has = |cell: &str| cell.contains(mark);
                let is_check = value != row.actual || value == "goes";
                match (row.origin.as_str(), is_check) {
                    ("imported", false) => assert!(cells.all(has), "{value}"),
                    ("imported", true) => assert!(cells.any(has), "{value}"),
                    (_, false) => assert!(!cells.any(has), "{value}"),
                    (_, true) => {}
                }
            }
            let imported = part
                .results
                .iter()
                .filter(|row| row.origin == "imported" && !row.actual.is_empty());
            marked += imported.count();
        }
        let in_results = page.matches(&format!("<br />{mark}")).count();
        assert_eq!(in_results, marked, "{all}");
    }
}

#[test]
fn the_key_to_the_bars_stands_once() {
    let mut sheet = full();
    let count = |sheet: &Sheet| {
        let text = taken(&html(sheet, &ReportOptions::default())).text;
        text.matches(ENGLISH.bar_key).count()
    };
    assert!(sheet.parts.len() > 2);
    assert_eq!(count(&sheet), 1);
    sheet.parts[0].results.clear();
    assert_eq!(count(&sheet), 1);
    sheet.parts.iter_mut().for_each(|part| part.results.clear());
    assert_eq!(count(&sheet), 0);
}

#[test]
fn a_comma_is_for_show_and_changes_no_digit() {
    let sheet = full();
    let point = taken(&html(&sheet, &with_readings())).text;
    let options = ReportOptions {
        decimal_mark: DecimalMark::Comma,
        ..with_readings()
    };
    let comma = taken(&html(&sheet, &options)).text;
    for part in &sheet.parts {
        let values = part.results.iter().flat_map(|row| {
            let points = row.points.iter().map(|point| &point.value);
            points.chain([&row.actual, &row.u, &row.part_temperature])
        });
        for value in values.filter(|value| is_plain_number(value)) {
            let words: BTreeSet<&str> = comma.split_whitespace().collect();
            assert!(words.contains(value.replace('.', ",").as_str()), "{value}");
            assert!(
                !words.contains(value.as_str()) || !value.contains('.'),
                "{value}"
            );
        }
        for row in &part.results {
            assert!(
                comma.contains(&row.deviation.replace('.', ",")),
                "{}",
                row.deviation
            );
        }
    }
    let back: String = comma
        .chars()
        .map(|c| if c == ',' { '.' } else { c })
        .collect();
    let same: String = point
        .chars()
        .map(|c| if c == ',' { '.' } else { c })
        .collect();
    assert_eq!(back, same);
}

#[test]
fn tables_are_read_aloud_and_repeat_their_heads() {
    let page = html(&full(), &with_readings());
    let count = |word: &str| page.matches(word).count();
    assert!(count("<table>") > 20);
    for word in ["<caption>", "<thead>", "<tbody>"] {
        assert_eq!(count(word), count("<table>"), "{word}");
    }
    assert_eq!(
        count("<th>") + count("<th class"),
        0,
        "a head without a scope"
    );
    let rows = count("<tr>") - count("<thead>");
    assert_eq!(count("scope=\"row\""), rows);
    // Every picture has a text in its place.
    assert_eq!(count("<svg "), count("role=\"img\""));
    assert_eq!(count("<svg "), count("<title>") - 1);
    for rule in [
        "table-header-group",
        "tr,svg,dl div,.banner,li{break-inside:avoid}",
        "size:A4",
    ] {
        assert!(page.contains(rule), "{rule}");
    }
}
