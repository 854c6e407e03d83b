//! The API on both databases, as phones and browsers see it.

mod archive;
mod audience;
mod bucket;
mod doors;
mod ledger;
mod photos;
mod rights;
mod stopping;
mod turned_away;
