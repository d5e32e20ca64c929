//! Puts the Plan room together: the one way from an edited plan to what is seen of it.

use super::outline_view::{drawn, named_piece, plain_piece, spoken};
use super::plan_faults::{fault_places, fault_rows, fault_said};
use super::plan_fields::{chosen_help, field_list, field_marks, typed_lines};
use super::plan_keys::{keys, question};
use super::plan_learned::{learned_from, learned_lines, leave_offered};
use super::plan_lines::{fit_of, limit_lines, pair_lines, proof_lines, wrong};
use super::plan_sides::sides;
use super::said::Said;
use super::status_view::room_status;
use super::words::{Words, clean};
use super::{
    Mark, OutlineShape, OutlineView, PageTabView, PlanBodyView, PlanListView, PlanOpenView,
    PlanRowView, PlanView, SentenceView,
};
use crate::plan::{PlanEdit, PlanSheet, TableAt};
use crate::session::Snapshot;
use crate::tolerance::Tables;
use crate::window::plan_disk::PlanShelfFacts;
use crate::window::plan_learned::LearnedTold;
use crate::window::plan_open::OpenPlan;
use crate::window::plan_room::{PlanNow, PlanPage, PlanRoom};
use crate::window::plan_sense::PlanSense;

const RUNS: &str = "A session runs: it goes on with the plan that it began with.";
const OVERTAKEN: &str = "Somebody else changed this file. C says what can be done; yours is kept.";
const NOT_TOML: &str = "This file is no TOML as it stands, so nothing of it is edited here and \
                        nothing is written over. It is read again when it changes.";

/// Faults that belong to no feature stand in the way, or far too many.
const NOT_DRAWN: &str = "The part is not drawn and no limits are told before the faults on page 4 \
                         are mended.";

/// What the room is made from.
pub struct PlanSeen<'a> {
    /// What is just being done.
    pub room: &'a PlanRoom,
    /// What the workspace has.
    pub facts: &'a PlanShelfFacts,
    /// The plan as it is seen: with what is typed, where something is.
    pub sheet: Option<&'a PlanSheet>,
    /// What that comes to.
    pub sense: &'a PlanSense,
    /// What the plan came to before anything was typed.
    pub before: &'a PlanSense,
    /// What earlier batches of the part teach.
    pub learned: &'a LearnedTold,
    /// The running session.
    pub snapshot: Option<&'a Snapshot>,
    /// Monotonic milliseconds since the session started.
    pub now_ms: u64,
    /// Decimal marker shown.
    pub marker: char,
}

/// The plan with what is typed just now; the plan itself where nothing is.
pub fn typed_sheet(room: &PlanRoom) -> Option<PlanSheet> {
    let sheet = room.open.as_ref()?.sheet()?;
    let typed = room.typing.as_ref().and_then(|typing| {
        let (at, key) = typing.of?;
        let (key, typed) = (key.to_owned(), typing.text.clone());
        sheet.edited(&PlanEdit::Set { at, key, typed }).ok()
    });
    Some(typed.unwrap_or_else(|| sheet.clone()))
}

/// What the room's keys depend on; `shown` and `has_more` as it was drawn last.
pub fn plan_now(
    room: &PlanRoom,
    facts: &PlanShelfFacts,
    (sense, learned): (&PlanSense, &LearnedTold),
    (shown, has_more): (usize, bool),
) -> PlanNow {
    let of = room.table().zip(room.open.as_ref());
    let feature = of.map_or("", |(at, open)| open.shown(at, "id"));
    let sheet = room.open.as_ref().and_then(OpenPlan::sheet);
    PlanNow {
        leave: offered(sheet.zip(room.table()), sense, learned),
        files: facts.plans.len(),
        faults: fault_places(sense),
        gauges: sense.gauges_for(feature),
        shown,
        has_more,
    }
}

/// What was learned for the chosen feature and may be taken into the plan.
fn offered(
    of: Option<(&PlanSheet, TableAt)>,
    sense: &PlanSense,
    learned: &LearnedTold,
) -> Option<String> {
    let (sheet, at) = of?;
    let feature = sense.feature(sheet, at)?;
    leave_offered(learned, sense.sound.plan.as_ref()?, feature, (sheet, at))
}

/// Everything that the Plan room shows.
pub fn plan_view(seen: &PlanSeen<'_>) -> PlanView {
    let words = Words {
        marker: seen.marker,
    };
    let body = match &seen.room.open {
        None => files(seen),
        Some(open) => PlanBodyView::Open(Box::new(open_plan(seen, open, words))),
    };
    let at = seen.sheet.zip(seen.room.table());
    let is_offered = offered(at, seen.sense, seen.learned).is_some();
    PlanView {
        body,
        question: question(seen.room),
        sides: sides(seen.room),
        keys: keys(seen.room, (seen.snapshot.is_some(), is_offered)),
        status: room_status(seen.snapshot, seen.room.said.clone(), seen.now_ms, words),
    }
}

fn files(seen: &PlanSeen<'_>) -> PlanBodyView {
    let chosen = seen.room.file.min(seen.facts.plans.len());
    let known = seen.facts.plans.iter().enumerate().map(|(at, known)| {
        let (name, detail) = (clean(&known.name), clean(&known.detail));
        row(at == chosen, "", &name, &detail, "", None)
    });
    let new = row(
        chosen == seen.facts.plans.len(),
        "",
        "a new plan",
        "empty, with a part to name",
        "",
        None,
    );
    let faults = seen.facts.faults.iter().chain(&seen.facts.gauges_fault);
    let note = |text: &String| SentenceView {
        text: clean(text),
        is_strong: true,
    };
    PlanBodyView::Files {
        title: "Which plan?".to_owned(),
        notes: faults.map(note).collect(),
        rows: known.chain([new]).collect(),
    }
}

/// A row with its words.
pub(super) fn row(
    is_chosen: bool,
    id: &str,
    main: &str,
    name: &str,
    detail: &str,
    mark: Option<Mark>,
) -> PlanRowView {
    let chosen = if is_chosen { "chosen" } else { "" };
    let all = [id, main, name, detail, chosen];
    let all: Vec<&str> = all.into_iter().filter(|text| !text.is_empty()).collect();
    PlanRowView {
        spoken: all.join(", "),
        id: id.to_owned(),
        main: main.to_owned(),
        name: name.to_owned(),
        detail: detail.to_owned(),
        is_chosen,
        mark,
    }
}

fn open_plan(seen: &PlanSeen<'_>, open: &OpenPlan, words: Words) -> PlanOpenView {
    let room = seen.room;
    let note = match (open.is_overtaken(), seen.snapshot) {
        (true, _) => OVERTAKEN,
        (false, Some(_)) => RUNS,
        (false, None) => "",
    };
    let mut said = Said::new(words);
    let list = match seen.sheet {
        None => {
            said.strong(NOT_TOML);
            fault_said(&mut said, seen);
            PlanListView::Rows(fault_rows(seen, None), String::new())
        }
        Some(sheet) => {
            say(&mut said, seen, sheet);
            list(seen, sheet, words)
        }
    };
    let pages = PlanPage::ALL.iter().map(|(page, key)| PageTabView {
        key: *key,
        text: page_name(*page, seen),
        is_open: *page == room.page,
    });
    PlanOpenView {
        title: title(open),
        state: state(open),
        is_open: open.is_edited() || open.is_overtaken(),
        note: note.to_owned(),
        pages: pages.collect(),
        list,
        outline: outline(seen),
        lines: said.lines,
        skipped: room.skipped,
    }
}

/// `Pump shaft GP-07 B`.
fn title(open: &OpenPlan) -> String {
    let keys = ["name", "drawing", "revision"];
    let all = keys.map(|key| clean(open.shown(TableAt::Part, key)));
    let all: Vec<String> = all.into_iter().filter(|text| !text.is_empty()).collect();
    match all.is_empty() {
        true => "A part without a name".to_owned(),
        false => all.join(" "),
    }
}

/// `plans/shaft.toml: 3 edits, not saved`.
fn state(open: &OpenPlan) -> String {
    let name = clean(&open.name);
    let edits = match (open.is_edited(), open.unsaved()) {
        (false, _) if open.path.is_none() => "nothing written yet".to_owned(),
        (false, _) => "saved".to_owned(),
        (true, 0) => "not saved".to_owned(),
        (true, 1) => "1 edit, not saved".to_owned(),
        (true, many) => format!("{many} edits, not saved"),
    };
    format!("{name}: {edits}")
}

fn page_name(page: PlanPage, seen: &PlanSeen<'_>) -> String {
    let count = seen.sense.count();
    match page {
        PlanPage::Features => "features".to_owned(),
        PlanPage::Head => "part, rules".to_owned(),
        PlanPage::Pairs => "pairs".to_owned(),
        PlanPage::Faults if count == 0 => "faults".to_owned(),
        PlanPage::Faults => format!("faults ({count})"),
    }
}

fn list(seen: &PlanSeen<'_>, sheet: &PlanSheet, words: Words) -> PlanListView {
    let room = seen.room;
    let is_fields = room.field.is_some() || room.page == PlanPage::Head;
    let is_naming = room
        .typing
        .as_ref()
        .is_some_and(|typing| typing.of.is_none());
    if is_fields || is_naming {
        return field_list(seen, sheet, words);
    }
    match room.page {
        PlanPage::Pairs => {
            let pairs = (0..sheet.pairs().len()).map(|at| pair_row(seen, sheet, at));
            let empty = "No pair: N adds one, a hole and the shaft that goes into it.";
            PlanListView::Rows(pairs.collect(), empty.to_owned())
        }
        PlanPage::Faults => {
            let empty = "Nothing is wrong with this plan, and nothing is worth a look.";
            PlanListView::Rows(fault_rows(seen, Some(sheet)), empty.to_owned())
        }
        PlanPage::Features | PlanPage::Head => {
            let order = sheet.order().into_iter().enumerate();
            let rows = order.map(|(row, at)| feature_row(seen, sheet, at, row == room.row));
            let empty = "No feature: N adds one, with its callout from the drawing.";
            PlanListView::Rows(rows.collect(), empty.to_owned())
        }
    }
}

fn feature_row(seen: &PlanSeen<'_>, sheet: &PlanSheet, at: usize, is_chosen: bool) -> PlanRowView {
    let table = TableAt::Feature(at);
    let shown = |key| clean(sheet.shown(table, key));
    let (mark, wrong) = field_marks(seen.sense, table, None);
    // One alone is the usual.
    let count = |key, many: &str| match sheet.shown(table, key) {
        "" | "1" => None,
        number => Some(format!("{} {many}", clean(number))),
    };
    let setting = Some(shown("setting")).filter(|text| !text.is_empty() && text != "1");
    let form = Some(shown("form")).filter(|text| !text.is_empty());
    let all = [
        form,
        setting.map(|text| format!("setting {text}")),
        count("points", "points"),
        count("every", "parts").map(|text| format!("every {text}")),
        Some(shown("stages")).filter(|text| !text.is_empty()),
        Some(shown("gauge")).filter(|text| !text.is_empty()),
    ];
    let usual: Vec<String> = all.into_iter().flatten().collect();
    let detail = wrong.unwrap_or_else(|| usual.join(", "));
    let (id, callout) = (shown("id"), shown("callout"));
    let callout = if callout.is_empty() {
        "no callout".to_owned()
    } else {
        callout
    };
    row(is_chosen, &id, &callout, &shown("name"), &detail, mark)
}

fn pair_row(seen: &PlanSeen<'_>, sheet: &PlanSheet, at: usize) -> PlanRowView {
    let table = TableAt::Pair(at);
    let shown = |key| clean(sheet.shown(table, key));
    let (mark, wrong) = field_marks(seen.sense, table, None);
    let both = format!("{} / {}", shown("hole"), shown("shaft"));
    let intended = shown("intended");
    let tables = seen
        .facts
        .tables
        .as_ref()
        .unwrap_or_else(|| Tables::standard());
    let fit = fit_of(sheet.shown(table, "intended"), tables);
    let detail = wrong.or_else(|| fit.map(|fit| fit.kind().word().to_owned()));
    let intended = if intended.is_empty() {
        "no fit stated".to_owned()
    } else {
        intended
    };
    let is_chosen = at == seen.room.row;
    row(
        is_chosen,
        "",
        &both,
        &intended,
        &detail.unwrap_or_default(),
        mark,
    )
}

/// What is said at the right.
fn say(said: &mut Said, seen: &PlanSeen<'_>, sheet: &PlanSheet) {
    let room = seen.room;
    let tables = seen
        .facts
        .tables
        .as_ref()
        .unwrap_or_else(|| Tables::standard());
    match room.typing {
        Some(_) => typed_lines(said, seen),
        None => chosen_help(said, seen),
    }
    if seen.sense.sound.plan.is_none() && !sheet.features().is_empty() {
        said.strong(NOT_DRAWN);
    }
    match (room.page, room.table()) {
        (PlanPage::Features, Some(at)) => {
            // What is typed says itself what is wrong with it.
            let typed = room.typing.as_ref().and_then(|typing| typing.of);
            let is_typed =
                |key: Option<&str>| typed.is_some_and(|(of, typed)| of == at && key == Some(typed));
            let faults = seen.sense.faults_at(at);
            wrong(
                said,
                faults.filter(|fault| !is_typed(fault.key.as_deref())),
                seen.sense.warnings_at(at),
            );
            if let (Some(feature), Some(plan)) =
                (seen.sense.feature(sheet, at), &seen.sense.sound.plan)
            {
                limit_lines(said, feature);
                learned_lines(said, seen.learned, (plan, feature), (sheet, at));
                proof_lines(said, feature, seen.sense, tables);
                learned_from(said, seen.learned, (plan, feature));
            }
        }
        (PlanPage::Pairs, Some(at)) => {
            wrong(said, seen.sense.faults_at(at), seen.sense.warnings_at(at));
            let shown = |key| sheet.shown(at, key);
            let ends = (shown("hole"), shown("shaft"), shown("intended"));
            pair_lines(said, ends, seen.sense, seen.facts);
        }
        (PlanPage::Head, _) => {
            for at in [TableAt::Part, TableAt::Rules] {
                wrong(said, seen.sense.faults_at(at), seen.sense.warnings_at(at));
            }
        }
        (PlanPage::Faults, _) => {
            fault_said(said, seen);
        }
        _ => {}
    }
    if room.page != PlanPage::Faults {
        let whole = seen.sense.sound.faults.iter();
        let more = seen.sense.warnings.iter();
        wrong(
            said,
            whole.filter(|fault| fault.at.is_none()),
            more.filter(|one| one.at.is_none()),
        );
    }
}

/// The part with the chosen feature; while what is typed spoils it, as it was before.
fn outline(seen: &PlanSeen<'_>) -> Option<OutlineView> {
    let at = seen.room.table();
    let is_spoiled = at.is_some_and(|at| seen.sense.faults_at(at).next().is_some());
    let is_typing = seen.room.typing.is_some();
    let sense = match is_typing && is_spoiled {
        true => seen.before,
        false => seen.sense,
    };
    let plan = sense.sound.plan.as_ref()?;
    let outline = plan.outline()?;
    let sheet = seen.sheet?;
    let chosen = match at {
        Some(at @ TableAt::Feature(_)) => sheet.shown(at, "id"),
        _ => "",
    };
    let can_press = seen.room.page == PlanPage::Features && seen.room.field.is_none();
    let ids: Vec<&str> = sheet.features().iter().map(|one| one.shown("id")).collect();
    let order = sheet.order();
    let shapes = outline.segments.iter().enumerate().map(|(piece, segment)| {
        let id = segment.feature.as_ref().map_or("", |id| id.as_str());
        let table = ids.iter().position(|one| *one == id && !id.is_empty());
        let row = table.and_then(|table| order.iter().position(|at| *at == table));
        let mark = table.and_then(|at| field_marks(sense, TableAt::Feature(at), None).0);
        let is_named = named_piece(&outline, segment) == Some(piece);
        let callout = table.map_or("", |at| sheet.shown(TableAt::Feature(at), "callout"));
        let is_leading = is_named && id == chosen && !id.is_empty();
        OutlineShape {
            target: row.filter(|_| can_press),
            id: if is_named { clean(id) } else { String::new() },
            // The rows beside it have these names.
            balloon: if is_named { clean(id) } else { String::new() },
            mark: mark.unwrap_or(Mark::Open),
            leader: is_leading.then(|| clean(callout)),
            ..plain_piece(segment)
        }
    });
    let spoken = spoken(&plan.part.name, &outline);
    Some(drawn(&outline, shapes.collect(), spoken))
}
