//! What lies in the stores: rows and keys, and how they are read back.

use js_sys::{Object, Uint8Array};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use setdown_types::ids::{DeviceId, PersonId, SiteId};
use setdown_types::ledger::{Record, Standing};
use setdown_types::subject::Subject;
use wasm_bindgen::{JsCast, JsValue};

use super::database::{StoreError, set, text_at};
use super::logic::replica::read_record;
pub use super::logic::{photos::PhotoRow, sites::SiteRow};
use super::types::How;

/// A draft, or a photo about to be taken (its text is empty).
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct DraftRow {
    /// What it is about.
    pub subject: Subject,
    /// Which question.
    pub question: String,
    /// Who typed it; `None` where nobody was signed in, and in rows of earlier builds.
    #[serde(default)]
    pub author: Option<PersonId>,
    /// The text as typed.
    #[serde(default)]
    pub text: String,
    /// What was chosen beside it.
    #[serde(default)]
    pub how: Option<How>,
    /// When, milliseconds since 1970.
    pub wall: i64,
}

/// Index value of entries that are only on this phone.
pub const UNSENT: &str = "unsent";
/// Index value of entries that wait at the server.
pub const HELD: &str = "held";
/// Index value of this phone's entries that the server did not take.
pub const REFUSED: &str = "refused";
/// Index value of everything that is settled.
pub const SETTLED: &str = "settled";

/// Key in the meta store of a site's version: it grows with every write, so a tab sees that it is behind.
pub fn version_key(site: SiteId) -> String {
    format!("version/{site}")
}

/// Key in the meta store of the ids of what undo brought back on a site. It stays where the site goes: taken along again,
/// its entries are the same.
pub fn brought_back_key(site: SiteId) -> String {
    format!("brought_back.{site}")
}

/// An entry as the store keeps it.
pub fn entry_row(record: &Record, device: DeviceId) -> Result<JsValue, StoreError> {
    let state = match record.standing {
        Standing::Unsent => UNSENT,
        Standing::Held => HELD,
        // Stubs of what others were refused are only there to be looked through.
        Standing::Refused(_) if record.entry.device == device => REFUSED,
        Standing::Refused(_) | Standing::Accepted(_) => SETTLED,
    };
    let row = Object::new();
    set(&row, "site", &record.entry.site.to_string().into());
    set(&row, "state", &state.into());
    set(&row, "raw", &record.raw.as_str().into());
    set(&row, "standing", &to_text(&record.standing)?.into());
    Ok(row.into())
}

/// A record from the store; `None` where its bytes are no entry to this version.
pub fn record(row: &JsValue) -> Option<Record> {
    let standing = serde_json::from_str(&text_at(row, "standing")?).ok()?;
    read_record(&text_at(row, "raw")?, standing)
}

/// Bytes from the store; `None` where something else lies there.
pub fn bytes(value: &JsValue) -> Option<Vec<u8>> {
    value.dyn_ref::<Uint8Array>().map(Uint8Array::to_vec)
}

/// A row as text.
pub fn to_text<T: Serialize>(row: &T) -> Result<String, StoreError> {
    serde_json::to_string(row).map_err(|error| StoreError::Failed(error.to_string()))
}

/// A row from text; `None` where it is of another version.
pub fn from_text<T: DeserializeOwned>(value: &JsValue) -> Option<T> {
    serde_json::from_str(&value.as_string()?).ok()
}
