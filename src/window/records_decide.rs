//! Decisions about a stored part as they are filled in: what is asked, one thing after the other,
//! and the command that it comes to. The session judges it; nothing is refused here but what is
//! missing.

use super::press::Press;
use super::records_room::{RecordsMenu, write_into};
use crate::journal::{Disposition, DispositionKind, Manner, Meaning, Sequence, SignedOff};
use crate::session::{Command, NOTE_LENGTH_MAX};

/// What is decided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decision {
    /// The serial number is given.
    Serial,
    /// Rework, hold, scrap, concession.
    Dispose(DispositionKind),
    /// The decision of that line no longer holds.
    Withdraw(Sequence),
    /// A name is put under it.
    Sign(Meaning, Manner),
}

/// One thing that is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Field {
    /// The serial number.
    Serial,
    /// The feature that it is about; may be left empty.
    About,
    /// Why.
    Reason,
    /// Who decides.
    Name,
    /// With whom it was agreed; may be left empty.
    Agreed,
}

/// What is being filled in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Filling {
    /// What is decided.
    pub deed: Decision,
    /// About which part; 0: the whole session.
    pub part: u32,
    /// What is asked, in order, each with what was typed.
    pub fields: Vec<(Field, String)>,
    /// The one that is being typed.
    pub at: usize,
}

impl Decision {
    /// Each choice of the lists with its key and its words.
    pub const DECIDE: [(char, Self, &'static str); 5] = [
        ('1', Self::Serial, "give it a serial number"),
        ('2', Self::Dispose(DispositionKind::Rework), "rework it"),
        ('3', Self::Dispose(DispositionKind::Hold), "hold it back"),
        (
            '4',
            Self::Dispose(DispositionKind::Scrap),
            "give it up as scrap",
        ),
        (
            '5',
            Self::Dispose(DispositionKind::Concession),
            "accept it under a concession",
        ),
    ];
    /// The same of the signatures.
    pub const SIGN: [(char, Self, &'static str); 5] = [
        (
            '1',
            Self::Sign(Meaning::Measured, Manner::Plain),
            "I measured this",
        ),
        (
            '2',
            Self::Sign(Meaning::Checked, Manner::Plain),
            "I looked through it",
        ),
        (
            '3',
            Self::Sign(Meaning::Released, Manner::Plain),
            "release it",
        ),
        (
            '4',
            Self::Sign(Meaning::Released, Manner::Early),
            "release it early",
        ),
        (
            '5',
            Self::Sign(Meaning::Released, Manner::InDoubt),
            "release it in doubt",
        ),
    ];

    /// The same at the bench, where who measures is who decides.
    pub const BENCH: [(char, Self, &'static str); 9] = [
        ('1', Self::Serial, "serial number"),
        ('2', Self::Dispose(DispositionKind::Rework), "rework"),
        ('3', Self::Dispose(DispositionKind::Hold), "hold back"),
        ('4', Self::Dispose(DispositionKind::Scrap), "scrap"),
        (
            '5',
            Self::Dispose(DispositionKind::Concession),
            "concession",
        ),
        ('7', Self::Sign(Meaning::Released, Manner::Plain), "release"),
        (
            '8',
            Self::Sign(Meaning::Released, Manner::Early),
            "release early",
        ),
        (
            '9',
            Self::Sign(Meaning::Released, Manner::InDoubt),
            "release in doubt",
        ),
        (
            '0',
            Self::Sign(Meaning::Checked, Manner::Plain),
            "looked through",
        ),
    ];

    /// The one of a key at the bench.
    pub fn at_bench(key: char) -> Option<Self> {
        let mut table = Self::BENCH.iter();
        table
            .find(|(one, ..)| *one == key)
            .map(|(_, deed, _)| *deed)
    }

    /// What it is, in words.
    pub fn words(self) -> &'static str {
        let mut tables = Self::DECIDE.iter().chain(&Self::SIGN);
        let found = tables.find(|(_, deed, _)| *deed == self);
        found.map_or("withdraw a decision", |(_, _, text)| *text)
    }

    /// Whether it is asked for a serial number or a reason.
    pub fn needs_words(self) -> bool {
        let mut fields = self.fields().iter();
        fields.any(|field| matches!(field, Field::Serial | Field::Reason))
    }

    /// As it is asked of the running session: by who measures there, with a reason or a serial
    /// number.
    pub fn command_at_bench(self, part: u32, text: &str) -> Command {
        let fields = self.fields().iter().map(|field| match field {
            Field::Serial | Field::Reason => (*field, text.to_owned()),
            _ => (*field, String::new()),
        });
        let filling = Filling {
            deed: self,
            part,
            fields: fields.collect(),
            at: 0,
        };
        filling.command()
    }

    /// The one of a key; `standing` are the lines of the decisions that can be withdrawn.
    pub fn of(menu: RecordsMenu, key: char, standing: &[Sequence]) -> Option<Self> {
        let table = match menu {
            RecordsMenu::Decide => &Self::DECIDE,
            RecordsMenu::Sign => &Self::SIGN,
            RecordsMenu::Withdraw => {
                let at = usize::try_from(key.to_digit(10)?).ok()?.checked_sub(1)?;
                return standing.get(at).map(|line| Self::Withdraw(*line));
            }
            RecordsMenu::Record => return None,
        };
        let mut table = table.iter();
        table
            .find(|(one, ..)| *one == key)
            .map(|(_, deed, _)| *deed)
    }

    fn fields(self) -> &'static [Field] {
        match self {
            Self::Serial => &[Field::Serial],
            Self::Dispose(DispositionKind::Concession) => {
                &[Field::About, Field::Reason, Field::Name, Field::Agreed]
            }
            Self::Dispose(_) | Self::Withdraw(_) => &[Field::Reason, Field::Name],
            Self::Sign(Meaning::Released, Manner::Early | Manner::InDoubt) => {
                &[Field::Reason, Field::Name]
            }
            Self::Sign(..) => &[Field::Name],
        }
    }
}

impl Field {
    /// What is asked, with what it is for.
    pub fn question(self) -> &'static str {
        match self {
            Self::Serial => "The serial number or mark on the part",
            Self::About => "The feature that it is about, by its id; nothing: the whole part",
            Self::Reason => "Why, in a few words",
            Self::Name => "The name of who decides",
            Self::Agreed => "With whom it was agreed; nothing: with nobody",
        }
    }

    /// In one word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Serial => "serial number",
            Self::About => "feature",
            Self::Reason => "reason",
            Self::Name => "name",
            Self::Agreed => "agreed with",
        }
    }

    fn missing(self) -> Option<&'static str> {
        match self {
            Self::Serial | Self::About | Self::Agreed => None,
            Self::Reason => Some("That is done only with a reason. Say in a few words why."),
            Self::Name => Some("That is done only by a person with a name. Give a name."),
        }
    }
}

impl Filling {
    /// Begins to ask; `name` is offered where one is asked for.
    pub fn new(deed: Decision, part: u32, name: &str) -> Self {
        let fields = deed.fields().iter().map(|field| match field {
            Field::Name => (*field, name.to_owned()),
            _ => (*field, String::new()),
        });
        Self {
            deed,
            part,
            fields: fields.collect(),
            at: 0,
        }
    }

    /// What is being typed.
    pub fn text(&self) -> &str {
        self.fields.get(self.at).map_or("", |(_, text)| text)
    }

    /// What is asked for.
    pub fn field(&self) -> Field {
        self.fields
            .get(self.at)
            .map_or(Field::Name, |(field, _)| *field)
    }

    /// The name that was typed.
    pub fn name(&self) -> &str {
        self.value(Field::Name)
    }

    fn value(&self, field: Field) -> &str {
        let found = self.fields.iter().find(|(one, _)| *one == field);
        found.map_or("", |(_, text)| text.trim())
    }

    /// Takes what a press writes; why it was not taken, in a sentence.
    pub(super) fn write(&mut self, press: &Press) -> Option<String> {
        let (_, text) = self.fields.get_mut(self.at)?;
        let is_kept = write_into(text, press, NOTE_LENGTH_MAX);
        (!is_kept).then(|| format!("No more than {NOTE_LENGTH_MAX} characters are kept."))
    }

    /// On to the next thing that is asked; after the last the command. A missing reason or name
    /// is told.
    pub(super) fn enter(&mut self) -> Result<Option<Command>, String> {
        let missing = self.field().missing();
        if let (true, Some(missing)) = (self.text().trim().is_empty(), missing) {
            return Err(missing.to_owned());
        }
        if self.at + 1 < self.fields.len() {
            self.at += 1;
            return Ok(None);
        }
        Ok(Some(self.command()))
    }

    fn command(&self) -> Command {
        let text = |field| self.value(field).to_owned();
        let dispose = |kind, of| {
            Command::Dispose(Box::new(Disposition {
                part: self.part,
                kind,
                feature: text(Field::About),
                element: String::new(),
                reason: text(Field::Reason),
                by: text(Field::Name),
                agreed_with: text(Field::Agreed),
                of,
            }))
        };
        match self.deed {
            Decision::Serial => Command::NamePart {
                part: Some(self.part),
                serial: text(Field::Serial),
            },
            Decision::Dispose(kind) => dispose(kind, 0),
            Decision::Withdraw(line) => dispose(DispositionKind::Withdrawn, line),
            Decision::Sign(meaning, manner) => Command::SignOff(Box::new(SignedOff {
                part: self.part,
                meaning,
                manner,
                by: text(Field::Name),
                reason: text(Field::Reason),
                covers: SignedOff::JUST_BEFORE,
                hash: String::new(),
                left: Vec::new(),
            })),
        }
    }
}
