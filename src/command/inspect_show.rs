//! What `inspect` shows of each event that is on the disk, for machines and for people.

use super::exit::Exit;
use super::output::{Output, Stopped};
use super::output_decide::{DecisionLine, decision_line};
use super::output_inspect::{
    CuttingLine, Held, HeldLine, JournalLine, SetAside, SetAsideLine, VerdictLine, ZeroCheck,
    ZeroCheckLine,
};
use super::problem::Problem;
use super::study_told::{cell_line, is_of_line, line_line};
use super::table::Style;
use crate::gauge::{CheckOutcome, GaugeId, GaugeStatus, Origin};
use crate::journal::{
    ATTRIBUTE_RULE, Event, Outcome, Place, Sequence, ValueUnit, VerdictGiven, ZeroChecked,
    outcome_text,
};
use crate::measure::VerdictWord;
use crate::quantity::{Angle, Exact, Length, LengthUnit, Rounding};
use crate::report::shown;
use crate::session::{
    Recorded, State, Target, answer_sentence, cell_name, decision_sentence, element_words,
    limits_text, next_action, number_text, remedy_sentences, study_remark, zero_sentence,
};

/// Shows what `inspect` has to say.
pub(super) struct Show {
    pub(super) json: bool,
}

impl Show {
    /// One event that is on the disk.
    pub(super) fn recorded(
        &self,
        recorded: &Recorded,
        state: &State,
        out: &mut Output,
    ) -> Result<(), Stopped> {
        if self.json {
            return Self::json(recorded, state, out);
        }
        if let Some(line) = Self::human(recorded, state, out) {
            out.text(&format!("{line}\n"))?;
        }
        Ok(())
    }

    fn json(recorded: &Recorded, state: &State, out: &mut Output) -> Result<(), Stopped> {
        let event = recorded.sequence;
        match &recorded.event {
            Event::VerdictGiven(verdict) => out.json(&verdict_line(verdict, event, state)),
            Event::CuttingNoted {
                reading,
                place,
                value_at_20,
                left,
                depth,
                dial,
            } => out.json(&CuttingLine {
                part: place.part,
                feature: &place.feature,
                element: &place.element,
                point: place.point,
                value: shown_value(state, *reading),
                value_at_20: value_at_20.to_mm(),
                verdict: "CUTTING",
                side: "metal_on",
                left: left.to_mm(),
                depth_of_cut: depth.map(Length::to_mm),
                on_the_dial: dial.map(Length::to_mm),
                event,
                reading: *reading,
            }),
            Event::ReadingHeld {
                reading,
                place,
                cause,
                sentence,
            } => out.json(&HeldLine {
                held: Held {
                    part: place.part,
                    feature: &place.feature,
                    element: &place.element,
                    point: place.point,
                    value: shown_value(state, *reading),
                    cause,
                    sentence,
                    reading: *reading,
                    event,
                },
            }),
            Event::ReadingSetAside { reading, reason } => out.json(&SetAsideLine {
                set_aside: SetAside {
                    reading: *reading,
                    value: shown_value(state, *reading),
                    reason,
                    event,
                },
            }),
            Event::StudyCellFilled { reading, cell } => {
                let value = shown_value(state, *reading);
                cell_line(state, *cell, (event, *reading), value, out)
            }
            Event::ZeroChecked(checked) => out.json(&ZeroCheckLine {
                zero_check: zero_check(checked, event),
            }),
            Event::ReadingRefused { code, raw, .. } => {
                out.json_problem(&String::from_utf8_lossy(raw), &refused(code))
            }
            line if state.study().is_some() && is_of_line(line) => line_line(line, out),
            decided => match decision_line(event, decided, state) {
                Some(decision) => out.json(&DecisionLine { decision }),
                None => Ok(()),
            },
        }
    }

    fn human(recorded: &Recorded, state: &State, out: &mut Output) -> Option<String> {
        let screen = out.screen();
        let sentence = answer_sentence(state, &recorded.event).unwrap_or_default();
        let width = value_width(state);
        let line = |place: &Place, value: &str, word: &str, rest: &str| {
            let text = format!(
                "  {}  {value:>width$}  {word}  {sentence}{rest}",
                what(state, place)
            );
            Some(text.trim_end().to_owned())
        };
        match &recorded.event {
            Event::VerdictGiven(verdict) => {
                let word = format!("{:^7}", outcome_text(verdict.outcome));
                let word = screen.styled(&word, style(verdict.outcome));
                let value = number_text(verdict.unit, verdict.value_at_20);
                let apart = if sentence.is_empty() { "" } else { ", " };
                let u = verdict
                    .u
                    .map(|u| format!("{apart}u {}", shown_u(verdict.unit, u)));
                let from = imported(state, verdict.reading).map_or("", |_| "  imported");
                let rest = format!("{}{from}", u.unwrap_or_default());
                let mut text = line(&verdict.place, &value, &word, &rest)?;
                for sentence in remedy_sentences(state, verdict) {
                    text.push_str("\n      ");
                    text.push_str(&sentence);
                }
                Some(text)
            }
            Event::CuttingNoted {
                place, value_at_20, ..
            } => {
                let word = screen.styled("CUTTING", Style::Cutting);
                line(place, &value_at_20.to_mm(), &word, "")
            }
            Event::ReadingHeld { reading, place, .. } => {
                let value = shown_value(state, *reading).unwrap_or_default();
                line(place, &value, "held   ", "")
            }
            Event::ReadingSetAside { reading, .. } => {
                let value = shown_value(state, *reading).unwrap_or_default();
                Some(format!("  {value} set aside: {sentence}"))
            }
            Event::StudyCellFilled { reading, cell } => {
                let value = shown_value(state, *reading).unwrap_or_default();
                let name = cell_name(state.study()?, *cell);
                let remark = study_remark(state, *cell);
                let remark = remark.map(|remark| format!("\n      {remark}"));
                let remark = remark.unwrap_or_default();
                Some(format!("  {}  {value}{remark}", shown(&name)))
            }
            other => notice(other, state),
        }
    }

    /// What is to be measured now, for people.
    pub(super) fn next(&self, state: &State, out: &mut Output) -> Result<(), Stopped> {
        if self.json || state.is_closed() {
            return Ok(());
        }
        let first = state.parts().is_empty().then_some(0);
        let limits = state
            .current_target()
            .or(first)
            .and_then(|target| state.setup().targets.get(target))
            .map_or_else(String::new, |target| {
                format!("  {}", limits_text(&target.limits))
            });
        out.text(&format!("{}{limits}\n", next_action(state)))
    }

    /// The last line: where the record is.
    pub(super) fn ended(
        &self,
        journal: &str,
        head: String,
        state: &State,
        out: &mut Output,
    ) -> Result<(), Stopped> {
        if self.json {
            return out.json(&JournalLine { journal, head });
        }
        let mut text = String::new();
        for part in state.parts() {
            text.push_str(&format!(
                "part {:>3}  {}\n",
                part.number,
                state.standing(part).word()
            ));
        }
        text.push_str(&format!(
            "recorded in {journal}\nhead of the chain {head}\n"
        ));
        text.push_str("A recorded verdict is not a certificate of calibration.\n");
        out.text(&text)
    }
}

fn zero_check(checked: &ZeroChecked, event: u64) -> ZeroCheck<'_> {
    ZeroCheck {
        gauge: &checked.gauge,
        standard: Some(checked.standard.as_str()).filter(|standard| !standard.is_empty()),
        shows: checked.shows.to_mm(),
        offset: checked.offset.to_mm(),
        bound: checked.bound.map(Length::to_mm),
        good: checked.good,
        reading: checked.reading,
        event,
    }
}

fn verdict_line<'a>(verdict: &'a VerdictGiven, event: u64, state: &State) -> VerdictLine<'a> {
    let number = |units: i64| match verdict.unit {
        ValueUnit::Nanometre => Some(Length::from_units(units).to_mm()),
        ValueUnit::Milliarcsecond => Some(Angle::from_units(units).to_degrees()),
        ValueUnit::Check => None,
    };
    let gauge = state
        .reading(verdict.reading)
        .and_then(|record| record.gauge);
    VerdictLine {
        part: verdict.place.part,
        feature: &verdict.place.feature,
        element: &verdict.place.element,
        point: verdict.place.point,
        points: verdict.points,
        value: shown_value(state, verdict.reading),
        value_at_20: number(verdict.value_at_20),
        u: verdict.u.and_then(number),
        verdict: outcome_text(verdict.outcome),
        side: (verdict.outcome != Outcome::Noted).then(|| verdict.side.word()),
        to_middle: verdict.to_middle.and_then(number),
        rule: match verdict.unit {
            ValueUnit::Check => ATTRIBUTE_RULE,
            _ => verdict.rule.word(),
        },
        event,
        reading: verdict.reading,
        gauge: gauge
            .and_then(|at| state.setup().gauge_id(at))
            .map(|id| id.as_str().to_owned()),
        origin: imported(state, verdict.reading),
        notes: &verdict.notes,
        conformance_probability: verdict.conformance_ppm.map(|ppm| f64::from(ppm) / 1e6),
        remedies: remedy_sentences(state, verdict),
    }
}

/// The word of a value that was measured elsewhere; others say by their gauge where they are from.
fn imported(state: &State, reading: Sequence) -> Option<&'static str> {
    let record = state.reading(reading)?;
    (record.origin == Origin::Imported).then_some("imported")
}

/// The value in millimetres with the decimals that the gauge sent; degrees for an angle.
fn shown_value(state: &State, reading: Sequence) -> Option<String> {
    let record = state.reading(reading)?;
    let target = state.setup().targets.get(usize::from(record.target));
    if record.check.is_some() {
        return CheckOutcome::from_number(record.value).map(|outcome| outcome.word().to_owned());
    }
    if record.part > 0 && target.is_some_and(|target| target.is_angle()) {
        return Some(Angle::from_units(record.value).to_degrees());
    }
    let decimals = match record.shown.unit {
        LengthUnit::Millimetre => record.shown.decimals,
        LengthUnit::Inch => 4,
    };
    Some(Length::from_units(record.value).to_text(LengthUnit::Millimetre, decimals))
}

/// The width of values, as wide for all of them: of a number, or of what a limit gauge did.
fn value_width(state: &State) -> usize {
    const OF_NUMBERS: usize = 9;
    let said = CheckOutcome::WORDS
        .iter()
        .map(|(outcome, _)| outcome.said());
    let longest = said.map(str::len).max().unwrap_or(OF_NUMBERS);
    let mut targets = state.setup().targets.iter();
    match targets.any(|target| target.check().is_some()) {
        true => longest,
        false => OF_NUMBERS,
    }
}

/// Feature and callout, as wide for all of them.
fn what(state: &State, place: &Place) -> String {
    let name = |target: &Target| {
        let words = element_words(&target.element);
        let name = format!("{} {} {words}", target.feature, target.callout);
        name.trim_end().to_owned()
    };
    let targets = &state.setup().targets;
    let width = targets
        .iter()
        .map(|target| name(target).chars().count())
        .max()
        .unwrap_or(0);
    let at = state.setup().target_index(&place.feature, &place.element);
    let text = at
        .and_then(|at| targets.get(at))
        .map(name)
        .unwrap_or_default();
    format!("{text:<width$}")
}

/// An uncertainty for people: up to the next tenth of a micrometre.
fn shown_u(unit: ValueUnit, u: i64) -> String {
    const STEP: Length = Length::from_nm(100);
    match unit {
        ValueUnit::Nanometre => Length::from_nm(u).round_to(STEP, Rounding::Ceil).to_mm(),
        ValueUnit::Milliarcsecond | ValueUnit::Check => number_text(unit, u),
    }
}

fn style(outcome: Outcome) -> Style {
    match outcome {
        Outcome::Inside | Outcome::Noted => Style::Plain,
        Outcome::Verdict(VerdictWord::Go) => Style::Go,
        Outcome::Verdict(VerdictWord::NoGo) => Style::NoGo,
        Outcome::Verdict(VerdictWord::Doubt) => Style::Doubt,
    }
}

/// Events that are no answer to a reading, in a few words.
fn notice(event: &Event, state: &State) -> Option<String> {
    Some(match event {
        Event::PartStarted { part } => format!("part {part}"),
        Event::ZeroCheckAsked { .. }
        | Event::ZeroCheckDropped { .. }
        | Event::ZeroChecked(_)
        | Event::GaugeDoubted { .. } => format!("  {}", zero_sentence(event)?),
        Event::RepeatMarked { of, .. } => format!("  the same press as line {of}, not counted"),
        Event::ReadingVoided {
            reading, reason, ..
        } => format!("  line {reading} voided: {}", shown(reason)),
        Event::CuttingSwitched { on: true } => "  cutting".to_owned(),
        Event::CuttingSwitched { on: false } => "  cutting is over".to_owned(),
        Event::ReadingRefused { gauge, code, raw } => {
            let raw = raw.escape_ascii();
            format!("  {gauge}: no reading ({}): {raw}", code.replace('_', " "))
        }
        Event::GarbageCounted { gauge, count, .. } => {
            format!("  {gauge}: {count} more frames were no readings")
        }
        Event::GaugeStateChanged {
            gauge,
            state,
            detail,
        } => format!("  {gauge}: {state}. {}", shown(detail)),
        Event::TemperatureSet { part, gauge } => {
            let text = |celsius: &Option<crate::quantity::Celsius>| {
                celsius.map_or("not known".to_owned(), |celsius| format!("{celsius} °C"))
            };
            format!("  part {}, gauge {}", text(part), text(gauge))
        }
        Event::TakenOut { open } if open.is_empty() => "  taken out".to_owned(),
        Event::TakenOut { open } => {
            format!(
                "  taken out; still open in this setting: {}",
                shown(&open.join(", "))
            )
        }
        Event::PutBack { method, .. } => {
            let asked = state.asked_since_rechucking();
            let asked = asked
                .iter()
                .map(|one| format!("; {} is asked now", one.feature));
            format!("  put back: {}{}", shown(method), asked.collect::<String>())
        }
        Event::ToolChanged { note } => format!("  tool changed {}", shown(note)),
        Event::OffsetApplied { amount, .. } => format!("  offset {}", amount.to_mm()),
        Event::OperatorChanged { name } => format!("  {} measures", shown(name)),
        Event::ClockStepped { by_ms } => format!("  the clock was set by {by_ms} ms"),
        Event::GaugeRouted {
            gauge,
            feature,
            element,
        } => {
            let (id, at) = (
                GaugeId::new(gauge),
                state.setup().target_index(feature, element),
            );
            let (gauge, feature) = (shown(gauge), shown(feature));
            match at.is_some_and(|at| state.is_named(&id, at)) {
                true => format!("  {gauge} is what Enter takes at {feature} now"),
                false => format!("  {gauge} out of turn is for {feature} now"),
            }
        }
        Event::CharacteristicChosen { .. } | Event::PointChosen { .. } => next_action(state),
        decided => format!("  {}", shown(&decision_sentence(decided)?)),
    })
}

fn refused(code: &str) -> Problem {
    let (message, hint) = match GaugeStatus::from_word(code) {
        Some(_) => ("The gauge sent a state and no value.".to_owned(), None),
        None => match crate::wire::WireError::from_code(code) {
            Some(error) => ("The bytes are no reading.".to_owned(), Some(error.hint())),
            None => (
                "The frame is from a gauge that is not known here.".to_owned(),
                None,
            ),
        },
    };
    let code = crate::wire::WireError::from_code(code).map_or_else(
        || GaugeStatus::from_word(code).map_or("unknown_gauge_id", GaugeStatus::word),
        crate::wire::WireError::code,
    );
    // Noise on a line is told and recorded, but it is nothing that was asked: the exit stays.
    Problem {
        exit: Exit::Answered,
        ..Problem::bad(code, message, hint)
    }
}
