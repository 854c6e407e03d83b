//! Who takes part: roles that sign in, parties that are given tasks, and the table of rights.

use serde::{Deserialize, Serialize};

use crate::entry::{Entry, EntryKind};
use crate::question;

/// What somebody who is signed in may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Walks the yard and measures.
    Coordinator,
    /// Lives there; holds an invitation to one site.
    Homeowner,
    /// Reviews, settles, signs and books.
    Office,
}

/// Who a task is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Party {
    /// The person who surveys the site.
    Coordinator,
    /// The person who lives there.
    Homeowner,
    /// The dealer's desk.
    Office,
    /// A licensed electrician.
    Electrician,
    /// The groundworks contractor.
    Groundworks,
    /// The crane operator.
    CraneOperator,
    /// The crew that brings the unit.
    DeliveryCrew,
}

impl Party {
    /// Every party, in the order in which lists show them.
    pub const ALL: [Self; 7] = [
        Self::Coordinator,
        Self::Homeowner,
        Self::Office,
        Self::Electrician,
        Self::Groundworks,
        Self::CraneOperator,
        Self::DeliveryCrew,
    ];
}

/// Why an entry may not be written by this role.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum NotAllowed {
    /// The role may not write entries of this kind at all.
    Kind,
    /// The role may write such entries, but this question is not for it to answer.
    Question,
}

/// Whether `role` may write entries of `kind`: the one table, on phone and server alike.
pub const fn may_write(role: Role, kind: EntryKind) -> bool {
    use EntryKind::*;
    match role {
        Role::Office => true,
        Role::Coordinator => !matches!(kind, Redaction | Pin),
        Role::Homeowner => matches!(kind, Reading | Photo | Note | Subject | Strike),
    }
}

/// Judges one entry by the rights table and by who the question table says may answer and see.
///
/// Questions unknown to this version are let through by kind alone, so that an older
/// server does not lose what a newer phone recorded.
pub fn judge(role: Role, entry: &Entry) -> Result<(), NotAllowed> {
    let kind = entry.kind();
    if !may_write(role, kind) {
        return Err(NotAllowed::Kind);
    }
    // Who may not settle a disagreement may not do so under another name: an answer of theirs replaces one head.
    let answers = !matches!(kind, EntryKind::Strike | EntryKind::Redaction);
    if answers && entry.replaces.len() > 1 && !may_write(role, EntryKind::Settlement) {
        return Err(NotAllowed::Kind);
    }
    if !question::visible(&entry.question, role) {
        return Err(NotAllowed::Question);
    }
    match question::find(&entry.question) {
        Some(question) if !question.may_answer(role) => Err(NotAllowed::Question),
        _ => Ok(()),
    }
}
