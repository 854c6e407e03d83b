//! What keeps the way in open: plans that are loose, mirrored, mistaped, unfinished or do not go together.

use super::*;

/// Outside what was looked at nothing is known: without an edge the way could lead through the neighbour's garden.
#[test]
fn yard_without_an_edge_stays_open() {
    let site = yard(104.0).choice("plan_line#1", "plan_line.kind", "wall");
    let result = check(&site.worked_out(), Outcome::Open, "roll.way.no_edge");
    let asked = result.actions.iter().map(|action| action.line.key.as_ref());
    assert!(asked.eq(["roll.way.draw_edge"]));
}

/// A ring somewhere in the yard is no edge: truck and spot must lie inside it.
#[test]
fn edge_that_leaves_truck_and_spot_outside_stays_open() {
    let [n, s, c] = ['N', 'S', 'C'].map(name_of);
    let site = yard(104.0).points("plan_line#1", "plan_line.points", &[&n, &s, &c]);
    check(&site.worked_out(), Outcome::Open, "roll.way.outside_edge");
}

#[test]
fn lines_on_a_plan_of_legs_do_not_vanish_without_a_word() {
    let site = TestSite::new()
        .choice("site", "way.chain", "rolled")
        .yes("site", "way.turns_listed", true)
        .choice("site", "plan.basis", "legs")
        .add("leg#1", "side yard")
        .add("plan_line#1", "wall")
        .choice("plan_line#1", "plan_line.kind", "wall");
    check(&site, Outcome::Open, "roll.way.lines_unused");
}

/// The legs that are measured already can be drawn while the next one is not.
#[test]
fn first_leg_is_drawn_before_the_second_is_measured() {
    let site = TestSite::new()
        .choice("site", "plan.basis", "legs")
        .add("leg#1", "drive")
        .measure_within("leg#1", "leg.width_left", "70 in", "0.5 in")
        .measure_within("leg#1", "leg.width_right", "70 in", "0.5 in")
        .measure_within("leg#1", "leg.length", "400 in", "0.5 in")
        .measure_within("leg#1", "leg.turn", "90 deg", "2 deg")
        .add("leg#2", "side yard");
    let built = site.build();
    let drawn = crate::plan::ledger::document(&site.input(&built)).expect("a plan is begun");
    assert!(!drawn.complete);
    let derived = drawn.derive().expect("nothing is wrong with it");
    let walls = derived.plan.expect("one leg").barriers;
    assert!(walls.iter().any(|wall| wall.id == "drive left"));
    assert!(walls.iter().all(|wall| !wall.id.starts_with("side yard")));
}

/// A thing that does not go together leaves the legs on the drawing.
#[test]
fn legs_are_drawn_where_a_thing_on_them_makes_no_sense() {
    let site = corner(150.0, 150.0, (140.0, 80.0))
        .add("plan_thing#1", "meter")
        .choice("plan_thing#1", "plan_thing.kind", "meter")
        .points("plan_thing#1", "plan_thing.leg", &["leg#1"])
        .exactly("plan_thing#1", "plan_thing.along", "5000 in")
        .exactly("plan_thing#1", "plan_thing.along_to", "5010 in")
        .choice("plan_thing#1", "plan_thing.side", "left")
        .exactly("plan_thing#1", "plan_thing.left", "10 in")
        .exactly("plan_thing#1", "plan_thing.left_to", "20 in");
    check(&site, Outcome::Open, "roll.way.plan_at_odds");
    let built = site.build();
    let drawn = ledger::document(&site.input(&built)).expect("a plan");
    assert!(drawn.derive().is_err());
    let bare = drawn.derive_without_features().expect("the legs");
    assert!(!bare.plan.expect("it is laid").barriers.is_empty());
}

/// What the check says of the plan first: the key, the thing and the question that it leads to.
fn fault(site: &TestSite) -> (String, Arg, Arg) {
    let result = check(site, Outcome::Open, "roll.way.plan_at_odds");
    let line = result.items[0].working.first().expect("a line").clone();
    let [thing, question] = [0, 1].map(|place: usize| line.args[place].1.clone());
    (line.key.into_owned(), thing, question)
}

/// Where a thing lies outside the corridor, the number that says so is asked about, not what the thing is called. The legs
/// are 480 long and 75 to both sides.
#[test]
fn thing_outside_the_corridor_leads_to_its_number() {
    let boxed = |along: [&str; 2], left: [&str; 2], side: &str| {
        corner(150.0, 150.0, (140.0, 80.0))
            .add("plan_thing#1", "meter")
            .choice("plan_thing#1", "plan_thing.kind", "meter")
            .points("plan_thing#1", "plan_thing.leg", &["leg#1"])
            .exactly("plan_thing#1", "plan_thing.along", along[0])
            .exactly("plan_thing#1", "plan_thing.along_to", along[1])
            .choice("plan_thing#1", "plan_thing.side", side)
            .exactly("plan_thing#1", "plan_thing.left", left[0])
            .exactly("plan_thing#1", "plan_thing.left_to", left[1])
    };
    let (here, off) = (["100 in", "110 in"], ["600 in", "610 in"]);
    let beyond = boxed(["5000 in", "5010 in"], ["10 in", "20 in"], "left");
    let mut round = corner(150.0, 150.0, (140.0, 80.0))
        .add("plan_thing#1", "post")
        .choice("plan_thing#1", "plan_thing.kind", "post")
        .points("plan_thing#1", "plan_thing.leg", &["leg#1"])
        .exactly("plan_thing#1", "plan_thing.along", "100 in");
    round = round
        .choice("plan_thing#1", "plan_thing.side", "right")
        .exactly("plan_thing#1", "plan_thing.left", "600 in")
        .exactly("plan_thing#1", "plan_thing.diameter", "6 in");
    for (site, key, question) in [
        (beyond, "roll.way.beyond_leg", "question.plan_thing.along"),
        (
            boxed(here, off, "left"),
            "roll.way.behind_wall",
            "question.plan_thing.left",
        ),
        (
            boxed(here, off, "right"),
            "roll.way.behind_wall",
            "question.plan_thing.left",
        ),
        (round, "roll.way.behind_wall", "question.plan_thing.left"),
    ] {
        let wanted = (
            key.to_owned(),
            Arg::Subject(subject("plan_thing#1")),
            Arg::Word(question.into()),
        );
        assert_eq!(fault(&site), wanted);
    }
}

/// A gate that lies beyond its leg, or behind its wall, leads to its own number.
#[test]
fn gate_outside_the_corridor_leads_to_its_number() {
    let gate = |along: &str, left: &str| {
        let mut site = corner(150.0, 150.0, (140.0, 80.0)).add("opening#1", "gate");
        for height in ["ankle", "hip", "head"] {
            site = site.exactly("opening#1", &format!("opening.width_{height}"), "90 in");
        }
        site.points("opening#1", "opening.on_leg", &["leg#1"])
            .exactly("opening#1", "opening.along", along)
            .exactly("opening#1", "opening.left", left)
    };
    for (site, key, question) in [
        (
            gate("5000 in", "45 in"),
            "roll.way.beyond_leg",
            "question.opening.along",
        ),
        (
            gate("100 in", "600 in"),
            "roll.way.behind_wall",
            "question.opening.left",
        ),
    ] {
        let thing = Arg::Subject(subject("opening#1"));
        assert_eq!(
            fault(&site),
            (key.to_owned(), thing, Arg::Word(question.into()))
        );
    }
}

/// A roof whose top lies below its underside: its height is asked about, not its points; and so with a thing on a leg.
#[test]
fn top_below_the_underside_leads_to_the_height() {
    let corners = ['N', 'S', 'V'].map(name_of);
    let roof = yard(104.0)
        .add("plan_line#9", "carport")
        .choice("plan_line#9", "plan_line.kind", "roof")
        .points(
            "plan_line#9",
            "plan_line.points",
            &corners.each_ref().map(String::as_str),
        )
        .measure("plan_line#9", "plan_line.underside", "8 ft")
        .measure("plan_line#9", "plan_line.height", "7 ft");
    let branch = corner(150.0, 150.0, (140.0, 80.0))
        .add("plan_thing#1", "bough")
        .choice("plan_thing#1", "plan_thing.kind", "tree")
        .points("plan_thing#1", "plan_thing.leg", &["leg#1"])
        .exactly("plan_thing#1", "plan_thing.along", "100 in")
        .choice("plan_thing#1", "plan_thing.side", "left")
        .exactly("plan_thing#1", "plan_thing.left", "60 in")
        .exactly("plan_thing#1", "plan_thing.diameter", "20 in")
        .exactly("plan_thing#1", "plan_thing.underside", "80 in")
        .exactly("plan_thing#1", "plan_thing.height", "70 in");
    for (site, thing, question) in [
        (roof, "plan_line#9", "question.plan_line.height"),
        (branch, "plan_thing#1", "question.plan_thing.height"),
    ] {
        let (_, named, asked) = fault(&site);
        assert_eq!(
            (named, asked),
            (Arg::Subject(subject(thing)), Arg::Word(question.into()))
        );
    }
}

#[test]
fn open_until_it_is_worked_out() {
    check(&yard(104.0), Outcome::Open, "roll.way.working");
}

#[test]
fn answer_for_another_yard_is_no_answer() {
    let mut other = yard(104.0);
    other.ways = yard(103.0).worked_out().ways;
    check(&other, Outcome::Open, "roll.way.working");
}

#[test]
fn loose_point_is_named_with_the_tape_that_ties_it() {
    let mut site = yard(104.0);
    for number in [22, 23, 24] {
        let tie = format!("tie#{number}");
        site = site.answer(
            &tie,
            "tie.present",
            setdown_types::value::Value::Absent,
            Method::Seen,
        );
    }
    let result = check(&site, Outcome::Open, "roll.way.loose");
    assert!(
        lines(&result).contains(&"network.loose"),
        "{:?}",
        lines(&result)
    );
}

#[test]
fn mirror_image_is_asked_about() {
    let site = yard(104.0).answer(
        "tie#40",
        "tie.present",
        setdown_types::value::Value::Absent,
        Method::Seen,
    );
    let site = site.answer(
        "tie#41",
        "tie.present",
        setdown_types::value::Value::Absent,
        Method::Seen,
    );
    let result = check(&site, Outcome::Open, "roll.way.mirrored");
    assert!(lines(&result).contains(&"network.mirror.whole"));
}

/// A foot too much on one of the tapes from the truck.
#[test]
fn mistape_is_found_and_named() {
    let site = yard(104.0).measure("tie#6", "tie.length", "1012 in");
    let result = check(&site, Outcome::Open, "roll.way.mistaped");
    let mistaped = result.items[0].working.iter();
    let named: Vec<&Arg> = mistaped
        .filter(|line| line.key.starts_with("network.mistaped"))
        .map(|line| &line.args[0].1)
        .collect();
    assert_eq!(named, [&Arg::Text("B-D".to_owned())]);
    let built = site.build();
    let drawn = ledger::document(&site.input(&built)).expect("a plan");
    let stream = drawn.origin("B-D").expect("it leads to its question");
    assert_eq!(*stream, StreamKey::new(subject("tie#6"), "tie.length"));
}

#[test]
fn missing_answers_are_asked_for_and_nothing_is_derived() {
    let site = yard(104.0)
        .without("tie#7", "tie.length")
        .without("site", "plan.spot");
    let result = check(&site, Outcome::Open, "frame.missing");
    assert_eq!(site.missing("roll.way"), ["plan.spot", "tie.length"]);
    assert!(result.items[0].working.is_empty());
    let built = site.build();
    assert_eq!(ledger::wanted(&site.input(&built)), None);
    // What is there can be drawn all the same.
    let drawn = ledger::document(&site.input(&built)).expect("a plan");
    assert!(!drawn.complete);
    let plan = drawn
        .derive()
        .expect("it can be read")
        .plan
        .expect("it is tied");
    assert_eq!(plan.barriers.len(), 3);
}

#[test]
fn nobody_has_said_that_all_is_drawn() {
    let site = yard(104.0).yes("site", "plan.complete", false).worked_out();
    check(&site, Outcome::Open, "roll.way.not_complete");
}

#[test]
fn straight_way_without_a_plan_needs_none() {
    let straight = TestSite::new().yes("site", "way.turns_listed", true);
    check(&straight, Outcome::NotNeeded, "roll.way.straight");
    let turning = straight.clone().add("turn#1", "at the garage");
    check(&turning, Outcome::Open, "frame.missing");
    assert_eq!(turning.missing("roll.way"), ["plan.basis"]);
    let begun = straight.add("plan_point#1", "A");
    check(&begun, Outcome::Open, "frame.missing");
    assert_eq!(TestSite::new().missing("roll.way"), ["way.turns_listed"]);
}

/// A point that was taken off leaves the answers that name it open.
#[test]
fn point_taken_off_is_asked_about() {
    let gone = setdown_types::value::Value::Absent;
    let site = yard(104.0).answer(&name_of('W'), "plan_point.present", gone, Method::Seen);
    let missing = ["plan.spot", "tie.present"];
    assert_eq!(site.missing("roll.way"), missing);
}

/// What is being typed changes what the solver is asked.
#[test]
fn supposed_reading_changes_the_question() {
    let site = yard(104.0);
    let built = site.build();
    let input = site.input(&built);
    let before = ledger::wanted(&input).expect("a question");
    let other = yard(104.0)
        .measure("tie#8", "tie.length", "103.8 in")
        .build();
    let stream = StreamKey::new(subject("tie#8"), "tie.length");
    let head: &Head = other.streams()[&stream].standing().first().expect("a head");
    let supposed = Input {
        suppose: Some((&stream, head)),
        ..input
    };
    let after = ledger::wanted(&supposed).expect("a question");
    assert_ne!(before.digest, after.digest);
    assert_eq!(ledger::wanted(&input).expect("a question"), before);
    let check = crate::checks::find("roll.way").expect("the check");
    assert_eq!(assess_check(check, &supposed).outcome, Outcome::Open);
}

/// A compass turns the north arrow and changes nothing that is proved. Due east is 90 degrees: north is a quarter turn to
/// its left.
#[test]
fn compass_turns_north_and_nothing_else() {
    let plain = yard(104.0);
    let drawn_of = |site: &TestSite| ledger::document(&site.input(&site.build())).expect("a plan");
    let looked = |degrees: &str| {
        let line = [name_of('T'), name_of('U')];
        plain
            .clone()
            .points("site", "plan.bearing_line", &[&line[0], &line[1]])
            .measure("site", "plan.bearing", degrees)
    };
    let drawn = drawn_of(&looked("90 deg"));
    let bearing = drawn.bearing.expect("a bearing");
    for (along, north) in [
        ([1.0, 0.0], 90.0),
        ([0.0, 1.0], 180.0),
        ([-1.0, 0.0], 270.0),
    ] {
        assert!((bearing.north([[0.0, 0.0], along]) - north).abs() < 1e-9);
    }
    assert_eq!(drawn.document, drawn_of(&plain).document);
    assert!(drawn.complete && drawn_of(&plain).bearing.is_none());
    let half = plain.measure("site", "plan.bearing", "90 deg");
    assert_eq!(drawn_of(&half).bearing, None);
    assert!(drawn_of(&half).complete);
}

/// Two compasses that disagree are settled for the arrow's sake; the way in does not wait for it.
#[test]
fn compass_readings_that_disagree_change_no_outcome() {
    let [from, to] = ['T', 'U'].map(name_of);
    let looked = yard(104.0)
        .points("site", "plan.bearing_line", &[&from, &to])
        .measure("site", "plan.bearing", "90 deg")
        .repeat("site", "plan.bearing", "60 deg");
    check(&looked, Outcome::Open, "roll.way.working");
    check(&looked.worked_out(), Outcome::Clear, "roll.way.clear");
}

/// A side that was said before anything was taped is not wrong yet: the point lies anywhere.
#[test]
fn nothing_said_of_a_loose_point_is_called_wrong() {
    let loose = |kind: TieKind| {
        let [a, b] = ['A', 'B'].map(name_of);
        yard(104.0)
            .add("plan_point#20", "K")
            .tie("tie#60", kind, &["plan_point#20", &a, &b])
    };
    for kind in [TieKind::SideLeft, TieKind::SideRight] {
        let result = check(&loose(kind), Outcome::Open, "roll.way.loose");
        let said = lines(&result);
        assert!(!said.contains(&"network.sides_contradict"), "{said:?}");
    }
}

/// Whatever an answer holds that its question does not take, the check stays open and nothing breaks.
#[test]
fn answers_that_do_not_fit_leave_it_open() {
    use setdown_types::value::Value;
    let site = yard(104.0).worked_out();
    assert_eq!(site.outcome("roll.way"), Outcome::Clear);
    let odd = [
        Some(Value::Count(7)),
        Some(Value::Text("odd".to_owned())),
        None,
    ];
    for (name, question) in [
        ("site", "plan.basis"),
        ("site", "plan.stand"),
        ("site", "plan.either_end"),
        ("tie#3", "tie.present"),
        ("tie#3", "tie.length"),
        ("plan_line#1", "plan_line.kind"),
        ("plan_line#1", "plan_line.points"),
    ] {
        for value in &odd {
            let site = site.clone().forced(name, question, value.clone());
            assert_eq!(
                site.outcome("roll.way"),
                Outcome::Open,
                "{question} {value:?}"
            );
        }
    }
}

/// Corners in the wrong order: the area is named, with its question.
#[test]
fn crossing_outline_is_named() {
    let site = yard(104.0)
        .add("plan_line#8", "patio")
        .choice("plan_line#8", "plan_line.kind", "patio")
        .points(
            "plan_line#8",
            "plan_line.points",
            &[&name_of('A'), &name_of('C'), &name_of('B'), &name_of('D')],
        );
    let result = check(&site, Outcome::Open, "roll.way.plan_at_odds");
    let line = result.items[0].working.first().expect("a line");
    assert_eq!(line.key, "roll.way.ring_crosses");
    assert_eq!(line.args[0].1, Arg::Subject(subject("plan_line#8")));
    assert_eq!(
        line.args[1].1,
        Arg::Word("question.plan_line.points".into())
    );
}

/// The panels of a fence are named by the plan; what somebody called another thing is no panel's name.
#[test]
fn panels_of_a_fence_take_nobodys_name() {
    let [n, p, s, q] = ['N', 'P', 'S', 'Q'].map(name_of);
    let site = yard(104.0)
        .points("plan_line#2", "plan_line.points", &[&n, &p, &q])
        .yes("plan_line#2", "plan_line.removable", true)
        .count("plan_line#2", "plan_line.trouble", 10)
        .add("plan_line#9", "fence beside the garage 2")
        .choice("plan_line#9", "plan_line.kind", "wall")
        .points("plan_line#9", "plan_line.points", &[&s, &q]);
    let built = site.build();
    let drawn = ledger::document(&site.input(&built)).expect("a plan is begun");
    let plan = drawn.derive().expect("no name is there twice").plan;
    let walls = plan.expect("tied").barriers;
    let of = |name: &str| {
        walls
            .iter()
            .filter(|wall| wall.id.starts_with(name))
            .count()
    };
    assert_eq!(of("fence beside the garage"), 3);
}

/// A lawn that crosses itself is told; the points and tapes are drawn all the same.
#[test]
fn points_stay_drawn_where_a_thing_makes_no_sense() {
    let [a, b, c, d] = ['A', 'B', 'C', 'D'].map(name_of);
    let site = yard(104.0)
        .add("plan_line#9", "lawn")
        .choice("plan_line#9", "plan_line.kind", "lawn")
        .points("plan_line#9", "plan_line.points", &[&a, &c, &b, &d]);
    let built = site.build();
    let drawn = ledger::document(&site.input(&built)).expect("a plan is begun");
    let complaint = drawn.derive().expect_err("its ring crosses itself");
    assert_eq!(drawn.fault(&complaint).key, "roll.way.ring_crosses");
    let bare = drawn.derive_without_features().expect("points and tapes");
    assert!(bare.network.is_some_and(|network| network.tied));
}
