//! Answers every address of the app with the same document, rendered once at start.

use super::assets::Assets;
use axum::Router;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::http::{HeaderName, HeaderValue};
use axum::routing::get;
use bytes::Bytes;

/// Names the build a shell belongs to; the service worker refuses to cache another build's shell.
pub const BUILD_HEADER: HeaderName = HeaderName::from_static("x-setdown-build");

/// The addresses below which the app's own router decides what is shown. `/field/{*any}` does not answer to `/field`,
/// so both are registered.
const AREAS: [&str; 4] = ["/field", "/home", "/office", "/sign-in"];

/// Routes that answer with the shell.
pub fn routes<S>(assets: &Assets) -> Router<S>
where
    S: Clone + Send + Sync + 'static,
{
    let document = Bytes::from(setdown_app::shell::shell_document(assets.shell()));
    let build = assets.build_header();
    let answer = get(move || async move {
        (
            [
                (
                    CONTENT_TYPE,
                    HeaderValue::from_static("text/html; charset=utf-8"),
                ),
                (CACHE_CONTROL, HeaderValue::from_static("no-cache")),
                (BUILD_HEADER, build),
            ],
            document,
        )
    });
    AREAS
        .iter()
        .fold(Router::new().route("/", answer.clone()), |router, area| {
            router
                .route(area, answer.clone())
                .route(&format!("{area}/{{*any}}"), answer.clone())
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use setdown_app::routes::ROUTES;

    #[test]
    fn every_route_of_the_app_lies_under_a_registered_area() {
        for spec in ROUTES {
            let below =
                |area: &str| spec.path == area || spec.path.starts_with(&format!("{area}/"));
            let reached = spec.path == "/" || AREAS.into_iter().any(below);
            assert!(reached, "{} reaches no shell", spec.path);
        }
    }
}
