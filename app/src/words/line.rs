//! From a message of the rules to a sentence: arguments written in the chosen units.

use jiff::civil::Date;
use setdown_rules::frame::result::{Arg, Line};
use setdown_types::quantity::text::format_quantity;
use setdown_types::quantity::{Dimension, Quantity, UnitSystem};
use setdown_types::site::Site;

use super::{fill, subject_name, word};

/// How messages are worded: in which units, and with whose names for things.
#[derive(Clone, Copy, Default)]
pub struct Wording<'a> {
    /// Units that quantities are shown in.
    pub system: UnitSystem,
    /// The site whose names for its things are used; `None`: a thing is called by its kind.
    pub site: Option<&'a Site>,
}

impl<'a> Wording<'a> {
    /// Wording for one site.
    pub const fn new(system: UnitSystem, site: &'a Site) -> Self {
        Self {
            system,
            site: Some(site),
        }
    }

    /// A message as a sentence. Arguments that the template names and the message lacks stay visible as `{name}`.
    pub fn line(&self, line: &Line) -> String {
        let unsigned = line.key.ends_with(".short");
        fill(&word(&line.key), |name| {
            line.args
                .iter()
                .find(|(known, _)| known == name)
                .map(|(_, arg)| self.arg(arg, unsigned && name == "margin"))
        })
    }

    fn arg(&self, arg: &Arg, unsigned: bool) -> String {
        let sign = |si: f64| if unsigned { si.abs() } else { si };
        match arg {
            Arg::Quantity { dimension, si } => self.quantity(*dimension, sign(*si)),
            Arg::Measured {
                dimension,
                si,
                spread,
            } => self.measured(*dimension, sign(*si), *spread),
            Arg::Count(count) => count.to_string(),
            Arg::Number(number) => number_text(*number),
            Arg::Text(text) => text.clone(),
            Arg::Word(key) => word(key),
            Arg::Subject(subject) => match self.site {
                Some(site) => subject_name(site, *subject),
                None => word(&format!("kind.{}", subject.kind.key())),
            },
            Arg::Date(date) => date_text(*date),
        }
    }

    /// A quantity given in SI units (degrees for angles), as the trade writes it.
    pub fn quantity(&self, dimension: Dimension, si: f64) -> String {
        match Quantity::from_si(dimension, si) {
            Ok(quantity) => format_quantity(quantity, self.system),
            Err(_) => word("app.number_too_large"),
        }
    }

    /// A quantity with its spread: `7 ft 10 1/2 in ± 1/4 in`.
    pub fn measured(&self, dimension: Dimension, si: f64, spread: f64) -> String {
        let value = self.quantity(dimension, si);
        if spread > 0.0 {
            format!("{value} ± {}", self.quantity(dimension, spread))
        } else {
            value
        }
    }
}

/// A plain number rounded for reading: four figures that matter, no trailing zeros.
pub fn number_text(number: f64) -> String {
    if !number.is_finite() {
        return word("app.number_too_large");
    }
    let size = number.abs();
    let places = match size {
        _ if size >= 100.0 => 0,
        _ if size >= 10.0 => 1,
        _ if size >= 1.0 => 2,
        _ => 3,
    };
    let text = format!("{number:.places$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// A civil date that nobody can read the wrong way round: `25 Nov 2026`.
pub fn date_text(date: Date) -> String {
    let month = word(&format!("month.{}", date.month()));
    format!("{} {month} {}", date.day(), date.year())
}

/// A moment given in milliseconds since 1970, shown as the date and time of a clock that is `offset_minutes` ahead of
/// UTC: `25 Nov 2026, 14:05`. Out of range: an empty text.
pub fn instant_text(milliseconds: i64, offset_minutes: i64) -> String {
    let local = milliseconds.saturating_add(offset_minutes.saturating_mul(60_000));
    let days = local.div_euclid(86_400_000);
    let minutes = local.rem_euclid(86_400_000) / 60_000;
    let day = jiff::Span::new()
        .try_days(days)
        .and_then(|days| jiff::civil::date(1970, 1, 1).checked_add(days));
    match day {
        Ok(day) => format!(
            "{}, {:02}:{:02}",
            date_text(day),
            minutes / 60,
            minutes % 60
        ),
        Err(_) => String::new(),
    }
}
