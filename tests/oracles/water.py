"""Density of water at one atmosphere by the IAPWS-95 formulation.

Request: a list of temperatures in degrees Celsius. Answer: kg/m3 for each.
"""

from iapws import IAPWS95
from wire import answer

answer(lambda request: [float(IAPWS95(T=celsius + 273.15, P=0.101325).rho) for celsius in request])
