//! Lists of floats become numbers with intervals.
