//! Attempts to sign in: who fails often from one network waits there, and a name that many fail at is slow everywhere.
//!
//! Failures are counted by name and network, so that nobody keeps somebody else from their account: from another network
//! the right password is never refused, only answered later while many guess. Failures weigh less with time.

use std::time::Duration;

use setdown_types::digest::digest_hex;
use sqlx::{Any, Row, Transaction};

use super::Store;
use super::people::folded;
use crate::error::ServerError;

/// Failures by name and network that cost nothing.
pub const FREE_FAILURES: i64 = 5;
/// The longest wait after failures, milliseconds.
pub const LONGEST_WAIT: i64 = 5 * 60 * 1000;
/// Failures by name alone that slow nobody down.
pub const FREE_FAILURES_OF_NAME: i64 = 20;
/// The most that a name is slowed down by, milliseconds.
pub const SLOWEST: i64 = 4000;
/// After so long one failure is forgotten, milliseconds.
pub const FORGETS_ONE: i64 = 15 * 60 * 1000;
/// More failures than this count no further: so many are forgotten within half a day.
const MOST_FAILURES: i64 = 40;

/// How long to wait after so many failures from one network, milliseconds: nothing for the first few, then doubling from
/// one second.
pub fn wait_after(failures: i64) -> i64 {
    doubling(failures - FREE_FAILURES, 1000, LONGEST_WAIT)
}

/// How much later an attempt is answered after so many failures from anywhere, milliseconds.
pub fn slowed_after(failures: i64) -> i64 {
    doubling(failures - FREE_FAILURES_OF_NAME, 250, SLOWEST)
}

fn doubling(over: i64, first: i64, most: i64) -> i64 {
    if over < 0 {
        0
    } else {
        (first << over.min(20)).min(most)
    }
}

/// What is left of failures at `now`, of which the last was at `failed_at`.
pub fn weighs(failures: i64, failed_at: i64, now: i64) -> i64 {
    let forgotten = now.saturating_sub(failed_at).max(0) / FORGETS_ONE;
    (failures - forgotten).max(0)
}

/// What is counted under one key.
struct Counted {
    failures: i64,
    blocked_until: i64,
}

impl Store {
    /// Counts an attempt before it is judged, so that many at once do not slip through; gives how much later it is to be
    /// judged.
    ///
    /// # Errors
    /// [`ServerError::TooMany`] while the name is blocked from this network.
    pub async fn count_attempt(
        &self,
        sign_in: &str,
        network: &str,
        now: i64,
    ) -> Result<Duration, ServerError> {
        let here = key(sign_in, network);
        let mut write = self.begin().await?;
        let counted = locked(&mut write.transaction, &here, now).await?;
        if counted.blocked_until > now {
            write.commit().await?;
            return Err(ServerError::TooMany(
                (counted.blocked_until - now + 999) / 1000,
            ));
        }
        let wait = wait_after(counted.failures + 1);
        failed(&mut write.transaction, &here, counted, now, now + wait).await?;
        let slowed = slowed(&mut write.transaction, sign_in, now).await?;
        write.commit().await?;
        Ok(slowed)
    }

    /// The same where nobody can tell from which network: all are one, so nobody is blocked for what others do.
    pub async fn count_attempt_from_anywhere(
        &self,
        sign_in: &str,
        now: i64,
    ) -> Result<Duration, ServerError> {
        let mut write = self.begin().await?;
        let slowed = slowed(&mut write.transaction, sign_in, now).await?;
        write.commit().await?;
        Ok(slowed)
    }

    /// Forgets the attempts of a name that has signed in from this network, and how many failed at it elsewhere.
    pub async fn forget_attempts(&self, sign_in: &str, network: &str) -> Result<(), ServerError> {
        for key in [key(sign_in, network), key_of_name(sign_in)] {
            sqlx::query("DELETE FROM sign_in_attempts WHERE sign_in_hash = $1")
                .bind(key)
                .execute(self.pool())
                .await?;
        }
        Ok(())
    }

    /// Forgets attempts of which nothing weighs any more; gives how many.
    pub async fn forget_old_attempts(&self, now: i64) -> Result<u64, ServerError> {
        let forgotten = sqlx::query(
            "DELETE FROM sign_in_attempts WHERE blocked_until <= $1 AND failed_at + failures * $2 <= $1",
        )
        .bind(now)
        .bind(FORGETS_ONE)
        .execute(self.pool())
        .await?;
        Ok(forgotten.rows_affected())
    }
}

/// Counts an attempt by its name alone; gives how much later it is to be judged.
async fn slowed(
    transaction: &mut Transaction<'static, Any>,
    sign_in: &str,
    now: i64,
) -> Result<Duration, ServerError> {
    let anywhere = key_of_name(sign_in);
    let counted = locked(transaction, &anywhere, now).await?;
    let slowed = slowed_after(counted.failures);
    failed(transaction, &anywhere, counted, now, 0).await?;
    Ok(Duration::from_millis(slowed.unsigned_abs()))
}

/// What is counted under `key`, its row locked.
async fn locked(
    transaction: &mut Transaction<'static, Any>,
    key: &str,
    now: i64,
) -> Result<Counted, ServerError> {
    sqlx::query(
        "INSERT INTO sign_in_attempts (sign_in_hash, failures, blocked_until, failed_at) \
         VALUES ($1, 0, 0, $2) ON CONFLICT (sign_in_hash) DO NOTHING",
    )
    .bind(key)
    .bind(now)
    .execute(&mut **transaction)
    .await?;
    let row = sqlx::query(
        "UPDATE sign_in_attempts SET failures = failures WHERE sign_in_hash = $1 \
         RETURNING failures, blocked_until, failed_at",
    )
    .bind(key)
    .fetch_one(&mut **transaction)
    .await?;
    Ok(Counted {
        failures: weighs(row.try_get("failures")?, row.try_get("failed_at")?, now),
        blocked_until: row.try_get("blocked_until")?,
    })
}

/// Writes one more failure down.
async fn failed(
    transaction: &mut Transaction<'static, Any>,
    key: &str,
    counted: Counted,
    now: i64,
    blocked_until: i64,
) -> Result<(), ServerError> {
    sqlx::query(
        "UPDATE sign_in_attempts SET failures = $2, blocked_until = $3, failed_at = $4 \
         WHERE sign_in_hash = $1",
    )
    .bind(key)
    .bind((counted.failures + 1).min(MOST_FAILURES))
    .bind(blocked_until)
    .bind(now)
    .execute(&mut **transaction)
    .await?;
    Ok(())
}

/// Attempts are kept under a digest: people type passwords into the name field.
fn key(sign_in: &str, network: &str) -> String {
    digest_hex(format!("{}\n{network}", folded(sign_in)).as_bytes())
}

fn key_of_name(sign_in: &str) -> String {
    digest_hex(folded(sign_in).as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waits_double_and_end_at_the_longest() {
        assert_eq!(wait_after(4), 0);
        assert_eq!(wait_after(5), 1000);
        assert_eq!(wait_after(6), 2000);
        assert_eq!(wait_after(1000), LONGEST_WAIT);
        assert_eq!(slowed_after(19), 0);
        assert_eq!(slowed_after(20), 250);
        assert_eq!(slowed_after(1000), SLOWEST);
    }

    #[test]
    fn failures_weigh_less_with_time_and_never_more() {
        assert_eq!(weighs(9, 1000, 1000), 9);
        assert_eq!(weighs(9, 1000, 1000 + FORGETS_ONE), 8);
        assert_eq!(weighs(9, 1000, 1000 + 100 * FORGETS_ONE), 0);
        assert_eq!(weighs(9, 1000, 0), 9, "a clock that was set back");
    }
}
