//! Why a typed quantity was not understood, in plain words that say what to do next.

use super::super::{Dimension, RangeError};
use super::length::Reading;

/// What is wrong with a number itself.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NumberError {
    /// Nothing was typed.
    #[error("nothing is written here yet; type a number and its unit")]
    Empty,
    /// More text than any quantity needs.
    #[error("this text is too long; type one number and its unit")]
    TooLong,
    /// More digits than can be kept.
    #[error("this number has too many digits; type at most 15")]
    TooManyDigits,
    /// A number with two points or a misplaced comma.
    #[error(
        "\"{0}\" is not a clear number; use one point for decimals (7.5) and commas only for thousands (4,850)"
    )]
    BadNumber(String),
    /// A fraction with decimals or an unlikely denominator.
    #[error("\"{0}\" is not a clear fraction; write it like 10 1/2 or as a decimal")]
    BadFraction(String),
    /// A fraction of one or more after a whole number.
    #[error("the fraction in \"{0}\" is one or more; check it and write it like 10 1/2")]
    FractionTooLarge(String),
    /// Division by nothing.
    #[error("\"{0}\" has nothing under the line; write the fraction like 1/2")]
    ZeroDenominator(String),
}

/// Why a typed length was not understood.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LengthError {
    /// A number in it is not clear.
    #[error(transparent)]
    Number(#[from] NumberError),
    /// No number where one belongs.
    #[error("a number is missing; write a length like 7 ft 10 1/2 in or 2.4 m")]
    NoNumber,
    /// A minus in front.
    #[error("a length cannot be below zero; leave out the minus")]
    Negative,
    /// A word that is not a unit of length.
    #[error("\"{0}\" is not a unit of length known here; use ft, in, yd, m, cm or mm")]
    UnknownWord(String),
    /// A sign that has no place in a length.
    #[error("\"{0}\" has no place in a length; write it like 7 ft 10 1/2 in")]
    UnknownMark(String),
    /// A number without a unit beside numbers with one.
    #[error("\"{0}\" has no unit; write ft, in, m, cm or mm after it")]
    MissingUnit(String),
    /// The same unit twice.
    #[error("{0} is written twice; write one length only")]
    SameUnitTwice(&'static str),
    /// A smaller unit before a larger one.
    #[error("the larger unit comes first; write it like 7 ft 10 1/2 in")]
    WrongOrder,
    /// Feet and metres in one length.
    #[error("US and metric units are mixed; write the length in one of them")]
    MixedSystems,
    /// A fraction that no tape shows and that does not come out even.
    #[error("no tape shows \"{0}\"; use halves, quarters, eighths or sixteenths, or a decimal")]
    NotATapeFraction(String),
    /// Several numbers without units that fit no known order.
    #[error(
        "it is not clear which number is feet and which is inches; write it like 7 ft 10 1/2 in"
    )]
    Jumble,
    /// A length that cannot be kept.
    #[error("this length is too large to keep; check the unit")]
    TooLarge,
    /// Something is missing or wrong after ±.
    #[error("the spread after ± is not clear; write its unit, like ± 1/4 in")]
    SpreadUnclear,
    /// ± 0.
    #[error(
        "a spread of nothing is not possible; leave out the ± to use the usual spread of the method"
    )]
    SpreadZero,
}

impl LengthError {
    /// Whether nothing was typed at all.
    pub fn is_empty_text(&self) -> bool {
        matches!(self, LengthError::Number(NumberError::Empty))
    }
}

/// Why a typed quantity was not understood.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum QuantityError {
    /// A number in it is not clear.
    #[error(transparent)]
    Number(#[from] NumberError),
    /// A length that was not understood.
    #[error(transparent)]
    Length(#[from] LengthError),
    /// A length that can be read in several ways, with the ways.
    #[error("this length can be read in more than one way; write it like 7 ft 10 1/2 in")]
    Unclear(Vec<Reading>),
    /// No number where one belongs.
    #[error("a number is missing; write it like {}", example(*.0))]
    NoNumber(Dimension),
    /// Below zero where that makes no sense.
    #[error("{} cannot be below zero here; leave out the minus", .0.word())]
    Negative(Dimension),
    /// A number without unit and no usual unit to take.
    #[error("the unit is missing; write it like {}", example(*.0))]
    MissingUnit(Dimension),
    /// A unit that is not known for this kind of quantity.
    #[error("\"{text}\" is not a unit of {} known here; write it like {}", .dimension.word(), example(*.dimension))]
    UnknownUnit {
        /// The unit as typed.
        text: String,
        /// What was asked for.
        dimension: Dimension,
    },
    /// A unit of another kind of quantity.
    #[error("\"{text}\" measures {}, and {} is asked for; write it like {}", .found.word(), .dimension.word(), example(*.dimension))]
    WrongKind {
        /// The unit as typed.
        text: String,
        /// What the unit measures.
        found: Dimension,
        /// What was asked for.
        dimension: Dimension,
    },
    /// "ton" alone.
    #[error(
        "a ton may be 2,000 lb or 1,000 kg; write lb, kg, t (1,000 kg) or short ton (2,000 lb)"
    )]
    WhichTon,
    /// A slope ratio above 1:1, or with nothing for the run, or "1 in 48".
    #[error(
        "this ratio can be read two ways; write rise:run like 1:48, or the slope in percent like 2.1 %"
    )]
    RatioUnclear,
    /// A slope of 90 degrees or more.
    #[error("a slope must be less than 90 degrees; check the angle")]
    TooSteep,
    /// A count with a part of a thing.
    #[error("count whole things; write a number like 4")]
    NotWhole,
    /// The value cannot be kept.
    #[error(transparent)]
    Range(#[from] RangeError),
    /// Something is missing or wrong after ±.
    #[error("the spread after ± is not clear; write it like the value, with its unit")]
    SpreadUnclear,
    /// ± 0.
    #[error(
        "a spread of nothing is not possible; leave out the ± to use the usual spread of the method"
    )]
    SpreadZero,
}

/// How a quantity of each dimension is written, for messages.
pub(super) const fn example(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Length => "7 ft 10 1/2 in or 2.4 m",
        Dimension::Mass => "4,850 lb or 2,200 kg",
        Dimension::Volume => "1,500 gal or 5,700 L",
        Dimension::Area => "120 sq ft or 11 m²",
        Dimension::Slope => "2.1 %, 1:48 or 1/4 in/ft",
        Dimension::Angle => "1.5°",
        Dimension::Current => "50 A",
        Dimension::Voltage => "240 V",
        Dimension::Power => "4,500 W or 4.5 kW",
        Dimension::Flow => "7.5 gal/min or 28 L/min",
        Dimension::Force => "50 lbf or 220 N",
        Dimension::Pressure => "1,500 psf or 72 kPa",
        Dimension::Speed => "20 mph or 32 km/h",
        Dimension::Duration => "45 min or 2 h",
        Dimension::Count => "4",
    }
}
