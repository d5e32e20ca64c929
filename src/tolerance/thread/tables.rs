//! The thread tables, embedded: ISO 261 sizes and ISO 965-1 tolerances, each row with its source.
//!
//! An empty cell means that the standard gives no value there; none is ever interpolated.

use std::sync::LazyLock;

use super::super::csv::{Sheet, TableError};
use super::super::rows::SizeRange;
use super::class::ThreadMember;
use super::error::ThreadReason;
use super::limits::ThreadElement;
use super::rows::{
    DeviationsRow, EngagementRow, GradedRow, ThreadSize, deviations, engagements, graded, sizes,
};
use crate::quantity::Length;

/// The embedded thread tables in a fixed order: name and text; they belong to the digest.
pub const THREAD_TEXTS: [(&str, &str); 8] = [
    (
        "iso965/sizes.csv",
        include_str!("../../../tolerances/iso965/sizes.csv"),
    ),
    (
        "iso965/pitch_diameter_external.csv",
        include_str!("../../../tolerances/iso965/pitch_diameter_external.csv"),
    ),
    (
        "iso965/pitch_diameter_internal.csv",
        include_str!("../../../tolerances/iso965/pitch_diameter_internal.csv"),
    ),
    (
        "iso965/major_diameter_external.csv",
        include_str!("../../../tolerances/iso965/major_diameter_external.csv"),
    ),
    (
        "iso965/minor_diameter_internal.csv",
        include_str!("../../../tolerances/iso965/minor_diameter_internal.csv"),
    ),
    (
        "iso965/deviations.csv",
        include_str!("../../../tolerances/iso965/deviations.csv"),
    ),
    (
        "iso965/engagement_length.csv",
        include_str!("../../../tolerances/iso965/engagement_length.csv"),
    ),
    (
        "iso965/root_radius_external.csv",
        include_str!("../../../tolerances/iso965/root_radius_external.csv"),
    ),
];

/// All thread tables.
#[derive(Debug, Clone, Default)]
pub struct ThreadTables {
    sizes: Vec<ThreadSize>,
    pub(super) pitch_external: Vec<GradedRow>,
    pub(super) pitch_internal: Vec<GradedRow>,
    pub(super) major_external: Vec<GradedRow>,
    pub(super) minor_internal: Vec<GradedRow>,
    pub(super) deviations: Vec<DeviationsRow>,
    engagements: Vec<EngagementRow>,
    root_radii: Vec<GradedRow>,
    ranges: Vec<SizeRange>,
}

#[allow(clippy::expect_used)]
static STANDARD: LazyLock<ThreadTables> = LazyLock::new(|| {
    // The texts are part of the program; a test reads every row of them.
    ThreadTables::read().expect("the embedded thread tables are sound")
});

impl ThreadTables {
    /// The standard's tables.
    pub fn standard() -> &'static Self {
        &STANDARD
    }

    /// Reads the embedded texts; each file fills its own list.
    fn read() -> Result<Self, TableError> {
        let mut tables = Self::default();
        for (name, text) in THREAD_TEXTS {
            let sheet = Sheet::read(text, name)?;
            match name {
                "iso965/sizes.csv" => tables.sizes = sizes(&sheet)?,
                "iso965/pitch_diameter_external.csv" => {
                    tables.pitch_external = graded(&sheet, true, &[3, 4, 5, 6, 7, 8, 9])?;
                }
                "iso965/pitch_diameter_internal.csv" => {
                    tables.pitch_internal = graded(&sheet, true, &[4, 5, 6, 7, 8])?;
                }
                "iso965/major_diameter_external.csv" => {
                    tables.major_external = graded(&sheet, false, &[4, 6, 8])?;
                }
                "iso965/minor_diameter_internal.csv" => {
                    tables.minor_internal = graded(&sheet, false, &[4, 5, 6, 7, 8])?;
                }
                "iso965/deviations.csv" => tables.deviations = deviations(&sheet)?,
                "iso965/engagement_length.csv" => tables.engagements = engagements(&sheet)?,
                _ => tables.root_radii = graded(&sheet, false, &[0])?,
            }
        }
        tables.sort();
        Ok(tables)
    }

    fn sort(&mut self) {
        self.sizes.sort_by_key(|size| (size.nominal, size.pitch));
        let over = |row: &GradedRow| row.range.map_or(Length::ZERO, |range| range.over);
        for rows in [
            &mut self.pitch_external,
            &mut self.pitch_internal,
            &mut self.major_external,
            &mut self.minor_internal,
            &mut self.root_radii,
        ] {
            rows.sort_by_key(|row| (over(row), row.pitch));
        }
        self.deviations.sort_by_key(|row| row.pitch);
        self.engagements
            .sort_by_key(|row| (row.range.over, row.pitch));
        self.ranges = self
            .pitch_external
            .iter()
            .filter_map(|row| row.range)
            .collect();
        self.ranges.dedup();
    }

    /// Every pair of ISO 261, by diameter and then by pitch.
    pub fn sizes(&self) -> &[ThreadSize] {
        &self.sizes
    }

    /// The pairs of one nominal diameter, finest pitch first.
    pub fn sizes_of(&self, nominal: Length) -> &[ThreadSize] {
        let from = self.sizes.partition_point(|size| size.nominal < nominal);
        let to = self.sizes.partition_point(|size| size.nominal <= nominal);
        self.sizes.get(from..to).unwrap_or_default()
    }

    /// A pair of ISO 261.
    pub fn size(&self, nominal: Length, pitch: Length) -> Option<&ThreadSize> {
        self.sizes_of(nominal)
            .iter()
            .find(|size| size.pitch == pitch)
    }

    /// The coarse pitch of a size, if it has one.
    pub fn coarse_pitch(&self, nominal: Length) -> Option<Length> {
        let mut sizes = self.sizes_of(nominal).iter();
        sizes.find(|size| size.is_coarse).map(|size| size.pitch)
    }

    /// Why a size without a written pitch gives none.
    pub(super) fn no_coarse_pitch(&self, nominal: Length) -> ThreadReason {
        let pitches = self.sizes_of(nominal).iter().map(|size| size.pitch);
        let pitches: Vec<Length> = pitches.collect();
        let sizes = || self.sizes.iter().map(|size| size.nominal);
        let below = sizes().filter(|size| *size < nominal).max();
        let above = sizes().filter(|size| *size > nominal).min();
        let near = match pitches.is_empty() {
            true => below.into_iter().chain(above).collect(),
            false => Vec::new(),
        };
        ThreadReason::NoCoarsePitch {
            nominal,
            pitches,
            near,
        }
    }

    /// The range of diameters in which a size lies.
    pub(super) fn range(&self, nominal: Length) -> Option<SizeRange> {
        self.ranges
            .iter()
            .copied()
            .find(|range| range.contains(nominal))
    }

    /// The row of pitch-diameter tolerances.
    pub(super) fn pitch_row(
        &self,
        member: ThreadMember,
        nominal: Length,
        pitch: Length,
    ) -> Option<&GradedRow> {
        let rows = match member {
            ThreadMember::Internal => &self.pitch_internal,
            ThreadMember::External => &self.pitch_external,
        };
        let over = self.range(nominal)?.over;
        let key = |row: &GradedRow| {
            (
                row.range.map_or(Length::ZERO, |range| range.over),
                row.pitch,
            )
        };
        let at = rows.binary_search_by_key(&(over, pitch), key).ok()?;
        rows.get(at)
    }

    /// The row of crest tolerances at a pitch.
    pub(super) fn crest_row(&self, member: ThreadMember, pitch: Length) -> Option<&GradedRow> {
        let rows = match member {
            ThreadMember::Internal => &self.minor_internal,
            ThreadMember::External => &self.major_external,
        };
        let at = rows.binary_search_by_key(&pitch, |row| row.pitch).ok()?;
        rows.get(at)
    }

    /// The grades of a diameter at a pitch that the tables lack: those that both neighbouring
    /// pitches have, in any range of diameters.
    pub(super) fn grades_near(
        &self,
        element: ThreadElement,
        member: ThreadMember,
        pitch: Length,
    ) -> Vec<u8> {
        let rows = match (element, member) {
            (ThreadElement::Pitch, ThreadMember::Internal) => &self.pitch_internal,
            (ThreadElement::Pitch, ThreadMember::External) => &self.pitch_external,
            (_, ThreadMember::Internal) => &self.minor_internal,
            (_, ThreadMember::External) => &self.major_external,
        };
        let pitches = || rows.iter().map(|row| row.pitch);
        let below = pitches().filter(|known| *known <= pitch).max();
        let above = pitches().filter(|known| *known >= pitch).min();
        let has = |at: Option<Length>, grade| {
            let mut rows = rows.iter().filter(|row| Some(row.pitch) == at);
            rows.any(|row| row.value(grade).is_some())
        };
        (3..=9)
            .filter(|grade| has(below, *grade) && has(above, *grade))
            .collect()
    }

    /// The row of fundamental deviations at a pitch.
    pub(super) fn deviation_row(&self, pitch: Length) -> Option<&DeviationsRow> {
        let at = self
            .deviations
            .binary_search_by_key(&pitch, |row| row.pitch)
            .ok()?;
        self.deviations.get(at)
    }

    /// The lengths of engagement at a size and pitch.
    pub(super) fn engagement_row(&self, nominal: Length, pitch: Length) -> Option<&EngagementRow> {
        let over = self.range(nominal)?.over;
        let key = |row: &EngagementRow| (row.range.over, row.pitch);
        let at = self
            .engagements
            .binary_search_by_key(&(over, pitch), key)
            .ok()?;
        self.engagements.get(at)
    }

    /// The printed least root radius of an external thread at a pitch.
    pub fn least_root_radius(&self, pitch: Length) -> Option<Length> {
        let at = self
            .root_radii
            .binary_search_by_key(&pitch, |row| row.pitch)
            .ok()?;
        self.root_radii.get(at)?.value(0)
    }

    /// The source notes of every row, in the order of the tables.
    pub fn sources(&self) -> impl Iterator<Item = &str> {
        let graded = [
            &self.pitch_external,
            &self.pitch_internal,
            &self.major_external,
            &self.minor_internal,
            &self.root_radii,
        ];
        let graded = graded.into_iter().flatten().map(|row| row.source.as_str());
        let deviations = self.deviations.iter().map(|row| row.source.as_str());
        let engagements = self.engagements.iter().map(|row| row.source.as_str());
        graded.chain(deviations).chain(engagements)
    }
}
