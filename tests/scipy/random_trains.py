"""Seeded random gear trains as input files: every kind of carrier, material, unit and train that
the input format knows. The trains are invented; their values are drawn, not designed.
"""

import json
import math
import random
from fractions import Fraction

import quantities
from gear_pair import Gear, Pair, involute, inverse_involute
from random_scatter import Scatter

# Seeds of the scatter, apart from those of the trains.
SCATTER_SEEDS = 900000

# How a quantity may be written; all of these are exact in quantities.py.
WRITTEN_IN = {
    "length": ("mm", "mm", "um", "\u00b5m", "cm", "m", "in", "inch", "thou", "ft"),
    "small length": ("um", "um", "\u00b5m", "\u03bcm", "mm", "nm", "thou", "in"),
    "module": ("mm", "mm", "mm", "um", "m"),
    "area": ("mm2", "mm^2", "mm\u00b2", "cm2", "m2", "in2", "mm mm", "mm*cm", "mm \u00b7 mm"),
    "angle": ("deg", "deg", "deg", "rad", "arcmin", "mrad", "arcsec"),
    "per_kelvin": ("1/K", "1/K", "um/(m K)", "\u00b5m/(m\u00b7K)", "mm/(m K)", "1/kK"),
    "pressure": ("GPa", "GPa", "MPa", "N/mm2", "kN/mm^2", "psi", "Pa", "bar"),
    "stiffness": ("N/m", "kN/mm", "N/um", "N/mm", "MN/m", "lbf/in"),
    "force": ("N", "kN", "lbf", "MN"),
    "speed": ("rpm", "rad/s", "rev/min", "deg/s"),
}
KIND = {"small length": "length", "module": "length"}

CARRIER_METALS = (
    *("EN AC-43500", "EN AC-46000", "A356.0", "EN AW-6082", "EN AW-6061", "EN AW-5083"),
    *("EN AW-7075", "AZ91D", "EN-GJL-250", "EN-GJS-400-15", "C45", "S355", "X5CrNi18-10"),
    *("FeNi36", "Ti-6Al-4V"),
)
GEAR_MATERIALS = (
    *("16MnCr5", "18CrNiMo7-6", "42CrMo4", "SAE 8620", "100Cr6", "C45", "X5CrNi18-10"),
    *("EN-GJS-500-7", "Ti-6Al-4V", "POM-C", "PA66"),
)


class Draw:
    """Draws made of random() alone, which gives the same numbers in every version of Python."""

    def __init__(self, seed):
        self._random = random.Random(seed)

    def between(self, low, high):
        return low + (high - low) * self._random.random()

    def whole(self, low, high):
        return low + int(self._random.random() * (high - low + 1))

    def chance(self, share):
        return self._random.random() < share

    def one_of(self, choices):
        return choices[int(self._random.random() * len(choices))]

    def shuffled(self, items):
        keyed = [(self._random.random(), i) for i in range(len(items))]
        return [items[i] for _, i in sorted(keyed)]

    def written(self, si_value, kind, unit=None):
        """The value as text in some unit, rounded to ten digits: the text is what counts."""
        unit = unit or self.one_of(WRITTEN_IN[kind])
        factor, power_of_pi, _ = quantities.unit(unit)
        number = si_value / (float(factor) * math.pi**power_of_pi)
        return f"{number:.10g} {unit}"

    def written_level(self, degrees):
        unit = self.one_of(("degC", "degC", "degC", "degF", "K"))
        exact = Fraction(f"{degrees:.6g}")
        if unit == "degF":
            exact = exact * 9 / 5 + 32
        elif unit == "K":
            exact += Fraction("273.15")
        return f"{float(exact):.12g} {unit}"

    def written_band(self, low, high, kind):
        if low == -high and self.chance(0.7):
            return self.one_of(("\u00b1", "+-")) + self.written(high, kind)
        return [self.written(low, kind), self.written(high, kind)]


class OwnMaterials:
    """Materials defined in the input file, of every form of elongation."""

    def __init__(self, draw):
        self.draw = draw
        self.records = {}

    def add(self):
        draw = self.draw
        identity = f"invented {len(self.records) + 1}"
        low, high = draw.between(-90.0, -60.0), draw.between(160.0, 220.0)
        coefficient = draw.between(9e-6, 26e-6)
        forms = (self.mean, self.table, self.polynomial, self.pieces, self.polynomial_pieces)
        record = {
            "id": identity,
            "family": "invented",
            "range": [draw.written_level(low), draw.written_level(high)],
            "elongation": draw.one_of(forms)(coefficient, low, high),
            "youngs_modulus": self.modulus(low, high),
            "sources": {"all": "invented for a test"},
        }
        if draw.chance(0.3):
            record["standard"] = "invented"
            record["confidence"] = {"all": draw.one_of(("seen", "memory", "derived"))}
        self.records[identity] = record
        return identity

    def mean(self, coefficient, _low, _high):
        return {"mean_coefficient": self.draw.written(coefficient, "per_kelvin")}

    def table(self, coefficient, low, high):
        draw = self.draw
        points = draw.whole(2, 6)
        levels = [low - 5.0 + (high - low + 10.0) * i / (points - 1) for i in range(points)]
        slope = draw.between(1e-9, 8e-9)
        rows = [
            [draw.written_level(t), draw.written(coefficient + slope * (t - 20.0), "per_kelvin")]
            for t in levels
        ]
        return {"table": rows}

    def coefficients(self, coefficient, of):
        """Of a curve with the slope `coefficient` at 20 degC, not always zero there."""
        draw = self.draw
        at = 20.0 if of == "degC" else 293.15
        curvature = draw.between(1e-9, 8e-9)
        cubic = draw.between(-4e-12, 4e-12)
        slope = coefficient - 2.0 * curvature * at - 3.0 * cubic * at * at
        offset = draw.one_of((0.0, draw.between(-3e-3, 3e-3)))
        zero = offset - slope * at - curvature * at**2 - cubic * at**3
        return [float(f"{c:.9g}") for c in (zero, slope, curvature, cubic)]

    def polynomial(self, coefficient, _low, _high):
        of = self.draw.one_of(("degC", "K"))
        return {"polynomial": self.coefficients(coefficient, of), "of": of}

    def pieces(self, coefficient, low, high):
        """Different forms below and above 20 degC."""
        forms = (self.mean, self.table, self.polynomial)
        cold = self.draw.one_of(forms)(coefficient * self.draw.between(0.85, 1.0), low, 20.0)
        hot = self.draw.one_of(forms)(coefficient, 20.0, high)
        outer = self.draw.written_level
        return {
            "pieces": [
                {"range": [outer(low - 1.0), "20 degC"], **cold},
                {"range": [outer(20.0), outer(high + 1.0)], **hot},
            ]
        }

    def polynomial_pieces(self, coefficient, low, high):
        """One curve in two polynomials that meet away from 20 degC and share their zero."""
        joint = float(f"{self.draw.between(60.0, 110.0):.4g}")
        first = self.coefficients(coefficient, "degC")
        at_joint = sum(c * joint**k for k, c in enumerate(first))
        slope = coefficient * self.draw.between(1.0, 1.2)
        curvature = self.draw.between(1e-9, 6e-9)
        second = [at_joint - slope * joint - curvature * joint**2, slope, curvature]
        return {
            "pieces": [
                {
                    "range": [f"{low - 1.0:.6g} degC", f"{joint:.6g} degC"],
                    "polynomial": first,
                    "of": "degC",
                },
                {
                    "range": [f"{joint:.6g} degC", f"{high + 1.0:.6g} degC"],
                    "polynomial": [float(f"{c:.12g}") for c in second],
                    "of": "degC",
                },
            ]
        }

    def modulus(self, low, high):
        draw = self.draw
        value = draw.between(45e9, 215e9)
        form = draw.whole(0, 2)
        if form == 0:
            return draw.written(value, "pressure")
        if form == 1:
            spread = {"value": value, "low": 0.95 * value, "high": 1.04 * value}
            return {key: draw.written(v, "pressure") for key, v in spread.items()}
        levels = (low - 2.0, 20.0, draw.between(60.0, 120.0), high + 2.0)
        return [
            [draw.written_level(t), draw.written(value * (1.0 - 3e-4 * (t - 20.0)), "pressure")]
            for t in levels
        ]


class TrainMaker:
    def __init__(self, seed, shipped, scattering=False):
        self.draw = Draw(seed)
        self.shipped = shipped
        self.own = OwnMaterials(self.draw)
        self.ranges = [(-55.0, 155.0)]
        self.scatter = None
        self.zones = self.draw.shuffled(["gears", "pinion", "case", "plate", "sump"])
        self.zones = self.zones[: self.draw.whole(1, 5)]
        self.most_meshes, self.most_conditions, self.most_points = 5, 5, 9
        if scattering:
            self.scatter = Scatter(Draw(seed + SCATTER_SEEDS), self.zones, self.ranges, shipped)
            # Every state of such a train costs the program much more.
            self.most_meshes, self.most_conditions, self.most_points = 2, 2, 2

    # Solids

    def material(self, names, modulus_needed=False):
        draw = self.draw
        if draw.chance(0.3):
            if self.own.records and draw.chance(0.5):
                return draw.one_of(list(self.own.records))
            return self.own.add()
        name = draw.one_of(names)
        while modulus_needed and "youngs_modulus" not in self.shipped[name].record:
            name = draw.one_of(names)
        self.ranges.append(self.shipped[name].range)
        if modulus_needed:
            self.ranges.append(self.shipped[name].modulus_range)
        return name

    def solid(self, names, modulus_needed=False):
        return {
            "material": self.material(names, modulus_needed),
            "zone": self.draw.one_of(self.zones),
        }

    # Carriers

    def plain(self):
        return {"kind": "plain", **self.solid(CARRIER_METALS)}

    def path(self):
        parts = self.draw.whole(1, 4)
        shares = [round(self.draw.between(0.2, 1.0) / parts, 4) for _ in range(parts - 1)]
        shares.append(round(1.0 - sum(shares), 4))
        segments = [{**self.solid(CARRIER_METALS), "share": share} for share in shares]
        return {"kind": "path", "segments": segments}

    def held_part(self):
        draw = self.draw
        part = self.solid(CARRIER_METALS, modulus_needed=True)
        if draw.chance(0.25):
            part["stiffness"] = draw.written(draw.between(2e8, 4e9), "stiffness")
        else:
            part["section"] = draw.written(draw.between(500e-6, 4000e-6), "area")
        return part

    def stop(self):
        return self.draw.written(self.draw.between(0.0, 150e-6), "small length")

    def joint(self):
        draw = self.draw
        kind = draw.one_of(("rigid", "elastic", "clearance", "clearance", "friction"))
        joint = {"kind": kind}
        if kind == "clearance":
            form = draw.whole(0, 3)
            if form == 0:
                joint["clearance"] = self.stop()
            elif form == 1:
                joint |= {"squeeze": self.stop(), "stretch": "none"}
            elif form == 2:
                joint |= {"squeeze": "none", "stretch": self.stop()}
            else:
                joint |= {"squeeze": self.stop(), "stretch": self.stop()}
        elif kind == "friction":
            joint["slip_force"] = draw.written(draw.between(2e3, 90e3), "force")
        if kind == "elastic" or (kind != "rigid" and draw.chance(0.5)):
            joint["stiffness"] = draw.written(draw.between(3e7, 3e9), "stiffness")
        return joint

    def insert(self):
        draw = self.draw
        entry = {"kind": "insert", "insert": self.held_part(), "case": self.held_part()}
        entry["joint"] = self.joint()
        stiffness_given = any("stiffness" in entry[part] for part in ("insert", "case", "joint"))
        needed = entry["joint"]["kind"] in ("elastic", "clearance") or stiffness_given
        if needed or draw.chance(0.5):
            entry["locating_span"] = draw.written(draw.between(0.1, 0.6), "length")
        return entry

    def carriers(self):
        kinds = self.draw.shuffled([self.plain, self.path, self.insert, self.insert, self.insert])
        count = self.draw.whole(1, 4)
        return [{"id": f"carrier {i + 1}", **kinds[i]()} for i in range(count)]

    # Gears

    def tooth_system(self):
        """What both gears of a mesh share, as written."""
        draw = self.draw
        helical = draw.chance(0.5)
        module = draw.one_of((1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0))
        angle = draw.one_of((20.0, 20.0, 20.0, 17.5, 22.5, 25.0))
        system = {
            "module": draw.written(module * 1e-3, "module"),
            "pressure_angle": draw.written(math.radians(angle), "angle"),
        }
        if helical:
            helix = draw.between(5.0, 32.0)
            system["helix_angle"] = draw.written(math.radians(helix), "angle")
        if draw.chance(0.25):
            system["basic_rack"] = {
                "addendum": draw.one_of((0.8, 0.95, 1.0, 1.05)),
                "dedendum": draw.one_of((1.2, 1.25, 1.35)),
                "fillet_radius": draw.one_of((0.2, 0.25, 0.38)),
            }
        elif draw.chance(0.1):
            system["basic_rack"] = {"dedendum": 1.4}
        return system

    def gear(self, identity, shaft, system, hand):
        draw = self.draw
        entry = {"id": identity, "shaft": shaft, "teeth": draw.whole(19, 75), **system}
        if "helix_angle" in system:
            entry["hand"] = hand
        if draw.chance(0.7):
            entry["profile_shift"] = float(f"{draw.between(-0.15, 0.5):.4g}")
        entry["face_width"] = draw.written(draw.between(8e-3, 40e-3), "length")
        form = draw.whole(0, 3)
        if form > 0:
            high = draw.between(-100e-6, 0.0)
            low = high - draw.between(0.0, 60e-6)
            entry["thickness_allowance"] = [
                draw.written(low, "small length"),
                draw.written(high, "small length"),
            ]
        entry |= self.solid(GEAR_MATERIALS)
        if draw.chance(0.3):
            gear = drawn(entry)
            cut_back = draw.between(0.0, 0.15) * gear.module
            entry["tip_diameter"] = draw.written(2e-3 * (gear.tip_radius - cut_back), "length")
        return entry

    def meshes_and_gears(self):
        """Meshes of a new shaft with one that is there, at times with a gear of a mesh before."""
        draw = self.draw
        gears, meshes = [], []
        shafts = ["shaft 1"]
        for i in range(draw.whole(1, self.most_meshes)):
            shaft = f"shaft {i + 2}"
            here = [g for g in gears if g["shaft"] == shafts[-1]]
            if here and draw.chance(0.4):
                driver = draw.one_of(here)
                system = {k: driver[k] for k in TOOTH_SYSTEM_KEYS if k in driver}
                hand = driver.get("hand", "left")
            else:
                system = self.tooth_system()
                hand = draw.one_of(("left", "right"))
                driver = self.gear(f"gear {len(gears) + 1}", draw.one_of(shafts), system, hand)
                gears.append(driver)
            other = "left" if hand == "right" else "right"
            driven = self.gear(f"gear {len(gears) + 1}", shaft, system, other)
            if self.scatter is not None and draw.chance(0.2):
                # Such a pair keeps the phase of its run-outs.
                driven["teeth"] = driver["teeth"]
                driven.pop("tip_diameter", None)
            if draw.chance(0.15):
                # Nearly the same width: the warmer gear may become the wider one.
                width = quantities.value(driver["face_width"], "length")
                driven["face_width"] = draw.written(width * draw.between(0.9995, 1.0005), "length")
            gears.append(driven)
            shafts.append(shaft)
            pair = [driver["id"], driven["id"]]
            if draw.chance(0.3):
                pair.reverse()
            mesh = {"id": f"mesh {i + 1}", "gears": pair, "shafts": (driver["shaft"], shaft)}
            meshes.append(mesh)
            if not clean(driver, driven):
                # Corners that reach into a root are outside what is compared: same growth then.
                driven |= {"material": driver["material"], "zone": driver["zone"]}
        return shafts, gears, meshes

    def place(self, shafts, gears, meshes):
        """Centre distances from places of the shafts, or given, or a mixture."""
        draw = self.draw
        by_id = {gear["id"]: gear for gear in gears}
        everywhere = draw.chance(0.4)
        somewhere = draw.chance(0.5)
        places = {shafts[0]: (0.0, 0.0)}
        for mesh in meshes:
            gear_1, gear_2 = (by_id[g] for g in mesh["gears"])
            distance = round(free_distance(gear_1, gear_2) + draw.between(0.0, 0.12), 4)
            here, there = mesh.pop("shafts")
            centre_distance = {}
            at = places.get(here)
            if at is not None and (everywhere or (somewhere and draw.chance(0.5))):
                direction = draw.between(-math.pi, math.pi)
                places[there] = (
                    round(at[0] + distance * math.cos(direction), 5),
                    round(at[1] + distance * math.sin(direction), 5),
                )
            else:
                centre_distance["nominal"] = draw.written(distance * 1e-3, "length", "mm")
            if draw.chance(0.75):
                half = draw.between(2e-6, 35e-6)
                low = -half if draw.chance(0.7) else half - draw.between(10e-6, 60e-6)
                low = min(low, half)
                centre_distance["deviation"] = draw.written_band(low, half, "small length")
            if centre_distance:
                mesh["centre_distance"] = centre_distance
        entries = []
        for shaft in shafts:
            entry = {"id": shaft}
            if shaft in places and len(places) > 1:
                entry["at"] = [draw.written(c * 1e-3, "length", "mm") for c in places[shaft]]
            entries.append(entry)
        return entries

    def require(self, mesh):
        draw = self.draw
        if not draw.chance(0.8):
            return
        require = {}
        lengths = {
            "least_backlash": (0.0, 120e-6),
            "greatest_backlash": (200e-6, 700e-6),
            "least_normal_backlash": (0.0, 90e-6),
            "greatest_normal_backlash": (200e-6, 700e-6),
            "least_tip_clearance": (50e-6, 500e-6),
            "minimum_running_gap": (5e-6, 40e-6),
        }
        for key, (low, high) in lengths.items():
            if draw.chance(0.4):
                require[key] = draw.written(draw.between(low, high), "small length")
        if draw.chance(0.4):
            require["least_contact_ratio"] = float(f"{draw.between(1.0, 1.6):.4g}")
        if draw.chance(0.5):
            require["basis"] = draw.one_of(("nominal", "worst_case"))
        if require:
            mesh["require"] = require

    # Temperatures

    def common_range(self):
        return max(low for low, _ in self.ranges), min(high for _, high in self.ranges)

    def temperatures(self, file):
        draw = self.draw
        low, high = self.common_range()
        # Levels are rounded when written; stay clear of the ends unless at them.
        inner_low, inner_high = low + 0.5, high - 0.5

        def level():
            if draw.chance(0.05):
                return draw.one_of((low, high))
            return draw.between(inner_low, inner_high)

        if draw.chance(0.35):
            file["reference_temperature"] = draw.written_level(
                float(f"{draw.between(max(inner_low, 10.0), min(inner_high, 35.0)):.3g}")
            )
        conditions = []
        for i in range(draw.whole(0, self.most_conditions)):
            zones = {}
            if draw.chance(0.5):
                zones["all"] = draw.written_level(level())
                left = [zone for zone in self.zones if draw.chance(0.5)]
            else:
                left = self.zones
            for zone in draw.shuffled(left):
                zones[zone] = draw.written_level(level())
            condition = {"id": f"condition {i + 1}", "zones": zones}
            if draw.chance(0.3):
                condition["speed"] = draw.written(draw.between(10.0, 800.0), "speed")
            conditions.append(condition)
        if conditions:
            file["conditions"] = conditions
        if not conditions or draw.chance(0.6):
            ends = [float(f"{level():.4g}") for _ in range(2)]
            first = min(max(min(ends), low), high - 1.0)
            last = min(max(max(ends), first + 1.0), high)
            file["soak"] = {
                "from": draw.written_level(first),
                "to": draw.written_level(last),
                "points": draw.whole(2, self.most_points),
            }

    def file(self, title):
        draw = self.draw
        file = {"lashband": 1, "title": title}
        file["zones"] = self.zones
        file["carriers"] = self.carriers()
        file["carrier"] = draw.one_of(file["carriers"])["id"]
        shafts, gears, meshes = self.meshes_and_gears()
        file["shafts"] = self.place(shafts, gears, meshes)
        file["gears"] = gears
        for mesh in meshes:
            self.require(mesh)
        file["meshes"] = meshes
        if self.own.records:
            file["materials"] = list(self.own.records.values())
        if self.scatter is not None:
            self.scatter.add(file)
        self.temperatures(file)
        if self.scatter is not None:
            self.scatter.forces(file)
        return file


TOOTH_SYSTEM_KEYS = ("module", "pressure_angle", "helix_angle", "basic_rack")


def drawn(entry):
    """The gear of an entry at the mid of its allowance."""
    rack = entry.get("basic_rack", {})
    low, high = quantities.band(entry.get("thickness_allowance", ["0 um", "0 um"]), "length")
    tip = entry.get("tip_diameter")
    return Gear(
        teeth=entry["teeth"],
        module=quantities.value(entry["module"], "length") * 1e3,
        pressure_angle=quantities.value(entry["pressure_angle"], "angle"),
        helix_angle=quantities.value(entry.get("helix_angle", "0 rad"), "angle"),
        profile_shift=entry.get("profile_shift", 0.0),
        face_width=1.0,
        tip_diameter=None if tip is None else quantities.value(tip, "length") * 1e3,
        addendum=rack.get("addendum", 1.0),
        dedendum=rack.get("dedendum", 1.25),
        allowance=(low + high) / 2.0 * 1e3,
    )


def free_distance(entry_1, entry_2):
    """The centre distance without gap when both gears are full."""
    gear_1, gear_2 = (drawn(entry).thinned(0.0) for entry in (entry_1, entry_2))
    close = gear_1.base_radius + gear_2.base_radius
    half_thick = sum(gear.base_radius * gear.base_half_angle for gear in (gear_1, gear_2))
    rolled = (2.0 * half_thick - gear_2.base_pitch) / (2.0 * close)
    return close / math.cos(inverse_involute(max(rolled, involute(math.radians(3.0)))))


def clean(entry_1, entry_2):
    """Tips stay well above the other's base circle, and the contact ratio well above 1."""
    gear_1, gear_2 = drawn(entry_1), drawn(entry_2)
    pair = Pair(gear_1, gear_2, free_distance(entry_1, entry_2) + 0.06)
    margin = 0.25 * gear_1.module
    return (
        pair.base_tangent - gear_1.base_radius * gear_1.tip_roll > margin
        and pair.base_tangent - gear_2.base_radius * gear_2.tip_roll > margin
        and pair.contact_ratio > 1.2
    )


def text_of(file, draw):
    """The file as JSON text with comments strewn in."""
    lines = json.dumps(file, indent=2, ensure_ascii=draw.chance(0.5)).split("\n")
    commented = ["// an invented train, made for a test"]
    for line in lines:
        if draw.chance(0.03):
            line += draw.one_of(("  // \"not\": a key", "  /* neither\n  \"this\" */"))
        commented.append(line)
    return "\n".join(commented) + "\n"


def train_file(seed, shipped, scattering=False):
    """The train of a seed, as the structure of its file; with built units that differ, or not."""
    return TrainMaker(seed, shipped, scattering).file(f"invented train {seed}")
