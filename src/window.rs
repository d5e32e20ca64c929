//! The window: the Bench, drawn from a snapshot of the session.
//!
//! Three layers, and no truth in any of them. `view` turns a snapshot and what the person is just
//! doing into plain structs (it knows no egui and is tested by value); the files ending in `_ui`
//! paint such structs (they compute nothing of the trade); `app.rs` holds the window itself, and
//! is the only file here that touches the outside. What a key asks for goes to the session as a
//! request; its one writer answers with the next snapshot.
//!
//! It refuses to judge, to write, and to do anything in a frame but drawing.

pub mod chart_ui;
pub mod desk;
pub mod look;
mod outline_metal_ui;
mod outline_text_ui;
pub mod outline_ui;
mod paragraph_ui;
pub mod press;
pub mod question_ui;
pub mod view;
pub mod why_ui;

use crate::session::{Begin, BeginError, Workspace};

/// Opens the window and comes back when it is closed: with a session, or where one is chosen.
///
/// # Errors
/// There is no display to open it on; or what was asked cannot be begun.
pub fn open(_begin: Option<Begin>, _workspace: Workspace) -> Result<(), BeginError> {
    // The painting of it is not part of the program yet.
    let message = "There is no display that the window could be opened on.";
    Err(BeginError::outside("no_display", message, None))
}
