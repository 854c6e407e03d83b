//! The packed folder: reads its index at start, and hands out its files with the right caching.

use axum::Router;
use axum::http::HeaderValue;
use axum::http::header::CACHE_CONTROL;
use serde::Deserialize;
use setdown_app::shell::ShellAssets;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use tower::ServiceBuilder;
use tower_http::services::{ServeDir, ServeFile};
use tower_http::set_header::SetResponseHeaderLayer;

/// Why the packed folder cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum AssetsError {
    /// The index could not be read.
    #[error(
        "cannot read {path}: {source}; pack the app first with `make pack`, or name its folder with --dist"
    )]
    Read {
        /// The index's path.
        path: PathBuf,
        /// The system's reason.
        source: std::io::Error,
    },
    /// The index is not what the packer writes.
    #[error(
        "{path} is not an index this server understands ({source}); pack the app again with `make pack`"
    )]
    Parse {
        /// The index's path.
        path: PathBuf,
        /// The reason.
        source: serde_json::Error,
    },
    /// The index lacks a file the shell needs.
    #[error("{path} names no {logical}; pack the app again with `make pack`")]
    Missing {
        /// The index's path.
        path: PathBuf,
        /// The missing file's logical name.
        logical: &'static str,
    },
    /// The build's id cannot stand in a header.
    #[error("{path} carries an unusable build id; pack the app again with `make pack`")]
    Build {
        /// The index's path.
        path: PathBuf,
    },
}

/// The part of the packer's `assets.json` that the server reads.
#[derive(Deserialize)]
struct Index {
    build: String,
    assets: BTreeMap<String, String>,
    public: BTreeMap<String, String>,
}

/// One packed build, ready to be handed out.
#[derive(Debug, Clone)]
pub struct Assets {
    folder: PathBuf,
    shell: ShellAssets,
    build_header: HeaderValue,
    public: Vec<String>,
}

impl Assets {
    /// Reads the index of the packed folder.
    ///
    /// # Errors
    /// [`AssetsError`] where the folder holds no usable build; its text says what to run.
    pub fn load(folder: &Path) -> Result<Self, AssetsError> {
        let path = folder.join("assets.json");
        let bytes = std::fs::read(&path).map_err(|source| AssetsError::Read {
            path: path.clone(),
            source,
        })?;
        let index: Index = serde_json::from_slice(&bytes).map_err(|source| AssetsError::Parse {
            path: path.clone(),
            source,
        })?;
        let address = |logical: &'static str| {
            index
                .assets
                .get(logical)
                .cloned()
                .ok_or_else(|| AssetsError::Missing {
                    path: path.clone(),
                    logical,
                })
        };
        let shell = ShellAssets {
            boot_script: address("boot.js")?,
            style: address("setdown.css")?,
            build: index.build,
        };
        let build_header = HeaderValue::from_str(&shell.build)
            .map_err(|_| AssetsError::Build { path: path.clone() })?;
        Ok(Self {
            folder: folder.to_owned(),
            shell,
            build_header,
            public: index.public.into_keys().collect(),
        })
    }

    /// What the shell names.
    pub fn shell(&self) -> &ShellAssets {
        &self.shell
    }

    /// The build's id, as a header's value.
    pub fn build_header(&self) -> HeaderValue {
        self.build_header.clone()
    }
}

/// Routes for the hashed files (cached for good; a missing one is 404), the service worker and public/ (always asked
/// again).
pub fn routes<S>(assets: &Assets) -> Router<S>
where
    S: Clone + Send + Sync + 'static,
{
    let hashed = ServiceBuilder::new()
        .layer(SetResponseHeaderLayer::overriding(
            CACHE_CONTROL,
            hashed_caching,
        ))
        .service(
            ServeDir::new(assets.folder.join("assets"))
                .append_index_html_on_directories(false)
                .precompressed_br(),
        );
    let named = |path: PathBuf| {
        ServiceBuilder::new()
            .layer(SetResponseHeaderLayer::overriding(
                CACHE_CONTROL,
                HeaderValue::from_static("no-cache"),
            ))
            .service(ServeFile::new(path).precompressed_br())
    };
    let router = Router::new().nest_service("/assets", hashed).route_service(
        "/service-worker.js",
        named(assets.folder.join("service-worker.js")),
    );
    assets.public.iter().fold(router, |router, address| {
        let path = assets
            .folder
            .join("public")
            .join(address.trim_start_matches('/'));
        router.route_service(address, named(path))
    })
}

/// A hashed file never changes; a 404 for one must not be remembered.
#[expect(
    clippy::unnecessary_wraps,
    reason = "the header layer asks for an option"
)]
fn hashed_caching<B>(answer: &axum::http::Response<B>) -> Option<HeaderValue> {
    let kept =
        answer.status().is_success() || answer.status() == axum::http::StatusCode::NOT_MODIFIED;
    Some(HeaderValue::from_static(if kept {
        "public, max-age=31536000, immutable"
    } else {
        "no-store"
    }))
}
