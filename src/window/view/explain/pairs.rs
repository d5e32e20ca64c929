//! What stands in the Pairs room.

use super::Explained;
use super::Origin::{Own, Standard, Trade};
use super::any;

const FITS: super::Origin = Standard("ISO 286-1");

/// The Pairs room.
pub(super) const PAIRS: &[Explained] = &[
    any(
        "pair #",
        "pair",
        "A hole and a shaft that go together, with the intended fit and how they stand now.",
        FITS,
    ),
    any(
        "pair title",
        "the chosen pair",
        "Hole, shaft and the fit that is intended of them.",
        FITS,
    ),
    any(
        "pair part",
        "part",
        "The part of this session whose sizes are seen.",
        Own,
    ),
    any(
        "pair line #",
        "what they do together",
        "Facts of the pair: measured sizes at 20 °C, clearance with uncertainty, chances, and \
         what the half that is not made must become.",
        FITS,
    ),
    any(
        "pair more",
        "more sentences",
        "There are more than fit; * reads on.",
        Own,
    ),
    any(
        "pairs notice",
        "no pair",
        "Why nothing can be shown, and what to do.",
        Own,
    ),
    any(
        "more pairs listed",
        "further pairs",
        "More pairs than fit; + and - go through them.",
        Own,
    ),
    any(
        "band hole",
        "hole: its limits and its size",
        "The band between the limits of the hole; the mark is what was measured with its \
         uncertainty; the lower band is what suits its mate.",
        FITS,
    ),
    any(
        "band shaft",
        "shaft: its limits and its size",
        "The band between the limits of the shaft; the mark is what was measured with its \
         uncertainty; the lower band is what suits its mate.",
        FITS,
    ),
    any(
        "band clearance",
        "clearance",
        "Hole less shaft. Left of zero it is negative: interference.",
        FITS,
    ),
    any(
        "press title",
        "press fit",
        "What pressing this pair together takes, as an estimate for a competent person.",
        Trade,
    ),
    any(
        "press field #",
        "what the estimate needs",
        "Length of the joint, diameters, materials. What is not typed is taken as the text says.",
        Own,
    ),
    any(
        "press fields",
        "further fields",
        "More fields than fit; Enter goes on to the next ones.",
        Own,
    ),
    any(
        "links title",
        "pairs of a batch",
        "Hole, shaft and the fit that is intended of them.",
        FITS,
    ),
    any(
        "links objective",
        "what pairs are made for",
        "All together as near as they can be to the wanted clearance, or as many as there \
         can be inside the intended range.",
        Own,
    ),
    any(
        "link #",
        "a pair",
        "This hole goes with this shaft: their sizes at 20 °C, the clearance, and whether \
         it is inside the intended range.",
        FITS,
    ),
    any(
        "link line #",
        "a pair in the list",
        "Which real parts go together, to work from at the bench; or a part that is left \
         over, and why.",
        Own,
    ),
    any(
        "links place",
        "which of them",
        "So many of all pairs are seen here, from this one on.",
        Own,
    ),
    any(
        "links below",
        "the records",
        "From which files the sizes come, by their short names.",
        Own,
    ),
    any(
        "links seen",
        "which part of it",
        "The pairs that are drawn larger below.",
        Own,
    ),
    any(
        "links overview",
        "both rows",
        "Holes above and shafts below, each sorted by size; a line for each pair. Where \
         there are many, a part of them is shown at a time.",
        Own,
    ),
    any(
        "links line #",
        "what became of all of them",
        "How many pairs there are and how they lie in the range; what is left over or not \
         offered, and why.",
        Own,
    ),
    any(
        "links more",
        "more sentences",
        "There are more than fit; * reads on.",
        Own,
    ),
    any(
        "links reading",
        "records are being read",
        "How many of the records have been looked through; 0 ends it.",
        Own,
    ),
    any(
        "mate #",
        "a measured mate",
        "A part of the other plan with its size, from its own record. Enter looks at it \
         together with the part at hand.",
        Own,
    ),
    any(
        "press curve",
        "force over the way in",
        "How the force grows while the joint goes in: the lower line with little interference and \
         low friction, the upper with the most of both.",
        Trade,
    ),
    any(
        "press line #",
        "what it takes, and what becomes of it",
        "Pressure, stress against yield, force, temperatures for shrinking, and changes of size.",
        Standard("thick-walled cylinders (Lamé), DIN 7190-1 for the terms"),
    ),
    any(
        "press more",
        "more sentences",
        "There are more than fit; * reads on.",
        Own,
    ),
    any(
        "caution #",
        "caution",
        "It stands beside every such estimate. Read it before the work.",
        Trade,
    ),
];
