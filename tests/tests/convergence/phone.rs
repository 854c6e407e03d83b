//! One simulated phone: a durable part that survives a kill, and clocks that cannot be trusted.

use rand::Rng;
use rand::rngs::StdRng;
use setdown_app::device::logic::queue::Queued;
use setdown_app::device::logic::replica::{Changes, Replica};
use setdown_app::device::logic::writing::{Author, Composed, NewAnswer, compose, compose_strike};
use setdown_types::entry::{Entry, Intent, Method, Stamp};
use setdown_types::ids::{BootId, DeviceId, EntryId, OrganisationId, PersonId, SiteId, SubjectId};
use setdown_types::ledger::{Record, Standing};
use setdown_types::party::Role;
use setdown_types::quantity::{Dimension, Measure, Quantity};
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::Value;
use setdown_types::wire::Session;
use uuid::Uuid;

/// Milliseconds in an hour.
pub const HOUR: i64 = 3_600_000;

/// One phone.
pub struct Phone {
    /// Durable: survives a kill.
    pub replica: Replica,
    /// Durable: the count of entries written.
    pub counter: u64,
    /// Every entry it ever wrote and saw saved, with the heads its author saw.
    pub wrote: Vec<(EntryId, Vec<EntryId>)>,
    pub session: Session,
    pub device: DeviceId,
    pub boot: BootId,
    /// True time at which the page was loaded.
    booted_at: i64,
    /// Wall clock minus true time.
    pub skew: i64,
}

pub fn uuid(random: &mut StdRng) -> Uuid {
    uuid::Builder::from_random_bytes(random.random()).into_uuid()
}

/// A UUIDv7 by the phone's own wall clock: RFC 9562 section 5.7.
fn uuid7(random: &mut StdRng, wall: i64) -> Uuid {
    let millis = u64::try_from(wall.max(0)).unwrap_or(0);
    let bytes: [u8; 10] = random.random();
    uuid::Builder::from_unix_timestamp_millis(millis, &bytes).into_uuid()
}

impl Phone {
    pub fn new(
        random: &mut StdRng,
        role: Role,
        organisation: OrganisationId,
        site: SiteId,
        skew: i64,
    ) -> Self {
        let session = Session {
            person: PersonId(uuid(random)),
            name: format!("{role:?}"),
            role,
            organisation,
            site: (role == Role::Homeowner).then_some(site),
        };
        Self {
            replica: Replica::default(),
            counter: 0,
            wrote: Vec::new(),
            session,
            device: DeviceId(uuid(random)),
            boot: BootId(uuid(random)),
            booted_at: 0,
            skew,
        }
    }

    /// Killed and started again: everything not durable is gone.
    pub fn kill(&mut self, random: &mut StdRng, now: i64) {
        self.boot = BootId(uuid(random));
        self.booted_at = now;
    }

    pub const fn monotonic(&self, now: i64) -> i64 {
        now - self.booted_at
    }

    pub const fn wall(&self, now: i64) -> i64 {
        now + self.skew
    }

    fn author(&self) -> Author {
        Author::of(&self.session, self.device)
    }

    fn stamp(&mut self, now: i64) -> Stamp {
        self.counter += 1;
        Stamp {
            wall: self.wall(now),
            boot: self.boot,
            monotonic: self.monotonic(now),
            counter: self.counter,
        }
    }

    /// Writes something: an answer, a repeat, a strike, a redaction, something newer, something
    /// it has no right to.
    pub fn write(&mut self, random: &mut StdRng, site: SiteId, now: i64) {
        let id = EntryId(uuid7(random, self.wall(now)));
        let stamp = self.stamp(now);
        let composed = match random.random_range(0..20) {
            0 | 1 => self.strike(random, id, stamp),
            2 if self.session.role == Role::Office => self.redact(random, id, stamp),
            3 => self.forbidden(random, site, id, stamp),
            4 => self.newer(random, site, id, stamp),
            _ => self.answer(random, site, id, stamp),
        };
        if let Some(composed) = composed {
            self.save(composed);
        }
    }

    /// The durable write: from here on the entry may not be lost.
    fn save(&mut self, composed: Composed) {
        let seen = self.replica.fold();
        let entry = &composed.entry;
        let heads = match (entry.intent, seen.stream(entry.subject, &entry.question)) {
            (Intent::Repeat | Intent::Redact | Intent::Strike, _) | (_, None) => {
                entry.replaces.clone()
            }
            // Who may not settle replaces one head, whatever else they saw.
            _ if self.session.role == Role::Homeowner => entry.replaces.clone(),
            (_, Some(stream)) => stream.heads.clone(),
        };
        self.wrote.push((entry.id, heads));
        self.replica.apply(&Changes::one(composed.unsent()));
    }

    fn answer(
        &self,
        random: &mut StdRng,
        site: SiteId,
        id: EntryId,
        stamp: Stamp,
    ) -> Option<Composed> {
        let mut answer = some_answer(random, site);
        answer.intent = match random.random_range(0..6) {
            0 => Some(Intent::Repeat),
            1 => Some(Intent::Changed),
            _ => None,
        };
        compose(&answer, &self.replica.fold(), self.author(), id, stamp).ok()
    }

    fn strike(&self, random: &mut StdRng, id: EntryId, stamp: Stamp) -> Option<Composed> {
        let target = self.some_record(random)?;
        compose_strike(
            &target.entry,
            &self.replica.fold(),
            self.author(),
            id,
            stamp,
        )
        .ok()
    }

    fn redact(&self, random: &mut StdRng, id: EntryId, stamp: Stamp) -> Option<Composed> {
        let target = self.some_record(random)?.entry.clone();
        if matches!(target.intent, Intent::Redact) {
            return None;
        }
        let entry = Entry {
            id,
            intent: Intent::Redact,
            replaces: vec![target.id],
            payload: setdown_types::entry::Payload::Nothing,
            spread: None,
            author: self.session.person,
            role: self.session.role,
            device: self.device,
            stamp,
            ..target
        };
        let raw = entry.to_json()?;
        Some(Composed { entry, raw })
    }

    /// Written without the right to (by a program with a fault, say): the server refuses it, and
    /// what is built on it must not suffer. Homeowners may not settle, and only the office pins.
    fn forbidden(
        &self,
        random: &mut StdRng,
        site: SiteId,
        id: EntryId,
        stamp: Stamp,
    ) -> Option<Composed> {
        let mut answer = some_answer(random, site);
        match self.session.role {
            Role::Homeowner => answer.intent = Some(Intent::Settle),
            Role::Coordinator => answer.value = Value::Pin("0".repeat(64)),
            Role::Office => return None,
        }
        let author = Author {
            role: Role::Office,
            ..self.author()
        };
        let mut entry = compose(&answer, &self.replica.fold(), author, id, stamp)
            .ok()?
            .entry;
        entry.role = self.session.role;
        entry.intent = match self.session.role {
            Role::Homeowner => Intent::Settle,
            _ => entry.intent,
        };
        let raw = entry.to_json()?;
        Some(Composed { entry, raw })
    }

    /// A value of a newer version: kept and forwarded byte for byte.
    fn newer(
        &self,
        random: &mut StdRng,
        site: SiteId,
        id: EntryId,
        stamp: Stamp,
    ) -> Option<Composed> {
        let composed = self.answer(random, site, id, stamp)?;
        let mut json: serde_json::Value = serde_json::from_str(&composed.raw).ok()?;
        json["value"] = serde_json::json!({ "outline": [1.5, "as the newer version writes it"] });
        json["schema"] = 2.into();
        let raw = json.to_string();
        Some(Composed {
            entry: Entry::from_json(&raw).ok()?,
            raw,
        })
    }

    fn some_record(&self, random: &mut StdRng) -> Option<&Record> {
        let count = self.replica.records.len();
        if count == 0 {
            return None;
        }
        self.replica
            .records
            .values()
            .nth(random.random_range(0..count))
            .map(AsRef::as_ref)
    }

    /// What is unsent, as the queue reads it from the store; held entries are asked about again.
    pub fn queue(&self) -> Vec<Queued> {
        self.replica
            .records
            .values()
            .filter(|record| matches!(record.standing, Standing::Unsent))
            .map(|record| Queued {
                id: record.entry.id,
                counter: record.entry.stamp.counter,
                author: record.entry.author,
                organisation: record.entry.organisation,
                raw: record.raw.clone(),
            })
            .collect()
    }

    pub fn count(&self, wanted: impl Fn(&Standing) -> bool) -> usize {
        self.replica.count_where(wanted)
    }
}

/// An answer about one of few things, so that people meet.
fn some_answer(random: &mut StdRng, site: SiteId) -> NewAnswer {
    let opening = Subject::new(
        SubjectKind::Opening,
        SubjectId(Uuid::from_u128(
            1 + u128::from(random.random_range(0..2_u8)),
        )),
    );
    match random.random_range(0..4) {
        0 => NewAnswer::new(
            site,
            opening,
            "opening.present",
            if random.random_bool(0.2) {
                Value::Absent
            } else {
                Value::Text("gate".to_owned())
            },
            Method::Seen,
        ),
        1 => NewAnswer::new(
            site,
            Subject::SITE,
            "site.note",
            Value::Text(random.random::<u32>().to_string()),
            Method::Seen,
        ),
        _ => {
            let base = random.random_range(700_000_000..3_000_000_000_i64);
            let measure = Measure::new(Quantity::new(Dimension::Length, base), "as typed");
            NewAnswer::new(
                site,
                opening,
                "opening.width_hip",
                Value::Measure(measure),
                Method::Tape,
            )
        }
    }
}
