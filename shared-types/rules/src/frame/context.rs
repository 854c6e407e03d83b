//! The tracing reader: how a check reads the site, and the record of everything it read.
//!
//! What a check needs is whatever it asked here; there is no second list that could differ.

mod reading;

use std::cell::{Cell, OnceCell, RefCell};
use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;
use setdown_types::entry::Method;
use setdown_types::ids::SubjectId;
use setdown_types::practice::{PracticeSheet, Standing};
use setdown_types::quantity::{Dimension, Measure};
use setdown_types::question::{self, AnswerKind};
use setdown_types::site::{Head, Site, StreamKey};
use setdown_types::spa::SpaSheet;
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::{Attestation, BreakerSlot, LevelPoint, PhotoRef, Tie, Value};

use super::answer::{fits, height_of, levelled, names_all, reading_spread};
use super::assess::Input;
use super::chance::Bet;
use super::item::Draft;
use super::number::Num;
use super::result::{Action, Arg, Cited, Item, Key, Line, Need, NeedState};
use super::spread::{Spread, Spreads};
use crate::motion::Ways;
use crate::plan::ledger::{self, Drawn, Planned};
use crate::tables::{Source, Status};
use setdown_types::party::Party;

/// What one check left behind.
#[derive(Debug, Default)]
pub(super) struct Trace {
    pub(super) needs: BTreeMap<StreamKey, Need>,
    pub(super) spreads: Spreads,
    pub(super) indices: BTreeMap<StreamKey, u32>,
    pub(super) items: Vec<Item>,
    pub(super) sources: Vec<Cited>,
    pub(super) cautions: Vec<Key>,
    pub(super) actions: Vec<Action>,
    /// Whether a limit rests on a remembered or single secondary value alone.
    pub(super) remembered: bool,
    /// Missing needs so far: an item that was started before one went missing is open.
    pub(super) missing: usize,
    /// Every margin judged, with the readings it rests on.
    pub(super) bets: Vec<Bet>,
    /// Whether a finding without a margin is short.
    pub(super) short_fact: bool,
}

/// An answer as a check sees it.
#[derive(Debug, Clone)]
struct Seen {
    head: Head,
    disputed: bool,
}

/// A site as one check reads it. Reading is recorded; answers that are missing make the check
/// open without the check having to say so.
pub struct Context<'a> {
    input: &'a Input<'a>,
    pub(super) key: &'static str,
    pub(super) trace: RefCell<Trace>,
    optional: Cell<bool>,
    /// The one of several disagreeing answers that is read; the question stays disputed.
    reads_instead: Option<(StreamKey, Head)>,
    way_is_clear: OnceCell<bool>,
}

impl<'a> Context<'a> {
    pub(crate) fn new(input: &'a Input<'a>, key: &'static str) -> Self {
        Self {
            input,
            key,
            trace: RefCell::default(),
            optional: Cell::new(false),
            reads_instead: None,
            way_is_clear: OnceCell::new(),
        }
    }

    /// The same, reading this one of several disagreeing answers.
    pub(super) fn reading_instead(mut self, stream: StreamKey, head: Head) -> Self {
        self.reads_instead = Some((stream, head));
        self
    }

    /// Key of the check that reads.
    pub fn key(&self) -> &'static str {
        self.key
    }

    /// The spa sheet.
    pub fn spa(&self) -> &'a SpaSheet {
        self.input.spa
    }

    /// The practice sheet itself; limits are read with [`Self::limit`].
    pub fn practice(&self) -> &'a PracticeSheet {
        self.input.practice
    }

    /// The civil date at the site.
    pub fn today(&self) -> Date {
        self.input.today
    }

    /// The site, for names; answers are read through the methods below so that they are traced.
    pub fn site(&self) -> &'a Site {
        self.input.site
    }

    /// Things of this kind on the site, in the order in which they were added. Where people disagree whether one is
    /// there, that is disputed.
    pub fn subjects(&self, kind: SubjectKind) -> Vec<Subject> {
        if let Some(question) = kind.present_question() {
            for &subject in self.input.site.doubtful(kind) {
                self.note(subject, question, NeedState::Disputed);
            }
        }
        self.input.site.subjects(kind).to_vec()
    }

    /// Reads inside `read` are recorded as optional: missing ones do not make the check open.
    /// For questions that can improve an answer or that matter only in some readings.
    pub fn optionally<T>(&self, read: impl FnOnce() -> T) -> T {
        let before = self.optional.replace(true);
        let result = read();
        self.optional.set(before);
        result
    }

    /// A measured quantity in SI units of its dimension (degrees for angles), with its spread.
    pub fn measure(&self, subject: Subject, question: &str) -> Option<Num> {
        let seen = self.read(subject, question)?;
        let Some(Value::Measure(measure)) = &seen.head.value else {
            self.note(subject, question, NeedState::NotUnderstood);
            return None;
        };
        Some(self.number(subject, question, &seen.head, measure))
    }

    /// A quantity that is listed, not measured: exact where it was read off a document or a label and nobody states a
    /// spread, else as [`Self::measure`] has it.
    pub fn listed(&self, subject: Subject, question: &str) -> Option<Num> {
        let number = self.measure(subject, question)?;
        let head = self.leading(subject, question)?.head;
        let exact = matches!(head.method, Method::Document | Method::Seen) && head.spread.is_none();
        Some(if exact {
            Num::exact(number.value())
        } else {
            number
        })
    }

    /// Whether the answer that counts was guessed or told, not measured: never good enough where a mistake can kill.
    pub fn guessed(&self, subject: Subject, question: &str) -> bool {
        !matches!(
            self.method(subject, question),
            None | Some(
                Method::Tape
                    | Method::HomeTape
                    | Method::Laser
                    | Method::Level
                    | Method::Instrument
                    | Method::Photo
                    | Method::Document
            )
        )
    }

    /// A yes or no.
    pub fn yes(&self, subject: Subject, question: &str) -> Option<bool> {
        self.read_as(subject, question, |value| match value {
            Value::YesNo(yes) => Some(*yes),
            _ => None,
        })
    }

    /// A whole number of things.
    pub fn count(&self, subject: Subject, question: &str) -> Option<u32> {
        self.read_as(subject, question, |value| match value {
            Value::Count(count) => Some(*count),
            _ => None,
        })
    }

    /// One choice, by its key.
    pub fn choice(&self, subject: Subject, question: &str) -> Option<String> {
        self.read_as(subject, question, |value| match value {
            Value::Choice(choice) => Some(choice.clone()),
            _ => None,
        })
    }

    /// Several choices, by their keys.
    pub fn choices(&self, subject: Subject, question: &str) -> Option<Vec<String>> {
        self.read_as(subject, question, |value| match value {
            Value::Choices(choices) => Some(choices.clone()),
            _ => None,
        })
    }

    /// Free words.
    pub fn text(&self, subject: Subject, question: &str) -> Option<String> {
        self.read_as(subject, question, |value| match value {
            Value::Text(text) => Some(text.clone()),
            _ => None,
        })
    }

    /// A civil date.
    pub fn date(&self, subject: Subject, question: &str) -> Option<Date> {
        self.read_as(subject, question, |value| match value {
            Value::Date(date) => Some(*date),
            _ => None,
        })
    }

    /// A picture.
    pub fn photo(&self, subject: Subject, question: &str) -> Option<PhotoRef> {
        self.read_as(subject, question, |value| match value {
            Value::Photo(photo) => Some(photo.clone()),
            _ => None,
        })
    }

    /// A licensed person's word: with name, licence and document, and not of a day to come.
    pub fn attestation(&self, subject: Subject, question: &str) -> Option<Attestation> {
        let attestation = self.read_as(subject, question, |value| match value {
            Value::Attestation(attestation) if names_all(attestation) => Some(attestation.clone()),
            _ => None,
        })?;
        if attestation.date > self.today() {
            self.note(subject, question, NeedState::Missing);
            return None;
        }
        Some(attestation)
    }

    /// What sits in a panel position.
    pub fn slot(&self, subject: Subject) -> Option<BreakerSlot> {
        self.read_as(subject, "slot.holds", |value| match value {
            Value::Slot(slot) => Some(slot.clone()),
            _ => None,
        })
    }

    /// A level reading with the index of its reading and its height as a number with spread.
    pub fn level_point(&self, subject: Subject) -> Option<(LevelPoint, Num)> {
        let seen = self.read(subject, "level_point.height")?;
        let Some(Value::Level(point)) = &seen.head.value else {
            self.note(subject, "level_point.height", NeedState::NotUnderstood);
            return None;
        };
        let (head, measure) = (levelled(&seen.head), height_of(point));
        Some((
            point.clone(),
            self.number(subject, "level_point.height", &head, &measure),
        ))
    }

    /// Things of the yard plan, in order, all of them still on the site; one that was taken off has to be named anew.
    pub fn points(&self, subject: Subject, question: &str) -> Option<Vec<SubjectId>> {
        let named = self.read_as(subject, question, |value| match value {
            Value::Points(points) => Some(points.ids().to_vec()),
            _ => None,
        })?;
        let of = match question::find(question)?.kind {
            AnswerKind::Points { of, .. } => of,
            _ => return None,
        };
        self.all_there(subject, question, of, &named)
            .then_some(named)
    }

    /// What a tie ties, all its points still on the site.
    pub fn tie(&self, subject: Subject) -> Option<Tie> {
        let question = "tie.present";
        let tie = self.read_as(subject, question, |value| match value {
            Value::Tie(tie) => Some(tie.clone()),
            _ => None,
        })?;
        self.all_there(subject, question, SubjectKind::PlanPoint, tie.points())
            .then_some(tie)
    }

    fn all_there(
        &self,
        subject: Subject,
        question: &str,
        kind: SubjectKind,
        named: &[SubjectId],
    ) -> bool {
        let there = self.input.site.subjects(kind);
        let missing = |id: &SubjectId| !there.contains(&Subject::new(kind, *id));
        let gone = named.iter().any(missing);
        if gone {
            self.note(subject, question, NeedState::Missing);
            let stream = StreamKey::new(subject, question);
            if let Some(need) = self.trace.borrow_mut().needs.get_mut(&stream) {
                need.state = NeedState::Missing;
            }
        }
        !gone
    }

    /// How many answers that this check needs have been found missing so far.
    pub fn missing(&self) -> usize {
        self.trace.borrow().missing
    }

    /// Whether the way in as a whole is clear; worked out once for all that ask in one check.
    pub(crate) fn way_is_clear(&self) -> bool {
        *self
            .way_is_clear
            .get_or_init(|| self.outcome_of("roll.way") == Some(super::result::Outcome::Clear))
    }

    /// Whether something that was read is disputed.
    pub(crate) fn disputed(&self) -> bool {
        let trace = self.trace.borrow();
        let mut needs = trace.needs.values();
        needs.any(|need| need.state == NeedState::Disputed)
    }

    /// The plan of the site, where it is complete, with all that follows from it. Nothing it was read from is added to
    /// what this check needs.
    pub(crate) fn plan(&self) -> Option<(Drawn, Arc<Planned>)> {
        let drawn = ledger::document(self.input).filter(|drawn| drawn.complete)?;
        let planned = self.ways().planned(&drawn.document);
        Some((drawn, planned))
    }

    /// The ways in that the solver has worked out.
    pub fn ways(&self) -> &'a Ways {
        self.input.ways
    }

    /// Something stated without a number that is good to a spread: a right angle, a straight line. Read the answer
    /// itself as well.
    pub(crate) fn stated(&self, subject: Subject, question: &str, value: f64, total: f64) -> Num {
        let key = StreamKey::new(subject, question);
        let mut trace = self.trace.borrow_mut();
        if let Some(&index) = trace.indices.get(&key) {
            return Num::reading(index, value);
        }
        let index = trace.spreads.push(Spread {
            total,
            systematic: 0.0,
            instrument: None,
        });
        trace.indices.insert(key, index);
        Num::reading(index, value)
    }

    /// The spread of one reading with what it shares with others of its instrument.
    pub(crate) fn spread_parts(&self, reading: &Num) -> Option<Spread> {
        let (index, _) = reading.gradient().first_key_value()?;
        self.trace.borrow().spreads.get(*index)
    }

    /// How the answer that counts was got; `None` without one. Not traced: read the answer itself
    /// as well.
    pub fn method(&self, subject: Subject, question: &str) -> Option<Method> {
        self.leading(subject, question).map(|seen| seen.head.method)
    }

    /// Whether somebody said that nobody knows, or that it cannot be measured. Not traced: read the answer itself as well.
    pub fn is_unknown(&self, subject: Subject, question: &str) -> bool {
        self.leading(subject, question).is_some_and(|seen| {
            matches!(
                seen.head.value,
                Some(Value::DontKnow | Value::CannotMeasure(_))
            )
        })
    }

    /// Whether people disagree about this. Not traced: read the answer itself as well.
    pub fn is_disputed(&self, subject: Subject, question: &str) -> bool {
        self.leading(subject, question)
            .is_some_and(|seen| seen.disputed)
    }

    /// Whether somebody said that the thing asked about is not there.
    pub fn is_absent(&self, subject: Subject, question: &str) -> bool {
        self.leading(subject, question)
            .is_some_and(|seen| seen.head.value == Some(Value::Absent))
    }

    /// One of the dealer's limits, in SI units; cited as the practice sheet's. A default that
    /// rests on memory alone keeps the check from turning clear until the dealer states it.
    pub fn limit(&self, field: &'static str) -> f64 {
        let Some(limit) = self.input.practice.limit(field) else {
            self.trace.borrow_mut().remembered = true;
            return 0.0;
        };
        let must_be_stated = limit.field.standing == Standing::MustBeStated && !limit.stated;
        self.cite(Source {
            document: if limit.stated {
                "dealer's practice sheet"
            } else {
                "dealer's practice sheet, default"
            },
            section: field,
            edition: limit.field.source,
            status: if must_be_stated {
                Status::Memory
            } else {
                Status::PracticeSheet
            },
        });
        if must_be_stated {
            self.trace.borrow_mut().remembered = true;
        }
        limit.si
    }

    /// Names a source.
    pub fn cite(&self, source: Source) {
        let cited = Cited::from(source);
        let mut trace = self.trace.borrow_mut();
        if !trace.sources.contains(&cited) {
            trace.sources.push(cited);
        }
    }

    /// Names a source that a limit rests on alone: a remembered or single secondary one keeps
    /// the check from turning clear without an attestation.
    pub fn lean_on(&self, source: Source) {
        self.cite(source);
        if !source.status.may_clear() {
            self.trace.borrow_mut().remembered = true;
        }
    }

    /// A caution that must stand beside the check wherever it is shown.
    pub fn caution(&self, key: &'static str) {
        let mut trace = self.trace.borrow_mut();
        let key = Key::Borrowed(key);
        if !trace.cautions.contains(&key) {
            trace.cautions.push(key);
        }
    }

    /// Something to be done beyond measuring, unless the check is settled. The same thing is asked once.
    pub fn action(&self, party: Party, line: Line, minutes: f64) {
        let action = Action {
            party,
            line,
            minutes,
        };
        let mut trace = self.trace.borrow_mut();
        if !trace.actions.contains(&action) {
            trace.actions.push(action);
        }
    }

    /// Puts margins on record, each with the readings it rests on.
    pub(super) fn bet(&self, margins: &[Num]) {
        let mut trace = self.trace.borrow_mut();
        for margin in margins {
            let rests_on = |index: &u32| {
                margin
                    .gradient()
                    .get(index)
                    .is_some_and(|slope| *slope != 0.0)
            };
            let readings = trace.indices.iter();
            let readings = readings
                .filter(|(_, index)| rests_on(index))
                .map(|(stream, _)| stream.clone())
                .collect();
            let bet = Bet {
                readings,
                margin: margin.value(),
                spread: trace.spreads.of(margin),
            };
            trace.bets.push(bet);
        }
    }

    /// Starts the finding about one thing.
    pub fn item(&self, subject: Subject) -> Draft<'_, 'a> {
        Draft::new(self, subject)
    }

    /// Half-width of a number that came out of this check's readings.
    pub fn spread(&self, number: &Num) -> f64 {
        self.trace.borrow().spreads.of(number)
    }

    /// A number with its spread, for a message.
    pub fn arg(&self, number: &Num, dimension: Dimension) -> Arg {
        let spread = self.spread(number);
        if spread > 0.0 {
            Arg::Measured {
                dimension,
                si: number.value(),
                spread,
            }
        } else {
            Arg::Quantity {
                dimension,
                si: number.value(),
            }
        }
    }

    /// How another check of the same area stands on the same site; `None` where there is no such check. Nothing it
    /// read is added to what this check needs.
    ///
    /// Only for a check that sums up others: the ones it asks must not ask back.
    pub fn outcome_of(&self, key: &str) -> Option<super::result::Outcome> {
        let other = crate::checks::find(key).filter(|other| other.key != self.key)?;
        Some(super::assess::assess_check(other, self.input).outcome)
    }

    /// The way chosen; `None` while none is. Not traced: applicability is the frame's.
    pub fn chain(&self) -> Option<String> {
        let seen = self.leading(Subject::SITE, "way.chain")?;
        match seen.head.value {
            Some(value) if !fits("way.chain", &value) => None,
            Some(Value::Choice(chain)) => Some(chain),
            _ => None,
        }
    }

    fn number(&self, subject: Subject, question: &str, head: &Head, measure: &Measure) -> Num {
        let value = measure.si();
        let key = StreamKey::new(subject, question);
        let mut trace = self.trace.borrow_mut();
        if let Some(&index) = trace.indices.get(&key) {
            return Num::reading(index, value);
        }
        let spread = reading_spread(self.input.practice, head, measure);
        let index = trace.spreads.push(spread);
        trace.indices.insert(key, index);
        Num::reading(index, value)
    }

    fn read_as<T>(
        &self,
        subject: Subject,
        question: &str,
        pick: impl FnOnce(&Value) -> Option<T>,
    ) -> Option<T> {
        let seen = self.read(subject, question)?;
        let picked = seen.head.value.as_ref().and_then(pick);
        if picked.is_none() {
            self.note(subject, question, NeedState::NotUnderstood);
        }
        picked
    }
}
