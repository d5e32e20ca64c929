//! From a lesson to what it taught: every line setting that was heard, every way to cut frames,
//! every way to read them; what explains all presses of a setting wins.

use super::draft::Draft;
use super::framing::{Cut, CutKind, Heard, cuts};
use super::problem::TeachProblem;
use super::setting::{line_text, seven_bit};
use super::skeleton::runs;
use super::{Lesson, Press, Role, Taught, binary, groups, prove, registers, text};
use crate::wire::adapter::LineSettings;

/// Digits that a text must hold in a row to be worth a look.
const RUN_MIN: usize = 3;

/// What was heard at one line setting looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Likeness {
    /// Not one byte.
    Nothing,
    /// Bytes that say nothing.
    Noise,
    /// Text with digits, or a burst that only a second size can explain.
    Readable,
    /// It agrees with what was measured.
    Agrees,
}

/// Everything that was heard at one line setting, read as that line or as the line that it must
/// have been.
struct View {
    line: LineSettings,
    presses: Vec<Press>,
    words: String,
}

fn views(lesson: &Lesson) -> Vec<View> {
    let mut lines: Vec<LineSettings> = Vec::new();
    for press in &lesson.presses {
        if !lines.contains(&press.line) {
            lines.push(press.line);
        }
    }
    let mut found = Vec::new();
    for line in lines {
        let presses: Vec<Press> = lesson
            .presses
            .iter()
            .filter(|press| press.line == line && !press.chunks.concat().is_empty())
            .cloned()
            .collect();
        let bytes: Vec<u8> = presses.iter().flat_map(|p| p.chunks.concat()).collect();
        if let Some(true_line) = seven_bit(line, &bytes) {
            let mut masked = presses.clone();
            for byte in masked.iter_mut().flat_map(|p| &mut p.chunks).flatten() {
                *byte &= 0x7f;
            }
            let words = format!(
                "The line is {}: read with 8 bits, every byte has the parity of 7 bits.",
                line_text(true_line)
            );
            found.push(View {
                line: true_line,
                presses: masked,
                words,
            });
        }
        found.push(View {
            line,
            presses,
            words: format!("The line is {}.", line_text(line)),
        });
    }
    found
}

/// What was heard at the lesson's settings so far, before anything is known for sure.
pub fn likeness(lesson: &Lesson) -> Likeness {
    let taught = teach(lesson);
    if taught.draft.is_some() {
        return Likeness::Agrees;
    }
    let views = views(lesson);
    if views.iter().all(|view| view.presses.is_empty()) {
        return Likeness::Nothing;
    }
    let readable = |cut: &Cut| {
        cut.kind == CutKind::Text
            && cut.samples.iter().all(|sample| {
                let text = String::from_utf8_lossy(&sample.bytes);
                runs(&text).iter().any(|(from, to)| to - from >= RUN_MIN)
            })
    };
    let texts = views.iter().flat_map(|view| cuts(&heard(&view.presses)));
    let one_size = taught.problem == Some(TeachProblem::OneSize);
    match one_size || texts.into_iter().any(|cut| readable(&cut)) {
        true => Likeness::Readable,
        false => Likeness::Noise,
    }
}

fn heard(presses: &[Press]) -> Vec<Heard> {
    let pairs = presses
        .iter()
        .map(|press| (press.role, press.chunks.clone()));
    pairs.collect()
}

/// What a lesson teaches: the adapter as far as it is known, or why there is none yet.
pub fn teach(lesson: &Lesson) -> Taught {
    let mut best = Taught {
        problem: Some(TeachProblem::NothingHeard),
        ..Taught::default()
    };
    let mut most = 0;
    for view in views(lesson) {
        let count = view.presses.len();
        if count == 0 {
            continue;
        }
        let taught = taught_by(&view, lesson);
        let better = match (&taught.problem, &best.problem) {
            (None, Some(_)) => true,
            (Some(_), None) => false,
            (None, None) => count > most,
            (Some(one), Some(other)) => (count, one.rank()) > (most, other.rank()),
        };
        if better {
            (best, most) = (taught, count);
        }
    }
    best
}

fn taught_by(view: &View, lesson: &Lesson) -> Taught {
    let error = super::factor::nm(lesson.error);
    let whole = found(&view.presses, error).and_then(|found| finished(view, lesson, &found));
    let confirms = |press: &&Press| matches!(press.role, Role::Confirm(_));
    let mut confirming = view.presses.iter().filter(confirms);
    let fresh = view.presses.iter().filter(confirms).all(|press| {
        let used = |other: &Press| {
            let sized = matches!(other.role, Role::Size(_) | Role::OtherUnit(_));
            let apart =
                super::factor::nm(other.role.expected()) - super::factor::nm(press.role.expected());
            sized && apart.abs() <= 3 * error
        };
        !view.presses.iter().any(used)
    });
    match (whole, confirming.next()) {
        (Ok(taught), Some(_)) if fresh => Taught {
            confirmed: true,
            ..taught
        },
        (Ok(taught), Some(press)) => Taught {
            problem: Some(TeachProblem::NotFresh {
                size: press.role.expected(),
            }),
            draft: None,
            ..taught
        },
        (Ok(taught), None) => taught,
        (Err(problem @ TeachProblem::NotProven { .. }), _) | (Err(problem), None) => {
            failed(problem)
        }
        (Err(problem), Some(press)) => {
            let taught: Vec<Press> = view
                .presses
                .iter()
                .filter(|p| !confirms(p))
                .cloned()
                .collect();
            let without = found(&taught, error);
            match without {
                Ok(_) => failed(TeachProblem::NotConfirmed {
                    size: press.role.expected(),
                }),
                Err(_) => failed(problem),
            }
        }
    }
}

fn failed(problem: TeachProblem) -> Taught {
    Taught {
        problem: Some(problem),
        ..Taught::default()
    }
}

/// The way to cut and to read that explains all presses.
fn found(presses: &[Press], error: i128) -> Result<(Cut, Draft), TeachProblem> {
    let mut problem = TeachProblem::NoLine;
    for cut in cuts(&heard(presses)) {
        type Reader = fn(&Cut, i128) -> Result<Draft, TeachProblem>;
        let text: Reader = |cut, error| text::read(&cut.samples, error);
        let readers: &[Reader] = match cut.kind {
            CutKind::Text => &[groups::read, text],
            CutKind::Bursts => &[registers::read, groups::read, binary::read],
        };
        for reader in readers {
            match reader(&cut, error) {
                Ok(draft) => return Ok((cut, draft)),
                Err(other) => problem = problem.further(other),
            }
        }
    }
    Err(problem)
}

/// The draft's text, proven, with everything that was found in words.
fn finished(
    view: &View,
    lesson: &Lesson,
    (cut, draft): &(Cut, Draft),
) -> Result<Taught, TeachProblem> {
    let mut draft = draft.clone();
    let has = |wanted: fn(&Role) -> bool| view.presses.iter().any(|p| wanted(&p.role));
    let mut sizes: Vec<i64> = view
        .presses
        .iter()
        .filter(|press| matches!(press.role, Role::Size(_)))
        .map(|press| press.role.expected().as_nm())
        .collect();
    sizes.sort_unstable();
    sizes.dedup();
    match sizes.len() {
        1 => draft.assumed.push(
            "Only one size was taught: scale, unit and width of the number rest on it alone."
                .into(),
        ),
        2 => draft
            .assumed
            .push("Two sizes were taught: that the gauge is linear was not seen.".into()),
        _ => {}
    }
    if view.line.data_bits == 7 {
        draft
            .assumed
            .push("Stop bits: 1 and 2 look alike to the receiver.".into());
    }
    draft.unknown.push(
        "What the gauge sends when its battery is low, or out of its range: it is refused until \
         it is added."
            .into(),
    );
    if !has(|role| matches!(role, Role::Zeroed { .. })) {
        draft
            .unknown
            .push("How a negative reading looks: none was asked for.".into());
    }
    let own = Lesson {
        presses: view.presses.clone(),
        ..lesson.clone()
    };
    let text = draft.text(view.line, cut, &own);
    let mut decoded = view.presses.clone();
    decoded.retain(|press| !(draft.unit_not_sent && matches!(press.role, Role::OtherUnit(_))));
    prove::prove(&text, &decoded, super::factor::nm(lesson.error))
        .map_err(|why| TeachProblem::NotProven { why })?;
    let mut found = vec![
        view.words.clone(),
        format!("The gauge sends {}.", cut.words),
    ];
    found.append(&mut draft.found);
    Ok(Taught {
        line: Some(view.line),
        found,
        unknown: draft.unknown,
        assumed: draft.assumed,
        problem: None,
        draft: Some(text),
        confirmed: false,
    })
}
