//! The truth of the bench: what each input does (`decide`), and the state that events give.

mod account;
mod answers;
mod command;
mod cut;
mod decide;
mod intake;
mod judged;
mod judged_parts;
mod next_action;
mod opening;
mod port_reader;
mod recorder;
mod replay;
mod runner;
mod setup;
mod sight;
mod simulated;
mod snapshot;
mod state;
mod state_readings;
mod suspicion;
mod view;
mod workspace;

pub use account::{Account, account, account_of, expected_uncertainty};
pub use answers::{Answer, GaugeLine};
pub use command::{Command, Refusal};
pub use cut::metal_left;
pub use decide::{NOTE_LENGTH_MAX, decide_command, decide_reading};
pub use intake::Intake;
pub use judged::{Judged, doubt_remedies, judge_place};
pub use next_action::{
    answer_sentence, cut_sentence, limits_text, next_action, note_words, number_text,
    remedy_sentences,
};
pub use opening::{
    OpeningError, Resumed, open_session, resume_session, session_parts, session_tables,
    tables_digest,
};
pub use port_reader::GaugePort;
pub use recorder::{Incoming, Recorded, Recorder, Taken, Unwritten};
pub use replay::{Check, Fault, Replayed, replay};
pub use runner::{Arrival, Clock, Inbox, LineFault, Mailer};
pub use setup::{Setup, SetupError, Target, TargetLimits, dial_of};
pub use sight::sight;
pub use simulated::{LastAnswer, Move, Sight, Simulated};
pub use snapshot::{Message, Snapshot, Unrecorded};
pub use state::{
    Bench, Characteristic, End, Held, Misfit, Part, Pending, Point, Record, State, Temperature,
};
pub use view::PartState;
pub use workspace::{WORKSPACE_VARIABLE, Workspace, WorkspaceError, journal_name, read_text};
