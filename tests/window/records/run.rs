//! What goes on behind the room, with an outside that fails and takes its time.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::VecDeque;

use fitledger::journal::Sequence;
use fitledger::report::Sheet;
use fitledger::session::Command;
use fitledger::window::records_facts::{ReportForm, SessionRow, Verified, WriteOrder};
use fitledger::window::records_find::{Filter, Query};
use fitledger::window::records_run::{RecordsJob, RecordsOutside, records_ends};

use super::scenes::{rows, sheet};

/// Answers as it was told to; counts.
#[derive(Default)]
struct Double {
    rows: Vec<SessionRow>,
    faults: Vec<String>,
    lists: usize,
    /// Bytes of a check, read in steps of a tenth; after so many steps the window ends it.
    steps: usize,
    written: Vec<WriteOrder>,
    write_fails: Option<String>,
    refusals: VecDeque<String>,
    decided: Vec<Command>,
    opened: usize,
    cancel: Option<Box<dyn FnMut()>>,
}

impl RecordsOutside for Double {
    fn list(
        &mut self,
        seen: &mut dyn FnMut(usize, usize) -> bool,
    ) -> (Vec<SessionRow>, Vec<String>) {
        self.lists += 1;
        assert!(seen(1, 4));
        (self.rows.clone(), self.faults.clone())
    }

    fn open(&mut self, _row: &SessionRow) -> Result<Sheet, String> {
        self.opened += 1;
        Ok(sheet())
    }

    fn verify(
        &mut self,
        _row: &SessionRow,
        read: &mut dyn FnMut(u64, u64) -> bool,
    ) -> Result<Option<Verified>, String> {
        for step in 0..10 {
            if step == 3
                && let Some(cancel) = &mut self.cancel
            {
                cancel();
            }
            if !read(step * 100, 1_000) {
                return Ok(None);
            }
            self.steps += 1;
        }
        Ok(Some(Verified {
            state: "sound".to_owned(),
            ..Verified::default()
        }))
    }

    fn write(&mut self, _row: &SessionRow, order: &WriteOrder) -> Result<String, String> {
        self.written.push(order.clone());
        match &self.write_fails {
            Some(fault) => Err(fault.clone()),
            None => Ok("/w/reports/GP-07.pdf".to_owned()),
        }
    }

    fn decide(&mut self, _row: &SessionRow, command: Command) -> Result<(), String> {
        match self.refusals.pop_front() {
            Some(refusal) => Err(refusal),
            None => {
                self.decided.push(command);
                Ok(())
            }
        }
    }

    fn changed(&mut self) {}
}

fn double() -> Double {
    Double {
        rows: rows(),
        ..Double::default()
    }
}

const KEY: &str = "2026-11-24-shaft.jsonl";

fn order() -> WriteOrder {
    WriteOrder {
        key: KEY.to_owned(),
        form: ReportForm::Pdf,
        part: None,
        marker: '.',
    }
}

fn name_part(part: Sequence) -> Command {
    Command::NamePart {
        part: u32::try_from(part).ok(),
        serial: "GP-0019".to_owned(),
    }
}

#[test]
fn the_list_is_read_and_of_searches_that_wait_only_the_last_is_made() {
    let (handle, mut side) = records_ends();
    let mut outside = double();
    handle.ask(RecordsJob::List);
    for text in ["p", "pu", "pum"] {
        handle.ask(RecordsJob::Find(Query {
            text: text.to_owned(),
            filter: Filter::All,
        }));
    }
    side.run_waiting(&mut outside);
    let told = handle.told();
    assert_eq!((told.rows.len(), told.listing), (4, None));
    assert_eq!(
        (told.found.as_slice(), told.found_for.text.as_str()),
        (&[0, 1][..], "pum")
    );
}

#[test]
fn a_list_that_cannot_be_read_leaves_the_one_that_is_there_and_says_why() {
    let (handle, mut side) = records_ends();
    let mut outside = double();
    handle.ask(RecordsJob::List);
    side.run_waiting(&mut outside);
    outside.rows.clear();
    outside.faults = vec!["“sessions” could not be listed: no permission.".to_owned()];
    handle.ask(RecordsJob::List);
    side.run_waiting(&mut outside);
    let told = handle.told();
    assert_eq!((told.rows.len(), told.found.len()), (4, 4));
    assert_eq!(told.faults, outside.faults);
}

#[test]
fn a_check_tells_how_far_it_is_and_is_ended_when_that_is_asked_for() {
    let (handle, mut side) = records_ends();
    let mut outside = double();
    handle.ask(RecordsJob::List);
    handle.ask(RecordsJob::Verify(KEY.to_owned()));
    side.run_waiting(&mut outside);
    let verify = handle.told().verify.unwrap();
    assert_eq!((verify.read, verify.whole), (900, 1_000));
    assert!(!verify.is_running && !verify.is_cancelled);
    assert_eq!(verify.result.unwrap().unwrap().state, "sound");
    // Ended in its fourth step.
    let handle = std::rc::Rc::new(handle);
    let ends = std::rc::Rc::clone(&handle);
    outside.cancel = Some(Box::new(move || ends.cancel()));
    outside.steps = 0;
    handle.ask(RecordsJob::Verify(KEY.to_owned()));
    side.run_waiting(&mut outside);
    let verify = handle.told().verify.unwrap();
    assert!(verify.is_cancelled && verify.result.is_none() && !verify.is_running);
    assert_eq!(outside.steps, 3);
    // The next one is not ended with it.
    outside.cancel = None;
    handle.ask(RecordsJob::Verify(KEY.to_owned()));
    side.run_waiting(&mut outside);
    assert!(handle.told().verify.unwrap().result.is_some());
}

#[test]
fn a_full_disk_is_told_and_everything_stays_as_it_is() {
    let (handle, mut side) = records_ends();
    let mut outside = double();
    outside.write_fails = Some("“GP-07.pdf” could not be written: No space left.".to_owned());
    handle.ask(RecordsJob::List);
    handle.ask(RecordsJob::Open(KEY.to_owned()));
    handle.ask(RecordsJob::Write(order()));
    side.run_waiting(&mut outside);
    let told = handle.told();
    assert!(told.done.is_fault && told.done.said.contains("No space left"));
    assert!(told.open.is_some() && told.rows.len() == 4);
    outside.write_fails = None;
    handle.ask(RecordsJob::Write(order()));
    side.run_waiting(&mut outside);
    let done = handle.told().done;
    assert_eq!((done.number, done.is_fault), (2, false));
    assert_eq!(done.said, "Written: /w/reports/GP-07.pdf");
}

#[test]
fn a_decision_that_is_refused_changes_nothing_and_one_that_is_taken_is_read_again() {
    let (handle, mut side) = records_ends();
    let mut outside = double();
    let refusal = "Part 2 cannot be released: it is on hold. Withdraw the hold first.";
    outside.refusals = [refusal.to_owned()].into();
    handle.ask(RecordsJob::List);
    handle.ask(RecordsJob::Decide(KEY.to_owned(), name_part(1)));
    side.run_waiting(&mut outside);
    let told = handle.told();
    assert_eq!(
        (told.done.said.as_str(), told.done.is_fault),
        (refusal, true)
    );
    assert_eq!(
        (outside.decided.len(), outside.opened, outside.lists),
        (0, 0, 1)
    );
    handle.ask(RecordsJob::Decide(KEY.to_owned(), name_part(1)));
    side.run_waiting(&mut outside);
    assert_eq!(
        (outside.decided.len(), outside.opened, outside.lists),
        (1, 1, 2)
    );
    assert!(!handle.told().done.is_fault);
}

#[test]
fn a_session_that_is_gone_is_told_and_a_window_that_is_gone_ends_the_work() {
    let (handle, mut side) = records_ends();
    let mut outside = double();
    handle.ask(RecordsJob::Open("gone.jsonl".to_owned()));
    handle.ask(RecordsJob::Write(WriteOrder {
        key: "gone.jsonl".to_owned(),
        ..order()
    }));
    side.run_waiting(&mut outside);
    let told = handle.told();
    assert!(
        told.open
            .unwrap()
            .fault
            .unwrap()
            .contains("not in the list")
    );
    assert!(told.done.is_fault && outside.written.is_empty());
    handle.ask(RecordsJob::List);
    handle.ask(RecordsJob::Open(KEY.to_owned()));
    drop(handle);
    side.run(&mut outside);
    assert_eq!((outside.lists, outside.opened), (0, 0));
}
