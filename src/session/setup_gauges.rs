//! Which gauge may say what of a characteristic.

use super::setup::{Setup, Target};
use super::sources::UNNAMED_TYPED;
use crate::gauge::{Gauge, GaugeId, GaugeKind};
use crate::plan::{Feature, is_callout_of};

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
    pub(super) fn answers(&self, target: &Target, gauge: &Gauge) -> bool {
        let of_target = |feature: &&Feature| feature.id.as_str() == target.feature;
        let feature = self.plan.features.iter().find(of_target);
        let mut all = feature.into_iter().flat_map(|one| &one.characteristics);
        let one = all.find(|one| one.id.element.as_deref() == Some(target.element.as_str()));
        let is_for =
            |made_for: &str| one.is_none_or(|one| is_callout_of(made_for, one, &self.tables));
        let asked = target.check();
        asked.is_none_or(|asked| gauge.may_answer(asked, is_for))
    }
}
