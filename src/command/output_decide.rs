//! The JSON Lines of decisions, in `decide` and `inspect`.

use serde::Serialize;

use crate::journal::{Event, Sequence};
use crate::session::State;

/// One decision that is on the disk.
#[derive(Debug, Serialize)]
pub(super) struct DecisionLine<'a> {
    pub(super) decision: Decision<'a>,
}

/// See [`DecisionLine`]; what does not apply is null.
#[derive(Debug, Serialize)]
pub(super) struct Decision<'a> {
    /// `rework`, `scrap`, ..., `measured`, `checked`, `released`, `part_named`, `part_taken_up`,
    /// `job_noted`, `part_assembled` (`serial` is the assembly's).
    what: &'a str,
    /// 0: the session as a whole.
    part: u32,
    serial: Option<&'a str>,
    feature: Option<&'a str>,
    element: Option<&'a str>,
    /// Of a release.
    manner: Option<&'static str>,
    by: Option<&'a str>,
    reason: Option<&'a str>,
    agreed_with: Option<&'a str>,
    /// Of a signature: the line that it covers.
    covers: Option<Sequence>,
    hash: Option<&'a str>,
    /// How the part stands now.
    standing: Option<&'static str>,
    event: Sequence,
}

/// The line of an event; none for events that nobody decided.
pub(super) fn decision_line<'a>(
    sequence: Sequence,
    event: &'a Event,
    state: &State,
) -> Option<Decision<'a>> {
    let said = |text: &'a str| (!text.is_empty()).then_some(text);
    let plain = |what: &'a str, part: u32| Decision {
        what,
        part,
        serial: None,
        feature: None,
        element: None,
        manner: None,
        by: None,
        reason: None,
        agreed_with: None,
        covers: None,
        hash: None,
        standing: state.part(part).map(|part| state.standing(part).word()),
        event: sequence,
    };
    Some(match event {
        Event::PartNamed { part, serial } => Decision {
            serial: Some(serial),
            ..plain("part_named", *part)
        },
        Event::PartTakenUp { part } => plain("part_taken_up", *part),
        Event::JobNoted(_) => plain("job_noted", 0),
        Event::DispositionGiven(given) => Decision {
            feature: said(&given.feature),
            element: said(&given.element),
            by: said(&given.by),
            reason: said(&given.reason),
            agreed_with: said(&given.agreed_with),
            ..plain(given.kind.word(), given.part)
        },
        Event::PartAssembled(one) => Decision {
            serial: said(&one.serial),
            by: said(&one.by),
            ..plain("part_assembled", one.part)
        },
        Event::SignedOff(signed) => Decision {
            manner: Some(signed.manner.word()),
            by: said(&signed.by),
            reason: said(&signed.reason),
            covers: Some(signed.covers),
            hash: Some(&signed.hash),
            ..plain(signed.meaning.word(), signed.part)
        },
        _ => return None,
    })
}
