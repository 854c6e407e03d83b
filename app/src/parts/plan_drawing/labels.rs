//! The words on the drawing: which of them there is room for at a scale, the most important first.

use super::clutter::{Area, Clutter};
use super::contact::contacts;
use super::describe::short_length;
use super::frame::Turn;
use super::layers::{DOT, PINCH};
use super::marks::names;
use super::sketch::{Sketch, Tape};
use setdown_types::quantity::UnitSystem;

/// A word on the drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Word {
    /// Its style class.
    pub class: &'static str,
    /// The place it belongs to, drawing coordinates.
    pub at: [f64; 2],
    /// How far from that place its middle is, nominal pixels.
    pub offset: [f64; 2],
    /// Where else its middle may be, in the order in which that is tried.
    others: Vec<[f64; 2]>,
    /// By how much it is turned, degrees clockwise on the drawing.
    pub slant: f64,
    /// What it says.
    pub text: String,
    /// What it may not be longer than, inches of the yard.
    room: Option<f64>,
}

/// About how wide a letter is, nominal pixels.
const LETTER: f64 = 7.6;
/// About how high a line is.
const LINE: f64 = 15.0;
/// How far beside its place a word stands.
const BESIDE: f64 = 8.0;

impl Word {
    fn new(class: &'static str, at: [f64; 2], text: String) -> Self {
        Self {
            class,
            at,
            offset: [0.0, 0.0],
            others: Vec::new(),
            slant: 0.0,
            text,
            room: None,
        }
    }

    /// The same, also below, above, right and left of its place, and farther below and above.
    fn movable(self) -> Self {
        let aside = 0.5 * self.long() + BESIDE;
        let near = [[0.0, LINE], [0.0, -LINE], [aside, 0.0], [-aside, 0.0]];
        let farther = [[0.0, 2.0 * LINE], [0.0, -2.0 * LINE]];
        let others = near.into_iter().chain(farther).collect();
        Self { others, ..self }
    }

    /// The same above its place, or else below, right or left of it, so far that a circle there is free.
    fn around(self, radius: f64) -> Self {
        let (above, aside) = (radius + 0.6 * LINE, radius + 0.5 * self.long() + 2.0);
        Self {
            offset: [0.0, -above],
            others: vec![[0.0, above], [aside, 0.0], [-aside, 0.0]],
            ..self
        }
    }

    /// The same at each place where it may be.
    fn placed(&self) -> impl Iterator<Item = Self> {
        let offsets = [self.offset].into_iter().chain(self.others.iter().copied());
        offsets.map(|offset| Self {
            offset,
            ..self.clone()
        })
    }

    fn long(&self) -> f64 {
        LETTER * self.text.chars().count() as f64
    }

    /// Its middle at a scale, nominal pixels.
    fn middle(&self, scale: f64) -> [f64; 2] {
        [0, 1].map(|axis| self.at[axis] / scale + self.offset[axis])
    }

    /// What it takes up at a scale.
    pub fn area(&self, scale: f64) -> Area {
        Area {
            middle: self.middle(scale),
            reach: self.reach(),
        }
    }

    /// Half its width and half its height, nominal pixels.
    fn reach(&self) -> [f64; 2] {
        let (sine, cosine) = self.slant.to_radians().sin_cos();
        let (sine, cosine) = (sine.abs(), cosine.abs());
        let long = self.long();
        [
            0.5 * (long * cosine + LINE * sine),
            0.5 * (long * sine + LINE * cosine),
        ]
    }

    fn fits(&self, scale: f64) -> bool {
        self.room
            .is_none_or(|room| room / scale > self.long() + 8.0)
    }

    fn meets(&self, other: &Self, scale: f64) -> bool {
        let (one, another) = (self.middle(scale), other.middle(scale));
        let (reach, more) = (self.reach(), other.reach());
        (0..2).all(|axis| (one[axis] - another[axis]).abs() < reach[axis] + more[axis])
    }
}

/// Every word that a sketch has, the most important first.
pub fn words(sketch: &Sketch, turn: Turn, system: UnitSystem) -> Vec<Word> {
    let mut words = pinch_words(sketch, turn, system);
    words.extend(sketch.points.iter().map(|point| {
        let at = turn.place(point.at);
        Word::new("point-name", at, point.name.clone()).around(DOT)
    }));
    let suspects = sketch.tapes.iter().filter(|tape| tape.suspect);
    words.extend(suspects.map(|tape| along("suspect", tape, turn)));
    for opening in &sketch.plan.openings {
        let [from, to] = &opening.between;
        let tape = Tape {
            from: from.at(),
            to: to.at(),
            text: short_length(opening.width.value, system),
            suspect: false,
        };
        words.push(along("dimension", &tape, turn));
    }
    let sound = sketch.tapes.iter().filter(|tape| !tape.suspect);
    words.extend(sound.map(|tape| along("dimension", tape, turn)));
    let names = names(&sketch.plan, turn).into_iter();
    words.extend(names.map(|label| Word::new(label.class, label.at, label.text).movable()));
    words
}

/// The number and the room of every narrow place, over its first circle.
fn pinch_words(sketch: &Sketch, turn: Turn, system: UnitSystem) -> Vec<Word> {
    let answer = sketch.answer.iter();
    let pinches = answer.flat_map(|answer| &answer.pinches).enumerate();
    let told = pinches.filter_map(|(index, pinch)| {
        let place = contacts(&sketch.plan, pinch).first().copied()?;
        let text = format!("{}: {}", index + 1, short_length(pinch.gap, system));
        Some(Word::new("pinch-text", turn.place(place), text).around(PINCH))
    });
    told.collect()
}

/// A dimension's text, beside the middle of its line and along it, never upside down.
fn along(class: &'static str, tape: &Tape, turn: Turn) -> Word {
    let (from, to) = (turn.place(tape.from), turn.place(tape.to));
    let (x, y) = (to[0] - from[0], to[1] - from[1]);
    let mut slant = y.atan2(x).to_degrees();
    if slant > 90.0 {
        slant -= 180.0;
    } else if slant <= -90.0 {
        slant += 180.0;
    }
    let (sine, cosine) = slant.to_radians().sin_cos();
    let middle = [0, 1].map(|axis| 0.5 * (from[axis] + to[axis]));
    Word {
        offset: [9.0 * sine, -9.0 * cosine],
        slant,
        room: Some(x.hypot(y)),
        ..Word::new(class, middle, tape.text.clone())
    }
}

/// The words there is room for, the first ones first: each at the first of its places where it meets none before it and
/// covers nothing else, or else where it covers least. What meets one before it everywhere is left out. `arrow`: where the
/// north arrow is, if it is drawn.
pub fn with_room(
    words: &[Word],
    clutter: &Clutter,
    scale: f64,
    arrow: Option<[f64; 2]>,
) -> Vec<Word> {
    let mut shown: Vec<Word> = Vec::new();
    for word in words.iter().filter(|word| word.fits(scale)) {
        let mut best: Option<(u32, Word)> = None;
        for placed in word.placed() {
            if shown.iter().any(|other| placed.meets(other, scale)) {
                continue;
            }
            let covered = clutter.covered(placed.area(scale), scale, arrow);
            if best.as_ref().is_none_or(|(least, _)| covered < *least) {
                best = Some((covered, placed));
            }
            if covered == 0 {
                break;
            }
        }
        shown.extend(best.map(|(_, placed)| placed));
    }
    shown
}
