//! `demo`: puts the demo into an empty database and prints its sign-ins, or makes its homeowner a new link.

use crate::demo;
use crate::error::ServerError;
use crate::settings::DataSettings;
use crate::state::AppState;

/// Seeds the demo with `sites` more sites for the first dealer; without a number the demo is there already and its
/// homeowner gets a new link. Gives what is to be printed.
pub async fn demo(
    settings: &DataSettings,
    address: &str,
    sites: Option<u32>,
) -> Result<String, ServerError> {
    let state = AppState::open_data(settings, address).await?;
    let made = match sites {
        Some(sites) => demo::seed(&state, sites).await?,
        None => demo::invite_again(&state).await?,
    };
    state.store.close().await;
    Ok(demo::told(address, &made))
}
