//! Before a gauge is studied: how many parts, people and readings, and what is known. Pure.

use super::press::quoted;
use super::study_facts::{StudyFacts, StudyStage};
use crate::gauge::{Gauge, GaugeId};
use crate::journal::StudyPart;
use crate::quantity::Length;
use crate::session::StudyAsked;

/// People are A, B, C … here, where a keypad may be all there is.
const LETTERS: &str = "ABCDEFGHIJKLMNOPQRST";
/// Most parts, and most readings of each, that are asked for here.
const COUNT_MAX: usize = 100;
const SUCH_AS: &str = "20.003";

/// What is asked next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Question {
    Parts,
    People,
    Trials,
    Known,
    Tolerance,
}

/// What is said before a study begins.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StudySetup {
    gauge: GaugeId,
    next: Question,
    asked: StudyAsked,
    said: Vec<(String, String)>,
    seed: u64,
}

impl StudySetup {
    /// For that gauge; the order of the parts is drawn with `seed`.
    ///
    /// # Errors
    /// It shows no lengths, in a sentence.
    pub fn new(gauge: &Gauge, seed: u64) -> Result<Self, String> {
        let kind = gauge.kind;
        if kind.is_limit_gauge() || kind.is_standard() || kind.reads_angles() {
            return Err(format!(
                "{} shows no lengths that could be studied.",
                gauge.id
            ));
        }
        Ok(Self {
            gauge: gauge.id.clone(),
            next: Question::Parts,
            asked: StudyAsked::default(),
            said: Vec::new(),
            seed,
        })
    }

    /// The gauge that is to be studied.
    pub fn gauge(&self) -> &GaugeId {
        &self.gauge
    }

    /// What is to be shown.
    pub fn facts(&self) -> StudyFacts {
        let trials = self.asked.trials();
        let (prompt, awaits) = match self.next {
            Question::Parts => (
                "How many parts? Ten that differ as the work does say most; Enter alone is one."
                    .to_owned(),
                "parts",
            ),
            Question::People => (
                "How many people measure them? Enter alone is one.".to_owned(),
                "people",
            ),
            Question::Trials => (
                format!("How often does each measure each part? Enter alone is {trials}."),
                "readings of each part",
            ),
            Question::Known => (
                format!(
                    "The known size of part {} in mm, as of a setting standard? Enter alone: not \
                     known.",
                    self.known() + 1
                ),
                "known size, mm",
            ),
            Question::Tolerance => (
                "How wide are the limits that it is to judge, in mm? Enter alone: not said."
                    .to_owned(),
                "tolerance, mm",
            ),
        };
        StudyFacts {
            stage: StudyStage::Setup,
            prompt,
            awaits: awaits.to_owned(),
            answers: self.said.clone(),
            ..StudyFacts::default()
        }
    }

    /// So many known sizes have been said.
    fn known(&self) -> usize {
        let parts = self.asked.parts.iter();
        parts.filter(|part| part.reference.is_some()).count()
    }

    /// Takes an answer, an empty one for Enter alone; the study, once all is known.
    ///
    /// # Errors
    /// What is wrong with it, in a sentence.
    pub fn answer(&mut self, text: &str) -> Result<Option<StudyAsked>, String> {
        let text = text.trim();
        match self.next {
            Question::Parts => {
                let count = counted(text, 1, COUNT_MAX)?;
                self.asked.parts = vec![StudyPart::default(); count];
                self.say("parts", count.to_string());
                self.next = Question::People;
            }
            Question::People => {
                let count = counted(text, 1, LETTERS.len())?;
                let names = LETTERS.chars().take(count).map(String::from);
                let names: Vec<String> = names.collect();
                self.say("people", names.join(", "));
                self.asked.operators = if count > 1 { names } else { Vec::new() };
                self.next = Question::Trials;
            }
            Question::Trials => {
                let usual = self.asked.trials() as usize;
                let count = counted(text, usual, COUNT_MAX)?;
                self.asked.trials = u32::try_from(count).ok();
                self.say("readings of each part", count.to_string());
                self.next = Question::Known;
            }
            Question::Known => self.take_known(text)?,
            Question::Tolerance => {
                if !text.is_empty() {
                    let width = size(text, SUCH_AS)?;
                    if width <= Length::ZERO {
                        return Err("Type a width above 0, or Enter alone.".to_owned());
                    }
                    self.asked.tolerance = Some(width);
                }
                self.asked.seed = Some(self.seed);
                return Ok(Some(self.asked.clone()));
            }
        }
        Ok(None)
    }

    fn take_known(&mut self, text: &str) -> Result<(), String> {
        let at = self.known();
        if text.is_empty() {
            if at > 0 {
                let message = "Type the size of every part, or Backspace to begin again.";
                return Err(message.to_owned());
            }
            self.next = Question::Tolerance;
            return Ok(());
        }
        let known = size(text, SUCH_AS)?;
        if let Some(part) = self.asked.parts.get_mut(at) {
            part.reference = Some(known);
        }
        self.say(
            &format!("known size of part {}", at + 1),
            format!("{} mm", known.to_mm()),
        );
        if at + 1 >= self.asked.parts.len() {
            self.next = Question::Tolerance;
        }
        Ok(())
    }

    fn say(&mut self, what: &str, value: String) {
        self.said.push((what.to_owned(), value));
    }
}

fn counted(text: &str, usual: usize, most: usize) -> Result<usize, String> {
    if text.is_empty() {
        return Ok(usual);
    }
    let count = text.parse::<usize>().ok();
    count
        .filter(|count| (1..=most).contains(count))
        .ok_or_else(|| {
            let text = quoted(text);
            format!("“{text}” is no number from 1 to {most}.")
        })
}

/// A size in mm, as it was typed or pasted.
pub(super) fn size(text: &str, such_as: &str) -> Result<Length, String> {
    Length::parse_mm(text.trim()).map_err(|_| {
        let text = quoted(text);
        format!("“{text}” is no size in mm: type one such as {such_as}.")
    })
}
