"""Planes through level readings by scipy's least squares, with covariance and propagated spreads.

Request: a list of {points: [[x, y, z]...], sigma, length, width, heading (degrees)}. Answer, for each: coefficients,
covariance for heights of standard deviation sigma, residuals, rank, the fall across the rectangle from its four
corners, and its standard deviation by the `uncertainties` package from heights that are independent.
"""

import math

import numpy as np
from scipy.linalg import lstsq
from uncertainties import ufloat
from uncertainties.unumpy import nominal_values
from wire import answer


def corners(length: float, width: float, heading: float) -> list[tuple[float, float]]:
    turn = math.radians(heading)
    cosine, sine = math.cos(turn), math.sin(turn)
    places = []
    for along in (-length / 2, length / 2):
        for across in (-width / 2, width / 2):
            places.append((along * cosine - across * sine, along * sine + across * cosine))
    return places


def fall_with_spread(design: np.ndarray, heights: np.ndarray, case: dict):
    uncertain = [ufloat(z, case["sigma"]) for z in heights]
    solver = np.linalg.pinv(design)
    coefficients = [sum(weight * z for weight, z in zip(row, uncertain)) for row in solver]
    at = [coefficients[0] * x + coefficients[1] * y for x, y in corners(case["length"], case["width"], case["heading"])]
    values = nominal_values(at)
    fall = at[int(np.argmax(values))] - at[int(np.argmin(values))]
    return fall.nominal_value, fall.std_dev


def handle(request: list[dict]) -> list[dict]:
    answers = []
    for case in request:
        points = np.array(case["points"], dtype=float)
        centred = points[:, :2] - points[:, :2].mean(axis=0)
        # Points that scatter a hundred-thousandth as far across as along count as one line.
        rank = int(np.linalg.matrix_rank(centred, rtol=1e-5)) + 1
        if rank < 3:
            answers.append({"rank": rank})
            continue
        design = np.column_stack([points[:, 0], points[:, 1], np.ones(len(points))])
        coefficients, *_ = lstsq(design, points[:, 2])
        covariance = case["sigma"] ** 2 * np.linalg.inv(design.T @ design)
        residuals = points[:, 2] - design @ coefficients
        fall, spread = fall_with_spread(design, points[:, 2], case)
        answers.append(
            {
                "coefficients": coefficients.tolist(),
                "covariance": covariance.tolist(),
                "residuals": residuals.tolist(),
                "rank": rank,
                "scatter": float(math.sqrt(residuals @ residuals / max(len(points) - 3, 1))),
                "fall": fall,
                "fall_sigma": spread,
                "level_residuals": (points[:, 2] - points[:, 2].mean()).tolist(),
            }
        )
    return answers


answer(handle)
