//! What the keys of the length keypad do to the text being typed; no screen here.

use setdown_types::quantity::UnitSystem;

/// A length as the keypad holds it: whole feet or metres, whole inches or centimetres, and small ticks.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct KeyedLength {
    /// Digits of feet (metres), once they were closed with the unit's key.
    pub large: Option<String>,
    /// Digits of inches (centimetres).
    pub small: String,
    /// Sixteenths of an inch, or millimetres.
    pub ticks: u8,
}

/// One key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Press {
    /// A digit.
    Digit(u8),
    /// What stands are feet (metres); what follows are inches (centimetres).
    Large,
    /// A tick of the ruler: sixteenths of an inch, or millimetres; a whole inch (centimetre) adds one.
    Tick(u8),
    /// One step back.
    Back,
}

/// More digits than any yard has.
const MOST_DIGITS: usize = 5;

/// Ticks that make one inch (centimetre).
pub const fn ticks_per_unit(system: UnitSystem) -> u8 {
    match system {
        UnitSystem::Us => 16,
        UnitSystem::Metric => 10,
    }
}

impl KeyedLength {
    /// Reads a text that this keypad could have written; `None` for anything else, which only the text field can edit.
    pub fn read(text: &str, system: UnitSystem) -> Option<Self> {
        let (large_word, small_word) = units(system);
        let mut rest = text.trim();
        if rest.is_empty() {
            return Some(Self::default());
        }
        let mut keyed = Self::default();
        if let Some((large, after)) = rest.split_once(large_word)
            && is_digits(large.trim())
            && !after.starts_with(|letter: char| letter.is_alphabetic())
        {
            keyed.large = Some(large.trim().to_owned());
            rest = after.trim();
        }
        if rest.is_empty() {
            return Some(keyed);
        }
        let rest = rest.strip_suffix(small_word)?.trim();
        keyed.read_small(rest, system)?;
        Some(keyed)
    }

    fn read_small(&mut self, text: &str, system: UnitSystem) -> Option<()> {
        match system {
            UnitSystem::Us => {
                let (whole, fraction) = match text.split_once(' ') {
                    Some((whole, fraction)) => (whole, Some(fraction)),
                    None if text.contains('/') => ("", Some(text)),
                    None => (text, None),
                };
                if let Some(fraction) = fraction {
                    let (top, bottom) = fraction.trim().split_once('/')?;
                    let (top, bottom): (u8, u8) = (top.parse().ok()?, bottom.parse().ok()?);
                    if ![2, 4, 8, 16].contains(&bottom) || top >= bottom {
                        return None;
                    }
                    self.ticks = top * (16 / bottom);
                }
                self.take_digits(whole)
            }
            UnitSystem::Metric => {
                let (whole, tenth) = text.split_once('.').unwrap_or((text, ""));
                if !tenth.is_empty() {
                    self.ticks = tenth.parse().ok().filter(|tick| *tick < 10)?;
                }
                self.take_digits(whole)
            }
        }
    }

    fn take_digits(&mut self, digits: &str) -> Option<()> {
        (digits.is_empty() || is_digits(digits)).then(|| digits.clone_into(&mut self.small))
    }

    /// The same after one key.
    pub fn press(mut self, press: Press, system: UnitSystem) -> Self {
        match press {
            Press::Digit(digit) => {
                if self.small.len() < MOST_DIGITS {
                    if self.small == "0" {
                        self.small.clear();
                    }
                    self.small.push(char::from(b'0' + digit.min(9)));
                }
            }
            Press::Large => {
                if self.large.is_none() && !self.small.is_empty() {
                    self.large = Some(std::mem::take(&mut self.small));
                }
            }
            Press::Tick(tick) if tick >= ticks_per_unit(system) => {
                let whole: u32 = self.small.parse().unwrap_or(0);
                self.small = (whole + 1).to_string();
                self.ticks = 0;
            }
            Press::Tick(tick) => self.ticks = tick,
            Press::Back => self.back(),
        }
        self
    }

    fn back(&mut self) {
        if self.ticks > 0 {
            self.ticks = 0;
        } else if self.small.pop().is_none()
            && let Some(large) = self.large.take()
        {
            self.small = large;
        }
    }

    /// The text of what stands; empty where nothing does.
    pub fn write(&self, system: UnitSystem) -> String {
        let (large_word, small_word) = units(system);
        let mut parts = Vec::new();
        if let Some(large) = &self.large {
            parts.push(format!("{large} {large_word}"));
        }
        if let Some(small) = self.small_text(system) {
            parts.push(format!("{small} {small_word}"));
        }
        parts.join(" ")
    }

    fn small_text(&self, system: UnitSystem) -> Option<String> {
        let whole = self.small.as_str();
        match (system, self.ticks) {
            (_, 0) if whole.is_empty() => None,
            (_, 0) => Some(whole.to_owned()),
            (UnitSystem::Us, ticks) => {
                let fraction = fraction_text(ticks);
                Some(if whole.is_empty() {
                    fraction
                } else {
                    format!("{whole} {fraction}")
                })
            }
            (UnitSystem::Metric, ticks) => {
                let whole = if whole.is_empty() { "0" } else { whole };
                Some(format!("{whole}.{ticks}"))
            }
        }
    }
}

/// A count of sixteenths in lowest terms: 8 is `1/2`.
pub fn fraction_text(sixteenths: u8) -> String {
    let (mut top, mut bottom) = (sixteenths, 16);
    while top > 0 && top % 2 == 0 && bottom > 1 {
        top /= 2;
        bottom /= 2;
    }
    format!("{top}/{bottom}")
}

const fn units(system: UnitSystem) -> (&'static str, &'static str) {
    match system {
        UnitSystem::Us => ("ft", "in"),
        UnitSystem::Metric => ("m", "cm"),
    }
}

fn is_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(presses: &[Press], system: UnitSystem) -> String {
        presses
            .iter()
            .fold(KeyedLength::default(), |keyed, press| {
                // Through the text at every step: that is all the draft keeps.
                let text = keyed.press(*press, system).write(system);
                KeyedLength::read(&text, system).expect("the keypad reads what it wrote")
            })
            .write(system)
    }

    #[test]
    fn feet_inches_and_a_tick() {
        use Press::{Digit, Large, Tick};
        let keys = [Digit(7), Large, Digit(1), Digit(0), Tick(8)];
        assert_eq!(typed(&keys, UnitSystem::Us), "7 ft 10 1/2 in");
        assert_eq!(
            typed(&[Digit(9), Digit(4), Tick(3)], UnitSystem::Us),
            "94 3/16 in"
        );
        assert_eq!(
            typed(
                &[Digit(2), Large, Digit(4), Digit(0), Tick(3)],
                UnitSystem::Metric
            ),
            "2 m 40.3 cm"
        );
    }

    #[test]
    fn a_whole_tick_is_the_next_inch() {
        assert_eq!(
            typed(&[Press::Digit(9), Press::Tick(16)], UnitSystem::Us),
            "10 in"
        );
        assert_eq!(typed(&[Press::Tick(16)], UnitSystem::Us), "1 in");
    }

    #[test]
    fn back_takes_the_last_thing_off() {
        use Press::{Back, Digit, Large, Tick};
        let keys = [Digit(7), Large, Digit(1), Tick(8), Back];
        assert_eq!(typed(&keys, UnitSystem::Us), "7 ft 1 in");
        assert_eq!(typed(&[Digit(7), Large, Back], UnitSystem::Us), "7 in");
        assert_eq!(typed(&[Back, Back], UnitSystem::Us), "");
    }

    #[test]
    fn other_texts_are_left_to_the_text_field() {
        for text in ["7' 10\"", "94.5 in", "about 8 ft", "7 ft 10 in ± 1 in"] {
            assert_eq!(KeyedLength::read(text, UnitSystem::Us), None, "{text}");
        }
    }
}
