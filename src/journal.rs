//! The record: events, their lines on disk, the chain that proves them, and the store.
