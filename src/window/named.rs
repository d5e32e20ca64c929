//! The named places of a frame: what is painted where, under which name. They are gathered only
//! while somebody asks what something is.

use eframe::egui::{Context, Id, Rect};

/// Most places that are gathered of one frame (chosen: a full table of a large screen has fewer).
const PLACES_MAX: usize = 4_000;

/// A place that has a name.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedPlace {
    /// Where it is seen.
    pub rect: Rect,
    /// What kind of thing it is, with a number where there are several: `row 3`.
    pub id: String,
    /// What it says, as a screen reader has it.
    pub text: String,
}

fn store() -> Id {
    Id::unique("fitledger named places")
}

/// From here on places are gathered, until they are taken.
pub fn gather_named(context: &Context) {
    context.data_mut(|data| data.insert_temp(store(), Vec::<NamedPlace>::new()));
}

/// What was gathered, in the order in which it was painted; gathering ends.
pub fn take_named(context: &Context) -> Vec<NamedPlace> {
    context
        .data_mut(|data| data.remove_temp(store()))
        .unwrap_or_default()
}

/// Notes a place while places are gathered.
pub(super) fn note_named(context: &Context, rect: Rect, id: &str, text: &str) {
    if !rect.is_positive() || text.is_empty() {
        return;
    }
    context.data_mut(|data| {
        // Nothing is stored while nobody asks.
        let Some(mut places) = data.remove_temp::<Vec<NamedPlace>>(store()) else {
            return;
        };
        if places.len() < PLACES_MAX {
            places.push(NamedPlace {
                rect,
                id: id.to_owned(),
                text: text.to_owned(),
            });
        }
        data.insert_temp(store(), places);
    });
}
