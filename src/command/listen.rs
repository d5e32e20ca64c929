//! `fitledger listen`: raw bytes and decoded events of a gauge, live, until Ctrl-C.
//!
//! Nothing is recorded here, and nothing is sent but what the adapter's description asks for.

use crate::session::{Workspace, adapter_named};
use crate::wire::{
    Adapter, Decoder, PortAddress, PortError, PortNews, SerialLine, Trigger, read_port,
};

use super::arguments_wire::ListenArguments;
use super::decode;
use super::output::{Output, Stopped};
use super::output_wire::{BytesLine, WireEvent};
use super::problem::Problem;
use super::signals::Interrupted;

/// Bytes of one line of the listing.
const BYTES_A_LINE: usize = 16;

/// Listens until Ctrl-C, or until the port fails.
pub(super) fn run(
    arguments: &ListenArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let opened = adapter_named(workspace, &arguments.adapter)
        .map_err(Problem::from)
        .and_then(|adapter| Ok((opened(&arguments.gauge, &adapter)?, adapter)));
    let (mut port, adapter) = match opened {
        Ok(opened) => opened,
        Err(problem) => return out.refuse(arguments.json, &arguments.gauge, &problem),
    };
    let stop = match Interrupted::watched() {
        Ok(stop) => stop,
        Err(error) => {
            let message = format!("Ctrl-C cannot be watched: {error}.");
            let problem = Problem::outside("signal_failed", message, None);
            return out.refuse(arguments.json, &arguments.gauge, &problem);
        }
    };
    for warning in port.warnings() {
        out.message(&warning.to_string());
    }
    out.message(&format!(
        "Listening at {} with the adapter {}; Ctrl-C ends.",
        port.path(),
        adapter.name()
    ));
    let mut listener = Listener {
        decoder: Decoder::new(adapter),
        json: arguments.json,
        stop,
        written: Ok(()),
    };
    let ended = listener.listen(&mut port, out);
    listener.written?;
    match ended {
        Ok(()) => Ok(()),
        Err(error) => out.refuse(arguments.json, &arguments.gauge, &error.into()),
    }
}

/// The port that `serial:PORT` names, set as the adapter says.
fn opened(source: &str, adapter: &Adapter) -> Result<SerialLine, Problem> {
    let Some(place) = source
        .strip_prefix("serial:")
        .filter(|place| !place.is_empty())
    else {
        let message = format!(
            "“{}” is no source that can be listened to.",
            source.escape_debug()
        );
        let hint = Some("Give serial:PORT, such as serial:/dev/ttyUSB0 or serial:1209:0001.");
        return Err(Problem::bad("bad_source", message, hint));
    };
    let Some(line) = adapter.line() else {
        let message = format!("The adapter {} types like a keyboard.", adapter.name());
        let hint = Some("Name the adapter of a serial line.");
        return Err(Problem::bad("adapter_has_no_line", message, hint));
    };
    Ok(SerialLine::open(&PortAddress::new(place), line)?)
}

struct Listener {
    decoder: Decoder,
    json: bool,
    stop: Interrupted,
    written: Result<(), Stopped>,
}

impl Listener {
    /// Writes whatever comes until the end is wished for. A gauge that must be asked is asked
    /// again whenever the line has been idle.
    fn listen(&mut self, port: &mut SerialLine, out: &mut Output) -> Result<(), PortError> {
        let trigger = self.decoder.adapter().trigger().clone();
        let asks = matches!(trigger, Trigger::Request { .. } | Trigger::LinePulse { .. });
        loop {
            port.request(&trigger)?;
            let Self {
                decoder,
                json,
                stop,
                written,
            } = self;
            read_port(port, decoder, stop.stop_flag(), &mut |news| {
                if written.is_ok() {
                    *written = told(&news, *json, out);
                }
                if written.is_err() || (asks && news == PortNews::Idle) {
                    stop.call_back();
                }
            })?;
            if written.is_err() || stop.is_wished() {
                return Ok(());
            }
            stop.run_on();
        }
    }
}

fn told(news: &PortNews<'_>, json: bool, out: &mut Output) -> Result<(), Stopped> {
    match news {
        PortNews::Bytes(bytes) if json => out.json(&BytesLine { bytes: hex(bytes) }),
        PortNews::Bytes(bytes) => {
            let mut text = String::new();
            for piece in bytes.chunks(BYTES_A_LINE) {
                let width = BYTES_A_LINE * 3;
                text.push_str(&format!("  {:<width$} {}\n", hex(piece), plain(piece)));
            }
            out.text(&text)
        }
        PortNews::Heard(heard) if json => out.json(&WireEvent::from(heard)),
        PortNews::Heard(heard) => {
            let cells = decode::row(heard);
            let words: Vec<&str> = cells
                .iter()
                .map(|cell| cell.text.as_str())
                .filter(|text| !text.is_empty())
                .collect();
            out.text(&format!("{}\n", words.join("  ")))
        }
        PortNews::Idle => Ok(()),
    }
}

/// Bytes as pairs of hexadecimal digits.
fn hex(bytes: &[u8]) -> String {
    bytes
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect::<Vec<String>>()
        .join(" ")
}

/// Bytes as characters, a dot for what is none.
fn plain(bytes: &[u8]) -> String {
    let shown = |byte: &u8| {
        if (0x20..0x7f).contains(byte) {
            char::from(*byte)
        } else {
            '.'
        }
    };
    bytes.iter().map(shown).collect()
}
