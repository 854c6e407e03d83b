//! Fingers, mouse and keys on a drawing: one finger pans, two zoom, a short touch picks.

use leptos::prelude::*;
use leptos::svg::Svg;

use super::frame::Frame;

/// How far a finger may slip and still have tapped, pixels.
const SLIP: f64 = 9.0;
/// How much closer one press of a button or key looks.
pub const CLOSER: f64 = 1.5;
/// How far one arrow key moves, as a share of the drawing.
const NUDGE: f64 = 0.12;

/// A finger on the drawing.
#[derive(Clone, Copy)]
struct Finger {
    id: i32,
    at: [f64; 2],
}

/// The fingers on a drawing.
#[derive(Clone, Copy)]
pub struct Touch {
    node: NodeRef<Svg>,
    frame: RwSignal<Frame>,
    fingers: StoredValue<Vec<Finger>>,
    slipped: StoredValue<f64>,
}

impl Touch {
    /// Watches a drawing and moves its frame.
    pub fn new(node: NodeRef<Svg>, frame: RwSignal<Frame>) -> Self {
        Self {
            node,
            frame,
            fingers: StoredValue::new(Vec::new()),
            slipped: StoredValue::new(0.0),
        }
    }

    /// Where the event is, as shares of width and height.
    fn share(self, event: &web_sys::MouseEvent) -> Option<[f64; 2]> {
        let rect = self.node.get_untracked()?.get_bounding_client_rect();
        let (width, height) = (rect.width(), rect.height());
        (width > 0.0 && height > 0.0).then(|| {
            [
                (f64::from(event.client_x()) - rect.left()) / width,
                (f64::from(event.client_y()) - rect.top()) / height,
            ]
        })
    }

    /// A finger comes down.
    pub fn down(self, event: &web_sys::PointerEvent) {
        let Some(at) = self.share(event) else { return };
        let id = event.pointer_id();
        if let Some(node) = self.node.get_untracked() {
            // A pointer that is gone already cannot be held; then its moves simply end at the edge.
            let _ = node.set_pointer_capture(id);
        }
        self.fingers.update_value(|fingers| {
            fingers.retain(|finger| finger.id != id);
            if fingers.is_empty() {
                self.slipped.set_value(0.0);
            }
            fingers.push(Finger { id, at });
        });
    }

    /// A finger moves.
    pub fn moved(self, event: &web_sys::PointerEvent) {
        let Some(at) = self.share(event) else { return };
        let fingers = self.fingers.get_value();
        let Some(before) = fingers
            .iter()
            .find(|finger| finger.id == event.pointer_id())
        else {
            return;
        };
        let by = [0, 1].map(|axis| at[axis] - before.at[axis]);
        let other = fingers.iter().find(|finger| finger.id != before.id);
        self.slip(by);
        match other {
            None if self.slipped.get_value() > SLIP => {
                self.frame.update(|frame| *frame = frame.panned(by))
            }
            None => {}
            Some(other) => self
                .frame
                .update(|frame| *frame = pinched(*frame, before.at, at, other.at)),
        }
        // Below the slip the finger's place stays, so that the pan begins where it came down.
        if other.is_some() || self.slipped.get_value() > SLIP {
            self.fingers.update_value(|fingers| {
                if let Some(finger) = fingers
                    .iter_mut()
                    .find(|finger| finger.id == event.pointer_id())
                {
                    finger.at = at;
                }
            });
        }
    }

    fn slip(self, by: [f64; 2]) {
        let Some(node) = self.node.get_untracked() else {
            return;
        };
        let rect = node.get_bounding_client_rect();
        let far = (by[0] * rect.width()).hypot(by[1] * rect.height());
        self.slipped
            .update_value(|slipped| *slipped = slipped.max(far));
    }

    /// A finger goes up; the place it tapped, where it did not move (drawing coordinates).
    pub fn up(self, event: &web_sys::PointerEvent) -> Option<[f64; 2]> {
        let id = event.pointer_id();
        let count = self.fingers.with_value(Vec::len);
        let known = self
            .fingers
            .with_value(|fingers| fingers.iter().any(|finger| finger.id == id));
        self.fingers
            .update_value(|fingers| fingers.retain(|finger| finger.id != id));
        let tapped = known && count == 1 && self.slipped.get_value() <= SLIP;
        let at = self.share(event).filter(|_| tapped)?;
        Some(self.frame.get_untracked().under(at))
    }

    /// A finger was taken away by the browser.
    pub fn lost(self, event: &web_sys::PointerEvent) {
        let id = event.pointer_id();
        self.fingers
            .update_value(|fingers| fingers.retain(|finger| finger.id != id));
    }

    /// A key; whether it meant something here.
    pub fn key(self, key: &str, whole: Frame) -> bool {
        let frame = self.frame.get_untracked();
        let middle = [0.5, 0.5];
        let moved = match key {
            "ArrowLeft" => frame.panned([NUDGE, 0.0]),
            "ArrowRight" => frame.panned([-NUDGE, 0.0]),
            "ArrowUp" => frame.panned([0.0, NUDGE]),
            "ArrowDown" => frame.panned([0.0, -NUDGE]),
            "+" | "=" => frame.zoomed(CLOSER, middle),
            "-" => frame.zoomed(1.0 / CLOSER, middle),
            "0" => whole,
            _ => return false,
        };
        self.frame.set(moved);
        true
    }
}

/// The frame after one of two fingers moved: they stay on the places they touched.
fn pinched(frame: Frame, before: [f64; 2], at: [f64; 2], other: [f64; 2]) -> Frame {
    let apart = |one: [f64; 2]| (one[0] - other[0]).hypot((one[1] - other[1]) * frame.shape);
    let factor = apart(at) / apart(before).max(1e-6);
    let by = [0, 1].map(|axis| 0.5 * (at[axis] - before[axis]));
    let about = [0, 1].map(|axis| 0.5 * (at[axis] + other[axis]));
    frame.panned(by).zoomed(factor, about)
}
