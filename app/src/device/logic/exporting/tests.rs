//! Whose file holds what, on a phone that several people use.

use setdown_types::entry::Entry;
use setdown_types::ledger::Refusal;
use uuid::Uuid;

use super::super::made::{
    ACCEPTED, DEALER, HERE, OWNER, SITE, STAFF, entry, photo, picture, record, sha, words,
};
use super::*;

fn note(question: &str, standing: Standing) -> Record {
    let entry = Entry {
        question: question.to_owned(),
        ..entry(words())
    };
    record(&entry, standing)
}

fn session(person: PersonId, role: Role) -> Session {
    Session {
        person,
        name: "somebody".to_owned(),
        role,
        organisation: DEALER,
        site: (role == Role::Homeowner).then_some(SITE),
    }
}

fn chosen(session: Option<&Session>, photos: &[&PhotoRow]) -> Chosen {
    Chosen::new(HERE, session.cloned(), photos.iter().copied())
}

fn goes_along(record: &Record, session: Option<&Session>) -> bool {
    chosen(session, &[]).takes(record)
}

#[test]
fn a_homeowners_file_holds_no_note_of_the_staff_sent_or_not() {
    let owner = session(OWNER, Role::Homeowner);
    for standing in [ACCEPTED, Standing::Unsent, Standing::Held] {
        let hidden = note("site.staff_note", standing.clone());
        assert!(!goes_along(&hidden, Some(&owner)), "{standing:?}");
        assert!(goes_along(&note("site.note", standing), Some(&owner)));
    }
    let next_door = Session {
        site: Some(SiteId(Uuid::from_u128(77))),
        ..owner.clone()
    };
    let open = note("site.note", ACCEPTED);
    assert!(!goes_along(&open, Some(&next_door)));
    let other_dealer = Session {
        organisation: OrganisationId(Uuid::from_u128(77)),
        ..session(OWNER, Role::Office)
    };
    assert!(!goes_along(&open, Some(&other_dealer)));
}

#[test]
fn ones_own_entries_that_are_nowhere_else_go_along_whatever_one_may_see_today() {
    let no_longer = session(STAFF, Role::Homeowner);
    let refused = Standing::Refused(Refusal::NotAllowed);
    for standing in [Standing::Unsent, Standing::Held, refused] {
        let own = note("site.staff_note", standing);
        assert!(goes_along(&own, Some(&no_longer)));
    }
    let sent = note("site.staff_note", ACCEPTED);
    assert!(!goes_along(&sent, Some(&no_longer)));
    assert!(goes_along(&sent, Some(&session(STAFF, Role::Coordinator))));
}

#[test]
fn with_nobody_signed_in_what_is_nowhere_else_is_not_lost() {
    let sent = note("site.staff_note", ACCEPTED);
    let unsent = note("site.staff_note", Standing::Unsent);
    let mut file = chosen(None, &[]);
    assert!(!file.takes(&sent) && file.takes(&unsent));
    assert!(file.takes(&note("site.note", ACCEPTED)));
    assert_eq!((file.left().entries, file.left().only_here), (1, 0));
    assert!(file.left().is_any() && !LeftOut::default().is_any());
}

/// A photo of the staff, taken by them on this phone; the server has its entry, and not its bytes.
fn owed() -> (Record, PhotoRow) {
    let entry = Entry {
        question: "site.staff_photo".to_owned(),
        ..entry(picture(&sha("ab")))
    };
    (record(&entry, ACCEPTED), photo(&sha("ab"), [entry.id]))
}

/// The bytes would be lost with the phone: they go along with nobody signed in and with their author, and with nobody else;
/// there it is said.
#[test]
fn a_photo_that_is_still_owed_is_in_the_file_or_told_of() {
    let (record, row) = owed();
    let author = session(STAFF, Role::Homeowner);
    for session in [None, Some(&author)] {
        let mut file = chosen(session, &[&row]);
        assert!(file.takes(&record) && file.takes_photo(&row), "{session:?}");
        assert!(!file.left().is_any());
    }
    let owner = session(OWNER, Role::Homeowner);
    let mut file = chosen(Some(&owner), &[&row]);
    assert!(!file.takes(&record) && !file.takes_photo(&row));
    let left = LeftOut {
        entries: 1,
        photos: 1,
        only_here: 2,
        drafts: 0,
    };
    assert_eq!(file.left(), left);
}

/// Whoever looked at a photo has fetched it; that nothing on this phone named it first makes it nobody's.
#[test]
fn a_photo_that_somebody_fetched_is_in_nobodys_file_who_may_not_see_it() {
    let (record, _) = owed();
    let mut fetched = photo(&sha("ab"), None);
    fetched.verified = true;
    let owner = session(OWNER, Role::Homeowner);
    for session in [None, Some(&owner)] {
        let mut file = chosen(session, &[&fetched]);
        assert!(!file.takes(&record) && !file.takes_photo(&fetched));
        assert_eq!((file.left().photos, file.left().only_here), (1, 0));
    }
    let staff = session(STAFF, Role::Coordinator);
    let mut file = chosen(Some(&staff), &[&fetched]);
    assert!(file.takes(&record) && file.takes_photo(&fetched));
}

#[test]
fn a_picture_that_nothing_names_is_nowhere_else_and_one_of_anothers_draft_is_theirs() {
    let row = photo(&sha("cd"), None);
    let owner = session(OWNER, Role::Homeowner);
    assert!(chosen(Some(&owner), &[&row]).takes_photo(&row));
    let of_staff = PhotoRow {
        taken_by: Some(STAFF),
        ..row.clone()
    };
    let mut file = chosen(Some(&owner), &[&of_staff]);
    assert!(!file.takes_photo(&of_staff));
    assert_eq!((file.left().photos, file.left().only_here), (1, 1));
    assert!(chosen(Some(&session(STAFF, Role::Coordinator)), &[&of_staff]).takes_photo(&of_staff));
    let picture = serde_json::to_string(&picture_ref()).expect("it can be written");
    let draft =
        serde_json::json!({ "question": "site.staff_photo", "author": STAFF, "text": picture });
    let mut file = chosen(Some(&owner), &[&row]);
    assert!(!file.takes_draft(&draft.to_string(), true) && !file.takes_photo(&row));
    assert_eq!((file.left().drafts, file.left().photos), (1, 1));
    let staff = session(STAFF, Role::Coordinator);
    for session in [None, Some(&staff)] {
        let mut file = chosen(session, &[&row]);
        assert!(file.takes_draft(&draft.to_string(), true) && file.takes_photo(&row));
    }
}

fn picture_ref() -> PhotoRef {
    match picture(&sha("cd")) {
        Value::Photo(photo) => photo,
        _ => panic!("a picture is a photo"),
    }
}

#[test]
fn an_old_draft_of_nobodys_is_theirs_who_may_see_it_on_a_site_of_theirs() {
    let owner = session(OWNER, Role::Homeowner);
    let takes = |question: &str, here: bool| {
        let draft = serde_json::json!({ "question": question, "text": "half" });
        chosen(Some(&owner), &[]).takes_draft(&draft.to_string(), here)
    };
    assert!(takes("site.note", true));
    assert!(!takes("site.note", false) && !takes("site.staff_note", true));
    let mut file = chosen(Some(&owner), &[]);
    assert!(!file.takes_draft("no draft", true));
    assert_eq!(file.left().drafts, 1);
    assert!(chosen(None, &[]).takes_draft("no draft", true));
}

/// Bytes of another version: what they tell of whose they are counts, and where they tell nothing they are told of.
#[test]
fn an_entry_that_cannot_be_read_goes_by_whose_it_is() {
    let raw = |question: &str| {
        let entry = serde_json::json!({ "organisation": DEALER, "site": SITE, "question": question,
            "author": STAFF, "intent": "of another version" });
        entry.to_string()
    };
    let owner = session(OWNER, Role::Homeowner);
    let staff = session(STAFF, Role::Coordinator);
    let no_longer = session(STAFF, Role::Homeowner);
    let takes = |session: Option<&Session>, raw: &str, only_here: bool| {
        let mut file = chosen(session, &[]);
        let goes = file.takes_unread(raw, only_here);
        assert_eq!(file.left().entries, usize::from(!goes));
        assert_eq!(file.left().only_here, usize::from(!goes && only_here));
        goes
    };
    let hidden = raw("site.staff_note");
    assert!(!takes(Some(&owner), &hidden, true) && takes(Some(&staff), &hidden, true));
    assert!(takes(Some(&no_longer), &hidden, true) && !takes(Some(&no_longer), &hidden, false));
    assert!(takes(Some(&owner), &raw("site.note"), true));
    assert!(takes(None, &hidden, true) && !takes(None, &hidden, false));
    assert!(!takes(Some(&staff), "no entry", true) && takes(None, "no entry", true));
}
