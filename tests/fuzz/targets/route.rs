//! Any bytes as a route file: a fault that names a key, or bounds that are in order; no panic, bounded work.
#![no_main]

use libfuzzer_sys::fuzz_target;
use setdown_rules::motion::{Answer, Options, Solver, file};

fuzz_target!(|text: &str| {
    match file::read(text) {
        Err(fault) => assert!(!fault.why.is_empty()),
        Ok(scene) => {
            let options = Options {
                most_cells: 400,
                ..Options::default()
            };
            let mut solver = Solver::new(&scene, options);
            solver.solve();
            let answer = Answer::of(&scene, &solver);
            assert!(answer.lower.is_none_or(|lower| lower <= answer.upper));
            assert!(!answer.upper.is_nan());
        }
    }
});
