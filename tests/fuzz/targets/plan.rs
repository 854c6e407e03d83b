//! Any bytes as a plan file: a complaint that says why, or a plan with finite places; no panic, bounded work.
#![no_main]

use libfuzzer_sys::fuzz_target;
use setdown_rules::plan;

fuzz_target!(|text: &str| {
    match plan::read(text) {
        Err(complaint) => assert!(!complaint.to_string().is_empty()),
        Ok(derived) => {
            let answer = plan::answer(&derived);
            let finite = |pair: [f64; 2]| pair.iter().all(|number| number.is_finite());
            assert!(
                answer
                    .points
                    .iter()
                    .all(|point| finite(point.x) && finite(point.y))
            );
        }
    }
});
