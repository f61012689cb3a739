"""Strain of the centre distances, joint force and free travel of a carrier at one state.

Own derivation: insert and case are two bars side by side over the locating span, tied by a joint;
equilibrium and equal length give the force. Forces in N, lengths in mm. Draws may be NumPy arrays,
one entry a built unit.
"""

import dataclasses
import functools

import numpy as np

import quantities
from tolerances import Tolerance, tolerance


@dataclasses.dataclass(frozen=True)
class CarrierState:
    strain: float
    reach: tuple[float, float]
    joint_force: float | None = None
    force_reach: tuple[float, float] | None = None
    squeeze_left: float | None = None
    stretch_left: float | None = None
    lean: float | None = None


class World:
    """What every solid of a file refers to: materials, their common draws, the reference."""

    def __init__(self, materials, reference, groups=()):
        self.materials = materials
        self.reference = reference
        self._group_of = {m: group for group in groups for m in group["materials"]}

    def elongation_draw(self, material_id):
        """Name and spread of the draw that a material's elongation follows; None without one."""
        group = self._group_of.get(material_id)
        if group is not None:
            limit = quantities.value(group["uncertainty"], "number")
            kind, capability = group.get("distribution", "normal"), group.get("capability", 1.0)
            return f"elongation {group['id']}", Tolerance(-limit, limit, kind, capability)
        elongation = self.materials[material_id].record.get("elongation", {})
        if "uncertainty" not in elongation:
            return None
        limit = quantities.value(elongation["uncertainty"], "number")
        return f"elongation {material_id}", Tolerance(-limit, limit)


class Solid:
    """A solid of a built unit. `draws` holds what the unit is: values by contributor."""

    def __init__(self, entry, world, name=None):
        self.world = world
        self.material = world.materials[entry["material"]]
        self.zone = entry["zone"]
        self.own_strains = {}
        for key in ("permanent_strain", "moisture_strain"):
            if key in entry:
                contributor = f"{key.replace('_', ' ')} {name}"
                self.own_strains[contributor] = tolerance(entry[key], "number")
        self.draw = world.elongation_draw(entry["material"])

    @property
    def contributors(self):
        return self.own_strains | (dict([self.draw]) if self.draw else {})

    def strain(self, zones, draws, warmer_by=0.0):
        free = self.material.elongation(zones[self.zone] + warmer_by, self.world.reference)
        if self.draw:
            free = free * (1.0 + draws[self.draw[0]])
        return free + sum(draws[key] for key in self.own_strains)

    def youngs_modulus(self, zones, warmer_by=0.0):
        return self.material.youngs_modulus(zones[self.zone] + warmer_by)

    def elastic(self, zones, warmer_by=0.0):
        """E in N/mm2 and Poisson's ratio."""
        at = zones[self.zone] + warmer_by
        return self.material.youngs_modulus(at), self.material.poissons_ratio(at)


class Plain:
    def __init__(self, entry, world, name):
        self.solids = [Solid(entry, world, name)]
        self.seat = self.solids[0]

    def state(self, zones, draws, _all_zones):
        strain = self.seat.strain(zones, draws)
        return CarrierState(strain, (strain, strain))


class Path:
    def __init__(self, entry, world, name):
        self.segments = [
            (Solid(s, world, f"{name} segment {i + 1}"), s["share"])
            for i, s in enumerate(entry["segments"])
        ]
        self.solids = [solid for solid, _ in self.segments]
        self.seat = self.solids[0]

    def state(self, zones, draws, _all_zones):
        strain = sum(share * solid.strain(zones, draws) for solid, share in self.segments)
        return CarrierState(strain, (strain, strain))


def _length(entry):
    return quantities.value(entry, "length") * 1e3


def _stiffness(entry):
    return quantities.value(entry, "stiffness") / 1e3


class Insert:
    def __init__(self, entry, world, name):
        self.parts = [(Solid(entry[k], world, f"{name} {k}"), entry[k]) for k in ("insert", "case")]
        self.solids = [solid for solid, _ in self.parts]
        self.seat = self.solids[0]
        # Where no span is needed, it cancels: any will do.
        self.span = _length(entry["locating_span"]) if "locating_span" in entry else 1.0
        self.joint = entry["joint"]

    def free_travel(self, zones, draws):
        """How much longer the case than the insert would be over the span, if free."""
        insert, case = (solid.strain(zones, draws) for solid, _ in self.parts)
        return self.span * (case - insert)

    def _part_stiffness(self, index, zones):
        solid, entry = self.parts[index]
        if "stiffness" in entry:
            return _stiffness(entry["stiffness"])
        area = quantities.value(entry["section"], "area") * 1e6
        return solid.youngs_modulus(zones) * area / self.span

    def state(self, zones, draws, all_zones):
        travel = self.free_travel(zones, draws)
        insert_stiffness = self._part_stiffness(0, zones)
        give = 1.0 / insert_stiffness + 1.0 / self._part_stiffness(1, zones)
        if "stiffness" in self.joint:
            give += 1.0 / _stiffness(self.joint["stiffness"])

        def strain(force):
            return self.seat.strain(zones, draws) + force / (insert_stiffness * self.span)

        kind = self.joint["kind"]
        if kind in ("rigid", "elastic"):
            force = travel / give
            return CarrierState(strain(force), (strain(force),) * 2, force)
        if kind == "clearance":
            return self._with_clearance(travel, give, strain)
        travels = [self.free_travel(other, draws) for other in all_zones]
        return self._with_friction(travel, give, strain, travels)

    def _with_clearance(self, travel, give, strain):
        both = self.joint.get("clearance")
        stops = [self.joint.get(key, both) for key in ("squeeze", "stretch")]
        squeeze, stretch = (None if stop == "none" else _length(stop) for stop in stops)
        force = 0.0 * travel
        if squeeze is not None:
            force = force + np.minimum(0.0, travel + squeeze) / give
        if stretch is not None:
            force = force + np.maximum(0.0, travel - stretch) / give
        return CarrierState(
            strain(force),
            (strain(force),) * 2,
            force,
            squeeze_left=None if squeeze is None else travel + squeeze,
            stretch_left=None if stretch is None else stretch - travel,
        )

    def _with_friction(self, travel, give, strain, travels):
        """A spring that slips: the extreme forces come by way of the extreme travels.

        From rest to the far end of the envelope, then back to the state; on the way the spring
        holds at most the slip force.
        """
        slip = quantities.value(self.joint["slip_force"], "force")

        def slipping(start, distance):
            return np.clip(start + distance / give, -slip, slip)

        least = functools.reduce(np.minimum, travels, 0.0)
        greatest = functools.reduce(np.maximum, travels, 0.0)
        first = slipping(0.0, travel)
        from_below = slipping(slipping(0.0, least), travel - least)
        from_above = slipping(slipping(0.0, greatest), travel - greatest)
        low, high = np.minimum(first, from_above), np.maximum(first, from_below)
        return CarrierState(strain(first), (strain(low), strain(high)), first, (low, high))


class Walls:
    """Two carriers at places along the shafts."""

    def __init__(self, entry, world, name):
        self.walls = [
            (_length(wall["at"]), carrier(wall, world, f"{name} wall {i + 1}"))
            for i, wall in enumerate(entry["walls"])
        ]
        self.solids = [solid for _, wall in self.walls for solid in wall.solids]

    def seat_at(self, at):
        return min(self.walls, key=lambda wall: abs(wall[0] - at))[1].seat

    def state(self, zones, draws, all_zones, at=None):
        (x_1, wall_1), (x_2, wall_2) = self.walls
        state_1, state_2 = (w.state(zones, draws, all_zones) for w in (wall_1, wall_2))
        share = 0.5 if at is None else (at - x_1) / (x_2 - x_1)

        def between(one, two):
            return (1.0 - share) * one + share * two

        return CarrierState(
            between(state_1.strain, state_2.strain),
            tuple(between(*ends) for ends in zip(state_1.reach, state_2.reach)),
            # What the centre distances lean by, in rad for each mm of centre distance.
            lean=(state_2.strain - state_1.strain) / (x_2 - x_1),
        )


KINDS = {"plain": Plain, "path": Path, "insert": Insert, "walls": Walls}


def carrier(entry, world, name=None):
    return KINDS[entry["kind"]](entry, world, name or entry["id"])
