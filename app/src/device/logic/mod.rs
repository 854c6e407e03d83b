//! What a phone decides without a browser: what an entry replaces, what goes into a push, what verdicts and pulls
//! change. Pure: the caller brings ids, stamps and bytes, and carries the changes out.

pub mod drafts;
pub mod entering;
pub mod exporting;
pub mod leaving;
pub mod pace;
pub mod photos;
pub mod pulling;
pub mod queue;
pub mod replica;
pub mod sites;
pub mod undoing;
pub mod writing;

#[cfg(test)]
mod made;
#[cfg(test)]
mod tests;
