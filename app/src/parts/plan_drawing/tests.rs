//! The pure side of the drawing: views that keep their places, samples that keep to the moves, words that do not meet.

use setdown_rules::motion::moves::{About, Action, Move};
use setdown_rules::motion::scene::Pose;
use setdown_rules::motion::{Answer, certify_scene};
use setdown_rules::plan::{Place, Plan, Traced};
use setdown_types::quantity::UnitSystem;

use super::clutter::Clutter;
use super::labels::{Word, with_room, words};
use super::marks;
use super::track::corners;
use super::*;

fn near(one: [f64; 2], other: [f64; 2], within: f64) -> bool {
    (one[0] - other[0]).hypot(one[1] - other[1]) <= within
}

/// The words on a drawing without a north arrow.
fn shown(sketch: &Sketch, turn: Turn, scale: f64) -> Vec<Word> {
    let all = words(sketch, turn, UnitSystem::Us);
    with_room(&all, &Clutter::of(sketch, turn), scale, None)
}

fn yard() -> Extent {
    Extent::around([[0.0, 0.0], [900.0, 300.0]])
}

#[test]
fn zooming_keeps_the_place_under_the_finger() {
    let frame = Frame::whole(yard(), 1.0);
    for about in [[0.1, 0.9], [0.5, 0.5], [0.8, 0.2]] {
        let closer = frame.zoomed(2.5, about);
        assert!(near(frame.under(about), closer.under(about), 1e-9));
        assert!(closer.width < frame.width);
    }
}

#[test]
fn panning_moves_what_is_under_the_finger_along_with_it() {
    let frame = Frame::whole(yard(), 1.0);
    let panned = frame.panned([0.25, -0.125]);
    assert!(near(
        frame.under([0.3, 0.6]),
        panned.under([0.55, 0.475]),
        1e-9
    ));
}

#[test]
fn nobody_gets_lost_by_zooming() {
    let whole = Frame::whole(yard(), 1.0);
    let mut frame = whole;
    for _ in 0..100 {
        frame = frame.zoomed(0.5, [0.0, 1.0]);
    }
    assert!(frame.width <= 3.0 * whole.width);
    assert_eq!(frame.zoomed(f64::NAN, [0.5, 0.5]), frame);
    assert_eq!(frame.zoomed(0.0, [0.5, 0.5]), frame);
}

#[test]
fn turning_goes_round_and_is_undone() {
    let mut turn = Turn::default();
    for _ in 0..4 {
        assert!(near(turn.back(turn.place([3.0, 7.0])), [3.0, 7.0], 1e-12));
        turn = turn.next();
    }
    assert_eq!(turn, Turn::default());
    // A quarter turn counter-clockwise carries +x to up, which is −y on a drawing.
    assert_eq!(Turn::default().next().place([1.0, 0.0]), [-0.0, -1.0]);
}

#[test]
fn a_long_yard_stands_upright_on_an_upright_drawing() {
    let turn = Turn::fitting(yard(), 1.4);
    let placed = yard().corners().map(|corner| turn.place(corner));
    let extent = Extent::around(placed);
    assert!(extent.height() > extent.width());
}

fn turn_about(about: About) -> Move {
    let from = Pose {
        x: 100.0,
        y: 50.0,
        heading: 0.0,
    };
    Move {
        action: Action::Turn {
            degrees: 90.0,
            about,
        },
        from,
        to: Pose {
            heading: 90.0,
            ..from
        },
    }
}

fn answer_with(moves: Vec<Move>) -> Answer {
    let text = r#"{"unit": {"L": 190, "W": 94}, "start": [0, 0, 0], "goal": [9, 9, 9]}"#;
    let mut answer = certify_scene(text, 0.1).unwrap().answer;
    answer.moves = moves;
    answer
}

#[test]
fn a_turn_about_a_corner_leaves_that_corner_where_it_is() {
    let size = [190.0, 94.0];
    let about = About::Corner {
        front: true,
        left: false,
    };
    let track = Track::of(&answer_with(vec![turn_about(about)]), size);
    // Corners come rear right first; the front right one is the second.
    let stays = corners(track.samples[0].pose, size)[1];
    assert!(track.samples.len() > 20);
    for sample in &track.samples {
        assert!(near(corners(sample.pose, size)[1], stays, 1e-9));
    }
    assert!((track.samples.last().unwrap().pose.heading - 90.0).abs() < 1e-12);
}

#[test]
fn playing_runs_from_the_first_pose_to_the_last_and_stops_at_every_move() {
    let text = r#"{"bounds": [0, 0, 100, 600], "unit": {"L": 190, "W": 94},
        "start": [50, 110, 90], "goal": [50, 480, 90], "goal_symmetric": true, "obstacles": []}"#;
    let answer = certify_scene(text, 0.1).unwrap().answer;
    let track = Track::of(&answer, [190.0, 94.0]);
    let pose = |share: f64| track.at(share).unwrap().pose;
    assert!(near([pose(0.0).x, pose(0.0).y], [50.0, 110.0], 1e-6));
    assert!(near([pose(1.0).x, pose(1.0).y], [50.0, 480.0], 1e-6));
    for (step, one) in answer.moves.iter().enumerate() {
        let end = pose(track.end_of(step));
        assert!(near([end.x, end.y], [one.to.x, one.to.y], 1e-6));
    }
}

#[test]
fn no_way_is_no_track() {
    let mut answer = answer_with(vec![turn_about(About::Centre)]);
    answer.lower = Some(-0.5);
    assert_eq!(Track::of(&answer, [190.0, 94.0]), Track::default());
    answer.lower = None;
    assert_eq!(Track::of(&answer, [190.0, 94.0]), Track::default());
}

#[test]
fn the_ellipse_of_two_equal_errors_at_right_angles_is_a_circle() {
    let traced = |slopes: Vec<(u32, f64)>| Traced { value: 0.0, slopes };
    let round = Ellipse::of(&Place {
        x: traced(vec![(0, 0.1)]),
        y: traced(vec![(1, 0.1)]),
    });
    // √χ²(0.95, 2) = 2.4477, NIST/SEMATECH e-Handbook, table of the chi-square distribution (5.991).
    assert!((round.major - 0.244_77).abs() < 1e-4 && (round.minor - round.major).abs() < 1e-12);
    let slanting = Ellipse::of(&Place {
        x: traced(vec![(0, 0.1)]),
        y: traced(vec![(0, 0.1)]),
    });
    assert!((slanting.heading - 45.0).abs() < 1e-9 && slanting.minor < 1e-6);
}

#[test]
fn words_that_are_shown_do_not_meet_and_more_show_closer() {
    let points = (0..12).map(|index| SketchPoint {
        id: None,
        name: format!("P{index}"),
        at: [f64::from(index) * 9.0, f64::from(index % 3) * 8.0],
    });
    let points: Vec<SketchPoint> = points.collect();
    let tapes = points.windows(2).map(|pair| Tape {
        from: pair[0].at,
        to: pair[1].at,
        text: "1 ft 0 3/16 in".to_owned(),
        suspect: false,
    });
    let sketch = Sketch {
        tapes: tapes.collect(),
        points,
        ..Sketch::default()
    };
    let all = words(&sketch, Turn::default(), UnitSystem::Us);
    let counts: Vec<usize> = [10.0, 1.0, 0.1, 0.01]
        .map(|scale| shown(&sketch, Turn::default(), scale).len())
        .to_vec();
    assert!(counts.is_sorted() && counts[0] >= 1, "{counts:?}");
    assert_eq!(*counts.last().unwrap(), all.len());
}

/// Walls and ends of a leg have no names of their own on the drawing, and a gate is named once.
#[test]
fn a_leg_is_named_once_between_its_walls() {
    let file = r#"{"spread": 0.5, "legs": [{"id": "side yard", "left": 60, "right": 80, "length": 400,
        "gates": [{"id": "gate", "along": 100, "width": 96, "headroom": 90}]}]}"#;
    let derived = setdown_rules::plan::read(file).expect("a plan");
    let plan = derived.plan.expect("it is laid");
    let labels = marks::names(&plan, Turn::default());
    let named = |text: &str| labels.iter().filter(|label| label.text == text).count();
    assert_eq!((named("side yard"), named("gate")), (1, 1));
    assert_eq!(labels.len(), 2);
    let leg = labels.iter().find(|label| label.text == "side yard");
    let at = Turn::default().back(leg.expect("it is named").at);
    assert!(near(at, [200.0, -10.0], 1e-9), "{at:?}");
}

/// A gate has one name, between its posts, whatever of them stands: one flush with the left wall, one flush with both walls, one
/// with both posts and a beam, and one that is taped between two points. What somebody calls by such a word keeps its own.
#[test]
fn every_gate_is_named_once() {
    let file = r#"{"spread": 0.5, "legs": [{"id": "yard", "left": 50, "right": 50, "length": 900, "gates": [
            {"id": "flush", "along": 100, "left": 50, "width": 90},
            {"id": "wide", "along": 300, "left": 50, "width": 100},
            {"id": "beamed", "along": 500, "width": 90, "headroom": 90}]}],
        "openings": [{"id": "taped", "between": [[700, 50], [700, -50]]}],
        "obstacles": [{"id": "old gate", "kind": "gate", "at": [800, 30], "diameter": 4}]}"#;
    let plan = setdown_rules::plan::read(file).expect("a plan").plan;
    let labels = marks::names(&plan.expect("it is laid"), Turn::default());
    let mut texts: Vec<&str> = labels.iter().map(|label| label.text.as_str()).collect();
    texts.sort_unstable();
    assert_eq!(
        texts,
        ["beamed", "flush", "old gate", "taped", "wide", "yard"]
    );
    for (gate, middle) in [
        ("flush", [100.0, 5.0]),
        ("wide", [300.0, 0.0]),
        ("beamed", [500.0, 0.0]),
        ("taped", [700.0, 0.0]),
    ] {
        let label = labels.iter().find(|label| label.text == gate);
        let at = Turn::default().back(label.expect("it is named").at);
        assert!(near(at, middle, 1e-9), "{gate}: {at:?}");
    }
}

/// A gate's width stands beside the middle of its line; its name makes room for it.
#[test]
fn gates_show_their_width_and_their_name() {
    let file = r#"{"spread": 0.5, "legs": [{"id": "yard", "left": 50, "right": 50, "length": 900,
        "gates": [{"id": "side gate", "along": 300, "width": 90}]}]}"#;
    let plan = setdown_rules::plan::read(file).expect("a plan").plan;
    let sketch = Sketch {
        plan: plan.expect("it is laid"),
        ..Sketch::default()
    };
    let mut turn = Turn::default();
    for _ in 0..4 {
        let shown = shown(&sketch, turn, 0.5);
        let texts: Vec<&str> = shown.iter().map(|word| word.text.as_str()).collect();
        assert!(
            texts.contains(&"7 ft 6 in") && texts.contains(&"side gate"),
            "{texts:?}"
        );
        turn = turn.next();
    }
}

/// A yard of one leg with a roof over it, whose underside is at some height, and a post that stands under it. The unit is
/// carried up to 82 in.
fn roofed(underside: f64) -> Plan {
    let file = format!(
        r#"{{"spread": 0.5, "unit": {{"L": 190, "W": 94, "carry_z": [0, 82]}},
            "legs": [{{"id": "a", "left": 90, "right": 90, "length": 900}}],
            "obstacles": [
                {{"id": "post", "kind": "post", "at": [300, 80], "diameter": 6}},
                {{"id": "carport", "kind": "roof", "z": [{underside}, 120],
                  "ring": [[200, -80], [500, -80], [500, 80], [200, 80]]}},
                {{"id": "pergola", "kind": "roof", "z": [{underside}, 120], "removable": true, "trouble": 9,
                  "ring": [[600, -80], [700, -80], [700, 80], [600, 80]]}}]}}"#
    );
    let derived = setdown_rules::plan::read(&file).expect("a plan");
    derived.plan.expect("it is laid")
}

/// What is open underneath is dashed, filled only where the unit meets it, and lies under what stands.
#[test]
fn roofs_are_dashed() {
    let classes = |underside: f64| -> Vec<&'static str> {
        let marks = marks::solids(&roofed(underside), Turn::default());
        let classes = marks.iter().map(|mark| mark.class);
        classes.filter(|class| class.starts_with("thing")).collect()
    };
    assert_eq!(
        classes(96.0),
        [
            "thing overhead passed",
            "thing removable overhead passed",
            "thing"
        ]
    );
    assert_eq!(
        classes(80.0),
        ["thing overhead", "thing removable overhead", "thing"]
    );
    assert_eq!(classes(0.0), ["thing", "thing", "thing removable"]);
    // The one style of all drawings, on screen and on paper, dashes that class.
    let style = include_str!("../../../style/plan.css");
    assert!(style.contains(".plan .overhead {\n  stroke-dasharray:"));
}

#[test]
fn what_is_open_underneath_is_told() {
    let said = |underside: f64| {
        let plan = roofed(underside);
        let sketch = Sketch {
            plan,
            ..Sketch::default()
        };
        described(&sketch, UnitSystem::Us)
    };
    let roofs = "Open underneath, drawn dashed: carport, pergola".to_owned();
    assert!(said(96.0).contains(&roofs) && said(96.0).contains(&"Things: post".to_owned()));
    assert!(!said(0.0).contains(&roofs));
}

/// A yard with a house wall along its lower edge, a fence up its left side and a post by itself.
fn walled() -> Sketch {
    let file = r#"{"spread": 0.5,
        "network": {"points": ["A", "B", "C"], "spread": 0.1, "distances": [
            {"from": "A", "to": "B", "is": 600}, {"from": "A", "to": "C", "is": 600},
            {"from": "B", "to": "C", "is": 848.53}], "sides": [{"point": "C", "from": "A", "to": "B", "side": "left"}]},
        "walls": [{"id": "house wall", "line": ["A", "B"], "thickness": 6}],
        "fences": [{"id": "fence", "line": ["A", "C"], "thickness": 2}],
        "obstacles": [{"id": "post", "kind": "post", "at": [300, 300], "diameter": 8}]}"#;
    let plan = setdown_rules::plan::read(file).expect("a plan").plan;
    Sketch {
        plan: plan.expect("it is tied"),
        ..Sketch::default()
    }
}

/// A pixel is two inches: names stand beside their walls and posts, not across them, at every turn.
#[test]
fn names_stand_beside_what_they_name() {
    let sketch = walled();
    let mut turn = Turn::default();
    for _ in 0..4 {
        let clutter = Clutter::of(&sketch, turn);
        let shown = shown(&sketch, turn, 2.0);
        assert_eq!(shown.len(), 3);
        for word in &shown {
            assert_eq!(clutter.covered(word.area(2.0), 2.0, None), 0, "{word:?}");
            assert_ne!(word.offset, [0.0, 0.0]);
        }
        turn = turn.next();
    }
    // From so far away that the whole yard is as large as a word no place is free, and the names are shown all the same.
    assert!(!self::shown(&sketch, turn, 40.0).is_empty());
}

/// A name goes to a side where the edge of the drawing does not cut it, while there is one.
#[test]
fn names_stay_on_the_drawing() {
    let sketch = walled();
    let turn = Turn::default();
    let all = words(&sketch, turn, UnitSystem::Us);
    let post = |clutter: &Clutter| {
        let shown = with_room(&all, clutter, 2.0, None);
        let post = shown.iter().find(|word| word.text == "post").cloned();
        post.expect("it is shown")
    };
    let clutter = Clutter::of(&sketch, turn);
    assert_eq!(post(&clutter).offset, [0.0, 15.0]);
    // The drawing ends 20 in, or 10 px, below the post.
    let [x, y] = turn.place([300.0, 300.0]);
    let mut frame = Frame::whole(Extent::of(&sketch), 1.0);
    frame.width = 4_000.0;
    frame.middle = [x, y + 20.0 - 2_000.0];
    assert_eq!(post(&clutter.within(frame)).offset, [0.0, -15.0]);
}

/// The arrow hides what lies under it: a name goes out of its way while another place is free.
#[test]
fn names_leave_the_arrow_free() {
    let sketch = walled();
    let turn = Turn::default();
    let (all, clutter) = (
        words(&sketch, turn, UnitSystem::Us),
        Clutter::of(&sketch, turn),
    );
    let post_with = |arrow: Option<[f64; 2]>| {
        let shown = with_room(&all, &clutter, 2.0, arrow);
        let post = shown.iter().find(|word| word.text == "post").cloned();
        post.expect("it is shown")
    };
    let plain = post_with(None);
    assert_eq!(plain.offset, [0.0, 15.0]);
    // The middle of the arrow 40 px below the post: all below is under it, all above is free.
    let below = turn.place([300.0, 220.0]);
    assert_eq!(post_with(Some(below)).offset, [0.0, -15.0]);
    // Right over the post every place is under it: it stays at the first.
    let over = turn.place([300.0, 300.0]);
    assert_eq!(post_with(Some(over)).offset, plain.offset);
}

/// A point on a wall: its name stands over it where only the wall's end is near, and never across its own dot.
#[test]
fn names_leave_circles_free() {
    let mut sketch = walled();
    sketch.points = vec![SketchPoint {
        id: None,
        name: "K".to_owned(),
        at: [300.0, 330.0],
    }];
    let shown = shown(&sketch, Turn::default(), 2.0);
    let clutter = Clutter::of(&sketch, Turn::default());
    for word in shown
        .iter()
        .filter(|word| ["K", "post"].contains(&word.text.as_str()))
    {
        assert_eq!(clutter.covered(word.area(2.0), 2.0, None), 0, "{word:?}");
    }
    assert_eq!(shown.len(), 4);
}

#[test]
fn names_cannot_break_out_of_the_drawing() {
    let sketch = Sketch {
        points: vec![SketchPoint {
            id: None,
            name: r#"<img src=x onerror="alert(1)">&"#.to_owned(),
            at: [0.0, 0.0],
        }],
        ..Sketch::default()
    };
    let drawn = layers::written(&words(&sketch, Turn::default(), UnitSystem::Us), 1.0);
    assert!(
        !drawn.contains("<img") && drawn.contains("&lt;img"),
        "{drawn}"
    );
}
