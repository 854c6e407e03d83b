//! What seeded runs once found, as the smallest stories that must hold.

use rand::SeedableRng;
use rand::rngs::StdRng;
use setdown_app::device::logic::queue;
use setdown_app::device::logic::replica::Changes;
use setdown_app::device::logic::writing::{Author, Composed, NewAnswer, compose};
use setdown_types::admission::{Arrival, MemorySite, Writer};
use setdown_types::entry::{Entry, Intent, Method, Payload, Stamp};
use setdown_types::ids::{EntryId, OrganisationId, SiteId};
use setdown_types::ledger::Standing;
use setdown_types::party::Role;
use setdown_types::subject::Subject;
use setdown_types::value::Value;
use setdown_types::wire::{Pushed, Verdict};

use super::phone::{Phone, uuid};
use super::run;

/// A first few worlds, so that a plain mistake shows at once.
#[test]
fn small_worlds() {
    for seed in [0, 1, 2, 3, 5, 8, 13, 21] {
        run(seed);
    }
}

struct Story {
    phone: Phone,
    server: MemorySite,
    site: SiteId,
    random: StdRng,
}

impl Story {
    fn new(role: Role) -> Self {
        let mut random = StdRng::seed_from_u64(7);
        let organisation = OrganisationId(uuid(&mut random));
        let site = SiteId(uuid(&mut random));
        let phone = Phone::new(&mut random, role, organisation, site, 0);
        Self {
            phone,
            server: MemorySite::new(organisation, site),
            site,
            random,
        }
    }

    fn note(&mut self, words: &str, role: Role) -> Composed {
        let answer = NewAnswer::new(
            self.site,
            Subject::SITE,
            "site.note",
            Value::Text(words.to_owned()),
            Method::Seen,
        );
        let author = Author {
            role,
            ..Author::of(&self.phone.session, self.phone.device)
        };
        let id = EntryId(uuid(&mut self.random));
        let stamp = Stamp {
            wall: 0,
            boot: self.phone.boot,
            monotonic: 0,
            counter: 1,
        };
        compose(&answer, &self.phone.replica.fold(), author, id, stamp).unwrap()
    }

    fn save(&mut self, composed: Composed) -> EntryId {
        let id = composed.entry.id;
        self.phone.replica.apply(&Changes::one(composed.unsent()));
        id
    }

    fn push(&mut self, ids: &[EntryId]) -> Vec<Verdict> {
        let raws: Vec<String> = ids
            .iter()
            .map(|id| self.phone.replica.records[id].raw.clone())
            .collect();
        let raws: Vec<&str> = raws.iter().map(String::as_str).collect();
        let arrival = Arrival {
            device: self.phone.device,
            boot: self.phone.boot,
            monotonic: 0,
            received_at: 0,
        };
        let writer = Writer::from(&self.phone.session);
        let outcome = self.server.push(&writer, &arrival, &raws);
        let pushed = Pushed {
            verdicts: outcome.verdicts.clone(),
        };
        let standings = queue::standings(ids, &pushed).unwrap();
        let changes = self.phone.replica.stand(&standings);
        self.phone.replica.apply(&changes);
        outcome
            .verdicts
            .into_iter()
            .map(|given| given.verdict)
            .collect()
    }
}

/// An entry written under a role its author no longer had was turned away and forgotten, and what
/// was built on it stayed held for ever. It is remembered as refused.
#[test]
fn children_of_a_refused_role_are_not_held() {
    let mut story = Story::new(Role::Coordinator);
    let first = story.note("written while still in the office", Role::Office);
    let first = story.save(first);
    let second = story.note("built on it", Role::Coordinator);
    let second = story.save(second);
    let verdicts = story.push(&[first, second]);
    assert!(matches!(verdicts[0], Verdict::Refused(_)), "{verdicts:?}");
    assert!(matches!(verdicts[1], Verdict::Accepted(_)), "{verdicts:?}");
    let kept = &story.phone.replica.records[&first];
    assert!(
        kept.raw.contains("written while still in the office"),
        "its words stay on its phone"
    );
}

/// A redaction took effect on every phone but the one that wrote it.
#[test]
fn a_redaction_takes_effect_on_its_own_phone() {
    let mut story = Story::new(Role::Office);
    let note = story.note("a name that should not stand here", Role::Office);
    let target = note.entry.clone();
    let note = story.save(note);
    story.push(&[note]);
    let redaction = Entry {
        id: EntryId(uuid(&mut story.random)),
        intent: Intent::Redact,
        replaces: vec![note],
        payload: Payload::Nothing,
        ..target
    };
    let raw = redaction.to_json().unwrap();
    let redaction = story.save(Composed {
        entry: redaction,
        raw,
    });
    let verdicts = story.push(&[redaction]);
    assert!(matches!(verdicts[0], Verdict::Accepted(_)), "{verdicts:?}");
    let emptied = &story.phone.replica.records[&note];
    assert!(!emptied.raw.contains("a name"), "{}", emptied.raw);
    assert!(matches!(emptied.standing, Standing::Accepted(_)));
}
