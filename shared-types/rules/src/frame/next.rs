//! What to measure next: the expected gain in settled weight per minute.

use super::assess::Input;
use super::result::{CheckResult, HoldPointResult, NextMeasurement};

/// Open questions by expected gain per minute, best first.
pub fn measurements(
    _input: &Input<'_>,
    _checks: &[CheckResult],
    _points: &[HoldPointResult],
) -> Vec<NextMeasurement> {
    Vec::new()
}
