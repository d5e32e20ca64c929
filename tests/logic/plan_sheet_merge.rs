//! Two people's changes to one plan file, put together.

use fitledger::plan::{
    Conflict, MergeSide, PlanEdit, PlanSheet, SheetRefusal, SideLine, SideRow, TableAt, merged,
    side_by_side, side_lines,
};
use proptest::prelude::{any, proptest};
use proptest::sample::Index;
use proptest::{collection, prop_assert, prop_assert_eq};

use crate::plan_sheet::MESSY;

fn sheet(text: &str) -> PlanSheet {
    PlanSheet::read(text).unwrap()
}

fn set(at: TableAt, key: &str, typed: &str) -> PlanEdit {
    PlanEdit::Set {
        at,
        key: key.to_owned(),
        typed: typed.to_owned(),
    }
}

fn edited(text: &str, edits: &[PlanEdit]) -> PlanSheet {
    let start = sheet(text);
    edits
        .iter()
        .fold(start, |sheet, edit| sheet.edited(edit).unwrap())
}

#[test]
fn what_does_not_touch_the_same_place_is_put_together_with_their_comments() {
    let mine = edited(
        MESSY,
        &[
            set(TableAt::Feature(0), "callout", "20 m6"),
            set(TableAt::Part, "revision", "C"),
            PlanEdit::AddFeature {
                after: Some(1),
                id: "D".to_owned(),
                callout: "6 H8".to_owned(),
            },
            PlanEdit::AddPair {
                hole: "D".to_owned(),
                shaft: "A".to_owned(),
            },
        ],
    );
    let theirs_text = MESSY
        .replace("callout = \"35\"", "callout = \"35 ±0.1\"  # tighter now")
        .replace("\"steel\"", "\"1.4301\"");
    let done = merged(&sheet(MESSY), &mine, &sheet(&theirs_text), &[]).unwrap();
    assert_eq!(done.conflicts, []);
    assert_eq!(done.taken, 4);
    let text = done.sheet.text();
    for said in [
        "callout = \"20 m6\" # bearing",
        "callout = \"35 ±0.1\"  # tighter now",
        "\"1.4301\"",
        "revision = \"C\"",
        "id = \"D\"\ncallout = \"6 H8\"",
        "hole = \"D\"\nshaft = \"A\"",
    ] {
        assert!(text.contains(said), "{said} in\n{text}");
    }
    let order: Vec<&str> = done
        .sheet
        .features()
        .iter()
        .map(|one| one.shown("id"))
        .collect();
    assert_eq!(order, ["A", "B", "D", "C"]);
}

#[test]
fn the_same_place_is_a_conflict_with_all_three_and_somebody_chooses() {
    let mine = edited(MESSY, &[set(TableAt::Feature(0), "callout", "20 m6")]);
    let theirs = sheet(&MESSY.replace("20 k6", "20 h6"));
    let done = merged(&sheet(MESSY), &mine, &theirs, &[]).unwrap();
    let expected = Conflict {
        table: "feature A".to_owned(),
        key: Some("callout".to_owned()),
        base: Some("20 k6".to_owned()),
        mine: Some("20 m6".to_owned()),
        theirs: Some("20 h6".to_owned()),
    };
    assert_eq!(done.conflicts, std::slice::from_ref(&expected));
    assert_eq!(
        done.sheet.text(),
        theirs.text(),
        "theirs until somebody chooses"
    );
    let done = merged(&sheet(MESSY), &mine, &theirs, &[MergeSide::Mine]).unwrap();
    assert_eq!(done.conflicts, [expected]);
    assert_eq!(done.sheet.text(), mine.text());
    let done = merged(&sheet(MESSY), &mine, &theirs, &[MergeSide::Theirs]).unwrap();
    assert_eq!(done.sheet.text(), theirs.text());
    // The same change on both sides is none.
    let done = merged(&sheet(MESSY), &mine, &mine, &[]).unwrap();
    assert_eq!((done.conflicts.len(), done.taken), (0, 0));
}

#[test]
fn what_one_took_out_and_the_other_changed_is_a_conflict() {
    let gone = edited(MESSY, &[PlanEdit::Remove(TableAt::Feature(1))]);
    let changed = sheet(&MESSY.replace("\"35\"", "\"36\""));
    for (mine, theirs, kept) in [(&gone, &changed, false), (&changed, &gone, true)] {
        let done = merged(&sheet(MESSY), mine, theirs, &[]).unwrap();
        let [conflict] = done.conflicts.as_slice() else {
            panic!("{:?}", done.conflicts);
        };
        assert_eq!(
            (conflict.table.as_str(), &conflict.key),
            ("feature B", &None)
        );
        assert_eq!(conflict.mine.is_some(), kept);
        assert_eq!(done.sheet.text(), theirs.text());
        let done = merged(&sheet(MESSY), mine, theirs, &[MergeSide::Mine]).unwrap();
        let has = done
            .sheet
            .features()
            .iter()
            .any(|one| one.shown("callout") == "36");
        assert_eq!(has, kept);
    }
    // Taken out by me, untouched by them: it goes, and their changes elsewhere stay.
    let theirs = sheet(&MESSY.replace("\"steel\"", "\"brass\""));
    let done = merged(&sheet(MESSY), &gone, &theirs, &[]).unwrap();
    assert!(done.conflicts.is_empty() && done.sheet.features().len() == 2);
    assert!(done.sheet.text().contains("\"brass\""));
}

#[test]
fn order_is_mine_where_only_i_moved_and_a_conflict_where_both_did() {
    let mine = edited(MESSY, &[PlanEdit::Swap(0, 2)]);
    let theirs = sheet(&MESSY.replace("\"steel\"", "\"brass\""));
    let ids = |sheet: &PlanSheet| {
        let ids = sheet
            .features()
            .iter()
            .map(|one| one.shown("id").to_owned());
        ids.collect::<Vec<_>>().concat()
    };
    let done = merged(&sheet(MESSY), &mine, &theirs, &[]).unwrap();
    assert_eq!(
        (ids(&done.sheet).as_str(), done.conflicts.len()),
        ("CBA", 0)
    );
    let moved = edited(MESSY, &[PlanEdit::Swap(0, 1)]);
    let done = merged(&sheet(MESSY), &mine, &moved, &[]).unwrap();
    assert_eq!(
        (ids(&done.sheet).as_str(), done.conflicts.len()),
        ("BAC", 1)
    );
    let done = merged(&sheet(MESSY), &mine, &moved, &[MergeSide::Mine]).unwrap();
    assert_eq!(ids(&done.sheet), "CBA");
    assert_eq!(done.conflicts[0].table, "order");
}

#[test]
fn features_that_cannot_be_told_apart_are_not_put_together() {
    let twice = MESSY.replace("id = \"B\"", "id = \"A\"");
    let refused = merged(&sheet(MESSY), &sheet(MESSY), &sheet(&twice), &[]);
    assert_eq!(refused, Err(SheetRefusal::Form));
}

proptest! {
    /// Changes of different keys never meet: whoever goes first, the same is stated.
    #[test]
    fn changes_of_different_places_come_together_in_either_order(
        all in collection::vec((any::<Index>(), 0_usize..4, any::<bool>(), 1_u32..99), 1..10),
    ) {
        let keys = ["points", "every", "setting", "name"];
        let base = sheet(MESSY);
        let (mut mine, mut theirs) = (base.clone(), base.clone());
        let mut owners = std::collections::BTreeMap::new();
        for (at, key, is_mine, value) in &all {
            let at = TableAt::Feature(at.index(3));
            let owner = *owners.entry((at, keys[*key])).or_insert(*is_mine);
            let side = if owner { &mut mine } else { &mut theirs };
            *side = side.edited(&set(at, keys[*key], &value.to_string())).unwrap();
        }
        let one = merged(&base, &mine, &theirs, &[]).unwrap();
        let other = merged(&base, &theirs, &mine, &[]).unwrap();
        prop_assert!(one.conflicts.is_empty() && other.conflicts.is_empty());
        prop_assert_eq!(one.sheet.all_stated(), other.sheet.all_stated());
        for ((at, key), owner) in &owners {
            let side = if *owner { &mine } else { &theirs };
            prop_assert_eq!(one.sheet.shown(*at, key), side.shown(*at, key));
        }
    }
}

/// Whatever the two sides are, each keeps every line in its order, and only equal lines are told to
/// be the same.
fn keeps_both(first: &str, second: &str) -> Vec<SideRow> {
    let (one, other) = (side_lines(first, 1), side_lines(second, 1));
    let rows = side_by_side(&one, &other);
    let left: Vec<&SideLine> = rows.iter().filter_map(|row| row.lines().0).collect();
    let right: Vec<&SideLine> = rows.iter().filter_map(|row| row.lines().1).collect();
    assert_eq!(left, one.iter().collect::<Vec<_>>());
    assert_eq!(right, other.iter().collect::<Vec<_>>());
    for row in &rows {
        match row {
            SideRow::Same(one, other) => assert_eq!(one.text, other.text),
            SideRow::Differs(one, other) => {
                assert!(
                    one.text != other.text && one.key() == other.key(),
                    "{row:?}"
                );
            }
            SideRow::First(_) | SideRow::Second(_) => {}
        }
    }
    rows
}

proptest! {
    #[test]
    fn two_sides_keep_every_line_in_its_order(
        first in collection::vec("[ab#]( = [01])?", 0..12),
        second in collection::vec("[ab#]( = [01])?", 0..12),
    ) {
        let (first, second) = (first.join("\n"), second.join("\n"));
        let rows = keeps_both(&first, &second);
        // Fewest unequal rows: no other order of the same lines has more equal ones (by a second
        // way: all pairs, from the end).
        let (one, other): (Vec<&str>, Vec<&str>) =
            (first.lines().collect(), second.lines().collect());
        let mut best = vec![vec![0_usize; other.len() + 1]; one.len() + 1];
        for (at, line) in one.iter().enumerate() {
            for (beside, text) in other.iter().enumerate() {
                best[at + 1][beside + 1] = match line == text {
                    true => best[at][beside] + 1,
                    false => best[at][beside + 1].max(best[at + 1][beside]),
                };
            }
        }
        let same = rows.iter().filter(|row| matches!(row, SideRow::Same(..))).count();
        prop_assert_eq!(same, best[one.len()][other.len()]);
    }
}

#[test]
fn texts_too_long_to_be_compared_whole_are_still_all_there() {
    let text = |word: &str| {
        let lines = (0..700).map(|at| format!("{word}{at} = {at}"));
        let lines: Vec<String> = lines.collect();
        format!("[part]\nname = \"x\"\n{}\n# end", lines.join("\n"))
    };
    let rows = keeps_both(&text("a"), &text("b"));
    let same = |row: &&SideRow| matches!(row, SideRow::Same(..));
    assert_eq!(
        rows.iter().filter(same).count(),
        3,
        "begin and end are the same"
    );
    // One line of the middle is elsewhere the same: that is not looked for any more.
    let rows = keeps_both(&text("a"), &text("b").replace("b350 = 350", "a10 = 10"));
    assert_eq!(rows.iter().filter(same).count(), 3);
    let one_more = text("a").replace("a350 = 350", "a350 = 1\nnew = 2");
    let rows = keeps_both(&text("a"), &one_more);
    assert_eq!(rows.iter().filter(same).count(), 702);
}

#[test]
fn what_a_conflict_is_about_is_found_with_its_comments_and_line_numbers() {
    let sheet = sheet(MESSY);
    let told = |name: &str| {
        let lines = sheet.lines_named(name);
        let lines = lines
            .iter()
            .map(|line| format!("{} {}", line.number, line.text));
        lines.collect::<Vec<_>>()
    };
    // Counted by hand in the text.
    let part = [
        "4 [part]",
        "5 name = \"Pump bush\"   # as on the label",
        "6 drawing = 'GP-09'",
        "7 material = \"steel\"",
    ];
    assert_eq!(told("part"), part);
    let seat = told("feature A");
    assert_eq!(
        (seat[0].as_str(), seat[1].as_str()),
        ("13 # the seat", "14 [[feature]]")
    );
    assert_eq!(seat.last().unwrap(), "22 note_to_self = 3");
    assert_eq!(told("order"), ["1 A", "2 B", "3 C"]);
    assert_eq!(told("pair B and cover.toml#A")[0], "40 [[pair]]");
    assert_eq!(told("feature Z"), Vec::<String>::new());
    let inline = PlanSheet::read("part = { name = \"x\" }\n").unwrap();
    assert_eq!(inline.lines_named("part")[0].text, "name = x");
}
