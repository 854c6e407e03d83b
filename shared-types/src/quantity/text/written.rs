//! A number as people write it: whole, decimal, a fraction, or a whole number and a fraction.

use super::exact::Exact;
use super::problem::NumberError;
use super::scan::{Decimal, Placed, Token};

/// The largest denominator understood.
const LARGEST_DENOMINATOR: i64 = 1_000;

/// Numerator and denominator, the denominator above zero.
type Fraction = (i64, i64);

/// A written number, never negative.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Written {
    /// The part before the fraction, or the whole of it.
    pub decimal: Option<Decimal>,
    /// What follows the whole part, or the whole of it.
    pub fraction: Option<Fraction>,
}

impl Written {
    /// A plain whole number.
    pub fn from_whole(number: i64) -> Self {
        Self {
            decimal: Some(Decimal {
                text: number.to_string(),
                digits: number,
                places: 0,
                separators: 0,
            }),
            fraction: None,
        }
    }

    /// A whole number and a fraction.
    pub fn with_fraction(self, numerator: i64, denominator: i64) -> Self {
        Self {
            fraction: Some((numerator, denominator)),
            ..self
        }
    }

    pub fn value(&self) -> Option<Exact> {
        let decimal = match &self.decimal {
            Some(decimal) => decimal.value()?,
            None => Exact::whole(0),
        };
        match self.fraction {
            Some((numerator, denominator)) => {
                decimal.add(Exact::new(i128::from(numerator), i128::from(denominator))?)
            }
            None => Some(decimal),
        }
    }

    /// The number as it was written, spaces put right: `10 1/2`, `94.5`.
    pub fn text(&self) -> String {
        let decimal = self.decimal.as_ref().map(|decimal| decimal.text.clone());
        let fraction = self
            .fraction
            .map(|(numerator, denominator)| format!("{numerator}/{denominator}"));
        match (decimal, fraction) {
            (Some(decimal), Some(fraction)) => format!("{decimal} {fraction}"),
            (Some(only), None) | (None, Some(only)) => only,
            (None, None) => String::new(),
        }
    }

    /// The whole number, if it was written as nothing else.
    pub fn whole(&self) -> Option<i64> {
        match self.fraction {
            None => self.decimal.as_ref().and_then(Decimal::whole),
            Some(_) => None,
        }
    }

    /// The fraction, if nothing stands before it.
    pub fn bare_fraction(&self) -> Option<Fraction> {
        match self.decimal {
            None => self.fraction,
            Some(_) => None,
        }
    }

    /// Whether it is a fraction of one or more with nothing before it, such as 101/2.
    pub fn is_improper(&self) -> bool {
        self.bare_fraction()
            .is_some_and(|(numerator, denominator)| numerator >= denominator)
    }
}

/// Takes one written number from `tokens` starting at `at`: the number and the index after it, or `None` if no number
/// starts there.
pub(super) fn take_written(
    tokens: &[Placed],
    at: usize,
) -> Result<Option<(Written, usize)>, NumberError> {
    match token(tokens, at) {
        Some(Token::Vulgar(numerator, denominator)) => Ok(Some((
            Written {
                decimal: None,
                fraction: Some((*numerator, *denominator)),
            },
            at + 1,
        ))),
        Some(Token::Number(number)) => take_from_number(tokens, at, number).map(Some),
        _ => Ok(None),
    }
}

fn take_from_number(
    tokens: &[Placed],
    at: usize,
    number: &Decimal,
) -> Result<(Written, usize), NumberError> {
    if let Some((fraction, after)) = take_fraction(tokens, at)? {
        let written = Written {
            decimal: None,
            fraction: Some(fraction),
        };
        return Ok((written, after));
    }
    let next = match token(tokens, at + 1) {
        Some(Token::Dash) => at + 2,
        _ => at + 1,
    };
    let Some((fraction, after)) = take_fraction(tokens, next)? else {
        let written = Written {
            decimal: Some(number.clone()),
            fraction: None,
        };
        return Ok((written, at + 1));
    };
    let text = format!("{} {}/{}", number.text, fraction.0, fraction.1);
    if number.places > 0 {
        return Err(NumberError::BadFraction(text));
    }
    if fraction.0 >= fraction.1 {
        return Err(NumberError::FractionTooLarge(text));
    }
    let written = Written {
        decimal: Some(number.clone()),
        fraction: Some(fraction),
    };
    Ok((written, after))
}

/// Takes `1/2` or `½` at `at`.
fn take_fraction(tokens: &[Placed], at: usize) -> Result<Option<(Fraction, usize)>, NumberError> {
    if let Some(Token::Vulgar(numerator, denominator)) = token(tokens, at) {
        return Ok(Some(((*numerator, *denominator), at + 1)));
    }
    let (Some(Token::Number(top)), Some(Token::Slash)) = (token(tokens, at), token(tokens, at + 1))
    else {
        return Ok(None);
    };
    let Some(Token::Number(bottom)) = token(tokens, at + 2) else {
        return Ok(None);
    };
    let text = format!("{}/{}", top.text, bottom.text);
    let (Some(numerator), Some(denominator)) = (top.whole(), bottom.whole()) else {
        return Err(NumberError::BadFraction(text));
    };
    if denominator == 0 {
        return Err(NumberError::ZeroDenominator(text));
    }
    if denominator > LARGEST_DENOMINATOR || top.separators + bottom.separators > 0 {
        return Err(NumberError::BadFraction(text));
    }
    Ok(Some(((numerator, denominator), at + 3)))
}

pub(super) fn token(tokens: &[Placed], at: usize) -> Option<&Token> {
    tokens.get(at).map(|placed| &placed.token)
}
