//! Two people changed one plan file: the changes of one are put on top of the other's where they
//! do not touch the same place; where they do, both are named and somebody chooses.
//!
//! What both began from is known, so a difference has an owner. Features are told apart by their
//! id, pairs by their ends; comments and order are those of the file that the changes are put on,
//! unless only the first one moved features.

use std::collections::BTreeSet;

use super::sheet::{PlanSheet, SheetRefusal, SheetTable, TableAt};
use super::sheet_edit::{PlanEdit, Stated};

/// A place that both changed, each in another way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// Where: `feature C`, `part`, `pair B and A`, `order`.
    pub table: String,
    /// The key; none where the table as a whole is meant.
    pub key: Option<String>,
    /// What it was at first; none where it was not there.
    pub base: Option<String>,
    /// What mine says; none: it is not there any more.
    pub mine: Option<String>,
    /// What theirs says.
    pub theirs: Option<String>,
}

/// Whose side is taken in a conflict.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MergeSide {
    /// Mine.
    Mine,
    /// Theirs.
    Theirs,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Merged {
    /// Theirs with mine on top.
    pub sheet: PlanSheet,
    /// Every place that both changed, in a fixed order; what is chosen does not change the list.
    pub conflicts: Vec<Conflict>,
    /// So many changes of mine were put on top.
    pub taken: usize,
}

/// Puts what I changed since `base` on top of theirs. `choices` answer the conflicts in their
/// order; one without an answer stays as it is in theirs.
///
/// # Errors
/// A feature or pair cannot be told from another by its name, or something is written in a form
/// that is not changed here.
pub fn merged(
    base: &PlanSheet,
    mine: &PlanSheet,
    theirs: &PlanSheet,
    choices: &[MergeSide],
) -> Result<Merged, SheetRefusal> {
    for sheet in [base, mine, theirs] {
        if !has_names(sheet) {
            return Err(SheetRefusal::Form);
        }
    }
    let mut merge = Merge {
        base,
        mine,
        theirs,
        sheet: theirs.clone(),
        choices,
        conflicts: Vec::new(),
        taken: 0,
    };
    for at in [TableAt::Part, TableAt::Rules] {
        let tables = [base, mine, theirs].map(|sheet| stated(sheet, at));
        merge.keys(at.name(), &tables)?;
    }
    merge.tables(Kind::Feature)?;
    merge.order()?;
    merge.tables(Kind::Pair)?;
    Ok(Merged {
        sheet: merge.sheet,
        conflicts: merge.conflicts,
        taken: merge.taken,
    })
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Feature,
    Pair,
}

impl Kind {
    fn of(self, sheet: &PlanSheet) -> &[SheetTable] {
        match self {
            Self::Feature => sheet.features(),
            Self::Pair => sheet.pairs(),
        }
    }

    fn at(self, index: usize) -> TableAt {
        match self {
            Self::Feature => TableAt::Feature(index),
            Self::Pair => TableAt::Pair(index),
        }
    }

    fn name(self, table: &SheetTable) -> String {
        match self {
            Self::Feature => format!("feature {}", table.shown("id")),
            Self::Pair => format!("pair {} and {}", table.shown("hole"), table.shown("shaft")),
        }
    }

    fn names(self, sheet: &PlanSheet) -> Vec<String> {
        self.of(sheet)
            .iter()
            .map(|table| self.name(table))
            .collect()
    }

    fn find(self, sheet: &PlanSheet, name: &str) -> Option<TableAt> {
        let mut all = self.of(sheet).iter();
        all.position(|table| self.name(table) == name)
            .map(|index| self.at(index))
    }
}

fn has_names(sheet: &PlanSheet) -> bool {
    let differ = |names: Vec<String>| {
        let set: BTreeSet<&String> = names.iter().collect();
        set.len() == names.len()
    };
    differ(Kind::Feature.names(sheet)) && differ(Kind::Pair.names(sheet))
}

impl PlanSheet {
    /// The table that has that name in a [`Conflict`]; none where this text has none.
    pub(super) fn named(&self, name: &str) -> Option<TableAt> {
        let single = [TableAt::Part, TableAt::Rules].into_iter();
        let mut single = single.filter(|at| at.name() == name && self.table(*at).is_some());
        single
            .next()
            .or_else(|| Kind::Feature.find(self, name))
            .or_else(|| Kind::Pair.find(self, name))
    }
}

fn stated(sheet: &PlanSheet, at: TableAt) -> Stated {
    let table = sheet.table(at);
    table.map_or_else(Stated::new, |table| sheet.stated(table))
}

struct Merge<'a> {
    base: &'a PlanSheet,
    mine: &'a PlanSheet,
    theirs: &'a PlanSheet,
    sheet: PlanSheet,
    choices: &'a [MergeSide],
    conflicts: Vec<Conflict>,
    taken: usize,
}

impl Merge<'_> {
    /// One more conflict; whether mine is to be taken.
    fn conflict(&mut self, conflict: Conflict) -> bool {
        let chosen = self.choices.get(self.conflicts.len());
        self.conflicts.push(conflict);
        chosen == Some(&MergeSide::Mine)
    }

    fn apply(&mut self, edit: &PlanEdit) -> Result<(), SheetRefusal> {
        self.sheet = self.sheet.edited(edit)?;
        self.taken += 1;
        Ok(())
    }

    /// As [`PlanSheet::named`]; the tables that are there once also where they are still to come.
    fn at(&self, name: &str) -> Option<TableAt> {
        let single = [TableAt::Part, TableAt::Rules].into_iter();
        let mut single = single.filter(|at| at.name() == name);
        single.next().or_else(|| self.sheet.named(name))
    }

    /// The keys of one table that is there on all sides; `tables`: base, mine, theirs.
    fn keys(&mut self, name: &str, tables: &[Stated; 3]) -> Result<(), SheetRefusal> {
        let [base, mine, theirs] = tables;
        let keys: BTreeSet<&String> = base.keys().chain(mine.keys()).collect();
        for key in keys {
            let (b, m, t) = (base.get(key), mine.get(key), theirs.get(key));
            if m == b || m == t {
                continue;
            }
            let is_taken = t == b
                || self.conflict(Conflict {
                    table: name.to_owned(),
                    key: Some(key.clone()),
                    base: b.cloned(),
                    mine: m.cloned(),
                    theirs: t.cloned(),
                });
            if is_taken {
                let at = self.at(name).ok_or(SheetRefusal::Form)?;
                self.apply(&PlanEdit::Set {
                    at,
                    key: key.clone(),
                    typed: m.cloned().unwrap_or_default(),
                })?;
            }
        }
        Ok(())
    }

    /// Features or pairs: those that are there, those that came, those that went.
    fn tables(&mut self, kind: Kind) -> Result<(), SheetRefusal> {
        let mut names = kind.names(self.base);
        let added = kind.names(self.mine);
        names.extend(
            added
                .into_iter()
                .filter(|name| kind.find(self.base, name).is_none()),
        );
        for name in names {
            let [b, m, t] = [self.base, self.mine, self.theirs]
                .map(|sheet| kind.find(sheet, &name).map(|at| stated(sheet, at)));
            match (b, m, t) {
                (None, Some(m), Some(t)) => self.keys(&name, &[Stated::new(), m, t])?,
                (Some(b), Some(m), Some(t)) => self.keys(&name, &[b, m, t])?,
                (None, Some(_), None) => self.insert(kind, &name)?,
                (Some(b), None, Some(t)) => {
                    let is_taken = b == t || self.conflict(whole(&name, &b, None, Some(&t)));
                    if let (true, Some(at)) = (is_taken, kind.find(&self.sheet, &name)) {
                        self.apply(&PlanEdit::Remove(at))?;
                    }
                }
                (Some(b), Some(m), None) => {
                    if b != m && self.conflict(whole(&name, &b, Some(&m), None)) {
                        self.insert(kind, &name)?;
                    }
                }
                (_, None, _) => {}
            }
        }
        Ok(())
    }

    /// Puts my table in, behind the one that it stands behind on my side.
    fn insert(&mut self, kind: Kind, name: &str) -> Result<(), SheetRefusal> {
        let at = kind.find(self.mine, name).ok_or(SheetRefusal::Form)?;
        let block = self
            .mine
            .block_text(at)
            .ok_or(SheetRefusal::Form)?
            .to_owned();
        let before = kind.names(self.mine);
        let before = before.iter().take_while(|other| *other != name);
        let mut before: Vec<&String> = before.collect();
        before.reverse();
        let mut before = before.into_iter();
        let after = before.find_map(|other| kind.find(&self.sheet, other));
        self.apply(&PlanEdit::Insert {
            after,
            block,
            is_pair: kind == Kind::Pair,
        })?;
        // What stands apart from its heading's lines would be lost.
        let mine = stated(self.mine, at);
        let came = kind.find(&self.sheet, name);
        match came.map(|at| stated(&self.sheet, at)) == Some(mine) {
            true => Ok(()),
            false => Err(SheetRefusal::Form),
        }
    }

    /// The order of the features that all three have.
    fn order(&mut self) -> Result<(), SheetRefusal> {
        let all = [self.base, self.mine, self.theirs].map(|sheet| Kind::Feature.names(sheet));
        let is_common = |name: &&String| all.iter().all(|names| names.contains(name));
        let [base, mine, theirs] = [0, 1, 2].map(|at: usize| {
            let names = all.get(at).into_iter().flatten();
            names.filter(is_common).cloned().collect::<Vec<String>>()
        });
        if mine == base || mine == theirs {
            return Ok(());
        }
        let told = |names: &Vec<String>| {
            let ids = names.iter().map(|name| name.trim_start_matches("feature "));
            Some(ids.collect::<Vec<_>>().join(", "))
        };
        let is_taken = theirs == base
            || self.conflict(Conflict {
                table: "order".to_owned(),
                key: None,
                base: told(&base),
                mine: told(&mine),
                theirs: told(&theirs),
            });
        if !is_taken {
            return Ok(());
        }
        // The places of the common ones stay; who stands there is mine.
        for (step, wanted) in mine.iter().enumerate() {
            let names = Kind::Feature.names(&self.sheet);
            let places = names.iter().enumerate();
            let mut places = places.filter(|(_, name)| mine.contains(name));
            let place = places.nth(step).map(|(at, _)| at);
            let found = names.iter().position(|name| name == wanted);
            if let (Some(place), Some(found)) = (place, found)
                && place != found
            {
                self.sheet = self.sheet.edited(&PlanEdit::Swap(place, found))?;
            }
        }
        self.taken += 1;
        Ok(())
    }
}

/// A table that one side changed and the other took out.
fn whole(name: &str, base: &Stated, mine: Option<&Stated>, theirs: Option<&Stated>) -> Conflict {
    let told = |table: &Stated| {
        let all = table.iter().map(|(key, value)| format!("{key} {value}"));
        all.collect::<Vec<_>>().join(", ")
    };
    Conflict {
        table: name.to_owned(),
        key: None,
        base: Some(told(base)),
        mine: mine.map(told),
        theirs: theirs.map(told),
    }
}
