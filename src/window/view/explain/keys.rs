//! What the keys on the strip do.

use super::{ExplainView, Origin};
use crate::window::view::clean;

/// What a key does begins with the first of these: then it is told by the second.
const KEYS: &[(&str, &str)] = &[
    ("to the field", "To the field that is wrong."),
    ("edit", "Opens the fields of what is chosen."),
    ("new", "A new feature, pair or plan."),
    ("other plan", "Another plan of the workspace, or a new one."),
    (
        "earlier, later",
        "Moves the feature in the order of measuring.",
    ),
    (
        "changed outside",
        "The file was changed by another program: how both sides can be kept.",
    ),
    (
        "save",
        "Saves the plan; comments and everything untouched stay as they are.",
    ),
    ("cursor", "Moves in what is typed."),
    ("row", "The row before or after."),
    ("offer", "Takes the next of what may stand here."),
    (
        "allowance",
        "Writes what earlier batches teach is to be left for the last operation into the plan.",
    ),
    ("undo", "Takes the last edit back."),
    ("redo", "Does it again."),
    ("take out", "Takes it out of the plan; undo brings it back."),
    ("field", "The field before or after."),
    (
        "to the Plan room",
        "What the part must be: features, pairs, and what can prove them.",
    ),
    (
        "to the Pairs room",
        "What goes into what, and what they do together.",
    ),
    ("to the Batch room", "How the numbers of this session run."),
    (
        "to the Records room",
        "What was done: found, shown as it prints, checked, decided.",
    ),
    (
        "to the Gauges room",
        "What is measured with: what it can prove, zero checks, studies.",
    ),
    (
        "pair a batch",
        "Puts all measured holes and shafts of this pair together.",
    ),
    (
        "measured mates",
        "The measured parts that another plan made, from their records.",
    ),
    (
        "other objective",
        "The other objective: nearest to the wanted clearance, or most inside the range.",
    ),
    (
        "along the rows",
        "Goes along both rows, or from link to link.",
    ),
    ("list", "The pairs as a list, to work from."),
    ("rows", "The pairs as links between two sorted rows."),
    ("read again", "Reads the records again."),
    (
        "end the reading",
        "Ends the reading of records; what was read stays.",
    ),
    (
        "look at it with this part",
        "Looks at this mate together with the part at hand; nothing is recorded.",
    ),
    ("none of them", "The part at hand is looked at alone again."),
    ("step through", "Steps through what this field may hold."),
    (
        "the guide",
        "Opens the guide: what the program can do and how it is used, a page a topic.",
    ),
    (
        "what is this",
        "Tells what each number, sign and key on the screen is, one after the other.",
    ),
    (
        "type",
        "Digits begin a reading that is typed; Enter takes it.",
    ),
    (
        "next batch",
        "The session is closed: another one of the same plan, gauges and person begins.",
    ),
    ("leave it", "Leaves the session, to where one is chosen."),
    (
        "next",
        "To what comes next: the next point, characteristic or part, or takes what streams.",
    ),
    ("next pair", "The next pair of the plan."),
    ("next page", "The next page."),
    ("next field", "The next field."),
    (
        "next part",
        "The next part; if one is still open, that is asked first.",
    ),
    (
        "void",
        "Asks for a reason and voids the last reading. It stays in the record, struck out.",
    ),
    (
        "why",
        "Opens how the verdict came about: limits, corrections, uncertainty budget, rule.",
    ),
    ("choose", "Goes through what is listed."),
    (
        "cutting",
        "Cutting on or off: while it is on readings show what is left and are no verdicts.",
    ),
    (
        "repeat point",
        "Measures the last point once more; readings of one point are averaged.",
    ),
    (
        "temperature",
        "Enters the temperature of the part, and of the gauge, for the correction to 20 °C.",
    ),
    (
        "glance",
        "Value, verdict and next action fill the window, to be read from afar.",
    ),
    (
        "more",
        "Opens the list of what else can be done; it can be reached with a keypad alone.",
    ),
    (
        "press the gauge",
        "Presses the button of the simulated gauge.",
    ),
    (
        "the hand",
        "The simulated hand measures by itself, or stops.",
    ),
    ("goes", "The limit gauge goes: yes."),
    ("does not", "The limit gauge does not go: no."),
    (
        "passes",
        "The limit gauge passes through: it does not hold where it should.",
    ),
    (
        "it belongs here",
        "The reading that was held counts for this characteristic.",
    ),
    (
        "set it aside",
        "The reading that was held does not count; it stays in the record.",
    ),
    (
        "two or fewer",
        "While unscrewing, two turns or fewer: the NO-GO screw gauge does not pass.",
    ),
    (
        "more than two",
        "While unscrewing, more than two turns: the NO-GO screw gauge passes.",
    ),
    (
        "read on",
        "Shows the sentences that do not fit; past the end it begins again.",
    ),
    ("back", "Back to where one came from; nothing is lost."),
    ("to the Bench", "To the Bench; what was done here stays."),
    ("close", "Closes it."),
    ("take", "Takes what is typed or shown."),
    ("drop", "Leaves it without taking anything."),
    ("erase", "Erases the last character."),
    ("pages", "The pages of what is chosen, by number."),
    ("gauge", "Goes through the gauges."),
    ("pair", "Goes through the pairs of the plan."),
    (
        "characteristic",
        "Goes through the characteristics of the plan.",
    ),
    (
        "earlier parts",
        "Shows parts that were made before those on the screen.",
    ),
    (
        "keep the chart",
        "Writes the chart as PNG or SVG into the folder of the reports.",
    ),
    ("table", "All parts and characteristics in a table."),
    (
        "which sessions",
        "Which sessions are listed: all, or some by their state.",
    ),
    ("find", "What is typed is looked for in all sessions."),
    ("PDF", "Writes the report as PDF."),
    ("HTML", "Writes the report as one HTML file."),
    (
        "the record",
        "The page that says of what file, program and hash the record is.",
    ),
    (
        "sign",
        "A named person signs: the report carries the chain head up to which it covers.",
    ),
    (
        "decide",
        "Rework, hold, scrap, concession or release of a part, with who and why.",
    ),
    (
        "verify",
        "Reads every line of the record again and derives every verdict anew.",
    ),
    (
        "all readings",
        "Every reading of the session, voided ones too.",
    ),
    ("look again", "Looks again which gauges are attached."),
    ("go on", "Goes on."),
    ("the one before", "To the one before."),
    ("correct", "Erases the last character."),
    ("end it", "Ends it; what was measured stays in the record."),
    ("what to do", "Goes where the next thing is done."),
    ("open", "Opens what is chosen."),
    ("to the list", "Back to the list."),
    ("to the start", "Back to the beginning of it."),
    ("to the record", "Back to the record."),
    ("what it shows", "Digits type what the gauge shows."),
    ("turns", "Digits type the number of turns."),
    (
        "teach it",
        "Begins teaching: the program finds out how this gauge sends.",
    ),
    ("take a value", "Takes a value from the gauge."),
    ("study it", "Begins a study of what the gauge repeats."),
    ("once more", "Does it once more."),
    ("measure", "Begins measuring."),
    ("its run", "The run chart of this characteristic."),
    ("done", "It is done; on to what comes next."),
    (
        "check the zero",
        "Begins a zero check on the gauge's standard.",
    ),
    ("another study", "Begins another study."),
    ("which gauge", "Which of the gauges it is, by number."),
    (
        "which one",
        "Which characteristic the held reading is of, by number; for this session.",
    ),
    (
        "measure again",
        "Takes the live value; if it fits, it puts the held reading aside.",
    ),
    ("page", "Another page."),
    ("a size", "Digits type a size."),
    ("a number", "Digits type a number."),
    (
        "press together",
        "What pressing this pair together takes: force, stress, temperature.",
    ),
    ("last one again", "Measures the last one once more."),
    ("back to the fit", "Back to the pair."),
    ("no", "No."),
    ("yes", "Yes."),
    ("part", "Goes through the parts."),
    (
        "into the register",
        "Writes the result into the register of gauges.",
    ),
];

/// The key of that cap; `says` is cap and deed as the strip has them.
pub(super) fn key_explained(cap: &str, says: &str) -> ExplainView {
    let does = says.strip_prefix(cap).unwrap_or(says).trim();
    ExplainView {
        term: format!("the key {}", clean(cap)),
        says: clean(says),
        text: deed(does).map_or_else(|| clean(does), str::to_owned),
        origin: Origin::Own.told(),
    }
}

/// What that deed is; none: its words on the strip are all there is.
pub fn deed(does: &str) -> Option<&'static str> {
    let told = KEYS.iter().filter(|(begins, _)| does.starts_with(begins));
    told.max_by_key(|(begins, _)| begins.len())
        .map(|(_, text)| *text)
}
