//! What must be known besides the verdict, where only the verdict is seen: gauges that are away,
//! zeros that are not to be trusted, what spoils readings, signals.

use super::focus::Focus;
use super::words::{Words, clean};
use super::{StatusView, VerdictView};
use crate::gauge::GaugeId;
use crate::session::{Snapshot, ZeroState};

/// A sentence or half of one each, what weighs most first.
pub(super) fn troubles(
    snapshot: &Snapshot,
    focus: Option<&Focus<'_>>,
    (verdict, status): (&VerdictView, &StatusView),
    now_ms: u64,
    words: Words,
) -> Vec<String> {
    let away = status.gauges.iter().filter(|gauge| !gauge.is_ready);
    let mut all: Vec<String> = away.map(|gauge| gauge.text.clone()).collect();
    all.extend(zeros(snapshot, now_ms, ZeroState::Failed));
    all.extend(zeros(snapshot, now_ms, ZeroState::Due));
    all.extend((!verdict.warning.is_empty()).then(|| verdict.warning.clone()));
    let brief = focus.and_then(|focus| snapshot.batch.series(focus.index));
    let signal = brief.and_then(|brief| brief.signal.as_ref());
    all.extend(signal.map(|signal| words.sentence(signal)));
    all
}

/// The gauges at hand whose zero is so.
fn zeros(snapshot: &Snapshot, now_ms: u64, wanted: ZeroState) -> Vec<String> {
    let said = match wanted {
        ZeroState::Failed => "zero check failed",
        _ => "zero check due",
    };
    let sources = snapshot.state.setup().sources.iter();
    let gauges = sources.map(|source| GaugeId::new(&source.gauge));
    let found = gauges.filter(|gauge| snapshot.state.zero_state(gauge, now_ms) == wanted);
    let texts = found.map(|gauge| format!("{}: {said}", clean(gauge.as_str())));
    texts.collect()
}
