//! What is to be done about a check that is tight: measure better where a reading settles it, else only what it wants done.

use setdown_types::subject::Subject;

use super::*;
use crate::frame::assess::assess_check;
use crate::frame::context::Context;
use crate::frame::result::Line;
use crate::frame::spec::{Area, Check};
use crate::frame::tasks::tasks;

/// Keys of the tasks for one check.
fn tasks_for(evaluate: fn(&Context<'_>)) -> Vec<String> {
    let site = TestSite::new();
    let built = site.build();
    let input = site.input(&built);
    let check = Check::new("roll.way", Area::Reach, evaluate);
    let result = assess_check(&check, &input);
    assert_eq!(result.outcome, Outcome::Tight);
    let all = tasks(&input, &[result], &[]).into_iter();
    let of_check = all.filter(|task| matches!(task.reason, TaskReason::Check(_)));
    of_check.map(|task| task.line.key.into_owned()).collect()
}

fn to_measure(context: &Context<'_>) {
    let line = Line::new("some.fixed_axle");
    context.item(Subject::SITE).tight(line);
}

fn to_do(context: &Context<'_>) {
    context.action(Party::Coordinator, Line::new("some.action"), 10.0);
    let line = Line::new("some.other_reason");
    context.item(Subject::SITE).tight_until_done(line);
}

fn both(context: &Context<'_>) {
    to_do(context);
    to_measure(context);
}

/// What the finding is called decides nothing.
#[test]
fn measuring_better_is_asked_for_where_it_helps() {
    assert_eq!(tasks_for(to_measure), ["frame.task.measure_better"]);
    assert_eq!(tasks_for(to_do), ["some.action"]);
    let both = tasks_for(both);
    assert_eq!(both, ["frame.task.measure_better", "some.action"]);
}
