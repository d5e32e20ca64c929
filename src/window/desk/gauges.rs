//! Which gauge a typed reading is read off.

use super::measuring::command;
use super::{Asked, Desk, next_target};
use crate::gauge::{Gauge, GaugeId, GaugeReads};
use crate::session::{Command, Snapshot, State, UNNAMED_TYPED};

/// The gauge of a typed reading: the one chosen by hand; else the first of the register that may
/// prove what is measured next; else the session's first.
pub fn typed_gauge(chosen: Option<&GaugeId>, state: &State) -> GaugeId {
    let target = next_target(state).and_then(|at| state.setup().targets.get(at));
    if let Some(target) = target.filter(|target| target.check().is_some()) {
        let unnamed = GaugeId::new(UNNAMED_TYPED);
        return state
            .setup()
            .check_gauge(target, chosen.unwrap_or(&unnamed));
    }
    if let Some(chosen) = chosen {
        return chosen.clone();
    }
    let first = typed_gauges(state).into_iter().next();
    first.unwrap_or_else(|| GaugeId::new(UNNAMED_TYPED))
}

impl Desk {
    /// Of the live gauges that one's value is taken at the characteristic at hand from here on.
    pub(super) fn name_gauge(&mut self, key: char, snapshot: &Snapshot) -> Vec<Asked> {
        let (live, state) = (snapshot.live_gauges(), &snapshot.state);
        let named = state.live_choice(&live).iter().zip('1'..='9');
        let gauge = named.filter(|(_, one)| *one == key).map(|(one, _)| one);
        let target = next_target(state).and_then(|at| state.setup().targets.get(at));
        match gauge.zip(target).next() {
            Some((gauge, target)) => command(Command::NameGauge {
                gauge: gauge.clone(),
                feature: target.feature.clone(),
                element: target.element.clone(),
            }),
            None => self.complain("That gauge is live no more."),
        }
    }
}

/// The gauge of a size that comes while a check is asked: no limit gauge.
pub(super) fn sending_gauge(chosen: Option<&GaugeId>, state: &State) -> GaugeId {
    let all = typed_gauges(state);
    let sends = |id: &&GaugeId| state.setup().gauge(id).is_none_or(measures);
    let found = chosen.or_else(|| all.iter().find(sends));
    found
        .cloned()
        .unwrap_or_else(|| GaugeId::new(UNNAMED_TYPED))
}

/// The gauges that a typed reading may be read off, the likeliest first; never empty.
pub fn typed_gauges(state: &State) -> Vec<GaugeId> {
    let setup = state.setup();
    let target = next_target(state).and_then(|at| setup.targets.get(at));
    let allowed = target.map_or(&[][..], |target| &target.gauges);
    let mut all: Vec<GaugeId> = Vec::new();
    let mut add = |gauge: GaugeId| {
        if !all.contains(&gauge) {
            all.push(gauge);
        }
    };
    let known = allowed.iter().filter(|id| setup.gauge(id).is_some());
    known.for_each(|id| add(id.clone()));
    let sources = setup.sources.iter();
    sources.for_each(|source| add(GaugeId::new(&source.gauge)));
    let measuring = setup
        .register
        .gauges()
        .iter()
        .filter(|gauge| measures(gauge));
    measuring.for_each(|gauge| add(gauge.id.clone()));
    if all.is_empty() {
        all.push(GaugeId::new(UNNAMED_TYPED));
    }
    all
}

fn measures(gauge: &Gauge) -> bool {
    !gauge.kind.is_limit_gauge() && !gauge.kind.is_standard()
}

/// Whether the gauge shows how far a size is from its setting standard, so that its readings have
/// a sign.
pub(super) fn reads_deviations(gauge: &GaugeId, state: &State) -> bool {
    let gauge = state.setup().gauge(gauge);
    gauge.is_some_and(|gauge| !matches!(gauge.reads, GaugeReads::Size))
}
