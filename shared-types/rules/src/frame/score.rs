//! Hold points: their state, readiness score, chance, digest and signature.

use super::assess::Input;
use super::result::{CheckResult, HoldPointResult};

/// Every hold point as it stands.
pub fn hold_points(
    _input: &Input<'_>,
    _checks: &[CheckResult],
    _spa: &str,
    _practice: &str,
) -> Vec<HoldPointResult> {
    Vec::new()
}
