//! A window that another program destroys ends in a panic inside the libraries that hold it, and
//! so does one that a library of the system is missing for: each is told as what it is, and every
//! other panic stays one.

use std::panic::{self, AssertUnwindSafe};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::session::BeginError;

/// The libraries between this program and the system's windows.
const OF_WINDOWS: [&str; 11] = [
    "winit",
    "egui-winit",
    "eframe",
    "glutin",
    "glutin-winit",
    "egui_glow",
    "x11rb",
    "smithay-client-toolkit",
    "wayland-backend",
    "wayland-client",
    "wayland-sys",
];

/// Whether a source file, as a panic names it, belongs to one of those libraries.
pub fn is_of_windows(file: &str) -> bool {
    let mut folders = file.split(['/', '\\']);
    folders.any(|folder| {
        let of = |name: &str| {
            let rest = folder.strip_prefix(name);
            let version = rest.and_then(|rest| rest.strip_prefix('-'));
            version.is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
        };
        OF_WINDOWS.into_iter().any(of)
    })
}

/// Runs the window; none when it was taken away. What it holds is dropped then as at any end.
pub fn until_taken_away<T>(run: impl FnOnce() -> T) -> Option<T> {
    let is_taken = Arc::new(AtomicBool::new(false));
    let usual = Arc::new(panic::take_hook());
    let (taken, then) = (Arc::clone(&is_taken), Arc::clone(&usual));
    panic::set_hook(Box::new(move |info| {
        match info.location().is_some_and(|at| is_of_windows(at.file())) {
            true => taken.store(true, Ordering::Release),
            false => then(info),
        }
    }));
    let ran = panic::catch_unwind(AssertUnwindSafe(run));
    panic::set_hook(Box::new(move |info| usual(info)));
    match ran {
        Ok(answer) => Some(answer),
        Err(_) if is_taken.load(Ordering::Acquire) => None,
        Err(cause) => panic::resume_unwind(cause),
    }
}

/// What is said then. Nothing is lost: a session's lines are on the disk before they are shown.
pub fn taken_away() -> BeginError {
    BeginError::outside(
        "window_lost",
        "The window was taken away by the system or by another program.".to_owned(),
        Some(
            "What was recorded is whole. The session is unfinished: the Start room offers it, or \
             --continue takes it up.",
        ),
    )
}

/// What is said where it never came to a window. No journal has been made then.
pub fn never_opened(hint: &'static str) -> BeginError {
    BeginError::outside(
        "no_window",
        "No window could be opened: a library of the system that draws on the display is missing \
         or failed. Under Wayland that is libwayland-client, libwayland-egl or libEGL."
            .to_owned(),
        Some(hint),
    )
}
