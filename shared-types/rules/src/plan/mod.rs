//! The yard in plan view.
