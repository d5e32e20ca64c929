//! Before a gauge is taught: its port is chosen and the sizes are typed. Pure.

use super::gauges_facts::TeachFacts;
use super::gauges_room::TeachPress;
use super::study_setup::size;
use crate::gauge::{Faces, Gauge, GaugeId, PortPlace};
use crate::quantity::Length;
use crate::wire::{PortAddress, built_in_names};

/// So many sizes are asked for at most: a small, a middle and a large one (chosen: two tell the
/// scale, the third proves it).
const SIZES_MAX: usize = 3;
/// Gauge and block may be off by at least so much together (chosen: as the command's usual).
const ERROR_LEAST: Length = Length::from_um(20);
const SUCH_AS: &str = "7.5";
/// An adapter's name has at most so many characters.
const NAME_MAX: usize = 40;

/// What is to be taught, once all is said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TeachOrder {
    /// The gauge.
    pub gauge: GaugeId,
    /// Where it is attached.
    pub place: PortPlace,
    /// The adapter's name, made from the gauge's id.
    pub name: String,
    /// The known sizes.
    pub sizes: Vec<Length>,
    /// The size that confirms.
    pub confirm: Length,
    /// What gauge and block may be off together.
    pub error: Length,
    /// The id of its frames, where the register states one.
    frame_id: Option<String>,
}

impl TeachOrder {
    /// How the register names the port and the adapter: `port = { …, adapter = … }`.
    pub fn usage(&self) -> String {
        let place = match &self.place {
            PortPlace::Path(path) => format!("path = {path:?}"),
            usb @ PortPlace::Usb { .. } => {
                format!("usb = {:?}", PortAddress::from(usb).to_string())
            }
        };
        let id = self.frame_id.as_ref().map(|id| format!(", id = {id:?}"));
        let id = id.unwrap_or_default();
        format!("port = {{ {place}, adapter = {:?}{id} }}", self.name)
    }
}

/// What is said before teaching begins.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TeachSetup {
    order: TeachOrder,
    /// Ports to choose from; none once one is chosen.
    ports: Vec<String>,
    /// No more sizes are to be typed: the confirming one is next.
    has_sizes: bool,
}

impl TeachSetup {
    /// For that gauge: at the port of its entry, else at one of `ports`.
    ///
    /// # Errors
    /// There is no port to listen at, in a sentence.
    pub fn new(gauge: &Gauge, ports: Vec<String>) -> Result<Self, String> {
        let own = gauge.port.as_ref().map(|port| port.place.clone());
        let only = match ports.as_slice() {
            [one] => Some(PortPlace::Path(one.clone())),
            _ => None,
        };
        if own.is_none() && ports.is_empty() {
            return Err("No port is there: plug the gauge in, then press Enter again.".to_owned());
        }
        let place = own.or(only);
        let ports = if place.is_some() { Vec::new() } else { ports };
        let upper = gauge.range.map_or(Length::ZERO, |(_, upper)| upper);
        let known = gauge.permissible_error(gauge.size_of(upper), Faces::Outside);
        let error = known.map_or(ERROR_LEAST, |known| known.value().max(ERROR_LEAST));
        let frame_id = gauge.port.as_ref().and_then(|port| port.frame_id.clone());
        Ok(Self {
            order: TeachOrder {
                gauge: gauge.id.clone(),
                place: place.unwrap_or_else(|| PortPlace::Path(String::new())),
                name: adapter_name(gauge.id.as_str()),
                sizes: Vec::new(),
                confirm: Length::ZERO,
                error,
                frame_id,
            },
            ports,
            has_sizes: false,
        })
    }

    /// The gauge that is to be taught.
    pub fn gauge(&self) -> &GaugeId {
        &self.order.gauge
    }

    /// The port, once it is known.
    pub fn place(&self) -> Option<&PortPlace> {
        self.ports.is_empty().then_some(&self.order.place)
    }

    /// What is to be shown.
    pub fn facts(&self) -> TeachFacts {
        let mut found: Vec<String> = Vec::new();
        if let Some(place) = self.place() {
            found.push(format!("the port: {}", PortAddress::from(place)));
        }
        let (prompt, awaits) = if self.place().is_none() {
            let ports = self.ports.iter().take(9).enumerate();
            found.extend(ports.map(|(at, port)| format!("{}: {port}", at + 1)));
            ("At which port is the gauge? Press its number.", "")
        } else if self.has_sizes {
            (
                "Type a fresh size, none of the others: it confirms at the end.",
                "confirming size, mm",
            )
        } else {
            let prompt = match self.order.sizes.len() {
                0 => "Type a small size that you can measure, such as a gauge block, then Enter.",
                1 => "Type a middle size; Enter alone where there is no other.",
                _ => "Type a large size; Enter alone where there is no other.",
            };
            (prompt, "size, mm")
        };
        let sizes = self.order.sizes.iter();
        found.extend(sizes.map(|size| format!("a size to measure: {} mm", size.to_mm())));
        TeachFacts {
            is_running: true,
            prompt: prompt.to_owned(),
            awaits: awaits.to_owned(),
            found,
            ..TeachFacts::default()
        }
    }

    /// Takes what was said; the order, once all is known.
    ///
    /// # Errors
    /// What is wrong with it, in a sentence.
    pub fn press(&mut self, press: &TeachPress) -> Result<Option<TeachOrder>, String> {
        match press {
            TeachPress::Answer(text) if self.place().is_none() => {
                let at = text.parse::<usize>().ok().and_then(|at| at.checked_sub(1));
                let port = at.and_then(|at| self.ports.get(at));
                let port = port.ok_or_else(|| format!("There is no port {text}."))?;
                self.order.place = PortPlace::Path(port.clone());
                self.ports.clear();
                Ok(None)
            }
            TeachPress::Answer(text) => self.typed(text),
            TeachPress::GoOn if self.place().is_none() => {
                Err("Press the number of a port.".to_owned())
            }
            TeachPress::GoOn if self.has_sizes => Err("Type a size in mm, then Enter.".to_owned()),
            TeachPress::GoOn if self.order.sizes.iter().all(|size| *size == Length::ZERO) => {
                Err("Type a size in mm, larger than 0, then Enter.".to_owned())
            }
            TeachPress::GoOn => {
                self.has_sizes = true;
                Ok(None)
            }
            TeachPress::Yes | TeachPress::No | TeachPress::Leave => Ok(None),
        }
    }

    /// A size that was typed.
    fn typed(&mut self, text: &str) -> Result<Option<TeachOrder>, String> {
        let size = size(text, SUCH_AS)?;
        if size.is_negative() {
            return Err(format!(
                "{} mm is negative: type a size such as 7.5.",
                size.to_mm()
            ));
        }
        let sizes = &mut self.order.sizes;
        if sizes.contains(&size) {
            return Err(format!("{} mm is one of the others already.", size.to_mm()));
        }
        if self.has_sizes {
            self.order.confirm = size;
            return Ok(Some(self.order.clone()));
        }
        sizes.push(size);
        self.has_sizes = sizes.len() >= SIZES_MAX;
        Ok(None)
    }
}

/// A name for the adapter: the gauge's id in small letters, digits and hyphens, and none that is
/// built in.
fn adapter_name(id: &str) -> String {
    let plain = id.chars().map(|one| match one.to_ascii_lowercase() {
        one if one.is_ascii_lowercase() || one.is_ascii_digit() => one,
        _ => '-',
    });
    let plain: String = plain.take(NAME_MAX - "-taught".len()).collect();
    let plain = plain.trim_matches('-');
    match plain {
        "" => "taught".to_owned(),
        name if built_in_names().any(|known| known == name) => format!("{name}-taught"),
        name => name.to_owned(),
    }
}
