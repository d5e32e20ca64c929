//! The arguments of `list`.

use clap::Args;

pub(super) const LIST_HELP: &str = "\
Examples:
  fitledger list
  fitledger list pump 4711
  fitledger list --since 2026-11-01 --verdict NO-GO
  fitledger list --json --gauge mic-25 --limit 20

Every word may be written in capitals or small letters. What is found comes from an index in the
workspace's cache folder, which is made again from the journals whenever they are not as it says;
that folder may be deleted at any time.";

/// See [`super::Command::List`].
#[derive(Debug, Args)]
pub struct ListArguments {
    /// Words that occur in a name: journal, plan, part, drawing, serial, customer, order, lot,
    /// machine, stage, person, gauge
    #[arg(value_name = "TEXT")]
    pub text: Vec<String>,
    /// Occurs in the part's name or the callouts
    #[arg(long, value_name = "NAME")]
    pub part: Option<String>,
    /// Occurs in the drawing's number
    #[arg(long, value_name = "NUMBER")]
    pub drawing: Option<String>,
    /// Occurs in a part's serial number
    #[arg(long, value_name = "NUMBER")]
    pub serial: Option<String>,
    /// Occurs in the customer's name
    #[arg(long, value_name = "NAME")]
    pub customer: Option<String>,
    /// Occurs in the order
    #[arg(long, value_name = "ORDER")]
    pub order: Option<String>,
    /// Occurs in the name of somebody who measured, decided or signed
    #[arg(long, value_name = "NAME")]
    pub operator: Option<String>,
    /// Used on that day or later, by the bench's calendar: 2026-11-25
    #[arg(long, value_name = "DATE")]
    pub since: Option<String>,
    /// Begun on that day or before
    #[arg(long, value_name = "DATE")]
    pub until: Option<String>,
    /// A part stands so: GO, NO-GO, DOUBT, open, in doubt, released, scrap, on hold, ...
    #[arg(long, value_name = "WORD")]
    pub verdict: Option<String>,
    /// That gauge was used: its whole id
    #[arg(long, value_name = "ID")]
    pub gauge: Option<String>,
    /// The record is so: sound, not_closed, torn_tail, damaged, unreadable
    #[arg(long, value_name = "WORD")]
    pub state: Option<String>,
    /// Only so many, the ones used last
    #[arg(long, value_name = "N")]
    pub limit: Option<usize>,
    /// Read every journal anew, and make a new index
    #[arg(long)]
    pub rebuild: bool,
    /// One JSON object a session
    #[arg(long)]
    pub json: bool,
}
