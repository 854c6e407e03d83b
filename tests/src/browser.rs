//! A real browser for the journeys: one driver process per browser, a profile that outlives kills, phone or desk size.

use fantoccini::{Client, ClientBuilder, Locator};
use serde_json::{Value, json};
use std::error::Error;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use crate::yard::LIMIT;

/// How the harness reports a failure.
pub type Failure = Box<dyn Error + Send + Sync>;

/// A window size in CSS pixels.
#[derive(Debug, Clone, Copy)]
pub struct Size {
    /// Width.
    pub width: u32,
    /// Height.
    pub height: u32,
}

/// A phone held upright.
pub const PHONE: Size = Size {
    width: 390,
    height: 844,
};
/// A desk.
pub const DESK: Size = Size {
    width: 1440,
    height: 900,
};

/// A running browser; dropping it kills it and its driver.
pub struct Browser {
    /// The session to act through.
    pub client: Client,
    process: Option<u32>,
    driver: Child,
    driver_port: u16,
}

impl Browser {
    /// Starts a browser on `profile`, a folder that may be used again after [`Browser::kill`].
    pub async fn start(profile: &Path, size: Size) -> Result<Self, Failure> {
        setdown_server::photo_location::install_tls();
        let (driver, port) = start_driver()?;
        let mut guard = Guard(Some(driver));
        let client = ClientBuilder::new(connector())
            .capabilities(capabilities(profile, size)?)
            .connect(&format!("http://127.0.0.1:{port}"))
            .await?;
        let process = client
            .capabilities()
            .and_then(|given| given.get("goog:processID"))
            .and_then(Value::as_u64)
            .and_then(|id| u32::try_from(id).ok());
        let driver = guard.0.take().ok_or("the driver is gone")?;
        Ok(Self {
            client,
            process,
            driver,
            driver_port: port,
        })
    }

    /// Sends a command of the browser's developer tools protocol, such as `Storage.clearDataForOrigin`.
    pub async fn devtools(&self, command: &str, parameters: Value) -> Result<Value, Failure> {
        let session = self.client.session_id().await?.ok_or("no session")?;
        let address = format!(
            "http://127.0.0.1:{}/session/{session}/goog/cdp/execute",
            self.driver_port
        );
        let message = json!({ "cmd": command, "params": parameters });
        let answer = reqwest::Client::new().post(address).json(&message);
        let answer = answer.send().await?;
        let status = answer.status();
        let body: Value = answer.json().await?;
        if status.is_success() {
            Ok(body["value"].clone())
        } else {
            Err(format!("{command}: {body}").into())
        }
    }

    /// What the browser has logged as errors since the last time this was asked.
    pub async fn console_errors(&self) -> Result<Vec<String>, Failure> {
        let session = self.client.session_id().await?.ok_or("no session")?;
        let address = format!(
            "http://127.0.0.1:{}/session/{session}/se/log",
            self.driver_port
        );
        let asked = reqwest::Client::new().post(address);
        let answer = asked.json(&json!({ "type": "browser" })).send().await?;
        let body: Value = answer.error_for_status()?.json().await?;
        let lines = body["value"].as_array().ok_or("a list of log lines")?;
        Ok(lines
            .iter()
            .filter(|line| line["level"] == "SEVERE")
            .map(|line| line["message"].as_str().unwrap_or_default().to_owned())
            .collect())
    }

    /// Kills the browser as a phone kills an app: at once, without a chance to put anything away.
    pub fn kill(self) {
        drop(self);
    }

    /// Opens `address`.
    pub async fn open(&self, address: &str) -> Result<(), Failure> {
        Ok(self.client.goto(address).await?)
    }

    /// The text of the first element `selector` finds, waiting up to [`LIMIT`] for it.
    pub async fn text(&self, selector: &str) -> Result<String, Failure> {
        let element = self
            .client
            .wait()
            .at_most(LIMIT)
            .for_element(Locator::Css(selector))
            .await
            .map_err(|error| format!("no {selector} on the page: {error}"))?;
        Ok(element.text().await?)
    }

    /// Clicks the first element `selector` finds, waiting up to [`LIMIT`] for it.
    pub async fn click(&self, selector: &str) -> Result<(), Failure> {
        let found = self
            .client
            .wait()
            .at_most(LIMIT)
            .for_element(Locator::Css(selector))
            .await;
        let element = found.map_err(|error| format!("no {selector} to click: {error}"))?;
        Ok(element.click().await?)
    }

    /// Runs the body of a script function and returns what it returns.
    pub async fn run(&self, script: &str) -> Result<Value, Failure> {
        Ok(self.client.execute(script, Vec::new()).await?)
    }

    /// Runs the body of an asynchronous script function and returns what its promise becomes.
    pub async fn run_async(&self, script: &str) -> Result<Value, Failure> {
        let wrapped = format!(
            "const done = arguments[arguments.length - 1];\
             (async () => {{ {script} }})().then(done, (error) => done({{ failed: String(error) }}));"
        );
        let answer = self.client.execute_async(&wrapped, Vec::new()).await?;
        match answer.get("failed") {
            Some(reason) => Err(format!("script failed: {reason}").into()),
            None => Ok(answer),
        }
    }

    /// Runs `script` until it returns true, for at most `limit`.
    pub async fn until(&self, what: &str, limit: Duration, script: &str) -> Result<(), Failure> {
        let start = Instant::now();
        loop {
            // A page that is just loading again answers with an error; that is not yet a failure.
            let last = self.run(script).await;
            if matches!(last, Ok(Value::Bool(true))) {
                return Ok(());
            }
            if start.elapsed() > limit {
                return Err(format!("waited {limit:?} for {what}; last answer {last:?}").into());
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
    }

    /// Waits until a service worker is active and its build is whole on the device.
    pub async fn until_kept_for_offline(&self) -> Result<(), Failure> {
        self.run_async(
            "const ready = navigator.serviceWorker.ready.then(() => true);\
             const late = new Promise((_, no) => setTimeout(() => no('no worker became active'), 60000));\
             return await Promise.race([ready, late]);",
        )
        .await?;
        Ok(())
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        if let Some(process) = self.process {
            let _ = Command::new("kill")
                .args(["-9", &process.to_string()])
                .status();
        }
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

/// Kills a driver whose session never came to be.
struct Guard(Option<Child>);

impl Drop for Guard {
    fn drop(&mut self) {
        if let Some(driver) = &mut self.0 {
            let _ = driver.kill();
            let _ = driver.wait();
        }
    }
}

fn connector() -> hyper_util::client::legacy::connect::HttpConnector {
    hyper_util::client::legacy::connect::HttpConnector::new()
}

fn capabilities(profile: &Path, size: Size) -> Result<serde_json::Map<String, Value>, Failure> {
    let arguments = [
        "--headless".to_owned(),
        "--no-sandbox".to_owned(),
        "--disable-gpu".to_owned(),
        "--disable-quic".to_owned(),
        "--disable-dev-shm-usage".to_owned(),
        "--no-first-run".to_owned(),
        "--disable-background-networking".to_owned(),
        "--disable-component-update".to_owned(),
        "--disable-sync".to_owned(),
        "--hide-scrollbars".to_owned(),
        format!("--window-size={},{}", size.width, size.height),
        format!("--user-data-dir={}", profile.display()),
    ];
    let mut options = json!({ "args": arguments, "binary": browser_binary()? });
    if size.width < 500 {
        // Headless windows have a least width; emulation gives the page the phone's own.
        options["mobileEmulation"] = json!({
            "deviceMetrics": { "width": size.width, "height": size.height, "pixelRatio": 2.0, "touch": true }
        });
    }
    let capabilities = json!({
        "goog:chromeOptions": options,
        "goog:loggingPrefs": { "browser": "ALL" },
        "timeouts": { "script": 90_000, "pageLoad": 90_000 },
    });
    capabilities
        .as_object()
        .cloned()
        .ok_or_else(|| "capabilities are an object".into())
}

/// Starts a driver on a port of its own choice and waits until it says which.
fn start_driver() -> Result<(Child, u16), Failure> {
    let program = first_of(&[
        "/usr/bin/chromedriver",
        "/usr/lib/chromium/chromedriver",
        "/usr/local/bin/chromedriver",
    ])
    .ok_or("no chromedriver on this machine; install the package chromium-driver")?;
    let mut driver = Command::new(program)
        .arg("--port=0")
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()?;
    let stdout = driver.stdout.take();
    let mut guard = Guard(Some(driver));
    let mut lines = BufReader::new(stdout.ok_or("the driver has no output")?).lines();
    for line in lines.by_ref() {
        let line = line?;
        let Some(rest) = line.split("successfully on port ").nth(1) else {
            continue;
        };
        let port = rest.trim().trim_end_matches('.').parse()?;
        // The driver must never block on a full pipe.
        std::thread::spawn(move || lines.for_each(drop));
        let driver = guard.0.take().ok_or("the driver is gone")?;
        return Ok((driver, port));
    }
    Err("the driver ended without naming its port".into())
}

fn browser_binary() -> Result<PathBuf, Failure> {
    first_of(&[
        "/usr/bin/chromium",
        "/usr/bin/chromium-browser",
        "/usr/bin/google-chrome",
    ])
    .ok_or_else(|| "no Chromium on this machine; install the package chromium".into())
}

fn first_of(paths: &[&str]) -> Option<PathBuf> {
    paths.iter().map(PathBuf::from).find(|path| path.exists())
}
