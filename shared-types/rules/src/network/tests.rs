//! Small networks worked out by hand.
