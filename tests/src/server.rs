//! Servers for the API tests: the real routes over a fresh SQLite file or a fresh PostgreSQL database.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpListener as StdListener};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;
use std::time::{Duration, Instant};

use setdown_server::photo_store::PhotoStore;
use setdown_server::settings::DataSettings;
use setdown_server::state::AppState;
use setdown_server::{api, demo};
use sqlx::{AssertSqlSafe, Connection, PgConnection};
use tempfile::TempDir;
use uuid::Uuid;

use crate::bucket::Bucket;

/// The two databases that everything has to hold on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A file.
    Sqlite,
    /// A server that this harness starts.
    Postgres,
}

/// Both, for loops.
pub const BOTH: [Kind; 2] = [Kind::Sqlite, Kind::Postgres];

/// A server with the demo in it, on a free port.
pub struct World {
    /// Which database.
    pub kind: Kind,
    /// What the server works on.
    pub state: AppState,
    /// Where it listens.
    pub address: SocketAddr,
    /// Token of the invitation to the valley dealer's first site.
    pub invitation: String,
    /// Where its rows are, for a look past the server.
    pub database_url: String,
    folder: TempDir,
    bucket: Option<Bucket>,
}

/// Where photos go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Photos {
    /// A folder.
    Folder,
    /// A bucket of a peer that is not ours.
    Bucket,
}

/// Both databases with both photo stores, for loops.
pub const EVERYWHERE: [(Kind, Photos); 4] = [
    (Kind::Sqlite, Photos::Folder),
    (Kind::Postgres, Photos::Folder),
    (Kind::Sqlite, Photos::Bucket),
    (Kind::Postgres, Photos::Bucket),
];

impl World {
    /// Starts a server with the demo.
    pub async fn start(kind: Kind) -> Self {
        Self::start_with(kind, 0).await
    }

    /// Starts a server with the demo that keeps photos in this place.
    pub async fn start_at((kind, photos): (Kind, Photos)) -> Self {
        Self::begin(kind, 0, photos, |_| ()).await
    }

    /// Starts a server with the demo and `extra` more sites for the valley dealer.
    pub async fn start_with(kind: Kind, extra: u32) -> Self {
        Self::begin(kind, extra, Photos::Folder, |_| ()).await
    }

    /// Starts a server with the demo that is set up otherwise by `change`.
    pub async fn start_changed(kind: Kind, change: impl FnOnce(&mut AppState)) -> Self {
        Self::begin(kind, 0, Photos::Folder, change).await
    }

    async fn begin(
        kind: Kind,
        extra: u32,
        photos: Photos,
        change: impl FnOnce(&mut AppState),
    ) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let database_url = database(kind, folder.path()).await;
        let settings = DataSettings {
            database_url: Some(database_url.clone()),
            ..DataSettings::under(folder.path())
        };
        let listener = tokio::net::TcpListener::bind((Ipv4Addr::LOCALHOST, 0))
            .await
            .expect("a free port");
        let address = listener.local_addr().expect("an address");
        let mut state = AppState::open_data(&settings, &format!("http://{address}"))
            .await
            .expect("the store opens");
        let bucket = match photos {
            Photos::Folder => None,
            Photos::Bucket => Some(Bucket::start().await),
        };
        if let Some(bucket) = &bucket {
            let keys = bucket.variables(bucket.secret());
            state.photos = PhotoStore::open_with(&bucket.url(), keys).expect("the bucket opens");
        }
        let wanted = match kind {
            Kind::Sqlite => setdown_server::store::Database::Sqlite,
            Kind::Postgres => setdown_server::store::Database::Postgres,
        };
        assert_eq!(state.store.database(), wanted);
        let seeded = demo::seed(&state, extra).await.expect("the demo goes in");
        let link = seeded.invitation.expect("an invitation");
        change(&mut state);
        let router = api::routes(&state).into_make_service_with_connect_info::<SocketAddr>();
        tokio::spawn(async move { axum::serve(listener, router).await });
        Self {
            kind,
            state,
            address,
            database_url,
            invitation: link.rsplit('#').next().unwrap_or_default().to_owned(),
            folder,
            bucket,
        }
    }

    /// The full address of a path.
    pub fn at(&self, path: &str) -> String {
        format!("http://{}{path}", self.address)
    }

    /// The folder photos are kept in, by the server or by the bucket's peer.
    pub fn photos(&self) -> PathBuf {
        match &self.bucket {
            Some(bucket) => bucket.kept(),
            None => self.folder.path().join("photos"),
        }
    }
}

/// An empty store of this kind, in a folder that goes with it.
pub async fn empty(kind: Kind) -> (TempDir, AppState) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let settings = DataSettings {
        database_url: Some(database(kind, folder.path()).await),
        ..DataSettings::under(folder.path())
    };
    let state = AppState::open_data(&settings, "http://127.0.0.1")
        .await
        .expect("the store opens");
    (folder, state)
}

/// The URL of a new, empty database.
pub async fn database(kind: Kind, folder: &Path) -> String {
    match kind {
        Kind::Sqlite => setdown_server::store::Store::sqlite_url(&folder.join("setdown.sqlite")),
        Kind::Postgres => {
            let port = postgres().port;
            let name = format!("setdown_{}", Uuid::new_v4().simple());
            let url = |name: &str| format!("postgres://setdown@127.0.0.1:{port}/{name}");
            let mut connection = PgConnection::connect(&url("postgres"))
                .await
                .expect("PostgreSQL answers");
            sqlx::query(AssertSqlSafe(format!("CREATE DATABASE {name}")))
                .execute(&mut connection)
                .await
                .expect("a new database");
            url(&name)
        }
    }
}

/// A PostgreSQL cluster that ends with this process.
struct Cluster {
    port: u16,
    _shell: Child,
}

/// Makes a cluster, serves it until its standard input closes, and removes it. Because the end of
/// the test process closes that pipe, nothing stays behind even when a test is killed.
const SCRIPT: &str = r#"
set -e
cd /
folder=$(mktemp -d /tmp/setdown-postgres-XXXXXX)
"$1/initdb" -D "$folder/data" -A trust -U setdown --no-sync --encoding=UTF8 --locale=C >"$folder/log" 2>&1 \
  || { cat "$folder/log" >&2; rm -rf "$folder"; exit 1; }
"$1/postgres" -D "$folder/data" -p "$2" -c listen_addresses=127.0.0.1 -c fsync=off -c max_connections=400 \
  -c unix_socket_directories="$folder" >"$folder/log" 2>&1 </dev/null &
server=$!
tries=0
until "$1/pg_isready" -q -h 127.0.0.1 -p "$2"; do
  tries=$((tries + 1))
  [ "$tries" -lt 300 ] && kill -0 "$server" || { cat "$folder/log" >&2; rm -rf "$folder"; exit 1; }
  sleep 0.1
done
echo started
cat >/dev/null
kill -INT "$server"
wait "$server" || true
rm -rf "$folder"
"#;

fn postgres() -> &'static Cluster {
    static CLUSTER: OnceLock<Cluster> = OnceLock::new();
    CLUSTER.get_or_init(start_postgres)
}

fn start_postgres() -> Cluster {
    let programs = postgres_programs();
    let port = free_port();
    let mut command = as_ordinary_user();
    let mut shell = command
        .args(["-c", SCRIPT, "sh"])
        .arg(&programs)
        .arg(port.to_string())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("a shell");
    let out = shell.stdout.take().expect("its output is piped");
    let mut line = String::new();
    BufReader::new(out)
        .read_line(&mut line)
        .expect("its output");
    assert_eq!(
        line.trim(),
        "started",
        "PostgreSQL did not come up on port {port}"
    );
    Cluster {
        port,
        _shell: shell,
    }
}

/// PostgreSQL refuses to run as root: then its own user runs it.
fn as_ordinary_user() -> Command {
    let root = Command::new("id")
        .arg("-u")
        .output()
        .is_ok_and(|output| output.stdout.starts_with(b"0\n"));
    if root {
        let mut command = Command::new("runuser");
        command.args(["-u", "postgres", "--", "sh"]);
        command
    } else {
        Command::new("sh")
    }
}

fn postgres_programs() -> PathBuf {
    let mut found: Vec<PathBuf> = std::fs::read_dir("/usr/lib/postgresql")
        .into_iter()
        .flatten()
        .flatten()
        .map(|version| version.path().join("bin"))
        .filter(|folder| folder.join("initdb").exists())
        .collect();
    let path = std::env::var_os("PATH").unwrap_or_default();
    found.extend(std::env::split_paths(&path).filter(|folder| folder.join("initdb").exists()));
    found
        .into_iter()
        .next()
        .expect("PostgreSQL is missing: install it with `apt-get install postgresql`")
}

/// A port nobody listens on right now.
pub fn free_port() -> u16 {
    StdListener::bind((Ipv4Addr::LOCALHOST, 0))
        .and_then(|listener| listener.local_addr())
        .expect("a free port")
        .port()
}

/// The built program, as a process of its own that can be killed.
pub struct Program {
    child: Child,
    /// Where it listens.
    pub address: SocketAddr,
}

impl Program {
    /// Starts `serve` on `port` over a data folder; waits until it answers.
    pub fn serve(data: &Path, database_url: &str, port: u16) -> Self {
        Self::serve_with(data, database_url, port, &[])
    }

    /// The same with the packed app in `dist`, for browsers.
    pub fn serve_app(data: &Path, database_url: &str, port: u16, dist: &Path) -> Self {
        Self::begin(data, database_url, port, dist, &[])
    }

    /// The same as [`Self::serve`] with more flags.
    pub fn serve_with(data: &Path, database_url: &str, port: u16, flags: &[&str]) -> Self {
        let dist = data.join("dist");
        write_small_dist(&dist);
        Self::begin(data, database_url, port, &dist, flags)
    }

    fn begin(data: &Path, database_url: &str, port: u16, dist: &Path, flags: &[&str]) -> Self {
        let child = Command::new(program())
            .args(["serve", "--listen", &format!("127.0.0.1:{port}"), "--data"])
            .arg(data)
            .arg("--dist")
            .arg(dist)
            .args(flags)
            .env("DATABASE_URL", database_url)
            .stdout(Stdio::null())
            .spawn()
            .expect("the program starts");
        let address = SocketAddr::from((Ipv4Addr::LOCALHOST, port));
        let until = Instant::now() + Duration::from_secs(60);
        while !answers(address) {
            assert!(Instant::now() < until, "the program did not come up");
            std::thread::sleep(Duration::from_millis(50));
        }
        Self { child, address }
    }

    /// kill -9.
    pub fn kill(mut self) {
        self.child.kill().expect("it can be killed");
        self.child.wait().expect("it ends");
    }

    /// SIGTERM; gives how long it took to end, and whether it ended well.
    pub fn terminate(mut self) -> (Duration, bool) {
        let begun = Instant::now();
        Command::new("kill")
            .arg(self.child.id().to_string())
            .status()
            .expect("kill runs");
        let status = self.child.wait().expect("it ends");
        (begun.elapsed(), status.success())
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Whether a request gets an answer: a port that is bound while the demo still goes in does not count.
fn answers(address: SocketAddr) -> bool {
    let asked = || {
        let mut stream = std::net::TcpStream::connect(address)?;
        stream.set_read_timeout(Some(Duration::from_secs(5)))?;
        stream.write_all(b"GET / HTTP/1.0\r\n\r\n")?;
        stream.read(&mut [0; 16])
    };
    asked().is_ok_and(|read: usize| read > 0)
}

fn program() -> PathBuf {
    let test = std::env::current_exe().expect("the test's own path");
    let built = test
        .parent()
        .and_then(Path::parent)
        .map(|folder| folder.join("setdown-server"))
        .unwrap_or_default();
    assert!(
        built.exists(),
        "{} is missing: build it with `cargo build -p setdown-server`",
        built.display()
    );
    built
}

/// The least that counts as a packed app.
fn write_small_dist(folder: &Path) {
    let index = r#"{ "build": "test", "assets": { "boot.js": "/assets/boot.js",
        "setdown.js": "/assets/setdown.js", "setdown.wasm": "/assets/setdown.wasm",
        "setdown.css": "/assets/setdown.css" }, "public": {} }"#;
    std::fs::create_dir_all(folder).expect("a folder");
    std::fs::write(folder.join("assets.json"), index).expect("a file");
}
