//! Cuts a typed length into terms: numbers, each perhaps with its unit.

use super::super::unit::Unit;
use super::problem::LengthError;
use super::scan::{Placed, Token};
use super::written::{Written, take_written, token};
use crate::quantity::Dimension;

/// A number and the unit written after it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Term {
    pub written: Written,
    pub unit: Option<Unit>,
}

/// All terms of a typed length, at least one.
pub(super) fn take_terms(tokens: &[Placed]) -> Result<Vec<Term>, LengthError> {
    if matches!(token(tokens, 0), Some(Token::Dash)) {
        return Err(match take_written(tokens, 1)? {
            Some(_) => LengthError::Negative,
            None => LengthError::NoNumber,
        });
    }
    let mut terms = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        if !terms.is_empty() {
            at = skip_separator(tokens, at);
        }
        let Some((written, after)) = take_written(tokens, at)? else {
            return Err(unexpected(tokens, at));
        };
        let (unit, after) = take_unit(tokens, after)?;
        terms.push(Term { written, unit });
        at = after;
    }
    Ok(terms)
}

/// Between terms one dash, comma or "and" is allowed.
fn skip_separator(tokens: &[Placed], at: usize) -> usize {
    match token(tokens, at) {
        Some(Token::Dash | Token::Comma) => at + 1,
        Some(Token::Word(word)) if word == "and" => at + 1,
        _ => at,
    }
}

/// A unit at `at`, perhaps after a dash as in "8-foot". A word that is neither a unit nor "and" is refused.
fn take_unit(tokens: &[Placed], at: usize) -> Result<(Option<Unit>, usize), LengthError> {
    let place = match (token(tokens, at), token(tokens, at + 1)) {
        (Some(Token::Dash), Some(Token::Word(_))) => at + 1,
        _ => at,
    };
    match token(tokens, place) {
        Some(Token::Feet) => Ok((Some(Unit::Foot), place + 1)),
        Some(Token::Inches) => Ok((Some(Unit::Inch), place + 1)),
        Some(Token::Word(word)) if word != "and" => match Unit::named(Dimension::Length, word) {
            Some(unit) => Ok((Some(unit), place + 1)),
            None => Err(LengthError::UnknownWord(word.clone())),
        },
        _ => Ok((None, at)),
    }
}

/// The refusal for a token where a number belongs.
fn unexpected(tokens: &[Placed], at: usize) -> LengthError {
    match token(tokens, at) {
        Some(Token::Other(mark)) => LengthError::UnknownMark(mark.to_string()),
        Some(Token::Slash) => LengthError::UnknownMark("/".to_owned()),
        Some(Token::Colon) => LengthError::UnknownMark(":".to_owned()),
        Some(Token::Dash) => LengthError::UnknownMark("-".to_owned()),
        Some(Token::Comma) => LengthError::UnknownMark(",".to_owned()),
        Some(Token::Word(word)) if Unit::named(Dimension::Length, word).is_none() => {
            LengthError::UnknownWord(word.clone())
        }
        _ => LengthError::NoNumber,
    }
}
