//! Moving a load on wheels: the pull up, the hold back, the wheel loads, and the height it needs over ramps.
//!
//! Slopes are rise over run. The formulas are statics, derived; rolling resistance is a coefficient c of the weight.

use super::{Graded, RADIANS_PER_DEGREE};

/// The pull in newtons that keeps a load moving up a slope: W·(sinθ + c·cosθ), with its derivatives by weight, slope
/// and c.
///
/// `weight` is in newtons, `slope` rise over run (negative: downhill), `resistance` the coefficient c, at least zero.
/// Breaking away takes more; a pull measured on this carriage and surface is better than any coefficient. `None` for
/// senseless inputs. The result is negative where the load runs by itself.
pub fn pull(weight: f64, slope: f64, resistance: f64) -> Option<Graded<3>> {
    if !super::all_at_least_zero(&[weight, resistance]) || !slope.is_finite() {
        return None;
    }
    let squared = 1.0 + slope * slope;
    let root = libm::sqrt(squared);
    let share = (slope + resistance) / root;
    let by_slope = weight * (1.0 - slope * resistance) / (squared * root);
    Graded::new(weight * share, [share, by_slope, weight / root])
}

/// The force in newtons that holds a load back on a slope: W·(sinθ − c·cosθ), at least zero, with its derivatives by
/// weight, slope and c.
///
/// The sign of the slope does not matter. Safety is judged at c = 0: never count on friction to hold a load.
pub fn hold_back(weight: f64, slope: f64, resistance: f64) -> Option<Graded<3>> {
    if !super::all_at_least_zero(&[weight, resistance]) || !slope.is_finite() {
        return None;
    }
    let steep = slope.abs();
    if steep < resistance {
        return Graded::new(0.0, [0.0, 0.0, 0.0]);
    }
    let sign = if slope < 0.0 { -1.0 } else { 1.0 };
    let squared = 1.0 + steep * steep;
    let root = libm::sqrt(squared);
    let share = (steep - resistance) / root;
    let by_slope = sign * weight * (1.0 + steep * resistance) / (squared * root);
    Graded::new(weight * share, [share, by_slope, -weight / root])
}

/// The coefficient c that a measured `pull` (newtons) on level ground shows for a `weight` (newtons), with its
/// derivatives by pull and weight.
pub fn resistance_from_pull(pull: f64, weight: f64) -> Option<Graded<2>> {
    super::bearing::pressure(pull, weight)
}

/// The greatest load in newtons on one wheel: half of the weight, because a rigid carriage rocks and stands on two
/// wheels (common practice, no source); the whole of it on one wheel.
///
/// `None` without wheels or for a negative weight.
pub fn worst_wheel_load(weight: f64, wheels: u32) -> Option<f64> {
    let share = match wheels {
        0 => return None,
        1 => 1.0,
        _ => 0.5,
    };
    super::all_at_least_zero(&[weight]).then_some(weight * share)
}

/// How much higher in metres the leading end of a load stands on a slope while its tail is at the foot: L·sinθ, with
/// its derivatives by length and slope. This is the most that pitching over a curb or ramp adds to its height.
pub fn pitch_rise(length: f64, slope: f64) -> Option<Graded<2>> {
    if !super::all_at_least_zero(&[length]) || !slope.is_finite() {
        return None;
    }
    let squared = 1.0 + slope * slope;
    let root = libm::sqrt(squared);
    let sign = if slope < 0.0 { -1.0 } else { 1.0 };
    Graded::new(
        length * slope.abs() / root,
        [slope.abs() / root, sign * length / (squared * root)],
    )
}

/// How far in metres a crest reaches up between the wheels: (B/2)·tan(φ/2), with its derivatives by wheelbase and the
/// change of grade (per degree).
///
/// `wheelbase` is in metres, `change` the angle in degrees between the two grades. The belly must clear this. `None`
/// for a negative wheelbase or a change outside 0 up to 90.
pub fn crest_rise(wheelbase: f64, change: f64) -> Option<Graded<2>> {
    if !super::all_at_least_zero(&[wheelbase]) || !(0.0..=90.0).contains(&change) {
        return None;
    }
    let half_angle = 0.5 * change * RADIANS_PER_DEGREE;
    let (sine, cosine) = libm::sincos(half_angle);
    let by_change = 0.25 * wheelbase / (cosine * cosine) * RADIANS_PER_DEGREE;
    Graded::new(
        0.5 * wheelbase * sine / cosine,
        [0.5 * sine / cosine, by_change],
    )
}
