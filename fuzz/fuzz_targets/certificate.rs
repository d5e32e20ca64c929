//! Any text is a certificate or a problem with its place; any choice of columns is answered.
#![no_main]

use fitledger::gauge::{Certificate, Choice};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let certificate = match Certificate::parse(text) {
        Ok(certificate) => certificate,
        Err(error) => {
            assert!(error.line >= 1 && error.column >= 1);
            assert!(!error.to_string().is_empty() && !error.hint().is_empty());
            return;
        }
    };
    let _ = certificate.serials();
    let _ = certificate.date();
    let mut choices = vec![Choice::default()];
    for table in 0..4 {
        for at in 0..4 {
            for error in 0..4 {
                choices.push(Choice {
                    table: Some(table),
                    at: Some(at),
                    error: Some(error),
                });
            }
        }
    }
    for choice in choices {
        match certificate.take(choice) {
            Ok(taken) => assert!(!taken.calibration.bias_points().is_empty()),
            Err(problem) => assert!(!problem.to_string().is_empty()),
        }
    }
});
