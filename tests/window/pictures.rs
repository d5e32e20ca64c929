//! Pictures of the Bench in every state: kept to be looked at, and measured.

use crate::support::scenes::scenes;

#[test]
fn every_scene_is_in_the_state_that_it_says() {
    for scene in scenes() {
        let view = scene.view();
        println!(
            "{}: {:?} {:?} | {}",
            scene.name, view.verdict.word, view.verdict.value, view.action
        );
        assert_eq!(
            view.verdict.mark, scene.mark,
            "{}: {:?}",
            scene.name, view.verdict
        );
    }
}
