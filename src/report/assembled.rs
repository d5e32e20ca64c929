//! An assembly of real parts: how each of them stands, what each pair does, what each row of
//! lengths leaves, and what that makes of the whole.
//!
//! It reads nothing itself: the parts come as sheets, as they stand in their records.

use super::sheet::{Asked, PartSheet, ResultRow};
use crate::journal::Manner;
use crate::measure::{VerdictWord, judge};
use crate::pair::{Meeting, MeetingKind, Member, PairError, StackLink, Stacked, stack};
use crate::plan::{Assembly, MemberFeature, StackAsked};
use crate::quantity::Length;
use crate::session::{PartState, Standing};
use crate::tolerance::{Derivation, Limits, Surface};

/// A part that was taken for a member.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RealPart {
    /// The newest file of its record.
    pub journal: String,
    /// The hash that the record ends with.
    pub head: String,
    /// The stage at which it was measured, where that is one before the last.
    pub earlier_stage: Option<String>,
    /// Its record is damaged: what is lost may say otherwise.
    pub is_damaged: bool,
    /// What was asked of it.
    pub asked: Vec<Asked>,
    /// What it came to.
    pub part: PartSheet,
}

/// How an assembly stands, or a part of the answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum AssembledState {
    /// Everything is proved.
    Go,
    /// Something is in doubt, or stands by a decision and not by its sizes.
    Doubt,
    /// Something is still to be made, measured or decided.
    Open,
    /// Something is not as it should be.
    NoGo,
}

impl AssembledState {
    /// The word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Go => "GO",
            Self::Doubt => "DOUBT",
            Self::Open => "open",
            Self::NoGo => "NO-GO",
        }
    }
}

impl From<VerdictWord> for AssembledState {
    fn from(word: VerdictWord) -> Self {
        match word {
            VerdictWord::Go => Self::Go,
            VerdictWord::NoGo => Self::NoGo,
            VerdictWord::Doubt => Self::Doubt,
        }
    }
}

/// What a pair of the assembly does.
#[derive(Debug, Clone, PartialEq)]
pub struct MateTold {
    /// How it stands.
    pub state: AssembledState,
    /// Least and most clearance of its measured points, at 20 degrees C; none: not both measured.
    pub clearance: Option<(Length, Length)>,
    /// Standard uncertainty of the clearance, nm; none: not considered.
    pub standard_nm: Option<f64>,
    /// What it is, as far as can be said.
    pub kind: Option<MeetingKind>,
    /// How likely the tightest point has interference.
    pub interference_probability: Option<f64>,
}

/// What a row of lengths leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct StackTold {
    /// How it stands.
    pub state: AssembledState,
    /// The gap.
    pub gap: Stacked,
    /// The lengths that are not measured, as they are written.
    pub not_measured: Vec<String>,
}

/// The whole answer; members, mates and stacks in the order of the assembly.
#[derive(Debug, Clone, PartialEq)]
pub struct Assembled {
    /// How the whole stands: NO-GO before open before DOUBT, and GO only when all of it is.
    pub state: AssembledState,
    /// How each member stands, and why it is not GO.
    pub members: Vec<(AssembledState, String)>,
    /// The pairs.
    pub mates: Vec<MateTold>,
    /// The rows.
    pub stacks: Vec<StackTold>,
}

/// Puts real parts into an assembly; `parts` has one place for each member.
///
/// # Errors
/// [`PairError`] for a row of lengths that cannot be added up.
pub fn assembled(assembly: &Assembly, parts: &[Option<RealPart>]) -> Result<Assembled, PairError> {
    let part = |at: usize| parts.get(at).and_then(Option::as_ref);
    let members: Vec<_> = (0..assembly.members.len())
        .map(|at| member_told(part(at)))
        .collect();
    let mates: Vec<_> = assembly
        .mates
        .iter()
        .map(|mate| {
            let size = |of: &MemberFeature| part(of.member).and_then(|part| size_of(part, of));
            mate_told(size(&mate.hole), size(&mate.shaft), mate.clearance)
        })
        .collect();
    let stacks: Result<Vec<_>, _> = assembly
        .stacks
        .iter()
        .map(|row| stack_told(row, |of| part(of.member).and_then(|part| size_of(part, of))))
        .collect();
    let stacks = stacks?;
    let all = members.iter().map(|(state, _)| *state);
    let all = all.chain(mates.iter().map(|mate| mate.state));
    let all = all.chain(stacks.iter().map(|row| row.state));
    Ok(Assembled {
        state: all.max().unwrap_or(AssembledState::Open),
        members,
        mates,
        stacks,
    })
}

/// How a member stands, and in the words of its record why it is not GO.
fn member_told(part: Option<&RealPart>) -> (AssembledState, String) {
    let Some(real) = part else {
        return (AssembledState::Open, String::new());
    };
    let sheet = &real.part;
    let standing = sheet.standing.clone();
    if real.earlier_stage.is_some() || real.is_damaged {
        return (AssembledState::Open, standing);
    }
    let is_any = |all: &[Standing]| all.iter().any(|one| one.word() == standing);
    let doubt = sheet.doubts.first();
    let state = match () {
        () if sheet.is_good || doubt.is_some() && is_any(&GOOD) => AssembledState::Go,
        () if is_any(&BAD) => AssembledState::NoGo,
        () if is_any(&BY_DECISION) => AssembledState::Doubt,
        () => AssembledState::Open,
    };
    match doubt {
        // What stands worse is not made better by a doubt.
        Some(doubt) if state <= AssembledState::Doubt => (AssembledState::Doubt, doubt.clone()),
        _ => (state, standing),
    }
}

/// A part that stands so is good, but for what other records put in doubt of it.
const GOOD: [Standing; 2] = [
    Standing::Measured(PartState::Go),
    Standing::Released(Manner::Plain),
];
/// A part that stands so spoils the assembly.
const BAD: [Standing; 2] = [Standing::Measured(PartState::NoGo), Standing::Scrap];
/// A part that stands so is not proved good, and yet it is not waited for.
const BY_DECISION: [Standing; 4] = [
    Standing::Measured(PartState::Doubt),
    Standing::Conceded,
    Standing::Released(Manner::InDoubt),
    Standing::Released(Manner::UnderConcession),
];

/// The size of a feature of a real part.
#[derive(Debug, Clone, Copy)]
struct Size {
    least: Length,
    most: Length,
    standard_nm: Option<f64>,
    is_in_doubt: bool,
}

/// None where it is not measured, or not all of its points are.
fn size_of(real: &RealPart, of: &MemberFeature) -> Option<Size> {
    let asked = real.asked.iter();
    let number = asked
        .filter(|one| one.unit == "mm" && one.feature == of.feature.as_str())
        .map(|one| one.number)
        .next()?;
    let row = real.part.results.iter().find(|row| row.number == number)?;
    if row.verdict.is_empty() || row.verdict == "INSIDE" {
        return None;
    }
    let sizes = values(row);
    Some(Size {
        least: sizes.iter().min().copied()?,
        most: sizes.iter().max().copied()?,
        standard_nm: Length::parse_mm(&row.u).ok().map(Length::as_nm_f64),
        is_in_doubt: row.is_in_doubt,
    })
}

fn values(row: &ResultRow) -> Vec<Length> {
    let points = row.points.iter().map(|point| point.value.as_str());
    let sizes: Vec<Length> = points
        .filter_map(|text| Length::parse_mm(text).ok())
        .collect();
    match sizes.is_empty() {
        true => Length::parse_mm(&row.actual).into_iter().collect(),
        false => sizes,
    }
}

fn mate_told(hole: Option<Size>, shaft: Option<Size>, range: (Length, Length)) -> MateTold {
    let Some((hole, shaft)) = hole.zip(shaft) else {
        return MateTold {
            state: AssembledState::Open,
            clearance: None,
            standard_nm: None,
            kind: None,
            interference_probability: None,
        };
    };
    let member = |size: Length, of: Size| Member {
        size,
        standard_nm: of.standard_nm,
    };
    let tight = Meeting::of(member(hole.least, hole), member(shaft.most, shaft));
    let loose = Meeting::of(member(hole.most, hole), member(shaft.least, shaft));
    let clearance = (hole.least - shaft.most, hole.most - shaft.least);
    let standard_nm = tight.standard_nm();
    let state = within(clearance, range, standard_nm);
    let kind = match tight.kind() == loose.kind() {
        true => tight.kind(),
        false => MeetingKind::Undecided,
    };
    MateTold {
        state: match hole.is_in_doubt || shaft.is_in_doubt {
            true => state.max(AssembledState::Doubt),
            false => state,
        },
        clearance: Some(clearance),
        standard_nm,
        kind: Some(kind),
        interference_probability: tight.interference_probability(),
    }
}

/// The worse of the two ends of what is known.
fn within(
    known: (Length, Length),
    range: (Length, Length),
    standard_nm: Option<f64>,
) -> AssembledState {
    let limits = Limits::new(Some(range.0), Some(range.1), Derivation::Stated);
    let Ok(limits) = limits else {
        return AssembledState::Open;
    };
    let end = |value: Length| {
        judge(value, &limits, Surface::Length, standard_nm, None)
            .map_or(AssembledState::Doubt, |found| found.verdict.into())
    };
    end(known.0).max(end(known.1))
}

fn stack_told(
    row: &StackAsked,
    size: impl Fn(&MemberFeature) -> Option<Size>,
) -> Result<StackTold, PairError> {
    let (mut links, mut not_measured) = (Vec::new(), Vec::new());
    let mut is_in_doubt = false;
    for part in &row.links {
        let found = part.of.as_ref().and_then(&size);
        is_in_doubt |= found.is_some_and(|found| found.is_in_doubt);
        if found.is_none() {
            not_measured.push(part.written.clone());
        }
        let link = StackLink {
            takes: part.takes,
            limits: part.limits,
            measured: found.map(middle),
        };
        links.extend((0..part.count).map(|_| link));
    }
    let gap = stack(&links)?;
    let known = within(gap.known, row.limits, gap.standard_nm);
    let is_outside = gap.known.1 < row.limits.0 || gap.known.0 > row.limits.1;
    let state = match known {
        // Some assembly of what is left would be good, or some would not.
        AssembledState::NoGo | AssembledState::Doubt if !not_measured.is_empty() && !is_outside => {
            AssembledState::Open
        }
        state if is_in_doubt => state.max(AssembledState::Doubt),
        state => state,
    };
    Ok(StackTold {
        state,
        gap,
        not_measured,
    })
}

/// Points that differ: the length is anywhere between them, evenly (JCGM 100:2008, 4.3.7).
fn middle(size: Size) -> Member {
    let half = 0.5 * (size.most - size.least).as_nm_f64();
    let middle = Length::from_nm(size.least.as_nm() + (size.most - size.least).as_nm() / 2);
    Member {
        size: middle,
        standard_nm: size.standard_nm.map(|u| (u * u + half * half / 3.0).sqrt()),
    }
}
