//! The API on both databases, as phones and browsers see it.

mod doors;
mod ledger;
mod photos;
mod stopping;
