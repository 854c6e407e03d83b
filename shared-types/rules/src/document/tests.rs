//! Documents that are wrong say where.

use super::*;

fn said<T: core::fmt::Debug>(result: Result<T, Complaint>) -> String {
    result.unwrap_err().to_string()
}

#[test]
fn parse_errors_have_line_and_column() {
    assert!(said(parse("{\"a\": NaN}")).contains("line 1 column 7"));
    assert!(said(parse("{\"a\": 1, \"a\": 2}")).contains("a: written twice"));
    assert!(said(parse("[1e999]")).contains("out of range"));
    assert!(said(parse(&" ".repeat(MOST_BYTES + 1))).contains("longer than"));
    // Brackets without end are refused, not followed until the stack is full.
    assert!(said(parse(&"[".repeat(100_000))).contains("recursion limit"));
}

#[test]
fn places_are_named() {
    let node = parse(r#"{"list": [{"x": 1, "y": true}], "word": "left"}"#).unwrap();
    let root = Place::root(&node).object(&["list", "word"]).unwrap();
    let first = root.required("list").unwrap().list(1, 2).unwrap().remove(0);
    let inner = first.object(&["x", "y"]).unwrap();
    assert_eq!(said(inner.required("z")), "list[0].z: missing: write it");
    assert_eq!(
        said(inner.number("x", 2.0, 3.0)),
        "list[0].x: must be a number from 2 to 3"
    );
    assert_eq!(
        said(inner.number("y", 2.0, 3.0)),
        "list[0].y: expected a number"
    );
    assert_eq!(
        said(first.object(&["x"])),
        "list[0].y: not known here; known are x"
    );
    let word = root.required("word").unwrap();
    assert_eq!(
        said(word.choice(&[("up", 1), ("down", 2)])),
        "word: must be one of \"up\", \"down\""
    );
}
