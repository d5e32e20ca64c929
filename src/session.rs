//! The truth of the bench: what each input does (`decide`), and the state that events give.
