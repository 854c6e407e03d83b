//! The world of a run: phones, one server, and a network that drops, repeats, delays and reorders.

use rand::rngs::StdRng;
use rand::{Rng, SeedableRng};
use serde_json::value::RawValue;
use setdown_app::device::logic::pulling::{Next, Pulling};
use setdown_app::device::logic::queue;
use setdown_types::admission::{Arrival, MemorySite, Writer};
use setdown_types::ids::{BootId, EntryId, OrganisationId, SiteId};
use setdown_types::ledger::Standing;
use setdown_types::party::Role;
use setdown_types::wire::{Pulled, PulledEntry, PulledRefused, Pushed};
use std::collections::BTreeSet;

use super::phone::{HOUR, Phone, uuid};

/// How rough a run is.
#[derive(Debug, Clone, Copy)]
pub struct WorldPlan {
    phones: usize,
    steps: usize,
    loss: f64,
    page: usize,
}

impl WorldPlan {
    pub fn drawn(seed: u64) -> Self {
        let mut random = StdRng::seed_from_u64(seed ^ 0x5eed);
        Self {
            phones: random.random_range(2..=6),
            steps: random.random_range(30..=140),
            loss: random.random_range(0.0..0.6),
            page: random.random_range(1..=7),
        }
    }
}

/// A push on its way: it may arrive late, twice, out of order, or never.
#[derive(Clone)]
struct Push {
    phone: usize,
    arrival: Arrival,
    ids: Vec<EntryId>,
    raws: Vec<String>,
}

/// An answer on its way back; only the page load that asked can use it.
struct Answer {
    phone: usize,
    boot: BootId,
    ids: Vec<EntryId>,
    pushed: Pushed,
}

pub struct World {
    pub seed: u64,
    pub phones: Vec<Phone>,
    pub server: MemorySite,
    pub acknowledged: BTreeSet<EntryId>,
    pub lost_answers: u64,
    pub kills: u64,
    pub held: BTreeSet<EntryId>,
    site: SiteId,
    plan: WorldPlan,
    now: i64,
    random: StdRng,
    pushes: Vec<Push>,
    answers: Vec<Answer>,
}

const ROLES: [Role; 3] = [Role::Coordinator, Role::Homeowner, Role::Office];

impl World {
    pub fn new(seed: u64, plan: WorldPlan) -> Self {
        let mut random = StdRng::seed_from_u64(seed);
        let organisation = OrganisationId(uuid(&mut random));
        let site = SiteId(uuid(&mut random));
        let phones = (0..plan.phones)
            .map(|index| {
                let skew = skew(&mut random);
                Phone::new(&mut random, ROLES[index % 3], organisation, site, skew)
            })
            .collect();
        Self {
            seed,
            phones,
            server: MemorySite::new(organisation, site),
            acknowledged: BTreeSet::new(),
            lost_answers: 0,
            kills: 0,
            held: BTreeSet::new(),
            site,
            plan,
            // 2026-01-01, so that a clock a year slow is still after 1970.
            now: 1_767_225_600_000,
            random,
            pushes: Vec::new(),
            answers: Vec::new(),
        }
    }

    /// Everybody works, and everything goes wrong.
    pub fn disturb(&mut self) {
        for _ in 0..self.plan.steps {
            self.now += self.random.random_range(100..600_000);
            let phone = self.random.random_range(0..self.phones.len());
            match self.random.random_range(0..100) {
                0..45 => self.phones[phone].write(&mut self.random, self.site, self.now),
                45..65 => self.send(phone),
                65..75 => self.deliver(),
                75..82 => self.answer(),
                82..92 => self.pull(phone, self.plan.loss),
                92..96 => self.kill(phone),
                // Somebody sets the clock right, or wrong.
                96..98 => self.phones[phone].skew = 0,
                _ => self.phones[phone].skew = skew(&mut self.random),
            }
        }
    }

    /// The network is whole again: everything under way arrives, then everybody syncs until
    /// nothing moves.
    pub fn heal(&mut self) {
        self.plan.loss = 0.0;
        while !self.pushes.is_empty() {
            self.deliver();
        }
        while !self.answers.is_empty() {
            self.answer();
        }
        for _ in 0..100 {
            let before = self.server.last_seq();
            for phone in 0..self.phones.len() {
                self.now += 1_000;
                self.send(phone);
                self.deliver();
                self.answer();
                self.pull(phone, 0.0);
            }
            let quiet = self.server.last_seq() == before
                && self.phones.iter().all(|phone| phone.queue().is_empty());
            if quiet {
                break;
            }
        }
        for phone in 0..self.phones.len() {
            self.pull(phone, 0.0);
        }
    }

    fn kill(&mut self, phone: usize) {
        self.kills += 1;
        self.phones[phone].kill(&mut self.random, self.now);
    }

    fn send(&mut self, index: usize) {
        let phone = &self.phones[index];
        let waiting = phone.queue();
        let chosen = queue::next_push(&waiting, &phone.session, queue::Piece::default());
        // A phone with little signal gets one small piece through at a time.
        let take = if self.plan.loss > 0.3 {
            1
        } else {
            chosen.len()
        };
        // Now and then a later piece goes first, as when an earlier one is still under way.
        let skip = match chosen.len() {
            0 | 1 => 0,
            several if self.random.random_bool(0.2) => self.random.random_range(1..several),
            _ => 0,
        };
        let chosen = &chosen[skip..(skip + take).min(chosen.len())];
        if chosen.is_empty() {
            return;
        }
        let (message, unreadable) =
            queue::message(phone.device, phone.boot, phone.monotonic(self.now), chosen);
        assert!(unreadable.is_empty());
        let push = Push {
            phone: index,
            arrival: Arrival::of(&message, 0),
            ids: chosen.iter().map(|queued| queued.id).collect(),
            raws: message
                .entries
                .iter()
                .map(|raw| raw.get().to_owned())
                .collect(),
        };
        let lost = self.random.random_bool(self.plan.loss);
        let twice = self.random.random_bool(0.1);
        if !lost {
            self.pushes.push(push.clone());
        }
        if twice {
            self.pushes.push(push);
        }
    }

    /// One push arrives: any of those under way, so that they overtake each other.
    fn deliver(&mut self) {
        if self.pushes.is_empty() {
            return;
        }
        let at = self.random.random_range(0..self.pushes.len());
        let push = self.pushes.swap_remove(at);
        let writer = Writer::from(&self.phones[push.phone].session);
        let arrival = Arrival {
            received_at: self.now,
            ..push.arrival
        };
        let raws: Vec<&str> = push.raws.iter().map(String::as_str).collect();
        let outcome = self.server.push(&writer, &arrival, &raws);
        for verdict in &outcome.verdicts {
            if matches!(verdict.verdict, setdown_types::wire::Verdict::Held) {
                self.held.insert(verdict.id);
            }
        }
        if self.random.random_bool(self.plan.loss) {
            self.lost_answers += 1;
            return;
        }
        self.answers.push(Answer {
            phone: push.phone,
            boot: push.arrival.boot,
            ids: push.ids,
            pushed: Pushed {
                verdicts: outcome.verdicts,
            },
        });
    }

    fn answer(&mut self) {
        if self.answers.is_empty() {
            return;
        }
        let at = self.random.random_range(0..self.answers.len());
        let answer = self.answers.swap_remove(at);
        let phone = &mut self.phones[answer.phone];
        if phone.boot != answer.boot {
            // The page that asked is gone: killed between the push and its acknowledgement.
            return;
        }
        let standings =
            queue::standings(&answer.ids, &answer.pushed).expect("the answer fits its push");
        self.acknowledged.extend(
            standings
                .iter()
                .filter(|(_, standing)| matches!(standing, Standing::Accepted(_)))
                .map(|(id, _)| *id),
        );
        let changes = phone.replica.stand(&standings);
        phone.replica.apply(&changes);
    }

    fn pull(&mut self, index: usize, loss: f64) {
        let site = self.site;
        let phone = &mut self.phones[index];
        let mut pulling = Pulling::since(site, phone.device, phone.session.role, &phone.replica);
        for _ in 0..10_000 {
            if self.random.random_bool(loss) {
                return;
            }
            let page = page(&self.server, site, pulling.after(), self.plan.page);
            let changes = pulling
                .take(&phone.replica, &page)
                .expect("a page of this site");
            phone.replica.apply(&changes);
            match pulling.next(&phone.replica, &page) {
                Next::Page => {}
                Next::Agreed => return,
                Next::FullPull => pulling = Pulling::full(site, phone.device, phone.session.role),
                // Its own push may have been judged while the answer was lost: the phone learns of
                // it when it pushes again. With nothing under way the digests must agree.
                Next::StillDiffers => {
                    let waiting =
                        |standing: &Standing| matches!(standing, Standing::Unsent | Standing::Held);
                    assert!(
                        phone.count(waiting) > 0,
                        "seed {}: the digests differ after a full pull",
                        self.seed
                    );
                    return;
                }
            }
        }
        panic!("a pull that does not end");
    }
}

fn page(server: &MemorySite, site: SiteId, after: u64, limit: usize) -> Pulled {
    let page = server.pull(after, limit);
    let raw = |text: &str| RawValue::from_string(text.to_owned()).expect("JSON");
    Pulled {
        site,
        entries: page
            .entries
            .iter()
            .filter_map(|record| match record.standing {
                Standing::Accepted(acceptance) => Some(PulledEntry {
                    raw: raw(&record.raw),
                    acceptance,
                }),
                _ => None,
            })
            .collect(),
        refused: page
            .refused
            .iter()
            .filter_map(|record| match &record.standing {
                Standing::Refused(refusal) => Some(PulledRefused {
                    raw: raw(&record.raw),
                    refusal: refusal.clone(),
                }),
                _ => None,
            })
            .collect(),
        last_seq: page.last_seq,
        more: page.more,
        digest: page.digest,
    }
}

/// Wrong by up to three hours back, or up to a year ahead; sometimes right.
fn skew(random: &mut StdRng) -> i64 {
    match random.random_range(0..5) {
        0 => 0,
        1 => random.random_range(-3 * HOUR..0),
        2 => random.random_range(0..3 * HOUR),
        3 => random.random_range(0..48 * HOUR),
        _ => random.random_range(0..365 * 24 * HOUR),
    }
}
