//! The whole guide as one HTML file that stands alone: style in it, no script, nothing from
//! outside, and a content policy that allows no more. It is well-formed XML too.

use super::guide_style::GUIDE_STYLE;
use super::html_markup::Markup;
use super::safe;
use crate::guide::{Block, Look, Page, Span, TITLES, Target};

/// The pages under a list of what they are about.
pub fn guide_html(pages: &[Page]) -> String {
    let [title, with_program] = TITLES;
    let mut m = Markup::default();
    m.raw("<!DOCTYPE html>\n<html lang=\"en\">\n");
    m.head(with_program, |m| m.raw(GUIDE_STYLE));
    m.within("body", |m| {
        m.within("header", |m| {
            m.element("p class=\"kind\"", "Fitledger");
            m.element("p class=\"name\"", title);
        });
        m.within("nav", |m| contents(m, pages));
        m.within("main", |m| pages.iter().for_each(|one| page(m, one)));
    });
    m.raw("</html>\n");
    m.into_text()
}

fn contents(m: &mut Markup, pages: &[Page]) {
    m.within("ol", |m| {
        for page in pages {
            m.within("li", |m| {
                link(m, page.name, None, |m| m.text(page.title));
                m.element("small", page.about);
            });
        }
    });
}

fn page(m: &mut Markup, page: &Page) {
    opened(m, "section", &id(page.name, None));
    for block in page.blocks() {
        one(m, page.name, &block);
    }
    m.raw("</section>\n");
}

fn one(m: &mut Markup, page: &str, block: &Block) {
    match block {
        Block::Heading {
            level: 1, spans, ..
        } => m.within("h1", |m| words(m, page, spans)),
        Block::Heading {
            level,
            anchor,
            spans,
        } => {
            let tag = if *level == 2 { "h2" } else { "h3" };
            opened(m, tag, &id(page, Some(anchor)));
            words(m, page, spans);
            m.raw(&format!("</{tag}>\n"));
        }
        Block::Paragraph(spans) => m.within("p", |m| words(m, page, spans)),
        Block::List(items) => m.within("ul", |m| {
            for item in items {
                m.within("li", |m| item.iter().for_each(|block| one(m, page, block)));
            }
        }),
        Block::Code(lines) => m.within("pre", |m| m.within("code", |m| code(m, lines))),
        Block::Table { titles, rows } => table(m, page, titles, rows),
    }
}

/// Line by line: the end of a line would be made visible as any other that cannot be seen.
fn code(m: &mut Markup, lines: &str) {
    for line in lines.lines() {
        m.text(line);
        m.raw("\n");
    }
}

fn table(m: &mut Markup, page: &str, titles: &[Vec<Span>], rows: &[Vec<Vec<Span>>]) {
    m.within("div class=\"wide\"", |m| {
        m.within("table", |m| {
            if titles.iter().any(|title| !title.is_empty()) {
                m.within("thead", |m| {
                    m.within("tr", |m| {
                        for title in titles {
                            m.within("th scope=\"col\"", |m| words(m, page, title));
                        }
                    });
                });
            }
            m.within("tbody", |m| {
                for row in rows {
                    m.within("tr", |m| {
                        for cell in row {
                            m.within("td", |m| words(m, page, cell));
                        }
                    });
                }
            });
        });
    });
}

fn words(m: &mut Markup, page: &str, spans: &[Span]) {
    for span in spans {
        match &span.target {
            Some(Target { page: to, anchor }) => {
                let to = if to.is_empty() { page } else { to };
                link(m, to, anchor.as_deref(), |m| looking(m, span));
            }
            None => looking(m, span),
        }
    }
}

fn looking(m: &mut Markup, span: &Span) {
    match span.look {
        Look::Plain => m.text(&span.text),
        Look::Code => m.element("code", &span.text),
        Look::Strong => m.element("b", &span.text),
        Look::Emphasis => m.element("i", &span.text),
    }
}

/// The identity of a page, or of a heading on it, in the one file.
fn id(page: &str, anchor: Option<&str>) -> String {
    match anchor {
        Some(anchor) => format!("{page}--{anchor}"),
        None => page.to_owned(),
    }
}

fn opened(m: &mut Markup, tag: &str, id: &str) {
    m.raw(&format!("<{tag} id=\"{}\">", safe::html(id)));
}

fn link(m: &mut Markup, page: &str, anchor: Option<&str>, inside: impl FnOnce(&mut Markup)) {
    m.raw(&format!("<a href=\"#{}\">", safe::html(&id(page, anchor))));
    inside(m);
    m.raw("</a>");
}
