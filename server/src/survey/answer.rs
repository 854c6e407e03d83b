//! One answer of a survey file: from TOML to the value its question asks for.

use jiff::civil::Date;
use setdown_types::entry::Method;
use setdown_types::quantity::text::{QuantityError, parse_quantity, parse_quantity_with_spread};
use setdown_types::quantity::{Dimension, Measure};
use setdown_types::question::{AnswerKind, Question};
use setdown_types::value::{Attestation, PhotoRef, Value};
use toml::{Table, Value as Toml};

use super::{Problem, text};

/// A value with its spread and method.
#[derive(Debug, Clone)]
pub(super) struct Answer {
    pub(super) value: Value,
    pub(super) spread: Option<i64>,
    pub(super) method: Method,
}

impl Answer {
    /// A value that was looked at, without a spread.
    pub(super) fn plain(value: Value) -> Self {
        Self {
            value,
            spread: None,
            method: Method::Seen,
        }
    }
}

/// Reads the answer to `row`: a plain value, or a table with `value`, `method` and `spread`.
pub(super) fn read(row: &Question, place: &str, toml: &Toml) -> Result<Answer, Problem> {
    if let Toml::String(words) = toml
        && let Some(value) = no_answer(words)
    {
        return Ok(Answer::plain(value));
    }
    if let (Toml::Table(table), false) = (toml, row.kind == AnswerKind::Attestation) {
        return detailed(row, place, table);
    }
    let mut answer = value(row, place, toml)?;
    answer.method = usual_method(row);
    Ok(answer)
}

/// The three ways of having no answer.
fn no_answer(words: &str) -> Option<Value> {
    let words = words.trim();
    match words {
        "absent" => Some(Value::Absent),
        "don't know" => Some(Value::DontKnow),
        "cannot measure" => Some(Value::CannotMeasure(String::new())),
        _ => words
            .strip_prefix("cannot measure:")
            .map(|why| Value::CannotMeasure(why.trim().to_owned())),
    }
}

fn detailed(row: &Question, place: &str, table: &Table) -> Result<Answer, Problem> {
    if row.kind == AnswerKind::Photo {
        return photo(place, table).map(Answer::plain);
    }
    for key in table.keys() {
        if !["value", "method", "spread"].contains(&key.as_str()) {
            return Err(Problem::new(
                place,
                format!("\"{key}\" is not known here. Use value, method, spread"),
            ));
        }
    }
    let inner = table
        .get("value")
        .ok_or_else(|| Problem::new(place, "needs value = …"))?;
    let mut answer = value(row, place, inner)?;
    answer.method = match table.get("method") {
        None => usual_method(row),
        Some(Toml::String(word)) => method(word).ok_or_else(|| {
            Problem::new(place, format!("method \"{word}\" is not known. Use tape, home_tape, laser, level, instrument, seen, photo, estimate, document or told"))
        })?,
        Some(_) => return Err(Problem::new(place, "method must be a word in quotes")),
    };
    if let Some(spread) = table.get("spread") {
        let (Toml::String(words), AnswerKind::Measure(dimension)) = (spread, row.kind) else {
            return Err(Problem::new(
                place,
                "only a measured quantity has a spread; write it in quotes with its unit",
            ));
        };
        let spread =
            parse_quantity(dimension, words, None).map_err(|problem| wrong(place, &problem))?;
        answer.spread = Some(spread.base.abs());
    }
    Ok(answer)
}

fn method(word: &str) -> Option<Method> {
    match serde_json::from_value(serde_json::Value::String(word.to_owned())) {
        Ok(Method::Unknown) | Err(_) => None,
        Ok(method) => Some(method),
    }
}

/// How an answer is got where the file does not say.
fn usual_method(row: &Question) -> Method {
    match row.kind {
        AnswerKind::Measure(Dimension::Length) => Method::Tape,
        AnswerKind::Measure(Dimension::Slope | Dimension::Angle) => Method::Level,
        AnswerKind::Measure(_) => Method::Instrument,
        AnswerKind::Photo => Method::Photo,
        AnswerKind::Attestation | AnswerKind::Date => Method::Document,
        _ => Method::Seen,
    }
}

fn value(row: &Question, place: &str, toml: &Toml) -> Result<Answer, Problem> {
    let plain = |value| Ok(Answer::plain(value));
    match (row.kind, toml) {
        (AnswerKind::Measure(dimension), Toml::String(words)) => measure(dimension, place, words),
        (AnswerKind::Count, Toml::Integer(count)) => match u32::try_from(*count) {
            Ok(count) => plain(Value::Count(count)),
            Err(_) => Err(Problem::new(place, "must be a whole number from 0")),
        },
        (AnswerKind::YesNo, Toml::Boolean(yes)) => plain(Value::YesNo(*yes)),
        (AnswerKind::YesNo, Toml::String(word)) if word == "yes" => plain(Value::YesNo(true)),
        (AnswerKind::YesNo, Toml::String(word)) if word == "no" => plain(Value::YesNo(false)),
        (AnswerKind::Choice(choices), Toml::String(word)) => {
            listed(choices, place, word).map(|word| Answer::plain(Value::Choice(word)))
        }
        (AnswerKind::Choices(choices), Toml::Array(list)) => several(choices, place, list),
        (AnswerKind::Text, Toml::String(words)) => plain(Value::Text(words.clone())),
        (AnswerKind::Date, Toml::String(words)) => plain(Value::Date(date(place, words)?)),
        (AnswerKind::Date, Toml::Datetime(words)) => {
            plain(Value::Date(date(place, &words.to_string())?))
        }
        (AnswerKind::Attestation, Toml::Table(table)) => {
            attestation(place, table).map(Answer::plain)
        }
        (kind, _) => Err(Problem::new(place, format!("must be {}", wanted(kind)))),
    }
}

fn wanted(kind: AnswerKind) -> String {
    match kind {
        AnswerKind::Measure(Dimension::Length) => {
            "a length in quotes, such as \"7 ft 10 1/2 in\" or \"94.5 in ± 1/4 in\"".into()
        }
        AnswerKind::Measure(_) => {
            "a quantity with its unit in quotes, such as \"4,850 lb\" or \"2.1 %\"".into()
        }
        AnswerKind::Count => "a whole number".into(),
        AnswerKind::YesNo => "true or false".into(),
        AnswerKind::Choice(choices) => format!("one of \"{}\"", choices.join("\", \"")),
        AnswerKind::Choices(choices) => format!("a list from [\"{}\"]", choices.join("\", \"")),
        AnswerKind::Text => "words in quotes".into(),
        AnswerKind::Date => "a date such as 2026-11-25".into(),
        AnswerKind::Photo => "a table with sha256, media_type, width, height and bytes".into(),
        AnswerKind::Attestation => "a table with person, licence, document and date".into(),
        AnswerKind::Slot => "written as a [[slot]] table".into(),
        AnswerKind::Level => "written as a [[level_point]] table".into(),
        AnswerKind::Points { .. } => "a list of names of things in this file".into(),
        AnswerKind::Tie => "a table with kind and points".into(),
        AnswerKind::Signature | AnswerKind::Pin => {
            "left out: only the office screens write it".into()
        }
    }
}

fn measure(dimension: Dimension, place: &str, words: &str) -> Result<Answer, Problem> {
    let (quantity, spread) = parse_quantity_with_spread(dimension, words, None)
        .map_err(|problem| wrong(place, &problem))?;
    Ok(Answer {
        value: Value::Measure(Measure::new(quantity, words.trim())),
        spread: spread.map(|spread| spread.base.abs()),
        method: Method::Tape,
    })
}

fn wrong(place: &str, problem: &QuantityError) -> Problem {
    Problem::new(place, problem.to_string())
}

fn listed(choices: &[&str], place: &str, word: &str) -> Result<String, Problem> {
    if choices.contains(&word) {
        Ok(word.to_owned())
    } else {
        Err(Problem::new(
            place,
            format!("\"{word}\" is not one of \"{}\"", choices.join("\", \"")),
        ))
    }
}

fn several(choices: &[&str], place: &str, list: &[Toml]) -> Result<Answer, Problem> {
    let mut words = Vec::new();
    for one in list {
        let Toml::String(word) = one else {
            return Err(Problem::new(place, "each must be a word in quotes"));
        };
        words.push(listed(choices, place, word)?);
    }
    words.sort();
    words.dedup();
    Ok(Answer::plain(Value::Choices(words)))
}

fn date(place: &str, words: &str) -> Result<Date, Problem> {
    words.parse().map_err(|_| {
        Problem::new(
            place,
            format!("\"{words}\" is not a date. Write it as 2026-11-25"),
        )
    })
}

fn attestation(place: &str, table: &Table) -> Result<Value, Problem> {
    let part = |key: &str| {
        text(table, key).map_err(|problem| Problem::new(format!("{place}, {key}"), problem.reason))
    };
    Ok(Value::Attestation(Attestation {
        person: part("person")?,
        licence: part("licence")?,
        document: part("document")?,
        date: date(place, &part("date")?)?,
    }))
}

fn photo(place: &str, table: &Table) -> Result<Value, Problem> {
    let sha256 = text(table, "sha256").map_err(|problem| Problem::new(place, problem.reason))?;
    if sha256.len() != 64
        || !sha256
            .bytes()
            .all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'))
    {
        return Err(Problem::new(
            place,
            "sha256 must be 64 lower-case hex digits",
        ));
    }
    Ok(Value::Photo(PhotoRef {
        sha256,
        media_type: text(table, "media_type")
            .map_err(|problem| Problem::new(place, problem.reason))?,
        width: whole(table, place, "width")?,
        height: whole(table, place, "height")?,
        bytes: whole(table, place, "bytes")?,
    }))
}

/// A whole number from 0.
pub(super) fn whole(table: &Table, place: &str, key: &str) -> Result<u32, Problem> {
    table
        .get(key)
        .and_then(Toml::as_integer)
        .and_then(|number| u32::try_from(number).ok())
        .ok_or_else(|| Problem::new(format!("{place}, {key}"), "must be a whole number from 0"))
}

/// A length in nanometres with the text as written.
pub(super) fn length(table: &Table, place: &str, key: &str) -> Result<(i64, String), Problem> {
    let words = text(table, key)
        .map_err(|problem| Problem::new(format!("{place}, {key}"), problem.reason))?;
    let quantity =
        signed_length(&words).map_err(|problem| wrong(&format!("{place}, {key}"), &problem))?;
    Ok((quantity, words))
}

/// Heights may lie below the datum: a leading minus is understood.
fn signed_length(words: &str) -> Result<i64, QuantityError> {
    match words.trim().strip_prefix(['-', '\u{2212}']) {
        Some(rest) => parse_quantity(Dimension::Length, rest, None).map(|quantity| -quantity.base),
        None => parse_quantity(Dimension::Length, words, None).map(|quantity| quantity.base),
    }
}

/// A current in microamperes, where given.
pub(super) fn optional_current(
    table: &Table,
    place: &str,
    key: &str,
) -> Result<Option<i64>, Problem> {
    match table.get(key) {
        None => Ok(None),
        Some(Toml::String(words)) => parse_quantity(Dimension::Current, words, None)
            .map(|quantity| Some(quantity.base))
            .map_err(|problem| wrong(&format!("{place}, {key}"), &problem)),
        Some(_) => Err(Problem::new(
            format!("{place}, {key}"),
            "must be a current in quotes, such as \"50 A\"",
        )),
    }
}

/// Words, or none.
pub(super) fn optional_text(table: &Table, place: &str, key: &str) -> Result<String, Problem> {
    match table.get(key) {
        None => Ok(String::new()),
        Some(Toml::String(words)) => Ok(words.clone()),
        Some(_) => Err(Problem::new(
            format!("{place}, {key}"),
            "must be words in quotes",
        )),
    }
}
