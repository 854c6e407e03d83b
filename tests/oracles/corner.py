"""The longest rectangle round a right-angle corner, by two means independent of the closed derivative.

Request: a list of {a, b, w}. Answer, for each: the least room along the rectangle by scipy's bounded minimiser over
0..90 degrees, and a pair of lengths just below and just above it for which shapely, sweeping the rectangle through
the corner, finds that it passes and that it does not.
"""

import math

from scipy.optimize import minimize_scalar
from shapely import Polygon, box
from wire import answer


def room(theta: float, a: float, b: float, w: float) -> float:
    return a / math.sin(theta) + b / math.cos(theta) - w * (math.tan(theta) + 1 / math.tan(theta))


def least_room(a: float, b: float, w: float) -> float:
    """Scans first, so that the minimiser starts in the right valley whatever the shape."""
    steps = [math.pi / 2 * k / 2000 for k in range(1, 2000)]
    best = min(steps, key=lambda theta: room(theta, a, b, w))
    width = math.pi / 2 / 2000
    found = minimize_scalar(
        room,
        args=(a, b, w),
        bounds=(max(best - width, 1e-9), min(best + width, math.pi / 2 - 1e-9)),
        method="bounded",
        options={"xatol": 1e-13},
    )
    return float(min(found.fun, room(best, a, b, w)))


def overlap(length: float, a: float, b: float, w: float) -> float:
    """The largest area by which the swept rectangle cuts into the inner block when its long side slides along the
    outer walls: 0 if it passes. The outer walls are the axes; the inner corner is at (b, a)."""
    block = box(b, a, b + 3 * length, a + 3 * length)
    worst = 0.0
    for k in range(1, 4000):
        theta = math.pi / 2 * k / 4000
        # The outer side runs from (length cos, 0) to (0, length sin); the rectangle lies on its far side.
        foot = (length * math.cos(theta), 0.0)
        top = (0.0, length * math.sin(theta))
        across = (w * math.sin(theta), w * math.cos(theta))
        shape = Polygon(
            [foot, top, (top[0] + across[0], top[1] + across[1]), (foot[0] + across[0], foot[1] + across[1])]
        )
        worst = max(worst, shape.intersection(block).area)
    return worst


def handle(request: list[dict]) -> list[dict]:
    answers = []
    for case in request:
        a, b, w = case["a"], case["b"], case["w"]
        result = {"length": least_room(a, b, w)}
        if case.get("sweep"):
            length = result["length"]
            result["overlap_below"] = overlap(length * 0.999, a, b, w)
            result["overlap_above"] = overlap(length * 1.001, a, b, w)
        answers.append(result)
    return answers


answer(handle)
