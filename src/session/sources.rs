//! Where readings come from, as `--gauge` says it.

use super::begin::{Begin, What};
use super::begin_error::BeginError;
use super::begin_import::IMPORTED_SOURCE;
use crate::gauge::{Gauge, GaugeId, Register};
use crate::journal::GaugeSource;
use crate::wire::PortAddress;

/// The kind of a source.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum SourceKind {
    /// A serial port.
    Serial(PortAddress),
    /// The simulated gauge with its seed.
    Simulated(u64),
    /// Lines of standard input.
    Typed,
}

/// One source: which gauge, from where, decoded how.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Source {
    /// The gauge; empty when none was named.
    pub(super) gauge: String,
    /// From where.
    pub(super) kind: SourceKind,
    /// Name of its adapter, if one was named.
    pub(super) adapter: Option<String>,
    /// As given, for the record.
    pub(super) text: String,
}

/// The gauge of typed readings when none was named.
pub const UNNAMED_TYPED: &str = "typed";

const SOURCE_HINT: &str = "Write serial:PORT, simulated, simulated:SEED or typed, with ID= before \
                           and @ADAPTER behind it if need be.";

/// The sources asked for; a gauge of the register that has a port may be named alone.
///
/// # Errors
/// What cannot be read as a source, or is given twice.
pub(super) fn sources(begin: &Begin, register: &Register) -> Result<Vec<Source>, BeginError> {
    let mut all = Vec::new();
    for text in &begin.gauges {
        let source = source_by(text, begin.adapter.as_deref(), register)?;
        known(&source, register)?;
        all.push(source);
    }
    if all.is_empty() {
        let (kind, text) = match begin.what {
            What::Demo => (SourceKind::Simulated(1), "simulated:1"),
            _ => (SourceKind::Typed, "typed"),
        };
        all.push(Source {
            gauge: String::new(),
            kind,
            adapter: None,
            text: text.to_owned(),
        });
    }
    once_each(all)
}

/// The sources of a record again, each with the adapter named now, else the recorded one.
///
/// # Errors
/// As [`sources`].
pub(super) fn recorded_sources(
    recorded: &[GaugeSource],
    adapter: Option<&str>,
    register: &Register,
) -> Result<Vec<Source>, BeginError> {
    let mut all: Vec<Source> = Vec::new();
    for one in recorded {
        // An unnamed simulated source stands for several gauges, and is one source all the same.
        if all.iter().any(|other| other.text == one.source) {
            continue;
        }
        if one.source.starts_with(IMPORTED_SOURCE) {
            // What a table began, a person may finish.
            let typed = format!("{UNNAMED_TYPED}={UNNAMED_TYPED}");
            let is_there = all.iter().any(|other| other.text == typed);
            if !is_there {
                all.push(source(&typed, register)?);
            }
            continue;
        }
        let then = Some(one.adapter.as_str()).filter(|name| !name.is_empty());
        all.push(source_by(&one.source, adapter.or(then), register)?);
    }
    once_each(all)
}

/// One source; `adapter` decodes it unless it names one itself.
fn source_by(text: &str, adapter: Option<&str>, register: &Register) -> Result<Source, BeginError> {
    let mut source = source(text, register)?;
    if source.adapter.is_none() && !matches!(source.kind, SourceKind::Typed) {
        source.adapter = adapter.map(str::to_owned);
    }
    Ok(source)
}

/// A gauge that is named must be in the register: a slip in its name would leave readings without
/// an uncertainty.
fn known(source: &Source, register: &Register) -> Result<(), BeginError> {
    let gauge = source.gauge.as_str();
    if gauge.is_empty() || gauge == UNNAMED_TYPED || register.gauge(&GaugeId::new(gauge)).is_some()
    {
        return Ok(());
    }
    let ids: Vec<&str> = register
        .gauges()
        .iter()
        .map(|one| one.id.as_str())
        .collect();
    let message = format!(
        "The gauge “{}” is not in the register.",
        gauge.escape_debug()
    );
    let hint = if ids.is_empty() {
        "The register is empty: add the gauge to gauges.toml in the workspace, with id and kind, \
         or leave ID= out."
            .to_owned()
    } else {
        format!(
            "Known are {}; others are added in gauges.toml.",
            ids.join(", ")
        )
    };
    Err(BeginError::bad("gauge_unknown", message, Some(&hint)))
}

fn once_each(all: Vec<Source>) -> Result<Vec<Source>, BeginError> {
    for (at, source) in all.iter().enumerate() {
        let again = all
            .iter()
            .take(at)
            .any(|other| !source.gauge.is_empty() && other.gauge == source.gauge);
        if again {
            let message = format!(
                "The gauge “{}” has two sources.",
                source.gauge.escape_debug()
            );
            return Err(BeginError::bad(
                "source_twice",
                message,
                Some("Leave one of them out."),
            ));
        }
    }
    Ok(all)
}

fn source(text: &str, register: &Register) -> Result<Source, BeginError> {
    let (gauge, rest) = match text.split_once('=') {
        Some((gauge, rest)) if !gauge.is_empty() => (gauge, rest),
        Some(_) => return Err(unreadable(text, "there is nothing before =")),
        None => match register.gauge(&GaugeId::new(text)) {
            Some(gauge) => return of_register(gauge, text),
            None => ("", text),
        },
    };
    let (place, adapter) = match rest.rsplit_once('@') {
        Some((_, "")) => return Err(unreadable(text, "there is no adapter behind @")),
        Some((place, adapter)) => (place, Some(adapter.to_owned())),
        None => (rest, None),
    };
    let kind = match place.split_once(':') {
        None if place == "typed" => SourceKind::Typed,
        None if place == "simulated" => SourceKind::Simulated(1),
        Some(("simulated", seed)) => match seed.parse() {
            Ok(seed) => SourceKind::Simulated(seed),
            Err(_) => return Err(unreadable(text, "the seed is no whole number")),
        },
        Some(("serial", port)) if !port.is_empty() => SourceKind::Serial(PortAddress::new(port)),
        _ => {
            return Err(unreadable(
                text,
                "it is neither serial, simulated nor typed",
            ));
        }
    };
    let mut gauge = gauge.to_owned();
    if let (SourceKind::Serial(address), true) = (&kind, gauge.is_empty()) {
        gauge = bound_gauge(register, address).unwrap_or_default();
    }
    Ok(Source {
        gauge,
        kind,
        adapter,
        text: text.to_owned(),
    })
}

/// The gauge of the register that is bound to that port: rather to just this one than to any of
/// its kind.
fn bound_gauge(register: &Register, address: &PortAddress) -> Option<String> {
    let bound = |is_there: &dyn Fn(PortAddress) -> bool| {
        register.gauges().iter().find(|gauge| {
            let port = gauge.port.as_ref();
            port.is_some_and(|port| is_there(PortAddress::from(&port.place)))
        })
    };
    bound(&|port| port == *address)
        .or_else(|| bound(&|port| port.means(address)))
        .map(|gauge| gauge.id.as_str().to_owned())
}

fn of_register(gauge: &Gauge, text: &str) -> Result<Source, BeginError> {
    let Some(port) = &gauge.port else {
        let message = format!("The gauge “{text}” has no port in the register.");
        let hint = format!("Say where it is: {text}=serial:PORT or {text}=typed.");
        return Err(BeginError::bad("gauge_without_port", message, Some(&hint)));
    };
    let name = PortAddress::from(&port.place);
    Ok(Source {
        gauge: text.to_owned(),
        kind: SourceKind::Serial(name),
        adapter: port.adapter.clone(),
        text: text.to_owned(),
    })
}

fn unreadable(text: &str, what: &str) -> BeginError {
    let message = format!("“{}” is no source: {what}.", text.escape_debug());
    BeginError::bad("source_unreadable", message, Some(SOURCE_HINT))
}

#[cfg(test)]
mod tests {
    use super::{Source, SourceKind, source};
    use crate::gauge::Register;
    use crate::wire::PortAddress;

    const REGISTER: &str = "\
[[gauge]]\nid = \"mic-25\"\nkind = \"outside_micrometer\"\nport = { path = \"/dev/ttyUSB0\", \
adapter = \"line-strict\" }\n[[gauge]]\nid = \"cal\"\nkind = \"caliper\"\n\
[[gauge]]\nid = \"any\"\nkind = \"caliper\"\nport = { usb = \"1209:0001\" }\n\
[[gauge]]\nid = \"bench\"\nkind = \"caliper\"\nport = { usb = \"1209:0001:BENCH3\" }\n";

    fn read(text: &str) -> Result<Source, String> {
        let register = Register::parse(REGISTER, "gauges.toml").unwrap();
        source(text, &register).map_err(|error| error.message)
    }

    fn serial(path: &str) -> SourceKind {
        SourceKind::Serial(PortAddress::new(path))
    }

    #[test]
    fn each_form_of_a_source_is_read() {
        for (text, gauge, kind, adapter) in [
            ("typed", "", SourceKind::Typed, None),
            ("mic-25=typed", "mic-25", SourceKind::Typed, None),
            ("simulated", "", SourceKind::Simulated(1), None),
            ("simulated:7", "", SourceKind::Simulated(7), None),
            (
                "x=serial:/dev/pts/3@line-free",
                "x",
                serial("/dev/pts/3"),
                Some("line-free"),
            ),
            (
                "serial:/dev/ttyUSB0",
                "mic-25",
                serial("/dev/ttyUSB0"),
                None,
            ),
            (
                "serial:1209:0001:BENCH3",
                "bench",
                serial("1209:0001:BENCH3"),
                None,
            ),
            (
                "serial:1209:0001:BENCH4",
                "any",
                serial("1209:0001:BENCH4"),
                None,
            ),
            ("serial:1209:0002", "", serial("1209:0002"), None),
            (
                "mic-25",
                "mic-25",
                serial("/dev/ttyUSB0"),
                Some("line-strict"),
            ),
        ] {
            let found = read(text).unwrap();
            let known = (found.gauge.as_str(), found.kind, found.adapter.as_deref());
            assert_eq!(known, (gauge, kind, adapter), "{text}");
        }
        let usb = read("a=serial:1209:0001:BENCH3").unwrap();
        assert_eq!(usb.kind, serial("1209:0001:BENCH3"));
        assert!(matches!(usb.kind, SourceKind::Serial(PortAddress::Usb(_))));
    }

    #[test]
    fn what_is_no_source_is_refused_with_the_reason() {
        for (text, message) in [
            (
                "",
                "“” is no source: it is neither serial, simulated nor typed.",
            ),
            (
                "usb",
                "“usb” is no source: it is neither serial, simulated nor typed.",
            ),
            (
                "=typed",
                "“=typed” is no source: there is nothing before =.",
            ),
            (
                "simulated:x",
                "“simulated:x” is no source: the seed is no whole number.",
            ),
            (
                "serial:",
                "“serial:” is no source: it is neither serial, simulated nor typed.",
            ),
            (
                "typed@",
                "“typed@” is no source: there is no adapter behind @.",
            ),
            ("cal", "The gauge “cal” has no port in the register."),
        ] {
            assert_eq!(read(text), Err(message.to_owned()));
        }
    }
}
