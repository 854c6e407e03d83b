//! Which of the answers to a question counts, and the note of what was read.

use setdown_types::site::{Head, Stream, StreamKey, StreamState};
use setdown_types::subject::Subject;
use setdown_types::value::Value;

use super::{Context, Seen};
use crate::frame::answer::{fits, levelled, measured_value, reading_spread, worse_first};
use crate::frame::result::{Need, NeedState};

impl Context<'_> {
    /// The answer that counts, recorded as needed.
    pub(super) fn read(&self, subject: Subject, question: &str) -> Option<Seen> {
        let Some(seen) = self.leading(subject, question) else {
            self.note(subject, question, NeedState::Missing);
            return None;
        };
        let state = match &seen.head.value {
            None => NeedState::NotUnderstood,
            Some(Value::CannotMeasure(_)) => NeedState::CannotMeasure,
            Some(Value::DontKnow) => NeedState::DontKnow,
            Some(Value::Absent) => NeedState::Missing,
            Some(value) if !fits(question, value) => NeedState::NotUnderstood,
            Some(_) if seen.disputed => NeedState::Disputed,
            Some(_) => NeedState::Answered,
        };
        self.note(subject, question, state);
        matches!(state, NeedState::Answered | NeedState::Disputed).then_some(seen)
    }

    pub(super) fn leading(&self, subject: Subject, question: &str) -> Option<Seen> {
        let key = StreamKey::new(subject, question);
        if let Some((supposed, head)) = self.input.suppose
            && *supposed == key
        {
            return Some(Seen {
                head: head.clone(),
                disputed: false,
            });
        }
        if let Some((stream, head)) = &self.reads_instead
            && *stream == key
        {
            return Some(Seen {
                head: head.clone(),
                disputed: true,
            });
        }
        self.seen(self.input.site.streams().get(&key)?, question)
    }

    /// Answers of one question, given more than once on purpose, that are no measurements and differ: with each of
    /// them the check may come out another way.
    pub(in crate::frame) fn disagreeing_facts(&self) -> Vec<(StreamKey, Head)> {
        let trace = self.trace.borrow();
        let disputed = trace.needs.values();
        disputed
            .filter(|need| need.state == NeedState::Disputed)
            .filter_map(|need| Some((&need.stream, self.input.site.streams().get(&need.stream)?)))
            .filter_map(|(key, stream)| match &stream.state {
                StreamState::Repeats(heads) => Some((key, heads)),
                _ => None,
            })
            .flat_map(|(key, heads)| heads.iter().map(move |head| (key.clone(), head.clone())))
            .filter(|(key, head)| {
                let value = head.value.as_ref();
                value.is_some_and(|value| {
                    fits(&key.question, value) && value.answers() && measured_value(value).is_none()
                })
            })
            .collect()
    }

    fn seen(&self, stream: &Stream, question: &str) -> Option<Seen> {
        match &stream.state {
            StreamState::Empty => None,
            StreamState::One(head) => Some(Seen {
                head: head.clone(),
                disputed: false,
            }),
            StreamState::Conflict { .. } => stream.leading().map(|head| Seen {
                head: head.clone(),
                disputed: true,
            }),
            StreamState::Repeats(heads) => self.repeated(heads, question),
        }
    }

    /// Repeats that agree within their spreads: the better one. Otherwise the adverse one counts
    /// and the question is disputed.
    fn repeated(&self, heads: &[Head], question: &str) -> Option<Seen> {
        // That somebody had no answer says nothing against the answer that somebody else has.
        let no_answer =
            |head: &&Head| matches!(head.value, Some(Value::CannotMeasure(_) | Value::DontKnow));
        let answers: Vec<Head> = heads
            .iter()
            .filter(|head| !no_answer(head))
            .cloned()
            .collect();
        let heads = if answers.is_empty() { heads } else { &answers };
        let measured: Vec<(&Head, f64, f64)> = heads
            .iter()
            .filter_map(|head| self.measured(head, question))
            .collect();
        if measured.len() < heads.len() {
            let first = heads.last()?;
            let disputed = heads.iter().any(|head| head.value != first.value);
            return Some(Seen {
                head: first.clone(),
                disputed,
            });
        }
        let agree = measured.iter().enumerate().all(|(place, a)| {
            measured.iter().skip(place + 1).all(|b| {
                let difference = (a.1 - b.1).abs();
                difference <= libm::sqrt(a.2 * a.2 + b.2 * b.2)
            })
        });
        let worse = |a: f64, b: f64| worse_first(question, a, b);
        let chosen = if agree {
            measured
                .iter()
                .min_by(|a, b| a.2.total_cmp(&b.2).then(worse(a.1, b.1)))
        } else {
            measured.iter().min_by(|a, b| worse(a.1, b.1))
        }?;
        Some(Seen {
            head: chosen.0.clone(),
            disputed: !agree,
        })
    }

    /// Value and spread of a head that measures something and fits its question.
    fn measured<'h>(&self, head: &'h Head, question: &str) -> Option<(&'h Head, f64, f64)> {
        let value = head.value.as_ref().filter(|value| fits(question, value))?;
        let measure = measured_value(value)?;
        let spread = match value {
            Value::Level(_) => reading_spread(self.input.practice, &levelled(head), &measure),
            _ => reading_spread(self.input.practice, head, &measure),
        };
        Some((head, measure.si(), spread.total))
    }

    pub(super) fn note(&self, subject: Subject, question: &str, state: NeedState) {
        let optional = self.optional.get();
        let stream = StreamKey::new(subject, question);
        let mut trace = self.trace.borrow_mut();
        if !optional && !matches!(state, NeedState::Answered | NeedState::Disputed) {
            trace.missing += 1;
        }
        let need = trace.needs.entry(stream.clone()).or_insert(Need {
            stream,
            state,
            optional,
        });
        need.optional &= optional;
        // Reading it again as something it is not says more than the first look.
        if state == NeedState::NotUnderstood {
            need.state = state;
        }
    }
}
