//! Which of its sheets a site cannot be worked out without, and what an entry that names another has to replace.

use setdown_app::office::messages::{MissingSheet, MissingSheets, OfficeError};
use setdown_types::ids::{EntryId, SiteId};
use setdown_types::ledger::fold;
use setdown_types::site::Site;
use setdown_types::subject::Subject;
use setdown_types::wire::Session;

use super::{Office, told};
use crate::store::documents::{PRACTICE, SPA};
use crate::summary::pinned;

impl Office {
    pub(super) async fn missing_of(
        &self,
        caller: &Session,
        site: SiteId,
    ) -> Result<MissingSheets, OfficeError> {
        let (store, organisation) = (&self.state.store, caller.organisation);
        let row = self.own_site(caller, site).await?;
        let records = store.records(organisation, site, row.last_seq).await;
        let folded = fold(&records.map_err(told)?);
        let mut missing = Vec::new();
        for (question, kind, made_with) in [
            ("site.spa", SPA, row.spa),
            ("site.practice", PRACTICE, row.practice),
        ] {
            let digest = pinned(&folded, question).unwrap_or(made_with);
            let found = store.document(organisation, &digest).await.map_err(told)?;
            if found.is_none_or(|document| document.kind != kind) {
                missing.push(MissingSheet {
                    replaces: heads(&folded, question),
                    question: question.to_owned(),
                    digest,
                });
            }
        }
        Ok(MissingSheets {
            name: row.name,
            missing,
        })
    }
}

/// All that an entry in their place has to replace.
fn heads(site: &Site, question: &str) -> Vec<EntryId> {
    site.stream(Subject::SITE, question)
        .map(|stream| stream.heads.clone())
        .unwrap_or_default()
}
