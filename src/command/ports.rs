//! `fitledger ports`: the serial ports that are attached.

use std::collections::BTreeSet;

use crate::wire::{PortAccess, SeenPort, UsbIdentity, group_of, list_ports, udev_rule};

use super::arguments_wire::PortsArguments;
use super::output::{Output, Stopped};
use super::output_wire::PortLine;
use super::problem::Problem;
use super::table::{Column, Row, cell, laid_out, words};

const COLUMNS: &[Column] = &[
    words("port"),
    words("USB identity"),
    words("product"),
    words("access"),
];

/// Lists them in the order of their paths.
pub(super) fn run(arguments: &PortsArguments, out: &mut Output) -> Result<(), Stopped> {
    if let Some(identity) = arguments.udev.as_deref().filter(|text| !text.is_empty()) {
        return match UsbIdentity::parse(identity) {
            Some(identity) => out.text(&udev_rule(&identity)),
            None => out.refuse(arguments.json, identity, &no_identity(identity)),
        };
    }
    let seen = match list_ports() {
        Ok(seen) => seen,
        Err(error) => return out.refuse(arguments.json, "ports", &error.into()),
    };
    if arguments.udev.is_some() {
        return rules(&seen, out);
    }
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

/// A rule for each USB adapter that is attached.
fn rules(seen: &[SeenPort], out: &mut Output) -> Result<(), Stopped> {
    let identities: BTreeSet<&UsbIdentity> =
        seen.iter().filter_map(|port| port.usb.as_ref()).collect();
    if identities.is_empty() {
        out.message(
            "No USB adapter is attached. Name one: fitledger ports --udev VENDOR:PRODUCT (as lsusb \
             shows them).",
        );
    }
    identities
        .into_iter()
        .try_for_each(|identity| out.text(&udev_rule(identity)))
}

fn no_identity(text: &str) -> Problem {
    let message = format!("“{}” is no USB identity.", text.escape_debug());
    let hint = "Write vendor and product as four hexadecimal digits each, and the serial number if \
                there is one: 1209:0001 or 1209:0001:BENCH3.";
    Problem::bad("bad_usb_identity", message, Some(hint))
}

fn row(port: &SeenPort) -> Row {
    let usb = port.usb.as_ref().map(ToString::to_string);
    let access = match (port.access, group_of(&port.path)) {
        (PortAccess::Free, _) => "free".to_owned(),
        (PortAccess::NotPermitted, Some(group)) => {
            format!("not permitted for this user; group {group}")
        }
        (PortAccess::NotPermitted, None) => "not permitted for this user".to_owned(),
        (PortAccess::Busy, _) => "in use".to_owned(),
    };
    vec![
        cell(&port.path),
        cell(usb.unwrap_or_default()),
        cell(port.product.as_deref().unwrap_or_default()),
        cell(access),
    ]
}
