//! Time of a report on paper: a part with 60 characteristics, all its detail: the goal is half a
//! second; and a batch of 200 parts with 5 characteristics, from its record to paper: 3 seconds.
//!
//! The anchor is what any program would have to do with the same library: the same text, string by
//! string, on as many pages, with the same face, without tables, structure or pictures. Both run in
//! turns (A B A B ...); what is said is the median of each, and of the paired ratio.
//!
//! `cargo bench --bench report_pdf [-- --turns N]`

use std::error::Error;
use std::hint::black_box;
use std::process::ExitCode;
use std::time::Instant;

use fitledger::report::{ReportOptions, Selection, html, pdf};
use krilla::Document;
use krilla::geom::Point;
use krilla::page::PageSettings;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};

#[allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, dead_code)]
#[path = "../tests/logic/support/batch_shafts.rs"]
mod batch_shafts;
#[allow(clippy::unwrap_used, dead_code)]
#[path = "../tests/logic/support/batch_sheets.rs"]
mod batch_sheets;
#[allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, dead_code)]
#[path = "../tests/logic/support/bench.rs"]
mod bench;
#[allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, dead_code)]
#[path = "../tests/logic/support/cruel_disk.rs"]
mod cruel_disk;
#[allow(dead_code)]
#[path = "../tests/logic/support/made_sheets.rs"]
mod made_sheets;
#[allow(clippy::unwrap_used, clippy::expect_used, dead_code)]
#[path = "../tests/logic/support/pdf_read.rs"]
mod pdf_read;
#[allow(clippy::unwrap_used, clippy::panic, dead_code)]
#[path = "../tests/logic/support/pdf_sheets.rs"]
mod pdf_sheets;
#[allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, dead_code)]
#[path = "../tests/logic/support/sheets.rs"]
mod sheets;
#[allow(clippy::unwrap_used, dead_code)]
#[path = "../tests/logic/statistics_made.rs"]
mod statistics_made;

/// Seconds that a report may take.
const GOAL: f64 = 0.5;
/// Seconds that a report of a batch may take, from its record on.
const BATCH_GOAL: f64 = 3.0;
const BATCH_PARTS: u32 = 200;
const BATCH_TURNS: usize = 5;
const CHARACTERISTICS: usize = 60;
const FACE: &[u8] = include_bytes!("../src/report/faces/B612-Regular.otf");

/// The strings of a report written plainly.
fn plain(pages: &[String]) -> Result<Vec<u8>, Box<dyn Error>> {
    let face = FontRef::new(FACE)?;
    let chars = face.charmap();
    let metrics = face.glyph_metrics(Size::unscaled(), LocationRef::default());
    let font = Font::new(FACE.into(), 0).ok_or("no face")?;
    let mut document = Document::new();
    for text in pages {
        let settings = PageSettings::from_wh(595.28, 841.89).ok_or("no page")?;
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        for (at, line) in text.lines().enumerate() {
            let glyph = |(from, one): (usize, char)| {
                let id = chars.map(one)?;
                Some(KrillaGlyph {
                    glyph_id: GlyphId::new(id.to_u32()),
                    text_range: from..from + one.len_utf8(),
                    x_advance: metrics.advance_width(id)? / font.units_per_em(),
                    x_offset: 0.0,
                    y_offset: 0.0,
                    y_advance: 0.0,
                    location: None,
                })
            };
            let glyphs: Vec<KrillaGlyph> = line.char_indices().filter_map(glyph).collect();
            let y = 20.0 + at as f32 * 3.0;
            surface.draw_glyphs(
                Point::from_xy(20.0, y),
                &glyphs,
                font.clone(),
                line,
                8.0,
                false,
            );
        }
        surface.finish();
        page.finish();
    }
    Ok(document.finish().map_err(|why| format!("{why:?}"))?)
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times.get(times.len() / 2).copied().unwrap_or(f64::NAN)
}

/// A batch from the bytes of its record to paper, and what of that the sheet takes; and its page.
fn batch() -> Result<bool, Box<dyn Error>> {
    let bench = batch_shafts::shafts(BATCH_PARTS);
    let bytes = sheets::bytes_of(&bench);
    let which = Selection::default();
    let (mut all, mut gathered, mut pages) = (Vec::new(), Vec::new(), Vec::new());
    let mut size = 0;
    for _ in 0..BATCH_TURNS {
        let start = Instant::now();
        let sheet = sheets::sheet_of_bytes(black_box(&bytes), &which);
        gathered.push(start.elapsed().as_secs_f64());
        let paper = pdf(black_box(&sheet), &ReportOptions::default())?;
        all.push(start.elapsed().as_secs_f64());
        size = paper.len();
        let start = Instant::now();
        black_box(html(black_box(&sheet), &ReportOptions::default()));
        pages.push(start.elapsed().as_secs_f64());
    }
    let report = median(all);
    println!(
        "batch of {BATCH_PARTS} parts x 5 characteristics: {:.0} ms ({:.0} ms to the sheet), {size} \
         bytes; its page {:.0} ms",
        report * 1e3,
        median(gathered) * 1e3,
        median(pages) * 1e3,
    );
    println!(
        "goal {BATCH_GOAL} s: {}",
        if report <= BATCH_GOAL {
            "met"
        } else {
            "missed"
        }
    );
    Ok(report <= BATCH_GOAL)
}

fn run() -> Result<bool, Box<dyn Error>> {
    let mut arguments = std::env::args().skip_while(|one| one != "--turns").skip(1);
    let turns: usize = arguments.next().map_or(Ok(21), |turns| turns.parse())?;
    let sheet = pdf_sheets::long(CHARACTERISTICS);
    let options = ReportOptions {
        with_readings: true,
        ..ReportOptions::default()
    };
    let bytes = pdf(&sheet, &options)?;
    let pages = pdf_read::Read::of(&bytes).pages;
    let lines: usize = pages.iter().map(|page| page.lines().count()).sum();
    let (mut reports, mut anchors, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..turns {
        let start = Instant::now();
        black_box(pdf(black_box(&sheet), &options)?);
        let report = start.elapsed().as_secs_f64();
        let start = Instant::now();
        black_box(plain(black_box(&pages))?);
        let anchor = start.elapsed().as_secs_f64();
        reports.push(report);
        anchors.push(anchor);
        ratios.push(report / anchor);
    }
    let report = median(reports);
    println!(
        "report of {CHARACTERISTICS} characteristics: {:.1} ms, {} pages, {lines} strings, \
         {} bytes",
        report * 1e3,
        pages.len(),
        bytes.len(),
    );
    println!(
        "the same strings written plainly: {:.1} ms, {} bytes; ratio {:.2}",
        median(anchors) * 1e3,
        plain(&pages)?.len(),
        median(ratios),
    );
    println!(
        "goal {GOAL} s: {}",
        if report <= GOAL { "met" } else { "missed" }
    );
    Ok(batch()? && report <= GOAL)
}

fn main() -> Result<ExitCode, Box<dyn Error>> {
    // Asked by `cargo test --benches` only to list itself.
    if std::env::args().any(|one| one == "--list") {
        return Ok(ExitCode::SUCCESS);
    }
    Ok(if run()? {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}
