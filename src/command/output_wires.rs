//! The answer of `wires` as JSON.
//!
//! Beyond the contract's list: `callout`, `designation`, `pitch_limits` (the limits of the pitch
//! diameter), `lead_angle_correction` (whether it is counted), `lead_angle_effect` (how much too
//! large a pitch diameter reads when it is not), `flags` and `why`. Lengths are given to the
//! nanometre.

use serde::Serialize;

use super::output_thread::SidesLine;

/// Wires for one external thread.
#[derive(Debug, Serialize)]
pub(super) struct WiresLine {
    pub(super) callout: String,
    pub(super) designation: String,
    pub(super) best_wire: String,
    pub(super) wire_min: String,
    pub(super) wire_max: String,
    pub(super) wire: String,
    pub(super) over_wires: SidesLine,
    pub(super) pitch_diameter: Option<String>,
    pub(super) pitch_limits: SidesLine,
    pub(super) lead_angle_correction: bool,
    pub(super) lead_angle_effect: String,
    pub(super) flags: Vec<String>,
    pub(super) why: Vec<String>,
}
