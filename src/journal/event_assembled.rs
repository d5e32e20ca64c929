//! That a part went into an assembly, beside which others.

/// A part went into an assembly. Stands in the record of each of its parts; the last one holds.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PartAssembled {
    /// Running number of the part in this record.
    pub part: u32,
    /// What the assembly is.
    pub assembly: String,
    /// Number of its drawing; may be empty.
    pub drawing: String,
    /// Serial number of the assembly.
    pub serial: String,
    /// What the part is in it.
    pub member: String,
    /// How the assembly stood then: `GO`, `NO-GO`, `DOUBT` or `open`.
    pub state: String,
    /// Who put it together.
    pub by: String,
    /// The other parts.
    pub with: Vec<AssembledWith>,
}

/// Another part of the assembly, and the record that it was taken by.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct AssembledWith {
    /// What it is in the assembly.
    pub member: String,
    /// The name of the part.
    pub part_name: String,
    /// Its serial number.
    pub serial: String,
    /// The newest file of its record.
    pub journal: String,
    /// The hash that the record ended with, in hexadecimal.
    pub head: String,
}
