//! Every part on every characteristic on paper: as many characteristics beside each other as a page
//! is wide, the others in further tables, each with the parts' numbers.

use super::batch_told::{CellText, Look, blocks, cell_text, column_head};
use super::options::ReportOptions;
use super::pdf_page::{BODY_WIDTH, Ink, Paper, SMALL_SIZE};
use super::pdf_table::{Cell, Column, Plate, Table};
use super::pdf_text::Weight;
use super::safe::shown;
use super::sheet::{Asked, Sheet};
use super::sheet_batch::{BatchRow, BatchSheet};

/// Of a cell's value.
const SIZE: f32 = 7.5;
/// Columns of the part's number and serial number, points; characteristics share the rest.
const PART: f32 = 36.0;
const SERIAL: f32 = 74.0;

/// All pieces of the table.
pub(super) fn put_table(
    paper: &mut Paper<'_>,
    sheet: &Sheet,
    batch: &BatchSheet,
    options: &ReportOptions,
) {
    let (words, own) = (options.words, &options.words.batch);
    let has_serials = batch.rows.iter().any(|row| !row.serial.is_empty());
    for (at, (summary, block)) in blocks(own, &sheet.asked, has_serials).enumerate() {
        let mut columns = vec![Column::words(words.part, PART)];
        if has_serials {
            columns.push(Column::words(words.serial, SERIAL));
        }
        let taken: f32 = columns.iter().map(|column| column.share).sum();
        let each = (BODY_WIDTH - taken) / block.len().max(1) as f32;
        let heads = block.iter().map(column_head);
        columns.extend(heads.map(|head| Column::words(&head, each)));
        let table = Table {
            summary,
            columns,
            groups: batch
                .rows
                .iter()
                .map(|row| vec![cells(options, block, row, has_serials)])
                .collect(),
        };
        let key = if at == 0 { own.key } else { "" };
        table.put_under(paper, 3, &[key]);
    }
}

fn cells(options: &ReportOptions, block: &[Asked], row: &BatchRow, has_serials: bool) -> Vec<Cell> {
    let mut cells = vec![plain(&row.part.to_string(), Weight::Bold, Ink::Black)];
    if has_serials {
        cells.push(Cell::default().below(&shown(&row.serial)));
    }
    let own = block.iter().map(|asked| {
        let own = row.cells.iter().find(|cell| cell.number == asked.number);
        own.map_or_else(Cell::default, |one| cell(&cell_text(options, asked, one)))
    });
    cells.extend(own);
    cells
}

fn plain(text: &str, weight: Weight, ink: Ink) -> Cell {
    Cell::default().and(text, weight, SIZE, ink)
}

/// The word of what is not good stands on a plate, on a line of its own.
fn cell(told: &CellText) -> Cell {
    let word = || plain(&told.word, Weight::Bold, Ink::Black);
    let mut cell = match told.look {
        Look::Plain => plain(&told.main, Weight::Regular, Ink::Black),
        Look::Faint => plain(&told.main, Weight::Regular, Ink::Grey),
        Look::NoGo => word()
            .on(Plate::Full)
            .and(&told.main, Weight::Bold, SIZE, Ink::Black),
        Look::Doubt => word()
            .on(Plate::Frame)
            .and(&told.main, Weight::Regular, SIZE, Ink::Black),
    };
    for line in &told.below {
        cell = cell.and(line, Weight::Regular, SMALL_SIZE, Ink::Grey);
    }
    cell
}
