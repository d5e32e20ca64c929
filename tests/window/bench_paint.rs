#[test]
fn dump() {
    use crate::support::picture::{keep, picture};
    use fitledger::window::look::{Look, Sizes, Theme};
    let only = std::env::var("ONLY").unwrap_or_default();
    for scene in crate::support::scenes::scenes() {
        if !only.is_empty() && !only.split(',').any(|one| one == scene.name) {
            continue;
        }
        let v = scene.view();
        for (size, theme, tag) in [
            ([800.0, 480.0], Theme::Night, "night"),
            ([800.0, 480.0], Theme::Day, "day"),
            ([800.0, 480.0], Theme::HighContrast, "hc"),
            ([1280.0, 800.0], Theme::Night, "big"),
        ] {
            let look = Look::new(theme, Sizes::default());
            let image = picture(size, 1.0, |ui| {
                let mut presses = Vec::new();
                if scene.desk.is_glance {
                    fitledger::window::glance_ui::glance_ui(ui, &v, &look, &mut presses);
                } else {
                    fitledger::window::bench_ui::bench_ui(ui, &v, &look, &mut presses);
                }
            });
            keep(&format!("{}-{tag}", scene.name), &image);
        }
    }
}
