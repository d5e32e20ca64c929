//! A cylinder pressed into a ring: how hard they press, and what that does to their other sides.

use std::f64::consts::PI;

use super::elastic::Elastic;
use super::press_error::PressError;
use super::ring::{RingStress, ring_stress};

/// Diameters that a bench has, mm.
const DIAMETER_MM: (f64, f64) = (0.1, 10_000.0);

/// The joint: a shaft (or bush) of some bore in a hub.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joint {
    diameter_mm: f64,
    /// Infinite for a hub that has no end.
    hub_outside_mm: f64,
    shaft_bore_mm: f64,
    length_mm: f64,
}

impl Joint {
    /// Diameter of the joint, outside of the hub (none: so thick that its end does not matter),
    /// bore of the shaft (0: solid), length of the joint; mm.
    ///
    /// # Errors
    /// `OutOfRange`, `HubTooThin`, `ShaftTooThin`.
    pub fn new(
        diameter_mm: f64,
        hub_outside_mm: Option<f64>,
        shaft_bore_mm: f64,
        length_mm: f64,
    ) -> Result<Self, PressError> {
        let allowed = "0.1 to 10 000 mm";
        PressError::within("joint diameter", diameter_mm, DIAMETER_MM, allowed)?;
        PressError::within("joint length", length_mm, DIAMETER_MM, allowed)?;
        let bore = (0.0, DIAMETER_MM.1);
        PressError::within("bore of the shaft", shaft_bore_mm, bore, "0 to 10 000 mm")?;
        if let Some(outside) = hub_outside_mm {
            let most = (0.0, 2.0 * DIAMETER_MM.1);
            PressError::within("outside of the hub", outside, most, "0 to 20 000 mm")?;
        }
        let hub_outside_mm = hub_outside_mm.unwrap_or(f64::INFINITY);
        if hub_outside_mm <= diameter_mm {
            return Err(PressError::HubTooThin {
                hub_outside_mm,
                joint_diameter_mm: diameter_mm,
            });
        }
        if shaft_bore_mm >= diameter_mm {
            return Err(PressError::ShaftTooThin {
                shaft_bore_mm,
                joint_diameter_mm: diameter_mm,
            });
        }
        Ok(Self {
            diameter_mm,
            hub_outside_mm,
            shaft_bore_mm,
            length_mm,
        })
    }

    /// Diameter, mm.
    pub fn diameter_mm(&self) -> f64 {
        self.diameter_mm
    }

    /// Bore of the shaft, mm; 0 for a solid one.
    pub fn shaft_bore_mm(&self) -> f64 {
        self.shaft_bore_mm
    }

    /// Length, mm.
    pub fn length_mm(&self) -> f64 {
        self.length_mm
    }

    /// Joint over hub outside, and shaft bore over joint.
    fn shares(&self) -> (f64, f64) {
        (
            self.diameter_mm / self.hub_outside_mm,
            self.shaft_bore_mm / self.diameter_mm,
        )
    }

    /// How far one MPa widens the hub's bore and narrows the shaft, over the diameter, 1/MPa.
    fn give_per_mpa(&self, hub: &Elastic, shaft: &Elastic) -> (f64, f64) {
        let (q, qi) = self.shares();
        let (q, qi) = (q * q, qi * qi);
        (
            ((1.0 + q) / (1.0 - q) + hub.poisson()) / hub.young_mpa(),
            ((1.0 + qi) / (1.0 - qi) - shaft.poisson()) / shaft.young_mpa(),
        )
    }

    /// The pressure in the joint, MPa.
    ///
    /// Formula: p = (U/D)/(((1+q^2)/(1-q^2) + nh)/Eh + ((1+s^2)/(1-s^2) - ns)/Es)
    /// Symbols: U interference on the diameter, D joint diameter (mm); q = D/Do, s = Di/D;
    ///          Do outside of the hub, Di bore of the shaft; E modulus (MPa), n Poisson's ratio;
    ///          h hub, s shaft.
    /// Valid:   elastic, plane stress, hub and shaft of equal length (at least about half of D),
    ///          one temperature, no speed; without interference there is none, never a negative
    ///          one.
    /// Rounding: none.
    /// Source:  Lamé; R. L. Norton, Machine Design, 4th edition, example 10-5.
    /// Checked: tests/tables/pair_examples.json; tests/logic/press.rs (both sides meet; energy).
    /// Errors:  none.
    pub fn contact_pressure_mpa(
        &self,
        interference_mm: f64,
        hub: &Elastic,
        shaft: &Elastic,
    ) -> f64 {
        let (widens, narrows) = self.give_per_mpa(hub, shaft);
        (interference_mm / self.diameter_mm / (widens + narrows)).max(0.0)
    }

    /// The interference that a pressure comes from, mm.
    ///
    /// Formula: the inverse of [`Joint::contact_pressure_mpa`]
    /// Symbols: as there.
    /// Valid:   as there.
    /// Rounding: none.
    /// Source:  as there; S. S. Bhavikatti, Strength of Materials, example 8.16.
    /// Checked: tests/tables/pair_examples.json.
    /// Errors:  none.
    pub fn interference_mm(&self, pressure_mpa: f64, hub: &Elastic, shaft: &Elastic) -> f64 {
        let (widens, narrows) = self.give_per_mpa(hub, shaft);
        pressure_mpa * self.diameter_mm * (widens + narrows)
    }

    /// Stresses of the hub at its bore: the largest that it bears.
    pub fn hub_stress(&self, pressure_mpa: f64) -> RingStress {
        self.hub_stress_at(pressure_mpa, self.diameter_mm)
    }

    /// Stresses of the hub at a diameter, mm.
    pub fn hub_stress_at(&self, pressure_mpa: f64, diameter_mm: f64) -> RingStress {
        let ring = (self.diameter_mm, self.hub_outside_mm);
        ring_stress(ring, (pressure_mpa, 0.0), diameter_mm)
    }

    /// Stresses of the shaft at a diameter, mm; a solid one bears the pressure everywhere.
    pub fn shaft_stress_at(&self, pressure_mpa: f64, diameter_mm: f64) -> RingStress {
        let ring = (self.shaft_bore_mm, self.diameter_mm);
        ring_stress(ring, (0.0, pressure_mpa), diameter_mm)
    }

    /// Stresses of the shaft where they are largest: at its bore, in a solid one anywhere.
    pub fn shaft_stress(&self, pressure_mpa: f64) -> RingStress {
        self.shaft_stress_at(pressure_mpa, self.shaft_bore_mm)
    }

    /// The largest pressure at which the hub stays elastic, MPa: by distortion energy, and by the
    /// largest shear.
    ///
    /// Formula: p = R (1-q^2)/sqrt(3+q^4); p = R (1-q^2)/2
    /// Symbols: R stress that it may bear (MPa): yield stress over the wanted safety; q = D/Do.
    /// Valid:   ductile hub, plane stress.
    /// Rounding: none.
    /// Source:  von Mises and Tresca on the stresses of [`ring_stress`] (algebra).
    /// Checked: tests/tables/pair_examples.json; tests/logic/press.rs.
    /// Errors:  none.
    pub fn hub_pressure_limits_mpa(&self, bears_mpa: f64) -> (f64, f64) {
        let (q, _) = self.shares();
        let wall = 1.0 - q * q;
        (
            bears_mpa * wall / (3.0 + q.powi(4)).sqrt(),
            bears_mpa * wall / 2.0,
        )
    }

    /// The largest pressure at which a brittle hub does not crack, MPa.
    ///
    /// Formula: p = R (1-q^2)/(1+q^2)
    /// Symbols: R tensile stress that it may bear (MPa): tensile strength over the wanted safety.
    /// Valid:   brittle hub: its hoop stress alone is compared.
    /// Rounding: none.
    /// Source:  largest principal stress on the stresses of [`ring_stress`] (algebra).
    /// Checked: tests/tables/pair_examples.json.
    /// Errors:  none.
    pub fn brittle_hub_pressure_limit_mpa(&self, bears_mpa: f64) -> f64 {
        let (q, _) = self.shares();
        bears_mpa * (1.0 - q * q) / (1.0 + q * q)
    }

    /// The largest pressure at which the shaft stays elastic, MPa.
    ///
    /// Formula: p = R (1-s^2)/2; solid: p = R
    /// Symbols: R stress that it may bear (MPa); s = Di/D.
    /// Valid:   plane stress; both criteria agree.
    /// Rounding: none.
    /// Source:  the stresses of [`ring_stress`] at the bore (algebra).
    /// Checked: tests/logic/press.rs.
    /// Errors:  none.
    pub fn shaft_pressure_limit_mpa(&self, bears_mpa: f64) -> f64 {
        let (_, qi) = self.shares();
        match qi > 0.0 {
            true => bears_mpa * (1.0 - qi * qi) / 2.0,
            false => bears_mpa,
        }
    }

    /// The force that moves the joint along its axis, N.
    ///
    /// Formula: F = m pi D L p
    /// Symbols: m friction coefficient; D, L diameter and length of the joint (mm); p pressure
    ///          (MPa).
    /// Valid:   pressure even over the length.
    /// Rounding: none.
    /// Source:  Coulomb friction on the joint's surface, as R. L. Norton, Machine Design.
    /// Checked: tests/tables/pair_examples.json.
    /// Errors:  none.
    pub fn axial_force_n(&self, pressure_mpa: f64, friction: f64) -> f64 {
        friction * PI * self.diameter_mm * self.length_mm * pressure_mpa
    }

    /// The torque that turns the joint, N m.
    ///
    /// Formula: T = m pi D^2 L p/2
    /// Symbols: as [`Joint::axial_force_n`].
    /// Valid:   as there.
    /// Rounding: none.
    /// Source:  as there, at the lever D/2.
    /// Checked: tests/tables/pair_examples.json.
    /// Errors:  none.
    pub fn torque_nm(&self, pressure_mpa: f64, friction: f64) -> f64 {
        self.axial_force_n(pressure_mpa, friction) * self.diameter_mm / 2_000.0
    }

    /// How much the hub's outside grows, mm on the diameter; 0 for a hub without an end.
    ///
    /// Formula: dDo = 2 p q^2 Do/(E (1-q^2))
    /// Symbols: as [`Joint::contact_pressure_mpa`].
    /// Valid:   as there.
    /// Rounding: none.
    /// Source:  hoop strain at the outside of a ring, from [`ring_stress`].
    /// Checked: tests/tables/pair_examples.json.
    /// Errors:  none.
    pub fn hub_growth_mm(&self, pressure_mpa: f64, hub: &Elastic) -> f64 {
        if self.hub_outside_mm.is_infinite() {
            return 0.0;
        }
        let (q, _) = self.shares();
        let wall = 1.0 - q * q;
        2.0 * pressure_mpa * q * q * self.hub_outside_mm / (hub.young_mpa() * wall)
    }

    /// How much the shaft's bore shrinks, mm on the diameter; 0 for a solid shaft.
    ///
    /// Formula: dDi = 2 p Di/(E (1-s^2))
    /// Symbols: as [`Joint::contact_pressure_mpa`].
    /// Valid:   as there: under the whole length of the joint.
    /// Rounding: none.
    /// Source:  hoop strain at the bore of a ring, from [`ring_stress`].
    /// Checked: tests/tables/pair_examples.json.
    /// Errors:  none.
    pub fn shaft_bore_shrink_mm(&self, pressure_mpa: f64, shaft: &Elastic) -> f64 {
        let (_, qi) = self.shares();
        2.0 * pressure_mpa * self.shaft_bore_mm / (shaft.young_mpa() * (1.0 - qi * qi))
    }

    /// How much the hub must be warmer than the shaft, K.
    ///
    /// Formula: dT = (U + S)/(a D)
    /// Symbols: U interference, S clearance for joining, D joint diameter (mm); a expansion of the
    ///          hub (1/K).
    /// Valid:   even expansion over the span; a shaft at room temperature.
    /// Rounding: none.
    /// Source:  A. P. Boresi, R. J. Schmidt, Advanced Mechanics of Materials, example 11.3.
    /// Checked: tests/tables/pair_examples.json.
    /// Errors:  none: [`Elastic::new`] takes nothing that does not grow.
    pub fn temperature_difference_k(
        &self,
        interference_mm: f64,
        clearance_mm: f64,
        grows: &Elastic,
    ) -> f64 {
        let needed = (interference_mm + clearance_mm).max(0.0);
        needed / (grows.expansion_per_kelvin() * self.diameter_mm)
    }
}
