//! The answer of `judge`, for machines and for people.

use crate::gauge::CheckOutcome;
use crate::journal::ATTRIBUTE_RULE;
use crate::measure::{
    CheckVerdict, CutAdvice, Judgement, RemainingMetal, Remedy, Side, Uncertainty, VerdictWord,
};
use crate::quantity::Length;
use crate::session::element_words;

use super::answers::{Answer, Note};
use super::exit::Exit;
use super::judge_budget;
use super::judge_why::{self, NOT_CONSIDERED, Shown};
use super::output::{Output, Stopped};
use super::output_judge::JudgeLine;
use super::output_thread::four;
use super::table::{Cell, Column, Row, Style, cell, numbers, words};

/// The columns of several answers.
pub(super) const COLUMNS: &[Column] = &[
    words("verdict"),
    words("callout"),
    numbers("value"),
    words("u"),
    words("side"),
    numbers("beyond"),
    numbers("to middle"),
    numbers("cut"),
];

/// The titles of a single answer.
const FACTS: &[Column] = &[
    words("verdict"),
    words("callout"),
    words("value"),
    words("at 20 °C"),
    words("pitch diameter"),
    words("u"),
    words("side"),
    words("beyond"),
    words("to middle"),
    words("to nearest limit"),
    words("to come off"),
    words("depth of cut"),
    words("on the dial"),
    words("chance inside"),
    words("rule"),
    words("to settle it"),
];

/// The word while metal is still to come off.
const CUTTING: &str = "CUTTING";

/// One judged value.
pub(super) struct JudgeAnswer {
    line: JudgeLine,
    side: Side,
    unit: &'static str,
    style: Style,
    /// A limit gauge's answer: nothing of it is a number.
    is_check: bool,
}

fn style(verdict: VerdictWord) -> Style {
    match verdict {
        VerdictWord::Go => Style::Go,
        VerdictWord::NoGo => Style::NoGo,
        VerdictWord::Doubt => Style::Doubt,
    }
}

impl JudgeAnswer {
    /// From the value as typed and at 20 °C, its uncertainty in smallest steps, and the judgement.
    pub(super) fn new<Q: Shown>(
        callout: &str,
        [value, value_at_20]: [String; 2],
        u: Option<f64>,
        judgement: &Judgement<Q>,
        guard: Option<Q>,
        mut why: Vec<String>,
    ) -> Self {
        // Lengths with three decimals at least, as in every other answer.
        let text = |quantity: Q| quantity.text(3);
        why.push(judge_why::rule(judgement, guard));
        Self {
            line: JudgeLine {
                callout: callout.to_owned(),
                value,
                value_at_20: Some(value_at_20),
                u: u.map(Q::steps_text),
                verdict: judgement.verdict.word(),
                side: judgement.side.word(),
                beyond: Some(text(judgement.beyond)),
                to_middle: judgement.to_middle.map(text),
                to_nearest_limit: Some(text(judgement.to_nearest_limit)),
                conformance_probability: judgement.conformance_probability,
                rule: judgement.rule.word(),
                why,
                ..JudgeLine::default()
            },
            side: judgement.side,
            unit: Q::UNIT,
            style: style(judgement.verdict),
            is_check: false,
        }
    }

    /// From what a limit gauge did.
    pub(super) fn of_check(
        callout: &str,
        element: &'static str,
        outcome: CheckOutcome,
        found: CheckVerdict,
        why: Vec<String>,
    ) -> Self {
        Self {
            line: JudgeLine {
                callout: callout.to_owned(),
                value: outcome.word().to_owned(),
                verdict: found.verdict.word(),
                side: found.side.word(),
                rule: ATTRIBUTE_RULE,
                why,
                element: Some(element),
                ..JudgeLine::default()
            },
            side: found.side,
            unit: "",
            style: style(found.verdict),
            is_check: true,
        }
    }

    /// The element of a thread that the value is of.
    pub(super) fn of_element(&mut self, word: &'static str) {
        self.line.element = Some(word);
    }

    /// The pitch diameter that was judged, from a reading over wires.
    pub(super) fn over_wires(&mut self, pitch: Length, wire: Length) {
        self.line.pitch_diameter = Some(four(pitch));
        self.line.wire = Some(wire.to_mm());
    }

    /// With the budget of its uncertainty.
    pub(super) fn with_budget(&mut self, uncertainty: &Uncertainty) {
        judge_budget::fill(&mut self.line, uncertainty);
    }

    /// With what would settle a DOUBT.
    pub(super) fn settled_by(&mut self, remedies: &[Remedy]) {
        self.line.remedies = remedies.iter().map(Remedy::to_string).collect();
    }

    /// With metal still to come off; while cutting that is no verdict yet.
    pub(super) fn with_metal(&mut self, metal: &RemainingMetal, cutting: bool) {
        let line = &mut self.line;
        line.to_come_off = Some(metal.left().to_mm());
        line.target = Some(metal.target().to_mm());
        line.depth_of_cut = metal.depth_of_cut().map(|depth| depth.length().to_mm());
        line.on_the_dial = metal.dial_numbers().map(|numbers| numbers.to_mm());
        line.advice = match metal.advice() {
            CutAdvice::Cut => Some("cut"),
            CutAdvice::Polish => Some("polish"),
            CutAdvice::Stop | CutAdvice::PastZone => None,
        };
        if cutting {
            line.verdict = CUTTING;
            line.remedies.clear();
            self.style = Style::Cutting;
        }
    }

    fn verdict_cell(&self) -> Cell {
        Cell {
            text: self.line.verdict.to_owned(),
            style: self.style,
        }
    }

    /// The callout, with its element.
    fn callout(&self) -> String {
        match self.line.element {
            Some(element) => format!("{} {}", self.line.callout, element_words(element)),
            None => self.line.callout.clone(),
        }
    }

    /// The value, or what a limit gauge did.
    fn value(&self) -> String {
        match CheckOutcome::from_word(&self.line.value) {
            Some(outcome) if self.is_check => outcome.said().to_owned(),
            _ => self.line.value.clone(),
        }
    }

    fn side_words(&self) -> String {
        self.side.word().replace('_', " ")
    }

    /// The uncertainty, or that there is none.
    fn u_text(&self) -> String {
        self.line
            .u
            .clone()
            .unwrap_or_else(|| NOT_CONSIDERED.to_owned())
    }
}

impl Answer for JudgeAnswer {
    fn write_json(&self, out: &mut Output) -> Result<(), Stopped> {
        out.json(&self.line)
    }

    fn rows(&self) -> Vec<Row> {
        let line = &self.line;
        let inside = self.side == Side::Inside;
        vec![vec![
            self.verdict_cell(),
            cell(self.callout()),
            cell(self.value()),
            cell(match (&line.u, self.is_check) {
                (Some(u), _) => u,
                (None, true) => "",
                (None, false) => "not considered",
            }),
            cell(self.side_words()),
            cell(match &line.beyond {
                Some(beyond) if !inside => beyond,
                _ => "",
            }),
            cell(line.to_middle.as_deref().unwrap_or_default()),
            cell(line.depth_of_cut.as_deref().unwrap_or_default()),
        ]]
    }

    fn facts(&self) -> Option<(&'static [Column], Row)> {
        let line = &self.line;
        let unit = |text: &str| format!("{text}{}", self.unit);
        let signed = |text: &str| match text.starts_with('-') {
            true => unit(text),
            false => format!("+{}", unit(text)),
        };
        let optional = |text: &Option<String>| text.as_deref().map(unit).unwrap_or_default();
        let off = match (&line.to_come_off, &line.target, line.advice) {
            (Some(off), Some(target), Some("polish")) => {
                format!(
                    "{} to {}: too little for a cut, polish",
                    unit(off),
                    unit(target)
                )
            }
            (Some(off), Some(target), _) => format!("{} to {}", unit(off), unit(target)),
            _ => String::new(),
        };
        let inside = self.side == Side::Inside;
        let at_20 = line
            .value_at_20
            .as_ref()
            .filter(|at_20| **at_20 != line.value);
        let u = match line.u {
            Some(_) => unit(&self.u_text()),
            None if self.is_check => String::new(),
            None => self.u_text(),
        };
        let row = vec![
            self.verdict_cell(),
            cell(self.callout()),
            cell(unit(&self.value())),
            cell(at_20.map(|text| unit(text)).unwrap_or_default()),
            cell(optional(&line.pitch_diameter)),
            cell(u),
            cell(self.side_words()),
            cell(match &line.beyond {
                Some(beyond) if !inside => unit(beyond),
                _ => String::new(),
            }),
            cell(line.to_middle.as_deref().map(signed).unwrap_or_default()),
            cell(
                line.to_nearest_limit
                    .as_deref()
                    .map(signed)
                    .unwrap_or_default(),
            ),
            cell(off),
            cell(optional(&line.depth_of_cut)),
            cell(optional(&line.on_the_dial)),
            cell(
                line.conformance_probability
                    .map(judge_why::percent)
                    .unwrap_or_default(),
            ),
            cell(line.rule),
            cell(line.remedies.join(" ")),
        ];
        Some((FACTS, row))
    }

    fn notes(&self) -> Vec<Note> {
        judge_budget::notes(&self.line)
    }

    fn why(&self) -> Vec<String> {
        self.line.why.clone()
    }

    fn exit(&self) -> Exit {
        match self.line.verdict {
            "GO" => Exit::Answered,
            _ => Exit::NotGood,
        }
    }
}
