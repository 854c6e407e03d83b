//! Loads on the ground: what a load weighs, and how hard it presses on what carries it.

use super::{Graded, STANDARD_GRAVITY};

/// The pressure in pascals of a `force` (newtons) on an `area` (m²), with its derivatives by force and area.
///
/// `None` if the force is negative or the area not above zero. Source: definition; the outrigger-pad row is checked
/// against a published 62,800 lb on 36 × 36 in = 48.5 psi (read on one secondary page, recomputed).
pub fn pressure(force: f64, area: f64) -> Option<Graded<2>> {
    if !super::all_at_least_zero(&[force]) || !super::all_above_zero(&[area]) {
        return None;
    }
    Graded::new(force / area, [1.0 / area, -force / (area * area)])
}

/// The area in m² that brings a `force` (newtons) down to an `allowable` pressure (pascals), with its derivatives by
/// force and pressure: A = F/p (Crane Industry Council of Australia advice, read).
pub fn area_needed(force: f64, allowable: f64) -> Option<Graded<2>> {
    pressure(force, allowable)
}

/// The mass in kilograms of a filled spa: shell, water, people and what stands on it.
///
/// `water_volume` is in m³ and `water_density` in kg/m³. Derivatives by dry mass, volume, density, people and other.
/// `None` if one is negative or not finite.
pub fn filled_mass(
    dry: f64,
    water_volume: f64,
    water_density: f64,
    people: f64,
    other: f64,
) -> Option<Graded<5>> {
    if !super::all_at_least_zero(&[dry, water_volume, water_density, people, other]) {
        return None;
    }
    Graded::new(
        dry + water_volume * water_density + people + other,
        [1.0, water_density, water_volume, 1.0, 1.0],
    )
}

/// The pressure in pascals under a slab: the load's mass (kg) spread over the slab's `area` (m²), and the slab's own
/// `thickness` (m) times `density` (kg/m³).
///
/// Derivatives by load mass, area, thickness and density. `None` for senseless inputs. Spreading the load evenly over
/// the whole slab is an assumption that the designer of the slab confirms.
pub fn pressure_under_slab(
    load_mass: f64,
    area: f64,
    thickness: f64,
    density: f64,
) -> Option<Graded<4>> {
    let zero_or_more = super::all_at_least_zero(&[load_mass, thickness, density]);
    if !zero_or_more || !super::all_above_zero(&[area]) {
        return None;
    }
    let g = STANDARD_GRAVITY;
    Graded::new(
        g * (load_mass / area + thickness * density),
        [
            g / area,
            -g * load_mass / (area * area),
            g * density,
            g * thickness,
        ],
    )
}
