//! The next action in one plain sentence.

use super::bar_view::{rule, uncertainty, value};
use super::check_view::{about, after_check, check_verdict};
use super::focus::{Focus, gauge_of, now, place_of};
use super::verdict_view::worse_point;
use super::words::{Words, as_sentence, callout, clean};
use crate::gauge::{CheckAsked, GaugeId};
use crate::journal::{Event, Outcome, VerdictGiven};
use crate::measure::{CutAdvice, Remedy, Side, VerdictWord};
use crate::quantity::{Exact, Length, Rounding};
use crate::session::{
    Advance, PartState, Snapshot, State, ZeroState, account, answer_sentence, cut_sentence,
    doubt_remedies, drift_of_note, form_advice, form_request, metal_left, next_action, number_text,
    remedy_sentences,
};
use crate::window::desk::next_target;

/// So many remedies fit into one sentence.
const REMEDIES: usize = 2;
/// A setting standard is told to a whole micrometre: it need not be closer.
const STANDARD_STEP: Length = Length::from_um(1);

/// What to do now.
pub(super) fn action(snapshot: &Snapshot, focus: Option<&Focus<'_>>, words: Words) -> String {
    let state = &snapshot.state;
    if let Some(unrecorded) = &snapshot.unrecorded {
        return match unrecorded.hint.as_str() {
            "" => "Stop: nothing is recorded any more.".to_owned(),
            hint => clean(hint),
        };
    }
    if state.is_closed() || state.bench().held.is_some() {
        return words.sentence(&next_action(state));
    }
    let answer = focus.and_then(|focus| Some((focus, &focus.answer?.event)));
    let Some((focus, event)) = answer else {
        return format!(
            "{}{}",
            measure_next(state, "Measure", words),
            zero_due(snapshot)
        );
    };
    if let Some((asked, verdict)) = check_verdict(focus) {
        return match verdict.outcome {
            Outcome::Verdict(VerdictWord::NoGo) => after_check(asked, verdict),
            Outcome::Verdict(VerdictWord::Doubt) => which_gauge(state, focus, asked),
            Outcome::Inside => another_point(state, words),
            Outcome::Noted | Outcome::Verdict(VerdictWord::Go) => after_go(state, words),
        };
    }
    match event {
        Event::CuttingNoted { .. } => {
            let sentence = answer_sentence(state, event).unwrap_or_default();
            words.sentence(&as_sentence(&sentence))
        }
        Event::VerdictGiven(verdict) => match verdict.outcome {
            Outcome::Inside => another_point(state, words),
            Outcome::Noted => after_go(state, words),
            Outcome::Verdict(VerdictWord::Go) => after_go(state, words),
            Outcome::Verdict(VerdictWord::NoGo) => no_go(state, focus, verdict, words),
            Outcome::Verdict(VerdictWord::Doubt) => doubt(state, focus, verdict, words),
        },
        _ => words.sentence(&next_action(state)),
    }
}

/// That the gauge which the next reading is expected of should be checked first; it blocks nothing.
fn zero_due(snapshot: &Snapshot) -> String {
    let state = &snapshot.state;
    let next = next_target(state);
    let mut sources = state.setup().sources.iter();
    let due = sources.find_map(|source| {
        let gauge = GaugeId::new(&source.gauge);
        let is_next = next.is_some() && state.fed_by(&gauge).first() == next.as_ref();
        let zero = state.zero_state(&gauge, snapshot.now_ms);
        let is_due = matches!(zero, ZeroState::Due | ZeroState::Failed);
        (is_next && is_due && state.zeros().asked(&gauge).is_none()).then_some((gauge, zero))
    });
    match due {
        None => String::new(),
        Some((gauge, ZeroState::Failed)) => {
            format!(" {} failed its zero check (F6, 5).", clean(gauge.as_str()))
        }
        Some((gauge, _)) => {
            format!(
                " First check the zero of {}: it is due (F6, 5).",
                clean(gauge.as_str())
            )
        }
    }
}

/// A check that was tried with a gauge that is none for it.
fn which_gauge(state: &State, focus: &Focus<'_>, asked: &CheckAsked) -> String {
    let known = |id: &&GaugeId| {
        let gauge = state.setup().gauge(id);
        gauge.is_some_and(|gauge| asked.fits(gauge.kind))
    };
    let fit: Vec<&str> = focus
        .target
        .gauges
        .iter()
        .filter(known)
        .map(GaugeId::as_str)
        .collect();
    let name = asked.name();
    match fit.as_slice() {
        [] => format!("Try it with a {name} that the plan lists."),
        fit => format!("Try the {name} again: {}.", clean(&fit.join(" or "))),
    }
}

/// What is measured next, with its limits.
fn measure_next(state: &State, verb: &str, words: Words) -> String {
    let Some((index, place)) = now(state) else {
        return words.sentence(&next_action(state));
    };
    let Some(target) = state.setup().targets.get(index) else {
        return String::new();
    };
    if state
        .current_part()
        .is_some_and(|part| part.number != place.part)
    {
        let next = match target.check() {
            Some(asked) => format!("try the {}: {}", asked.name(), about(target)),
            None => format!("measure {}", words.target(target)),
        };
        return part_is_done(state, &next, place.part);
    }
    if state.awaits_cut(&place) && target.check().is_none() {
        let feature = clean(&target.feature);
        return format!("Take metal off {feature}, then measure {feature} again.");
    }
    if place.point > 1 {
        return another_point(state, words);
    }
    if state.bench().taken_out {
        let text = words.target(target);
        return format!("The part is out of the chuck: put it back, or measure {text} there.");
    }
    let points = match target.points {
        1 => String::new(),
        points => match target.place_name(1) {
            Some(name) => format!(", point 1 of {points}: {}", clean(name)),
            None => format!(", point 1 of {points}"),
        },
    };
    match (target.check(), verb) {
        (Some(asked), "Next:") => format!("Next: the {}, {}.", asked.name(), about(target)),
        (Some(asked), _) => format!("Try the {}: {}.", asked.name(), about(target)),
        (None, verb) => match &target.form {
            Some(form) => {
                let request = clean(&form_request(form));
                format!("{verb} {}{points}: {request}", words.target(target))
            }
            None => format!("{verb} {}{points}.", words.target(target)),
        },
    }
}

/// The part at hand is settled; the next one is taken.
fn part_is_done(state: &State, next: &str, part: u32) -> String {
    let done = state.current_part().map(|one| (one.number, one.state()));
    match done {
        Some((number, PartState::NotSelected)) => {
            format!("Nothing is measured on part {number}. Take part {part} and {next}.")
        }
        Some((number, word)) => {
            let word = word.word();
            format!("Part {number} is {word}. Take part {part} and {next}.")
        }
        None => format!("Take part {part} and {next}."),
    }
}

fn another_point(state: &State, words: Words) -> String {
    let Some((index, place)) = now(state) else {
        return words.sentence(&next_action(state));
    };
    let Some(target) = state.setup().targets.get(index) else {
        return String::new();
    };
    let (point, points) = (place.point, target.points);
    match (point, target.place_name(point)) {
        (1, _) => format!("Measure {}.", words.target(target)),
        (_, Some(name)) => format!(
            "Measure point {point} of {points} of {}: {}.",
            clean(&target.feature),
            clean(name)
        ),
        _ => format!(
            "Measure point {point} of {points} of {} at another place.",
            clean(&target.feature)
        ),
    }
}

/// After a GO: what comes next, and what would be left open behind.
fn after_go(state: &State, words: Words) -> String {
    let Some((index, place)) = now(state) else {
        let done = state.current_part().map(|part| (part.number, part.state()));
        return match done {
            Some((number, word)) => format!(
                "Part {number} is {}. All parts have been measured.",
                word.word()
            ),
            None => "All parts have been measured.".to_owned(),
        };
    };
    let next = state.setup().targets.get(index);
    let same_part = state
        .current_part()
        .is_some_and(|part| part.number == place.part);
    let last = last_setting(state);
    let (Some(next), Some(last), true) = (next, last, same_part) else {
        return measure_next(state, "Next:", words);
    };
    if next.setting == last {
        return measure_next(state, "Next:", words);
    }
    let open = state.open_in_setting(last);
    let next = words.target(next);
    match open.as_slice() {
        [] => format!("Setting {} is next: {next}.", setting_of(state, index)),
        open => format!(
            "Before the part leaves setting {last}: still open {}.",
            clean(&open.join(", "))
        ),
    }
}

fn setting_of(state: &State, index: usize) -> u32 {
    let target = state.setup().targets.get(index);
    target.map_or(1, |target| target.setting)
}

/// The setting of what was answered last.
fn last_setting(state: &State) -> Option<u32> {
    let (latest, _) = state.latest_answer()?;
    Some(setting_of(state, latest))
}

fn no_go(state: &State, focus: &Focus<'_>, verdict: &VerdictGiven, words: Words) -> String {
    if let Some(point) = worse_point(verdict) {
        return no_go_at(state, focus, point);
    }
    if verdict
        .notes
        .iter()
        .any(|note| note == "zero_may_have_slipped")
    {
        return "All are off alike: zero the gauge, then measure again.".to_owned();
    }
    match verdict.side {
        Side::MetalGone => "Stop. Metal is gone: concession or scrap.".to_owned(),
        Side::MetalOn => metal_on(state, focus, verdict, words),
        Side::Above | Side::Below => {
            let sentence = beyond(verdict);
            words.sentence(&format!("Stop. {sentence}: rework, concession or scrap."))
        }
        Side::Inside => "Stop. A point of it is beyond its limit.".to_owned(),
    }
}

/// Metal can still be taken off: now, or never where the session has moved on.
fn metal_on(state: &State, focus: &Focus<'_>, verdict: &VerdictGiven, words: Words) -> String {
    let part = state.part(focus.part);
    let one = part.and_then(|part| part.characteristics.get(focus.index));
    let is_sorting = state.setup().advance == Advance::Always;
    if is_sorting || one.is_some_and(|one| one.settled.is_some()) {
        let next = measure_next(state, "Next:", words);
        return format!("Metal is still on: put aside. {next}");
    }
    match cut(state, focus, words) {
        Some(cut) if state.awaits_cut(&verdict.place) => format!("{cut} Then measure it again."),
        Some(cut) => cut,
        None => "Metal is still on: take it off and measure again.".to_owned(),
    }
}

/// This point is inside, but another is not.
fn no_go_at(state: &State, focus: &Focus<'_>, point: u16) -> String {
    let part = state.part(focus.part);
    let one = part.and_then(|part| part.characteristics.get(focus.index));
    let at = usize::from(point).checked_sub(1);
    let found = at.and_then(|at| one?.points.get(at)?.side);
    match found {
        Some(Side::MetalOn) => format!("Metal is still on at point {point}: take it off there."),
        Some(Side::MetalGone) => {
            format!("Stop. Metal is gone at point {point}: concession or scrap.")
        }
        _ => format!("Stop. Point {point} is beyond its limit."),
    }
}

fn beyond(verdict: &VerdictGiven) -> String {
    let value = verdict.value_at_20;
    let text = |units| number_text(verdict.unit, units);
    match (verdict.side, verdict.lower, verdict.upper) {
        (Side::Above, _, Some(upper)) => format!("It is {} too large", text(value - upper)),
        (Side::Below, Some(lower), _) => format!("It is {} too small", text(lower - value)),
        _ => "It is beyond its limit".to_owned(),
    }
}

/// How deep the next cut is, where metal is on.
fn cut(state: &State, focus: &Focus<'_>, words: Words) -> Option<String> {
    let answer = focus.answer?;
    let place = place_of(&answer.event)?;
    let u = uncertainty(state, focus);
    let size = Length::from_units(value(focus)?);
    let metal = metal_left(state.setup(), focus.target, size, u, rule(state, focus, u))?;
    if !matches!(metal.advice(), CutAdvice::Cut | CutAdvice::Polish) {
        return None;
    }
    let depth = metal.depth_of_cut().map(|depth| depth.length());
    let dial = metal.dial_numbers();
    let sentence = cut_sentence(state, place, metal.left(), depth, dial);
    Some(words.sentence(&as_sentence(&sentence)))
}

fn doubt(state: &State, focus: &Focus<'_>, verdict: &VerdictGiven, words: Words) -> String {
    let says = |wanted: &str| verdict.notes.iter().any(|note| note == wanted);
    if says("gauge_may_not_prove_this") {
        let gauges: Vec<&str> = focus.target.gauges.iter().map(GaugeId::as_str).collect();
        return format!(
            "Measure it with {}, which may prove it.",
            clean(&gauges.join(" or "))
        );
    }
    if let Some(advice) = form_advice(&verdict.notes) {
        return advice.to_owned();
    }
    if says("gauge_does_not_show_this") && focus.target.form.is_some() {
        return "Turn it under an indicator.".to_owned();
    }
    if says("gauge_does_not_show_this") {
        return match focus.target.over_wires {
            Some(_) => "Measure over the wires with flat faces.",
            None => "Measure it with a thread micrometer.",
        }
        .to_owned();
    }
    if says("rule_needs_uncertainty") {
        let gauge = gauge_of(state, verdict.reading);
        let gauge = gauge.map_or("the gauge".to_owned(), |gauge| clean(gauge.as_str()));
        return format!("Give the error of {gauge} in the register, or measure with another.");
    }
    if let Some(point) = worse_point(verdict) {
        return format!("Point {point} is in doubt: measure it with a better gauge.");
    }
    if says("temperature_without_material") {
        return "Let the part come to 20 °C, or name its material in the plan.".to_owned();
    }
    if says("temperature_lapsed") {
        return "Read the part temperature again, then measure again.".to_owned();
    }
    let mut drifts = verdict.notes.iter().filter_map(|note| drift_of_note(note));
    if let Some(drift) = drifts.next() {
        return match drift.is_shrinking() {
            true => "Let the part cool until its readings stay the same, then measure again.",
            false => "Let the part rest until its readings stay the same, then measure again.",
        }
        .to_owned();
    }
    if !says("readings_disagree")
        && account(state, verdict).is_some_and(|one| one.is_same && one.is_temperature_the_most())
    {
        return match state.bench().temperature.and_then(|entered| entered.part) {
            Some(_) => "Let the part cool to the temperature of the gauge, then measure again.",
            None => "Give the part temperature (T), then measure again.",
        }
        .to_owned();
    }
    if says("readings_disagree") {
        let sentences = remedy_sentences(state, verdict);
        return words.sentence(&sentences.join(" "));
    }
    let all: Vec<String> = doubt_remedies(state, verdict)
        .iter()
        .take(REMEDIES)
        .map(|remedy| remedy_words(remedy, words))
        .collect();
    match all.as_slice() {
        [] => format!("Measure {} with a better gauge.", callout(focus.target)),
        all => as_sentence(&all.join(", or ")),
    }
}

/// A remedy in a few words, in numbers that a hand can use; why has them exactly.
fn remedy_words(remedy: &Remedy, words: Words) -> String {
    match remedy {
        Remedy::SettingStandard { size } => {
            let size = size.round_to(STANDARD_STEP, Rounding::HalfEven);
            words.sentence(&format!("zero on a standard of about {} mm", size.to_mm()))
        }
        Remedy::BetterGauge { expanded_at_most } => {
            format!(
                "use a gauge of U {} at most",
                words.um_down(*expanded_at_most)
            )
        }
        Remedy::BetterWires { expanded_at_most } => {
            let u = words.um_down(*expanded_at_most);
            format!("use wires known to U {u} at most")
        }
        Remedy::Repeats { readings } => format!("repeat until {readings} readings agree"),
    }
}
