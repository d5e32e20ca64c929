//! The table of parts by characteristics.

use fitledger::window::batch_room::{BatchPage, BatchRoom};
use fitledger::window::view::{Mark, batch_view};

use super::scenes::{STEADY, at, parts, room, seen, seen_of, shafts, worked_out};
use super::table;

#[test]
fn the_table_has_every_part_on_every_characteristic_and_marks_what_is_not_good() {
    let snapshot = shafts();
    let view = table(seen(&snapshot, 0, BatchPage::Table));
    let ids: Vec<&str> = view.columns.iter().map(|one| one.id.as_str()).collect();
    assert_eq!(ids, ["A", "B", "T"]);
    assert_eq!(
        (view.count, view.rows.len(), view.rows[0].part),
        (12, 12, 12)
    );
    let cell = |part: u32, column: usize| {
        let row = view.rows.iter().find(|row| row.part == part).unwrap();
        &row.cells[column]
    };
    assert_eq!(
        (cell(1, 0).text.as_str(), cell(1, 0).mark),
        ("20.008", Mark::Go)
    );
    assert_eq!(cell(1, 0).spoken, "part 1, A: 20.008, GO");
    assert_eq!(
        (cell(11, 0).text.as_str(), cell(11, 0).mark),
        ("20.022", Mark::NoGo)
    );
    assert_eq!(cell(11, 0).tests, "1");
    assert_eq!(
        cell(11, 0).spoken,
        "part 11, A: 20.022, NO-GO, signal of test 1"
    );
    assert_eq!(cell(12, 0).mark, Mark::Doubt);
    assert!(
        cell(12, 0).text.starts_with("20.014"),
        "{}",
        cell(12, 0).text
    );
    // Left out by the sampling plan: said so, and never good.
    assert_eq!(
        (cell(2, 1).text.as_str(), cell(2, 1).mark),
        ("not selected", Mark::NotSelected)
    );
    assert_eq!(
        (cell(4, 1).text.as_str(), cell(4, 1).mark),
        ("14.995", Mark::Go)
    );
    assert_eq!(
        (cell(5, 2).text.as_str(), cell(5, 2).mark),
        ("NO-GO", Mark::NoGo)
    );
    assert_eq!(
        (cell(12, 2).text.as_str(), cell(12, 2).mark),
        ("open", Mark::Open)
    );
    assert_eq!(view.head.counts, "12 parts: 1 NO-GO, 1 DOUBT, 10 GO");
    let sampled = table(seen(&snapshot, 1, BatchPage::Table));
    assert_eq!(sampled.head.counts, "12 parts: 4 GO, 8 not selected");
}

#[test]
fn of_a_long_batch_only_some_screens_of_rows_are_made() {
    let many: Vec<&str> = STEADY.iter().cycle().take(300).copied().collect();
    let snapshot = parts("20 k6", "", &many);
    let facts = worked_out(&snapshot, at(0, BatchPage::Table));
    let room = BatchRoom {
        skipped: 250,
        ..room(0, BatchPage::Table)
    };
    let view = table(batch_view(&seen_of(&room, &facts, &snapshot)));
    assert_eq!(
        (view.count, view.rows.len(), view.rows[0].part),
        (300, 50, 50)
    );
    let room = BatchRoom { skipped: 0, ..room };
    let view = table(batch_view(&seen_of(&room, &facts, &snapshot)));
    assert!((60..200).contains(&view.rows.len()));
    assert_eq!(view.rows[0].part, 300);
}
