//! Edits by keys: a field is typed into, features and pairs come, go and move.

use super::{NOT_TOML, PlanAsked, PlanNow, PlanPage, PlanRoom};
use crate::plan::{PlanEdit, TableAt};
use crate::window::plan_open::OpenPlan;
use crate::window::plan_typing::{PlanTyping, Typed};
use crate::window::press::Press;

impl PlanRoom {
    pub(super) fn edit(&mut self, edit: &PlanEdit) -> bool {
        self.edit_all(std::slice::from_ref(edit))
    }

    /// Of a feature that gets another id: what names it elsewhere in the plan names it so too.
    fn renamed(&self, at: TableAt, key: &str, id: &str) -> Vec<PlanEdit> {
        let sheet = self.open.as_ref().and_then(OpenPlan::sheet);
        let (TableAt::Feature(_), "id", Some(sheet)) = (at, key, sheet) else {
            return Vec::new();
        };
        let (old, id) = (sheet.shown(at, "id"), id.trim());
        let is_taken = |id: &str| {
            let named = sheet.features().iter().filter(|one| one.shown("id") == id);
            named.count()
        };
        // A name that two have says nothing of which is meant.
        if old.is_empty() || id.is_empty() || old == id || is_taken(old) > 1 || is_taken(id) > 0 {
            return Vec::new();
        }
        let places = sheet.tables().flat_map(|(at, table)| {
            let keys = ["of", "datum", "hole", "shaft"].into_iter();
            keys.filter(move |key| table.shown(key) == old)
                .map(move |key| (at, key))
        });
        places
            .map(|(at, key)| PlanEdit::Set {
                at,
                key: key.to_owned(),
                typed: id.to_owned(),
            })
            .collect()
    }

    fn edit_all(&mut self, edits: &[PlanEdit]) -> bool {
        let Some(open) = &mut self.open else {
            return false;
        };
        if open.sheet().is_none() {
            self.said = Some(NOT_TOML.to_owned());
            return false;
        }
        let done = open.edit_all(edits);
        self.said = done.err();
        self.said.is_none()
    }

    /// Writes what was learned into the plan of the chosen feature.
    pub(super) fn take_leave(&mut self, leave: &str) {
        let Some(at) = self.table() else { return };
        let edit = PlanEdit::Set {
            at,
            key: "leave".to_owned(),
            typed: leave.to_owned(),
        };
        if self.edit(&edit) {
            self.said = Some(format!(
                "leave = {leave} is written, as earlier batches teach; U takes that back."
            ));
        }
    }

    pub(super) fn add(&mut self) {
        let Some(open) = &self.open else { return };
        match self.page {
            PlanPage::Features => {
                let after = match self.table() {
                    Some(TableAt::Feature(at)) => Some(at),
                    _ => None,
                };
                let edit = PlanEdit::AddFeature {
                    after,
                    id: open.free_id(),
                    callout: String::new(),
                };
                // It is made where the one before it is made.
                let setting =
                    after.map(|at| open.shown(TableAt::Feature(at), "setting").to_owned());
                if !self.edit(&edit) {
                    return;
                }
                let at = after.map_or(0, |at| at + 1);
                if let Some(setting) = setting.filter(|setting| !setting.is_empty()) {
                    let at = TableAt::Feature(at);
                    let key = "setting".to_owned();
                    self.edit(&PlanEdit::Set {
                        at,
                        key,
                        typed: setting,
                    });
                }
                let sheet = self.open.as_ref().and_then(OpenPlan::sheet);
                let order = sheet.map(|sheet| sheet.order()).unwrap_or_default();
                self.row = order.iter().position(|one| *one == at).unwrap_or(0);
                self.begin_typing(1);
            }
            PlanPage::Pairs => {
                let (hole, shaft) = (String::new(), String::new());
                if self.edit(&PlanEdit::AddPair { hole, shaft }) {
                    self.row = self.rows(&PlanNow::default()).saturating_sub(1);
                    self.begin_typing(0);
                    self.filling = Some(self.fields().len().saturating_sub(1));
                }
            }
            PlanPage::Head | PlanPage::Faults => {}
        }
    }

    pub(super) fn remove(&mut self) {
        let (Some(at), Some(open)) = (self.table(), &self.open) else {
            return;
        };
        let name = match at {
            TableAt::Pair(_) => {
                format!(
                    "The pair {} and {}",
                    open.shown(at, "hole"),
                    open.shown(at, "shaft")
                )
            }
            _ => format!("Feature {}", open.shown(at, "id")),
        };
        if self.edit(&PlanEdit::Remove(at)) {
            self.said = Some(format!("{name} is taken out; U takes that back."));
            self.inside();
        }
    }

    /// Moves the chosen feature in the order of measuring.
    pub(super) fn shift(&mut self, is_later: bool) {
        let Some(sheet) = self.open.as_ref().and_then(OpenPlan::sheet) else {
            return;
        };
        let order = sheet.order();
        let to = match is_later {
            true => Some(self.row + 1),
            false => self.row.checked_sub(1),
        };
        let pair = to.and_then(|to| Some((*order.get(self.row)?, *order.get(to)?, to)));
        let Some((one, other, to)) = pair.filter(|_| self.page == PlanPage::Features) else {
            return;
        };
        if !sheet.same_setting(one, other) {
            self.said = Some(
                "The next one is measured in another setting: change `setting` to move it there."
                    .to_owned(),
            );
            return;
        }
        if self.edit(&PlanEdit::Swap(one, other)) {
            self.row = to;
        }
    }

    pub(super) fn begin_typing(&mut self, field: usize) {
        self.field = Some(field);
        let fields = self.fields();
        let (Some((at, field)), Some(open)) = (fields.get(field), &self.open) else {
            return;
        };
        let Some(sheet) = open.sheet() else {
            self.said = Some(NOT_TOML.to_owned());
            return;
        };
        let cell = sheet.table(*at).and_then(|table| table.cell(field.key));
        if cell.is_some_and(|cell| cell.shown.is_none()) {
            self.said = Some(format!(
                "`{}` is written in a form that is not changed here; change it in a text editor.",
                field.key
            ));
            return;
        }
        self.typing = Some(PlanTyping::of(*at, field, open.shown(*at, field.key)));
        self.skipped = 0;
    }

    pub(super) fn type_into(&mut self, press: &Press, now: &PlanNow) -> Option<PlanAsked> {
        let typing = self.typing.as_mut()?;
        let choices = match typing.of {
            Some((TableAt::Pair(_), _)) | Some((_, "of" | "datum")) => {
                let sheet = self.open.as_ref().and_then(OpenPlan::sheet);
                let features = sheet.map_or(&[][..], |sheet| sheet.features());
                features
                    .iter()
                    .map(|one| one.shown("id").to_owned())
                    .collect()
            }
            Some((_, "gauge")) => now.gauges.clone(),
            _ => Vec::new(),
        };
        match typing.press(press, &choices) {
            Typed::On => self.skipped = 0,
            Typed::Dropped => {
                self.typing = None;
                self.filling = None;
                self.after_save = None;
            }
            Typed::Taken(text) => match typing.of {
                None => {
                    self.typing = None;
                    return Some(PlanAsked::SaveAs(text));
                }
                Some((at, key)) => {
                    self.typing = None;
                    let renamed = self.renamed(at, key, &text);
                    let key = key.to_owned();
                    let mut edits = vec![PlanEdit::Set {
                        at,
                        key,
                        typed: text,
                    }];
                    edits.extend(renamed);
                    if self.edit_all(&edits) {
                        self.follow(at);
                    }
                }
            },
            Typed::Full => {
                self.said = Some("The field takes no more characters.".to_owned());
            }
        }
        None
    }

    /// After a field was taken: the next one, on the row that the feature has by now.
    pub(super) fn follow(&mut self, at: TableAt) {
        if let (TableAt::Feature(at), Some(open)) = (at, &self.open) {
            let order = open.sheet().map(|sheet| sheet.order()).unwrap_or_default();
            let row = order.iter().position(|one| *one == at);
            self.row = row.unwrap_or(self.row);
        }
        let last = self.fields().len().saturating_sub(1);
        let before = self.field;
        self.field = before.map(|field| (field + 1).min(last));
        match (self.filling, before) {
            (Some(until), Some(field)) if field < until => self.begin_typing(field + 1),
            _ => self.filling = None,
        }
    }
}
