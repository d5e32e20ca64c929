//! What works the numbers of a batch out behind the window: a snapshot comes in, what it came to is
//! left where the frame looks for it. A long batch takes its time, so it runs apart from the frame;
//! the disk, where charts are kept, is given to it.
//!
//! A frame asks anew only when something was recorded, or another page is looked at; of several
//! requests that wait only the last is worked out.

use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};

use super::batch_room::{BatchPage, ChartForm};
use super::behind::lock;
use super::records_facts::Done;
use super::view::{
    SentenceView, batch_chart, batch_lines, chart_name, decimal_mark, learned_lines,
};
use crate::journal::Sequence;
use crate::report::{Chart, ChartError, ChartOptions, ChartSize, chart_png, chart_svg, file_name};
use crate::session::{
    Batch, BatchStudy, Circumstances, OperationChange, Snapshot, State, StudyOptions,
    operation_changes, study,
};

/// Pixels of a kept picture for each of its size: sharp in print.
const SCALE: f64 = 2.0;

/// What the charts need of the outside.
pub trait BatchOutside {
    /// Writes a file beside those that are there: its name before the ending, and the ending. Where
    /// it lies.
    ///
    /// # Errors
    /// Why it was not written, in a sentence.
    fn keep(&mut self, stem: &str, ends: &str, bytes: Vec<u8>) -> Result<String, String>;
    /// The newest session before that one which measured some of its parts at another stage; none
    /// where there is none, or it cannot be read.
    fn earlier(&mut self, of: &Snapshot) -> Option<State>;
    /// There is something new to be shown.
    fn changed(&mut self);
}

/// What is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LookedAt {
    /// The characteristic, by its place in measuring order.
    pub target: usize,
    /// The page.
    pub page: BatchPage,
    /// Decimal marker.
    pub marker: char,
}

/// A request.
#[derive(Debug, Clone)]
pub enum BatchJob {
    /// To work out what a page shows.
    Show(Arc<Snapshot>, LookedAt),
    /// To keep the chart that was worked out last.
    Keep(ChartForm),
}

/// What a page shows, worked out.
#[derive(Debug, Clone)]
pub struct BatchFacts {
    /// The session's journal.
    pub journal: String,
    /// Up to this event.
    pub head: Sequence,
    /// The rows of numbers.
    pub batch: Arc<Batch>,
    /// What is looked at.
    pub at: LookedAt,
    /// Its chart, without what is said below it; none where there is nothing to draw.
    pub chart: Option<Arc<Chart>>,
    /// What is said of it.
    pub lines: Vec<SentenceView>,
    /// The name of the characteristic, for a chart that is kept.
    pub name: String,
}

/// What the room is told.
#[derive(Debug, Clone, Default)]
pub struct BatchTold {
    /// What was worked out last.
    pub facts: Option<Arc<BatchFacts>>,
    /// What became of the last chart that was to be kept.
    pub done: Done,
}

/// The window's end.
pub struct BatchHandle {
    told: Arc<Mutex<BatchTold>>,
    jobs: Sender<BatchJob>,
}

/// The other end, for whatever does the work.
pub struct BatchSide {
    told: Arc<Mutex<BatchTold>>,
    jobs: Receiver<BatchJob>,
    rows: Option<Rows>,
    /// The session at an earlier stage, looked for once for each journal.
    earlier: Option<(String, Option<State>)>,
}

/// What need not be worked out again while only the page changes.
struct Rows {
    journal: String,
    head: Sequence,
    batch: Arc<Batch>,
    study: Option<(usize, Arc<BatchStudy>)>,
}

/// Both ends.
pub fn batch_ends() -> (BatchHandle, BatchSide) {
    let (sends, hears) = channel();
    let told = Arc::default();
    let side = BatchSide {
        told: Arc::clone(&told),
        jobs: hears,
        rows: None,
        earlier: None,
    };
    (BatchHandle { told, jobs: sends }, side)
}

impl BatchHandle {
    /// What is known now.
    pub fn told(&self) -> BatchTold {
        lock(&self.told).clone()
    }

    /// Asks for something; never waits.
    pub fn ask(&self, job: BatchJob) {
        // What has ended hears nothing.
        drop(self.jobs.send(job));
    }
}

impl BatchSide {
    /// Does what is asked until the window leaves.
    pub fn run(&mut self, outside: &mut dyn BatchOutside) {
        while let Ok(job) = self.jobs.recv() {
            self.take(job, outside);
        }
    }

    /// Does what has been asked so far.
    pub fn run_waiting(&mut self, outside: &mut dyn BatchOutside) {
        while let Ok(job) = self.jobs.try_recv() {
            self.take(job, outside);
        }
    }

    fn take(&mut self, first: BatchJob, outside: &mut dyn BatchOutside) {
        let mut waiting = vec![first];
        while let Ok(more) = self.jobs.try_recv() {
            let is_show = |job: &BatchJob| matches!(job, BatchJob::Show(..));
            if is_show(&more) && waiting.last().is_some_and(is_show) {
                waiting.pop();
            }
            waiting.push(more);
        }
        for job in waiting {
            match job {
                BatchJob::Show(snapshot, at) => {
                    let facts = Some(Arc::new(self.worked_out(&snapshot, at, outside)));
                    lock(&self.told).facts = facts;
                }
                BatchJob::Keep(form) => self.keep(form, outside),
            }
            outside.changed();
        }
    }

    /// What a page shows of a snapshot.
    pub fn worked_out(
        &mut self,
        snapshot: &Snapshot,
        at: LookedAt,
        outside: &mut dyn BatchOutside,
    ) -> BatchFacts {
        let is_known = |rows: &Rows| rows.journal == snapshot.journal && rows.head == snapshot.head;
        let rows = self.rows.take().filter(is_known);
        let mut rows = rows.unwrap_or_else(|| Rows {
            journal: snapshot.journal.clone(),
            head: snapshot.head,
            batch: Arc::new(Batch::of(&snapshot.state)),
            study: None,
        });
        let state = &snapshot.state;
        let series = rows.batch.series().get(at.target);
        let target = state.setup().targets.get(at.target);
        let mut facts = BatchFacts {
            journal: rows.journal.clone(),
            head: rows.head,
            batch: Arc::clone(&rows.batch),
            at,
            chart: None,
            lines: Vec::new(),
            name: target.map(chart_name).unwrap_or_default(),
        };
        let (Some(series), Some(target)) = (series, target) else {
            self.rows = Some(rows);
            return facts;
        };
        if at.page != BatchPage::Table {
            let kept = rows.study.take().filter(|(of, _)| *of == at.target);
            let (_, known) = kept.unwrap_or_else(|| {
                let options = StudyOptions::usual(Circumstances::of(state, at.target));
                (at.target, Arc::new(study(series, target, &options)))
            });
            let of = (series, target, &*known);
            let mut chart = batch_chart(at.page, of, decimal_mark(at.marker));
            let notes = chart.as_mut().map(|chart| std::mem::take(&mut chart.notes));
            facts.lines = batch_lines(at.page, of, notes.unwrap_or_default(), at.marker);
            if at.page == BatchPage::Advice {
                let learned = self.learned(snapshot, at.target, outside);
                facts
                    .lines
                    .extend(learned_lines(learned.as_ref(), at.marker));
            }
            facts.chart = chart.map(Arc::new);
            rows.study = Some((at.target, known));
        }
        self.rows = Some(rows);
        facts
    }

    /// What the operation before this stage changed the characteristic by.
    fn learned(
        &mut self,
        snapshot: &Snapshot,
        target: usize,
        outside: &mut dyn BatchOutside,
    ) -> Option<OperationChange> {
        let is_of = |(journal, _): &(String, Option<State>)| *journal == snapshot.journal;
        let known = self.earlier.take().filter(is_of);
        let known = known.unwrap_or_else(|| (snapshot.journal.clone(), outside.earlier(snapshot)));
        let changes = known
            .1
            .as_ref()
            .and_then(|earlier| operation_changes(earlier, &snapshot.state).ok());
        self.earlier = Some(known);
        changes?.into_iter().find(|change| change.target == target)
    }

    fn keep(&self, form: ChartForm, outside: &mut dyn BatchOutside) {
        let facts = lock(&self.told).facts.clone();
        let kept = facts
            .and_then(|facts| Some((picture(&facts, form)?, facts)))
            .ok_or_else(|| "There is no chart to be kept.".to_owned())
            .and_then(|(bytes, facts)| {
                let bytes = bytes.map_err(|error| error.to_string())?;
                outside.keep(&stem_of(&facts), form.ends(), bytes)
            });
        let mut told = lock(&self.told);
        told.done = Done {
            number: told.done.number.wrapping_add(1),
            is_fault: kept.is_err(),
            said: kept.map_or_else(|fault| fault, |path| format!("Written: {path}")),
        };
    }
}

/// The journal's name without its ending, characteristic and page.
fn stem_of(facts: &BatchFacts) -> String {
    let journal = facts.journal.trim_end_matches(".jsonl");
    file_name(&format!(
        "{journal} {} {}",
        facts.name,
        facts.at.page.name()
    ))
}

/// The chart as a file, with its name above it and what is said below it.
fn picture(facts: &BatchFacts, form: ChartForm) -> Option<Result<Vec<u8>, ChartError>> {
    let chart = facts.chart.as_deref()?;
    let whole = [Chart {
        title: format!("{}: {}", facts.name, chart.title),
        notes: facts.lines.iter().map(|line| line.text.clone()).collect(),
        ..chart.clone()
    }];
    let options = ChartOptions {
        decimal_mark: decimal_mark(facts.at.marker),
        ..ChartOptions::default()
    };
    let size = ChartSize::default();
    Some(match form {
        ChartForm::Png => chart_png(&whole, size, SCALE, options),
        ChartForm::Svg => chart_svg(&whole, size, options)
            .map(String::into_bytes)
            .map_err(ChartError::from),
    })
}
