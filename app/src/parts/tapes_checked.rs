//! How well taped distances check each other: what each is off by, and from which size on a slip would stand out.

use setdown_rules::network::Answer;
use setdown_rules::plan::ledger::Drawn;
use setdown_rules::tables::units::INCH;
use setdown_types::order;
use setdown_types::quantity::Dimension;
use setdown_types::site::StreamKey;

use crate::words::{Wording, filled};

/// One taped distance among the others.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckedTape {
    /// Where it is answered.
    pub stream: StreamKey,
    /// In words.
    pub text: String,
}

/// Every taped distance of a network that is tied, the least checked first.
pub fn tapes_checked(drawn: &Drawn, network: &Answer, wording: &Wording<'_>) -> Vec<CheckedTape> {
    if !network.tied {
        return Vec::new();
    }
    let length = |inches: f64| wording.quantity(Dimension::Length, inches * INCH);
    let taped = network.readings.iter().filter_map(|reading| {
        let stream = drawn.origin(&reading.id)?;
        let counts = stream.question == "tie.length" && !reading.set_aside;
        let residual = reading.residual.filter(|_| counts)?;
        let share = 100.0 * reading.redundancy.unwrap_or(0.0);
        let text = match reading.detectable {
            Some(slip) => filled(
                "plan.checked.tape",
                &[
                    ("reading", &reading.id),
                    ("off", &length(residual.abs())),
                    ("share", &format!("{share:.0}")),
                    ("slip", &length(slip)),
                ],
            ),
            None => filled("plan.checked.by_nothing", &[("reading", &reading.id)]),
        };
        let checked = CheckedTape {
            stream: stream.clone(),
            text,
        };
        Some((reading.detectable.unwrap_or(f64::INFINITY), checked))
    });
    let mut taped: Vec<(f64, CheckedTape)> = taped.collect();
    order::sort_by(&mut taped, |one, other| other.0.total_cmp(&one.0));
    taped.into_iter().map(|(_, checked)| checked).collect()
}

#[cfg(test)]
mod tests {
    use setdown_rules::network::{answer, read};
    use setdown_types::ids::SubjectId;
    use setdown_types::quantity::UnitSystem;
    use setdown_types::subject::{Subject, SubjectKind};
    use uuid::Uuid;

    use super::*;

    /// A square of 10 ft with both diagonals, and a post that hangs on two tapes alone.
    const TAPED: &str = r#"{"points": ["A", "B", "C", "D", "E"], "spread": 0.25, "distances": [
        {"id": "A-B", "from": "A", "to": "B", "is": 120},
        {"id": "B-C", "from": "B", "to": "C", "is": 120},
        {"id": "C-D", "from": "C", "to": "D", "is": 120},
        {"id": "D-A", "from": "D", "to": "A", "is": 120},
        {"id": "A-C", "from": "A", "to": "C", "is": 169.7},
        {"id": "B-D", "from": "B", "to": "D", "is": 169.7},
        {"id": "A-E", "from": "A", "to": "E", "is": 90},
        {"id": "B-E", "from": "B", "to": "E", "is": 90}]}"#;

    #[test]
    fn what_nothing_checks_comes_first_and_says_so() {
        let network = answer(&read(TAPED).expect("a network"));
        let stream = |place: u128| {
            let id = SubjectId(Uuid::from_u128(place));
            StreamKey::new(Subject::new(SubjectKind::Tie, id), "tie.length")
        };
        let ids = network.readings.iter().map(|reading| reading.id.clone());
        let mut drawn = Drawn::default();
        drawn.origins.extend(ids.zip((1..).map(stream)));
        let wording = Wording {
            system: UnitSystem::Us,
            site: None,
        };
        let told = tapes_checked(&drawn, &network, &wording);
        assert_eq!(told.len(), 8);
        for checked in &told[..2] {
            assert!(
                checked.text.contains("nothing checks it"),
                "{}",
                checked.text
            );
        }
        // One redundant reading among six of a braced square: their redundancy numbers add up to 1.
        let share = |text: &str| -> f64 {
            let (before, _) = text.split_once(" %").expect("a share");
            let digits = before.rsplit(' ').next().expect("a number");
            digits.parse().expect("a number")
        };
        let shares: f64 = told[2..].iter().map(|one| share(&one.text)).sum();
        assert!((shares - 100.0).abs() <= 3.0, "{shares}");
        assert!(tapes_checked(&Drawn::default(), &network, &wording).is_empty());
    }
}
