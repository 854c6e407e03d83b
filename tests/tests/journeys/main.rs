//! Journeys: people's work end to end, in a real browser against a server that is really stopped and started.

mod demo_survey;
mod desk;
mod faults;
mod offline;
mod same_bits;
mod survey;
mod two_phones;
