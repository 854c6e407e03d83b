//! An assessment from plain texts to plain text: what the same-bits test calls on both sides.

use jiff::civil::Date;
use setdown_types::entry::Entry;
use setdown_types::ledger::{Acceptance, Record, Standing, fold};
use setdown_types::practice::PracticeSheet;
use setdown_types::spa::SpaSheet;

/// Folds entries, works out the way in, assesses, and gives the assessment as canonical JSON.
///
/// `entries` is a JSON array of entries, accepted in their order; `spa` and `practice` are canonical sheets; `date`
/// is a civil date such as `2026-11-25`.
///
/// # Errors
/// What could not be read, in words.
pub fn assess_text(entries: &str, spa: &str, practice: &str, date: &str) -> Result<String, String> {
    let raws: Vec<&serde_json::value::RawValue> =
        serde_json::from_str(entries).map_err(|error| format!("entries: {error}"))?;
    let records = raws
        .iter()
        .zip(1..)
        .map(|(raw, seq)| record(raw.get(), seq))
        .collect::<Result<Vec<_>, _>>()?;
    let spa: SpaSheet = serde_json::from_str(spa).map_err(|error| format!("spa: {error}"))?;
    let practice: PracticeSheet =
        serde_json::from_str(practice).map_err(|error| format!("practice: {error}"))?;
    let date: Date = date.parse().map_err(|error| format!("date: {error}"))?;
    let mut ways = super::assess::Ways::default();
    let site = fold(&records);
    let assessment = super::assess::assess_worked_out(&site, &spa, &practice, date, &mut ways);
    serde_json::to_string(&assessment).map_err(|error| error.to_string())
}

fn record(raw: &str, seq: u64) -> Result<Record, String> {
    let entry = Entry::from_json(raw).map_err(|error| format!("entry {seq}: {error}"))?;
    let acceptance = Acceptance {
        seq,
        received_at: 0,
        effective_at: None,
    };
    Ok(Record {
        entry,
        raw: raw.to_owned(),
        standing: Standing::Accepted(acceptance),
    })
}
