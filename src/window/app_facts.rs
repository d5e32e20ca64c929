//! What the Start room offers, from the register, the ports and the unfinished sessions.

use std::path::{Path, PathBuf};

use super::start::{GaugeChoice, GaugeKind, Known};
use super::view::counted;
use crate::gauge::{Gauge, GaugeId, PortPlace, Register};
use crate::material::{MATERIALS_FILE, Materials};
use crate::plan::Plan;
use crate::session::{MateWanted, Unfinished, mates_wanted};
use crate::tolerance::Tables;
use crate::wire::{SeenPort, UsbIdentity};

/// An unfinished session as an entry of the list.
pub(super) fn unfinished_session(one: Unfinished) -> Known {
    let parts = match one.parts_wanted {
        Some(wanted) => format!("part {} of {wanted}", one.parts_started),
        None if one.parts_started == 0 => counted(one.readings, "reading"),
        None => format!("part {}", one.parts_started),
    };
    let damage = one.damage.map(|damage| format!("; {damage}"));
    let name = match one.part.is_empty() {
        true => one.name,
        false => one.part,
    };
    let begun = match one.started.as_str() {
        "" => String::new(),
        started => format!("{started}, "),
    };
    Known {
        path: one.path,
        name,
        detail: format!("{begun}{parts}{}", damage.unwrap_or_default()),
    }
}

/// The tolerance tables with those of the house; what is wrong with them is told.
pub(super) fn tables_with(house: &[(String, String)], faults: &mut Vec<String>) -> Tables {
    let mut tables = Tables::standard().clone();
    for (name, text) in house {
        if name == MATERIALS_FILE {
            let checked = Materials::standard().clone().with_house(text, name);
            faults.extend(checked.err().map(|error| error.to_string()));
            continue;
        }
        match tables.clone().with_house(text, name) {
            Ok(more) => tables = more,
            Err(error) => faults.push(error.to_string()),
        }
    }
    tables
}

/// The register; of one that cannot be read the first problem is told.
pub(super) fn register_of(text: &str, faults: &mut Vec<String>) -> Register {
    Register::parse(text, "gauges.toml").unwrap_or_else(|errors| {
        faults.extend(errors.first().map(|error| error.sentence()));
        Register::default()
    })
}

/// The mates of a plan that other plans make; none of what is no plan.
pub(super) fn mates_of(text: &str, tables: Option<&Tables>) -> Vec<MateWanted> {
    let tables = tables.unwrap_or_else(|| Tables::standard());
    let plan = Plan::parse(text, "plan.toml", tables);
    plan.map_or_else(|_| Vec::new(), |plan| mates_wanted(&plan))
}

/// A plan file with what it is for; none for other files.
pub(super) fn plan_file(text: &str, path: PathBuf, root: &Path, tables: &Tables) -> Option<Known> {
    if !text.contains("[[feature]]") {
        return None;
    }
    let name = path
        .strip_prefix(root)
        .unwrap_or(&path)
        .display()
        .to_string();
    let detail = match Plan::parse(text, &name, tables) {
        Ok(plan) => [Some(plan.part.name.clone()), plan.part.drawing.clone()]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join(", "),
        Err(errors) if errors.len() == 1 => "1 fault; Enter shows it".to_owned(),
        Err(errors) => format!("{} faults; Enter shows them", errors.len()),
    };
    Some(Known { path, name, detail })
}

/// The gauges of the register whose port is there; `is_there` as for [`gauge_choices`].
pub fn attached_gauges(
    register: &Register,
    ports: &[SeenPort],
    is_there: impl Fn(&PortPlace) -> bool,
) -> Vec<GaugeId> {
    let attached = register.gauges().iter().filter(|gauge| {
        let place = gauge.port.as_ref().map(|port| &port.place);
        place.is_some_and(|place| is_there(place) || ports.iter().any(|seen| is_at(place, seen)))
    });
    attached.map(|gauge| gauge.id.clone()).collect()
}

/// Where readings may come from: gauges of the register that have a port, ports that are there,
/// typing, gauges at ports that the register does not bind them to, the simulated gauge.
/// `is_there` says whether a path exists: pseudo-terminals are not listed.
pub fn gauge_choices(
    register: &Register,
    ports: &[SeenPort],
    is_there: impl Fn(&PortPlace) -> bool,
) -> Vec<GaugeChoice> {
    let mut all: Vec<GaugeChoice> = Vec::new();
    for gauge in register.gauges() {
        if let Some(port) = &gauge.port {
            let attached =
                is_there(&port.place) || ports.iter().any(|seen| is_at(&port.place, seen));
            all.push(GaugeChoice {
                source: gauge.id.as_str().to_owned(),
                name: gauge.id.as_str().to_owned(),
                detail: format!("{} at {}", kind_words(gauge), place_words(&port.place)),
                kind: match attached {
                    true => GaugeKind::Attached,
                    false => GaugeKind::Missing,
                },
            });
        }
    }
    let together = all_attached(&all);
    all.splice(0..0, together);
    all.extend(ports.iter().map(port_choice));
    all.push(GaugeChoice {
        source: "typed".to_owned(),
        name: "typed".to_owned(),
        detail: "values read off by eye".to_owned(),
        kind: GaugeKind::Typed,
    });
    let unbound = |gauge: &&Gauge| {
        gauge.port.is_none() && !gauge.kind.is_standard() && !gauge.kind.is_limit_gauge()
    };
    for gauge in register.gauges().iter().filter(unbound) {
        for port in ports {
            all.push(GaugeChoice {
                source: format!("{}=serial:{}", gauge.id, port.path),
                name: format!("{} at {}", gauge.id, port.path),
                detail: kind_words(gauge),
                kind: GaugeKind::Unbound,
            });
        }
    }
    all.push(GaugeChoice {
        source: "simulated".to_owned(),
        name: "simulated".to_owned(),
        detail: "no gauge at all: for trying things out".to_owned(),
        kind: GaugeKind::Simulated,
    });
    all
}

/// Several that are attached may be taken together: each feeds what the plan binds it to.
fn all_attached(register: &[GaugeChoice]) -> Option<GaugeChoice> {
    let is_there = |choice: &&GaugeChoice| choice.kind == GaugeKind::Attached;
    let there: Vec<&str> = register
        .iter()
        .filter(is_there)
        .map(|choice| choice.source.as_str())
        .collect();
    (there.len() > 1).then(|| GaugeChoice {
        source: there.join("\n"),
        name: there.join(" and "),
        detail: "all that are attached".to_owned(),
        kind: GaugeKind::Attached,
    })
}

fn port_choice(port: &SeenPort) -> GaugeChoice {
    GaugeChoice {
        source: format!("serial:{}", port.path),
        name: port.path.clone(),
        detail: match &port.product {
            Some(product) => product.clone(),
            None => "serial port; which gauge is not known".to_owned(),
        },
        // A computer's own serial ports are always listed, with nothing at most of them.
        kind: match port.usb {
            Some(_) => GaugeKind::Port,
            None => GaugeKind::PlainPort,
        },
    }
}

fn is_at(place: &PortPlace, seen: &SeenPort) -> bool {
    match place {
        PortPlace::Path(path) => *path == seen.path,
        PortPlace::Usb {
            vendor,
            product,
            serial,
        } => {
            let wanted = UsbIdentity {
                vendor: *vendor,
                product: *product,
                serial: serial.clone(),
            };
            seen.usb.as_ref().is_some_and(|usb| wanted.means(usb))
        }
    }
}

fn kind_words(gauge: &Gauge) -> String {
    gauge.kind.word().replace('_', " ")
}

fn place_words(place: &PortPlace) -> String {
    match place {
        PortPlace::Path(path) => path.clone(),
        PortPlace::Usb {
            vendor, product, ..
        } => format!("USB {vendor:04x}:{product:04x}"),
    }
}
