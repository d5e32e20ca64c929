//! Text made safe: for the eye, for markup, for spreadsheets, for the names of files. The rules are
//! those of `src/report/safe.rs`; what systems and formats take is stated beside each list.

use std::path::{Component, Path};

use fitledger::report::{
    DecimalMark, FILE_NAME_MAX, ReportOptions, csv_text, csv_text_back, file_name, file_name_with,
    html_text, is_plain_number, shown,
};
use proptest::prelude::{Just, Strategy, any, prop_oneof, proptest};
use proptest::sample::select;
use proptest::{prop_assert, prop_assert_eq};

use crate::support::hostile::TEXTS;

/// Characters that turn the direction of writing: the explicit formatting characters of Unicode
/// Standard Annex 9, section 2 (from memory).
const BIDI: [char; 12] = [
    '\u{061c}', '\u{200e}', '\u{200f}', '\u{202a}', '\u{202b}', '\u{202c}', '\u{202d}', '\u{202e}',
    '\u{2066}', '\u{2067}', '\u{2068}', '\u{2069}',
];

/// Device names of one widespread system, whatever their ending ("Naming Files, Paths, and
/// Namespaces" of its maker; from memory).
const DEVICES: [&str; 24] = [
    "CON", "PRN", "AUX", "NUL", "COM1", "COM2", "COM3", "COM4", "COM5", "COM6", "COM7", "COM8",
    "COM9", "LPT1", "LPT2", "LPT3", "LPT4", "LPT5", "LPT6", "LPT7", "LPT8", "LPT9", "COM¹", "LPT²",
];

/// Any text, and texts made of what does harm.
fn text() -> impl Strategy<Value = String> {
    let pieces = prop_oneof![
        select(TEXTS.to_vec()).prop_map(str::to_owned),
        select(BIDI.to_vec()).prop_map(String::from),
        select(DEVICES.to_vec()).prop_map(str::to_owned),
        select(vec![
            ".", "..", " ", "/", "\\", ":", "'", "&", "<", "-", "_", "é", "軸"
        ])
        .prop_map(str::to_owned),
        any::<String>(),
        any::<char>().prop_map(String::from),
    ];
    prop_oneof![
        proptest::collection::vec(pieces, 0..8).prop_map(|all| all.concat()),
        (select(DEVICES.to_vec()), Just(".pdf")).prop_map(|(name, end)| name.to_lowercase() + end),
        "[a-z]{100,140}",
        "[軸ø]{30,80}",
    ]
}

fn is_device(name: &str) -> bool {
    let stem = name.split('.').next().unwrap().trim_end();
    let same = |device: &str| device.to_lowercase() == stem.to_lowercase();
    DEVICES.iter().any(|device| same(device))
}

/// What is wrong with the name of a file; none: nothing.
fn fault_of_name(name: &str) -> Option<&'static str> {
    let may_stand = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_' | '.');
    let folder = Path::new("/workshop/reports");
    let whole = folder.join(name);
    let parts: Vec<Component<'_>> = Path::new(name).components().collect();
    if name.is_empty() || name.len() > FILE_NAME_MAX {
        Some("length")
    } else if !name.chars().all(may_stand) {
        Some("a character")
    } else if name.starts_with(['.', ' ', '-']) || name.ends_with(['.', ' ']) {
        Some("an end")
    } else if name.contains("..") {
        Some("two dots")
    } else if is_device(name) {
        Some("a device")
    } else if whole.parent() != Some(folder) || !matches!(parts[..], [Component::Normal(_)]) {
        Some("a path")
    } else {
        None
    }
}

proptest! {
    #[test]
    fn a_file_name_is_always_one_plain_component(text in text()) {
        let name = file_name(&text);
        prop_assert_eq!(fault_of_name(&name), None, "{:?} from {:?}", name, text);
        let report = file_name_with(&text, "pdf");
        prop_assert_eq!(fault_of_name(&report), None, "{:?} from {:?}", report, text);
        prop_assert!(report.ends_with(".pdf"), "{:?}", report);
        // A name that is right stays; only one that fills the room may lose its end.
        if name.len() < FILE_NAME_MAX {
            prop_assert_eq!(&file_name(&name), &name);
        }
    }

    #[test]
    fn markup_never_holds_a_character_that_means_something(text in text()) {
        let marked = html_text(&text);
        prop_assert!(!marked.contains(['<', '>', '"', '\'']), "{}", marked);
        // Each & begins one of the five references; taken back they give what was shown.
        let references = [
            ("&lt;", "<"),
            ("&gt;", ">"),
            ("&quot;", "\""),
            ("&#39;", "'"),
            ("&amp;", "&"),
        ];
        let mut plain = String::new();
        let mut rest = &*marked;
        while let Some(at) = rest.find('&') {
            plain.push_str(&rest[..at]);
            let found = references.iter().find(|(name, _)| rest[at..].starts_with(name));
            prop_assert!(found.is_some(), "{}", marked);
            let (name, character) = found.unwrap();
            plain.push_str(character);
            rest = &rest[at + name.len()..];
        }
        plain.push_str(rest);
        prop_assert_eq!(plain, shown(&text));
    }

    #[test]
    fn what_is_shown_has_nothing_that_cannot_be_seen(text in text()) {
        let seen = shown(&text);
        let is_hidden = |c: char| {
            c.is_control() || BIDI.contains(&c) || matches!(c, '\u{200b}' | '\u{feff}' | '\u{2028}')
        };
        prop_assert!(!seen.chars().any(is_hidden), "{:?}", seen);
        if !text.chars().any(|c| is_hidden(c) || !c.is_alphanumeric()) {
            prop_assert_eq!(&seen, &text);
        }
    }

    /// Read back by a reader of RFC 4180 that is not ours.
    #[test]
    fn a_field_for_a_spreadsheet_is_no_formula_and_comes_back(text in text()) {
        let field = csv_text(&text);
        let begins = ['=', '+', '-', '@', '\t', '\r', '\0'];
        prop_assert!(!field.starts_with(begins), "{:?}", field);
        prop_assert_eq!(csv_text_back(&field), &text);
        let mut bytes = Vec::new();
        let mut writer = csv::WriterBuilder::new()
            .terminator(csv::Terminator::CRLF)
            .from_writer(&mut bytes);
        writer.write_record(["first", &field, "last"]).unwrap();
        writer.flush().unwrap();
        drop(writer);
        let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(&bytes[..]);
        let record = reader.records().next().unwrap().unwrap();
        prop_assert_eq!(csv_text_back(&record[1]), &text);
    }

    #[test]
    fn a_number_is_what_the_pattern_says(text in "[-+]{0,2}[0-9٣]{0,3}[.,]{0,1}[0-9]{0,3}e?") {
        let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
        let bare = text.strip_prefix('-').unwrap_or(&text);
        let parts: Vec<&str> = bare.split('.').collect();
        let fits = parts.len() <= 2 && parts.iter().all(|part| digits(part));
        prop_assert_eq!(is_plain_number(&text), fits, "{}", text);
    }
}

#[test]
fn hostile_names_become_these() {
    for (text, name) in [
        ("../../etc/passwd", "_._.._etc_passwd"),
        ("", "unnamed"),
        ("...", "_._"),
        (" . ", "_"),
        ("CON", "_CON"),
        ("con .pdf", "_con .pdf"),
        ("COM10", "COM10"),
        ("Shaft 20 k6", "Shaft 20 k6"),
        ("Welle Ø 20", "Welle Ø 20"),
        ("a\u{202e}b", "a_b"),
        ("ends. ", "ends"),
    ] {
        let made = file_name(text);
        assert_eq!(fault_of_name(&made), None, "{text:?}: {made:?}");
        if text == "../../etc/passwd" {
            assert!(
                !made.contains(['/', '\\']) && made.ends_with("etc_passwd"),
                "{made}"
            );
        } else {
            assert_eq!(made, name, "{text:?}");
        }
    }
    assert_eq!(file_name_with("S-17/3", "pdf"), "S-17_3.pdf");
    assert_eq!(file_name_with("..", "../x"), "_.x");
    let long = file_name_with(&"軸".repeat(99), "pdf");
    assert!(
        long.len() <= FILE_NAME_MAX && long.ends_with("軸.pdf"),
        "{long}"
    );
}

#[test]
fn the_hostile_corpus_is_shown_as_it_is() {
    for (text, seen) in [
        ("\u{202e}fdp.exe", "\\u{202e}fdp.exe"),
        ("bell\u{7}", "bell\\u{7}"),
        ("a\nb\tc\rd", "a\\nb\\tc\\rd"),
        ("c1\u{85}", "c1\\u{85}"),
        ("Ø 20 µm 軸", "Ø 20 µm 軸"),
    ] {
        assert_eq!(shown(text), seen);
    }
    // No characters: the last two places of each plane (Unicode, section 23.7; from memory). XML
    // takes none of those of the first plane.
    for c in BIDI
        .into_iter()
        .chain(['\u{fffe}', '\u{ffff}', '\u{1ffff}', '\u{10fffe}'])
    {
        assert!(shown(&c.to_string()).starts_with("\\u{"), "{c:?}");
    }
    assert_eq!(
        html_text("<a href=\"x\">'&'</a>"),
        "&lt;a href=&quot;x&quot;&gt;&#39;&amp;&#39;&lt;/a&gt;"
    );
}

/// Each text of the corpus by itself, which random texts may miss.
#[test]
fn the_hostile_corpus_is_no_formula_no_markup_and_no_path() {
    for text in TEXTS {
        let field = csv_text(text);
        let begins = ['=', '+', '-', '@', '\t', '\r', '\0'];
        assert!(!field.starts_with(begins), "{field:?}");
        assert_eq!(csv_text_back(&field), text);
        assert!(!html_text(text).contains(['<', '>', '"', '\'']), "{text:?}");
        assert_eq!(fault_of_name(&file_name(text)), None, "{text:?}");
    }
    assert_eq!(
        csv_text("'=1"),
        "''=1",
        "else it would come back as a formula"
    );
    assert_eq!(csv_text("'quoted'"), "'quoted'");
}

#[test]
fn only_numbers_take_the_comma() {
    let options = ReportOptions {
        decimal_mark: DecimalMark::Comma,
        ..ReportOptions::default()
    };
    for (text, number) in [
        ("-0.012", "-0,012"),
        ("25", "25"),
        ("29°59'1.500\"", "29°59'1.500\""),
        ("fitledger 0.1.0", "fitledger 0.1.0"),
        ("goes", "goes"),
        ("", ""),
    ] {
        assert_eq!(options.number(text), number);
        assert_eq!(ReportOptions::default().number(text), text);
    }
}
