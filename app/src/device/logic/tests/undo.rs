//! What undo takes back: the newest answer of one's own, and nothing that somebody else made of it.

use super::*;

fn records(phone: &Phone) -> Vec<Record> {
    let records = phone.replica.records.values();
    records.map(|record| record.as_ref().clone()).collect()
}

/// What the next press of undo on this phone does; `brought_back` as the phone remembers it.
fn undone(phone: &Phone, brought_back: &[u64]) -> Option<Undo> {
    let brought_back = brought_back.iter().map(|one| id(*one)).collect();
    let fold = phone.replica.fold();
    undo(
        &records(phone),
        &fold,
        author(Role::Coordinator),
        &brought_back,
    )
}

#[test]
fn undo_brings_back_what_stood_before_or_strikes_the_first() {
    let mut phone = Phone::default();
    phone.write(&note("one"));
    let found = undone(&phone, &[]);
    assert!(matches!(found, Some(Undo::Strike(entry)) if entry.id == id(1)));
    phone.write(&note("two"));
    let Some(Undo::Restore(_, answer)) = undone(&phone, &[]) else {
        panic!("a correction gives way to what stood before");
    };
    phone.write(&answer);
    assert_eq!(phone.standing(), ["one"]);
    // Pressed again, the mistake does not come back: what was written first goes too.
    let again = undone(&phone, &[3]);
    assert!(matches!(again, Some(Undo::Strike(entry)) if entry.id == id(3)));
}

/// A value typed once more is an answer of its own, whatever stood before.
#[test]
fn undo_does_not_take_a_value_typed_again_for_an_undo() {
    let mut phone = Phone::default();
    for text in ["one", "two", "one"] {
        phone.write(&note(text));
    }
    let Some(Undo::Restore(entry, answer)) = undone(&phone, &[]) else {
        panic!("back to the second");
    };
    assert_eq!(entry.id, id(3));
    phone.write(&answer);
    assert_eq!(phone.standing(), ["two"]);
}

/// Where a colleague has replaced the newest answer, what stands is theirs, and nothing older goes in its place.
#[test]
fn undo_leaves_what_somebody_else_made_of_the_newest() {
    let mut phone = Phone::default();
    phone.write(&note("one"));
    phone.write(&note("two"));
    let seen = phone.replica.fold();
    let colleague = Author {
        person: PersonId(Uuid::from_u128(77)),
        ..author(Role::Coordinator)
    };
    let theirs = note("three").intent(Intent::Correct).correcting(id(2));
    let theirs = compose(&theirs, &seen, colleague, id(50), stamp(50)).expect("allowed");
    let changes = Changes::one(theirs.unsent());
    phone.replica.apply(&changes);
    assert_eq!(phone.standing(), ["three"]);
    assert!(undone(&phone, &[]).is_none());
}
