//! How a port is named: by its path, or by the USB identity of the adapter behind it.

use std::fmt;

use crate::gauge::PortPlace;

/// Vendor, product and serial number of a USB adapter: `1209:0001:BENCH3`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct UsbIdentity {
    /// Vendor number.
    pub vendor: u16,
    /// Product number.
    pub product: u16,
    /// Serial number; cheap adapters have none.
    pub serial: Option<String>,
}

impl UsbIdentity {
    /// Reads `vvvv:pppp` or `vvvv:pppp:SERIAL`, four hexadecimal digits each.
    pub fn parse(text: &str) -> Option<Self> {
        let number = |text: &str| {
            let four = text.len() == 4 && text.bytes().all(|byte| byte.is_ascii_hexdigit());
            four.then(|| u16::from_str_radix(text, 16).ok())?
        };
        let mut parts = text.splitn(3, ':');
        let (vendor, product) = (number(parts.next()?)?, number(parts.next()?)?);
        let serial = match parts.next() {
            Some("") => return None,
            serial => serial.map(str::to_owned),
        };
        Some(Self {
            vendor,
            product,
            serial,
        })
    }

    /// Whether an adapter of identity `seen` is meant: a serial number that is not named
    /// matches any.
    pub fn means(&self, seen: &Self) -> bool {
        let serial = self.serial.is_none() || self.serial == seen.serial;
        serial && (self.vendor, self.product) == (seen.vendor, seen.product)
    }
}

impl fmt::Display for UsbIdentity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04x}:{:04x}", self.vendor, self.product)?;
        match &self.serial {
            Some(serial) => write!(f, ":{}", serial.escape_debug()),
            None => Ok(()),
        }
    }
}

/// Where a gauge is attached.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PortAddress {
    /// A path such as `/dev/ttyUSB0`, or a name such as `COM3`. It may change at each plugging.
    Path(String),
    /// The adapter itself, under whatever path it appears.
    Usb(UsbIdentity),
}

impl PortAddress {
    /// Reads a USB identity where the text has its form, else takes it as a path.
    pub fn new(text: &str) -> Self {
        match UsbIdentity::parse(text) {
            Some(identity) => Self::Usb(identity),
            None => Self::Path(text.to_owned()),
        }
    }

    /// Whether what is attached at `other` is meant: the same path, or an adapter of this identity.
    pub fn means(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Path(path), Self::Path(other)) => path == other,
            (Self::Usb(identity), Self::Usb(other)) => identity.means(other),
            _ => false,
        }
    }
}

impl fmt::Display for PortAddress {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Path(path) => write!(f, "{}", path.escape_debug()),
            Self::Usb(identity) => identity.fmt(f),
        }
    }
}

/// The address of a port as the register states it.
impl From<&PortPlace> for PortAddress {
    fn from(place: &PortPlace) -> Self {
        match place {
            PortPlace::Path(path) => Self::Path(path.clone()),
            PortPlace::Usb {
                vendor,
                product,
                serial,
            } => Self::Usb(UsbIdentity {
                vendor: *vendor,
                product: *product,
                serial: serial.clone(),
            }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{PortAddress, UsbIdentity};

    #[test]
    fn an_address_is_a_usb_identity_only_when_it_has_its_form() {
        for (text, identity) in [
            ("1209:0001:BENCH3", Some("1209:0001:BENCH3")),
            ("1209:00A1", Some("1209:00a1")),
            ("1209:0001:a:b", Some("1209:0001:a:b")),
            ("1209:0001:", None),
            ("1209:001", None),
            ("+209:0001", None),
            ("/dev/ttyUSB0", None),
            ("COM3", None),
            ("", None),
        ] {
            match PortAddress::new(text) {
                PortAddress::Usb(found) => assert_eq!(Some(found.to_string().as_str()), identity),
                PortAddress::Path(path) => assert_eq!((path.as_str(), identity), (text, None)),
            }
        }
    }

    #[test]
    fn an_identity_without_serial_number_means_any_of_that_kind() {
        let seen = UsbIdentity::parse("1209:0001:BENCH3").unwrap();
        for (asked, means) in [
            ("1209:0001:BENCH3", true),
            ("1209:0001", true),
            ("1209:0001:BENCH4", false),
            ("1209:0002:BENCH3", false),
            ("120a:0001", false),
        ] {
            assert_eq!(
                UsbIdentity::parse(asked).unwrap().means(&seen),
                means,
                "{asked}"
            );
        }
    }
}
