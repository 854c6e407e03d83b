//! From the text of a half-typed answer to the answer, and back.
//!
//! One text form for every kind of answer: it is what drafts keep. Nothing here decides a check.

use setdown_types::civil::full_date;
use setdown_types::entry::Method;
use setdown_types::order;
use setdown_types::quantity::text::{QuantityError, Understood};
use setdown_types::quantity::text::{
    Reading, format_quantity, parse_length, parse_quantity_with_spread,
};
use setdown_types::quantity::{Dimension, Length, Measure, Quantity, Unit, UnitSystem};
use setdown_types::question::{AnswerKind, Question};
use setdown_types::value::{BreakerSlot, LevelPoint, PhotoRef, Value};

use super::attestation_text::AttestationText;
use super::points_text::PointsText;
use crate::words::{filled, word};

/// What a draft means so far.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Typed {
    /// Nothing typed.
    Nothing,
    /// An answer that can be kept.
    Answer(Answer),
    /// It can be read in more than one way: ask which.
    Ambiguous(Vec<Reading>),
    /// It cannot be read yet; the text says what to do.
    Unclear(String),
}

/// An answer that can be kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// What is answered.
    pub value: Value,
    /// The spread as typed behind ±, base units.
    pub spread: Option<i64>,
    /// How it was understood, where that is not plainly what was typed.
    pub shown: Option<String>,
    /// A question back: it looks mistyped. Never refused.
    pub doubt: Option<String>,
}

impl Answer {
    fn plain(value: Value) -> Self {
        Self {
            value,
            spread: None,
            shown: None,
            doubt: None,
        }
    }
}

impl Typed {
    /// The answer, if there is one.
    pub fn answer(&self) -> Option<&Answer> {
        match self {
            Self::Answer(answer) => Some(answer),
            _ => None,
        }
    }
}

/// What `text` means as an answer to `question`, in the units of `system`.
pub fn understand(question: &Question, text: &str, system: UnitSystem) -> Typed {
    let text = text.trim();
    if text.is_empty() {
        return Typed::Nothing;
    }
    if let Some(value) = reason_for_none(text) {
        return Typed::Answer(Answer::plain(value));
    }
    match question.kind {
        AnswerKind::Measure(Dimension::Length) => length(question, text, system),
        AnswerKind::Measure(dimension) => quantity(question, dimension, text, system),
        AnswerKind::Count => count(question, text),
        AnswerKind::YesNo => yes_no(text),
        AnswerKind::Choice(choices) if choices.contains(&text) => {
            plain(Value::Choice(text.to_owned()))
        }
        AnswerKind::Choice(_) => Typed::Unclear(word("entry.choose_one")),
        AnswerKind::Choices(choices) => several(choices, text),
        AnswerKind::Text | AnswerKind::Pin => plain(Value::Text(text.to_owned())),
        AnswerKind::Date => match full_date(text) {
            Some(date) => plain(Value::Date(date)),
            None => Typed::Unclear(word("entry.date_unclear")),
        },
        AnswerKind::Photo => json::<PhotoRef>(text)
            .map_or(Typed::Unclear(word("entry.photo_unclear")), |photo| {
                plain(Value::Photo(photo))
            }),
        AnswerKind::Attestation => match AttestationText::read(text).complete() {
            Ok(attestation) => plain(Value::Attestation(attestation)),
            Err(missing) => Typed::Unclear(word(missing)),
        },
        AnswerKind::Slot => json::<BreakerSlot>(text)
            .map_or(Typed::Unclear(word("entry.slot_unclear")), |slot| {
                plain(Value::Slot(slot))
            }),
        AnswerKind::Level => json::<LevelPoint>(text)
            .map_or(Typed::Unclear(word("entry.level_unclear")), |point| {
                plain(Value::Level(point))
            }),
        AnswerKind::Points { fewest, most, .. } => PointsText::read(text)
            .points(fewest, most)
            .map_or_else(|| Typed::Unclear(points_wanted(fewest, most)), plain),
        AnswerKind::Tie => PointsText::read(text)
            .tie()
            .map_or_else(|| Typed::Unclear(word("entry.tie_unclear")), plain),
        AnswerKind::Signature => Typed::Unclear(word("entry.sign_elsewhere")),
    }
}

/// How many points are asked for.
fn points_wanted(fewest: usize, most: usize) -> String {
    let (key, count) = if fewest == most {
        ("entry.points_exactly", fewest)
    } else {
        ("entry.points_at_least", fewest)
    };
    filled(key, &[("count", &count.to_string())])
}

/// Draft texts that stand for having no answer.
pub const DONT_KNOW: &str = "?";
/// Draft text for "cannot measure"; a reason may follow.
pub const CANNOT: &str = "!";
/// Draft text for "not there".
pub const ABSENT: &str = "∅";

/// Draft text for "none of these", where the question has no word of its own for it.
pub const NONE: &str = "-";
/// The key of a choice that says that none of the others holds.
const NONE_KEY: &str = "none";

/// How "none of these" is said among `choices`: by their own key for it, else by [`NONE`].
pub fn none_of(choices: &[&str]) -> &'static str {
    if choices.contains(&NONE_KEY) {
        NONE_KEY
    } else {
        NONE
    }
}

/// Several choices with `key` put in or taken out. None of them and any of them never stand together.
pub fn toggled(text: &str, key: &str) -> String {
    let is_none = |key: &str| key == NONE || key == NONE_KEY;
    let mut chosen: Vec<&str> = text
        .split(',')
        .map(str::trim)
        .filter(|known| !known.is_empty())
        .collect();
    let there = chosen.contains(&key);
    chosen.retain(|known| *known != key && is_none(known) == is_none(key));
    if !there {
        chosen.push(key);
    }
    order::sort(&mut chosen);
    chosen.join(",")
}

fn reason_for_none(text: &str) -> Option<Value> {
    if text == DONT_KNOW {
        return Some(Value::DontKnow);
    }
    if text == ABSENT {
        return Some(Value::Absent);
    }
    text.strip_prefix(CANNOT)
        .map(|reason| Value::CannotMeasure(reason.trim().to_owned()))
}

fn plain(value: Value) -> Typed {
    Typed::Answer(Answer::plain(value))
}

fn json<T: serde::de::DeserializeOwned>(text: &str) -> Option<T> {
    serde_json::from_str(text).ok()
}

/// A number alone means inches, or centimetres in metric: what the keypad's digits are.
const fn bare_unit(system: UnitSystem) -> Unit {
    match system {
        UnitSystem::Us => Unit::Inch,
        UnitSystem::Metric => Unit::Centimetre,
    }
}

fn length(question: &Question, text: &str, system: UnitSystem) -> Typed {
    match parse_quantity_with_spread(Dimension::Length, text, Some(bare_unit(system))) {
        Ok((quantity, spread)) => measured(question, quantity, spread, text, system),
        Err(QuantityError::Unclear(_)) => match parse_length(text, Some(bare_unit(system))) {
            Ok(Understood::Ambiguous(readings)) => Typed::Ambiguous(readings),
            Ok(Understood::One(length)) => measured(question, length.into(), None, text, system),
            Err(_) => Typed::Unclear(word("entry.spread_after_length")),
        },
        Err(error) => Typed::Unclear(sentence(&error.to_string())),
    }
}

fn quantity(question: &Question, dimension: Dimension, text: &str, system: UnitSystem) -> Typed {
    match parse_quantity_with_spread(dimension, text, Some(usual_unit(dimension, system))) {
        Ok((quantity, spread)) => measured(question, quantity, spread, text, system),
        Err(error) => Typed::Unclear(sentence(&error.to_string())),
    }
}

fn measured(
    question: &Question,
    quantity: Quantity,
    spread: Option<Quantity>,
    text: &str,
    system: UnitSystem,
) -> Typed {
    Typed::Answer(Answer {
        value: Value::Measure(Measure::new(quantity, text)),
        spread: spread.map(|spread| spread.base),
        shown: Some(format_quantity(quantity, system)),
        doubt: doubt(question, quantity, system),
    })
}

/// A question back where the value lies outside the usual range.
fn doubt(question: &Question, quantity: Quantity, system: UnitSystem) -> Option<String> {
    let (low, high) = question.plausible?;
    let si = quantity.si();
    if (low..=high).contains(&si) {
        return None;
    }
    let bound = |si: f64| {
        Quantity::from_si(quantity.dimension, si)
            .map_or_else(|_| String::new(), |bound| format_quantity(bound, system))
    };
    Some(filled(
        "entry.doubt",
        &[
            ("value", &format_quantity(quantity, system)),
            ("low", &bound(low)),
            ("high", &bound(high)),
        ],
    ))
}

fn count(question: &Question, text: &str) -> Typed {
    match text.parse::<u32>() {
        Ok(count) => Typed::Answer(Answer {
            doubt: doubt(
                question,
                Quantity::new(Dimension::Count, i64::from(count)),
                UnitSystem::Us,
            ),
            ..Answer::plain(Value::Count(count))
        }),
        Err(_) => Typed::Unclear(word("entry.count_unclear")),
    }
}

fn yes_no(text: &str) -> Typed {
    match text {
        "yes" => plain(Value::YesNo(true)),
        "no" => plain(Value::YesNo(false)),
        _ => Typed::Unclear(word("entry.choose_one")),
    }
}

/// Several choices, by keys with commas between; `-` alone: none of them.
fn several(choices: &[&str], text: &str) -> Typed {
    let mut chosen: Vec<String> = text
        .split(',')
        .map(str::trim)
        .filter(|key| choices.contains(key))
        .map(str::to_owned)
        .collect();
    order::sort(&mut chosen);
    chosen.dedup();
    if chosen.is_empty() && text != "-" {
        return Typed::Unclear(word("entry.choose_some"));
    }
    plain(Value::Choices(chosen))
}

/// The unit that a number alone is read in.
pub const fn usual_unit(dimension: Dimension, system: UnitSystem) -> Unit {
    match (dimension, system) {
        (Dimension::Length, system) => bare_unit(system),
        (Dimension::Mass, UnitSystem::Us) => Unit::Pound,
        (Dimension::Mass, UnitSystem::Metric) => Unit::Kilogram,
        (Dimension::Volume, UnitSystem::Us) => Unit::Gallon,
        (Dimension::Volume, UnitSystem::Metric) => Unit::Litre,
        (Dimension::Area, UnitSystem::Us) => Unit::SquareFoot,
        (Dimension::Area, UnitSystem::Metric) => Unit::SquareMetre,
        (Dimension::Flow, UnitSystem::Us) => Unit::GallonPerMinute,
        (Dimension::Flow, UnitSystem::Metric) => Unit::LitrePerMinute,
        (Dimension::Force, UnitSystem::Us) => Unit::PoundForce,
        (Dimension::Force, UnitSystem::Metric) => Unit::Newton,
        (Dimension::Pressure, UnitSystem::Us) => Unit::PoundPerSquareFoot,
        (Dimension::Pressure, UnitSystem::Metric) => Unit::Kilopascal,
        (Dimension::Speed, UnitSystem::Us) => Unit::MilePerHour,
        (Dimension::Speed, UnitSystem::Metric) => Unit::KilometrePerHour,
        (Dimension::Slope, _) => Unit::Percent,
        (Dimension::Angle, _) => Unit::Degree,
        (Dimension::Current, _) => Unit::Ampere,
        (Dimension::Voltage, _) => Unit::Volt,
        (Dimension::Power, _) => Unit::Watt,
        (Dimension::Duration, _) => Unit::Minute,
        (Dimension::Count, _) => Unit::Each,
    }
}

/// Units offered as chips beside a number, the usual one first.
pub fn offered_units(dimension: Dimension, system: UnitSystem) -> Vec<Unit> {
    let usual = usual_unit(dimension, system);
    let others: &[Unit] = match dimension {
        Dimension::Mass => &[Unit::Pound, Unit::Kilogram],
        Dimension::Flow => &[Unit::GallonPerMinute, Unit::LitrePerMinute],
        Dimension::Volume => &[Unit::Gallon, Unit::Litre],
        Dimension::Power => &[Unit::Watt, Unit::Kilowatt, Unit::VoltAmpere],
        Dimension::Pressure => &[
            Unit::PoundPerSquareFoot,
            Unit::PoundPerSquareInch,
            Unit::Kilopascal,
        ],
        Dimension::Slope => &[Unit::Percent, Unit::InchPerFoot],
        Dimension::Duration => &[Unit::Minute, Unit::Hour, Unit::Day],
        Dimension::Voltage => &[Unit::Volt, Unit::Kilovolt],
        Dimension::Speed => &[Unit::MilePerHour, Unit::KilometrePerHour],
        Dimension::Force => &[Unit::PoundForce, Unit::Newton],
        Dimension::Area => &[Unit::SquareFoot, Unit::SquareMetre],
        _ => &[],
    };
    let rest = others.iter().copied().filter(|unit| *unit != usual);
    std::iter::once(usual).chain(rest).collect()
}

/// The text under which a standing answer is edited again; what was typed, where it was typed.
pub fn text_of(value: &Value) -> String {
    match value {
        Value::Measure(measure) => measure.typed.clone(),
        Value::Count(count) => count.to_string(),
        Value::YesNo(true) => "yes".to_owned(),
        Value::YesNo(false) => "no".to_owned(),
        Value::Choice(choice) => choice.clone(),
        Value::Choices(choices) if choices.is_empty() => "-".to_owned(),
        Value::Choices(choices) => choices.join(","),
        Value::Text(text) | Value::Pin(text) => text.clone(),
        Value::Date(date) => date.to_string(),
        Value::Photo(photo) => serde_json::to_string(photo).unwrap_or_default(),
        Value::Attestation(attestation) => AttestationText::of(attestation).write(),
        Value::Slot(slot) => serde_json::to_string(slot).unwrap_or_default(),
        Value::Level(point) => serde_json::to_string(point).unwrap_or_default(),
        Value::Points(points) => PointsText::of_points(points).write(),
        Value::Tie(tie) => PointsText::of_tie(tie).write(),
        Value::Signature(signature) => signature.name.clone(),
        Value::Absent => ABSENT.to_owned(),
        Value::CannotMeasure(reason) => format!("{CANNOT}{reason}"),
        Value::DontKnow => DONT_KNOW.to_owned(),
    }
}

/// An answer as people read it.
pub fn shown(question: &str, value: &Value, system: UnitSystem) -> String {
    let choice = |key: &str| word(&format!("choice.{question}.{key}"));
    match value {
        Value::Measure(measure) => format_quantity(measure.quantity(), system),
        Value::Count(count) => count.to_string(),
        Value::YesNo(true) => word("entry.yes"),
        Value::YesNo(false) => word("entry.no"),
        Value::Choice(key) => choice(key),
        Value::Choices(keys) if keys.is_empty() => word("entry.none_of_these"),
        Value::Choices(keys) => keys
            .iter()
            .map(|key| choice(key))
            .collect::<Vec<_>>()
            .join(", "),
        Value::Text(text) => text.clone(),
        Value::Date(date) => crate::words::date_text(*date),
        Value::Photo(_) => word("entry.photo"),
        Value::Attestation(attestation) => filled(
            "entry.attested_by",
            &[
                ("person", &attestation.person),
                ("document", &attestation.document),
                ("date", &crate::words::date_text(attestation.date)),
            ],
        ),
        Value::Slot(slot) => slot_text(slot, system),
        Value::Level(point) => {
            format_quantity(Length::from_nanometres(point.height).into(), system)
        }
        Value::Points(points) => counted(points.ids().len()),
        Value::Tie(tie) => word(&format!("tie.kind.{}", tie.kind().key())),
        Value::Signature(signature) => filled(
            "entry.signed_by",
            &[
                ("person", &signature.name),
                ("date", &crate::words::date_text(signature.date)),
            ],
        ),
        Value::Pin(digest) => digest.chars().take(12).collect(),
        Value::Absent => word("entry.absent"),
        Value::CannotMeasure(reason) if reason.is_empty() => word("entry.cannot_measure"),
        Value::CannotMeasure(reason) => {
            filled("entry.cannot_measure_because", &[("reason", reason)])
        }
        Value::DontKnow => word("entry.dont_know"),
    }
}

/// "1 chosen", "4 chosen".
fn counted(count: usize) -> String {
    filled("points.count", &[("count", &count.to_string())])
}

fn slot_text(slot: &BreakerSlot, system: UnitSystem) -> String {
    let holds = word(&format!("slot.{}", slot_key(slot.holds)));
    let rating = slot.rating.map(|rating| {
        format!(
            " {}",
            format_quantity(Quantity::new(Dimension::Current, rating), system)
        )
    });
    let label = if slot.label.is_empty() {
        String::new()
    } else {
        format!(", {}", slot.label)
    };
    format!("{holds}{}{label}", rating.unwrap_or_default())
}

/// The key of what a panel position holds, for words.
pub const fn slot_key(holds: setdown_types::value::SlotHolds) -> &'static str {
    use setdown_types::value::SlotHolds;
    match holds {
        SlotHolds::Space => "space",
        SlotHolds::Blocked => "blocked",
        SlotHolds::OnePole => "one_pole",
        SlotHolds::TwoPole => "two_pole",
        SlotHolds::Tandem => "tandem",
    }
}

/// The method taken to be meant where nobody chose one.
pub const fn usual_method(kind: AnswerKind) -> Method {
    match kind {
        AnswerKind::Measure(Dimension::Length) => Method::Tape,
        AnswerKind::Measure(Dimension::Slope | Dimension::Angle) | AnswerKind::Level => {
            Method::Level
        }
        AnswerKind::Measure(Dimension::Flow | Dimension::Duration) => Method::Instrument,
        AnswerKind::Measure(_) | AnswerKind::Attestation | AnswerKind::Date | AnswerKind::Pin => {
            Method::Document
        }
        AnswerKind::Photo => Method::Photo,
        AnswerKind::Signature => Method::Document,
        AnswerKind::Count
        | AnswerKind::YesNo
        | AnswerKind::Choice(_)
        | AnswerKind::Choices(_)
        | AnswerKind::Text
        | AnswerKind::Points { .. }
        | AnswerKind::Tie
        | AnswerKind::Slot => Method::Seen,
    }
}

/// Methods offered as chips for a kind of answer, the usual one first; none where the method says nothing.
pub const fn offered_methods(kind: AnswerKind) -> &'static [Method] {
    match kind {
        AnswerKind::Measure(Dimension::Length) => &[
            Method::Tape,
            Method::Laser,
            Method::Estimate,
            Method::Photo,
            Method::Document,
            Method::Told,
        ],
        AnswerKind::Measure(Dimension::Slope | Dimension::Angle) | AnswerKind::Level => {
            &[Method::Level, Method::Instrument, Method::Estimate]
        }
        AnswerKind::Measure(_) => &[
            Method::Document,
            Method::Instrument,
            Method::Told,
            Method::Estimate,
        ],
        AnswerKind::YesNo | AnswerKind::Choice(_) | AnswerKind::Choices(_) | AnswerKind::Count => {
            &[Method::Seen, Method::Told, Method::Document]
        }
        _ => &[],
    }
}

/// The key of a method, for words.
pub const fn method_key(method: Method) -> &'static str {
    match method {
        Method::Tape => "tape",
        Method::HomeTape => "home_tape",
        Method::Laser => "laser",
        Method::Level => "level",
        Method::Instrument => "instrument",
        Method::Seen => "seen",
        Method::Photo => "photo",
        Method::Estimate => "estimate",
        Method::Document => "document",
        Method::Told => "told",
        Method::Unknown => "unknown",
    }
}

/// A library's error as a sentence: a capital in front, a full stop behind.
pub fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let Some(first) = letters.next() else {
        return String::new();
    };
    let mut sentence: String = first.to_uppercase().chain(letters).collect();
    if !sentence.ends_with(['.', '?', '!']) {
        sentence.push('.');
    }
    sentence
}

#[cfg(test)]
mod tests;
