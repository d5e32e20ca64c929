//! A Digital Calibration Certificate (XML), read and never written: from its text to whose it is,
//! its tables, and the calibration that two columns of one of them give.
//!
//! Versions 2 and 3 of the form, with quantities in its D-SI form of 1.x and 2.x. The signature is
//! not checked: a certificate is "signed, not checked" or not signed. Any text is answered with a
//! certificate or a problem and its place; see `xml.rs` for what keeps a hostile file harmless.
//!
//! ```
//! use fitledger::gauge::{Certificate, Choice};
//! let text = r#"<c:digitalCalibrationCertificate xmlns:c="https://ptb.de/dcc" schemaVersion="3.2.1">
//!   <c:measurementResults><c:measurementResult><c:results><c:result><c:data><c:list>
//!     <c:quantity refType="basic_nominalValue"><s:realListXMLList xmlns:s="https://ptb.de/si">
//!       <s:valueXMLList>5 10</s:valueXMLList><s:unitXMLList>\milli\metre</s:unitXMLList>
//!     </s:realListXMLList></c:quantity>
//!     <c:quantity refType="basic_measurementError"><s:realListXMLList xmlns:s="https://ptb.de/si">
//!       <s:valueXMLList>0 1</s:valueXMLList><s:unitXMLList>\micro\metre</s:unitXMLList>
//!       <s:expandedUncXMLList><s:uncertaintyXMLList>1.5</s:uncertaintyXMLList>
//!         <s:coverageFactorXMLList>2</s:coverageFactorXMLList></s:expandedUncXMLList>
//!     </s:realListXMLList></c:quantity>
//!   </c:list></c:data></c:result></c:results></c:measurementResult></c:measurementResults>
//! </c:digitalCalibrationCertificate>"#;
//! let certificate = Certificate::parse(text)?;
//! let taken = certificate.take(Choice::default())?;
//! assert_eq!(taken.calibration.expanded_uncertainty().as_nm(), 1_500);
//! assert_eq!(taken.calibration.bias_points()[1].at.to_string(), "10.001");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod choice;
mod number;
mod problem;
mod read;
mod table;
mod xml;

pub use choice::{Choice, Chosen, Taken};
pub use problem::{CertificateError, CertificateProblem, ChoiceProblem};
pub use table::{
    Certificate, Column, Condition, Conformity, Identification, Item, Role, Table, Uncertainty,
};

impl Certificate {
    /// Reads the text of a certificate.
    ///
    /// # Errors
    /// What keeps it from being one, with line and column.
    pub fn parse(text: &str) -> Result<Self, CertificateError> {
        read::certificate(text)
    }
}
