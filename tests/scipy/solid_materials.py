"""Free elongation and elastic modulus over temperature, from material records.

Sources: the definitions in the input format (mean coefficients count from 20 degC and are
interpolated as means; a polynomial is the elongation itself, shifted to zero at 20 degC; polynomial
pieces of one curve share their zero). Temperatures in degC, moduli in N/mm2.
"""

import bisect
import functools
import pathlib

import commented_json
import quantities


def _interpolated(points, at):
    """Linear between the neighbouring points."""
    levels = [point[0] for point in points]
    i = min(max(bisect.bisect_right(levels, at) - 1, 0), len(points) - 2)
    (t0, v0), (t1, v1) = points[i], points[i + 1]
    share = (at - t0) / (t1 - t0)
    return v0 * (1.0 - share) + v1 * share


def _polynomial(form, degrees_celsius):
    at = degrees_celsius + 273.15 if form["of"] == "K" else degrees_celsius
    result = 0.0
    for coefficient in reversed(form["polynomial"]):
        result = result * at + coefficient
    return result


def _form_value(form, at):
    """The elongation by one form, polynomials as they are written."""
    if "mean_coefficient" in form:
        return quantities.value(form["mean_coefficient"], "per_kelvin") * (at - 20.0)
    if "table" in form:
        table = form["table"]
        points = [(quantities.level(t), quantities.value(v, "per_kelvin")) for t, v in table]
        return _interpolated(points, at) * (at - 20.0)
    return _polynomial(form, at)


def _zero_of(form):
    return _polynomial(form, 20.0) if "polynomial" in form else 0.0


class Material:
    def __init__(self, record):
        self.record = record
        self.id = record["id"]
        self.range = tuple(quantities.level(end) for end in record["range"])

    @functools.lru_cache(maxsize=None)
    def elongation_from_20(self, at):
        low, high = self.range
        if not low - 1e-9 <= at <= high + 1e-9:
            raise ValueError(f"{self.id} is asked for at {at} degC, outside {self.range}")
        elongation = self.record["elongation"]
        if "pieces" not in elongation:
            return _form_value(elongation, at) - _zero_of(elongation)
        return self._by_pieces(elongation["pieces"], at)

    @staticmethod
    def _by_pieces(pieces, at):
        ranges = [tuple(quantities.level(end) for end in piece["range"]) for piece in pieces]
        # At a joint the hotter piece holds.
        index = max(i for i, (low, _) in enumerate(ranges) if low <= at or i == 0)
        piece, (low, high) = pieces[index], ranges[index]
        if low <= 20.0 <= high:
            return _form_value(piece, at) - _zero_of(piece)
        if "polynomial" not in piece:
            return _form_value(piece, at)
        # Pieces on one side of 20 degC share the zero of the polynomial that reaches it from there.
        reaching = [p for p, (lo, hi) in zip(pieces, ranges) if lo <= 20.0 <= hi]
        nearest = reaching[-1] if low > 20.0 else reaching[0]
        return _form_value(piece, at) - _zero_of(nearest)

    def elongation(self, at, reference):
        """L(at)/L(reference) - 1."""
        from_20 = self.elongation_from_20(reference)
        return (self.elongation_from_20(at) - from_20) / (1.0 + from_20)

    @property
    def modulus_range(self):
        entry = self.record["youngs_modulus"]
        if not isinstance(entry, list):
            return self.range
        return quantities.level(entry[0][0]), quantities.level(entry[-1][0])

    def youngs_modulus(self, at):
        """In N/mm2."""
        entry = self.record["youngs_modulus"]
        if isinstance(entry, dict):
            entry = entry["value"]
        if isinstance(entry, str):
            return quantities.value(entry, "pressure") / 1e6
        points = [(quantities.level(t), quantities.value(v, "pressure") / 1e6) for t, v in entry]
        return _interpolated(points, at)

    def poissons_ratio(self, at):
        entry = self.record["poissons_ratio"]
        if isinstance(entry, dict):
            entry = entry["value"]
        if isinstance(entry, list):
            return _interpolated([(quantities.level(t), v) for t, v in entry], at)
        return entry


def shipped(folder):
    """Every material file of the folder, by id."""
    paths = sorted(pathlib.Path(folder).glob("*.json"))
    materials = [Material(commented_json.load(path)) for path in paths]
    if not materials:
        raise FileNotFoundError(f"no material file in {folder}")
    return {material.id: material for material in materials}
