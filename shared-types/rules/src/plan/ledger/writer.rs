//! The plan file in the making: what was read goes in, with the name of everything led back to its question.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};
use setdown_types::ids::SubjectId;
use setdown_types::site::StreamKey;
use setdown_types::subject::{Subject, SubjectKind};

use super::names::Names;
use super::{Drawn, Reading};
use crate::frame::context::Context;
use crate::frame::number::Num;
use crate::tables::units::INCH;

/// Numbers are written to a billionth of an inch, so that what was typed as 96 1/2 in stands there as 96.5.
const GRAIN: f64 = 1e9;

/// SI to inches as they stand in a plan file.
pub(super) fn inches(si: f64) -> f64 {
    let rounded = libm::round(si / INCH * GRAIN) / GRAIN;
    rounded + 0.0
}

/// Something measured, in the unit of the file.
#[derive(Debug, Clone)]
pub(super) struct Taken {
    /// The reading.
    pub number: Num,
    /// Its value.
    pub is: f64,
    /// Its spread.
    pub spread: f64,
}

impl Taken {
    /// As the file has it.
    pub fn written(&self) -> Value {
        json!({ "is": self.is, "spread": self.spread })
    }

    /// The same to the other side.
    pub fn negative(self) -> Self {
        Self {
            number: -self.number,
            is: 0.0 - self.is,
            spread: self.spread,
        }
    }
}

/// The file and its map.
pub(super) struct Writer<'c, 'a> {
    /// Where answers come from.
    pub context: &'c Context<'a>,
    /// The file.
    pub file: Map<String, Value>,
    /// Names of points and legs.
    named: BTreeMap<SubjectId, String>,
    names: Names,
    /// What comes out.
    pub drawn: Drawn,
}

impl<'c, 'a> Writer<'c, 'a> {
    pub fn new(context: &'c Context<'a>) -> Self {
        Self {
            context,
            file: Map::new(),
            named: BTreeMap::new(),
            names: Names::default(),
            drawn: Drawn::default(),
        }
    }

    /// A unique name for a thing, led back to the question that put it on the site.
    pub fn name(&mut self, subject: Subject, endings: &[&str]) -> String {
        let called = self.context.site().name(subject).map(str::trim);
        let called = called.filter(|name| !name.is_empty()).unwrap_or("?");
        self.name_as(called, subject, endings)
    }

    /// A unique name for a piece of a thing, led back to what put the thing on the site.
    pub fn piece_name(&mut self, wanted: &str, subject: Subject) -> String {
        self.name_as(wanted, subject, &[])
    }

    fn name_as(&mut self, wanted: &str, subject: Subject, endings: &[&str]) -> String {
        let name = self.names.take(wanted, endings);
        if let Some(question) = subject.kind.present_question() {
            self.leads(&name, subject, question);
        }
        name
    }

    /// A unique name for a reading that nobody named.
    pub fn reading_name(&mut self, wanted: &str, subject: Subject, question: &str) -> String {
        let name = self.names.take(wanted, &["along", "across"]);
        self.leads(&name, subject, question);
        name
    }

    /// Names everything of a kind that others refer to: points or legs.
    pub fn name_all(&mut self, kind: SubjectKind, endings: &[&str]) -> Vec<(Subject, String)> {
        let subjects = self.context.subjects(kind);
        let mut all = Vec::new();
        for subject in subjects {
            let name = self.name(subject, endings);
            self.named.insert(subject.id, name.clone());
            all.push((subject, name));
        }
        all
    }

    /// The name of a point or leg.
    pub fn named(&self, id: SubjectId) -> Option<&str> {
        self.named.get(&id).map(String::as_str)
    }

    /// The names of several.
    pub fn all_named(&self, ids: &[SubjectId]) -> Option<Vec<String>> {
        ids.iter()
            .map(|id| self.named(*id).map(str::to_owned))
            .collect()
    }

    /// A name or a path in the file leads to this question.
    pub fn leads(&mut self, name: &str, subject: Subject, question: &str) {
        let stream = StreamKey::new(subject, question);
        self.drawn.origins.insert(name.to_owned(), stream);
    }

    /// A length, in inches.
    pub fn length(&self, subject: Subject, question: &str) -> Option<Taken> {
        let number = self.context.measure(subject, question)?;
        Some(Taken {
            is: inches(number.value()),
            spread: inches(self.context.spread(&number)),
            number,
        })
    }

    /// A length that may be missing.
    pub fn optional_length(&self, subject: Subject, question: &str) -> Option<Taken> {
        self.context.optionally(|| self.length(subject, question))
    }

    /// A length that becomes a source of error under its path in the file.
    pub fn traced(&mut self, path: &str, subject: Subject, question: &str) -> Option<Taken> {
        let taken = self.length(subject, question)?;
        self.source(path, subject, question, taken.number.clone());
        Some(taken)
    }

    /// A name or path in the file is this reading of a length.
    pub fn source(&mut self, name: &str, subject: Subject, question: &str, number: Num) {
        self.source_in(name, (subject, question), number, INCH);
    }

    /// A name or path in the file is this reading of an angle.
    pub fn angle_source(&mut self, name: &str, subject: Subject, question: &str, number: Num) {
        self.source_in(name, (subject, question), number, 1.0);
    }

    fn source_in(
        &mut self,
        name: &str,
        (subject, question): (Subject, &str),
        number: Num,
        unit: f64,
    ) {
        self.leads(name, subject, question);
        let reading = Reading { number, unit };
        self.drawn.readings.insert(name.to_owned(), reading);
    }

    /// The path that the next entry of a list has.
    pub fn next_path(&self, list: &str) -> String {
        let count = match self.file.get(list) {
            Some(Value::Array(entries)) => entries.len(),
            _ => 0,
        };
        format!("{list}[{count}]")
    }

    /// Adds an entry to a list; what is wrong with it leads to this question.
    pub fn push(&mut self, list: &str, subject: Subject, question: &str, entry: Value) {
        let path = self.next_path(list);
        self.leads(&path, subject, question);
        let entries = self.file.entry(list).or_insert_with(|| json!([]));
        if let Value::Array(entries) = entries {
            entries.push(entry);
        }
    }
}

/// Adds a key to an object.
pub(super) fn put(object: &mut Value, key: &str, value: Value) {
    if let Value::Object(entries) = object {
        entries.insert(key.to_owned(), value);
    }
}
