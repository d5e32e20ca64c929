//! Where readings come from, as `--gauge` says it.

use super::arguments::InspectArguments;
use super::problem::Problem;
use crate::gauge::{Gauge, GaugeId, PortPlace, Register};
use crate::wire::{PortAddress, UsbIdentity};

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

const SOURCE_HINT: &str = "Write serial:PORT, simulated, simulated:SEED or typed, with ID= before \
                           and @ADAPTER behind it if need be.";

/// The sources asked for; a gauge of the register that has a port may be named alone.
///
/// # Errors
/// What cannot be read as a source, or is given twice.
pub(super) fn sources(
    arguments: &InspectArguments,
    register: &Register,
) -> Result<Vec<Source>, Problem> {
    let mut all = Vec::new();
    for text in &arguments.gauge {
        let mut source = source(text, register)?;
        if source.adapter.is_none() && !matches!(source.kind, SourceKind::Typed) {
            source.adapter.clone_from(&arguments.adapter);
        }
        all.push(source);
    }
    if all.is_empty() && arguments.demo {
        all.push(Source {
            gauge: String::new(),
            kind: SourceKind::Simulated(1),
            adapter: None,
            text: "simulated:1".to_owned(),
        });
    }
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
            return Err(Problem::bad(
                "source_twice",
                message,
                Some("Leave one of them out."),
            ));
        }
    }
    Ok(all)
}

fn source(text: &str, register: &Register) -> Result<Source, Problem> {
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
    if let (SourceKind::Serial(PortAddress::Path(path)), true) = (&kind, gauge.is_empty()) {
        gauge = bound_gauge(register, path).unwrap_or_default();
    }
    Ok(Source {
        gauge,
        kind,
        adapter,
        text: text.to_owned(),
    })
}

/// The gauge of the register that is bound to a port of that path.
fn bound_gauge(register: &Register, path: &str) -> Option<String> {
    let place = PortPlace::Path(path.to_owned());
    let bound = |gauge: &&Gauge| gauge.port.as_ref().is_some_and(|port| port.place == place);
    register
        .gauges()
        .iter()
        .find(bound)
        .map(|gauge| gauge.id.as_str().to_owned())
}

fn of_register(gauge: &Gauge, text: &str) -> Result<Source, Problem> {
    let Some(port) = &gauge.port else {
        let message = format!("The gauge “{text}” has no port in the register.");
        let hint = format!("Say where it is: {text}=serial:PORT or {text}=typed.");
        return Err(Problem::bad("gauge_without_port", message, Some(&hint)));
    };
    let name = match &port.place {
        PortPlace::Path(path) => PortAddress::Path(path.clone()),
        PortPlace::Usb {
            vendor,
            product,
            serial,
        } => PortAddress::Usb(UsbIdentity {
            vendor: *vendor,
            product: *product,
            serial: serial.clone(),
        }),
    };
    Ok(Source {
        gauge: text.to_owned(),
        kind: SourceKind::Serial(name),
        adapter: port.adapter.clone(),
        text: text.to_owned(),
    })
}

fn unreadable(text: &str, what: &str) -> Problem {
    let message = format!("“{}” is no source: {what}.", text.escape_debug());
    Problem::bad("source_unreadable", message, Some(SOURCE_HINT))
}

#[cfg(test)]
mod tests {
    use super::{Source, SourceKind, source};
    use crate::gauge::Register;
    use crate::wire::PortAddress;

    const REGISTER: &str = "\
[[gauge]]\nid = \"mic-25\"\nkind = \"outside_micrometer\"\nport = { path = \"/dev/ttyUSB0\", \
adapter = \"line-strict\" }\n[[gauge]]\nid = \"cal\"\nkind = \"caliper\"\n";

    fn read(text: &str) -> Result<Source, String> {
        let register = Register::parse(REGISTER, "gauges.toml").unwrap();
        source(text, &register).map_err(|problem| problem.message)
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
