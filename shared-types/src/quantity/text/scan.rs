//! Cuts typed text into numbers, marks and words, with their places.

use super::exact::Exact;
use super::problem::NumberError;

/// Longer texts are refused: nobody writes a quantity with them.
const LONGEST_TEXT: usize = 200;
/// More digits than any tape or scale shows, and few enough that nothing overflows early.
const MOST_DIGITS: usize = 15;

/// A decimal number as it was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Decimal {
    /// The text without thousands separators: digits, perhaps one point.
    pub text: String,
    /// All digits as one whole number.
    pub digits: i64,
    /// How many of them stand after the point.
    pub places: u32,
    /// How many thousands separators were written.
    pub separators: usize,
}

impl Decimal {
    pub fn value(&self) -> Option<Exact> {
        Exact::new(i128::from(self.digits), 10_i128.checked_pow(self.places)?)
    }

    /// The whole number, if no point was written.
    pub fn whole(&self) -> Option<i64> {
        (self.places == 0).then_some(self.digits)
    }
}

/// One piece of typed text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Token {
    Number(Decimal),
    /// A fraction in one character, such as ½.
    Vulgar(i64, i64),
    Slash,
    Dash,
    Comma,
    Colon,
    Feet,
    Inches,
    /// Letters, in lower case; a full stop after them is dropped.
    Word(String),
    /// Anything else.
    Other(char),
}

/// A token and the byte after it in the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Placed {
    pub token: Token,
    pub end: usize,
}

/// Cuts `text` into tokens. Spaces separate tokens and are dropped.
pub(super) fn scan(text: &str) -> Result<Vec<Placed>, NumberError> {
    if text.len() > LONGEST_TEXT {
        return Err(NumberError::TooLong);
    }
    let mut scanner = Scanner { text, at: 0 };
    let mut tokens = Vec::new();
    while let Some(token) = scanner.next_token()? {
        tokens.push(Placed {
            token,
            end: scanner.at,
        });
    }
    if tokens.is_empty() {
        return Err(NumberError::Empty);
    }
    Ok(tokens)
}

struct Scanner<'text> {
    text: &'text str,
    at: usize,
}

impl Scanner<'_> {
    fn rest(&self) -> &str {
        self.text.get(self.at..).unwrap_or("")
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    fn digits_at(&self, offset: usize) -> usize {
        self.rest()
            .get(offset..)
            .unwrap_or("")
            .bytes()
            .take_while(u8::is_ascii_digit)
            .count()
    }

    fn byte_at(&self, offset: usize) -> Option<u8> {
        self.rest().as_bytes().get(offset).copied()
    }

    fn next_token(&mut self) -> Result<Option<Token>, NumberError> {
        while let Some(space) = self.peek().filter(|character| character.is_whitespace()) {
            self.at += space.len_utf8();
        }
        let Some(first) = self.peek() else {
            return Ok(None);
        };
        if first.is_ascii_digit() || (first == '.' && self.digits_at(1) > 0) {
            return self.number().map(|number| Some(Token::Number(number)));
        }
        if is_letter(first) {
            return Ok(Some(self.word()));
        }
        self.at += first.len_utf8();
        if is_foot_mark(first) {
            return Ok(Some(self.after_foot_mark()));
        }
        Ok(Some(mark(first)))
    }

    /// A second single mark at once makes it inches: 10''.
    fn after_foot_mark(&mut self) -> Token {
        match self.peek().filter(|second| is_foot_mark(*second)) {
            Some(second) => {
                self.at += second.len_utf8();
                Token::Inches
            }
            None => Token::Feet,
        }
    }

    fn word(&mut self) -> Token {
        let word: String = self
            .rest()
            .chars()
            .take_while(|character| is_letter(*character))
            .collect();
        self.at += word.len();
        if self.peek() == Some('.') && self.digits_at(1) == 0 {
            self.at += 1;
        }
        Token::Word(word.to_lowercase())
    }

    fn number(&mut self) -> Result<Decimal, NumberError> {
        let start = self.at;
        let separators = self.whole_digits();
        let before_point = self.at;
        let mut places = 0;
        if self.peek() == Some('.') {
            places = self.digits_at(1);
            self.at += 1 + places;
        }
        let written = self.text.get(start..self.at).unwrap_or("");
        let another = matches!(self.byte_at(0), Some(b'.' | b',')) && self.digits_at(1) > 0;
        if another {
            let more = 1 + self.digits_at(1);
            let whole = self.text.get(start..self.at + more).unwrap_or(written);
            return Err(NumberError::BadNumber(whole.to_owned()));
        }
        let mut text: String = written
            .chars()
            .filter(|character| *character != ',')
            .collect();
        if places == 0 {
            text = text.trim_end_matches('.').to_owned();
        }
        if before_point == start {
            text.insert(0, '0');
        }
        let figures: String = text.chars().filter(char::is_ascii_digit).collect();
        if figures.len() > MOST_DIGITS {
            return Err(NumberError::TooManyDigits);
        }
        let digits = figures.parse().map_err(|_| NumberError::TooManyDigits)?;
        let places = u32::try_from(places).map_err(|_| NumberError::TooManyDigits)?;
        Ok(Decimal {
            text,
            digits,
            places,
            separators,
        })
    }

    /// Moves over digits and well-formed thousands separators; says how many separators.
    fn whole_digits(&mut self) -> usize {
        let first = self.digits_at(0);
        self.at += first;
        let mut separators = 0;
        if (1..=3).contains(&first) {
            while self.byte_at(0) == Some(b',') && self.digits_at(1) == 3 {
                self.at += 4;
                separators += 1;
            }
        }
        separators
    }
}

/// Letters, without the few that serve as marks.
fn is_letter(character: char) -> bool {
    character.is_alphabetic() && !is_foot_mark(character) && !matches!(character, 'º' | '\u{2ba}')
}

fn is_foot_mark(character: char) -> bool {
    matches!(
        character,
        '\'' | '\u{2032}' | '\u{2018}' | '\u{2019}' | '\u{b4}' | '`' | '\u{2bc}' | '\u{2b9}'
    )
}

fn mark(character: char) -> Token {
    match character {
        '"' | '\u{2033}' | '\u{201c}' | '\u{201d}' | '\u{2ba}' => Token::Inches,
        '/' | '\u{2044}' | '\u{2215}' => Token::Slash,
        '-' | '\u{2010}'..='\u{2015}' | '\u{2212}' => Token::Dash,
        ',' => Token::Comma,
        ':' => Token::Colon,
        other => vulgar(other).unwrap_or(Token::Other(other)),
    }
}

fn vulgar(character: char) -> Option<Token> {
    let (numerator, denominator) = match character {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅙' => (1, 6),
        '⅚' => (5, 6),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        '⅒' => (1, 10),
        _ => return None,
    };
    Some(Token::Vulgar(numerator, denominator))
}
