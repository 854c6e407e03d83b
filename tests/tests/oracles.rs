//! The maths of the rules against the outside world: published worked examples, and independent Python libraries
//! (scipy, shapely, pint, uncertainties, iapws) run from `tests/.venv`.
//!
//! Each example has its source beside it. Examples marked "worked out" have no publication behind them; what the
//! Python side answers is computed there afresh.

#[path = "oracles/corner.rs"]
mod corner;
#[path = "oracles/formulas.rs"]
mod formulas;
#[path = "oracles/harness.rs"]
mod harness;
#[path = "oracles/load.rs"]
mod load;
#[path = "oracles/network.rs"]
mod network;
#[path = "oracles/plane.rs"]
mod plane;
#[path = "oracles/propagation.rs"]
mod propagation;
#[path = "oracles/published.rs"]
mod published;
#[path = "oracles/route.rs"]
mod route;
#[path = "oracles/units.rs"]
mod units;
