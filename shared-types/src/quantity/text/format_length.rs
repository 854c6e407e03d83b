//! Lengths as the trade writes them: `7 ft 10 1/2 in`, `2.400 m`.

use super::super::Length;
use super::super::unit::UnitSystem;
use super::exact::Exact;
use super::format::number_with_places;
use serde::{Deserialize, Serialize};

/// The finest fraction of an inch that is written.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum InchFraction {
    /// 1/2 in.
    Halves,
    /// 1/4 in.
    Quarters,
    /// 1/8 in.
    Eighths,
    /// 1/16 in, as most tapes show.
    #[default]
    Sixteenths,
    /// 1/32 in.
    ThirtySeconds,
    /// 1/64 in.
    SixtyFourths,
}

impl InchFraction {
    /// How many of them make an inch.
    pub const fn per_inch(self) -> i64 {
        match self {
            InchFraction::Halves => 2,
            InchFraction::Quarters => 4,
            InchFraction::Eighths => 8,
            InchFraction::Sixteenths => 16,
            InchFraction::ThirtySeconds => 32,
            InchFraction::SixtyFourths => 64,
        }
    }
}

/// How a length is written. The unit is always there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct LengthFormat {
    /// US or metric.
    pub system: UnitSystem,
    /// US: the finest fraction of an inch.
    pub fraction: InchFraction,
    /// US: `94 1/2 in` instead of `7 ft 10 1/2 in`. Lengths under a foot are always in inches alone.
    pub inches_only: bool,
    /// Puts `≈ ` in front where the text is not the exact length.
    pub mark_rounded: bool,
}

/// A length to the nearest 1/16 in or millimetre; see [`LengthFormat`] for more.
///
/// ```
/// use setdown_types::quantity::text::format_length;
/// use setdown_types::quantity::{Length, UnitSystem};
/// let gate = Length::from_nanometres(2_400_300_000);
/// assert_eq!(format_length(gate, UnitSystem::Us), "7 ft 10 1/2 in");
/// assert_eq!(format_length(gate, UnitSystem::Metric), "2.400 m");
/// ```
pub fn format_length(length: Length, system: UnitSystem) -> String {
    LengthFormat {
        system,
        ..LengthFormat::default()
    }
    .write(length)
}

impl LengthFormat {
    /// The length as text, rounded to the nearest fraction or millimetre, halves away from zero. A length that is not
    /// zero is written finer rather than as `0 in`, down to 0.001 in or 0.001 mm.
    pub fn write(self, length: Length) -> String {
        let nanometres = i128::from(length.nanometres());
        let (text, shown) = match self.system {
            UnitSystem::Us => self.write_us(nanometres),
            UnitSystem::Metric => write_metric(nanometres),
        };
        let sign = if shown < 0 { "-" } else { "" };
        let mark = if self.mark_rounded && shown != nanometres {
            "≈ "
        } else {
            ""
        };
        format!("{mark}{sign}{text}")
    }

    /// The text without its sign, and the nanometres it stands for.
    fn write_us(self, nanometres: i128) -> (String, i128) {
        let inch = i128::from(Length::NANOMETRES_PER_INCH);
        let mut per_inch = i128::from(self.fraction.per_inch());
        let mut count = divide_rounded(nanometres, inch / per_inch);
        if count == 0 && nanometres != 0 {
            per_inch = 64;
            count = divide_rounded(nanometres, inch / per_inch);
        }
        if count == 0 && nanometres != 0 {
            return write_decimal(nanometres, inch, "in");
        }
        let size = count.abs();
        let (mut feet, mut inches) = (0, size / per_inch);
        if !self.inches_only {
            (feet, inches) = (inches / 12, inches % 12);
        }
        let mut words = Vec::new();
        if feet > 0 {
            words.push(format!("{} ft", with_thousands(feet)));
        }
        words.push(format!(
            "{} in",
            whole_and_fraction(inches, size % per_inch, per_inch, feet > 0)
        ));
        (words.join(" "), count * (inch / per_inch))
    }
}

/// `10 1/2`, `10`, `1/2`, or `0 1/2` after feet.
fn whole_and_fraction(whole: i128, count: i128, per_inch: i128, after_feet: bool) -> String {
    if count == 0 {
        return with_thousands(whole);
    }
    let (mut numerator, mut denominator) = (count, per_inch);
    while numerator % 2 == 0 {
        (numerator, denominator) = (numerator / 2, denominator / 2);
    }
    if whole == 0 && !after_feet {
        format!("{numerator}/{denominator}")
    } else {
        format!("{} {numerator}/{denominator}", with_thousands(whole))
    }
}

fn write_metric(nanometres: i128) -> (String, i128) {
    const MILLIMETRE: i128 = 1_000_000;
    let whole = divide_rounded(nanometres, MILLIMETRE);
    let size = whole.abs();
    if size >= 1_000 {
        let text = format!("{}.{:03} m", with_thousands(size / 1_000), size % 1_000);
        return (text, whole * MILLIMETRE);
    }
    if size >= 10 {
        return (format!("{size} mm"), whole * MILLIMETRE);
    }
    let tenths = divide_rounded(nanometres, MILLIMETRE / 10);
    if tenths == 0 && nanometres != 0 {
        return write_decimal(nanometres, MILLIMETRE, "mm");
    }
    let text = match tenths.abs() % 10 {
        0 => format!("{} mm", tenths.abs() / 10),
        tenth => format!("{}.{tenth} mm", tenths.abs() / 10),
    };
    (text, tenths * (MILLIMETRE / 10))
}

/// Very small lengths, to a thousandth of the unit.
fn write_decimal(nanometres: i128, unit: i128, symbol: &str) -> (String, i128) {
    let thousandths = divide_rounded(nanometres, unit / 1_000);
    let number = Exact::new(thousandths.abs(), 1_000).map(|value| number_with_places(value, 3));
    let text = format!("{} {symbol}", number.unwrap_or_default());
    (text, thousandths * (unit / 1_000))
}

/// Division to the nearest whole number, halves away from zero; `divisor` above zero.
fn divide_rounded(number: i128, divisor: i128) -> i128 {
    let half = divisor / 2;
    if number < 0 {
        (number - half) / divisor
    } else {
        (number + half) / divisor
    }
}

/// A whole number with commas: 4,850.
pub(super) fn with_thousands(number: i128) -> String {
    let digits = number.unsigned_abs().to_string();
    let mut text = String::new();
    if number < 0 {
        text.push('-');
    }
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}
