//! The size of a feature on every part of a session, or why that part is not offered to a mate.

use super::setup::Setup;
use super::standing::Standing;
use super::state::{Part, State};
use super::suited::SIZE;
use super::view::PartState;
use crate::journal::{Outcome, Sequence};
use crate::measure::VerdictWord;
use crate::quantity::Length;

/// A size that is measured whole, at 20 °C.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HalfSize {
    /// The smallest of its points.
    pub least: Length,
    /// The largest.
    pub most: Length,
    /// The largest standard uncertainty of its points, whole nanometres; none: not known of all.
    pub standard: Option<Length>,
}

/// Why a part is not offered to a mate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum NotOffered {
    /// It is given up.
    Scrap,
    /// It is kept back.
    OnHold,
    /// It is being worked on again.
    Rework,
    /// Something of it is NO-GO.
    NoGo,
    /// Something of it is DOUBT.
    Doubt,
    /// A gauge behind it was found wrong afterwards.
    GaugeWrong,
    /// Something of it is still to be measured.
    Open,
    /// It changed after it was released.
    Changed,
    /// It went into an assembly already.
    Assembled,
    /// It was measured before the last stage, and is not yet what the mate meets.
    EarlierStage,
    /// The sampling plan left the feature out.
    NotSelected,
    /// The feature has no single size: it is a thread, or what a limit gauge proves.
    NoSize,
    /// Its record is damaged: what is lost may say otherwise.
    Damaged,
}

impl NotOffered {
    /// The reason in words, as behind a number: `2 NO-GO`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Scrap => "scrap",
            Self::OnHold => "on hold",
            Self::Rework => "in rework",
            Self::NoGo => "NO-GO",
            Self::Doubt => "DOUBT",
            Self::GaugeWrong => "in doubt (gauge found wrong)",
            Self::Open => "open",
            Self::Changed => "changed since release",
            Self::Assembled => "assembled already",
            Self::EarlierStage => "before the last stage",
            Self::NotSelected => "not selected by the sampling plan",
            Self::NoSize => "without a single size",
            Self::Damaged => "in a damaged record",
        }
    }

    /// Whether it holds of the real part, whatever a later record measured on it.
    pub(super) fn is_of_the_part(self) -> bool {
        matches!(self, Self::Scrap | Self::OnHold | Self::Assembled)
    }

    /// Whether a record with it says nothing about the finished feature.
    pub(super) fn says_nothing(self) -> bool {
        matches!(self, Self::EarlierStage | Self::NotSelected | Self::NoSize)
    }
}

/// What a record says of one part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartSizes {
    /// Running number, from 1.
    pub number: u32,
    /// Serial number or mark; may be empty.
    pub serial: String,
    /// How it stands in all.
    pub standing: Standing,
    /// For each of the features of [`RecordSizes::features`].
    pub sizes: Vec<Result<HalfSize, NotOffered>>,
}

/// What a record says of the sizes of its parts.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RecordSizes {
    /// The newest file of the record.
    pub journal: String,
    /// The same with its folder.
    pub path: String,
    /// When it was begun, milliseconds since 1970; the later of two records of one serial number
    /// counts.
    pub opened_ms: i64,
    /// It is the session that goes on.
    pub is_here: bool,
    /// The features that have one size in it.
    pub features: Vec<String>,
    /// Its parts.
    pub parts: Vec<PartSizes>,
}

/// The sizes of a session's parts. `standard` tells the standard uncertainty of a judged reading
/// in nanometres, `doubted` are parts that other records put in doubt.
pub fn record_sizes(
    state: &State,
    standard: &dyn Fn(Sequence) -> Option<i64>,
    doubted: &[u32],
    is_damaged: bool,
) -> RecordSizes {
    let targets = sized_targets(state.setup());
    let part = |part: &Part| {
        let of_part = why_not(state, part, doubted, is_damaged);
        let sizes = targets.iter().map(|(at, _)| match of_part {
            Some(why) if why.is_of_the_part() => Err(why),
            _ if is_early(state, *at) => Err(NotOffered::EarlierStage),
            Some(why) => Err(why),
            None => size_of(part, *at, standard),
        });
        PartSizes {
            number: part.number,
            serial: part.decided.serial.clone(),
            standing: state.standing(part),
            sizes: sizes.collect(),
        }
    };
    RecordSizes {
        features: targets.iter().map(|(_, name)| name.clone()).collect(),
        parts: state.parts().iter().map(|one| part(one)).collect(),
        ..RecordSizes::default()
    }
}

/// Features with one size, by their place in measuring order.
fn sized_targets(setup: &Setup) -> Vec<(usize, String)> {
    let all = setup.targets.iter().enumerate();
    let sized = all.filter(|(_, target)| {
        target.element == SIZE && !target.is_angle() && target.check().is_none()
    });
    sized
        .map(|(at, target)| (at, target.feature.clone()))
        .collect()
}

fn is_early(state: &State, at: usize) -> bool {
    let setup = state.setup();
    let target = setup.targets.get(at);
    target.is_some_and(|target| setup.is_before_last_stage(target))
}

/// What holds of the whole part.
fn why_not(state: &State, part: &Part, doubted: &[u32], is_damaged: bool) -> Option<NotOffered> {
    if is_damaged {
        return Some(NotOffered::Damaged);
    }
    if part.decided.assembled.is_some() {
        return Some(NotOffered::Assembled);
    }
    let why = match state.standing(part) {
        Standing::Scrap => NotOffered::Scrap,
        Standing::OnHold => NotOffered::OnHold,
        Standing::Rework => NotOffered::Rework,
        Standing::ChangedSinceRelease => NotOffered::Changed,
        Standing::StageDone => NotOffered::Open,
        Standing::Measured(PartState::NoGo) => NotOffered::NoGo,
        Standing::Measured(PartState::Doubt) => NotOffered::Doubt,
        Standing::Measured(PartState::Open) => open_because(part),
        Standing::Measured(PartState::Go | PartState::Noted | PartState::NotSelected)
        | Standing::Conceded
        | Standing::Released(_) => {
            return doubted
                .contains(&part.number)
                .then_some(NotOffered::GaugeWrong);
        }
    };
    Some(why)
}

/// What was found wrong may be measured again, so the part is open; it is told what was found.
fn open_because(part: &Part) -> NotOffered {
    let selected = || part.characteristics.iter().filter(|one| one.selected);
    let any = |word| selected().any(|one| one.worst() == Some(Outcome::Verdict(word)));
    if any(VerdictWord::NoGo) {
        NotOffered::NoGo
    } else if any(VerdictWord::Doubt) {
        NotOffered::Doubt
    } else if selected().any(|one| one.is_in_doubt()) {
        NotOffered::GaugeWrong
    } else {
        NotOffered::Open
    }
}

fn size_of(
    part: &Part,
    at: usize,
    standard: &dyn Fn(Sequence) -> Option<i64>,
) -> Result<HalfSize, NotOffered> {
    let one = part.characteristics.get(at).ok_or(NotOffered::NoSize)?;
    if !one.selected {
        return Err(NotOffered::NotSelected);
    }
    if one.is_in_doubt() {
        return Err(NotOffered::GaugeWrong);
    }
    if one.points.iter().any(|point| point.outcome.is_none()) {
        return Err(NotOffered::Open);
    }
    let sizes = || one.points.iter().map(|point| point.value_at_20);
    let (least, most) = sizes().min().zip(sizes().max()).ok_or(NotOffered::NoSize)?;
    // What is not known of one point is not known of the size.
    let standards = one.points.iter().map(|point| standard(point.reading()));
    let standards: Option<Vec<i64>> = standards.collect();
    Ok(HalfSize {
        least: Length::from_nm(least),
        most: Length::from_nm(most),
        standard: standards
            .and_then(|all| all.into_iter().max())
            .map(Length::from_nm),
    })
}
