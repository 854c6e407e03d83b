//! The practice sheet as a file: `field = "value with its unit"`, only what differs from the
//! defaults. The fields are listed by `setdown-server practice`.

use std::path::Path;

use setdown_types::practice::{self, PracticeSheet};
use setdown_types::quantity::text::parse_quantity;
use setdown_types::quantity::{Dimension, Quantity};
use toml::{Table, Value};

use super::{FileError, Problem, read_table};

/// Reads a practice sheet file.
pub fn read(path: &Path) -> Result<PracticeSheet, FileError> {
    from_table(&read_table(path)?).map_err(|problem| FileError::Content {
        path: path.to_owned(),
        problem,
    })
}

/// Reads a practice sheet from a TOML table.
pub fn from_table(table: &Table) -> Result<PracticeSheet, Problem> {
    let mut sheet = PracticeSheet::default();
    for (key, value) in table {
        let place = format!("practice, {key}");
        if key == "name" {
            sheet.name = super::text(table, "name")?;
            continue;
        }
        let field = practice::field(key).ok_or_else(|| {
            Problem::new(
                &place,
                "is no field of a practice sheet. `setdown-server practice` lists them",
            )
        })?;
        let quantity = stated(&place, field.dimension, value)?;
        if !field.accepts(&quantity) {
            return Err(Problem::new(
                &place,
                format!(
                    "lies outside what makes sense for it. The default is {}; leave the line out to keep that",
                    field.written
                ),
            ));
        }
        sheet.stated.insert(key.clone(), quantity);
    }
    Ok(sheet)
}

fn stated(place: &str, dimension: Dimension, value: &Value) -> Result<Quantity, Problem> {
    match value {
        Value::String(words) => parse_quantity(dimension, words, None)
            .map_err(|problem| Problem::new(place, problem.to_string())),
        Value::Integer(count) if dimension == Dimension::Count => {
            Ok(Quantity::new(Dimension::Count, *count))
        }
        _ => Err(Problem::new(
            place,
            "must be a quantity in quotes with its unit, such as \"2 in\"",
        )),
    }
}
