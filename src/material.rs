//! Workshop materials: expansion, elasticity and yield, each with its source.
//!
//! This room refuses to know parts, temperatures and forces; it only looks up numbers. Every
//! number is typical for its material, not a certificate.
//!
//! ```
//! use fitledger::material::material;
//! let shaft = material("1.4301")?;
//! assert_eq!(shaft.designation, "X5CrNi18-10");
//! assert!((shaft.expansion().per_kelvin - 16.5e-6).abs() < 1e-12);
//! assert_eq!(material("Steel")?.group, "steel");
//! let slip = material("alumnium").unwrap_err();
//! assert_eq!(slip.to_string(), "There is no material “alumnium”; did you mean “aluminium”?");
//! # Ok::<(), fitledger::material::MaterialError>(())
//! ```

mod csv;
mod format;
mod friction;
mod house;
mod lookup;
mod table;

pub use friction::{Friction, Joining, Wetness, friction};
pub use house::{HouseMaterialsError, MATERIALS_FILE};
pub use lookup::{MaterialError, material};
pub use table::{Expansion, Material, Materials, Text, materials};
