//! One question being answered: its draft, what it means so far, and keeping it.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_rules::frame::spread::by_method;
use setdown_types::entry::{Intent, Method};
use setdown_types::ids::{DeviceId, EntryId, PersonId};
use setdown_types::party::Role;
use setdown_types::quantity::Quantity;
use setdown_types::question::{AnswerKind, Question};
use setdown_types::site::{Head, StreamKey, StreamState};
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::Value;

use super::address;
use super::frame::say;
use super::on_site::{Assessed, OnSite};
use crate::device::logic::writing::usual_intent;
use crate::device::{How, NewAnswer};
use crate::parts::answer::{Answer, Typed, shown, text_of, understand, usual_method};
use crate::parts::preferences;
use crate::words::{filled, question_title, word};

/// The question on screen, as a token for closures.
#[derive(Clone, Copy)]
pub struct Asked {
    /// The site.
    pub on_site: OnSite,
    /// Which question about what.
    pub stream: StoredValue<StreamKey>,
    /// The question.
    pub question: &'static Question,
    /// The draft.
    pub text: RwSignal<String>,
    /// How it was got.
    pub method: RwSignal<Method>,
    /// A spread chosen instead of the method's usual one, base units.
    pub spread: RwSignal<Option<i64>>,
    /// Why it is written, where something stands already.
    pub intent: RwSignal<Option<Intent>>,
    /// A save is under way.
    pub saving: RwSignal<bool>,
    /// Why the last save did not happen.
    pub problem: RwSignal<String>,
}

/// The method assumed until another is chosen: a homeowner's tape has a spread of its own.
fn method_of(on_site: OnSite, kind: AnswerKind) -> Method {
    match usual_method(kind) {
        Method::Tape if untrack(move || on_site.home()) => Method::HomeTape,
        usual => usual,
    }
}

impl Asked {
    /// Opens a question: brings back what was typed and not saved, else what a fact stands at.
    pub fn new(on_site: OnSite, stream: StreamKey, question: &'static Question) -> Self {
        let standing = standing_text(on_site, &stream, question);
        let asked = Self {
            on_site,
            stream: StoredValue::new(stream),
            question,
            text: RwSignal::new(standing),
            method: RwSignal::new(method_of(on_site, question.kind)),
            spread: RwSignal::new(None),
            intent: RwSignal::new(None),
            saving: RwSignal::new(false),
            problem: RwSignal::new(String::new()),
        };
        asked.bring_back();
        asked.keep_typing();
        asked
    }

    /// Puts the kept draft on screen, unless the person was faster.
    fn bring_back(self) {
        let key = self.stream.get_value();
        let before = self.text.get_untracked();
        spawn_local(async move {
            let draft = self
                .on_site
                .device
                .draft(self.on_site.id, key.subject, &key.question)
                .await;
            if let (Some(draft), Some(now)) = (draft, self.text.try_get_untracked())
                && now == before
                && draft.text != now
            {
                self.text.set(draft.text);
                if let Some(how) = draft.how {
                    self.method.set(how.method);
                    self.spread.set(how.spread);
                    self.intent.set(how.intent);
                }
                say(word("ask.brought_back"));
            }
        });
    }

    /// Keeps the draft at every input, with what is chosen beside it.
    fn keep_typing(self) {
        Effect::new(move |before: Option<(String, How)>| {
            let now = (self.text.get(), self.how());
            if before.is_some_and(|before| before != now) {
                let (typed, how) = now.clone();
                let key = self.stream.get_value();
                spawn_local(async move { self.keep_draft_of(&key, &typed, how).await });
            }
            now
        });
    }

    async fn keep_draft(self, typed: &str, how: How) {
        if let Some(key) = self.stream.try_get_value() {
            self.keep_draft_of(&key, typed, how).await;
        }
    }

    async fn keep_draft_of(self, key: &StreamKey, typed: &str, how: How) {
        self.on_site
            .device
            .keep_draft(
                self.on_site.id,
                key.subject,
                &key.question,
                typed,
                Some(how),
            )
            .await;
    }

    /// What is chosen beside the text, tracked.
    fn how(self) -> How {
        How {
            method: self.method.get(),
            spread: self.spread.get(),
            intent: self.intent.get(),
        }
    }

    /// What the draft means, tracked.
    pub fn typed(self) -> Typed {
        if self.names_a_thing() && self.text.with(|text| text.trim().is_empty()) {
            // A thing may go without a name: it is then called by its kind and number.
            return Typed::Answer(Answer {
                value: Value::Text(String::new()),
                spread: None,
                shown: None,
                doubt: None,
            });
        }
        understand(self.question, &self.text.get(), preferences::system())
    }

    /// Whether the question is the name that puts a thing on the site.
    pub fn names_a_thing(self) -> bool {
        self.question.kind == AnswerKind::Text
            && self.stream.with_value(|key| {
                key.subject.kind.present_question() == Some(key.question.as_str())
            })
    }

    /// The heads that stand, tracked.
    pub fn standing(self) -> Vec<Head> {
        self.on_site
            .assessed()
            .and_then(|now| {
                self.stream.with_value(|key| {
                    now.site
                        .stream(key.subject, &key.question)
                        .map(|stream| stream.standing().to_vec())
                })
            })
            .unwrap_or_default()
    }

    /// Whether answers disagree by people who did not know of each other.
    pub fn in_conflict(self) -> bool {
        self.on_site.assessed().is_some_and(|now| {
            self.stream.with_value(|key| {
                now.site
                    .stream(key.subject, &key.question)
                    .is_some_and(|stream| matches!(stream.state, StreamState::Conflict { .. }))
            })
        })
    }

    /// Whether what is on screen says something other than what stands.
    pub fn is_news(self) -> bool {
        let typed = self.typed();
        let Some(answer) = typed.answer() else {
            return false;
        };
        let standing = self.standing();
        let [only] = standing.as_slice() else {
            return true;
        };
        only.value.as_ref() != Some(&answer.value) || self.intent.get() == Some(Intent::Repeat)
    }

    /// The spread that would be kept: typed, chosen, or none for the method's usual one.
    pub fn stated_spread(self, answer: &Answer) -> Option<i64> {
        answer.spread.or_else(|| self.spread.get())
    }

    /// The usual spread of the method chosen, for what is typed.
    pub fn usual_spread(self) -> Option<Quantity> {
        let AnswerKind::Measure(dimension) = self.question.kind else {
            return None;
        };
        let now = self.on_site.assessed()?;
        let si = match self.typed().answer().map(|answer| &answer.value) {
            Some(Value::Measure(measure)) => measure.si(),
            _ => 0.0,
        };
        Quantity::from_si(
            dimension,
            by_method(&now.practice, self.method.get(), dimension, si),
        )
        .ok()
    }

    /// The answer on screen as a head to be supposed, tracked; `None` where there is nothing new to suppose.
    pub fn supposed(self) -> Option<Head> {
        let typed = self.typed();
        let answer = typed.answer()?;
        if !self.is_news() {
            return None;
        }
        Some(Head {
            entry: EntryId::NIL,
            value: Some(answer.value.clone()),
            unknown: false,
            spread: self.stated_spread(answer),
            method: self.method.get(),
            intent: Intent::First,
            author: PersonId::NIL,
            role: Role::Coordinator,
            device: DeviceId::NIL,
            wall: 0,
        })
    }

    /// Saves what is on screen; then `after` with the address to go to.
    pub fn keep(self, after: impl Fn(String) + 'static) {
        let typed = untrack(move || self.typed());
        let Some(answer) = typed.answer().cloned() else {
            return;
        };
        if self.saving.get_untracked() {
            return;
        }
        let key = self.stream.get_value();
        let mut new = NewAnswer::new(
            self.on_site.id,
            key.subject,
            &key.question,
            answer.value.clone(),
            self.method.get_untracked(),
        )
        .spread(untrack(move || self.stated_spread(&answer)));
        new.intent = self
            .intent
            .get_untracked()
            .or_else(|| usual_intent(&key.question, untrack(move || self.in_conflict())));
        let said = filled(
            "ask.saved",
            &[
                ("question", &question_title(&key.question)),
                (
                    "value",
                    &shown(
                        &key.question,
                        &new.value,
                        preferences::preferences().system.get_untracked(),
                    ),
                ),
            ],
        );
        self.saving.set(true);
        self.problem.set(String::new());
        let kept = self.text.get_untracked();
        spawn_local(async move {
            match self.on_site.device.append(new).await {
                Ok(_) => {
                    say(said);
                    match self.text.try_get_untracked() {
                        // What was typed on while it was being saved stays on screen, and stays a draft.
                        Some(now) if now != kept => {
                            self.keep_draft(&now, untrack(move || self.how())).await
                        }
                        Some(_) => after(self.next_address()),
                        // The person has gone elsewhere, and stays there.
                        None => {}
                    }
                }
                Err(error) => {
                    let _ = self.problem.try_set(error.to_string());
                }
            }
            let _ = self.saving.try_set(false);
        });
    }

    /// Takes the thing off the site, then goes to where it was.
    pub fn take_off(self, after: impl Fn(String) + 'static) {
        if self.saving.get_untracked() {
            return;
        }
        self.saving.set(true);
        let key = self.stream.get_value();
        let new = NewAnswer::new(
            self.on_site.id,
            key.subject,
            &key.question,
            Value::Absent,
            Method::Seen,
        )
        .intent(Intent::Changed);
        spawn_local(async move {
            match self.on_site.device.append(new).await {
                Ok(_) => {
                    say(word("ask.taken_off"));
                    if self.stream.try_get_value().is_some() {
                        after(self.home());
                    }
                }
                Err(error) => {
                    let _ = self.problem.try_set(error.to_string());
                }
            }
            let _ = self.saving.try_set(false);
        });
    }

    /// Where to go once this question is answered.
    pub fn next_address(self) -> String {
        let key = self.stream.get_value();
        // Positions and points come in rows: the next one is a new thing of the same kind.
        if matches!(
            key.subject.kind,
            SubjectKind::Slot | SubjectKind::LevelPoint
        ) && key.subject.kind.present_question() == Some(key.question.as_str())
        {
            let next = StreamKey::new(
                self.on_site.device.new_subject(key.subject.kind),
                &key.question,
            );
            return address::ask(self.on_site, &next);
        }
        let next = self
            .on_site
            .assessed_now()
            .and_then(|now| next_wanted(&now, &key))
            .filter(|next| stays_near(&key, next));
        next.map_or_else(|| self.home(), |next| address::ask(self.on_site, &next))
    }

    /// Where this question belongs: what is drawn on the plan is seen there.
    fn home(self) -> String {
        if self.stream.with_value(super::plan::leads_to_plan) {
            address::plan(self.on_site)
        } else {
            address::walk(self.on_site)
        }
    }

    /// The question before (`-1`) or after (`1`) this one in walking order, answered or not.
    pub fn neighbour(self, step: isize) -> Option<String> {
        let now = self.on_site.assessed()?;
        let (place, _) = self
            .stream
            .with_value(|key| now.stop(key).map(|(place, stop)| (place, stop.station)))?;
        let stop = now.stops.get(place.checked_add_signed(step)?)?;
        Some(address::ask(self.on_site, &stop.stream))
    }
}

/// Whether the next question is near enough to go on with: from the plan one goes on about the same thing, then back.
fn stays_near(key: &StreamKey, next: &StreamKey) -> bool {
    let same = next.subject == key.subject && key.subject != Subject::SITE;
    !super::plan::leads_to_plan(key) || same
}

/// The next question that waits for an answer: of the same thing first, then onwards, then from the beginning. From a
/// question that is asked today it never leads to one of the delivery day.
fn next_wanted(now: &Arc<Assessed>, key: &StreamKey) -> Option<StreamKey> {
    let place = now.stop(key).map(|(place, _)| place);
    let on_the_day = now
        .stop(key)
        .is_some_and(|(_, stop)| now.is_on_the_day(stop));
    let waits = |stop: &&setdown_rules::frame::walk::Stop| {
        stop.wanted() && stop.stream != *key && (on_the_day || !now.is_on_the_day(stop))
    };
    let same = now
        .stops
        .iter()
        .filter(waits)
        .find(|stop| key.subject != Subject::SITE && stop.stream.subject == key.subject);
    let onwards = now
        .stops
        .iter()
        .skip(place.map_or(0, |place| place + 1))
        .find(waits);
    same.or(onwards)
        .or_else(|| now.stops.iter().find(waits))
        .map(|stop| stop.stream.clone())
}

/// Facts are shown as they stand; a measure starts empty, so that measuring again never means deleting first.
fn standing_text(on_site: OnSite, key: &StreamKey, question: &Question) -> String {
    if matches!(
        question.kind,
        AnswerKind::Measure(_) | AnswerKind::Count | AnswerKind::Photo
    ) {
        return String::new();
    }
    on_site
        .assessed_now()
        .and_then(|now| {
            let value = now
                .site
                .stream(key.subject, &key.question)?
                .leading()?
                .value
                .clone()?;
            Some(text_of(&value))
        })
        .unwrap_or_default()
}
