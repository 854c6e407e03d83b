"""Sizes of units by pint.

Request: a list of {dimension, symbol}. Answer, for each: the size of one of it in the SI unit of its dimension
(degrees for angles, plain ratio for slopes), or null for a symbol this table does not know, which fails the test.
"""

import pint
from wire import answer

registry = pint.UnitRegistry()

# Symbol on our side -> the unit in pint's own words. Only the naming is ours; the sizes are pint's.
NAMES = {
    "length": {"in": "inch", "ft": "foot", "yd": "yard", "mm": "millimeter", "cm": "centimeter", "m": "meter"},
    "mass": {"lb": "pound", "short ton": "short_ton", "g": "gram", "kg": "kilogram", "t": "metric_ton"},
    "volume": {
        "gal": "gallon",
        "L": "liter",
        "cu ft": "foot ** 3",
        "cu yd": "yard ** 3",
        "m³": "meter ** 3",
    },
    "area": {"sq ft": "foot ** 2", "sq in": "inch ** 2", "sq yd": "yard ** 2", "m²": "meter ** 2"},
    "slope": {"%": "percent", "in/ft": "inch / foot", "mm/m": "millimeter / meter", "cm/m": "centimeter / meter"},
    "angle": {"°": "degree"},
    "current": {"A": "ampere", "mA": "milliampere"},
    "voltage": {"V": "volt", "kV": "kilovolt"},
    "power": {"W": "watt", "kW": "kilowatt", "VA": "volt_ampere", "kVA": "kilovolt_ampere", "hp": "horsepower"},
    "flow": {
        "gal/min": "gallon / minute",
        "gal/h": "gallon / hour",
        "L/min": "liter / minute",
        "L/s": "liter / second",
        "cu ft/s": "foot ** 3 / second",
        "m³/h": "meter ** 3 / hour",
    },
    "force": {"lbf": "pound_force", "N": "newton", "kN": "kilonewton", "kgf": "kilogram_force"},
    "pressure": {
        "psf": "pound_force / foot ** 2",
        "psi": "pound_force / inch ** 2",
        "Pa": "pascal",
        "kPa": "kilopascal",
    },
    "speed": {"mph": "mile / hour", "km/h": "kilometer / hour", "m/s": "meter / second", "ft/s": "foot / second"},
    "duration": {"s": "second", "min": "minute", "h": "hour", "days": "day"},
    "count": {"": "dimensionless"},
}

SI = {
    "length": "meter",
    "mass": "kilogram",
    "volume": "meter ** 3",
    "area": "meter ** 2",
    "slope": "dimensionless",
    "angle": "degree",
    "current": "ampere",
    "voltage": "volt",
    "power": "watt",
    "flow": "meter ** 3 / second",
    "force": "newton",
    "pressure": "pascal",
    "speed": "meter / second",
    "duration": "second",
    "count": "dimensionless",
}


def size(unit: dict) -> float | None:
    name = NAMES.get(unit["dimension"], {}).get(unit["symbol"])
    if name is None:
        return None
    return float(registry.Quantity(1.0, name).to(SI[unit["dimension"]]).magnitude)


answer(lambda request: [size(unit) for unit in request])
