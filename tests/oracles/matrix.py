"""Least squares and singular values by numpy.

Request: a list of {matrix: rows, right}. Answer, for each: solution (of least length) and singular values, falling.
"""

import numpy as np
from wire import answer


def handle(request: list[dict]) -> list[dict]:
    answers = []
    for case in request:
        matrix = np.array(case["matrix"], dtype=float)
        solution, *_ = np.linalg.lstsq(matrix, np.array(case["right"]), rcond=None)
        values = np.linalg.svd(matrix, compute_uv=False)
        answers.append({"solution": solution.tolist(), "values": values.tolist()})
    return answers


answer(handle)
