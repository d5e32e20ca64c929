//! Whose value a person takes where several gauges are live: that of the gauge which the plan lists
//! for the characteristic at hand, else of the one that was named for it, once. Pure.

use super::command::Refusal;
use super::setup::Target;
use super::state::State;
use crate::gauge::GaugeId;
use crate::journal::Event;

/// Whose value is taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LiveGauge {
    /// That gauge's.
    Of(GaugeId),
    /// Several can be meant, and none was named: it is asked once.
    Which(Vec<GaugeId>),
    /// Nobody's: no gauge is live.
    Nobody,
}

impl State {
    /// Whose value is taken now; `live` are the gauges that stream or wait to be asked.
    pub fn live_gauge(&self, live: &[GaugeId]) -> LiveGauge {
        // A zero check that waits comes before whatever is measured.
        if let Some((zero, _)) = self.zeros.all_asked().next() {
            return LiveGauge::Of(zero.clone());
        }
        let is_live = |gauge: &&GaugeId| live.contains(gauge);
        // What is measured again is measured with the gauge that it was measured with.
        let again = self.held_reading().map(|held| &held.reading.gauge);
        let studied = self.study.as_ref().map(|study| study.gauge());
        let listed = self.listed_at_hand().iter().find(is_live);
        let due = again.or(studied).filter(is_live).or(listed);
        match (due.or_else(|| self.named_gauge(live)), live) {
            (Some(gauge), _) => LiveGauge::Of(gauge.clone()),
            (None, []) => LiveGauge::Nobody,
            (None, [only]) => LiveGauge::Of(only.clone()),
            (None, several) => LiveGauge::Which(several.to_vec()),
        }
    }

    /// The live gauges between which a person chooses at the characteristic at hand; none where
    /// the plan says which it is, or there is nothing to choose.
    pub fn live_choice<'a>(&self, live: &'a [GaugeId]) -> &'a [GaugeId] {
        let is_said = self.listed_at_hand().iter().any(|one| live.contains(one));
        let is_measured = self
            .at_hand()
            .is_some_and(|target| target.check().is_none());
        match live {
            [_, _, ..] if is_measured && !is_said => live,
            _ => &[],
        }
    }

    /// The gauge that was named for the characteristic at hand, while it is live.
    pub fn named_gauge<'a>(&self, live: &'a [GaugeId]) -> Option<&'a GaugeId> {
        let named = self.bench.named.get(&self.target_at_hand()?)?;
        live.iter().find(|one| *one == named)
    }

    /// Whether that gauge was named for that characteristic.
    pub fn is_named(&self, gauge: &GaugeId, target: usize) -> bool {
        self.bench.named.get(&target) == Some(gauge)
    }

    fn at_hand(&self) -> Option<&Target> {
        self.setup.targets.get(self.target_at_hand()?)
    }

    fn listed_at_hand(&self) -> &[GaugeId] {
        self.at_hand()
            .map_or(&[][..], |target| target.gauges.as_slice())
    }
}

/// That gauge's value is taken at that characteristic from here on; nothing is recorded where the
/// plan, or an answer before, says so already.
pub(super) fn name_gauge(
    state: &State,
    gauge: &GaugeId,
    (feature, element): (&str, &str),
) -> Result<Vec<Event>, Refusal> {
    let Some(at) = state.setup().target_index(feature, element) else {
        return Err(Refusal::NoSuchCharacteristic {
            feature: feature.to_owned(),
            element: element.to_owned(),
        });
    };
    if state.setup().gauge_index(gauge).is_none() {
        return Err(Refusal::NoSuchGauge {
            gauge: gauge.as_str().to_owned(),
        });
    }
    let target = state.setup().targets.get(at);
    let is_listed = target.is_some_and(|target| target.is_bound_to(gauge, state));
    if is_listed || state.bench().named.get(&at) == Some(gauge) {
        return Ok(Vec::new());
    }
    Ok(vec![Event::GaugeRouted {
        gauge: gauge.as_str().to_owned(),
        feature: feature.to_owned(),
        element: element.to_owned(),
    }])
}
