//! A JSON document as read, with repeated keys found instead of silently dropped.

use core::fmt;

use serde::de::{Deserialize, Deserializer, Error, MapAccess, SeqAccess, Visitor};

use super::{Complaint, Problem};

/// The most bytes of a document that are read: a yard with every fence post is a few thousand.
pub const MOST_BYTES: usize = 1 << 20;

/// One value of a JSON document.
#[derive(Clone, Debug, PartialEq)]
pub enum Node {
    /// `null`.
    Nothing,
    /// `true` or `false`.
    Truth(bool),
    /// A number; always finite.
    Number(f64),
    /// A text.
    Text(String),
    /// A list.
    List(Vec<Node>),
    /// Keys with their values, in the order of the file.
    Object(Vec<(String, Node)>),
}

/// Reads a document.
///
/// # Errors
/// [`Problem::TooLong`], or [`Problem::NotJson`] with line and column; a key written twice is among the latter.
pub fn parse(text: &str) -> Result<Node, Complaint> {
    if text.len() > MOST_BYTES {
        return Err(Complaint::new("", Problem::TooLong { most: MOST_BYTES }));
    }
    serde_json::from_str(text)
        .map_err(|error| Complaint::new("", Problem::NotJson(error.to_string())))
}

impl<'de> Deserialize<'de> for Node {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(NodeVisitor)
    }
}

struct NodeVisitor;

impl<'de> Visitor<'de> for NodeVisitor {
    type Value = Node;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E: Error>(self) -> Result<Node, E> {
        Ok(Node::Nothing)
    }

    fn visit_bool<E: Error>(self, value: bool) -> Result<Node, E> {
        Ok(Node::Truth(value))
    }

    fn visit_i64<E: Error>(self, value: i64) -> Result<Node, E> {
        self.visit_f64(value as f64)
    }

    fn visit_u64<E: Error>(self, value: u64) -> Result<Node, E> {
        self.visit_f64(value as f64)
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<Node, E> {
        if value.is_finite() {
            Ok(Node::Number(value))
        } else {
            Err(E::custom("a number too large to compute with"))
        }
    }

    fn visit_str<E: Error>(self, value: &str) -> Result<Node, E> {
        Ok(Node::Text(value.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut entries: A) -> Result<Node, A::Error> {
        let mut list = Vec::new();
        while let Some(entry) = entries.next_element()? {
            list.push(entry);
        }
        Ok(Node::List(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Node, A::Error> {
        let mut seen = std::collections::BTreeSet::new();
        let mut object = Vec::new();
        while let Some((key, value)) = entries.next_entry::<String, Node>()? {
            if !seen.insert(key.clone()) {
                let complaint = Complaint::new(key, Problem::Repeated);
                return Err(A::Error::custom(complaint));
            }
            object.push((key, value));
        }
        Ok(Node::Object(object))
    }
}
