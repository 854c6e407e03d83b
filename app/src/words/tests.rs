//! Every key has words: those the rules emit, those of the question table, and those the app's own code names.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use setdown_rules::checks;
use setdown_rules::frame::result::{Arg, Line};
use setdown_types::party::Role;
use setdown_types::quantity::{Dimension, UnitSystem};
use setdown_types::question::{self, AnswerKind};
use setdown_types::{practice, subject::SubjectKind};

use super::*;
use crate::parts::drawing::word_keys;

/// Fails with the list of keys that have no words.
fn assert_all_have_words(what: &str, keys: impl IntoIterator<Item = String>) {
    let missing: BTreeSet<String> = keys.into_iter().filter(|key| !has(key)).collect();
    assert!(
        missing.is_empty(),
        "{what}: {} keys have no words in app/src/words/en:\n{}",
        missing.len(),
        { missing.into_iter().collect::<Vec<_>>().join("\n") }
    );
}

fn rust_files(folder: &Path, found: &mut Vec<PathBuf>) {
    for file in std::fs::read_dir(folder)
        .expect("a source folder")
        .flatten()
    {
        let path = file.path();
        if path.is_dir() {
            rust_files(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
}

/// Every string literal of the source below `folder`, tests left out.
fn literals(folder: &str) -> BTreeSet<String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut files = Vec::new();
    rust_files(&root, &mut files);
    assert!(!files.is_empty(), "no sources in {}", root.display());
    let mut found = BTreeSet::new();
    let is_test = |path: &Path| {
        path.ends_with("tests.rs") || path.components().any(|part| part.as_os_str() == "tests")
    };
    for path in files
        .iter()
        .filter(|path| !is_test(path.strip_prefix(&root).unwrap_or(path)))
    {
        let text = std::fs::read_to_string(path).expect("a source file");
        let code = text
            .split("#[cfg(test)]\nmod tests")
            .next()
            .unwrap_or_default()
            .to_owned();
        let code: String = code
            .lines()
            .filter(|line| !line.trim_start().starts_with("//"))
            .collect::<Vec<_>>()
            .join("\n");
        found.extend(code.split('"').skip(1).step_by(2).map(str::to_owned));
    }
    found
}

/// Whether a literal has the form of a key: lower-case words with dots between.
fn is_key(text: &str) -> bool {
    text.contains('.')
        && text.split('.').all(|part| {
            !part.is_empty()
                && part.bytes().all(|byte| {
                    byte.is_ascii_lowercase() || byte.is_ascii_digit() || b"_-".contains(&byte)
                })
        })
}

#[test]
fn every_message_of_the_rules_has_words() {
    let check_keys: BTreeSet<&str> = checks::all().map(|check| check.key).collect();
    let emitted = literals("../shared-types/rules/src")
        .into_iter()
        .filter(|text| {
            is_key(text)
                && question::find(text).is_none()
                && !check_keys.contains(text.as_str())
                && !is_section(text)
                && !is_in_a_file(text)
        });
    assert_all_have_words("messages of the rules", emitted);
}

/// Sections of published documents look like keys; they begin with a digit or are file names.
fn is_section(text: &str) -> bool {
    text.starts_with(|letter: char| letter.is_ascii_digit())
        || ["json", "html", "pdf", "com", "gov", "org", "edu"]
            .iter()
            .any(|ending| text.ends_with(&format!(".{ending}")))
}

/// Places in a plan file look like keys.
fn is_in_a_file(text: &str) -> bool {
    text.starts_with("spot.at.")
}

#[test]
fn a_margin_that_can_be_clear_can_be_tight_and_short_too() {
    let endings = ["clear", "tight", "short"];
    let keys =
        checks::all().flat_map(|check| endings.map(|ending| format!("{}.{ending}", check.key)));
    let any: BTreeSet<&str> = checks::all()
        .filter(|check| {
            endings
                .iter()
                .any(|ending| has(&format!("{}.{ending}", check.key)))
        })
        .map(|check| check.key)
        .collect();
    let wanted = keys.filter(|key| {
        key.rsplit_once('.')
            .is_some_and(|(check, _)| any.contains(check))
    });
    let margins = ["roll.openings", "roll.headroom", "base.level"];
    assert!(
        margins.iter().all(|key| any.contains(key)),
        "checks judged by a margin have no words for it"
    );
    let missing: Vec<String> = wanted
        .filter(|key| key.ends_with(".tight") && !has(key))
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn every_check_has_a_title_and_a_task() {
    assert_all_have_words(
        "checks",
        checks::all().flat_map(|check| {
            [
                format!("check.{}", check.key),
                format!("task.{}", check.key),
            ]
        }),
    );
}

#[test]
fn every_question_has_a_title_and_says_how() {
    // Pins and signatures are made in the office, on screens of their own.
    let asked = || {
        question::all().filter(|row| !matches!(row.kind, AnswerKind::Pin | AnswerKind::Signature))
    };
    assert_all_have_words(
        "titles of questions",
        question::all().map(|row| format!("question.{}", row.key)),
    );
    assert_all_have_words(
        "how-tos",
        asked()
            .filter(|row| row.may_answer(Role::Coordinator))
            .map(|row| format!("howto.{}", row.key)),
    );
    assert_all_have_words(
        "homeowner's texts",
        asked()
            .filter(|row| row.may_answer(Role::Homeowner))
            .map(|row| format!("home.{}", row.key)),
    );
}

#[test]
fn every_choice_has_a_label() {
    let labels = question::all().flat_map(|row| match row.kind {
        AnswerKind::Choice(choices) | AnswerKind::Choices(choices) => choices
            .iter()
            .map(|choice| format!("choice.{}.{choice}", row.key))
            .collect(),
        _ => Vec::new(),
    });
    assert_all_have_words("choices", labels);
}

#[test]
fn every_limit_of_the_dealer_has_a_label() {
    assert_all_have_words(
        "limits",
        practice::FIELDS
            .iter()
            .map(|field| format!("practice.{}", field.key)),
    );
}

#[test]
fn every_drawing_has_its_words() {
    let drawings = question::all()
        .filter_map(|row| row.drawing)
        .flat_map(word_keys);
    assert_all_have_words("drawings", drawings);
}

#[test]
fn every_key_that_the_app_names_has_words() {
    let first_words: BTreeSet<&str> = FILES
        .iter()
        .flat_map(|(_, text)| entries(text))
        .filter_map(|(key, _)| key.split('.').next())
        .collect();
    let named = ["src/field", "src/parts"]
        .into_iter()
        .flat_map(literals)
        .filter(|text| {
            is_key(text)
                && question::find(text).is_none()
                && text
                    .split('.')
                    .next()
                    .is_some_and(|first| first_words.contains(first))
        });
    assert_all_have_words("keys named by the app", named);
    let kinds = SubjectKind::ADDED.into_iter().flat_map(|kind| {
        [
            format!("kind.{}", kind.key()),
            format!("kind.one.{}", kind.key()),
        ]
    });
    assert_all_have_words("kinds of thing", kinds);
}

#[test]
fn no_key_has_words_twice() {
    let mut seen: BTreeMap<&str, &str> = BTreeMap::new();
    let mut twice = Vec::new();
    for (file, text) in FILES {
        for (key, _) in entries(text) {
            if let Some(before) = seen.insert(key, file) {
                twice.push(format!("{key} in {before}.txt and {file}.txt"));
            }
        }
    }
    assert!(twice.is_empty(), "{}", twice.join("\n"));
}

#[test]
fn quantities_are_written_as_the_trade_writes_them() {
    let line = Line::new("margin.to_spare").with(
        "amount",
        Arg::Measured {
            dimension: Dimension::Length,
            si: 0.0381,
            spread: 0.00635,
        },
    );
    let us = Wording {
        system: UnitSystem::Us,
        site: None,
    };
    assert_eq!(us.line(&line), "1 1/2 in ± 1/4 in to spare");
    let metric = Wording {
        system: UnitSystem::Metric,
        site: None,
    };
    assert_eq!(metric.line(&line), "38 mm ± 6.4 mm to spare");
}

#[test]
fn what_a_message_lacks_stays_visible() {
    let us = Wording {
        system: UnitSystem::Us,
        site: None,
    };
    assert_eq!(us.line(&Line::new("margin.to_spare")), "{amount} to spare");
    assert_eq!(us.line(&Line::new("never.written")), "[never.written]");
}

#[test]
fn numbers_and_moments_are_rounded_for_reading() {
    assert_eq!(number_text(0.3), "0.3");
    assert_eq!(number_text(12.345), "12.3");
    assert_eq!(number_text(-0.0001), "0");
    assert_eq!(number_text(f64::NAN), word("app.number_too_large"));
    // 2000-03-01 00:00 UTC is 951 868 800 s after 1970 (POSIX time of a leap year's first of March).
    assert_eq!(instant_text(951_868_800_000, 0), "1 Mar 2000, 00:00");
    assert_eq!(instant_text(951_868_800_000, -60), "29 Feb 2000, 23:00");
    assert_eq!(instant_text(i64::MAX, 0), "");
}
