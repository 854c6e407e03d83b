//! What the office's screens and the server say to each other. Pure data; no screen and no database lives here.

use std::collections::BTreeMap;

use leptos::server_fn::codec::JsonEncoding;
use leptos::server_fn::error::{FromServerFnError, ServerFnErrorErr};
use serde::{Deserialize, Serialize};
use setdown_rules::Assessment;
use setdown_rules::frame::result::{HoldPoint, HoldState};
use setdown_rules::motion::Certified;
use setdown_rules::motion::largest::{Extent, Measured};
use setdown_rules::plan::ledger::Demanded;
use setdown_types::entry::{Entry, Intent, Method};
use setdown_types::ids::{EntryId, PersonId, SiteId};
use setdown_types::ledger::{Record, Standing};
use setdown_types::party::Party;
use setdown_types::practice::PracticeSheet;
use setdown_types::site::StreamKey;
use setdown_types::spa::SpaSheet;
use setdown_types::value::Value;
use setdown_types::wire::Problem;
use uuid::Uuid;

/// Sites on one page of the table.
pub const PAGE: u32 = 50;

/// What the table of sites is ordered by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SitesOrder {
    /// By name.
    #[default]
    Name,
    /// By the hold point worked towards, in the order in which they open.
    HoldPoint,
    /// By state, stopped last going up.
    State,
    /// By readiness score.
    Score,
    /// By the party that holds it up.
    WaitsFor,
    /// By the last entry received.
    LastSync,
}

/// Which page of which sites.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct SitesQuery {
    /// Part of the name, in any case; empty for all.
    pub search: String,
    /// Only sites whose current hold point is in this state.
    pub state: Option<HoldState>,
    /// Ordered by this.
    pub order: SitesOrder,
    /// From the other end.
    pub descending: bool,
    /// Page, from 0; each holds [`PAGE`] sites.
    pub page: u32,
}

/// One page of the table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SitesPage {
    /// Its rows.
    pub rows: Vec<SiteTableRow>,
    /// Sites that match in all.
    pub total: u64,
    /// The server's clock, milliseconds since 1970: ages are counted from here.
    pub now: i64,
}

/// One site in the table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SiteTableRow {
    /// Which one.
    pub site: SiteId,
    /// Its descriptive name.
    pub name: String,
    /// What its ledger amounts to; `None` while nothing was worked out yet.
    pub summary: Option<SiteSummary>,
    /// When the server received the last entry, milliseconds since 1970; `None`: none yet.
    pub last_received_at: Option<i64>,
}

/// What a site's assessment amounts to in one row; also what the server keeps beside the site.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SiteSummary {
    /// The hold point worked towards: the first that is not signed; the last one where all are.
    pub hold_point: HoldPoint,
    /// Its state.
    pub state: HoldState,
    /// Its readiness score, 0 to 100.
    pub score: u32,
    /// Checks it names.
    pub named: u32,
    /// Of these settled.
    pub settled: u32,
    /// Of these to measure.
    pub to_measure: u32,
    /// Of these tight.
    pub tight: u32,
    /// Of these short.
    pub stopped: u32,
    /// Key of the worst check, if any is not settled.
    pub worst: Option<String>,
    /// Who holds it up: the party whose task is most pressing for this hold point.
    pub waits_for: Option<Party>,
    /// Disagreements that nobody has settled.
    pub disagreements: u32,
}

/// A revision of a spa sheet or practice sheet in a list.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct SheetCard {
    /// Its revision: the digest of its bytes.
    pub digest: String,
    /// Its descriptive name.
    pub name: String,
    /// When it was imported, milliseconds since 1970.
    pub created_at: i64,
}

/// Every revision that a new site can be made from, newest first.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Catalogue {
    /// Spa sheets.
    pub spas: Vec<SheetCard>,
    /// Practice sheets.
    pub practices: Vec<SheetCard>,
}

/// One entry of the ledger with what the server decided about it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct RecordView {
    /// Its exact bytes; a stub where it was refused or redacted.
    pub raw: String,
    /// Accepted, held or refused.
    pub standing: Standing,
}

impl RecordView {
    /// The record for folding; `None` for bytes that cannot be read as an entry.
    pub fn record(&self) -> Option<Record> {
        let entry = Entry::from_json(&self.raw).ok()?;
        Some(Record {
            entry,
            raw: self.raw.clone(),
            standing: self.standing.clone(),
        })
    }
}

/// Everything the site page shows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SiteView {
    /// Which site.
    pub site: SiteId,
    /// Its descriptive name.
    pub name: String,
    /// IANA time zone.
    pub time_zone: String,
    /// Minutes that the site's clock is ahead of UTC now; times are shown by it.
    pub offset_minutes: i32,
    /// The spa sheet it is pinned to.
    pub spa: SheetCard,
    /// The practice sheet it is pinned to.
    pub practice: SheetCard,
    /// What that spa sheet states: the yard plan is drawn with it.
    pub spa_sheet: SpaSheet,
    /// What that practice sheet states: spreads that readings leave open come from it.
    pub practice_sheet: PracticeSheet,
    /// What the rules say today.
    pub assessment: Assessment,
    /// The answer about the way in, where the yard plan is settled.
    pub way: Option<Certified>,
    /// What is demanded of it.
    pub demanded: Option<Demanded>,
    /// The whole ledger, by seq; held and refused entries after the accepted ones.
    pub records: Vec<RecordView>,
    /// Highest seq.
    pub last_seq: u64,
    /// When the last entry came, milliseconds since 1970.
    pub last_received_at: Option<i64>,
    /// Names of everybody who wrote entries here.
    pub people: BTreeMap<PersonId, String>,
    /// Contacts, outside the ledger.
    pub contacts: Vec<ContactView>,
    /// Invitations, newest first.
    pub invitations: Vec<InvitationView>,
    /// Hashes of photos whose bytes the server holds.
    pub photos: Vec<String>,
    /// The server's clock, milliseconds since 1970.
    pub now: i64,
}

/// The sheets that a site is pinned to and that are not there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MissingSheets {
    /// The site's name.
    pub name: String,
    /// Spa sheet, practice sheet, or both.
    pub missing: Vec<MissingSheet>,
}

/// One of them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MissingSheet {
    /// `site.spa` or `site.practice`.
    pub question: String,
    /// Its revision.
    pub digest: String,
    /// What an entry that names another replaces.
    pub replaces: Vec<EntryId>,
}

/// Which other size of the unit is asked about on a site's way in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SizeAsked {
    /// The largest that would pass.
    Largest(Measured),
    /// This length in inches, the carriage counted.
    Length(f64),
}

/// What is proved of another size of the unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SizeAnswer {
    /// The limit of one side.
    Limit(Extent),
    /// A length tried.
    Tried {
        /// The room it keeps at least, inches; none proved.
        lower: Option<f64>,
        /// The room it keeps at most, inches.
        upper: f64,
    },
}

/// One person or firm to reach for a site.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ContactView {
    /// Which one.
    pub id: Uuid,
    /// What it says.
    #[serde(flatten)]
    pub contact: ContactInput,
}

/// A contact as written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ContactInput {
    /// As what they take part.
    pub party: Party,
    /// Name.
    pub name: String,
    /// Phone number as written.
    pub phone: String,
    /// E-mail address.
    pub email: String,
    /// Postal address.
    pub address: String,
    /// Gate or door code.
    pub access_code: String,
}

/// An invitation as the office sees it, without its token.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct InvitationView {
    /// Which one.
    pub id: Uuid,
    /// Whom it is for.
    pub name: String,
    /// When it was made, milliseconds since 1970.
    pub created_at: i64,
    /// Until when it opens, milliseconds since 1970.
    pub expires_at: i64,
    /// When it was revoked, if it was.
    pub revoked_at: Option<i64>,
}

/// An invitation just made.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct NewInvitation {
    /// Which one.
    pub id: Uuid,
    /// The whole link with its token. It is never shown again.
    pub link: String,
}

/// One answer from the office, to be appended to the ledger in the caller's name.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OfficeAnswer {
    /// Which site.
    pub site: SiteId,
    /// Which question about what.
    pub stream: StreamKey,
    /// `first`, `correct`, `changed`, `repeat` or `settle`.
    pub intent: Intent,
    /// The heads that were seen and are replaced; for `settle` all of them.
    pub replaces: Vec<EntryId>,
    /// What it says.
    pub value: Value,
    /// Half-width in base units, where stated.
    pub spread: Option<i64>,
    /// How it was got.
    pub method: Method,
}

/// Strikes one entry; it stays legible.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OfficeStrike {
    /// Which site.
    pub site: SiteId,
    /// The stream the entry belongs to.
    pub stream: StreamKey,
    /// The entry to strike.
    pub entry: EntryId,
}

/// Signs a hold point on exactly the findings that were shown.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OfficeSignature {
    /// Which site.
    pub site: SiteId,
    /// Which hold point.
    pub hold_point: HoldPoint,
    /// Digest of the findings that were shown. Refused where it is no longer the current one.
    pub digest: String,
    /// Name as signed.
    pub name: String,
}

/// The longest name of a site, in characters.
pub const LONGEST_SITE_NAME: usize = 200;

/// The longest name of a contact, in characters.
pub const LONGEST_CONTACT_NAME: usize = 200;
/// The longest phone number.
pub const LONGEST_PHONE: usize = 60;
/// The longest e-mail address.
pub const LONGEST_EMAIL: usize = 200;
/// The longest postal address.
pub const LONGEST_ADDRESS: usize = 400;
/// The longest gate or door code.
pub const LONGEST_ACCESS_CODE: usize = 100;

/// A site to be made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct NewSiteInput {
    /// Which one: drawn once by the form, so that sending it again makes no second one.
    pub site: SiteId,
    /// A descriptive name.
    pub name: String,
    /// IANA time zone.
    pub time_zone: String,
    /// Revision of a spa sheet.
    pub spa: String,
    /// Revision of a practice sheet.
    pub practice: String,
    /// Contacts to begin with.
    pub contacts: Vec<ContactInput>,
}

/// Where the ledger stands after a write.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Written {
    /// The entry written.
    pub entry: EntryId,
    /// Its seq.
    pub seq: u64,
}

/// Why the server did not do it: problem details (RFC 9457), with the checks concerned.
///
/// Screens show `problem.detail`: it says what happened, that nothing was lost, and what to do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[error("{}", .problem.detail)]
pub struct OfficeError {
    /// The problem.
    #[serde(flatten)]
    pub problem: Problem,
    /// Keys of the checks that stand in the way, where there are any.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub checks: Vec<String>,
}

impl OfficeError {
    fn new(kind: &str, title: &str, status: u16, detail: impl Into<String>) -> Self {
        Self::from(Problem {
            kind: kind.to_owned(),
            title: title.to_owned(),
            status,
            detail: detail.into(),
        })
    }

    /// Nobody is signed in.
    pub fn signed_out() -> Self {
        Self::new(
            "/problems/signed-out",
            "Unauthorized",
            401,
            "Your sign-in has ended. Nothing was lost: sign in again.",
        )
    }

    /// Signed in, but not as somebody who may do this.
    pub fn not_allowed(detail: impl Into<String>) -> Self {
        Self::new("/problems/not-allowed", "Forbidden", 403, detail)
    }

    /// There is no such thing in this organisation.
    pub fn not_found(what: &str) -> Self {
        let detail = format!(
            "There is no such {what} here, or it is not yours to see. Go back to the list and look again."
        );
        Self::new("/problems/not-found", "Not Found", 404, detail)
    }

    /// What was sent cannot be used; the text says what to do.
    pub fn bad_input(detail: impl Into<String>) -> Self {
        Self::new("/problems/cannot-be-read", "Bad Request", 400, detail)
    }

    /// The findings are no longer those that were shown: look again before signing.
    pub fn changed(detail: impl Into<String>, checks: Vec<String>) -> Self {
        Self {
            checks,
            ..Self::new("/problems/changed-since", "Conflict", 409, detail)
        }
    }

    /// The hold point cannot be signed while these checks are not clear.
    pub fn not_ready(detail: impl Into<String>, checks: Vec<String>) -> Self {
        Self {
            checks,
            ..Self::new("/problems/not-ready", "Conflict", 409, detail)
        }
    }

    /// Whether a sheet that the site is pinned to is not there.
    pub fn is_no_sheet(&self) -> bool {
        self.problem.kind == "/problems/no-sheet"
    }

    /// Whether another site of the id that was sent is there already.
    pub fn is_site_there(&self) -> bool {
        self.problem.kind == "/problems/site-there"
    }

    /// Something failed on the server.
    pub fn server() -> Self {
        Self::new(
            "/problems/server",
            "Internal Server Error",
            500,
            "Something failed on the server. Nothing was changed: try again.",
        )
    }

    /// Whether signing in again helps.
    pub fn is_signed_out(&self) -> bool {
        self.problem.status == 401
    }
}

impl From<Problem> for OfficeError {
    fn from(problem: Problem) -> Self {
        Self {
            problem,
            checks: Vec::new(),
        }
    }
}

impl FromServerFnError for OfficeError {
    type Encoder = JsonEncoding;

    fn from_server_fn_error(error: ServerFnErrorErr) -> Self {
        match error {
            ServerFnErrorErr::Request(_) => Self::new(
                "/problems/unreachable",
                "Unreachable",
                0,
                "The server cannot be reached. Nothing was changed: check the connection and try again.",
            ),
            ServerFnErrorErr::Args(reason) | ServerFnErrorErr::MissingArg(reason) => {
                Self::bad_input(format!(
                    "What was sent cannot be read: {reason}. Load the page again."
                ))
            }
            ServerFnErrorErr::Deserialization(_) => Self::new(
                "/problems/other-version",
                "Unreadable",
                0,
                "The server answered in a form this page does not know. Nothing was lost: load the page again.",
            ),
            _ => Self::server(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: RFC 9457 section 3: members type, title, status, detail; further members beside them.
    #[test]
    fn an_error_is_problem_details_with_the_checks_beside_them() {
        let error =
            OfficeError::not_ready("Two checks are not clear.", vec!["reach.openings".into()]);
        let json = serde_json::to_value(&error).expect("plain data");
        assert_eq!(json["type"], "/problems/not-ready");
        assert_eq!(json["status"], 409);
        assert_eq!(json["checks"][0], "reach.openings");
        assert_eq!(
            serde_json::from_value::<OfficeError>(json).expect("the same"),
            error
        );
    }

    #[test]
    fn a_problem_of_another_endpoint_reads_as_an_error() {
        let text = r#"{"type":"/problems/signed-out","title":"Unauthorized","status":401,"detail":"Sign in."}"#;
        let error: OfficeError = serde_json::from_str(text).expect("problem details");
        assert!(error.is_signed_out());
    }
}
