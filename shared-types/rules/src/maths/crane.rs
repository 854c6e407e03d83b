//! A lift by crane: the boom over an obstacle, the capacity from the chart, the outrigger's load, the wind.

use super::{Graded, RADIANS_PER_DEGREE};
use crate::tables::units::{FOOT, MILE_PER_HOUR, POUND_FORCE};

/// The boom as a straight line from its pivot to its tip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Boom {
    /// Degrees above the horizontal.
    pub angle: f64,
    /// Height in metres of the tip above the ground.
    pub tip_height: f64,
}

/// The boom of `length` that puts the load at `radius`: cosβ = (R + e)/L, tip at L·sinβ + h₀ (metres).
///
/// `pivot_behind` (e) is how far the pivot lies behind the centre of rotation, `pivot_height` (h₀) how high. `None` if
/// the boom is too short for the radius or an input makes no sense. Geometry, derived; a real boom bends, which only
/// the operator's chart knows.
pub fn boom_at_radius(
    length: f64,
    radius: f64,
    pivot_behind: f64,
    pivot_height: f64,
) -> Option<Boom> {
    let sensible = super::all_above_zero(&[length])
        && super::all_at_least_zero(&[radius, pivot_height])
        && pivot_behind.is_finite();
    let cosine = (radius + pivot_behind) / length;
    if !sensible || !(-1.0..=1.0).contains(&cosine) {
        return None;
    }
    let sine = libm::sqrt(1.0 - cosine * cosine);
    Some(Boom {
        angle: libm::acos(cosine) / RADIANS_PER_DEGREE,
        tip_height: super::finite(length * sine + pivot_height)?,
    })
}

/// The distance in metres from the boom's centre line to the edge of an obstacle below it:
/// (x + e)·sinβ − (h − h₀)·cosβ, with its derivatives by x, e, h, h₀ and β (per degree). Negative: the edge is above
/// the line.
///
/// `edge_distance` (x) is measured from the centre of rotation, `edge_height` (h) from the ground, β in degrees. It
/// must exceed half the boom's depth and the margin. Geometry, derived. `None` if an input is not finite or β lies
/// outside 0 to 90.
pub fn boom_clearance(
    edge_distance: f64,
    pivot_behind: f64,
    edge_height: f64,
    pivot_height: f64,
    angle: f64,
) -> Option<Graded<5>> {
    if !(0.0..=90.0).contains(&angle) {
        return None;
    }
    let (sine, cosine) = libm::sincos(angle * RADIANS_PER_DEGREE);
    let (out, up) = (edge_distance + pivot_behind, edge_height - pivot_height);
    let by_angle = (out * cosine + up * sine) * RADIANS_PER_DEGREE;
    Graded::new(
        out * sine - up * cosine,
        [sine, sine, -cosine, cosine, by_angle],
    )
}

/// One figure of an operator's load chart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartPoint {
    /// Boom length in metres.
    pub boom_length: f64,
    /// Radius in metres.
    pub radius: f64,
    /// Gross capacity in kilograms.
    pub capacity: f64,
}

/// What a load chart says for one boom length and radius.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ChartReading {
    /// The figure that must be used.
    Rated(ChartPoint),
    /// The boom is shorter than the shortest or longer than the longest on the chart.
    BoomOffChart,
    /// The radius is outside what the chart shows for that boom.
    RadiusOffChart,
    /// A number is infinite or not a number.
    NotFinite,
}

/// Half a millimetre: a radius or boom typed in feet is the listed one if it is this near.
const SAME_LENGTH: f64 = 0.000_5;

/// The capacity that may be counted on, never interpolated: between listed values the smallest figure at the next
/// larger radius or the next longer boom.
///
/// Rule as printed on a provincial crane safety body's chart quiz (read): "When either boom length or radius or both
/// are between values listed, the smallest load shown at either the next larger radius or boom length shall be used."
/// Off the chart is off the chart.
pub fn chart_capacity(chart: &[ChartPoint], boom_length: f64, radius: f64) -> ChartReading {
    let sound = |p: &ChartPoint| {
        p.boom_length.is_finite() && p.radius.is_finite() && p.capacity.is_finite()
    };
    if !chart.iter().all(sound) || !boom_length.is_finite() || !radius.is_finite() {
        return ChartReading::NotFinite;
    }
    let not_shorter = chart
        .iter()
        .filter(|p| p.boom_length >= boom_length - SAME_LENGTH)
        .map(|p| p.boom_length)
        .reduce(f64::min);
    let not_longer = chart
        .iter()
        .filter(|p| p.boom_length <= boom_length + SAME_LENGTH)
        .map(|p| p.boom_length)
        .reduce(f64::max);
    let (Some(longer), Some(shorter)) = (not_shorter, not_longer) else {
        return ChartReading::BoomOffChart;
    };
    let Some(required) = at_radius(chart, longer, radius) else {
        return ChartReading::RadiusOffChart;
    };
    match at_radius(chart, shorter, radius) {
        Some(other) if other.capacity < required.capacity => ChartReading::Rated(other),
        _ => ChartReading::Rated(required),
    }
}

/// The figure at the next larger listed radius of one boom; where it is listed twice, the smaller.
fn at_radius(chart: &[ChartPoint], boom_length: f64, radius: f64) -> Option<ChartPoint> {
    let listed = || chart.iter().filter(|p| p.boom_length == boom_length);
    let within = listed().any(|p| p.radius <= radius + SAME_LENGTH);
    if !within {
        return None;
    }
    listed()
        .filter(|p| p.radius >= radius - SAME_LENGTH)
        .copied()
        .reduce(|best, other| {
            let nearer = other.radius < best.radius;
            let smaller = other.radius == best.radius && other.capacity < best.capacity;
            if nearer || smaller { other } else { best }
        })
}

/// What is left of a gross capacity after everything that hangs on the boom is taken off: block, ball, stowed jib,
/// spreader, slings (one mass unit throughout). `None` if an input is negative or not finite.
///
/// Published: 18,300 − (380 + 338 + 930 + 220) = 16,432.
pub fn net_capacity(gross: f64, deductions: &[f64]) -> Option<f64> {
    if !super::all_at_least_zero(&[gross]) || !super::all_at_least_zero(deductions) {
        return None;
    }
    super::finite(gross - deductions.iter().sum::<f64>())
}

/// The greatest load in newtons on one outrigger: `share` × (crane + rigging + load), with its derivatives by crane,
/// rigging, load and share.
///
/// Weights in newtons. Shares and their sources: [`crate::tables::crane`]. The maker's own figure always goes before.
pub fn outrigger_load(crane: f64, rigging: f64, load: f64, share: f64) -> Option<Graded<4>> {
    if !super::all_at_least_zero(&[crane, rigging, load]) || !(0.0..=1.0).contains(&share) {
        return None;
    }
    let all = crane + rigging + load;
    Graded::new(share * all, [share, share, share, all])
}

/// The force in newtons of wind on a hanging load: q·C·A with q = 0.00256·V² (psf, mph), with its derivatives by wind
/// speed, drag coefficient and area.
///
/// `speed` is in m/s, `area` the side facing the wind in m². From memory (ASCE 7): shown, and never a reason to clear.
pub fn wind_force(speed: f64, drag: f64, area: f64) -> Option<Graded<3>> {
    if !super::all_at_least_zero(&[speed, drag, area]) {
        return None;
    }
    let pascals_per_psf = POUND_FORCE / (FOOT * FOOT);
    let factor = 0.002_56 * pascals_per_psf / (MILE_PER_HOUR * MILE_PER_HOUR);
    let q = factor * speed * speed;
    Graded::new(
        q * drag * area,
        [2.0 * factor * speed * drag * area, q * area, q * drag],
    )
}
