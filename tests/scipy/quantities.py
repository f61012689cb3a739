"""Quantities from text: "2.5 mm", "11.5e-6 1/K", "-40 degC". Values in SI units, levels in degC.

The unit table is written from the definitions of the units (SI brochure, 9th edition; international
yard and pound agreement of 1959), in exact fractions.
"""

import math
import re
from fractions import Fraction

POUND_FORCE = Fraction("0.45359237") * Fraction("9.80665")
INCH = Fraction("0.0254")

# symbol: (factor to SI, factor is a multiple of pi, powers of kg, m, s, K, rad)
SI_UNITS = {
    "m": (Fraction(1), False, (0, 1, 0, 0, 0)),
    "g": (Fraction(1, 1000), False, (1, 0, 0, 0, 0)),
    "s": (Fraction(1), False, (0, 0, 1, 0, 0)),
    "K": (Fraction(1), False, (0, 0, 0, 1, 0)),
    "rad": (Fraction(1), False, (0, 0, 0, 0, 1)),
    "N": (Fraction(1), False, (1, 1, -2, 0, 0)),
    "Pa": (Fraction(1), False, (1, -1, -2, 0, 0)),
    "J": (Fraction(1), False, (1, 2, -2, 0, 0)),
    "W": (Fraction(1), False, (1, 2, -3, 0, 0)),
    "Hz": (Fraction(1), False, (0, 0, -1, 0, 0)),
}
OTHER_UNITS = {
    "min": (Fraction(60), False, (0, 0, 1, 0, 0)),
    "h": (Fraction(3600), False, (0, 0, 1, 0, 0)),
    "L": (Fraction(1, 1000), False, (0, 3, 0, 0, 0)),
    "bar": (Fraction(10**5), False, (1, -1, -2, 0, 0)),
    "cSt": (Fraction(1, 10**6), False, (0, 2, -1, 0, 0)),
    "rev": (Fraction(2), True, (0, 0, 0, 0, 1)),
    "rpm": (Fraction(1, 30), True, (0, 0, -1, 0, 1)),
    "%": (Fraction(1, 100), False, (0, 0, 0, 0, 0)),
    "deg": (Fraction(1, 180), True, (0, 0, 0, 0, 1)),
    "arcmin": (Fraction(1, 180 * 60), True, (0, 0, 0, 0, 1)),
    "arcsec": (Fraction(1, 180 * 3600), True, (0, 0, 0, 0, 1)),
    "in": (INCH, False, (0, 1, 0, 0, 0)),
    "inch": (INCH, False, (0, 1, 0, 0, 0)),
    "thou": (INCH / 1000, False, (0, 1, 0, 0, 0)),
    "ft": (INCH * 12, False, (0, 1, 0, 0, 0)),
    "lb": (Fraction("0.45359237"), False, (1, 0, 0, 0, 0)),
    "lbf": (POUND_FORCE, False, (1, 1, -2, 0, 0)),
    "psi": (POUND_FORCE / INCH**2, False, (1, -1, -2, 0, 0)),
}
PREFIXES = dict(n=-9, u=-6, m=-3, c=-2, d=-1, h=2, k=3, M=6, G=9)
PREFIXES |= {"\u00b5": -6, "\u03bc": -6}  # the micro sign and the Greek letter

DIMENSIONS = {
    "number": (0, 0, 0, 0, 0),
    "length": (0, 1, 0, 0, 0),
    "area": (0, 2, 0, 0, 0),
    "angle": (0, 0, 0, 0, 1),
    "kelvin": (0, 0, 0, 1, 0),
    "compliance": (-1, 0, 2, 0, 0),
    "per_kelvin": (0, 0, 0, -1, 0),
    "pressure": (1, -1, -2, 0, 0),
    "stiffness": (1, 0, -2, 0, 0),
    "force": (1, 1, -2, 0, 0),
    "speed": (0, 0, -1, 0, 1),
}

_NUMBER = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*$", re.DOTALL)
_SUPERSCRIPTS = str.maketrans("\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076", "0123456")


def _symbol(text):
    if text in OTHER_UNITS:
        return OTHER_UNITS[text]
    if text in SI_UNITS:
        return SI_UNITS[text]
    factor, is_pi, dimension = SI_UNITS[text[1:]]
    return factor * Fraction(10) ** PREFIXES[text[0]], is_pi, dimension


def unit(text):
    """The unit as (exact factor, power of pi, dimension)."""
    numerator, _, denominator = text.translate(_SUPERSCRIPTS).partition("/")
    factor, power_of_pi, dimension = Fraction(1), 0, (0, 0, 0, 0, 0)
    for part, sign in ((numerator, 1), (denominator.strip("() "), -1)):
        for token in re.split(r"[\s*\u00b7]+", part.strip()):
            if token in ("", "1"):
                continue
            symbol, power = re.fullmatch(r"([^\d^]+)\^?(\d*)", token).groups()
            exponent = sign * int(power or 1)
            scale, is_pi, powers = _symbol(symbol)
            factor *= scale**exponent
            power_of_pi += exponent * is_pi
            dimension = tuple(d + exponent * p for d, p in zip(dimension, powers))
    return factor, power_of_pi, dimension


def split(text):
    """Number and unit of a quantity, as texts."""
    return _NUMBER.fullmatch(text).groups()


def value(text, kind):
    """The SI value of a quantity of the kind named."""
    number, unit_text = split(text)
    factor, power_of_pi, dimension = unit(unit_text)
    if dimension != DIMENSIONS[kind]:
        raise ValueError(f"{text!r} is no {kind}")
    return float(Fraction(number) * factor) * math.pi**power_of_pi


def level(text):
    """A temperature level in degC."""
    number, unit_text = split(text)
    exact = Fraction(number)
    if unit_text == "degC":
        return float(exact)
    if unit_text == "degF":
        return float((exact - 32) * 5 / 9)
    if unit_text == "K":
        return float(exact - Fraction("273.15"))
    raise ValueError(f"{text!r} is no temperature level")


def band(entry, kind):
    """Both ends of a band, ["-110 um", "-70 um"] or "+-15 um"."""
    if isinstance(entry, str):
        half = value(entry.removeprefix("\u00b1").removeprefix("+-"), kind)
        return -half, half
    low, high = entry
    return value(low, kind), value(high, kind)
