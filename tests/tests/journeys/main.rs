//! Journeys: people's work end to end, in a real browser against a server that is really stopped and started.

mod demo_survey;
mod desk;
mod faults;
mod offline;
mod on_the_phone;
mod same_bits;
mod screens;
mod survey;
mod two_phones;
mod yard_hands;
mod yard_legs;
mod yard_plan;
