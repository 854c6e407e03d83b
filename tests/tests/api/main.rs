//! The API on both databases, as phones and browsers see it.

mod archive;
mod attempts;
mod audience;
mod bucket;
mod doors;
mod following;
mod gone_away;
mod guards;
mod ledger;
mod listening;
mod new_sites;
mod older;
mod pages;
mod photos;
mod places;
mod rights;
mod sheets;
mod sizes;
mod stopping;
mod taken_out;
mod turned_away;
mod waiting;
