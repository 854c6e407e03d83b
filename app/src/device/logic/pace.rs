//! How long the sync client waits after a round: seconds after a first failure, then ever more rarely.

/// How a round ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// Everything was done.
    Well,
    /// No answer in time.
    Unanswered,
    /// An answer that was no use, or trouble with one part of the round.
    InTrouble,
    /// Somebody has to sign in or to load an update first.
    Waiting,
}

/// Seconds until the next round after `failures` rounds in a row that did not end well.
pub fn seconds(ended: Ended, failures: u32) -> f64 {
    let backing_off = f64::from(3_u32 << failures.saturating_sub(1).min(6));
    match ended {
        Ended::Well => 60.0,
        Ended::Unanswered => backing_off.min(160.0),
        Ended::InTrouble => backing_off.min(60.0),
        Ended::Waiting => 300.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_first_failure_is_tried_again_within_seconds_and_the_hundredth_within_minutes() {
        for ended in [Ended::Unanswered, Ended::InTrouble] {
            assert!(seconds(ended, 1) <= 5.0, "{ended:?}");
            let waits: Vec<f64> = (1..100).map(|failures| seconds(ended, failures)).collect();
            assert!(
                waits.is_sorted() && waits.last() <= Some(&180.0),
                "{waits:?}"
            );
        }
        assert!((seconds(Ended::InTrouble, u32::MAX) - 60.0).abs() < f64::EPSILON);
    }
}
