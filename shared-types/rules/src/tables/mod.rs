//! Published values, one file per document, each value with the place it was read and how well it is known.

pub mod astm_f1346;
pub mod crane;
pub mod ibc_1806;
pub mod irc_grading;
pub mod irc_stairs;
pub mod ispsc_305;
pub mod nec;
pub mod osha_1926;
pub mod push_limits;
pub mod rolling;
pub mod slings;
pub mod tape_mpe;
pub mod units;
pub mod vehicles;
pub mod water_density;

use serde::{Deserialize, Serialize};

/// How well a published value is known. It decides how far a check may lean on it: see [`Status::may_clear`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Status {
    /// Read in the document, or on a page that reproduces its text.
    Read,
    /// Read on two independent pages that agree.
    Read2,
    /// Read on one secondary page (a forum, a trade page); not verified against the document.
    ReadSecondary,
    /// Written down from memory, not read; shown as "from memory".
    Memory,
    /// Arithmetic or geometry worked out here; needs no publication.
    Derived,
    /// Common practice of the trade; no published source.
    CommonPractice,
    /// The dealer's own limit, taken from the practice sheet.
    PracticeSheet,
    /// A local rule or a report on this very site: nobody read it here, the answer is somebody's who did.
    AsReported,
}

impl Status {
    /// Whether a limit of this standing may, alone, make a measured check `clear`.
    ///
    /// A remembered value or one read on a single secondary page may only warn: a check that rests on it
    /// reaches `short` or `tight`, and becomes `clear` through an attestation or a practice-sheet value.
    pub const fn may_clear(self) -> bool {
        !matches!(self, Status::Memory | Status::ReadSecondary)
    }

    /// The words to show beside the source.
    pub const fn words(self) -> &'static str {
        match self {
            Status::Read => "read in the text",
            Status::Read2 => "read in two places that agree",
            Status::ReadSecondary => "unverified: one secondary page",
            Status::Memory => "from memory, not verified",
            Status::Derived => "worked out",
            Status::CommonPractice => "common practice, no source",
            Status::PracticeSheet => "dealer's practice sheet",
            Status::AsReported => "as reported for this site, not read here",
        }
    }
}

/// Where a value comes from: the document, the place in it, its edition, and how well it is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub struct Source {
    /// The document, for example `"IBC"` or `"29 CFR 1926"`.
    pub document: &'static str,
    /// The section, table or figure in it; for the practice sheet, the name of the field.
    pub section: &'static str,
    /// The edition read; empty where there is none.
    pub edition: &'static str,
    /// How well the value is known.
    pub status: Status,
}

impl Source {
    /// A source in a published document.
    pub const fn published(
        document: &'static str,
        section: &'static str,
        edition: &'static str,
        status: Status,
    ) -> Self {
        Source {
            document,
            section,
            edition,
            status,
        }
    }

    /// What the trade does, without a published source.
    pub const fn common_practice() -> Self {
        Source {
            document: "common practice, no source",
            section: "",
            edition: "",
            status: Status::CommonPractice,
        }
    }

    /// A limit taken from the dealer's practice sheet; `field` names the line on it.
    pub const fn practice_sheet(field: &'static str) -> Self {
        Source {
            document: "dealer's practice sheet",
            section: field,
            edition: "",
            status: Status::PracticeSheet,
        }
    }

    /// Geometry, statics or arithmetic worked out here; `what` says which.
    pub const fn derived(what: &'static str) -> Self {
        Source {
            document: "worked out",
            section: what,
            edition: "",
            status: Status::Derived,
        }
    }

    /// The source as one line of text: document, section, edition, and its standing where that is a warning.
    pub fn line(&self) -> String {
        let mut line = String::from(self.document);
        if !self.section.is_empty() {
            line.push(' ');
            line.push_str(self.section);
        }
        if !self.edition.is_empty() {
            line.push_str(" (");
            line.push_str(self.edition);
            line.push(')');
        }
        if !self.status.may_clear() {
            line.push_str(", ");
            line.push_str(self.status.words());
        }
        line
    }
}

/// One published value with its source.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Row<T> {
    /// The value, in the unit its constant's documentation names.
    pub value: T,
    /// Where it was read.
    pub source: Source,
}

impl<T> Row<T> {
    /// A value beside its source.
    pub const fn new(value: T, source: Source) -> Self {
        Row { value, source }
    }
}
