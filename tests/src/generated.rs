//! Sites drawn by a seed: every question of the table answered or not, in and beyond its usual range.

use std::path::Path;

use jiff::civil::Date;
use rand::rngs::StdRng;
use rand::{Rng, SeedableRng};
use setdown_server::survey::{practice_file, spa_file};
use setdown_types::entry::{Entry, Intent, Method, Payload, SCHEMA, Stamp};
use setdown_types::ids::{BootId, DeviceId, EntryId, OrganisationId, PersonId, SiteId, SubjectId};
use setdown_types::party::Role;
use setdown_types::practice::PracticeSheet;
use setdown_types::quantity::{Dimension, Measure, Quantity};
use setdown_types::question::{self, AnswerKind, Question};
use setdown_types::spa::{Attitude, Handed, SpaSheet};
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::{
    Attestation, BreakerSlot, LevelPoint, PhotoRef, PointList, SlotHolds, Tie, TieKind, Value,
};
use uuid::Uuid;

/// A site as plain texts, ready for either side of the same-bits test.
#[derive(Debug, Clone)]
pub struct GeneratedSite {
    /// The entries' bytes, in order.
    pub entries: Vec<String>,
    /// The unit.
    pub spa: SpaSheet,
    /// The dealer's limits.
    pub practice: PracticeSheet,
    /// The civil date.
    pub date: Date,
}

/// The example unit of this name.
pub fn example_spa(name: &str) -> SpaSheet {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("examples/spas/{name}.toml"));
    spa_file::read(&path).expect("an example spa sheet")
}

/// The example practice sheet, with everything stated that must be.
pub fn example_practice() -> PracticeSheet {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/practice/our-practice.toml");
    practice_file::read(&path).expect("the example practice sheet")
}

/// The site of a seed.
pub fn generated(seed: u64) -> GeneratedSite {
    let mut random = StdRng::seed_from_u64(seed);
    let spas = ["long-two-zone", "mid-swim-zone", "short-one-zone"];
    let mut spa = example_spa(spas[random.random_range(0..spas.len())]);
    if random.random_bool(0.3) {
        spa.attitudes.push(Attitude::OnEdge);
    }
    let handed = [Handed::Neither, Handed::Left, Handed::Right];
    spa.handed = handed[random.random_range(0..handed.len())];
    let practice = if random.random_bool(0.5) {
        example_practice()
    } else {
        PracticeSheet::default()
    };
    let mut writer = Writer {
        random,
        just_fits: spa.shipping.width.metres() + 0.1016,
        entries: Vec::new(),
    };
    let answered = writer.random.random_range(0.3..1.0);
    writer.site(answered);
    GeneratedSite {
        entries: writer.entries,
        spa,
        practice,
        date: jiff::civil::date(2026, 11, 25),
    }
}

/// The id of the thing with this number, whatever its kind.
fn id_of(number: u128) -> SubjectId {
    SubjectId(Uuid::from_u128(0x1000 + number))
}

struct Writer {
    random: StdRng,
    /// The unit's shipping width with the usual running clearance at both sides, metres: widths
    /// just above it are where the rules are at their finest.
    just_fits: f64,
    entries: Vec<String>,
}

impl Writer {
    fn site(&mut self, answered: f64) {
        for row in question::all().filter(|row| row.subject == SubjectKind::Site) {
            self.maybe(Subject::SITE, row, answered);
        }
        for kind in SubjectKind::ADDED {
            let most = match kind {
                SubjectKind::Slot | SubjectKind::LevelPoint => 12,
                SubjectKind::PlanPoint | SubjectKind::Tie => 6,
                _ => 3,
            };
            for number in 0..self.random.random_range(0..=most) {
                let subject = Subject::new(kind, id_of(number));
                for row in question::all().filter(|row| row.subject == kind) {
                    let puts_there = kind.present_question() == Some(row.key);
                    self.maybe(subject, row, if puts_there { 1.0 } else { answered });
                }
            }
        }
    }

    fn maybe(&mut self, subject: Subject, row: &'static Question, chance: f64) {
        if !self.random.random_bool(chance) {
            return;
        }
        let Some(value) = self.value(row) else { return };
        self.write(subject, row, value, Intent::First);
        if self.random.random_bool(0.05)
            && let Some(value) = self.value(row)
        {
            self.write(subject, row, value, Intent::Repeat);
        }
    }

    fn write(&mut self, subject: Subject, row: &Question, value: Value, intent: Intent) {
        let place = self.entries.len() as u64 + 1;
        let methods = [
            Method::Tape,
            Method::HomeTape,
            Method::Laser,
            Method::Estimate,
            Method::Document,
        ];
        let entry = Entry {
            id: EntryId(Uuid::from_u128(
                u128::from(place) << 64 | self.random.random::<u64>() as u128,
            )),
            organisation: OrganisationId::NIL,
            site: SiteId::NIL,
            subject,
            question: row.key.to_owned(),
            payload: Payload::Known(value),
            spread: None,
            method: methods[self.random.random_range(0..methods.len())],
            intent,
            replaces: Vec::new(),
            author: PersonId::NIL,
            role: Role::Coordinator,
            device: DeviceId::NIL,
            stamp: Stamp {
                wall: 0,
                boot: BootId::NIL,
                monotonic: 0,
                counter: place,
            },
            schema: SCHEMA,
        };
        self.entries.push(entry.to_json().expect("a known value"));
    }

    fn value(&mut self, row: &Question) -> Option<Value> {
        if self.random.random_bool(0.02) {
            return Some(Value::DontKnow);
        }
        Some(match row.kind {
            AnswerKind::Measure(dimension) => self.measure(row, dimension)?,
            AnswerKind::Count => Value::Count(self.random.random_range(0..7)),
            AnswerKind::YesNo => Value::YesNo(self.random.random_bool(0.7)),
            AnswerKind::Choice(choices) => Value::Choice(self.one_of(choices)?),
            AnswerKind::Choices(choices) => Value::Choices(self.some_of(choices)),
            AnswerKind::Text => Value::Text("a thing".to_owned()),
            AnswerKind::Date => Value::Date(self.date()),
            AnswerKind::Photo => Value::Photo(PhotoRef {
                sha256: "0".repeat(64),
                media_type: "image/jpeg".to_owned(),
                width: 1,
                height: 1,
                bytes: 1,
            }),
            AnswerKind::Attestation => Value::Attestation(Attestation {
                person: "the electrician".to_owned(),
                licence: "as on the wall".to_owned(),
                document: "letter".to_owned(),
                date: self.date(),
            }),
            AnswerKind::Slot => Value::Slot(self.slot()),
            AnswerKind::Level => Value::Level(self.level()),
            AnswerKind::Points { fewest, most, .. } => {
                let count = self.random.random_range(fewest..=most.min(fewest + 3));
                Value::Points(self.points(count)?)
            }
            AnswerKind::Tie => Value::Tie(self.tie()?),
            AnswerKind::Signature | AnswerKind::Pin => return None,
        })
    }

    /// In the usual range, and now and then well beyond it.
    fn measure(&mut self, row: &Question, dimension: Dimension) -> Option<Value> {
        let (low, high) = row.plausible?;
        let wide = if self.random.random_bool(0.1) {
            high - low
        } else {
            0.0
        };
        let mut si = self.random.random_range(low - wide..=high + wide);
        if dimension == Dimension::Length
            && row.subject == SubjectKind::Turn
            && self.random.random_bool(0.5)
        {
            si = self.just_fits + self.random.random_range(0.0..0.02);
        }
        let quantity = Quantity::from_si(dimension, si).ok()?;
        Some(Value::Measure(Measure::new(quantity, "as drawn")))
    }

    fn one_of(&mut self, choices: &[&str]) -> Option<String> {
        let at = self.random.random_range(0..choices.len().max(1));
        choices.get(at).map(|choice| (*choice).to_owned())
    }

    fn some_of(&mut self, choices: &[&str]) -> Vec<String> {
        let mut chosen: Vec<String> = choices
            .iter()
            .filter(|_| self.random.random_bool(0.3))
            .map(|choice| (*choice).to_owned())
            .collect();
        chosen.sort();
        chosen
    }

    fn date(&mut self) -> Date {
        let days = self.random.random_range(-60..60);
        jiff::civil::date(2026, 11, 25)
            .checked_add(jiff::Span::new().days(days))
            .expect("a date near today")
    }

    /// So many of the first things of a kind, in any order; some of them may not be there.
    fn points(&mut self, count: usize) -> Option<PointList> {
        let first = self.random.random_range(0..2_u128);
        let mut ids: Vec<SubjectId> = (first..first + count as u128).map(id_of).collect();
        if self.random.random_bool(0.5) {
            ids.reverse();
        }
        PointList::new(ids).ok()
    }

    fn tie(&mut self) -> Option<Tie> {
        let kind = TieKind::ALL[self.random.random_range(0..TieKind::ALL.len())];
        let points = self.points(kind.points().0)?;
        Tie::new(kind, points).ok()
    }

    fn slot(&mut self) -> BreakerSlot {
        let kinds = [
            SlotHolds::Space,
            SlotHolds::OnePole,
            SlotHolds::TwoPole,
            SlotHolds::Tandem,
            SlotHolds::Blocked,
        ];
        BreakerSlot {
            position: self.random.random_range(1..=24),
            holds: kinds[self.random.random_range(0..kinds.len())],
            rating: self.random.random_bool(0.8).then_some(20_000_000),
            label: String::new(),
        }
    }

    fn level(&mut self) -> LevelPoint {
        LevelPoint {
            along: self.random.random_range(0..5_000_000_000),
            across: self.random.random_range(0..2_400_000_000),
            height: self.random.random_range(-20_000_000..20_000_000),
            typed: "as drawn".to_owned(),
        }
    }
}
