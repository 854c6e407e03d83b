//! Convergence: many replicas with bad clocks and a bad network, healed, quiesced and compared.
//!
//! The phones run the code of `setdown_app::device::logic`, the server that of
//! `setdown_types::admission`: the very code of the product, without its input and output.
//! 2,000 seeded runs; `SETDOWN_SOAK_RUNS=10000` (as `make soak` sets it) runs more. A seed that
//! fails becomes a named test in `found.rs`.

mod found;
mod judgement;
mod phone;
mod world;

use world::{World, WorldPlan};

fn runs() -> u64 {
    std::env::var("SETDOWN_SOAK_RUNS")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(2_000)
}

/// One run: disturbed, healed, compared. Panics with the seed in the message.
fn run(seed: u64) -> judgement::Tally {
    let mut world = World::new(seed, WorldPlan::drawn(seed));
    world.disturb();
    world.heal();
    judgement::judge(&world, seed)
}

#[test]
fn replicas_converge_and_nothing_is_lost_or_undone() {
    let mut total = judgement::Tally::default();
    for seed in 0..runs() {
        total.add(run(seed));
    }
    println!("{total}");
    // The disturbances must really have happened, or the runs prove nothing.
    assert!(total.refused > 0 && total.released_after_hold > 0 && total.lost_answers > 0);
    assert!(total.kills > 0 && total.conflicts > 0 && total.redacted > 0 && total.unknown > 0);
}

/// Why the ledger keeps causal parents: over the same runs, "the latest wall clock wins" and a
/// hybrid clock with a drift guard both bring back entries that somebody had knowingly replaced.
#[test]
fn clocks_lose_causally_later_entries_and_parents_do_not() {
    let mut total = judgement::Tally::default();
    for seed in 0..runs().min(500) {
        total.add(run(seed));
    }
    assert_eq!(total.undone_by_parents, 0);
    let share = |lost: u64| lost as f64 / total.replaced_streams as f64;
    println!(
        "streams with a knowing replacement: {}; undone by wall clock {:.1} %, by hybrid clock {:.1} %, by parents 0",
        total.replaced_streams,
        100.0 * share(total.undone_by_wall),
        100.0 * share(total.undone_by_hybrid),
    );
    assert!(
        share(total.undone_by_wall) > 0.02,
        "the skews no longer tell clocks and parents apart"
    );
    assert!(
        share(total.undone_by_hybrid) > 0.02,
        "the drift guard no longer tells"
    );
}
