//! What a phone decides, by small stories.

use std::sync::Arc;

use serde_json::value::RawValue;
use setdown_types::entry::{Intent, Method, Stamp};
use setdown_types::ids::{BootId, DeviceId, EntryId, OrganisationId, PersonId, SiteId};
use setdown_types::ledger::{Acceptance, Record, Refusal, Standing};
use setdown_types::party::Role;
use setdown_types::subject::Subject;
use setdown_types::value::Value;
use setdown_types::wire::{EntryVerdict, Pulled, PulledEntry, Pushed, Session, Verdict};
use uuid::Uuid;

use super::pulling::{Next, PageError, Pulling};
use super::queue::{self, Piece, Queued};
use super::replica::{Changes, Replica};
use super::undoing::{Undo, take_back, undo};
use super::writing::{
    Author, ComposeError, Composed, NewAnswer, compose, compose_strike, usual_intent,
};

mod undo;

const SITE: SiteId = SiteId(Uuid::from_u128(1));
const HERE: DeviceId = DeviceId(Uuid::from_u128(2));

fn author(role: Role) -> Author {
    Author {
        person: PersonId(Uuid::from_u128(3)),
        role,
        organisation: OrganisationId(Uuid::from_u128(4)),
        device: HERE,
    }
}

fn session() -> Session {
    let author = author(Role::Coordinator);
    Session {
        person: author.person,
        name: "coordinator".to_owned(),
        role: author.role,
        organisation: author.organisation,
        site: None,
    }
}

fn id(number: u64) -> EntryId {
    EntryId(Uuid::from_u128(u128::from(number) + 100))
}

fn stamp(counter: u64) -> Stamp {
    Stamp {
        wall: 0,
        boot: BootId::NIL,
        monotonic: 0,
        counter,
    }
}

fn note(words: &str) -> NewAnswer {
    NewAnswer::new(
        SITE,
        Subject::SITE,
        "site.note",
        Value::Text(words.to_owned()),
        Method::Seen,
    )
}

fn accepted(seq: u64) -> Standing {
    Standing::Accepted(acceptance(seq))
}

const fn acceptance(seq: u64) -> Acceptance {
    Acceptance {
        seq,
        received_at: 0,
        effective_at: None,
    }
}

/// A phone that writes down what it composes.
#[derive(Default)]
struct Phone {
    replica: Replica,
    counter: u64,
}

impl Phone {
    fn write(&mut self, answer: &NewAnswer) -> Composed {
        self.counter += 1;
        let seen = self.replica.fold();
        let composed = compose(
            answer,
            &seen,
            author(Role::Coordinator),
            id(self.counter),
            stamp(self.counter),
        );
        let composed = composed.expect("a coordinator may write notes");
        self.replica.apply(&Changes::one(composed.clone().unsent()));
        composed
    }

    fn standing(&self) -> Vec<String> {
        let site = self.replica.fold();
        let stream = site
            .stream(Subject::SITE, "site.note")
            .expect("something was written");
        stream
            .standing()
            .iter()
            .filter_map(|head| match &head.value {
                Some(Value::Text(text)) => Some(text.clone()),
                _ => None,
            })
            .collect()
    }

    fn queue(&self) -> Vec<Queued> {
        let unsent = self
            .replica
            .records
            .values()
            .filter(|record| record.standing == Standing::Unsent);
        unsent
            .map(|record| Queued {
                id: record.entry.id,
                counter: record.entry.stamp.counter,
                author: record.entry.author,
                organisation: record.entry.organisation,
                raw: record.raw.clone(),
            })
            .collect()
    }
}

fn page(entries: &[(&str, u64)], last_seq: u64, more: bool, digest: Option<&str>) -> Pulled {
    Pulled {
        site: SITE,
        entries: entries
            .iter()
            .map(|(raw, seq)| PulledEntry {
                raw: RawValue::from_string((*raw).to_owned()).expect("entries are JSON"),
                acceptance: acceptance(*seq),
            })
            .collect(),
        refused: Vec::new(),
        last_seq,
        more,
        digest: digest.map(str::to_owned),
    }
}

#[test]
fn an_answer_is_first_then_corrects_then_repeats_beside() {
    let mut phone = Phone::default();
    let first = phone.write(&note("one"));
    assert_eq!(
        (first.entry.intent, first.entry.replaces.len()),
        (Intent::First, 0)
    );
    let second = phone.write(&note("two"));
    assert_eq!(second.entry.intent, Intent::Correct);
    assert_eq!(second.entry.replaces, [first.entry.id]);
    let third = phone.write(&note("three").intent(Intent::Repeat));
    assert!(third.entry.replaces.is_empty());
    assert_eq!(phone.standing(), ["two", "three"]);
    let fourth = phone.write(&note("four").correcting(third.entry.id));
    assert_eq!(fourth.entry.replaces, [third.entry.id]);
    assert_eq!(phone.standing(), ["two", "four"]);
}

#[test]
fn a_note_kept_from_a_draft_stands_beside_the_others_whoever_wrote_them() {
    let mut phone = Phone::default();
    for words in ["one", "two", "three"] {
        let mut answer = note(words);
        answer.intent = usual_intent(&answer.question, false);
        phone.write(&answer);
    }
    assert_eq!(phone.standing(), ["one", "two", "three"]);
    assert_eq!(usual_intent("site.photo", true), None, "it is settled");
    assert_eq!(usual_intent("opening.width_hip", false), None);
    for question in setdown_types::question::all() {
        let free = question.key.starts_with("site.")
            && (question.key.ends_with("note") || question.key.ends_with("photo"));
        assert_eq!(
            super::writing::gathers(question.key),
            free,
            "{}",
            question.key
        );
    }
}

#[test]
fn a_strike_opens_the_question_and_the_next_answer_is_a_first_one() {
    let mut phone = Phone::default();
    let first = phone.write(&note("one"));
    let coordinator = author(Role::Coordinator);
    let strike = compose_strike(
        &first.entry,
        &phone.replica.fold(),
        coordinator,
        id(50),
        stamp(50),
    );
    phone
        .replica
        .apply(&Changes::one(strike.expect("it stands").unsent()));
    assert!(phone.standing().is_empty());
    let again = compose_strike(
        &first.entry,
        &phone.replica.fold(),
        coordinator,
        id(51),
        stamp(51),
    );
    assert_eq!(again, Err(ComposeError::NothingThere));
    let next = phone.write(&note("two"));
    assert_eq!(next.entry.intent, Intent::First);
    assert_eq!(
        next.entry.replaces,
        [id(50)],
        "the strike is what is replaced"
    );
}

#[test]
fn a_conflict_is_settled_by_those_who_may_and_answered_by_those_who_may_not() {
    let mut phone = Phone::default();
    for (number, words) in [(30, "one"), (31, "another")] {
        let composed = compose(
            &note(words),
            &Replica::default().fold(),
            author(Role::Coordinator),
            id(number),
            stamp(number),
        );
        phone
            .replica
            .apply(&Changes::one(composed.expect("allowed").unsent()));
    }
    let seen = phone.replica.fold();
    let by = |role| {
        compose(&note("both"), &seen, author(role), id(40), stamp(40))
            .expect("allowed")
            .entry
    };
    assert_eq!(by(Role::Coordinator).intent, Intent::Settle);
    assert_eq!(by(Role::Coordinator).replaces.len(), 2);
    // Both are this author's: the homeowner takes back one of them, and the disagreement stands.
    assert_eq!(by(Role::Homeowner).intent, Intent::Correct);
    assert_eq!(by(Role::Homeowner).replaces.len(), 1);
    let other = Author {
        person: PersonId(Uuid::from_u128(55)),
        ..author(Role::Homeowner)
    };
    let beside = compose(&note("third"), &seen, other, id(41), stamp(41)).expect("allowed");
    assert_eq!(beside.entry.intent, Intent::Repeat, "somebody else's stand");
    let all: Vec<EntryId> = by(Role::Coordinator).replaces;
    let under_another_name = setdown_types::entry::Entry {
        replaces: all,
        ..by(Role::Homeowner)
    };
    assert!(setdown_types::party::judge(Role::Homeowner, &under_another_name).is_err());
}

#[test]
fn a_push_keeps_the_order_of_writing_and_leaves_what_others_wrote() {
    let mut phone = Phone::default();
    for number in 0..250 {
        phone.write(&note(&format!("note {number}")));
    }
    let mut queue = phone.queue();
    queue.reverse();
    queue[0].author = PersonId(Uuid::from_u128(99));
    let piece = queue::next_push(&queue, &session(), Piece::default());
    assert_eq!(piece.len(), setdown_types::wire::MAX_PUSH);
    assert!(
        piece
            .windows(2)
            .all(|pair| pair[0].counter < pair[1].counter)
    );
    assert!(piece.iter().all(|queued| queued.author == session().person));
    let (push, unreadable) = queue::message(HERE, BootId::NIL, 0, &piece);
    assert!(unreadable.is_empty());
    assert_eq!(
        push.entries[0].get(),
        piece[0].raw,
        "the very bytes are sent"
    );
}

#[test]
fn one_huge_entry_goes_alone_and_never_blocks_the_queue() {
    let queued = |counter, length| Queued {
        id: id(counter),
        counter,
        author: session().person,
        organisation: session().organisation,
        raw: "x".repeat(length),
    };
    let queue = [queued(1, queue::MAX_PUSH_BYTES + 1), queued(2, 10)];
    assert_eq!(
        queue::next_push(&queue, &session(), Piece::default()).len(),
        1
    );
}

#[test]
fn an_answer_that_does_not_fit_changes_nothing() {
    let answer = |ids: &[u64]| Pushed {
        verdicts: ids
            .iter()
            .map(|number| EntryVerdict {
                id: id(*number),
                verdict: Verdict::Held,
            })
            .collect(),
    };
    assert!(queue::standings(&[id(1), id(2)], &answer(&[1])).is_err());
    assert!(queue::standings(&[id(1), id(2)], &answer(&[2, 1])).is_err());
    assert_eq!(
        queue::standings(&[id(1)], &answer(&[1])),
        Ok(vec![(id(1), Standing::Held)])
    );
}

#[test]
fn what_the_server_has_no_room_to_let_wait_is_only_on_this_phone_and_is_sent_again() {
    let mut phone = Phone::default();
    phone.write(&note("builds on what the server has not got"));
    let answer = Pushed {
        verdicts: vec![EntryVerdict {
            id: id(1),
            verdict: Verdict::Refused(Refusal::TooManyWaiting),
        }],
    };
    let standings = queue::standings(&[id(1)], &answer).expect("it fits");
    phone.replica.apply(&phone.replica.stand(&standings));
    assert_eq!(
        phone.queue().len(),
        1,
        "it counts as unsent, and goes again"
    );
    phone
        .replica
        .apply(&phone.replica.stand(&[(id(1), accepted(1))]));
    phone.replica.apply(&phone.replica.stand(&standings));
    assert!(phone.queue().is_empty(), "a late answer takes nothing back");
}

#[test]
fn a_refused_entry_keeps_its_bytes_and_gives_way_to_what_it_had_replaced() {
    let mut phone = Phone::default();
    phone.write(&note("one"));
    let bad = phone.write(&note("bad"));
    let changes = phone.replica.stand(&[
        (id(1), accepted(1)),
        (id(2), Standing::Refused(Refusal::NotAllowed)),
    ]);
    phone.replica.apply(&changes);
    assert_eq!(phone.standing(), ["one"]);
    assert_eq!(phone.replica.records[&id(2)].raw, bad.raw);
}

#[test]
fn a_pull_that_brings_an_own_entry_marks_it_sent() {
    let mut phone = Phone::default();
    let first = phone.write(&note("one"));
    let mut pulling = Pulling::since(SITE, HERE, Role::Coordinator, &phone.replica);
    let page = page(&[(&first.raw, 1)], 1, false, None);
    let changes = pulling.take(&phone.replica, &page).expect("the page fits");
    phone.replica.apply(&changes);
    assert_eq!(phone.replica.records[&id(1)].standing, accepted(1));
    assert_eq!(phone.replica.cursor, 1);
    assert_eq!(pulling.next(&phone.replica, &page), Next::Agreed);
}

#[test]
fn a_digest_that_differs_asks_for_everything_once_and_keeps_what_is_unsent() {
    let mut phone = Phone::default();
    let gone = phone.write(&note("hidden by now"));
    phone.replica.apply(&Changes {
        put: vec![Arc::new(Record {
            entry: setdown_types::entry::Entry {
                device: DeviceId(Uuid::from_u128(77)),
                ..gone.entry.clone()
            },
            raw: gone.raw.clone(),
            standing: accepted(1),
        })],
        ..Changes::default()
    });
    phone.write(&note("not sent yet"));
    let wrong = page(&[], 1, false, Some("other"));
    let mut pulling = Pulling::since(SITE, HERE, Role::Coordinator, &phone.replica);
    let changes = pulling.take(&phone.replica, &wrong).expect("the page fits");
    phone.replica.apply(&changes);
    assert_eq!(pulling.next(&phone.replica, &wrong), Next::FullPull);
    let mut full = Pulling::full(SITE, HERE, Role::Coordinator);
    let changes = full.take(&phone.replica, &wrong).expect("the page fits");
    phone.replica.apply(&changes);
    assert!(
        !phone.replica.records.contains_key(&id(1)),
        "what this role may no longer see is gone"
    );
    assert_eq!(phone.replica.records[&id(2)].standing, Standing::Unsent);
    assert_eq!(full.next(&phone.replica, &wrong), Next::StillDiffers);
}

#[test]
fn what_a_restored_server_has_lost_is_sent_again_by_its_own_device() {
    let mut phone = Phone::default();
    phone.write(&note("one"));
    phone
        .replica
        .apply(&phone.replica.stand(&[(id(1), accepted(7))]));
    let older = page(&[], 3, false, Some("other"));
    let changes = Pulling::full(SITE, HERE, Role::Coordinator)
        .take(&phone.replica, &older)
        .expect("the page fits");
    phone.replica.apply(&changes);
    assert_eq!(phone.replica.records[&id(1)].standing, Standing::Unsent);
}

#[test]
fn what_was_written_here_for_the_dealer_stays_as_it_is_while_a_homeowner_has_the_phone() {
    let mut phone = Phone::default();
    phone.write(&note("for everybody"));
    let mut hidden = note("pays late");
    hidden.question = "site.staff_note".to_owned();
    phone.write(&hidden);
    let everybody = phone.replica.clone();
    let both = [(id(1), accepted(1)), (id(2), accepted(2))];
    phone.replica.apply(&phone.replica.stand(&both));
    let seen = {
        let mut seen = Replica::default();
        seen.apply(&Changes::one(Record::clone(&everybody.records[&id(1)])));
        seen.apply(&seen.stand(&both[..1]));
        seen.agreed_digest(|_| true)
    };
    let page = page(&[], 2, false, Some(&seen));
    for mut pulling in [
        Pulling::since(SITE, HERE, Role::Homeowner, &phone.replica),
        Pulling::full(SITE, HERE, Role::Homeowner),
    ] {
        let changes = pulling.take(&phone.replica, &page).expect("the page fits");
        assert!(changes.put.iter().all(|record| record.entry.id != id(2)));
        assert_eq!(changes.remove, []);
        assert_eq!(pulling.next(&phone.replica, &page), Next::Agreed);
    }
    let coordinator = Pulling::since(SITE, HERE, Role::Coordinator, &phone.replica);
    assert_eq!(coordinator.next(&phone.replica, &page), Next::FullPull);
}

#[test]
fn a_restored_server_that_others_have_written_to_since_gets_everything_back() {
    let mut phone = Phone::default();
    phone.write(&note("accepted before the server was restored"));
    phone.write(&note("held before the server was restored"));
    phone.replica.apply(
        &phone
            .replica
            .stand(&[(id(1), accepted(2)), (id(2), Standing::Held)]),
    );
    // Others have written twelve entries since: their numbers have passed ours.
    let newer = page(&[], 12, false, Some("other"));
    let changes = Pulling::full(SITE, HERE, Role::Coordinator)
        .take(&phone.replica, &newer)
        .expect("the page fits");
    phone.replica.apply(&changes);
    for number in [1, 2] {
        assert_eq!(
            phone.replica.records[&id(number)].standing,
            Standing::Unsent
        );
    }
}

#[test]
fn what_is_held_is_asked_about_when_the_site_has_news_and_not_before() {
    let mut phone = Phone::default();
    phone.write(&note("held"));
    phone
        .replica
        .apply(&phone.replica.stand(&[(id(1), Standing::Held)]));
    let mut pulling = Pulling::since(SITE, HERE, Role::Coordinator, &phone.replica);
    let quiet = page(&[], 0, false, None);
    phone
        .replica
        .apply(&pulling.take(&phone.replica, &quiet).expect("it fits"));
    assert_eq!(phone.replica.records[&id(1)].standing, Standing::Held);
    let other = Phone::default().write(&note("what it waited for"));
    let raw = other.raw.replace(&id(1).to_string(), &id(9).to_string());
    let news = page(&[(&raw, 1)], 1, false, None);
    phone
        .replica
        .apply(&pulling.take(&phone.replica, &news).expect("it fits"));
    assert_eq!(phone.replica.records[&id(1)].standing, Standing::Unsent);
}

#[test]
fn a_signal_too_weak_for_a_large_piece_still_empties_the_queue() {
    let mut phone = Phone::default();
    for number in 0..37 {
        phone.write(&note(&format!("note {number}")));
    }
    let mut queue = phone.queue();
    let (mut piece, mut rounds) = (Piece::default(), 0);
    // Nothing over three entries gets through.
    while !queue.is_empty() {
        rounds += 1;
        assert!(rounds < 100, "the queue never empties");
        let count = queue::next_push(&queue, &session(), piece).len();
        if count > 3 {
            piece = piece.smaller().expect("more than one entry");
        } else {
            queue.drain(..count);
            piece = piece.larger();
        }
    }
}

#[test]
fn pages_that_lead_nowhere_are_not_followed() {
    let replica = Replica::default();
    let mut pulling = Pulling::since(SITE, HERE, Role::Coordinator, &replica);
    assert_eq!(
        pulling.take(&replica, &page(&[], 5, true, None)),
        Err(PageError::NoProgress)
    );
    let elsewhere = Pulled {
        site: SiteId::NIL,
        ..page(&[], 0, false, None)
    };
    assert_eq!(
        pulling.take(&replica, &elsewhere),
        Err(PageError::OtherSite)
    );
}
