//! What a page of the guide is made of, whatever shows it.

/// A piece of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Block {
    /// A heading; the page's title has level 1.
    Heading {
        /// 1 to 6.
        level: u8,
        /// How a link names it within its page.
        anchor: String,
        /// Its words.
        spans: Vec<Span>,
    },
    /// A paragraph.
    Paragraph(Vec<Span>),
    /// A list; each item is blocks.
    List(Vec<Vec<Block>>),
    /// Lines that stand as they are.
    Code(String),
    /// A table: the titles of its columns (all may be empty), then its rows.
    Table {
        /// One a column.
        titles: Vec<Vec<Span>>,
        /// As many cells as titles in each.
        rows: Vec<Vec<Vec<Span>>>,
    },
}

/// Words of one look.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Span {
    /// The words.
    pub text: String,
    /// How they stand out.
    pub look: Look,
    /// Where they lead.
    pub target: Option<Target>,
}

/// How words stand out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Look {
    /// Not at all.
    #[default]
    Plain,
    /// As something to be typed, or a name of the program's own.
    Code,
    /// Strongly.
    Strong,
    /// A little.
    Emphasis,
}

/// Where a link leads: a page of the guide, and a heading on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Target {
    /// The name of the page; empty for the one on which the link stands.
    pub page: String,
    /// The anchor of a heading on it.
    pub anchor: Option<String>,
}
