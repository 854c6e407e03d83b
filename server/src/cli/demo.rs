//! `demo`: puts the demo into an empty database and prints its sign-ins.

use crate::demo;
use crate::error::ServerError;
use crate::settings::DataSettings;
use crate::state::AppState;

/// Seeds the demo with `sites` more sites for the first dealer; gives what is to be printed.
pub async fn demo(settings: &DataSettings, sites: u32) -> Result<String, ServerError> {
    let address = "http://127.0.0.1:8080";
    let state = AppState::open_data(settings, address).await?;
    let made = demo::seed(&state, sites).await?;
    state.store.close().await;
    Ok(demo::told(address, &made))
}
