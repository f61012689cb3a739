"""One mesh of a built unit at one state: everything that scatters is an argument.

Draws are values by the name of their contributor, numbers or NumPy arrays with one entry a unit.
Lengths in mm. The gap is that of gear_pair.py, written for arrays; where base pitches differ, the
mesh cycle either is worked out exactly (mesh_cycle.py, one unit at a time) or adds a fixed share of
their difference.
"""

import dataclasses
import itertools
import math

import numpy as np

import named_limits
import quantities
from bearing_float import Bearings, Preload, Seat
from carrier import Solid, Walls
from gear_pair import Pair
from mesh_cycle import gap_over_cycle
from tolerances import Tolerance, signed, tolerance, unsigned


def length(entry):
    return quantities.value(entry, "length") * 1e3


# Sides on which float and run-out are taken: (float, run-out), in halves of their sums.
SIDES = {
    "least": (-1, -1),
    "greatest": (1, 1),
    "bind": (1, -1),
    "loaded least": (0, -1),
    "loaded greatest": (0, 1),
    "nominal": (0, 0),
    "loaded nominal": (0, 0),
    "bind nominal": (1, 0),
}
CHECKED_CLOSELY = 4096
MEASURES = ("j_bt", "j_wt", "j_bn", "j_r_iso", "j_r", "phi_1", "phi_2")


@dataclasses.dataclass
class Instant:
    """A built unit at a state, the shafts at the place asked for."""

    apart: np.ndarray
    scales: tuple
    allowances: tuple
    even: np.ndarray  # gap with both contacts on one tooth
    mismatch: np.ndarray
    close: np.ndarray  # sum of the base radii


class MeshModel:
    def __init__(self, train, mesh, carrier):
        self.train, self.mesh, self.carrier = train, mesh, carrier
        self.entries = [train.gears[g] for g in mesh["gears"]]
        self.drawn = [train.drawn_gear(g) for g in mesh["gears"]]
        self.solids = [Solid(entry, train.world, entry["id"]) for entry in self.entries]
        self.nominal_distance, self.deviation = train.centre_distance(mesh)
        g = self.drawn[0]
        self.cos_helix = math.cos(math.atan(g.base_helix_tangent))
        self.at = [length(e["at"]) if "at" in e else None for e in self.entries]
        self.shafts = [train.shafts[e["shaft"]] for e in self.entries]
        self.floats = [self._float(shaft) for shaft in self.shafts]
        self.has_float = ["preload" in s or bool(s.get("bearings")) for s in self.shafts]
        self._name_contributors()

    def _float(self, shaft):
        world = self.train.world

        def part(entry):
            return Solid(entry, world)

        shaft_part = part(shaft) if "material" in shaft else None
        if "preload" in shaft:
            return Preload(shaft["preload"], part, shaft_part)
        seats = []
        for i, entry in enumerate(shaft.get("bearings", [])):
            if "seat" in entry:
                around = part(entry["seat"])
            elif isinstance(self.carrier, Walls):
                around = self.carrier.seat_at(length(entry["at"])) if "at" in entry else None
            else:
                around = self.carrier.seat
            name = entry.get("id", f"{shaft['id']} bearing {i + 1}")
            seats.append(Seat(entry, name, part, shaft_part, around))
        return Bearings(seats)

    def _name_contributors(self):
        """Every contributor by name. Grouped by what it does to the gap."""
        mesh_id = self.mesh["id"]
        self.thickness, self.run_out, self.pitch, self.lean = {}, {}, {}, {}
        width = min(g.face_width for g in self.drawn)
        angle = self.drawn[0].pressure_angle
        for entry, drawn in zip(self.entries, self.drawn):
            name = entry["id"]
            given = entry.get("thickness_allowance")
            if isinstance(given, dict) and "series" in given:
                low, high = named_limits.thickness(given, 2.0 * drawn.drawn_reference_radius)
                self.thickness[f"E_sn {name}"] = Tolerance(
                    low, high, given.get("distribution", "normal"), given.get("capability", 1.0)
                )
            elif given is not None:
                self.thickness[f"E_sn {name}"] = tolerance(given)
            of_class = None
            if "accuracy_class" in entry:
                of_class = named_limits.flank(
                    entry["accuracy_class"],
                    drawn.teeth,
                    drawn.module,
                    drawn.helix_angle,
                    drawn.face_width,
                )
            if "run_out" in entry:
                self.run_out[f"F_r {name}"] = unsigned(entry["run_out"])
            elif of_class:
                self.run_out[f"F_r {name}"] = Tolerance(
                    0.0, of_class[0], "truncated_normal", of_size=True
                )
            if "pitch_deviation" in entry:
                self.pitch[f"f_pb {name}"] = unsigned(entry["pitch_deviation"])
            elif of_class:
                limit = of_class[1] * math.cos(drawn.transverse_angle)
                self.pitch[f"f_pb {name}"] = Tolerance(
                    0.0, limit, "truncated_normal", of_size=True
                )
            slope = None
            if "helix_deviation" in entry:
                slope = signed(entry["helix_deviation"])
            elif of_class:
                slope = Tolerance(-of_class[2], of_class[2])
            if slope:
                self.lean[f"F_beta {name}"] = (math.cos(angle), slope)
        axes = self.mesh.get("axis_parallelism")
        if axes:
            share = width / length(axes["over"])
            for key, part in (("f_sigma_delta", math.sin(angle)), ("f_sigma_beta", math.cos(angle))):
                if key in axes:
                    self.lean[f"{key} {mesh_id}"] = (share * part, signed(axes[key]))
        self.tilt_share = width * math.sin(angle)
        self.width = width
        self.opening = {}
        if "wear" in self.mesh:
            self.opening[f"wear {mesh_id}"] = unsigned(self.mesh["wear"])
        self.apart = {}
        for own in self.mesh.get("contributions", []):
            group = self.apart if own["on"] == "centre_distance" else self.opening
            group[own["id"]] = tolerance(own["value"])
        self.distance, self.places = {}, {}
        if self.deviation is not None:
            self.distance[f"delta_a {mesh_id}"] = self.deviation
        for shaft in self.shafts:
            if "position_tolerance" in shaft:
                radius = length(shaft["position_tolerance"]) / 2.0
                for axis in "xy":
                    self.places[f"position {axis} {shaft['id']}"] = Tolerance(-radius, radius)
        self.seats = {}
        for bearings in self.floats:
            self.seats |= bearings.contributors
        self.seat_signs = self.floats[0].opening() | self.floats[1].opening()
        self.strains = {}
        for solid in [*self.solids, *self.carrier.solids, *self._solids_of_floats()]:
            self.strains |= solid.contributors
        groups = (
            self.thickness,
            self.run_out,
            self.pitch,
            {name: spread for name, (_, spread) in self.lean.items()},
            self.opening,
            self.apart,
            self.distance,
            self.places,
            self.seats,
            self.strains,
        )
        self.contributors = {name: spread for group in groups for name, spread in group.items()}
        teeth = [g.teeth for g in self.drawn]
        self.phase_kept = teeth[0] == teeth[1] and len(self.run_out) == 2
        self.phase = None
        if self.phase_kept and "timed" in self.mesh:
            self.phase = quantities.value(self.mesh["timed"], "angle")

    def _solids_of_floats(self):
        solids = []
        for bearings in self.floats:
            if isinstance(bearings, Preload):
                solids += [bearings.case, bearings.shaft]
            for seat in bearings.seats:
                solids += [seat.rings] if seat.rings else []
                solids += [seat.housing] if seat.outer_fit else []
                solids += [seat.shaft] if seat.inner_fit else []
        return solids

    # A unit

    def carrier_state(self, state, draws):
        all_zones = [s.zones for s in self.train.states]
        if isinstance(self.carrier, Walls):
            middle = sum(self.at) / 2.0
            return self.carrier.state(state.zones, draws, all_zones, middle)
        return self.carrier.state(state.zones, draws, all_zones)

    def tilt(self, carrier_state):
        if carrier_state.lean is None:
            return 0.0
        return self.nominal_distance * carrier_state.lean

    def plays(self, state, draws):
        return [
            bearings.play(state.zones, draws, at) for bearings, at in zip(self.floats, self.at)
        ]

    def _drawn_distance(self, draws):
        if not self.places:
            return self.nominal_distance + sum(draws[name] for name in self.distance)
        one, two = (np.array([length(c) for c in shaft["at"]]) for shaft in self.shafts)
        along = (two - one) / np.linalg.norm(two - one)
        x, y = [self.nominal_distance * along[k] for k in (0, 1)]
        for shaft, sign in zip(self.shafts, (-1, 1)):
            if "position_tolerance" in shaft:
                x = x + sign * draws[f"position x {shaft['id']}"]
                y = y + sign * draws[f"position y {shaft['id']}"]
        return np.hypot(x, y)

    def lean_sum(self, draws):
        return sum(factor * draws[name] for name, (factor, _) in self.lean.items())

    def separation(self, state):
        given = self.mesh.get("separation")
        if given is None:
            return 0.0
        try:
            return length(given)
        except ValueError:
            compliance = quantities.value(given, "compliance")
            force = state.mesh_force.get(self.mesh["id"])
            return compliance * quantities.value(force, "force") * 1e3 if force else 0.0

    def run_out_half(self, draws, scales, summed):
        run_outs = [
            draws[f"F_r {entry['id']}"] * scale
            for entry, scale in zip(self.entries, scales)
            if f"F_r {entry['id']}" in self.run_out
        ]
        if self.phase_kept and not summed:
            one, two = run_outs
            phase = draws["phase"] if self.phase is None else self.phase
            return np.sqrt(one**2 + two**2 + 2.0 * one * two * np.cos(phase)) / 2.0
        return sum(run_outs) / 2.0

    def nominal_sine(self, state):
        """Of the working pressure angle with everything at its mid."""
        at = self.instant(state, self.mids, "nominal")
        return math.sqrt((at.apart - at.close) * (at.apart + at.close)) / at.apart

    def instant(self, state, draws, sides, lean=None, reach=None, distance=None, summed=False):
        """`lean` replaces |M|; `reach` takes an end of a friction joint's band of strains."""
        carrier = self.carrier_state(state, draws)
        strain = carrier.strain if reach is None else carrier.reach[reach]
        scales = [1.0 + solid.strain(state.zones, draws) for solid in self.solids]
        drawn_apart = self._drawn_distance(draws) if distance is None else distance
        apart = drawn_apart * (1.0 + strain) + sum(draws[name] for name in self.apart)
        close = sum(g.base_radius * e for g, e in zip(self.drawn, scales))
        on_float, on_run_out = SIDES[sides]
        play = sum(self.plays(state, draws))
        if on_run_out:
            apart = apart + on_run_out * self.run_out_half(draws, scales, summed)
        if sides.startswith("loaded"):
            apart = apart + play / 2.0 * self.nominal_sine(state) + self.separation(state)
        apart = apart + on_float * play / 2.0
        allowances = [draws.get(f"E_sn {entry['id']}", 0.0) for entry in self.entries]
        even, pitches = 0.0, []
        for gear, scale, allowance in zip(self.drawn, scales, allowances):
            thick = gear.thinned(0.0).base_half_angle * 2.0 * gear.base_radius
            widened = allowance * math.cos(gear.transverse_angle) / math.cos(gear.helix_angle)
            even = even - (thick + widened) * scale
            pitches.append(gear.base_pitch * scale)
        roll = np.sqrt((apart - close) * (apart + close)) / close
        even = even + pitches[1] + 2.0 * close * (roll - np.arctan(roll))
        if not sides.endswith("nominal"):
            normal = sum(draws[name] for name in self.opening)
            for entry, scale in zip(self.entries, scales):
                normal = normal - draws.get(f"f_pb {entry['id']}", 0.0) * scale
            if lean is None:
                lean = np.abs(self.lean_sum(draws) + self.tilt_share * self.tilt(carrier))
            normal = normal - lean
        else:
            normal = sum(draws[n] for n in self.opening if not n.startswith("wear "))
        even = even + normal / self.cos_helix
        return Instant(apart, tuple(scales), tuple(allowances), even, pitches[1] - pitches[0], close)

    def pair(self, at, tip=None):
        """The pair of gear_pair.py for one unit, and what deviations add to its gap."""
        gears = []
        for i, (gear, scale) in enumerate(zip(self.drawn, at.scales)):
            if tip is not None:
                low, high = self.train.tip_deviation(self.entries[i])
                off = {-1: high, 1: low}[tip]
                mid = (low + high) / 2.0
                diameter = 2.0 * gear.tip_radius + off - mid
                gear = dataclasses.replace(gear, tip_diameter=diameter)
            gears.append(gear.thinned(float(at.allowances[i])).grown(float(scale)))
        pair = Pair(*gears, float(at.apart))
        return pair, float(at.even) - pair.same_tooth_gap

    def cycle(self, pair):
        width = min(g.face_width * g.scale for g in (pair.gear_1, pair.gear_2))
        return gap_over_cycle(pair, width * pair.gear_1.base_helix_tangent)

    def exact(self, at, least, tip=None):
        """All measures, the mesh cycle worked out. `tip` as in `pair`."""
        pair, added = self.pair(at, tip)
        cycle = self.cycle(pair)
        return pair, self.measures_of(pair, (cycle.least if least else cycle.greatest) + added)

    @staticmethod
    def measures_of(pair, gap):
        return {
            "j_bt": gap,
            "j_wt": pair.circumferential(gap),
            "j_bn": pair.normal(gap),
            "j_r_iso": pair.radial_first_order(gap),
            "j_r": pair.radial_play(gap),
            "phi_1": gap / pair.gear_1.base_radius,
            "phi_2": gap / pair.gear_2.base_radius,
        }

    def with_share(self, at, share):
        """All measures but radial play, the mesh cycle as a share of the mismatch."""
        gap = at.even + share * np.abs(at.mismatch)
        return {
            "j_bt": gap,
            "j_wt": gap * at.apart / at.close,
            "j_bn": gap * self.cos_helix,
            "phi_1": gap / (self.drawn[0].base_radius * at.scales[0]),
            "phi_2": gap / (self.drawn[1].base_radius * at.scales[1]),
        }

    # Mid, ends

    @property
    def mids(self):
        return {name: spread.mid for name, spread in self.contributors.items()}

    @property
    def means(self):
        return {name: spread.mean for name, spread in self.contributors.items()}

    def strain_corners(self, spreads=None):
        """Every combination of the ends of elongations and strains, as arrays."""
        names = list(self.strains)
        ends = [((spreads or self.contributors)[n].low, (spreads or self.contributors)[n].high) for n in names]
        corners = list(itertools.product(*ends))
        columns = np.array(corners).reshape(len(corners), len(names)).T
        return dict(zip(names, columns)) if names else {}

    def end(self, state, sides, low, spreads=None):
        """The end of the band: Instants of all combinations, and what to hold the M at."""
        spreads = spreads or self.contributors
        wide_float = (SIDES[sides][0] < 0) == low if SIDES[sides][0] else not low
        wide_run_out = (SIDES[sides][1] < 0) == low
        draws = dict(self.strain_corners(spreads))

        def take(names, high):
            for name in names:
                draws[name] = spreads[name].high if high else spreads[name].low

        take(self.thickness, low)
        take(self.pitch, low)
        take([*self.opening, *self.apart, *self.distance], not low)
        take(self.run_out, wide_run_out)
        for name, sign in self.seat_signs.items():
            take([name], wide_float == (sign > 0))
        distance = None
        if self.places:
            zones = sum(
                spreads[f"position x {s['id']}"].high for s in self.shafts if "position_tolerance" in s
            )
            distance = self.nominal_distance + (-zones if low else zones)
        least = sum(
            min(f * spreads[n].low, f * spreads[n].high) for n, (f, _) in self.lean.items()
        )
        most = sum(max(f * spreads[n].low, f * spreads[n].high) for n, (f, _) in self.lean.items())
        tilt = self.tilt_share * self.tilt(self.carrier_state(state, draws))
        down, up = least + tilt, most + tilt
        if low:
            lean = np.maximum(np.abs(down), np.abs(up))
        else:
            lean = np.where((down <= 0) & (up >= 0), 0.0, np.minimum(np.abs(down), np.abs(up)))
        reach = 0 if low else 1
        return self.instant(state, draws, sides, lean, reach, distance, summed=True)

    def exact_end(self, state, sides, low, spreads=None, cycle_least=None):
        """Extreme of every measure over the combinations of elongations."""
        at = self.end(state, sides, low, spreads)
        columns = np.broadcast_arrays(
            at.apart, *at.scales, at.even, at.mismatch, at.close
        )
        columns = [np.atleast_1d(c) for c in columns]
        order = np.argsort(columns[3] if low else -columns[3], kind="stable")
        limit = float(np.max(np.abs(columns[4]))) + 1e-12
        best = columns[3][order[0]]
        chosen, seen = [], set()
        for k in order:
            key = tuple(round(float(c[k]), 12) for c in columns[:4])
            if key in seen or abs(columns[3][k] - best) > 6.0 * limit + 1e-3:
                continue
            seen.add(key)
            chosen.append(k)
            if len(chosen) == CHECKED_CLOSELY:
                break
        found = []
        least = low if cycle_least is None else cycle_least
        for k in chosen:
            unit = Instant(
                columns[0][k], (columns[1][k], columns[2][k]), at.allowances, columns[3][k],
                columns[4][k], columns[5][k],
            )
            # Longer tips lengthen the zone of action and lower the gap over the cycle.
            found.append(self.exact(unit, least, -1 if low else 1))
        pick = min if low else max
        return {
            key: None
            if any(m[key] is None for _, m in found)
            else pick(m[key] for _, m in found)
            for key in MEASURES
        }

    def shares(self, state):
        """Least and greatest of the mesh cycle over the mismatch, at the mid of everything."""
        at = self.instant(state, self.mids, "nominal")
        mismatch = abs(float(at.mismatch))
        if mismatch == 0.0:
            return 0.0, 0.0
        pair, _ = self.pair(at)
        cycle = self.cycle(pair)
        even = pair.same_tooth_gap
        return (cycle.least - even) / mismatch, (cycle.greatest - even) / mismatch

    # First order

    def sensitivities(self, state, sides, share):
        """Means of every measure, and for each contributor its derivative times sigma."""
        means = self.means
        carrier = self.carrier_state(state, means)
        lean_mean = self.lean_sum(means) + self.tilt_share * self.tilt(carrier)
        side = -1.0 if lean_mean < 0.0 else 1.0
        reach = 0 if sides == "least" else 1

        def measured(draws):
            lean = self.lean_sum(draws) + self.tilt_share * self.tilt(
                self.carrier_state(state, draws)
            )
            return self.with_share(
                # The phase that a pair of equal tooth numbers keeps counts in samples alone.
                self.instant(state, draws, sides, side * lean, reach, summed=True), share
            )

        parts = {}
        for name, spread in self.contributors.items():
            if spread.sigma == 0.0:
                continue
            step = 2e-3 * spread.sigma
            up, down = (measured(means | {name: means[name] + s * step}) for s in (1, -1))
            parts[name] = {
                key: (up[key] - down[key]) / (2.0 * step) * spread.sigma for key in up
            }
        return measured(means), parts

    def sampled(self, generator, count):
        draws = {n: s.sampled(generator, count) for n, s in self.contributors.items()}
        if self.phase_kept and self.phase is None:
            draws["phase"] = generator.uniform(0.0, 2.0 * math.pi, count)
        return draws
