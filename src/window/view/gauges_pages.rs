//! The pages of a gauge.

use super::gauges_view::GaugesSeen;
use super::gauges_words as say;
use super::why_view::source_words;
use super::words::{Words, clean};
use super::{BudgetBar, BudgetView, EntryView, FactView, FrameView, LiveView, Mark, TeachView};
use crate::gauge::{Faces, Gauge, GaugeError};
use crate::measure::{Uncertainty, gauge_lines};
use crate::quantity::{Length, Rounding};
use crate::session::{TapKind, Target, TargetLimits};
use crate::window::gauges_facts::LiveFacts;

/// A line that the register states.
fn stated(what: &str, value: impl Into<String>) -> FactView {
    FactView {
        what: what.to_owned(),
        value: value.into(),
        note: String::new(),
        mark: None,
    }
}

fn assumed(what: &str, value: impl Into<String>, source: Option<String>) -> FactView {
    let mark = source.as_ref().map(|_| Mark::Doubt);
    FactView {
        note: source.map_or(String::new(), |source| format!("assumed: {source}")),
        mark,
        ..stated(what, value)
    }
}

/// What the register says, and what it leaves open.
pub(super) fn facts_lines(seen: &GaugesSeen<'_>, gauge: &Gauge, words: Words) -> Vec<FactView> {
    let mut all = Vec::new();
    let range = say::range(gauge, words);
    match (gauge.kind.is_limit_gauge(), &gauge.callout) {
        (true, Some(callout)) => all.push(stated("made for", clean(callout))),
        _ if range.is_empty() => all.push(stated("range", "not stated: any size is taken")),
        _ => all.push(stated("range", range)),
    }
    let reads = say::reads(gauge, words);
    if !reads.is_empty() {
        all.push(stated("reads", reads));
    }
    if let Some(by) = &gauge.read_by {
        all.push(stated("its size is read with", clean(by.as_str())));
    }
    if let Some((step, source)) = say::step(gauge, words) {
        all.push(assumed("step", step, source));
    }
    if !gauge.kind.is_limit_gauge() {
        all.extend(error_lines(seen, gauge, words));
    }
    all.extend(calibration_lines(seen, gauge));
    all.extend(port_lines(seen, gauge));
    all
}

fn error_lines(seen: &GaugesSeen<'_>, gauge: &Gauge, words: Words) -> Vec<FactView> {
    let mut all = Vec::new();
    let error = say::error(gauge, words);
    let name = match error.name {
        "U" => "calibration uncertainty",
        _ => "permissible error",
    };
    match error.value.is_empty() {
        false => all.push(assumed(
            name,
            format!("{} {}", error.name, error.value),
            error.assumed,
        )),
        true => all.push(FactView {
            note: "verdicts say: uncertainty not considered".to_owned(),
            mark: Some(Mark::Doubt),
            ..stated(name, "not known")
        }),
    }
    if let Some(repeatability) = gauge.repeatability {
        let count = gauge.repeatability_readings;
        let count = count.map_or(String::new(), |count| format!(", {count} readings"));
        let on = gauge.repeatability_on;
        let studied = on.map_or(String::new(), |on| format!(", {on}"));
        let value = format!("s {}{count}{studied}", words.um_up(repeatability));
        let is_before = on
            .zip(gauge.calibrated)
            .is_some_and(|(on, since)| on < since);
        let story = seen.facts.story.as_ref();
        let is_in_doubt = story.is_some_and(|story| story.doubt_of_entry(gauge).is_some());
        let note = match (is_in_doubt, is_before) {
            (true, _) => "its study is in doubt, sessions leave it out: study it again",
            (false, true) => "before its calibration: study it again",
            (false, false) => "",
        };
        all.push(FactView {
            note: note.to_owned(),
            mark: (!note.is_empty()).then_some(Mark::Doubt),
            ..stated("repeatability", value)
        });
    }
    all
}

fn calibration_lines(seen: &GaugesSeen<'_>, gauge: &Gauge) -> Vec<FactView> {
    let mut all = Vec::new();
    if let Some(serial) = &gauge.serial {
        all.push(stated("serial number", clean(serial)));
    }
    let number = gauge.certificate.as_deref().map(clean);
    let day = gauge.calibrated.map(|day| day.to_string());
    let both: Vec<String> = day.into_iter().chain(number).collect();
    if !both.is_empty() {
        all.push(stated("calibrated", both.join(", certificate ")));
    }
    let due = seen.facts.today.map(|today| gauge.due_on(today));
    if let Some((text, mark)) = due.and_then(|due| say::due(due, gauge.due)) {
        all.push(FactView {
            note: text,
            mark: Some(mark),
            ..stated(
                "due",
                gauge.due.map_or(String::new(), |due| due.to_string()),
            )
        });
    }
    all
}

fn port_lines(seen: &GaugesSeen<'_>, gauge: &Gauge) -> Vec<FactView> {
    let Some(port) = &gauge.port else {
        return vec![stated("port", "none stated in the register")];
    };
    let is_there = seen.facts.attached.contains(&gauge.id);
    let (note, mark) = match is_there {
        true => ("attached", Mark::Inside),
        false => (
            "not attached now: plug it in, or look at the path",
            Mark::Doubt,
        ),
    };
    let mut all = vec![FactView {
        note: note.to_owned(),
        mark: Some(mark),
        ..stated("port", say::place(gauge))
    }];
    let adapter = port.adapter.as_deref().map(clean);
    all.push(match adapter {
        Some(adapter) => stated("adapter", adapter),
        None => FactView {
            note: "the usual one; teach finds the right one".to_owned(),
            ..stated("adapter", crate::wire::DEFAULT_ADAPTER)
        },
    });
    if let Some(id) = &port.frame_id {
        all.push(stated("its id in the frames", clean(id)));
    }
    all
}

/// What comes down the wire.
pub(super) fn live(seen: &GaugesSeen<'_>, gauge: &Gauge, words: Words) -> LiveView {
    let Some(live) = &seen.facts.live else {
        let state = match gauge.port {
            None => "The register states no port for it, and no line of this session is its own.",
            Some(_) => "Nothing is heard of it: its port is not open.",
        };
        return LiveView {
            state: state.to_owned(),
            is_fine: gauge.port.is_none(),
            ..LiveView::default()
        };
    };
    let tap = &live.tap;
    let newest_first = tap.lines.iter().rev();
    let frames = newest_first.map(|line| FrameView {
        bytes: say::bytes_text(&line.raw),
        reading: match line.is_value {
            true => words.sentence(&line.text),
            false => words.sentence(&line.text.replace('_', " ")),
        },
        is_reading: line.is_value,
    });
    let newest = tap.lines.iter().rev().find(|line| line.is_value);
    let (state, is_fine) = line_state(live, words);
    LiveView {
        place: format!("{}, adapter {}", clean(&tap.port), clean(&tap.adapter)),
        state,
        is_fine,
        value: newest.map_or(String::new(), |line| words.sentence(&line.text)),
        value_note: newest.map_or("", |_| value_note(live)).to_owned(),
        frames: frames.collect(),
    }
}

fn value_note(live: &LiveFacts) -> &'static str {
    match (live.is_recorded, live.tap.kind) {
        (false, _) => "live, not recorded",
        (true, TapKind::Sends) => "recorded: it sends to the Bench",
        (true, TapKind::Asked | TapKind::Streams) => "live, not recorded: Enter takes it",
    }
}

/// How the line is, with what to do.
fn line_state(live: &LiveFacts, words: Words) -> (String, bool) {
    let tap = &live.tap;
    let how = match tap.kind {
        TapKind::Sends => "It sends at its own data button.",
        TapKind::Asked => "It is asked: Enter asks it for a value.",
        TapKind::Streams => "It sends all the time: its value is live until one is taken.",
    };
    let state = tap.state.as_str();
    let is_fine = matches!(state, "" | "attached");
    let said = match is_fine {
        true => how.to_owned(),
        false => super::words::as_sentence(&format!("{} {}", state.replace('_', " "), tap.detail)),
    };
    let said = match &live.message {
        Some(message) => format!("{said} {message}"),
        None => said,
    };
    (words.sentence(&said), is_fine)
}

/// The uncertainty of one reading: at the characteristic that is measured, if it can be measured
/// with this gauge, else at the largest size of its range.
pub(super) fn budget(seen: &GaugesSeen<'_>, gauge: &Gauge, words: Words) -> BudgetView {
    if gauge.kind.is_limit_gauge() {
        return BudgetView {
            title: "A limit gauge says “goes” or “does not”: it has no uncertainty of a reading."
                .to_owned(),
            ..BudgetView::default()
        };
    }
    if gauge.kind.reads_angles() {
        return BudgetView {
            title: "An angle: its uncertainty stands in Why of each verdict.".to_owned(),
            ..BudgetView::default()
        };
    }
    let (size, faces) = size_of_interest(seen, gauge);
    let title = words.sentence(&format!("One reading of {} mm", size.to_mm()));
    let error = seen.facts.register.error_of(gauge, size, faces);
    let uncertainty = error.as_ref().and_then(|error| {
        let lines = gauge_lines(error, 1).ok()??;
        Uncertainty::combined(lines).ok()
    });
    let (Some(error), Some(uncertainty)) = (error, uncertainty) else {
        return BudgetView {
            title,
            total: "Its error is not known: verdicts say “uncertainty not considered”. State mpe \
                    or calibration in gauges.toml."
                .to_owned(),
            ..BudgetView::default()
        };
    };
    let u = Length::from_nm(whole_nm_up(uncertainty.standard_nm()));
    BudgetView {
        title,
        bars: bars(&uncertainty, &error, words),
        total: format!("u {}, U {} (k = 2)", words.um_up(u), words.um_up(u * 2)),
        note: "Temperature is not in it: it comes with the part and its material.".to_owned(),
    }
}

fn bars(uncertainty: &Uncertainty, error: &GaugeError, words: Words) -> Vec<BudgetBar> {
    let whole = uncertainty.standard_nm().powi(2);
    let bars = uncertainty.lines().iter().map(|line| BudgetBar {
        what: words.sentence(&source_words(line.source, error, 1, false)),
        value: words.um(Length::from_nm(nearest(line.standard_nm))),
        share: match whole > 0.0 {
            true => super::axis::fraction(line.standard_nm.powi(2) / whole),
            false => 0.0,
        },
    });
    bars.collect()
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "far below the range of a length"
)]
fn nearest(nm: f64) -> i64 {
    nm.round() as i64
}

/// Up, but for the noise of a float.
#[allow(
    clippy::cast_possible_truncation,
    reason = "far below the range of a length"
)]
fn whole_nm_up(nm: f64) -> i64 {
    (nm * (1.0 - 1e-12)).ceil() as i64
}

fn size_of_interest(seen: &GaugesSeen<'_>, gauge: &Gauge) -> (Length, Faces) {
    let at_hand = seen.snapshot.and_then(|snapshot| {
        let state = &snapshot.state;
        let at = crate::window::desk::next_target(state)?;
        let target: &Target = state.setup().targets.get(at)?;
        let TargetLimits::Length(limits) = &target.limits else {
            return None;
        };
        let size = limits.upper().or(limits.lower())?;
        let fits = gauge
            .range
            .is_none_or(|_| gauge.covers(size - gauge.size_of(Length::ZERO)));
        (fits && target.may_prove(&gauge.id)).then_some((size, target.faces))
    });
    at_hand.unwrap_or_else(|| {
        let size = say::largest(gauge);
        (
            size.round_to(Length::from_um(1), Rounding::HalfEven),
            Faces::Outside,
        )
    })
}

/// How its adapter is found out.
pub(super) fn teach(seen: &GaugesSeen<'_>, gauge: &Gauge, words: Words) -> TeachView {
    let Some(teach) = &seen.facts.teach else {
        return TeachView {
            prompt: match gauge.port {
                Some(_) => "A few readings of known sizes tell what the gauge sends: Enter begins.",
                None => {
                    "A few readings of known sizes tell what the gauge sends: plug it in, then \
                     Enter begins."
                }
            }
            .to_owned(),
            ..TeachView::default()
        };
    };
    let line = |what: &'static str, mark| {
        move |text: &String| FactView {
            mark: Some(mark),
            ..stated(what, words.sentence(text))
        }
    };
    let found = teach.found.iter().map(line("found", Mark::Go));
    let unknown = teach
        .unknown
        .iter()
        .map(line("not identified", Mark::Doubt));
    let assumed = teach.assumed.iter().map(line("assumed", Mark::Doubt));
    let written = (!teach.written.is_empty()).then(|| FactView {
        mark: Some(Mark::Go),
        ..stated("written", clean(&teach.written))
    });
    let usage = (!teach.usage.is_empty()).then(|| FactView {
        note: "put it into gauges.toml; it counts from the next session on".to_owned(),
        ..stated("in the register", clean(&teach.usage))
    });
    TeachView {
        step: match (teach.is_running, teach.step, teach.steps) {
            (false, _, _) | (true, 0, 0) => String::new(),
            (true, 1, 0) => "listened once".to_owned(),
            (true, heard, 0) => format!("listened {heard} times"),
            (true, step, steps) => format!("step {step} of {steps}"),
        },
        prompt: words.sentence(&teach.prompt),
        entry: (!teach.awaits.is_empty()).then(|| EntryView {
            text: clean(seen.room.entry.as_deref().unwrap_or_default()),
            what: clean(&teach.awaits),
            fault: String::new(),
        }),
        found: written
            .into_iter()
            .chain(usage)
            .chain(found)
            .chain(unknown)
            .chain(assumed)
            .collect(),
        adapter: teach.adapter.lines().map(clean).collect(),
    }
}
