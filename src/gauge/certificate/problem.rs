//! What can be wrong with a calibration certificate, or with the choice of its columns.

use std::fmt;

/// A problem with its place in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CertificateError {
    /// Line from 1.
    pub line: usize,
    /// Column from 1, in characters.
    pub column: usize,
    /// What is wrong.
    pub problem: CertificateProblem,
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CertificateProblem {
    /// The file is larger than any certificate.
    TooLarge {
        /// Its size.
        bytes: usize,
    },
    /// Elements stand too deep inside one another.
    TooDeep,
    /// There are more elements than any certificate has.
    TooManyElements,
    /// One element has more attributes than any certificate's.
    TooManyAttributes,
    /// The lists hold more values than any certificate's.
    TooManyValues,
    /// A document type declaration, which a certificate never has.
    DocumentType,
    /// An entity that XML itself does not know.
    UnknownEntity {
        /// Its name.
        name: String,
    },
    /// Not XML.
    Malformed {
        /// What the reader says.
        what: String,
    },
    /// XML of another kind.
    NotACertificate {
        /// The outermost element.
        found: String,
    },
    /// A certificate of a major version that is not known.
    UnknownVersion {
        /// The version.
        found: String,
    },
}

impl CertificateError {
    /// The problem at a byte of the text.
    pub(super) fn at(text: &str, offset: usize, problem: CertificateProblem) -> Self {
        let mut offset = offset.min(text.len());
        while !text.is_char_boundary(offset) {
            offset -= 1;
        }
        let before = text.get(..offset).unwrap_or("");
        let line = before.matches('\n').count() + 1;
        let start = before.rfind('\n').map_or(0, |at| at + 1);
        let column = before.get(start..).map_or(0, |rest| rest.chars().count()) + 1;
        Self {
            line,
            column,
            problem,
        }
    }

    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self.problem {
            CertificateProblem::TooLarge { .. } => "certificate_too_large",
            CertificateProblem::TooDeep => "certificate_too_deep",
            CertificateProblem::TooManyElements
            | CertificateProblem::TooManyAttributes
            | CertificateProblem::TooManyValues => "certificate_too_many_elements",
            CertificateProblem::DocumentType => "certificate_document_type",
            CertificateProblem::UnknownEntity { .. } => "certificate_unknown_entity",
            CertificateProblem::Malformed { .. } => "certificate_malformed",
            CertificateProblem::NotACertificate { .. } => "not_a_certificate",
            CertificateProblem::UnknownVersion { .. } => "certificate_version",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> &'static str {
        match self.problem {
            CertificateProblem::Malformed { .. } => {
                "Ask the laboratory for the file again; it may have been cut on the way."
            }
            CertificateProblem::NotACertificate { .. } => {
                "Give the XML file of a Digital Calibration Certificate, not its PDF or signature."
            }
            CertificateProblem::UnknownVersion { .. } => {
                "Copy U, k and the errors from the certificate into gauges.toml by hand."
            }
            _ => "Do not trust this file; ask the laboratory for the certificate again.",
        }
    }
}

impl fmt::Display for CertificateError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (line, column) = (self.line, self.column);
        write!(f, "Line {line}, column {column}: {}", self.problem)
    }
}

impl fmt::Display for CertificateProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLarge { bytes } => {
                write!(
                    f,
                    "the file has {bytes} bytes; a certificate has at most 16 MiB."
                )
            }
            Self::TooDeep => f.write_str("elements stand more than 64 deep inside one another."),
            Self::TooManyElements => f.write_str("the file has more than 200 000 elements."),
            Self::TooManyAttributes => f.write_str("an element has more than 64 attributes."),
            Self::TooManyValues => f.write_str("the lists hold more than 100 000 values."),
            Self::DocumentType => f.write_str(
                "the file has a document type declaration; a certificate has none, and one could \
                 make a small file grow without end.",
            ),
            Self::UnknownEntity { name } => {
                write!(f, "“&{name};” stands for nothing that XML itself knows.")
            }
            Self::Malformed { what } => write!(f, "the file is not sound XML: {what}."),
            Self::NotACertificate { found } if found.is_empty() => {
                f.write_str("the file holds no XML at all.")
            }
            Self::NotACertificate { found } => write!(
                f,
                "the outermost element is <{found}>; expected <digitalCalibrationCertificate>."
            ),
            Self::UnknownVersion { found } => write!(
                f,
                "the certificate is of version “{found}”; versions 2 and 3 can be read."
            ),
        }
    }
}

impl std::error::Error for CertificateError {}

/// Why a calibration cannot be taken from the chosen columns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ChoiceProblem {
    /// The certificate has no table of lengths.
    NoTable,
    /// Several tables could be meant, or the columns of one are not told by their names.
    NotClear,
    /// There is no table of that number.
    NoSuchTable {
        /// The number asked for.
        found: usize,
        /// How many there are.
        tables: usize,
    },
    /// There is no column of that number.
    NoSuchColumn {
        /// The number asked for.
        found: usize,
        /// How many the table has.
        columns: usize,
    },
    /// Both choices name one column.
    SameColumn,
    /// The two columns are of different length.
    DifferentLength,
    /// The column's unit is none of length.
    Unit {
        /// The column.
        column: usize,
        /// The unit as written.
        found: String,
    },
    /// A number cannot be read.
    Number {
        /// The column.
        column: usize,
        /// The text.
        found: String,
    },
    /// A length is no whole number of nanometres.
    NotExact {
        /// The column.
        column: usize,
        /// The number as written.
        found: String,
    },
    /// The error's column has no expanded uncertainty with a coverage factor.
    NoUncertainty {
        /// The column.
        column: usize,
    },
    /// A coverage factor outside 1 to 10.
    CoverageFactor {
        /// As written.
        found: String,
    },
    /// An expanded uncertainty outside 0 to 1 mm, or an error beyond 1 mm.
    OutOfRange {
        /// As written.
        found: String,
    },
    /// Two points of the table show the same size.
    SamePoint {
        /// The size.
        at: String,
    },
}

impl ChoiceProblem {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NoTable => "certificate_no_table",
            Self::NotClear => "certificate_columns_not_clear",
            Self::NoSuchTable { .. } => "certificate_no_such_table",
            Self::NoSuchColumn { .. } => "certificate_no_such_column",
            Self::SameColumn => "certificate_same_column",
            Self::DifferentLength => "certificate_columns_differ",
            Self::Unit { .. } => "certificate_unit",
            Self::Number { .. } => "certificate_number",
            Self::NotExact { .. } => "certificate_not_exact",
            Self::NoUncertainty { .. } => "certificate_no_uncertainty",
            Self::CoverageFactor { .. } => "certificate_coverage_factor",
            Self::OutOfRange { .. } => "certificate_out_of_range",
            Self::SamePoint { .. } => "certificate_same_point",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::NotClear => {
                "Look at the tables and name the columns: --table N --at-column N --error-column N."
            }
            Self::NoSuchTable { .. } | Self::NoSuchColumn { .. } | Self::SameColumn => {
                "Tables and columns are counted from 1, as they are shown."
            }
            Self::DifferentLength => "Choose two columns of one table that belong together.",
            _ => "Copy what the certificate says into gauges.toml by hand.",
        }
    }
}

impl fmt::Display for ChoiceProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoTable => f.write_str("The certificate has no table of lengths."),
            Self::NotClear => f.write_str(
                "It is not clear from the names which column is the size and which the error.",
            ),
            Self::NoSuchTable { found, tables } => {
                write!(
                    f,
                    "There is no table {found}; the certificate has {tables}."
                )
            }
            Self::NoSuchColumn { found, columns } => {
                write!(f, "There is no column {found}; the table has {columns}.")
            }
            Self::SameColumn => f.write_str("The size and the error cannot be one column."),
            Self::DifferentLength => f.write_str("The two columns are not of equal length."),
            Self::Unit { column, found } => write!(
                f,
                "Column {column} is in “{found}”; expected \\metre, \\milli\\metre, \
                 \\micro\\metre or \\nano\\metre."
            ),
            Self::Number { column, found } => {
                write!(f, "Column {column} has “{found}”, which is no number.")
            }
            Self::NotExact { column, found } => write!(
                f,
                "Column {column} has {found}, which is no whole number of nanometres."
            ),
            Self::NoUncertainty { column } => write!(
                f,
                "Column {column} has no expanded uncertainty with a coverage factor for each value."
            ),
            Self::CoverageFactor { found } => {
                write!(f, "The coverage factor is {found}; expected 1 to 10.")
            }
            Self::OutOfRange { found } => write!(
                f,
                "An error or its uncertainty is {found} mm; expected at most 1 mm, and U above 0."
            ),
            Self::SamePoint { at } => write!(f, "The table has the size {at} mm twice."),
        }
    }
}

impl std::error::Error for ChoiceProblem {}
