//! One line typed (or piped) at the bench: a value, or a request in one letter.

use super::inspect_decide::decision;
use super::problem::Problem;
use crate::gauge::GaugeId;
use crate::quantity::{Celsius, Length, LengthUnit, parse_entry};
use crate::session::{Command, Incoming, LineFault, Setup, Wanted, known_gauge, typed_reading};

/// What a typed line asks for.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Typed {
    /// For the writer.
    Incoming(Incoming),
    /// The gauge that typed readings are from now on.
    Gauge(GaugeId),
    /// A value of that gauge, or of the one at hand.
    Take(Option<GaugeId>),
    /// Switch cutting over.
    ToggleCutting,
    /// Show the help.
    Help,
}

impl Typed {
    /// The same; none where it names a gauge that the session does not know.
    ///
    /// # Errors
    /// Which gauges the session knows.
    pub(super) fn of_known_gauge(self, setup: &Setup) -> Result<Self, Problem> {
        let named = match &self {
            Self::Incoming(Incoming::Reading(reading)) => Some(&reading.gauge),
            Self::Gauge(gauge) | Self::Take(Some(gauge)) => Some(gauge),
            Self::Incoming(_) | Self::Take(None) | Self::ToggleCutting | Self::Help => None,
        };
        if let Some(gauge) = named {
            known_gauge(setup, gauge)?;
        }
        Ok(self)
    }
}

/// What the keys mean, for the help.
pub(super) const KEYS: &str = "\
20.009        a reading (mm; 0.788in for inches; mic-25=20.009 names the gauge)
Enter         ask the gauge, or take a value of one that streams; at the end of a sweep again
take mic-25   the same, by the gauge's name; Enter asks that one from then on
+ / -         a limit gauge goes / does not; 1.5 turns of a NO-GO screw gauge
n, next       next part (next, where a limit gauge is asked)
f B           measure feature B next
r or *        repeat the point measured last; in a study take the last reading once more
v [LINE] WHY  void the last reading, or the one of that line, with a reason
y / x [WHY]   a held reading belongs here / set it aside
c             cutting on or off
t 31 [22]     temperature of the part (and the gauge), °C; t - when it is not known
o / p HOW [RUNOUT]  part taken out / put back, how it was set true, runout found
k NOTE        tool changed
a AMOUNT NOTE tool offset applied
g mic-25      typed readings are from this gauge
z mic-25 [ON] the next reading of this gauge checks its zero (on a setting standard)
z- mic-25     no zero check after all
d mic-25 WHY  the gauge was found wrong: doubt what it measured since its last good check
w NAME        another person measures
q             close the session";

/// Reads a line; `wanted` is what the characteristic at hand takes, and `is_held` that a reading
/// waits for an answer.
///
/// # Errors
/// What the line would have to be.
pub(super) fn typed_line(
    line: &str,
    gauge: &GaugeId,
    wanted: Wanted,
    is_held: bool,
) -> Result<Typed, Problem> {
    let text = line.trim();
    let (word, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let rest = rest.trim();
    let is_check = matches!(wanted, Wanted::Check(_)) && !is_held;
    let command = match word {
        "n" if is_check => return Err(no_or_next()),
        "y" if is_check && rest.is_empty() => return reading(line, gauge, wanted),
        "n" | "next" => Command::StartNextPart,
        "r" | "*" => Command::RepeatPoint,
        "f" => choose(rest)?,
        "v" | "void" => void(rest)?,
        "y" | "x" => Command::AnswerHeld {
            belongs: word == "y",
            reason: rest.to_owned(),
        },
        "take" => {
            let named = (!rest.is_empty()).then(|| GaugeId::new(rest));
            return Ok(Typed::Take(named));
        }
        "c" => return Ok(Typed::ToggleCutting),
        "t" => temperatures(rest)?,
        "o" => Command::TakeOut,
        "p" => put_back(rest)?,
        "k" => Command::ChangeTool {
            note: rest.to_owned(),
        },
        "a" => offset(rest)?,
        "z" | "z-" => zero_check(rest, word == "z-")?,
        "d" => doubt(rest)?,
        "g" if !rest.is_empty() => return Ok(Typed::Gauge(GaugeId::new(rest))),
        "w" if !rest.is_empty() => Command::ChangeOperator {
            name: rest.to_owned(),
        },
        "q" => Command::Close {
            reason: "closed by the operator".to_owned(),
        },
        "?" => return Ok(Typed::Help),
        word => match decision(word, rest) {
            Some(command) => command?,
            None => return reading(line, gauge, wanted),
        },
    };
    Ok(Typed::Incoming(Incoming::Command(command)))
}

fn reading(line: &str, gauge: &GaugeId, wanted: Wanted) -> Result<Typed, Problem> {
    let reading = typed_reading(line, gauge, wanted)?;
    Ok(Typed::Incoming(Incoming::Reading(reading)))
}

/// `n` is the next part, and a plain no to a plug's question: neither is guessed.
fn no_or_next() -> Problem {
    Problem::bad(
        "no_or_next",
        "“n” may be no, or the next part.".to_owned(),
        Some("Write no (or -) for the answer, next for the next part."),
    )
}

fn choose(rest: &str) -> Result<Command, Problem> {
    let (feature, element) = rest.split_once(' ').unwrap_or((rest, ""));
    if feature.is_empty() {
        let message = "Which feature is to be measured next?".to_owned();
        return Err(Problem::bad(
            "feature_missing",
            message,
            Some("Write f and its id."),
        ));
    }
    let (feature, element) = (feature.to_owned(), element.trim().to_owned());
    Ok(Command::ChooseCharacteristic { feature, element })
}

fn void(rest: &str) -> Result<Command, Problem> {
    let (first, others) = rest.split_once(' ').unwrap_or((rest, ""));
    let (reading, reason) = match first.parse::<u64>() {
        Ok(number) => (Some(number), others.trim()),
        Err(_) => (None, rest),
    };
    if reason.is_empty() {
        let message = "A reading is voided only with a reason.".to_owned();
        return Err(Problem::bad(
            "reason_missing",
            message,
            Some("Write v and why."),
        ));
    }
    Ok(Command::VoidReading {
        reading,
        reason: reason.to_owned(),
    })
}

fn zero_check(rest: &str, is_dropped: bool) -> Result<Command, Problem> {
    let mut words = rest.split_whitespace();
    let Some(gauge) = words.next() else {
        return Err(Problem::bad(
            "gauge_missing",
            "The zero of which gauge?".to_owned(),
            Some("Write z, the gauge, and the standard if it is checked on one: z mic-25 block-25"),
        ));
    };
    let gauge = GaugeId::new(gauge);
    if is_dropped {
        return Ok(Command::DropZeroCheck { gauge });
    }
    Ok(Command::AskZeroCheck {
        gauge,
        standard: words.next().map(GaugeId::new),
    })
}

fn doubt(rest: &str) -> Result<Command, Problem> {
    let (gauge, reason) = rest.split_once(' ').unwrap_or((rest, ""));
    if gauge.is_empty() || reason.trim().is_empty() {
        return Err(Problem::bad(
            "reason_missing",
            "Which gauge was found wrong, and why?".to_owned(),
            Some("Write d, the gauge and the reason: d mic-25 fell on the floor"),
        ));
    }
    Ok(Command::DoubtGauge {
        gauge: GaugeId::new(gauge),
        since: None,
        reason: reason.trim().to_owned(),
    })
}

fn temperatures(rest: &str) -> Result<Command, Problem> {
    let mut words = rest.split_whitespace();
    let mut next = || match words.next() {
        None | Some("-") => Ok(None),
        Some(word) => Celsius::parse(word.trim_end_matches("°C")).map(Some),
    };
    if rest.is_empty() {
        let message = "Which temperature?".to_owned();
        return Err(Problem::bad(
            "temperature_missing",
            message,
            Some("Write t 31, or t -."),
        ));
    }
    Ok(Command::SetTemperature {
        part: next()?,
        gauge: next()?,
    })
}

fn put_back(rest: &str) -> Result<Command, Problem> {
    let (method, runout) = match rest.rsplit_once(' ') {
        Some((method, last)) => match parse_entry(last, LengthUnit::Millimetre) {
            Ok(entry) => (method.trim(), Some(entry.value)),
            Err(_) => (rest, None),
        },
        None => (rest, None),
    };
    if method.is_empty() {
        let message = "How was the part set true?".to_owned();
        let hint = "Write p, the method, and the runout found: p dial indicator 0.01";
        return Err(Problem::bad("method_missing", message, Some(hint)));
    }
    Ok(Command::PutBack {
        method: method.to_owned(),
        runout,
    })
}

fn offset(rest: &str) -> Result<Command, Problem> {
    let (amount, note) = rest.split_once(' ').unwrap_or((rest, ""));
    let amount: Length = parse_entry(amount, LengthUnit::Millimetre)?.value;
    Ok(Command::ApplyOffset {
        amount,
        note: note.trim().to_owned(),
    })
}

/// Why a typed line is none.
pub(super) fn line_problem(fault: LineFault) -> Problem {
    match fault {
        LineFault::TooLong => Problem::bad(
            "line_too_long",
            "The line is too long to be a reading.".to_owned(),
            Some("Give one value a line."),
        ),
        LineFault::NotText => Problem::bad(
            "line_not_text",
            "The line is not UTF-8 text.".to_owned(),
            Some("Give values as plain text."),
        ),
    }
}

/// Why a size that was typed is not taken.
pub(super) fn not_typed() -> Problem {
    Problem::bad(
        "no_typed_gauge",
        "Readings come from the gauge here, not from the keyboard.".to_owned(),
        Some("Start with --gauge typed, or --gauge ID=typed, to type readings."),
    )
}

#[cfg(test)]
mod tests {
    use super::{Typed, typed_line};
    use crate::gauge::{GaugeId, Observed};
    use crate::quantity::{Angle, Celsius, Length};
    use crate::session::{Command, Incoming, Wanted};

    fn command(line: &str) -> Command {
        match typed_line(line, &GaugeId::new("typed"), Wanted::Length, false) {
            Ok(Typed::Incoming(Incoming::Command(command))) => command,
            other => panic!("{line}: {other:?}"),
        }
    }

    #[test]
    fn a_value_keeps_its_decimals_its_unit_and_the_characters_typed() {
        let Ok(Typed::Incoming(Incoming::Reading(reading))) =
            typed_line(" 20,0090 ", &GaugeId::new("mic-25"), Wanted::Length, false)
        else {
            panic!("not a reading")
        };
        assert_eq!(reading.observed, Observed::Length(Length::from_um(20_009)));
        assert_eq!(
            (reading.shown.decimals, reading.raw.as_slice()),
            (4, &b" 20,0090 "[..])
        );
        assert_eq!(reading.gauge.as_str(), "mic-25");
        let Ok(Typed::Incoming(Incoming::Reading(named))) = typed_line(
            "cal = 0.5in",
            &GaugeId::new("mic-25"),
            Wanted::Length,
            false,
        ) else {
            panic!("not a reading")
        };
        assert_eq!(named.observed, Observed::Length(Length::from_um(12_700)));
        assert_eq!(named.gauge.as_str(), "cal");
        let Ok(Typed::Incoming(Incoming::Reading(angle))) =
            typed_line("29°59'", &GaugeId::new("a"), Wanted::Angle, false)
        else {
            panic!("not a reading")
        };
        assert_eq!(angle.observed, Observed::Angle(Angle::from_minutes(1799)));
    }

    #[test]
    fn each_letter_asks_for_what_the_help_says() {
        assert_eq!(command("n"), Command::StartNextPart);
        let void = |reading, reason: &str| Command::VoidReading {
            reading,
            reason: reason.into(),
        };
        assert_eq!(command("v tilted gauge"), void(None, "tilted gauge"));
        assert_eq!(
            command("v 17 chip under it"),
            void(Some(17), "chip under it")
        );
        let celsius = |milli| Some(Celsius::from_milli(milli));
        let set = |part, gauge| Command::SetTemperature { part, gauge };
        assert_eq!(command("t 31,5 22"), set(celsius(31_500), celsius(22_000)));
        assert_eq!(command("t -"), set(None, None));
        let back = Command::PutBack {
            method: "dial indicator".to_owned(),
            runout: Some(Length::from_um(10)),
        };
        assert_eq!(command("p dial indicator 0.01"), back);
    }

    #[test]
    fn nonsense_is_refused_and_asks_for_what_is_missing() {
        for (line, code) in [
            ("", "empty"),
            ("hello", "bad_character"),
            ("1.2.3", "bad_character"),
            ("v", "reason_missing"),
            ("v 12", "reason_missing"),
            ("t", "temperature_missing"),
            ("t hot", "bad_character"),
            ("f", "feature_missing"),
            ("p", "method_missing"),
            ("99999999", "out_of_range"),
        ] {
            assert_eq!(
                typed_line(line, &GaugeId::new("typed"), Wanted::Length, false)
                    .unwrap_err()
                    .code,
                code,
                "{line}"
            );
        }
    }
}
