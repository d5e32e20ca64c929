//! Workshop materials: expansion, elasticity and yield, each with its source.
