//! A study of a gauge in a session: which cells are wanted, in which order, and which reading
//! fills each. Refuses to know what the study comes to: see `study_result.rs`.

use std::sync::Arc;

use super::state::{End, Misfit, Pending, State};
use crate::gauge::{GaugeId, Origin};
use crate::journal::{Event, Sequence, StudyCell, StudyOpened};
use crate::quantity::Length;
use crate::wire::WireError;

/// Most parts, operators and repeated readings of a study, and most readings of all (chosen: more
/// is a slip; the plan of a study has to fit into one line of the record).
const PARTS_MAX: usize = 100;
const OPERATORS_MAX: usize = 20;
const TRIALS_MAX: u32 = 100;
const CELLS_MAX: usize = 3_000;
/// Most characters of a name (chosen).
const NAME_MAX: usize = 40;

/// A study, and how far it is.
#[derive(Debug, Clone)]
pub struct Study {
    opened: Arc<StudyOpened>,
    gauge: GaugeId,
    /// By [`Study::index`].
    filled: Arc<Vec<Option<Sequence>>>,
    /// The line at which a frame of the gauge broke off, until something whole came after it.
    torn_at: Option<Sequence>,
    /// Readings whose gauge was found wrong after them, and the cells that they had filled.
    doubted: Arc<Vec<(Sequence, StudyCell)>>,
    /// The last reading, where it filled nothing, and why.
    aside: Option<(Sequence, String)>,
}

impl Study {
    /// The study of that plan, nothing measured yet.
    ///
    /// # Errors
    /// What does not go together in the plan, in a sentence.
    pub fn of(opened: &StudyOpened) -> Result<Self, String> {
        let counts = (opened.parts.len(), opened.operators.len(), opened.trials);
        within("parts", counts.0, PARTS_MAX)?;
        within("operators", counts.1, OPERATORS_MAX)?;
        within(
            "trials",
            usize::try_from(counts.2).unwrap_or(usize::MAX),
            TRIALS_MAX as usize,
        )?;
        let cells = counts.0 * counts.1 * counts.2 as usize;
        within("readings in all", cells, CELLS_MAX)?;
        if cells < 2 {
            return Err("A study of one reading says nothing of how readings differ.".to_owned());
        }
        let parts: Vec<&str> = opened.parts.iter().map(|part| &*part.name).collect();
        let operators: Vec<&str> = opened.operators.iter().map(|name| &**name).collect();
        named("part", &parts)?;
        if operators.len() > 1 {
            named("operator", &operators)?;
        }
        if opened.tolerance.is_some_and(|width| width.as_nm() <= 0) {
            return Err("The tolerance of a study is a width above 0.".to_owned());
        }
        let study = Self {
            opened: Arc::new(opened.clone()),
            gauge: GaugeId::new(&opened.gauge),
            filled: Arc::new(vec![None; cells]),
            torn_at: None,
            doubted: Arc::default(),
            aside: None,
        };
        let mut seen = vec![false; cells];
        for cell in &opened.order {
            match study.index(*cell).and_then(|at| seen.get_mut(at)) {
                Some(seen) if !*seen => *seen = true,
                _ => return Err("The order of a study names every cell once.".to_owned()),
            }
        }
        match seen.iter().all(|seen| *seen) {
            true => Ok(study),
            false => Err("The order of a study names every cell once.".to_owned()),
        }
    }

    /// The plan.
    pub fn opened(&self) -> &StudyOpened {
        &self.opened
    }

    /// The gauge that is studied.
    pub fn gauge(&self) -> &GaugeId {
        &self.gauge
    }

    /// How many readings are wanted.
    pub fn wanted(&self) -> usize {
        self.filled.len()
    }

    /// How many cells are filled.
    pub fn filled(&self) -> usize {
        self.filled.iter().flatten().count()
    }

    /// Whether every cell is filled.
    pub fn is_complete(&self) -> bool {
        self.filled.iter().all(Option::is_some)
    }

    /// The cell that the next reading fills: the first open one in the order.
    pub fn next(&self) -> Option<StudyCell> {
        self.missing().next()
    }

    /// The open cells, in the order of measuring.
    pub fn missing(&self) -> impl Iterator<Item = StudyCell> + '_ {
        let order = self.opened.order.iter().copied();
        order.filter(|cell| self.reading_of(*cell).is_none())
    }

    /// The reading that fills a cell.
    pub fn reading_of(&self, cell: StudyCell) -> Option<Sequence> {
        self.filled.get(self.index(cell)?).copied().flatten()
    }

    /// The cell that a reading fills.
    pub fn cell_of(&self, reading: Sequence) -> Option<StudyCell> {
        let mut order = self.opened.order.iter().copied();
        order.find(|cell| self.reading_of(*cell) == Some(reading))
    }

    /// The cell that was filled last, and its reading.
    pub fn last(&self) -> Option<(StudyCell, Sequence)> {
        let newest = self.filled.iter().flatten().copied().max()?;
        Some((self.cell_of(newest)?, newest))
    }

    /// Whether a reading may be no more than the rest of one that broke off just before: what came
    /// first after the pause, or after the gauge was plugged in again.
    pub(super) fn may_be_a_rest(&self, pending: &Pending) -> bool {
        let is_sent = pending.reading.origin == Origin::Sent;
        is_sent && self.torn_at.is_some_and(|torn| torn < pending.sequence)
    }

    /// The readings in doubt whose cells are open again, in the order of the record.
    pub fn doubted(&self) -> impl Iterator<Item = Sequence> + '_ {
        let open = self.doubted.iter();
        let open = open.filter(|(_, cell)| self.reading_of(*cell).is_none());
        open.map(|(reading, _)| *reading)
    }

    /// The study as it was before its gauge was found wrong.
    pub(super) fn before_doubt(&self) -> Self {
        let mut before = self.clone();
        for (reading, cell) in self.doubted.iter() {
            if before.reading_of(*cell).is_none() {
                before.put(*cell, Some(*reading));
            }
        }
        before
    }

    /// A reading that filled a cell is in doubt, and its cell is open again; or it is not any more.
    fn doubt(&mut self, reading: Sequence, is_in_doubt: bool) {
        let kept = self.doubted.iter().position(|(one, _)| *one == reading);
        match (is_in_doubt, kept) {
            (true, None) => {
                if let Some(cell) = self.cell_of(reading) {
                    self.put(cell, None);
                    Arc::make_mut(&mut self.doubted).push((reading, cell));
                }
            }
            (false, Some(at)) => {
                let (_, cell) = Arc::make_mut(&mut self.doubted).remove(at);
                if self.reading_of(cell).is_none() {
                    self.put(cell, Some(reading));
                }
            }
            _ => {}
        }
    }

    /// The last reading and why it counts for nothing; none once a later one filled a cell.
    pub fn last_aside(&self) -> Option<(Sequence, &str)> {
        let (reading, reason) = self.aside.as_ref()?;
        Some((*reading, reason))
    }

    /// The readings of a part, of whoever took them, in the order of operators and trials.
    pub fn readings_of_part(&self, part: u32) -> impl Iterator<Item = Sequence> + '_ {
        let (operators, trials) = (self.opened.operators.len(), self.opened.trials);
        let of = u32::try_from(operators).unwrap_or(u32::MAX);
        let cells = (1..=of).flat_map(move |operator| {
            (1..=trials).map(move |trial| StudyCell {
                part,
                operator,
                trial,
            })
        });
        cells.filter_map(|cell| self.reading_of(cell))
    }

    /// The place of a cell; none when there is no such cell.
    fn index(&self, cell: StudyCell) -> Option<usize> {
        let at = |number: u32, count: usize| {
            let at = usize::try_from(number).ok()?.checked_sub(1)?;
            (at < count).then_some(at)
        };
        let trials = self.opened.trials as usize;
        let operators = self.opened.operators.len();
        let part = at(cell.part, self.opened.parts.len())?;
        let operator = at(cell.operator, operators)?;
        Some((part * operators + operator) * trials + at(cell.trial, trials)?)
    }

    fn put(&mut self, cell: StudyCell, reading: Option<Sequence>) {
        if let Some(at) = self.index(cell)
            && let Some(slot) = Arc::make_mut(&mut self.filled).get_mut(at)
        {
            *slot = reading;
        }
    }
}

fn within(what: &str, found: usize, most: usize) -> Result<(), String> {
    match (1..=most).contains(&found) {
        true => Ok(()),
        false => Err(format!(
            "A study has 1 to {most} {what}, and this one has {found}."
        )),
    }
}

/// Every one has a name of its own that can be said in a line.
fn named(what: &str, names: &[&str]) -> Result<(), String> {
    for (at, name) in names.iter().enumerate() {
        let is_sayable = !name.trim().is_empty() && !name.chars().any(char::is_control);
        if !is_sayable || name.chars().count() > NAME_MAX {
            return Err(format!(
                "Every {what} of a study has a name of up to {NAME_MAX} characters."
            ));
        }
        if names.iter().take(at).any(|other| other == name) {
            let name = name.escape_debug();
            return Err(format!("Two {what}s of the study are named “{name}”."));
        }
    }
    Ok(())
}

impl State {
    /// The study of a gauge that goes on, if the session is one.
    pub fn study(&self) -> Option<&Study> {
        self.study.as_ref()
    }

    pub(super) fn open_study(
        &mut self,
        sequence: Sequence,
        opened: &StudyOpened,
    ) -> Result<(), Misfit> {
        let study = match (&self.study, self.parts.is_empty()) {
            (Some(_), _) => Err("a study was opened a second time".to_owned()),
            (None, false) => Err("a study was opened among parts".to_owned()),
            (None, true) => Study::of(opened),
        };
        self.study = Some(study.map_err(|what| Misfit {
            sequence,
            what: what.trim_end_matches('.').to_owned(),
        })?);
        Ok(())
    }

    pub(super) fn fill_cell(
        &mut self,
        sequence: Sequence,
        reading: Sequence,
        cell: StudyCell,
    ) -> Result<(), Misfit> {
        let misfit = |what: &str| {
            let what = format!("reading {reading} fills {what}");
            Err(Misfit { sequence, what })
        };
        let Some(study) = &self.study else {
            return misfit("a cell of a study, and none was opened");
        };
        if study.index(cell).is_none() {
            return misfit("a cell that the study does not have");
        }
        if study.reading_of(cell).is_some() {
            return misfit("a cell that is filled");
        }
        self.end(sequence, reading, End::Study)?;
        if let Some(study) = &mut self.study {
            study.put(cell, Some(reading));
        }
        let offset = self.zero_offset_of(reading);
        self.readings
            .change(reading, |record| record.offset = offset);
        self.finish(reading);
        Ok(())
    }

    /// A reading of the study rests on a gauge that was found wrong after it, or no longer does.
    pub(super) fn doubt_cell(&mut self, reading: Sequence, is_in_doubt: bool) {
        if let Some(study) = &mut self.study {
            study.doubt(reading, is_in_doubt);
        }
    }

    fn zero_offset_of(&self, reading: Sequence) -> Length {
        let record = self.reading(reading);
        let gauge = record.and_then(|record| self.setup.gauge_id(record.gauge?));
        gauge.map_or(Length::ZERO, |gauge| self.zero_offset(&gauge))
    }

    /// Follows what comes beside filled cells: a frame that broke off is remembered until a whole
    /// one has come after it, and why the last reading filled nothing until one fills a cell.
    pub(super) fn follow_study(&mut self, sequence: Sequence, event: &Event) {
        let Some(study) = &self.study else {
            return;
        };
        let (mut torn_at, mut aside) = (study.torn_at, study.aside.clone());
        match event {
            Event::ReadingRefused { gauge, code, .. }
            | Event::GarbageCounted { gauge, code, .. }
                if gauge == study.gauge.as_str() =>
            {
                torn_at = (code == WireError::Truncated.code()).then_some(sequence);
            }
            Event::ReadingSetAside { reading, reason } => {
                let record = self.reading(*reading);
                let of = record.and_then(|record| self.setup.gauge_id(record.gauge?));
                let is_sent = record.is_some_and(|record| record.origin == Origin::Sent);
                if is_sent && of.as_ref() == Some(&study.gauge) {
                    torn_at = torn_at.filter(|torn| torn > reading);
                }
                aside = Some((*reading, reason.clone()));
            }
            Event::StudyCellFilled { .. } => aside = None,
            _ => return,
        }
        if let Some(study) = &mut self.study {
            (study.torn_at, study.aside) = (torn_at, aside);
        }
    }

    /// The cell of a voided reading is open again.
    pub(super) fn reopen_cell(&mut self, reading: Sequence) {
        if let Some(study) = &mut self.study {
            Arc::make_mut(&mut study.doubted).retain(|(one, _)| *one != reading);
            if let Some(cell) = study.cell_of(reading) {
                study.put(cell, None);
            }
        }
    }
}
