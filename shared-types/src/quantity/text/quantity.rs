//! From typed text to a quantity of a known dimension.

use super::super::{Dimension, Quantity, RangeError, Unit};
use super::degrees::slope_of;
use super::exact::Exact;
use super::length::{Understood, parse_length};
use super::problem::{NumberError, QuantityError};
use super::scan::{Placed, Token, scan};
use super::written::{Written, take_written, token};

/// Denominators that people write in quantities other than lengths; 120/240 V is not one.
const USUAL_DENOMINATORS: [i64; 9] = [2, 3, 4, 5, 8, 10, 16, 32, 64];

/// Reads a typed quantity of `dimension`.
///
/// A number without a unit takes `default_unit` (a count needs none). Slopes are understood in percent, degrees, as
/// rise:run and as in/ft; durations may have several units (1 h 30 min); only slopes and angles may be below zero.
/// Values are exact and rounded to the nearest base unit.
///
/// ```
/// use setdown_types::quantity::text::parse_quantity;
/// use setdown_types::quantity::Dimension;
/// let weight = parse_quantity(Dimension::Mass, "4,850 lb", None)?;
/// assert_eq!(weight.base, 453_592_370 * 4_850);
/// # Ok::<(), setdown_types::quantity::text::QuantityError>(())
/// ```
///
/// # Errors
/// [`QuantityError`], whose text says what is wrong and what to do next.
pub fn parse_quantity(
    dimension: Dimension,
    text: &str,
    default_unit: Option<Unit>,
) -> Result<Quantity, QuantityError> {
    if dimension == Dimension::Length {
        return match parse_length(text, default_unit)? {
            Understood::One(length) => Ok(length.into()),
            Understood::Ambiguous(readings) => Err(QuantityError::Unclear(readings)),
        };
    }
    parse_with_unit(dimension, text, default_unit).map(|(quantity, _)| quantity)
}

/// How the value was written, so that a spread without a unit can be read the same way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum WrittenIn {
    /// In a unit of the dimension.
    Unit(Unit),
    /// A slope in degrees.
    Degrees,
    /// A slope as rise:run, or a duration of several units: a spread needs its own unit.
    NoOneUnit,
}

pub(super) fn parse_with_unit(
    dimension: Dimension,
    text: &str,
    default_unit: Option<Unit>,
) -> Result<(Quantity, WrittenIn), QuantityError> {
    let tokens = scan(text)?;
    let (negative, start) = take_sign(dimension, &tokens)?;
    let Some((written, after)) = take_written(&tokens, start)? else {
        return Err(QuantityError::NoNumber(dimension));
    };
    let value = signed(&written, negative, dimension)?;
    let rest = rest_after(text, &tokens, after);
    if dimension == Dimension::Slope {
        if matches!(token(&tokens, after), Some(Token::Colon)) {
            let ratio = ratio(&written, negative, &tokens, after + 1)?;
            return Ok((ratio, WrittenIn::NoOneUnit));
        }
        if in_degrees(&spelling(rest), default_unit) {
            return Ok((slope_of(value.approximate())?, WrittenIn::Degrees));
        }
    }
    if dimension == Dimension::Duration && has_another_number(&tokens, after) {
        let quantity = duration(text, &tokens)?;
        return Ok((quantity, WrittenIn::NoOneUnit));
    }
    let unit = unit_for(dimension, rest, default_unit)?;
    let quantity = in_base_units(value, unit)?;
    if dimension == Dimension::Count && !value.is_whole() {
        return Err(QuantityError::NotWhole);
    }
    Ok((quantity, WrittenIn::Unit(unit)))
}

/// Whether the number is below zero, and where it starts.
fn take_sign(dimension: Dimension, tokens: &[Placed]) -> Result<(bool, usize), QuantityError> {
    match token(tokens, 0) {
        Some(Token::Dash) if matches!(dimension, Dimension::Slope | Dimension::Angle) => {
            Ok((true, 1))
        }
        Some(Token::Dash) => Err(QuantityError::Negative(dimension)),
        Some(Token::Other('+')) => Ok((false, 1)),
        _ => Ok((false, 0)),
    }
}

/// The value, with fractions that may be slips refused.
fn signed(written: &Written, negative: bool, dimension: Dimension) -> Result<Exact, QuantityError> {
    if written.is_improper() {
        return Err(NumberError::FractionTooLarge(written.text()).into());
    }
    if let Some((_, denominator)) = written.fraction
        && !USUAL_DENOMINATORS.contains(&denominator)
    {
        return Err(NumberError::BadFraction(written.text()).into());
    }
    let value = written.value();
    let value = if negative {
        value.and_then(Exact::negate)
    } else {
        value
    };
    value.ok_or(RangeError::TooLarge(dimension).into())
}

fn rest_after<'text>(text: &'text str, tokens: &[Placed], after: usize) -> &'text str {
    let end = after
        .checked_sub(1)
        .and_then(|last| tokens.get(last))
        .map_or(0, |placed| placed.end);
    text.get(end..).unwrap_or("")
}

fn in_degrees(spelling: &str, default_unit: Option<Unit>) -> bool {
    Unit::named(Dimension::Angle, spelling).is_some()
        || (spelling.is_empty() && default_unit == Some(Unit::Degree))
}

/// A slope as rise:run, the rise at most the run.
fn ratio(
    rise: &Written,
    negative: bool,
    tokens: &[Placed],
    at: usize,
) -> Result<Quantity, QuantityError> {
    let unclear = QuantityError::RatioUnclear;
    let Some((run, after)) = take_written(tokens, at)? else {
        return Err(unclear);
    };
    let rise = signed(rise, negative, Dimension::Slope)?;
    let run = signed(&run, false, Dimension::Slope)?;
    if after != tokens.len() || run.is_zero() {
        return Err(unclear);
    }
    let ratio = rise.divide(run).ok_or(unclear.clone())?;
    let size = if negative {
        ratio.negate()
    } else {
        Some(ratio)
    };
    if !size.is_some_and(|size| !size.at_least(1) || size == Exact::whole(1)) {
        return Err(unclear);
    }
    let parts = ratio.multiply(Exact::whole(1_000_000_000));
    let base = parts.and_then(Exact::round);
    let base = base.ok_or(RangeError::TooLarge(Dimension::Slope))?;
    Ok(Quantity::new(Dimension::Slope, base))
}

fn has_another_number(tokens: &[Placed], after: usize) -> bool {
    tokens
        .iter()
        .skip(after)
        .any(|placed| matches!(placed.token, Token::Number(_) | Token::Vulgar(..)))
}

/// 1 h 30 min: each unit once, the larger first.
fn duration(text: &str, tokens: &[Placed]) -> Result<Quantity, QuantityError> {
    let dimension = Dimension::Duration;
    let too_large = || QuantityError::from(RangeError::TooLarge(dimension));
    let mut total: i64 = 0;
    let mut last: Option<Unit> = None;
    let mut at = 0;
    while at < tokens.len() {
        let Some((written, after)) = take_written(tokens, at)? else {
            return Err(QuantityError::MissingUnit(dimension));
        };
        let Some(Token::Word(word)) = token(tokens, after) else {
            return Err(QuantityError::MissingUnit(dimension));
        };
        let unknown = || QuantityError::UnknownUnit {
            text: text.trim().to_owned(),
            dimension,
        };
        let unit = Unit::named(dimension, word).ok_or_else(unknown)?;
        if last.is_some_and(|last| last.size().0 <= unit.size().0) {
            return Err(unknown());
        }
        let part = in_base_units(signed(&written, false, dimension)?, unit)?;
        total = total.checked_add(part.base).ok_or_else(too_large)?;
        last = Some(unit);
        at = after + 1;
        if matches!(token(tokens, at), Some(Token::Word(word)) if word == "and") {
            at += 1;
        }
    }
    Ok(Quantity::new(dimension, total))
}

fn unit_for(
    dimension: Dimension,
    text: &str,
    default_unit: Option<Unit>,
) -> Result<Unit, QuantityError> {
    let spelling = spelling(text);
    if spelling.is_empty() && dimension != Dimension::Count {
        return default_unit
            .filter(|unit| unit.dimension() == dimension)
            .ok_or(QuantityError::MissingUnit(dimension));
    }
    if let Some(unit) = Unit::named(dimension, &spelling) {
        return Ok(unit);
    }
    let text = text.trim().to_owned();
    if dimension == Dimension::Mass && matches!(spelling.as_str(), "ton" | "tons") {
        return Err(QuantityError::WhichTon);
    }
    if dimension == Dimension::Slope && spelling.starts_with("in") && has_digit(&spelling) {
        return Err(QuantityError::RatioUnclear);
    }
    let found = Dimension::ALL
        .into_iter()
        .find(|other| Unit::named(*other, &spelling).is_some());
    Err(match found {
        Some(found) => QuantityError::WrongKind {
            text,
            found,
            dimension,
        },
        None => QuantityError::UnknownUnit { text, dimension },
    })
}

fn has_digit(text: &str) -> bool {
    text.bytes().any(|byte| byte.is_ascii_digit())
}

/// The unit as [`Unit::named`] wants it: lower case, no spaces or full stops, marks and words in one spelling.
fn spelling(text: &str) -> String {
    let text = text.trim().trim_start_matches(['-', '\u{2011}']);
    let mut spelling = String::new();
    for word in text.to_lowercase().split_whitespace() {
        match word.trim_end_matches('.') {
            "per" | "a" if !spelling.is_empty() => spelling.push('/'),
            "square" => spelling.push_str("sq"),
            "cubic" => spelling.push_str("cu"),
            word => word
                .chars()
                .for_each(|character| push_plain(&mut spelling, character)),
        }
    }
    spelling
}

fn push_plain(spelling: &mut String, character: char) {
    match character {
        '"' | '\u{2033}' | '\u{201d}' => spelling.push_str("in"),
        '\'' | '\u{2032}' | '\u{2019}' => spelling.push_str("ft"),
        '²' => spelling.push('2'),
        '³' => spelling.push('3'),
        '.' | '^' => {}
        other => spelling.push(other),
    }
}

pub(super) fn in_base_units(value: Exact, unit: Unit) -> Result<Quantity, QuantityError> {
    let (numerator, denominator) = unit.size();
    let base = Exact::new(numerator, denominator)
        .and_then(|size| value.multiply(size))
        .and_then(Exact::round)
        .ok_or(RangeError::TooLarge(unit.dimension()))?;
    Ok(Quantity::new(unit.dimension(), base))
}
