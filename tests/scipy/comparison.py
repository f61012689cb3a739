"""One train: the program's answers against the recomputed ones."""

import math

import quantities

# Asked of every length: a thousandth of what any gauge shows, a thousand times what rounding of
# doubles makes of lengths under a metre (1e-13 mm).
LENGTH_TOLERANCE = 1e-9  # mm
# Asked of what is made of derivatives, which are differences here.
RSS_TOLERANCE = 1e-8  # mm
# Asked of all other numbers.
RELATIVE_TOLERANCE = 1e-9
# Contact and overlap ratios near zero cannot be better than the lengths they are made of: they
# count relative to one tooth.
RATIO_FLOOR = 1.0
# Forces count relative to the largest of the train; where no joint touches, to one newton.
FORCE_FLOOR = 1.0  # N
# Levels are read and written only; converting from kelvin or degF costs rounding.
LEVEL_TOLERANCE = 1e-9  # K
# The level in the name of a point of the sweep is rounded for reading.
NAME_TOLERANCE = 0.01  # K

VALUES = {
    "a": ("mm", "length"),
    "c_1": ("mm", "length"),
    "c_2": ("mm", "length"),
    "base_pitch_mismatch": ("mm", "length"),
    "alpha_wt": ("deg", "angle"),
}
BAND_UNITS = {
    "j_wt": "mm",
    "j_bt": "mm",
    "j_bn": "mm",
    "j_r": "mm",
    "j_r_iso": "mm",
    "phi_1": "rad",
    "phi_2": "rad",
    "j_bind": "mm",
    "float_1": "mm",
    "float_2": "mm",
    "j_wt_loaded": "mm",
}


def basis_of(mesh):
    return mesh.get("require", {}).get("basis", "worst_case")


def forces_of(carrier_states):
    """Every force that is answered: on first loading, and the reach of a friction joint."""
    forces = []
    for state in carrier_states:
        if state.joint_force is not None:
            forces.append(state.joint_force)
            forces += state.force_reach or ()
    return forces


def force_tolerance(carrier_states):
    return RELATIVE_TOLERANCE * max([FORCE_FLOOR, *map(abs, forces_of(carrier_states))])


class Comparison:
    def __init__(self, tally, name, train):
        self.tally = tally
        self.name = name
        self.train = train
        self.meshes = train.file["meshes"]
        self.expected = {entry["id"]: self._expect(entry["id"]) for entry in train.file["carriers"]}

    def _expect(self, carrier_id):
        """Carrier states, mesh states by mesh id, and requirement rows for a carrier."""
        carrier_states = self.train.carrier_states(carrier_id)
        by_mesh, rows = {}, []
        for mesh in self.meshes:
            model = self.train.model(mesh, carrier_id)
            states = [self.train.mesh_state(model, state) for state in self.train.states]
            by_mesh[mesh["id"]] = states
            rows += self.train.requirements(mesh, list(enumerate(states)))
        return carrier_states, by_mesh, rows

    # One state

    def band(self, where, found, expected, unit, tolerance):
        tally = self.tally
        tally.same(f"{where} unit", found["unit"], unit)
        kind = "length" if unit == "mm" else "rotation"
        low, high = found["worst_case"]
        tally.close(kind, f"{where} nominal", found["nominal"], expected.nominal, tolerance)
        tally.close(kind, f"{where} low", low, expected.low, tolerance)
        tally.close(kind, f"{where} high", high, expected.high, tolerance)
        if expected.rss is not None:
            allowed = tolerance * RSS_TOLERANCE / LENGTH_TOLERANCE + expected.rss_slack
            if "rss" not in found:
                tally.same(f"{where} rss is there", False, True)
                return
            for end, have, want in zip(("low", "high"), found["rss"], expected.rss):
                tally.close(f"rss {kind}", f"{where} rss {end}", have, want, allowed)

    def mesh_state(self, where, found, expected):
        tally = self.tally
        for key, value in expected.values.items():
            if key in VALUES:
                unit, kind = VALUES[key]
                tolerance = LENGTH_TOLERANCE if kind == "length" else RELATIVE_TOLERANCE * value
                tally.quantity(kind, f"{where} {key}", found[key], value, unit, tolerance)
            else:
                tolerance = RELATIVE_TOLERANCE * max(RATIO_FLOOR, abs(value))
                tally.close("ratio", f"{where} {key}", found[key], value, tolerance)
        tally.same(f"{where} cycle_resolved", found["cycle_resolved"], True)
        for key, band in expected.bands.items():
            if None in (band.nominal, band.low, band.high):
                tally.covered["no radial play"] += 1
                tally.same(f"{where} {key}", key in found, False)
                continue
            tolerance = LENGTH_TOLERANCE
            if key in expected.radii:
                # An angle is as good as the arc that it is made of.
                arc = LENGTH_TOLERANCE / expected.radii[key]
                tolerance = max(arc, RELATIVE_TOLERANCE * abs(band.high))
            self.band(f"{where} {key}", found[key], band, BAND_UNITS[key], tolerance)

    def carrier_state(self, where, found, expected, tolerance):
        for key, kind, unit, allowed in (
            ("joint_force", "force", "N", tolerance),
            ("squeeze_left", "length", "mm", LENGTH_TOLERANCE),
            ("stretch_left", "length", "mm", LENGTH_TOLERANCE),
        ):
            value = getattr(expected, key)
            if value is None:
                self.tally.same(f"{where} {key}", key in found, False)
            else:
                self.tally.quantity(kind, f"{where} {key}", found[key], value, unit, allowed)

    def state_names(self, found_states):
        """Conditions by their id; points of the sweep as "soak", the level and its unit."""
        tally = self.tally
        names = []
        for found, state in zip(found_states, self.train.states):
            name = found["condition"]
            where = f"{self.name} {name}"
            names.append(name)
            if state.is_soak:
                word, level = name.split(" ", 1)
                tally.same(where, word, "soak")
                at = next(iter(state.zones.values()))
                tally.close("name of a state", where, quantities.level(level), at, NAME_TOLERANCE)
            else:
                tally.same(where, name, state.id)
            for zone, level in state.zones.items():
                tally.quantity(
                    "temperature",
                    f"{where} {zone}",
                    found["temperatures"][zone],
                    level,
                    "degC",
                    LEVEL_TOLERANCE,
                )
        return names

    # All states

    def requirements(self, where, found_rows, expected_rows, names):
        tally = self.tally
        found_by_key = {(row["mesh"], row["what"]): row for row in found_rows}
        keys = sorted((row.mesh, row.what) for row in expected_rows)
        tally.same(f"{where} rows", sorted(found_by_key), keys)
        tally.same(f"{where} number of rows", len(found_rows), len(expected_rows))
        for row in expected_rows:
            found = found_by_key.get((row.mesh, row.what))
            if found is not None:
                self.requirement(f"{where} {row.mesh} {row.what}", found, row, names)

    def requirement(self, where, found, row, names):
        tally = self.tally
        tally.same(f"{where} basis", found["basis"], row.basis)
        limit, value = found["limit"], found["found"]
        tolerance = RELATIVE_TOLERANCE * RATIO_FLOOR
        if row.what != "least_contact_ratio":
            tally.same(f"{where} units", (limit["unit"], value["unit"]), ("mm", "mm"))
            limit, value = limit["value"], value["value"]
            tolerance = LENGTH_TOLERANCE
        tally.close("limit", f"{where} limit", limit, row.limit, tolerance)
        tally.close("found", f"{where} found", value, row.found, tolerance)
        # Several states may share the extreme; the one named must be one of them.
        named = dict(zip(names, row.by_state.values()))[found["condition"]]
        tally.close("found", f"{where} at {found['condition']}", named, row.found, tolerance)
        # At the very limit either verdict is right.
        if abs(row.found - row.limit) > tolerance:
            tally.same(f"{where} met", found["met"], row.met)
            tally.covered["met" if row.met else "not met"] += 1
        judged = value >= limit if row.lower_limit else value <= limit
        tally.same(f"{where} verdict on its own numbers", found["met"], judged)

    def extremes(self, where, found, mesh, states, names):
        """`least` and `greatest`: the states with the lowest low end and the highest high end."""
        tally = self.tally
        bands = [state.bands["j_wt"] for state in states]
        worst = basis_of(mesh) == "worst_case"
        lows = [band.low if worst else band.nominal for band in bands]
        highs = [band.high if worst else band.nominal for band in bands]
        for key, ends, extreme in (("least", lows, min(lows)), ("greatest", highs, max(highs))):
            name = found[key]["condition"]
            at = names.index(name)
            tally.close("found", f"{where} {key} at {name}", ends[at], extreme, LENGTH_TOLERANCE)
            self.band(f"{where} {key}", found[key]["j_wt"], bands[at], "mm", LENGTH_TOLERANCE)

    def backlash(self, found, status, carrier_id):
        """The answer of `backlash`. Returns the names of the states."""
        tally = self.tally
        carrier_states, by_mesh, rows = self.expected[carrier_id]
        tally.same(f"{self.name} analysis", found["analysis"], "backlash")
        tally.same(f"{self.name} carrier", found["carrier"], carrier_id)
        ids = [mesh["id"] for mesh in self.meshes]
        tally.same(f"{self.name} meshes", [mesh["id"] for mesh in found["meshes"]], ids)
        tally.same(f"{self.name} failures", found.get("failures", []), [])
        tolerance = force_tolerance(carrier_states)
        names = []
        for mesh, found_mesh in zip(self.meshes, found["meshes"]):
            states = by_mesh[mesh["id"]]
            where = f"{self.name} {mesh['id']}"
            tally.same(f"{where} gears", found_mesh["gears"], mesh["gears"])
            tally.same(f"{where} number of states", len(found_mesh["states"]), len(states))
            names = self.state_names(found_mesh["states"])
            for i, found_state in enumerate(found_mesh["states"]):
                here = f"{where} {names[i]}"
                self.mesh_state(here, found_state, states[i])
                self.carrier_state(here, found_state, carrier_states[i], tolerance)
                self.count(states[i], carrier_states[i])
            self.extremes(where, found_mesh, mesh, states, names)
        self.requirements(self.name, found["requirements"], rows, names)
        all_met = all(row["met"] for row in found["requirements"])
        tally.same(f"{self.name} exit status", status, 0 if all_met else 1)
        tally.covered[f"exit status {status}"] += 1
        return names

    def count(self, at, carrier):
        """What the comparison has covered."""
        covered = self.tally.covered
        teeth = "helical" if at.values["eps_beta"] > 0.0 else "spur"
        even = at.values["base_pitch_mismatch"] == 0.0
        covered[f"{teeth} {'without' if even else 'with'} mismatch"] += 1
        covered["gap negative"] += at.bands["j_bt"].low < 0.0
        if carrier.force_reach is not None:
            low, high = carrier.force_reach
            covered["friction joint with a band of forces"] += high > low
        for left in (carrier.squeeze_left, carrier.stretch_left):
            if left is not None:
                covered["stop reached" if left < 0.0 else "stop not reached"] += 1

    def carriers(self, found, status, names):
        """The answer of `carriers`."""
        tally = self.tally
        in_use = self.train.file["carrier"]
        ids = [entry["id"] for entry in self.train.file["carriers"]]
        tally.same(f"{self.name} analysis", found["analysis"], "carriers")
        tally.same(f"{self.name} carriers", [row["carrier"] for row in found["rows"]], ids)
        for row in found["rows"]:
            where = f"{self.name} carriers {row['carrier']}"
            tally.same(f"{where} in_use", row["in_use"], row["carrier"] == in_use)
            carrier_states, by_mesh, rows = self.expected[row["carrier"]]
            for mesh, found_mesh in zip(self.meshes, row["meshes"], strict=True):
                here = f"{where} {mesh['id']}"
                tally.same(here, found_mesh["id"], mesh["id"])
                states = by_mesh[mesh["id"]]
                self.extremes(here, found_mesh, mesh, states, names)
                self.swing(here, found_mesh["swing"], states)
            self.joint_summary(where, row, carrier_states)
            self.requirements(where, row["requirements"], rows, names)
            tally.same(f"{where} met", row["met"], all(r["met"] for r in row["requirements"]))
            if row["carrier"] == in_use:
                tally.same(f"{where} exit status", status, 0 if row["met"] else 1)

    def swing(self, where, found, states):
        """What temperature alone does to the nominal gap."""
        nominals = [state.bands["j_wt"].nominal for state in states]
        swing = max(nominals) - min(nominals)
        self.tally.quantity("length", f"{where} swing", found, swing, "mm", LENGTH_TOLERANCE)

    def joint_summary(self, where, row, carrier_states):
        """The extremes of the joint's force over all states, and the least left of each stop."""
        tally = self.tally
        forces = forces_of(carrier_states)
        if not forces:
            tally.same(f"{where} joint_force", "joint_force" in row, False)
        else:
            found = row["joint_force"]
            tolerance = force_tolerance(carrier_states)
            tally.same(f"{where} joint_force unit", found["unit"], "N")
            tally.close("force", f"{where} least force", found["low"], min(forces), tolerance)
            tally.close("force", f"{where} greatest force", found["high"], max(forces), tolerance)
        for key in ("squeeze_left", "stretch_left"):
            left = [getattr(state, key) for state in carrier_states]
            here = f"{where} {key}"
            if left[0] is None:
                tally.same(here, key in row, False)
            else:
                tally.quantity("length", here, row[key], min(left), "mm", LENGTH_TOLERANCE)
