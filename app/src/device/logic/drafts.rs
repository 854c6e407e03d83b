//! What was typed and not saved: whose it is, and under which keys it lies.

use setdown_types::ids::{PersonId, SiteId};
use setdown_types::subject::Subject;

/// What the keys of all drafts of a site begin with.
pub fn prefix(site: SiteId) -> String {
    format!("{site}/")
}

/// The keys of a draft: its author's own, then nobody's, under which it lay before drafts had an author. With nobody
/// signed in both are nobody's.
pub fn keys(
    site: SiteId,
    subject: Subject,
    question: &str,
    author: Option<PersonId>,
) -> [String; 2] {
    let nobodys = format!("{site}/{}/{}/{question}", subject.kind.key(), subject.id);
    let own = author.map(|author| format!("{nobodys}/{author}"));
    [own.unwrap_or_else(|| nobodys.clone()), nobodys]
}

/// Whether a draft is brought back to `me`: somebody else's half-typed reading is not theirs to keep.
pub fn is_for(author: Option<PersonId>, me: Option<PersonId>) -> bool {
    author.is_none() || author == me
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;

    const SITE: SiteId = SiteId(Uuid::from_u128(1));
    const ONE: PersonId = PersonId(Uuid::from_u128(2));
    const OTHER: PersonId = PersonId(Uuid::from_u128(3));

    #[test]
    fn two_people_type_on_one_phone_and_neither_gets_the_others_words() {
        let of = |author| keys(SITE, Subject::SITE, "site.note", author);
        let ([one, old], [other, same_old]) = (of(Some(ONE)), of(Some(OTHER)));
        assert_ne!(one, other, "neither overwrites the other's");
        assert_eq!(old, same_old);
        assert_eq!(of(None), [old.clone(), old.clone()]);
        for key in [&one, &other, &old] {
            assert!(
                key.starts_with(&prefix(SITE)),
                "{key} is counted with its site"
            );
        }
        assert!(is_for(Some(ONE), Some(ONE)) && !is_for(Some(ONE), Some(OTHER)));
        assert!(!is_for(Some(ONE), None), "nobody is signed in");
        assert!(
            is_for(None, Some(OTHER)),
            "kept before drafts had an author"
        );
    }
}
