//! Other sizes of the unit, in words: the longest and the widest that would pass, and one length tried.

use setdown_rules::motion::largest::{Extent, Measured};
use setdown_rules::plan::ledger::Demanded;
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
pub fn limit_text(
    measured: Measured,
    extent: Extent,
    demanded: Demanded,
    system: UnitSystem,
) -> String {
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
    let clearance = length(demanded.clearance, system);
    let told = |key: &str, size: Option<f64>| {
        let size = length(size?, system);
        Some(filled(key, &[("size", &size), ("clearance", &clearance)]))
    };
    let found = extent.passes.is_some();
    let passes =
        told(passes, extent.passes).unwrap_or_else(|| filled(none, &[("clearance", &clearance)]));
    let passes = told(fails, extent.fails)
        .map_or_else(|| passes.clone(), |fails| format!("{passes} {fails}"));
    with_axles(passes, found, demanded)
}

/// What passes is not proved for fixed axles, and that is told with it.
fn with_axles(told: String, passes: bool, demanded: Demanded) -> String {
    if passes && demanded.fixed_axle {
        format!("{told} {}", word("roll.way.not_for_fixed_axle"))
    } else {
        told
    }
}

/// What came of a length that was tried: the bounds on the room it keeps, in inches, beside what is demanded.
pub fn tried_text(
    inches: f64,
    (lower, upper): (Option<f64>, f64),
    demanded: Demanded,
    system: UnitSystem,
) -> String {
    let passes = lower.filter(|lower| *lower >= 0.0);
    let key = match passes {
        Some(lower) if lower >= demanded.clearance => "way.try.route",
        Some(_) if upper < demanded.clearance => "way.try.short",
        Some(_) => "way.try.nearly",
        None if upper < 0.0 => "way.try.no_route",
        None => "way.try.undecided",
    };
    let room = length(
        whole(passes.unwrap_or_default(), system, f64::floor),
        system,
    );
    let told = filled(
        key,
        &[
            ("size", &length(inches, system)),
            ("room", &room),
            ("clearance", &length(demanded.clearance, system)),
        ],
    );
    with_axles(told, passes.is_some(), demanded)
}

/// The words on the button that tries a length.
pub fn try_asked(inches: Option<f64>, system: UnitSystem) -> String {
    inches.map_or_else(
        || word("way.try.ask"),
        |inches| filled("way.try.ask_size", &[("size", &length(inches, system))]),
    )
}

/// A length as typed, in inches above 0, to the step that lengths are written in: what is told of it is true of what was
/// tried. A bare number is in the units of `system`.
pub fn typed_inches(text: &str, system: UnitSystem) -> Option<f64> {
    let bare = match system {
        UnitSystem::Us => Unit::Inch,
        UnitSystem::Metric => Unit::Centimetre,
    };
    match parse_length(text, Some(bare)).ok()? {
        Understood::One(length) => {
            let inches = whole(length.metres() / INCH, system, f64::round);
            (inches > 0.0).then_some(inches)
        }
        Understood::Ambiguous(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DEMANDED: Demanded = Demanded {
        clearance: 3.0,
        fixed_axle: false,
    };

    fn limit(
        side: Measured,
        passes: Option<f64>,
        fails: Option<f64>,
        system: UnitSystem,
    ) -> String {
        limit_text(side, Extent { passes, fails }, DEMANDED, system)
    }

    /// Half a proof is told as half a proof.
    #[test]
    fn limits_in_words() {
        let both = limit(Measured::Length, Some(180.0), Some(180.5), UnitSystem::Us);
        assert!(both.contains("15 ft") && both.contains("proved"), "{both}");
        assert!(
            both.contains("3 in") && both.contains("none does"),
            "{both}"
        );
        let open = limit(Measured::Width, None, None, UnitSystem::Us);
        assert!(
            open.contains("No width") && open.contains("3 in") && !open.contains("none does"),
            "{open}"
        );
    }

    /// A limit known more finely than lengths are written is not told as passing and failing at one size.
    #[test]
    fn limits_are_rounded_to_their_own_sides() {
        let near = |system| limit(Measured::Length, Some(319.867_6), Some(319.893_6), system);
        let us = near(UnitSystem::Us);
        assert!(us.contains("26 ft 7 13/16 in long passes"), "{us}");
        assert!(us.contains("At 26 ft 7 15/16 in none"), "{us}");
        // 8.124 637 m and 8.125 297 m.
        let metric = near(UnitSystem::Metric);
        assert!(
            metric.contains("8.124 m") && metric.contains("8.126 m"),
            "{metric}"
        );
    }

    #[test]
    fn tried_lengths_in_words() {
        let tried = |lower, upper| tried_text(204.0, (lower, upper), DEMANDED, UnitSystem::Us);
        for (lower, upper, says) in [
            (Some(3.0), 3.08, "17 ft 0 in long passes (proved)"),
            (Some(2.9), 2.99, "less than the running clearance"),
            (Some(2.97), 3.05, "too close to say"),
            (None, -0.01, "does not pass"),
            (None, 0.01, "too close to say whether it passes"),
        ] {
            let told = tried(lower, upper);
            assert!(told.contains(says), "{told}");
        }
    }

    /// What a carriage that rolls every way may do says nothing good about fixed axles; what even it may not, does.
    #[test]
    fn what_passes_is_not_told_for_fixed_axles() {
        let fixed = Demanded {
            fixed_axle: true,
            ..DEMANDED
        };
        let axles = word("roll.way.not_for_fixed_axle");
        let tried = |lower, upper| tried_text(204.0, (lower, upper), fixed, UnitSystem::Us);
        assert!(tried(Some(4.0), 4.05).ends_with(&axles));
        assert!(!tried(None, -1.0).contains(&axles));
        let limit = |passes| {
            let extent = Extent {
                passes,
                fails: Some(190.0),
            };
            limit_text(Measured::Length, extent, fixed, UnitSystem::Us)
        };
        assert!(limit(Some(189.95)).ends_with(&axles) && !limit(None).contains(&axles));
    }

    #[test]
    fn lengths_are_read_as_typed() {
        assert_eq!(typed_inches("17'", UnitSystem::Us), Some(204.0));
        let metric = typed_inches("17'", UnitSystem::Metric).expect("a length");
        assert!((metric * INCH - 5.182).abs() < 1e-9, "to the millimetre");
        assert_eq!(typed_inches("204.04", UnitSystem::Us), Some(204.0625));
        assert_eq!(typed_inches("0", UnitSystem::Us), None);
        assert_eq!(typed_inches("wide", UnitSystem::Us), None);
    }
}
