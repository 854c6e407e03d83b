//! The one error type of the server, and how it is told to a caller: problem details (RFC 9457).

use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use setdown_types::wire::Problem;

/// Everything that can go wrong behind a request or a command.
#[derive(Debug, thiserror::Error)]
pub enum ServerError {
    /// The database refused or could not be reached.
    #[error("the database: {0}")]
    Database(#[from] sqlx::Error),
    /// The tables could not be brought up to date.
    #[error("the database's tables cannot be brought up to date: {0}")]
    Migration(#[from] sqlx::migrate::MigrateError),
    /// The photo store refused or could not be reached.
    #[error("the photo store: {0}")]
    Photos(#[from] object_store::Error),
    /// A file could not be read or written.
    #[error("{path}: {source}")]
    File {
        /// Which one.
        path: String,
        /// The system's reason.
        source: std::io::Error,
    },
    /// What was sent cannot be used; the text says what to do.
    #[error("{0}")]
    BadInput(String),
    /// A setting cannot be used; the text says what to do.
    #[error("{0}")]
    Setting(String),
    /// A row holds something this version cannot read.
    #[error("the database holds something this version cannot read: {0}")]
    Unreadable(String),
    /// Something that should not happen; nothing was written.
    #[error("{0}")]
    Internal(String),
    /// Nobody is signed in, or the session has ended.
    #[error("nobody is signed in")]
    SignedOut,
    /// Name and password do not fit.
    #[error("name and password do not fit")]
    WrongPassword,
    /// The invitation is unknown, revoked or over.
    #[error("the invitation does not open")]
    InvitationClosed,
    /// Signed in, but not as somebody who may do this.
    #[error("not allowed: {0}")]
    Forbidden(String),
    /// There is no such thing here, or it belongs to somebody else.
    #[error("{0} not found")]
    NotFound(&'static str),
    /// A site is pinned to a sheet that is not there.
    #[error("the {0} that this site is pinned to is not in this database")]
    NoSheet(&'static str),
    /// There is a site of this id already (its name), and it is not the one that is asked for.
    #[error("another site of this id is there: {0}")]
    SiteThere(String),
    /// It was there once and was taken out on purpose.
    #[error("{0}")]
    Gone(String),
    /// Longer than the limit, in bytes.
    #[error("longer than {0} bytes")]
    TooLarge(usize),
    /// Not the content type this address takes.
    #[error("content type not taken: {0}")]
    ContentType(String),
    /// The address exists, but not with this method.
    #[error("method not allowed")]
    Method,
    /// The sender speaks another version of the messages.
    #[error("messages of version {0} are no longer spoken")]
    Protocol(u32),
    /// Too many failed attempts; how many seconds to wait.
    #[error("too many attempts: wait {0} s")]
    TooMany(i64),
    /// It took too long.
    #[error("it took too long")]
    TimedOut,
    /// The server is stopping.
    #[error("the server is stopping")]
    Stopping,
}

impl ServerError {
    /// The HTTP status that tells it.
    pub const fn status(&self) -> StatusCode {
        match self {
            Self::BadInput(_) => StatusCode::BAD_REQUEST,
            Self::SignedOut | Self::WrongPassword | Self::InvitationClosed => {
                StatusCode::UNAUTHORIZED
            }
            Self::Forbidden(_) => StatusCode::FORBIDDEN,
            Self::NotFound(_) => StatusCode::NOT_FOUND,
            Self::NoSheet(_) | Self::SiteThere(_) => StatusCode::CONFLICT,
            Self::Gone(_) => StatusCode::GONE,
            Self::TooLarge(_) => StatusCode::PAYLOAD_TOO_LARGE,
            Self::ContentType(_) => StatusCode::UNSUPPORTED_MEDIA_TYPE,
            Self::Method => StatusCode::METHOD_NOT_ALLOWED,
            Self::Protocol(_) => StatusCode::UPGRADE_REQUIRED,
            Self::TooMany(_) => StatusCode::TOO_MANY_REQUESTS,
            Self::TimedOut => StatusCode::REQUEST_TIMEOUT,
            Self::Stopping => StatusCode::SERVICE_UNAVAILABLE,
            Self::Database(_)
            | Self::Migration(_)
            | Self::Photos(_)
            | Self::File { .. }
            | Self::Setting(_)
            | Self::Unreadable(_)
            | Self::Internal(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    /// A relative name of the problem, stable for programs.
    const fn kind(&self) -> &'static str {
        match self {
            Self::BadInput(_) => "/problems/cannot-be-read",
            Self::SignedOut => "/problems/signed-out",
            Self::WrongPassword => "/problems/wrong-password",
            Self::InvitationClosed => "/problems/invitation-closed",
            Self::Forbidden(_) => "/problems/not-allowed",
            Self::NotFound(_) => "/problems/not-found",
            Self::NoSheet(_) => "/problems/no-sheet",
            Self::SiteThere(_) => "/problems/site-there",
            Self::Gone(_) => "/problems/taken-out",
            Self::TooLarge(_) => "/problems/too-large",
            Self::ContentType(_) => "/problems/content-type",
            Self::Method => "/problems/method",
            Self::Protocol(_) => "/problems/update-needed",
            Self::TooMany(_) => "/problems/too-many-attempts",
            Self::TimedOut => "/problems/timed-out",
            Self::Stopping => "/problems/stopping",
            _ => "/problems/server",
        }
    }

    /// What happened, that nothing was lost, and what to do.
    fn detail(&self) -> String {
        match self {
            Self::BadInput(reason) => reason.clone(),
            Self::SignedOut => "Nobody is signed in, or the session has ended. What is on this device stays there: sign in again and it will be sent.".into(),
            Self::WrongPassword => "Name and password do not fit. Check both and try again.".into(),
            Self::InvitationClosed => "This invitation is unknown, has been revoked, or is over. Ask the office for a new link.".into(),
            Self::Forbidden(reason) => format!("{reason} Nothing was changed."),
            Self::NotFound(what) => format!("There is no such {what} here, or it is not yours to see."),
            Self::NoSheet(kind) => format!("The {kind} that this site is pinned to is not in this database, so nothing about the site can be worked out. Nothing was lost: on the server's machine bring that very sheet in again, from its file (`setdown-server catalogue` or `setdown-server practice` with --import-for) or from an archive that has it (`setdown-server import`). Or choose another sheet for it on the site's page in the office."),
            Self::SiteThere(name) => format!("This form has made its site already: '{name}'. What is sent now differs from it, and nothing was changed: open that site and change it there. For another site, load this page again."),
            Self::Gone(reason) => reason.clone(),
            Self::TooLarge(limit) => format!("More than {limit} bytes were sent; nothing was taken. Send it in smaller parts."),
            Self::ContentType(expected) => format!("This address takes {expected}. Nothing was taken."),
            Self::Method => "This address does not take that method. Nothing was changed.".into(),
            Self::Protocol(version) => format!("This server no longer speaks messages of version {version}. Keep everything as it is and update the app; then it will be sent."),
            Self::TooMany(seconds) => format!("Too many attempts, or too much at once. Nothing was lost: wait {seconds} seconds and try again."),
            Self::TimedOut => "It took too long and was given up. Nothing is lost: try again.".into(),
            Self::Stopping => "The server is stopping. Nothing is lost: try again in a moment.".into(),
            _ => "Something failed on the server. Nothing is lost: what was not acknowledged stays on your device and will be sent again.".into(),
        }
    }

    /// The problem as it is sent.
    pub fn problem(&self) -> Problem {
        let status = self.status();
        Problem {
            kind: self.kind().to_owned(),
            title: status.canonical_reason().unwrap_or("Problem").to_owned(),
            status: status.as_u16(),
            detail: self.detail(),
        }
    }
}

impl IntoResponse for ServerError {
    fn into_response(self) -> Response {
        if self.status().is_server_error() {
            tracing::error!(error = %self, "a request failed");
        }
        let body = serde_json::to_string(&self.problem()).unwrap_or_default();
        let mut response = (self.status(), body).into_response();
        let headers = response.headers_mut();
        headers.insert(
            header::CONTENT_TYPE,
            HeaderValue::from_static("application/problem+json"),
        );
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
        if let Self::TooMany(seconds) = self
            && let Ok(value) = HeaderValue::from_str(&seconds.to_string())
        {
            headers.insert(header::RETRY_AFTER, value);
        }
        response
    }
}
