//! How likely measured margins are to hold together.

use std::collections::BTreeSet;

use setdown_types::site::StreamKey;

use super::spread::SPREADS_PER_SIGMA;
use crate::maths::normal;

/// A margin that may or may not hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Bet {
    /// What it rests on. Bets on the same readings hold or fail together.
    pub readings: BTreeSet<StreamKey>,
    /// Value minus limit.
    pub margin: f64,
    /// Half-width.
    pub spread: f64,
}

/// Probability that all bets hold: bets that share a reading hold or fail together, so the worst of such a set counts;
/// sets that share none are independent.
pub(super) fn joint<'b>(bets: impl IntoIterator<Item = &'b Bet>) -> f64 {
    let mut sets: Vec<(BTreeSet<&StreamKey>, f64)> = Vec::new();
    for bet in bets {
        let mut readings: BTreeSet<&StreamKey> = bet.readings.iter().collect();
        let mut worst = holds(bet);
        sets.retain(|(known, chance)| {
            let apart = known.is_disjoint(&readings);
            if !apart {
                readings.extend(known);
                worst = worst.min(*chance);
            }
            apart
        });
        sets.push((readings, worst));
    }
    sets.iter().map(|(_, chance)| chance).product()
}

/// Φ(margin/σ).
fn holds(bet: &Bet) -> f64 {
    let sigma = bet.spread / SPREADS_PER_SIGMA;
    if sigma > 0.0 {
        normal::probability_below(bet.margin / sigma)
    } else if bet.margin >= 0.0 {
        1.0
    } else {
        0.0
    }
}
