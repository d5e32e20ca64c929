//! Builds the verdict block: word, side, value, deviation, uncertainty and notes.

use super::bar_view::{uncertainty, value};
use super::check_view::{check_side, check_verdict, outcome_words};
use super::focus::{Focus, decimals, decimals_of, mark_of, mark_of_outcome, reading_of};
use super::wires_view::wires_view;
use super::words::{Words, as_sentence, clean, counted, middle};
use super::{EntryView, Mark, VerdictView};
use crate::gauge::GaugeId;
use crate::journal::{Event, Outcome, Sequence, ValueUnit, VerdictGiven};
use crate::measure::{Side, VerdictWord};
use crate::quantity::{Angle, Exact, Length, LengthUnit, Rounding};
use crate::session::{
    Account, Record, Snapshot, State, Target, TargetLimits, Unrecorded, account_of, drift_of_note,
    note_of_verdict, note_words, number_text,
};
use crate::window::desk::{Desk, Form, Mode, next_target};
use crate::window::records_decide::Decision;

/// A feel that proves nothing has no verdict's word.
const NOTED: &str = "recorded";
const NOT_CONSIDERED: &str = "uncertainty not considered";
const CHANGED_SINCE: &str = "The temperature entered has changed since this reading: the numbers \
                             are those of the reading.";

/// The verdict block; `unproved` is what the bar found out about the gauge.
pub(super) fn verdict(
    snapshot: &Snapshot,
    desk: &Desk,
    focus: Option<&Focus<'_>>,
    words: Words,
    unproved: Option<String>,
) -> VerdictView {
    let mut view = match focus {
        Some(focus) => of_focus(&snapshot.state, focus, words),
        None => empty(""),
    };
    view.notes.extend(unproved);
    if let Some(unrecorded) = &snapshot.unrecorded {
        view = not_recorded(unrecorded);
    }
    view.entry = entry(desk, &snapshot.state);
    view
}

fn empty(unit: &str) -> VerdictView {
    VerdictView {
        mark: Mark::Open,
        word: String::new(),
        side: String::new(),
        value: String::new(),
        unit: unit.to_owned(),
        deviation: String::new(),
        shown: String::new(),
        uncertainty: String::new(),
        warning: String::new(),
        notes: Vec::new(),
        entry: None,
    }
}

fn of_focus(state: &State, focus: &Focus<'_>, words: Words) -> VerdictView {
    let unit = match focus.target.limits {
        TargetLimits::Length(_) => "mm",
        TargetLimits::Angle(_) => "°",
        TargetLimits::Check(_) => "",
    };
    let Some(answer) = focus.answer else {
        return empty(unit);
    };
    let event = &answer.event;
    let account = account_of(state, event);
    let shown = reading_of(event).and_then(|reading| state.reading(reading));
    let mut view = empty(unit);
    view.mark = mark_of(event);
    if let Event::ReadingHeld { sentence, .. } = event {
        view.word = "held".to_owned();
        view.value = shown.map_or_else(String::new, |record| gauge_shows(&record, focus, words));
        view.notes.push(words.sentence(sentence));
        return view;
    }
    if let Some((_, verdict)) = check_verdict(focus) {
        return of_check(state, verdict, words);
    }
    let units = value(focus).unwrap_or(0);
    let reading = shown.map_or(0, |record| record.sequence);
    view.value = words.value(units, decimals_of(state, reading), &focus.target.limits);
    view.deviation = deviation(units, &focus.target.limits, words);
    view.uncertainty = match event {
        Event::VerdictGiven(verdict) => verdict.u.map(|u| words.expanded(u, &focus.target.limits)),
        _ => uncertainty(state, focus)
            .map(|u| words.expanded(whole_steps_up(u), &focus.target.limits)),
    }
    .unwrap_or_else(|| NOT_CONSIDERED.to_owned());
    if let Some(record) = shown {
        view.shown = correction(&record, account.as_ref(), focus, words);
        if let Some(wires) = wires_view(focus, words) {
            // The sum begins with what was found, and the panel has what must be.
            view.shown = wires.sum;
        }
    }
    match event {
        Event::VerdictGiven(verdict) => say(state, verdict, words, &mut view),
        _ => {
            view.word = "CUTTING".to_owned();
            view.side = "metal on".to_owned();
        }
    }
    if let Some(account) = &account {
        if account.readings > 1 {
            let readings = account.readings;
            view.notes
                .push(format!("The value is the mean of {readings} readings."));
        }
        if !account.is_same {
            view.notes.push(CHANGED_SINCE.to_owned());
        }
    }
    view
}

/// What a limit gauge did: no size, so no deviation and no uncertainty.
fn of_check(state: &State, verdict: &VerdictGiven, words: Words) -> VerdictView {
    let notes = verdict.notes.iter();
    VerdictView {
        mark: mark_of_outcome(verdict.outcome),
        word: match verdict.outcome {
            Outcome::Inside => inside(state, verdict),
            Outcome::Noted => NOTED.to_owned(),
            Outcome::Verdict(word) => word.word().to_owned(),
        },
        side: check_side(verdict).to_owned(),
        value: outcome_words(verdict),
        notes: notes
            .map(|note| words.sentence(&as_sentence(&note_of_verdict(state, verdict, note))))
            .collect(),
        ..empty("")
    }
}

/// Word, side and notes of a verdict.
fn say(state: &State, verdict: &VerdictGiven, words: Words, view: &mut VerdictView) {
    let worst = worse_point(verdict);
    view.word = match verdict.outcome {
        Outcome::Inside => inside(state, verdict),
        Outcome::Noted => NOTED.to_owned(),
        Outcome::Verdict(word) => word.word().to_owned(),
    };
    view.side = match verdict.outcome {
        Outcome::Verdict(VerdictWord::NoGo) => match verdict.side {
            Side::Inside => "another point is beyond its limit",
            Side::MetalOn => "metal on",
            Side::MetalGone => "metal gone",
            Side::Above => "above",
            Side::Below => "below",
        }
        .to_owned(),
        // The chance is that of this point; the one in doubt is another.
        Outcome::Verdict(VerdictWord::Doubt) if worst.is_some() => {
            "another point is in doubt".to_owned()
        }
        Outcome::Verdict(VerdictWord::Doubt) => match verdict.conformance_ppm {
            Some(ppm) => words.sentence(&format!("{} chance of being inside", percent(ppm))),
            None => "not proved".to_owned(),
        },
        _ => String::new(),
    };
    // The sum says the one; the other belongs to the uncertainty.
    let (over, assumed) = ("over_three_wires", "wire_error_assumed");
    let notes = verdict.notes.iter();
    let told = notes.filter(|note| *note != over && *note != assumed);
    if verdict.notes.iter().any(|note| note == assumed) {
        view.uncertainty.push_str(", wires' error assumed");
    }
    for note in told {
        let sentence = words.sentence(&as_sentence(&note_words(note)));
        match drift_of_note(note) {
            Some(_) => view.warning = sentence,
            None => view.notes.push(sentence),
        }
    }
}

/// How many points are inside so far; never GO before the last.
pub(super) fn inside(state: &State, verdict: &VerdictGiven) -> String {
    let place = &verdict.place;
    let index = state.setup().target_index(&place.feature, &place.element);
    let part = state.part(place.part);
    let one = index.and_then(|index| part?.characteristics.get(index));
    let done = one.map_or(0, |one| {
        one.points
            .iter()
            .filter(|point| point.outcome.is_some())
            .count()
    });
    format!("inside, {done} of {}", verdict.points)
}

/// The point whose verdict this is, when it is not the one just measured.
pub(super) fn worse_point(verdict: &VerdictGiven) -> Option<u16> {
    let mut notes = verdict.notes.iter();
    notes.find_map(|note| note.strip_prefix("worst_at_point_")?.parse().ok())
}

/// Parts per million in whole percent; never a certainty that there is not.
fn percent(ppm: u32) -> String {
    let text = match ppm {
        0 => "0".to_owned(),
        1..=9_999 => "under 1".to_owned(),
        1_000_000.. => "100".to_owned(),
        990_001.. => "over 99".to_owned(),
        _ => (ppm / 10_000).to_string(),
    };
    format!("{text} %")
}

/// How far from the middle; with one limit alone, how far from that.
fn deviation(units: i64, limits: &TargetLimits, words: Words) -> String {
    if let Some(middle) = middle(limits) {
        let text = words.difference(units - middle, limits);
        return format!("{text} from the middle");
    }
    match super::words::bounds(limits) {
        (Some(limit), _) | (_, Some(limit)) => {
            format!("{} from the limit", words.difference(units - limit, limits))
        }
        (None, None) => String::new(),
    }
}

/// What the gauge shows, and what it must show for the middle; empty when nothing lies between.
fn correction(
    record: &Record,
    account: Option<&Account>,
    focus: &Focus<'_>,
    words: Words,
) -> String {
    let Some(account) = account.filter(|account| account.is_corrected() || !account.is_same) else {
        return String::new();
    };
    let shows = format!("gauge shows {}", gauge_shows(record, focus, words));
    let middle = middle(&focus.target.limits).filter(|_| account.is_same);
    let must = middle.and_then(|middle| account.gauge_must_show(Length::from_nm(middle)));
    match must {
        Some(must) => {
            let must = rounded(must, decimals(record.shown));
            let must = words.sentence(&with_sign(must, account.set_size != Length::ZERO));
            format!("{shows}; for the middle it must show {must}")
        }
        None => shows,
    }
}

/// A deviation carries its sign.
fn with_sign(text: String, is_deviation: bool) -> String {
    match is_deviation && !text.starts_with('-') {
        true => format!("+{text}"),
        false => text,
    }
}

fn rounded(length: Length, decimals: u8) -> String {
    let decimals = decimals.min(6);
    let step = Length::from_nm(10_i64.pow(u32::from(6 - decimals)));
    let rounded = length.round_to(step, Rounding::HalfEven);
    rounded.to_text(LengthUnit::Millimetre, decimals)
}

/// The number on the gauge, in millimetres or degrees.
pub(super) fn gauge_shows(record: &Record, focus: &Focus<'_>, words: Words) -> String {
    words.sentence(&match focus.target.limits {
        TargetLimits::Length(_) => {
            Length::from_units(record.value).to_text(LengthUnit::Millimetre, decimals(record.shown))
        }
        TargetLimits::Angle(_) => Angle::from_units(record.value).to_degrees(),
        TargetLimits::Check(_) => number_text(ValueUnit::Check, record.value),
    })
}

/// Whatever the verdict was: what came is not on the disk, so nothing is claimed of it.
/// The reading stands as it came, with or without a unit.
fn not_recorded(unrecorded: &Unrecorded) -> VerdictView {
    let value = unrecorded.readings.first().map(|text| clean(text));
    VerdictView {
        mark: Mark::NotRecorded,
        word: "NOT RECORDED".to_owned(),
        side: match unrecorded.count {
            0 => String::new(),
            count => counted(count, "reading"),
        },
        value: value.unwrap_or_default(),
        notes: [&unrecorded.cause, &unrecorded.hint]
            .into_iter()
            .filter(|text| !text.is_empty())
            .map(|text| clean(text))
            .collect(),
        ..empty("")
    }
}

/// What is being typed.
fn entry(desk: &Desk, state: &State) -> Option<EntryView> {
    let (text, what) = match &desk.mode {
        Mode::Typing { text, gauge } => (text, typed_words(gauge, state)),
        Mode::Filling { form, text } => (text, form_words(*form).to_owned()),
        Mode::Measuring | Mode::Choosing(_) => return None,
    };
    Some(EntryView {
        text: clean(text),
        what,
        fault: desk.fault.as_deref().map(clean).unwrap_or_default(),
    })
}

/// What is typed, and what it is read off.
fn typed_words(gauge: &GaugeId, state: &State) -> String {
    let target = next_target(state).and_then(|at| state.setup().targets.get(at));
    match target.and_then(Target::check) {
        Some(asked) => format!("turns of the {}", asked.name()),
        None if target.is_some_and(|target| target.over_wires.is_some()) => {
            format!("M over the wires, of {}", clean(gauge.as_str()))
        }
        None if target.is_some_and(|target| target.form.is_some()) => {
            format!("full movement, by {}", clean(gauge.as_str()))
        }
        None => format!("reading of {}", clean(gauge.as_str())),
    }
}

fn form_words(form: Form) -> &'static str {
    match form {
        Form::VoidReason => "reason",
        Form::Temperature => "part temperature, °C",
        Form::PutBack => "how it was set true, and the runout",
        Form::ToolNote => "which tool",
        Form::Offset => "offset, mm",
        Form::Operator => "who measures",
        Form::Decide(Decision::Serial) => "serial number",
        Form::Decide(_) => "reason",
    }
}

#[allow(clippy::cast_possible_truncation)] // an uncertainty of a gauge is far below the range
pub(super) fn whole_steps_up(u: f64) -> i64 {
    (u * (1.0 - 1e-12)).ceil() as i64
}

impl VerdictView {
    /// The block in words, for those who do not see it.
    pub fn spoken(&self) -> String {
        let value = match self.value.is_empty() {
            true => String::new(),
            false => format!("{} {}", self.value, self.unit),
        };
        let first = [&self.word, &self.side, &value, &self.deviation, &self.shown];
        let said: Vec<&str> = first
            .into_iter()
            .chain([&self.uncertainty])
            .map(String::as_str)
            .filter(|text| !text.is_empty())
            .collect();
        let mut text = match said.is_empty() {
            true => "Nothing measured yet.".to_owned(),
            false => format!("{}.", said.join(", ")),
        };
        let warning = Some(&self.warning).filter(|text| !text.is_empty());
        for sentence in warning.into_iter().chain(&self.notes) {
            text.push(' ');
            text.push_str(sentence);
        }
        text
    }
}

/// The decimals of the reading that an answer rests on.
pub(super) fn decimals_of_answer(state: &State, answer: &Event) -> u8 {
    decimals_of(state, reading_of(answer).unwrap_or(Sequence::MAX))
}
