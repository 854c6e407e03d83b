//! Entering level points: tap a place on the footprint drawn to scale, key in its height, watch the plane form.

use leptos::prelude::*;
use setdown_rules::maths::plane;
use setdown_types::quantity::text::{Understood, format_length, parse_length};
use setdown_types::quantity::{Dimension, Length, UnitSystem};
use setdown_types::value::LevelPoint;

use super::{LengthEntry, own_text};
use crate::parts::level_text::LevelText;
use crate::parts::{answer::usual_unit, preferences};
use crate::words::{filled, word};

/// One level point that stands.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedPoint {
    /// What the point is called: "1", "2".
    pub name: String,
    /// Where and how high.
    pub point: LevelPoint,
}

/// What level points are drawn on.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelPlan {
    /// The long side of the footprint.
    pub length: Length,
    /// The short side.
    pub width: Length,
    /// The points that stand already, without the one being entered.
    pub points: Vec<PlacedPoint>,
}

/// One level point; the draft is the point as JSON, also of a half-entered one.
#[component]
pub fn LevelEntry(
    /// The draft.
    text: RwSignal<String>,
    /// What it is drawn on; without one, only the height can be changed.
    #[prop(optional_no_strip)]
    plan: Option<LevelPlan>,
) -> impl IntoView {
    let own = own_text(text);
    let point = Memo::new(move |_| serde_json::from_str::<LevelPoint>(&own.get()).ok());
    let entered = Memo::new(move |_| LevelText::read(&own.get()));
    let first = entered.get_untracked();
    let (place, height) = (RwSignal::new(first.place), RwSignal::new(first.typed));
    // A draft comes back when the screen is there already.
    Effect::new(move |_| {
        let now = entered.get();
        if place.get_untracked() != now.place {
            place.set(now.place);
        }
        if height.get_untracked() != now.typed {
            height.set(now.typed);
        }
    });
    Effect::new(move |_| {
        let now = LevelText {
            place: place.get(),
            typed: height.get(),
        };
        if now != entered.get_untracked() {
            text.set(now.write(height_of(&now.typed)));
        }
    });
    let drawing = plan.map(|plan| {
        let plan = StoredValue::new(plan);
        view! { <Footprint plan place point=Signal::derive(move || point.get())/> }
    });
    view! {
        <div class="level-entry stack">
            {drawing}
            <p class="quiet">{move || match place.get() {
                None => word("level.tap_a_place"),
                Some((along, across)) => filled(
                    "level.at",
                    &[
                        ("along", &format_length(Length::from_nanometres(along), preferences::system())),
                        ("across", &format_length(Length::from_nanometres(across), preferences::system())),
                    ],
                ),
            }}</p>
            <LengthEntry text=height/>
        </div>
    }
}

fn height_of(typed: &str) -> Option<i64> {
    let unit = usual_unit(Dimension::Length, preferences().system.get_untracked());
    match parse_length(typed, Some(unit)) {
        Ok(Understood::One(length)) => Some(length.nanometres()),
        _ => None,
    }
}

fn preferences() -> preferences::Preferences {
    preferences::preferences()
}

const WIDTH: f64 = 320.0;
const MARGIN: f64 = 26.0;

/// Nanometres to drawing units and back, for one footprint.
#[derive(Clone, Copy)]
struct Scale {
    per_nanometre: f64,
    length: f64,
    width: f64,
}

impl Scale {
    fn of(plan: &LevelPlan) -> Self {
        let length = (plan.length.nanometres().max(1)) as f64;
        let width = (plan.width.nanometres().max(1)) as f64;
        Self {
            per_nanometre: (WIDTH - 2.0 * MARGIN) / length,
            length,
            width,
        }
    }

    fn height(self) -> f64 {
        self.width * self.per_nanometre + 2.0 * MARGIN
    }

    fn x(self, along: i64) -> f64 {
        MARGIN + along as f64 * self.per_nanometre
    }

    fn y(self, across: i64) -> f64 {
        MARGIN + across as f64 * self.per_nanometre
    }

    /// The place under a tap: corners, middles and the centre catch it, else it is rounded to an inch.
    fn place(self, x: f64, y: f64) -> (i64, i64) {
        let catch = |value: f64, whole: f64| {
            let share = ((value - MARGIN) / self.per_nanometre / whole).clamp(0.0, 1.0);
            let caught = [0.0, 0.5, 1.0]
                .into_iter()
                .find(|mark| (share - mark).abs() < 0.09);
            let nanometres = caught.unwrap_or(share) * whole;
            // Inside the footprint, which fits an i64.
            let inch = Length::NANOMETRES_PER_INCH as f64;
            if caught.is_some() {
                nanometres as i64
            } else {
                ((nanometres / inch).round() * inch) as i64
            }
        };
        (catch(x, self.length), catch(y, self.width))
    }
}

/// The footprint to scale with the points, their heights and the fall.
#[component]
fn Footprint(
    plan: StoredValue<LevelPlan>,
    place: RwSignal<Option<(i64, i64)>>,
    point: Signal<Option<LevelPoint>>,
) -> impl IntoView {
    let scale = plan.with_value(Scale::of);
    let node = NodeRef::<leptos::svg::Svg>::new();
    let tap = move |event: web_sys::MouseEvent| {
        let Some(svg) = node.get_untracked() else {
            return;
        };
        let rect = svg.get_bounding_client_rect();
        let per_pixel = WIDTH / rect.width().max(1.0);
        let x = (f64::from(event.client_x()) - rect.left()) * per_pixel;
        let y = (f64::from(event.client_y()) - rect.top()) * per_pixel;
        place.set(Some(scale.place(x, y)));
    };
    let marks = move || {
        let (length, width) = (scale.length as i64, scale.width as i64);
        [
            (0, 0),
            (length / 2, 0),
            (length, 0),
            (0, width / 2),
            (length / 2, width / 2),
            (length, width / 2),
            (0, width),
            (length / 2, width),
            (length, width),
        ]
        .into_iter()
        .map(|(along, across)| {
            view! { <circle class="place" cx=scale.x(along) cy=scale.y(across) r="4"/> }
        })
        .collect_view()
    };
    let standing = move || {
        plan.with_value(|plan| plan.points.clone())
            .into_iter()
            .map(|placed| placed_mark(scale, &placed.point, "standing"))
            .collect_view()
    };
    let entered = move || {
        place.get().map(|(along, across)| {
            let shown = point.get().unwrap_or(LevelPoint {
                along,
                across,
                height: 0,
                typed: String::new(),
            });
            placed_mark(
                scale,
                &LevelPoint {
                    along,
                    across,
                    ..shown
                },
                "entered",
            )
        })
    };
    let forming = move || plan.with_value(|plan| forming(plan, point.get()));
    view! {
        <svg
            class="footprint"
            node_ref=node
            viewBox=format!("0 0 {WIDTH} {}", scale.height())
            role="img"
            aria-label=word("level.footprint")
            on:click=tap
        >
            <rect class="pad" x=MARGIN y=MARGIN width=scale.length * scale.per_nanometre height=scale.width * scale.per_nanometre/>
            {marks()}
            {standing}
            {move || forming().map(|(_, arrow)| fall_arrow(scale, arrow))}
            {entered}
        </svg>
        <PlacePicker scale place/>
        <p class="number" aria-live="polite">{move || forming().map(|(words, _)| words)}</p>
    }
}

/// The nine usual places as buttons, for hands that do not tap drawings.
#[component]
fn PlacePicker(scale: Scale, place: RwSignal<Option<(i64, i64)>>) -> impl IntoView {
    let choose = move |event: web_sys::Event| {
        let chosen = event_target_value(&event);
        let mut numbers = chosen
            .split(',')
            .filter_map(|number| number.parse::<i64>().ok());
        if let (Some(along), Some(across)) = (numbers.next(), numbers.next()) {
            place.set(Some((along, across)));
        }
    };
    let (length, width) = (scale.length as i64, scale.width as i64);
    let options = [
        ("level.place.foot_left", 0, 0),
        ("level.place.middle_left", length / 2, 0),
        ("level.place.head_left", length, 0),
        ("level.place.foot", 0, width / 2),
        ("level.place.centre", length / 2, width / 2),
        ("level.place.head", length, width / 2),
        ("level.place.foot_right", 0, width),
        ("level.place.middle_right", length / 2, width),
        ("level.place.head_right", length, width),
    ]
    .into_iter()
    .map(|(key, along, across)| {
        let value = format!("{along},{across}");
        view! { <option value=value selected=move || place.get() == Some((along, across))>{word(key)}</option> }
    })
    .collect_view();
    view! {
        <label class="field">
            <span>{word("level.place")}</span>
            <select on:change=choose>
                <option value="" selected=move || place.get().is_none()>{word("level.place.choose")}</option>
                {options}
            </select>
        </label>
    }
}

fn placed_mark(scale: Scale, point: &LevelPoint, class: &'static str) -> AnyView {
    let (x, y) = (scale.x(point.along), scale.y(point.across));
    let height = if point.typed.is_empty() {
        "?".to_owned()
    } else {
        format_length(Length::from_nanometres(point.height), preferences::system())
    };
    // Labels stay inside the drawing.
    let (anchor, text_x) = match x {
        _ if x < WIDTH * 0.3 => ("start", x + 12.0),
        _ if x > WIDTH * 0.7 => ("end", x - 12.0),
        _ => ("middle", x),
    };
    view! {
        <g class=class>
            <circle cx=x cy=y r="7"/>
            <text x=text_x y=if y < 60.0 { y + 22.0 } else { y - 11.0 } text-anchor=anchor>{height}</text>
        </g>
    }
    .into_any()
}

/// The plane through the points so far: its fall in words and where it runs downhill.
fn forming(plan: &LevelPlan, entered: Option<LevelPoint>) -> Option<(String, f64)> {
    let points: Vec<plane::LevelPoint> = plan
        .points
        .iter()
        .map(|placed| &placed.point)
        .chain(entered.as_ref())
        .map(|point| plane::LevelPoint {
            x: point.along as f64 / 1e9,
            y: point.across as f64 / 1e9,
            z: point.height as f64 / 1e9,
        })
        .collect();
    let fitted = plane::fit(&points).ok()?;
    let footprint = plane::Footprint {
        length: plan.length.metres(),
        width: plan.width.metres(),
        heading: 0.0,
    };
    let fall = fitted.fall_across(footprint)?;
    let written = Length::from_metres(fall.value)
        .ok()
        .map(|fall| format_length(fall, system()))?;
    let direction = fitted.fall().downhill?;
    Some((
        filled(
            "level.fall_so_far",
            &[("fall", &written), ("count", &points.len().to_string())],
        ),
        direction,
    ))
}

fn system() -> UnitSystem {
    preferences::system()
}

/// An arrow from the middle of the footprint downhill.
fn fall_arrow(scale: Scale, downhill: f64) -> AnyView {
    let (x, y) = (WIDTH / 2.0, scale.height() / 2.0);
    let (dy, dx) = downhill.to_radians().sin_cos();
    let (tip_x, tip_y) = (x + 44.0 * dx, y + 44.0 * dy);
    let path = format!(
        "M{} {}L{tip_x} {tip_y} M{} {}L{tip_x} {tip_y}L{} {}",
        x - 30.0 * dx,
        y - 30.0 * dy,
        tip_x - 12.0 * dx - 7.0 * dy,
        tip_y - 12.0 * dy + 7.0 * dx,
        tip_x - 12.0 * dx + 7.0 * dy,
        tip_y - 12.0 * dy - 7.0 * dx,
    );
    view! { <path class="fall" d=path/> }.into_any()
}
