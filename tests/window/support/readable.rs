//! What a window paints can be read: no text is cut, and none lies on another.

use eframe::egui::{Pos2, Rect};
use egui_kittest::Harness;

use super::picture::{PaintedText, compare, keep, painted_texts};

/// Every text that leaves the window or its place, and every one that lies on another.
pub(crate) fn text_faults(harness: &Harness<'_>, size: [f32; 2]) -> Vec<String> {
    let whole = Rect::from_min_size(Pos2::ZERO, size.into());
    let is_cut = |text: &PaintedText| {
        !whole.expand(0.5).contains_rect(text.rect)
            || !text.clip.expand(1.0).contains_rect(text.rect.shrink(1.0))
    };
    let texts = painted_texts(harness);
    let cut = texts.iter().filter(|text| is_cut(text));
    let cut = cut.map(|text| format!("{:?} is cut: {:?}", text.text, text.rect));
    cut.chain(texts_on_texts(harness)).collect()
}

/// Every text that lies on another.
pub(crate) fn texts_on_texts(harness: &Harness<'_>) -> Vec<String> {
    let texts = painted_texts(harness);
    let mut faults = Vec::new();
    for (at, text) in texts.iter().enumerate() {
        for other in &texts[at + 1..] {
            let common = text.rect.intersect(other.rect);
            if common.width() > 1.0 && common.height() > 1.0 {
                faults.push(format!("{:?} on {:?}: {common:?}", text.text, other.text));
            }
        }
    }
    faults
}

/// A scene on a window, that is painted.
pub(crate) trait Shown {
    /// Under this name its picture is kept.
    fn name(&self) -> &str;
    fn size(&self) -> [f32; 2];
    fn shown<'a>(&self) -> Harness<'a>;
}

/// Every text of every scene can be read; pictures of those asked for are kept to be looked at.
pub(crate) fn assert_readable<S: Shown>(
    shots: &[S],
    faults_of: impl Fn(&Harness<'_>, [f32; 2]) -> Vec<String>,
    is_kept: impl Fn(&S) -> bool,
) {
    let mut faults = Vec::new();
    for shot in shots {
        let mut harness = shot.shown();
        let found = faults_of(&harness, shot.size()).into_iter();
        faults.extend(found.map(|fault| format!("{}: {fault}", shot.name())));
        if is_kept(shot) {
            keep(shot.name(), &harness.render().unwrap());
        }
    }
    let count = faults.len();
    assert!(faults.is_empty(), "{count} faults:\n{}", faults.join("\n"));
}

/// Those scenes look as they were accepted.
pub(crate) fn assert_accepted<S: Shown>(shots: &[S], accepted: &[&str]) {
    let taken = shots.iter().filter(|shot| accepted.contains(&shot.name()));
    let found = taken.map(|shot| compare(shot.name(), &shot.shown().render().unwrap()));
    let found: Vec<Result<(), String>> = found.collect();
    assert_eq!(found.len(), accepted.len());
    let faults: Vec<String> = found.into_iter().filter_map(Result::err).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
