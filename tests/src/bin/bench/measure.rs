//! How a piece of work is timed: several times, and the median counts.

use std::hint::black_box;
use std::time::{Duration, Instant};

/// How often a piece of work is done.
const TIMES: usize = 9;

/// The median time that `work` takes.
pub fn median<T>(mut work: impl FnMut() -> T) -> Duration {
    let mut times: Vec<Duration> = (0..TIMES)
        .map(|_| {
            let begun = Instant::now();
            black_box(work());
            begun.elapsed()
        })
        .collect();
    times.sort();
    times[TIMES / 2]
}

/// How many times `other` goes into `time`.
pub fn ratio(time: Duration, other: Duration) -> f64 {
    time.as_secs_f64() / other.as_secs_f64().max(1e-9)
}

/// Milliseconds, for reading.
pub fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1000.0
}
