//! What `fitledger fit` says of two plain parts that go together, for machines and people.

use crate::measure::AsIntended;
use crate::pair::{Between, Measured};
use crate::quantity::{Length, LengthUnit};
use crate::tolerance::FitKind;

use super::answers::Note;
use super::exit::Exit;
use super::fit_plain::{Make, Together, Warmed};
use super::judge_why::NOT_CONSIDERED;
use super::output_fit::{BetweenLine, BothLine, MakeLine, TogetherLine};

/// How such limits become those of a session.
const CARRY_OVER: &str = "inspect --plan PLAN --suit FEATURE=SIZE±u measures by these limits";

impl Together {
    /// The fields that it adds to the answer.
    pub(super) fn line(&self) -> TogetherLine {
        let make = |measured: Measured| {
            let make = self
                .make
                .as_ref()
                .filter(|make| make.measured == measured)?;
            Some(make.line())
        };
        TogetherLine {
            both: self.both.as_ref().map(|both| both.line.clone()),
            make_shaft: make(Measured::Hole),
            make_hole: make(Measured::Shaft),
            at_temperature: self.warm.as_ref().map(|warm| warm.line.clone()),
            why: (!self.why.is_empty()).then(|| self.why.clone()),
        }
    }

    /// What people are told of it.
    pub(super) fn notes(&self) -> Vec<Note> {
        let mut notes = Vec::new();
        if let Some(both) = &self.both {
            notes.push(Note::new("clearance", both_told(&both.line)));
            notes.push(Note::new(
                "as intended",
                format!(
                    "{}; intended is {}",
                    both.intended.word(),
                    kind_told(both.intended_fit)
                ),
            ));
            notes.extend(chances(&both.line));
        }
        if let Some(make) = &self.make {
            notes.extend(make.notes());
        }
        if let Some(warm) = &self.warm {
            notes.extend(warm.notes());
        }
        notes
    }

    /// How it came about.
    pub(super) fn why(&self) -> &[String] {
        &self.why
    }

    /// A clearance that is not proved as intended is something that is not good, and so is a kind
    /// of fit that warmth takes away.
    pub(super) fn exit(&self) -> Exit {
        let is_off = self
            .both
            .as_ref()
            .is_some_and(|both| both.intended != AsIntended::Yes);
        let is_lost = self.warm.as_ref().is_some_and(|warm| !warm.line.kind_kept);
        if is_off || is_lost {
            Exit::NotGood
        } else {
            Exit::Answered
        }
    }
}

impl Make {
    fn line(&self) -> MakeLine {
        MakeLine {
            lower_limit: self.suits.guarded.lower.to_mm(),
            upper_limit: self.suits.guarded.upper.to_mm(),
            without_guard: BetweenLine::new(self.suits.whole),
            guard_band: self.guard.map(Length::to_mm),
            own_class: BetweenLine::new(self.own),
            in_class: self.suits.in_class.ok().map(BetweenLine::new),
            not_in_class: self.suits.in_class.err().map(|why| why.sentence()),
        }
    }

    fn notes(&self) -> Vec<Note> {
        let title = match self.measured {
            Measured::Hole => "make shaft",
            Measured::Shaft => "make hole",
        };
        let guard = match self.guard {
            Some(guard) => format!("guard band {} mm at each end", guard.to_mm()),
            None => NOT_CONSIDERED.to_owned(),
        };
        let both = match self.suits.in_class {
            Ok(limits) => format!("{}: it also stays interchangeable", told(limits)),
            Err(why) => why.sentence(),
        };
        vec![
            Note::new(
                title,
                format!("{}, to suit; {guard}", told(self.suits.guarded)),
            ),
            Note::new("own class", told(self.own)),
            Note::new("both", both),
            Note::new("carry over", CARRY_OVER.to_owned()),
        ]
    }
}

fn told(limits: Between) -> String {
    let mm = |length: Length| length.to_text(LengthUnit::Millimetre, 3);
    format!("{} to {} mm", mm(limits.lower), mm(limits.upper))
}

fn kind_told(kind: FitKind) -> String {
    match kind {
        FitKind::Transition => "a transition fit: either may be".to_owned(),
        kind => kind.word().to_owned(),
    }
}

fn both_told(line: &BothLine) -> String {
    let u = match &line.clearance_uncertainty {
        Some(u) => format!("u {u} mm"),
        None => NOT_CONSIDERED.to_owned(),
    };
    let kind = match line.fit {
        "undecided" => "either may be",
        kind => kind,
    };
    format!("{} mm, {kind}; {u}", line.clearance)
}

fn chances(line: &BothLine) -> Option<Note> {
    let (interference, inside) = line.interference_probability.zip(line.inside_probability)?;
    Some(Note::new(
        "chances",
        format!(
            "interference {:.2} %, inside the intended range {:.2} %",
            interference * 100.0,
            inside * 100.0
        ),
    ))
}

impl Warmed {
    fn notes(&self) -> Vec<Note> {
        let line = &self.line;
        let clearance = match (&line.measured, &line.min_clearance, &line.max_clearance) {
            (Some(both), _, _) => both_told(both),
            (None, Some(least), Some(most)) => {
                format!("clearance {least} to {most} mm, {}", line.fit)
            }
            _ => return Vec::new(),
        };
        let (hole, shaft) = (&line.hole_material, &line.shaft_material);
        let at = format!("{} °C, {hole} on {shaft}: {clearance}", line.celsius);
        let mut notes = vec![Note::new("warm", at)];
        notes.extend(line.measured.as_ref().and_then(chances));
        if !line.kind_kept {
            let lost = format!(
                "intended is {}, and warmth takes it away",
                self.intended.word()
            );
            notes.push(Note::new("caution", lost));
        }
        notes
    }
}
