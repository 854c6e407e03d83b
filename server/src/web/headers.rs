//! Security headers on every answer.

use axum::Router;
use axum::http::header::{
    CONTENT_SECURITY_POLICY, REFERRER_POLICY, STRICT_TRANSPORT_SECURITY, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderName, HeaderValue};
use axum::middleware::map_response;
use axum::response::Response;

/// Only own scripts and own wasm run; nothing is loaded from elsewhere; nobody frames the app.
pub const CONTENT_POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; \
     img-src 'self' blob: data:; connect-src 'self'; manifest-src 'self'; worker-src 'self'; \
     frame-ancestors 'none'; base-uri 'none'; form-action 'self'";

const ALWAYS: [(HeaderName, &str); 5] = [
    (CONTENT_SECURITY_POLICY, CONTENT_POLICY),
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (REFERRER_POLICY, "no-referrer"),
    (
        HeaderName::from_static("permissions-policy"),
        "camera=(self), geolocation=(), microphone=()",
    ),
    (
        HeaderName::from_static("cross-origin-opener-policy"),
        "same-origin",
    ),
];

/// Puts the security headers on every answer of `router`; `https` says that people reach it by HTTPS only.
pub fn secure<S>(router: Router<S>, https: bool) -> Router<S>
where
    S: Clone + Send + Sync + 'static,
{
    router.layer(map_response(move |answer: Response| async move {
        with_headers(answer, https)
    }))
}

fn with_headers(mut answer: Response, https: bool) -> Response {
    let headers = answer.headers_mut();
    for (name, value) in ALWAYS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if https {
        headers.insert(
            STRICT_TRANSPORT_SECURITY,
            HeaderValue::from_static("max-age=31536000"),
        );
    }
    answer
}
