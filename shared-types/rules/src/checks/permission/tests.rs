//! Tests of the checks of this area.
