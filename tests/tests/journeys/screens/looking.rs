//! Looking at one screen: opened, brought into its state, then probed in every way it may be held or set.

use serde_json::{Value, json};
use setdown_tests::browser::{Browser, DESK, Failure, PHONE, Size};
use setdown_tests::yard::LIMIT;
use std::path::{Path, PathBuf};

use super::sheet;

/// One screen in one state.
pub struct Visit {
    /// What it is called on the contact sheet.
    pub name: String,
    /// The address to open; `None` stays where the visit before has led.
    pub address: Option<String>,
    /// Scripts that bring it into its state: each is tried until it returns true.
    pub steps: Vec<String>,
    /// What the browser itself is expected to log as an error, such as an answer of 401.
    pub logs: &'static [&'static str],
}

impl Visit {
    /// A screen as it opens.
    pub fn new(name: impl Into<String>, address: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            address: Some(address.into()),
            steps: Vec::new(),
            logs: &[],
        }
    }

    /// The same screen in a further state.
    pub fn then(name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            address: None,
            steps: Vec::new(),
            logs: &[],
        }
    }

    /// Runs a script until it returns true.
    pub fn until(mut self, script: impl Into<String>) -> Self {
        self.steps.push(script.into());
        self
    }

    /// Clicks the first element that `selector` finds.
    pub fn click(self, selector: &str) -> Self {
        let selector = json!(selector);
        self.until(format!(
            "const one = document.querySelector({selector}); if (!one) return false; one.click(); return true;"
        ))
    }

    /// Clicks the first button, label or link whose text begins with `text`.
    pub fn press(self, text: &str) -> Self {
        let text = json!(text);
        self.until(format!(
            "const all = [...document.querySelectorAll('button, label, a, summary')];\
             const one = all.find((each) => each.textContent.trim().startsWith({text}) && each.checkVisibility());\
             if (!one || one.disabled) return false; one.click(); return true;"
        ))
    }

    /// Writes into the first input that `selector` finds.
    pub fn write(self, selector: &str, text: &str) -> Self {
        let (selector, text) = (json!(selector), json!(text));
        self.until(format!(
            "const field = document.querySelector({selector}); if (!field) return false; field.value = {text};\
             field.dispatchEvent(new Event('input', {{ bubbles: true }})); return true;"
        ))
    }

    /// Waits for an element.
    pub fn wait_for(self, selector: &str) -> Self {
        let selector = json!(selector);
        self.until(format!(
            "const one = document.querySelector({selector}); return !!one && one.checkVisibility();"
        ))
    }

    /// Expects the browser to log these.
    pub fn logs(mut self, logs: &'static [&'static str]) -> Self {
        self.logs = logs;
        self
    }
}

/// A way of holding and setting the device.
#[derive(Debug, Clone, Copy)]
pub struct Mode {
    /// Added to the picture's name.
    pub name: &'static str,
    /// The window.
    pub size: Size,
    /// Whether the system is set to dark.
    pub dark: bool,
    /// The size of text the person has set, in percent of the usual.
    pub text: u32,
    /// What is probed.
    pub probe: Probe,
}

/// What is probed in a mode.
#[derive(Debug, Clone, Copy)]
pub struct Probe {
    /// Target sizes and distances.
    pub targets: bool,
    /// The independent checker.
    pub axe: bool,
    /// The way of the focus.
    pub focus: bool,
}

const ALL: Probe = Probe {
    targets: true,
    axe: true,
    focus: true,
};
/// A phone upright, in the light.
pub const UPRIGHT: Mode = Mode {
    name: "",
    size: PHONE,
    dark: false,
    text: 100,
    probe: ALL,
};
/// The same with the system set to dark.
pub const DARK: Mode = Mode {
    name: ".dark",
    dark: true,
    probe: Probe {
        focus: false,
        ..ALL
    },
    ..UPRIGHT
};
/// The same with text at twice its size.
pub const LARGE_TEXT: Mode = Mode {
    name: ".text-200",
    text: 200,
    probe: Probe {
        axe: false,
        focus: false,
        ..ALL
    },
    ..UPRIGHT
};
/// A phone held sideways.
pub const SIDEWAYS: Mode = Mode {
    name: ".sideways",
    size: Size {
        width: 844,
        height: 390,
    },
    probe: Probe {
        axe: false,
        focus: false,
        ..ALL
    },
    ..UPRIGHT
};
/// A desk: a mouse needs no 48 px.
pub const AT_DESK: Mode = Mode {
    name: ".desk",
    size: DESK,
    probe: Probe {
        targets: false,
        ..ALL
    },
    ..UPRIGHT
};
/// The office on a phone.
pub const OFFICE_PHONE: Mode = Mode {
    name: ".phone",
    probe: Probe {
        targets: false,
        ..ALL
    },
    ..UPRIGHT
};

/// A browser that looks at screens and collects what is wrong with them.
pub struct Looker<'a> {
    browser: &'a Browser,
    axe: String,
    area: &'static str,
    found: Vec<String>,
    seen: usize,
}

impl<'a> Looker<'a> {
    /// Looks at the screens of an area.
    pub fn new(browser: &'a Browser, area: &'static str) -> Result<Self, Failure> {
        sheet::clear(&format!("{area}-"))?;
        Ok(Self {
            browser,
            axe: std::fs::read_to_string(axe_script()?)?,
            area,
            found: Vec::new(),
            seen: 0,
        })
    }

    /// Opens a screen and looks at it in every mode.
    pub async fn visit(&mut self, visit: &Visit, modes: &[Mode]) -> Result<(), Failure> {
        if let Some(mode) = modes.first() {
            self.set(*mode).await?;
        }
        if let Some(address) = &visit.address {
            self.browser.open(address).await?;
        }
        let ready =
            "return !!document.querySelector('#app h1') && !document.querySelector('.starting');";
        let opened = self.browser.until("the screen", LIMIT, ready).await;
        opened.map_err(|error| format!("{}: {error}", visit.name))?;
        for step in &visit.steps {
            let done = self.browser.until(step, LIMIT, step).await;
            if let Err(error) = done {
                // The other screens are looked at all the same.
                self.found.push(format!(
                    "{}-{}: cannot be brought about: {error}",
                    self.area, visit.name
                ));
                break;
            }
        }
        for mode in modes {
            self.look(visit, *mode).await?;
        }
        self.listen(visit).await
    }

    async fn look(&mut self, visit: &Visit, mode: Mode) -> Result<(), Failure> {
        self.set(mode).await?;
        settle(self.browser).await?;
        let name = format!("{}-{}{}", self.area, visit.name, mode.name);
        sheet::keep(&name, &self.browser.client.screenshot().await?)?;
        if mode.probe.axe {
            // As high as its content, so that a bar that sticks covers nothing: what may be scrolled from below it is
            // no smaller for that. Whether the focus ever stays below a bar is looked at on its own.
            self.resize(mode.size.width, self.height().await?.max(mode.size.height))
                .await?;
            self.browser
                .run(&format!("{}; return true;", self.axe))
                .await?;
        }
        let wanted = json!({ "targets": mode.probe.targets, "axe": mode.probe.axe });
        let script =
            include_str!("probe.js").replace("WANTED", &json!(wanted.to_string()).to_string());
        let answer = self.browser.run_async(&script).await;
        let answer = answer.map_err(|error| format!("{name}: {error}"))?;
        self.add(&name, &answer);
        self.resize(mode.size.width, mode.size.height).await?;
        if mode.probe.focus {
            self.follow_focus(&name).await?;
        }
        self.keep_whole(&name, mode).await?;
        self.seen += 1;
        Ok(())
    }

    /// Presses Tab all the way round, or for a good while: at every stop one sees where one is.
    async fn follow_focus(&mut self, name: &str) -> Result<(), Failure> {
        self.browser
            .run("document.activeElement.blur(); delete window.setdownFirstFocus; scrollTo(0, 0); return true;")
            .await?;
        for _ in 0..40 {
            let key = json!({ "key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9 });
            for kind in ["rawKeyDown", "keyUp"] {
                let mut event = key.clone();
                event["type"] = json!(kind);
                self.browser
                    .devtools("Input.dispatchKeyEvent", event)
                    .await?;
            }
            let at = self.browser.run(include_str!("focus.js")).await?;
            self.add(name, &at["problems"]);
            if at["end"] == true {
                break;
            }
        }
        self.browser
            .run("document.activeElement.blur(); scrollTo(0, 0); return true;")
            .await?;
        Ok(())
    }

    /// A picture of the whole page where it is longer than the window.
    async fn keep_whole(&self, name: &str, mode: Mode) -> Result<(), Failure> {
        let height = self.height().await?;
        if height <= mode.size.height || !mode.probe.focus {
            return Ok(());
        }
        self.resize(mode.size.width, height).await?;
        sheet::keep(
            &format!("{name}.whole"),
            &self.browser.client.screenshot().await?,
        )
    }

    /// How high the page is.
    async fn height(&self) -> Result<u32, Failure> {
        let height = self
            .browser
            .run("return document.documentElement.scrollHeight;")
            .await?;
        let height = height
            .as_u64()
            .and_then(|height| u32::try_from(height).ok());
        Ok(height.unwrap_or_default().min(6_000))
    }

    async fn set(&self, mode: Mode) -> Result<(), Failure> {
        self.resize(mode.size.width, mode.size.height).await?;
        let scheme = if mode.dark { "dark" } else { "light" };
        let media = json!({ "features": [{ "name": "prefers-color-scheme", "value": scheme }] });
        self.browser
            .devtools("Emulation.setEmulatedMedia", media)
            .await?;
        let size = 16 * mode.text / 100;
        let sizes = json!({ "fontSizes": { "standard": size, "fixed": size } });
        self.browser.devtools("Page.setFontSizes", sizes).await?;
        Ok(())
    }

    async fn resize(&self, width: u32, height: u32) -> Result<(), Failure> {
        let metrics = json!({
            "width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 1000,
        });
        self.browser
            .devtools("Emulation.setDeviceMetricsOverride", metrics)
            .await?;
        Ok(())
    }

    /// Nothing is logged as an error but what was expected.
    async fn listen(&mut self, visit: &Visit) -> Result<(), Failure> {
        for line in self.browser.console_errors().await? {
            if !visit.logs.iter().any(|expected| line.contains(expected)) {
                self.found
                    .push(format!("{}-{}: console: {line}", self.area, visit.name));
            }
        }
        Ok(())
    }

    fn add(&mut self, name: &str, problems: &Value) {
        for problem in problems.as_array().into_iter().flatten() {
            let text = problem
                .as_str()
                .map_or_else(|| problem.to_string(), str::to_owned);
            self.found.push(format!("{name}: {text}"));
        }
    }

    /// Writes the contact sheet; fails with everything that was found.
    pub fn finish(mut self) -> Result<(), Failure> {
        sheet::write_page()?;
        assert!(self.seen > 0, "no screen was looked at");
        self.found.dedup();
        if self.found.is_empty() {
            return Ok(());
        }
        let report = sheet::folder().join(format!("{}-found.txt", self.area));
        std::fs::write(&report, self.found.join("\n"))?;
        Err(format!(
            "{} screens of {} have {} faults, all in {}; the first:\n{}",
            self.seen,
            self.area,
            self.found.len(),
            report.display(),
            self.found
                .iter()
                .take(40)
                .cloned()
                .collect::<Vec<_>>()
                .join("\n")
        )
        .into())
    }
}

/// Waits until two frames have been drawn.
async fn settle(browser: &Browser) -> Result<(), Failure> {
    browser
        .run_async(
            "await new Promise((go) => requestAnimationFrame(() => requestAnimationFrame(go)));\
             await new Promise((go) => setTimeout(go, 120)); return true;",
        )
        .await?;
    Ok(())
}

/// Where the pinned Python package keeps the script.
fn axe_script() -> Result<PathBuf, Failure> {
    let libraries = Path::new(env!("CARGO_MANIFEST_DIR")).join(".venv/lib");
    let missing = "axe's script is not in tests/.venv: run `make test`, which installs tests/requirements.txt";
    let folders = std::fs::read_dir(&libraries).map_err(|_| missing)?;
    folders
        .filter_map(|folder| Some(folder.ok()?.path()))
        .map(|folder| folder.join("site-packages/axe_playwright_python/axe.min.js"))
        .find(|script| script.exists())
        .ok_or_else(|| missing.into())
}
