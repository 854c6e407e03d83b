//! The practice sheet: the dealer's own limits, each with its default, unit and source.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::digest::digest_hex;
use crate::quantity::{Dimension, Quantity};

mod fields;
pub use fields::FIELDS;

/// How well a default is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// Common practice, or read in the source named: the default may decide a check.
    Settled,
    /// From memory or a single secondary page: the default may show a check short or tight,
    /// but only a value the dealer states may turn it clear.
    MustBeStated,
}

/// One limit a dealer can set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Field {
    /// Its key.
    pub key: &'static str,
    /// Its dimension; counts and shares are `Count` and `Slope` (a plain ratio).
    pub dimension: Dimension,
    /// Default in SI units of the dimension.
    pub default: f64,
    /// The default as the trade writes it.
    pub written: &'static str,
    /// Where the default comes from.
    pub source: &'static str,
    /// How well it is known.
    pub standing: Standing,
    /// Least and greatest value that makes sense, SI units; a dealer cannot state one outside.
    pub bounds: (f64, f64),
}

impl Field {
    /// Whether a dealer may state this quantity here.
    pub fn accepts(&self, value: &Quantity) -> bool {
        let (least, greatest) = self.bounds;
        value.dimension == self.dimension && (least..=greatest).contains(&value.si())
    }
}

/// A dealer's practice sheet: the limits that differ from the defaults.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct PracticeSheet {
    /// A descriptive name.
    pub name: String,
    /// Values stated by the dealer, by field key.
    pub stated: BTreeMap<String, Quantity>,
}

/// One limit as it applies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// The field.
    pub field: &'static Field,
    /// Value in SI units of the field's dimension.
    pub si: f64,
    /// Whether the dealer stated it, rather than leaving the default.
    pub stated: bool,
}

/// The field with this key.
pub fn field(key: &str) -> Option<&'static Field> {
    FIELDS.iter().find(|field| field.key == key)
}

impl PracticeSheet {
    /// The limit that applies for `key`; `None` if there is no such field.
    pub fn limit(&self, key: &str) -> Option<Limit> {
        let field = field(key)?;
        let stated = self.stated.get(key).filter(|value| field.accepts(value));
        Some(match stated {
            Some(value) => Limit {
                field,
                si: value.si(),
                stated: true,
            },
            None => Limit {
                field,
                si: field.default,
                stated: false,
            },
        })
    }

    /// The canonical bytes.
    pub fn canonical(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }

    /// The name of this revision: the digest of its canonical bytes.
    pub fn revision(&self) -> String {
        digest_hex(self.canonical().as_bytes())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_field_stands_once_with_a_source_and_a_finite_default() {
        let mut keys: Vec<_> = FIELDS.iter().map(|field| field.key).collect();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), FIELDS.len());
        for field in FIELDS {
            assert!(
                field.default.is_finite() && !field.source.is_empty(),
                "{}",
                field.key
            );
        }
    }

    #[test]
    fn a_stated_value_of_the_wrong_dimension_is_not_used() {
        let mut sheet = PracticeSheet::default();
        sheet.stated.insert(
            "running_clearance_required".into(),
            Quantity::new(Dimension::Mass, 1),
        );
        assert!(!sheet.limit("running_clearance_required").unwrap().stated);
    }

    /// A share of a chart is at most the whole of it; days run forwards; 65 % on one outrigger is the least that any
    /// source read gives (Queensland code of practice for mobile cranes).
    #[test]
    fn a_stated_value_that_makes_no_sense_is_not_used() {
        let stated = |key: &str, dimension, si| {
            let mut sheet = PracticeSheet::default();
            let value = Quantity::from_si(dimension, si).unwrap();
            sheet.stated.insert(key.into(), value);
            sheet.limit(key).unwrap().stated
        };
        assert!(stated("crane_chart_share", Dimension::Slope, 1.0));
        assert!(!stated("crane_chart_share", Dimension::Slope, 7.5));
        assert!(!stated("cure_days", Dimension::Count, -5.0));
        assert!(!stated("head_room", Dimension::Length, -0.1));
        assert!(!stated("outrigger_share", Dimension::Slope, 1.2));
        assert!(!stated("outrigger_share", Dimension::Slope, 0.1));
        assert!(stated("outrigger_share", Dimension::Slope, 0.85));
    }

    #[test]
    fn every_default_lies_within_its_bounds() {
        for field in FIELDS {
            let (least, greatest) = field.bounds;
            assert!((least..=greatest).contains(&field.default), "{}", field.key);
        }
    }
}
