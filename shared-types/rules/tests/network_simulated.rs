//! Ten thousand simulated yards: do the ellipses hold the truth as often as they say, are mistakes found, and is nobody
//! accused who did nothing?
//!
//! The truth is drawn here and the readings are made from it, so nothing of the adjustment is its own judge. What is
//! counted, and over what:
//!
//! * *held*: the share of points whose 95 % ellipse holds the true place, over all points of all sound yards;
//! * *false accusations*: the share of **sound yards** in which any reading is called mistaped. (Counted over readings
//!   the rate would be ten times lower and say less: what the reader meets is a yard with a false accusation in it.)
//! * *doubtful*: the share of **sound readings** with a normalised residual above 3.29, one in a thousand by theory;
//! * *found*: over yards with one mistake of 8 spreads in a reading that the others check (redundancy number of at
//!   least 0.15, so that its expected normalised residual, 8·1.96·√0.15 = 6.1, is well above the critical value), the
//!   share in which it is among the suspects of the first accusation;
//! * *wrongly accused*: over the same yards, the share in which some accusation does not contain the mistaped reading.

use setdown_rules::network::{Adjustment, TapeNetwork, adjust, hunt, loose_parts, mirrors, read};

/// The half-width that holds the truth 19 times in 20 is this many σ.
const SPREADS_PER_SIGMA: f64 = 1.959_963_984_540_054;
/// Sound yards judged.
const YARDS: usize = 10_000;

/// The SplitMix64 sequence: the same yards on every run.
struct Draw(u64);

impl Draw {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + self.uniform() * (high - low)
    }

    fn below(&mut self, end: usize) -> usize {
        (self.uniform() * end as f64) as usize
    }

    /// A standard normal number (Box and Muller).
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        radius * (core::f64::consts::TAU * self.uniform()).cos()
    }

    /// An error with this spread.
    fn error(&mut self, spread: f64) -> f64 {
        self.normal() * spread / SPREADS_PER_SIGMA
    }
}

/// A yard with its true places.
struct Yard {
    truth: Vec<[f64; 2]>,
    /// Pairs taped, with the tape.
    taped: Vec<(usize, usize, usize)>,
    read: Vec<f64>,
}

/// Spread, zero spread and scale spread of the two tapes.
const TAPES: [(f64, f64, f64); 2] = [(0.25, 0.06, 0.0), (0.5, 0.1, 0.001)];

/// Five to nine points over some 50 by 50 ft, at least 5 ft apart, and most pairs taped.
fn yard(draw: &mut Draw) -> Yard {
    let count = 5 + draw.below(5);
    let mut truth = vec![[0.0, 0.0], [draw.between(300.0, 700.0), 0.0]];
    while truth.len() < count {
        let place = [draw.between(-100.0, 800.0), draw.between(-300.0, 700.0)];
        let apart = |other: &[f64; 2]| distance(*other, place) > 60.0;
        if truth.iter().all(apart) && (truth.len() > 2 || place[1] > 60.0) {
            truth.push(place);
        }
    }
    let mut taped = Vec::new();
    for a in 0..count {
        for b in a + 1..count {
            if b < 3 || draw.below(10) < 7 {
                taped.push((a, b, draw.below(2)));
            }
        }
    }
    let shared: Vec<(f64, f64)> = (TAPES.iter())
        .map(|(_, zero, scale)| (draw.error(*zero), draw.error(*scale)))
        .collect();
    let read = (taped.iter())
        .map(|(a, b, tape)| {
            let (zero, scale) = shared[*tape];
            distance(truth[*a], truth[*b]) * (1.0 + scale) + zero + draw.error(TAPES[*tape].0)
        })
        .collect();
    Yard { truth, taped, read }
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    ((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1])).sqrt()
}

impl Yard {
    /// The yard as a file; sides are stated where the truth is well off the line, as seen on site.
    fn network(&self) -> TapeNetwork {
        let names: Vec<String> = (0..self.truth.len()).map(|k| format!("\"P{k}\"")).collect();
        let tapes: Vec<String> = (TAPES.iter().enumerate())
            .map(|(k, (spread, zero, scale))| {
                format!(r#"{{"id":"T{k}","spread":{spread},"zero_spread":{zero},"scale_spread":{scale}}}"#)
            })
            .collect();
        let distances: Vec<String> = (self.taped.iter().zip(&self.read))
            .map(|((a, b, tape), read)| {
                format!(r#"{{"from":"P{a}","to":"P{b}","is":{read},"tape":"T{tape}"}}"#)
            })
            .collect();
        let sides: Vec<String> = (self.truth.iter().enumerate().skip(2))
            .filter(|(_, place)| place[1].abs() > 30.0)
            .map(|(k, place)| {
                let side = if place[1] > 0.0 { "left" } else { "right" };
                format!(r#"{{"point":"P{k}","from":"P0","to":"P1","side":"{side}"}}"#)
            })
            .collect();
        let text = format!(
            r#"{{"points":[{}],"tapes":[{}],"distances":[{}],"sides":[{}]}}"#,
            names.join(","),
            tapes.join(","),
            distances.join(","),
            sides.join(",")
        );
        read(&text).unwrap_or_else(|complaint| panic!("{complaint}"))
    }
}

#[derive(Default)]
struct Tally {
    points: usize,
    held: usize,
    yards: usize,
    accused: usize,
    readings: usize,
    doubtful: usize,
    mistakes: usize,
    found: usize,
    named_alone: usize,
    wrongly_accused: usize,
}

fn share(part: usize, whole: usize) -> f64 {
    part as f64 / whole.max(1) as f64
}

/// Whether the point's 95 % ellipse holds its true place.
fn holds(covariance: [f64; 3], off: [f64; 2]) -> bool {
    let [xx, xy, yy] = covariance;
    let determinant = xx * yy - xy * xy;
    let squared =
        (yy * off[0] * off[0] - 2.0 * xy * off[0] * off[1] + xx * off[1] * off[1]) / determinant;
    // −2·ln 0.05: the 95 % point of χ² with two degrees of freedom.
    squared <= 5.991_464_547_107_98
}

/// Whether there are ellipses to judge: the program itself says of other yards that a tape or an answer is missing.
fn is_settled(network: &TapeNetwork, adjusted: &Adjustment) -> bool {
    loose_parts(network, adjusted).is_empty() && mirrors(network, adjusted).is_empty()
}

/// What the adjustment of a sound yard says.
fn sound(yard: &Yard, tally: &mut Tally) {
    let network = yard.network();
    let hunt = hunt(&network);
    let adjusted = &hunt.before;
    if !is_settled(&network, adjusted) {
        return;
    }
    tally.yards += 1;
    tally.accused += usize::from(hunt.found.iter().any(|mistaped| mistaped.sure));
    for checked in adjusted.readings.iter().flatten() {
        if let Some(normalised) = checked.normalised {
            tally.readings += 1;
            tally.doubtful += usize::from(normalised.abs() > 3.290_526_731_491_926);
        }
    }
    for (point, truth) in yard.truth.iter().enumerate().skip(2) {
        let of = |a, b| adjusted.covariance_of((point, a), (point, b));
        let place = adjusted.places[point];
        let off = [place[0] - truth[0], place[1] - truth[1]];
        tally.points += 1;
        tally.held += usize::from(holds([of(0, 0), of(0, 1), of(1, 1)], off));
    }
}

/// What becomes of one mistake of 8 spreads in a reading that the others check.
fn mistaken(yard: &mut Yard, draw: &mut Draw, tally: &mut Tally) {
    let network = yard.network();
    let adjusted = adjust(&network, &[]);
    let checked: Vec<usize> = (adjusted.readings.iter().enumerate())
        .filter(|(_, checked)| checked.is_some_and(|checked| checked.redundancy >= 0.15))
        .map(|(index, _)| index)
        .collect();
    if checked.is_empty() || !is_settled(&network, &adjusted) {
        return;
    }
    let wrong = checked[draw.below(checked.len())];
    let (_, _, tape) = yard.taped[wrong];
    let sign = if draw.below(2) == 0 { 1.0 } else { -1.0 };
    yard.read[wrong] += sign * 8.0 * TAPES[tape].0;
    let hunt = hunt(&yard.network());
    tally.mistakes += 1;
    let accusations = || hunt.found.iter().filter(|mistaped| mistaped.sure);
    let names_it = |suspects: &[setdown_rules::network::Suspect]| {
        suspects.iter().any(|suspect| suspect.reading == wrong)
    };
    if let Some(first) = accusations().next() {
        tally.found += usize::from(names_it(&first.suspects));
        tally.named_alone += usize::from(names_it(&first.suspects) && first.suspects.len() == 1);
    }
    let wrongly = accusations().any(|mistaped| !names_it(&mistaped.suspects));
    tally.wrongly_accused += usize::from(wrongly);
}

/// Half of the yards.
fn half(seed: u64) -> Tally {
    let mut draw = Draw(seed);
    let mut tally = Tally::default();
    while tally.yards < YARDS / 2 {
        let mut yard = yard(&mut draw);
        sound(&yard, &mut tally);
        mistaken(&mut yard, &mut draw, &mut tally);
    }
    tally
}

impl Tally {
    fn and(self, other: Self) -> Self {
        Self {
            points: self.points + other.points,
            held: self.held + other.held,
            yards: self.yards + other.yards,
            accused: self.accused + other.accused,
            readings: self.readings + other.readings,
            doubtful: self.doubtful + other.doubtful,
            mistakes: self.mistakes + other.mistakes,
            found: self.found + other.found,
            named_alone: self.named_alone + other.named_alone,
            wrongly_accused: self.wrongly_accused + other.wrongly_accused,
        }
    }
}

#[test]
fn ellipses_mistakes_and_false_accusations() {
    // Two halves, each with yards of its own, so that two cores share the work.
    let tally = std::thread::scope(|scope| {
        let halves = [2_024, 2_025].map(|seed| scope.spawn(move || half(seed)));
        let [first, second] = halves.map(|half| half.join().expect("no half panics"));
        first.and(second)
    });
    println!(
        "{} sound yards, {} points: ellipses hold {:.4}; accused {:.4} of yards; doubtful {:.5} of {} readings\n\
         {} yards with a mistake: found {:.4}, named alone {:.4}, wrongly accused {:.4}",
        tally.yards,
        tally.points,
        share(tally.held, tally.points),
        share(tally.accused, tally.yards),
        share(tally.doubtful, tally.readings),
        tally.readings,
        tally.mistakes,
        share(tally.found, tally.mistakes),
        share(tally.named_alone, tally.mistakes),
        share(tally.wrongly_accused, tally.mistakes),
    );
    assert!(
        tally.mistakes > YARDS * 9 / 10,
        "most yards can be mistaken: {}",
        tally.mistakes
    );
    let held = share(tally.held, tally.points);
    assert!(
        (0.93..=0.97).contains(&held),
        "ellipses hold the truth: {held}"
    );
    assert!(
        share(tally.accused, tally.yards) <= 0.002,
        "false accusations: {}",
        tally.accused
    );
    assert!(
        share(tally.doubtful, tally.readings) <= 0.002,
        "doubtful: {}",
        tally.doubtful
    );
    assert!(
        share(tally.found, tally.mistakes) >= 0.95,
        "found: {}",
        tally.found
    );
    assert!(
        share(tally.wrongly_accused, tally.mistakes) <= 0.002,
        "wrongly: {}",
        tally.wrongly_accused
    );
}
