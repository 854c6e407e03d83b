//! Passwords and tokens: how they are made, hashed and compared.

use std::sync::LazyLock;
use std::time::Duration;

use argon2::Argon2;
use argon2::password_hash::{PasswordHasher, PasswordVerifier, phc::PasswordHash};
use setdown_types::digest::digest_hex;
use tokio::sync::Semaphore;

use crate::error::ServerError;

/// The shortest password that may be set, in characters.
pub const MIN_PASSWORD: usize = 10;
/// The longest password that is looked at, in bytes.
pub const MAX_PASSWORD: usize = 1024;

/// A random secret for a cookie or a link, and what of it is kept.
#[derive(Clone)]
pub struct Token {
    /// 256 random bits as 64 lower-case hex characters: given out once, never kept.
    pub secret: String,
    /// What the database keeps.
    pub hash: String,
}

impl Token {
    /// Draws a token from the system's randomness.
    pub fn draw() -> Result<Self, ServerError> {
        let mut bytes = [0u8; 32];
        getrandom::fill(&mut bytes)
            .map_err(|error| ServerError::Internal(format!("no randomness: {error}")))?;
        let secret = hex::encode(bytes);
        let hash = token_hash(&secret);
        Ok(Self { secret, hash })
    }
}

/// What is kept of a token. A plain digest is enough: the secret is 256 random bits.
pub fn token_hash(secret: &str) -> String {
    digest_hex(secret.as_bytes())
}

/// Hashes a password with Argon2id (RFC 9106) and a random salt, away from the async threads.
pub async fn hash_password(password: String) -> Result<String, ServerError> {
    if password.chars().count() < MIN_PASSWORD || password.len() > MAX_PASSWORD {
        return Err(ServerError::BadInput(format!(
            "a password has at least {MIN_PASSWORD} characters and at most {MAX_PASSWORD} bytes"
        )));
    }
    blocking(move || {
        Argon2::default()
            .hash_password(password.as_bytes())
            .map(|hash| hash.to_string())
            .map_err(|error| ServerError::Internal(format!("cannot hash a password: {error}")))
    })
    .await?
}

/// Whether `password` fits `hash`. Without a hash the same work is done for nothing, so that the
/// time taken does not tell which names exist.
pub async fn password_fits(password: String, hash: Option<String>) -> Result<bool, ServerError> {
    if password.len() > MAX_PASSWORD {
        return Ok(false);
    }
    blocking(move || {
        let known = hash.is_some();
        let hash = hash.unwrap_or_else(|| NOBODYS_HASH.clone());
        let fits = PasswordHash::new(&hash).is_ok_and(|hash| {
            Argon2::default()
                .verify_password(password.as_bytes(), &hash)
                .is_ok()
        });
        fits && known
    })
    .await
}

/// A hash that belongs to nobody, made with the same cost as all others.
static NOBODYS_HASH: LazyLock<String> = LazyLock::new(|| {
    Argon2::default()
        .hash_password(b"nobody signs in with this")
        .map(|hash| hash.to_string())
        .unwrap_or_default()
});

/// How many passwords are hashed at once: each takes about 19 MiB (the crate's default cost), and anybody may ask.
static TURNS: Semaphore = Semaphore::const_new(4);
/// How long somebody waits for a turn before being asked to come back, seconds.
const PATIENCE: i64 = 10;

async fn blocking<T: Send + 'static>(
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, ServerError> {
    let turn = tokio::time::timeout(
        Duration::from_secs(PATIENCE.unsigned_abs()),
        TURNS.acquire(),
    )
    .await
    .map_err(|_| ServerError::TooMany(PATIENCE))?
    .map_err(|error| ServerError::Internal(format!("no turn: {error}")))?;
    // The turn ends with the work, also where nobody waits for it any more.
    let work = move || {
        let _turn = turn;
        work()
    };
    tokio::task::spawn_blocking(work)
        .await
        .map_err(|error| ServerError::Internal(format!("a worker stopped: {error}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn a_password_fits_only_its_own_hash() {
        let hash = hash_password("long enough words".into()).await.unwrap();
        assert!(hash.starts_with("$argon2id$"));
        assert!(
            password_fits("long enough words".into(), Some(hash.clone()))
                .await
                .unwrap()
        );
        assert!(
            !password_fits("other words entirely".into(), Some(hash))
                .await
                .unwrap()
        );
        assert!(
            !password_fits("nobody signs in with this".into(), None)
                .await
                .unwrap()
        );
        assert!(hash_password("short".into()).await.is_err());
    }

    #[test]
    fn tokens_are_long_and_never_the_same() {
        let (one, other) = (Token::draw().unwrap(), Token::draw().unwrap());
        assert_eq!(one.secret.len(), 64);
        assert_ne!(one.secret, other.secret);
        assert_eq!(one.hash, token_hash(&one.secret));
    }
}
