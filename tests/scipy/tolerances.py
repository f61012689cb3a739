"""How a tolerance of the input file is spread: its band, mean, standard deviation and samples.

Lengths in mm, ratios as numbers. Sources: the definitions in the input format; moments by
integration of the densities, samples by SciPy's distributions and by inverting the table's
distribution function.
"""

import dataclasses
import functools

import numpy as np
from scipy import integrate, stats

import quantities

SCALE = {"length": 1e3, "number": 1.0}  # SI to what is used here


@dataclasses.dataclass(frozen=True)
class Tolerance:
    low: float
    high: float
    kind: str = "normal"
    capability: float = 1.0
    mode: float | None = None
    table: tuple = ()
    of_size: bool = False  # a deviation without sign: half of it is half its greatest value

    @property
    def mid(self):
        return (self.low + self.high) / 2.0

    @property
    def reach(self):
        return (self.high - self.low) / 2.0

    @functools.cached_property
    def law(self):
        """SciPy's distribution, but for tables."""
        if self.kind == "normal":
            return stats.norm(self.mid, self.reach / (3.0 * self.capability))
        if self.kind == "truncated_normal":
            cut = 3.0 * self.capability
            return stats.truncnorm(-cut, cut, self.mid, self.reach / cut)
        if self.kind == "uniform":
            return stats.uniform(self.low, self.high - self.low)
        if self.kind == "triangular":
            mode = self.mid if self.mode is None else self.mode
            width = self.high - self.low
            return stats.triang((mode - self.low) / width, self.low, width)
        raise ValueError(self.kind)

    @functools.cached_property
    def _moments(self):
        if self.reach == 0.0:
            return self.mid, 0.0
        if self.kind != "tabulated":
            return float(self.law.mean()), float(self.law.std())
        places, densities = (np.array(column) for column in zip(*self.table))

        def moment(power, about):
            # Simpson's rule is exact for the cubics that the second moment of a line makes.
            total = 0.0
            for i in range(len(places) - 1):
                x = np.array([places[i], (places[i] + places[i + 1]) / 2.0, places[i + 1]])
                f = np.array([densities[i], (densities[i] + densities[i + 1]) / 2, densities[i + 1]])
                total += integrate.simpson(f * (x - about) ** power, x=x)
            return total

        whole = moment(0, 0.0)
        mean = moment(1, 0.0) / whole
        return mean, float(np.sqrt(moment(2, mean) / whole))

    @property
    def mean(self):
        return self._moments[0]

    @property
    def sigma(self):
        return self._moments[1]

    def sampled(self, generator, count):
        if self.reach == 0.0:
            return np.full(count, self.mid)
        if self.kind != "tabulated":
            return self.law.rvs(size=count, random_state=generator)
        # A segment by its share of the area, then the place in it: a mixture of two triangles.
        places, densities = (np.array(column) for column in zip(*self.table))
        steps = np.diff(places)
        areas = steps * (densities[:-1] + densities[1:]) / 2.0
        segment = generator.choice(len(areas), size=count, p=areas / areas.sum())
        left, right = densities[:-1][segment], densities[1:][segment]
        falling = generator.random(count) * (left + right) < left
        root = np.sqrt(generator.random(count))
        within = np.where(falling, 1.0 - root, root)
        return places[:-1][segment] + steps[segment] * within

    def halved(self):
        """Half the band about the same middle, or towards no deviation; the same shape."""
        middle = 0.0 if self.of_size else self.mid

        def squeezed(x):
            return None if x is None else middle + (x - middle) / 2.0

        return dataclasses.replace(
            self,
            low=squeezed(self.low),
            high=squeezed(self.high),
            mode=squeezed(self.mode),
            table=tuple((squeezed(x), f) for x, f in self.table),
        )


def _spread(entry, kind, ends, default):
    scale = SCALE[kind]
    mode = entry.get("mode")
    return Tolerance(
        *ends,
        kind=entry.get("distribution", default),
        capability=entry.get("capability", 1.0),
        mode=None if mode is None else quantities.value(mode, kind) * scale,
    )


def _tabulated(entry, kind):
    rows = tuple((quantities.value(x, kind) * SCALE[kind], float(f)) for x, f in entry["table"])
    return Tolerance(rows[0][0], rows[-1][0], kind="tabulated", table=rows)


def _ends(entry, kind):
    return tuple(SCALE[kind] * end for end in quantities.band(entry, kind))


def tolerance(entry, kind="length"):
    """A band, or an object with its distribution."""
    if not isinstance(entry, dict):
        return Tolerance(*_ends(entry, kind))
    if "table" in entry:
        return _tabulated(entry, kind)
    return _spread(entry, kind, _ends(entry["band"], kind), "normal")


def unsigned(entry):
    """From 0 up to a length."""
    return dataclasses.replace(_unsigned(entry), of_size=True)


def _unsigned(entry):
    if isinstance(entry, str):
        return Tolerance(0.0, quantities.value(entry, "length") * 1e3, kind="truncated_normal")
    if "table" in entry:
        return _tabulated(entry, "length")
    if "band" in entry:
        return _spread(entry, "length", _ends(entry["band"], "length"), "truncated_normal")
    limit = quantities.value(entry["limit"], "length") * 1e3
    return _spread(entry, "length", (0.0, limit), "truncated_normal")


def signed(entry):
    """As much either way."""
    if isinstance(entry, str):
        limit = quantities.value(entry, "length") * 1e3
        return Tolerance(-limit, limit)
    if "table" in entry:
        return _tabulated(entry, "length")
    limit = quantities.value(entry["limit"], "length") * 1e3
    return _spread(entry, "length", (-limit, limit), "normal")
