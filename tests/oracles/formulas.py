"""Values and standard deviations of the small formulas by the `uncertainties` package, written out afresh here.

Request: a list of {name, inputs: [[value, sigma]...]}. Answer, for each: value and standard deviation to first order.
Angles are degrees, slopes rise over run, everything else SI.
"""

import math

from scipy.optimize import minimize_scalar
from uncertainties import ufloat, umath, wrap
from wire import answer


def radians(degrees):
    return degrees * math.pi / 180


def longest(a: float, b: float, w: float) -> float:
    def room(theta: float) -> float:
        return (a * math.cos(theta) + b * math.sin(theta) - w) / (math.sin(theta) * math.cos(theta))

    found = minimize_scalar(room, bounds=(1e-6, math.pi / 2 - 1e-6), method="bounded", options={"xatol": 1e-13})
    return float(found.fun)


def pull(weight, slope, c):
    theta = umath.atan(slope)
    return weight * (umath.sin(theta) + c * umath.cos(theta))


def hold_back(weight, slope, c):
    theta = umath.atan(slope)
    return weight * (umath.sin(theta) - c * umath.cos(theta))


def clearance(x, e, h, h0, beta):
    return (x + e) * umath.sin(radians(beta)) - (h - h0) * umath.cos(radians(beta))


def wind(speed, drag, area):
    pound_force, foot, mile_per_hour = 4.4482216152605, 0.3048, 0.44704
    return 0.00256 * (speed / mile_per_hour) ** 2 * pound_force / foot**2 * drag * area


FORMULAS = {
    # `wrap` differentiates numerically: nothing is taken from the envelope theorem.
    "longest_turn": wrap(longest),
    "leg_tension": lambda weight, angle: weight / (2 * umath.sin(radians(angle))),
    "rim_squeeze": lambda share, angle: share / umath.tan(radians(angle)),
    "first_share": lambda weight, span, x: weight * (span - x) / span,
    "second_share": lambda weight, span, x: weight * x / span,
    "pull": pull,
    "hold_back": hold_back,
    "pitch_rise": lambda length, slope: length * umath.sin(umath.atan(slope)),
    "crest_rise": lambda wheelbase, change: wheelbase / 2 * umath.tan(radians(change) / 2),
    "tipping_slope": lambda track, offset, height: (track / 2 - offset) / height,
    "pressure": lambda force, area: force / area,
    "pressure_under_slab": lambda mass, area, thickness, density: 9.80665 * (mass / area + thickness * density),
    "boom_clearance": clearance,
    "outrigger_load": lambda crane, rigging, load, share: share * (crane + rigging + load),
    "wind_force": wind,
    "filled_mass": lambda dry, volume, density, people, other: dry + volume * density + people + other,
}


def run(case: dict) -> dict:
    inputs = [ufloat(value, sigma) for value, sigma in case["inputs"]]
    result = FORMULAS[case["name"]](*inputs)
    return {"value": result.nominal_value, "sigma": result.std_dev}


answer(lambda request: [run(case) for case in request])
