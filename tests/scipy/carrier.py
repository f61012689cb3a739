"""Strain of the centre distances, joint force and free travel of a carrier at one state.

Own derivation: insert and case are two bars side by side over the locating span, tied by a joint;
equilibrium and equal length give the force. Forces in N, lengths in mm.
"""

import dataclasses

import quantities


@dataclasses.dataclass(frozen=True)
class CarrierState:
    strain: float
    reach: tuple[float, float]
    joint_force: float | None = None
    force_reach: tuple[float, float] | None = None
    squeeze_left: float | None = None
    stretch_left: float | None = None


class Solid:
    def __init__(self, entry, materials):
        self.material = materials[entry["material"]]
        self.zone = entry["zone"]

    def elongation(self, zones, reference):
        return self.material.elongation(zones[self.zone], reference)

    def youngs_modulus(self, zones):
        return self.material.youngs_modulus(zones[self.zone])


class Plain:
    def __init__(self, entry, materials):
        self.solid = Solid(entry, materials)

    def free_travel(self, _zones, _reference):
        return 0.0

    def state(self, zones, reference, _envelope):
        strain = self.solid.elongation(zones, reference)
        return CarrierState(strain, (strain, strain))


class Path:
    def __init__(self, entry, materials):
        self.segments = [(Solid(s, materials), s["share"]) for s in entry["segments"]]

    def free_travel(self, _zones, _reference):
        return 0.0

    def state(self, zones, reference, _envelope):
        strain = sum(share * solid.elongation(zones, reference) for solid, share in self.segments)
        return CarrierState(strain, (strain, strain))


def _length(entry):
    return quantities.value(entry, "length") * 1e3


def _stiffness(entry):
    return quantities.value(entry, "stiffness") / 1e3


class Insert:
    def __init__(self, entry, materials):
        self.parts = [(Solid(entry[k], materials), entry[k]) for k in ("insert", "case")]
        # Where no span is needed, it cancels: any will do.
        self.span = _length(entry["locating_span"]) if "locating_span" in entry else 1.0
        self.joint = entry["joint"]

    def free_travel(self, zones, reference):
        """How much longer the case than the insert would be over the span, if free."""
        insert, case = (solid.elongation(zones, reference) for solid, _ in self.parts)
        return self.span * (case - insert)

    def _part_stiffness(self, index, zones):
        solid, entry = self.parts[index]
        if "stiffness" in entry:
            return _stiffness(entry["stiffness"])
        area = quantities.value(entry["section"], "area") * 1e6
        return solid.youngs_modulus(zones) * area / self.span

    def state(self, zones, reference, envelope):
        travel = self.free_travel(zones, reference)
        insert_stiffness = self._part_stiffness(0, zones)
        give = 1.0 / insert_stiffness + 1.0 / self._part_stiffness(1, zones)
        if "stiffness" in self.joint:
            give += 1.0 / _stiffness(self.joint["stiffness"])

        def strain(force):
            free = self.parts[0][0].elongation(zones, reference)
            return free + force / (insert_stiffness * self.span)

        kind = self.joint["kind"]
        if kind in ("rigid", "elastic"):
            force = travel / give
            return CarrierState(strain(force), (strain(force),) * 2, force)
        if kind == "clearance":
            return self._with_clearance(travel, give, strain)
        return self._with_friction(travel, give, strain, envelope)

    def _with_clearance(self, travel, give, strain):
        both = self.joint.get("clearance")
        stops = [self.joint.get(key, both) for key in ("squeeze", "stretch")]
        squeeze, stretch = (None if stop == "none" else _length(stop) for stop in stops)
        force = 0.0
        if squeeze is not None and travel < -squeeze:
            force = (travel + squeeze) / give
        if stretch is not None and travel > stretch:
            force = (travel - stretch) / give
        return CarrierState(
            strain(force),
            (strain(force),) * 2,
            force,
            squeeze_left=None if squeeze is None else travel + squeeze,
            stretch_left=None if stretch is None else stretch - travel,
        )

    def _with_friction(self, travel, give, strain, envelope):
        """A spring that slips: the extreme forces come by way of the extreme travels.

        From rest to the far end of the envelope, then back to the state; on the way the spring
        holds at most the slip force.
        """
        slip = quantities.value(self.joint["slip_force"], "force")

        def slipping(start, distance):
            return max(-slip, min(slip, start + distance / give))

        least, greatest = min(0.0, *envelope), max(0.0, *envelope)
        first = slipping(0.0, travel)
        from_below = slipping(slipping(0.0, least), travel - least)
        from_above = slipping(slipping(0.0, greatest), travel - greatest)
        low, high = min(first, from_above), max(first, from_below)
        return CarrierState(strain(first), (strain(low), strain(high)), first, (low, high))


def carrier(entry, materials):
    return {"plain": Plain, "path": Path, "insert": Insert}[entry["kind"]](entry, materials)
