//! The measured halves of pairs in the window: they are collected from the records beside the
//! frames, kept from one room to the next, and asked for again only when something was recorded.

use std::path::Path;
use std::sync::Arc;

use super::seen::SeenRoom;
use super::{Room, Window};
use crate::journal::Sequence;
use crate::session::{Snapshot, What};
use crate::window::links_facts::LinksTold;
use crate::window::links_room::LinksAsked;
use crate::window::links_run::{LinksHandle, LinksJob, links_ends};
use crate::window::start::Start;
use crate::window::start_mates::MateSteps;
use crate::window::view::picked_mate;

/// What collects them, once it is needed.
#[derive(Default)]
pub(super) struct AtLinks {
    handle: Option<LinksHandle>,
    /// What was asked for last, while the Pairs room is seen.
    asked: Option<(String, Sequence)>,
}

impl AtLinks {
    /// What is known of the mates of the plan that is about to be begun.
    pub(super) fn told_of(&self, start: &Start) -> LinksTold {
        let plan = match (&start.what, start.mates.asked(), &self.handle) {
            (Some(What::Plan(plan)), Some(_), Some(handle)) => (plan, handle),
            _ => return LinksTold::default(),
        };
        let mut told = plan.1.told();
        told.mates = told.mates.filter(|mates| mates.plan == *plan.0);
        told
    }
}

impl Window {
    /// Of a plan with mates that other plans make, their measured parts are looked for; a plan
    /// without one is begun as ever.
    pub(super) fn look_for_mates(&mut self, plan: &Path) {
        let wanted = self.outside.mates(plan);
        if wanted.is_empty() {
            return;
        }
        self.ask_links(LinksJob::Mates(plan.to_path_buf(), wanted.clone()));
        if let Room::Start { start, .. } = &mut self.room {
            start.mates = MateSteps::of(wanted);
        }
    }

    /// What the pairs have been told from the records.
    pub fn links_told(&self) -> LinksTold {
        let handle = self.links.handle.as_ref();
        handle.map_or_else(LinksTold::default, LinksHandle::told)
    }

    /// Asks for something; what collects it is begun when it is needed first.
    pub(super) fn ask_links(&mut self, job: LinksJob) {
        if self.links.handle.is_none() {
            let (handle, side) = links_ends();
            if let Err(fault) = self.outside.links(side) {
                self.fault = Some(fault);
                return;
            }
            self.links.handle = Some(handle);
        }
        if let Some(handle) = &self.links.handle {
            handle.ask(job);
        }
    }

    /// The records are looked at anew when the room is entered next.
    pub(super) fn forget_asked_links(&mut self) {
        self.links.asked = None;
    }

    /// Asks for the halves of the session's pairs, once for each recorded event, and takes in what
    /// has come. A plan without pairs asks for nothing.
    pub(super) fn follow_links(&mut self) {
        if let Some(snapshot) = self.snapshot() {
            let has_pairs = !snapshot.state.setup().plan.pairs.is_empty();
            let now = (snapshot.journal.clone(), snapshot.head);
            if has_pairs && self.links.asked.as_ref() != Some(&now) {
                let before = self.links.asked.as_ref();
                let is_new = before.is_none_or(|(journal, _)| *journal != now.0);
                self.links.asked = Some(now);
                self.ask_links(LinksJob::Pairs(snapshot, is_new));
            }
        }
        let told = self.links_told();
        if let Some(SeenRoom::Pairs(pairs)) = &mut self.seen {
            pairs.told = told;
        }
    }

    pub(super) fn carry_out_at_links(&mut self, asked: LinksAsked) {
        match (asked, self.snapshot()) {
            (LinksAsked::LookAgain, Some(snapshot)) => self.look_again(snapshot),
            (LinksAsked::Cancel, _) => {
                if let Some(handle) = &self.links.handle {
                    handle.cancel();
                }
            }
            (LinksAsked::Pick(at), Some(snapshot)) => {
                let Some(SeenRoom::Pairs(pairs)) = &mut self.seen else {
                    return;
                };
                let chosen = pairs.room.chosen;
                if let Some(size) = picked_mate(&pairs.told, &snapshot, (chosen, at)) {
                    pairs.room.links.picked.insert(chosen, size);
                }
            }
            (_, None) => {}
        }
    }

    fn look_again(&mut self, snapshot: Arc<Snapshot>) {
        self.links.asked = Some((snapshot.journal.clone(), snapshot.head));
        self.ask_links(LinksJob::Pairs(snapshot, true));
    }
}
