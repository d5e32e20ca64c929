//! A gauge that is studied in the window: what is said before it; then the study is the session
//! that goes on at the Bench, and the page of the Gauges room shows it.

use std::sync::Arc;

use super::seen::SeenRoom;
use super::{Room, Window};
use crate::gauge::GaugeId;
use crate::session::{
    Begin, Command, Request, Snapshot, StudyAsked, TapKind, Wanted, What, typed_reading,
};
use crate::window::gauges_room::{GaugesPage, GaugesRoom, StudyPress};
use crate::window::start::Start;
use crate::window::study_facts::{StudyFacts, StudyStage, study_facts};
use crate::window::study_setup::StudySetup;

/// What the page keeps.
#[derive(Default)]
pub(super) struct AtStudy {
    setup: Option<StudySetup>,
    /// Made anew only when the session has something new.
    shown: Option<(Arc<Snapshot>, StudyFacts)>,
    /// The study of this record is in the register, in that file.
    written: Option<(String, String)>,
}

impl Window {
    /// The page of the study that goes on at the Bench, when there is one.
    pub(super) fn study_page(&self) -> Option<GaugesRoom> {
        let snapshot = self.snapshot()?;
        let study = snapshot.state.study()?;
        let mut gauges = snapshot.state.setup().register.gauges().iter();
        let chosen = gauges.position(|gauge| gauge.id == *study.gauge())?;
        Some(GaugesRoom {
            chosen,
            page: GaugesPage::Study,
            ..GaugesRoom::default()
        })
    }

    /// What the study of the chosen gauge has come to.
    pub(super) fn show_study(&mut self) {
        let snapshot = self.snapshot();
        let Some(SeenRoom::Gauges(gauges)) = &mut self.seen else {
            return;
        };
        let chosen = gauges
            .facts
            .gauge(gauges.room.chosen)
            .map(|one| one.id.clone());
        let story = gauges.facts.story.clone();
        let at = &mut gauges.study;
        gauges.facts.study = match (&at.setup, snapshot) {
            (Some(setup), _) if Some(setup.gauge()) == chosen.as_ref() => Some(setup.facts()),
            (_, Some(snapshot)) if is_of(&snapshot, chosen.as_ref()) => {
                let kept = at
                    .shown
                    .take()
                    .filter(|(one, _)| Arc::ptr_eq(one, &snapshot));
                let today = gauges.facts.today;
                let facts = kept
                    .map(|(_, facts)| facts)
                    .or_else(|| study_facts(&snapshot, today));
                let mut facts = facts.unwrap_or_default();
                let written = at.written.as_ref();
                let written = written.filter(|(journal, _)| *journal == snapshot.journal);
                facts.written = written.map_or(String::new(), |(_, file)| file.clone());
                at.shown = Some((Arc::clone(&snapshot), facts.clone()));
                if matches!(facts.stage, StudyStage::Complete | StudyStage::Closed) {
                    let studied = chosen.unwrap_or_else(|| GaugeId::new(""));
                    let at = (studied, snapshot.journal.clone(), snapshot.head);
                    let days = self.outside.study_days(&at);
                    facts.take_days(days.as_deref().unwrap_or_default());
                    let doubt = story.and_then(|story| story.doubt_of_study(&snapshot.journal));
                    if let Some(why) = doubt.filter(|_| facts.doubted == 0) {
                        facts.take_doubt(&why);
                    }
                }
                Some(facts)
            }
            _ => None,
        };
    }

    /// What is said on the page of the study.
    pub(super) fn study(&mut self, press: StudyPress) {
        let fault = self.studied(press).err();
        if let Some(SeenRoom::Gauges(gauges)) = &mut self.seen {
            gauges.room.fault = fault;
        }
    }

    fn studied(&mut self, press: StudyPress) -> Result<(), String> {
        let stage = match &self.seen {
            Some(SeenRoom::Gauges(gauges)) => gauges.facts.study.as_ref(),
            _ => None,
        };
        let stage = stage.map(|study| study.stage);
        match (stage, press) {
            (Some(StudyStage::Setup), StudyPress::Leave) => {
                if let Some(SeenRoom::Gauges(gauges)) = &mut self.seen {
                    gauges.study.setup = None;
                }
                Ok(())
            }
            (Some(StudyStage::Setup), StudyPress::GoOn) => self.answer(""),
            (Some(StudyStage::Setup), StudyPress::Answer(text)) => self.answer(&text),
            (Some(StudyStage::Measuring), StudyPress::GoOn) => self.ask_studied(),
            (Some(StudyStage::Measuring), StudyPress::Answer(text)) => self.type_studied(&text),
            (Some(StudyStage::Measuring | StudyStage::Complete), StudyPress::Again) => {
                self.send(Command::RepeatPoint);
                Ok(())
            }
            (Some(StudyStage::Complete), StudyPress::GoOn) => {
                let reason = String::new();
                self.send(Command::Close { reason });
                Ok(())
            }
            (Some(StudyStage::Complete | StudyStage::Closed), StudyPress::Write) => self.enter(),
            (None | Some(StudyStage::Closed), StudyPress::GoOn) => self.begin_setup(),
            _ => Ok(()),
        }
    }

    /// The first question.
    fn begin_setup(&mut self) -> Result<(), String> {
        let running = self
            .snapshot()
            .filter(|one| !one.state.is_closed() && one.ended.is_none());
        if running.is_some() {
            return Err(
                "A session runs at the Bench: a study is a record of its own. Close it first."
                    .to_owned(),
            );
        }
        let seed = self.outside.seed();
        let Some(SeenRoom::Gauges(gauges)) = &mut self.seen else {
            return Ok(());
        };
        if let Some(gauge) = gauges.facts.gauge(gauges.room.chosen) {
            gauges.study.setup = Some(StudySetup::new(gauge, seed)?);
        }
        Ok(())
    }

    fn answer(&mut self, text: &str) -> Result<(), String> {
        let Some(SeenRoom::Gauges(gauges)) = &mut self.seen else {
            return Ok(());
        };
        let Some(setup) = &mut gauges.study.setup else {
            return Ok(());
        };
        let Some(asked) = setup.answer(text)? else {
            return Ok(());
        };
        let gauge = setup.gauge().clone();
        self.begin_study(&gauge, asked)
    }

    fn begin_study(&mut self, gauge: &GaugeId, asked: StudyAsked) -> Result<(), String> {
        let Some(SeenRoom::Gauges(gauges)) = &mut self.seen else {
            return Ok(());
        };
        gauges.study = AtStudy::default();
        gauges.watched = None;
        let has_port = gauges
            .facts
            .register
            .gauge(gauge)
            .is_some_and(|one| one.port.is_some());
        let source = match has_port {
            true => gauge.as_str().to_owned(),
            false => format!("{gauge}=typed"),
        };
        let begin = Begin {
            gauges: vec![source],
            operator: asked.operators.first().cloned().unwrap_or_default(),
            ..Begin::new(What::Study(asked))
        };
        self.begin(&begin, Start::default());
        match &self.room {
            Room::Bench(_) => {
                // Of a session its own register counts.
                self.look_at_gauges_again();
                Ok(())
            }
            Room::Start { start, .. } => {
                let fault = start.fault.as_ref();
                Err(fault.map_or(String::new(), |fault| fault.message.clone()))
            }
        }
    }

    /// A value is asked for where the gauge sends none by itself.
    fn ask_studied(&mut self) -> Result<(), String> {
        let Some(snapshot) = self.snapshot() else {
            return Ok(());
        };
        let gauge = snapshot.state.study().map(|study| study.gauge().clone());
        let tap = gauge.as_ref().and_then(|gauge| snapshot.tap(gauge));
        match (tap, gauge) {
            (Some(tap), Some(gauge)) if tap.kind != TapKind::Sends => {
                if let Room::Bench(bench) = &self.room {
                    bench.session.send(Request::AskGauge(gauge));
                }
                Ok(())
            }
            (Some(_), _) => Err("Press the gauge's data button, or type what it shows.".to_owned()),
            (None, _) => Err("Type what the gauge shows, then Enter.".to_owned()),
        }
    }

    fn type_studied(&mut self, text: &str) -> Result<(), String> {
        let Some(snapshot) = self.snapshot() else {
            return Ok(());
        };
        let Some(study) = snapshot.state.study() else {
            return Ok(());
        };
        let reading = typed_reading(text, study.gauge(), Wanted::Length);
        let reading = reading.map_err(|error| error.to_string())?;
        if let Room::Bench(bench) = &self.room {
            bench.session.send(Request::Reading(reading));
        }
        Ok(())
    }

    /// The repeatability goes into the register of the workspace.
    fn enter(&mut self) -> Result<(), String> {
        let (Some(snapshot), Some(SeenRoom::Gauges(gauges))) = (self.snapshot(), &mut self.seen)
        else {
            return Ok(());
        };
        let study = gauges.facts.study.as_ref();
        let gauge = snapshot.state.study().map(|study| study.gauge().clone());
        let (Some(entry), Some(gauge)) = (study.and_then(|study| study.entry), gauge) else {
            return Err("The study gives no repeatability that could be entered.".to_owned());
        };
        let file = self.outside.keep_study(&gauge, &entry)?;
        gauges.study.written = Some((snapshot.journal.clone(), file));
        Ok(())
    }
}

fn is_of(snapshot: &Snapshot, chosen: Option<&GaugeId>) -> bool {
    let study = snapshot.state.study();
    study.is_some_and(|study| Some(study.gauge()) == chosen)
}
