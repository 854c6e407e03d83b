//! The test harness: a browser, a server that can be stopped, and what the journeys and API tests share.

pub mod browser;
pub mod bucket;
pub mod clients;
pub mod generated;
pub mod hands;
pub mod packed;
pub mod proxy;
pub mod readiness;
pub mod running_server;
pub mod scenes;
pub mod server;
pub mod walker;
pub mod yard;
