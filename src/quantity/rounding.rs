//! Division of whole numbers with its direction in the name.

/// Which way a division that does not come out even goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rounding {
    /// Towards minus infinity.
    Floor,
    /// Towards plus infinity.
    Ceil,
    /// To the nearest; a tie goes to the even neighbour (IEC 80000 practice, ISO 80000-1 annex B,
    /// from memory).
    HalfEven,
}

impl Rounding {
    /// `numerator / denominator`, rounded this way.
    ///
    /// A denominator of zero is a bug of the caller and panics like integer division.
    pub(crate) fn divide(self, numerator: i128, denominator: i128) -> i128 {
        assert!(denominator != 0, "division of a quantity by zero");
        let (n, d) = if denominator < 0 {
            (-numerator, -denominator)
        } else {
            (numerator, denominator)
        };
        let floor = n.div_euclid(d);
        let rest = n.rem_euclid(d);
        match self {
            Self::Floor => floor,
            Self::Ceil => floor + i128::from(rest != 0),
            Self::HalfEven => {
                let up = match (2 * rest).cmp(&d) {
                    std::cmp::Ordering::Less => false,
                    std::cmp::Ordering::Greater => true,
                    std::cmp::Ordering::Equal => floor.rem_euclid(2) == 1,
                };
                floor + i128::from(up)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Rounding::{Ceil, Floor, HalfEven};

    #[test]
    fn each_direction_holds_on_both_sides_of_zero() {
        for (n, d, floor, ceil, half) in [
            (7, 2, 3, 4, 4),
            (5, 2, 2, 3, 2),
            (-5, 2, -3, -2, -2),
            (-7, 2, -4, -3, -4),
            (6, 3, 2, 2, 2),
            (5, -2, -3, -2, -2),
            (1, 3, 0, 1, 0),
            (2, 3, 0, 1, 1),
        ] {
            assert_eq!(Floor.divide(n, d), floor, "{n}/{d}");
            assert_eq!(Ceil.divide(n, d), ceil, "{n}/{d}");
            assert_eq!(HalfEven.divide(n, d), half, "{n}/{d}");
        }
    }
}
