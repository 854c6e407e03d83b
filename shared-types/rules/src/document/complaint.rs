//! What is wrong with a document, where, and what to write instead.

use core::fmt;

/// One thing wrong with a document.
#[derive(Clone, Debug, PartialEq)]
pub struct Complaint {
    /// The path of the key, such as `distances[2].from`; empty for the whole document.
    pub place: String,
    /// What is wrong there.
    pub problem: Problem,
}

/// What can be wrong.
#[derive(Clone, Debug, PartialEq)]
pub enum Problem {
    /// Not JSON; with what the parser says, and its line and column.
    NotJson(String),
    /// More bytes than are read.
    TooLong {
        /// The most.
        most: usize,
    },
    /// The key has to be there.
    Missing,
    /// The key is not one of those known here.
    Unknown {
        /// Those that are.
        known: String,
    },
    /// The key stands there twice.
    Repeated,
    /// Something else belongs there.
    Expected(&'static str),
    /// A number outside its bounds.
    Outside {
        /// The least it may be.
        least: f64,
        /// The most it may be.
        most: f64,
    },
    /// A list with fewer or more entries than it may have.
    Count {
        /// The fewest.
        fewest: usize,
        /// The most.
        most: usize,
    },
    /// The text is none of the words that may stand there.
    Choice {
        /// Those that may.
        choices: String,
    },
    /// A name that nothing in the document has.
    NoSuch {
        /// What it should name.
        what: &'static str,
        /// The name.
        name: String,
    },
    /// A name or id that something else has already.
    Taken(String),
    /// It lies before or behind the leg that it is measured on, where nothing would meet it.
    BeyondEnds,
    /// It lies wholly behind the walls of the leg that it is measured on, where nothing would meet it.
    BehindWalls,
    /// A gate stands where its leg has no wall on one side, since another leg joins there.
    InCorner,
    /// The contents make no sense together; says why and what to do.
    Senseless(&'static str),
}

impl Complaint {
    /// A problem at a place.
    pub fn new(place: impl Into<String>, problem: Problem) -> Self {
        Self {
            place: place.into(),
            problem,
        }
    }
}

impl fmt::Display for Complaint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.place.is_empty() {
            write!(f, "{}", self.problem)
        } else {
            write!(f, "{}: {}", self.place, self.problem)
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotJson(reason) => write!(f, "not JSON: {reason}"),
            Self::TooLong { most } => write!(
                f,
                "longer than {most} bytes, the most that is read: leave out what is not in the way"
            ),
            Self::Missing => write!(f, "missing: write it"),
            Self::Unknown { known } => write!(f, "not known here; known are {known}"),
            Self::Repeated => write!(f, "written twice: keep one"),
            Self::Expected(what) => write!(f, "expected {what}"),
            Self::Outside { least, most } => {
                write!(f, "must be a number from {least} to {most}")
            }
            Self::Count { fewest, most } => write!(f, "must have {fewest} to {most} entries"),
            Self::Choice { choices } => write!(f, "must be one of {choices}"),
            Self::NoSuch { what, name } => write!(f, "there is no {what} {name:?} in this file"),
            Self::Taken(name) => write!(f, "{name:?} is used already: choose another"),
            Self::BeyondEnds => f.write_str(
                "this lies beyond the ends of its leg: check how far along it is, and the leg's length",
            ),
            Self::BehindWalls => f.write_str(
                "this lies wholly behind the wall of its leg, where it narrows nothing: check the number, and the leg's width; or leave it out",
            ),
            Self::InCorner => f.write_str(
                "the corridor is open to the side here, where two legs meet, so a gate would close nothing: measure it along the other leg, or this leg on to where it turns",
            ),
            Self::Senseless(why) => f.write_str(why),
        }
    }
}

impl core::error::Error for Complaint {}
