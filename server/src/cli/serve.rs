//! `serve`: opens everything, answers until told to stop, and ends every connection in order.

use std::net::SocketAddr;
use std::time::Duration;

use axum::Router;
use tokio::net::TcpListener;

use crate::error::ServerError;
use crate::events::Events;
use crate::settings::ServeSettings;
use crate::state::AppState;
use crate::tidying::Tidying;
use crate::web::{self, assets::Assets, headers};
use crate::{api, demo};

/// How often summaries are looked at for a new day, and attempts to sign in for old ones.
const LOOK_AGAIN: Duration = Duration::from_secs(10 * 60);
/// How long open requests, and what follows pushes, may still take after a stop was asked for.
const GRACE: Duration = Duration::from_secs(10);
/// How long the database may take to be closed: where something hangs in it, it is left as a kill would leave it.
const CLOSING: Duration = Duration::from_secs(2);

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
    let router = router(&state, &assets).into_make_service_with_connect_info::<SocketAddr>();
    let server = axum::serve(listener, router).with_graceful_shutdown(stop_asked(events.clone()));
    let mut stopping = events.stopping();
    tokio::select! {
        ended = async {
            let ended = server.await;
            state.follow_ups.over().await;
            ended
        } => ended?,
        () = async {
            let _ = stopping.wait_for(|stopping| *stopping).await;
            tokio::time::sleep(GRACE).await;
            tracing::warn!("what was still under way is cut off; the next start makes it good");
        } => {}
    }
    let _ = tokio::time::timeout(CLOSING, state.store.close()).await;
    Ok(())
}

/// Everything the server answers.
pub fn router(state: &AppState, assets: &Assets) -> Router {
    headers::secure(web::pages(assets).merge(api::routes(state)), state.https)
}

/// Prints the demo's sign-ins, after seeding it where the database is empty and either nobody outside this machine can
/// reach it or the demo is to be open.
async fn greet(settings: &ServeSettings, state: &AppState) -> Result<(), ServerError> {
    let private = settings.listen.ip().is_loopback() && settings.public_url.is_none();
    let wanted = (private || settings.open_demo) && !settings.no_demo;
    let made = if wanted && state.store.is_empty().await? {
        Some(demo::seed(state, 0).await?)
    } else {
        let here = demo::is_here(state).await?;
        here.then_some(demo::Demo { invitation: None })
    };
    match &made {
        Some(_) if !private => eprintln!(
            "Caution: this database holds the demo, whose passwords everybody knows. Do not keep real \
             sites in it: start with an empty one (--data or --database-url)."
        ),
        None if state.store.is_empty().await? => println!(
            "The database is empty, so nobody can sign in yet: make a dealer's people with \
             `setdown-server add-person`. For a showing, --open-demo puts the demo in instead."
        ),
        _ => {}
    }
    if let Some(made) = made.filter(|_| wanted) {
        print!("{}", demo::told(&state.address, &made));
    }
    Ok(())
}

/// Makes good what a stop left behind, and from time to time what a new day or an hour did.
async fn keep_tidy(state: AppState) {
    let mut tidying = Tidying::default();
    loop {
        tidying.round(&state).await;
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
