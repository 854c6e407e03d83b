//! One finding in the making: its working, then its judgement.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use super::context::Context;
use super::number::Num;
use super::result::{Arg, Item, Key, Line, Margin, Outcome, Remedy};

/// A finding about one thing. Add the working, then end with exactly one judgement.
///
/// If any question that was read since the start is missing, the finding is open, whatever the
/// judgement: a check can never turn clear on what it did not read.
#[must_use = "end with a judgement: margin, holds, open or not_needed"]
pub struct Draft<'c, 'a> {
    context: &'c Context<'a>,
    subject: Subject,
    missing_before: usize,
    working: Vec<Line>,
    about: Vec<(Key, Arg)>,
    remedy: Remedy,
}

impl<'c, 'a> Draft<'c, 'a> {
    pub(super) fn new(context: &'c Context<'a>, subject: Subject) -> Self {
        let missing_before = context.trace.borrow().missing;
        Self {
            context,
            subject,
            missing_before,
            working: Vec::new(),
            about: Vec::new(),
            remedy: Remedy::Measuring,
        }
    }

    /// Adds an argument to the reason: which side, which circuit, which part of the base.
    pub fn about(&mut self, name: &'static str, arg: Arg) -> &mut Self {
        self.about.push((Key::Borrowed(name), arg));
        self
    }

    /// Adds a step of the working.
    pub fn line(&mut self, line: Line) -> &mut Self {
        self.working.push(line);
        self
    }

    /// Adds a step that states one quantity with its spread, as argument `value`.
    pub fn shows(&mut self, key: &'static str, number: &Num, dimension: Dimension) -> &mut Self {
        let arg = self.context.arg(number, dimension);
        self.line(Line::new(key).with("value", arg))
    }

    /// Judges by a margin: value minus limit, positive is good, SI units of `dimension`. The
    /// reason is the check's key followed by `.clear`, `.tight` or `.short`.
    pub fn margin(self, margin: &Num, dimension: Dimension) {
        self.margins(std::slice::from_ref(margin), dimension);
    }

    /// Judges by the worst of several margins, each with its own spread: a larger margin that is less sure can be
    /// the one that decides. Without any it is open.
    pub fn margins(self, margins: &[Num], dimension: Dimension) {
        let Some(worst) = worst_of(self.context, margins).and_then(|place| margins.get(place))
        else {
            return self.open("frame.not_computable");
        };
        let spread = self.context.spread(worst);
        let value = worst.value();
        self.context.bet(margins);
        let outcome = judged(value, spread);
        let ending = match outcome {
            Outcome::Clear => "clear",
            Outcome::Short => "short",
            _ => "tight",
        };
        let shown = Margin {
            dimension,
            si: value + 0.0,
            spread,
        };
        let reason = Line::new(format!("{}.{ending}", self.context.key)).with(
            "margin",
            Arg::Measured {
                dimension,
                si: shown.si,
                spread,
            },
        );
        self.finish(outcome, reason, Some(shown));
    }

    /// Judges by a fact. The reason is given for either case.
    pub fn holds(self, holds: bool, reason: &'static str) {
        let outcome = if holds {
            Outcome::Clear
        } else {
            Outcome::Short
        };
        self.finish(outcome, Line::new(reason), None);
    }

    /// Judges by a fact, with arguments in the reason.
    pub fn holds_with(self, holds: bool, reason: Line) {
        let outcome = if holds {
            Outcome::Clear
        } else {
            Outcome::Short
        };
        self.finish(outcome, reason, None);
    }

    /// States that it cannot be decided yet, and why.
    pub fn open(self, reason: &'static str) {
        self.finish(Outcome::Open, Line::new(reason), None);
    }

    /// States that it cannot be decided well enough.
    pub fn tight(self, reason: Line) {
        self.finish(Outcome::Tight, reason, None);
    }

    /// States that it cannot be decided well enough, and that no reading changes that: only what the check wants done
    /// does.
    pub fn tight_until_done(mut self, reason: Line) {
        self.remedy = Remedy::Doing;
        self.finish(Outcome::Tight, reason, None);
    }

    /// States that it does not apply, and why.
    pub fn not_needed(self, reason: &'static str) {
        self.finish(Outcome::NotNeeded, Line::new(reason), None);
    }

    /// Ends as open because something read since the start is missing. For use where the values
    /// for a judgement are not there; the questions themselves are already on record.
    pub fn wait(self) {
        self.finish(Outcome::Open, Line::new("frame.missing"), None);
    }

    fn finish(self, outcome: Outcome, reason: Line, margin: Option<Margin>) {
        let mut trace = self.context.trace.borrow_mut();
        let missing = trace.missing > self.missing_before;
        // A finding that is short already stays short: nothing still to be measured can help it.
        let (outcome, reason) =
            if missing && !matches!(outcome, Outcome::Short | Outcome::NotNeeded) {
                let reason = if outcome == Outcome::Open {
                    reason
                } else {
                    Line::new("frame.missing")
                };
                (Outcome::Open, reason)
            } else {
                (outcome, reason)
            };
        let mut reason = reason;
        reason.args.extend(self.about);
        if margin.is_none() && outcome == Outcome::Short {
            trace.short_fact = true;
        }
        trace.items.push(Item {
            subject: self.subject,
            outcome,
            reason,
            margin,
            remedy: self.remedy,
            working: self.working,
        });
    }
}

/// What a margin with this spread comes to.
fn judged(value: f64, spread: f64) -> Outcome {
    if value >= spread {
        Outcome::Clear
    } else if value <= -spread {
        Outcome::Short
    } else {
        Outcome::Tight
    }
}

/// Place of the margin that decides: the worst outcome, then the least that is sure to be left. `None` without
/// margins, or where one is not a number.
pub fn worst_of(context: &Context<'_>, margins: &[Num]) -> Option<usize> {
    let mut worst: Option<(usize, Outcome, f64)> = None;
    for (place, margin) in margins.iter().enumerate() {
        let (value, spread) = (margin.value(), context.spread(margin));
        if !margin.is_finite() || !spread.is_finite() {
            return None;
        }
        let (outcome, sure) = (judged(value, spread), value - spread);
        if worst.is_none_or(|(_, known, least)| (outcome, -sure) > (known, -least)) {
            worst = Some((place, outcome, sure));
        }
    }
    worst.map(|(place, _, _)| place)
}

/// Shorthand for an argument that is a plain quantity.
pub fn quantity(dimension: Dimension, si: f64) -> Arg {
    Arg::Quantity { dimension, si }
}

/// Shorthand for an argument that is a word to look up.
pub fn word(key: impl Into<Key>) -> Arg {
    Arg::Word(key.into())
}
