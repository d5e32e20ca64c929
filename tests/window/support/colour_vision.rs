//! How colours look to eyes without red or green cones, and how far apart colours then are.

use super::picture::linear;

/// A kind of colour vision.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Vision {
    Usual,
    /// No red cones.
    Protanopia,
    /// No green cones.
    Deuteranopia,
}

/// Machado, Oliveira, Fernandes (2009), A Physiologically-based Model for Simulation of Color
/// Vision Deficiency, severity 1.0; on linear light. From memory.
const PROTANOPIA: [[f64; 3]; 3] = [
    [0.152_286, 1.052_583, -0.204_868],
    [0.114_503, 0.786_281, 0.099_216],
    [-0.003_882, -0.048_116, 1.051_998],
];
const DEUTERANOPIA: [[f64; 3]; 3] = [
    [0.367_322, 0.860_646, -0.227_968],
    [0.280_085, 0.672_501, 0.047_413],
    [-0.011_820, 0.042_940, 0.968_881],
];

/// Linear light of each channel, 0 to 1, as these eyes see the colour.
pub(crate) fn seen(colour: [u8; 3], vision: Vision) -> [f64; 3] {
    let light = colour.map(linear);
    let matrix = match vision {
        Vision::Usual => return light,
        Vision::Protanopia => PROTANOPIA,
        Vision::Deuteranopia => DEUTERANOPIA,
    };
    matrix.map(|row| {
        let sum: f64 = row.iter().zip(light).map(|(one, other)| one * other).sum();
        sum.clamp(0.0, 1.0)
    })
}

/// CIE 1976 L*a*b* of linear light, white D65. Matrix of IEC 61966-2-1 and white point
/// 0.95047, 1, 1.08883, from memory.
pub(crate) fn lab(light: [f64; 3]) -> [f64; 3] {
    let [red, green, blue] = light;
    let x = (0.4124 * red + 0.3576 * green + 0.1805 * blue) / 0.95047;
    let y = 0.2126 * red + 0.7152 * green + 0.0722 * blue;
    let z = (0.0193 * red + 0.1192 * green + 0.9505 * blue) / 1.08883;
    let bent = |value: f64| {
        if value > (6.0_f64 / 29.0).powi(3) {
            value.cbrt()
        } else {
            value * 841.0 / 108.0 + 4.0 / 29.0
        }
    };
    let [x, y, z] = [x, y, z].map(bent);
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

/// Distance of two colours to these eyes: Delta E of CIE 1976; about 2 is just seen side by side.
pub(crate) fn distance(one: [u8; 3], other: [u8; 3], vision: Vision) -> f64 {
    let (one, other) = (lab(seen(one, vision)), lab(seen(other, vision)));
    let squares = one
        .iter()
        .zip(other)
        .map(|(one, other)| (one - other).powi(2));
    squares.sum::<f64>().sqrt()
}
