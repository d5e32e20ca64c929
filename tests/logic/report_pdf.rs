//! The report on paper, read back from its bytes: nothing that the sheet has is lost, every page
//! has its foot, rows stay whole, names from outside stay harmless, the same sheet gives the same
//! bytes. The files are left in the target folder, for those who look at them.

use std::fs;
use std::path::Path;

use fitledger::report::{DecimalMark, ENGLISH, ReportOptions, Sheet, pdf, shown};

use crate::support::pdf_read::{Read, bare};
use crate::support::pdf_sheets::{
    HEAD, HOSTILE, bush, empty, everywhere, housing, long, many, one_part, parts, with_concession,
};

fn all_of_it() -> ReportOptions {
    ReportOptions {
        with_readings: true,
        ..ReportOptions::default()
    }
}

fn made(name: &str, sheet: &Sheet) -> Read {
    let bytes = pdf(sheet, &all_of_it()).unwrap_or_else(|why| panic!("{name}: {why}"));
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("report_pdf");
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join(format!("{name}.pdf")), &bytes).unwrap();
    Read::of(&bytes)
}

/// Every text in a sheet's fields, with its field: read from how the sheet prints itself, so that
/// no field can be forgotten. The outline is no text.
fn texts(sheet: &Sheet) -> Vec<(String, String)> {
    let mut sheet = sheet.clone();
    sheet.outline = None;
    let printed = format!("{sheet:#?}");
    let mut field = String::new();
    let mut found = Vec::new();
    for line in printed.lines() {
        let line = line.trim().trim_end_matches(',');
        let value = match line.split_once(": ") {
            Some((name, value)) if name.chars().all(|c| c.is_alphanumeric() || c == '_') => {
                field = name.to_owned();
                value
            }
            _ => line,
        };
        if let Some(text) = value
            .strip_prefix('"')
            .and_then(|rest| rest.strip_suffix('"'))
        {
            found.push((field.clone(), unescaped(text)));
        }
    }
    found
}

/// Without the escapes of Rust's own notation, which are also those of the report.
fn unescaped(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('\\') {
        out += before;
        let mut chars = after.chars();
        rest = match chars.next() {
            Some('n') => push(&mut out, '\n', chars.as_str()),
            Some('r') => push(&mut out, '\r', chars.as_str()),
            Some('t') => push(&mut out, '\t', chars.as_str()),
            Some('0') => push(&mut out, '\0', chars.as_str()),
            Some('u') => {
                let (code, rest) = after[2..].split_once('}').unwrap();
                let code = u32::from_str_radix(code, 16).unwrap();
                push(&mut out, char::from_u32(code).unwrap(), rest)
            }
            Some(other) => push(&mut out, other, chars.as_str()),
            None => "",
        };
    }
    out + rest
}

fn push<'t>(out: &mut String, one: char, rest: &'t str) -> &'t str {
    out.push(one);
    rest
}

/// What stands on paper for a field's text: words of the record are turned into words for people.
fn expected(field: &str, text: &str) -> String {
    let words = &ENGLISH;
    match field {
        "unit" => String::new(),
        "time" | "from" | "to" | "opened" | "last" if text.contains('T') => {
            // The bench is an hour before UTC.
            let (date, clock) = text.split_once('T').unwrap();
            let hour: u32 = clock[..2].parse().unwrap();
            format!("{date} {:02}{} +01:00", hour + 1, &clock[2..8])
        }
        "element" => words.element(text).to_owned(),
        "surface" => words.surface(text).to_owned(),
        "method" => words.method_of(text).to_owned(),
        "origin" => words.origin_of(text).to_owned(),
        "end" => words.end_of(text).to_owned(),
        "meaning" => words.meaning(text).to_owned(),
        "manner" => words.manner(text).to_owned(),
        "rules" | "rule" => words.rule_in_words(text),
        "notes" => words.note(text),
        "state" => words.state_of_record(text).to_owned(),
        "side" if text == "inside" => String::new(),
        "side" => words.side(text).to_owned(),
        "actual" | "outcome" => words.outcome(text).to_owned(),
        // Of all parts together: percent, how an index was found, what a stretch began with.
        "share" | "confidence" => text
            .trim_start_matches("0.")
            .trim_start_matches('0')
            .to_owned(),
        "way" => words.text_for(words.batch.ways, text).to_owned(),
        "kind" if text == "tool_changed" => words.batch.tool_changed.to_owned(),
        "kind" if text == "offset_applied" => String::new(),
        _ => text.to_owned(),
    }
}

#[test]
fn every_text_of_a_sheet_stands_on_paper() {
    for (name, sheet) in [
        ("one_part", one_part()),
        ("concession", with_concession()),
        ("long_1", long(1)),
        ("long_5", long(5)),
        ("long_200", long(200)),
        ("parts_50", parts(50)),
    ] {
        let all = made(name, &sheet).all();
        let texts = texts(&sheet);
        assert!(texts.len() > 60, "{name}: only {} texts", texts.len());
        for (field, text) in texts {
            let expected = bare(&expected(&field, &text));
            assert!(all.contains(&expected), "{name}: {field} {text:?} is lost");
        }
    }
}

#[test]
fn what_is_missing_is_said() {
    let mut sheet = one_part();
    sheet.parts[0].results[1].u.clear();
    let all = made("no_uncertainty", &sheet).all();
    assert!(all.contains(&bare(ENGLISH.uncertainty_not_considered)));
    // Lot of the material, the ring gauge's error, and the temperature of the gauges.
    assert!(all.contains(&bare("Lot of the material not recorded")));
    assert!(all.contains(&bare("Gauge, °C: not recorded")));
    let none = made("empty", &empty());
    assert_eq!(none.pages.len(), 1);
    let none = none.all();
    assert!(none.contains(&bare("Drawing not recorded Revision not recorded")));
    assert!(none.contains(&bare("Hash of the last line not recorded Events: 0")));
}

#[test]
fn every_page_says_what_it_belongs_to_and_the_last_has_the_whole_hash() {
    for (name, sheet) in [("foot_long", long(60)), ("foot_parts", parts(12))] {
        let read = made(name, &sheet);
        let count = read.pages.len();
        assert!(count > 3, "{name} has {count} pages");
        for (at, page) in read.pages.iter().enumerate() {
            let page = bare(page);
            let foot = bare(&format!(
                "Pump shaft · GP-07 · B Page {} of {count} 2026-11-24-0712-GP-07.journal \
                 Hash of the last line {} · Events 143",
                at + 1,
                &HEAD[..16],
            ));
            assert!(page.ends_with(&foot), "{name}, page {}: {page}", at + 1);
        }
        assert!(read.pages[count - 1].contains(HEAD), "{name}");
    }
}

#[test]
fn a_row_stays_whole_and_the_head_stands_above_it() {
    let sheet = long(200);
    let read = made("rows", &sheet);
    let mut pages = 0;
    let mut found = 0;
    for page in &read.pages {
        let has = |text: &str| page.lines().any(|line| line.trim_end() == text);
        let mut is_on_it = false;
        for (asked, row) in sheet.asked.iter().zip(&sheet.parts[0].results) {
            if row.bar.is_none() || !has(&row.actual) {
                continue;
            }
            found += 1;
            is_on_it = true;
            let number = row.number.to_string();
            assert!(has(&number), "{number} is not beside its value");
            assert!(
                page.contains(&format!("Line: {}, 2026", row.reading)),
                "{number}"
            );
            assert!(page.contains(&asked.callout.trim_start_matches('⌀').to_owned()));
        }
        if is_on_it {
            pages += 1;
            assert!(has(ENGLISH.lower) && has(ENGLISH.upper) && has(ENGLISH.verdict));
        }
    }
    let measured = sheet.parts[0]
        .results
        .iter()
        .filter(|row| row.bar.is_some());
    assert_eq!(found, measured.count());
    assert!(pages > 5, "{pages} pages of results");
}

#[test]
fn long_names_are_wrapped_and_lose_nothing() {
    let words = "Welle mit Bund und Gewinde, ".repeat(18);
    let word = "W".repeat(500);
    for (name, text) in [("words", &words), ("word", &word)] {
        let all = made(name, &everywhere(text)).all();
        let whole = all.matches(&bare(text)).count();
        assert!(whole >= 40, "{name}: {whole} times whole");
    }
}

#[test]
fn a_row_longer_than_a_page_goes_over_pages_and_loses_nothing() {
    let mut sheet = one_part();
    sheet.asked[0].name = "endless ".repeat(900);
    sheet.job.customer = "boundless ".repeat(900);
    let read = made("endless", &sheet);
    let all = read.pages.concat();
    // Among the results, and where the limits come from.
    assert_eq!(all.matches("endless").count(), 2 * 900);
    assert_eq!(all.matches("boundless").count(), 900);
    let on = |page: &&String| page.contains("endless");
    let heads = read
        .pages
        .iter()
        .filter(on)
        .all(|page| page.contains(ENGLISH.characteristic));
    assert!(heads, "a page of the row has no head");
}

#[test]
fn names_from_outside_are_seen_and_do_nothing() {
    for (at, text) in HOSTILE.iter().enumerate() {
        let read = made(&format!("hostile_{at}"), &everywhere(text));
        let pages = read.pages.concat();
        let is_steering = |one: char| {
            let steers = matches!(one, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}');
            one.is_control() && one != '\n' || steers || matches!(one, '\u{feff}' | '\u{fffe}')
        };
        assert_eq!(
            pages.chars().find(|one| is_steering(*one)),
            None,
            "{text:?}"
        );
        let expected = bare(&unescaped_codes(&shown(text)));
        let all = bare(&unescaped_codes(&read.all()));
        let count = all.matches(&expected).count();
        assert!(count >= 30, "{text:?} stands {count} times on paper");
    }
}

/// Code points instead of their escapes; other backslashes stay.
fn unescaped_codes(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once("\\u{") {
        out += before;
        let code = after.split_once('}').and_then(|(code, after)| {
            let code = char::from_u32(u32::from_str_radix(code, 16).ok()?)?;
            Some((code, after))
        });
        match code {
            Some((code, after)) => {
                out.push(code);
                rest = after;
            }
            None => {
                out += "\\u{";
                rest = after;
            }
        }
    }
    out + rest
}

#[test]
fn other_scripts_are_letters_or_code_points_and_never_nothing() {
    let mut sheet = one_part();
    sheet.job.customer = "Łódź Ωμέγα ключ 轴 ם ⌀ ▲ ✗".to_owned();
    let all = made("scripts", &sheet).all();
    assert!(all.contains("ŁódźΩμέγαключ\\u{8f74}\\u{5dd}⌀▲✗"), "{all}");
    assert!(all.contains(&bare("stand as their code points")));
    // No code point is torn where it fits on a line.
    let read = made("scripts_everywhere", &everywhere("轴承座轴承座 베어링"));
    let lines = read.pages.iter().flat_map(|page| page.lines());
    let mut whole = 0;
    for line in lines.filter(|line| line.contains('\\')) {
        assert_eq!(
            line.matches("\\u{").count(),
            line.matches('}').count(),
            "{line}"
        );
        assert!(line.starts_with(|one| one != '}'), "{line}");
        whole += line.matches('}').count();
    }
    assert!(whole > 300, "{whole}");
    let plain = made("plain", &one_part()).all();
    assert!(!plain.contains(&bare("stand as their code points")));
}

#[test]
fn the_same_sheet_gives_the_same_bytes_and_another_record_others() {
    let options = all_of_it();
    let one = pdf(&with_concession(), &options).unwrap();
    let again = pdf(&with_concession(), &options).unwrap();
    assert!(one == again);
    let mut sheet = with_concession();
    sheet.record.head = HEAD.replace('0', "1");
    let other = Read::of(&pdf(&sheet, &options).unwrap());
    let read = Read::of(&one);
    // The first is the document's, the second that of these very bytes.
    let id = |read: &Read| {
        let ids = read.document.trailer.get(b"ID").unwrap();
        ids.as_array().unwrap()[0].as_str().unwrap().to_vec()
    };
    assert_ne!(id(&read), id(&other));
    let date = "2026-11-24T09:48:51";
    assert!(read.metadata().contains(date), "{}", read.metadata());
    sheet.record.last = "2025-01-02T03:04:05+01:00".to_owned();
    let older = Read::of(&pdf(&sheet, &options).unwrap()).metadata();
    assert!(
        older.contains("2025-01-02T02:04:05") && !older.contains(date),
        "{older}"
    );
}

#[test]
fn the_file_is_an_archive_file_with_its_structure_told() {
    let read = made("structure", &with_concession());
    let metadata = read.metadata();
    for told in [
        "<pdfaid:part>2</pdfaid:part>",
        "<pdfaid:conformance>A</pdfaid:conformance>",
        "Inspection record · Pump shaft · GP-07 · B",
        "S. Brook",
        "<rdf:li>en</rdf:li>",
    ] {
        assert!(metadata.contains(told), "{told}\n{metadata}");
    }
    // Five results and a check, with their heads and what hangs below them.
    assert!(read.count_of(b"Table") >= 7, "{}", read.count_of(b"Table"));
    assert!(read.count_of(b"TH") >= 60, "{}", read.count_of(b"TH"));
    assert!(read.count_of(b"TD") >= 80, "{}", read.count_of(b"TD"));
    // The outline, and the bars of the values that are measured.
    assert_eq!(read.count_of(b"Figure"), 1 + 4);
    assert_eq!(read.count_of(b"H1"), 1);
    assert!(read.count_of(b"H2") >= 7 && read.count_of(b"H3") >= 5);
    let faces = read.with_key(b"FontName");
    assert_eq!(faces.len(), 3);
    for face in faces {
        assert!(
            face.has(b"FontFile2") || face.has(b"FontFile3"),
            "{face:?} is not embedded"
        );
    }
    let titles: Vec<String> = read
        .with_key(b"Title")
        .into_iter()
        .filter_map(|one| lopdf::decode_text_string(one.get(b"Title").ok()?).ok())
        .collect();
    for title in [
        "Outcome",
        "Part 1, serial number GP07-0001: under concession",
    ] {
        assert!(titles.iter().any(|one| one == title), "{titles:?}");
    }
}

#[test]
fn numbers_have_the_wanted_mark() {
    let options = ReportOptions {
        decimal_mark: DecimalMark::Comma,
        ..all_of_it()
    };
    let all = Read::of(&pdf(&one_part(), &options).unwrap()).all();
    for number in [
        "20,0081", "20,0083(", "-0,0004", "0,0011", "20,002", "99,87%", "21,4",
    ] {
        assert!(all.contains(number), "{number}");
    }
    assert!(!all.contains("20.0081") && !all.contains("99.87"));
}

#[test]
fn readings_stand_in_it_only_when_asked_for_but_corrections_always() {
    let without = pdf(&with_concession(), &ReportOptions::default()).unwrap();
    let without = Read::of(&without).all();
    assert!(without.contains("24.8309") && without.contains("swarfundertheanvil"));
    assert!(!without.contains("+00024.9410"));
    assert!(
        made("readings", &with_concession())
            .all()
            .contains("+00024.9410")
    );
}

/// Under a value that was taken elsewhere, or simulated, its origin stands next: also where all
/// values of a table have the same one.
#[test]
fn imported_values_are_marked_at_each_value() {
    for (origin, other) in [
        ("imported", "sent"),
        ("imported", "imported"),
        ("simulated", "typed"),
    ] {
        let mut sheet = one_part();
        let rows = &mut sheet.parts[0].results;
        for (at, row) in rows.iter_mut().enumerate() {
            row.origin = if at % 2 == 0 { origin } else { other }.to_owned();
        }
        // The check is the sixth.
        rows[5].origin = origin.to_owned();
        let all = made(&format!("origin_{origin}_{other}"), &sheet).all();
        for row in sheet.parts[0]
            .results
            .iter()
            .filter(|row| !row.actual.is_empty())
        {
            let value = bare(ENGLISH.outcome(&row.actual));
            let mark = bare(ENGLISH.origin_of(&row.origin));
            let is_marked = all.contains(&format!("{value}{mark}"));
            let is_foreign = ["imported", "simulated"].contains(&row.origin.as_str());
            assert_eq!(is_marked, is_foreign, "{origin} {other} {value}");
        }
    }
}

/// The key to the bars stands once, above the first results.
#[test]
fn the_key_to_the_bars_stands_once() {
    let all = made("key", &parts(12)).all();
    assert_eq!(all.matches(&bare(ENGLISH.bar_key)).count(), 1);
    assert!(all.find(&bare(ENGLISH.bar_key)).unwrap() < all.find("Part2,").unwrap());
    let mut sheet = parts(3);
    // A first part without results has no bar to be read.
    sheet.parts[0].results.retain(|row| row.number == 6);
    let all = made("key_later", &sheet).all();
    assert_eq!(all.matches(&bare(ENGLISH.bar_key)).count(), 1);
    assert!(all.find(&bare(ENGLISH.bar_key)).unwrap() > all.find("Part2,").unwrap());
}

/// Times of zero checks stand whole: a line of the cell may end between date and clock only.
#[test]
fn the_time_of_a_zero_check_is_not_torn() {
    let mut sheet = one_part();
    let zero = "2026-11-24 07:56:31 +01:00: good on setting-ring-25.003, +0.0012 mm taken off";
    sheet.gauges[0].zero = zero.to_owned();
    sheet.gauges[1].zero =
        "2026-11-24 07:58:02 +01:00: failed at its own zero, -0.0123 mm".to_owned();
    let read = made("zero_checks", &sheet);
    let lines: Vec<&str> = read.pages.iter().flat_map(|page| page.lines()).collect();
    let whole = |word: &str| {
        lines
            .iter()
            .any(|line| line.split(' ').any(|one| one == word))
    };
    for word in [
        "2026-11-24",
        "07:56:31",
        "07:58:02",
        "+01:00:",
        "+0.0012",
        "-0.0123",
        "taken",
    ] {
        assert!(whole(word), "{word}: {lines:?}");
    }
    assert!(read.all().contains(&bare(zero)));
}

/// Numbers of all that is drawn stand in the outline, or below it as not drawn.
#[test]
fn parts_with_many_numbers_and_bores_are_drawn_on_their_first_page() {
    for (name, sheet) in [("many", many()), ("housing", housing()), ("bush", bush())] {
        assert!(sheet.asked.len() >= 8, "{name}");
        let read = made(name, &sheet);
        let page = &read.pages[0];
        assert!(page.contains(ENGLISH.heading_outline), "{name}");
        let note = page
            .split("Not in the outline: ")
            .nth(1)
            .unwrap_or("")
            .split('.')
            .next();
        let absent = numbers(note.unwrap());
        let outline = page.split(ENGLISH.heading_outline).nth(1).unwrap();
        let outline = outline.split("Drawn from").next().unwrap();
        let drawn: Vec<usize> = outline.lines().flat_map(numbers).collect();
        for asked in &sheet.asked {
            let is_there = drawn.contains(&asked.number);
            assert_ne!(
                is_there,
                absent.contains(&asked.number),
                "{name}, {}",
                asked.number
            );
        }
        assert!(drawn.len() >= 7, "{name}: {drawn:?}");
    }
}

/// `3, 5–7` as numbers.
fn numbers(text: &str) -> Vec<usize> {
    let pieces = text.split(", ").filter_map(|piece| {
        let (from, to) = piece.split_once('–').unwrap_or((piece, piece));
        Some(from.trim().parse().ok()?..=to.trim().parse().ok()?)
    });
    pieces.flatten().collect()
}

/// The outline is drawn smaller where the page has less room, so that no half page stays empty:
/// what is left free is less than the smallest outline, or the beginning of a part, takes.
#[test]
fn the_first_page_is_used() {
    let mut pages = [0, 0];
    for words in (0..600).step_by(15) {
        let mut sheet = one_part();
        // A notice over the whole width: it takes a line off the room for the outline, and more.
        sheet.record.findings = vec!["word ".repeat(words)];
        let read = Read::of(&pdf(&sheet, &ReportOptions::default()).unwrap());
        let used = read.used_height(0);
        let has_outline = read.pages[0].contains(ENGLISH.heading_outline);
        pages[usize::from(has_outline)] += 1;
        assert!(used > 0.73, "{words} words: {used}, outline: {has_outline}");
    }
    assert!(pages[1] > 20, "{pages:?}");
}

#[test]
fn of_a_damaged_record_parts_stand_as_far_as_readable() {
    let words = |sheet: &Sheet| {
        let read = Read::of(&pdf(sheet, &ReportOptions::default()).unwrap());
        read.all().split_whitespace().collect::<String>()
    };
    let mut sheet = one_part();
    assert!(!words(&sheet).contains("asfarasreadable"));
    sheet.record.state = "damaged".to_owned();
    let damaged = words(&sheet);
    let standing: String = sheet.parts[0].standing.split_whitespace().collect();
    assert!(damaged.contains("Outcome,asfarasreadable"), "{damaged}");
    let expected = format!("{standing},asfarasreadable");
    assert_eq!(damaged.matches(&expected).count(), 2, "{expected}");
    let warning: String = ENGLISH.record_damaged.split_whitespace().collect();
    assert!(damaged.find(&warning).unwrap() < damaged.find(&expected).unwrap());
}

/// Headings that stand alone at the foot of a page: of tables, those without a whole first row
/// below them.
fn lonely_headings(read: &Read) -> Vec<String> {
    let w = &ENGLISH;
    let of_tables = [
        w.heading_outcome,
        w.heading_results,
        w.heading_checks,
        w.heading_corrections,
        w.heading_decisions,
        w.heading_signatures,
        w.heading_readings,
        w.heading_happenings,
        w.heading_why,
    ];
    let others = [w.heading_cautions, w.heading_not, w.heading_record];
    let mut lonely = Vec::new();
    for (at, page) in read.pages.iter().enumerate() {
        let lines: Vec<&str> = page.lines().map(str::trim).collect();
        // The foot has five lines, or fewer where its texts are empty; its first is bold.
        let foot = lines.len().saturating_sub(5);
        for (place, line) in lines[..foot].iter().enumerate() {
            let below = &lines[place + 1..foot];
            let is_part = line.starts_with("Part ") && line.contains(": ");
            let is_kept = if of_tables.contains(line) || is_part {
                // The first cell of a row is a number.
                below.iter().any(|one| one.parse::<u32>().is_ok())
            } else if others.contains(line) {
                !below.is_empty()
            } else if *line == w.heading_gauges {
                // Six titles of columns.
                below.len() > 8
            } else {
                true
            };
            if !is_kept {
                lonely.push(format!("page {}: {line:?} above {below:?}", at + 1));
            }
        }
    }
    lonely
}

#[test]
fn no_heading_stands_alone_at_the_foot_of_a_page() {
    let mut sheets: Vec<(String, Sheet)> =
        (1..40).map(|n| (format!("long {n}"), long(n))).collect();
    sheets.extend((2..14).map(|n| (format!("parts {n}"), parts(n))));
    let mut pages = 0;
    for lines in 0..24 {
        let mut sheet = with_concession();
        sheet.job.customer = "word ".repeat(lines * 8);
        sheets.push((format!("customer of {lines} lines"), sheet));
    }
    for (name, sheet) in sheets {
        let read = Read::of(&pdf(&sheet, &all_of_it()).unwrap());
        pages += read.pages.len();
        assert_eq!(lonely_headings(&read), [""; 0], "{name}");
    }
    assert!(pages > 300, "{pages} pages");
}

#[test]
fn names_of_gauges_stay_whole_or_end_at_a_hyphen() {
    let mut sheet = one_part();
    for (at, row) in sheet.parts[0].results.iter_mut().enumerate() {
        row.gauge = ["caliper-150", "micrometer-25-50", "bench-25-50-100"][at % 3].to_owned();
    }
    let read = made("gauge_names", &sheet);
    let lines: Vec<&str> = read.pages.iter().flat_map(|page| page.lines()).collect();
    let count = |text: &str| lines.iter().filter(|line| line.trim() == text).count();
    assert!(count("caliper-150") >= 2);
    for (whole, first, second, rows) in [
        ("micrometer-25-50", "micrometer-", "25-50", 1),
        ("bench-25-50-100", "bench-", "25-50-100", 2),
    ] {
        assert_eq!(count(first), count(second), "{whole}");
        assert!(count(first) + count(whole) >= rows, "{whole}");
    }
}
