//! Builds the metal bar from the limits, the value and the doubt that the gauge leaves.

use super::axis::{Axis, Layout, fraction};
use super::focus::{Focus, reading_of};
use super::words::{Words, bounds};
use super::{BarTick, BarView, BarZone, ZoneKind};
use crate::journal::{Event, Sequence};
use crate::measure::{LeadAngle, Rule, doubt_beyond, guard_band};
use crate::quantity::{Angle, Exact, Length};
use crate::session::{
    End, Record, Snapshot, State, TargetLimits, account_of, expected_uncertainty, metal_left,
};
use crate::tolerance::MetalSide;

/// So many earlier points stay as ticks.
const LAST_POINTS: usize = 8;
/// So many readings back they are looked for (chosen: a snapshot must not read a whole day).
const READINGS_BACK: usize = 4_096;

/// More room to the right, where metal is still on and cuts begin.
const METAL: Layout = Layout {
    left: 0.22,
    right: 0.56,
    from: 0.1,
    until: 0.85,
};
/// The same room on both sides, where metal has none.
const PLAIN: Layout = Layout {
    left: 0.33,
    right: 0.67,
    from: 0.1,
    until: 0.9,
};

/// What a bar is drawn from; all numbers in smallest steps (nm, milliarcseconds).
#[derive(Debug, Clone, PartialEq)]
pub struct BarFacts {
    /// Lower limit.
    pub lower: Option<i64>,
    /// Upper limit.
    pub upper: Option<i64>,
    /// Which direction has metal on.
    pub metal: MetalSide,
    /// How far inside a limit a value is GO; none when no value can be.
    pub guard: Option<i64>,
    /// How far beyond a limit a value is still DOUBT.
    pub doubt: i64,
    /// The value at 20 °C.
    pub value: Option<i64>,
    /// What the cut aims at.
    pub target: Option<i64>,
    /// The last points, oldest first.
    pub last: Vec<i64>,
    /// The limits' numbers, lower and upper.
    pub labels: (String, String),
}

/// The bar of these facts; none without a limit.
pub fn bar(facts: &BarFacts) -> Option<BarView> {
    let (sign, layout) = match facts.metal {
        MetalSide::Larger => (1, METAL),
        MetalSide::Smaller => (-1, METAL),
        MetalSide::Neither => (1, PLAIN),
    };
    let axis = Axis::of(facts.lower, facts.upper, sign, facts.doubt, layout)?;
    let middle = facts.lower.zip(facts.upper).map(|(lower, upper)| {
        let (lower, upper) = (axis.place(lower).0, axis.place(upper).0);
        fraction(f64::midpoint(lower, upper))
    });
    let limits = [
        (facts.lower, &facts.labels.0),
        (facts.upper, &facts.labels.1),
    ];
    let mut ticks: Vec<BarTick> = limits
        .into_iter()
        .filter_map(|(limit, label)| {
            let (at, label) = (axis.fraction(limit?), label.clone());
            Some(BarTick { at, label })
        })
        .collect();
    ticks.sort_by(|one, other| one.at.total_cmp(&other.at));
    let zones = zones(facts, &axis, sign);
    Some(BarView {
        ticks,
        middle,
        target: facts.target.map(|target| axis.fraction(target)),
        value: facts.value.map(|value| axis.fraction(value)),
        is_compressed: facts.value.is_some_and(|value| axis.place(value).1),
        last: facts
            .last
            .iter()
            .map(|value| axis.fraction(*value))
            .collect(),
        direction: match facts.metal {
            MetalSide::Neither => "smaller",
            _ => "metal comes off this way",
        }
        .to_owned(),
        spoken: spoken(facts, &zones, &axis),
        zones,
    })
}

/// From metal gone (or smaller) to metal on (or larger), without gaps; a zone of no width is left
/// out. Doubt lies on both sides of a limit: inside nothing is proved, and outside neither.
fn zones(facts: &BarFacts, axis: &Axis, sign: i64) -> Vec<BarZone> {
    let (left, right) = if sign > 0 {
        (facts.lower, facts.upper)
    } else {
        (facts.upper, facts.lower)
    };
    let place = |limit: i64, inward: i64| axis.place(limit + inward * sign).0;
    let mut edges: Vec<(ZoneKind, f64)> = Vec::new();
    if let Some(left) = left {
        edges.push((ZoneKind::Gone, place(left, -facts.doubt)));
        if let Some(guard) = facts.guard {
            edges.push((ZoneKind::Guard, place(left, guard)));
        }
    }
    match (right, facts.guard) {
        (Some(right), Some(guard)) => {
            edges.push((ZoneKind::Go, place(right, -guard)));
            edges.push((ZoneKind::Guard, place(right, facts.doubt)));
            edges.push((ZoneKind::On, 1.0));
        }
        (Some(right), None) => {
            edges.push((ZoneKind::Guard, place(right, facts.doubt)));
            edges.push((ZoneKind::On, 1.0));
        }
        (None, Some(_)) => edges.push((ZoneKind::Go, 1.0)),
        (None, None) => edges.push((ZoneKind::Guard, 1.0)),
    }
    let mut from = 0.0_f32;
    let mut zones = Vec::new();
    for (kind, to) in edges {
        let to = fraction(to);
        if to > from {
            let label = label(kind, facts.metal).to_owned();
            zones.push(BarZone {
                from,
                to,
                kind,
                label,
            });
            from = to;
        }
    }
    zones
}

fn label(kind: ZoneKind, metal: MetalSide) -> &'static str {
    match (kind, metal) {
        (ZoneKind::Guard, _) => "",
        (ZoneKind::Go, _) => "GO",
        (ZoneKind::Gone, MetalSide::Neither) => "smaller",
        (ZoneKind::On, MetalSide::Neither) => "larger",
        (ZoneKind::Gone, _) => "metal gone",
        (ZoneKind::On, _) => "metal on",
    }
}

fn spoken(facts: &BarFacts, zones: &[BarZone], axis: &Axis) -> String {
    let Some(value) = facts.value else {
        return "Metal bar without a value.".to_owned();
    };
    let at = axis.fraction(value);
    let zone = zones.iter().find(|zone| at <= zone.to);
    let place = match zone {
        Some(zone) if zone.kind == ZoneKind::Guard => "so near a limit that it is in doubt",
        Some(zone) => zone.label.as_str(),
        None => "at the end",
    };
    let far = if axis.place(value).1 { ", far out" } else { "" };
    format!("The value lies in: {place}{far}.")
}

/// The bar of the characteristic in focus, and what it says about the gauge when no size can be
/// proved with it.
pub(super) fn bar_of(
    snapshot: &Snapshot,
    focus: &Focus<'_>,
    words: Words,
) -> (Option<BarView>, Option<String>) {
    let state = &snapshot.state;
    let limits = &focus.target.limits;
    if focus.target.check().is_some() {
        return (None, None);
    }
    let (lower, upper) = bounds(limits);
    let u = uncertainty(state, focus);
    let rule = rule(state, focus, u);
    let guard = guard_units(limits, u, rule);
    let doubt = doubt_beyond::<Length>(u, rule).map_or(0, Exact::units);
    let label = |limit: Option<i64>| limit.map_or_else(String::new, |one| words.exact(one, limits));
    let facts = BarFacts {
        lower,
        upper,
        metal: focus.target.surface.metal_side(),
        guard,
        doubt,
        value: value(focus).or_else(|| held_size(state, focus)),
        target: aim(state, focus, u, rule),
        last: last_points(state, focus),
        labels: (label(lower), label(upper)),
    };
    let why = match u {
        Some(_) => "No size can be proved with this gauge: its doubt is wider than the tolerance.",
        None => "Nothing can be proved: the rule needs an uncertainty, and none is known.",
    };
    let unproved = guard.is_none().then(|| why.to_owned());
    (bar(&facts), unproved)
}

/// The value at 20 °C of the answer in focus.
pub(super) fn value(focus: &Focus<'_>) -> Option<i64> {
    match &focus.answer?.event {
        Event::VerdictGiven(verdict) => Some(verdict.value_at_20),
        Event::CuttingNoted { value_at_20, .. } => Some(value_at_20.as_nm()),
        _ => None,
    }
}

/// What a held reading shows, as a size.
fn held_size(state: &State, focus: &Focus<'_>) -> Option<i64> {
    let Event::ReadingHeld { reading, .. } = &focus.answer?.event else {
        return None;
    };
    let shown = size_shown(state, &state.reading(*reading)?);
    let Some(wires) = focus.target.three_wires() else {
        return Some(shown);
    };
    // The bar is the pitch diameter's.
    let over = Length::from_units(shown);
    let found = wires.pitch_diameter(over, LeadAngle::Corrected);
    found.ok().map(Exact::units)
}

/// The value of a reading as a size, not corrected.
fn size_shown(state: &State, record: &Record) -> i64 {
    let gauge = record.gauge.and_then(|at| state.setup().gauge_id(at));
    let gauge = gauge.and_then(|id| state.setup().gauge(&id));
    let value = Length::from_units(record.value);
    gauge.map_or(value, |gauge| gauge.size_of(value)).units()
}

/// The standard uncertainty that counts: the answer's, else the one that the session's gauge for
/// the characteristic will have.
pub(super) fn uncertainty(state: &State, focus: &Focus<'_>) -> Option<f64> {
    match focus.answer.map(|answer| &answer.event) {
        Some(Event::VerdictGiven(verdict)) => verdict.u.map(|u| Length::from_units(u).as_nm_f64()),
        Some(answer @ Event::CuttingNoted { .. }) => {
            account_of(state, answer).and_then(|account| account.measured.standard_nm())
        }
        _ => expected_uncertainty(state, focus.index),
    }
}

/// The rule that decided, or that will.
pub(super) fn rule(state: &State, focus: &Focus<'_>, u: Option<f64>) -> Rule {
    let usual = match u {
        Some(_) => Rule::PROBABILITY,
        None => Rule::Simple,
    };
    match focus.answer.map(|answer| &answer.event) {
        Some(Event::VerdictGiven(verdict)) => verdict.rule,
        _ => state.setup().rule.unwrap_or(usual),
    }
}

/// How far inside the limits a value is GO, in smallest steps; none when no value can be. Where
/// the rule asks for an uncertainty and none is known, nothing can be proved either.
pub(super) fn guard_units(limits: &TargetLimits, u: Option<f64>, rule: Rule) -> Option<i64> {
    match limits {
        TargetLimits::Length(limits) => {
            let guard: Option<Length> = guard_band(limits, u, rule).ok().flatten();
            guard.map(Exact::units)
        }
        TargetLimits::Angle(limits) => {
            let guard: Option<Angle> = guard_band(limits, u, rule).ok().flatten();
            guard.map(Exact::units)
        }
        TargetLimits::Check(_) => None,
    }
}

/// What a cut aims at, while cutting or with metal on.
fn aim(state: &State, focus: &Focus<'_>, u: Option<f64>, rule: Rule) -> Option<i64> {
    let noted = matches!(
        focus.answer.map(|answer| &answer.event),
        Some(Event::CuttingNoted { .. })
    );
    if !noted && !state.bench().cutting {
        return None;
    }
    let (lower, upper) = bounds(&focus.target.limits);
    let value = value(focus).or(upper).or(lower)?;
    let value = Length::from_units(value);
    let metal = metal_left(state.setup(), focus.target, value, u, rule)?;
    Some(metal.target().as_nm())
}

/// The last points of the characteristic, of this part and others, without the one in focus.
fn last_points(state: &State, focus: &Focus<'_>) -> Vec<i64> {
    let shown: Option<Sequence> = focus.answer.and_then(|answer| reading_of(&answer.event));
    let of_target = |record: &Record| {
        usize::from(record.target) == focus.index
            && record.part > 0
            && matches!(record.end, End::Judged | End::Cutting)
            && Some(record.sequence) != shown
    };
    let recent = state.readings().iter().rev().take(READINGS_BACK);
    let last = recent.filter(of_target).take(LAST_POINTS);
    let mut values: Vec<i64> = last.map(|record| record.value_at_20).collect();
    values.reverse();
    values
}
