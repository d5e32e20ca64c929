//! Tables on paper: a head that stands on every page, rows that stay whole unless they are longer
//! than a page, and text that is wrapped in its column.

use super::pdf_page::{
    BODY_HEIGHT, BODY_WIDTH, Ink, MARGIN, Op, PAGE_WIDTH, Paper, Role, SMALL_SIZE, TEXT_SIZE, base,
};
use super::pdf_text::{Faces, Line, Weight};

/// Room on each side of a column.
const SIDE: f32 = 3.0;
/// Room above and below a row.
const ABOVE: f32 = 3.0;

/// Room beside a word on its plate.
const PLATE_SIDE: f32 = 4.0;

/// Where text stands in its column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Align {
    /// Words.
    Left,
    /// Numbers, so that their marks stand below each other.
    Right,
    /// Short words in a plate.
    Centre,
}

/// A column.
#[derive(Debug, Clone)]
pub(super) struct Column {
    pub(super) title: String,
    /// Share of the width.
    pub(super) share: f32,
    pub(super) align: Align,
}

impl Column {
    /// A column of words.
    pub(super) fn words(title: &str, share: f32) -> Self {
        Self::new(title, share, Align::Left)
    }

    /// A column of numbers.
    pub(super) fn numbers(title: &str, share: f32) -> Self {
        Self::new(title, share, Align::Right)
    }

    /// A column.
    pub(super) fn new(title: &str, share: f32, align: Align) -> Self {
        Self {
            title: title.to_owned(),
            share,
            align,
        }
    }
}

/// Text of a cell that is not wrapped yet.
#[derive(Debug, Clone)]
pub(super) struct Words {
    pub(super) text: String,
    pub(super) weight: Weight,
    pub(super) size: f32,
    pub(super) ink: Ink,
}

/// A cell.
#[derive(Debug, Clone, Default)]
pub(super) struct Cell {
    pub(super) words: Vec<Words>,
    /// Drawn below the words.
    pub(super) picture: Option<Picture>,
    /// The first words stand on a plate.
    pub(super) plate: Option<Plate>,
    /// Columns that it takes; 0 is 1.
    pub(super) span: usize,
}

/// A drawing in a cell.
#[derive(Debug, Clone)]
pub(super) struct Picture {
    pub(super) width: f32,
    pub(super) height: f32,
    pub(super) ops: Vec<Op>,
    /// What it shows.
    pub(super) alt: String,
}

/// How a word is set off, also without colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Plate {
    /// White on black.
    Full,
    /// Black on tint.
    Tint,
    /// Black in a frame.
    Frame,
}

impl Cell {
    /// Running text.
    pub(super) fn text(text: &str) -> Self {
        Self::default().and(text, Weight::Regular, TEXT_SIZE, Ink::Black)
    }

    /// What is read first.
    pub(super) fn bold(text: &str) -> Self {
        Self::default().and(text, Weight::Bold, TEXT_SIZE, Ink::Black)
    }

    /// Small grey text below what is there; nothing for an empty text.
    pub(super) fn below(self, text: &str) -> Self {
        self.and(text, Weight::Regular, SMALL_SIZE, Ink::Grey)
    }

    /// More text below what is there; nothing for an empty text.
    pub(super) fn and(mut self, text: &str, weight: Weight, size: f32, ink: Ink) -> Self {
        if !text.is_empty() {
            self.words.push(Words {
                text: text.to_owned(),
                weight,
                size,
                ink,
            });
        }
        self
    }

    /// Over so many columns.
    pub(super) fn over(mut self, span: usize) -> Self {
        self.span = span;
        self
    }

    /// The first words on a plate.
    pub(super) fn on(mut self, plate: Plate) -> Self {
        self.plate = Some(plate);
        if let Some(first) = self.words.first_mut().filter(|_| plate == Plate::Full) {
            first.ink = Ink::White;
        }
        self
    }
}

/// Rows that are kept together.
pub(super) type Group = Vec<Vec<Cell>>;

/// A table.
pub(super) struct Table {
    pub(super) summary: String,
    pub(super) columns: Vec<Column>,
    pub(super) groups: Vec<Group>,
}

/// A cell's lines in its place.
struct Laid {
    left: f32,
    width: f32,
    align: Align,
    lines: Vec<(Line, Ink)>,
    picture: Option<Picture>,
    plate: Option<Plate>,
    span: usize,
}

impl Laid {
    fn height(&self) -> f32 {
        let text: f32 = self.lines.iter().map(|(line, _)| line.leading()).sum();
        text + self.picture.as_ref().map_or(0.0, |picture| picture.height)
    }

    /// The lines that fit; the others stay.
    fn split(&mut self, mut room: f32) -> Self {
        let fits = self.lines.iter().take_while(|(line, _)| {
            room -= line.leading();
            room >= 0.0
        });
        let count = fits.count().max(1).min(self.lines.len());
        Self {
            lines: self.lines.drain(..count).collect(),
            picture: self.picture.take(),
            plate: self.plate.take(),
            ..*self
        }
    }
}

fn height_of(row: &[Laid]) -> f32 {
    row.iter().map(Laid::height).fold(0.0, f32::max) + 2.0 * ABOVE
}

/// A row, or rows that belong together, higher than that go over pages: below it there is room
/// for headings and what holds for all rows.
const WHOLE_MAX: f32 = BODY_HEIGHT - 140.0;
/// What is kept of a row that goes over pages.
const SPLIT_LEAST: f32 = 60.0;

impl Table {
    /// Puts the table under its summary as a heading, and under what holds for all its rows; the
    /// heading is never left alone at the foot of a page.
    pub(super) fn put_under(&self, paper: &mut Paper<'_>, level: u16, told: &[&str]) {
        if self.groups.is_empty() {
            return;
        }
        let size = if level == 2 { 12.0 } else { 9.5 };
        let keep = self.keep(paper.faces, told);
        paper.heading(level, &self.summary, size, keep);
        for text in told.iter().filter(|text| !text.is_empty()) {
            paper.paragraph(text, Weight::Regular, SMALL_SIZE, Ink::Grey);
            paper.y += 1.0;
        }
        paper.y += 2.0;
        self.put(paper);
    }

    /// Height from below the heading to the end of the first rows.
    pub(super) fn keep(&self, faces: &Faces, told: &[&str]) -> f32 {
        let told = told.iter().filter(|text| !text.is_empty()).map(|text| {
            let lines = faces.wrapped(text, Weight::Regular, SMALL_SIZE, BODY_WIDTH);
            lines.iter().map(Line::leading).sum::<f32>() + 1.0
        });
        let told: f32 = told.sum();
        let lefts = self.lefts();
        let lay = |row: &Vec<Cell>| height_of(&laid(faces, &self.columns, &lefts, row));
        let first = self.groups.first().map(|group| {
            let heights: Vec<f32> = group.iter().map(lay).collect();
            least(&heights)
        });
        told + 4.0 + lay(&self.head()) + first.unwrap_or_default()
    }

    /// Puts the table on paper; nothing when it has no rows.
    fn put(&self, paper: &mut Paper<'_>) {
        if self.groups.is_empty() {
            return;
        }
        let lefts = self.lefts();
        let head = self.head();
        let head = laid(paper.faces, &self.columns, &lefts, &head);
        let mut is_first_row = true;
        paper.open(Role::Table(self.summary.clone()));
        for group in &self.groups {
            let rows: Vec<Vec<Laid>> = group
                .iter()
                .map(|row| laid(paper.faces, &self.columns, &lefts, row))
                .collect();
            let heights: Vec<f32> = rows.iter().map(|row| height_of(row)).collect();
            let height = least(&heights);
            let before = paper.pages.len();
            if is_first_row {
                paper.need(height_of(&head) + height);
                put_head(paper, &head, true);
                paper.open(Role::TableBody);
            } else {
                paper.need(height);
                if paper.pages.len() > before {
                    put_head(paper, &head, false);
                }
            }
            is_first_row = false;
            for row in rows {
                put_row(paper, row, &head);
            }
            let y = paper.y;
            let rule = Op::rule((MARGIN, y), (PAGE_WIDTH - MARGIN, y), 0.4, Ink::Line);
            paper.decorate(vec![rule]);
        }
        paper.close();
        paper.close();
        paper.y += 4.0;
    }

    /// Left end of each column, and the right end of the last.
    fn lefts(&self) -> Vec<f32> {
        let whole: f32 = self.columns.iter().map(|column| column.share).sum();
        let mut left = MARGIN;
        let mut lefts = vec![left];
        for column in &self.columns {
            left += column.share / whole * BODY_WIDTH;
            lefts.push(left);
        }
        lefts
    }

    fn head(&self) -> Vec<Cell> {
        let cell = |column: &Column| {
            Cell::default().and(&column.title, Weight::Bold, SMALL_SIZE, Ink::Black)
        };
        self.columns.iter().map(cell).collect()
    }
}

/// What of rows that belong together has to stand on one page: all, or else the first.
fn least(heights: &[f32]) -> f32 {
    let all: f32 = heights.iter().sum();
    match heights.first() {
        _ if all <= WHOLE_MAX => all,
        Some(first) if *first <= WHOLE_MAX => *first,
        _ => SPLIT_LEAST,
    }
}

fn laid(faces: &Faces, columns: &[Column], lefts: &[f32], row: &[Cell]) -> Vec<Laid> {
    let mut at = 0;
    let mut all = Vec::new();
    for cell in row {
        let span = cell.span.max(1);
        let (Some(column), Some(&left)) = (columns.get(at), lefts.get(at)) else {
            break;
        };
        let right = lefts.get(at + span).or(lefts.last()).copied();
        let width = right.unwrap_or(left) - left;
        let room = width - 2.0 * SIDE;
        let lines = cell.words.iter().flat_map(|words| {
            let lines = faces.wrapped(&words.text, words.weight, words.size, room);
            lines.into_iter().map(|line| (line, words.ink))
        });
        all.push(Laid {
            left,
            width,
            align: if span > 1 { Align::Left } else { column.align },
            lines: lines.collect(),
            picture: cell.picture.clone(),
            plate: cell.plate,
            span,
        });
        at += span;
    }
    all
}

/// The head; one that is repeated on a further page says nothing new, so it is decoration.
fn put_head(paper: &mut Paper<'_>, head: &[Laid], is_first: bool) {
    let height = height_of(head);
    let band = Op::rect(MARGIN, paper.y, BODY_WIDTH, height, Ink::Tint);
    paper.decorate(vec![band]);
    let top = paper.y + ABOVE;
    if is_first {
        paper.open(Role::TableHead);
        paper.open(Role::Row);
    }
    for cell in head {
        let ops = ops_of(cell, top);
        if is_first {
            paper.open(Role::HeadCell);
            paper.draw(ops);
            paper.close();
        } else {
            paper.decorate(ops);
        }
    }
    if is_first {
        paper.close();
        paper.close();
    }
    paper.y += height;
}

/// A row, in pieces where it is longer than a page.
fn put_row(paper: &mut Paper<'_>, mut row: Vec<Laid>, head: &[Laid]) {
    while height_of(&row) > paper.left() {
        if height_of(&row) <= WHOLE_MAX || paper.left() < SPLIT_LEAST {
            paper.turn();
            put_head(paper, head, false);
            continue;
        }
        let room = paper.left() - 2.0 * ABOVE;
        let part: Vec<Laid> = row.iter_mut().map(|cell| cell.split(room)).collect();
        put_cells(paper, &part);
        paper.turn();
        put_head(paper, head, false);
    }
    put_cells(paper, &row);
}

fn put_cells(paper: &mut Paper<'_>, row: &[Laid]) {
    let height = height_of(row);
    let top = paper.y + ABOVE;
    paper.open(Role::Row);
    for (at, cell) in row.iter().enumerate() {
        let ops = ops_of(cell, top);
        let span = u32::try_from(cell.span).unwrap_or(1);
        paper.open(if at == 0 && span == 1 {
            Role::RowHead
        } else {
            Role::Cell(span)
        });
        if !ops.is_empty() {
            match &cell.picture {
                Some(picture) => {
                    paper.open(Role::Figure(picture.alt.clone()));
                    paper.draw(ops);
                    paper.close();
                }
                None => paper.draw(ops),
            }
        }
        paper.close();
    }
    paper.close();
    paper.y += height;
}

fn ops_of(cell: &Laid, top: f32) -> Vec<Op> {
    let room = cell.width - 2.0 * SIDE;
    let place = |width: f32| {
        let free = match cell.align {
            Align::Left => 0.0,
            Align::Right => room - width,
            Align::Centre => (room - width) * 0.5,
        };
        cell.left + SIDE + free
    };
    let mut ops = Vec::new();
    let mut y = top;
    for (at, (line, ink)) in cell.lines.iter().enumerate() {
        let mut x = place(line.width);
        if let (0, Some(plate)) = (at, cell.plate) {
            if cell.align == Align::Left {
                x += PLATE_SIDE;
            }
            ops.push(plate_under(plate, x, y, line));
        }
        ops.push(Op::Text {
            x,
            y: y + base(line.size),
            line: line.clone(),
            ink: *ink,
        });
        y += line.leading();
    }
    if let Some(picture) = &cell.picture {
        let left = place(picture.width);
        ops.extend(picture.ops.iter().map(|op| op.clone().moved(left, y)));
    }
    ops
}

fn plate_under(plate: Plate, x: f32, y: f32, line: &Line) -> Op {
    let (fill, edge) = match plate {
        Plate::Full => (Ink::Black, None),
        Plate::Tint => (Ink::Tint, None),
        Plate::Frame => (Ink::White, Some((0.8, Ink::Black))),
    };
    Op::Pill {
        left: x - PLATE_SIDE,
        top: y - 0.5,
        width: line.width + 2.0 * PLATE_SIDE,
        height: line.leading() + 0.5,
        fill,
        edge,
    }
}
