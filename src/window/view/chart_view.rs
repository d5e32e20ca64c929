//! Builds the run chart: what a characteristic came to on each part so far.
//!
//! Of several points the worst stands for the part: the one that lies furthest beyond a limit, or
//! nearest to one. A mean could lie inside where a point does not. Control limits are for the mean,
//! which stands beside it as a tick. Made once a snapshot, in a time
//! that grows with the number of parts; a frame only paints it.

use super::axis::{Axis, Layout, fraction};
use super::focus::{Focus, mark_of_outcome};
use super::words::{Words, bounds, capital, clean, counted};
use super::{ChartPoint, ChartView, ControlLines, Mark};
use crate::journal::Event;
use crate::session::{Characteristic, SeriesBrief, Snapshot, mean_of_points};

/// Columns of the widest chart that is painted, in pixels (chosen).
const COLUMNS: usize = 960;

const LIMITS: Layout = Layout {
    left: 0.2,
    right: 0.8,
    from: 0.1,
    until: 0.9,
};

/// The chart of the characteristic in focus.
pub(super) fn chart(snapshot: &Snapshot, focus: &Focus<'_>, words: Words) -> ChartView {
    let state = &snapshot.state;
    if let Some(asked) = focus.target.check() {
        return outcomes(snapshot, focus, &asked.name());
    }
    let limits = &focus.target.limits;
    let (lower, upper) = bounds(limits);
    let Some(axis) = Axis::of(lower, upper, 1, 0, LIMITS) else {
        return ChartView::default();
    };
    let down = |units: i64| fraction(1.0 - axis.place(units).0);
    let count = parts_along(snapshot);
    let mut values: Vec<(usize, i64, Mark)> = Vec::new();
    let mut means: Vec<(usize, i64)> = Vec::new();
    for (at, part) in state.parts().iter().enumerate() {
        let Some(one) = part.characteristics.get(focus.index) else {
            continue;
        };
        if let Some((units, mark)) = worst(one, lower, upper) {
            values.push((at, units, mark));
        }
        if let Some(mean) = mean_of_points(one).filter(|_| one.points.len() > 1) {
            means.push((at, mean));
        }
    }
    // While cutting nothing stands in the part's points: the answer itself is its last value.
    if let Some(answer) = focus.answer
        && let (Event::CuttingNoted { value_at_20, .. }, Some(at)) = (
            &answer.event,
            usize::try_from(focus.part)
                .ok()
                .and_then(|n| n.checked_sub(1)),
        )
    {
        values.retain(|(part, ..)| *part != at);
        values.push((at, value_at_20.as_nm(), Mark::Cutting));
    }
    let brief = snapshot.batch.series(focus.index);
    let marked = brief.map_or(&[][..], |brief| &brief.marked);
    let points: Vec<ChartPoint> = values
        .iter()
        .map(|(at, units, mark)| ChartPoint {
            x: along(*at, count),
            y: down(*units),
            mark: *mark,
            mean: found_at(&means, *at).map(down),
            is_signal: *mark != Mark::Cutting && is_marked(marked, *at),
        })
        .collect();
    let note = brief.map_or_else(String::new, |brief| words.sentence(&note(brief)));
    let label = |limit: Option<i64>| limit.map(|one| (down(one), words.exact(one, limits)));
    let span = span(count);
    ChartView {
        upper: label(upper),
        lower: label(lower),
        middle: lower.zip(upper).map(|_| 0.5),
        control: brief.and_then(|brief| control(brief, count, down)),
        points: thinned(&points, COLUMNS),
        is_outcomes: false,
        spoken: spoken(focus, &values, &span, &note, words),
        note,
        span,
    }
}

fn found_at(means: &[(usize, i64)], at: usize) -> Option<i64> {
    let found = means.binary_search_by_key(&at, |(part, _)| *part).ok()?;
    means.get(found).map(|(_, mean)| *mean)
}

fn is_marked(marked: &[u32], at: usize) -> bool {
    u32::try_from(at + 1).is_ok_and(|part| marked.binary_search(&part).is_ok())
}

/// The control limits of the row in force.
fn control(brief: &SeriesBrief, count: usize, down: impl Fn(i64) -> f32) -> Option<ControlLines> {
    let limits = brief.limits?.location;
    let from = usize::try_from(brief.from_part).ok()?.checked_sub(1)?;
    // Sizes are far below 2^53 smallest steps, so that rounding is exact enough for a pixel.
    #[allow(clippy::cast_possible_truncation)]
    let place = |limit: f64| down(limit.round() as i64);
    Some(ControlLines {
        from: along(from.min(count.saturating_sub(1)), count),
        upper: place(limits.upper),
        lower: place(limits.lower),
    })
}

/// The newest part's signals, and what to do next.
fn note(brief: &SeriesBrief) -> String {
    let said = [&brief.signal, &brief.advice].into_iter().flatten();
    capital(&said.map(String::as_str).collect::<Vec<_>>().join(" · "))
}

/// So many parts are wanted or begun.
fn parts_along(snapshot: &Snapshot) -> usize {
    let state = &snapshot.state;
    let wanted = state.setup().parts_wanted.unwrap_or(0);
    usize::try_from(wanted)
        .unwrap_or(0)
        .max(state.parts().len())
        .max(1)
}

fn span(count: usize) -> String {
    match count {
        1 => "part 1".to_owned(),
        _ => format!("parts 1 to {count}"),
    }
}

/// What a limit gauge did on each part, in a row: marks without a height.
fn outcomes(snapshot: &Snapshot, focus: &Focus<'_>, name: &str) -> ChartView {
    let count = parts_along(snapshot);
    let parts = snapshot.state.parts().iter().enumerate();
    let tried = parts.filter_map(|(at, part)| {
        let one = part.characteristics.get(focus.index)?;
        let outcome = one
            .settled
            .or_else(|| one.points.iter().find_map(|point| point.outcome))?;
        Some(ChartPoint {
            x: along(at, count),
            y: 0.5,
            mark: mark_of_outcome(outcome),
            mean: None,
            is_signal: false,
        })
    });
    let points: Vec<ChartPoint> = tried.collect();
    let good = |mark: Mark| matches!(mark, Mark::Go | Mark::Inside | Mark::Noted);
    let bad = points.iter().filter(|point| !good(point.mark)).count();
    let (id, span) = (clean(&focus.target.feature), span(count));
    ChartView {
        spoken: format!(
            "{id}, {name} over {span}: {} tried, {bad} not good.",
            points.len()
        ),
        points: thinned(&points, COLUMNS),
        is_outcomes: true,
        span,
        ..ChartView::default()
    }
}

fn spoken(
    focus: &Focus<'_>,
    values: &[(usize, i64, Mark)],
    span: &str,
    note: &str,
    words: Words,
) -> String {
    let limits = &focus.target.limits;
    let id = clean(&focus.target.feature);
    let smallest = values.iter().map(|(_, units, _)| *units).min();
    let largest = values.iter().map(|(_, units, _)| *units).max();
    let (Some(smallest), Some(largest)) = (smallest, largest) else {
        return format!("{id} over {span}: no value yet.");
    };
    let good = |mark: Mark| matches!(mark, Mark::Go | Mark::Inside);
    let bad = values.iter().filter(|(_, _, mark)| !good(*mark)).count();
    let count = counted(values.len(), "value");
    let told = format!(
        "{id} over {span}: {count}, {} to {}, {bad} not GO. Limits {}.",
        words.exact(smallest, limits),
        words.exact(largest, limits),
        words.limits(limits)
    );
    match note {
        "" => told,
        note => format!("{told} {note}."),
    }
}

/// The worst point of a characteristic, with the state of the whole.
fn worst(one: &Characteristic, lower: Option<i64>, upper: Option<i64>) -> Option<(i64, Mark)> {
    let measured = one.points.iter().filter_map(|point| {
        let outcome = point.outcome?;
        let above = lower.map_or(i64::MAX, |lower| point.value_at_20 - lower);
        let below = upper.map_or(i64::MAX, |upper| upper - point.value_at_20);
        Some((above.min(below), point.value_at_20, outcome))
    });
    let (_, units, outcome) = measured.min_by_key(|(margin, ..)| *margin)?;
    let mark = mark_of_outcome(one.settled.unwrap_or(outcome));
    Some((units, mark))
}

fn along(at: usize, count: usize) -> f32 {
    let part = |number: usize| u32::try_from(number).map_or(f64::from(u32::MAX), f64::from);
    match count {
        0 | 1 => 0.5,
        _ => fraction(part(at) / part(count - 1)),
    }
}

/// No more points than a chart of so many pixel columns can show: of each column the highest and
/// the lowest, and the highest and the lowest of those that are not GO or signal. So no extreme is
/// lost, and nothing that is not GO gives way to a GO. In order of x, at most four a column.
pub fn thinned(points: &[ChartPoint], columns: usize) -> Vec<ChartPoint> {
    if points.len() <= columns.saturating_mul(2) || columns == 0 {
        return points.to_vec();
    }
    let mut kept = Vec::new();
    let mut start = 0;
    while let Some(first) = points.get(start) {
        let column = column_of(first.x, columns);
        let rest = points.get(start..).unwrap_or_default();
        let length = rest
            .iter()
            .position(|point| column_of(point.x, columns) != column)
            .unwrap_or(rest.len());
        keep_of_column(rest.get(..length).unwrap_or_default(), &mut kept);
        start += length.max(1);
    }
    kept
}

fn keep_of_column(column: &[ChartPoint], kept: &mut Vec<ChartPoint>) {
    let mut ends = [None; 4];
    for (at, point) in column.iter().enumerate() {
        let is_bad = point.is_signal || !matches!(point.mark, Mark::Go | Mark::Inside);
        let [top, bottom, bad_top, bad_bottom] = &mut ends;
        for (end, counts, sign) in [
            (top, true, 1.0),
            (bottom, true, -1.0),
            (bad_top, is_bad, 1.0),
            (bad_bottom, is_bad, -1.0),
        ] {
            let better = end.is_none_or(|(_, y)| point.y * sign < y);
            if counts && better {
                *end = Some((at, point.y * sign));
            }
        }
    }
    let mut places: Vec<usize> = ends.iter().flatten().map(|(at, _)| *at).collect();
    places.sort_unstable();
    places.dedup();
    kept.extend(places.iter().filter_map(|at| column.get(*at)).copied());
}

/// The pixel column of a place.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // clamped to 0 and above
fn column_of(x: f32, columns: usize) -> u32 {
    let columns = u32::try_from(columns).unwrap_or(u32::MAX);
    (f64::from(x).clamp(0.0, 1.0) * f64::from(columns)) as u32
}
