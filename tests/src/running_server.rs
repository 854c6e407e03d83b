//! A server that can really be stopped: it runs on a runtime of its own, and stopping ends every connection.

use crate::browser::Failure;
use axum::Router;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::time::Duration;
use tokio::runtime::{Builder, Runtime};

/// A server listening on this machine.
pub struct RunningServer {
    runtime: Option<Runtime>,
    address: SocketAddr,
}

impl RunningServer {
    /// Serves `router` on `port` (0 for any free one).
    pub fn start(router: Router, port: u16) -> Result<Self, Failure> {
        let runtime = Builder::new_multi_thread()
            .worker_threads(1)
            .enable_all()
            .build()?;
        let (sender, receiver) = std::sync::mpsc::channel();
        runtime.spawn(async move {
            match tokio::net::TcpListener::bind((Ipv4Addr::LOCALHOST, port)).await {
                Ok(listener) => {
                    let _ = sender.send(listener.local_addr());
                    let _ = axum::serve(listener, router).await;
                }
                Err(error) => {
                    let _ = sender.send(Err(error));
                }
            }
        });
        let address = receiver.recv_timeout(Duration::from_secs(10))??;
        Ok(Self {
            runtime: Some(runtime),
            address,
        })
    }

    /// The port it listens on, to start the next one at the same address.
    pub fn port(&self) -> u16 {
        self.address.port()
    }

    /// The full address of `path`. The name `localhost` counts as a secure context, which service workers need.
    pub fn at(&self, path: &str) -> String {
        format!("http://localhost:{}{path}", self.port())
    }

    /// Stops it: listener and every open connection are gone when this returns; proven by a refused connection.
    pub fn stop(mut self) -> Result<(), Failure> {
        let address = self.address;
        self.shut();
        match std::net::TcpStream::connect_timeout(&address, Duration::from_secs(2)) {
            Ok(_) => Err(format!("something still answers on {address}").into()),
            Err(_) => Ok(()),
        }
    }

    fn shut(&mut self) {
        if let Some(runtime) = self.runtime.take() {
            // On a thread of its own, because a runtime may not wait for another's end.
            let end = std::thread::spawn(move || runtime.shutdown_timeout(Duration::from_secs(5)));
            let _ = end.join();
        }
    }
}

impl Drop for RunningServer {
    fn drop(&mut self) {
        if let Some(runtime) = self.runtime.take() {
            runtime.shutdown_background();
        }
    }
}

/// The folder that `make pack` wrote.
pub fn packed_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../dist")
}
