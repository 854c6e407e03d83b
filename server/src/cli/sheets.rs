//! `practice` and `catalogue`: the dealer's limits and spa sheets, as lists and as checked files.

use std::fmt::Write as _;
use std::path::Path;

use setdown_app::words::question_title;
use setdown_types::practice::{FIELDS, Standing};
use setdown_types::quantity::UnitSystem;
use setdown_types::quantity::text::format_quantity;
use setdown_types::question::{self, AnswerKind, Question};

use crate::survey::{FileError, practice_file, spa_file};

/// Every limit a dealer can set, as a practice sheet file with the defaults commented out.
pub fn practice_template() -> String {
    let mut out = String::from(
        "# A practice sheet: take the # away and change what differs from the default.\nname = \"our practice\"\n\n",
    );
    for field in FIELDS {
        let must = match field.standing {
            Standing::Settled => "",
            Standing::MustBeStated => "; must be stated before it can turn a check clear",
        };
        let _ = writeln!(
            out,
            "# {}{must}\n# {} = \"{}\"\n",
            field.source, field.key, field.written
        );
    }
    out
}

/// What a practice sheet file states, and its revision.
///
/// # Errors
/// [`FileError`] that says where the file is wrong.
pub fn practice(path: &Path) -> Result<String, FileError> {
    let sheet = practice_file::read(path)?;
    let mut out = format!("revision {}\n", sheet.revision());
    for (key, value) in &sheet.stated {
        let _ = writeln!(out, "{key} = {}", format_quantity(*value, UnitSystem::Us));
    }
    Ok(out)
}

/// What a spa sheet file says in short, and its revision.
///
/// # Errors
/// [`FileError`] that says where the file is wrong.
pub fn spa(path: &Path) -> Result<String, FileError> {
    let sheet = spa_file::read(path)?;
    let size = sheet.shipping;
    let length =
        |length: setdown_types::quantity::Length| format_quantity(length.into(), UnitSystem::Us);
    Ok(format!(
        "{}\n  revision {}\n  ships as {} x {} x {} high, {} dry\n",
        sheet.name,
        sheet.revision(),
        length(size.length),
        length(size.width),
        length(size.height),
        format_quantity(sheet.dry_weight, UnitSystem::Us),
    ))
}

/// Every question a survey file can answer, by kind of thing.
pub fn questions() -> String {
    let mut out = String::new();
    let mut kind = None;
    let mut rows: Vec<&Question> = question::all().collect();
    rows.sort_by_key(|row| row.subject);
    for row in rows {
        if kind != Some(row.subject) {
            kind = Some(row.subject);
            let _ = writeln!(out, "[{}]", row.subject.key());
        }
        let short = row.key.strip_prefix(&format!("{}.", row.subject.key()));
        let key = match row.subject {
            setdown_types::subject::SubjectKind::Site => row.key,
            _ => short.unwrap_or(row.key),
        };
        let _ = writeln!(
            out,
            "  {key} = {}   # {}",
            form(row.kind),
            question_title(row.key)
        );
    }
    out
}

fn form(kind: AnswerKind) -> String {
    match kind {
        AnswerKind::Measure(dimension) => format!("\"a {}\"", dimension.word()),
        AnswerKind::Count => "number".into(),
        AnswerKind::YesNo => "true | false".into(),
        AnswerKind::Choice(choices) => format!("\"{}\"", choices.join("\" | \"")),
        AnswerKind::Choices(choices) => format!("[\"{}\"]", choices.join("\", \"")),
        AnswerKind::Text => "\"words\"".into(),
        AnswerKind::Date => "2026-11-25".into(),
        AnswerKind::Photo => "{ sha256, media_type, width, height, bytes }".into(),
        AnswerKind::Attestation => "{ person, licence, document, date }".into(),
        AnswerKind::Slot | AnswerKind::Level => "(a table of its own)".into(),
        AnswerKind::Points { .. } => "[\"name\", …]".into(),
        AnswerKind::Tie => "{ kind, points }".into(),
        AnswerKind::Signature | AnswerKind::Pin => "(written by the office)".into(),
    }
}
