//! Addresses of the field screens, and what their segments mean.

use setdown_types::ids::{SiteId, SubjectId};
use setdown_types::site::StreamKey;
use setdown_types::subject::{Subject, SubjectKind};

/// The site's overview.
pub fn site(site: SiteId) -> String {
    format!("/field/{site}")
}

/// The walk.
pub fn walk(site: SiteId) -> String {
    format!("/field/{site}/walk")
}

/// One question about one thing.
pub fn ask(site: SiteId, stream: &StreamKey) -> String {
    format!(
        "/field/{site}/ask/{}/{}",
        subject_text(stream.subject),
        stream.question
    )
}

/// All checks.
pub fn checks(site: SiteId) -> String {
    format!("/field/{site}/checks")
}

/// One check.
pub fn check(site: SiteId, key: &str) -> String {
    format!("/field/{site}/checks/{key}")
}

/// The tasks by party.
pub fn tasks(site: SiteId) -> String {
    format!("/field/{site}/tasks")
}

/// The history.
pub fn history(site: SiteId) -> String {
    format!("/field/{site}/history")
}

/// Notes and photos.
pub fn notes(site: SiteId) -> String {
    format!("/field/{site}/notes")
}

/// Readings that disagree.
pub fn disagreements(site: SiteId) -> String {
    format!("/field/{site}/disagreements")
}

/// A thing as it stands in an address: `site`, or its kind and id.
fn subject_text(subject: Subject) -> String {
    if subject == Subject::SITE {
        "site".to_owned()
    } else {
        format!("{}.{}", subject.kind.key(), subject.id)
    }
}

/// The thing an address names.
pub fn subject_from(text: &str) -> Option<Subject> {
    if text == "site" {
        return Some(Subject::SITE);
    }
    let (kind, id) = text.split_once('.')?;
    Some(Subject::new(
        SubjectKind::from_key(kind)?,
        SubjectId::parse(id)?,
    ))
}
