"""What the program must answer for an input file, worked out independently of it.

Results have the units of the program's JSON: mm, deg (alpha_wt), rad (phi), N.
"""

import dataclasses
import math

import carrier as carriers
import commented_json
import quantities
from gear_pair import Gear, Pair
from mesh_cycle import gap_over_cycle
from solid_materials import Material

def length(entry):
    return quantities.value(entry, "length") * 1e3


def length_band(entry):
    return tuple(1e3 * end for end in quantities.band(entry, "length"))


@dataclasses.dataclass(frozen=True)
class Band:
    nominal: float
    low: float
    high: float


@dataclasses.dataclass(frozen=True)
class State:
    id: str
    zones: dict
    is_soak: bool = False


@dataclasses.dataclass
class MeshState:
    values: dict
    bands: dict
    contact_ratio_low: float
    tip_clearance_low: float
    radii: dict  # of the bands that are angles: the arc is the angle times this


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
        self.carriers = {
            entry["id"]: carriers.carrier(entry, self.materials) for entry in self.file["carriers"]
        }
        self.states = self._states()

    def _states(self):
        zones = self.file["zones"]
        states = []
        for condition in self.file.get("conditions", []):
            given = {zone: quantities.level(t) for zone, t in condition["zones"].items()}
            everywhere = given.pop("all", None)
            states.append(State(condition["id"], {z: given.get(z, everywhere) for z in zones}))
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
        return Gear(
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

    def centre_distance(self, mesh):
        """Nominal and band of the deviation, as drawn."""
        given = mesh.get("centre_distance", {})
        deviation = length_band(given["deviation"]) if "deviation" in given else (0.0, 0.0)
        if "nominal" in given:
            return length(given["nominal"]), deviation
        places = []
        for gear_id in mesh["gears"]:
            places.append([length(c) for c in self.shafts[self.gears[gear_id]["shaft"]]["at"]])
        return math.dist(*places), deviation

    def carrier_states(self, carrier_id):
        carrier = self.carriers[carrier_id]
        travels = [carrier.free_travel(state.zones, self.reference) for state in self.states]
        envelope = (min(travels, default=0.0), max(travels, default=0.0))
        return [carrier.state(state.zones, self.reference, envelope) for state in self.states]

    def mesh_state(self, mesh, state, carrier_state):
        scales, allowances, drawn = [], [], []
        for gear_id in mesh["gears"]:
            entry = self.gears[gear_id]
            material = self.materials[entry["material"]]
            elongation = material.elongation(state.zones[entry["zone"]], self.reference)
            scales.append(1.0 + elongation)
            allowances.append(
                length_band(entry["thickness_allowance"])
                if "thickness_allowance" in entry
                else (0.0, 0.0)
            )
            drawn.append(self.drawn_gear(gear_id))
        nominal_distance, deviation = self.centre_distance(mesh)

        def pair(end, strain):
            """end -1: teeth thickest, axes nearest; 0: mid of every band; +1: the other way."""
            gears = []
            for gear, (low, high), scale in zip(drawn, allowances, scales):
                allowance = {-1: high, 0: (low + high) / 2.0, 1: low}[end]
                gears.append(gear.thinned(allowance).grown(scale))
            off = {-1: deviation[0], 0: sum(deviation) / 2.0, 1: deviation[1]}[end]
            return Pair(*gears, (nominal_distance + off) * (1.0 + strain))

        mid = pair(0, carrier_state.strain)
        tight = pair(-1, carrier_state.reach[0])
        loose = pair(1, carrier_state.reach[1])

        def extremes(at):
            width = min(g.face_width * g.scale for g in (at.gear_1, at.gear_2))
            return gap_over_cycle(at, width * at.gear_1.base_helix_tangent)

        mid_cycle = extremes(mid)
        tight_cycle, loose_cycle = extremes(tight), extremes(loose)

        def measured(measure):
            """One measure of the gap at the mid and at both ends of the worst case."""
            return Band(
                measure(mid, mid_cycle.least),
                measure(tight, tight_cycle.least),
                measure(loose, loose_cycle.greatest),
            )

        bands = {
            "j_bt": measured(lambda p, g: g),
            "j_wt": measured(Pair.circumferential),
            "j_bn": measured(Pair.normal),
            "j_r_iso": measured(Pair.radial_first_order),
            "j_r": measured(Pair.radial_play),
            "phi_1": measured(lambda p, g: g / p.gear_1.base_radius),
            "phi_2": measured(lambda p, g: g / p.gear_2.base_radius),
            "j_bind": Band(mid_cycle.least, tight_cycle.least, loose_cycle.least),
        }
        values = {
            "a": mid.apart,
            "alpha_wt": math.degrees(mid.working_angle),
            "eps_alpha": mid.contact_ratio,
            "eps_beta": mid.overlap_ratio,
            "c_1": mid.tip_clearance_1,
            "c_2": mid.tip_clearance_2,
            "base_pitch_mismatch": mid.mismatch,
        }
        return MeshState(
            values,
            bands,
            # It falls as the axes move apart, whatever the thickness of the teeth.
            contact_ratio_low=loose.contact_ratio,
            tip_clearance_low=min(tight.tip_clearance_1, tight.tip_clearance_2),
            radii={"phi_1": mid.gear_1.base_radius, "phi_2": mid.gear_2.base_radius},
        )

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
