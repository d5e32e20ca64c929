//! After a session was closed and before it is left: its record takes nothing more, so what a gauge
//! still sends is told as NOT RECORDED, and never lost in silence.

use super::live::Stage;
use super::live_loop::UNRECORDED_SHOWN;
use super::live_told::unrecorded_text;
use super::recorder::Incoming;
use super::request::Request;
use super::runner::{Arrival, Inbox};
use super::snapshot::{Snapshot, Unrecorded};
use super::wiring::Wired;

const CAUSE: &str = "The session is closed.";
const HINT: &str = "Write it down; measure it again in the next session.";

/// Listens until the session is left. `late` came with the closing, behind it.
pub(super) fn listen(
    inbox: &Inbox,
    wired: &Wired,
    mut shown: Snapshot,
    late: Vec<Incoming>,
    stage: &Stage,
) {
    let late = late.iter().filter_map(raw_of);
    late.for_each(|raw| not_recorded(&mut shown, raw));
    stage.show(shown.clone());
    loop {
        for arrival in inbox.batch_until(None) {
            match &arrival {
                Arrival::Interrupted => return,
                Arrival::Incoming(_, incoming) => {
                    if let Some(raw) = raw_of(incoming) {
                        not_recorded(&mut shown, raw);
                    }
                }
                Arrival::Request(_, Request::Reading(reading)) => {
                    not_recorded(&mut shown, &reading.raw);
                }
                // Nothing else is carried out any more; lines of text are read by nobody here.
                Arrival::Request(..) | Arrival::Told(_) | Arrival::Seen => {}
                Arrival::Line(..) | Arrival::LinesEnded => {}
            }
        }
        shown.taps = wired.taps();
        stage.show(shown.clone());
    }
}

fn raw_of(incoming: &Incoming) -> Option<&[u8]> {
    match incoming {
        Incoming::Reading(reading) => Some(&reading.raw),
        Incoming::Taken(both) => Some(&both.0.raw),
        Incoming::Notice(_) | Incoming::Command(_) => None,
    }
}

/// One more that no record has.
fn not_recorded(shown: &mut Snapshot, raw: &[u8]) {
    let all = shown.unrecorded.get_or_insert_with(|| Unrecorded {
        cause: CAUSE.to_owned(),
        hint: HINT.to_owned(),
        count: 0,
        readings: Vec::new(),
    });
    all.count = all.count.saturating_add(1);
    all.readings.insert(0, unrecorded_text(raw));
    all.readings.truncate(UNRECORDED_SHOWN);
}
