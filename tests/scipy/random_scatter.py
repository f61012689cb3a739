"""Seeded scatter for a random train: tolerances of every distribution, bearings, preload, run-outs,
strains, expansion groups, walls and what else the input format knows of built units.
"""

import math

import quantities

CLASSES = ("C2", "CN", "C3", "C4")
HOLES, SHAFTS = ("H7", "JS7"), ("k6", "m6", "n6", "js6")
FIT_METALS = ("C45", "EN AC-43500", "EN-GJL-250", "S355")


class Scatter:
    """Adds to a file what its trains differ by. `ranges` gets what limits the temperatures."""

    def __init__(self, draw, zones, ranges, shipped):
        self.draw = draw
        self.zones = zones
        self.ranges = ranges
        self.shipped = shipped

    # Tolerances

    def spread(self, low, high):
        """A tolerance of lengths in m, of any form."""
        draw = self.draw
        form = draw.whole(0, 5)
        if form == 0 or high - low < 1e-7:
            return draw.written_band(low, high, "small length")
        if form == 5:
            return {"distribution": "tabulated", "table": self.table(low, high)}
        kind = ("normal", "truncated_normal", "uniform", "triangular")[form - 1]
        entry = {"band": draw.written_band(low, high, "small length"), "distribution": kind}
        return entry | self.shape(kind, low, high)

    def shape(self, kind, low, high):
        draw = self.draw
        if kind.endswith("normal") and draw.chance(0.6):
            return {"capability": round(draw.between(0.67, 2.0), 3)}
        if kind == "triangular" and draw.chance(0.6):
            return {"mode": draw.written(draw.between(low + 1e-8, high - 1e-8), "small length")}
        return {}

    def table(self, low, high):
        draw = self.draw
        points = draw.whole(2, 5)
        rows = []
        for i in range(points):
            place = low + (high - low) * i / (points - 1)
            rows.append([draw.written(place, "small length"), round(draw.between(0.1, 3.0), 3)])
        if points > 2:
            rows[0][1] = 0
        return rows

    def unsigned(self, limit):
        draw = self.draw
        form = draw.whole(0, 4)
        if form == 0:
            return draw.written(limit, "small length")
        if form == 1:
            kind = draw.one_of(("normal", "truncated_normal", "uniform", "triangular"))
            entry = {"limit": draw.written(limit, "small length"), "distribution": kind}
            return entry | self.shape(kind, 0.0, limit)
        if form == 2:
            low = limit * draw.between(0.0, 0.5)
            band = [draw.written(low, "small length"), draw.written(limit, "small length")]
            return {"band": band, "distribution": draw.one_of(("uniform", "truncated_normal"))}
        if form == 3:
            return {"distribution": "tabulated", "table": self.table(0.0, limit)}
        return {"limit": draw.written(limit, "small length"), "distribution": "uniform"}

    def signed(self, limit):
        draw = self.draw
        form = draw.whole(0, 2)
        if form == 0:
            return draw.written(limit, "small length")
        if form == 1:
            kind = draw.one_of(("normal", "truncated_normal", "uniform", "triangular"))
            return {"limit": draw.written(limit, "small length"), "distribution": kind}
        # Even, as a limit with sign is: as much either way.
        ends, middle = round(draw.between(0.0, 2.0), 3), round(draw.between(0.5, 3.0), 3)
        places = (draw.written(-limit, "small length", "um"), "0 um", draw.written(limit, "small length", "um"))
        return {
            "distribution": "tabulated",
            "table": [[place, f] for place, f in zip(places, (ends, middle, ends))],
        }

    def ratio_band(self, least, greatest):
        ends = sorted(self.draw.between(least, greatest) for _ in range(2))
        return [f"{100.0 * end:.6g} %" for end in ends]

    # Gears and meshes

    def gears(self, file):
        draw = self.draw
        moist = False
        for gear in file["gears"]:
            if "thickness_allowance" in gear and draw.chance(0.7):
                low, high = quantities.band(gear["thickness_allowance"], "length")
                gear["thickness_allowance"] = self.spread(low, high)
            if draw.chance(0.4):
                gear["accuracy_class"] = draw.whole(4, 9)
            if draw.chance(0.35):
                gear["run_out"] = self.unsigned(draw.between(5e-6, 40e-6))
            if draw.chance(0.35):
                gear["pitch_deviation"] = self.unsigned(draw.between(2e-6, 12e-6))
            if draw.chance(0.35):
                gear["helix_deviation"] = self.signed(draw.between(4e-6, 18e-6))
            if draw.chance(0.3):
                half = draw.between(0.0, 40e-6)
                gear["tip_diameter_deviation"] = draw.written_band(-half, half, "small length")
            if not moist and draw.chance(0.1):
                gear["moisture_strain"] = self.ratio_band(0.0002, 0.003)
                moist = True
            elif draw.chance(0.07):
                gear["permanent_strain"] = self.ratio_band(-0.0002, 0.0003)

    def meshes(self, file):
        draw = self.draw
        by_id = {gear["id"]: gear for gear in file["gears"]}
        for mesh in file["meshes"]:
            given = mesh.get("centre_distance", {})
            if "deviation" in given and draw.chance(0.6):
                low, high = quantities.band(given["deviation"], "length")
                given["deviation"] = self.spread(low, high)
            if draw.chance(0.3):
                axes = {"over": draw.written(draw.between(40e-3, 150e-3), "length")}
                keys = draw.shuffled(["f_sigma_delta", "f_sigma_beta"])
                for key in keys[: draw.whole(1, 2)]:
                    axes[key] = self.signed(draw.between(4e-6, 30e-6))
                mesh["axis_parallelism"] = axes
            if draw.chance(0.3):
                mesh["wear"] = self.unsigned(draw.between(2e-6, 30e-6))
            if draw.chance(0.3):
                mesh["separation"] = (
                    draw.written(draw.between(1e-6, 20e-6), "small length")
                    if draw.chance(0.5)
                    else f"{draw.between(0.002, 0.03):.4g} um/N"
                )
            if draw.chance(0.35):
                mesh["contributions"] = [
                    self.contribution(mesh, i) for i in range(draw.whole(1, 2))
                ]
            gears = [by_id[g] for g in mesh["gears"]]
            both = all("run_out" in g or "accuracy_class" in g for g in gears)
            if both and gears[0]["teeth"] == gears[1]["teeth"] and draw.chance(0.6):
                mesh["timed"] = draw.written(draw.between(0.0, 2.0 * math.pi), "angle", "deg")

    def contribution(self, mesh, i):
        draw = self.draw
        low = draw.between(-15e-6, 5e-6)
        return {
            "id": f"own {i + 1} of {mesh['id']}",
            "on": draw.one_of(("centre_distance", "normal_backlash")),
            "value": self.spread(low, low + draw.between(2e-6, 20e-6)),
        }

    # Shafts

    def solid(self):
        return {"material": self.metal(), "zone": self.draw.one_of(self.zones)}

    def metal(self):
        name = self.draw.one_of(FIT_METALS)
        self.ranges += [self.shipped[name].range, self.shipped[name].modulus_range]
        return name

    def bearing(self, at, material_of_shaft):
        draw = self.draw
        entry = {} if at is None else {"at": draw.written(at, "length", "mm")}
        form = draw.whole(0, 3)
        low = draw.between(0.0, 20e-6)
        plain = self.spread(low, low + draw.between(3e-6, 25e-6))
        if form == 0:
            return entry | {"clearance": plain}
        bore = draw.one_of((35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 70.0))
        entry |= {
            "bore": draw.written(bore * 1e-3, "length", "mm"),
            "outside_diameter": draw.written((bore * 1.3 + 22.0) * 1e-3, "length", "mm"),
            "clearance": draw.one_of(CLASSES) if draw.chance(0.6) else plain,
        }
        if form == 1:
            return entry
        entry |= {"material": "100Cr6", "zone": draw.one_of(self.zones)}
        steel = self.shipped["100Cr6"]
        self.ranges += [steel.range, steel.modulus_range]
        if draw.chance(0.4):
            outside = bore * 1.3 + 22.0
            entry["outer_raceway"] = draw.written((0.2 * bore + 0.79 * outside) * 1e-3, "length")
            entry["inner_raceway"] = draw.written((0.79 * bore + 0.2 * outside) * 1e-3, "length")
        if draw.chance(0.5):
            excess = round(draw.between(1.0, 12.0), 2)
            entry["inner_excess"] = f"{excess} K"
            self.ranges += [(low, high - excess) for low, high in (steel.range, steel.modulus_range)]
        if draw.chance(0.8):
            fit = {
                "bore": draw.one_of(HOLES) if draw.chance(0.6) else self.spread(-10e-6, 16e-6),
                "ring": self.spread(-14e-6, 0.0),
            }
            if draw.chance(0.5):
                fit["outside"] = draw.written((bore * 1.3 + 45.0) * 1e-3, "length")
            entry["outer_fit"] = fit
            if at is None or draw.chance(0.6):
                entry["seat"] = self.solid()
        if material_of_shaft and draw.chance(0.8):
            fit = {
                "shaft": draw.one_of(SHAFTS) if draw.chance(0.6) else self.spread(-4e-6, 14e-6),
                "ring": "normal" if draw.chance(0.5) else self.spread(-10e-6, 0.0),
            }
            if draw.chance(0.3):
                fit["shaft_bore"] = draw.written(0.4 * bore * 1e-3, "length")
            entry["inner_fit"] = fit
        return entry

    def shafts(self, file):
        """Bearings with a `seat` where the carriers' own solids may lack a modulus."""
        draw = self.draw
        for shaft in file["shafts"]:
            if not draw.chance(0.6):
                continue
            if draw.chance(0.7):
                shaft |= self.solid()
            if "material" in shaft and draw.chance(0.25):
                shaft["preload"] = {
                    "arrangement": "face_to_face",
                    "travel": draw.written(draw.between(0.0, 40e-6), "small length"),
                    "contact_angle": draw.written(draw.between(0.2, 0.7), "angle"),
                    "span": draw.written(draw.between(40e-3, 120e-3), "length"),
                    **self.solid(),
                }
                continue
            if draw.chance(0.6):
                places = draw.between(-60e-3, -20e-3), draw.between(20e-3, 60e-3)
            else:
                places = (None,)
            shaft["bearings"] = [self.bearing(at, "material" in shaft) for at in places]
            for bearing in shaft["bearings"]:
                if "outer_fit" in bearing and "seat" not in bearing:
                    bearing["seat"] = self.solid()

    def places(self, file):
        """Position tolerances, where every mesh of a shaft has places and no deviation."""
        draw = self.draw
        shaft_of = {gear["id"]: gear["shaft"] for gear in file["gears"]}
        placed = {shaft["id"] for shaft in file["shafts"] if "at" in shaft}
        for shaft in file["shafts"]:
            mine = [
                m for m in file["meshes"] if shaft["id"] in [shaft_of[g] for g in m["gears"]]
            ]
            free = all(
                {shaft_of[g] for g in m["gears"]} <= placed
                and "deviation" not in m.get("centre_distance", {})
                for m in mine
            )
            if free and mine and draw.chance(0.8):
                diameter = draw.between(4e-6, 50e-6)
                shaft["position_tolerance"] = draw.written(diameter, "small length")

    def gear_places(self, file):
        """Gears of a mesh stand at the same place; those of a shaft then stand at one too."""
        at = self.draw.between(-50e-3, 50e-3)
        for gear in file["gears"]:
            gear["at"] = self.draw.written(at, "length", "mm")

    # Solids

    def walls(self, file):
        draw = self.draw
        for entry in file["carriers"]:
            if entry["kind"] != "plain" or not draw.chance(0.4):
                continue
            first = {key: entry.pop(key) for key in ("kind", "material", "zone")}
            other = {"kind": "plain", **self.solid()}
            entry["kind"] = "walls"
            entry["walls"] = [
                {"at": draw.written(draw.between(-70e-3, -10e-3), "length", "mm"), **first},
                {"at": draw.written(draw.between(10e-3, 70e-3), "length", "mm"), **other},
            ]
            if draw.chance(0.5):
                entry["walls"].reverse()

    def strains(self, file):
        draw = self.draw
        for entry in file["carriers"]:
            solids = {
                "plain": [entry],
                "path": entry.get("segments"),
                "insert": [entry.get("insert"), entry.get("case")],
                "walls": entry.get("walls"),
            }[entry["kind"]]
            if draw.chance(0.3):
                draw.one_of(solids)["permanent_strain"] = self.ratio_band(-0.0002, 0.0004)

    def uncertainty(self, file):
        draw = self.draw
        used = sorted(
            {gear["material"] for gear in file["gears"]}
            | {c["material"] for c in file["carriers"] if "material" in c}
        )
        names = draw.shuffled(used)[:3]
        own = {record["id"]: record for record in file.get("materials", [])}
        groups = []
        if len(names) > 1 and draw.chance(0.5):
            kind = draw.one_of(("normal", "truncated_normal", "uniform", "triangular"))
            groups.append({"id": "alike", "materials": names[:2], "distribution": kind})
            names = names[2:]
        elif names and draw.chance(0.4):
            groups.append({"id": "single", "materials": names[:1]})
            names = names[1:]
        for group in groups:
            group["uncertainty"] = f"{draw.between(1.0, 8.0):.4g} %"
            if draw.chance(0.3) and group.get("distribution", "normal").endswith("normal"):
                group["capability"] = round(draw.between(0.8, 1.6), 3)
        for name in names:
            if name in own and draw.chance(0.5):
                own[name]["elongation"]["uncertainty"] = f"{draw.between(1.0, 6.0):.4g} %"
        if groups:
            file["expansion_groups"] = groups

    def add(self, file):
        draw = self.draw
        self.gears(file)
        self.meshes(file)
        self.gear_places(file)
        self.walls(file)
        self.shafts(file)
        self.places(file)
        if draw.chance(0.5):
            self.strains(file)
        if draw.chance(0.6):
            self.uncertainty(file)

    def forces(self, file):
        """Mesh forces of the conditions."""
        for condition in file.get("conditions", []):
            forces = {
                mesh["id"]: self.draw.written(self.draw.between(50.0, 3000.0), "force")
                for mesh in file["meshes"]
                if self.draw.chance(0.6)
            }
            if forces:
                condition["mesh_force"] = forces
