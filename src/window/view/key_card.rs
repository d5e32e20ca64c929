//! The card of keys: which key does what in which room, as it is printed.

use super::explain::deed;
use crate::report::{KeyCard, KeyGroup, KeyOnCard};

/// Bytes of a sentence that may say more than the words beside it.
const SAYS_MORE: usize = 30;

/// A place, and its keys with what they do.
type Group = (&'static str, &'static [(&'static str, &'static str)]);

/// What the keys do where one measures, and everywhere. Each key that a strip at the foot of the
/// window can show is on the card, in the same words (a test holds both together).
const FRONT: &[Group] = &[
    (
        "Everywhere",
        &[
            ("F1", "to the Bench"),
            ("F2", "to the Plan room"),
            ("F3", "to the Pairs room"),
            ("F4", "to the Batch room"),
            ("F5", "to the Records room"),
            ("F6", "to the Gauges room"),
            ("F7", "what is this"),
            ("F7 /", "the guide"),
        ],
    ),
    (
        "Bench",
        &[
            ("0-9", "type"),
            ("Enter", "next"),
            ("Backspace", "void last"),
            ("*", "repeat point"),
            ("/", "next part"),
            ("Up/Down", "choose"),
            (".", "more"),
            ("C", "cutting"),
            ("T", "temperature"),
            ("W", "why"),
            ("G", "glance"),
            ("D", "decide"),
            ("Space", "press the gauge"),
            ("P", "the hand goes on"),
        ],
    ),
    (
        "Bench: a limit gauge",
        &[
            ("+", "goes"),
            ("-", "does not"),
            ("+", "more than two"),
            ("-", "two or fewer"),
            ("+", "passes through"),
            ("0-9", "turns"),
            ("1-9", "which gauge"),
        ],
    ),
    (
        "Bench: a question",
        &[
            ("+", "it belongs here"),
            ("1-9", "which one"),
            ("Enter", "measure again"),
            ("-", "set it aside"),
            ("/", "next batch"),
            ("Enter", "leave it"),
            ("Enter", "take"),
            ("Backspace", "correct"),
            ("Backspace", "back"),
            ("Esc", "drop"),
            ("/", "what is this"),
        ],
    ),
    (
        "Fields and pages",
        &[
            ("Enter", "done"),
            ("Enter", "go on"),
            ("Enter", "once more"),
            ("Enter", "measure"),
            ("Enter", "close"),
            ("Backspace", "end it"),
            ("Up", "the one before"),
            ("0-9", "a size"),
            ("0-9", "a number"),
            ("0-9", "choose"),
            ("+", "yes"),
            ("-", "no"),
            ("+/-", "page"),
            ("*", "read on"),
            ("Backspace", "to the record"),
            (".", "to the start"),
        ],
    ),
];

/// The other side: the rooms behind the function keys.
const BACK: &[Group] = &[
    (
        "Plan",
        &[
            ("Enter", "edit"),
            ("Up/Down", "field"),
            ("Left/Right", "cursor"),
            ("Left/Right", "row"),
            ("Tab", "offer"),
            ("N", "new"),
            ("X", "take out"),
            ("E/L", "earlier, later"),
            ("A", "allowance"),
            ("U", "undo"),
            ("Y", "redo"),
            ("S", "save"),
            ("C", "changed outside"),
            ("O", "other plan"),
            ("M", "measure"),
            ("Enter", "to the field"),
        ],
    ),
    (
        "Pairs",
        &[
            ("Enter", "next pair"),
            ("+/-", "pair"),
            ("*", "read on"),
            ("/", "press together"),
            ("1", "pair a batch"),
            ("2", "measured mates"),
            ("/", "other objective"),
            ("Enter", "list"),
            ("Enter", "rows"),
            ("+/-", "along the rows"),
            ("Enter", "look at it with this part"),
            ("0", "none of them"),
            ("0", "read again"),
            ("0", "end the reading"),
            ("Enter", "next field"),
            ("+/-", "step through"),
            ("Backspace", "erase"),
            ("/", "back to the fit"),
            (".", "to the Bench"),
        ],
    ),
    (
        "Batch",
        &[
            ("Enter", "next page"),
            ("Enter", "its run"),
            ("0-7", "pages"),
            ("+/-", "characteristic"),
            ("*", "earlier parts"),
            ("/", "keep the chart"),
            ("Backspace", "table"),
        ],
    ),
    (
        "Records",
        &[
            ("A-Z 0-9", "find"),
            ("Enter", "open"),
            ("Enter", "what to do"),
            ("/", "which sessions"),
            ("+/-", "part"),
            ("V", "verify"),
            ("P", "PDF"),
            ("H", "HTML"),
            ("D", "decide"),
            ("S", "sign"),
            ("A", "all readings"),
            ("R", "the record"),
            ("Esc", "find all"),
            ("Backspace", "to the list"),
        ],
    ),
    (
        "Gauges",
        &[
            ("+/-", "gauge"),
            ("1-8", "page"),
            ("Enter", "take a value"),
            ("Enter", "check the zero"),
            ("Enter", "teach it"),
            ("Enter", "study it"),
            ("0-9", "what it shows"),
            ("*", "last one again"),
            ("+", "into the register"),
            ("Enter", "look again"),
            ("Enter", "another study"),
        ],
    ),
];

/// The card.
pub fn key_card() -> KeyCard {
    let key = |(key, does): &(&str, &str)| KeyOnCard {
        key: (*key).to_owned(),
        does: (*does).to_owned(),
        // A sentence that short says no more than the words.
        text: deed(does)
            .filter(|text| text.len() > SAYS_MORE)
            .unwrap_or_default()
            .to_owned(),
    };
    let group = |(name, keys): &Group| KeyGroup {
        name: (*name).to_owned(),
        keys: keys.iter().map(key).collect(),
    };
    KeyCard {
        title: "Keys at the bench".to_owned(),
        about: "Digits, marker, +, -, *, /, Enter and Backspace of a keypad reach everything that \
                is measured; letters and function keys double them. What a key does just now \
                stands at the foot of the window. Stop the spindle before you measure."
            .to_owned(),
        sides: [FRONT, BACK]
            .map(|side| side.iter().map(group).collect())
            .to_vec(),
    }
}
