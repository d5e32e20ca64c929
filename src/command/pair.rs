//! `fitledger pair`: which of many measured holes takes which of many measured shafts.

use std::io::{self, Read};

use super::arguments_pair::{ObjectiveName, PairArguments};
use super::exit::Exit;
use super::house::{self, InForce};
use super::output::{Output, Stopped};
use super::output_pair::{LeftLine, PairLine, PairingLine};
use super::pair_table::{PairTable, pair_table};
use super::problem::Problem;
use super::table::{Column, Row, cell, laid_out, numbers, words};
use crate::pair::{LeftOver, Pairing, most_pairing, nearest_pairing};
use crate::quantity::Length;
use crate::report::shown;
use crate::session::Workspace;
use crate::tolerance::{CalloutLimits, parse_callout_in};

/// What an error about the table as a whole names.
const INPUT: &str = "pair";
/// More bytes than that are refused (chosen: 200 000 parts with names).
const BYTES_MAX: u64 = 32 * 1024 * 1024;
const COLUMNS: &[Column] = &[
    words("hole"),
    words("shaft"),
    numbers("hole"),
    numbers("shaft"),
    numbers("clearance"),
    words("keeps the fit"),
];

/// Reads the table and answers.
pub(super) fn run(
    arguments: &PairArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    // What is wrong with the question is told before the table is waited for.
    let asked = match Asked::new(arguments, workspace) {
        Ok(asked) => asked,
        Err(problem) => return out.refuse(arguments.json, &arguments.fit, &problem),
    };
    let mut bytes = Vec::new();
    let read = io::stdin()
        .lock()
        .take(BYTES_MAX + 1)
        .read_to_end(&mut bytes);
    let text = match read {
        Ok(_) if bytes.len() as u64 > BYTES_MAX => {
            let message = "The table is longer than 32 MiB.".to_owned();
            let problem = Problem::bad("too_long", message, None);
            return out.refuse(arguments.json, INPUT, &problem);
        }
        Ok(_) => String::from_utf8_lossy(&bytes).into_owned(),
        Err(error) => {
            let message = format!("Standard input could not be read: {error}.");
            let problem = Problem::outside("input_unreadable", message, None);
            return out.refuse(arguments.json, INPUT, &problem);
        }
    };
    let table = match pair_table(&text) {
        Ok(table) => table,
        Err(bad) => {
            for line in bad {
                out.refuse(arguments.json, &line.input, &line.problem)?;
            }
            return Ok(());
        }
    };
    let line = asked.line(&table);
    if line.in_range < line.pairs.len() || line.pairs.is_empty() {
        out.note(Exit::NotGood);
    }
    match arguments.json {
        true => out.json(&line),
        false => {
            let screen = out.screen();
            let rows: Vec<Row> = line.pairs.iter().map(row).collect();
            let mut text = laid_out(COLUMNS, &rows, screen);
            text += &below(&line);
            out.text(&text)
        }
    }
}

/// What is asked of the table.
struct Asked {
    fit: String,
    range: (Length, Length),
    objective: ObjectiveName,
    wanted: Length,
}

impl Asked {
    fn new(arguments: &PairArguments, workspace: &Workspace) -> Result<Self, Problem> {
        let in_force = InForce::new(workspace, None, None)?;
        let context = in_force.context();
        let limits = parse_callout_in(&arguments.fit, context.tables)?.limits(&context)?;
        let CalloutLimits::Fit(fit) = limits else {
            let message = format!("{} is no fit of plain sizes.", shown(&arguments.fit));
            let hint = Some("Give both classes, such as 25 H7/g6.");
            return Err(Problem::bad("not_a_fit", message, hint));
        };
        let range = (fit.min_clearance(), fit.max_clearance());
        let wanted = arguments.wanted.as_deref().map(house::length).transpose()?;
        Ok(Self {
            fit: arguments.fit.trim().to_owned(),
            range,
            objective: arguments.objective,
            wanted: wanted.unwrap_or_else(|| (range.0 + range.1).div_half_even(2)),
        })
    }

    fn line(&self, table: &PairTable) -> PairingLine {
        let sizes = |list: &[(String, Length)]| -> Vec<Length> {
            list.iter().map(|(_, size)| *size).collect()
        };
        let (holes, shafts) = (sizes(&table.holes), sizes(&table.shafts));
        let found: Pairing = match self.objective {
            ObjectiveName::Nearest => nearest_pairing(&holes, &shafts, self.wanted),
            ObjectiveName::Most => most_pairing(&holes, &shafts, self.range),
        };
        let named = |list: &[(String, Length)], at: usize| -> (String, String) {
            let one = list.get(at);
            one.map_or_else(Default::default, |(name, size)| {
                (name.clone(), size.to_mm())
            })
        };
        let left = |list: &[(String, Length)], all: &[(usize, LeftOver)]| -> Vec<LeftLine> {
            let all = all.iter().map(|(at, why)| {
                let (part, size) = named(list, *at);
                LeftLine {
                    part,
                    size,
                    why: why.code(),
                }
            });
            all.collect()
        };
        let pairs = found.pairs.iter().map(|pair| {
            let (hole, hole_size) = named(&table.holes, pair.hole);
            let (shaft, shaft_size) = named(&table.shafts, pair.shaft);
            PairLine {
                hole,
                shaft,
                hole_size,
                shaft_size,
                clearance: pair.clearance.to_mm(),
                in_range: (self.range.0..=self.range.1).contains(&pair.clearance),
            }
        });
        let pairs: Vec<PairLine> = pairs.collect();
        let is_nearest = self.objective == ObjectiveName::Nearest;
        PairingLine {
            fit: self.fit.clone(),
            objective: if is_nearest { "nearest" } else { "most" },
            min_clearance: self.range.0.to_mm(),
            max_clearance: self.range.1.to_mm(),
            wanted_clearance: is_nearest.then(|| self.wanted.to_mm()),
            in_range: pairs.iter().filter(|pair| pair.in_range).count(),
            pairs,
            holes_left: left(&table.holes, &found.holes_left),
            shafts_left: left(&table.shafts, &found.shafts_left),
        }
    }
}

fn row(pair: &PairLine) -> Row {
    let keeps = if pair.in_range { "yes" } else { "no" };
    vec![
        cell(&pair.hole),
        cell(&pair.shaft),
        cell(pair.hole_size.clone()),
        cell(pair.shaft_size.clone()),
        cell(pair.clearance.clone()),
        cell(keeps),
    ]
}

fn below(line: &PairingLine) -> String {
    let mut text = format!(
        "{} of {} pairs keep {}, clearance {} to {} mm\n",
        line.in_range,
        line.pairs.len(),
        shown(&line.fit),
        line.min_clearance,
        line.max_clearance
    );
    for (kind, left) in [("hole", &line.holes_left), ("shaft", &line.shafts_left)] {
        for one in left {
            let why = match one.why {
                "too_tight" => "too tight for every other half that is left",
                "too_loose" => "too loose for every other half that is left",
                "none_between" => "too tight for some of what is left and too loose for the rest",
                _ => "there is no other half left",
            };
            text += &format!(
                "{kind} {} ({} mm) is left: {why}\n",
                shown(&one.part),
                one.size
            );
        }
    }
    text
}
