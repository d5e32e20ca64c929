//! The window: the Bench and the rooms around it, drawn from a snapshot of the session.
//!
//! Three layers, and no truth in any of them. `view` turns a snapshot and what the person is just
//! doing into plain structs (it knows no egui and is tested by value); the files ending in `_ui`
//! paint such structs (they compute nothing of the trade); `shell` says which room is seen and
//! hands presses to it. What a key asks for goes to the session as a request; its one writer
//! answers with the next snapshot.
//!
//! A room has up to five files of its name: `*_room` its keys, pure; `*_run` the work that takes
//! long, apart from the frame, and `*_facts` what that has come to; `*_disk` the outside it is
//! given; `*_ui` its painting. `app.rs` is the real window and gives the rooms their outside;
//! beside it only `frame_log.rs` and `sound_player.rs` touch the system themselves.
//!
//! It refuses to judge, to write, and to do anything in a frame but drawing.

pub mod app;
pub mod app_facts;
mod bar_ui;
pub mod batch_disk;
pub mod batch_room;
pub mod batch_run;
mod batch_table_ui;
pub mod batch_ui;
mod behind;
mod bench_layout;
pub mod bench_ui;
pub mod calibrate_ui;
pub mod chart_paint_ui;
pub mod chart_ui;
pub mod desk;
pub mod drawn;
mod explain_places;
mod explain_ui;
mod frame_log;
pub mod gauges_facts;
mod gauges_pages_ui;
pub mod gauges_room;
pub mod gauges_ui;
mod gauges_zero_ui;
pub mod glance_ui;
pub mod guide_reader;
pub mod guide_ui;
mod header_ui;
pub mod keys;
mod leaving_view;
mod line_ui;
mod lines_ui;
pub mod links_disk;
pub mod links_facts;
mod links_list_ui;
pub mod links_room;
pub mod links_run;
mod links_ui;
mod list_ui;
pub mod look;
pub mod named;
mod outline_metal_ui;
mod outline_text_ui;
mod outline_thread_ui;
pub mod outline_ui;
mod pairs_bands_ui;
mod pairs_press_ui;
pub mod pairs_room;
pub mod pairs_ui;
mod paragraph_ui;
pub mod plan_disk;
mod plan_fields_ui;
pub mod plan_learned;
pub mod plan_open;
pub mod plan_room;
pub mod plan_sense;
mod plan_sides_ui;
pub mod plan_typing;
pub mod plan_ui;
pub mod press;
pub mod question_ui;
pub mod records_decide;
pub mod records_disk;
pub mod records_facts;
pub mod records_find;
mod records_result_ui;
pub mod records_room;
pub mod records_run;
mod records_sheet_ui;
pub mod records_ui;
mod room_ui;
pub mod settings;
pub mod shell;
pub mod sound;
pub mod sound_player;
pub mod start;
mod start_fault;
pub mod start_mates;
mod start_mates_view;
pub mod start_ui;
pub mod start_view;
mod status_ui;
pub mod study_facts;
pub mod study_past;
pub mod study_setup;
mod study_ui;
pub mod tabs_ui;
pub mod taken_away;
pub mod teach_run;
pub mod teach_setup;
mod verdict_ui;
pub mod view;
pub mod why_ui;
mod wires_ui;
mod word_form_ui;

pub use app::open;
