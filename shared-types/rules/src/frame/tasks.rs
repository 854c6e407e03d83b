//! Tasks: what each party must do next, why, and what it unlocks.

use super::assess::Input;
use super::result::{CheckResult, HoldPointResult, Task};

/// All tasks, most pressing first.
pub fn tasks(
    _input: &Input<'_>,
    _checks: &[CheckResult],
    _points: &[HoldPointResult],
) -> Vec<Task> {
    Vec::new()
}
