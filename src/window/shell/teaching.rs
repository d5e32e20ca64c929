//! Teaching a gauge in the window: what is said before it, and the one that goes on behind it.

use super::seen::SeenRoom;
use super::{Room, Window};
use crate::gauge::{GaugeId, PortPlace};
use crate::window::gauges_facts::TeachFacts;
use crate::window::gauges_room::TeachPress;
use crate::window::teach_run::{TeachHandle, teach_ends};
use crate::window::teach_setup::{TeachOrder, TeachSetup};
use crate::wire::PortAddress;

/// The gauge that is taught, while one is.
pub(super) struct AtTeach {
    pub(super) gauge: GaugeId,
    stage: Stage,
}

enum Stage {
    Setup(TeachSetup),
    Runs(TeachHandle),
}

impl AtTeach {
    pub(super) fn facts(&self) -> TeachFacts {
        match &self.stage {
            Stage::Setup(setup) => setup.facts(),
            Stage::Runs(handle) => handle.facts(),
        }
    }

    /// It has a port open, or is about to.
    pub(super) fn has_port(&self) -> bool {
        match &self.stage {
            Stage::Setup(_) => false,
            Stage::Runs(handle) => handle.facts().is_running,
        }
    }
}

impl Window {
    /// What teaching has come to, while a gauge is taught.
    pub fn teaching(&self) -> Option<TeachFacts> {
        self.teaching.as_ref().map(AtTeach::facts)
    }

    /// What is said on the page of teaching.
    pub(super) fn teach(&mut self, press: TeachPress) {
        let fault = self.taught(press).err();
        if let Some(SeenRoom::Gauges(gauges)) = &mut self.seen {
            gauges.room.fault = fault;
        }
    }

    fn taught(&mut self, press: TeachPress) -> Result<(), String> {
        let chosen = match &self.seen {
            Some(SeenRoom::Gauges(gauges)) => gauges.facts.gauge(gauges.room.chosen).cloned(),
            _ => None,
        };
        let Some(chosen) = chosen else {
            return Ok(());
        };
        let Some(teach) = &mut self.teaching else {
            return self.begin_teaching(&press);
        };
        if teach.gauge != chosen.id && teach.facts().is_running {
            return Err(format!(
                "{} is being taught: end that first, on its own page.",
                teach.gauge
            ));
        }
        if press == TeachPress::Leave {
            let is_running = teach.facts().is_running;
            self.teaching = None;
            return match is_running {
                true => Err("Teaching is ended. Nothing is written.".to_owned()),
                false => Ok(()),
            };
        }
        match &mut teach.stage {
            Stage::Setup(setup) => match setup.press(&press)? {
                None => {
                    let place = setup.place().cloned();
                    let gauge = setup.gauge().clone();
                    self.check_free(&gauge, place.as_ref())
                }
                Some(order) => self.start_teaching(order),
            },
            Stage::Runs(handle) if handle.facts().is_running => {
                handle.say(press);
                Ok(())
            }
            Stage::Runs(_) => self.begin_teaching(&press),
        }
    }

    /// The first question.
    fn begin_teaching(&mut self, press: &TeachPress) -> Result<(), String> {
        if *press != TeachPress::GoOn {
            return Ok(());
        }
        let ports = self.outside.ports();
        let Some(SeenRoom::Gauges(gauges)) = &mut self.seen else {
            return Ok(());
        };
        let Some(gauge) = gauges.facts.gauge(gauges.room.chosen) else {
            return Ok(());
        };
        if gauge.kind.is_standard() || gauge.kind.is_limit_gauge() {
            return Err(format!("{} sends nothing that could be taught.", gauge.id));
        }
        let setup = TeachSetup::new(gauge, ports)?;
        let gauge = gauge.id.clone();
        let place = setup.place().cloned();
        self.check_free(&gauge, place.as_ref())?;
        self.teaching = Some(AtTeach {
            gauge,
            stage: Stage::Setup(setup),
        });
        Ok(())
    }

    /// A port that the session holds is not opened twice.
    fn check_free(&mut self, gauge: &GaugeId, place: Option<&PortPlace>) -> Result<(), String> {
        let Room::Bench(bench) = &self.room else {
            return Ok(());
        };
        let snapshot = bench.session.snapshot();
        let port = place.map(|place| PortAddress::from(place).to_string());
        let mut taps = snapshot.taps.iter();
        let is_held = snapshot.ended.is_none()
            && taps.any(|tap| tap.is_of(gauge) || Some(&tap.port) == port.as_ref());
        if !is_held {
            return Ok(());
        }
        self.teaching = None;
        let port = port.unwrap_or_default();
        Err(format!(
            "The session holds the port {port} of {gauge}: end the session, then teach."
        ))
    }

    fn start_teaching(&mut self, order: TeachOrder) -> Result<(), String> {
        let gauge = order.gauge.clone();
        self.check_free(&gauge, Some(&order.place))?;
        if let Some(SeenRoom::Gauges(gauges)) = &mut self.seen {
            gauges.watched = None;
        }
        let (handle, side) = teach_ends();
        self.outside.teach(order, side)?;
        self.teaching = Some(AtTeach {
            gauge,
            stage: Stage::Runs(handle),
        });
        Ok(())
    }

    /// What teaching of the chosen gauge has come to.
    pub(super) fn show_teaching(&mut self) {
        if let Some(SeenRoom::Gauges(gauges)) = &mut self.seen {
            let chosen = gauges.facts.gauge(gauges.room.chosen);
            let teach = self.teaching.as_ref();
            let teach = teach.filter(|teach| chosen.is_some_and(|one| one.id == teach.gauge));
            gauges.facts.teach = teach.map(AtTeach::facts);
        }
    }
}
