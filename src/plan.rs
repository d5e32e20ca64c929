//! What a part must be: features, characteristics, and the inspection plan file.
