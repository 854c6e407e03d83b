//! SHA-256 as lower-case hex: how bytes are named.

use sha2::{Digest, Sha256};

/// SHA-256 (FIPS 180-4) of `bytes`, 64 lower-case hex characters.
pub fn digest_hex(bytes: &[u8]) -> String {
    hex::encode(Sha256::digest(bytes))
}

/// Whether `text` is a digest as [`digest_hex`] writes it.
pub fn is_digest(text: &str) -> bool {
    text.len() == 64
        && text
            .bytes()
            .all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'))
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

    #[test]
    fn only_what_this_writes_is_a_digest() {
        let digest = digest_hex(b"abc");
        assert!(is_digest(&digest));
        for other in [
            digest.to_uppercase(),
            digest.replace('b', "\0"),
            digest.replace('b', "g"),
            digest[1..].to_owned(),
            format!("{digest}0"),
        ] {
            assert!(!is_digest(&other), "{other:?}");
        }
    }
}
