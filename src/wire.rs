//! Bytes from a gauge become readings, by an adapter that is described as data.
