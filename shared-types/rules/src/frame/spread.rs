//! Spreads: what one reading's half-width is, and what it makes of a result's.

use std::collections::BTreeMap;

use setdown_types::entry::Method;
use setdown_types::ids::PersonId;
use setdown_types::practice::PracticeSheet;
use setdown_types::quantity::Dimension;

use super::number::Num;
use crate::tables::tape_mpe::{TapeClass, greatest_error};

/// Standard deviations in a spread: the half-width that holds the truth 19 times in 20
/// (two-sided 95 % of the normal distribution).
pub const SPREADS_PER_SIGMA: f64 = 1.959_963_984_540_054;

/// The same tape in the same hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Instrument {
    /// Whose hand.
    pub person: PersonId,
    /// Which kind of instrument.
    pub method: Method,
}

/// Half-widths of one reading, SI units of its dimension.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// In all.
    pub total: f64,
    /// The part shared by all readings of one instrument; at most `total`.
    pub systematic: f64,
    /// That instrument.
    pub instrument: Option<Instrument>,
}

/// The spreads of a context's readings, by index.
#[derive(Debug, Clone, Default)]
pub struct Spreads {
    list: Vec<Spread>,
}

impl Spreads {
    /// Adds a reading and returns its index.
    pub fn push(&mut self, spread: Spread) -> u32 {
        self.list.push(spread);
        u32::try_from(self.list.len() - 1).unwrap_or(u32::MAX)
    }

    /// The spread of the reading with this index.
    pub fn get(&self, index: u32) -> Option<Spread> {
        self.list.get(index as usize).copied()
    }

    /// The spread of a result, to first order: independent parts add in squares, and the
    /// systematic parts of one instrument add as they stand before they are squared.
    ///
    /// Source: JCGM 100:2008 (GUM) equations 10 and 13, with correlation 1 inside an instrument.
    pub fn of(&self, number: &Num) -> f64 {
        let mut squares = 0.0;
        let mut shared: BTreeMap<Instrument, f64> = BTreeMap::new();
        for (&index, &slope) in number.gradient() {
            let Some(spread) = self.list.get(index as usize) else {
                continue;
            };
            let systematic = spread.systematic.min(spread.total);
            let own = spread.total * spread.total - systematic * systematic;
            squares += slope * slope * own;
            match spread.instrument {
                Some(instrument) => {
                    *shared.entry(instrument).or_insert(0.0) += slope * systematic;
                }
                None => squares += slope * slope * systematic * systematic,
            }
        }
        for sum in shared.values() {
            squares += sum * sum;
        }
        libm::sqrt(squares)
    }
}

/// The spread of a reading that states none: by method, from the practice sheet.
///
/// Lengths and slopes have a half-width of their own; other quantities a share of their value,
/// and none where they were read off a document or a label. A length that is guessed or scaled off
/// a picture is out by a share of itself as well: the larger of the two counts.
pub fn by_method(
    practice: &PracticeSheet,
    method: Method,
    dimension: Dimension,
    value: f64,
) -> f64 {
    let limit = |key: &str| practice.limit(key).map_or(0.0, |limit| limit.si);
    match dimension {
        Dimension::Length => match method {
            Method::Tape => limit("spread_tape").max(tape_systematic(value)),
            Method::HomeTape => limit("spread_home_tape").max(tape_systematic(value)),
            Method::Laser => limit("spread_laser"),
            Method::Level | Method::Instrument => limit("spread_level_height"),
            Method::Photo => limit("spread_photo").max(limit("spread_share_photo") * value.abs()),
            Method::Document => limit("spread_document"),
            Method::Seen | Method::Estimate | Method::Told | Method::Unknown => {
                limit("spread_estimate").max(limit("spread_share_estimate") * value.abs())
            }
        },
        Dimension::Slope => limit(slope_field(method)),
        Dimension::Angle => libm::atan(limit(slope_field(method))) * 180.0 / core::f64::consts::PI,
        Dimension::Count => 0.0,
        _ => match method {
            Method::Document | Method::Seen => 0.0,
            Method::Instrument | Method::Level | Method::Tape | Method::Laser => {
                limit("spread_share_instrument") * value.abs()
            }
            _ => limit("spread_share_estimate") * value.abs(),
        },
    }
}

const fn slope_field(method: Method) -> &'static str {
    match method {
        Method::Level | Method::Instrument | Method::Laser | Method::Tape | Method::Document => {
            "spread_slope"
        }
        _ => "spread_slope_estimate",
    }
}

/// The least spread that a stated one may have, metres: by hand and eye no length is read better
/// than off a class II tape. What was read off a document or a level may be exact.
pub fn least_stated(method: Method, dimension: Dimension, value: f64) -> f64 {
    let by_hand = !matches!(
        method,
        Method::Document | Method::Level | Method::Instrument
    );
    if by_hand && dimension == Dimension::Length {
        tape_systematic(value)
    } else {
        0.0
    }
}

/// The systematic part of a tape reading, metres: the greatest permissible error of a class II tape.
///
/// Source: Directive 2014/32/EU Annex MI-008 (values.md: READ-2).
pub fn tape_systematic(length: f64) -> f64 {
    greatest_error(TapeClass::Second, length.abs()).unwrap_or(0.0)
}
