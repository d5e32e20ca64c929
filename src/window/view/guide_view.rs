//! Builds what is seen of the guide.

use super::bench::key_views;
use super::status_view::room_status;
use super::words::Words;
use super::{KeyView, StatusView};
use crate::guide::{Page, pages};
use crate::session::Snapshot;
use crate::window::guide_reader::GuideReader;

/// The guide as it is seen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GuideView {
    /// The list of pages, or one of them.
    pub page: GuidePageView,
    /// Keys that do something now.
    pub keys: Vec<KeyView>,
    /// The foot: a session goes on meanwhile.
    pub status: StatusView,
}

/// The list of pages, or one of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum GuidePageView {
    /// Every page, and which is chosen.
    List {
        /// One a page.
        rows: Vec<&'static Page>,
        /// The place of the chosen one.
        chosen: usize,
    },
    /// A page from a line on.
    Page {
        /// Which.
        page: &'static Page,
        /// The first line that is seen.
        from: usize,
    },
}

/// What is seen of the guide; the foot is of the running session, its clock, and the decimal
/// marker shown.
pub fn guide_view(
    reader: GuideReader,
    (snapshot, now_ms, marker): (Option<&Snapshot>, u64, char),
) -> GuideView {
    let read = reader
        .from
        .and_then(|from| Some((pages().get(reader.chosen)?, from)));
    let (page, keys): (GuidePageView, &[(&str, &str)]) = match read {
        Some((page, from)) => (
            GuidePageView::Page { page, from },
            &[
                ("*", "read on"),
                ("+/-", "page"),
                ("Backspace", "to the list"),
            ],
        ),
        None => (
            GuidePageView::List {
                rows: pages().iter().collect(),
                chosen: reader.chosen,
            },
            &[
                ("0-9", "choose"),
                ("Up/Down", "choose"),
                ("Enter", "open"),
                ("Backspace", "back"),
            ],
        ),
    };
    GuideView {
        page,
        keys: key_views(keys),
        status: room_status(snapshot, None, now_ms, Words { marker }),
    }
}
