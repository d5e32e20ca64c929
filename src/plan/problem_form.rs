//! What can be wrong with a form or position of a plan.

use std::fmt;

/// A fault of an entry with `form`, or of keys that only such an entry has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FormProblem {
    /// The callout is no largest width.
    Callout,
    /// A key that only forms have.
    KeyWithoutForm {
        /// The key.
        key: &'static str,
    },
    /// A key that no form has.
    KeyOfSizes {
        /// The key.
        key: &'static str,
    },
    /// A key that this form does not have.
    KeyOfOthers {
        /// The key.
        key: &'static str,
        /// The form.
        form: &'static str,
    },
    /// The form needs a key that is not there.
    NeedsKey {
        /// The form.
        form: &'static str,
        /// The key.
        key: &'static str,
    },
    /// `of` or `datum` names what it cannot be.
    Reference {
        /// The key.
        key: &'static str,
        /// The id as written.
        found: String,
        /// What it is.
        is: &'static str,
    },
}

impl FormProblem {
    /// The problem's stable word for machines.
    pub(super) fn code(&self) -> &'static str {
        match self {
            Self::Callout => "form_callout",
            Self::KeyWithoutForm { .. } => "key_without_form",
            Self::KeyOfSizes { .. } | Self::KeyOfOthers { .. } => "not_for_form",
            Self::NeedsKey { .. } => "form_needs_key",
            Self::Reference { .. } => "form_reference",
        }
    }

    /// What to do about it, one sentence.
    pub(super) fn hint(&self) -> &'static str {
        match self {
            Self::Callout => "Write the largest width, as callout = \"0.02 max\".",
            Self::KeyWithoutForm { .. } => "Leave it out, or name the form, as form = \"runout\".",
            Self::KeyOfSizes { .. } | Self::KeyOfOthers { .. } => "Leave it out.",
            Self::NeedsKey { key, .. } => match *key {
                "lobes" => {
                    "Say how many lobes are taken, as lobes = 3 after three jaws (common practice)."
                }
                "of" => "Name the feature that it is asked of, as of = \"B\".",
                _ => "Name the datum feature, as datum = \"A\".",
            },
            Self::Reference { .. } => "Name a surface of this plan, another than this.",
        }
    }
}

impl fmt::Display for FormProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Callout => {
                f.write_str("a form ends at zero; expected its largest width and nothing else.")
            }
            Self::KeyWithoutForm { key } => write!(f, "`{key}` is stated, but no `form`."),
            Self::KeyOfSizes { key } => write!(f, "`{key}` is for sizes, but this is a form."),
            Self::KeyOfOthers { key, form } => write!(f, "`{key}` is nothing that {form} has."),
            Self::NeedsKey { form, key } => {
                write!(f, "{form} needs the key `{key}` here, which is not stated.")
            }
            Self::Reference { key, found, is } => {
                write!(
                    f,
                    "`{key}` names \"{}\", which is {is}.",
                    found.escape_debug()
                )
            }
        }
    }
}
