//! The words on screens and sheets: templates by key, read from `en/*.txt`, and the wording of what the rules say.
//!
//! One entry a line, `key = template`; `#` begins a comment line; `{name}` is replaced by the argument of that name.
//! In keys that end in `.short`, an argument called `margin` is written without its sign: the words say which way.

mod line;
mod naming;
#[cfg(test)]
mod tests;

pub use line::{Wording, date_text, instant_text, number_text};
pub use naming::{check_title, question_title, refusal_reason, subject_name};

use std::collections::BTreeMap;
use std::sync::LazyLock;

/// Every words file by name, with its text; found by `build.rs`.
const FILES: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/words_files.rs"));

static TEMPLATES: LazyLock<BTreeMap<&'static str, &'static str>> =
    LazyLock::new(|| FILES.iter().flat_map(|(_, text)| entries(text)).collect());

/// The `key = template` pairs of one file's text; comments and lines without `=` are passed over.
fn entries(text: &'static str) -> impl Iterator<Item = (&'static str, &'static str)> {
    text.lines()
        .filter(|line| !line.trim_start().starts_with('#'))
        .filter_map(|line| line.split_once('='))
        .map(|(key, template)| (key.trim(), template.trim()))
        .filter(|(key, _)| !key.is_empty())
}

/// The template of `key`, if there is one.
pub fn find(key: &str) -> Option<&'static str> {
    TEMPLATES.get(key).copied()
}

/// Whether there are words for `key`.
pub fn has(key: &str) -> bool {
    TEMPLATES.contains_key(key)
}

/// The words of `key` without arguments. A key without words is shown itself, in brackets, so that it is noticed and
/// still says something.
///
/// ```
/// assert_eq!(setdown_app::words::word("outcome.tight"), "Tight");
/// assert_eq!(setdown_app::words::word("no.such.key"), "[no.such.key]");
/// ```
pub fn word(key: &str) -> String {
    find(key).map_or_else(|| format!("[{key}]"), str::to_owned)
}

/// The words of `key` with the given texts in place of its `{names}`.
pub fn filled(key: &str, arguments: &[(&str, &str)]) -> String {
    fill(&word(key), |name| {
        arguments
            .iter()
            .find(|(known, _)| *known == name)
            .map(|(_, text)| (*text).to_owned())
    })
}

/// Replaces every `{name}` for which `value` has a text; others stay as they are.
fn fill(template: &str, value: impl Fn(&str) -> Option<String>) -> String {
    let mut filled = String::with_capacity(template.len() + 32);
    let mut rest = template;
    while let Some((before, after)) = rest.split_once('{') {
        filled.push_str(before);
        let Some((name, behind)) = after.split_once('}') else {
            filled.push('{');
            rest = after;
            continue;
        };
        match value(name) {
            Some(text) => filled.push_str(&text),
            None => {
                filled.push('{');
                filled.push_str(name);
                filled.push('}');
            }
        }
        rest = behind;
    }
    filled.push_str(rest);
    filled
}
