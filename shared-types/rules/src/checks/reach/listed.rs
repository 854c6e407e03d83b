//! Lists of things found on site: an empty list says nothing until somebody says that it is complete.

use setdown_types::subject::{Subject, SubjectKind};

use crate::frame::context::Context;

/// What an empty list that was said to be complete means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Empty {
    /// Nothing of this kind is there: the part of the check is not needed.
    NotNeeded(&'static str),
    /// It cannot be: there must be at least one.
    Open(&'static str),
}

/// The things of `kind`; while the list is not said to be complete, or is empty, a finding says so.
pub(super) fn listed(
    context: &Context<'_>,
    kind: SubjectKind,
    question: &str,
    not_listed: &'static str,
    empty: Empty,
) -> Vec<Subject> {
    let item = context.item(Subject::SITE);
    let complete = context.yes(Subject::SITE, question);
    let things = context.subjects(kind);
    match (complete, things.is_empty(), empty) {
        (Some(true), false, _) => drop(item),
        (Some(true), true, Empty::NotNeeded(reason)) => item.not_needed(reason),
        (Some(true), true, Empty::Open(reason)) => item.open(reason),
        (Some(false) | None, _, _) => item.open(not_listed),
    }
    things
}

/// The legs of the way in on dollies.
pub(super) fn legs(context: &Context<'_>) -> Vec<Subject> {
    listed(
        context,
        SubjectKind::Leg,
        "way.legs_listed",
        "reach.legs_not_listed",
        Empty::Open("reach.no_legs"),
    )
}

/// The turns between them.
pub(super) fn turns(context: &Context<'_>) -> Vec<Subject> {
    listed(
        context,
        SubjectKind::Turn,
        "way.turns_listed",
        "reach.turns_not_listed",
        Empty::NotNeeded("reach.no_turns"),
    )
}

/// What hangs over the way.
pub(super) fn overheads(context: &Context<'_>) -> Vec<Subject> {
    listed(
        context,
        SubjectKind::Overhead,
        "way.overheads_listed",
        "reach.overheads_not_listed",
        Empty::NotNeeded("reach.no_overheads"),
    )
}
