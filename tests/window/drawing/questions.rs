//! Questions, painted: each answer is a key, read and touched; alarms.

use eframe::egui::accesskit::Role;
use eframe::egui::{Rect, pos2};
use egui_kittest::kittest::Queryable;
use fitledger::window::look::{Theme, Tokens};
use fitledger::window::press::Press;
use fitledger::window::question_ui::question_ui;

use super::{look, pressed, question, whole};
use crate::support::picture::{Measured, painted_texts, picture, window};
use crate::support::scenes::scenes;

#[test]
fn each_answer_is_a_button_that_presses_its_key() {
    let size = [528.0, 270.0];
    let view = question(&[
        ('+', "it belongs here"),
        ('-', "set it aside"),
        ('7', "tilted"),
    ]);
    let night = look(Theme::Night);
    let (mut window, presses) = pressed(size, |ui, presses| {
        question_ui(ui, whole(size), &view, &night, presses);
    });
    let said = "20.508 mm is held One turn of the thimble off? Does it belong to A?";
    assert!(window.query_by_label(said).is_some());
    assert!(window.query_by_label(&view.waiting).is_some());
    let expected = [
        ("it belongs here", Press::Plus),
        ("set it aside", Press::Minus),
        ("tilted", Press::Digit('7')),
    ];
    for (name, press) in expected {
        let button = window.get_by_role_and_label(Role::Button, name);
        assert!(button.rect().height() >= 44.0, "{name} {}", button.rect());
        button.click();
        window.run();
        assert_eq!(presses.take(), [press]);
    }
}

#[test]
fn every_question_of_the_bench_can_be_read_and_touched() {
    let scenes = scenes();
    let mut asked = 0;
    for scene in &scenes {
        let Some(view) = scene.view().question else {
            continue;
        };
        asked += 1;
        for (size, least) in [([528.0, 270.0], 32.0), ([528.0, 104.0], 12.0)] {
            let window = window(size, 1.0, |ui| {
                question_ui(ui, whole(size), &view, &look(Theme::Day), &mut Vec::new());
            });
            let texts = painted_texts(&window);
            for (at, text) in texts.iter().enumerate() {
                for other in &texts[at + 1..] {
                    let crosses = other.rect.shrink(0.5).intersects(text.rect.shrink(0.5));
                    assert!(
                        !crosses,
                        "{}: {} over {}",
                        scene.name, text.text, other.text
                    );
                }
            }
            let mut places: Vec<Rect> = Vec::new();
            for answer in &view.answers {
                let button = window.get_by_role_and_label(Role::Button, &answer.text);
                let place = button.rect();
                assert!(place.height() >= least, "{} {size:?} {place}", scene.name);
                assert!(
                    places
                        .iter()
                        .all(|other| !other.shrink(0.5).intersects(place))
                );
                places.push(place);
            }
        }
    }
    assert!(asked >= 5, "only {asked} questions");
}

#[test]
fn an_alarm_has_a_hatched_border_and_a_plain_question_has_not() {
    let size = [528.0, 270.0];
    let border = |is_alarm: bool| {
        let mut view = question(&[('+', "yes"), ('-', "no")]);
        view.is_alarm = is_alarm;
        let image = picture(size, 1.0, |ui| {
            question_ui(ui, whole(size), &view, &look(Theme::Night), &mut Vec::new());
        });
        let measured = Measured {
            image: &image,
            pixels_per_point: 1.0,
        };
        let edge = Rect::from_min_max(pos2(0.0, 1.0), pos2(528.0, 5.0));
        measured.share_of(edge, Tokens::NIGHT.no_go)
    };
    // Part colour, part stripes.
    assert!((0.3..0.9).contains(&border(true)), "{}", border(true));
    assert!(border(false) < 0.01);
}
