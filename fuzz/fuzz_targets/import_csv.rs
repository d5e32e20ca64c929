//! Any text is a table of measured values: each row is a reading, does not count, or is told.
#![no_main]

use std::sync::{Arc, LazyLock};

use fitledger::command::{ImportDefaults, import_table};
use fitledger::journal::SessionOpened;
use fitledger::plan::Plan;
use fitledger::session::Setup;
use libfuzzer_sys::fuzz_target;

static SETUP: LazyLock<Option<Arc<Setup>>> = LazyLock::new(|| {
    let opened = SessionOpened {
        program: "fuzz".to_owned(),
        plan_name: "pump-shaft-demo".to_owned(),
        plan: Some(Plan::DEMO_TEXT.to_owned()),
        ..SessionOpened::default()
    };
    Setup::of(&opened).ok().map(Arc::new)
});

fuzz_target!(|text: &str| {
    let Some(setup) = SETUP.as_ref() else { return };
    let table = import_table(text, setup, ImportDefaults::default());
    for row in &table.rows {
        let target = &setup.targets[row.target];
        assert!(row.part >= 1 && (1..=target.points).contains(&row.point));
        assert!(text.as_bytes().windows(row.reading.raw.len()).any(|at| at == row.reading.raw));
    }
    for wrong in &table.wrong {
        assert!(wrong.line >= 1 && !wrong.sentence.is_empty());
    }
});
