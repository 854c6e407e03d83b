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

/// A press of undo as the phone writes it: decided on what it finds, mark and entry in one.
fn press(phone: &mut Phone) {
    phone.counter += 1;
    let number = phone.counter;
    let author = author(Role::Coordinator);
    let taken = take_back(&phone.replica, author, id(number), stamp(number));
    let taken = taken.expect("there is something to take back");
    phone.replica.apply(&taken.changes);
}

/// The page dies right after the write, or another tab presses on what it left: the mark is there with the entry.
#[test]
fn what_undo_brought_back_is_marked_by_the_very_write() {
    let mut phone = Phone::default();
    phone.write(&note("one"));
    phone.write(&note("two"));
    press(&mut phone);
    assert_eq!(phone.standing(), ["one"]);
    assert!(phone.replica.brought_back.contains(&id(3)));
    let mut other_tab = phone;
    press(&mut other_tab);
    assert!(
        other_tab.standing().is_empty(),
        "what undo took does not come back"
    );
    let author = author(Role::Coordinator);
    let again = take_back(&other_tab.replica, author, id(9), stamp(9));
    assert_eq!(again, Err(ComposeError::NothingThere));
}

/// Taken off the phone and along again, the entries are the same, and so are the marks.
#[test]
fn undo_goes_on_where_it_was_on_a_site_that_was_taken_along_again() {
    let mut phone = Phone::default();
    phone.write(&note("one"));
    phone.write(&note("two"));
    press(&mut phone);
    let marks = phone.replica.brought_back.as_ref().clone();
    phone.replica = Replica::new(records(&phone), 3).with_brought_back(marks);
    press(&mut phone);
    assert!(phone.standing().is_empty());
}
