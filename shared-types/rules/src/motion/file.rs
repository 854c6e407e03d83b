//! Reading a route file: one JSON object, lengths in inches, headings in degrees. Shared by the command line and the
//! phone's worker.

use super::scene::{Fault, Obstacle, Parts, Pose, Scene};
use serde_json::{Map, Value};

/// Longest file that is read, in bytes.
pub const LONGEST_FILE: usize = 4_000_000;

type Object = Map<String, Value>;

/// Reads and checks a route file. The fault names the key that is wrong.
pub fn read(text: &str) -> Result<Scene, Fault> {
    if text.len() > LONGEST_FILE {
        let why = format!("{} bytes; at most {LONGEST_FILE} are read", text.len());
        return Err(Fault::new("file", why));
    }
    let value: Value = serde_json::from_str(text)
        .map_err(|why| Fault::new("file", format!("is not JSON: {why}")))?;
    let object = value
        .as_object()
        .ok_or_else(|| Fault::new("file", "must be one JSON object"))?;
    Scene::new(parts(object)?)
}

fn parts(object: &Object) -> Result<Parts, Fault> {
    check_word(object, "units", "in")?;
    check_word(object, "angle_units", "deg")?;
    let unit = object
        .get("unit")
        .and_then(Value::as_object)
        .ok_or_else(|| Fault::new("unit", "must be an object with L and W"))?;
    Ok(Parts {
        name: text(object, "name", "name")?,
        note: text(object, "note", "note")?,
        bounds: optional(object, "bounds", "bounds")?,
        length: number(unit.get("L"), "unit.L")?,
        width: number(unit.get("W"), "unit.W")?,
        carried: optional(object, "carry_z", "carry_z")?,
        enough: object
            .get("enough")
            .map(|enough| number(Some(enough), "enough"))
            .transpose()?,
        start: pose(object, "start")?,
        goal: pose(object, "goal")?,
        either_end: flag(object, "goal_symmetric", "goal_symmetric")?,
        obstacles: obstacles(object)?,
    })
}

fn check_word(object: &Object, key: &str, only: &str) -> Result<(), Fault> {
    match object.get(key) {
        None => Ok(()),
        Some(Value::String(word)) if word == only => Ok(()),
        Some(other) => Err(Fault::new(
            key,
            format!("must be \"{only}\", not {}", short(other)),
        )),
    }
}

fn obstacles(object: &Object) -> Result<Vec<Obstacle>, Fault> {
    match object.get("obstacles") {
        None => Ok(Vec::new()),
        Some(Value::Array(list)) => list.iter().enumerate().map(obstacle).collect(),
        Some(_) => Err(Fault::new("obstacles", "must be a list")),
    }
}

fn obstacle((index, value): (usize, &Value)) -> Result<Obstacle, Fault> {
    let key = |name: &str| format!("obstacles[{index}].{name}");
    let object = value
        .as_object()
        .ok_or_else(|| Fault::new(format!("obstacles[{index}]"), "must be an object"))?;
    let corners = object
        .get("poly")
        .and_then(Value::as_array)
        .ok_or_else(|| Fault::new(key("poly"), "must be a list of [x, y]"))?;
    let ring = corners
        .iter()
        .enumerate()
        .map(|(place, corner)| numbers(Some(corner), &format!("{}[{place}]", key("poly"))))
        .collect::<Result<_, _>>()?;
    Ok(Obstacle {
        id: identity(object, &key("id"))?,
        ring,
        heights: optional(object, "z", &key("z"))?,
        removable: flag(object, "removable", &key("removable"))?,
        cost: match object.get("cost") {
            None | Some(Value::Null) => 0.0,
            value => number(value, &key("cost"))?,
        },
        kind: text(object, "kind", &key("kind"))?,
    })
}

fn identity(object: &Object, key: &str) -> Result<String, Fault> {
    match object.get("id") {
        Some(Value::String(id)) if !id.is_empty() => Ok(id.clone()),
        _ => Err(Fault::new(key, "must be a text that is not empty")),
    }
}

fn text(object: &Object, name: &str, key: &str) -> Result<String, Fault> {
    match object.get(name) {
        None | Some(Value::Null) => Ok(String::new()),
        Some(Value::String(text)) => Ok(text.clone()),
        Some(other) => Err(Fault::new(
            key,
            format!("must be a text, not {}", short(other)),
        )),
    }
}

fn flag(object: &Object, name: &str, key: &str) -> Result<bool, Fault> {
    match object.get(name) {
        None | Some(Value::Null) => Ok(false),
        Some(Value::Bool(flag)) => Ok(*flag),
        Some(other) => Err(Fault::new(
            key,
            format!("must be true or false, not {}", short(other)),
        )),
    }
}

fn pose(object: &Object, key: &str) -> Result<Pose, Fault> {
    let [x, y, heading] = numbers(object.get(key), key)?;
    Ok(Pose { x, y, heading })
}

fn optional<const N: usize>(
    object: &Object,
    name: &str,
    key: &str,
) -> Result<Option<[f64; N]>, Fault> {
    match object.get(name) {
        None | Some(Value::Null) => Ok(None),
        value => numbers(value, key).map(Some),
    }
}

fn numbers<const N: usize>(value: Option<&Value>, key: &str) -> Result<[f64; N], Fault> {
    let list = value
        .and_then(Value::as_array)
        .filter(|list| list.len() == N)
        .ok_or_else(|| Fault::new(key, format!("must be a list of {N} numbers")))?;
    let mut out = [0.0; N];
    for (place, (slot, item)) in out.iter_mut().zip(list).enumerate() {
        *slot = number(Some(item), &format!("{key}[{place}]"))?;
    }
    Ok(out)
}

fn number(value: Option<&Value>, key: &str) -> Result<f64, Fault> {
    match value {
        Some(Value::Number(number)) => number
            .as_f64()
            .filter(|number| number.is_finite())
            .ok_or_else(|| Fault::new(key, "must be a finite number")),
        Some(other) => Err(Fault::new(
            key,
            format!("must be a number, not {}", short(other)),
        )),
        None => Err(Fault::new(key, "is missing")),
    }
}

/// The value in at most 40 characters.
fn short(value: &Value) -> String {
    value.to_string().chars().take(40).collect()
}
