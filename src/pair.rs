//! What happens when two parts meet: press and shrink fits, which of many goes with which, cones.
//!
//! This room refuses to know plans, sessions and readings: sizes come in, what they do comes out.
//! Lengths are exact integers until a force or a stress begins; these are floats with their unit in
//! the name. What it says of presses and torches is calculation, not permission: the cautions of
//! [`PressCaution`] go with every answer.
//!
//! ```
//! use fitledger::pair::{Elastic, Joint};
//! let steel = Elastic::new(210_000.0, 0.3, 11.5e-6)?;
//! // A bush of 50 mm pressed into a hub of 100 mm, both of steel, 0.059 mm too large.
//! let joint = Joint::new(50.0, Some(100.0), 0.0, 60.0)?;
//! let pressure_mpa = joint.contact_pressure_mpa(0.059, &steel, &steel);
//! assert!((pressure_mpa - 92.925).abs() < 1e-9);
//! assert_eq!(joint.contact_pressure_mpa(-0.01, &steel, &steel), 0.0);
//! # Ok::<(), fitledger::pair::PressError>(())
//! ```

mod batch_pairing;
mod bush_bore;
mod elastic;
mod joint;
mod lobes;
mod meeting;
mod pair_error;
mod press;
mod press_caution;
mod press_error;
mod press_usual;
mod press_way;
mod ring;
mod stack;
mod suit;
mod taper;
mod taper_measured;
mod taper_named;

pub use batch_pairing::{LeftOver, PairOf, Pairing, most_pairing, nearest_pairing};
pub use bush_bore::{BoreAfter, BoreAsked, bore_after_pressing, bore_limits};
pub use elastic::{Elastic, Strength};
pub use joint::Joint;
pub use lobes::{two_point_factor, v_block_factor};
pub use meeting::{Meeting, MeetingKind, Member, RandomPairs, random_pairs};
pub use pair_error::PairError;
pub use press::{Press, PressAnswer, PressLimits, Surfaces, force_over_travel, press};
pub use press_caution::PressCaution;
pub use press_error::PressError;
pub use press_usual::{bore_in_joint_mm, creeps, joining_clearance_mm, usual_friction};
pub use press_way::PressWay;
pub use ring::{RingStress, ring_stress};
pub use stack::{LINKS_MAX, StackLink, Stacked, stack};
pub use suit::{Between, MakeToSuit, Measured, OutOfClass, guard_of, make_to_suit};
pub use taper::{Taper, TaperError};
pub use taper_measured::{
    Balls, MeasuredMm, MeasuredTaper, Rollers, taper_known, taper_of_diameters, taper_on_sine_bar,
    taper_over_rollers, taper_with_balls,
};
pub use taper_named::{NamedTaper, nearest_named, taper_by_name};
