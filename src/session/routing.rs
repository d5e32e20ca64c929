//! Which characteristic a reading feeds where a session has several gauges: one that the plan
//! binds to other characteristics than the one at hand goes to its own. Pure.

use super::command::Refusal;
use super::decide::decide_at;
use super::setup::Target;
use super::state::{Pending, State};
use crate::gauge::GaugeId;
use crate::journal::{Event, Place};

/// The cause of a reading that is held because its gauge is bound to several characteristics that
/// are open, and none of them is at hand.
pub const WHICH: &str = "which_characteristic";

/// Where a reading goes on the part at hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Route {
    /// To the characteristic at hand.
    Here,
    /// To that one, by its place in measuring order.
    To(usize),
    /// A person says to which of them.
    Ask(Vec<usize>),
}

impl Target {
    /// Whether the plan binds that gauge to it: it is listed, or carried to by one that is.
    pub(super) fn is_bound_to(&self, gauge: &GaugeId, state: &State) -> bool {
        self.gauges.contains(gauge) || state.setup().carrier(self, gauge).is_some()
    }
}

impl State {
    /// The characteristics that the next reading of that gauge may feed: one where that is clear,
    /// several where it will be asked; none where the plan binds it to nothing that is open.
    pub fn fed_by(&self, gauge: &GaugeId) -> Vec<usize> {
        let measured = |target: &Target| target.check().is_none();
        match self.route(gauge, measured) {
            Route::To(target) => vec![target],
            Route::Ask(all) => all,
            Route::Here => {
                let here = self.target_at_hand();
                let own = here.and_then(|at| self.setup.targets.get(at));
                let is_fed = own.is_some_and(|own| {
                    let is_bound = own.gauges.is_empty() || own.is_bound_to(gauge, self);
                    is_bound && measured(own)
                });
                here.filter(|_| is_fed).into_iter().collect()
            }
        }
    }

    /// The characteristics between which a held reading waits to be given to one; empty where
    /// nothing of that kind is asked.
    pub fn which_asked(&self) -> Vec<usize> {
        let held = self.bench.held.as_ref();
        let (Some(held), Some(pending)) =
            (held.filter(|held| held.cause == WHICH), self.held_reading())
        else {
            return Vec::new();
        };
        match self.route_of(pending) {
            Route::Ask(all) => all,
            Route::Here | Route::To(_) => {
                let place = &held.place;
                let at = self.setup.target_index(&place.feature, &place.element);
                at.into_iter().collect()
            }
        }
    }

    pub(super) fn route_of(&self, pending: &Pending) -> Route {
        let observed = pending.reading.observed;
        self.route(&pending.reading.gauge, |target| target.takes(observed))
    }

    /// The characteristic at hand is what the screen asks for, so it has every reading that may
    /// be its own: of a gauge that the plan lists for it, of any where it lists none, while
    /// cutting, and after it was chosen by hand. What else comes goes where it is bound to.
    fn route(&self, gauge: &GaugeId, takes: impl Fn(&Target) -> bool) -> Route {
        let Some(here) = self.target_at_hand() else {
            return Route::Here;
        };
        let Some(own) = self.setup.targets.get(here) else {
            return Route::Here;
        };
        let is_said = self.bench.cutting || self.bench.chosen == Some(here);
        let is_own = own.gauges.is_empty() || own.is_bound_to(gauge, self);
        if takes(own) && (is_said || is_own) {
            return Route::Here;
        }
        let targets = self.setup.targets.iter().enumerate();
        let bound: Vec<usize> = targets
            .filter(|(at, target)| {
                *at != here
                    && takes(target)
                    && target.is_bound_to(gauge, self)
                    && self.is_to_be_measured(*at)
            })
            .map(|(at, _)| at)
            .collect();
        // What was answered first comes first: it was the order of the hand.
        let mut answered = self.bench.routes.iter();
        let known = answered.find(|(of, at)| of == gauge && bound.contains(at));
        match (bound.as_slice(), known) {
            ([], _) => Route::Here,
            ([only], _) => Route::To(*only),
            (_, Some((_, at))) => Route::To(*at),
            (_, None) => Route::Ask(bound),
        }
    }

    /// What is measured next: on the part at hand, or the first of the next part.
    pub(super) fn target_at_hand(&self) -> Option<usize> {
        let next = self.next_part_number();
        let mut targets = self.setup.targets.iter();
        let current = self.current_target();
        current.or_else(|| targets.position(|target| target.is_selected(next)))
    }

    /// Whether it is still to be measured on the part that the next reading belongs to.
    fn is_to_be_measured(&self, target: usize) -> bool {
        let part = self
            .current_part()
            .filter(|_| self.current_target().is_some());
        match part {
            Some(part) => part
                .characteristics
                .get(target)
                .is_some_and(|one| one.selected && one.is_open()),
            None => {
                let next = self.next_part_number();
                let target = self.setup.targets.get(target);
                target.is_some_and(|target| target.is_selected(next))
            }
        }
    }

    /// The next point of a characteristic of a part.
    pub(super) fn place_on(&self, part: u32, target: usize) -> Option<Place> {
        let on = self.part(part)?;
        let point = self.next_point(on, on.characteristics.get(target)?);
        let point = u16::try_from(point + 1).unwrap_or(u16::MAX);
        self.place_of(part, target, point)
    }

    /// What a person said once holds for the session: of a gauge that is bound to it, where it
    /// goes out of turn; of another, that it is the one whose value is taken there.
    pub(super) fn keep_route(&mut self, gauge: &str, feature: &str, element: &str) {
        let Some(target) = self.setup.target_index(feature, element) else {
            return;
        };
        let gauge = GaugeId::new(gauge);
        let described = self.setup.targets.get(target);
        if !described.is_some_and(|described| described.is_bound_to(&gauge, self)) {
            self.bench.named.insert(target, gauge);
            return;
        }
        let route = (gauge, target);
        if !self.bench.routes.contains(&route) {
            self.bench.routes.push(route);
        }
    }

    /// The sentence of the question, which names every characteristic that it may be.
    pub(super) fn which_sentence(&self, gauge: &GaugeId, all: &[usize]) -> String {
        let named = all.iter().filter_map(|at| {
            let target = self.setup.targets.get(*at)?;
            Some(format!("{} ({})", target.feature, target.callout))
        });
        let named: Vec<String> = named.collect();
        format!("{gauge} is for {} of this part.", named.join(" and for "))
    }
}

/// Holds a reading until it is said which characteristic it is of.
pub(super) fn ask_which(state: &State, pending: &Pending, part: u32, all: &[usize]) -> Vec<Event> {
    let first = all.first().and_then(|at| state.place_on(part, *at));
    let Some(place) = first else {
        return Vec::new();
    };
    vec![Event::ReadingHeld {
        reading: pending.sequence,
        place,
        cause: WHICH.to_owned(),
        sentence: state.which_sentence(&pending.reading.gauge, all),
    }]
}

/// The held reading is of that characteristic: so is, from here on, what its gauge sends out of
/// turn. What looks wrong there is held again, for that reason.
pub(super) fn route_held(
    state: &State,
    pending: &Pending,
    (part, target): (u32, usize),
) -> Result<Vec<Event>, Refusal> {
    let described = state.setup().targets.get(target);
    let (Some(place), Some(described)) = (state.place_on(part, target), described) else {
        return Err(Refusal::NothingHeld);
    };
    let gauge = &pending.reading.gauge;
    let routed = described
        .is_bound_to(gauge, state)
        .then(|| Event::GaugeRouted {
            gauge: gauge.as_str().to_owned(),
            feature: place.feature.clone(),
            element: place.element.clone(),
        });
    let decided = decide_at(state, pending, target, place);
    Ok(routed.into_iter().chain(decided).collect())
}
