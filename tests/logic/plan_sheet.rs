//! Editing the text of a plan: only what was changed changes, byte for byte, and what the file
//! says afterwards is what was typed, by another reader of TOML.

use fitledger::plan::{Plan, PlanEdit, PlanField, PlanSheet, SheetRefusal, TableAt};
use fitledger::tolerance::Tables;
use proptest::prelude::{Just, Strategy, any, prop_oneof, proptest};
use proptest::sample::Index;
use proptest::test_runner::TestCaseError;
use proptest::{collection, prop_assert, prop_assert_eq};

/// As people write them: comments everywhere, lists over lines, blanks, another order of keys.
pub(crate) const MESSY: &str = "# Pump bush, drawing of 2026-11
# second line

[part]
name = \"Pump bush\"   # as on the label
drawing = 'GP-09'
material = \"steel\"

# what the customer asked for
[rules]
general = \"m\"

# the seat
[[feature]]
callout = \"20 k6\" # bearing
  id = \"A\"
# points = 3
gauge = [
  \"mic-25\",
  \"caliper-150\"
]
note_to_self = 3

# ---- right end ----

[[feature]]
id = \"B\"
callout = \"35\"
surface = \"length\"
along = [ 0, 35.5 ]   # over all
# the last word on B

[[feature]]
id = \"C\"
callout = \"\"\"M10-6H\"\"\"
places = [ # two
  \"in\",
  \"out\",
]
[[pair]]
hole = \"B\"
shaft = \"cover.toml#A\"
# end of the file";

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

fn after(text: &str, edit: &PlanEdit) -> String {
    sheet(text).edited(edit).unwrap().text().to_owned()
}

/// Comments by a scanner of its own: this test's texts have no `#` inside quotes but in a
/// reference, which has no blank before it.
fn comments(text: &str) -> Vec<&str> {
    let found = text.lines().filter_map(|line| {
        let at = line.find(" #").map(|at| at + 1);
        let at = at.or(line.starts_with('#').then_some(0))?;
        line.get(at..)
    });
    let mut found: Vec<&str> = found.map(str::trim_end).collect();
    found.sort_unstable();
    found
}

const SEAT: TableAt = TableAt::Feature(0);

#[test]
fn a_value_is_changed_in_its_place_and_nothing_else() {
    let changed = after(MESSY, &set(SEAT, "callout", "25 h9"));
    assert_eq!(changed, MESSY.replace("\"20 k6\"", "\"25 h9\""));
    let changed = after(MESSY, &set(SEAT, "gauge", "mic-25, ring-20"));
    let list = "[\n  \"mic-25\",\n  \"caliper-150\"\n]";
    assert_eq!(changed, MESSY.replace(list, "[\"mic-25\", \"ring-20\"]"));
    let changed = after(MESSY, &set(TableAt::Feature(1), "along", "0 to 36"));
    assert_eq!(changed, MESSY.replace("[ 0, 35.5 ]", "[0, 36]"));
    let changed = after(MESSY, &set(TableAt::Part, "drawing", "GP-09 \"A\""));
    assert_eq!(changed, MESSY.replace("'GP-09'", "'GP-09 \"A\"'"));
    let changed = after(MESSY, &set(SEAT, "note_to_self", "4.5"));
    assert_eq!(
        changed,
        MESSY.replace("note_to_self = 3", "note_to_self = 4.5")
    );
}

#[test]
fn a_new_key_stands_behind_those_that_usually_stand_before_it() {
    let changed = after(MESSY, &set(SEAT, "points", "2"));
    // Behind the id, indented like it: `callout` stands before, which is a key before it too.
    let expected = MESSY.replace("  id = \"A\"\n", "  id = \"A\"\n  points = 2\n");
    assert_eq!(changed, expected);
    let changed = after(MESSY, &set(TableAt::Rules, "confidence", "0.99"));
    let line = "general = \"m\"\n";
    assert_eq!(
        changed,
        MESSY.replace(line, &format!("{line}confidence = 0.99\n"))
    );
    let changed = after(MESSY, &set(TableAt::Pair(0), "intended", "20 H7/k6"));
    let line = "shaft = \"cover.toml#A\"\n";
    assert_eq!(
        changed,
        MESSY.replace(line, &format!("{line}intended = \"20 H7/k6\"\n"))
    );
}

#[test]
fn a_key_that_goes_leaves_its_comment() {
    let changed = after(MESSY, &set(TableAt::Feature(1), "along", " "));
    assert_eq!(
        changed,
        MESSY.replace("along = [ 0, 35.5 ]   # over all", "# over all")
    );
    let changed = after(MESSY, &set(TableAt::Part, "material", ""));
    assert_eq!(changed, MESSY.replace("material = \"steel\"\n", ""));
    // What must stand there stays, empty, and the plan says so.
    let changed = after(MESSY, &set(SEAT, "id", ""));
    assert_eq!(changed, MESSY.replace("id = \"A\"", "id = \"\""));
    // Comments inside a list would go: neither changed nor taken out.
    for typed in ["in; out", ""] {
        let refused = sheet(MESSY).edited(&set(TableAt::Feature(2), "places", typed));
        assert_eq!(refused, Err(SheetRefusal::Form));
    }
}

#[test]
fn features_change_places_with_their_comments_and_come_and_go() {
    let swapped = after(MESSY, &PlanEdit::Swap(0, 1));
    let (seat, rest) = (
        MESSY.find("# the seat").unwrap(),
        MESSY.find("\n# ---- right").unwrap(),
    );
    let (length, last) = (
        MESSY.find("[[feature]]\nid = \"B\"").unwrap(),
        MESSY.find("\n[[feature]]\nid = \"C\"").unwrap(),
    );
    let expected = [
        &MESSY[..seat],
        &MESSY[length..last],
        &MESSY[rest..length],
        &MESSY[seat..rest],
        &MESSY[last..],
    ];
    assert_eq!(swapped, expected.concat());
    assert_eq!(after(&swapped, &PlanEdit::Swap(0, 1)), MESSY);
    let added = PlanEdit::AddFeature {
        after: Some(0),
        id: "D".to_owned(),
        callout: "6 H8".to_owned(),
    };
    let text = after(MESSY, &added);
    let block = "\n[[feature]]\nid = \"D\"\ncallout = \"6 H8\"\n";
    assert_eq!(text, format!("{}{block}{}", &MESSY[..rest], &MESSY[rest..]));
    assert_eq!(after(&text, &PlanEdit::Remove(TableAt::Feature(1))), MESSY);
    let gone = after(MESSY, &PlanEdit::Remove(SEAT));
    assert_eq!(gone, format!("{}{}", &MESSY[..seat - 1], &MESSY[rest..]));
    let pair = PlanEdit::AddPair {
        hole: "C".to_owned(),
        shaft: "A".to_owned(),
    };
    let text = after(MESSY, &pair);
    assert_eq!(
        text,
        format!("{MESSY}\n\n[[pair]]\nhole = \"C\"\nshaft = \"A\"\n")
    );
}

#[test]
fn an_empty_file_grows_into_a_plan_as_a_person_would_write_it() {
    let edits = [
        set(TableAt::Part, "name", "Pump bush"),
        set(TableAt::Part, "quantity", "12"),
        PlanEdit::AddFeature {
            after: None,
            id: "A".to_owned(),
            callout: "20 k6".to_owned(),
        },
        set(TableAt::Rules, "general", "m"),
        set(SEAT, "name", "bearing seat, left"),
        set(SEAT, "along", "0 to 14,5"),
        set(SEAT, "stages", "turned; ground"),
        set(SEAT, "leave", "0,2"),
        PlanEdit::AddFeature {
            after: None,
            id: "B".to_owned(),
            callout: "20 H7".to_owned(),
        },
        PlanEdit::AddPair {
            hole: "B".to_owned(),
            shaft: "A".to_owned(),
        },
        set(TableAt::Pair(0), "intended", "20 H7/k6"),
    ];
    let written = edits
        .iter()
        .fold(String::new(), |text, edit| after(&text, edit));
    let expected = "[part]\nname = \"Pump bush\"\nquantity = 12\n\n[rules]\ngeneral = \"m\"\n\n\
        [[feature]]\nid = \"A\"\ncallout = \"20 k6\"\nname = \"bearing seat, left\"\n\
        along = [0, 14.5]\nstages = [\"turned\", \"ground\"]\nleave = 0.2\n\n\
        [[feature]]\nid = \"B\"\ncallout = \"20 H7\"\n\n\
        [[pair]]\nhole = \"B\"\nshaft = \"A\"\nintended = \"20 H7/k6\"\n";
    assert_eq!(written, expected);
    let plan = Plan::parse(&written, "bush.toml", Tables::standard()).unwrap();
    assert_eq!((plan.features.len(), plan.pairs.len()), (2, 1));
}

#[test]
fn line_ends_of_another_system_stay() {
    let text = MESSY.replace('\n', "\r\n");
    let changed = after(&text, &set(SEAT, "points", "2"));
    assert_eq!(
        changed,
        text.replace("id = \"A\"\r\n", "id = \"A\"\r\n  points = 2\r\n")
    );
    for edit in [
        PlanEdit::Swap(0, 2),
        PlanEdit::Remove(TableAt::Feature(1)),
        set(TableAt::Feature(1), "along", ""),
        set(TableAt::Feature(1), "every", "5"),
    ] {
        let changed = after(&text, &edit);
        assert_eq!(
            changed.matches('\n').count(),
            changed.matches("\r\n").count()
        );
    }
}

#[test]
fn what_is_written_in_another_form_is_left_alone() {
    let inline = "part = { name = \"Bush\" }\n[[feature]]\nid = \"A\"\ncallout = \"20 k6\"\n";
    let read = sheet(inline);
    assert_eq!(read.shown(TableAt::Part, "name"), "Bush");
    assert_eq!(
        after(inline, &set(TableAt::Part, "name", "Pump bush")),
        inline.replace("\"Bush\"", "\"Pump bush\"")
    );
    let refused = |text: &str, edit: PlanEdit| sheet(text).edited(&edit) == Err(SheetRefusal::Form);
    assert!(refused(inline, set(TableAt::Part, "drawing", "GP-1")));
    assert!(refused(inline, set(TableAt::Feature(7), "name", "x")));
    assert!(refused(inline, PlanEdit::Remove(TableAt::Feature(7))));
    assert!(refused(inline, PlanEdit::Swap(0, 1)));
    let dotted = "part.name = \"Bush\"\n[[feature]]\nid = \"A\"\ncallout = \"20 k6\"\n";
    assert!(refused(dotted, set(TableAt::Part, "drawing", "GP-1")));
    let list = "feature = [{ id = \"A\", callout = \"20 k6\" }]\n";
    assert_eq!(PlanSheet::read(list), Err(SheetRefusal::Form));
    assert_eq!(PlanSheet::read("[part\n"), Err(SheetRefusal::NotToml));
}

#[test]
fn every_field_of_the_format_can_be_edited_under_its_key() {
    // What the format knows is told by itself, of a key that it does not know.
    let tables = Tables::standard();
    let known = |text: &str| {
        let errors = Plan::parse(text, "x", tables).err().unwrap();
        let told: Vec<String> = errors.iter().filter_map(|one| one.hint()).collect();
        let told = told
            .iter()
            .find(|hint| hint.starts_with("It has: "))
            .cloned();
        told.unwrap_or_else(|| panic!("{errors:?}"))
    };
    for (table, head) in [
        ("part", "[part]\nqqq = 1\n"),
        ("rules", "[rules]\nqqq = 1\n"),
        ("feature", "[[feature]]\nqqq = 1\n"),
        ("pair", "[[pair]]\nqqq = 1\n"),
    ] {
        let hint = known(head);
        let names = hint.split_once(": ").unwrap().1.trim_end_matches('.');
        let mut keys: Vec<&str> = names.split(", ").collect();
        keys.sort_unstable();
        let mut fields: Vec<&str> = PlanField::all(table).iter().map(|one| one.key).collect();
        fields.sort_unstable();
        assert_eq!(fields, keys, "{table}");
    }
}

#[test]
fn a_file_with_faults_is_read_as_far_as_it_goes_and_each_fault_finds_its_field() {
    let text = MESSY.replace("35\"", "35 q9\"");
    let found = sheet(&text).sound("bush.toml", Tables::standard());
    let places: Vec<(Option<TableAt>, Option<&str>, Option<usize>)> = found
        .faults
        .iter()
        .map(|fault| (fault.at, fault.key.as_deref(), fault.character))
        .collect();
    assert!(
        places.contains(&(Some(SEAT), Some("note_to_self"), None)),
        "{places:?}"
    );
    assert!(
        places.contains(&(Some(TableAt::Feature(1)), Some("callout"), Some(3))),
        "{places:?}"
    );
    let plan = found.plan.unwrap();
    assert_eq!(plan.part.name, "Pump bush");
    assert_eq!(plan.features.len(), 1, "the thread is sound");
    let nameless = "[part]\n[[feature]]\nid = \"A\"\ncallout = \"20 k6\"\n";
    let found = sheet(nameless).sound("bush.toml", Tables::standard());
    assert_eq!(found.faults[0].at, Some(TableAt::Part));
    assert_eq!(found.plan.unwrap().features.len(), 1);
    let partless = "[[feature]]\nid = \"A\"\ncallout = \"20 k6\"\n";
    let found = sheet(partless).sound("bush.toml", Tables::standard());
    assert_eq!(found.faults[0].at, Some(TableAt::Part));
    assert_eq!(found.plan.unwrap().features.len(), 1);
    let none = sheet("").sound("bush.toml", Tables::standard());
    assert!(none.plan.is_none() && !none.faults.is_empty());
}

fn typed() -> impl Strategy<Value = String> {
    prop_oneof![
        Just(String::new()),
        "[0-9]{1,4}",
        "[0-9]{1,3}[.,][0-9]{1,3}",
        "[0-9]{1,2} to [0-9]{1,3}",
        "[a-zA-Z0-9 ±;,\"'\\\\é\u{202e}-]{1,20}",
        Just("20 k6".to_owned()),
        Just("outside".to_owned()),
        Just("mic-25, caliper-150".to_owned()),
    ]
}

#[derive(Debug, Clone)]
enum Step {
    Set(Index, Index, String),
    Add(Index, String),
    AddPair(String),
    Remove(Index),
    Swap(Index, Index),
}

fn step() -> impl Strategy<Value = Step> {
    prop_oneof![
        6 => (any::<Index>(), any::<Index>(), typed()).prop_map(|(t, k, v)| Step::Set(t, k, v)),
        1 => (any::<Index>(), typed()).prop_map(|(t, v)| Step::Add(t, v)),
        1 => typed().prop_map(Step::AddPair),
        1 => any::<Index>().prop_map(Step::Remove),
        1 => (any::<Index>(), any::<Index>()).prop_map(|(a, b)| Step::Swap(a, b)),
    ]
}

fn edit_of(sheet: &PlanSheet, step: &Step) -> Option<PlanEdit> {
    let tables: Vec<TableAt> = sheet.tables().map(|(at, _)| at).collect();
    let features = sheet.features().len();
    Some(match step {
        Step::Set(table, key, typed) => {
            let at = tables[table.index(tables.len())];
            let fields = PlanField::all(at.name());
            set(at, fields[key.index(fields.len())].key, typed)
        }
        Step::Add(after, callout) => PlanEdit::AddFeature {
            after: (features > 0).then(|| after.index(features)),
            id: format!("N{features}"),
            callout: callout.clone(),
        },
        Step::AddPair(hole) => PlanEdit::AddPair {
            hole: hole.clone(),
            shaft: "A".to_owned(),
        },
        Step::Remove(at) if features > 0 => PlanEdit::Remove(TableAt::Feature(at.index(features))),
        Step::Swap(one, other) if features > 0 => {
            PlanEdit::Swap(one.index(features), other.index(features))
        }
        _ => return None,
    })
}

/// The values of a file by a reader that knows nothing of sheets.
fn values(text: &str) -> toml::Table {
    text.parse().unwrap()
}

fn tables_of(all: &toml::Table, at: TableAt) -> Option<&toml::Table> {
    let list = |name: &str, index: usize| all.get(name)?.as_array()?.get(index)?.as_table();
    match at {
        TableAt::Part => all.get("part")?.as_table(),
        TableAt::Rules => all.get("rules")?.as_table(),
        TableAt::Feature(index) => list("feature", index),
        TableAt::Pair(index) => list("pair", index),
    }
}

/// What must hold after one change.
fn held(before: &PlanSheet, edit: &PlanEdit, after: &PlanSheet) -> Result<(), TestCaseError> {
    let (old, new) = (before.text(), after.text());
    let lines = |text: &str| -> Vec<String> {
        let kept = text.lines().filter(|line| !line.trim().is_empty());
        kept.map(str::to_owned).collect()
    };
    let (old_lines, new_lines) = (lines(old), lines(new));
    if !matches!(edit, PlanEdit::Remove(_)) {
        prop_assert_eq!(comments(old), comments(new));
    }
    match edit {
        PlanEdit::Set { at, key, typed } => {
            // Around what changed, every byte is as it was.
            let same = |one: &[u8], other: &[u8]| {
                one.iter().zip(other).take_while(|(a, b)| a == b).count()
            };
            let head = same(old.as_bytes(), new.as_bytes());
            let back = |text: &str| text.bytes().rev().collect::<Vec<u8>>();
            let tail = same(&back(old), &back(new)).min(old.len().min(new.len()) - head);
            let cell = before.table(*at).and_then(|table| table.cell(key));
            let changed = old.get(head..old.len() - tail).unwrap_or("");
            let was = cell.map_or("", |_| changed);
            prop_assert!(changed.matches('\n').count() <= was.matches('\n').count());
            let others = |text: &str| {
                let mut all = values(text);
                let table = match at {
                    TableAt::Part => all.get_mut("part").and_then(|v| v.as_table_mut()),
                    TableAt::Rules => all.get_mut("rules").and_then(|v| v.as_table_mut()),
                    TableAt::Feature(i) => all["feature"][*i].as_table_mut(),
                    TableAt::Pair(i) => all["pair"][*i].as_table_mut(),
                };
                table.map(|table| table.remove(key));
                all
            };
            prop_assert_eq!(others(old), others(new));
            let now = values(new);
            let value = tables_of(&now, *at).and_then(|table| table.get(key));
            let field = PlanField::of(at.name(), key).unwrap();
            match typed.trim() {
                "" if !field.is_required => prop_assert!(value.is_none()),
                typed => said(value.unwrap(), typed)?,
            }
        }
        PlanEdit::AddFeature { .. } | PlanEdit::AddPair { .. } => {
            let mut rest = old_lines.iter();
            let mut wanted = rest.next();
            let mut new_ones = 0;
            for line in &new_lines {
                match wanted {
                    Some(old) if old == line => wanted = rest.next(),
                    _ => new_ones += 1,
                }
            }
            prop_assert_eq!((wanted, new_ones), (None, 3), "{}", new);
        }
        PlanEdit::Swap(..) => {
            let sorted = |mut lines: Vec<String>| {
                lines.sort_unstable();
                lines
            };
            prop_assert_eq!(sorted(old_lines), sorted(new_lines));
        }
        PlanEdit::Remove(_) => {
            let mut rest = old_lines.iter();
            for line in &new_lines {
                prop_assert!(rest.any(|old| old == line), "{} is new", line);
            }
        }
        PlanEdit::Insert { .. } => {}
    }
    Ok(())
}

#[test]
fn a_table_is_put_in_alone_and_as_what_it_is() {
    let feature = "[[feature]]\nid = \"D\"\ncallout = \"5\"\n";
    let pair = "[[pair]]\nhole = \"A\"\nshaft = \"C\"\n";
    let both = format!("{feature}{pair}");
    let behind = Some(TableAt::Feature(0));
    for (after, block, is_pair, is_done) in [
        (behind, feature, false, true),
        (None, pair, true, true),
        (None, feature, true, false),
        (None, pair, false, false),
        (behind, both.as_str(), false, false),
        (None, "# nothing\n", true, false),
    ] {
        let edited = sheet(MESSY).edited(&PlanEdit::Insert {
            after,
            block: block.to_owned(),
            is_pair,
        });
        let count = |sheet: &PlanSheet| (sheet.features().len(), sheet.pairs().len());
        match edited {
            Ok(sheet) if is_pair => assert_eq!((is_done, count(&sheet)), (true, (3, 2))),
            Ok(sheet) => {
                assert_eq!((is_done, count(&sheet)), (true, (4, 1)));
                let at = TableAt::Feature(1);
                assert_eq!(sheet.table(at).map(|one| one.shown("id")), Some("D"));
            }
            Err(refusal) => assert_eq!((is_done, refusal), (false, SheetRefusal::Form)),
        }
    }
}

/// The value says what was typed, whatever its type.
fn said(value: &toml::Value, typed: &str) -> Result<(), TestCaseError> {
    let plain = |text: &str| -> String {
        let text = text.replace(" to ", " ").replace(',', ".");
        text.chars()
            .filter(|c| !c.is_whitespace() && !";\"'.".contains(*c))
            .collect()
    };
    let shown = match value {
        toml::Value::String(text) => text.clone(),
        toml::Value::Array(all) => {
            let all = all.iter().map(|one| match one {
                toml::Value::String(text) => text.clone(),
                other => number(other),
            });
            all.collect::<Vec<_>>().join(" ")
        }
        other => number(other),
    };
    // Trailing zeros and quotes are the reader's matter.
    let bare = |text: &str| plain(text).trim_end_matches('0').to_owned();
    prop_assert_eq!(bare(&shown), bare(typed), "{:?} of {:?}", value, typed);
    Ok(())
}

fn number(value: &toml::Value) -> String {
    match value {
        toml::Value::Float(number) => format!("{number}"),
        other => other.to_string(),
    }
}

proptest! {
    #[test]
    fn whatever_is_edited_all_else_stays_and_the_file_says_what_was_typed(
        steps in collection::vec(step(), 1..12),
        is_crlf in any::<bool>(),
    ) {
        let text = if is_crlf { MESSY.replace('\n', "\r\n") } else { MESSY.to_owned() };
        let mut now = sheet(&text);
        for step in &steps {
            let Some(edit) = edit_of(&now, step) else { continue };
            match now.edited(&edit) {
                Ok(after) => {
                    held(&now, &edit, &after)?;
                    now = after;
                }
                // Only what is said to be left alone: the list with a comment in it.
                Err(error) => {
                    prop_assert_eq!(error, SheetRefusal::Form);
                    let refused = matches!(&edit, PlanEdit::Set { key, .. } if key == "places");
                    prop_assert!(refused, "{:?}", edit);
                }
            }
        }
    }

    #[test]
    fn no_text_makes_the_reader_panic(text in "[\\[\\]a-z=\"'# \n\r{},.0-9é]{0,80}") {
        if let Ok(sheet) = PlanSheet::read(&text) {
            prop_assert_eq!(sheet.text(), text.as_str());
            drop(sheet.sound("x", Tables::standard()));
            for at in [TableAt::Part, TableAt::Rules, TableAt::Feature(0), TableAt::Pair(0)] {
                drop(sheet.edited(&set(at, "name", "é\"")));
                drop(sheet.edited(&PlanEdit::Remove(at)));
            }
            drop(sheet.edited(&PlanEdit::Swap(0, 1)));
            drop(sheet.edited(&PlanEdit::AddPair { hole: "A".into(), shaft: "B".into() }));
        }
    }
}

/// A plan of so many features, of which those that a rule picks are faulty.
fn partly_faulty(count: usize, is_faulty: impl Fn(usize) -> bool) -> String {
    let mut text = "[part]\nname = \"Manifold\"\n".to_owned();
    for at in 0..count {
        let callout = if is_faulty(at) { "20 q9" } else { "20 k6" };
        text.push_str(&format!(
            "\n[[feature]]\nid = \"F{at}\"\ncallout = \"{callout}\"\n"
        ));
    }
    text
}

#[test]
fn of_a_thousand_faults_all_are_found_and_what_is_sound_is_read() {
    let text = partly_faulty(1_010, |at| at % 101 != 7);
    let found = sheet(&text).sound("manifold.toml", Tables::standard());
    assert_eq!(
        (found.faults.len(), found.more, found.count()),
        (1_000, 0, 1_000)
    );
    let plan = found.plan.unwrap();
    let ids: Vec<&str> = plan.features.iter().map(|one| one.id.as_str()).collect();
    let sound: Vec<String> = (0..10).map(|at| format!("F{}", at * 101 + 7)).collect();
    assert_eq!(ids, sound);
    // Beyond what one pass finds, they are counted, and found when those before are out of the way.
    let text = partly_faulty(2_510, |at| at % 251 != 3);
    let found = sheet(&text).sound("manifold.toml", Tables::standard());
    assert_eq!(
        (found.faults.len(), found.more, found.count()),
        (2_000, 500, 2_500)
    );
    assert_eq!(found.plan.unwrap().features.len(), 10);
    // Who reads the file elsewhere is told twenty, as ever, and how many more there are.
    let errors = Plan::parse(&text, "manifold.toml", Tables::standard()).unwrap_err();
    assert_eq!(errors.len(), 21);
    assert_eq!(errors[20].code(), "more_problems");
    assert!(
        errors[20]
            .sentence()
            .ends_with("2480 more problems are not shown.")
    );
}

proptest! {
    #[test]
    fn each_faulty_feature_has_its_fault_and_all_others_are_in_the_plan(
        faulty in collection::vec(any::<bool>(), 1..60),
    ) {
        let text = partly_faulty(faulty.len(), |at| faulty[at]);
        let found = sheet(&text).sound("x.toml", Tables::standard());
        let places: Vec<Option<TableAt>> = found.faults.iter().map(|one| one.at).collect();
        let wanted = faulty.iter().enumerate().filter(|(_, is)| **is);
        let wanted: Vec<Option<TableAt>> =
            wanted.map(|(at, _)| Some(TableAt::Feature(at))).collect();
        prop_assert_eq!(places, wanted);
        for fault in &found.faults {
            prop_assert_eq!((fault.key.as_deref(), fault.character), (Some("callout"), Some(3)));
        }
        let sound = faulty.iter().filter(|is| !**is).count();
        prop_assert_eq!(found.plan.map_or(0, |plan| plan.features.len()), sound);
    }
}
