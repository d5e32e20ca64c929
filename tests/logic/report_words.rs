//! The texts of a report stand in one file, so that another language is one more such file: no
//! form of it has a sentence of its own.

use std::fs;
use std::path::Path;

/// Literals of two words that no reader of a report reads as text, or that are the record's.
const ALLOWED: [&str; 9] = [
    // A face's name.
    "DejaVu Sans",
    // Standings, as the record has them.
    "open (stage done)",
    "not selected",
    // Why no report could be made: said at the bench, not in a report.
    "the built-in face {name} cannot",
    "a page without a size was asked for",
    "the PDF cannot be made as an archive file",
    // Why no chart could be made.
    "A built-in face cannot be read.",
    "The picture would be too large.",
    "The picture could not be made",
];

/// String literals of Rust source, with their lines; comments are left out.
fn literals(source: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    let mut line = 1;
    let mut chars = source.chars().peekable();
    while let Some(one) = chars.next() {
        match one {
            '\n' => line += 1,
            '/' if chars.peek() == Some(&'/') => {
                while chars.next_if(|next| *next != '\n').is_some() {}
            }
            '\'' => {
                // A character, or a lifetime that has no end.
                let mut rest = chars.clone();
                let is_escape = rest.next() == Some('\\');
                let is_char = is_escape || rest.next() == Some('\'');
                if is_char {
                    let mut last = chars.next();
                    for next in chars.by_ref() {
                        if next == '\'' && last != Some('\\') {
                            break;
                        }
                        last = (last != Some('\\')).then_some(next);
                    }
                }
            }
            '"' => {
                let (start, mut text) = (line, String::new());
                while let Some(next) = chars.next() {
                    match next {
                        '"' => break,
                        '\\' => match chars.next() {
                            Some('\n') => {
                                line += 1;
                                while chars.next_if(|next| next.is_whitespace()).is_some() {}
                            }
                            Some('n') => text.push('\n'),
                            Some(escaped) => text.push(escaped),
                            None => {}
                        },
                        '\n' => {
                            line += 1;
                            text.push('\n');
                        }
                        next => text.push(next),
                    }
                }
                found.push((start, text));
            }
            _ => {}
        }
    }
    found
}

/// Whether two words of at least two letters stand one after the other, with a blank between.
fn is_sentence(literal: &str) -> bool {
    // Markup and its attributes say nothing to a reader.
    if literal.contains('<') || literal.contains("=\"") {
        return false;
    }
    let is_word = |piece: &str| {
        let piece = piece.trim_matches(|one: char| one.is_ascii_punctuation());
        piece.chars().count() > 1 && piece.chars().all(char::is_alphabetic)
    };
    let pieces: Vec<&str> = literal.split_whitespace().collect();
    pieces.windows(2).any(|two| {
        two.iter()
            .all(|piece| !piece.contains('{') && is_word(piece))
    })
}

#[test]
fn no_form_of_a_report_has_a_sentence_of_its_own() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/report");
    let mut files = 0;
    let mut sentences = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let forms = ["html", "pdf", "bar_svg", "outline_svg", "chart", "drawing"];
        // A style sheet is no text.
        if !forms.iter().any(|form| name.starts_with(form)) || name == "html_style.rs" {
            continue;
        }
        files += 1;
        for (line, text) in literals(&fs::read_to_string(&path).unwrap()) {
            let is_allowed = ALLOWED.iter().any(|allowed| text.starts_with(allowed));
            if is_sentence(&text) && !is_allowed {
                sentences.push(format!("{name}:{line}: {text:?}"));
            }
        }
    }
    assert!(files > 18, "only {files} files");
    assert!(
        sentences.is_empty(),
        "these belong into words_english.rs:\n{}",
        sentences.join("\n")
    );
}

#[test]
fn a_sentence_in_source_is_found() {
    let source = r#"
        // "in a comment"
        fn a<'a>(b: &'a str) { let quote = ['"', '\'', '\\']; b("One \"two\", three"); }
        fn c() { d("span class=\"small\""); e("{one} {two}"); f("over \
            lines"); g("single"); }
    "#;
    let found: Vec<(usize, bool)> = literals(source)
        .into_iter()
        .map(|(line, text)| (line, is_sentence(&text)))
        .collect();
    let expected = [(3, true), (4, false), (4, false), (4, true), (5, false)];
    assert_eq!(found, expected);
}
