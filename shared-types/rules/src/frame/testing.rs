//! For tests only: a site written down answer by answer, and the outcome of one check on it.
//!
//! Things are named `opening#1`, `leg#2`, …; the site itself is `site`. Naming a thing puts it on the site. Answering
//! a question again replaces the answer. Slips (unknown questions, wrong kinds, choices that are not listed) panic.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use jiff::civil::{Date, date};
use setdown_types::entry::{Intent, Method};
use setdown_types::ids::{DeviceId, EntryId, PersonId, SubjectId};
use setdown_types::party::Role;
use setdown_types::practice::{self, PracticeSheet};
use setdown_types::quantity::text::parse_quantity;
use setdown_types::quantity::{Dimension, Length, Measure, Quantity};
use setdown_types::question::{self, AnswerKind};
use setdown_types::site::{Head, Site, Stream, StreamKey, StreamState};
use setdown_types::spa::{
    Attitude, Bearing, CentreOfGravity, CoverKind, CoverSheet, CoverStandard, Handed, LiftMethod,
    Lifting, Listing, ServiceSide, Side, Size, SpaSheet, StubUp, SupplyCircuit, SupplySetting,
};
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::{
    Attestation, BreakerSlot, LevelPoint, PhotoRef, PointList, SlotHolds, Tie, TieKind, Value,
};

use super::assess::{Input, Ways, assess_check, assess_with};
use super::result::{Assessment, CheckResult, Outcome};
use crate::checks;
use crate::motion::certify_scene;
use crate::plan::ledger;

/// A site in the making.
#[derive(Debug, Clone)]
pub struct TestSite {
    answers: Vec<(StreamKey, Vec<Head>)>,
    next: u64,
    /// The spa sheet: a long two-zone unit unless changed.
    pub spa: SpaSheet,
    /// The practice sheet: all defaults unless changed.
    pub practice: PracticeSheet,
    /// The civil date at the site.
    pub today: Date,
    /// The ways in that are worked out.
    pub ways: Ways,
}

/// A quantity as typed; panics when it cannot be read.
pub fn typed(dimension: Dimension, text: &str) -> Quantity {
    match parse_quantity(dimension, text, None) {
        Ok(quantity) => quantity,
        Err(problem) => panic!("{text}: {problem}"),
    }
}

/// A length as typed.
pub fn length(text: &str) -> Length {
    Length::try_from(typed(Dimension::Length, text)).unwrap()
}

/// The thing with this name: `site`, or a kind and a number such as `opening#1`.
pub fn subject(name: &str) -> Subject {
    if name == "site" {
        return Subject::SITE;
    }
    let (kind, number) = name.split_once('#').expect("a kind, #, a number");
    let kind = SubjectKind::from_key(kind).expect("a kind of thing");
    let number: u32 = number.parse().expect("a number");
    let id = SubjectId::parse(&format!("00000000-0000-0000-0000-{number:012}"));
    Subject::new(kind, id.unwrap())
}

/// The unit the tests deliver unless they say otherwise. Invented; nothing in it is a maker's.
pub fn long_two_zone_unit() -> SpaSheet {
    let size = |long: &str, wide: &str, high: &str| Size {
        length: length(long),
        width: length(wide),
        height: length(high),
    };
    let circuit = SupplyCircuit {
        voltage: typed(Dimension::Voltage, "240 V"),
        breaker: typed(Dimension::Current, "50 A"),
        conductors: 4,
    };
    SpaSheet {
        name: "long two-zone unit".to_owned(),
        bare: size("15 ft 8 in", "7 ft 9 in", "4 ft 10 in"),
        shipping: size("15 ft 10 in", "7 ft 10 in", "5 ft 2 in"),
        dry_weight: typed(Dimension::Mass, "4500 lb"),
        water: typed(Dimension::Volume, "1800 gal"),
        people: 8,
        centre_of_gravity: Some(CentreOfGravity {
            from_service_end: length("7 ft 6 in"),
            off_centre: Length::ZERO,
            height: length("2 ft 4 in"),
        }),
        rim_height: length("4 ft 10 in"),
        rim_width: Some(length("8 in")),
        water_below_rim: Some(length("6 in")),
        bearing: Bearing::Full,
        service: vec![ServiceSide {
            side: Side::Foot,
            depth: Some(length("36 in")),
        }],
        entry_sides: vec![Side::Left, Side::Right],
        handed: Handed::Neither,
        attitudes: vec![Attitude::Flat],
        lifting: Some(Lifting {
            method: LiftMethod::StrapsUnderFrame,
            points: vec![length("3 ft"), length("12 ft")],
            skid_weight: Some(typed(Dimension::Mass, "250 lb")),
            rim_squeeze_limit: None,
        }),
        supply: vec![SupplySetting {
            name: "heat with pumps".to_owned(),
            circuits: vec![circuit, circuit],
            maximum_demand: typed(Dimension::Power, "19200 VA"),
        }],
        stub_up: Some(StubUp {
            side: Side::Foot,
            from_left: length("12 in"),
            inset: length("6 in"),
        }),
        covers: vec![CoverSheet {
            kind: CoverKind::Sectional,
            stow_depth: Some(length("24 in")),
            stow_side: Some(Side::Head),
            lift_clearance: None,
            footing: None,
            safety: Some(CoverStandard::AstmF1346),
            locks: true,
            powered: false,
            tested_load: Some(typed(Dimension::Mass, "275 lb")),
        }],
        level_tolerance: Some(length("1/4 in")),
        listing: Listing {
            self_contained: true,
            above_ground: true,
            indoor_only: false,
            integral_ground_fault: false,
        },
    }
}

impl Default for TestSite {
    fn default() -> Self {
        Self::new()
    }
}

impl TestSite {
    /// A site of which nothing is known.
    pub fn new() -> Self {
        Self {
            answers: Vec::new(),
            next: 1,
            spa: long_two_zone_unit(),
            practice: PracticeSheet::default(),
            today: date(2026, 6, 1),
            ways: Ways::default(),
        }
    }

    /// The same with another spa sheet.
    pub fn spa(mut self, change: impl FnOnce(&mut SpaSheet)) -> Self {
        change(&mut self.spa);
        self
    }

    /// The same with a limit stated on the dealer's practice sheet, as typed.
    pub fn practice(mut self, field: &str, text: &str) -> Self {
        let row = practice::field(field).unwrap_or_else(|| panic!("no practice field {field}"));
        let value = match row.dimension {
            Dimension::Count => Quantity::new(Dimension::Count, text.parse().unwrap()),
            dimension => typed(dimension, text),
        };
        self.practice.stated.insert(field.to_owned(), value);
        self
    }

    /// The same on another day.
    pub fn today(mut self, year: i16, month: i8, day: i8) -> Self {
        self.today = date(year, month, day);
        self
    }

    /// Puts a thing on the site under a name.
    pub fn add(self, name: &str, called: &str) -> Self {
        let thing = subject(name);
        let question = thing.kind.present_question().expect("a kind that is added");
        self.put(
            thing,
            question,
            Value::Text(called.to_owned()),
            Method::Seen,
            None,
        )
    }

    /// Any answer, by a method.
    pub fn answer(self, name: &str, question: &str, value: Value, method: Method) -> Self {
        self.put(subject(name), question, value, method, None)
    }

    /// A quantity as typed; lengths by tape, slopes and angles by level, the rest from a document.
    pub fn measure(self, name: &str, question: &str, text: &str) -> Self {
        let (value, method) = measured(question, text);
        self.put(subject(name), question, value, method, None)
    }

    /// A quantity as typed, by a method.
    pub fn measure_by(self, name: &str, question: &str, text: &str, method: Method) -> Self {
        let (value, _) = measured(question, text);
        self.put(subject(name), question, value, method, None)
    }

    /// A quantity as typed, with its spread as typed.
    pub fn measure_within(self, name: &str, question: &str, text: &str, spread: &str) -> Self {
        let (value, method) = measured(question, text);
        let spread = typed(dimension_of(question), spread).base;
        self.put(subject(name), question, value, method, Some(spread))
    }

    /// A quantity as a document gives it, without any spread.
    pub fn exactly(self, name: &str, question: &str, text: &str) -> Self {
        let (value, _) = measured(question, text);
        self.put(subject(name), question, value, Method::Document, Some(0))
    }

    /// Any answer, whether or not the question takes it: as it could arrive from another program.
    pub fn forced(mut self, name: &str, question: &str, value: Option<Value>) -> Self {
        let mut head = self.head(Value::DontKnow, Method::Tape, None, Intent::First);
        head.value = value;
        let key = StreamKey::new(subject(name), question);
        self.answers.retain(|(known, _)| *known != key);
        self.answers.push((key, vec![head]));
        self
    }

    /// The same quantity measured once more: stands beside the first.
    pub fn repeat(mut self, name: &str, question: &str, text: &str) -> Self {
        let (value, method) = measured(question, text);
        let head = self.head(value, method, None, Intent::Repeat);
        let key = StreamKey::new(subject(name), question);
        let (_, heads) = self
            .answers
            .iter_mut()
            .find(|(known, _)| *known == key)
            .expect("something to repeat");
        heads.push(head);
        self
    }

    /// Any answer given once more: stands beside the first.
    pub fn repeat_answer(mut self, name: &str, question: &str, value: Value) -> Self {
        fits(question, subject(name), &value);
        let mut head = self.head(value, Method::Seen, None, Intent::Repeat);
        let key = StreamKey::new(subject(name), question);
        let (_, heads) = self
            .answers
            .iter_mut()
            .find(|(known, _)| *known == key)
            .expect("something to repeat");
        head.method = heads[0].method;
        heads.push(head);
        self
    }

    /// A yes or no.
    pub fn yes(self, name: &str, question: &str, yes: bool) -> Self {
        self.answer(name, question, Value::YesNo(yes), Method::Seen)
    }

    /// A whole number of things.
    pub fn count(self, name: &str, question: &str, count: u32) -> Self {
        self.answer(name, question, Value::Count(count), Method::Seen)
    }

    /// One choice.
    pub fn choice(self, name: &str, question: &str, choice: &str) -> Self {
        self.answer(
            name,
            question,
            Value::Choice(choice.to_owned()),
            Method::Seen,
        )
    }

    /// Several choices.
    pub fn choices(self, name: &str, question: &str, choices: &[&str]) -> Self {
        let choices = choices.iter().map(|choice| (*choice).to_owned()).collect();
        self.answer(name, question, Value::Choices(choices), Method::Seen)
    }

    /// Free words.
    pub fn text(self, name: &str, question: &str, text: &str) -> Self {
        self.answer(name, question, Value::Text(text.to_owned()), Method::Told)
    }

    /// A civil date.
    pub fn date(self, name: &str, question: &str, year: i16, month: i8, day: i8) -> Self {
        let value = Value::Date(date(year, month, day));
        self.answer(name, question, value, Method::Document)
    }

    /// A picture.
    pub fn photo(self, name: &str, question: &str) -> Self {
        let photo = PhotoRef {
            sha256: "0".repeat(64),
            media_type: "image/jpeg".to_owned(),
            width: 1600,
            height: 1200,
            bytes: 300_000,
        };
        self.answer(name, question, Value::Photo(photo), Method::Photo)
    }

    /// A licensed person's word about the site.
    pub fn attest(self, question: &str) -> Self {
        let attestation = Attestation {
            person: "a licensed person".to_owned(),
            licence: "licence 1".to_owned(),
            document: "letter".to_owned(),
            date: date(2026, 5, 1),
        };
        let value = Value::Attestation(attestation);
        self.answer("site", question, value, Method::Document)
    }

    /// What sits in panel position `position`; the rating as typed.
    pub fn slot(self, position: u16, holds: SlotHolds, rating: Option<&str>) -> Self {
        let slot = BreakerSlot {
            position,
            holds,
            rating: rating.map(|text| typed(Dimension::Current, text).base),
            label: String::new(),
        };
        let name = format!("slot#{position}");
        self.answer(&name, "slot.holds", Value::Slot(slot), Method::Seen)
    }

    /// A level reading.
    pub fn level(self, name: &str, along: &str, across: &str, height_inches: f64) -> Self {
        let height = Length::from_inches(height_inches).unwrap();
        let point = LevelPoint {
            along: length(along).nanometres(),
            across: length(across).nanometres(),
            height: height.nanometres(),
            typed: format!("{height_inches} in"),
        };
        let question = "level_point.height";
        self.answer(name, question, Value::Level(point), Method::Level)
    }

    /// "Don't know".
    pub fn dont_know(self, name: &str, question: &str) -> Self {
        self.answer(name, question, Value::DontKnow, Method::Told)
    }

    /// Takes an answer back: the question is open again.
    pub fn without(mut self, name: &str, question: &str) -> Self {
        let key = StreamKey::new(subject(name), question);
        self.answers.retain(|(known, _)| *known != key);
        self
    }

    /// Things of the plan by their names, such as `plan_point#1`.
    pub fn points(self, name: &str, question: &str, things: &[&str]) -> Self {
        let value = Value::Points(list_of(things));
        self.answer(name, question, value, Method::Seen)
    }

    /// What a tie ties.
    pub fn tie(self, name: &str, kind: TieKind, things: &[&str]) -> Self {
        let tie = Tie::new(kind, list_of(things)).unwrap();
        self.answer(name, "tie.present", Value::Tie(tie), Method::Seen)
    }

    /// Has the solver work out what the check of the way in wants.
    pub fn worked_out(mut self) -> Self {
        let site = self.build();
        let wanted = ledger::wanted(&self.input(&site)).expect("a plan that can be relied on");
        let certified = certify_scene(&wanted.scene_text, wanted.resolution).unwrap();
        assert_eq!(certified.scene, wanted.digest);
        self.ways.insert(Arc::new(certified));
        self
    }

    /// What a check of this site gets, the site being built.
    pub fn input<'a>(&'a self, site: &'a Site) -> Input<'a> {
        Input {
            site,
            spa: &self.spa,
            practice: &self.practice,
            today: self.today,
            suppose: None,
            ways: &self.ways,
        }
    }

    /// The folded site.
    pub fn build(&self) -> Site {
        let streams = self
            .answers
            .iter()
            .map(|(key, heads)| (key.clone(), stream(heads)))
            .collect::<BTreeMap<_, _>>();
        Site::new(streams)
    }

    /// One check applied.
    pub fn check(&self, key: &str) -> CheckResult {
        let site = self.build();
        let input = self.input(&site);
        let check = checks::find(key).unwrap_or_else(|| panic!("no check {key}"));
        assess_check(check, &input)
    }

    /// The outcome of one check, whether or not the way chosen needs it.
    pub fn outcome(&self, key: &str) -> Outcome {
        let result = self.check(key);
        result.would_be.unwrap_or(result.outcome)
    }

    /// Why: the key of the check's reason.
    pub fn reason(&self, key: &str) -> String {
        self.check(key).reason.key.into_owned()
    }

    /// The questions a check waits for, sorted, each once.
    pub fn missing(&self, key: &str) -> Vec<String> {
        let result = self.check(key);
        let questions: BTreeSet<String> = result
            .needs
            .into_iter()
            .filter(|need| !need.optional)
            .filter(|need| {
                use super::result::NeedState::{Answered, Disputed};
                !matches!(need.state, Answered | Disputed)
            })
            .map(|need| need.stream.question)
            .collect();
        questions.into_iter().collect()
    }

    /// Everything.
    pub fn assess(&self) -> Assessment {
        let site = self.build();
        assess_with(&site, &self.spa, &self.practice, self.today, &self.ways)
    }

    fn put(
        mut self,
        thing: Subject,
        question: &str,
        value: Value,
        method: Method,
        spread: Option<i64>,
    ) -> Self {
        fits(question, thing, &value);
        let present = thing.kind.present_question();
        let known = self.answers.iter().any(|(key, _)| key.subject == thing);
        let added = !matches!(thing.kind, SubjectKind::Slot | SubjectKind::LevelPoint);
        if let (Some(present), false, true) = (present, known, added)
            && present != question
        {
            let head = self.head(
                Value::Text(String::new()),
                Method::Seen,
                None,
                Intent::First,
            );
            self.answers
                .push((StreamKey::new(thing, present), vec![head]));
        }
        let head = self.head(value, method, spread, Intent::First);
        let key = StreamKey::new(thing, question);
        match self.answers.iter_mut().find(|(known, _)| *known == key) {
            Some((_, heads)) => *heads = vec![head],
            None => self.answers.push((key, vec![head])),
        }
        self
    }

    fn head(&mut self, value: Value, method: Method, spread: Option<i64>, intent: Intent) -> Head {
        let id = format!("00000000-0000-7000-8000-{:012x}", self.next);
        let entry = EntryId::parse(&id).unwrap();
        self.next += 1;
        Head {
            entry,
            value: Some(value),
            unknown: false,
            spread,
            method,
            intent,
            author: PersonId::NIL,
            role: Role::Coordinator,
            device: DeviceId::NIL,
            wall: 0,
        }
    }
}

fn stream(heads: &[Head]) -> Stream {
    let state = match heads {
        [one] => StreamState::One(one.clone()),
        several => StreamState::Repeats(several.to_vec()),
    };
    let ids: Vec<EntryId> = heads.iter().map(|head| head.entry).collect();
    Stream {
        state,
        first: ids.first().copied(),
        entries: ids.iter().copied().collect(),
        heads: ids,
        struck: BTreeSet::new(),
        redacted: BTreeSet::new(),
    }
}

fn list_of(things: &[&str]) -> PointList {
    PointList::new(things.iter().map(|name| subject(name).id).collect()).unwrap()
}

fn dimension_of(question: &str) -> Dimension {
    match question::find(question).map(|row| row.kind) {
        Some(AnswerKind::Measure(dimension)) => dimension,
        other => panic!("{question} is no measure: {other:?}"),
    }
}

fn measured(question: &str, text: &str) -> (Value, Method) {
    let dimension = dimension_of(question);
    let method = match dimension {
        Dimension::Length => Method::Tape,
        Dimension::Slope | Dimension::Angle => Method::Level,
        _ => Method::Document,
    };
    let value = Value::Measure(Measure::new(typed(dimension, text), text));
    (value, method)
}

/// Panics unless the question exists, is asked about this kind of thing, and takes this kind of answer.
fn fits(question: &str, thing: Subject, value: &Value) {
    let row = question::find(question).unwrap_or_else(|| panic!("no question {question}"));
    assert_eq!(row.subject, thing.kind, "{question}");
    let listed = |choice: &String, all: &[&str]| all.contains(&choice.as_str());
    let fits = match (row.kind, value) {
        (AnswerKind::Measure(dimension), Value::Measure(measure)) => measure.dimension == dimension,
        (AnswerKind::Choice(all), Value::Choice(choice)) => listed(choice, all),
        (AnswerKind::Choices(all), Value::Choices(choices)) => {
            choices.iter().all(|choice| listed(choice, all))
        }
        (AnswerKind::Count, Value::Count(_))
        | (AnswerKind::YesNo, Value::YesNo(_))
        | (AnswerKind::Text, Value::Text(_))
        | (AnswerKind::Date, Value::Date(_))
        | (AnswerKind::Photo, Value::Photo(_))
        | (AnswerKind::Attestation, Value::Attestation(_))
        | (AnswerKind::Slot, Value::Slot(_))
        | (AnswerKind::Level, Value::Level(_))
        | (AnswerKind::Points { .. }, Value::Points(_))
        | (AnswerKind::Tie, Value::Tie(_))
        | (AnswerKind::Signature, Value::Signature(_))
        | (AnswerKind::Pin, Value::Pin(_))
        | (_, Value::DontKnow | Value::CannotMeasure(_) | Value::Absent) => true,
        _ => false,
    };
    assert!(fits, "{question} does not take {value:?}");
}
