//! SHA-256 as lower-case hex: how bytes are named.

use sha2::{Digest, Sha256};

/// SHA-256 (FIPS 180-4) of `bytes`, 64 lower-case hex characters.
pub fn digest_hex(bytes: &[u8]) -> String {
    hex::encode(Sha256::digest(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: FIPS 180-4 example "abc".
    #[test]
    fn abc() {
        assert_eq!(
            digest_hex(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
