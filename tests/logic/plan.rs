//! The inspection plan: files, stages, sampling, order, plans from typed callouts.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use fitledger::gauge::{Faces, Register};
use fitledger::plan::{
    Bounds, Characteristic, FeatureId, Form, PairEnd, Plan, PlanError, Rules, When,
};
use fitledger::quantity::Length;
use fitledger::tolerance::{GeneralClass, Limits, MetalSide, Move, Surface, Tables};

use crate::support::{cases, expected_beside, label};

fn folder(kind: &str) -> PathBuf {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    root.join("tests/plans").join(kind)
}

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

pub(crate) fn parse(text: &str) -> Result<Plan, Vec<PlanError>> {
    Plan::parse(text, "test.toml", Tables::standard())
}

/// A plan of one feature with those lines.
pub(crate) fn one_feature(lines: &str) -> Characteristic {
    let text = format!("[part]\nname = \"Bush\"\n[[feature]]\nid = \"A\"\n{lines}\n");
    let plan = parse(&text).unwrap_or_else(|errors| panic!("{}", errors[0]));
    plan.order()[0].clone()
}

pub(crate) fn typed(callouts: &[&str]) -> Result<Plan, Vec<PlanError>> {
    Plan::from_callouts(callouts, Rules::default(), Tables::standard())
}

#[test]
fn valid_plans_mean_what_is_written_beside_them() {
    for (path, text) in cases(&folder("valid")) {
        let plan = Plan::parse(&text, &label(&path), Tables::standard())
            .unwrap_or_else(|errors| panic!("{}: {}", path.display(), errors[0]));
        assert_eq!(
            described(&plan),
            expected_beside(&path),
            "{}",
            path.display()
        );
    }
}

#[test]
fn invalid_plans_are_refused_with_every_problem_pointed_at() {
    for (path, text) in cases(&folder("invalid")) {
        let errors = Plan::parse(&text, &label(&path), Tables::standard())
            .err()
            .unwrap_or_else(|| panic!("{} was accepted", path.display()));
        let report: String = errors
            .iter()
            .map(|error| format!("{error}\n[{}]\n\n", error.code()))
            .collect();
        assert_eq!(report, expected_beside(&path), "{}", path.display());
    }
}

/// Everything that a plan says, a line for each thing.
fn described(plan: &Plan) -> String {
    let mut text = String::new();
    let part = &plan.part;
    let or_dash = |word: &Option<String>| word.clone().unwrap_or_else(|| "-".to_owned());
    let words = [
        &part.drawing,
        &part.revision,
        &part.material,
        &part.customer,
        &part.order,
        &part.material_lot,
        &part.quantity.map(|count| count.to_string()),
    ]
    .map(or_dash);
    writeln!(text, "part {} | {}", part.name, words.join(" | ")).unwrap();
    let rules = &plan.rules;
    let words = [
        rules.decision.map(|decision| decision.word().to_owned()),
        rules.confidence.map(|number| number.to_string()),
        rules.guard_factor.map(|number| number.to_string()),
        rules.agreed_with.clone(),
        rules.general.map(|class| class.word().to_owned()),
    ]
    .map(|word| or_dash(&word));
    writeln!(text, "rules {}", words.join(" ")).unwrap();
    for feature in &plan.features {
        write!(text, "{} setting {}", feature.id, feature.setting).unwrap();
        if let Some((from, to)) = feature.along {
            write!(text, " along {from}..{to}").unwrap();
        }
        if let Some(name) = &feature.name {
            write!(text, " \"{name}\"").unwrap();
        }
        for one in &feature.characteristics {
            describe_characteristic(&mut text, one, plan.form(one));
        }
    }
    let end = |end: &PairEnd| match &end.plan {
        None => end.feature.to_string(),
        Some(plan) => format!("{plan}#{}", end.feature),
    };
    for pair in &plan.pairs {
        let intended = pair.intended.as_ref().map(ToString::to_string);
        let intended = or_dash(&intended);
        writeln!(
            text,
            "pair {} {} {intended}",
            end(&pair.hole),
            end(&pair.shaft)
        )
        .unwrap();
    }
    text
}

fn describe_characteristic(text: &mut String, one: &Characteristic, form: Option<Form>) {
    let surface = one.surface.map_or("-", Surface::word);
    if let Some(element) = &one.id.element {
        write!(text, " {element}").unwrap();
    }
    write!(
        text,
        " callout {} {surface} points {}",
        one.callout_text, one.points
    )
    .unwrap();
    if !one.places.is_empty() {
        write!(text, " at {}", one.places.join(", ")).unwrap();
    }
    write!(text, " take {} every {}", one.take.word(), one.every).unwrap();
    if !one.gauges.is_empty() {
        text.push_str(" gauges");
        one.gauges
            .iter()
            .for_each(|id| write!(text, " {id}").unwrap());
    }
    write!(text, " aim {}", one.aim.word()).unwrap();
    if let Some(over) = &one.over_wires {
        write!(text, " over wires {}", over.wire).unwrap();
    }
    if let Some(form) = form {
        let of = form.of.iter().map(|of| format!(" of {of}"));
        let datum = form.datum.iter().map(|datum| format!(" about {datum}"));
        let block = form
            .v_block
            .iter()
            .map(|degrees| format!(" over V {degrees}"));
        let lobes = form.lobes.iter().map(|lobes| format!(" lobes {lobes}"));
        text.extend(of.chain(datum).chain(block).chain(lobes));
        if form.when == When::Rechucked {
            text.push_str(" when rechucked");
        }
    }
    one.least_cut
        .iter()
        .for_each(|cut| write!(text, " least_cut {cut}").unwrap());
    text.push('\n');
    for stage in &one.stages {
        write!(text, "  {} ", stage.name.as_deref().unwrap_or("-")).unwrap();
        match &stage.bounds {
            Bounds::Length(limits) => {
                let lower = limits.lower().map(|limit| limit.to_string());
                let upper = limits.upper().map(|limit| limit.to_string());
                let (lower, upper) = (lower.unwrap_or_default(), upper.unwrap_or_default());
                writeln!(text, "{lower}..{upper} moves {}", limits.moves().count()).unwrap();
            }
            Bounds::Angle(limits) => {
                let (lower, upper) = (limits.lower().unwrap(), limits.upper().unwrap());
                writeln!(text, "{lower}°..{upper}°").unwrap();
            }
            Bounds::Check(asked) => {
                let short = if asked.short_thread {
                    ", short thread"
                } else {
                    ""
                };
                writeln!(text, "{}{short}", asked.name()).unwrap();
            }
        }
    }
}

#[test]
fn readings_name_their_stage_and_the_last_one_decides() {
    let one = one_feature("callout = \"20 k6\"\nstages = [\"turned\", \"ground\"]\nleave = 0.02");
    let turned = one.stage(Some("turned")).unwrap();
    let ground = one.stage(Some("ground")).unwrap();
    assert_ne!(one.bounds(), Some(turned.bounds));
    assert_eq!(one.bounds(), Some(ground.bounds));
    let unknown = one.stage(Some("grund")).unwrap_err();
    assert_eq!(unknown.to_string(), "A has no stage “grund”.");
    assert_eq!(unknown.hint().unwrap(), "Its stages are: turned, ground.");
    assert_eq!(unknown.code(), "unknown_stage");
    let unnamed = one.stage(None).unwrap_err();
    assert_eq!(
        unnamed.to_string(),
        "A has stages, and the reading names none."
    );
    let plain = one_feature("callout = \"20 k6\"");
    assert_eq!(plain.bounds(), Some(plain.stage(None).unwrap().bounds));
    assert_eq!(
        plain.stage(Some("turned")).unwrap_err().hint().unwrap(),
        "Leave the stage out."
    );
}

#[test]
fn a_moved_limit_keeps_its_reasons_beside_the_drawings_own() {
    let one = one_feature("callout = \"25 h9\"\nleave = 0.1\ncoating = [0.006, 0.010]");
    let first = one.stages[0].bounds.length().unwrap();
    let last = one.stages[2].bounds.length().unwrap();
    assert_eq!(first.derivation(), last.derivation());
    assert_eq!(last.moves().count(), 0);
    let moves: Vec<_> = first.moves().collect();
    let (thin, thick) = (mm("0.006"), mm("0.010"));
    let surface = Surface::Outside;
    let coating = Move::Coating {
        surface,
        thin,
        thick,
    };
    let amount = mm("0.1");
    assert_eq!(moves, [coating, Move::Allowance { surface, amount }]);
    let words = |limits: &Limits| -> Vec<String> {
        let steps = limits.explain(Tables::standard());
        steps.iter().map(ToString::to_string).collect()
    };
    let (first, last) = (words(first), words(last));
    for reason in &last {
        assert!(first.contains(reason), "{reason} is kept in {first:?}");
    }
    assert_eq!(first.len(), last.len() + 2);
}

const SETTINGS: &str = "[part]\nname = \"Bush\"\n\
    [[feature]]\nid = \"A\"\ncallout = \"20 k6\"\nsetting = 20\n\
    [[feature]]\nid = \"B\"\ncallout = \"20 H7\"\nsetting = 10\n\
    [[feature]]\nid = \"C\"\ncallout = \"30° ±1°\"\nsetting = 20\nevery = 2\n\
    [[feature]]\nid = \"D\"\ncallout = \"12 max\"\nsetting = 10\n";

#[test]
fn measuring_goes_by_setting_and_then_by_the_files_order() {
    let plan = parse(SETTINGS).unwrap();
    let order: Vec<String> = plan.order().iter().map(|one| one.id.to_string()).collect();
    assert_eq!(order, ["B", "D", "A", "C"]);
}

#[test]
fn the_surface_comes_from_the_class_or_the_plan_or_is_not_known() {
    for (lines, side, faces) in [
        ("callout = \"20 k6\"", MetalSide::Larger, Faces::Outside),
        ("callout = \"20 H7\"", MetalSide::Smaller, Faces::Inside),
        ("callout = \"62 ±0.1\"", MetalSide::Neither, Faces::Outside),
        ("callout = \"Ø62 ±0.1\"", MetalSide::Neither, Faces::Inside),
        (
            "callout = \"Ø62 ±0.1\"\nsurface = \"outside\"",
            MetalSide::Larger,
            Faces::Outside,
        ),
        (
            "callout = \"12 +0.1/0\"\nsurface = \"depth\"",
            MetalSide::Smaller,
            Faces::Depth,
        ),
        (
            "callout = \"8 H9\"\nsurface = \"slot\"",
            MetalSide::Smaller,
            Faces::Inside,
        ),
        (
            "callout = \"12 ±0.1\"\nsurface = \"step\"",
            MetalSide::Neither,
            Faces::Depth,
        ),
    ] {
        let one = one_feature(lines);
        assert_eq!((one.metal_side(), one.faces()), (side, faces), "{lines}");
    }
}

#[test]
fn a_general_class_holds_for_bare_sizes_and_may_be_stated_without_any() {
    let bare = "[part]\nname = \"a\"\n[rules]\ngeneral = \"m\"\n\
                [[feature]]\nid = \"A\"\ncallout = \"12\"\n";
    let plan = parse(bare).unwrap();
    let limits = *plan.order()[0].bounds().unwrap().length().unwrap();
    // ISO 2768-1 table 1, class m, over 6 to 30: ±0.2 (published)
    assert_eq!(
        (limits.lower(), limits.upper()),
        (Some(mm("11.8")), Some(mm("12.2")))
    );
    assert!(parse(&bare.replace("\"12\"", "\"12 H7\"")).is_ok());
}

#[test]
fn typed_callouts_make_a_plan_with_lettered_features() {
    let plan = typed(&["20 k6", "Ø6 H8", "30° ±1°"]).unwrap();
    let ids: Vec<&str> = plan.features.iter().map(|f| f.id.as_str()).collect();
    assert_eq!(ids, ["A", "B", "C"]);
    assert_eq!(plan.part.name, "one-off");
    let many = vec!["12 H7"; 27 * 26 + 1];
    let plan = typed(&many).unwrap();
    let id = |index: usize| plan.features[index].id.as_str();
    assert_eq!((id(25), id(26), id(51), id(52)), ("Z", "AA", "AZ", "BA"));
    assert_eq!((id(701), id(702)), ("ZZ", "AAA"));
}

#[test]
fn a_typed_callout_is_refused_at_its_own_character() {
    let errors = typed(&["20 k6", "Ø12 H7?", "12"]).unwrap_err();
    let places: Vec<_> = errors
        .iter()
        .map(|e| (e.place().line, e.place().column))
        .collect();
    assert_eq!(places, [(2, 7), (3, 1)]);
    assert_eq!(
        errors[0].to_string(),
        "callouts, line 2, column 7: “?” does not belong at character 7 of “Ø12 H7?”; expected \
         the end of the callout.\n   |\n 2 | Ø12 H7?\n   |       ^\n   = Write a callout such as \
         25 H7, 25 H7/p6, 12 ±0.05, 12 +0.1/-0.02, 12 max, 20.000..20.021, 30° ±0.5°, R2, 1x45° or \
         M10-6H."
    );
    let general = Rules {
        general: Some(GeneralClass::Medium),
        ..Rules::default()
    };
    assert!(Plan::from_callouts(&["12"], general, Tables::standard()).is_ok());
    assert_eq!(typed(&[]).unwrap_err()[0].code(), "no_features");
    assert_eq!(typed(&[""]).unwrap_err()[0].code(), "empty");
}

/// Published: ISO 286-1 limits of 20 k6, 25 h9, 15 f7, 6 H8 (as in the tables' rows).
#[test]
fn the_demonstration_is_a_plan_that_its_own_gauges_can_prove() {
    let plan = Plan::demo();
    assert_eq!(plan.part.drawing.as_deref(), Some("GP-07"));
    assert_eq!(plan.part.revision.as_deref(), Some("B"));
    assert!(plan.gauges_missing_from(&Register::demo()).is_empty());
    let register = Register::demo();
    for (id, lower, upper) in [
        ("A", "20.002", "20.015"),
        ("B", "24.948", "25"),
        ("C", "6", "6.018"),
        ("D", "14.966", "14.984"),
        ("E", "61.9", "62.1"),
    ] {
        let one = &plan.feature(&FeatureId::new(id)).unwrap().characteristics[0];
        let limits = *one.bounds().unwrap().length().unwrap();
        assert_eq!(
            (limits.lower(), limits.upper()),
            (Some(mm(lower)), Some(mm(upper))),
            "{id}"
        );
        for gauge in one.gauges.iter().filter_map(|id| register.gauge(id)) {
            let size = limits.upper().unwrap();
            assert!(gauge.error_at(size, one.faces()).is_some(), "{id} {gauge}");
        }
    }
    assert_eq!(plan.order().len(), 5);
    let missing = plan.gauges_missing_from(&Register::default());
    assert_eq!(missing.len(), 6);
    let told = |pair: &fitledger::plan::Pair| {
        let hole = (
            pair.hole.plan.clone().unwrap(),
            pair.hole.feature.to_string(),
        );
        let fit = pair.intended.as_ref().unwrap().to_string();
        (hole.0, hole.1, pair.shaft.feature.to_string(), fit)
    };
    let pairs: Vec<_> = plan.pairs.iter().map(told).collect();
    let pair = |hole: &str, shaft: &str, fit: &str| {
        let [hole, shaft, fit] = [hole, shaft, fit].map(str::to_owned);
        (hole, "bore".to_owned(), shaft, fit)
    };
    let impeller = pair("impeller.toml", "D", "15 H7/f7");
    assert_eq!(pairs, [impeller, pair("sleeve.toml", "A", "20 H7/k6")]);
}

#[test]
fn a_material_is_looked_up_by_name_and_may_be_none_of_the_table() {
    let materials = fitledger::material::Materials::standard();
    let plan = |material: &str| {
        let text = format!("[part]\nname = \"a\"\n{material}\n");
        parse(&(text + "[[feature]]\nid = \"A\"\ncallout = \"20 k6\"\n")).unwrap()
    };
    let known = plan("material = \"1.4301\"");
    let known = known.material(materials).unwrap().unwrap();
    assert_eq!(known.designation, "X5CrNi18-10");
    assert!(plan("").material(materials).unwrap().is_none());
    assert!(
        plan("material = \"applewood from the garden\"")
            .material(materials)
            .is_err()
    );
}
