//! The text form of a half-filled word of a licensed person.

use serde::{Deserialize, Serialize};
use setdown_types::civil::full_date;
use setdown_types::value::Attestation;

/// The four fields as typed so far.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct AttestationText {
    /// Name of the person.
    pub person: String,
    /// Licence or certificate number and who issued it.
    pub licence: String,
    /// The document it stands in.
    pub document: String,
    /// Its date, as `2026-11-25`.
    pub date: String,
}

impl AttestationText {
    /// Reads a draft; anything unreadable is an empty form.
    pub fn read(text: &str) -> Self {
        serde_json::from_str(text).unwrap_or_default()
    }

    /// The draft of this form; an empty form is an empty text.
    pub fn write(&self) -> String {
        if *self == Self::default() {
            return String::new();
        }
        serde_json::to_string(self).unwrap_or_default()
    }

    /// The form of a complete attestation.
    pub fn of(attestation: &Attestation) -> Self {
        Self {
            person: attestation.person.clone(),
            licence: attestation.licence.clone(),
            document: attestation.document.clone(),
            date: attestation.date.to_string(),
        }
    }

    /// The attestation.
    ///
    /// # Errors
    /// The key of the words that say which field is missing.
    pub fn complete(&self) -> Result<Attestation, &'static str> {
        if self.person.trim().is_empty() {
            return Err("entry.attestation.person_missing");
        }
        if self.licence.trim().is_empty() {
            return Err("entry.attestation.licence_missing");
        }
        if self.document.trim().is_empty() {
            return Err("entry.attestation.document_missing");
        }
        let date = full_date(self.date.trim()).ok_or("entry.attestation.date_missing")?;
        Ok(Attestation {
            person: self.person.trim().to_owned(),
            licence: self.licence.trim().to_owned(),
            document: self.document.trim().to_owned(),
            date,
        })
    }
}
