//! Asks a Python script of `tests/oracles`, compares numbers, and draws numbers that are the same on every run.

use serde_json::Value;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

fn tests_folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The answer of `tests/oracles/{script}` to a request. Fails the test if Python or its libraries are missing.
pub fn ask(script: &str, request: &Value) -> Value {
    let python = tests_folder().join(".venv/bin/python");
    assert!(
        python.exists(),
        "{} is missing, and these comparisons are never skipped. Run `make test`, or: python3.11 -m venv tests/.venv \
         && tests/.venv/bin/pip install -r tests/requirements.txt",
        python.display()
    );
    run(&python, script, request)
}

fn run(python: &Path, script: &str, request: &Value) -> Value {
    let mut child = Command::new(python)
        .arg("-B")
        .arg(tests_folder().join("oracles").join(script))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the Python of tests/.venv starts");
    let mut input = child.stdin.take().expect("the pipe was asked for");
    input
        .write_all(request.to_string().as_bytes())
        .expect("the script reads its request");
    drop(input);
    let output = child.wait_with_output().expect("the script ends");
    assert!(
        output.status.success(),
        "{script} failed; if a library is missing, run `make test`:\n{}",
        String::from_utf8_lossy(&output.stderr)
    );
    serde_json::from_slice(&output.stdout).expect("the script answers with JSON")
}

/// The list at the top of an answer.
pub fn list(answer: &Value) -> &Vec<Value> {
    answer.as_array().expect("the answer is a list")
}

/// A number of an answer.
pub fn number(answer: &Value) -> f64 {
    answer
        .as_f64()
        .unwrap_or_else(|| panic!("not a number: {answer}"))
}

/// A list of numbers of an answer.
pub fn numbers(answer: &Value) -> Vec<f64> {
    list(answer).iter().map(number).collect()
}

/// Fails unless `ours` is within `share` of `theirs`, or within `share` of 1 for numbers near zero.
pub fn near(ours: f64, theirs: f64, share: f64, what: &str) {
    let allowed = share * theirs.abs().max(1.0);
    assert!(
        (ours - theirs).abs() <= allowed,
        "{what}: {ours} here, {theirs} there, allowed difference {allowed}"
    );
}

/// Fails unless `ours` rounds to the published figure: it is within half a unit of the figure's last place.
pub fn prints_as(ours: f64, published: f64, last_place: f64, source: &str) {
    assert!(
        (ours - published).abs() <= 0.5 * last_place * (1.0 + 1e-9),
        "{source}: {ours} here, {published} published"
    );
}

/// Numbers that look random and are the same on every run (the SplitMix64 sequence).
pub struct Draw(u64);

impl Draw {
    /// A sequence of its own for each seed.
    pub fn new(seed: u64) -> Self {
        Draw(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number from `low` up to `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        let part = (self.next() >> 11) as f64 / (1u64 << 53) as f64;
        low + part * (high - low)
    }

    /// A whole number from 0 up to but not including `end`.
    pub fn below(&mut self, end: u64) -> u64 {
        self.next() % end
    }
}
