"""Normal probabilities and quantiles by scipy.stats.

Request: {below: [z...], quantile: [p...]}. Answer: the same keys with the results.
"""

from scipy.stats import norm
from wire import answer


def handle(request: dict) -> dict:
    return {
        "below": [float(norm.cdf(z)) for z in request["below"]],
        "quantile": [float(norm.ppf(p)) for p in request["quantile"]],
    }


answer(handle)
