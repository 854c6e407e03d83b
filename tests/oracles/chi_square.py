"""The upper tail of the chi-square distribution by scipy. Request: a list of [value, degrees]. Answer: probabilities."""

from scipy.stats import chi2
from wire import answer

answer(lambda request: [float(chi2.sf(value, degrees)) for value, degrees in request])
