//! What stands at the Bench, in the Start room, on the line of tabs and at the foot.

use super::Explained;
use super::Origin::{Own, Standard, Trade};
use super::{any, at, said};

/// Rules for deciding with uncertainty; the guard band is there by that name.
const RULE: super::Origin = Standard("ISO 14253-1 and JCGM 106");
const GUM: super::Origin = Standard("JCGM 100 (the GUM)");
const SIZES: super::Origin = Standard("ISO 286-1");

/// The Bench and what frames every room.
pub(super) const BENCH: &[Explained] = &[
    any(
        "verdict",
        "verdict",
        "The answer to the last reading: its value, the state that follows from limits and \
         uncertainty, and how far it lies from the middle. W tells how it came about.",
        Own,
    ),
    said(
        "word",
        "GO",
        "GO",
        "The size is inside its limits, and by the decision rule of the plan that is proved with \
         this gauge's uncertainty.",
        Trade,
    ),
    said(
        "word",
        "NO-GO",
        "NO-GO",
        "The size is outside its limits, proved by the decision rule. What can still be done \
         stands below.",
        Trade,
    ),
    said(
        "word",
        "DOUBT",
        "DOUBT",
        "So near a limit that this gauge cannot prove inside or outside: neither GO nor NO-GO. A \
         better gauge, more readings or a known temperature may settle it.",
        Own,
    ),
    said(
        "word",
        "CUTTING",
        "CUTTING",
        "Cutting is on: metal is still to come off, readings show the way and are no verdicts.",
        Own,
    ),
    said(
        "word",
        "NOT RECORDED",
        "NOT RECORDED",
        "The disk did not take what was measured. Nothing is lost while this stays open: make \
         room, then let it try again.",
        Own,
    ),
    said(
        "word",
        "",
        "state",
        "How the characteristic stands after the last reading; the sign beside it says the same \
         without colour.",
        Own,
    ),
    any(
        "value",
        "measured value",
        "What was read, corrected to 20 °C where the part's temperature is known, with all \
         decimals of the gauge.",
        Standard("JCGM 200 (VIM); ISO 1 for 20 °C"),
    ),
    any(
        "unit",
        "unit",
        "Millimetres for lengths, degrees for angles.",
        Standard("the SI"),
    ),
    any(
        "details",
        "deviation and expanded uncertainty",
        "How far the value lies from the middle of its limits, in micrometres with its sign; and \
         U, the expanded uncertainty: with k = 2 the true size lies within ± U about 95 times in \
         100.",
        GUM,
    ),
    any(
        "side",
        "side of the metal, or chance",
        "On which side of the limits the size lies: metal on can still come off, metal gone is \
         gone. Where it is in doubt: the chance that the size is inside.",
        Own,
    ),
    any(
        "gauge shows",
        "what the gauge shows",
        "The reading before correction, and what the gauge must show on the warm part, or over \
         the wires, so that the size is right.",
        Trade,
    ),
    any(
        "must show",
        "what it must show",
        "What the gauge shows on the standard when nothing is wrong with its zero.",
        Trade,
    ),
    any(
        "no reading",
        "no reading yet",
        "Nothing of this characteristic has been measured on this part.",
        Own,
    ),
    any(
        "what is typed",
        "what is being typed",
        "What the digits are taken for. Enter takes them, Backspace mends them.",
        Own,
    ),
    any(
        "typed",
        "typed text",
        "What has been typed so far; nothing of it counts before Enter.",
        Own,
    ),
    any(
        "fault",
        "what is wrong with it",
        "Why what was typed cannot be taken, with the place; the text stays to be mended.",
        Own,
    ),
    any(
        "notes",
        "notes on this reading",
        "What is worth knowing of it: what could explain it, what is assumed, what would help.",
        Own,
    ),
    any(
        "bar",
        "metal bar",
        "An axis of metal, not of millimetres: to the left is always less metal, for a shaft and \
         a bore alike. GO in the middle, guard zones (dots) as wide as the uncertainty asks, \
         metal gone (hatched), metal on (long lines). Ticks are the last parts.",
        Own,
    ),
    any(
        "limit #",
        "limit of size",
        "The smallest or largest size that is allowed, at 20 °C.",
        SIZES,
    ),
    any(
        "direction",
        "direction of the bar",
        "Which way the value goes when metal comes off.",
        Own,
    ),
    any(
        "action",
        "next action",
        "The one thing to do next, in a sentence: what comes off, what to measure, or that it is \
         done.",
        Own,
    ),
    any(
        "callout",
        "callout",
        "Nominal size and tolerance as the drawing has them: 20 k6 is 20 mm with the tolerance \
         class k6.",
        SIZES,
    ),
    any(
        "limits",
        "limits",
        "Lower and upper limit by which this characteristic is judged; for a limit gauge which \
         side of it is tried.",
        SIZES,
    ),
    any(
        "feature name",
        "name of the feature",
        "What the plan calls it, and whether it is made to suit a measured mate.",
        Own,
    ),
    any(
        "point",
        "point",
        "At which of its places this characteristic is measured now. The verdict is of the worst.",
        Own,
    ),
    any(
        "point #",
        "a measured point",
        "The reading at one place. The smallest and the largest decide; their difference is the \
         form: ovality and taper as far as the points show them.",
        Own,
    ),
    any(
        "more points",
        "further points",
        "So many points do not fit here; arrows reach them.",
        Own,
    ),
    any(
        "form",
        "form from the points",
        "Smallest and largest of the points and how far they are apart.",
        Own,
    ),
    any("part name", "part", "The part as the plan names it.", Own),
    any(
        "drawing",
        "drawing and revision",
        "The drawing that the plan was made from, with its revision.",
        Standard("ISO 7200"),
    ),
    any(
        "part",
        "part number",
        "The running number of the part at hand, and how many are wanted.",
        Own,
    ),
    any(
        "operator",
        "who measures",
        "By whom readings and decisions are recorded from here on.",
        Own,
    ),
    any(
        "temperature",
        "temperature of part and gauge",
        "As entered; with it a size is corrected to 20 °C. It lapses after a while: a part cools.",
        Standard("ISO 1"),
    ),
    any(
        "outline",
        "outline of the part",
        "Half section drawn from the plan: the upper half from outside, the lower cut open. Each \
         feature has the pattern of its state; threads have a thin line.",
        Standard("ISO 128 for the section, ISO 6410-1 for threads"),
    ),
    any(
        "outline #",
        "a drawn feature",
        "A feature of the plan with its state. Pointing at it chooses it.",
        Own,
    ),
    at(
        1,
        "row #",
        "characteristic",
        "A size that the plan asks for, in measuring order, with its state on this part.",
        Standard("ISO 22514-1 for the word"),
    ),
    any(
        "setting #",
        "setting",
        "How the part is held: what is measured in one setting is measured before it is taken \
         out.",
        Trade,
    ),
    any(
        "above",
        "more above",
        "So many rows do not fit; Up reaches them.",
        Own,
    ),
    any(
        "below",
        "more below",
        "So many rows do not fit; Down reaches them.",
        Own,
    ),
    any(
        "chart",
        "chart",
        "A value for each part in the order of making. Lines: limits (whole), middle (dashes), \
         control limits (dots). A diamond is a signal: the process has changed.",
        Standard("ISO 7870-2 for control limits"),
    ),
    any(
        "part #",
        "number of the part",
        "The parts on this axis, by their running number.",
        Own,
    ),
    any(
        "journal",
        "the record",
        "Which file the session is recorded in and its last event that is safely on the disk; or \
         NOT RECORDED and why.",
        Own,
    ),
    any(
        "message",
        "message",
        "What could not be done, and why. The next key takes it away.",
        Own,
    ),
    any(
        "gauge #",
        "gauge",
        "A measuring instrument of the register, how it is connected now, and whether its zero \
         check is due. Where there are several, the arrow says which characteristic its next \
         reading goes to; where several may be meant, that is asked once.",
        Standard("JCGM 200 (VIM): measuring instrument"),
    ),
    any(
        "troubles",
        "what must be known besides",
        "Gauges that are away, zeros that are due or failed, readings that drift, signals. The \
         Bench and the Gauges room say more.",
        Own,
    ),
    any(
        "more gauges",
        "further gauges",
        "So many gauges do not fit here; the Gauges room has all.",
        Own,
    ),
    any(
        "caution",
        "caution",
        "Before measuring: the spindle stands still, hands and gauge are clear of it.",
        Trade,
    ),
    any(
        "tab #",
        "room",
        "A room of this window, by its function key; the session goes on whatever is seen.",
        Own,
    ),
    any(
        "tab what",
        "what is this",
        "This explanation. F7 or Esc ends it; arrows go to the next place.",
        Own,
    ),
    any(
        "question",
        "question",
        "Something only you know. Nothing goes on before it is answered, and nothing is lost.",
        Own,
    ),
    any(
        "answer #",
        "answer",
        "The key in front gives this answer.",
        Own,
    ),
    any(
        "waiting",
        "waiting readings",
        "Readings that came meanwhile: recorded, and judged once this is answered.",
        Own,
    ),
    any(
        "about",
        "what is measured",
        "Callout and point of the big value.",
        Own,
    ),
    any(
        "too small",
        "too small to read from there",
        "At the set distance the value would have to be larger than this window allows.",
        Own,
    ),
    any(
        "why",
        "why",
        "How the verdict came about: limits, corrections, uncertainty, rule.",
        Own,
    ),
    any(
        "why # #",
        "a step of the verdict",
        "One of the facts that the verdict follows from: the limit with its table, a correction, \
         a part of the uncertainty budget, the decision rule.",
        RULE,
    ),
    any(
        "why more",
        "more of it",
        "There is more than fits; Down and Up go through it.",
        Own,
    ),
    any(
        "wires #",
        "over three wires",
        "Measuring a thread's pitch diameter: M over the wires, W the wire, P the pitch; d2 \
         follows from them.",
        Trade,
    ),
    any(
        "title",
        "this program",
        "Where it begins: type a callout, open a plan, or go on.",
        Own,
    ),
    any(
        "label",
        "the field",
        "Type a callout such as 20 k6, or several with semicolons, or the name of a plan.",
        Own,
    ),
    any(
        "field",
        "callout or plan",
        "It explains itself while it is typed: the limits, or what is wrong and where.",
        SIZES,
    ),
    any(
        "list",
        "what there is",
        "Unfinished sessions, plans and the demonstration, by number or arrow.",
        Own,
    ),
    any("item #", "an entry", "Its number or Enter takes it.", Own),
    any("keys", "keys", "The keys that do something now.", Own),
];
