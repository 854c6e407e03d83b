//! What kind of slip would explain a mistaped distance: a foot too many, an inch, swapped digits, a 6 read as a 9.
//!
//! Common practice, no source: the slips that people make with tapes and notes. Each is tried on the reading; those
//! that bring it to what the other readings say are named.

/// Inches in a foot.
const FOOT: f64 = 12.0;

/// A slip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Slip {
    /// Whole feet too many (positive) or too few: 5 ft read for 6.
    Feet(i64),
    /// Ten inches: the tape's red foot mark taken for the next decade.
    TenInches(i64),
    /// One inch: the wrong side of the mark.
    OneInch(i64),
    /// Digits of the whole inches changed places: 96 for 69.
    SwappedInches,
    /// Digits of the feet changed places: 12 ft for 21.
    SwappedFeet,
    /// A 6 for a 9 or a 9 for a 6 in the whole inches or the feet.
    SixForNine,
}

/// A slip with the reading it would have been without.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Likely {
    /// What happened.
    pub slip: Slip,
    /// What the tape then showed, inches.
    pub reading: f64,
}

/// The slips that turn `read` into `expected`, both in inches, within `spread`; the likelier ones first.
///
/// ```
/// use setdown_rules::network::{Slip, likely_slips};
/// let slips = likely_slips(60.0, 72.1, 0.5);
/// assert_eq!(slips[0].slip, Slip::Feet(-1));
/// ```
pub fn likely_slips(read: f64, expected: f64, spread: f64) -> Vec<Likely> {
    if ![read, expected, spread]
        .iter()
        .all(|number| number.is_finite())
    {
        return Vec::new();
    }
    let mut found = Vec::new();
    for (slip, reading) in slips_of(read) {
        let fits = (reading - expected).abs() <= spread && reading > 0.0;
        let new = !found
            .iter()
            .any(|known: &Likely| (known.reading - reading).abs() < 1e-9);
        if fits && new {
            found.push(Likely { slip, reading });
        }
    }
    found
}

/// Every slip tried, with the reading it would have been without.
fn slips_of(read: f64) -> Vec<(Slip, f64)> {
    let mut tried = Vec::new();
    for feet in 1..=5_i64 {
        for sign in [1, -1] {
            tried.push((Slip::Feet(sign * feet), read - (sign * feet) as f64 * FOOT));
        }
    }
    let (whole, part) = (libm::floor(read), read - libm::floor(read));
    let feet = libm::floor(whole / FOOT);
    let inches = whole - feet * FOOT;
    let swaps = swapped(feet).into_iter();
    tried.extend(swaps.map(|other| (Slip::SwappedFeet, other * FOOT + inches + part)));
    let swaps = swapped(whole).into_iter();
    tried.extend(swaps.map(|other| (Slip::SwappedInches, other + part)));
    let turned = six_for_nine(whole).into_iter().map(|other| other + part);
    let turned_feet = six_for_nine(feet).into_iter();
    let turned_inches = six_for_nine(inches).into_iter();
    tried.extend(turned.map(|reading| (Slip::SixForNine, reading)));
    tried.extend(turned_feet.map(|other| (Slip::SixForNine, other * FOOT + inches + part)));
    tried.extend(turned_inches.map(|other| (Slip::SixForNine, feet * FOOT + other + part)));
    for sign in [1, -1] {
        tried.push((Slip::TenInches(sign), read - sign as f64 * 10.0));
        tried.push((Slip::OneInch(sign), read - sign as f64));
    }
    tried
}

/// The number with two neighbouring digits exchanged, in every way that changes it; none for numbers that are no
/// tape's reading.
fn swapped(whole: f64) -> Vec<f64> {
    let mut found = Vec::new();
    let mut unit = 1.0;
    while unit * 10.0 <= whole && unit < 1e6 {
        let low = digit(whole, unit);
        let high = digit(whole, unit * 10.0);
        if low != high {
            found.push(whole + (high - low) * unit + (low - high) * unit * 10.0);
        }
        unit *= 10.0;
    }
    found
}

/// The number with one 6 made a 9 or one 9 a 6.
fn six_for_nine(whole: f64) -> Vec<f64> {
    let mut found = Vec::new();
    let mut unit = 1.0;
    while unit <= whole && unit < 1e6 {
        match digit(whole, unit) {
            6.0 => found.push(whole + 3.0 * unit),
            9.0 => found.push(whole - 3.0 * unit),
            _ => {}
        }
        unit *= 10.0;
    }
    found
}

fn digit(whole: f64, unit: f64) -> f64 {
    let above = libm::floor(whole / unit);
    above - 10.0 * libm::floor(above / 10.0)
}
