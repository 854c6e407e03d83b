//! What things, checks and questions are called on screen.

use setdown_types::ledger::Refusal;
use setdown_types::site::Site;
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::Value;

use super::{filled, word};

/// A thing by the name somebody gave it, or by its kind and place: "side gate", "opening 2", "position 12". The site
/// itself is "the site".
pub fn subject_name(site: &Site, subject: Subject) -> String {
    if subject.kind == SubjectKind::Site {
        return word("kind.site");
    }
    if let Some(name) = site.name(subject) {
        return name.to_owned();
    }
    let number = match slot_position(site, subject) {
        Some(position) => position.to_string(),
        None => match site
            .subjects(subject.kind)
            .iter()
            .position(|known| *known == subject)
        {
            Some(index) => (index + 1).to_string(),
            None => return word(&format!("kind.{}", subject.kind.key())),
        },
    };
    filled(
        "kind.numbered",
        &[
            ("kind", &word(&format!("kind.{}", subject.kind.key()))),
            ("number", &number),
        ],
    )
}

/// The position printed at the panel, for a slot.
fn slot_position(site: &Site, subject: Subject) -> Option<u16> {
    let question = subject.kind.present_question()?;
    match site.stream(subject, question)?.leading()?.value.as_ref()? {
        Value::Slot(slot) => Some(slot.position),
        _ => None,
    }
}

/// A check's title.
pub fn check_title(key: &str) -> String {
    word(&format!("check.{key}"))
}

/// Why the server did not take an entry.
pub fn refusal_reason(refusal: &Refusal) -> String {
    word(match refusal {
        Refusal::NotAllowed => "refusal.not_allowed",
        Refusal::OtherBytes => "refusal.other_bytes",
        Refusal::NotYours => "refusal.not_yours",
        Refusal::OtherSite => "refusal.other_site",
        Refusal::Malformed(_) => "refusal.malformed",
        Refusal::OtherStream => "refusal.other_stream",
        Refusal::NoSuchSheet => "refusal.no_such_sheet",
        Refusal::OtherFindings => "refusal.other_findings",
        Refusal::TooManyWaiting => "refusal.too_many_waiting",
        Refusal::Other => "refusal.other",
    })
}

/// A question's title.
pub fn question_title(key: &str) -> String {
    word(&format!("question.{key}"))
}
