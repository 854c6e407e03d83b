//! Tasks: what each party must do next, why, and what it unlocks.

use setdown_types::order;
use std::collections::BTreeSet;

use setdown_types::party::{Party, Role};
use setdown_types::question;
use setdown_types::site::StreamKey;

use super::assess::Input;
use super::result::{
    Arg, CheckResult, HoldPoint, HoldPointResult, HoldState, Line, Need, NeedState, Outcome,
    Remedy, Task, TaskReason,
};
use crate::checks;

/// What is to be done for a hold point whatever the checks say: common practice, no source.
const STANDING: &[(HoldPoint, Party, &str, f64)] = &[
    (
        HoldPoint::Order,
        Party::Office,
        "standing.order.confirm_sheet",
        15.0,
    ),
    (
        HoldPoint::Order,
        Party::Homeowner,
        "standing.order.walk_the_way",
        15.0,
    ),
    (
        HoldPoint::Dig,
        Party::Groundworks,
        "standing.dig.locate_ticket",
        20.0,
    ),
    (
        HoldPoint::Dig,
        Party::Homeowner,
        "standing.dig.mark_private_lines",
        20.0,
    ),
    (
        HoldPoint::CloseIn,
        Party::Electrician,
        "standing.close_in.photograph",
        15.0,
    ),
    (
        HoldPoint::Deliver,
        Party::Homeowner,
        "standing.deliver.clear_the_way",
        60.0,
    ),
    (
        HoldPoint::Deliver,
        Party::Office,
        "standing.deliver.confirm_bookings",
        20.0,
    ),
    (
        HoldPoint::Deliver,
        Party::DeliveryCrew,
        "standing.deliver.read_the_sheet",
        15.0,
    ),
    (
        HoldPoint::Fill,
        Party::Homeowner,
        "standing.fill.hose_ready",
        10.0,
    ),
    (
        HoldPoint::Start,
        Party::Electrician,
        "standing.start.test",
        30.0,
    ),
    (
        HoldPoint::FirstUse,
        Party::Coordinator,
        "standing.first_use.hand_over",
        45.0,
    ),
];

/// All tasks, most pressing first: stoppers, then by the hold point they help to open.
pub fn tasks(input: &Input<'_>, checks: &[CheckResult], points: &[HoldPointResult]) -> Vec<Task> {
    let signed: BTreeSet<HoldPoint> = points
        .iter()
        .filter(|point| point.state == HoldState::Signed)
        .map(|point| point.hold_point)
        .collect();
    let mut order: Vec<&CheckResult> = checks
        .iter()
        .filter(|check| !check.outcome.settled())
        .collect();
    order::sort_by_key(&mut order, |check| !check.stopper);
    let mut asked = BTreeSet::new();
    let mut tasks = Vec::new();
    for check in order {
        let unlocks: Vec<HoldPoint> = check
            .hold_points
            .iter()
            .copied()
            .filter(|point| !signed.contains(point))
            .collect();
        let mut collector = Collector {
            input,
            check,
            unlocks,
            tasks: &mut tasks,
        };
        collector.measuring(&mut asked);
        collector.deciding();
    }
    for &(point, party, key, minutes) in STANDING {
        if !signed.contains(&point) {
            tasks.push(Task {
                party,
                line: Line::new(key),
                reason: TaskReason::Standing(point),
                unlocks: vec![point],
                minutes,
                streams: Vec::new(),
                stopper: false,
            });
        }
    }
    order::sort_by_key(&mut tasks, |task| {
        (!task.stopper, task.unlocks.first().copied())
    });
    tasks
}

struct Collector<'a, 'b> {
    input: &'a Input<'a>,
    check: &'a CheckResult,
    unlocks: Vec<HoldPoint>,
    tasks: &'b mut Vec<Task>,
}

impl Collector<'_, '_> {
    /// One task per party for the questions that are missing and that no earlier check asked.
    fn measuring(&mut self, asked: &mut BTreeSet<StreamKey>) {
        let mut by_party: Vec<(Party, Vec<StreamKey>, f64)> = Vec::new();
        for need in self.check.needs.iter().filter(|need| wanted(need)) {
            if !asked.insert(need.stream.clone()) {
                continue;
            }
            let party = self.answerer(need);
            let minutes = question::find(&need.stream.question).map_or(1.0, |row| row.minutes);
            match by_party.iter_mut().find(|(known, _, _)| *known == party) {
                Some((_, streams, sum)) => {
                    streams.push(need.stream.clone());
                    *sum += minutes;
                }
                None => by_party.push((party, vec![need.stream.clone()], minutes)),
            }
        }
        for (party, streams, minutes) in by_party {
            let count = i64::try_from(streams.len()).unwrap_or(i64::MAX);
            let line = self
                .about("frame.task.measure")
                .with("count", Arg::Count(count));
            self.push(party, line, minutes, streams);
        }
        let disputed: Vec<StreamKey> = self
            .check
            .needs
            .iter()
            .filter(|need| need.state == NeedState::Disputed)
            .map(|need| need.stream.clone())
            .collect();
        if !disputed.is_empty() {
            let line = self.about("frame.task.settle");
            self.push(Party::Office, line, 5.0, disputed);
        }
    }

    /// What to do where measuring alone does not settle it.
    fn deciding(&mut self) {
        match self.check.outcome {
            Outcome::Short => {
                let line = self.about(format!("task.{}", self.check.key));
                self.push(self.check.owner, line, 15.0, Vec::new());
            }
            Outcome::Tight if self.check.reason.key == "frame.remembered" => {
                let line = self.about("frame.task.state_limit");
                self.push(Party::Office, line, 10.0, Vec::new());
            }
            Outcome::Tight
                if self.check.reason.key != "frame.disputed" && self.measuring_helps() =>
            {
                let streams = self.measured();
                let line = self.about("frame.task.measure_better");
                self.push(Party::Coordinator, line, 5.0, streams);
            }
            _ => {}
        }
        let licensed = checks::find(&self.check.key).is_some_and(|row| row.licensed);
        if licensed && self.check.outcome != Outcome::Short {
            let line = self.about("frame.task.attest");
            self.push(self.check.owner, line, 20.0, Vec::new());
        }
        for action in &self.check.actions {
            self.push(
                action.party,
                action.line.clone(),
                action.minutes,
                Vec::new(),
            );
        }
    }

    /// Whether anything that is tight would be settled by a better reading.
    fn measuring_helps(&self) -> bool {
        let mut tight = (self.check.items.iter()).filter(|item| item.outcome == Outcome::Tight);
        tight.any(|item| item.remedy == Remedy::Measuring)
    }

    fn about(&self, key: impl Into<super::result::Key>) -> Line {
        Line::new(key).with(
            "check",
            Arg::Word(format!("check.{}", self.check.key).into()),
        )
    }

    /// The readings whose spread the tight margin rests on.
    fn measured(&self) -> Vec<StreamKey> {
        let measures = |need: &&Need| {
            need.state == NeedState::Answered
                && question::find(&need.stream.question).is_some_and(|row| {
                    matches!(
                        row.kind,
                        question::AnswerKind::Measure(_) | question::AnswerKind::Level
                    )
                })
        };
        self.check
            .needs
            .iter()
            .filter(measures)
            .map(|need| need.stream.clone())
            .collect()
    }

    /// Who should answer: the homeowner where they may; somebody further up where the one before
    /// could not or did not know.
    fn answerer(&self, need: &Need) -> Party {
        let failed = self
            .input
            .site
            .stream(need.stream.subject, &need.stream.question)
            .and_then(|stream| stream.leading())
            .map(|head| head.role);
        let row = question::find(&need.stream.question);
        let may = |role: Role| row.is_none_or(|row| row.may_answer(role));
        match failed {
            None if may(Role::Homeowner) => Party::Homeowner,
            None | Some(Role::Homeowner) if may(Role::Coordinator) => Party::Coordinator,
            Some(Role::Coordinator | Role::Office) => match self.check.owner {
                Party::Coordinator => Party::Office,
                Party::Homeowner if !may(Role::Homeowner) => Party::Office,
                owner => owner,
            },
            _ => Party::Office,
        }
    }

    fn push(&mut self, party: Party, line: Line, minutes: f64, streams: Vec<StreamKey>) {
        self.tasks.push(Task {
            party,
            line,
            reason: TaskReason::Check(self.check.key.clone()),
            unlocks: self.unlocks.clone(),
            minutes,
            streams,
            stopper: self.check.stopper,
        });
    }
}

/// Whether the check waits for this question.
fn wanted(need: &Need) -> bool {
    !need.optional && !matches!(need.state, NeedState::Answered | NeedState::Disputed)
}
