//! What stands in the Plan room.

use super::Explained;
use super::Origin::{Own, Standard};
use super::{In, any, row};

const SIZES: super::Origin = Standard("ISO 286-1");

/// The Plan room.
pub(super) const PLAN: &[Explained] = &[
    any(
        "plan title",
        "the plan",
        "Its part and drawing; or which of the plans of the workspace is to be opened.",
        Own,
    ),
    any(
        "plan state",
        "the file",
        "The plan file, and whether what is seen is what is saved in it.",
        Own,
    ),
    any(
        "plan note",
        "a note",
        "What else is to be known: that a running session goes on with the plan it began \
         with.",
        Own,
    ),
    any(
        "plan note #",
        "a note",
        "What else is to be known of this file.",
        Own,
    ),
    any(
        "more plans",
        "further rows",
        "More rows than fit; + and - go through them.",
        Own,
    ),
    any(
        "plan more",
        "more sentences",
        "There are more than fit; * reads on.",
        Own,
    ),
    any(
        "more rows",
        "further rows",
        "More rows than fit; + and - go through them.",
        Own,
    ),
    any(
        "more fields",
        "further fields",
        "More fields than fit; Up and Down go through them.",
        Own,
    ),
    any(
        "fields title",
        "what is edited",
        "The feature, pair or part whose fields stand below.",
        Own,
    ),
    any(
        "plan empty",
        "nothing yet",
        "Why the list is empty, and what to do.",
        Own,
    ),
    any(
        "plan page #",
        "page",
        "Features, part and rules, pairs, or the faults of the plan.",
        Own,
    ),
    any(
        "plan row #",
        "a row of the plan",
        "A feature with its callout, a pair, or a fault; Enter opens it.",
        SIZES,
    ),
    row(
        In::Any,
        ("plan line #", "Learned allowance"),
        "learned allowance",
        "The metal to leave for an operation, as much as it took off on average on the parts of \
         earlier batches that were measured before it and after it.",
        Own,
    ),
    any(
        "plan line #",
        "what it comes to",
        "The limits, what the gauges of the register can prove of them, hints for making, \
         and what is worth a look.",
        SIZES,
    ),
    any(
        "side #",
        "a line of both sides",
        "At the left as it is typed here, at the right as it is on the disk. One that differs has \
         a box, a sign and a word between the two; the letters that differ are bold.",
        Own,
    ),
    any(
        "side head #",
        "whose side",
        "What stands below it: what is typed here, or what the file on the disk says by now.",
        Own,
    ),
    any(
        "sides more",
        "more lines",
        "There are more than fit; * reads on.",
        Own,
    ),
    any(
        "plan field #",
        "a field",
        "A key of the plan file with its value; below it stands what it is for.",
        Own,
    ),
    any(
        "plan says #",
        "what it means",
        "What the field is for, what is typed comes to, or what is wrong with it and where.",
        Own,
    ),
];
