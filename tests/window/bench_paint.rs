#[test]
fn dump() {
    for scene in crate::support::scenes::scenes() {
        let mut v = scene.view();
        v.outline = None;
        v.chart = Default::default();
        v.why = None;
        println!("=== {}\n{:#?}", scene.name, v);
    }
}
