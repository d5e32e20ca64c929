//! An assembly: which plans it is made of, which holes take which shafts across them, and which
//! lengths in a row leave which gap.
//!
//! Refuses to know real parts; it reads the text of the assembly and asks for the plans by name.

use std::sync::Arc;

use super::assembly_problem::AssemblyProblem;
use super::feature::{Characteristic, FeatureId};
use super::inspection::Plan;
use crate::gauge::{Fields, Findings, Pointed, SourceText, Written, document, nearest};
use crate::quantity::{Length, LengthUnit};
use crate::tolerance::{Callout, CalloutLimits, Context, Surface, Tables, parse_callout_in};

const FILE_KEYS: &[&str] = &["assembly", "member", "mate", "stack"];
const ASSEMBLY_KEYS: &[&str] = &["name", "drawing"];
const MEMBER_KEYS: &[&str] = &["id", "plan"];
const MATE_KEYS: &[&str] = &["hole", "shaft", "intended"];
const STACK_KEYS: &[&str] = &["name", "plus", "minus", "limits"];

/// Most pieces of one length in a row (chosen).
const COUNT_MAX: u32 = 50;

/// A fault of an assembly with its place.
pub type AssemblyError = Pointed<AssemblyProblem>;

/// An assembly of parts that have plans.
#[derive(Debug, Clone, PartialEq)]
pub struct Assembly {
    /// What it is.
    pub name: String,
    /// Number of its drawing.
    pub drawing: Option<String>,
    /// Its parts, in the order of the file.
    pub members: Vec<Member>,
    /// What goes into what, in the order of the file; then what the plans themselves pair.
    pub mates: Vec<Mate>,
    /// Lengths in a row.
    pub stacks: Vec<StackAsked>,
}

/// One part of an assembly.
#[derive(Debug, Clone, PartialEq)]
pub struct Member {
    /// Its name in the assembly.
    pub id: String,
    /// The file of its plan.
    pub plan_file: String,
    /// Its plan.
    pub plan: Arc<Plan>,
}

/// A feature of a member.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MemberFeature {
    /// The member, by its place in [`Assembly::members`].
    pub member: usize,
    /// The feature.
    pub feature: FeatureId,
    /// Its limits, lower and upper.
    pub limits: (Length, Length),
}

/// A hole and a shaft of an assembly.
#[derive(Debug, Clone, PartialEq)]
pub struct Mate {
    /// The hole.
    pub hole: MemberFeature,
    /// The shaft.
    pub shaft: MemberFeature,
    /// The fit as it is intended, in words; empty: that of the two classes.
    pub intended: String,
    /// The clearance that is intended, least and most; negative: interference.
    pub clearance: (Length, Length),
}

/// A row of lengths and the gap that it must leave.
#[derive(Debug, Clone, PartialEq)]
pub struct StackAsked {
    /// What the gap is.
    pub name: String,
    /// The lengths.
    pub links: Vec<StackPart>,
    /// What the gap may be, least and most.
    pub limits: (Length, Length),
}

/// One length of a row.
#[derive(Debug, Clone, PartialEq)]
pub struct StackPart {
    /// It takes from the gap.
    pub takes: bool,
    /// How many of them.
    pub count: u32,
    /// Of which member; none: of a bought part, with a callout of its own.
    pub of: Option<MemberFeature>,
    /// As it is written.
    pub written: String,
    /// Its limits.
    pub limits: (Length, Length),
}

impl Assembly {
    /// An assembly from its text; `label` is the name under which errors speak of it. `plan_of`
    /// gives the plan of a file, or says in a sentence why not.
    ///
    /// # Errors
    /// Every fault that was found, each with its place.
    pub fn parse(
        text: &str,
        label: &str,
        tables: &Tables,
        plan_of: impl FnMut(&str) -> Result<Arc<Plan>, String>,
    ) -> Result<Self, Vec<AssemblyError>> {
        let mut found: Found<'_> = Findings::new(SourceText::new(label, text));
        let Some(table) = document(&mut found) else {
            return Err(found.into_pointed());
        };
        let file = Fields::open(&mut found, &table, "the assembly", 0..0, FILE_KEYS);
        file.require(&mut found, &["assembly", "member"]);
        let head = file.table(&mut found, "assembly", "[assembly]", ASSEMBLY_KEYS);
        let head = head.map(|fields| {
            fields.require(&mut found, &["name"]);
            let name = fields.text(&mut found, "name");
            (name, fields.text(&mut found, "drawing"))
        });
        let members = members(&mut found, &file, plan_of);
        let mut reading = Reading {
            found,
            members: &members,
            tables,
        };
        let mut mates = reading.mates(&file);
        let stacks = reading.stacks(&file);
        let found = reading.found;
        let name = head.as_ref().and_then(|(name, _)| name.as_ref());
        let (true, Some(name)) = (found.is_empty(), name) else {
            return Err(found.into_pointed());
        };
        let name = name.value.clone();
        mates.extend(paired_by_plans(&members, &mates, tables));
        Ok(Self {
            name,
            drawing: head.and_then(|(_, drawing)| Some(drawing?.value)),
            members,
            mates,
            stacks,
        })
    }
}

type Found<'t> = Findings<'t, AssemblyProblem>;

fn members<'t>(
    found: &mut Found<'t>,
    file: &Fields<'_, 't>,
    mut plan_of: impl FnMut(&str) -> Result<Arc<Plan>, String>,
) -> Vec<Member> {
    let mut members = Vec::new();
    let mut ids: Vec<Written<String>> = Vec::new();
    for fields in file.tables(found, "member", "[[member]]", MEMBER_KEYS) {
        fields.require(found, &["id", "plan"]);
        let (id, plan) = (fields.name(found, "id"), fields.text(found, "plan"));
        ids.extend(id.clone());
        let (Some(id), Some(file)) = (id, plan) else {
            continue;
        };
        match plan_of(&file.value) {
            Ok(plan) => members.push(Member {
                id: id.value,
                plan_file: file.value,
                plan,
            }),
            Err(why) => found.add(&file.span, AssemblyProblem::Plan { why }),
        }
    }
    found.add_repeats("id", &ids);
    members
}

/// What the rest of the file is read with.
struct Reading<'a, 't> {
    found: Found<'t>,
    members: &'a [Member],
    tables: &'a Tables,
}

impl<'t> Reading<'_, 't> {
    fn mates(&mut self, file: &Fields<'_, 't>) -> Vec<Mate> {
        let mut mates = Vec::new();
        for fields in file.tables(&mut self.found, "mate", "[[mate]]", MATE_KEYS) {
            fields.require(&mut self.found, &["hole", "shaft"]);
            let hole = fields.text(&mut self.found, "hole");
            let shaft = fields.text(&mut self.found, "shaft");
            let intended = fields.text(&mut self.found, "intended");
            let hole = hole.and_then(|written| self.feature(&written, Some(Surface::Inside)));
            let shaft = shaft.and_then(|written| self.feature(&written, Some(Surface::Outside)));
            let range = intended.as_ref().map(|written| self.fit(written));
            let (Some(hole), Some(shaft)) = (hole, shaft) else {
                continue;
            };
            let clearance = match range {
                None => of_classes(&hole, &shaft),
                Some(None) => continue,
                Some(Some(range)) => range,
            };
            mates.push(Mate {
                hole,
                shaft,
                intended: intended.map(|written| written.value).unwrap_or_default(),
                clearance,
            });
        }
        mates
    }

    fn stacks(&mut self, file: &Fields<'_, 't>) -> Vec<StackAsked> {
        let mut stacks = Vec::new();
        for fields in file.tables(&mut self.found, "stack", "[[stack]]", STACK_KEYS) {
            fields.require(&mut self.found, &["name", "plus", "limits"]);
            let name = fields.text(&mut self.found, "name");
            let mut links = Vec::new();
            for (key, takes) in [("plus", false), ("minus", true)] {
                let written = fields.texts(&mut self.found, key);
                for one in written.iter().flat_map(|written| &written.value) {
                    links.extend(self.link(one, takes));
                }
            }
            let key = "limits";
            let limits = fields.lengths(&mut self.found, key, LengthUnit::Millimetre);
            let limits = limits.and_then(|written| match written.value.as_slice() {
                [lower, upper] if lower.value <= upper.value => Some((lower.value, upper.value)),
                _ => {
                    self.found.add(&written.span, AssemblyProblem::GapLimits);
                    None
                }
            });
            let (Some(name), Some(limits)) = (name, limits) else {
                continue;
            };
            stacks.push(StackAsked {
                name: name.value,
                links,
                limits,
            });
        }
        stacks
    }

    /// `member#feature`, or a callout of its own; `3 x` before it: three of them.
    fn link(&mut self, written: &Written<String>, takes: bool) -> Option<StackPart> {
        let (count, text) = counted(&written.value);
        if count == 0 || count > COUNT_MAX {
            self.found.add(&written.span, AssemblyProblem::Count);
            return None;
        }
        let bare = Written {
            value: text.to_owned(),
            span: written.span.clone(),
        };
        let of = match text.contains('#') {
            true => Some(self.feature(&bare, None)?),
            false => None,
        };
        if of.is_some() && count > 1 {
            // One part is there once; a second one is a member of its own.
            self.found.add(&written.span, AssemblyProblem::Count);
            return None;
        }
        let limits = match &of {
            Some(of) => of.limits,
            None => self.length(&bare)?,
        };
        Some(StackPart {
            takes,
            count,
            of,
            written: text.to_owned(),
            limits,
        })
    }

    fn feature(
        &mut self,
        written: &Written<String>,
        side: Option<Surface>,
    ) -> Option<MemberFeature> {
        let problem = match self.looked_up(&written.value, side) {
            Ok(feature) => return Some(feature),
            Err(problem) => problem,
        };
        self.found.add(&written.span, problem);
        None
    }

    fn looked_up(
        &self,
        text: &str,
        side: Option<Surface>,
    ) -> Result<MemberFeature, AssemblyProblem> {
        let found = || text.to_owned();
        let Some((member, feature)) = text.split_once('#') else {
            return Err(AssemblyProblem::Reference { found: found() });
        };
        let (member, feature) = (member.trim(), feature.trim());
        let Some(at) = self.members.iter().position(|one| one.id == member) else {
            let known = self.members.iter().map(|one| one.id.as_str());
            return Err(AssemblyProblem::UnknownMember {
                found: member.to_owned(),
                nearest: nearest(member, known).map(str::to_owned),
            });
        };
        let plan = self.members.get(at).map(|one| &one.plan);
        let known = plan.and_then(|plan| plan.feature(&FeatureId::new(feature)));
        let Some(known) = known else {
            let ids = plan.into_iter().flat_map(|plan| &plan.features);
            return Err(AssemblyProblem::UnknownFeature {
                member: member.to_owned(),
                found: feature.to_owned(),
                nearest: nearest(feature, ids.map(|one| one.id.as_str())).map(str::to_owned),
            });
        };
        let [plain] = known.characteristics.as_slice() else {
            return Err(AssemblyProblem::NotPlain { found: found() });
        };
        let limits =
            limits_of(plain).ok_or_else(|| AssemblyProblem::NoLimits { found: found() })?;
        let is_wrong = match side {
            None => false,
            Some(side) => plain.surface.is_some_and(|is| !is_side(is, side)),
        };
        match is_wrong {
            true => Err(AssemblyProblem::WrongSide {
                found: found(),
                wanted_inside: side == Some(Surface::Inside),
            }),
            false => Ok(MemberFeature {
                member: at,
                feature: known.id.clone(),
                limits,
            }),
        }
    }

    /// The clearances of a fit.
    fn fit(&mut self, written: &Written<String>) -> Option<(Length, Length)> {
        let context = Context::with_tables(self.tables);
        let limits = match parse_callout_in(&written.value, self.tables) {
            Ok(Callout::Fit(fit)) => fit.limits(&context),
            Ok(_) => {
                self.found.add(&written.span, AssemblyProblem::NoFit);
                return None;
            }
            Err(error) => Err(error),
        };
        match limits {
            Ok(fit) => Some((fit.min_clearance(), fit.max_clearance())),
            Err(error) => {
                self.found
                    .add(&written.span, AssemblyProblem::Callout(error));
                None
            }
        }
    }

    /// The limits of a callout that is a length.
    fn length(&mut self, written: &Written<String>) -> Option<(Length, Length)> {
        let context = Context::with_tables(self.tables);
        let limits = parse_callout_in(&written.value, self.tables)
            .and_then(|callout| callout.limits(&context));
        let problem = match limits {
            Ok(CalloutLimits::Size(size)) => {
                if let Some(both) = size.limits.lower().zip(size.limits.upper()) {
                    return Some(both);
                }
                let found = written.value.clone();
                AssemblyProblem::NoLimits { found }
            }
            Ok(_) => AssemblyProblem::NoLimits {
                found: written.value.clone(),
            },
            Err(error) => AssemblyProblem::Callout(error),
        };
        self.found.add(&written.span, problem);
        None
    }
}

/// Both limits of a characteristic that is a length.
fn limits_of(one: &Characteristic) -> Option<(Length, Length)> {
    let bounds = one.bounds()?;
    let limits = bounds.length()?;
    limits.lower().zip(limits.upper())
}

/// Whether a surface may be the hole (`Inside`) or the shaft (`Outside`) of a pair.
fn is_side(is: Surface, side: Surface) -> bool {
    match side {
        Surface::Inside => matches!(is, Surface::Inside | Surface::Slot),
        _ => matches!(is, Surface::Outside | Surface::Length),
    }
}

fn of_classes(hole: &MemberFeature, shaft: &MemberFeature) -> (Length, Length) {
    (
        hole.limits.0 - shaft.limits.1,
        hole.limits.1 - shaft.limits.0,
    )
}

/// `3 x 2.5` is three of `2.5`.
fn counted(text: &str) -> (u32, &str) {
    let one = (1, text.trim());
    let Some((count, rest)) = text.split_once(" x ") else {
        return one;
    };
    count
        .trim()
        .parse()
        .map_or(one, |count| (count, rest.trim()))
}

/// The pairs that the members' own plans have with each other, but for those that the assembly
/// says itself. A plan that stands for two members says nothing of which is meant.
fn paired_by_plans(members: &[Member], said: &[Mate], tables: &Tables) -> Vec<Mate> {
    let only = |file: &str| {
        let mut named = members
            .iter()
            .enumerate()
            .filter(|(_, one)| one.plan_file == file);
        let (at, _) = named.next()?;
        named.next().is_none().then_some(at)
    };
    let feature = |at: usize, feature: &FeatureId| {
        let plan = &members.get(at)?.plan;
        let [plain] = plan.feature(feature)?.characteristics.as_slice() else {
            return None;
        };
        Some(MemberFeature {
            member: at,
            feature: feature.clone(),
            limits: limits_of(plain)?,
        })
    };
    let mut mates: Vec<Mate> = Vec::new();
    for (own, member) in members.iter().enumerate() {
        for pair in &member.plan.pairs {
            let end = |end: &super::pair::PairEnd| match &end.plan {
                None => feature(own, &end.feature),
                Some(file) => feature(only(file)?, &end.feature),
            };
            let (Some(hole), Some(shaft)) = (end(&pair.hole), end(&pair.shaft)) else {
                continue;
            };
            let is_same = |one: &Mate| one.hole == hole && one.shaft == shaft;
            if said.iter().chain(&mates).any(is_same) {
                continue;
            }
            let context = Context::with_tables(tables);
            let fit = pair
                .intended
                .as_ref()
                .and_then(|fit| fit.limits(&context).ok());
            let clearance = fit.map_or_else(
                || of_classes(&hole, &shaft),
                |fit| (fit.min_clearance(), fit.max_clearance()),
            );
            let intended = pair.intended.as_ref().map(ToString::to_string);
            mates.push(Mate {
                hole,
                shaft,
                intended: intended.unwrap_or_default(),
                clearance,
            });
        }
    }
    mates
}
