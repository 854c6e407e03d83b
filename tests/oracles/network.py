"""Tape networks by scipy's least squares, written without looking at the Rust side's derivatives: they are numerical here.

Point 0 is at the origin and point 1 on the x axis. A reading of a tape with errors of its own is not given unknowns of
its own for them here: readings of one tape are correlated instead, which is the other way of saying the same thing.

Request: a list of {readings: [{kind, points, value, spread, tape}], tapes: [{zero, scale}], start: [[x, y]...]}, spreads
at 19 times in 20. Answer, for each: places, chi_square and the covariance of all coordinates (x0, y0, x1, ...).
"""

import numpy as np
from scipy.linalg import cholesky, solve_triangular
from scipy.optimize import least_squares
from scipy.stats import norm
from wire import answer

TO_SIGMA = 1 / norm.ppf(0.975)


def computed(reading: dict, places: np.ndarray) -> float:
    a, b, c = (places[k] for k in reading["points"])
    kind = reading["kind"]
    if kind == "distance":
        return float(np.linalg.norm(b - a))
    if kind == "square":
        first, second = b - a, c - a
        return float(np.degrees(first @ second / np.linalg.norm(first) / np.linalg.norm(second)))
    direction = (b - a) / np.linalg.norm(b - a)
    if kind == "along":
        return float(direction @ (c - a))
    return float(direction[0] * (c - a)[1] - direction[1] * (c - a)[0])


def unpack(free: np.ndarray) -> np.ndarray:
    return np.concatenate([[0.0, 0.0, free[0], 0.0], free[1:]]).reshape(-1, 2)


def covariance_of_readings(readings: list[dict], tapes: list[dict], values: np.ndarray) -> np.ndarray:
    matrix = np.diag([(r["spread"] * TO_SIGMA) ** 2 for r in readings])
    for index, tape in enumerate(tapes):
        on_it = np.array([r["tape"] == index for r in readings])
        matrix += (tape["zero"] * TO_SIGMA) ** 2 * np.outer(on_it * np.sign(values), on_it * np.sign(values))
        matrix += (tape["scale"] * TO_SIGMA) ** 2 * np.outer(on_it * values, on_it * values)
    return matrix


def handle(request: list[dict]) -> list[dict]:
    answers = []
    for case in request:
        readings = case["readings"]
        read = np.array([r["value"] for r in readings])

        def whitened(free: np.ndarray) -> np.ndarray:
            # The scale acts on the true length, so the correlation follows the places.
            values = np.array([computed(r, unpack(free)) for r in readings])
            lower = cholesky(covariance_of_readings(readings, case["tapes"], values), lower=True)
            return solve_triangular(lower, read - values, lower=True)

        start = np.array(case["start"]).ravel()
        found = least_squares(whitened, np.delete(start, [0, 1, 3]), jac="3-point", xtol=1e-15, ftol=1e-15, gtol=1e-15)
        values = np.array([computed(r, unpack(found.x)) for r in readings])
        lower = cholesky(covariance_of_readings(readings, case["tapes"], values), lower=True)
        step = 1e-4
        columns = []
        for k in range(len(found.x)):
            shift = np.zeros(len(found.x))
            shift[k] = step
            ahead = np.array([computed(r, unpack(found.x + shift)) for r in readings])
            behind = np.array([computed(r, unpack(found.x - shift)) for r in readings])
            columns.append(solve_triangular(lower, (ahead - behind) / (2 * step), lower=True))
        design = np.column_stack(columns)
        small = np.linalg.inv(design.T @ design)
        covariance = np.zeros((start.size, start.size))
        keep = [k for k in range(start.size) if k not in (0, 1, 3)]
        covariance[np.ix_(keep, keep)] = small
        answers.append(
            {
                "places": unpack(found.x).tolist(),
                "chi_square": float(2 * found.cost),
                "covariance": covariance.tolist(),
            }
        )
    return answers


answer(handle)
