//! A site folded and assessed, beside plain parsing of the JSON of the same entries, and how both grow.

use std::error::Error;

use setdown_rules::assess;
use setdown_tests::generated::{GeneratedSite, generated};
use setdown_types::entry::{Entry, Intent};
use setdown_types::ids::EntryId;
use setdown_types::ledger::{Acceptance, Record, Standing, fold};
use uuid::Uuid;

use super::measure::{median, milliseconds, ratio};

/// Entries of the site that the budget speaks of.
const BUDGET_ENTRIES: usize = 5_000;
/// Milliseconds it may take on a phone that is four times slower than this machine.
const BUDGET: f64 = 50.0;
const THROTTLE: f64 = 4.0;
/// Seed of a site with most questions answered.
const SEED: u64 = 7;

/// Prints one line for each size.
pub fn run() -> Result<(), Box<dyn Error>> {
    println!("Fold and assess (times the plain parsing of the same entries' JSON; parsing in ms)");
    println!("entries  parse ms  read   fold   assess  fold+assess");
    let drawn = generated(SEED);
    for entries in [500, 1_000, 2_500, BUDGET_ENTRIES, 10_000] {
        let records = grown(&drawn, entries)?;
        let took = size(&drawn, &records);
        println!(
            "{entries:7}  {:8.2}  {:5.2}  {:5.2}  {:6.2}  {:11.2}",
            milliseconds(took.parse),
            ratio(took.read, took.parse),
            ratio(took.fold, took.parse),
            ratio(took.assess, took.parse),
            ratio(took.fold + took.assess, took.parse),
        );
        if entries == BUDGET_ENTRIES {
            let share = milliseconds(took.fold + took.assess) * THROTTLE / BUDGET;
            println!(
                "         {share:.2} of the budget of {BUDGET} ms at {THROTTLE} times throttle"
            );
        }
    }
    Ok(())
}

/// How long each step takes.
struct Took {
    parse: std::time::Duration,
    read: std::time::Duration,
    fold: std::time::Duration,
    assess: std::time::Duration,
}

fn size(drawn: &GeneratedSite, records: &[Record]) -> Took {
    let site = fold(records);
    Took {
        parse: median(|| {
            records
                .iter()
                .filter(|record| serde_json::from_str::<serde_json::Value>(&record.raw).is_ok())
                .count()
        }),
        read: median(|| {
            records
                .iter()
                .filter(|record| Entry::from_json(&record.raw).is_ok())
                .count()
        }),
        fold: median(|| fold(records)),
        assess: median(|| assess(&site, &drawn.spa, &drawn.practice, drawn.date)),
    }
}

/// The drawn site, corrected over and over until it has so many entries: what long work on one yard looks like.
fn grown(drawn: &GeneratedSite, entries: usize) -> Result<Vec<Record>, Box<dyn Error>> {
    let first: Vec<Entry> = drawn
        .entries
        .iter()
        .map(|raw| Entry::from_json(raw))
        .collect::<Result<_, _>>()?;
    let mut heads = first.clone();
    let mut all = first;
    let mut number = 0u128;
    while all.len() < entries {
        let place = all.len() % heads.len();
        number += 1;
        let mut next = heads[place].clone();
        next.intent = Intent::Correct;
        next.replaces = vec![heads[place].id];
        next.id = EntryId(Uuid::from_u128((1 << 120) + number));
        heads[place] = next.clone();
        all.push(next);
    }
    all.truncate(entries);
    all.into_iter()
        .zip(1..)
        .map(|(entry, seq)| {
            let raw = entry.to_json().ok_or("an entry of this version")?;
            let standing = Standing::Accepted(Acceptance {
                seq,
                received_at: 0,
                effective_at: Some(0),
            });
            Ok(Record {
                entry,
                raw,
                standing,
            })
        })
        .collect()
}
