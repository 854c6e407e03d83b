//! The web door: the shell behind every address, the packed files, and the headers on every answer.

pub mod assets;
pub mod headers;
pub mod shell;

use assets::Assets;
use axum::Router;

/// Every page and file a browser asks for outside `/api`: the shell under each area, the hashed files, the service
/// worker and the files of public/.
pub fn pages<S>(assets: &Assets) -> Router<S>
where
    S: Clone + Send + Sync + 'static,
{
    shell::routes(assets).merge(assets::routes(assets))
}
