//! From the text of a page to its blocks. The only file that names `pulldown_cmark`.

use pulldown_cmark::{Event, HeadingLevel, Options, Parser, Tag, TagEnd};

use super::block::{Block, Look, Span, Target};

/// The blocks of a text; comments and other markup in it are left out.
pub(super) fn blocks(text: &str) -> Vec<Block> {
    let mut reading = Reading {
        events: Parser::new_ext(text, Options::ENABLE_TABLES),
    };
    reading.blocks()
}

struct Reading<'t> {
    events: Parser<'t>,
}

impl Reading<'_> {
    /// Until the element that holds them ends, or the text.
    fn blocks(&mut self) -> Vec<Block> {
        let mut blocks = Vec::new();
        // An item of a tight list holds words without a paragraph around them.
        let mut loose = Vec::new();
        while let Some(event) = self.events.next() {
            match event {
                Event::Start(tag) if is_inline(&tag) => self.within(tag, &mut loose),
                Event::Start(tag) => {
                    close(&mut loose, &mut blocks);
                    self.block(tag, &mut blocks);
                }
                Event::End(_) => break,
                other => word(other, Look::Plain, None, &mut loose),
            }
        }
        close(&mut loose, &mut blocks);
        blocks
    }

    fn block(&mut self, tag: Tag<'_>, blocks: &mut Vec<Block>) {
        match tag {
            Tag::Paragraph => blocks.push(Block::Paragraph(self.spans())),
            Tag::Heading { level, .. } => {
                let spans = self.spans();
                blocks.push(Block::Heading {
                    level: number(level),
                    anchor: anchor(&spans),
                    spans,
                });
            }
            Tag::List(_) => blocks.push(Block::List(self.items())),
            Tag::CodeBlock(_) => {
                let lines: String = self.spans().into_iter().map(|span| span.text).collect();
                blocks.push(Block::Code(lines));
            }
            Tag::Table(_) => blocks.push(self.table()),
            Tag::HtmlBlock => drop(self.spans()),
            // A quotation, a note: what is in it stands by itself.
            _ => blocks.extend(self.blocks()),
        }
    }

    fn items(&mut self) -> Vec<Vec<Block>> {
        let mut items = Vec::new();
        while let Some(event) = self.events.next() {
            match event {
                Event::Start(_) => items.push(self.blocks()),
                Event::End(_) => break,
                _ => {}
            }
        }
        items
    }

    fn table(&mut self) -> Block {
        let (mut titles, mut rows) = (Vec::new(), Vec::new());
        while let Some(event) = self.events.next() {
            match event {
                Event::Start(Tag::TableHead) => titles = self.cells(),
                Event::Start(_) => rows.push(self.cells()),
                Event::End(TagEnd::Table) => break,
                _ => {}
            }
        }
        Block::Table { titles, rows }
    }

    /// The cells of a row.
    fn cells(&mut self) -> Vec<Vec<Span>> {
        let mut cells = Vec::new();
        while let Some(event) = self.events.next() {
            match event {
                Event::Start(_) => cells.push(self.spans()),
                Event::End(_) => break,
                _ => {}
            }
        }
        cells
    }

    /// Words until the element that holds them ends.
    fn spans(&mut self) -> Vec<Span> {
        let mut spans = Vec::new();
        self.words(Look::Plain, None, &mut spans);
        spans
    }

    fn words(&mut self, look: Look, target: Option<&Target>, spans: &mut Vec<Span>) {
        while let Some(event) = self.events.next() {
            match event {
                Event::Start(tag) => {
                    let (look, link) = looks(&tag, look);
                    self.words(look, link.as_ref().or(target), spans);
                }
                Event::End(_) => break,
                other => word(other, look, target, spans),
            }
        }
    }

    fn within(&mut self, tag: Tag<'_>, spans: &mut Vec<Span>) {
        let (look, link) = looks(&tag, Look::Plain);
        self.words(look, link.as_ref(), spans);
    }
}

fn is_inline(tag: &Tag<'_>) -> bool {
    matches!(
        tag,
        Tag::Emphasis | Tag::Strong | Tag::Link { .. } | Tag::Image { .. } | Tag::Strikethrough
    )
}

fn looks(tag: &Tag<'_>, look: Look) -> (Look, Option<Target>) {
    match tag {
        Tag::Strong => (Look::Strong, None),
        Tag::Emphasis => (Look::Emphasis, None),
        Tag::Link { dest_url, .. } => (look, Some(target(dest_url))),
        _ => (look, None),
    }
}

fn word(event: Event<'_>, look: Look, target: Option<&Target>, spans: &mut Vec<Span>) {
    let (text, look) = match event {
        Event::Text(text) => (text.into_string(), look),
        Event::Code(text) => (text.into_string(), Look::Code),
        Event::SoftBreak | Event::HardBreak => (" ".to_owned(), look),
        _ => return,
    };
    match spans.last_mut() {
        Some(last) if last.look == look && last.target.as_ref() == target => {
            last.text.push_str(&text);
        }
        _ => spans.push(Span {
            text,
            look,
            target: target.cloned(),
        }),
    }
}

fn close(loose: &mut Vec<Span>, blocks: &mut Vec<Block>) {
    if !loose.is_empty() {
        blocks.push(Block::Paragraph(std::mem::take(loose)));
    }
}

/// `records.md#a-heading`, `records.md` or `#a-heading`.
fn target(link: &str) -> Target {
    let (page, heading) = match link.split_once('#') {
        Some((page, anchor)) => (page, Some(anchor.to_owned())),
        None => (link, None),
    };
    Target {
        page: page.strip_suffix(".md").unwrap_or(page).to_owned(),
        anchor: heading,
    }
}

/// The words in small letters, joined by `-`: so does the place where the sources are kept.
fn anchor(spans: &[Span]) -> String {
    let words: String = spans.iter().map(|span| span.text.as_str()).collect();
    let kept = words.chars().filter_map(|c| match c {
        ' ' => Some('-'),
        c if c.is_alphanumeric() || matches!(c, '-' | '_') => Some(c),
        _ => None,
    });
    kept.collect::<String>().to_lowercase()
}

fn number(level: HeadingLevel) -> u8 {
    match level {
        HeadingLevel::H1 => 1,
        HeadingLevel::H2 => 2,
        HeadingLevel::H3 => 3,
        HeadingLevel::H4 => 4,
        HeadingLevel::H5 => 5,
        HeadingLevel::H6 => 6,
    }
}

#[cfg(test)]
mod tests {
    use super::{Block, Look, Span, Target, blocks};

    fn plain(text: &str) -> Span {
        Span {
            text: text.to_owned(),
            ..Span::default()
        }
    }

    #[test]
    fn every_kind_of_block_is_read_and_comments_are_not() {
        let text = "# A *b*, c\n\none\ntwo `x y` [r](records.md#the-head)\n\n\
            <!-- before\nno\n-->\n\n\
            - **a** one\n- two\n\n  ```sh exit=1\n  run\n  ```\n\n\
            | a | b |\n|---|---|\n| `c\\|d` | |\n";
        let read = blocks(text);
        let Block::Heading {
            level: 1, anchor, ..
        } = &read[0]
        else {
            panic!("{read:?}")
        };
        assert_eq!(anchor, "a-b-c");
        let Block::Paragraph(spans) = &read[1] else {
            panic!("{read:?}")
        };
        assert_eq!(spans[0], plain("one two "));
        assert_eq!((spans[1].text.as_str(), spans[1].look), ("x y", Look::Code));
        let link = Target {
            page: "records".to_owned(),
            anchor: Some("the-head".to_owned()),
        };
        assert_eq!(spans[3].target, Some(link));
        let Block::List(items) = &read[2] else {
            panic!("{read:?}")
        };
        assert_eq!(items.len(), 2);
        assert_eq!(items[1][0], Block::Paragraph(vec![plain("two")]));
        assert_eq!(items[1][1], Block::Code("run\n".to_owned()));
        let Block::Table { titles, rows } = &read[3] else {
            panic!("{read:?}")
        };
        assert_eq!((titles.len(), rows[0].len()), (2, 2));
        assert_eq!(rows[0][0][0].text, "c|d");
        assert!(rows[0][1].is_empty());
        assert_eq!(read.len(), 4, "{read:?}");
    }
}
