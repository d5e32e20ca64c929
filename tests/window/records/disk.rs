//! The room with a real workspace: sessions are measured, found, opened, reported and decided about.
