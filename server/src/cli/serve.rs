//! `serve`: opens everything, answers until told to stop, and ends every connection in order.

use std::net::SocketAddr;
use std::time::Duration;

use axum::Router;
use tokio::net::TcpListener;

use crate::error::ServerError;
use crate::events::Events;
use crate::settings::ServeSettings;
use crate::state::AppState;
use crate::web::{self, assets::Assets, headers};
use crate::{api, clock, demo, summary};

/// How often summaries are looked at for a new day, and attempts to sign in for old ones.
const LOOK_AGAIN: Duration = Duration::from_secs(10 * 60);
/// How long open requests may still take after a stop was asked for.
const GRACE: Duration = Duration::from_secs(10);

type Failure = Box<dyn std::error::Error>;

/// Serves until SIGTERM or Ctrl-C.
pub async fn serve(settings: ServeSettings) -> Result<(), Failure> {
    let assets = Assets::load(&settings.dist)?;
    let state = AppState::open(&settings).await?;
    let listener = TcpListener::bind(settings.listen).await.map_err(|error| {
        format!(
            "cannot listen on {}: {error}; choose another address with --listen",
            settings.listen
        )
    })?;
    println!(
        "Setdown is at {0}/field (field) and {0}/office (office)",
        state.address
    );
    if settings.callers_are_one() {
        eprintln!(
            "Caution: --public-url is set and --address-header is not, so everybody seems to come from this machine. \
             Failed sign-ins slow a name down and block nobody: name the header in which the proxy tells the client's \
             address, such as --address-header X-Real-IP."
        );
    }
    greet(&settings, &state).await?;
    tokio::spawn(keep_tidy(state.clone()));
    let events = state.events.clone();
    let store = state.store.clone();
    let router = router(&state, &assets).into_make_service_with_connect_info::<SocketAddr>();
    let server = axum::serve(listener, router).with_graceful_shutdown(stop_asked(events.clone()));
    let mut stopping = events.stopping();
    tokio::select! {
        ended = async { server.await } => ended?,
        () = async {
            let _ = stopping.wait_for(|stopping| *stopping).await;
            tokio::time::sleep(GRACE).await;
        } => {}
    }
    store.close().await;
    Ok(())
}

/// Everything the server answers.
pub fn router(state: &AppState, assets: &Assets) -> Router {
    headers::secure(web::pages(assets).merge(api::routes(state)), state.https)
}

/// Prints the demo's sign-ins, after seeding it where the database is empty and nobody outside
/// this machine can reach it.
async fn greet(settings: &ServeSettings, state: &AppState) -> Result<(), ServerError> {
    let private = settings.listen.ip().is_loopback() && settings.public_url.is_none();
    if !private
        && state
            .store
            .find_organisation(demo::DEALERS[0].name)
            .await?
            .is_some()
    {
        eprintln!(
            "Caution: this database holds the demo, whose passwords everybody knows. Do not keep real \
             sites in it: start with an empty one (--data or --database-url)."
        );
    }
    if !private || settings.no_demo {
        return Ok(());
    }
    let made = if state.store.is_empty().await? {
        demo::seed(state, 0).await?
    } else if demo::is_here(state).await? {
        demo::Demo { invitation: None }
    } else {
        return Ok(());
    };
    print!("{}", demo::told(&state.address, &made));
    Ok(())
}

/// Makes good what a stop left behind, and from time to time what a new day or an hour did.
async fn keep_tidy(state: AppState) {
    loop {
        if let Err(error) = state.sweep_taken_out().await {
            tracing::error!(%error, "photos that were taken out could not be swept");
        }
        if let Err(error) = state.store.empty_log().await {
            tracing::warn!(%error, "the database's log could not be emptied");
        }
        if let Err(error) = state.store.forget_old_attempts(clock::now()).await {
            tracing::error!(%error, "old attempts to sign in could not be forgotten");
        }
        if let Err(error) = summary::refresh_stale(&state.store).await {
            tracing::error!(%error, "summaries could not be looked at");
        }
        tokio::time::sleep(LOOK_AGAIN).await;
    }
}

/// Waits to be told to stop, and tells everybody who listens.
async fn stop_asked(events: Events) {
    let interrupted = async {
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    #[cfg(unix)]
    let terminated = async {
        match tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate()) {
            Ok(mut signal) => {
                signal.recv().await;
            }
            Err(_) => std::future::pending::<()>().await,
        }
    };
    #[cfg(not(unix))]
    let terminated = std::future::pending::<()>();
    tokio::select! {
        () = interrupted => {}
        () = terminated => {}
    }
    events.stop();
}
