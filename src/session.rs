//! The truth of the bench: what each input does (`decide`), and the state that events give.
//!
//! A [`Recorder`] is the one writer: it takes what comes ([`Incoming`]: readings, and a [`Command`]
//! for each thing that a person asks), lets [`decide_reading`] and [`decide_command`] say which
//! events follow, has them on the disk, and only then changes its [`State`]. [`prepare`] begins a
//! session as the command line and the window do, [`Live`] runs one behind a window, [`replay`]
//! makes a state of a record again, [`Catalogue`] finds records.
//!
//! This room refuses to know windows, terminals and reports: they ask a [`State`] or a
//! [`Snapshot`], and sentences for people are made here once for all of them. Clock, threads, ports
//! and disk are touched only in the files that are named for it (`runner.rs`, `workspace*.rs`);
//! what a reading comes to is pure.
//!
//! ```
//! use fitledger::gauge::GaugeId;
//! use fitledger::journal::{DiskFolder, Moment, SessionOpened};
//! use fitledger::session::{
//!     Incoming, PartState, UNNAMED_TYPED, Wanted, next_action, open_session, typed_reading,
//! };
//!
//! # let place = tempfile::tempdir()?;
//! let folder = DiskFolder::new(place.path());
//! let start = "2026-11-24T08:00:00Z".parse()?;
//! let at = |mono_ms| Moment { time: start, mono_ms };
//! let opened = SessionOpened {
//!     callouts: vec!["20 k6".to_owned()],
//!     offset: "+01:00".to_owned(),
//!     ..SessionOpened::default()
//! };
//! let mut recorder = open_session(&folder, |_| "shaft.jsonl".to_owned(), opened, at(0))?;
//! assert_eq!(next_action(recorder.state()), "Part 1: measure A (20 k6).");
//!
//! let gauge = GaugeId::new(UNNAMED_TYPED);
//! let reading = typed_reading("20.009", &gauge, Wanted::Length)?;
//! let taken = recorder.take(vec![(at(1_000), Incoming::Reading(reading))]);
//! let kinds: Vec<&str> = taken.recorded.iter().map(|one| one.event.kind()).collect();
//! assert_eq!(
//!     kinds,
//!     ["reading_received", "part_started", "reading_assigned", "verdict_given"]
//! );
//! let part = recorder.state().part(1).ok_or("no part was begun")?;
//! assert_eq!(part.state(), PartState::Go);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod account;
mod adapter_named;
mod advance;
mod answers;
mod asking;
mod batch;
mod batch_advice;
mod batch_breaks;
mod batch_brief;
mod batch_point;
mod batch_running;
mod batch_study;
mod begin;
mod begin_error;
mod begin_import;
mod catalogue;
mod check_words;
mod command;
mod cut;
mod decide;
mod decide_later;
mod decide_part;
mod decision_words;
mod doubt;
mod doubtful;
mod doubtful_study;
mod form_measured;
mod form_words;
mod half_parts;
mod hand;
mod intake;
mod judged;
mod judged_gauge;
mod judged_parts;
mod live;
mod live_closed;
mod live_gauge;
mod live_loop;
mod live_told;
mod log;
mod mate_wanted;
mod next_action;
mod open_line;
mod opening;
mod operation;
mod operation_find;
mod operation_learned;
mod over_wires;
mod packed;
mod pair_links;
mod pair_records;
mod paired;
mod part_sizes;
mod plain_files;
mod port_control;
mod port_reader;
mod port_watch;
mod queue;
mod random;
mod record;
mod record_folders;
mod recorder;
mod replay;
mod replay_lost;
mod request;
mod rescue;
mod routing;
mod runner;
mod setup;
mod setup_gauges;
mod setup_house;
mod sight;
mod simulated;
mod snapshot;
mod sources;
mod standing;
mod state;
mod state_readings;
mod study;
mod study_asked;
mod study_decide;
mod study_history;
mod study_register;
mod study_result;
mod study_words;
mod suit_asked;
mod suitable;
mod suited;
mod suspicion;
mod taking;
mod tap;
mod teach_listening;
mod teaching;
mod typed;
mod uncertainty_kept;
mod unfinished;
mod view;
mod watchdog;
mod wiring;
mod workspace;
mod workspace_files;
mod workspace_plans;
mod zero;
mod zero_asked;

pub use account::{Account, account, account_of, expected_uncertainty};
pub use adapter_named::adapter_named;
pub use advance::Advance;
pub use answers::{Answer, GaugeLine};
pub use asking::{Ask, Told};
pub use batch::{Batch, BatchBreak, BatchCounts, BatchSeries, Changed};
pub use batch_advice::{BatchAdvice, Circumstances, batch_advice, is_bounded_by_zero};
pub use batch_breaks::{BreakKind, WorkBreak};
pub use batch_brief::{BatchBrief, BatchWatch, SeriesBrief, signal_words};
pub use batch_point::{BatchPoint, PartStanding, mean_of_points};
pub use batch_running::{BASELINE, BatchLimits, BatchSegment, FIRM_FROM, RANGES_MIN};
pub use batch_study::{BatchStudy, Known, Normality, StudyOptions, StudyShape, study};
pub use begin::{Begin, Prepared, What, prepare, setup_asked};
pub use begin_error::BeginError;
pub use begin_import::{Importing, UNNAMED_IMPORTED, begin_import};
pub(crate) use catalogue::bench_offset;
pub use catalogue::{
    Catalogue, Entry, EntryCheck, EntryFile, EntryFinding, EntryPart, JournalState, Origins,
    Progress, Question, RestsOn, Stamp,
};
pub use check_words::{CheckQuestion, check_answers, check_question, element_words};
pub use command::{Command, Refusal};
pub use cut::{dial_of, metal_left};
pub use decide::{NOTE_LENGTH_MAX, decide_command, decide_reading};
pub use decide_later::{DecidedLater, LaterError, decide_later};
pub use decision_words::decision_sentence;
pub use doubt::doubt_remedies;
pub use doubtful::{DoubtfulReading, GaugeCheck, GaugeStory, check_sentence};
pub use doubtful_study::{DoubtfulStudy, trusted_register};
pub use form_words::{form_advice, form_request, form_said};
pub use half_parts::{HalfPart, HalfParts, half_parts};
pub use hand::Hand;
pub use intake::Intake;
pub use judged::{Judged, judge_place};
pub use judged_gauge::drift_of_note;
pub use live::Live;
pub use live_gauge::LiveGauge;
pub use log::{Log, LogIter, Parts};
pub use mate_wanted::{MateWanted, check_typed_mate, mates_wanted};
pub use next_action::{
    answer_sentence, cut_sentence, limits_text, next_action, note_of_verdict, note_words,
    number_text, remedy_sentences,
};
pub use opening::{OpeningError, Resumed, open_session, resume_session, session_parts};
pub use operation::{JoinedBy, OperationChange, OperationProblem, PartChange, operation_changes};
pub use operation_find::{LearnedFound, operations_of, session_before};
pub use operation_learned::{
    LearnedOperation, MeasuredBatch, Operation, OperationBatch, learned_operations,
};
pub use packed::Records;
pub use pair_links::{LinkCounts, Links, Objective, Slot, links, wanted_clearance};
pub use pair_records::{PairRecords, PlanKey, PlanRecords};
pub use paired::{
    HalfNow, HalfOpen, IntendedFit, KnownSizes, MakeOther, Paired, PairedHalf, SizeNow,
    TogetherNow, paired, paired_with,
};
pub use part_sizes::{HalfSize, NotOffered, PartSizes, RecordSizes, record_sizes};
pub use port_control::PortControl;
pub use port_reader::{GaugePort, Listing};
pub use port_watch::{PortWatch, Seen};
pub use record::{SessionRecord, sessions_of};
pub use record_folders::RecordFolders;
pub use recorder::{Incoming, Recorded, Recorder, Taken, Unwritten};
pub use replay::{Check, Fault, Replayed, Retold, replay, replay_with};
pub use request::Request;
pub use rescue::{Retry, close_reason, continuation_folders, continue_recording, folder_told};
pub use routing::WHICH;
pub use runner::{Arrival, Clock, Inbox, LineFault, Mailer, Requests, drawn_seed};
pub use setup::{Setup, SetupError, Target, TargetLimits};
pub use sight::sight;
pub use simulated::{LastAnswer, Move, Sight, Simulated};
pub use snapshot::{Message, Snapshot, Unrecorded};
pub use sources::UNNAMED_TYPED;
pub use standing::{Decided, DecidedOfPart, GivenDisposition, GivenSignature, Standing};
pub use state::{
    Bench, Characteristic, Conformance, End, Held, Misfit, Part, Pending, Point, Record, State,
    Temperature,
};
pub use study::Study;
pub use study_asked::StudyAsked;
pub use study_history::{ByDay, PastStudy, StudyDays, days_compared, past_studies, study_days};
pub use study_register::enter_study;
pub use study_result::{
    PartBias, RegisterStudy, STUDY_CONFIDENCE, STUDY_POOLING, StudyResult, study_result,
};
pub use study_words::{
    categories_sentence, cell_name, digits, next_steps, percent, share_sentence, study_in_doubt,
    study_next, study_remark,
};
pub use suitable::{
    Found, GaugeSuitable, Proven, Suitable, Unfit, suitability_of, suitability_warnings,
};
pub use suited::SuitedLimit;
pub use taking::{STABLE_MS, STABLE_VALUES, TakenReading, Taking, TakingRefusal, TakingSoFar};
pub use tap::{Tap, TapKind, TapLine};
pub use teach_listening::{AskedPort, Patience, listen_press};
pub use teaching::{Awaited, Prompt, Teaching};
pub use typed::{TypedError, Wanted, check_reading, known_gauge, typed_reading};
pub use uncertainty_kept::UncertaintyAt;
pub use unfinished::{Unfinished, unfinished};
pub use view::PartState;
pub use watchdog::{LineState, Watchdog};
pub use wiring::Wired;
pub use workspace::{Workspace, WorkspaceError, read_text, rescue_folder, today};
pub use workspace_plans::{
    GaugesSaid, GaugesWatch, PlanWatch, PlanWriteError, new_plan, plan_beside, plan_files,
    read_plan, replace_plan,
};
pub use zero::{AskedZero, Zero, ZeroState, Zeros, resting_on};
pub use zero_asked::zero_sentence;
