//! Who may open a port: the name of a group, and the rule that lets a person at the machine open an
//! adapter. Pure: the texts are read elsewhere.

use super::address::UsbIdentity;

/// The name of a group in the text of a group file (`name:password:number:members`).
pub(super) fn group_named(text: &str, number: u32) -> Option<String> {
    text.lines().find_map(|line| {
        let mut fields = line.split(':');
        let (name, _, found) = (fields.next()?, fields.next()?, fields.next()?);
        (found.parse() == Ok(number)).then(|| name.to_owned())
    })
}

/// The text of a udev rule file by which whoever sits at the machine may open that adapter, with
/// what to do with it as comments.
///
/// The rule must be read before the one that hands devices to seats (73-seat-late.rules of systemd;
/// from memory), so its file begins with a lower number.
pub fn udev_rule(identity: &UsbIdentity) -> String {
    let mut rule = format!(
        "SUBSYSTEM==\"tty\", ATTRS{{idVendor}}==\"{:04x}\", ATTRS{{idProduct}}==\"{:04x}\"",
        identity.vendor, identity.product
    );
    if let Some(serial) = &identity.serial {
        rule.push_str(&format!(", ATTRS{{serial}}==\"{}\"", pattern(serial)));
    }
    format!(
        "# Whoever sits at the machine may open the adapter {identity}.\n\
         # Save as /etc/udev/rules.d/60-fitledger.rules, then run\n\
         #   sudo udevadm control --reload && sudo udevadm trigger\n\
         # or unplug the adapter and plug it in again.\n\
         {rule}, TAG+=\"uaccess\"\n"
    )
}

/// A serial number as a pattern of udev, where `* ? [ ] |` and quotes mean something else: one
/// character of any kind stands for each that is not plain.
fn pattern(serial: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.' | ' ');
    let shown = serial.chars().flat_map(|c| {
        // A character of several bytes is several for udev.
        let count = if plain(c) { 1 } else { c.len_utf8() };
        std::iter::repeat_n(if plain(c) { c } else { '?' }, count)
    });
    shown.collect()
}

#[cfg(test)]
mod tests {
    use super::{group_named, udev_rule};
    use crate::wire::UsbIdentity;

    #[test]
    fn a_group_is_found_by_its_number() {
        let text = "root:x:0:\ndialout:x:20:anna,ben\nbroken\nuucp:x:14:\n";
        for (number, name) in [(20, Some("dialout")), (14, Some("uucp")), (21, None)] {
            assert_eq!(group_named(text, number).as_deref(), name);
        }
    }

    #[test]
    fn a_rule_names_the_adapter_and_nothing_in_a_serial_number_leaves_its_quotes() {
        let rule = |identity: &str| {
            let text = udev_rule(&UsbIdentity::parse(identity).unwrap());
            let lines: Vec<&str> = text.lines().filter(|line| !line.starts_with('#')).collect();
            assert_eq!(lines.len(), 1, "{text}");
            lines[0].to_owned()
        };
        let both = "SUBSYSTEM==\"tty\", ATTRS{idVendor}==\"1209\", ATTRS{idProduct}==\"00a1\"";
        assert_eq!(rule("1209:00A1"), format!("{both}, TAG+=\"uaccess\""));
        for (serial, pattern) in [
            ("BENCH-3", "BENCH-3"),
            ("a\"|*b", "a???b"),
            ("x\ny", "x?y"),
            ("é", "??"),
        ] {
            assert_eq!(
                rule(&format!("1209:00a1:{serial}")),
                format!("{both}, ATTRS{{serial}}==\"{pattern}\", TAG+=\"uaccess\"")
            );
        }
    }
}
