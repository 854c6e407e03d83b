//! Any bytes as a network file: a complaint that says why, or an answer without NaN; no panic, bounded work.
#![no_main]

use libfuzzer_sys::fuzz_target;
use setdown_rules::network;

fuzz_target!(|text: &str| {
    match network::read(text) {
        Err(complaint) => assert!(!complaint.to_string().is_empty()),
        Ok(network) => {
            let answer = network::answer(&network);
            assert!(!answer.chi_square.is_nan());
            assert!(
                answer
                    .points
                    .iter()
                    .all(|point| !point.x.is_nan() && !point.y.is_nan())
            );
        }
    }
});
