//! A proxy in front of a server that can be told to lose answers or to let nothing through, as the way to a phone does.

use std::net::{Ipv4Addr, SocketAddr};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;

use crate::browser::Failure;

/// What happens to requests whose first line contains a text such as `POST /api/sync/push`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Weather {
    /// Everything gets through.
    Fair,
    /// They reach the server, it answers, and the answer is lost together with the connection.
    LosesAnswers(String),
    /// They never reach the server.
    Stops(String),
}

/// What connections share.
struct Shared {
    weather: Mutex<Weather>,
    lost: Mutex<usize>,
    /// Counts up to end every open connection.
    cut: watch::Sender<usize>,
}

/// A proxy on a port of its own; it ends with the runtime that started it.
pub struct Proxy {
    address: SocketAddr,
    shared: Arc<Shared>,
}

impl Proxy {
    /// Starts a proxy to `port` of this machine. Where nobody listens there, its connections end at once.
    pub async fn start(port: u16) -> Result<Self, Failure> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).await?;
        let address = listener.local_addr()?;
        let shared = Arc::new(Shared {
            weather: Mutex::new(Weather::Fair),
            lost: Mutex::new(0),
            cut: watch::Sender::new(0),
        });
        let given = Arc::clone(&shared);
        tokio::spawn(async move {
            while let Ok((client, _)) = listener.accept().await {
                tokio::spawn(connection(client, port, Arc::clone(&given)));
            }
        });
        Ok(Self { address, shared })
    }

    /// The full address of a path.
    pub fn at(&self, path: &str) -> String {
        format!("http://{}{path}", self.address)
    }

    /// Changes what happens from the next request on.
    pub fn set(&self, weather: Weather) {
        *locked(&self.shared.weather) = weather;
    }

    /// Ends every open connection, the ones that wait for news included.
    pub fn cut(&self) {
        self.shared.cut.send_modify(|count| *count += 1);
    }

    /// How many answers were lost so far.
    pub fn lost(&self) -> usize {
        *locked(&self.shared.lost)
    }

    /// Waits until more than `before` answers were lost.
    pub async fn until_lost(&self, before: usize, limit: Duration) -> Result<(), Failure> {
        let all = tokio::time::timeout(limit, async {
            while self.lost() <= before {
                tokio::time::sleep(Duration::from_millis(20)).await;
            }
        });
        all.await
            .map_err(|_| format!("no answer was lost within {limit:?}").into())
    }
}

fn locked<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// What becomes of the piece of a connection that was just read from the browser.
enum Fate {
    Passes,
    AnswerLost,
    Stopped,
}

impl Shared {
    /// Browsers put one request at a time on a connection, and its head into one piece.
    fn fate(&self, piece: &[u8]) -> Fate {
        let Some(line) = request_line(piece) else {
            return Fate::Passes;
        };
        match &*locked(&self.weather) {
            Weather::LosesAnswers(part) if line.contains(part) => Fate::AnswerLost,
            Weather::Stops(part) if line.contains(part) => Fate::Stopped,
            _ => Fate::Passes,
        }
    }
}

/// Carries bytes both ways until either side, the weather or a cut ends it.
async fn connection(mut client: TcpStream, port: u16, shared: Arc<Shared>) {
    let mut cut = shared.cut.subscribe();
    let Ok(mut server) = TcpStream::connect((Ipv4Addr::LOCALHOST, port)).await else {
        return;
    };
    let (mut up, mut down) = (vec![0; 64 * 1024], vec![0; 64 * 1024]);
    let mut loses = false;
    loop {
        tokio::select! {
            _ = cut.changed() => return,
            read = client.read(&mut up) => {
                let Some(piece) = some_piece(&up, read) else { return };
                match shared.fate(piece) {
                    Fate::Passes => {}
                    Fate::AnswerLost => loses = true,
                    Fate::Stopped => return,
                }
                if server.write_all(piece).await.is_err() { return }
            }
            read = server.read(&mut down) => {
                let Some(piece) = some_piece(&down, read) else { return };
                if loses {
                    *locked(&shared.lost) += 1;
                    return;
                }
                if client.write_all(piece).await.is_err() { return }
            }
        }
    }
}

/// The first line of a request; `None` for the rest of a body.
fn request_line(piece: &[u8]) -> Option<&str> {
    let line = piece.split(|byte| *byte == b'\r').next()?;
    let line = std::str::from_utf8(line).ok()?;
    line.ends_with(" HTTP/1.1").then_some(line)
}

/// The bytes just read; `None` at the end of the connection.
fn some_piece(buffer: &[u8], read: std::io::Result<usize>) -> Option<&[u8]> {
    buffer.get(..read.ok()?).filter(|piece| !piece.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    async fn ask(address: &str) -> Result<String, reqwest::Error> {
        reqwest::get(address).await?.text().await
    }

    #[tokio::test]
    async fn answers_are_lost_only_while_told_and_only_for_the_line_named() -> Result<(), Failure> {
        setdown_server::photo_location::install_tls();
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).await?;
        let port = listener.local_addr()?.port();
        let router = axum::Router::new()
            .route("/kept", axum::routing::get(|| async { "kept" }))
            .route("/other", axum::routing::get(|| async { "other" }));
        tokio::spawn(async move { axum::serve(listener, router).await });
        let proxy = Proxy::start(port).await?;
        assert_eq!(ask(&proxy.at("/kept")).await?, "kept");
        proxy.set(Weather::LosesAnswers("GET /kept".to_owned()));
        assert!(ask(&proxy.at("/kept")).await.is_err());
        assert!(proxy.lost() >= 1, "the server had answered");
        assert_eq!(ask(&proxy.at("/other")).await?, "other");
        proxy.set(Weather::Stops("GET /other".to_owned()));
        assert!(ask(&proxy.at("/other")).await.is_err());
        proxy.set(Weather::Fair);
        assert_eq!(ask(&proxy.at("/kept")).await?, "kept");
        Ok(())
    }
}
