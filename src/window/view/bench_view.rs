//! Puts the whole Bench together: the one way from a snapshot to what is seen of it.

use super::action_view::action;
use super::bar_view::bar_of;
use super::chart_view::chart;
use super::focus::Focus;
use super::list_view::{form, points, rows};
use super::outline_view::outline_view;
use super::question_view::question;
use super::status_view::{keys, status};
use super::troubles::troubles;
use super::verdict_view::verdict;
use super::why_view::why;
use super::wires_view::wires_view;
use super::words::{Words, callout, clean};
use super::{BenchView, ChartView, HeaderView, SubjectView, WhyView};
use crate::measure::{THERMOMETER_HALF_WIDTH_K, Temperature};
use crate::quantity::Celsius;
use crate::session::{Snapshot, Target, element_words};
use crate::window::desk::Desk;

const MINUTE_MS: u64 = 60_000;

/// Everything that the Bench shows of a session at one moment, with what the person is just doing.
/// `now_ms` are monotonic milliseconds since the session started; only ages depend on them.
///
/// It grows with the number of parts, so it is called once a snapshot or press, not once a frame.
pub fn bench_view(snapshot: &Snapshot, desk: &Desk, now_ms: u64) -> BenchView {
    let words = Words {
        marker: desk.marker,
    };
    let focus = Focus::of(snapshot, desk);
    let focus = focus.as_ref();
    let (bar, unproved) = focus.map_or((None, None), |focus| bar_of(snapshot, focus, words));
    let has_answer = focus.is_some_and(|focus| focus.answer.is_some());
    let verdict = verdict(snapshot, desk, focus, words, unproved);
    let why = focus
        .filter(|_| desk.is_why)
        .and_then(|focus| why(snapshot, focus, words));
    let why = why.map(|why| WhyView {
        mark: verdict.mark,
        page: desk.why_page,
        ..why
    });
    let status = status(snapshot, desk, now_ms, words);
    BenchView {
        troubles: troubles(snapshot, focus, (&verdict, &status), now_ms, words),
        header: header(snapshot, now_ms, words),
        outline: outline_view(snapshot, focus.map(|focus| focus.index)),
        rows: rows(snapshot),
        subject: focus.map(|focus| subject(focus, words)).unwrap_or_default(),
        verdict,
        points: focus
            .map(|focus| points(snapshot, focus, words))
            .unwrap_or_default(),
        form: focus
            .map(|focus| form(snapshot, focus, words))
            .unwrap_or_default(),
        bar: bar.filter(|_| snapshot.unrecorded.is_none()),
        wires: focus.and_then(|focus| wires_view(focus, words)),
        action: action(snapshot, focus, words),
        chart: focus.map_or_else(ChartView::default, |focus| chart(snapshot, focus, words)),
        question: question(snapshot, desk, focus, words),
        why,
        status,
        keys: keys(snapshot, desk, has_answer),
    }
}

/// What the feature is called, and which element of it is measured; a check's is its gauge.
fn name(target: &Target) -> String {
    let element = match target.check() {
        Some(_) => "",
        None => element_words(&target.element),
    };
    let both = [clean(&target.name), clean(element)];
    let said: Vec<String> = both.into_iter().filter(|text| !text.is_empty()).collect();
    said.join(", ")
}

fn header(snapshot: &Snapshot, now_ms: u64, words: Words) -> HeaderView {
    let state = &snapshot.state;
    let part = &state.setup().plan.part;
    let drawing = match (&part.drawing, &part.revision) {
        (Some(drawing), Some(revision)) => format!("{} rev {}", clean(drawing), clean(revision)),
        (Some(drawing), None) => clean(drawing),
        (None, Some(revision)) => format!("rev {}", clean(revision)),
        (None, None) => String::new(),
    };
    let number = state.parts().len().max(1);
    let part_text = match state.setup().parts_wanted {
        Some(wanted) => format!("part {number} of {wanted}"),
        None => format!("part {number}"),
    };
    HeaderView {
        part_name: clean(&part.name),
        drawing,
        part: part_text,
        operator: clean(&state.bench().operator),
        temperature: temperature(snapshot, now_ms, words),
    }
}

/// The temperatures entered last with their age, until they lapse; they are entered together.
fn temperature(snapshot: &Snapshot, now_ms: u64, words: Words) -> String {
    let unknown = "part temperature not known";
    let Some(entered) = snapshot.state.bench().temperature else {
        return unknown.to_owned();
    };
    let age_ms = now_ms.saturating_sub(entered.at_ms);
    let has_lapsed = |celsius: Celsius| {
        let measured = Temperature::measured(celsius, THERMOMETER_HALF_WIDTH_K);
        measured.aged(age_ms).is_none()
    };
    let lapses = entered
        .part
        .into_iter()
        .chain(entered.gauge)
        .any(has_lapsed);
    let text = |celsius: Celsius| format!("{} °C", words.sentence(&self::celsius(celsius)));
    let known = match (entered.part, entered.gauge, lapses) {
        (None, None, _) => return unknown.to_owned(),
        (Some(_), None, true) => return "part temperature has lapsed".to_owned(),
        (None, Some(_), true) => return format!("gauge temperature has lapsed, {unknown}"),
        (Some(_), Some(_), true) => return "part and gauge temperature have lapsed".to_owned(),
        (Some(part), None, false) => format!("part {}", text(part)),
        (None, Some(gauge), false) => format!("part not known, gauge {}", text(gauge)),
        (Some(part), Some(gauge), false) => {
            format!("part {}, gauge {}", text(part), text(gauge))
        }
    };
    match age_ms / MINUTE_MS {
        0 => known,
        minutes => format!("{known}, {minutes} min old"),
    }
}

/// Degrees with at least one decimal.
pub(super) fn celsius(celsius: Celsius) -> String {
    let text = celsius.to_string();
    match text.contains('.') {
        true => text,
        false => format!("{text}.0"),
    }
}

/// Beside limits of this session only; the why tells the rest.
const MADE_TO_SUIT: &str = "made to suit";

fn subject(focus: &Focus<'_>, words: Words) -> SubjectView {
    let target = focus.target;
    SubjectView {
        callout: callout(target),
        element: match (target.check(), &target.suited) {
            (Some(asked), _) => asked.name(),
            (None, Some(_)) => MADE_TO_SUIT.to_owned(),
            (None, None) => clean(element_words(&target.element)),
        },
        name: match (&target.suited, name(target).as_str()) {
            (None, name) => name.to_owned(),
            (Some(_), "") => MADE_TO_SUIT.to_owned(),
            (Some(_), name) => format!("{MADE_TO_SUIT}, {name}"),
        },
        limits: words.limits(&target.limits),
        point: match target.points {
            1 => String::new(),
            points => format!("point {} of {points}", focus.point),
        },
    }
}
