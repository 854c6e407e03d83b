//! From the tables of a survey file to ledger entries.

use setdown_types::entry::{Entry, Intent, Method, Payload, SCHEMA, Stamp};
use setdown_types::ids::{BootId, DeviceId, EntryId, OrganisationId, PersonId, SiteId};
use setdown_types::ledger::{Acceptance, Record, Standing};
use setdown_types::party::Role;
use setdown_types::question;
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::{BreakerSlot, LevelPoint, SlotHolds, Value};
use toml::{Table, Value as Toml};

use super::answer::{self, Answer};
use super::points::Names;
use super::{Problem, derived_entry, derived_subject, text};

/// Keys of a survey file that are not answers.
const HEAD: [&str; 6] = ["survey", "name", "time_zone", "date", "spa", "practice"];

/// One answer of a survey file, before a server or a person puts their name to it.
#[derive(Debug, Clone)]
pub struct Written {
    /// Id derived from the file.
    pub id: EntryId,
    /// The site.
    pub site: SiteId,
    /// What it is about.
    pub subject: Subject,
    /// Which question.
    pub question: String,
    /// The value.
    pub value: Value,
    /// Half-width, base units of the value.
    pub spread: Option<i64>,
    /// How it was got.
    pub method: Method,
    /// First, or a repeat.
    pub intent: Intent,
    /// Place in the file, from 1.
    pub place: u64,
}

impl Written {
    /// The entry, by nobody in particular.
    pub fn entry(&self) -> Entry {
        Entry {
            id: self.id,
            organisation: OrganisationId::NIL,
            site: self.site,
            subject: self.subject,
            question: self.question.clone(),
            payload: Payload::Known(self.value.clone()),
            spread: self.spread,
            method: self.method,
            intent: self.intent,
            replaces: Vec::new(),
            author: PersonId::NIL,
            role: Role::Coordinator,
            device: DeviceId::NIL,
            stamp: Stamp {
                wall: 0,
                boot: BootId::NIL,
                monotonic: 0,
                counter: self.place,
            },
            schema: SCHEMA,
        }
    }

    /// The entry as a server would hold it.
    pub fn record(&self) -> Record {
        let entry = self.entry();
        let raw = entry.to_json().unwrap_or_default();
        let acceptance = Acceptance {
            seq: self.place,
            received_at: 0,
            effective_at: Some(0),
        };
        Record {
            entry,
            raw,
            standing: Standing::Accepted(acceptance),
        }
    }
}

/// Reads every answer of a survey file, in file order by kind of thing.
pub(super) fn read(table: &Table, site: SiteId) -> Result<Vec<Written>, Problem> {
    let mut reader = Reader {
        site,
        names: Names::of(table, site),
        written: Vec::new(),
    };
    for (key, value) in table {
        if HEAD.contains(&key.as_str()) {
            continue;
        }
        match (key.as_str(), value) {
            ("site", Toml::Table(answers)) => reader.site_answers("site", answers, "")?,
            ("site", _) => return Err(Problem::new("site", "must be a table: [site]")),
            (kind, Toml::Array(list)) => reader.things(kind, list)?,
            (other, _) => {
                return Err(Problem::new(
                    other,
                    format!(
                        "is not part of a survey file. Answers about the site stand under [site]; \
                         things found stand under [[{}]]",
                        kinds()
                    ),
                ));
            }
        }
    }
    Ok(reader.written)
}

fn kinds() -> String {
    SubjectKind::ADDED.map(SubjectKind::key).join("]], [[")
}

struct Reader {
    site: SiteId,
    names: Names,
    written: Vec<Written>,
}

impl Reader {
    /// Answers about the site; dotted keys may be written with or without quotes.
    fn site_answers(&mut self, place: &str, table: &Table, prefix: &str) -> Result<(), Problem> {
        for (key, value) in table {
            let full = if prefix.is_empty() {
                key.clone()
            } else {
                format!("{prefix}.{key}")
            };
            match value {
                Toml::Table(inner) if question::find(&full).is_none() => {
                    self.site_answers(place, inner, &full)?;
                }
                _ => self.answers(&format!("{place}, {full}"), Subject::SITE, &full, value)?,
            }
        }
        Ok(())
    }

    fn things(&mut self, key: &str, list: &[Toml]) -> Result<(), Problem> {
        let kind = SubjectKind::from_key(key)
            .filter(|kind| *kind != SubjectKind::Site)
            .ok_or_else(|| {
                Problem::new(
                    key,
                    format!("is not a kind of thing. Use one of [[{}]]", kinds()),
                )
            })?;
        for (index, thing) in list.iter().enumerate() {
            let place = format!("{key} {}", index + 1);
            let Toml::Table(table) = thing else {
                return Err(Problem::new(place, format!("must be a table: [[{key}]]")));
            };
            let subject = Subject::new(kind, derived_subject(self.site, key, index));
            match kind {
                SubjectKind::Slot => self.slot(&place, subject, table)?,
                SubjectKind::LevelPoint => self.level_point(&place, subject, table)?,
                SubjectKind::Tie => self.tie(&place, subject, table)?,
                _ => self.thing(&place, subject, table)?,
            }
        }
        Ok(())
    }

    fn thing(&mut self, place: &str, subject: Subject, table: &Table) -> Result<(), Problem> {
        let name = text(table, "name")
            .map_err(|problem| Problem::new(format!("{place}, name"), problem.reason))?;
        let present = subject.kind.present_question().unwrap_or_default();
        self.push(
            subject,
            present,
            Answer::plain(Value::Text(name)),
            Intent::First,
        );
        for (key, value) in table.iter().filter(|(key, _)| *key != "name") {
            let full = format!("{}.{key}", subject.kind.key());
            self.answers(&format!("{place}, {key}"), subject, &full, value)?;
        }
        Ok(())
    }

    fn tie(&mut self, place: &str, subject: Subject, table: &Table) -> Result<(), Problem> {
        let tie = Value::Tie(self.names.tie(place, table)?);
        self.push(subject, "tie.present", Answer::plain(tie), Intent::First);
        let rest = |key: &str| !["kind", "points"].contains(&key);
        for (key, value) in table.iter().filter(|(key, _)| rest(key)) {
            let full = format!("tie.{key}");
            self.answers(&format!("{place}, {key}"), subject, &full, value)?;
        }
        Ok(())
    }

    fn slot(&mut self, place: &str, subject: Subject, table: &Table) -> Result<(), Problem> {
        let position = answer::whole(table, place, "position")?;
        let holds = match text(table, "holds")
            .map_err(|problem| at(place, problem))?
            .as_str()
        {
            "space" => SlotHolds::Space,
            "blocked" => SlotHolds::Blocked,
            "one_pole" => SlotHolds::OnePole,
            "two_pole" => SlotHolds::TwoPole,
            "tandem" => SlotHolds::Tandem,
            other => {
                return Err(Problem::new(
                    format!("{place}, holds"),
                    format!(
                        "\"{other}\" is not known. Use space, blocked, one_pole, two_pole or tandem"
                    ),
                ));
            }
        };
        let rating = answer::optional_current(table, place, "rating")?;
        let label = answer::optional_text(table, place, "label")?;
        let position = u16::try_from(position)
            .map_err(|_| Problem::new(format!("{place}, position"), "is too large for a panel"))?;
        let slot = BreakerSlot {
            position,
            holds,
            rating,
            label,
        };
        let answer = Answer {
            method: Method::Seen,
            ..Answer::plain(Value::Slot(slot))
        };
        self.push(subject, "slot.holds", answer, Intent::First);
        Ok(())
    }

    fn level_point(&mut self, place: &str, subject: Subject, table: &Table) -> Result<(), Problem> {
        let (along, _) = answer::length(table, place, "along")?;
        let (across, _) = answer::length(table, place, "across")?;
        let (height, typed) = answer::length(table, place, "height")?;
        let point = LevelPoint {
            along,
            across,
            height,
            typed,
        };
        let answer = Answer {
            method: Method::Level,
            ..Answer::plain(Value::Level(point))
        };
        self.push(subject, "level_point.height", answer, Intent::First);
        Ok(())
    }

    /// One answer, or several for the same question: the first and its repeats.
    fn answers(
        &mut self,
        place: &str,
        subject: Subject,
        key: &str,
        value: &Toml,
    ) -> Result<(), Problem> {
        let row = question::find(key).filter(|row| row.subject == subject.kind).ok_or_else(|| {
            Problem::new(place, format!("there is no question \"{key}\" about this. Check its spelling against `setdown-server questions`"))
        })?;
        if let (question::AnswerKind::Points { of, .. }, Toml::Array(_)) = (row.kind, value) {
            let points = Value::Points(self.names.points(of, place, value)?);
            self.push(subject, key, Answer::plain(points), Intent::First);
            return Ok(());
        }
        let many = matches!(row.kind, question::AnswerKind::Choices(_));
        match value {
            Toml::Array(list) if !many => {
                for (index, one) in list.iter().enumerate() {
                    let answer = answer::read(row, place, one)?;
                    let intent = if index == 0 {
                        Intent::First
                    } else {
                        Intent::Repeat
                    };
                    self.push(subject, key, answer, intent);
                }
            }
            one => {
                let answer = answer::read(row, place, one)?;
                self.push(subject, key, answer, Intent::First);
            }
        }
        Ok(())
    }

    fn push(&mut self, subject: Subject, question: &str, answer: Answer, intent: Intent) {
        let place = self.written.len() + 1;
        self.written.push(Written {
            id: derived_entry(self.site, place),
            site: self.site,
            subject,
            question: question.to_owned(),
            value: answer.value,
            spread: answer.spread,
            method: answer.method,
            intent,
            place: u64::try_from(place).unwrap_or(u64::MAX),
        });
    }
}

fn at(place: &str, problem: Problem) -> Problem {
    Problem::new(format!("{place}, {}", problem.place), problem.reason)
}
