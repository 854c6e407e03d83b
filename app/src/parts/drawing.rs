//! Line drawings of how to measure: one per kind, plain straight lines, the tape to be read in the action colour.

use leptos::prelude::*;
use setdown_types::question::Drawing;

use crate::words::word;

/// One stroke of a drawing, in a field 320 wide and 130 high.
enum Mark {
    /// What is there: an SVG path.
    Solid(&'static str),
    /// What lies behind or is only thought: dashed.
    Thought(&'static str),
    /// A filled block: the unit, a wall.
    Block(&'static str),
    /// What to measure: a tape between two points, with the key of its word.
    Tape(f64, f64, f64, f64, &'static str),
    /// A word, by its key, at a place.
    Word(f64, f64, &'static str),
}

use Mark::{Block, Solid, Tape, Thought, Word};

const GATE: &[Mark] = &[
    Solid("M20 122H300 M60 122V12H72V122 M248 122V12H260V122 M72 30L40 48V118L60 122"),
    Tape(72.0, 106.0, 248.0, 106.0, "ankle"),
    Tape(72.0, 70.0, 248.0, 70.0, "hip"),
    Tape(72.0, 28.0, 248.0, 28.0, "head"),
];
const TURN: &[Mark] = &[
    Solid("M20 20H230V122 M20 92H150V122"),
    Block("M28 36h84v40h-84z"),
    Thought("M112 56Q190 56 190 120"),
    Tape(64.0, 20.0, 64.0, 92.0, "way_in"),
    Tape(150.0, 112.0, 230.0, 112.0, "way_out"),
    Word(240.0, 40.0, "corner"),
];
const HEADROOM: &[Mark] = &[
    Solid("M20 122H300 M180 10H300V34H200Z M250 34V122"),
    Thought("M40 122V60H150V122"),
    Tape(195.0, 34.0, 195.0, 122.0, "clear_height"),
    Word(20.0, 24.0, "lowest_point"),
];
const SLOPE: &[Mark] = &[
    Solid("M20 110L300 76 M60 78H210V68H60Z M126 73h18"),
    Tape(206.0, 78.0, 206.0, 88.0, "gap"),
    Tape(64.0, 52.0, 210.0, 52.0, "level_length"),
    Word(20.0, 30.0, "level_flat"),
];
const PANEL: &[Mark] = &[
    Solid(
        "M110 8H210V122H110Z M210 8L262 18V112L210 122 M122 26H198V112H122Z M160 26V112 M122 40H198 M122 54H198 M122 68H198 M122 82H198 M122 96H198",
    ),
    Word(10.0, 62.0, "cover_stays_on"),
    Word(226.0, 66.0, "label"),
];
const BASE_LEVEL: &[Mark] = &[
    Solid("M40 96L110 40H290L240 96Z M40 96V106H240V96 M240 106L290 50V40"),
    Solid("M60 88v-34 M140 72v-34 M250 60v-34 M215 88v-34 M105 48v-34"),
    Thought("M30 30H300"),
    Word(34.0, 22.0, "rod_heights"),
];
const SPOT: &[Mark] = &[
    Solid("M14 10V122 M14 10H306"),
    Block("M110 48h120v48h-120z"),
    Tape(14.0, 72.0, 110.0, 72.0, "to_wall"),
    Tape(170.0, 10.0, 170.0, 48.0, "to_fence"),
    Word(140.0, 78.0, "unit"),
];
const ENTRY_SIDE: &[Mark] = &[
    Block("M120 20h150v58h-150z"),
    Solid("M160 78V88H230V78 M168 88V98H222V88"),
    Thought("M40 122Q150 122 192 104 M184 110L192 104L194 114"),
    Word(14.0, 108.0, "people_come"),
    Word(176.0, 54.0, "unit"),
];
const TRUCK: &[Mark] = &[
    Solid(
        "M10 112H310 M40 104H170V52H40Z M170 104H206V78L194 62H170 M70 104a10 10 0 1 0 0.1 0 M190 104a10 10 0 1 0 0.1 0",
    ),
    Thought("M20 30H300"),
    Tape(250.0, 30.0, 250.0, 112.0, "overhead_clear"),
    Tape(40.0, 40.0, 206.0, 40.0, "rig_length"),
];
const OVERHEAD_LINE: &[Mark] = &[
    Solid("M20 122H300 M40 122V14 M28 20H52 M280 122V22 M268 28H292 M40 22Q160 44 280 30"),
    Thought("M160 122V36"),
    Block("M110 96h100v26h-100z"),
    Word(98.0, 66.0, "look_only"),
];
const SERVICE_END: &[Mark] = &[
    Block("M110 30h170v66h-170z"),
    Solid("M118 36v54 M126 36v54 M134 36v54 M20 14V118"),
    Tape(20.0, 62.0, 110.0, 62.0, "stays_empty"),
    Word(150.0, 66.0, "equipment_end"),
];
const COVER: &[Mark] = &[
    Solid("M20 112H300"),
    Block("M60 70h170v42h-170z"),
    Solid("M230 70L262 24 M230 70L282 36 M60 70H140"),
    Tape(230.0, 104.0, 290.0, 104.0, "cover_room"),
    Word(64.0, 52.0, "cover_open"),
];
const LEG: &[Mark] = &[
    Solid("M20 30H300 M20 100H300"),
    Block("M40 46h90v38h-90z"),
    Thought("M130 65H280 M270 58L280 65L270 72"),
    Tape(20.0, 112.0, 300.0, 112.0, "leg_length"),
    Tape(220.0, 30.0, 220.0, 100.0, "leg_width"),
];
const LIFT: &[Mark] = &[
    Solid("M10 118H310 M24 118V100H84V118 M54 100L230 16 M230 16V62"),
    Block("M190 62h80v26h-80z"),
    Tape(54.0, 110.0, 230.0, 110.0, "radius"),
    Word(96.0, 36.0, "boom"),
];
const STEPS: &[Mark] = &[
    Solid("M20 118H110V100H130V82H150V64H170V46H210V118 M210 118H300"),
    Block("M210 30h90v88h-90z"),
    Tape(196.0, 46.0, 196.0, 118.0, "rise"),
    Tape(224.0, 30.0, 224.0, 118.0, "rim"),
];
const HOSE: &[Mark] = &[
    Solid("M180 60H280L268 122H192Z M20 40H60V52H20Z M60 46Q130 20 160 40T222 66"),
    Thought("M186 84H276"),
    Word(96.0, 100.0, "known_bucket"),
    Word(70.0, 20.0, "time_it"),
];

/// The strokes and the key of the words that describe a drawing.
const fn marks(drawing: Drawing) -> (&'static [Mark], &'static str) {
    match drawing {
        Drawing::Gate => (GATE, "drawing.gate"),
        Drawing::Turn => (TURN, "drawing.turn"),
        Drawing::Headroom => (HEADROOM, "drawing.headroom"),
        Drawing::Slope => (SLOPE, "drawing.slope"),
        Drawing::Panel => (PANEL, "drawing.panel"),
        Drawing::BaseLevel => (BASE_LEVEL, "drawing.base_level"),
        Drawing::SpotClearances => (SPOT, "drawing.spot"),
        Drawing::EntrySide => (ENTRY_SIDE, "drawing.entry_side"),
        Drawing::TruckAccess => (TRUCK, "drawing.truck"),
        Drawing::OverheadLine => (OVERHEAD_LINE, "drawing.overhead_line"),
        Drawing::ServiceEnd => (SERVICE_END, "drawing.service_end"),
        Drawing::Cover => (COVER, "drawing.cover"),
        Drawing::Leg => (LEG, "drawing.leg"),
        Drawing::Lift => (LIFT, "drawing.lift"),
        Drawing::Steps => (STEPS, "drawing.steps"),
        Drawing::Hose => (HOSE, "drawing.hose"),
    }
}

/// The keys of every word a drawing needs.
pub fn word_keys(drawing: Drawing) -> Vec<String> {
    let (marks, title) = marks(drawing);
    let labels = marks.iter().filter_map(|mark| match mark {
        Tape(.., key) | Word(.., key) => Some(format!("drawing.label.{key}")),
        _ => None,
    });
    std::iter::once(title.to_owned()).chain(labels).collect()
}

/// The drawing of how to measure; `strong` names the label of the one tape that is asked for, which is drawn heavier.
#[component]
pub fn DrawingOf(
    /// Which drawing.
    drawing: Drawing,
    /// The label of the tape that this question asks for, such as `hip`.
    #[prop(optional, into)]
    strong: Option<String>,
) -> impl IntoView {
    let (marks, title) = marks(drawing);
    let known = |label: &str| {
        marks
            .iter()
            .any(|mark| matches!(mark, Tape(.., key) if *key == label))
    };
    let strong = strong.filter(|label| known(label));
    let strokes = marks
        .iter()
        .map(|mark| stroke(mark, strong.as_deref()))
        .collect_view();
    view! {
        <svg class="drawing" viewBox="0 0 320 130" role="img" aria-label=word(title)>{strokes}</svg>
    }
}

fn stroke(mark: &Mark, strong: Option<&str>) -> AnyView {
    match mark {
        Solid(path) => view! { <path class="solid" d=*path/> }.into_any(),
        Thought(path) => view! { <path class="thought" d=*path/> }.into_any(),
        Block(path) => view! { <path class="block" d=*path/> }.into_any(),
        Word(x, y, key) => {
            view! { <text x=*x y=*y>{word(&format!("drawing.label.{key}"))}</text> }.into_any()
        }
        Tape(x1, y1, x2, y2, key) => tape(*x1, *y1, *x2, *y2, key, strong),
    }
}

fn tape(x1: f64, y1: f64, x2: f64, y2: f64, key: &str, strong: Option<&str>) -> AnyView {
    let lies = (x2 - x1).abs() >= (y2 - y1).abs();
    // End marks stand across the tape.
    let (across_x, across_y) = if lies { (0.0, 5.0) } else { (5.0, 0.0) };
    let class = match strong {
        Some(label) if label == key => "tape-line strong",
        Some(_) => "tape-line faint",
        None => "tape-line",
    };
    let (text_x, text_y, anchor) = if lies {
        ((x1 + x2) / 2.0, y1 - 5.0, "middle")
    } else {
        (x1 + 8.0, (y1 + y2) / 2.0 + 5.0, "start")
    };
    let end = |x: f64, y: f64| {
        view! { <line x1=x - across_x y1=y - across_y x2=x + across_x y2=y + across_y/> }
    };
    view! {
        <g class=class>
            <line x1=x1 y1=y1 x2=x2 y2=y2/>
            {end(x1, y1)}
            {end(x2, y2)}
            <text x=text_x y=text_y text-anchor=anchor>{word(&format!("drawing.label.{key}"))}</text>
        </g>
    }
    .into_any()
}
