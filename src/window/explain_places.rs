//! Which of the named places somebody asks about: by arrows from one to the next, or by pointing.

use eframe::egui::{Pos2, Rect, pos2};

use super::named::NamedPlace;
use super::press::Press;

/// Tops within this count as one line of reading, in points.
const LINE: f32 = 8.0;
/// Across the way of an arrow counts so much more than along it.
const ACROSS: f32 = 3.0;

/// The place that is asked about: its name, and which of those with that name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Asked {
    id: String,
    nth: usize,
}

/// In the order of reading, each place once.
pub(super) fn in_order(mut places: Vec<NamedPlace>) -> Vec<NamedPlace> {
    let line = |rect: Rect| (rect.top() / LINE).round();
    places.retain(|place| place.rect.is_finite() && place.rect.area() > 0.0);
    places.sort_by(|one, other| {
        let lines = line(one.rect).total_cmp(&line(other.rect));
        lines.then(one.rect.left().total_cmp(&other.rect.left()))
    });
    places.dedup_by(|one, other| one.rect == other.rect && one.id == other.id);
    places
}

/// The place that is asked about; where it is not on the screen any more, the first one below the
/// tabs, which explain themselves.
pub(super) fn at<'p>(places: &'p [NamedPlace], asked: Option<&Asked>) -> Option<&'p NamedPlace> {
    let found = asked.and_then(|asked| {
        let same = places.iter().filter(|place| place.id == asked.id);
        same.clone()
            .nth(asked.nth)
            .or_else(|| same.clone().next_back())
    });
    let below = places.iter().find(|place| !place.id.starts_with("tab "));
    found.or(below).or(places.first())
}

/// A place as it is found again in the next frame.
pub(super) fn name(places: &[NamedPlace], place: &NamedPlace) -> Asked {
    let same = places.iter().filter(|one| one.id == place.id);
    Asked {
        id: place.id.clone(),
        nth: same.take_while(|one| *one != place).count(),
    }
}

/// Where a press leads from there; none: nowhere.
pub(super) fn moved<'p>(
    places: &'p [NamedPlace],
    from: &NamedPlace,
    press: &Press,
) -> Option<&'p NamedPlace> {
    let here = places.iter().position(|place| place == from)?;
    let last = places.len().saturating_sub(1);
    match press {
        Press::Enter | Press::Tab | Press::Plus | Press::Space if here == last => places.first(),
        Press::Enter | Press::Tab | Press::Plus | Press::Space => places.get(here + 1),
        Press::Minus => places.get(here.checked_sub(1).unwrap_or(last)),
        Press::Right => nearest(places, from, |way| (way.x, way.y)),
        Press::Left => nearest(places, from, |way| (-way.x, way.y)),
        Press::Down => nearest(places, from, |way| (way.y, way.x)),
        Press::Up => nearest(places, from, |way| (-way.y, way.x)),
        _ => None,
    }
}

/// `along` turns the way to another place into how far it lies along the arrow, and across.
fn nearest<'p>(
    places: &'p [NamedPlace],
    from: &NamedPlace,
    along: impl Fn(Pos2) -> (f32, f32),
) -> Option<&'p NamedPlace> {
    let far = |place: &NamedPlace| {
        let way = place.rect.center() - from.rect.center();
        let (along, across) = along(pos2(way.x, way.y));
        (along > 1.0).then_some(along + ACROSS * across.abs())
    };
    let all = places
        .iter()
        .filter_map(|place| far(place).map(|far| (place, far)));
    all.min_by(|one, other| one.1.total_cmp(&other.1))
        .map(|(place, _)| place)
}

/// The smallest place under the pointer.
pub(super) fn pointed(places: &[NamedPlace], pointer: Pos2) -> Option<&NamedPlace> {
    let under = places.iter().filter(|place| place.rect.contains(pointer));
    under.min_by(|one, other| one.rect.area().total_cmp(&other.rect.area()))
}

#[cfg(test)]
mod tests {
    use eframe::egui::{Rect, pos2, vec2};

    use super::{at, in_order, moved, name, pointed};
    use crate::window::named::NamedPlace;
    use crate::window::press::Press;

    fn place(id: &str, x: f32, y: f32, wide: f32) -> NamedPlace {
        NamedPlace {
            rect: Rect::from_min_size(pos2(x, y), vec2(wide, 20.0)),
            id: id.to_owned(),
            text: id.to_owned(),
        }
    }

    /// Two rows of two, and a large place behind the first row.
    fn four() -> Vec<NamedPlace> {
        in_order(vec![
            place("c", 0.0, 100.0, 40.0),
            place("d", 100.0, 100.0, 40.0),
            place("b", 100.0, 3.0, 40.0),
            place("a", 0.0, 0.0, 40.0),
            place("a", 0.0, 0.0, 40.0),
        ])
    }

    fn ids(places: &[NamedPlace]) -> Vec<&str> {
        places.iter().map(|place| place.id.as_str()).collect()
    }

    #[test]
    fn places_are_read_line_by_line_each_once() {
        assert_eq!(ids(&four()), ["a", "b", "c", "d"]);
    }

    #[test]
    fn arrows_lead_to_the_next_place_that_way_and_enter_through_all_of_them() {
        let places = four();
        let go = |from: usize, press: Press| {
            let to = places
                .get(from)
                .and_then(|from| moved(&places, from, &press));
            to.map(|place| place.id.clone()).unwrap_or_default()
        };
        assert_eq!(go(0, Press::Right), "b");
        assert_eq!(go(0, Press::Down), "c");
        assert_eq!(go(3, Press::Up), "b");
        assert_eq!(go(3, Press::Left), "c");
        assert_eq!(go(1, Press::Right), "", "there is nothing to the right");
        assert_eq!(go(3, Press::Enter), "a", "past the last it begins again");
        assert_eq!(go(0, Press::Minus), "d");
        assert_eq!(go(1, Press::Plus), "c");
        assert_eq!(go(1, Press::Star), "");
    }

    #[test]
    fn a_place_is_found_again_by_its_name_when_the_screen_has_changed() {
        let mut places = four();
        places.push(place("c", 200.0, 100.0, 40.0));
        let third = name(&places, &places[4]);
        places.insert(0, place("new", 0.0, 0.0, 10.0));
        assert_eq!(at(&places, Some(&third)), places.get(5));
        places.pop();
        assert_eq!(ids(&[at(&places, Some(&third)).unwrap().clone()]), ["c"]);
        places.retain(|place| place.id != "c");
        assert_eq!(at(&places, Some(&third)), places.first(), "gone: the first");
        places.insert(0, place("tab 1", 0.0, 0.0, 10.0));
        assert_eq!(at(&places, None), places.get(1), "below the tabs");
        places.truncate(1);
        assert_eq!(at(&places, None), places.first());
        assert_eq!(at(&[], Some(&third)), None);
    }

    #[test]
    fn the_smallest_place_under_the_pointer_is_meant() {
        let mut places = four();
        places.push(place("behind", -10.0, -10.0, 300.0));
        let at = |x, y| pointed(&places, pos2(x, y)).map(|place| place.id.as_str());
        assert_eq!(at(5.0, 5.0), Some("a"));
        assert_eq!(at(60.0, 5.0), Some("behind"));
        assert_eq!(at(60.0, 60.0), None);
    }
}
