"""Float of a shaft at a gear, from clearances and fits of its bearings. Lengths in mm.

Rings and walls as thick rings of plane stress; values may be NumPy arrays, one entry a unit.
"""

import numpy as np

import named_limits
import quantities
from tolerances import tolerance


def _length(entry, key):
    return quantities.value(entry[key], "length") * 1e3 if key in entry else None


def _outward(inner, outer, poisson):
    """Radial give of a ring under pressure in its bore, times E over p and radius."""
    if outer is None:  # an endless wall
        return 1.0 + poisson
    return (outer**2 + inner**2) / (outer**2 - inner**2) + poisson


def _inward(inner, outer, poisson):
    """The same under pressure around it."""
    return (outer**2 + inner**2) / (outer**2 - inner**2) - poisson


class Seat:
    def __init__(self, entry, name, part, shaft_part, seat_part):
        """`part` makes solids of entries; `seat_part` is the solid around the outer ring."""
        self.name = name
        self.at = _length(entry, "at")
        self.bore, self.outside = _length(entry, "bore"), _length(entry, "outside_diameter")
        self.contributors = {}
        given = entry["clearance"]
        self.contributors[f"G_0 {name}"] = (
            named_limits.clearance(given, self.bore)
            if isinstance(given, str) and given in ("C2", "CN", "C3", "C4")
            else tolerance(given)
        )
        self.excess = quantities.value(entry["inner_excess"], "kelvin") if "inner_excess" in entry else 0.0
        self.rings = part(entry) if "material" in entry else None
        self.shaft, self.housing = shaft_part, seat_part
        self.outer_fit, self.inner_fit = entry.get("outer_fit"), entry.get("inner_fit")
        if self.rings is not None:
            d, big = self.bore, self.outside
            # Without given raceways: the usual cross section of deep groove ball bearings.
            self.outer_raceway = _length(entry, "outer_raceway")
            self.inner_raceway = _length(entry, "inner_raceway")
            if self.outer_raceway is None:
                self.outer_raceway = 0.2 * (d + 4.0 * big)
            if self.inner_raceway is None:
                self.inner_raceway = 0.2 * (4.0 * d + big)
        if self.outer_fit is not None:
            fit = self.outer_fit
            self.wall = _length(fit, "outside")
            self.contributors[f"seat bore {name}"] = self._fit(fit["bore"], self.outside)
            self.contributors[f"outer ring {name}"] = self._ring(fit["ring"], None)
        if self.inner_fit is not None:
            fit = self.inner_fit
            self.hollow = _length(fit, "shaft_bore") or 0.0
            self.contributors[f"shaft seat {name}"] = self._fit(fit["shaft"], self.bore)
            self.contributors[f"inner ring {name}"] = self._ring(fit["ring"], self.bore)

    @staticmethod
    def _fit(given, size):
        if isinstance(given, str) and given[:1].isalpha():
            return named_limits.class_band(given, size)
        return tolerance(given)

    @staticmethod
    def _ring(given, bore):
        return named_limits.ring_bore(bore) if given == "normal" else tolerance(given)

    def opening(self):
        """The contributors that widen the float as they grow, and those that narrow it."""
        wide = [f"G_0 {self.name}", f"seat bore {self.name}", f"inner ring {self.name}"]
        return {key: 1 if key in wide else -1 for key in self.contributors}

    def interferences(self, zones, draws):
        """I_o and I_i; None without a fit."""
        outer = inner = None
        if self.outer_fit is not None:
            ring, wall = self.rings.strain(zones, draws), self.housing.strain(zones, draws)
            outer = draws[f"outer ring {self.name}"] - draws[f"seat bore {self.name}"]
            outer = outer + self.outside * (ring - wall)
        if self.inner_fit is not None:
            ring = self.rings.strain(zones, draws, self.excess)
            inner = draws[f"shaft seat {self.name}"] - draws[f"inner ring {self.name}"]
            inner = inner + self.bore * (self.shaft.strain(zones, draws) - ring)
        return outer, inner

    def play(self, zones, draws):
        clearance = draws[f"G_0 {self.name}"]
        if self.rings is not None:
            d_o, d_i = self.outer_raceway, self.inner_raceway
            hot = self.rings.strain(zones, draws, self.excess)
            clearance = clearance + d_o * self.rings.strain(zones, draws) - d_i * hot
            # The balls run between both rings, in temperature too.
            between = self.rings.strain(zones, draws, self.excess / 2.0)
            clearance = clearance - (d_o - d_i) * between
        outer, inner = self.interferences(zones, draws)
        loose = 0.0
        if outer is not None:
            e_ring, nu_ring = self.rings.elastic(zones)
            e_wall, nu_wall = self.housing.elastic(zones)
            # Pressure p D = I / (C_ring / E_ring + C_wall / E_wall); the raceway closes by
            # 2 p D^2 d_o / (E_ring (D^2 - d_o^2)).
            give = _inward(d_o, self.outside, nu_ring) / e_ring
            give += _outward(self.outside, self.wall, nu_wall) / e_wall
            closing = 2.0 * self.outside * d_o / (e_ring * (self.outside**2 - d_o**2)) / give
            clearance = clearance - closing * np.maximum(0.0, outer)
            loose = loose + np.maximum(0.0, -outer)
        if inner is not None:
            e_ring, nu_ring = self.rings.elastic(zones, self.excess)
            e_shaft, nu_shaft = self.shaft.elastic(zones)
            give = _outward(self.bore, d_i, nu_ring) / e_ring
            give += _inward(self.hollow, self.bore, nu_shaft) / e_shaft
            growth = 2.0 * self.bore * d_i / (e_ring * (d_i**2 - self.bore**2)) / give
            clearance = clearance - growth * np.maximum(0.0, inner)
            loose = loose + np.maximum(0.0, -inner)
        return np.maximum(0.0, clearance) + loose


class Bearings:
    """Up to two seats of a shaft."""

    def __init__(self, seats):
        self.seats = seats

    @property
    def contributors(self):
        return {k: v for seat in self.seats for k, v in seat.contributors.items()}

    def opening(self):
        return {k: v for seat in self.seats for k, v in seat.opening().items()}

    def play(self, zones, draws, at):
        if not self.seats:
            return 0.0
        if len(self.seats) == 1:
            return self.seats[0].play(zones, draws)
        first, second = self.seats
        span = abs(second.at - first.at)
        return (
            abs(second.at - at) / span * first.play(zones, draws)
            + abs(at - first.at) / span * second.play(zones, draws)
        )


class Preload:
    """Two bearings set over the outer rings: a case that outgrows the shaft sets them free."""

    seats = ()
    contributors = {}

    def __init__(self, entry, part, shaft_part):
        self.travel, self.span = _length(entry, "travel"), _length(entry, "span")
        self.tangent = np.tan(quantities.value(entry["contact_angle"], "angle"))
        self.case, self.shaft = part(entry), shaft_part

    @staticmethod
    def opening():
        return {}

    def play(self, zones, draws, _at):
        apart = self.case.strain(zones, draws) - self.shaft.strain(zones, draws)
        return np.maximum(0.0, self.span * apart - self.travel) * self.tangent
