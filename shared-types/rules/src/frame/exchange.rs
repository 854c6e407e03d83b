//! An assessment from plain texts to plain text: what the same-bits test calls on both sides.

use std::sync::Arc;

use jiff::civil::Date;
use setdown_types::civil::full_date;
use setdown_types::entry::Entry;
use setdown_types::ledger::{Acceptance, Record, Standing, fold};
use setdown_types::practice::PracticeSheet;
use setdown_types::site::Site;
use setdown_types::spa::SpaSheet;

use super::assess::{Input, Ways, assess_with};
use crate::motion::Certified;
use crate::plan::ledger::wanted;

/// What an assessment is made of, read from texts.
struct Given {
    site: Site,
    spa: SpaSheet,
    practice: PracticeSheet,
    date: Date,
}

/// Folds entries, assesses, and gives the assessment as canonical JSON.
///
/// `entries` is a JSON array of entries, accepted in their order; `spa` and `practice` are canonical sheets; `date`
/// is a civil date such as `2026-11-25`; `ways` is a JSON array of what the solver has worked out, see [`scene_text`].
///
/// # Errors
/// What could not be read, in words.
pub fn assess_text(
    entries: &str,
    spa: &str,
    practice: &str,
    date: &str,
    ways: &str,
) -> Result<String, String> {
    let Given {
        site,
        spa,
        practice,
        date,
    } = given(entries, spa, practice, date)?;
    let ways: Vec<Certified> =
        serde_json::from_str(ways).map_err(|error| format!("ways: {error}"))?;
    let ways: Ways = ways.into_iter().map(Arc::new).collect();
    let assessment = assess_with(&site, &spa, &practice, date, &ways);
    serde_json::to_string(&assessment).map_err(|error| error.to_string())
}

/// The scene that the solver must work out for the same site; empty where there is none.
///
/// # Errors
/// What could not be read, in words.
pub fn scene_text(entries: &str, spa: &str, practice: &str, date: &str) -> Result<String, String> {
    let given = given(entries, spa, practice, date)?;
    let input = Input {
        site: &given.site,
        spa: &given.spa,
        practice: &given.practice,
        today: given.date,
        suppose: None,
        ways: Ways::none(),
    };
    Ok(wanted(&input).map_or_else(String::new, |wanted| wanted.scene_text))
}

fn given(entries: &str, spa: &str, practice: &str, date: &str) -> Result<Given, String> {
    let raws: Vec<&serde_json::value::RawValue> =
        serde_json::from_str(entries).map_err(|error| format!("entries: {error}"))?;
    let records = raws
        .iter()
        .zip(1..)
        .map(|(raw, seq)| record(raw.get(), seq))
        .collect::<Result<Vec<_>, _>>()?;
    Ok(Given {
        site: fold(&records),
        spa: serde_json::from_str(spa).map_err(|error| format!("spa: {error}"))?,
        practice: serde_json::from_str(practice).map_err(|error| format!("practice: {error}"))?,
        date: full_date(date).ok_or_else(|| format!("date: {date:?}: write it as 2026-11-25"))?,
    })
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
