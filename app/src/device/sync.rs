//! Sync.
use setdown_types::ids::SiteId;
use setdown_types::wire::Document;
use super::types::*;
pub async fn refresh_sites() -> Result<(), RequestError> { Err(RequestError::Offline) }
pub async fn take_along(_: SiteId) -> Result<(), RequestError> { Err(RequestError::Offline) }
pub async fn document(_: &str) -> Result<Document, RequestError> { Err(RequestError::Offline) }
pub fn wake() {}
