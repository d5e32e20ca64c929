//! A card of keys on paper, to hang beside the machine: a front and a back, two columns each.

use super::options::ReportOptions;
use super::pdf::{PdfError, finish, told_by};
use super::pdf_page::{BODY_WIDTH, BOTTOM, Ink, MARGIN, Op, Paper, Role, TEXT_SIZE, TOP, base};
use super::pdf_text::{Faces, Weight, leading};

/// Between the columns, points.
const GUTTER: f32 = 16.0;
const COLUMN: f32 = (BODY_WIDTH - GUTTER) / 2.0;
/// Width of what stands on a key.
const CAP: f32 = 56.0;
/// Size of what is said of a key.
const SAID: f32 = 8.0;
const TITLE: f32 = 16.0;
const GROUP: f32 = 10.5;

/// Keys to be printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyCard {
    /// Over all of it.
    pub title: String,
    /// A sentence below.
    pub about: String,
    /// What is on each side of it.
    pub sides: Vec<Vec<KeyGroup>>,
}

/// Keys of one place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyGroup {
    /// Where they do that.
    pub name: String,
    /// The keys.
    pub keys: Vec<KeyOnCard>,
}

/// A key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyOnCard {
    /// What stands on it.
    pub key: String,
    /// What it does, in a word or two.
    pub does: String,
    /// The same in a sentence; empty where the words say it all.
    pub text: String,
}

/// The card as a PDF file.
///
/// # Errors
/// As of [`super::pdf()`].
pub fn key_card_pdf(card: &KeyCard, options: &ReportOptions) -> Result<Vec<u8>, PdfError> {
    let faces = Faces::load()?;
    let mut paper = Paper::new(&faces);
    paper.open(Role::Section);
    paper.heading(1, &card.title, TITLE, 0.0);
    paper.paragraph(&card.about, Weight::Regular, TEXT_SIZE, Ink::Grey);
    paper.y += 8.0;
    for (at, side) in card.sides.iter().enumerate() {
        if at > 0 {
            paper.turn();
        }
        let mut columns = Columns::below(paper.y);
        for group in side {
            columns.put_group(&mut paper, group);
        }
    }
    paper.close();
    let metadata = told_by(&faces, &card.title, options);
    finish(paper, options, metadata)
}

/// Two columns that are filled one after the other.
struct Columns {
    /// Upper end on this page.
    top: f32,
    /// 0 left, 1 right.
    at: usize,
    y: f32,
}

impl Columns {
    fn below(top: f32) -> Self {
        Self { top, at: 0, y: top }
    }

    fn x(&self) -> f32 {
        match self.at {
            0 => MARGIN,
            _ => MARGIN + COLUMN + GUTTER,
        }
    }

    /// To the next column, or page, unless there is that much room.
    fn need(&mut self, paper: &mut Paper<'_>, height: f32) {
        if self.y + height <= BOTTOM {
            return;
        }
        if self.at == 1 {
            paper.turn();
            self.top = TOP;
        }
        self.at = 1 - self.at;
        self.y = self.top;
    }

    fn put_group(&mut self, paper: &mut Paper<'_>, group: &KeyGroup) {
        let heights = group.keys.iter().map(|key| height_of(paper.faces, key));
        // A heading keeps two keys with it.
        let kept: f32 = heights.take(2).sum();
        self.need(paper, leading(GROUP) + 4.0 + kept);
        let (x, y) = (self.x(), self.y);
        let line = paper.faces.cut(&group.name, Weight::Bold, GROUP, COLUMN);
        paper.open(Role::Heading(2, group.name.clone()));
        let at = y + base(GROUP);
        paper.draw(vec![text(x, at, line)]);
        paper.close();
        let below = y + leading(GROUP) + 1.0;
        let rule = Op::rule((x, below), (x + COLUMN, below), 0.8, Ink::Accent);
        paper.decorate(vec![rule]);
        self.y = below + 3.0;
        for key in &group.keys {
            self.put_key(paper, key);
        }
        self.y += 5.0;
    }

    fn put_key(&mut self, paper: &mut Paper<'_>, key: &KeyOnCard) {
        self.need(paper, height_of(paper.faces, key));
        let (x, mut y) = (self.x(), self.y);
        let cap = paper.faces.cut(&key.key, Weight::Bold, SAID, CAP);
        let mut ops = vec![text(x, y + base(SAID), cap)];
        for line in wrapped(paper.faces, key) {
            ops.push(text(x + CAP, y + base(SAID), line));
            y += leading(SAID);
        }
        paper.open(Role::Paragraph);
        paper.draw(ops);
        paper.close();
        self.y = y + 2.0;
    }
}

fn wrapped(faces: &Faces, key: &KeyOnCard) -> Vec<super::pdf_text::Line> {
    let said = match key.text.is_empty() {
        true => key.does.clone(),
        false => format!("{}: {}", key.does, key.text),
    };
    faces.wrapped(&said, Weight::Regular, SAID, COLUMN - CAP)
}

fn height_of(faces: &Faces, key: &KeyOnCard) -> f32 {
    let lines = wrapped(faces, key).len().min(100);
    leading(SAID) * lines as f32 + 2.0
}

fn text(x: f32, y: f32, line: super::pdf_text::Line) -> Op {
    let ink = Ink::Black;
    Op::Text { x, y, line, ink }
}
