//! Written forms of quantities: what is understood, what is asked about, what is refused, and what is shown.

mod any_text;
mod lengths;
mod quantities;
