//! The words on the drawing: which of them there is room for at a scale, the most important first.

use super::contact::contacts;
use super::describe::short_length;
use super::frame::Turn;
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

    /// The same, also below, above, right and left of where it belongs.
    fn movable(self) -> Self {
        let ([x, y], aside) = (self.offset, 0.5 * self.long() + BESIDE);
        let others = [[0.0, LINE], [0.0, -LINE], [aside, 0.0], [-aside, 0.0]];
        let others = others.map(|[right, down]| [x + right, y + down]).to_vec();
        Self { others, ..self }
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
    words.extend(sketch.points.iter().map(|point| Word {
        offset: [0.0, -14.0],
        ..Word::new("point-name", turn.place(point.at), point.name.clone())
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
        Some(Word {
            offset: [0.0, -21.0],
            ..Word::new("pinch-text", turn.place(place), text)
        })
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

/// The words there is room for, each at the first of its places where it meets none before it; what meets one everywhere
/// is left out.
pub fn with_room(words: &[Word], scale: f64) -> Vec<Word> {
    let mut shown: Vec<Word> = Vec::new();
    for word in words.iter().filter(|word| word.fits(scale)) {
        let is_free = |word: &Word| !shown.iter().any(|other| word.meets(other, scale));
        let free = word.placed().find(is_free);
        shown.extend(free);
    }
    shown
}
