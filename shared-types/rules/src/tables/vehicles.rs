//! Heights and sizes of the vehicles that bring a spa.

use super::units::{FOOT, INCH};
use super::{Row, Source};

/// Overhead clearance in metres that a loaded rig is planned with: 13 ft 6 in. Common practice; state limits differ.
pub const RIG_HEIGHT: Row<f64> = Row::new(13.0 * FOOT + 6.0 * INCH, Source::common_practice());
