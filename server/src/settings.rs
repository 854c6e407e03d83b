//! Every setting of the server, by flag or environment, in one table.

use std::net::SocketAddr;
use std::path::{Path, PathBuf};

use axum::http::HeaderName;
use clap::Args;

use crate::error::ServerError;
use crate::store::Store;

/// Where data lives: shared by every command that opens the store.
#[derive(Debug, Clone, Args)]
pub struct DataSettings {
    /// Folder of the database file and the photos, made if missing.
    #[arg(long, env = "SETDOWN_DATA", default_value = "data")]
    pub data: PathBuf,
    /// Database: sqlite://PATH?mode=rwc or postgres://… [default: a SQLite file in the data folder].
    #[arg(long, env = "DATABASE_URL", hide_env_values = true)]
    pub database_url: Option<String>,
    /// Photo store: a folder, or s3://BUCKET/PREFIX?endpoint=URL&region=NAME with the keys in AWS_ACCESS_KEY_ID and
    /// AWS_SECRET_ACCESS_KEY [default: photos/ in the data folder].
    #[arg(long, env = "SETDOWN_PHOTOS_URL")]
    pub photos_url: Option<String>,
}

/// How the server is reached.
#[derive(Debug, Clone, Args)]
pub struct ServeSettings {
    /// Where data lives.
    #[command(flatten)]
    pub data: DataSettings,
    /// Address and port to listen on.
    #[arg(long, env = "SETDOWN_LISTEN", default_value = "127.0.0.1:8080")]
    pub listen: SocketAddr,
    /// The address people use, such as https://setdown.example.org; cookies are Secure when it is HTTPS.
    #[arg(long, env = "SETDOWN_PUBLIC_URL")]
    pub public_url: Option<String>,
    /// The header in which a proxy on this machine names the client's address, such as X-Real-IP; the proxy must
    /// overwrite what the client sent. Attempts to sign in are counted by it.
    #[arg(long, env = "SETDOWN_ADDRESS_HEADER")]
    pub address_header: Option<String>,
    /// The packed app.
    #[arg(long, env = "SETDOWN_DIST", default_value = "dist")]
    pub dist: PathBuf,
    /// Leave an empty database empty, even on this machine only (otherwise it gets the demo on first start).
    #[arg(long, env = "SETDOWN_NO_DEMO")]
    pub no_demo: bool,
    /// Put the demo into an empty database also where others reach it, and let its people, whose passwords everybody
    /// knows, sign in from anywhere: for a showing, never beside real sites.
    #[arg(long, env = "SETDOWN_OPEN_DEMO")]
    pub open_demo: bool,
}

impl DataSettings {
    /// Settings with everything under one folder.
    pub fn under(folder: &Path) -> Self {
        Self {
            data: folder.to_owned(),
            database_url: None,
            photos_url: None,
        }
    }

    /// The database's URL; makes the data folder where SQLite needs it.
    pub fn database(&self) -> Result<String, ServerError> {
        match &self.database_url {
            Some(url) => Ok(url.clone()),
            None => {
                make_folder(&self.data)?;
                Ok(Store::sqlite_url(&self.data.join("setdown.sqlite")))
            }
        }
    }

    /// The photo store's URL or path.
    pub fn photos(&self) -> String {
        self.photos_url
            .clone()
            .unwrap_or_else(|| self.data.join("photos").display().to_string())
    }
}

impl ServeSettings {
    /// Whether people reach the server by HTTPS.
    pub fn https(&self) -> bool {
        self.public_url
            .as_deref()
            .is_some_and(|url| url.starts_with("https://"))
    }

    /// The header that names a client's address, where there is one.
    ///
    /// # Errors
    /// [`ServerError::Setting`] where no header can be named so.
    pub fn address_header(&self) -> Result<Option<HeaderName>, ServerError> {
        let name = self.address_header.as_deref();
        name.map(|name| {
            HeaderName::try_from(name).map_err(|_| {
                ServerError::Setting(format!(
                    "--address-header '{name}' must be the name of a header, such as X-Real-IP"
                ))
            })
        })
        .transpose()
    }

    /// Whether a proxy seems to stand in front whose header nobody named: then all callers have one address.
    pub fn callers_are_one(&self) -> bool {
        self.public_url.is_some() && self.address_header.is_none() && self.listen.ip().is_loopback()
    }

    /// The address people use, without a slash at its end.
    ///
    /// # Errors
    /// [`ServerError::Setting`] where it is no http or https address.
    pub fn address(&self) -> Result<String, ServerError> {
        let Some(url) = &self.public_url else {
            return Ok(format!("http://{}", self.listen));
        };
        let url = url.trim_end_matches('/');
        let host = url
            .strip_prefix("https://")
            .or_else(|| url.strip_prefix("http://"));
        match host {
            Some(host) if !host.is_empty() && !host.contains('/') => Ok(url.to_owned()),
            _ => Err(ServerError::Setting(format!(
                "--public-url '{url}' must be like https://setdown.example.org, without a path"
            ))),
        }
    }
}

/// Makes a folder and those above it.
pub fn make_folder(path: &Path) -> Result<(), ServerError> {
    std::fs::create_dir_all(path).map_err(|source| ServerError::File {
        path: path.display().to_string(),
        source,
    })
}
