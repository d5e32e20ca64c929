//! The sentences of a report that have something of the record in them: one function a sentence,
//! so that the compiler sees to it that a language leaves none of them out and each has all that
//! it speaks of. What is handed in is text of the record already: millimetres, times, names.

use crate::gauge::Remark;
use crate::journal::{Event, Finding, PartAssembled, StudyOpened, Suit};
use crate::plan::Form;
use crate::session::{GaugeCheck, SuitedLimit};
use crate::tolerance::Step;

/// A length or a size in two texts: the smallest and the largest.
pub type Span<'t> = (&'t str, &'t str);

/// Sentences with what they speak of, in one language.
#[derive(Debug, Clone, Copy)]
pub struct Told {
    /// A part, and its serial number; empty: it lost the one it had.
    pub part_named: fn(u32, &str) -> String,
    /// That a part went into an assembly, beside which others.
    pub part_assembled: fn(&PartAssembled) -> String,
    /// Work went on at that part.
    pub part_taken_up: fn(u32) -> String,
    /// A program, and the digest of its tolerance tables.
    pub session_resumed: fn(&str, &str) -> String,
    /// The file before, and the line up to which it counts.
    pub continuation_opened: fn(&str, u64) -> String,
    /// Bytes of an unfinished line, and where it begins.
    pub tail_damaged: fn(u64, u64) -> String,
    /// By how many milliseconds the clock was set.
    pub clock_stepped: fn(i64) -> String,
    /// The kind of an event that is not known.
    pub unknown_event: fn(&str) -> String,
    /// A gauge that was found wrong: by whom, why, and since when what it measured is in doubt;
    /// none: since its last good check.
    pub gauge_doubted: fn(&str, &str, &str, Option<&str>) -> String,
    /// A study of a gauge was begun.
    pub study_begun: fn(&StudyOpened) -> String,
    /// What an event says of a gauge's zero.
    pub zero: fn(&Event) -> Option<String>,
    /// What was still open when a part was taken out; empty: nothing.
    pub taken_out: fn(&[String]) -> String,
    /// How the part was set true (may be empty), and its runout in millimetres.
    pub put_back: fn(&str, Option<&str>) -> String,
    /// Before a colon and a note, or alone.
    pub tool_changed: &'static str,
    /// A tool offset in millimetres; before a colon and a note, or alone.
    pub offset_given: fn(&str) -> String,
    /// Temperatures of the part and of the gauge in degrees Celsius; none: not known.
    pub temperatures: fn(Option<&str>, Option<&str>) -> String,
    /// What names the work from there on.
    pub job_from_here: fn(&[String]) -> String,
    /// Order, customer, lot of the material and machine, as such a sentence names them.
    pub job_names: [&'static str; 4],
    /// Who measured from there on; empty: nobody is named.
    pub operator_from_here: fn(&str) -> String,

    /// A step behind a limit.
    pub limit_step: fn(&Step) -> String,
    /// Why limits are others than the class's, a sentence each.
    pub suited: fn(&SuitedLimit) -> Vec<String>,
    /// Below a callout whose limits hold in this session only.
    pub suited_limits: &'static str,
    /// That halves are made to suit their measured mates.
    pub suits: fn(&[Suit]) -> String,
    /// The wire and the lead in millimetres.
    pub over_wires: fn(&str, &str) -> String,
    /// A form or position: of what, about which datum.
    pub form: fn(&Form) -> String,

    /// The kind of a gauge, from the record's word.
    pub gauge_kind: fn(&str) -> String,
    /// What is to be kept in mind of a gauge.
    pub gauge_remark: fn(&Remark) -> String,
    /// Of a gauge that the register does not have.
    pub not_in_register: &'static str,
    /// Where nothing is known of a gauge's error.
    pub error_not_known: &'static str,
    /// The largest permitted error with its unit, stated in the register.
    pub error_stated: fn(&str) -> String,
    /// The largest permitted error with its unit, assumed; and on what ground.
    pub error_assumed: fn(&str, &str) -> String,
    /// The expanded uncertainty with its unit, and its coverage factor.
    pub error_calibrated: fn(&str, &str) -> String,
    /// The gauge that a gauge is read by.
    pub read_by: fn(&str) -> String,
    /// Where readings come from, and by which adapter.
    pub source_by_adapter: fn(&str, &str) -> String,
    /// The time of a finding, and why the gauge is wrong.
    pub zero_found_wrong: fn(&str, &str) -> String,
    /// The time of a good zero check, the standard (none: its own zero), the offset with its unit.
    pub zero_good: fn(&str, Option<&str>, &str) -> String,
    /// The same of one that failed.
    pub zero_failed: fn(&str, Option<&str>, &str) -> String,

    /// A characteristic that was not proved when somebody signed, its state, its chance of
    /// conformity in percent.
    pub left_open: fn(&str, &str, Option<&str>) -> String,
    /// The line of the same frame.
    pub same_frame: fn(u64) -> String,
    /// How a value was taken, out of how many, between which, in how many milliseconds.
    pub taken: fn(&str, u32, Option<Span<'_>>, u64) -> String,

    /// What is wrong at a place of a record, or only worth knowing.
    pub finding: fn(&Finding) -> String,
    /// Before a finding that is only worth knowing.
    pub notice: &'static str,
    /// File, line, event, and what is wrong with it.
    pub found_in_event: fn(&str, u64, u64, &str) -> String,
    /// How many findings are not told.
    pub more_findings: fn(u64) -> String,
    /// How many events are of unknown kinds.
    pub unknown_events: fn(u64) -> String,

    /// What a check of a gauge found.
    pub check: fn(&GaugeCheck) -> String,
    /// What was found, and the record and line where that stands.
    pub found_by: fn(&str, &str, u64) -> String,
    /// When other records of the workspace found something, and what.
    pub found_elsewhere: fn(&str, &str) -> String,
    /// The lines of the readings that it puts in doubt.
    pub in_doubt_lines: fn(&str) -> String,
    /// How many records were looked through, and the time of the newest.
    pub looked_through: fn(usize, &str) -> String,
    /// How many of them could not be read whole.
    pub not_read_whole: fn(usize) -> String,
    /// Since when something is in doubt, and what was found.
    pub in_doubt_since: fn(&str, &str) -> String,
    /// Why a part is in doubt, the characteristic's number, the reading's line; whether the part
    /// was released.
    pub measure_again: fn(&str, usize, u64, bool) -> String,
}
