//! The two sides of a plan that was changed here and on the disk: what is asked, and the lines of
//! both beside each other.

use super::plan_keys::answer;
use super::words::clean;
use super::{AnswerView, SideLineView, SideMark, SideRowView, SidesView};
use crate::plan::{Conflict, SideLine, SideRow};
use crate::window::plan_open::OpenPlan;
use crate::window::plan_room::{PlanQuestion, PlanRoom};

/// So many lines that are the same stay before and behind one that differs.
const AROUND: usize = 2;
/// Fewer lines than these are not folded.
const FOLD: usize = 4;
/// A longer piece that is the same is shortened to these characters, that what differs is seen.
const LONG: usize = 48;
/// So much of a value stands in an answer; the line below has all of it.
const TOLD: usize = 40;

/// What is asked with both sides in view.
pub(super) fn sides(room: &PlanRoom) -> Option<SidesView> {
    let open = room.open.as_ref()?;
    let skipped = room.skipped;
    match room.question.as_ref()? {
        PlanQuestion::Overtaken => Some(SidesView {
            title: format!("{} was changed by somebody else", clean(&open.name)),
            lines: vec!["Nothing is lost, whichever you choose.".to_owned()],
            answers: overtaken(),
            is_over: false,
            rows: rows(open, None),
            skipped,
        }),
        PlanQuestion::Conflict(choices) => {
            let (conflict, at, count) = open.next_conflict(choices)?;
            Some(SidesView {
                title: title(&conflict),
                lines: vec![format!(
                    "{} of {count} places that you and somebody else changed.{}",
                    at + 1,
                    at_first(&conflict)
                )],
                answers: answers(&conflict),
                is_over: true,
                rows: rows(open, Some(&conflict)),
                skipped,
            })
        }
        PlanQuestion::Gone | PlanQuestion::Leave(_) => None,
    }
}

fn overtaken() -> Vec<AnswerView> {
    let all = [
        ('1', "read it again and put my edits on top"),
        ('2', "save mine beside it, with “mine” in its name"),
        ('3', "read it again; mine stays as a draft beside it"),
    ];
    all.map(|(key, text)| answer(key, text.to_owned())).to_vec()
}

fn title(conflict: &Conflict) -> String {
    let key = conflict.key.as_deref();
    let key = key.map_or_else(String::new, |key| format!(", {}", clean(key)));
    format!("Both changed {}{key}", clean(&conflict.table))
}

/// What it was before either changed it; of a table as a whole the lines say enough.
fn at_first(conflict: &Conflict) -> String {
    match (&conflict.key, conflict.table.as_str()) {
        (Some(_), _) | (None, "order") => {
            format!(" At first: {}", told(conflict.base.as_deref()))
        }
        (None, _) => String::new(),
    }
}

/// A value, where it is there; not all of a long one.
fn told(text: Option<&str>) -> String {
    match text {
        None => "not there".to_owned(),
        Some("") => "empty".to_owned(),
        Some(text) if text.chars().count() > TOLD => {
            let begin: String = text.chars().take(TOLD).collect();
            format!("{}…", clean(&begin))
        }
        Some(text) => clean(text),
    }
}

/// Mine, then the file's. Of a table as a whole the lines say what it is.
fn answers(conflict: &Conflict) -> Vec<AnswerView> {
    let side = |text: &Option<String>, gone: &str, whole: &str| match (
        text,
        &conflict.key,
        conflict.table.as_str(),
    ) {
        (None, None, _) => gone.to_owned(),
        (Some(_), None, "order") => "this order".to_owned(),
        (Some(_), None, _) => whole.to_owned(),
        (text, Some(_), _) => told(text.as_deref()),
    };
    let mine = side(&conflict.mine, "take it out", "as it is typed here");
    let theirs = side(
        &conflict.theirs,
        "it is not there any more",
        "as it is on the disk",
    );
    vec![
        answer('1', format!("mine: {mine}")),
        answer('2', format!("the file's: {theirs}")),
    ]
}

/// The lines beside each other, long stretches of the same folded.
fn rows(open: &OpenPlan, of: Option<&Conflict>) -> Vec<SideRowView> {
    let all = open.sides(of);
    let is_same = |row: &SideRow| matches!(row, SideRow::Same(..));
    let mut rows = Vec::new();
    let mut rest = all.as_slice();
    while !rest.is_empty() {
        let count = rest.iter().take_while(|row| is_same(row)).count();
        let (same, more) = rest.split_at(count);
        let before = if rows.is_empty() { 0 } else { AROUND };
        let behind = if more.is_empty() { 0 } else { AROUND };
        match count >= before + behind + FOLD {
            true => {
                let folded = count - before - behind;
                rows.extend(same.iter().take(before).map(|one| row(one, of)));
                rows.push(SideRowView {
                    mark: SideMark::Folded,
                    word: format!("{folded} lines are the same"),
                    spoken: format!("{folded} lines are the same"),
                    ..SideRowView::default()
                });
                rows.extend(same.iter().skip(before + folded).map(|one| row(one, of)));
            }
            false => rows.extend(same.iter().map(|one| row(one, of))),
        }
        let count = more.iter().take_while(|row| !is_same(row)).count();
        let (other, more) = more.split_at(count);
        rows.extend(other.iter().map(|one| row(one, of)));
        rest = more;
    }
    rows
}

fn row(row: &SideRow, of: Option<&Conflict>) -> SideRowView {
    let (here, there) = row.lines();
    let mark = match row {
        SideRow::Same(..) => SideMark::Same,
        SideRow::Differs(..) => SideMark::Differs,
        SideRow::First(_) => SideMark::Here,
        SideRow::Second(_) => SideMark::There,
    };
    let key = of.and_then(|of| of.key.as_deref());
    let has_key = |line: &SideLine| Some(line.key()) == key;
    let is_asked = mark != SideMark::Same && [here, there].into_iter().flatten().any(has_key);
    let word = match mark {
        SideMark::Same | SideMark::Folded => "",
        SideMark::Differs => "differs",
        SideMark::Here => "only here",
        SideMark::There => "only there",
    };
    let asked = if is_asked { "asked: " } else { "" };
    let (one, other) = pieces(here, there);
    SideRowView {
        mark,
        word: format!("{asked}{word}"),
        is_asked,
        spoken: spoken(mark, is_asked, here, there),
        here: one,
        there: other,
    }
}

fn spoken(
    mark: SideMark,
    is_asked: bool,
    here: Option<&SideLine>,
    there: Option<&SideLine>,
) -> String {
    let text = |line: Option<&SideLine>| line.map_or_else(String::new, |line| clean(&line.text));
    let (here, there) = (text(here), text(there));
    let asked = if is_asked { ", asked about" } else { "" };
    match mark {
        SideMark::Same | SideMark::Folded => format!("the same: {here}"),
        SideMark::Differs => format!("differs{asked}: here {here}, on the disk {there}"),
        SideMark::Here => format!("only here{asked}: {here}"),
        SideMark::There => format!("only on the disk{asked}: {there}"),
    }
}

/// Both lines, each cut where they begin and end to differ.
fn pieces(
    here: Option<&SideLine>,
    there: Option<&SideLine>,
) -> (Option<SideLineView>, Option<SideLineView>) {
    let letters = |line: Option<&SideLine>| -> Vec<char> {
        let text = line.map_or("", |line| &line.text);
        text.replace('\t', "  ").chars().collect()
    };
    let (one, other) = (letters(here), letters(there));
    let alike = |(one, other): &(&char, &char)| one == other;
    let is_same = one == other;
    let head = match (here, there) {
        (Some(_), Some(_)) => one.iter().zip(&other).take_while(alike).count(),
        _ => 0,
    };
    let pairs = one
        .iter()
        .skip(head)
        .rev()
        .zip(other.iter().skip(head).rev());
    let tail = pairs.take_while(alike).count();
    let piece = |line: Option<&SideLine>, all: &[char]| {
        let end = all.len() - tail;
        let text = |piece: Option<&[char]>| piece.unwrap_or(&[]).iter().collect::<String>();
        Some(SideLineView {
            number: line?.number,
            before: shortened(&text(all.get(..head)), !is_same),
            differs: text(all.get(head..end)),
            behind: shortened(&text(all.get(end..)), false),
        })
    };
    (piece(here, &one), piece(there, &other))
}

/// Of a long text what stands nearest to that which differs.
fn shortened(text: &str, is_end: bool) -> String {
    let count = text.chars().count();
    match (count > LONG, is_end) {
        (false, _) => text.to_owned(),
        (true, true) => {
            let end: String = text.chars().skip(count - LONG).collect();
            format!("…{end}")
        }
        (true, false) => {
            let begin: String = text.chars().take(LONG).collect();
            format!("{begin}…")
        }
    }
}
