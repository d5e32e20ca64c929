//! What is worked out behind the window, and charts that are kept.

use std::sync::Arc;

use fitledger::session::{Snapshot, State};
use fitledger::window::batch_room::{BatchPage, ChartForm};
use fitledger::window::batch_run::{BatchJob, batch_ends};

use super::scenes::{at, parts, worn};
use super::{Kept, text};

/// Six parts turned, and the same ones hardened: 6 or 7 µm smaller, by hand.
#[test]
fn what_an_operation_changed_is_learned_from_the_session_before_it() {
    let before = parts(
        "20 k6",
        "",
        &["20.012", "20.013", "20.012", "20.014", "20.013", "20.012"],
    );
    let after = parts(
        "20 k6",
        "",
        &["20.006", "20.006", "20.006", "20.007", "20.006", "20.006"],
    );
    let mut outside = Kept {
        earlier: Some(before.state.clone()),
        ..Kept::default()
    };
    let (_, mut side) = batch_ends();
    for _ in 0..3 {
        let facts = side.worked_out(&after, at(0, BatchPage::Advice), &mut outside);
        let told: Vec<&str> = facts.lines.iter().map(|line| &*line.text).collect();
        let [.., origin, learned] = told.as_slice() else {
            panic!("{told:?}")
        };
        let wanted = "From the earlier session to this one: 6 parts, taken in the same order, as \
                      none has a serial number.";
        assert_eq!(*origin, wanted);
        assert!(
            learned.starts_with("On 6 parts the operation changed the size by"),
            "{learned}"
        );
        assert!(learned.contains("Leave 0.006 for it"), "{learned}");
        assert!(facts.lines.last().unwrap().is_strong);
    }
    assert_eq!(outside.looked, 1, "looked for once");
    let facts = side.worked_out(&after, at(0, BatchPage::Run), &mut outside);
    assert!(
        !text(&facts.lines).contains("operation"),
        "on the page of advice alone"
    );
    // Too few parts: said so; none: nothing is said.
    let two = parts("20 k6", "", &["20.006", "20.006"]);
    let told = |after: &Snapshot, earlier: Option<State>| {
        let mut outside = Kept {
            earlier,
            ..Kept::default()
        };
        let (_, mut side) = batch_ends();
        let facts = side.worked_out(after, at(0, BatchPage::Advice), &mut outside);
        text(&facts.lines)
    };
    let said = told(&two, Some(before.state.clone()));
    assert!(said.contains("No allowance is learned yet."), "{said}");
    let said = told(&after, None);
    assert!(
        !said.contains("operation") && !said.contains("allowance"),
        "{said}"
    );
}

#[test]
fn of_many_requests_the_last_is_worked_out_and_a_page_alone_costs_no_study() {
    let snapshot = Arc::new(worn());
    let (handle, mut side) = batch_ends();
    let mut outside = Kept::default();
    for looked_at in [BatchPage::Run, BatchPage::Control, BatchPage::Trend] {
        handle.ask(BatchJob::Show(Arc::clone(&snapshot), at(0, looked_at)));
    }
    side.run_waiting(&mut outside);
    assert_eq!(outside.frames, 1);
    let first = handle.told().facts.unwrap();
    assert_eq!(first.at.page, BatchPage::Trend);
    handle.ask(BatchJob::Show(Arc::clone(&snapshot), at(0, BatchPage::Run)));
    side.run_waiting(&mut outside);
    let second = handle.told().facts.unwrap();
    assert!(
        Arc::ptr_eq(&first.batch, &second.batch),
        "the rows are those of before"
    );
    let mut later = (*snapshot).clone();
    later.head += 1;
    handle.ask(BatchJob::Show(Arc::new(later), at(0, BatchPage::Run)));
    side.run_waiting(&mut outside);
    let third = handle.told().facts.unwrap();
    assert!(
        !Arc::ptr_eq(&third.batch, &second.batch),
        "something was recorded"
    );
}

#[test]
fn a_kept_chart_is_a_whole_file_with_its_name_and_what_is_said_of_it() {
    let snapshot = Arc::new(worn());
    let (handle, mut side) = batch_ends();
    let mut outside = Kept::default();
    handle.ask(BatchJob::Keep(ChartForm::Svg));
    side.run_waiting(&mut outside);
    let done = handle.told().done;
    assert!(done.is_fault && outside.files.is_empty(), "{done:?}");
    handle.ask(BatchJob::Show(
        Arc::clone(&snapshot),
        at(0, BatchPage::Trend),
    ));
    handle.ask(BatchJob::Keep(ChartForm::Svg));
    handle.ask(BatchJob::Keep(ChartForm::Png));
    side.run_waiting(&mut outside);
    let [(stem, ends, svg), (_, other, png)] = outside.files.as_slice() else {
        panic!("{}", outside.files.len());
    };
    assert_eq!((ends.as_str(), other.as_str()), ("svg", "png"));
    assert!(
        stem.starts_with("session") && stem.ends_with("trend"),
        "{stem}"
    );
    assert!(png.starts_with(b"\x89PNG\r\n"));
    let svg = std::str::from_utf8(svg).unwrap();
    assert!(
        svg.contains("<title>A, Ø20 k6, bearing seat: trend</title>"),
        "{svg}"
    );
    assert!(svg.contains("Over the last 16 parts") && svg.ends_with("</svg>\n"));
    outside.is_full = true;
    handle.ask(BatchJob::Keep(ChartForm::Png));
    side.run_waiting(&mut outside);
    let done = handle.told().done;
    assert!(
        done.is_fault && done.said == "The disk is full.",
        "{done:?}"
    );
}
