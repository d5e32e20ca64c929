//! What the tests share: doubles, makers of test data, and fixtures of one file a case with the
//! expected text beside it.
#![allow(clippy::unwrap_used, clippy::panic)]

pub(crate) mod batch_shafts;
pub(crate) mod batch_sheets;
pub(crate) mod bench;
pub(crate) mod cabinet;
pub(crate) mod counted;
pub(crate) mod cruel_disk;
pub(crate) mod damage;
pub(crate) mod exchange_sheets;
pub(crate) mod forged;
pub(crate) mod guide;
pub(crate) mod hostile;
pub(crate) mod html_sheets;
pub(crate) mod journals;
pub(crate) mod made_sheets;
pub(crate) mod pdf_read;
pub(crate) mod pdf_sheets;
#[cfg(unix)]
pub(crate) mod program;
pub(crate) mod sheets;
pub(crate) mod taught_gauges;

use std::fs;
use std::path::{Path, PathBuf};

/// Every `*.toml` of a folder, sorted, with its text; an expected file without a case fails.
pub(crate) fn cases(folder: &Path) -> Vec<(PathBuf, String)> {
    let entries = fs::read_dir(folder).unwrap();
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    for path in &paths {
        let partner = match path.extension().and_then(|e| e.to_str()) {
            Some("toml") => path.with_extension("expected"),
            Some("expected") => path.with_extension("toml"),
            _ => panic!("{} is neither a case nor an expectation", path.display()),
        };
        assert!(partner.is_file(), "{} has no partner", path.display());
    }
    let toml = paths
        .into_iter()
        .filter(|p| p.extension().is_some_and(|e| e == "toml"));
    let found: Vec<_> = toml
        .map(|path| {
            let text = fs::read_to_string(&path).unwrap();
            (path, text)
        })
        .collect();
    assert!(!found.is_empty(), "{} holds no cases", folder.display());
    found
}

/// The expected text of a case.
pub(crate) fn expected_beside(path: &Path) -> String {
    fs::read_to_string(path.with_extension("expected")).unwrap()
}

/// The file name, as errors speak of it.
pub(crate) fn label(path: &Path) -> String {
    path.file_name().unwrap().to_string_lossy().into_owned()
}
