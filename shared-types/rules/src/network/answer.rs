//! Everything that is known of a tape network, as data and as messages: what `network FILE --json` prints.

use serde::Serialize;

use super::adjust::Adjustment;
use super::clearance::{gap, next_tapes};
use super::findings::findings;
use super::likely::Slip;
use super::loose::loose_parts;
use super::mirror::{Mirror, mirrors};
use super::mistape::{Hunt, Mistaped, Suspect, hunt};
use super::model::{Clearance, TapeNetwork};
use crate::frame::result::Line;

/// A fit less probable than this says that something is wrong, even where no single reading stands out.
pub(super) const MISFIT: f64 = 0.001;

/// The answer about a network. Lengths in inches, angles in degrees, spreads 19 times in 20.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Answer {
    /// What the yard is called.
    pub name: String,
    /// Whether the readings tie every point.
    pub tied: bool,
    /// Whether nothing is loose, mistaped, ambiguous or contradictory: the drawing can be used as it is.
    pub settled: bool,
    /// Coordinates that the readings determine.
    pub rank: usize,
    /// Coordinates there are to determine.
    pub unknowns: usize,
    /// Readings beyond those needed.
    pub redundant: u32,
    /// The sum of squared residuals over their σ.
    pub chi_square: f64,
    /// The probability of so bad a fit where all is well.
    pub fit: f64,
    /// The points; where the network is loose, only one of many possible drawings.
    pub points: Vec<AnsweredPoint>,
    /// The readings.
    pub readings: Vec<AnsweredReading>,
    /// What is loose, with the tape that ties it.
    pub loose: Vec<LooseAnswer>,
    /// Sides that have to be asked about.
    pub mirrors: Vec<MirrorAnswer>,
    /// Mistakes found.
    pub mistaped: Vec<MistapedAnswer>,
    /// The clearances asked for.
    pub clearances: Vec<AnsweredClearance>,
    /// The same as messages, most pressing first.
    pub findings: Vec<Line>,
}

/// One point.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AnsweredPoint {
    /// Its name.
    pub name: String,
    /// x.
    pub x: f64,
    /// y.
    pub y: f64,
    /// Half the long axis of the ellipse that holds the truth 19 times in 20; null where the network is loose.
    pub major: Option<f64>,
    /// Half its short axis.
    pub minor: Option<f64>,
    /// Direction of its long axis.
    pub heading: Option<f64>,
}

/// One reading.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AnsweredReading {
    /// Its id.
    pub id: String,
    /// As read.
    pub read: f64,
    /// Its spread as stated.
    pub spread: f64,
    /// Adjusted minus read; null for a reading set aside.
    pub residual: Option<f64>,
    /// Redundancy number, 0 (nothing checks it) to 1.
    pub redundancy: Option<f64>,
    /// Normalised residual.
    pub normalised: Option<f64>,
    /// Smallest mistake that would be found 8 times in 10.
    pub detectable: Option<f64>,
    /// Whether it was set aside as mistaped.
    pub set_aside: bool,
}

/// One loose movement.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LooseAnswer {
    /// The points that move.
    pub points: Vec<String>,
    /// The tape that ties them.
    pub fix: Option<[String; 2]>,
    /// Whether nothing holds it at all.
    pub free: bool,
}

/// One question of sides.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MirrorAnswer {
    /// The point asked about.
    pub point: String,
    /// Where to stand.
    pub from: String,
    /// Towards which point to look.
    pub to: String,
    /// `left` or `right`: how it is drawn now.
    pub drawn: &'static str,
    /// All points that change sides together.
    pub moves: Vec<String>,
    /// Whether the whole yard is meant.
    pub whole: bool,
}

/// One mistake.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MistapedAnswer {
    /// The readings it can be, likeliest first.
    pub suspects: Vec<SuspectAnswer>,
    /// Whether a mistake is certain; otherwise the first suspect is worth taping again.
    pub sure: bool,
    /// What the first normalised residual was compared with.
    pub critical: f64,
    /// Whether the drawing no longer rests on the suspects.
    pub set_aside: bool,
}

/// One suspect.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SuspectAnswer {
    /// The reading.
    pub id: String,
    /// Its normalised residual.
    pub normalised: f64,
    /// What it has too much.
    pub excess: f64,
    /// Spread of that.
    pub excess_spread: f64,
    /// Slips that explain it.
    pub slips: Vec<SlipAnswer>,
}

/// One slip.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SlipAnswer {
    /// `feet`, `ten_inches`, `one_inch`, `swapped_inches`, `swapped_feet`, `six_for_nine`.
    pub kind: &'static str,
    /// How many too many; 0 for kinds without a number.
    pub count: i64,
    /// What the tape showed.
    pub reading: f64,
}

/// One clearance.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AnsweredClearance {
    /// Its id.
    pub id: String,
    /// The gap; null where the network is loose.
    pub gap: Option<f64>,
    /// Its spread.
    pub spread: Option<f64>,
    /// What is needed.
    pub need: Option<f64>,
    /// The most that a mistake too small to be found could change it.
    pub undetected: Option<f64>,
    /// Readings that it hangs on and that nothing checks.
    pub unchecked: Vec<String>,
    /// Tapes that would narrow its spread most.
    pub next: Vec<TapeSuggestion>,
}

/// A tape worth running.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TapeSuggestion {
    /// One end.
    pub from: String,
    /// The other end.
    pub to: String,
    /// The clearance's spread with it.
    pub spread: f64,
    /// Whether it has been run before.
    pub again: bool,
}

/// Everything about a network.
pub fn answer(network: &TapeNetwork) -> Answer {
    answer_after(network, &hunt(network))
}

/// Everything about a network whose mistakes have been looked for.
pub fn answer_after(network: &TapeNetwork, hunt: &Hunt) -> Answer {
    let adjusted = &hunt.after;
    let loose = loose_parts(network, adjusted);
    let tied = loose.is_empty();
    let mirrors = if tied {
        mirrors(network, adjusted)
    } else {
        Vec::new()
    };
    let contradicted = super::adjust::broken_sides(network, &adjusted.state);
    let mut answer = Answer {
        name: network.parts().name.clone(),
        tied,
        settled: false,
        rank: adjusted.rank,
        unknowns: adjusted.unknowns,
        redundant: adjusted.degrees,
        chi_square: adjusted.chi_square,
        fit: adjusted.fit,
        points: points(network, adjusted, tied),
        readings: readings(network, adjusted),
        loose: loose
            .iter()
            .map(|part| loose_answer(network, part))
            .collect(),
        mirrors: mirrors
            .iter()
            .map(|mirror| mirror_answer(network, mirror))
            .collect(),
        mistaped: hunt
            .found
            .iter()
            .map(|m| mistaped_answer(network, m))
            .collect(),
        clearances: (network.parts().clearances.iter())
            .map(|clearance| clearance_answer(network, adjusted, clearance))
            .collect(),
        findings: Vec::new(),
    };
    let open_mistake = |m: &MistapedAnswer| !(m.sure && m.set_aside);
    answer.settled = tied
        && answer.mirrors.is_empty()
        && contradicted == 0
        && adjusted.fit >= MISFIT
        && !answer.mistaped.iter().any(open_mistake);
    answer.findings = findings(network, &answer, &adjusted.state);
    answer
}

fn points(network: &TapeNetwork, adjusted: &Adjustment, tied: bool) -> Vec<AnsweredPoint> {
    let of = |(index, place): (usize, &super::Place)| {
        let ellipse = adjusted.ellipse(index);
        AnsweredPoint {
            name: network.point_name(index).to_owned(),
            x: place[0],
            y: place[1],
            major: tied.then_some(ellipse.major * ellipse.to_95),
            minor: tied.then_some(ellipse.minor * ellipse.to_95),
            heading: tied.then_some(ellipse.heading),
        }
    };
    adjusted.places.iter().enumerate().map(of).collect()
}

fn readings(network: &TapeNetwork, adjusted: &Adjustment) -> Vec<AnsweredReading> {
    let of = |(reading, checked): (&super::Reading, &Option<super::Checked>)| AnsweredReading {
        id: reading.id.clone(),
        read: reading.value,
        spread: reading.spread,
        residual: checked.map(|c| c.residual),
        redundancy: checked.map(|c| c.redundancy),
        normalised: checked.and_then(|c| c.normalised),
        detectable: checked.and_then(|c| c.detectable),
        set_aside: checked.is_none(),
    };
    network
        .parts()
        .readings
        .iter()
        .zip(&adjusted.readings)
        .map(of)
        .collect()
}

fn names(network: &TapeNetwork, points: &[usize]) -> Vec<String> {
    points
        .iter()
        .map(|point| network.point_name(*point).to_owned())
        .collect()
}

fn loose_answer(network: &TapeNetwork, loose: &super::Loose) -> LooseAnswer {
    LooseAnswer {
        points: names(network, &loose.points),
        fix: loose
            .fix
            .map(|(a, b)| [a, b].map(|point| network.point_name(point).to_owned())),
        free: loose.free,
    }
}

fn mirror_answer(network: &TapeNetwork, mirror: &Mirror) -> MirrorAnswer {
    MirrorAnswer {
        point: network.point_name(mirror.point).to_owned(),
        from: network.point_name(mirror.from).to_owned(),
        to: network.point_name(mirror.to).to_owned(),
        drawn: if mirror.drawn_left { "left" } else { "right" },
        moves: names(network, &mirror.moves),
        whole: mirror.whole,
    }
}

fn reading_id(network: &TapeNetwork, reading: usize) -> String {
    let reading = network.parts().readings.get(reading);
    reading.map_or(String::new(), |reading| reading.id.clone())
}

fn mistaped_answer(network: &TapeNetwork, mistaped: &Mistaped) -> MistapedAnswer {
    let suspect = |suspect: &Suspect| SuspectAnswer {
        id: reading_id(network, suspect.reading),
        normalised: suspect.normalised,
        excess: suspect.excess,
        excess_spread: suspect.excess_spread,
        slips: suspect.slips.iter().map(slip_answer).collect(),
    };
    MistapedAnswer {
        suspects: mistaped.suspects.iter().map(suspect).collect(),
        sure: mistaped.sure,
        critical: mistaped.critical,
        set_aside: mistaped.set_aside,
    }
}

fn slip_answer(likely: &super::Likely) -> SlipAnswer {
    let (kind, count) = match likely.slip {
        Slip::Feet(count) => ("feet", count),
        Slip::TenInches(count) => ("ten_inches", count),
        Slip::OneInch(count) => ("one_inch", count),
        Slip::SwappedInches => ("swapped_inches", 0),
        Slip::SwappedFeet => ("swapped_feet", 0),
        Slip::SixForNine => ("six_for_nine", 0),
    };
    SlipAnswer {
        kind,
        count,
        reading: likely.reading,
    }
}

fn clearance_answer(
    network: &TapeNetwork,
    adjusted: &Adjustment,
    clearance: &Clearance,
) -> AnsweredClearance {
    let gap = gap(network, adjusted, clearance);
    let unchecked = gap.as_ref().map_or(&[][..], |gap| gap.unchecked.as_slice());
    let suggestion = |tape: super::NextTape| TapeSuggestion {
        from: network.point_name(tape.from).to_owned(),
        to: network.point_name(tape.to).to_owned(),
        spread: tape.spread,
        again: tape.again,
    };
    AnsweredClearance {
        id: clearance.id.clone(),
        gap: gap.as_ref().map(|gap| gap.value),
        spread: gap.as_ref().map(|gap| gap.spread),
        need: clearance.need,
        undetected: gap.as_ref().map(|gap| gap.undetected),
        unchecked: unchecked.iter().map(|r| reading_id(network, *r)).collect(),
        next: next_tapes(network, adjusted, clearance)
            .into_iter()
            .map(suggestion)
            .collect(),
    }
}
