"""First-order error propagation by the `uncertainties` package.

Request: a list of {readings: [[value, own, systematic, instrument]...], program: [...]}. A reading is its value plus
its own error plus its systematic share of the one error of its instrument (all given as standard deviations). The
program is in reverse Polish notation: a number pushes a constant, {"reading": k} a reading, and a word applies an
operation. Answer, for each: value and standard deviation. A reading used twice is the same variable, so that
correlations count.
"""

from uncertainties import ufloat, umath
from wire import answer

TWO = {
    "add": lambda a, b: a + b,
    "subtract": lambda a, b: a - b,
    "multiply": lambda a, b: a * b,
    "divide": lambda a, b: a / b,
}
ONE = {"sqrt": umath.sqrt, "sin": umath.sin, "cos": umath.cos, "atan": umath.atan, "negate": lambda a: -a}


def run(case: dict) -> dict:
    errors = {instrument: ufloat(0.0, 1.0) for _, _, _, instrument in case["readings"]}
    readings = [
        ufloat(value, own) + systematic * errors[instrument]
        for value, own, systematic, instrument in case["readings"]
    ]
    stack = []
    for step in case["program"]:
        if isinstance(step, dict):
            stack.append(readings[step["reading"]])
        elif isinstance(step, str) and step in TWO:
            right, left = stack.pop(), stack.pop()
            stack.append(TWO[step](left, right))
        elif isinstance(step, str):
            stack.append(ONE[step](stack.pop()))
        else:
            stack.append(ufloat(float(step), 0.0))
    result = stack.pop()
    return {"value": result.nominal_value, "sigma": result.std_dev}


answer(lambda request: [run(case) for case in request])
