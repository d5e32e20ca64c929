//! A certificate's text as a small tree of elements, read so that a hostile file does no harm.
//!
//! Refused: document type declarations and with them every entity of one's own, nesting deeper
//! than [`DEPTH_MAX`], more than [`ELEMENTS_MAX`] elements, files beyond [`BYTES_MAX`]. Nothing
//! is fetched, nothing is expanded beyond the five entities that XML itself knows, and no step
//! calls itself, so that memory stays within a small multiple of the file. Prefixes of names are
//! left off: certificates of one form write different ones.

use quick_xml::escape::resolve_xml_entity;
use quick_xml::events::{BytesStart, Event};
use quick_xml::{Reader, XmlVersion};

use super::problem::{CertificateError, CertificateProblem};

/// Largest certificate in bytes (chosen: room for a scanned page inside).
pub(super) const BYTES_MAX: usize = 16 * 1024 * 1024;
/// Deepest nesting of elements (chosen: the published form needs about twenty).
pub(super) const DEPTH_MAX: usize = 64;
/// Most elements (chosen: a set of gauge blocks needs some ten thousand).
pub(super) const ELEMENTS_MAX: usize = 200_000;
/// Most single values in all lists together (chosen; a set of gauge blocks has some thousand).
pub(super) const VALUES_MAX: usize = 100_000;
/// Elements whose text is taken apart at its blanks, beside every one that ends in `XMLList`.
const LISTS: [&str; 7] = [
    "unit",
    "uncertainty",
    "coverageFactor",
    "coverageProbability",
    "distribution",
    "valueExpandedMU",
    "valueStandardMU",
];
/// Most attributes of one element (chosen).
const ATTRIBUTES_MAX: usize = 64;
/// Attributes that are kept; all others mean nothing here.
const KEPT: [&str; 3] = ["refType", "lang", "schemaVersion"];

/// One element; its children stand in the tree by number.
#[derive(Debug, Default)]
struct Element {
    name: String,
    text: String,
    kept: Vec<(&'static str, String)>,
    children: Vec<usize>,
    offset: usize,
}

/// Every element of a file; the first is the outermost.
#[derive(Debug)]
pub(super) struct Tree {
    elements: Vec<Element>,
}

/// One element of a tree.
#[derive(Debug, Clone, Copy)]
pub(super) struct Node<'a> {
    tree: &'a Tree,
    at: usize,
}

impl Tree {
    /// Reads a text.
    pub(super) fn parse(text: &str) -> Result<Self, CertificateError> {
        if text.len() > BYTES_MAX {
            let problem = CertificateProblem::TooLarge { bytes: text.len() };
            return Err(CertificateError::at(text, 0, problem));
        }
        let mut growing = Growing::default();
        let mut reader = Reader::from_str(text);
        loop {
            let offset = place(reader.buffer_position());
            let event = reader.read_event().map_err(|error| {
                let at = place(reader.error_position());
                CertificateError::at(text, at, malformed(error))
            })?;
            if matches!(event, Event::Eof) {
                break;
            }
            growing
                .take(&event, offset)
                .map_err(|problem| CertificateError::at(text, offset, problem))?;
        }
        growing
            .finish()
            .map_err(|problem| CertificateError::at(text, text.len(), problem))
    }

    /// The outermost element.
    pub(super) fn root(&self) -> Node<'_> {
        Node { tree: self, at: 0 }
    }
}

fn place(position: u64) -> usize {
    usize::try_from(position).unwrap_or(usize::MAX)
}

/// A tree that is being read: the elements that are open, outermost first.
#[derive(Default)]
struct Growing {
    elements: Vec<Element>,
    open: Vec<usize>,
}

impl Growing {
    fn take(&mut self, event: &Event<'_>, offset: usize) -> Result<(), CertificateProblem> {
        match event {
            Event::Start(start) => self.begin(start, offset),
            Event::Empty(start) => {
                self.begin(start, offset)?;
                self.open.pop();
                Ok(())
            }
            Event::End(_) => {
                self.open.pop();
                Ok(())
            }
            Event::Text(text) => self.text(&text.xml10_content().map_err(malformed)?),
            Event::CData(text) => self.text(&text.xml10_content().map_err(malformed)?),
            Event::GeneralRef(reference) => {
                if let Some(c) = reference.resolve_char_ref().map_err(malformed)? {
                    return self.text(c.encode_utf8(&mut [0; 4]));
                }
                let name = reference.decode().map_err(malformed)?;
                match resolve_xml_entity(&name) {
                    Some(meaning) => self.text(meaning),
                    None => Err(CertificateProblem::UnknownEntity { name: short(&name) }),
                }
            }
            Event::DocType(_) => Err(CertificateProblem::DocumentType),
            Event::Comment(_) | Event::Decl(_) | Event::PI(_) | Event::Eof => Ok(()),
        }
    }

    fn begin(&mut self, start: &BytesStart<'_>, offset: usize) -> Result<(), CertificateProblem> {
        if self.open.len() >= DEPTH_MAX {
            return Err(CertificateProblem::TooDeep);
        }
        if self.elements.len() >= ELEMENTS_MAX {
            return Err(CertificateProblem::TooManyElements);
        }
        if self.open.is_empty() && !self.elements.is_empty() {
            let what = "there is more than one outermost element".to_owned();
            return Err(CertificateProblem::Malformed { what });
        }
        let name = local(start.local_name().as_ref())?;
        let mut kept = Vec::new();
        for (count, attribute) in start.attributes().enumerate() {
            if count >= ATTRIBUTES_MAX {
                return Err(CertificateProblem::TooManyAttributes);
            }
            let attribute = attribute.map_err(malformed)?;
            let local = attribute.key.local_name();
            let known = KEPT.iter().find(|known| known.as_bytes() == local.as_ref());
            if let Some(known) = known {
                let value = attribute
                    .normalized_value(XmlVersion::Implicit1_0)
                    .map_err(malformed)?;
                kept.push((*known, value.into_owned()));
            }
        }
        let at = self.elements.len();
        if let Some(above) = self.open.last().and_then(|at| self.elements.get_mut(*at)) {
            above.children.push(at);
        }
        self.open.push(at);
        self.elements.push(Element {
            name,
            kept,
            offset,
            ..Element::default()
        });
        Ok(())
    }

    fn text(&mut self, text: &str) -> Result<(), CertificateProblem> {
        match self.open.last().and_then(|at| self.elements.get_mut(*at)) {
            Some(element) => element.text.push_str(text),
            None if text.trim_start_matches('\u{feff}').trim().is_empty() => {}
            None => {
                let what = "there is text outside the outermost element".to_owned();
                return Err(CertificateProblem::Malformed { what });
            }
        }
        Ok(())
    }

    fn finish(self) -> Result<Tree, CertificateProblem> {
        let open = self.open.last().and_then(|at| self.elements.get(*at));
        if let Some(element) = open {
            let what = format!("<{}> is not closed", short(&element.name));
            return Err(CertificateProblem::Malformed { what });
        }
        if self.elements.is_empty() {
            return Err(CertificateProblem::NotACertificate {
                found: String::new(),
            });
        }
        let lists = self.elements.iter().filter(|element| {
            element.name.ends_with("XMLList") || LISTS.contains(&element.name.as_str())
        });
        let words = lists.map(|element| element.text.split_whitespace().count());
        if words.sum::<usize>() > VALUES_MAX {
            return Err(CertificateProblem::TooManyValues);
        }
        Ok(Tree {
            elements: self.elements,
        })
    }
}

fn malformed(error: impl std::fmt::Display) -> CertificateProblem {
    // The reader's sentence may hold a name out of the file, as long as the file.
    const SENTENCE_MAX: usize = 200;
    CertificateProblem::Malformed {
        what: cut(&error.to_string(), SENTENCE_MAX),
    }
}

fn local(name: &[u8]) -> Result<String, CertificateProblem> {
    let name = std::str::from_utf8(name).map_err(malformed)?;
    Ok(name.to_owned())
}

/// A name out of the file, cut so that a message stays a sentence.
pub(super) fn short(text: &str) -> String {
    const LETTERS_MAX: usize = 60;
    cut(text, LETTERS_MAX)
}

fn cut(text: &str, most: usize) -> String {
    let clean = text.chars().map(|c| if c.is_control() { ' ' } else { c });
    let mut cut: String = clean.clone().take(most).collect();
    if clean.count() > most {
        cut.push('…');
    }
    cut
}

impl<'a> Node<'a> {
    fn element(self) -> Option<&'a Element> {
        self.tree.elements.get(self.at)
    }

    /// The name without its prefix.
    pub(super) fn name(self) -> &'a str {
        self.element().map_or("", |element| &element.name)
    }

    /// Its own text, without blanks around it.
    pub(super) fn text(self) -> &'a str {
        self.element().map_or("", |element| element.text.trim())
    }

    /// Where it begins in the file, in bytes.
    pub(super) fn offset(self) -> usize {
        self.element().map_or(0, |element| element.offset)
    }

    /// One of the kept attributes.
    pub(super) fn attribute(self, name: &str) -> Option<&'a str> {
        let kept = &self.element()?.kept;
        let found = kept.iter().find(|(known, _)| *known == name);
        found.map(|(_, value)| value.trim())
    }

    /// The elements directly inside.
    pub(super) fn children(self) -> impl Iterator<Item = Node<'a>> + use<'a> {
        let tree = self.tree;
        let children = self.element().map_or(&[][..], |element| &element.children);
        children.iter().map(move |at| Node { tree, at: *at })
    }

    /// The elements of that name directly inside.
    pub(super) fn all(self, name: &'static str) -> impl Iterator<Item = Node<'a>> + use<'a> {
        self.children().filter(move |child| child.name() == name)
    }

    /// The first element of that name directly inside.
    pub(super) fn child(self, name: &'static str) -> Option<Node<'a>> {
        self.all(name).next()
    }

    /// The element at the end of a path of names, the first of each.
    pub(super) fn path(self, names: &[&'static str]) -> Option<Node<'a>> {
        names.iter().try_fold(self, |node, name| node.child(name))
    }

    /// Every element below it of that name, in the file's order; does not call itself.
    pub(super) fn below(self, name: &'static str) -> Vec<Node<'a>> {
        let mut found = Vec::new();
        let mut waiting: Vec<Node<'a>> = self.children().collect();
        waiting.reverse();
        while let Some(node) = waiting.pop() {
            if node.name() == name {
                found.push(node);
            }
            let mut inside: Vec<Node<'a>> = node.children().collect();
            inside.reverse();
            waiting.append(&mut inside);
        }
        found
    }

    /// The text of an element's `name/content` in English where there is one, else the first.
    pub(super) fn title(self) -> Option<&'a str> {
        self.child("name")?.content()
    }

    /// The text of its `content`, in English where there is one, else the first.
    pub(super) fn content(self) -> Option<&'a str> {
        let written = |node: &Node<'a>| !node.text().is_empty();
        let english = |node: &Node<'a>| node.attribute("lang") == Some("en");
        let mut all = self.all("content").filter(written);
        let first = all.next();
        let found = first
            .filter(english)
            .or_else(|| all.find(english))
            .or(first);
        found.map(Node::text)
    }
}
