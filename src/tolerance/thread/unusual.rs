//! What is unusual about a thread that can be computed all the same: restricted sizes, classes,
//! lengths of engagement, and what stands in the tables from memory.

use super::callout::LengthGroup;
use super::class::{ThreadClass, ThreadMember, ThreadPosition};
use super::flags::{ThreadFlag, ThreadFlags};
use super::limits::ThreadParts;
use super::resolve::default_class;
use super::tables::ThreadTables;
use crate::quantity::Length;

/// The coarse threads for which ISO 965-4 and ISO 965-5 give limits (from memory).
const HOT_DIP_FROM: Length = Length::from_mm(10);
const HOT_DIP_TO: Length = Length::from_mm(64);

const fn class(pitch_grade: u8, crest_grade: u8, position: ThreadPosition) -> ThreadClass {
    let mut both = ThreadClass::both(pitch_grade, position);
    both.crest.grade = crest_grade;
    both
}

/// The usual classes of internal threads by group of engagement: qualities fine, medium and
/// coarse (ISO 965-1, table of recommended classes, from memory).
const INTERNAL: [(LengthGroup, &[ThreadClass]); 3] = {
    use ThreadPosition::{InternalG as G, InternalH as H};
    [
        (
            LengthGroup::Short,
            &[class(4, 4, H), class(5, 5, H), class(5, 5, G)],
        ),
        (
            LengthGroup::Normal,
            &[
                class(5, 5, H),
                class(6, 6, H),
                class(6, 6, G),
                class(7, 7, H),
            ],
        ),
        (
            LengthGroup::Long,
            &[
                class(6, 6, H),
                class(7, 7, H),
                class(7, 7, G),
                class(8, 8, H),
            ],
        ),
    ]
};

/// The usual classes of external threads by group of engagement; likewise.
const EXTERNAL: [(LengthGroup, &[ThreadClass]); 3] = {
    use ThreadPosition::{E, F, G, H};
    [
        (
            LengthGroup::Short,
            &[class(3, 4, H), class(5, 6, G), class(5, 6, H)],
        ),
        (
            LengthGroup::Normal,
            &[
                class(4, 4, H),
                class(6, 6, G),
                class(6, 6, H),
                class(6, 6, F),
                class(6, 6, E),
                class(8, 8, G),
            ],
        ),
        (
            LengthGroup::Long,
            &[
                class(5, 4, H),
                class(7, 6, G),
                class(7, 6, H),
                class(9, 8, G),
            ],
        ),
    ]
};

/// Whether a class is among those usual for a group of engagement.
fn is_usual(class: ThreadClass, group: LengthGroup) -> bool {
    let all = match class.member() {
        ThreadMember::Internal => &INTERNAL,
        ThreadMember::External => &EXTERNAL,
    };
    let mut of_group = all.iter().filter(|(known, _)| *known == group);
    of_group.any(|(_, classes)| classes.contains(&class))
}

/// Notes what is unusual about a thread beside its tolerances.
pub(super) fn note_unusual(flags: &mut ThreadFlags, tables: &ThreadTables, parts: &ThreadParts) {
    let (nominal, pitch, class) = (parts.nominal, parts.pitch, parts.class);
    let is = |d: i64, p: i64| nominal == Length::from_mm(d) && pitch == Length::from_um(p);
    let size = tables.size(nominal, pitch);
    flags.note(ThreadFlag::NotInIso261, size.is_none());
    flags.note(ThreadFlag::SparkPlugsOnly, is(14, 1_250));
    flags.note(ThreadFlag::LocknutsOnly, is(35, 1_500));
    flags.note(ThreadFlag::ToBeAvoided, is(30, 3_000) || is(33, 3_000));
    flags.note(ThreadFlag::StartsFromMemory, parts.starts > 1);

    let positions = [class.pitch.position, class.crest.position];
    flags.note(
        ThreadFlag::PositionFromMemory,
        positions.iter().any(|position| position.is_a_to_d()),
    );
    let hot_dip = class.is_hot_dip();
    let is_of_hot_dip_range = size.is_some_and(|size| size.is_coarse)
        && (HOT_DIP_FROM..=HOT_DIP_TO).contains(&nominal)
        && parts.starts == 1;
    flags.note(ThreadFlag::HotDip, hot_dip);
    flags.note(
        ThreadFlag::HotDipOutsideRange,
        hot_dip && !is_of_hot_dip_range,
    );
    flags.note(ThreadFlag::PositionsDiffer, positions[0] != positions[1]);
    note_engagement(flags, parts, hot_dip);
}

fn note_engagement(flags: &mut ThreadFlags, parts: &ThreadParts, hot_dip: bool) {
    let Some(group) = parts.engagement else {
        flags.note(ThreadFlag::EngagementNotTabled, true);
        return;
    };
    // The default is the standard's own where it has no other; hot dip has its own standards.
    let is_default = parts.class == default_class(parts.member(), parts.nominal, parts.pitch);
    let is_expected = (is_default || hot_dip) && group == LengthGroup::Normal;
    if is_expected || is_usual(parts.class, group) {
        return;
    }
    let groups = [LengthGroup::Short, LengthGroup::Normal, LengthGroup::Long];
    let elsewhere = groups.iter().any(|other| is_usual(parts.class, *other));
    flags.note(
        match (parts.engagement_length.is_some() && elsewhere, group) {
            (false, _) => ThreadFlag::UnusualClass,
            (true, LengthGroup::Short) => ThreadFlag::UnusualShortLength,
            (true, LengthGroup::Normal) => ThreadFlag::UnusualLength,
            (true, LengthGroup::Long) => ThreadFlag::UnusualLongLength,
        },
        true,
    );
}
