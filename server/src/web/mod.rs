//! The web door: the shell behind every address, the packed files, and the headers on every answer.

pub mod assets;
pub mod headers;
pub mod shell;

use assets::Assets;
use axum::Router;

/// Every page and file a browser asks for outside `/api`: the shell under each area, the hashed files, the service
/// worker and the files of public/.
pub fn pages<S>(assets: &Assets) -> Router<S>
where
    S: Clone + Send + Sync + 'static,
{
    shell::routes(assets).merge(assets::routes(assets))
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::body::Body;
    use axum::http::{Request, Response, StatusCode};
    use tower::ServiceExt;

    const INDEX: &str = r#"{ "build": "b1", "inputs": "i", "previous": [], "precache": [],
        "assets": { "boot.js": "/assets/boot-1.js", "setdown.js": "/assets/setdown-2.js",
                    "setdown.wasm": "/assets/setdown-3.wasm", "setdown.css": "/assets/setdown-4.css" },
        "public": { "/manifest.webmanifest": "m1" } }"#;

    async fn ask(folder: &std::path::Path, address: &str) -> Response<Body> {
        let assets = Assets::load(folder).expect("a packed folder");
        let router = headers::secure(pages::<()>(&assets), true);
        let request = Request::get(address)
            .header("accept-encoding", "br")
            .body(Body::empty())
            .expect("a request");
        router
            .oneshot(request)
            .await
            .expect("the router never fails")
    }

    fn packed() -> tempfile::TempDir {
        let folder = tempfile::tempdir().expect("a folder");
        for (name, text) in [
            ("assets.json", INDEX),
            ("service-worker.js", "worker"),
            ("assets/setdown-3.wasm", "raw wasm"),
            ("assets/setdown-3.wasm.br", "packed wasm"),
            ("public/manifest.webmanifest", "{}"),
        ] {
            let path = folder.path().join(name);
            std::fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
            std::fs::write(path, text).expect("a file");
        }
        folder
    }

    fn header<'a>(answer: &'a Response<Body>, name: &str) -> &'a str {
        answer
            .headers()
            .get(name)
            .map_or("", |value| value.to_str().expect("text"))
    }

    #[tokio::test]
    async fn hashed_files_are_kept_for_good_and_a_missing_one_is_not_found() {
        let folder = packed();
        let wasm = ask(folder.path(), "/assets/setdown-3.wasm").await;
        assert_eq!(wasm.status(), StatusCode::OK);
        assert_eq!(header(&wasm, "content-type"), "application/wasm");
        assert_eq!(header(&wasm, "content-encoding"), "br");
        assert_eq!(header(&wasm, "vary"), "accept-encoding");
        assert_eq!(
            header(&wasm, "cache-control"),
            "public, max-age=31536000, immutable"
        );
        let missing = ask(folder.path(), "/assets/setdown-9.wasm").await;
        assert_eq!(missing.status(), StatusCode::NOT_FOUND);
        assert_eq!(header(&missing, "cache-control"), "no-store");
        let outside = ask(folder.path(), "/assets/..%2Fassets.json").await;
        assert_eq!(outside.status(), StatusCode::NOT_FOUND);
    }

    #[tokio::test]
    async fn every_address_of_the_app_gets_the_same_shell() {
        let folder = packed();
        let mut documents = Vec::new();
        for address in [
            "/",
            "/field",
            "/field/a/b",
            "/home",
            "/home/x",
            "/office",
            "/office/x",
            "/sign-in",
        ] {
            let answer = ask(folder.path(), address).await;
            assert_eq!(answer.status(), StatusCode::OK, "{address}");
            assert_eq!(header(&answer, "cache-control"), "no-cache", "{address}");
            assert_eq!(header(&answer, "x-setdown-build"), "b1", "{address}");
            documents.push(
                axum::body::to_bytes(answer.into_body(), 1 << 20)
                    .await
                    .expect("a body"),
            );
        }
        assert!(documents.windows(2).all(|pair| pair[0] == pair[1]));
        let text = String::from_utf8(documents[0].to_vec()).expect("text");
        assert!(
            text.contains(r#"<script type="module" src="/assets/boot-1.js">"#),
            "{text}"
        );
        assert!(
            !text.contains("style="),
            "the content policy blocks style attributes: {text}"
        );
        assert_eq!(
            text.matches("<script").count(),
            1,
            "no inline script: {text}"
        );
        assert_eq!(
            ask(folder.path(), "/fieldwork").await.status(),
            StatusCode::NOT_FOUND
        );
    }

    #[tokio::test]
    async fn worker_and_manifest_are_asked_for_again_and_every_answer_is_guarded() {
        let folder = packed();
        for address in [
            "/service-worker.js",
            "/manifest.webmanifest",
            "/field",
            "/assets/none.js",
            "/nowhere",
        ] {
            let answer = ask(folder.path(), address).await;
            assert_eq!(
                header(&answer, "content-security-policy"),
                headers::CONTENT_POLICY,
                "{address}"
            );
            assert_eq!(
                header(&answer, "x-content-type-options"),
                "nosniff",
                "{address}"
            );
            assert_eq!(
                header(&answer, "strict-transport-security"),
                "max-age=31536000",
                "{address}"
            );
        }
        assert_eq!(
            header(
                &ask(folder.path(), "/service-worker.js").await,
                "cache-control"
            ),
            "no-cache"
        );
        assert_eq!(
            header(
                &ask(folder.path(), "/manifest.webmanifest").await,
                "cache-control"
            ),
            "no-cache"
        );
    }

    #[test]
    fn a_missing_folder_says_what_to_run() {
        let folder = tempfile::tempdir().expect("a folder");
        let error = Assets::load(folder.path())
            .expect_err("nothing is packed there")
            .to_string();
        assert!(error.contains("make pack"), "{error}");
    }
}
