//! The Start room: type a callout and measure, or open a plan, or go on with a session. Nothing
//! else stands before the first reading.
//!
//! Like the desk it is pure: what there is on the disk and at the ports is handed in as
//! [`StartFacts`], and a press answers what it asks for.

use std::path::PathBuf;

use crate::plan::{Bounds, Plan, Rules};
use crate::session::{Begin, What, element_words};
use crate::tolerance::{Tables, parse_callout_in};

use super::links_facts::LinksTold;
use super::press::{NUM_LOCK_OFF, Press, no_session};
pub use super::start_fault::StartFault;
use super::start_mates::{MateStep, MateSteps};

/// Most characters of the field (chosen: several long callouts).
pub const FIELD_CHARACTERS_MAX: usize = 200;
/// Most entries of a list that have a number (two digits reach them).
pub const NUMBERED_MAX: usize = 99;

/// What there is to begin with.
#[derive(Debug, Clone, Default)]
pub struct StartFacts {
    /// Sessions that were not closed, newest first.
    pub unfinished: Vec<Known>,
    /// Plan files.
    pub plans: Vec<Known>,
    /// Where readings may come from; the likeliest first.
    pub gauges: Vec<GaugeChoice>,
    /// The tolerance tables, with those of the house; none: the standard's alone.
    pub tables: Option<Tables>,
    /// What could not be read, a sentence each.
    pub faults: Vec<String>,
    /// What is known of measured mates.
    pub told: LinksTold,
}

/// A file that can be opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Known {
    /// Where it is.
    pub path: PathBuf,
    /// What it is called.
    pub name: String,
    /// What is known of it: when, how far.
    pub detail: String,
}

/// Somewhere that readings may come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GaugeChoice {
    /// As `--gauge` takes it.
    pub source: String,
    /// What it is called.
    pub name: String,
    /// What is known of it.
    pub detail: String,
    /// What it is.
    pub kind: GaugeKind,
}

/// What a gauge choice is, the likeliest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum GaugeKind {
    /// A gauge of the register whose port is there.
    Attached,
    /// A USB adapter that is there.
    Port,
    /// Values are typed.
    Typed,
    /// A serial port of the computer itself, with or without something behind it.
    PlainPort,
    /// A gauge of the register at a port that it is not bound to.
    Unbound,
    /// A gauge of the register whose port is not there now.
    Missing,
    /// A simulated gauge; never taken without being asked for.
    Simulated,
}

/// The room's state.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Start {
    /// What is typed.
    pub text: String,
    /// The entry of the list that is chosen, if the field is not.
    pub entry: Option<usize>,
    /// The second step: the gauge, by its place in the list.
    pub gauge: Option<usize>,
    /// What is measured, once that is settled.
    pub what: Option<What>,
    /// Between both: the mates that other plans make.
    pub mates: MateSteps,
    /// What went wrong, and what to do.
    pub fault: Option<StartFault>,
}

/// What a press asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum StartAsked {
    /// To begin a session.
    Begin(Box<Begin>),
    /// To look again at what there is: ports come and go.
    LookAgain,
    /// To look whether other plans make mates of this one.
    Mates(PathBuf),
}

/// An entry of the first list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Entry<'a> {
    /// An unfinished session.
    Unfinished(&'a Known),
    /// A plan.
    Plan(&'a Known),
    /// The demonstration.
    Demo,
}

impl StartFacts {
    /// The first list: unfinished sessions, plans, the demonstration.
    pub fn entries(&self) -> Vec<Entry<'_>> {
        let unfinished = self.unfinished.iter().map(Entry::Unfinished);
        let plans = self.plans.iter().map(Entry::Plan);
        unfinished.chain(plans).chain([Entry::Demo]).collect()
    }

    /// The tables that callouts are read with.
    pub fn tables(&self) -> &Tables {
        self.tables.as_ref().unwrap_or_else(|| Tables::standard())
    }

    /// The gauge that is most likely meant: one that is there; else typed; never a simulated one.
    pub fn likeliest_gauge(&self) -> Option<usize> {
        likeliest(&self.gauges)
    }
}

/// The gauge that is most likely meant, by its place; see [`StartFacts::likeliest_gauge`].
pub(super) fn likeliest(gauges: &[GaugeChoice]) -> Option<usize> {
    let mut likely: Vec<(usize, GaugeKind)> = gauges
        .iter()
        .enumerate()
        .map(|(at, gauge)| (at, gauge.kind))
        .filter(|(_, kind)| *kind != GaugeKind::Simulated)
        .collect();
    likely.sort_by_key(|(_, kind)| *kind);
    likely.first().map(|(at, _)| *at)
}

/// What the text of the field means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Meaning {
    /// Nothing is typed.
    Nothing,
    /// The number of an entry of the list.
    Number(usize),
    /// Callouts, each with its limits in words.
    Callouts(Vec<(String, String)>),
    /// A plan of the list, by its place there.
    Plan(usize),
    /// A plan file by its path.
    Path(PathBuf),
    /// None of them.
    Wrong {
        /// What is wrong, in a sentence.
        message: String,
        /// What to do.
        hint: String,
        /// The character that it is about, from 0.
        at: Option<usize>,
    },
}

/// What the text of the field means.
pub fn meaning(text: &str, facts: &StartFacts) -> Meaning {
    let trimmed = text.trim();
    if trimmed.is_empty() {
        return Meaning::Nothing;
    }
    let count = facts.entries().len();
    if let Ok(number) = trimmed.parse::<usize>()
        && (1..=count.min(NUMBERED_MAX)).contains(&number)
    {
        return Meaning::Number(number - 1);
    }
    let wanted = trimmed.to_lowercase();
    let named = facts.plans.iter().position(|plan| {
        let name = plan.name.to_lowercase();
        name == wanted || name.trim_end_matches(".toml") == wanted
    });
    if let Some(at) = named {
        return Meaning::Plan(facts.unfinished.len() + at);
    }
    if wanted.ends_with(".toml") {
        return Meaning::Path(PathBuf::from(trimmed));
    }
    callouts(text, facts.tables())
}

/// Callouts with a semicolon between them, each explained, or what is wrong with the first that
/// is none.
fn callouts(text: &str, tables: &Tables) -> Meaning {
    let mut all = Vec::new();
    let mut from = 0;
    for piece in text.split(';') {
        let blank = piece.chars().take_while(|c| c.is_whitespace()).count();
        let callout = piece.trim();
        if let Err(error) = parse_callout_in(callout, tables) {
            let at = error.place().map(|place| from + blank + place.at);
            return Meaning::Wrong {
                message: error.to_string(),
                hint: error.hint().unwrap_or_default(),
                at,
            };
        }
        match Plan::from_callouts(&[callout], Rules::default(), tables) {
            Ok(plan) => all.push((callout.to_owned(), limits_of(&plan))),
            Err(errors) => {
                let first = errors.first();
                let column = first.map_or(1, |error| error.place().column);
                return Meaning::Wrong {
                    message: first.map_or_else(String::new, |one| one.problem().to_string()),
                    hint: first.and_then(|one| one.hint()).unwrap_or_default(),
                    at: Some(from + blank + column.saturating_sub(1)),
                };
            }
        }
        from += piece.chars().count() + 1;
    }
    Meaning::Callouts(all)
}

/// What is measured of a plan's only feature, in words: its limits; of a thread each element.
fn limits_of(plan: &Plan) -> String {
    let all = plan.order().into_iter().map(|one| {
        let element = element_words(one.id.element.as_deref().unwrap_or_default());
        match one.bounds() {
            Some(Bounds::Check(asked)) => asked.name(),
            bounds => format!("{element} {}", bounds_text(bounds))
                .trim_start()
                .to_owned(),
        }
    });
    all.collect::<Vec<String>>().join(", ")
}

fn bounds_text(bounds: Option<Bounds>) -> String {
    let (lower, upper, unit) = match bounds {
        Some(Bounds::Length(limits)) => (
            limits.lower().map(|length| length.to_mm()),
            limits.upper().map(|length| length.to_mm()),
            " mm",
        ),
        Some(Bounds::Angle(limits)) => (
            limits
                .lower()
                .map(|angle| format!("{}°", angle.to_degrees())),
            limits
                .upper()
                .map(|angle| format!("{}°", angle.to_degrees())),
            "",
        ),
        Some(Bounds::Check(_)) | None => (None, None, ""),
    };
    match (lower, upper) {
        (Some(lower), Some(upper)) => format!("{lower} to {upper}{unit}"),
        (Some(lower), None) => format!("{lower}{unit} or more"),
        (None, Some(upper)) => format!("{upper}{unit} or less"),
        (None, None) => "no limits".to_owned(),
    }
}

impl Start {
    /// The room with something that went wrong; nothing typed is lost.
    pub fn failed(mut self, fault: impl Into<StartFault>) -> Self {
        self.fault = Some(fault.into());
        self
    }

    /// Takes one press.
    pub fn press(&mut self, press: Press, facts: &StartFacts) -> Vec<StartAsked> {
        self.fault = None;
        if let Press::Burst(text) = &press {
            let hint = "Begin a session first, then measure again.";
            return self.complain(no_session(text), hint);
        }
        match self.gauge {
            Some(_) if self.mates.asked().is_some() => self.press_at_mates(&press, facts),
            Some(gauge) => self.press_at_gauge(&press, gauge, facts),
            None => self.press_at_field(press, facts),
        }
    }

    fn press_at_field(&mut self, press: Press, facts: &StartFacts) -> Vec<StartAsked> {
        let count = facts.entries().len();
        match press {
            Press::Enter => return self.settle(facts),
            Press::Up => {
                self.entry = match self.entry {
                    None | Some(0) => None,
                    Some(at) => Some(at.min(count) - 1),
                }
            }
            Press::Down | Press::Tab => {
                let next = self.entry.map_or(0, |at| at + 1);
                self.entry = Some(next.min(count.saturating_sub(1)));
            }
            Press::Escape => self.entry = None,
            Press::Choose(at) if at < count => {
                self.entry = Some(at);
                return self.settle(facts);
            }
            Press::Backspace | Press::BackspaceHeld => {
                self.entry = None;
                self.text.pop();
            }
            Press::Pasted(text) | Press::BurstCut(text) => {
                let text = text.trim();
                text.chars()
                    .filter(|c| !c.is_control())
                    .for_each(|c| self.write(c));
            }
            Press::NumLockOff => {
                return self.complain(NUM_LOCK_OFF, "");
            }
            other => {
                if let Some(character) = other.character() {
                    self.write(character);
                }
            }
        }
        Vec::new()
    }

    fn write(&mut self, character: char) {
        self.entry = None;
        if self.text.chars().count() < FIELD_CHARACTERS_MAX {
            self.text.push(character);
        } else {
            self.complain(
                format!("The field takes {FIELD_CHARACTERS_MAX} characters."),
                "Write a plan file for more.",
            );
        }
    }

    /// Enter at the first step: what is measured is settled, and the gauge is asked for, or the
    /// session begins.
    fn settle(&mut self, facts: &StartFacts) -> Vec<StartAsked> {
        let meaning = match self.entry {
            Some(at) => Meaning::Number(at),
            None => meaning(&self.text, facts),
        };
        let entries = facts.entries();
        let what = match meaning {
            Meaning::Number(at) | Meaning::Plan(at) => match entries.get(at) {
                Some(Entry::Unfinished(known)) => What::Continue(known.path.clone()),
                Some(Entry::Plan(known)) => What::Plan(known.path.clone()),
                Some(Entry::Demo) => What::Demo,
                None => return Vec::new(),
            },
            Meaning::Callouts(all) => {
                What::Callouts(all.into_iter().map(|(callout, _)| callout).collect())
            }
            Meaning::Path(path) => What::Plan(path),
            Meaning::Nothing => {
                return self.complain(
                    "Nothing is typed.",
                    "Type a callout such as 20 k6, or the number of an entry below.",
                );
            }
            Meaning::Wrong { message, hint, .. } => return self.complain(message, hint),
        };
        // A record names its own gauges, and the demonstration plays by itself.
        if matches!(what, What::Continue(_) | What::Demo) {
            return begin(what, None, Vec::new());
        }
        self.settled(what, facts)
    }

    /// A plan is chosen elsewhere: what is left to be asked.
    pub fn measure_plan(&mut self, path: PathBuf, facts: &StartFacts) -> Vec<StartAsked> {
        *self = Self::default();
        self.settled(What::Plan(path), facts)
    }

    /// What is measured is settled: mates, and then the gauge.
    fn settled(&mut self, what: What, facts: &StartFacts) -> Vec<StartAsked> {
        let mates = match &what {
            What::Plan(path) => Some(StartAsked::Mates(path.clone())),
            _ => None,
        };
        self.mates = MateSteps::default();
        self.what = Some(what);
        self.gauge = Some(facts.likeliest_gauge().unwrap_or(0));
        [StartAsked::LookAgain].into_iter().chain(mates).collect()
    }

    fn press_at_gauge(
        &mut self,
        press: &Press,
        gauge: usize,
        facts: &StartFacts,
    ) -> Vec<StartAsked> {
        let last = facts.gauges.len().saturating_sub(1);
        let gauge = match press {
            Press::Enter => return self.begin_with(gauge, facts),
            Press::Backspace if matches!(self.mates.back(), MateStep::Stay) => return Vec::new(),
            Press::Escape | Press::Backspace => return self.leave(),
            Press::Up | Press::Left => gauge.saturating_sub(1),
            Press::Down | Press::Right | Press::Tab => gauge + 1,
            Press::Digit(digit) => match digit.to_digit(10).map(usize::try_from) {
                Some(Ok(number)) if (1..=facts.gauges.len()).contains(&number) => number - 1,
                _ => {
                    return self.complain(
                        format!("There is no gauge {digit} in the list."),
                        "Choose with its number or the arrows, then Enter.",
                    );
                }
            },
            Press::Choose(at) if *at <= last => return self.begin_with(*at, facts),
            _ => gauge,
        };
        self.gauge = Some(gauge.min(last));
        Vec::new()
    }

    fn begin_with(&mut self, gauge: usize, facts: &StartFacts) -> Vec<StartAsked> {
        self.gauge = Some(gauge);
        let source = facts.gauges.get(gauge).map(|gauge| gauge.source.clone());
        match self.what.clone() {
            Some(what) => begin(what, source, self.mates.suits()),
            None => {
                self.gauge = None;
                Vec::new()
            }
        }
    }

    /// After the gauges have been looked for again: the same one stays chosen if it is still
    /// there, else the likeliest is. `before` are those that were offered until now.
    pub fn looked_again(&mut self, before: &[GaugeChoice], now: &StartFacts) {
        if let Some(gauge) = self.gauge {
            let source = before.get(gauge).map(|gauge| &gauge.source);
            let same = now
                .gauges
                .iter()
                .position(|one| Some(&one.source) == source);
            // What was chosen before anybody pressed a key was only likely.
            let likely = Some(gauge) == likeliest(before);
            let chosen = if likely { None } else { same };
            self.gauge = chosen.or_else(|| now.likeliest_gauge()).or(Some(0));
        }
    }

    pub(super) fn complain(
        &mut self,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) -> Vec<StartAsked> {
        self.fault = Some(StartFault {
            message: message.into(),
            hint: hint.into(),
        });
        Vec::new()
    }
}

fn begin(what: What, gauge: Option<String>, suits: Vec<String>) -> Vec<StartAsked> {
    let mut begin = Begin::new(what);
    begin.suits = suits;
    // Several are taken together.
    let sources = gauge.iter().flat_map(|gauge| gauge.lines());
    begin.gauges.extend(sources.map(str::to_owned));
    vec![StartAsked::Begin(Box::new(begin))]
}
