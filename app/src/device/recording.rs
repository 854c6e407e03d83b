//! Recording.
use setdown_types::ids::{EntryId, SiteId};
use setdown_types::subject::Subject;
use super::types::*;
use super::NewAnswer;
pub async fn append(_: NewAnswer) -> Result<EntryId, AppendError> { Err(AppendError::NoSession) }
pub async fn append_all(_: Vec<NewAnswer>) -> Result<Vec<EntryId>, AppendError> { Err(AppendError::NoSession) }
pub async fn strike(_: SiteId, _: EntryId) -> Result<EntryId, AppendError> { Err(AppendError::Nothing) }
pub async fn undo_last(_: SiteId) -> Result<Undone, AppendError> { Err(AppendError::Nothing) }
pub async fn keep_draft(_: SiteId, _: Subject, _: &str, _: &str) {}
pub async fn draft(_: SiteId, _: Subject, _: &str) -> Option<Draft> { None }
pub async fn drafts(_: SiteId) -> Vec<Draft> { Vec::new() }
pub async fn expect_photo(_: SiteId, _: Subject, _: &str) {}
pub async fn expected_photos(_: SiteId) -> Vec<ExpectedPhoto> { Vec::new() }
pub async fn forget_expected_photo(_: SiteId, _: Subject, _: &str) {}
