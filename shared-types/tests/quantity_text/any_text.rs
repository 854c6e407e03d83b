//! Whatever is typed: no text panics, and what is shown is read again as it was shown.

use proptest::prelude::*;
use setdown_types::quantity::text::{
    Understood, format_in, format_quantity, parse_length, parse_quantity,
    parse_quantity_with_spread, parse_with_spread,
};
use setdown_types::quantity::{Dimension, Length, Quantity, Unit, UnitSystem};

fn any_dimension() -> impl Strategy<Value = Dimension> {
    proptest::sample::select(Dimension::ALL.to_vec())
}

fn any_unit() -> impl Strategy<Value = Option<Unit>> {
    proptest::option::of(proptest::sample::select(Unit::ALL.to_vec()))
}

/// Text made of the pieces that people type, in any order.
fn typed_pieces() -> impl Strategy<Value = String> {
    let pieces = vec![
        "7",
        "10",
        "08",
        "1/2",
        "½",
        "'",
        "\"",
        "-",
        " ",
        ".",
        ",",
        "ft",
        "in",
        "m",
        "mm",
        "±",
        "+/-",
        "/",
        ":",
        "%",
        "°",
        "lb",
        "999999999999999",
        "0",
        "1/0",
        "and",
        "per",
        "h",
        "min",
        "−",
        "''",
    ];
    proptest::collection::vec(proptest::sample::select(pieces), 0..12).prop_map(|all| all.concat())
}

fn read_everything(text: &str, dimension: Dimension, unit: Option<Unit>) {
    if let Ok(Understood::Ambiguous(readings)) = parse_length(text, unit) {
        assert!(!readings.is_empty(), "{text}");
    }
    if let Err(error) = parse_quantity_with_spread(dimension, text, unit) {
        assert!(!error.to_string().is_empty());
    }
    if let Ok((_, Some(spread))) = parse_with_spread(text, unit) {
        assert!(spread > Length::ZERO);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4_000))]

    #[test]
    fn no_text_panics(text in any::<String>(), dimension in any_dimension(), unit in any_unit()) {
        read_everything(&text, dimension, unit);
    }

    #[test]
    fn no_pieces_panic(text in typed_pieces(), dimension in any_dimension(), unit in any_unit()) {
        read_everything(&text, dimension, unit);
    }

    #[test]
    fn no_quantity_panics_when_shown(base in any::<i64>(), dimension in any_dimension(), unit in any_unit()) {
        let quantity = Quantity::new(dimension, base);
        for system in [UnitSystem::Us, UnitSystem::Metric] {
            prop_assert!(!format_quantity(quantity, system).is_empty());
        }
        prop_assert!(!format_in(quantity, unit.unwrap_or(Unit::Inch)).is_empty());
    }

    /// What is shown is read again as what is shown.
    #[test]
    fn shown_text_is_stable(base in 0_i64..1_000_000_000_000_000, dimension in any_dimension()) {
        for system in [UnitSystem::Us, UnitSystem::Metric] {
            let shown = format_quantity(Quantity::new(dimension, base), system);
            let read = parse_quantity(dimension, &shown, None);
            let again = read.map(|quantity| format_quantity(quantity, system));
            prop_assert_eq!(again, Ok(shown));
        }
    }

    #[test]
    fn si_values_survive(base in -1_000_000_000_000_i64..1_000_000_000_000, dimension in any_dimension()) {
        let quantity = Quantity::new(dimension, base);
        prop_assert_eq!(Quantity::from_si(dimension, quantity.si()), Ok(quantity));
    }
}
