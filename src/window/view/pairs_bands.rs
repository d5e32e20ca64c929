//! The bands of a pair: where limits, measured sizes and what suits stand along an axis.

use super::axis::{Axis, Layout};
use super::pairs_lines::{clearance_words, half_words, mm, up, whole};
use super::words::{Words, clean};
use super::{BandView, BandsView, SizedView};
use crate::pair::{Between, Measured};
use crate::quantity::Length;
use crate::session::{MakeOther, Paired, PairedHalf, SizeNow};

/// Room at both sides for what lies beyond the limits.
const LAYOUT: Layout = Layout {
    left: 0.18,
    right: 0.82,
    from: 0.04,
    until: 0.96,
};

/// The bands; none where no fit is intended.
pub(super) fn bands(pair: &Paired, words: Words) -> Option<BandsView> {
    let fit = pair.intended.as_ref()?.as_ref().ok()?;
    let lower = fit.hole.lower.min(fit.shaft.lower);
    let upper = fit.hole.upper.max(fit.shaft.upper);
    let make = pair.make.as_ref().and_then(|make| make.as_ref().ok());
    let sizes = axis((lower, upper), &drawn(pair, make))?;
    let gap = (fit.least.min(Length::ZERO), fit.most.max(Length::ZERO));
    let together = pair.together.as_ref().and_then(|found| found.as_ref().ok());
    let met = together.map(|found| {
        // Whole at 20 °C.
        [found.tight, found.loose].map(|one| whole(one.clearance_nm()))
    });
    let gaps = axis(gap, met.as_ref().map_or(&[], |met| met.as_slice()))?;
    let suits = |half: &PairedHalf, mate: Measured| {
        let make = make.filter(|make: &&MakeOther| make.measured == mate);
        let limits = half.suited.or(make.map(|make| make.suits.guarded))?;
        Some((at(&sizes, limits.lower), at(&sizes, limits.upper)))
    };
    let half = |name: &str, half: &PairedHalf, band: Between, suits: Option<(f32, f32)>| {
        let sized = half.size().map(|size| sized(&sizes, size));
        let label = format!("{name} {}", clean(&half.name));
        let now = half_words(half, words);
        band_view((label, now), (&sizes, band), (sized, suits), words)
    };
    Some(BandsView {
        hole: half(
            "hole",
            &pair.hole,
            fit.hole,
            suits(&pair.hole, Measured::Shaft),
        ),
        shaft: half(
            "shaft",
            &pair.shaft,
            fit.shaft,
            suits(&pair.shaft, Measured::Hole),
        ),
        clearance: clearance(pair, (&gaps, fit.least, fit.most), met, words),
        zero: at(&gaps, Length::ZERO),
    })
}

/// What is drawn beside the bands along the axis of sizes.
fn drawn(pair: &Paired, make: Option<&MakeOther>) -> Vec<Length> {
    let halves = [&pair.hole, &pair.shaft];
    let sized = halves.iter().filter_map(|half| half.size());
    let sized = sized.flat_map(|size| [size.least, size.most]);
    let suited = halves.iter().filter_map(|half| half.suited);
    let suited = suited.chain(make.map(|make| make.suits.guarded));
    let suited = suited.flat_map(|limits| [limits.lower, limits.upper]);
    sized.chain(suited).collect()
}

/// To scale from the lower to the upper end of the bands, and to what is drawn beside them if
/// that is not too far out.
fn axis((lower, upper): (Length, Length), drawn: &[Length]) -> Option<Axis> {
    let wide = upper - lower;
    let reach = (lower - wide - wide)..=(upper + wide + wide);
    let near = || drawn.iter().copied().filter(|one| reach.contains(one));
    let from = near().fold(lower, Length::min);
    let to = near().fold(upper, Length::max);
    Axis::of(Some(from.as_nm()), Some(to.as_nm()), 1, 0, LAYOUT)
}

fn at(axis: &Axis, size: Length) -> f32 {
    axis.fraction(size.as_nm())
}

fn band_view(
    (label, now): (String, String),
    (axis, band): (&Axis, Between),
    (sized, suits): (Option<SizedView>, Option<(f32, f32)>),
    words: Words,
) -> BandView {
    let limits = (mm(band.lower, words), mm(band.upper, words));
    BandView {
        spoken: format!("{label}: {} to {} mm; {now}", limits.0, limits.1),
        label,
        now,
        from: at(axis, band.lower),
        to: at(axis, band.upper),
        limits,
        sized,
        suits,
    }
}

fn clearance(
    pair: &Paired,
    (gaps, lower, upper): (&Axis, Length, Length),
    met: Option<[Length; 2]>,
    words: Words,
) -> BandView {
    let together = pair.together.as_ref().and_then(|found| found.as_ref().ok());
    let sized = together.zip(met).map(|(found, ends)| {
        let doubt = found.tight.expanded_nm().map(up);
        placed(gaps, (ends[0], ends[1]), doubt)
    });
    let now = clearance_words(pair, words);
    let label = "clearance".to_owned();
    band_view(
        (label, now),
        (gaps, Between { lower, upper }),
        (sized, None),
        words,
    )
}

fn sized(axis: &Axis, size: &SizeNow) -> SizedView {
    let doubt = size.standard.map(|standard| standard + standard);
    placed(axis, (size.least, size.most), doubt)
}

fn placed(axis: &Axis, (least, most): (Length, Length), doubt: Option<Length>) -> SizedView {
    let is_out = |size: Length| axis.place(size.as_nm()).1;
    SizedView {
        least: at(axis, least),
        most: at(axis, most),
        doubt: doubt.map(|doubt| (at(axis, least - doubt), at(axis, most + doubt))),
        is_compressed: is_out(least) || is_out(most),
    }
}
