"""What the program must answer for an input file, worked out independently of it.

Results have the units of the program's JSON: mm, deg (alpha_wt), rad (phi), N.
"""

import dataclasses
import math

import numpy as np

import carrier as carriers
import commented_json
import quantities
from built_unit import MeshModel
from gear_pair import Gear
from solid_materials import Material
from tolerances import tolerance


# Of the difference of the base pitches: the statistics hold the share of the mesh cycle.
OVERLAP_SLACK = 0.1


def length(entry):
    return quantities.value(entry, "length") * 1e3


def length_band(entry):
    return tuple(1e3 * end for end in quantities.band(entry, "length"))


@dataclasses.dataclass(frozen=True)
class Band:
    nominal: float
    low: float
    high: float
    rss: tuple | None = None
    rss_slack: float = 0.0  # mm, or of what is measured where that is an angle


@dataclasses.dataclass(frozen=True)
class State:
    id: str
    zones: dict
    is_soak: bool = False
    mesh_force: dict = dataclasses.field(default_factory=dict)


@dataclasses.dataclass
class MeshState:
    values: dict
    bands: dict
    contact_ratio_low: float
    tip_clearance_low: float
    radii: dict  # of the bands that are angles: the arc is the angle times this
    tilt: float | None = None
    tilt_over_face: float | None = None
    extra: dict = dataclasses.field(default_factory=dict)


@dataclasses.dataclass
class Requirement:
    mesh: str
    what: str
    limit: float
    by_state: dict  # state id -> value judged
    basis: str
    lower_limit: bool

    @property
    def found(self):
        return (min if self.lower_limit else max)(self.by_state.values())

    @property
    def met(self):
        return self.found >= self.limit if self.lower_limit else self.found <= self.limit


class Train:
    def __init__(self, path, shipped_materials):
        self.file = commented_json.load(path)
        own = [Material(record) for record in self.file.get("materials", [])]
        self.materials = shipped_materials | {material.id: material for material in own}
        self.reference = quantities.level(self.file.get("reference_temperature", "20 degC"))
        self.gears = {gear["id"]: gear for gear in self.file["gears"]}
        self.shafts = {shaft["id"]: shaft for shaft in self.file["shafts"]}
        self.world = carriers.World(
            self.materials, self.reference, self.file.get("expansion_groups", ())
        )
        self.carriers = {
            entry["id"]: carriers.carrier(entry, self.world) for entry in self.file["carriers"]
        }
        self.states = self._states()

    def _states(self):
        zones = self.file["zones"]
        states = []
        for condition in self.file.get("conditions", []):
            given = {zone: quantities.level(t) for zone, t in condition["zones"].items()}
            everywhere = given.pop("all", None)
            states.append(
                State(
                    condition["id"],
                    {z: given.get(z, everywhere) for z in zones},
                    mesh_force=condition.get("mesh_force", {}),
                )
            )
        if "soak" in self.file:
            soak = self.file["soak"]
            first, last = quantities.level(soak["from"]), quantities.level(soak["to"])
            steps = soak["points"] - 1
            for i in range(steps + 1):
                at = first + (last - first) * i / steps
                states.append(State(f"soak {i}", dict.fromkeys(zones, at), is_soak=True))
        return states

    def drawn_gear(self, gear_id):
        entry = self.gears[gear_id]
        rack = entry.get("basic_rack", {})
        gear = Gear(
            teeth=entry["teeth"],
            module=length(entry["module"]),
            pressure_angle=quantities.value(entry["pressure_angle"], "angle"),
            helix_angle=quantities.value(entry.get("helix_angle", "0 deg"), "angle"),
            profile_shift=entry.get("profile_shift", 0.0),
            face_width=length(entry["face_width"]),
            tip_diameter=length(entry["tip_diameter"]) if "tip_diameter" in entry else None,
            addendum=rack.get("addendum", 1.0),
            dedendum=rack.get("dedendum", 1.25),
            allowance=0.0,
        )
        # The mid of the tip diameter's band is the nominal one.
        off = sum(self.tip_deviation(entry)) / 2.0
        return dataclasses.replace(gear, tip_diameter=2.0 * gear.tip_radius + off) if off else gear

    @staticmethod
    def tip_deviation(entry):
        if "tip_diameter_deviation" not in entry:
            return 0.0, 0.0
        return length_band(entry["tip_diameter_deviation"])

    def centre_distance(self, mesh):
        """Nominal and spread of the deviation, as drawn."""
        given = mesh.get("centre_distance", {})
        deviation = tolerance(given["deviation"]) if "deviation" in given else None
        if "nominal" in given:
            return length(given["nominal"]), deviation
        places = []
        for gear_id in mesh["gears"]:
            places.append([length(c) for c in self.shafts[self.gears[gear_id]["shaft"]]["at"]])
        return math.dist(*places), deviation

    def mids(self, carrier):
        spreads = {k: v for solid in carrier.solids for k, v in solid.contributors.items()}
        return {name: spread.mid for name, spread in spreads.items()}

    def carrier_states(self, carrier_id):
        """With every strain at its mid."""
        carrier = self.carriers[carrier_id]
        all_zones = [state.zones for state in self.states]
        mids = self.mids(carrier)
        return [carrier.state(zones, mids, all_zones) for zones in all_zones]

    def model(self, mesh, carrier_id):
        return MeshModel(self, mesh, self.carriers[carrier_id])

    def mesh_state(self, model, state):
        at_mid = model.instant(state, model.mids, "nominal")
        mid, nominal = model.exact(at_mid, least=True)
        ends = {
            (sides, low): model.exact_end(state, sides, low)
            for sides, low in (("least", True), ("greatest", False), ("bind", True))
        }
        bind_high = model.exact_end(state, "bind", False, cycle_least=True)
        shares = model.shares(state)
        rss = self.root_sum_squares(model, state, shares)
        # Where corners of the cycle overlap its share depends on where it is taken.
        overlap = any(abs(share - round(share)) > 1e-6 for share in shares)
        slack = OVERLAP_SLACK * abs(mid.mismatch) if overlap else 0.0
        bands = {
            key: Band(
                nominal[key],
                ends["least", True][key],
                ends["greatest", False][key],
                rss.get(key),
                slack / (getattr(mid, f"gear_{key[-1]}").base_radius if "phi" in key else 1.0),
            )
            for key in nominal
        }
        apart = model.exact(model.instant(state, model.mids, "bind nominal"), least=True)[1]
        bands["j_bind"] = Band(
            apart["j_bt"], ends["bind", True]["j_bt"], bind_high["j_bt"], rss.get("j_bind"), slack
        )
        for i, key in enumerate(("float_1", "float_2")):
            if model.has_float[i]:
                bands[key] = self.float_band(model, state, i)
        if any(model.has_float) or "separation" in model.mesh:
            loaded = model.exact(model.instant(state, model.mids, "loaded nominal"), least=True)[1]
            bands["j_wt_loaded"] = Band(
                loaded["j_wt"],
                model.exact_end(state, "loaded least", True)["j_wt"],
                model.exact_end(state, "loaded greatest", False)["j_wt"],
            )
        values = {
            "a": mid.apart,
            "alpha_wt": math.degrees(mid.working_angle),
            "eps_alpha": mid.contact_ratio,
            "eps_beta": mid.overlap_ratio,
            "c_1": mid.tip_clearance_1,
            "c_2": mid.tip_clearance_2,
            "base_pitch_mismatch": mid.mismatch,
        }
        tilt = None
        carrier_state = model.carrier_state(state, model.mids)
        if carrier_state.lean is not None:
            tilt = model.tilt(carrier_state)
        return MeshState(
            values,
            bands,
            contact_ratio_low=self.contact_ratio_low(model, state),
            tip_clearance_low=self.tip_clearance_low(model, state),
            radii={"phi_1": mid.gear_1.base_radius, "phi_2": mid.gear_2.base_radius},
            tilt=tilt,
            tilt_over_face=None if tilt is None else tilt * model.width,
        )

    @staticmethod
    def corners(at):
        """The combinations of elongations of an end, one unit each."""
        columns = np.broadcast_arrays(at.apart, *at.scales, at.even, at.mismatch, at.close)
        for k in range(columns[0].size):
            a, e_1, e_2, even, mismatch, close = (float(np.ravel(c)[k]) for c in columns)
            yield dataclasses.replace(
                at, apart=a, scales=(e_1, e_2), even=even, mismatch=mismatch, close=close
            )

    def tip_clearance_low(self, model, state):
        pairs = [model.pair(at, -1)[0] for at in self.corners(model.end(state, "least", True))]
        return min(min(p.tip_clearance_1, p.tip_clearance_2) for p in pairs)

    def contact_ratio_low(self, model, state):
        """It falls as the axes move apart, whatever the thickness of the teeth."""
        ends = self.corners(model.end(state, "greatest", False))
        return min(model.pair(at, 1)[0].contact_ratio for at in ends)

    @staticmethod
    def float_band(model, state, i):
        corners = model.strain_corners()

        def at(high):
            draws = dict(corners)
            for name, sign in model.seat_signs.items():
                spread = model.contributors[name]
                draws[name] = spread.high if (sign > 0) == high else spread.low
            return model.floats[i].play(state.zones, draws, model.at[i])

        nominal = float(model.floats[i].play(state.zones, model.mids, model.at[i]))
        return Band(nominal, float(np.min(at(False))), float(np.max(at(True))))

    @staticmethod
    def root_sum_squares(model, state, shares):
        """Mean less three sigma of the least, mean and three sigma of the greatest."""
        found = {}
        for sides, share in (("least", shares[0]), ("greatest", shares[1]), ("bind", shares[0])):
            mean, parts = model.sensitivities(state, sides, share)
            for key, at in mean.items():
                found[sides, key] = float(at), math.sqrt(sum(float(p[key]) ** 2 for p in parts.values()))
        bands = {}
        for key in ("j_bt", "j_wt", "j_bn", "phi_1", "phi_2"):
            (low, below), (high, above) = found["least", key], found["greatest", key]
            bands[key] = low - 3.0 * below, high + 3.0 * above
        at, sigma = found["bind", "j_bt"]
        bands["j_bind"] = at - 3.0 * sigma, at + 3.0 * sigma
        return bands

    def requirements(self, mesh, states):
        """The rows that the mesh must get; `states` are pairs of state id and MeshState."""
        asked = mesh.get("require", {})
        basis = asked.get("basis", "worst_case")
        worst = basis == "worst_case"
        rows = []

        def row(what, limit, judged, lower_limit):
            by_state = {state_id: judged(at) for state_id, at in states}
            rows.append(Requirement(mesh["id"], what, limit, by_state, basis, lower_limit))

        def low_end(name):
            return lambda at: at.bands[name].low if worst else at.bands[name].nominal

        def high_end(name):
            return lambda at: at.bands[name].high if worst else at.bands[name].nominal

        running = length(asked["minimum_running_gap"]) if "minimum_running_gap" in asked else 0.0
        least_asked = False
        for what, name in (("least_backlash", "j_wt"), ("least_normal_backlash", "j_bn")):
            if what in asked:
                row(what, length(asked[what]) + running, low_end(name), True)
                least_asked = True
        if running > 0.0 and not least_asked:
            # Alone it is a requirement of least backlash by itself.
            row("least_backlash", running, low_end("j_wt"), True)
        for what, name in (("greatest_backlash", "j_wt"), ("greatest_normal_backlash", "j_bn")):
            if what in asked:
                row(what, length(asked[what]), high_end(name), False)
        if "least_tip_clearance" in asked:
            row(
                "least_tip_clearance",
                length(asked["least_tip_clearance"]),
                lambda at: (
                    at.tip_clearance_low if worst else min(at.values["c_1"], at.values["c_2"])
                ),
                True,
            )
        if "least_contact_ratio" in asked:
            row(
                "least_contact_ratio",
                asked["least_contact_ratio"],
                lambda at: at.contact_ratio_low if worst else at.values["eps_alpha"],
                True,
            )
        row("no_binding", 0.0, low_end("j_bind"), True)
        return rows
