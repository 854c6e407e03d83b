//! People.
use setdown_types::wire::Session;
use super::types::*;
pub async fn sign_in(_: &str, _: &str) -> Result<Session, RequestError> { Err(RequestError::Offline) }
pub async fn open_invitation(_: &str) -> Result<Session, RequestError> { Err(RequestError::Offline) }
pub async fn sign_out(_: bool) -> Result<(), SignOutError> { Ok(()) }
