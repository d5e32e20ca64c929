//! The report on paper: a PDF with selectable text, embedded faces and its structure told, made
//! without a clock: the same sheet gives the same bytes.
//!
//! It is written as PDF/A-2a (ISO 19005-2, level A), with the library's own check of it; no other
//! validator was at hand. Date and document id are those of the record: its last line's time and
//! hash.

use std::error::Error;
use std::fmt;

use jiff::Timestamp;
use jiff::tz::TimeZone;
use krilla::configure::{Archival, ConfigurationBuilder};
use krilla::metadata::{DateTime, Metadata};
use krilla::{Document, SerializeSettings};

use super::options::ReportOptions;
use super::pdf_page::{BOTTOM, Ink, MARGIN, Op, PAGE_WIDTH, Paper, Role, SMALL_SIZE, base};
use super::pdf_text::{Faces, Weight, leading};
use super::row_texts::at_the_bench;
use super::safe::shown;
use super::sheet::Sheet;
use super::{pdf_back, pdf_batch, pdf_front, pdf_paint, pdf_parts};

/// Digits of the head's hash at the foot of each page.
const HASH_DIGITS: usize = 16;
/// Longest text of a PDF's own fields in characters: PDF/A allows 32,767 bytes, and nobody reads
/// a title as long as that.
const FIELD_MAX: usize = 400;

/// Why a report was not made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PdfError {
    /// A built-in face cannot be read.
    Face(&'static str),
    /// A page has no size.
    Size,
    /// The PDF library refuses what it was given; its own words.
    Refused(String),
}

impl fmt::Display for PdfError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Face(name) => write!(
                f,
                "the built-in face {name} cannot be read; the program is not built as it should \
                 be: install it again, or make the report as HTML"
            ),
            Self::Size => write!(
                f,
                "a page without a size was asked for; make the report as HTML"
            ),
            Self::Refused(why) => write!(
                f,
                "the PDF cannot be made as an archive file ({why}); make the report as HTML"
            ),
        }
    }
}

impl Error for PdfError {}

/// The report as a PDF file.
///
/// # Errors
///
/// A face is broken, or the PDF library refuses its input; neither comes from what a record says.
pub fn pdf(sheet: &Sheet, options: &ReportOptions) -> Result<Vec<u8>, PdfError> {
    let faces = Faces::load()?;
    let told = at_the_bench(sheet);
    let mut paper = Paper::new(&faces);
    paper.open(Role::Section);
    pdf_front::put(&mut paper, &told, options);
    paper.close();
    pdf_batch::put(&mut paper, &told, options);
    for part in &told.parts {
        paper.open(Role::Section);
        pdf_parts::put(&mut paper, &told, part, options);
        paper.close();
    }
    paper.open(Role::Section);
    pdf_back::put(&mut paper, &told, options);
    paper.close();
    put_feet(&mut paper, sheet, options);
    write(paper, sheet, options)
}

/// The foot of every page: what it belongs to, which page, and the record's head.
fn put_feet(paper: &mut Paper<'_>, sheet: &Sheet, options: &ReportOptions) {
    let words = options.words;
    let count = paper.pages.len();
    let faces = paper.faces;
    let room = PAGE_WIDTH - 2.0 * MARGIN;
    let name = [
        &sheet.job.part_name,
        &sheet.job.drawing,
        &sheet.job.revision,
    ];
    let name: Vec<&str> = name.into_iter().map(String::as_str).collect();
    let name = joined(&name);
    let files = shown(&sheet.record.files.join(", ")).into_owned();
    let hash: String = sheet.record.head.chars().take(HASH_DIGITS).collect();
    let events = sheet.record.events;
    let witness = format!(
        "{} {} · {} {events}",
        words.head,
        words.or_not_recorded(&hash),
        words.events
    );
    for (at, page) in paper.pages.iter_mut().enumerate() {
        let number = format!("{} {} {} {count}", words.page, at + 1, words.of);
        let number = faces.line(&number, Weight::Regular, SMALL_SIZE);
        let left = room - number.width - 12.0;
        let first = BOTTOM + 12.0;
        let second = first + leading(SMALL_SIZE);
        let text = |x: f32, y: f32, line| Op::Text {
            x,
            y: y + base(SMALL_SIZE),
            line,
            ink: Ink::Black,
        };
        let number_x = PAGE_WIDTH - MARGIN - number.width;
        let half = room * 0.42;
        let witness = faces.cut(&witness, Weight::Regular, SMALL_SIZE, room - half - 8.0);
        let witness_x = PAGE_WIDTH - MARGIN - witness.width;
        let ops = vec![
            Op::rule(
                (MARGIN, first - 4.0),
                (PAGE_WIDTH - MARGIN, first - 4.0),
                0.4,
                Ink::Line,
            ),
            text(
                MARGIN,
                first,
                faces.cut(&name, Weight::Bold, SMALL_SIZE, left),
            ),
            text(number_x, first, number),
            text(
                MARGIN,
                second,
                faces.cut(&files, Weight::Regular, SMALL_SIZE, half),
            ),
            text(witness_x, second, witness),
        ];
        page.push(super::pdf_page::Piece {
            ops,
            is_content: false,
        });
    }
}

/// What is not empty, with dots between.
fn joined(texts: &[&str]) -> String {
    let texts = texts.iter().filter(|text| !text.is_empty());
    let texts: Vec<_> = texts.map(|text| shown(text)).collect();
    texts.join(" · ")
}

fn write(paper: Paper<'_>, sheet: &Sheet, options: &ReportOptions) -> Result<Vec<u8>, PdfError> {
    let metadata = metadata(paper.faces, sheet, options);
    finish(paper, options, metadata)
}

/// The pages as a file.
pub(super) fn finish(
    mut paper: Paper<'_>,
    options: &ReportOptions,
    metadata: Metadata,
) -> Result<Vec<u8>, PdfError> {
    let configuration = ConfigurationBuilder::new()
        .with_archival_validator(Archival::A2_A)
        .finish()
        .map_err(|why| PdfError::Refused(format!("{why:?}")))?;
    let mut document = Document::new_with(SerializeSettings {
        configuration,
        enable_tagging: true,
        ..SerializeSettings::default()
    });
    let structure = paper.structure();
    let painted = pdf_paint::paint(&mut document, paper.faces, &paper.pages)?;
    document.set_tag_tree(pdf_paint::tag_tree(
        structure,
        &painted,
        options.words.language,
    ));
    document.set_outline(pdf_paint::contents(&paper.bookmarks));
    document.set_metadata(metadata);
    document
        .finish()
        .map_err(|why| PdfError::Refused(format!("{why:?}")))
}

fn metadata(faces: &Faces, sheet: &Sheet, options: &ReportOptions) -> Metadata {
    let job = &sheet.job;
    // As on paper: what a face cannot draw, a list of files cannot either.
    let field = |text: &str| {
        let text = faces.seen(&shown(text), Weight::Regular);
        text.chars().take(FIELD_MAX).collect::<String>()
    };
    let name = joined(&[
        options.words.title,
        &job.part_name,
        &job.drawing,
        &job.revision,
    ]);
    let people = job.operators.iter().map(|name| field(name)).collect();
    let metadata = Metadata::new()
        .title(field(&name))
        .authors(people)
        .language(options.words.language.to_owned())
        .creator(concat!("fitledger ", env!("CARGO_PKG_VERSION")).to_owned())
        .producer("krilla".to_owned())
        .document_id(format!("{} {}", sheet.record.head, sheet.record.events));
    metadata.creation_date(date(&sheet.record.last))
}

/// What a file says of itself that belongs to no record: it has no people and no time.
pub(super) fn told_by(faces: &Faces, title: &str, options: &ReportOptions) -> Metadata {
    let title = faces.seen(&shown(title), Weight::Regular);
    let title: String = title.chars().take(FIELD_MAX).collect();
    Metadata::new()
        .document_id(title.clone())
        .title(title)
        .language(options.words.language.to_owned())
        .creator(concat!("fitledger ", env!("CARGO_PKG_VERSION")).to_owned())
        .producer("krilla".to_owned())
        .creation_date(date(""))
}

/// The time of the last line in UTC; of a record without one, a date that nobody takes for true.
fn date(text: &str) -> DateTime {
    let Ok(time) = text.parse::<Timestamp>() else {
        return DateTime::new(1900).month(1).day(1).utc_offset_hour(0);
    };
    let time = time.to_zoned_datetime(TimeZone::UTC);
    let small = |number: i8| u8::try_from(number).unwrap_or_default();
    DateTime::new(u16::try_from(time.year()).unwrap_or_default())
        .month(small(time.month()))
        .day(small(time.day()))
        .hour(small(time.hour()))
        .minute(small(time.minute()))
        .second(small(time.second()))
        .utc_offset_hour(0)
        .utc_offset_minute(0)
}
