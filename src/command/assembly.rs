//! `fitledger assembly`: real parts put together by a plan of plans: how each stands, what each
//! pair does, what each row of lengths leaves.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::arguments_pair::AssemblyArguments;
use super::assembly_told::text;
use super::decide::problem as decision_problem;
use super::exit::Exit;
use super::house::tables;
use super::judge_why::Shown;
use super::output::{Output, Stopped};
use super::output_assembly::{AssemblyLine, MateLine, MemberLine, StackLine};
use super::problem::Problem;
use super::work::Work;
use crate::journal::{AssembledWith, PartAssembled};
use crate::pair::MeetingKind;
use crate::plan::{Assembly, Mate, Member, MemberFeature, Plan};
use crate::quantity::Length;
use crate::report::{
    Assembled, AssembledState, ENGLISH, MateTold, RealPart, Selection, Sheet, StackTold, assembled,
    doubt_by, gather, shown,
};
use crate::session::{
    Catalogue, Command, Entry, RecordFolders, Workspace, decide_later, read_text,
};
use crate::tolerance::Tables;

const NM_PER_MM: f64 = 1e6;

/// Puts the assembly together and tells how it stands.
pub(super) fn run(
    arguments: &AssemblyArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    match line(arguments, workspace) {
        Ok(line) => {
            if line.state != AssembledState::Go.word() {
                out.note(Exit::NotGood);
            }
            match arguments.json {
                true => out.json(&line),
                false => {
                    let text = text(&line, out.screen());
                    out.text(&text)
                }
            }
        }
        Err(problem) => out.refuse(
            arguments.json,
            &arguments.file.display().to_string(),
            &problem,
        ),
    }
}

fn line(arguments: &AssemblyArguments, workspace: &Workspace) -> Result<AssemblyLine, Problem> {
    let work = Work::begin()?;
    let tables = tables(workspace)?;
    let assembly = read(&arguments.file, &tables)?;
    let serials = serials(&arguments.parts, &assembly)?;
    let parts = real_parts(&assembly, &serials, workspace, &work)?;
    let found = assembled(&assembly, &parts)
        .map_err(|error| Problem::bad(error.code(), error.to_string(), None))?;
    let mut line = told(&assembly, &serials, &parts, &found);
    if let (Some(serial), Some(by)) = (&arguments.record_as, &arguments.by) {
        record(&mut line, serial.trim(), by, workspace)?;
    }
    Ok(line)
}

/// Notes in the record of each part that it went into the assembly. Nothing is written before
/// every part is known; what was written by then stays where a later file fails.
fn record(
    line: &mut AssemblyLine,
    serial: &str,
    by: &str,
    workspace: &Workspace,
) -> Result<(), Problem> {
    let bad = |message: String, hint: &str| Problem::bad("not_recorded", message, Some(hint));
    if serial.is_empty() {
        let message = "The assembly has no serial number, so nothing was recorded.".to_owned();
        return Err(bad(message, "Give --record-as SERIAL."));
    }
    if let Some(missing) = line.members.iter().find(|one| one.serial.is_empty()) {
        let message = format!(
            "No part is named for {}, so nothing was recorded.",
            missing.id
        );
        return Err(bad(message, "Name a part for every member."));
    }
    let mut journals: BTreeMap<&str, Vec<Command>> = BTreeMap::new();
    for one in &line.members {
        let others = line.members.iter().filter(|other| other.id != one.id);
        let with = others.map(|other| AssembledWith {
            member: other.id.clone(),
            part_name: other.part_name.clone(),
            serial: other.serial.clone(),
            journal: other.journal.clone(),
            head: other.head.clone(),
        });
        let noted = PartAssembled {
            part: one.part,
            assembly: line.assembly.clone(),
            drawing: line.drawing.clone(),
            serial: serial.to_owned(),
            member: one.id.clone(),
            state: line.state.to_owned(),
            by: by.to_owned(),
            with: with.collect(),
        };
        let commands = journals.entry(&one.journal).or_default();
        commands.push(Command::Assemble(Box::new(noted)));
    }
    let mut written: Vec<&str> = Vec::new();
    for (journal, commands) in &journals {
        let path = workspace.sessions_path().join(journal);
        if let Err(error) = decide_later(&path, commands) {
            let mut problem = decision_problem(error);
            if !written.is_empty() {
                let done = written.join(", ");
                problem.message +=
                    &format!(" It stands in {done} already; ask again for the rest.");
            }
            return Err(problem);
        }
        written.push(journal);
    }
    line.recorded_as = Some(serial.to_owned());
    Ok(())
}

/// The assembly of a file, with the plans that lie beside it.
fn read(path: &Path, tables: &Tables) -> Result<Assembly, Problem> {
    let text = read_text(path)?;
    let label = path.file_name().unwrap_or_default().to_string_lossy();
    let folder = path.parent().map(Path::to_path_buf).unwrap_or_default();
    let mut known: BTreeMap<PathBuf, Arc<Plan>> = BTreeMap::new();
    let plan_of = |file: &str| {
        let path = folder.join(file);
        if let Some(plan) = known.get(&path) {
            return Ok(Arc::clone(plan));
        }
        let text = read_text(&path).map_err(|error| error.to_string())?;
        let plan = Plan::parse(&text, file, tables).map_err(|errors| {
            let first = errors.first().map(|error| error.sentence());
            first.unwrap_or_else(|| format!("{} is no plan.", shown(file)))
        })?;
        let plan = Arc::new(plan);
        known.insert(path, Arc::clone(&plan));
        Ok(plan)
    };
    Assembly::parse(&text, &label, tables, plan_of).map_err(|errors| {
        let first = errors.first();
        let code = first.map_or("assembly_invalid", |error| error.code());
        let told: Vec<String> = errors.iter().map(ToString::to_string).collect();
        Problem::bad(code, told.join("\n"), None)
    })
}

/// Which serial number was said for each member; empty: none.
fn serials(said: &[String], assembly: &Assembly) -> Result<Vec<String>, Problem> {
    let mut serials = vec![String::new(); assembly.members.len()];
    for text in said {
        let bad = |message: String| {
            let ids: Vec<&str> = assembly.members.iter().map(|one| one.id.as_str()).collect();
            let hint = format!("Write MEMBER=SERIAL; members are {}.", ids.join(", "));
            Problem::bad("bad_member", message, Some(&hint))
        };
        let Some((member, serial)) = text.split_once('=') else {
            return Err(bad(format!("“{}” names no part.", shown(text))));
        };
        let (member, serial) = (member.trim(), serial.trim());
        let at = assembly.members.iter().position(|one| one.id == member);
        let slot = at.and_then(|at| serials.get_mut(at));
        let Some(slot) = slot.filter(|_| !serial.is_empty()) else {
            return Err(bad(format!(
                "“{}” names no member and serial number.",
                shown(text)
            )));
        };
        if !slot.is_empty() {
            return Err(bad(format!("The member {} is named twice.", shown(member))));
        }
        serial.clone_into(slot);
    }
    let all = || assembly.members.iter().zip(&serials);
    for (at, (one, serial)) in all()
        .enumerate()
        .filter(|(_, (_, serial))| !serial.is_empty())
    {
        let twice = all()
            .take(at)
            .find(|(other, taken)| *taken == serial && other.plan_file == one.plan_file);
        if let Some((other, _)) = twice {
            let message = format!(
                "{} cannot be {} and {} at once.",
                shown(serial),
                other.id,
                one.id
            );
            let hint = Some("Each real part is there once.");
            return Err(Problem::bad("part_twice", message, hint));
        }
    }
    Ok(serials)
}

/// The real parts by their serial numbers, from the records of the workspace.
fn real_parts(
    assembly: &Assembly,
    serials: &[String],
    workspace: &Workspace,
    work: &Work,
) -> Result<Vec<Option<RealPart>>, Problem> {
    if serials.iter().all(String::is_empty) {
        return Ok(vec![None; serials.len()]);
    }
    let Some(catalogue) = work.catalogue(workspace)? else {
        let message = "The records of the workspace cannot be looked through now.".to_owned();
        let hint = Some("Check the folder sessions of the workspace.");
        return Err(Problem::outside("records_unreadable", message, hint));
    };
    let folders = RecordFolders::of_workspace(workspace);
    let mut parts = Vec::new();
    for (member, serial) in assembly.members.iter().zip(serials) {
        if serial.is_empty() {
            parts.push(None);
            continue;
        }
        let entry = entry_of(&catalogue, member, serial).ok_or_else(|| {
            let message = format!(
                "No record has a part {} with the serial number “{}”.",
                shown(&member.plan.part.name),
                shown(serial)
            );
            let hint =
                Some("Look with fitledger list --serial; the plan's part and drawing count.");
            Problem::bad("no_such_part", message, hint)
        })?;
        work.step(format!("reading {}", shown(entry.journal())))?;
        let which = Selection {
            parts: None,
            serial: Some(serial.clone()),
        };
        let mut sheet = gather(&folders, entry.record_parts(), &which, &ENGLISH)?;
        doubt_by(&mut sheet, Some(&catalogue), &ENGLISH);
        parts.push(real_part(sheet, entry));
    }
    Ok(parts)
}

/// The record to go by: of the last stage before any other, and then the newest.
fn entry_of<'c>(catalogue: &'c Catalogue, member: &Member, serial: &str) -> Option<&'c Entry> {
    let part = &member.plan.part;
    let drawing = part.drawing.clone().unwrap_or_default();
    let fits = catalogue.entries().iter().filter(|entry| {
        entry.part == part.name
            && entry.drawing == drawing
            && entry.parts.iter().any(|one| one.serial == serial)
    });
    fits.max_by_key(|entry| (is_last_stage(&member.plan, &entry.stage), entry.opened))
}

fn is_last_stage(plan: &Plan, stage: &str) -> bool {
    let mut features = plan.features.iter();
    stage.is_empty() || features.all(|one| plan.is_deciding_stage(&one.id, stage))
}

fn real_part(mut sheet: Sheet, entry: &Entry) -> Option<RealPart> {
    let part = sheet.parts.pop()?;
    let earlier = sheet.job.is_earlier_stage.then(|| sheet.job.stage.clone());
    Some(RealPart {
        journal: entry.journal().to_owned(),
        head: sheet.record.head,
        earlier_stage: earlier,
        is_damaged: entry.is_damaged(),
        asked: sheet.asked,
        part,
    })
}

fn told(
    assembly: &Assembly,
    serials: &[String],
    parts: &[Option<RealPart>],
    found: &Assembled,
) -> AssemblyLine {
    let members = assembly.members.iter().zip(serials).zip(parts);
    let members = members.zip(&found.members);
    let mates = assembly.mates.iter().zip(&found.mates);
    let stacks = assembly.stacks.iter().zip(&found.stacks);
    AssemblyLine {
        assembly: assembly.name.clone(),
        drawing: assembly.drawing.clone().unwrap_or_default(),
        state: found.state.word(),
        members: members
            .map(|(((member, serial), part), (state, stands))| {
                member_line(member, serial, part.as_ref(), (*state, stands))
            })
            .collect(),
        mates: mates
            .map(|(mate, told)| mate_line(assembly, mate, told))
            .collect(),
        stacks: stacks
            .map(|(row, told)| stack_line(&row.name, row.limits, told))
            .collect(),
        recorded_as: None,
    }
}

fn member_line(
    member: &Member,
    serial: &str,
    part: Option<&RealPart>,
    (state, stands): (AssembledState, &str),
) -> MemberLine {
    let earlier = part.and_then(|part| part.earlier_stage.as_deref());
    let why = match (part, earlier) {
        (None, _) => "no real part was named".to_owned(),
        (Some(part), _) if part.is_damaged => "its record is damaged".to_owned(),
        (Some(_), Some(stage)) => {
            format!("measured at the stage {}, not at the last", shown(stage))
        }
        (Some(_), None) => stands.to_owned(),
    };
    MemberLine {
        id: member.id.clone(),
        plan: member.plan_file.clone(),
        part_name: member.plan.part.name.clone(),
        serial: serial.to_owned(),
        state: state.word(),
        why,
        journal: part.map_or_else(String::new, |part| part.journal.clone()),
        part: part.map_or(0, |part| part.part.number),
        head: part.map_or_else(String::new, |part| part.head.clone()),
        assembled_into: part.map_or_else(String::new, |part| part.part.assembled_into.clone()),
    }
}

fn mate_line(assembly: &Assembly, mate: &Mate, told: &MateTold) -> MateLine {
    let name = |of: &MemberFeature| {
        let member = assembly.members.get(of.member);
        let id = member.map_or("", |member| member.id.as_str());
        format!("{id}#{}", of.feature)
    };
    MateLine {
        hole: name(&mate.hole),
        shaft: name(&mate.shaft),
        intended: mate.intended.clone(),
        intended_min_clearance: mate.clearance.0.to_mm(),
        intended_max_clearance: mate.clearance.1.to_mm(),
        state: told.state.word(),
        min_clearance: told.clearance.map(|(least, _)| least.to_mm()),
        max_clearance: told.clearance.map(|(_, most)| most.to_mm()),
        clearance_uncertainty: told.standard_nm.map(Length::steps_text),
        fit: told.kind.map(MeetingKind::code),
        interference_probability: told.interference_probability,
    }
}

fn stack_line(name: &str, limits: (Length, Length), told: &StackTold) -> StackLine {
    let gap = &told.gap;
    StackLine {
        name: name.to_owned(),
        state: told.state.word(),
        lower_limit: limits.0.to_mm(),
        upper_limit: limits.1.to_mm(),
        gap_min: gap.known.0.to_mm(),
        gap_max: gap.known.1.to_mm(),
        gap_uncertainty: gap.standard_nm.map(Length::steps_text),
        worst_case_min: gap.worst.0.to_mm(),
        worst_case_max: gap.worst.1.to_mm(),
        statistical_middle_mm: gap.middle_nm / NM_PER_MM,
        statistical_half_width_mm: gap.half_statistical_nm / NM_PER_MM,
        not_measured: told.not_measured.clone(),
    }
}
