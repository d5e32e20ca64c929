//! Every part on every characteristic in the HTML form. What is NO-GO or in doubt is told by its
//! word and by the border around it, never by a colour.

use super::batch_told::{Look, blocks, cell_text, column_head};
use super::html::Page;
use super::html_markup::{Head, Markup};
use super::sheet::Asked;
use super::sheet_batch::{BatchCell, BatchSheet};

/// The table, in as many pieces as fit the width of a page.
pub(super) fn table(page: &Page<'_>, m: &mut Markup, batch: &BatchSheet) {
    let own = &page.words.batch;
    let has_serials = batch.rows.iter().any(|row| !row.serial.is_empty());
    for (caption, block) in blocks(own, &page.sheet.asked, has_serials) {
        piece(page, m, batch, block, (&caption, has_serials));
    }
    m.element("p class=\"small\"", own.key);
}

fn piece(
    page: &Page<'_>,
    m: &mut Markup,
    batch: &BatchSheet,
    block: &[Asked],
    (caption, has_serials): (&str, bool),
) {
    let names: Vec<String> = block.iter().map(column_head).collect();
    let mut heads: Vec<Head<'_>> = vec![(page.words.part, "w7")];
    if has_serials {
        heads.push((page.words.serial, "w14"));
    }
    heads.extend(names.iter().map(|name| (name.as_str(), "")));
    m.table("h3", caption, &heads, |m| {
        for row in &batch.rows {
            m.within("tr", |m| {
                m.element("th scope=\"row\" class=\"no\"", &row.part.to_string());
                if has_serials {
                    m.element("td", &row.serial);
                }
                for asked in block {
                    let own = row.cells.iter().find(|cell| cell.number == asked.number);
                    m.within("td", |m| {
                        if let Some(one) = own {
                            cell(page, m, asked, one);
                        }
                    });
                }
            });
        }
    });
}

fn cell(page: &Page<'_>, m: &mut Markup, asked: &Asked, one: &BatchCell) {
    let told = cell_text(page.options, asked, one);
    match told.look {
        Look::NoGo => m.element("span class=\"verdict no-go\"", &told.word),
        Look::Doubt => m.element("span class=\"verdict doubt\"", &told.word),
        Look::Plain | Look::Faint => {}
    }
    if !told.word.is_empty() && !told.main.is_empty() {
        m.raw(" ");
    }
    match told.look {
        Look::Faint => m.element("span class=\"small\"", &told.main),
        Look::NoGo => m.element("b", &told.main),
        Look::Plain | Look::Doubt => m.text(&told.main),
    }
    for line in &told.below {
        m.element("small", line);
    }
}
