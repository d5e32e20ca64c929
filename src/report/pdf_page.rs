//! Paper: pages that are filled from the top, what is drawn on them, and the structure that a
//! reader without eyes follows. Nothing is painted here: how many pages there are is known only
//! at the end, and every page says so at its foot.

use super::pdf_text::{Faces, Line, Weight, leading};

/// A4, points.
pub(super) const PAGE_WIDTH: f32 = 595.28;
/// A4, points.
pub(super) const PAGE_HEIGHT: f32 = 841.89;
/// Left and right margin: 15 mm, so that holes can be punched.
pub(super) const MARGIN: f32 = 42.52;
/// Upper end of what is filled.
pub(super) const TOP: f32 = 42.52;
/// Lower end of what is filled; below it stands the foot.
pub(super) const BOTTOM: f32 = PAGE_HEIGHT - 56.0;
/// Width of what is filled.
pub(super) const BODY_WIDTH: f32 = PAGE_WIDTH - 2.0 * MARGIN;
/// Height of what is filled.
pub(super) const BODY_HEIGHT: f32 = BOTTOM - TOP;

/// Size of running text, points.
pub(super) const TEXT_SIZE: f32 = 8.5;
/// Size of what stands beside and below values.
pub(super) const SMALL_SIZE: f32 = 7.0;

/// Colours: few, and none that says anything alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ink {
    /// Text and outlines.
    Black,
    /// Text that may be overlooked.
    Grey,
    /// Rules.
    Line,
    /// Behind a table's head, metal.
    Tint,
    /// Paper.
    White,
    /// The one colour: title rule and section marks.
    Accent,
}

impl Ink {
    /// Red, green, blue.
    pub(super) fn rgb(self) -> (u8, u8, u8) {
        match self {
            Self::Black => (0x14, 0x18, 0x1C),
            Self::Grey => (0x50, 0x58, 0x60),
            Self::Line => (0xA8, 0xB0, 0xB8),
            Self::Tint => (0xE9, 0xEC, 0xEF),
            Self::White => (0xFF, 0xFF, 0xFF),
            Self::Accent => (0x0B, 0x4F, 0x6C),
        }
    }
}

/// Something drawn. Points from the upper left corner of the page; of text, `y` is its base line.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Op {
    /// A line of text.
    Text {
        x: f32,
        y: f32,
        line: Line,
        ink: Ink,
    },
    /// A straight line.
    Rule {
        from: (f32, f32),
        to: (f32, f32),
        width: f32,
        ink: Ink,
        dash: Option<f32>,
    },
    /// A polygon.
    Shape {
        points: Vec<(f32, f32)>,
        fill: Option<Ink>,
        edge: Option<(f32, Ink)>,
    },
    /// A rectangle with round ends.
    Pill {
        left: f32,
        top: f32,
        width: f32,
        height: f32,
        fill: Ink,
        edge: Option<(f32, Ink)>,
    },
    /// Open lines, painted as one.
    Lines {
        pieces: Vec<Vec<(f32, f32)>>,
        width: f32,
        ink: Ink,
        /// Lengths drawn and left out, in turn; empty for whole lines.
        dashes: Vec<f32>,
        /// Whether their ends are round, so that a line of no length is a disc.
        is_round: bool,
    },
}

impl Op {
    /// A rectangle.
    pub(super) fn rect(left: f32, top: f32, width: f32, height: f32, fill: Ink) -> Self {
        let (right, bottom) = (left + width, top + height);
        Self::Shape {
            points: vec![(left, top), (right, top), (right, bottom), (left, bottom)],
            fill: Some(fill),
            edge: None,
        }
    }

    /// A straight line without dashes.
    pub(super) fn rule(from: (f32, f32), to: (f32, f32), width: f32, ink: Ink) -> Self {
        Self::Rule {
            from,
            to,
            width,
            ink,
            dash: None,
        }
    }

    /// The same, moved.
    pub(super) fn moved(mut self, by_x: f32, by_y: f32) -> Self {
        match &mut self {
            Self::Text { x, y, .. } => (*x, *y) = (*x + by_x, *y + by_y),
            Self::Rule { from, to, .. } => {
                for end in [from, to] {
                    *end = (end.0 + by_x, end.1 + by_y);
                }
            }
            Self::Shape { points, .. } => {
                for point in points {
                    *point = (point.0 + by_x, point.1 + by_y);
                }
            }
            Self::Pill { left, top, .. } => (*left, *top) = (*left + by_x, *top + by_y),
            Self::Lines { pieces, .. } => {
                for point in pieces.iter_mut().flatten() {
                    *point = (point.0 + by_x, point.1 + by_y);
                }
            }
        }
        self
    }
}

/// What a piece of the structure is.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Role {
    /// A part of the document.
    Section,
    /// A heading of that level, from 1.
    Heading(u16, String),
    /// A paragraph.
    Paragraph,
    /// A table.
    Table(String),
    /// Its head.
    TableHead,
    /// Its rows.
    TableBody,
    /// A row.
    Row,
    /// A cell of the head.
    HeadCell,
    /// The first cell of a row that the others are about.
    RowHead,
    /// A cell over so many columns.
    Cell(u32),
    /// A picture, with what it shows in words.
    Figure(String),
}

/// The structure: branches, and leaves that are pieces of pages.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Twig {
    /// Something with parts.
    Branch(Role, Vec<Twig>),
    /// Piece of a page, both from 0.
    Leaf(usize, usize),
}

/// Things drawn together.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Piece {
    pub(super) ops: Vec<Op>,
    /// Belongs to the structure; all else is decoration.
    pub(super) is_content: bool,
}

/// A place that the reader's list of contents leads to.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Bookmark {
    pub(super) level: u16,
    pub(super) text: String,
    pub(super) page: usize,
    pub(super) y: f32,
}

/// Pages in the making.
pub(super) struct Paper<'f> {
    pub(super) faces: &'f Faces,
    pub(super) pages: Vec<Vec<Piece>>,
    pub(super) bookmarks: Vec<Bookmark>,
    /// Branches that are not closed, the outermost first.
    open: Vec<(Role, Vec<Twig>)>,
    twigs: Vec<Twig>,
    /// Where the next thing is put.
    pub(super) y: f32,
}

impl<'f> Paper<'f> {
    /// One empty page.
    pub(super) fn new(faces: &'f Faces) -> Self {
        Self {
            faces,
            pages: vec![Vec::new()],
            bookmarks: Vec::new(),
            open: Vec::new(),
            twigs: Vec::new(),
            y: TOP,
        }
    }

    /// The whole structure; branches that were left open are closed.
    pub(super) fn structure(&mut self) -> Vec<Twig> {
        while !self.open.is_empty() {
            self.close();
        }
        std::mem::take(&mut self.twigs)
    }

    /// Begins a branch of the structure.
    pub(super) fn open(&mut self, role: Role) {
        self.open.push((role, Vec::new()));
    }

    /// Ends the innermost branch.
    pub(super) fn close(&mut self) {
        if let Some((role, twigs)) = self.open.pop() {
            self.add(Twig::Branch(role, twigs));
        }
    }

    fn add(&mut self, twig: Twig) {
        match self.open.last_mut() {
            Some((_, twigs)) => twigs.push(twig),
            None => self.twigs.push(twig),
        }
    }

    /// Puts something of the innermost branch on the page.
    pub(super) fn draw(&mut self, ops: Vec<Op>) {
        let page = self.pages.len().saturating_sub(1);
        let piece = self.put(ops, true);
        self.add(Twig::Leaf(page, piece));
    }

    /// Puts something on the page that says nothing.
    pub(super) fn decorate(&mut self, ops: Vec<Op>) {
        self.put(ops, false);
    }

    fn put(&mut self, ops: Vec<Op>, is_content: bool) -> usize {
        let Some(page) = self.pages.last_mut() else {
            return 0;
        };
        page.push(Piece { ops, is_content });
        page.len() - 1
    }

    /// Room that is left on the page.
    pub(super) fn left(&self) -> f32 {
        BOTTOM - self.y
    }

    /// Goes to the next page unless there is that much room, or nothing on the page anyway.
    pub(super) fn need(&mut self, height: f32) {
        if height > self.left() && self.y > TOP {
            self.turn();
        }
    }

    /// Goes to the next page.
    pub(super) fn turn(&mut self) {
        self.pages.push(Vec::new());
        self.y = TOP;
    }

    /// Leaves room free, but none at the top of a page.
    pub(super) fn skip(&mut self, height: f32) {
        if self.y > TOP {
            self.y += height;
        }
    }

    /// A heading with its rule, kept with `keep` points of what follows it.
    pub(super) fn heading(&mut self, level: u16, text: &str, size: f32, keep: f32) {
        self.skip(match level {
            1 => 0.0,
            2 => 14.0,
            _ => 9.0,
        });
        let lines = self.faces.wrapped(text, Weight::Bold, size, BODY_WIDTH);
        let height: f32 = lines.iter().map(Line::leading).sum();
        self.need((height + 5.0 + keep).min(BODY_HEIGHT));
        self.bookmarks.push(Bookmark {
            level,
            text: text.to_owned(),
            page: self.pages.len() - 1,
            y: self.y,
        });
        self.open(Role::Heading(level, text.to_owned()));
        self.lines(MARGIN, lines, Ink::Black);
        self.close();
        if level == 2 {
            let y = self.y + 1.0;
            let rule = Op::rule((MARGIN, y), (PAGE_WIDTH - MARGIN, y), 0.8, Ink::Accent);
            self.decorate(vec![rule]);
            self.y += 3.0;
        }
        self.y += 3.0;
    }

    /// A paragraph over the whole width.
    pub(super) fn paragraph(&mut self, text: &str, weight: Weight, size: f32, ink: Ink) {
        let lines = self.faces.wrapped(text, weight, size, BODY_WIDTH);
        self.need(leading(size) * lines.len().min(3) as f32);
        self.open(Role::Paragraph);
        self.lines(MARGIN, lines, ink);
        self.close();
    }

    /// A paragraph with a mark before it.
    pub(super) fn item(&mut self, text: &str, size: f32) {
        self.item_in(text, Weight::Regular, size);
    }

    /// The same in another weight.
    pub(super) fn item_in(&mut self, text: &str, weight: Weight, size: f32) {
        let indent = 10.0;
        let lines = self.faces.wrapped(text, weight, size, BODY_WIDTH - indent);
        self.need(leading(size) * lines.len().min(3) as f32);
        let middle = self.y + leading(size) * 0.5;
        let mark = Op::rect(MARGIN + 2.0, middle - 1.2, 2.4, 2.4, Ink::Accent);
        self.decorate(vec![mark]);
        self.open(Role::Paragraph);
        self.lines(MARGIN + indent, lines, Ink::Black);
        self.close();
        self.y += 1.5;
    }

    /// Lines one below the other, over as many pages as it takes.
    fn lines(&mut self, x: f32, lines: Vec<Line>, ink: Ink) {
        for line in lines {
            self.need(line.leading());
            let y = self.y + base(line.size);
            self.y += line.leading();
            self.draw(vec![Op::Text { x, y, line, ink }]);
        }
    }
}

/// From the upper end of a line to its base line.
pub(super) fn base(size: f32) -> f32 {
    leading(size) * 0.5 + size * 0.36
}
