//! An S3-compatible bucket on loopback, in this process: a peer that is not ours and checks signatures.

use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;

use hyper_util::rt::{TokioExecutor, TokioIo};
use hyper_util::server::conn::auto::Builder;
use s3s::auth::SimpleAuth;
use s3s::service::S3ServiceBuilder;
use s3s_fs::FileSystem;
use tempfile::TempDir;
use tokio::net::TcpListener;

/// The bucket's name.
const NAME: &str = "pictures";
/// Where in the bucket photos go.
const PREFIX: &str = "yard/photos";
/// The key that the peer knows.
const KEY: &str = "a-key-for-tests";
/// The secret that belongs to it.
const SECRET: &str = "a-secret-for-tests";

/// A bucket that ends with the test.
pub struct Bucket {
    /// Where the peer listens.
    pub address: SocketAddr,
    folder: TempDir,
}

impl Bucket {
    /// Starts the peer with an empty bucket.
    pub async fn start() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        std::fs::create_dir(folder.path().join(NAME)).expect("a bucket");
        let files = FileSystem::new(folder.path()).expect("a store of files");
        let mut builder = S3ServiceBuilder::new(files);
        builder.set_auth(SimpleAuth::from_single(KEY, SECRET));
        let service = builder.build();
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))
            .await
            .expect("a free port");
        let address = listener.local_addr().expect("an address");
        tokio::spawn(async move {
            while let Ok((socket, _)) = listener.accept().await {
                let service = service.clone();
                tokio::spawn(async move {
                    let server = Builder::new(TokioExecutor::new());
                    let _ = server.serve_connection(TokioIo::new(socket), service).await;
                });
            }
        });
        Self { address, folder }
    }

    /// The URL as it is given to the server.
    pub fn url(&self) -> String {
        format!(
            "s3://{NAME}/{PREFIX}?endpoint=http://{}&region=here",
            self.address
        )
    }

    /// The variables that carry the key, with this secret.
    pub fn variables(&self, secret: &str) -> Vec<(String, String)> {
        [
            ("AWS_ACCESS_KEY_ID", KEY),
            ("AWS_SECRET_ACCESS_KEY", secret),
        ]
        .map(|(name, value)| (name.to_owned(), value.to_owned()))
        .to_vec()
    }

    /// The right secret.
    pub const fn secret(&self) -> &'static str {
        SECRET
    }

    /// The folder in which the peer keeps what the server wrote.
    pub fn kept(&self) -> PathBuf {
        self.folder.path().join(NAME).join(PREFIX)
    }
}
