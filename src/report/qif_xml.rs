//! XML as the exchange file needs it: elements, texts and attribute lists, in order. What XML 1.0
//! forbids (control characters) and what an eye cannot see stands as an escape.

use std::io;

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

use super::safe::{is_plain_number, shown};

/// Writes one document to memory.
pub(super) struct Xml {
    writer: Writer<Vec<u8>>,
}

impl Xml {
    pub(super) fn new() -> io::Result<Self> {
        let mut writer = Writer::new_with_indent(Vec::new(), b' ', 2);
        writer.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
        Ok(Self { writer })
    }

    /// The document's bytes.
    pub(super) fn into_bytes(self) -> Vec<u8> {
        let mut bytes = self.writer.into_inner();
        bytes.push(b'\n');
        bytes
    }

    /// An element with what `inside` writes.
    pub(super) fn element(
        &mut self,
        name: &str,
        attributes: &[(&str, &str)],
        inside: impl FnOnce(&mut Self) -> io::Result<()>,
    ) -> io::Result<()> {
        let start = started(name, attributes);
        self.writer.write_event(Event::Start(start))?;
        inside(self)?;
        self.writer.write_event(Event::End(BytesEnd::new(name)))
    }

    /// The same with the attribute `n`, how many there are inside.
    pub(super) fn counted(
        &mut self,
        name: &str,
        n: usize,
        inside: impl FnOnce(&mut Self) -> io::Result<()>,
    ) -> io::Result<()> {
        self.element(name, &[("n", &n.to_string())], inside)
    }

    /// An element with a text.
    pub(super) fn text(&mut self, name: &str, text: &str) -> io::Result<()> {
        self.value(name, &[], text)
    }

    /// The same, and nothing where the text is empty.
    pub(super) fn text_if_any(&mut self, name: &str, text: &str) -> io::Result<()> {
        match text {
            "" => Ok(()),
            text => self.text(name, text),
        }
    }

    /// An element with attributes and a text.
    pub(super) fn value(
        &mut self,
        name: &str,
        attributes: &[(&str, &str)],
        text: &str,
    ) -> io::Result<()> {
        let text = shown(text);
        self.writer
            .write_event(Event::Start(started(name, attributes)))?;
        self.writer
            .write_event(Event::Text(BytesText::new(&text)))?;
        self.writer.write_event(Event::End(BytesEnd::new(name)))
    }

    /// A number with its decimals told; nothing where the text is none.
    pub(super) fn number(
        &mut self,
        name: &str,
        more: &[(&str, &str)],
        text: &str,
    ) -> io::Result<()> {
        if !is_plain_number(text) {
            return Ok(());
        }
        let decimals = text
            .split_once('.')
            .map_or(0, |(_, decimals)| decimals.len());
        let decimals = decimals.to_string();
        let mut attributes = vec![("decimalPlaces", decimals.as_str())];
        attributes.extend_from_slice(more);
        self.value(name, &attributes, text)
    }

    /// The texts that have no element of their own, each with its name. Empty ones are left out.
    pub(super) fn attributes(&mut self, all: &[(String, String)]) -> io::Result<()> {
        let said: Vec<&(String, String)> = all.iter().filter(|one| !one.1.is_empty()).collect();
        if said.is_empty() {
            return Ok(());
        }
        self.counted("Attributes", said.len(), |xml| {
            for (name, value) in said {
                let start = started("AttributeStr", &[("name", name), ("value", value)]);
                xml.writer.write_event(Event::Empty(start))?;
            }
            Ok(())
        })
    }

    /// References to other elements, in an element of that name; nothing where there are none.
    pub(super) fn ids(&mut self, name: &str, ids: &[u32]) -> io::Result<()> {
        if ids.is_empty() {
            return Ok(());
        }
        self.counted(name, ids.len(), |xml| {
            ids.iter()
                .try_for_each(|id| xml.text("Id", &id.to_string()))
        })
    }

    /// A moment; nothing where the text is none that XML Schema takes.
    pub(super) fn moment(&mut self, name: &str, text: &str) -> io::Result<()> {
        match is_moment(text) {
            true => self.text(name, text),
            false => Ok(()),
        }
    }
}

fn started<'a>(name: &'a str, attributes: &[(&str, &str)]) -> BytesStart<'a> {
    let mut start = BytesStart::new(name);
    for (key, value) in attributes {
        start.push_attribute((*key, &*shown(value)));
    }
    start
}

/// RFC 3339 as it is written in records, which is what `dateTime` of XML Schema takes: an existing
/// day, an offset of at most 14 hours.
fn is_moment(text: &str) -> bool {
    let offset = text.get(19..).map(|rest| {
        rest.trim_start_matches('.')
            .trim_start_matches(|c: char| c.is_ascii_digit())
    });
    let offset_is_right = match offset {
        Some("Z") => true,
        Some(offset) => {
            let hours = offset.strip_prefix(['+', '-']);
            let hours = hours.and_then(|hours| hours.split_once(':'));
            hours.is_some_and(|(hours, minutes)| {
                let number = |text: &str| text.parse::<u8>().ok().filter(|_| text.len() == 2);
                let total = |hours: u8, minutes: u8| u16::from(hours) * 60 + u16::from(minutes);
                matches!((number(hours), number(minutes)),
                    (Some(hours), Some(minutes)) if minutes < 60 && total(hours, minutes) <= 840)
            })
        }
        None => false,
    };
    let has_shape = text.len() >= 20 && text.as_bytes()[10] == b'T' && !text.contains(".Z");
    let second = text.get(17..19);
    offset_is_right
        && has_shape
        && second.is_some_and(|second| second < "60")
        && text.parse::<jiff::Timestamp>().is_ok()
}

#[cfg(test)]
mod tests {
    use super::{Xml, is_moment};

    #[test]
    fn only_moments_of_the_schema_are_moments() {
        for right in [
            "2026-11-24T08:02:00Z",
            "2026-11-24T08:02:00.123+01:00",
            "2024-02-29T08:02:00-14:00",
        ] {
            assert!(is_moment(right), "{right}");
        }
        for wrong in [
            "",
            "2026-11-24",
            "2026-11-24T08:02:00",
            "2026-02-30T08:02:00Z",
            "2026-11-24T08:02:00+15:00",
            "2026-11-24T08:02:60Z",
            "2026-11-24 08:02:00Z",
            "2026-11-24T08:02:00.Z",
            "2026-11-24T08:02:00+1:00",
            "äöüäöüäöüäöüäöüäöü",
        ] {
            assert!(!is_moment(wrong), "{wrong}");
        }
    }

    #[test]
    fn what_xml_forbids_is_an_escape_and_what_it_means_is_a_reference() {
        let mut xml = Xml::new().unwrap();
        let text = "a<b>&\"'\u{0}\u{b}\n\u{202e}\u{ffff}]]>";
        xml.element("E", &[("k", text)], |xml| xml.text("T", text))
            .unwrap();
        let written = String::from_utf8(xml.into_bytes()).unwrap();
        assert!(!written.contains(['\u{0}', '\u{b}', '\u{202e}', '\u{ffff}']));
        assert!(
            written.contains("a&lt;b&gt;&amp;&quot;&apos;\\u{0}\\u{b}\\n\\u{202e}\\u{ffff}]]&gt;")
        );
        assert_eq!(written.matches("<T>").count(), 1);
    }
}
