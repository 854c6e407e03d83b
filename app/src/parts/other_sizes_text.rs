//! Other sizes of the unit, in words: the longest and the widest that would pass, and one length tried.

use setdown_rules::motion::answer::Verdict;
use setdown_rules::motion::largest::{Extent, Measured};
use setdown_rules::tables::units::INCH;
use setdown_types::quantity::text::{Understood, parse_length};
use setdown_types::quantity::{Dimension, Unit, UnitSystem};

use crate::words::{Wording, filled, word};

/// Inches as the trade writes them.
fn length(inches: f64, system: UnitSystem) -> String {
    let wording = Wording { system, site: None };
    wording.quantity(Dimension::Length, inches * INCH)
}

/// A size in inches as whole steps of what lengths are written in, rounded as told.
fn whole(inches: f64, system: UnitSystem, round: fn(f64) -> f64) -> f64 {
    let step = match system {
        UnitSystem::Us => 1.0 / 16.0,
        UnitSystem::Metric => 0.001 / INCH,
    };
    round(inches / step) * step
}

/// The words that ask for the limit of a side.
pub fn limit_asked(measured: Measured) -> String {
    word(match measured {
        Measured::Length => "way.longest.ask",
        Measured::Width => "way.widest.ask",
    })
}

/// What was found of the limit of a side.
pub fn limit_text(measured: Measured, extent: Extent, system: UnitSystem) -> String {
    let [passes, fails, none] = match measured {
        Measured::Length => [
            "way.longest.passes",
            "way.longest.fails",
            "way.longest.none",
        ],
        Measured::Width => ["way.widest.passes", "way.widest.fails", "way.widest.none"],
    };
    // What is told passes, and what is told fails: neither is rounded to the other's side.
    let extent = Extent {
        passes: extent.passes.map(|size| whole(size, system, f64::floor)),
        fails: extent.fails.map(|size| whole(size, system, f64::ceil)),
    };
    let told =
        |key: &str, size: Option<f64>| Some(filled(key, &[("size", &length(size?, system))]));
    let passes = told(passes, extent.passes).unwrap_or_else(|| word(none));
    format!("{passes} {}", told(fails, extent.fails).unwrap_or_default())
}

/// What came of a length that was tried.
pub fn tried_text(inches: f64, verdict: Verdict, lower: Option<f64>, system: UnitSystem) -> String {
    let room = lower.filter(|lower| *lower >= 0.0);
    let room = room.map(|room| length(whole(room, system, f64::floor), system));
    let key = match verdict {
        Verdict::Route => "way.try.route",
        Verdict::NoRoute => "way.try.no_route",
        Verdict::Undecided => "way.try.undecided",
    };
    let room = room.unwrap_or_default();
    filled(key, &[("size", &length(inches, system)), ("room", &room)])
}

/// The words on the button that tries a length.
pub fn try_asked(inches: Option<f64>, system: UnitSystem) -> String {
    inches.map_or_else(
        || word("way.try.ask"),
        |inches| filled("way.try.ask_size", &[("size", &length(inches, system))]),
    )
}

/// A length as typed, in inches above 0; a bare number is in the units of `system`.
pub fn typed_inches(text: &str, system: UnitSystem) -> Option<f64> {
    let bare = match system {
        UnitSystem::Us => Unit::Inch,
        UnitSystem::Metric => Unit::Centimetre,
    };
    match parse_length(text, Some(bare)).ok()? {
        Understood::One(length) => Some(length.metres() / INCH).filter(|inches| *inches > 0.0),
        Understood::Ambiguous(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Half a proof is told as half a proof.
    #[test]
    fn limits_in_words() {
        let both = Extent {
            passes: Some(180.0),
            fails: Some(180.5),
        };
        let text = limit_text(Measured::Length, both, UnitSystem::Us);
        assert!(text.contains("15 ft") && text.contains("proved"), "{text}");
        assert!(text.contains("none does"), "{text}");
        let open = Extent {
            passes: None,
            fails: None,
        };
        let text = limit_text(Measured::Width, open, UnitSystem::Us);
        assert!(
            text.contains("No width") && !text.contains("none does"),
            "{text}"
        );
    }

    /// A limit known more finely than lengths are written is not told as passing and failing at one size.
    #[test]
    fn limits_are_rounded_to_their_own_sides() {
        let near = Extent {
            passes: Some(319.867_6),
            fails: Some(319.893_6),
        };
        let us = limit_text(Measured::Length, near, UnitSystem::Us);
        assert!(us.contains("26 ft 7 13/16 in long passes"), "{us}");
        assert!(us.contains("At 26 ft 7 15/16 in none"), "{us}");
        // 8.124 637 m and 8.125 297 m.
        let metric = limit_text(Measured::Length, near, UnitSystem::Metric);
        assert!(
            metric.contains("8.124 m") && metric.contains("8.126 m"),
            "{metric}"
        );
    }

    #[test]
    fn tried_lengths_in_words() {
        let passed = tried_text(204.0, Verdict::Route, Some(2.5), UnitSystem::Us);
        assert!(
            passed.contains("17 ft") && passed.contains("passes"),
            "{passed}"
        );
        let shut = tried_text(204.0, Verdict::NoRoute, None, UnitSystem::Us);
        assert!(shut.contains("does not pass"), "{shut}");
        let feet = typed_inches("17'", UnitSystem::Metric).expect("a length");
        assert!((feet - 204.0).abs() < 1e-9);
        assert_eq!(typed_inches("0", UnitSystem::Us), None);
        assert_eq!(typed_inches("wide", UnitSystem::Us), None);
    }
}
