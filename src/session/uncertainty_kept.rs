//! Standard uncertainties as they are kept with points: each once, and by its number at the point,
//! so that a point stays as small as it was.

use std::collections::BTreeMap;

/// Which of the uncertainties that were met; 0 is none.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct UncertaintyAt(u16);

/// The uncertainties that were met, in smallest steps.
#[derive(Debug, Clone, Default)]
pub(super) struct Uncertainties {
    all: Vec<i64>,
    places: BTreeMap<i64, UncertaintyAt>,
}

impl Uncertainties {
    /// Keeps one. Of more than 65,535 different ones the further are not known.
    pub(super) fn keep(&mut self, u: Option<i64>) -> UncertaintyAt {
        let Some(u) = u else {
            return UncertaintyAt::default();
        };
        if let Some(at) = self.places.get(&u) {
            return *at;
        }
        let Ok(number) = u16::try_from(self.all.len() + 1) else {
            return UncertaintyAt::default();
        };
        self.all.push(u);
        self.places.insert(u, UncertaintyAt(number));
        UncertaintyAt(number)
    }

    /// The one of that number, where it is known.
    pub(super) fn of(&self, at: UncertaintyAt) -> Option<i64> {
        let place = usize::from(at.0).checked_sub(1)?;
        self.all.get(place).copied()
    }
}

#[cfg(test)]
mod tests {
    use super::{Uncertainties, UncertaintyAt};

    /// A million points are read again within 32 MiB: a point has grown when this fails.
    #[test]
    fn a_point_is_no_larger_than_its_value_its_reading_and_eight_bytes() {
        assert_eq!(size_of::<crate::session::Point>(), 20);
    }

    #[test]
    fn each_is_kept_once_and_found_again_and_too_many_are_not_known() {
        let mut kept = Uncertainties::default();
        let first = kept.keep(Some(1_191));
        let second = kept.keep(Some(1_041));
        assert_eq!(kept.keep(Some(1_191)), first);
        assert_eq!(kept.of(first), Some(1_191));
        assert_eq!(kept.of(second), Some(1_041));
        assert_eq!(kept.of(kept.clone().keep(None)), None);
        assert_eq!(kept.of(UncertaintyAt::default()), None);
        for u in 10_000..80_000 {
            kept.keep(Some(u));
        }
        let last = kept.keep(Some(10_000 + 65_532));
        assert_eq!(kept.of(last), Some(75_532));
        let beyond = kept.keep(Some(10_000 + 65_533));
        assert_eq!(kept.of(beyond), None);
        assert_eq!(kept.of(first), Some(1_191), "none takes another's place");
    }
}
