//! Water: its density by temperature, the weight of a filling, and how long it takes to fill.

use super::Graded;
use crate::tables::units::{POUND, US_GALLON};
use crate::tables::water_density::DENSITY;

/// The density of water in kg/m³ at a `temperature` in degrees Celsius, straight between the published rows.
///
/// `None` outside 0 to 60 °C. Between rows 20 °C apart the straight line is within 0.7 kg/m³ of the true curve
/// (0.07 %).
pub fn density(temperature: f64) -> Option<f64> {
    let rows = DENSITY.value;
    for pair in rows.windows(2) {
        if let [(cold, heavy), (warm, light)] = pair
            && (*cold..=*warm).contains(&temperature)
        {
            let part = (temperature - cold) / (warm - cold);
            return Some(heavy + part * (light - heavy));
        }
    }
    None
}

/// Pounds in one US gallon of water at a `temperature` in degrees Celsius; `None` outside 0 to 60 °C.
pub fn pounds_per_gallon(temperature: f64) -> Option<f64> {
    density(temperature).map(|kilograms| kilograms * US_GALLON / POUND)
}

/// The time in seconds that a `flow` (m³/s) takes to fill a `volume` (m³), with its derivatives by volume and flow.
///
/// `None` if the volume is negative or the flow not above zero. Arithmetic: 1,500 gal at 9 gpm = 2.78 h.
pub fn fill_seconds(volume: f64, flow: f64) -> Option<Graded<2>> {
    super::bearing::pressure(volume, flow)
}

/// The time in hours that a `flow` (m³/s) takes to fill a `volume` (m³); `None` as for [`fill_seconds`].
pub fn fill_hours(volume: f64, flow: f64) -> Option<f64> {
    fill_seconds(volume, flow).map(|seconds| seconds.value / 3600.0)
}

/// The flow in m³/s shown by a bucket of `volume` (m³) filled in `seconds`, with its derivatives by volume and time.
pub fn flow_from_bucket(volume: f64, seconds: f64) -> Option<Graded<2>> {
    super::bearing::pressure(volume, seconds)
}
