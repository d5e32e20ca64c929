//! What stands in the rooms behind the function keys: Batch, Records, Gauges.

use super::Explained;
use super::Origin::{Own, Standard, Trade};
use super::{any, at};

const FITS: super::Origin = Standard("ISO 286-1");
const GUM: super::Origin = Standard("JCGM 100 (the GUM)");

/// The other rooms.
pub(super) const ROOMS: &[Explained] = &[
    any(
        "guide title",
        "the guide",
        "The page that is read; its pages are those of the command guide.",
        Own,
    ),
    any(
        "guide place",
        "how far",
        "Which page is chosen, or which lines of it are on the screen.",
        Own,
    ),
    any(
        "guide page #",
        "page of the guide",
        "A topic of the guide and what it is about; Enter opens the chosen one.",
        Own,
    ),
    any(
        "guide text",
        "page of the guide",
        "The text of the page; commands are those of the terminal.",
        Own,
    ),
    any(
        "batch title",
        "the chosen characteristic",
        "Its callout and limits.",
        FITS,
    ),
    any(
        "batch place",
        "which of them",
        "Its place among the characteristics of the plan.",
        Own,
    ),
    any(
        "batch counts",
        "counts",
        "The parts of this session by their verdicts.",
        Own,
    ),
    any(
        "batch page #",
        "page",
        "Table of all parts; run chart, control charts, spread, histogram, capability, trend of \
         the characteristic, and advice.",
        Standard("ISO 7870-2 and ISO 22514 for the terms"),
    ),
    any(
        "batch line #",
        "what the numbers say",
        "A figure with its interval, or what to do next and by which numbers. A capability under \
         30 values is never a bare number.",
        Standard("ISO 22514-2 for Cp, Cpk, Pp, Ppk"),
    ),
    any(
        "batch more",
        "more sentences",
        "There are more than fit; * reads on.",
        Own,
    ),
    any(
        "batch notice",
        "nothing to show",
        "Why there is nothing, and what to do.",
        Own,
    ),
    any(
        "batch legend",
        "legend",
        "What the signs in the table mean.",
        Own,
    ),
    any(
        "column #",
        "characteristic",
        "A column for each; pointing at it chooses it.",
        Own,
    ),
    any(
        "cell # #",
        "a part's value",
        "The part's worst value, with its state and signals.",
        Own,
    ),
    any(
        "characteristic before",
        "one back",
        "The characteristic before this one.",
        Own,
    ),
    any(
        "characteristic next",
        "one on",
        "The next characteristic.",
        Own,
    ),
    any(
        "page before",
        "page before",
        "The page before this one.",
        Own,
    ),
    any("page after", "page after", "The next page.", Own),
    any(
        "find",
        "find",
        "Sessions with all of these words in part, drawing, serial, customer, date or state.",
        Own,
    ),
    any(
        "session #",
        "session",
        "A recorded session: when, what, its verdicts, whether it is closed and whole.",
        Own,
    ),
    any(
        "no sessions",
        "no sessions",
        "Nothing has been recorded, or nothing has what is looked for.",
        Own,
    ),
    any(
        "record title",
        "record",
        "The part and drawing of this record.",
        Own,
    ),
    any(
        "record place",
        "which page",
        "The part that is shown, with its serial number.",
        Own,
    ),
    any(
        "line #",
        "line of the record",
        "As it will print: what was required, found and decided.",
        Own,
    ),
    any(
        "line # beside",
        "line of the record",
        "As it will print.",
        Own,
    ),
    any(
        "more lines",
        "more lines",
        "There are more than fit; * reads on.",
        Own,
    ),
    any(
        "check title",
        "check of the record",
        "Every line is read again and each hash is made anew.",
        Own,
    ),
    any(
        "check state",
        "what the check found",
        "Whole, not closed, a torn end, or damaged: what can be read stays readable.",
        Own,
    ),
    any(
        "check progress",
        "progress",
        "How much of the file has been read.",
        Own,
    ),
    any(
        "detail #",
        "what was found",
        "The record, or a place in it that is not as it was written: line, byte, and what is \
         wrong.",
        Own,
    ),
    at(
        6,
        "row #",
        "gauge of the register",
        "A gauge with its kind and how it is connected.",
        Standard("JCGM 200 (VIM)"),
    ),
    any(
        "gauge title",
        "the chosen gauge",
        "Its identification and kind.",
        Own,
    ),
    any(
        "more gauges listed",
        "further gauges",
        "More gauges than fit; + and - go through them.",
        Own,
    ),
    any(
        "no gauges",
        "no gauges",
        "The register names none; how to begin one.",
        Own,
    ),
    any(
        "page #",
        "page",
        "Register, live, proves, budget, zero, in doubt, teach, study of the chosen gauge.",
        Own,
    ),
    any(
        "fact #",
        "fact",
        "A fact of the gauge or study, with its unit.",
        Own,
    ),
    any(
        "wire",
        "how it sends",
        "Whether a reading comes at a button, when asked, or all the time.",
        Own,
    ),
    any(
        "wire place",
        "port and adapter",
        "Where it is attached, and by which description its bytes are read.",
        Own,
    ),
    any(
        "bytes head",
        "bytes",
        "What came over the line, newest first.",
        Own,
    ),
    any(
        "reading head",
        "read as",
        "What the adapter made of the bytes beside it.",
        Own,
    ),
    any(
        "frame #",
        "one frame",
        "The bytes of one message and what they were read as, or why not.",
        Own,
    ),
    any(
        "live value",
        "live value",
        "What the gauge shows now; nothing of it is recorded.",
        Own,
    ),
    any(
        "proves title",
        "what it can prove",
        "Of the plan of this session.",
        Own,
    ),
    any(
        "proves #",
        "suitability",
        "T is the tolerance, U the expanded uncertainty; T/(2U) says how much of the tolerance is \
         left when the guard zones are taken off.",
        Standard("ISO 14253-1, JCGM 106: measurement capability index"),
    ),
    any(
        "proves note",
        "how it is reckoned",
        "What is in U and what is not.",
        GUM,
    ),
    any(
        "budget title",
        "uncertainty budget",
        "For one reading of this size.",
        GUM,
    ),
    any(
        "budget #",
        "a part of the budget",
        "A source of uncertainty: standard uncertainty and its share.",
        GUM,
    ),
    any(
        "budget total",
        "combined uncertainty",
        "u is the combined standard uncertainty, U = k u.",
        GUM,
    ),
    any(
        "budget note",
        "what is not in it",
        "What comes only with the part.",
        GUM,
    ),
    any(
        "zero state",
        "zero check",
        "Whether its zero may be trusted, and since when.",
        Trade,
    ),
    any(
        "zero wanted",
        "what is required",
        "How often the register asks for a zero check, and its bound.",
        Own,
    ),
    any(
        "zero asked",
        "what to do",
        "Put the gauge on its standard, both wiped, and take the reading.",
        Trade,
    ),
    any(
        "entry",
        "what is typed",
        "Type it, or press the gauge's button.",
        Own,
    ),
    any(
        "history head",
        "earlier checks",
        "All zero checks of this gauge, newest first.",
        Own,
    ),
    any(
        "doubt title",
        "readings in doubt",
        "Readings since the last good check of a gauge that was found wrong.",
        Standard("ISO/IEC 17025 for the duty"),
    ),
    any(
        "doubt note",
        "why",
        "What was found, and since when nothing of it is proved.",
        Own,
    ),
    any(
        "step",
        "step",
        "Where in the study or in teaching one is.",
        Own,
    ),
    any(
        "prompt",
        "what to do",
        "The next thing to measure or answer.",
        Own,
    ),
    any(
        "last reading",
        "last reading",
        "What the gauge gave last.",
        Own,
    ),
    any(
        "bars of",
        "scale of the bars",
        "What a whole bar stands for.",
        Own,
    ),
    any(
        "study total",
        "repeatability",
        "Standard deviation of repeated readings of one place, with its interval, and six of them \
         as a share of the tolerance.",
        Standard("ISO 5725-2 and ISO 22514-7 for the terms"),
    ),
    any("row #", "row", "A row of the list; arrows choose it.", Own),
];
