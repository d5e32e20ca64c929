//! Why an item gets no answer: one form for the errors of every room.

use crate::gauge::RegisterError;
use crate::material::{HouseMaterialsError, MaterialError};
use crate::measure::{
    ClearanceError, JudgeError, MeasureError, RemainingError, ThreadingError, WiresError,
};
use crate::pair::PairError;
use crate::quantity::QuantityError;
use crate::session::{BeginError, OpeningError, TypedError, WorkspaceError};
use crate::statistics::StatisticsError;
use crate::tolerance::{CalloutError, ScrewGaugeError, TableError, render_caret};
use crate::wire::PortError;

use super::exit::Exit;

/// An error with what machines and people are told of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Problem {
    /// The stable word for machines.
    pub(crate) code: &'static str,
    /// What is wrong, where, and what was expected.
    pub(crate) message: String,
    /// What to do next.
    pub(crate) hint: Option<String>,
    /// For people: the text with a caret below the place.
    pub(crate) picture: Option<String>,
    /// What it does to the exit code.
    pub(crate) exit: Exit,
}

impl Problem {
    /// Bad input.
    pub(crate) fn bad(code: &'static str, message: String, hint: Option<&str>) -> Self {
        Self {
            code,
            message,
            hint: hint.map(str::to_owned),
            picture: None,
            exit: Exit::BadInput,
        }
    }

    /// The outside world failed.
    pub(crate) fn outside(code: &'static str, message: String, hint: Option<&str>) -> Self {
        Self {
            exit: Exit::OutsideFailed,
            ..Self::bad(code, message, hint)
        }
    }

    /// For people: picture, sentence, hint, one below the other.
    pub(crate) fn told(&self) -> String {
        let lines = [
            self.picture.as_deref(),
            Some(self.message.as_str()),
            self.hint.as_deref(),
        ];
        lines
            .into_iter()
            .flatten()
            .collect::<Vec<&str>>()
            .join("\n")
    }

    /// Every problem of a gauge register in one.
    pub(crate) fn register(errors: &[RegisterError]) -> Self {
        let sentences: Vec<String> = errors.iter().map(RegisterError::sentence).collect();
        let pictures: Vec<String> = errors.iter().map(ToString::to_string).collect();
        let hint = errors.first().and_then(|error| error.hint());
        Self {
            picture: Some(pictures.join("\n")),
            ..Self::bad(
                "gauge_register_invalid",
                sentences.join(" "),
                hint.as_deref(),
            )
        }
    }
}

impl From<CalloutError> for Problem {
    fn from(error: CalloutError) -> Self {
        Self {
            picture: render_caret(&error),
            ..Self::bad(error.code(), error.to_string(), error.hint().as_deref())
        }
    }
}

impl From<QuantityError> for Problem {
    fn from(error: QuantityError) -> Self {
        Self::bad(error.code(), error.to_string(), error.hint())
    }
}

impl From<JudgeError> for Problem {
    fn from(error: JudgeError) -> Self {
        Self::bad(error.code(), error.to_string(), error.hint())
    }
}

impl From<MeasureError> for Problem {
    fn from(error: MeasureError) -> Self {
        Self::bad(error.code(), error.to_string(), error.hint())
    }
}

impl From<RemainingError> for Problem {
    fn from(error: RemainingError) -> Self {
        Self::bad(error.code(), error.to_string(), error.hint())
    }
}

impl From<WiresError> for Problem {
    fn from(error: WiresError) -> Self {
        Self::bad(error.code(), error.to_string(), error.hint().as_deref())
    }
}

impl From<ScrewGaugeError> for Problem {
    fn from(error: ScrewGaugeError) -> Self {
        Self::bad(error.code(), error.to_string(), error.hint())
    }
}

impl From<ClearanceError> for Problem {
    fn from(error: ClearanceError) -> Self {
        Self::bad(error.code(), error.to_string(), error.hint())
    }
}

impl From<ThreadingError> for Problem {
    fn from(error: ThreadingError) -> Self {
        Self::bad(error.code(), error.to_string(), error.hint())
    }
}

impl From<PairError> for Problem {
    fn from(error: PairError) -> Self {
        Self::bad(error.code(), error.to_string(), error.hint())
    }
}

impl From<StatisticsError> for Problem {
    fn from(error: StatisticsError) -> Self {
        Self::bad(error.code(), error.to_string(), error.hint())
    }
}

impl From<MaterialError> for Problem {
    fn from(error: MaterialError) -> Self {
        Self::bad(error.code(), error.to_string(), error.hint())
    }
}

impl From<HouseMaterialsError> for Problem {
    fn from(error: HouseMaterialsError) -> Self {
        Self::bad(error.code(), error.to_string(), Some(error.hint()))
    }
}

impl From<TableError> for Problem {
    fn from(error: TableError) -> Self {
        Self::bad(error.code(), error.to_string(), error.hint())
    }
}

impl From<PortError> for Problem {
    fn from(error: PortError) -> Self {
        BeginError::from(error).into()
    }
}

impl From<WorkspaceError> for Problem {
    fn from(error: WorkspaceError) -> Self {
        BeginError::from(error).into()
    }
}

impl From<OpeningError> for Problem {
    fn from(error: OpeningError) -> Self {
        BeginError::from(error).into()
    }
}

impl From<BeginError> for Problem {
    fn from(error: BeginError) -> Self {
        let make = if error.is_outside {
            Self::outside
        } else {
            Self::bad
        };
        make(error.code, error.message, error.hint.as_deref())
    }
}

impl From<TypedError> for Problem {
    fn from(error: TypedError) -> Self {
        Self::bad(error.code, error.to_string(), error.hint())
    }
}
