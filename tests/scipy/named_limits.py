"""Tolerances that the input file may name by a class. Lengths in mm.

ISO 1328-1:2013 by its formulas (from memory); bearing clearances (ISO 5753-1) and classes of
ISO 286 and ISO 492 as the tables in tests/reference/limits.json have them.
"""

import functools
import json
import math
import pathlib

from tolerances import Tolerance

TABLES = pathlib.Path(__file__).resolve().parents[1] / "reference" / "limits.json"


@functools.lru_cache(maxsize=None)
def _rows(topic):
    blocks = json.loads(TABLES.read_text(encoding="utf-8"))["blocks"]
    return [row for block in blocks if block["topic"] == topic for row in block["rows"]]


def _row(topic, size, **wanted):
    for row in _rows(topic):
        in_range = row["over"] < size * (1.0 + 1e-12) and size <= row["up_to"] * (1.0 + 1e-12)
        if in_range and size > row["over"] and all(row.get(k) == v for k, v in wanted.items()):
            return row
    raise KeyError(f"{topic}: {size} mm {wanted}")


def class_band(name, size):
    row = _row("tolerance class", size, **{"class": name})
    return Tolerance(row["low"] * 1e-3, row["high"] * 1e-3)


def ring_bore(size):
    row = _row("mean bore deviation", size)
    return Tolerance(row["low"] * 1e-3, row["high"] * 1e-3)


def clearance(name, bore):
    low, high = _row("internal clearance", bore)[name]
    return Tolerance(low * 1e-3, high * 1e-3)


def thickness(fit, diameter):
    upper = _row("upper thickness allowance", diameter)["um"][fit["series"]]
    width = _row("thickness tolerance", diameter)["um"][str(fit["tolerance"])]
    return (upper - width) * 1e-3, upper * 1e-3


def _rounded(um):
    """Whole micrometres above 10, halves from 5, tenths below."""
    step = 1.0 if um > 10.0 else 0.5 if um >= 5.0 else 0.1
    return math.floor(um / step + 0.5) * step * 1e-3


def flank(grade, teeth, module, helix_angle, face_width):
    """F_rT, f_ptT and F_betaT of ISO 1328-1:2013."""
    d = teeth * module / math.cos(helix_angle)
    step = math.sqrt(2.0) ** (grade - 5)
    total_pitch = 0.002 * d + 0.55 * math.sqrt(d) + 0.7 * module + 12.0
    helix_slope = 0.05 * math.sqrt(d) + 0.35 * math.sqrt(face_width) + 4.0
    helix_form = 0.07 * math.sqrt(d) + 0.45 * math.sqrt(face_width) + 4.0
    return (
        _rounded(0.9 * total_pitch * step),
        _rounded((0.001 * d + 0.4 * module + 5.0) * step),
        _rounded(math.hypot(helix_slope, helix_form) * step),
    )
