//! What was asked, for the exchange file: of which of its kinds each characteristic is, the numbers
//! that elements refer to each other by, and the definitions, nominals and items.
//!
//! A thread stands there twice, since its own kind has no limits: as the thread it is, and each
//! element of it that was measured or tried as a characteristic of its own below the thread's
//! number (`3` and `3.1`). Whoever does not know the thread's standard can check those.

use std::io;

use super::qif_xml::Xml;
use super::safe::is_plain_number;
use super::sheet::{Asked, Sheet};
use crate::session::element_words;
use crate::tolerance::{Callout, EdgeKind, parse_callout};

/// The kinds of characteristics that are used, by the first part of their elements' names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    Diameter,
    Radius,
    Length,
    Depth,
    Width,
    /// A size of which nobody says where it is.
    Linear,
    Angle,
    /// A limit gauge or a mating part that was tried.
    Attribute,
    /// A thread as a whole.
    Thread,
}

impl Form {
    fn of(asked: &Asked, callout: Option<&Callout>) -> Self {
        match (asked.unit.as_str(), callout, asked.surface.as_str()) {
            ("check", _, _) => Self::Attribute,
            ("angle", _, _) => Self::Angle,
            (_, Some(Callout::Thread(_)), _) => match asked.element.as_str() {
                "major" | "pitch" | "minor" | "wires" => Self::Diameter,
                "full_thread" => Self::Depth,
                _ => Self::Linear,
            },
            (_, Some(Callout::Edge(edge)), _) => match edge.kind {
                EdgeKind::Radius => Self::Radius,
                _ => Self::Linear,
            },
            (_, _, "outside" | "inside") => Self::Diameter,
            (_, _, "length" | "step") => Self::Length,
            (_, _, "depth") => Self::Depth,
            (_, _, "slot") => Self::Width,
            _ => Self::Linear,
        }
    }

    fn name(self) -> &'static str {
        match self {
            Self::Diameter => "Diameter",
            Self::Radius => "Radius",
            Self::Length => "Length",
            Self::Depth => "Depth",
            Self::Width => "Width",
            Self::Linear => "UserDefinedLinear",
            Self::Angle => "Angle",
            Self::Attribute => "UserDefinedAttribute",
            Self::Thread => "Thread",
        }
    }

    /// The name of its element of that role (`Definition`, `Nominal`, `Item`, `Measurement`).
    pub(super) fn element(self, role: &str) -> String {
        format!("{}Characteristic{role}", self.name())
    }
}

/// One characteristic of the file.
pub(super) struct Characteristic<'a> {
    pub(super) form: Form,
    /// What was asked; of a thread as a whole its first element.
    pub(super) asked: &'a Asked,
    /// The elements of a thread as a whole.
    pub(super) elements: Vec<&'a Asked>,
    /// Its number in the file.
    designator: String,
    definition: u32,
    nominal: u32,
    pub(super) item: u32,
    /// The thread's specification; 0: it is none.
    specification: u32,
}

/// Everything that was asked.
pub(super) struct Characteristics<'a>(pub(super) Vec<Characteristic<'a>>);

impl<'a> Characteristics<'a> {
    pub(super) fn of(sheet: &'a Sheet, mut next_id: impl FnMut() -> u32) -> Self {
        let mut all = Vec::new();
        let mut made = |form, asked, elements: Vec<&'a Asked>, designator| {
            let specification = if form == Form::Thread { next_id() } else { 0 };
            all.push(Characteristic {
                form,
                asked,
                elements,
                designator,
                definition: next_id(),
                nominal: next_id(),
                item: next_id(),
                specification,
            });
        };
        let mut threads: Vec<&str> = Vec::new();
        for asked in &sheet.asked {
            let callout = parse_callout(&asked.callout).ok();
            let form = Form::of(asked, callout.as_ref());
            if !matches!(callout, Some(Callout::Thread(_))) {
                made(form, asked, Vec::new(), asked.number.to_string());
                continue;
            }
            let same = |other: &&Asked| other.feature == asked.feature;
            let elements: Vec<&Asked> = sheet.asked.iter().filter(same).collect();
            let first = elements.first().map_or(asked.number, |first| first.number);
            if !threads.contains(&asked.feature.as_str()) {
                threads.push(&asked.feature);
                made(Form::Thread, asked, elements.clone(), first.to_string());
            }
            let own = |element: &&Asked| element.number == asked.number;
            let at = elements.iter().position(own).unwrap_or_default() + 1;
            made(form, asked, Vec::new(), format!("{first}.{at}"));
        }
        Self(all)
    }

    pub(super) fn nominals(&self) -> Vec<u32> {
        self.0.iter().map(|one| one.nominal).collect()
    }

    /// The threads as they are called out; nothing where there are none.
    pub(super) fn write_threads(&self, xml: &mut Xml) -> io::Result<()> {
        let threads = self.0.iter().filter(|one| one.form == Form::Thread);
        let threads: Vec<&Characteristic<'_>> = threads.collect();
        if threads.is_empty() {
            return Ok(());
        }
        xml.counted("ThreadSpecifications", threads.len(), |xml| {
            for thread in threads {
                let id = thread.specification.to_string();
                xml.element("ThreadSpecification", &[], |xml| {
                    xml.element("TextThreadSpecification", &[("id", &id)], |xml| {
                        xml.text("TextSpecification", &thread.asked.callout)
                    })
                })?;
            }
            Ok(())
        })
    }

    /// Definitions, nominals and items; nothing where nothing was asked.
    pub(super) fn write(&self, standard: u32, xml: &mut Xml) -> io::Result<()> {
        if self.0.is_empty() {
            return Ok(());
        }
        let n = self.0.len();
        xml.element("Characteristics", &[], |xml| {
            xml.text("FormalStandardId", &standard.to_string())?;
            xml.counted("CharacteristicDefinitions", n, |xml| {
                self.0.iter().try_for_each(|one| one.write_definition(xml))
            })?;
            xml.counted("CharacteristicNominals", n, |xml| {
                self.0.iter().try_for_each(|one| one.write_nominal(xml))
            })?;
            xml.counted("CharacteristicItems", n, |xml| {
                self.0.iter().try_for_each(|one| one.write_item(xml))
            })
        })
    }
}

impl Characteristic<'_> {
    fn name(&self) -> String {
        let element = match self.form {
            Form::Thread => "",
            _ => element_words(&self.asked.element),
        };
        let texts = [
            self.asked.feature.as_str(),
            &self.asked.name,
            &self.asked.callout,
            element,
        ];
        let said = texts.into_iter().filter(|text| !text.is_empty());
        said.collect::<Vec<&str>>().join(" ")
    }

    fn write_definition(&self, xml: &mut Xml) -> io::Result<()> {
        let asked = self.asked;
        let id = self.definition.to_string();
        let mut more = vec![("callout".to_owned(), asked.callout.clone())];
        if self.form != Form::Thread {
            more.push(("element".to_owned(), asked.element.clone()));
            more.push(("surface".to_owned(), asked.surface.clone()));
            let why = asked.why.iter().enumerate();
            more.extend(why.map(|(at, why)| (format!("limits from, {}", at + 1), why.clone())));
        }
        xml.element(&self.form.element("Definition"), &[("id", &id)], |xml| {
            xml.attributes(&more)?;
            xml.text("Name", &self.name())?;
            match self.form {
                Form::Thread => xml.text("ThreadSpecificationId", &self.specification.to_string()),
                Form::Attribute => xml.text("WhatToMeasure", &self.name()),
                Form::Linear => {
                    write_limits(asked, xml)?;
                    xml.text("WhatToMeasure", &self.name())
                }
                _ => write_limits(asked, xml),
            }
        })
    }

    fn write_nominal(&self, xml: &mut Xml) -> io::Result<()> {
        let id = self.nominal.to_string();
        xml.element(&self.form.element("Nominal"), &[("id", &id)], |xml| {
            xml.text("CharacteristicDefinitionId", &self.definition.to_string())?;
            xml.text("Name", &self.name())?;
            match self.form {
                Form::Thread | Form::Attribute => Ok(()),
                _ => xml.number("TargetValue", &[], &self.asked.nominal),
            }
        })
    }

    fn write_item(&self, xml: &mut Xml) -> io::Result<()> {
        let id = self.item.to_string();
        let number = match self.form {
            Form::Thread => String::new(),
            _ => self.asked.number.to_string(),
        };
        xml.element(&self.form.element("Item"), &[("id", &id)], |xml| {
            xml.attributes(&[("number in the report".to_owned(), number)])?;
            xml.text("Name", &self.name())?;
            xml.element("CharacteristicDesignator", &[], |xml| {
                xml.text("Designator", &self.designator)
            })?;
            xml.text("CharacteristicNominalId", &self.nominal.to_string())
        })
    }
}

/// Limits of size, one or both; where there is none the characteristic is only measured.
fn write_limits(asked: &Asked, xml: &mut Xml) -> io::Result<()> {
    if !is_plain_number(&asked.upper) && !is_plain_number(&asked.lower) {
        return xml.text("NonTolerance", "MEASURED");
    }
    xml.element("Tolerance", &[], |xml| {
        xml.number("MaxValue", &[], &asked.upper)?;
        xml.number("MinValue", &[], &asked.lower)?;
        xml.text("DefinedAsLimit", "true")
    })
}
