//! The guide for those who measure: one page a topic, as texts that come with the program.
//!
//! It refuses to know anything of the trade and of where it is read: a page becomes [`Block`]s, and
//! those become a text for a terminal here, or markup in the room of the report. Every command on
//! a page is run by `tests/logic/guide_commands.rs`.
//!
//! ```
//! use fitledger::guide::{page, pages};
//! assert_eq!(pages()[0].name, "start");
//! assert!(page("records").is_some_and(|page| page.told(80).contains("fitledger verify")));
//! assert!(page("recipes").is_none());
//! ```

mod block;
mod parse;
mod plain;
mod plain_table;

pub use block::{Block, Look, Span, Target};
pub use plain::{Line, LineKind};

/// What the guide is called, alone and beside the program's name.
pub const TITLES: [&str; 2] = ["The guide", "Fitledger: the guide"];

/// A page of the guide.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Page {
    /// The word by which it is asked for; its file and its links are named by it.
    pub name: &'static str,
    /// Its heading.
    pub title: &'static str,
    /// What it is about, in a sentence.
    pub about: &'static str,
    /// The text as it was written.
    pub text: &'static str,
}

macro_rules! page {
    ($name:literal, $title:literal, $about:literal) => {
        Page {
            name: $name,
            title: $title,
            about: $about,
            text: include_str!(concat!("guide/", $name, ".md")),
        }
    };
}

/// In the order in which a newcomer reads them.
const PAGES: [Page; 17] = [
    page!(
        "start",
        "The first part in ten minutes",
        "From the program alone to a verdict on your own part, and what stays of it."
    ),
    page!(
        "bench",
        "At the bench",
        "Keys and typed lines, cutting, corrections, questions, slips of the hand, warm parts."
    ),
    page!(
        "plan",
        "The plan file",
        "What a part must be: features, points, stages, which gauge may prove what."
    ),
    page!(
        "gauges",
        "Gauges",
        "The register, errors and certificates, zero checks, studies, what a gauge can prove."
    ),
    page!(
        "adapters",
        "Connecting a gauge",
        "Ports, the adapters that are built in, and teaching the program a gauge it does not know."
    ),
    page!(
        "threads",
        "Threads",
        "Limits, drills and coatings, three wires, plug and ring gauges, threads in a plan."
    ),
    page!(
        "form",
        "Form, position and cones",
        "Runout, roundness and coaxiality in a plan; tapers by rollers, balls and sine bar."
    ),
    page!(
        "pairs",
        "Parts that go together",
        "Fits, the other half made to suit, press and shrink fits, assemblies, many with many."
    ),
    page!(
        "batch",
        "Batches and statistics",
        "Spread, capability, control charts and trend, of a list of numbers or of a session."
    ),
    page!(
        "records",
        "Records and decisions",
        "What a record is, how it is checked and found again, and what people decide about a part."
    ),
    page!(
        "reports",
        "Reports, export, import",
        "Pages for people, files for other programs, and values that were measured elsewhere."
    ),
    page!(
        "window",
        "The window and its rooms",
        "Keypad, foot switch, sound, reading from afar, and what each room is for."
    ),
    page!(
        "verdicts",
        "What the verdicts mean",
        "GO, NO-GO, DOUBT and the other words, the decision rules, and where u comes from."
    ),
    page!(
        "trouble",
        "When something goes wrong",
        "A gauge unplugged, no right to a port, a full disk, a damaged record, no display."
    ),
    page!(
        "scripts",
        "For scripts",
        "JSON Lines, exit codes, and answers to many questions in one run."
    ),
    page!(
        "platforms",
        "Where it runs",
        "What was tried on Linux, and what of Windows and macOS was not."
    ),
    page!(
        "cautions",
        "Cautions",
        "What hurts people at a lathe, a mill and a press, and what a verdict is not."
    ),
];

/// Every page, in the order in which a newcomer reads them.
pub fn pages() -> &'static [Page] {
    &PAGES
}

/// The page of that name; capitals or small letters are the same.
pub fn page(name: &str) -> Option<&'static Page> {
    PAGES
        .iter()
        .find(|page| page.name.eq_ignore_ascii_case(name))
}

impl Page {
    /// What it is made of. Comments in its text are for those who check it, and not in here.
    pub fn blocks(&self) -> Vec<Block> {
        parse::blocks(self.text)
    }

    /// For a terminal of so many columns: wrapped, tables aligned, code set in and never broken.
    pub fn told(&self, width: usize) -> String {
        plain::told(&self.blocks(), width)
    }

    /// The same line by line, for a window that is so many columns wide: lines of code that are
    /// longer go on in the next one, set in further.
    pub fn lines(&self, columns: usize) -> Vec<Line> {
        plain::broken(
            plain::lines(&self.blocks(), columns.max(20)),
            columns.max(20),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::{Block, page, pages};

    #[test]
    fn names_differ_and_every_page_begins_with_its_title_and_nothing_else_is_so_high() {
        for (at, one) in pages().iter().enumerate() {
            assert_eq!(page(&one.name.to_uppercase()), Some(one));
            assert!(pages()[..at].iter().all(|other| other.name != one.name));
            let titles = one.blocks();
            let mut titles = titles.iter().filter_map(|block| match block {
                Block::Heading {
                    level: 1, spans, ..
                } => Some(spans[0].text.clone()),
                _ => None,
            });
            assert_eq!(titles.next().as_deref(), Some(one.title));
            assert_eq!(titles.next(), None, "{}", one.name);
            assert!(
                one.about.ends_with('.') && one.about.len() < 100,
                "{}",
                one.about
            );
        }
    }
}
