//! Decides what the terms of a typed length mean together, and when its author must be asked.

use super::super::Length;
use super::super::unit::{Unit, UnitSystem};
use super::exact::Exact;
use super::format_length::{InchFraction, LengthFormat};
use super::length::{Reading, Understood};
use super::length_terms::Term;
use super::problem::LengthError;
use super::written::Written;

/// A number with the unit it is read in.
type Part = (Written, Unit);

/// What the terms mean. `default_unit` is taken for a lone number without a unit.
pub(super) fn understand(
    terms: &[Term],
    default_unit: Option<Unit>,
) -> Result<Understood, LengthError> {
    if let [only] = terms {
        return match only.unit.or(default_unit) {
            Some(unit) => single(&only.written, unit),
            None => bare(&only.written),
        };
    }
    if terms.iter().all(|term| term.unit.is_none()) {
        return numbers_only(terms);
    }
    let parts: Option<Vec<Part>> = terms
        .iter()
        .map(|term| term.unit.map(|unit| (term.written.clone(), unit)))
        .collect();
    match parts {
        Some(parts) => several(&parts, false),
        None => unit_left_out(terms),
    }
}

/// One number with a unit.
fn single(written: &Written, unit: Unit) -> Result<Understood, LengthError> {
    let part = (written.clone(), unit);
    if let Some(decimal) = &written.decimal {
        let inches = decimal.digits % 100;
        let could_be_inches =
            unit == Unit::Foot && decimal.places == 2 && (1..=11).contains(&inches);
        if could_be_inches {
            let feet = Written::from_whole(decimal.digits / 100);
            let feet_and_inches = vec![
                (feet, Unit::Foot),
                (Written::from_whole(inches), Unit::Inch),
            ];
            return ask(&[vec![part], feet_and_inches]);
        }
        let could_be_point = matches!(unit, Unit::Metre | Unit::Centimetre)
            && decimal.separators == 1
            && decimal.places == 0;
        if could_be_point {
            return ask_about_separator(written, decimal.digits, unit);
        }
    }
    several(&[part], false)
}

/// 2,400 m: two thousand four hundred, or 2.400 as much of the world writes it.
fn ask_about_separator(
    written: &Written,
    digits: i64,
    unit: Unit,
) -> Result<Understood, LengthError> {
    let mut point = written.clone();
    if let Some(decimal) = &mut point.decimal {
        decimal.places = 3;
        decimal.text = format!("{}.{:03}", digits / 1_000, digits % 1_000);
    }
    ask(&[vec![(written.clone(), unit)], vec![(point, unit)]])
}

/// A number without unit and nothing to go by.
fn bare(written: &Written) -> Result<Understood, LengthError> {
    let units = [
        Unit::Inch,
        Unit::Foot,
        Unit::Millimetre,
        Unit::Centimetre,
        Unit::Metre,
    ];
    let mut readings = Vec::new();
    for unit in units {
        readings.extend(spread_out(&[(written.clone(), unit)]));
    }
    ask(&readings)
}

/// Several numbers, none with a unit: 7-10, 7 10 1/2, 7-10-08.
fn numbers_only(terms: &[Term]) -> Result<Understood, LengthError> {
    let written: Vec<&Written> = terms.iter().map(|term| &term.written).collect();
    match written.as_slice() {
        [feet, inches] if feet.whole().is_some() && below_a_foot(inches) => {
            ask(&spread_out(&feet_and(feet, inches)))
        }
        [feet, inches, parts] if feet.whole().is_some() && below_a_foot(inches) => {
            match (inches.whole(), parts.whole()) {
                (Some(inches), Some(count)) => three_numbers(feet, inches, count, parts),
                _ => Err(LengthError::Jumble),
            }
        }
        _ => Err(LengthError::Jumble),
    }
}

/// Feet, inches and a third number: sixteenths for some trades, eighths or decimals for others.
fn three_numbers(
    feet: &Written,
    inches: i64,
    count: i64,
    parts: &Written,
) -> Result<Understood, LengthError> {
    let whole = Written::from_whole(inches);
    let mut readings: Vec<Vec<Part>> = [16, 8, 32]
        .into_iter()
        .filter(|denominator| count < *denominator)
        .map(|denominator| {
            if count == 0 {
                feet_and(feet, &whole)
            } else {
                feet_and(feet, &whole.clone().with_fraction(count, denominator))
            }
        })
        .collect();
    if let Some(decimal) = decimal_inches(inches, parts) {
        readings.push(feet_and(feet, &decimal));
    }
    ask(&readings)
}

/// 10 and 08 as 10.08.
fn decimal_inches(inches: i64, parts: &Written) -> Option<Written> {
    let places = u32::try_from(parts.decimal.as_ref()?.text.len()).ok()?;
    let mut decimal = Written::from_whole(inches).decimal?;
    let scale = 10_i64.checked_pow(places)?;
    decimal.digits = inches.checked_mul(scale)?.checked_add(parts.whole()?)?;
    decimal.text = format!("{inches}.{}", parts.decimal.as_ref()?.text);
    decimal.places = places;
    Some(Written {
        decimal: Some(decimal),
        fraction: None,
    })
}

fn feet_and(feet: &Written, inches: &Written) -> Vec<Part> {
    vec![(feet.clone(), Unit::Foot), (inches.clone(), Unit::Inch)]
}

fn below_a_foot(inches: &Written) -> bool {
    inches.is_improper() || inches.value().is_some_and(|value| !value.at_least(12))
}

/// Some terms have units and some do not.
fn unit_left_out(terms: &[Term]) -> Result<Understood, LengthError> {
    let Some((last, before)) = terms.split_last() else {
        return Err(LengthError::NoNumber);
    };
    if let ([first], Some(unit)) = (before, last.unit) {
        return first_without_unit(first, last, unit);
    }
    let units: Option<Vec<Part>> = before
        .iter()
        .map(|term| term.unit.map(|unit| (term.written.clone(), unit)))
        .collect();
    match units {
        Some(parts) if last.unit.is_none() => last_without_unit(&parts, &last.written),
        _ => Err(missing_unit(terms)),
    }
}

/// 7 10": most likely feet first. 2 400 mm: most likely thousands.
fn first_without_unit(first: &Term, last: &Term, unit: Unit) -> Result<Understood, LengthError> {
    let missing = || LengthError::MissingUnit(first.written.text());
    let Some(whole) = first.written.whole() else {
        return Err(missing());
    };
    if unit == Unit::Inch && below_a_foot(&last.written) {
        return ask(&spread_out(&feet_and(&first.written, &last.written)));
    }
    let three_digits = last
        .written
        .decimal
        .as_ref()
        .is_some_and(|decimal| decimal.text.len() == 3);
    match last.written.whole() {
        Some(thousandths) if three_digits && unit.length_system() == UnitSystem::Metric => {
            let number = whole
                .checked_mul(1_000)
                .and_then(|thousands| thousands.checked_add(thousandths))
                .ok_or(LengthError::TooLarge)?;
            ask(&[vec![(Written::from_whole(number), unit)]])
        }
        _ => Err(missing()),
    }
}

/// 7' 10 is feet and inches. 10" 1/2 and 2 m 40 are asked about.
fn last_without_unit(parts: &[Part], last: &Written) -> Result<Understood, LengthError> {
    let missing = LengthError::MissingUnit(last.text());
    let Some(((number, unit), before)) = parts.split_last() else {
        return Err(missing);
    };
    let with = |unit: Unit| {
        let mut all = parts.to_vec();
        all.push((last.clone(), unit));
        all
    };
    match (unit, last.bare_fraction(), last.whole()) {
        (Unit::Foot, _, _) => several(&with(Unit::Inch), false),
        (Unit::Inch, Some((numerator, denominator)), _)
            if numerator < denominator && number.whole().is_some() =>
        {
            let mut all = before.to_vec();
            all.push((
                number.clone().with_fraction(numerator, denominator),
                Unit::Inch,
            ));
            several(&all, true)
        }
        (Unit::Metre, None, Some(_)) => ask(&[with(Unit::Centimetre), with(Unit::Millimetre)]),
        _ => Err(missing),
    }
}

fn missing_unit(terms: &[Term]) -> LengthError {
    let text = terms
        .iter()
        .find(|term| term.unit.is_none())
        .map(|term| term.written.text());
    LengthError::MissingUnit(text.unwrap_or_default())
}

/// One or more numbers, all with units. Asked about if `unsure` or if the form itself is doubtful.
fn several(parts: &[Part], unsure: bool) -> Result<Understood, LengthError> {
    check_order(parts)?;
    let readings = spread_out(parts);
    let doubtful = unsure || readings.len() > 1 || is_doubtful(parts);
    if doubtful {
        return ask(&readings);
    }
    sum(parts).map(Understood::One)
}

/// Units must be of one system, each once, the larger first.
fn check_order(parts: &[Part]) -> Result<(), LengthError> {
    for pair in parts.windows(2) {
        if let [(_, larger), (_, smaller)] = pair {
            if larger.length_system() != smaller.length_system() {
                return Err(LengthError::MixedSystems);
            }
            if larger == smaller {
                return Err(LengthError::SameUnitTwice(smaller.symbol()));
            }
            if larger.size().0 < smaller.size().0 {
                return Err(LengthError::WrongOrder);
            }
        }
    }
    Ok(())
}

/// 7.5 ft 3 in, 7 ft 14 in, 5/4 in: readable, but more likely a slip.
fn is_doubtful(parts: &[Part]) -> bool {
    let broken_before_last = parts
        .iter()
        .rev()
        .skip(1)
        .any(|(written, _)| written.whole().is_none());
    let improper = parts.iter().any(|(written, _)| written.is_improper());
    let overfull = parts.windows(2).any(|pair| match pair {
        [(_, larger), (written, smaller)] => reaches(written, *smaller, *larger),
        _ => false,
    });
    broken_before_last || improper || overfull
}

/// Whether a number of the smaller unit is at least one of the larger.
fn reaches(written: &Written, smaller: Unit, larger: Unit) -> bool {
    let ratio = larger.size().0 / smaller.size().0.max(1);
    let limit = i64::try_from(ratio).unwrap_or(i64::MAX);
    written.value().is_some_and(|value| value.at_least(limit))
}

/// The parts as they stand and, where the last number is a fraction such as 101/2, with a space put in: 10 1/2.
fn spread_out(parts: &[Part]) -> Vec<Vec<Part>> {
    let mut all = Vec::new();
    if let Some(((written, unit), before)) = parts.split_last()
        && written.is_improper()
    {
        for split in spaces_put_in(written) {
            let mut with_space = before.to_vec();
            with_space.push((split, *unit));
            all.push(with_space);
        }
    }
    all.push(parts.to_vec());
    all
}

fn spaces_put_in(written: &Written) -> Vec<Written> {
    let Some((numerator, denominator)) = written.bare_fraction() else {
        return Vec::new();
    };
    let digits = numerator.to_string();
    (1..digits.len())
        .rev()
        .filter_map(|place| {
            let (whole, top) = digits.split_at_checked(place)?;
            let (whole, top): (i64, i64) = (whole.parse().ok()?, top.parse().ok()?);
            let zero_in_front = top.to_string().len() + place != digits.len();
            let proper = top > 0 && top < denominator && !zero_in_front;
            proper.then(|| Written::from_whole(whole).with_fraction(top, denominator))
        })
        .collect()
}

/// Asks which of `readings` is meant; those that cannot be kept are left out, unless none can.
fn ask(readings: &[Vec<Part>]) -> Result<Understood, LengthError> {
    let mut asked: Vec<Reading> = Vec::new();
    let mut refused = None;
    for parts in readings {
        match sum(parts) {
            Ok(length) if asked.iter().all(|reading| reading.length != length) => {
                asked.push(Reading {
                    length,
                    words: words(parts, length),
                });
            }
            Ok(_) => {}
            Err(error) => refused = refused.or(Some(error)),
        }
    }
    match refused {
        Some(error) if asked.is_empty() => Err(error),
        _ if asked.is_empty() => Err(LengthError::Jumble),
        _ => Ok(Understood::Ambiguous(asked)),
    }
}

/// `7 ft 10 8/16 in`, and what it comes to where that is not the same text.
fn words(parts: &[Part], length: Length) -> String {
    let read: Vec<String> = parts
        .iter()
        .map(|(written, unit)| format!("{} {}", written.text(), unit.symbol()))
        .collect();
    let read = read.join(" ");
    let metric = parts
        .iter()
        .all(|(_, unit)| unit.length_system() == UnitSystem::Metric);
    if metric {
        return read;
    }
    let format = LengthFormat {
        fraction: InchFraction::SixtyFourths,
        mark_rounded: true,
        ..LengthFormat::default()
    };
    let comes_to = format.write(length);
    if comes_to == read {
        read
    } else {
        format!("{read} ({comes_to})")
    }
}

/// The parts added up.
fn sum(parts: &[Part]) -> Result<Length, LengthError> {
    let mut total = Exact::whole(0);
    for (written, unit) in parts {
        let value = in_nanometres(written, *unit)?;
        total = total.add(value).ok_or(LengthError::TooLarge)?;
    }
    let nanometres = total.round().ok_or(LengthError::TooLarge)?;
    Ok(Length::from_nanometres(nanometres))
}

fn in_nanometres(written: &Written, unit: Unit) -> Result<Exact, LengthError> {
    let (numerator, denominator) = unit.size();
    let value = written
        .value()
        .zip(Exact::new(numerator, denominator))
        .and_then(|(value, size)| value.multiply(size))
        .ok_or(LengthError::TooLarge)?;
    match written.fraction {
        Some((_, bottom)) if !is_tape_fraction(bottom) && !value.is_whole() => {
            Err(LengthError::NotATapeFraction(written.text()))
        }
        _ => Ok(value),
    }
}

fn is_tape_fraction(denominator: i64) -> bool {
    matches!(denominator, 1 | 2 | 4 | 8 | 16 | 32 | 64)
}
