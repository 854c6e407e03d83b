//! One value of a document together with its path, so that every complaint can name its key.

use super::{Complaint, Node, Problem};

/// The longest name or id, in bytes.
const LONGEST_NAME: usize = 80;
/// The longest free text, in bytes.
const LONGEST_TEXT: usize = 4_000;

/// A value and where it stands.
#[derive(Clone, Debug)]
pub struct Place<'a> {
    node: &'a Node,
    path: String,
}

/// An object whose keys are all known.
#[derive(Clone, Debug)]
pub struct Object<'a> {
    entries: &'a [(String, Node)],
    path: String,
}

impl<'a> Place<'a> {
    /// The whole document.
    pub fn root(node: &'a Node) -> Self {
        Self {
            node,
            path: String::new(),
        }
    }

    /// The path, such as `distances[2].from`.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// The value itself.
    pub fn node(&self) -> &'a Node {
        self.node
    }

    /// A complaint about this value.
    pub fn complain(&self, problem: Problem) -> Complaint {
        Complaint::new(self.path.clone(), problem)
    }

    /// The object here, which may have these keys and no others.
    ///
    /// # Errors
    /// Not an object, or an unknown key.
    pub fn object(&self, known: &[&str]) -> Result<Object<'a>, Complaint> {
        let Node::Object(entries) = self.node else {
            return Err(self.complain(Problem::Expected("an object: { \"key\": value }")));
        };
        let object = Object {
            entries,
            path: self.path.clone(),
        };
        for (key, _) in entries {
            if !known.contains(&key.as_str()) {
                let known = known.join(", ");
                return Err(Complaint::new(
                    object.path_of(key),
                    Problem::Unknown { known },
                ));
            }
        }
        Ok(object)
    }

    /// The entries of the list here, `fewest` to `most` of them.
    ///
    /// # Errors
    /// Not a list, or too few or too many entries.
    pub fn list(&self, fewest: usize, most: usize) -> Result<Vec<Place<'a>>, Complaint> {
        let Node::List(entries) = self.node else {
            return Err(self.complain(Problem::Expected("a list: [ … ]")));
        };
        if entries.len() < fewest || entries.len() > most {
            return Err(self.complain(Problem::Count { fewest, most }));
        }
        let entry = |(index, node)| Place {
            node,
            path: format!("{}[{index}]", self.path),
        };
        Ok(entries.iter().enumerate().map(entry).collect())
    }

    /// The number here, within bounds.
    ///
    /// # Errors
    /// Not a number, or outside.
    pub fn number(&self, least: f64, most: f64) -> Result<f64, Complaint> {
        let Node::Number(value) = self.node else {
            return Err(self.complain(Problem::Expected("a number")));
        };
        if !(least..=most).contains(value) {
            return Err(self.complain(Problem::Outside { least, most }));
        }
        // Minus zero would be another text for the same number.
        Ok(*value + 0.0)
    }

    /// A name or id: not empty, and short.
    ///
    /// # Errors
    /// Anything else.
    pub fn name(&self) -> Result<String, Complaint> {
        match self.node {
            Node::Text(text) if !text.trim().is_empty() && text.len() <= LONGEST_NAME => {
                Ok(text.clone())
            }
            _ => Err(self.complain(Problem::Expected("a short text that is not empty"))),
        }
    }

    /// Free text.
    ///
    /// # Errors
    /// Not a text, or longer than a page.
    pub fn text(&self) -> Result<String, Complaint> {
        match self.node {
            Node::Text(text) if text.len() <= LONGEST_TEXT => Ok(text.clone()),
            _ => Err(self.complain(Problem::Expected("a text of at most a page"))),
        }
    }

    /// `true` or `false`.
    ///
    /// # Errors
    /// Anything else.
    pub fn truth(&self) -> Result<bool, Complaint> {
        match self.node {
            Node::Truth(value) => Ok(*value),
            _ => Err(self.complain(Problem::Expected("true or false"))),
        }
    }

    /// One of these words, given as what it stands for.
    ///
    /// # Errors
    /// Another word, or no text.
    pub fn choice<T: Copy>(&self, choices: &[(&str, T)]) -> Result<T, Complaint> {
        let found = match self.node {
            Node::Text(text) => choices.iter().find(|(word, _)| word == text),
            _ => None,
        };
        let words = || {
            let quoted: Vec<String> = choices.iter().map(|(w, _)| format!("{w:?}")).collect();
            quoted.join(", ")
        };
        found
            .map(|(_, meant)| *meant)
            .ok_or_else(|| self.complain(Problem::Choice { choices: words() }))
    }
}

impl<'a> Object<'a> {
    /// The value of a key, where it is there.
    pub fn optional(&self, key: &str) -> Option<Place<'a>> {
        let (_, node) = self.entries.iter().find(|(name, _)| name == key)?;
        Some(Place {
            node,
            path: self.path_of(key),
        })
    }

    /// The value of a key that has to be there.
    ///
    /// # Errors
    /// It is not there.
    pub fn required(&self, key: &str) -> Result<Place<'a>, Complaint> {
        self.optional(key)
            .ok_or_else(|| Complaint::new(self.path_of(key), Problem::Missing))
    }

    /// The entries of an optional list of at most `most`; none where the key is not there.
    ///
    /// # Errors
    /// Not a list, or too many entries.
    pub fn entries(&self, key: &str, most: usize) -> Result<Vec<Place<'a>>, Complaint> {
        self.optional(key)
            .map_or(Ok(Vec::new()), |place| place.list(0, most))
    }

    /// An optional number within bounds.
    ///
    /// # Errors
    /// Not a number, or outside.
    pub fn number(&self, key: &str, least: f64, most: f64) -> Result<Option<f64>, Complaint> {
        self.optional(key)
            .map(|place| place.number(least, most))
            .transpose()
    }

    /// An optional free text; empty where the key is not there.
    ///
    /// # Errors
    /// Not a text, or too long.
    pub fn text(&self, key: &str) -> Result<String, Complaint> {
        self.optional(key)
            .map_or(Ok(String::new()), |place| place.text())
    }

    /// A complaint about a key of this object.
    pub fn complain(&self, key: &str, problem: Problem) -> Complaint {
        Complaint::new(self.path_of(key), problem)
    }

    /// The path of a key of this object.
    pub fn path_of(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.path)
        }
    }
}
