//! Which gauge may say what of a characteristic.

use super::setup::{Setup, Target};
use super::sources::UNNAMED_TYPED;
use crate::gauge::{Gauge, GaugeId, GaugeKind};
use crate::tolerance::{CalloutLimits, Context, ThreadLimits, limits_of};

impl Setup {
    /// The transfer gauge that carried a size of that characteristic to the gauge that was read:
    /// one that the plan lists, read by that gauge, where the plan does not list the gauge itself.
    pub fn carrier(&self, target: &Target, read: &GaugeId) -> Option<&Gauge> {
        if target.gauges.contains(read) {
            return None;
        }
        let mut listed = target.gauges.iter().filter_map(|id| self.gauge(id));
        listed.find(|gauge| gauge.read_by.as_ref() == Some(read))
    }

    /// Whether that gauge can show what is measured: of a thread's pitch diameter that is only a
    /// thread micrometer, which touches the flanks, and over wires any but that. Of a gauge that
    /// the register does not know nothing is said.
    pub fn can_show(&self, target: &Target, gauge: &GaugeId) -> bool {
        let touches_flanks = |gauge: &Gauge| gauge.kind == GaugeKind::ThreadMicrometer;
        let known = self.gauge(gauge);
        match target.element.as_str() {
            "pitch" => known.is_none_or(touches_flanks),
            "wires" => known.is_none_or(|gauge| !touches_flanks(gauge)),
            _ => known.is_none_or(|gauge| Self::shows_position(target, gauge.kind)),
        }
    }

    /// Whether a GO of an attribute check may rest on that gauge: one that the plan lists for it;
    /// where it lists none, any but a gauge of another kind that the register knows. A gauge that
    /// nobody named is none of a list.
    pub fn may_check(&self, target: &Target, gauge: Option<&GaugeId>) -> bool {
        if !target.gauges.is_empty() {
            return gauge.is_some_and(|id| {
                let known = self.gauge(id);
                target.gauges.contains(id) && known.is_none_or(|gauge| self.answers(target, gauge))
            });
        }
        let known = gauge.and_then(|id| self.gauge(id));
        known.is_none_or(|gauge| self.answers(target, gauge))
    }

    /// The gauge that an answer is about when it names none: the one at hand if it can be that
    /// gauge, else the only one that the plan lists for the check, which was asked for; else one
    /// without a name. A micrometer is no plug, though typed readings be its.
    pub fn check_gauge(&self, target: &Target, at_hand: &GaugeId) -> GaugeId {
        let is_known = self.gauge(at_hand).is_some();
        match target.gauges.as_slice() {
            listed if listed.contains(at_hand) => at_hand.clone(),
            [only] => only.clone(),
            [] if is_known && self.may_check(target, Some(at_hand)) => at_hand.clone(),
            _ => GaugeId::new(UNNAMED_TYPED),
        }
    }

    /// Whether a gauge of the register can answer what is asked there: its kind, its end, and the
    /// callout that it is made for.
    fn answers(&self, target: &Target, gauge: &Gauge) -> bool {
        let asked = target.check();
        asked.is_none_or(|asked| {
            gauge.may_answer(asked, |made_for| {
                self.is_same_callout(made_for, &target.callout)
            })
        })
    }

    /// Whether two callouts ask for the same limits (`M10-6H`, `M10x1.5-6H`).
    fn is_same_callout(&self, one: &str, other: &str) -> bool {
        let limits = |text: &str| {
            let context = Context::with_tables(&self.tables);
            limits_of(text, &context).ok().map(|(_, limits)| limits)
        };
        match (limits(one), limits(other)) {
            // Designations that say more or less of what they mean alike.
            (Some(CalloutLimits::Thread(one)), Some(CalloutLimits::Thread(other))) => {
                let of = |thread: &ThreadLimits| {
                    let parts = &thread.parts;
                    (
                        parts.nominal,
                        parts.pitch,
                        parts.starts,
                        parts.left_hand,
                        parts.class,
                    )
                };
                of(&one) == of(&other)
            }
            (Some(one), Some(other)) => one == other,
            _ => one.trim() == other.trim(),
        }
    }
}
