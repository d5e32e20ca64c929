//! The arguments of `fitledger guide`.

use std::ffi::OsStr;
use std::path::PathBuf;

use clap::builder::{PossibleValue, StringValueParser, TypedValueParser};
use clap::{Arg, Args, Command, Error};

use crate::guide::pages;

pub(super) const GUIDE_HELP: &str = "\
Examples:
  fitledger guide
  fitledger guide start
  fitledger guide --html --out guide.html

The HTML is one file that loads nothing from elsewhere, for screen and paper.";

/// See [`super::Command::Guide`].
#[derive(Debug, Args)]
pub struct GuideArguments {
    /// Page to read; without it the pages are listed
    #[arg(value_name = "PAGE", value_parser = PageName, conflicts_with = "html")]
    pub page: Option<String>,
    /// Write the whole guide as one HTML file
    #[arg(long, requires = "out")]
    pub html: bool,
    /// Where the HTML goes
    #[arg(long, value_name = "FILE.html", requires = "html")]
    pub out: Option<PathBuf>,
    /// Replace a file that is there
    #[arg(long, requires = "html")]
    pub replace: bool,
    /// One JSON object a page, or about what was written
    #[arg(long)]
    pub json: bool,
}

/// Takes any word, so that an unknown page is answered in a sentence; help and completions know
/// the pages.
#[derive(Debug, Clone)]
struct PageName;

impl TypedValueParser for PageName {
    type Value = String;

    fn parse_ref(
        &self,
        command: &Command,
        argument: Option<&Arg>,
        value: &OsStr,
    ) -> Result<String, Error> {
        StringValueParser::new().parse_ref(command, argument, value)
    }

    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        let values = pages().iter();
        let values = values.map(|page| PossibleValue::new(page.name).help(page.title));
        Some(Box::new(values))
    }
}
