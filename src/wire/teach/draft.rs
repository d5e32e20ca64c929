//! A way of reading that explains every press, and the text of its adapter.

use super::framing::{Cut, quoted};
use super::setting::line_text;
use super::{Lesson, Role};
use crate::gauge::Date;
use crate::wire::adapter::{Flow, LineSettings, Parity, Pin, Trigger};

/// A table of the description and its lines.
type Lines = Vec<(&'static str, String)>;

/// One way of reading.
#[derive(Debug, Clone, Default)]
pub(super) struct Draft {
    pub(super) frame: Option<Lines>,
    pub(super) check: Option<Lines>,
    pub(super) fields: Lines,
    pub(super) number: Lines,
    pub(super) unit: Lines,
    pub(super) sign: Lines,
    pub(super) status: Lines,
    pub(super) id: Lines,
    pub(super) limits: Lines,
    /// The unit key changes the number and nothing else: such readings cannot be decoded.
    pub(super) unit_not_sent: bool,
    pub(super) found: Vec<String>,
    pub(super) unknown: Vec<String>,
    pub(super) assumed: Vec<String>,
}

/// What the end of the text tells of the teaching itself.
const TAUGHT: &str = "[taught]";

impl Draft {
    /// The adapter's text without its name and day.
    pub(super) fn text(&self, line: LineSettings, cut: &Cut, lesson: &Lesson) -> String {
        let mut text = String::new();
        let mut table = |name: &str, lines: &Lines, comments: &[&str]| {
            if lines.is_empty() {
                return;
            }
            text.push_str(&format!("\n[{name}]\n"));
            for comment in comments {
                text.push_str(&format!("# {comment}\n"));
            }
            for (key, value) in lines {
                text.push_str(&format!("{key} = {value}\n"));
            }
        };
        if lesson.trigger != Trigger::Typed {
            table("line", &line_lines(line), &[line_text(line).as_str()]);
        }
        table("trigger", &trigger_lines(&lesson.trigger), &[]);
        table(
            "frame",
            self.frame.as_ref().unwrap_or(&cut.frame),
            &[cut.words.as_str()],
        );
        table("check", self.check.as_ref().unwrap_or(&cut.check), &[]);
        table("fields", &self.fields, &[]);
        table("number", &self.number, &[]);
        table("unit", &self.unit, &[]);
        table("sign", &self.sign, &[]);
        let refused = "Any other code is refused until its meaning is added here.";
        table("status", &self.status, &[refused]);
        table("id", &self.id, &[]);
        table(
            "limits",
            &self.limits,
            &["Set this to the gauge's measuring range."],
        );
        text.push_str(&format!("\n{TAUGHT}\n"));
        let sizes: Vec<String> = sizes(lesson).iter().map(|size| quoted(size)).collect();
        text.push_str(&format!("sizes_mm = [{}]\n", sizes.join(", ")));
        text.push_str(&list("assumed", &self.assumed));
        text
    }
}

/// The adapter's file: the draft with its name, the day it was taught and what confirmed it.
pub fn draft_file(draft: &str, name: &str, on: Date, confirmed: &str) -> String {
    let dated = format!("{TAUGHT}\non = {on}\nconfirmed_mm = {}", quoted(confirmed));
    let body = draft.replacen(TAUGHT, &dated, 1);
    let head = "# Taught from readings of known sizes; see [taught] for what is assumed.";
    format!("{head}\nname = {}\n{body}", quoted(name))
}

fn sizes(lesson: &Lesson) -> Vec<String> {
    let mut sizes = Vec::new();
    for press in &lesson.presses {
        if let Role::Size(size) = press.role {
            let text = size.to_mm();
            if !sizes.contains(&text) {
                sizes.push(text);
            }
        }
    }
    sizes
}

fn list(key: &str, sentences: &[String]) -> String {
    let mut text = format!("{key} = [\n");
    for sentence in sentences {
        text.push_str(&format!("  {},\n", quoted(sentence)));
    }
    text.push_str("]\n");
    text
}

fn line_lines(line: LineSettings) -> Lines {
    let parity = match line.parity {
        Parity::None => "none",
        Parity::Even => "even",
        Parity::Odd => "odd",
        Parity::Mark => "mark",
        Parity::Space => "space",
    };
    let mut lines = vec![
        ("baud", line.baud.to_string()),
        ("data_bits", line.data_bits.to_string()),
        ("parity", quoted(parity)),
        ("stop_bits", line.stop_bits.to_string()),
    ];
    match line.flow {
        Flow::None => {}
        Flow::RtsCts => lines.push(("flow", quoted("rts_cts"))),
        Flow::XonXoff => lines.push(("flow", quoted("xon_xoff"))),
    }
    for (pin, on) in [("dtr", line.dtr), ("rts", line.rts)] {
        if !on {
            lines.push((pin, quoted("off")));
        }
    }
    lines
}

fn trigger_lines(trigger: &Trigger) -> Lines {
    match trigger {
        Trigger::Unsolicited => vec![("kind", quoted("unsolicited"))],
        Trigger::Stream => vec![("kind", quoted("stream"))],
        Trigger::Typed => vec![("kind", quoted("typed"))],
        Trigger::Request { send, reply_ms } => {
            let hex: String = send.iter().map(|byte| format!("{byte:02x}")).collect();
            vec![
                ("kind", quoted("request")),
                ("send_hex", quoted(&hex)),
                ("reply_ms", reply_ms.to_string()),
            ]
        }
        Trigger::LinePulse { pin, pulse_ms } => {
            let pin = match pin {
                Pin::Dtr => "dtr",
                Pin::Rts => "rts",
            };
            vec![
                ("kind", quoted("line_pulse")),
                ("pin", quoted(pin)),
                ("pulse_ms", pulse_ms.to_string()),
            ]
        }
    }
}
