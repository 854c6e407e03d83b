//! Pushes and pulls over loopback on both databases, beside plain parsing of the JSON of the same entries.

use std::error::Error;
use std::time::{Duration, Instant};

use setdown_tests::clients::Client;
use setdown_tests::server::{BOTH, World};
use setdown_types::entry::Entry;
use setdown_types::ids::SiteId;
use setdown_types::wire::MAX_PUSH;

use super::measure::{median, ratio};

/// How many full pushes are sent.
const PUSHES: usize = 15;

/// Prints one line for each database.
pub async fn run() -> Result<(), Box<dyn Error>> {
    println!(
        "\nPush and pull of {} entries over loopback (times the plain parsing of their JSON)",
        PUSHES * MAX_PUSH
    );
    println!("database  push    pull    entries a second pushed / pulled");
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let raws = written(&client, site)?;
        let parse = median(|| {
            raws.iter()
                .filter(|raw| serde_json::from_str::<serde_json::Value>(raw).is_ok())
                .count()
        });
        let begun = Instant::now();
        for piece in raws.chunks(MAX_PUSH) {
            client.push_raw(piece).await;
        }
        let push = begun.elapsed();
        let begun = Instant::now();
        let pulled = pull_all(&client, site).await;
        let pull = begun.elapsed();
        println!(
            "{:8}  {:6.0}  {:6.0}  {:.0} / {:.0}",
            format!("{database:?}"),
            ratio(push, parse),
            ratio(pull, parse),
            a_second(raws.len(), push),
            a_second(pulled, pull),
        );
    }
    Ok(())
}

fn written(client: &Client, site: SiteId) -> Result<Vec<String>, Box<dyn Error>> {
    let entries: Vec<Entry> = (0..PUSHES * MAX_PUSH)
        .map(|_| client.reading(site))
        .collect();
    entries
        .iter()
        .map(|entry| Ok(entry.to_json().ok_or("an entry of this version")?))
        .collect()
}

async fn pull_all(client: &Client, site: SiteId) -> usize {
    let (mut after, mut pulled) = (0, 0);
    loop {
        let page = client.pull(site, after).await;
        pulled += page.entries.len();
        after = page
            .entries
            .last()
            .map_or(page.last_seq, |last| last.acceptance.seq);
        if !page.more {
            return pulled;
        }
    }
}

fn a_second(entries: usize, time: Duration) -> f64 {
    entries as f64 / time.as_secs_f64().max(1e-9)
}
