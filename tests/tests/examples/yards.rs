//! The yard files: what `network` and `plan` print is whole sentences, and a bad file is refused with its key.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use serde_json::Value;
use setdown_server::cli::yard::{BadFile, network, plan};
use setdown_types::quantity::UnitSystem;

fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("examples/route")
        .join(name)
}

fn whole(text: &str) {
    for sign in ['{', '}', '['] {
        assert!(
            !text.contains(sign),
            "a key without words or an argument without value:\n{text}"
        );
    }
}

/// A file that holds this text.
fn written(text: &str) -> tempfile::NamedTempFile {
    let mut file = tempfile::NamedTempFile::new().unwrap();
    file.write_all(text.as_bytes()).unwrap();
    file
}

#[test]
fn network_in_words_and_as_json() {
    let path = example("back-yard-tapes.json");
    let text = network(&path, false, UnitSystem::Us).unwrap();
    whole(&text);
    assert!(
        text.contains("a tape from P to Q would make it sure"),
        "{text}"
    );
    assert!(text.contains("Tight: measure better"), "{text}");
    let json: Value = serde_json::from_str(&network(&path, true, UnitSystem::Us).unwrap()).unwrap();
    assert_eq!(
        (&json["settled"], &json["rank"]),
        (&Value::from(true), &Value::from(9))
    );
}

/// 14 in too much between B and D: said, with the slip left open, in both systems of units.
#[test]
fn mistaped_distance_in_words() {
    let file = std::fs::read_to_string(example("back-yard-tapes.json")).unwrap();
    let file = written(&file.replace("595.7", "609.7"));
    for units in [UnitSystem::Us, UnitSystem::Metric] {
        let text = network(file.path(), false, units).unwrap();
        whole(&text);
        assert!(text.contains("B-D is mistaped. Tape it again"), "{text}");
        assert!(text.contains("too much"), "{text}");
    }
}

#[test]
fn plan_in_words_and_as_json() {
    let path = example("side-yard-legs.json");
    let text = plan(&path, false, UnitSystem::Us).unwrap();
    whole(&text);
    assert!(text.contains("gate: 8 ft 8 in ± 1/8 in wide"), "{text}");
    let json: Value = serde_json::from_str(&plan(&path, true, UnitSystem::Us).unwrap()).unwrap();
    assert_eq!(json["passed_over"], serde_json::json!(["service drop"]));
    assert!(json["route"]["obstacles"].as_array().unwrap().len() > 10);
}

#[test]
fn what_is_missing_is_in_words() {
    let loose = r#"{"points": ["A", "B", "C"], "spread": 0.5, "distances": [{"from": "A", "to": "B", "is": 300}]}"#;
    let text = network(written(loose).path(), false, UnitSystem::Us).unwrap();
    whole(&text);
    assert!(text.contains("Nothing holds C in place"), "{text}");
    let bare = r#"{"spread": 0.5, "legs": [{"id": "a", "left": 60, "right": 60, "length": 400}]}"#;
    let text = plan(written(bare).path(), false, UnitSystem::Us).unwrap();
    whole(&text);
    assert!(text.contains("the plan still needs the spot"), "{text}");
}

#[test]
fn bad_files_name_the_key() {
    let said = |text: &str| match plan(written(text).path(), false, UnitSystem::Us) {
        Err(error @ BadFile::Content { .. }) => error.to_string(),
        other => panic!("refused: {other:?}"),
    };
    assert!(said("{\"na\nme\": 1}").contains("not JSON"));
    let line = said("{\"na\\nme\": 1}");
    assert!(
        line.contains("na me: not known here") && !line.contains('\n'),
        "{line}"
    );
    assert!(said(&" ".repeat(2_000_000)).contains("longer than"));
    let missing = network(Path::new("no/such/file"), false, UnitSystem::Us);
    assert!(matches!(missing, Err(BadFile::Unreadable { .. })));
}
