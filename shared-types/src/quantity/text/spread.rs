//! A value with its spread behind ±: `7' 10 1/2" ± 1/4"`.

use super::super::{Dimension, Length, Quantity, Unit};
use super::degrees::spread_of;
use super::length::{Understood, parse_length};
use super::length_terms::take_terms;
use super::problem::{LengthError, NumberError, QuantityError};
use super::quantity::{WrittenIn, parse_with_unit};
use super::scan::scan;

/// Marks that stand before a spread.
const MARKS: [&str; 5] = ["±", "+/-", "+-", "+/\u{2212}", "plus or minus"];

/// Reads a typed length with an optional spread, the half-width after `±` or `+/-`.
///
/// A spread without a unit takes the last unit of the length if that is in, mm or cm (or `default_unit`, if the length
/// has none); after feet or metres it must be written.
///
/// # Errors
/// [`LengthError`] for the length as by [`parse_length`], or for a spread that is unclear, below or at zero.
pub fn parse_with_spread(
    text: &str,
    default_unit: Option<Unit>,
) -> Result<(Understood, Option<Length>), LengthError> {
    let Some((value, spread)) = split(text) else {
        return Ok((parse_length(text, default_unit)?, None));
    };
    let understood = parse_length(value, default_unit)?;
    let spread_unit = last_unit(value)?
        .or(default_unit)
        .filter(|unit| matches!(unit, Unit::Inch | Unit::Millimetre | Unit::Centimetre));
    let length = match parse_length(spread, spread_unit) {
        Ok(Understood::One(length)) => length,
        Ok(Understood::Ambiguous(_)) => return Err(LengthError::SpreadUnclear),
        Err(error) if error.is_empty_text() => return Err(LengthError::SpreadUnclear),
        Err(error) => return Err(error),
    };
    if length == Length::ZERO {
        return Err(LengthError::SpreadZero);
    }
    Ok((understood, Some(length)))
}

/// The unit the length ends with; a bare number after feet counts as inches.
fn last_unit(text: &str) -> Result<Option<Unit>, LengthError> {
    let terms = take_terms(&scan(text)?)?;
    let mut units = terms.iter().rev().map(|term| term.unit);
    Ok(match (units.next().flatten(), units.next().flatten()) {
        (None, Some(Unit::Foot)) => Some(Unit::Inch),
        (last, _) => last,
    })
}

/// Reads a typed quantity with an optional spread after `±` or `+/-`.
///
/// A spread without a unit takes the unit of the value; `± 5 %` is a share of the value (for slopes it is a slope).
/// A spread of a slope in degrees becomes half of what it covers at that slope.
///
/// # Errors
/// [`QuantityError`] for the value as by [`super::parse_quantity`], or for a spread that is unclear, below or at zero.
pub fn parse_quantity_with_spread(
    dimension: Dimension,
    text: &str,
    default_unit: Option<Unit>,
) -> Result<(Quantity, Option<Quantity>), QuantityError> {
    if dimension == Dimension::Length {
        return match parse_with_spread(text, default_unit)? {
            (Understood::One(length), spread) => Ok((length.into(), spread.map(Quantity::from))),
            (Understood::Ambiguous(readings), _) => Err(QuantityError::Unclear(readings)),
        };
    }
    let Some((value, spread)) = split(text) else {
        let (quantity, _) = parse_with_unit(dimension, text, default_unit)?;
        return Ok((quantity, None));
    };
    let (quantity, written_in) = parse_with_unit(dimension, value, default_unit)?;
    let spread = parse_spread(quantity, written_in, spread)?;
    match spread.base {
        1.. => Ok((quantity, Some(spread))),
        0 => Err(QuantityError::SpreadZero),
        _ => Err(QuantityError::SpreadUnclear),
    }
}

fn parse_spread(
    value: Quantity,
    written_in: WrittenIn,
    text: &str,
) -> Result<Quantity, QuantityError> {
    let dimension = value.dimension;
    if dimension != Dimension::Slope
        && let Ok((share, _)) = parse_with_unit(Dimension::Slope, text, None)
        && text.contains('%')
    {
        return Ok(Quantity::from_si(dimension, value.si().abs() * share.si())?);
    }
    let usual = match written_in {
        WrittenIn::Unit(unit) => Some(unit),
        WrittenIn::Degrees => Some(Unit::Degree),
        WrittenIn::NoOneUnit => None,
    };
    let (spread, spread_in) = match parse_with_unit(dimension, text, usual) {
        Err(QuantityError::Number(NumberError::Empty) | QuantityError::MissingUnit(_)) => {
            return Err(QuantityError::SpreadUnclear);
        }
        other => other?,
    };
    if spread_in == WrittenIn::Degrees {
        let degrees = libm::atan(spread.si()) * (180.0 / core::f64::consts::PI);
        return spread_of(value, degrees);
    }
    Ok(spread)
}

/// The texts before and after the first spread mark.
fn split(text: &str) -> Option<(&str, &str)> {
    MARKS
        .iter()
        .filter_map(|mark| text.split_once(mark))
        .min_by_key(|(before, _)| before.len())
}
