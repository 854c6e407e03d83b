//! Addresses of a site's screens, and what their segments mean: `/field/…` for the coordinator, `/home…` for a
//! homeowner, who has the same screens of one site under an address of their own.

use setdown_types::ids::{SiteId, SubjectId};
use setdown_types::site::StreamKey;
use setdown_types::subject::{Subject, SubjectKind};

use super::on_site::OnSite;
use crate::routes::HOME;

/// Where the screens of this site begin for whoever is here.
pub fn site(on_site: OnSite) -> String {
    if on_site.home_now() {
        HOME.to_owned()
    } else {
        of(on_site.id)
    }
}

/// The coordinator's overview of a site.
pub fn of(site: SiteId) -> String {
    format!("/field/{site}")
}

/// The list of what is asked: the walk, or the homeowner's checklist.
pub fn walk(on_site: OnSite) -> String {
    for_both(on_site, "/walk", "")
}

/// One question about one thing.
pub fn ask(on_site: OnSite, stream: &StreamKey) -> String {
    format!(
        "{}/ask/{}/{}",
        site(on_site),
        subject_text(stream.subject),
        stream.question
    )
}

/// All checks.
pub fn checks(on_site: OnSite) -> String {
    for_both(on_site, "/checks", "")
}

/// One check.
pub fn check(on_site: OnSite, key: &str) -> String {
    format!("{}/checks/{key}", site(on_site))
}

/// The tasks by party.
pub fn tasks(on_site: OnSite) -> String {
    for_both(on_site, "/tasks", "")
}

/// The history.
pub fn history(on_site: OnSite) -> String {
    format!("{}/history", site(on_site))
}

/// Notes and photos.
pub fn notes(on_site: OnSite) -> String {
    format!("{}/notes", site(on_site))
}

/// Readings that disagree.
pub fn disagreements(on_site: OnSite) -> String {
    for_both(on_site, "/disagreements", "")
}

/// The yard plan; a homeowner has none.
pub fn plan(on_site: OnSite) -> String {
    for_both(on_site, "/plan", "")
}

/// The way in; a homeowner has none.
pub fn way(on_site: OnSite) -> String {
    for_both(on_site, "/way", "")
}

/// A screen that stands elsewhere for a homeowner.
fn for_both(on_site: OnSite, field: &str, home: &str) -> String {
    let own = if on_site.home_now() { home } else { field };
    format!("{}{own}", site(on_site))
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
