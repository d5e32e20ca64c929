//! `fitledger ports`: the serial ports that are attached.

use crate::wire::{PortAccess, SeenPort, list_ports};

use super::arguments::PortsArguments;
use super::output::{Output, Stopped};
use super::output_wire::PortLine;
use super::table::{Column, Row, cell, laid_out, words};

const COLUMNS: &[Column] = &[
    words("port"),
    words("USB identity"),
    words("product"),
    words("access"),
];

/// Lists them in the order of their paths.
pub(super) fn run(arguments: &PortsArguments, out: &mut Output) -> Result<(), Stopped> {
    let seen = match list_ports() {
        Ok(seen) => seen,
        Err(error) => {
            out.complain(&error.into());
            return Ok(());
        }
    };
    if arguments.json {
        return seen
            .iter()
            .try_for_each(|port| out.json(&PortLine::from(port)));
    }
    if seen.is_empty() {
        out.message("No serial port is attached.");
        return Ok(());
    }
    let rows: Vec<Row> = seen.iter().map(row).collect();
    out.text(&laid_out(COLUMNS, &rows, out.screen()))
}

fn row(port: &SeenPort) -> Row {
    let usb = port.usb.as_ref().map(ToString::to_string);
    let access = match port.access {
        PortAccess::Free => "free",
        PortAccess::NotPermitted => "not permitted for this user",
        PortAccess::Busy => "in use",
    };
    vec![
        cell(&port.path),
        cell(usb.unwrap_or_default()),
        cell(port.product.as_deref().unwrap_or_default()),
        cell(access),
    ]
}
