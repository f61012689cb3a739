"""Thermal networks of whole input files, integrated by SciPy from the file itself.

Nothing of the program is used but its answer: the file is read here, every heat input is worked out
here (bearing torque of Palmgren, viscosity of ASTM D341, tooth loss factor of Ohlendorf in the form
of ISO/TR 14179-2, all from memory as in the program's docs), and the balance of heat is integrated
by Radau (scipy.integrate). Every body's temperature is compared at every moment that the program
tells, of a repeated history over the first three cycles.
"""

import argparse
import math
import pathlib
import subprocess
import sys

import numpy
import scipy.integrate

import commented_json
import quantities

# The program's answer is good to the 1e-4 K that a file asks for by default. Radau's own tolerance is
# far below, but it steps over the corners of thermostats and tables, which costs it about as much.
AGREEMENT_IN_KELVIN = 2e-4
RADAU_TOLERANCE = 1e-9


def si(text):
    """The SI value of a quantity of any kind; levels in degC."""
    number, unit_text = quantities.split(text)
    if unit_text in ("degC", "degF", "K"):
        return quantities.level(text)
    factor, power_of_pi, _ = quantities.unit(unit_text)
    return float(number) * float(factor) * math.pi**power_of_pi


class Schedule:
    """Piecewise linear; two points at one time are a jump."""

    def __init__(self, entry):
        points = [["0 s", entry]] if not isinstance(entry, list) else entry
        self.times = [si(point[0]) for point in points]
        self.values = [si(point[1]) if isinstance(point[1], str) else point[1] for point in points]

    def at(self, time):
        after = numpy.searchsorted(self.times, time, side="right")
        if after == 0:
            return self.values[0]
        if after == len(self.times):
            return self.values[-1]
        t0, t1 = self.times[after - 1], self.times[after]
        share = (time - t0) / (t1 - t0)
        return self.values[after - 1] * (1.0 - share) + self.values[after] * share


def table(entry):
    """A property over degC: one value or a table."""
    if isinstance(entry, str):
        constant = si(entry)
        return lambda level: constant
    if isinstance(entry, dict):
        constant = si(entry["value"])
        return lambda level: constant
    levels = [si(row[0]) for row in entry]
    values = [si(row[1]) for row in entry]
    return lambda level: float(numpy.interp(level, levels, values))


def viscosity_of(points):
    """Kinematic viscosity in mm2/s over degC: the Walther line, above 2 mm2/s."""

    def ordinate(viscosity):
        return math.log10(math.log10(viscosity + 0.7))

    (t0, v0), (t1, v1) = [(si(row[0]) + 273.15, si(row[1]) * 1e6) for row in points]
    slope = (ordinate(v0) - ordinate(v1)) / (math.log10(t1) - math.log10(t0))
    intercept = ordinate(v0) + slope * math.log10(t0)
    return lambda level: 10 ** 10 ** (intercept - slope * math.log10(level + 273.15)) - 0.7


def bearing_power(entry, viscosity, speed):
    """Watts at the speed in rad/s."""
    turns = speed * 30.0 / math.pi
    diameter = si(entry["mean_diameter"]) * 1e3
    factor = max((viscosity * turns) ** (2.0 / 3.0), 160.0)
    return 1e-7 * entry["f_0"] * factor * diameter**3 * 1e-3 * speed


def tooth_loss_factor(design, mesh):
    """H_V of the pair at the reference temperature, spur or helical, without allowances."""
    gears = {gear["id"]: gear for gear in design["gears"]}
    one, two = (gears[name] for name in mesh["gears"])
    shafts = {shaft["id"]: shaft for shaft in design["shafts"]}
    distance = mesh.get("centre_distance", {}).get("nominal")
    if distance:
        a = si(distance)
    else:
        ends = [[si(x) for x in shafts[gear["shaft"]]["at"]] for gear in (one, two)]
        a = math.dist(*ends)
    beta = si(one.get("helix_angle", "0 deg"))
    alpha_t = math.atan(math.tan(si(one["pressure_angle"])) / math.cos(beta))
    module = si(one["module"])

    def radii(gear):
        d = gear["teeth"] * module / math.cos(beta)
        return d / 2 * math.cos(alpha_t), d / 2 + module * (1.0 + gear.get("profile_shift", 0.0))

    (b1, a1), (b2, a2) = radii(one), radii(two)
    alpha_wt = math.acos((b1 + b2) / a)
    pitch = 2.0 * math.pi * b1 / one["teeth"]
    parts = [
        (math.sqrt(tip**2 - base**2) - base * math.tan(alpha_wt)) / pitch
        for base, tip in ((b1, a1), (b2, a2))
    ]
    beta_b = math.atan(math.tan(beta) * math.cos(alpha_t))
    sum_of_squares = sum(part**2 for part in parts)
    return (
        math.pi
        * (1.0 / one["teeth"] + 1.0 / two["teeth"])
        / math.cos(beta_b)
        * (1.0 - sum(parts) + sum_of_squares)
    )


class Machine:
    """The network of a file with one of its histories."""

    def __init__(self, design, history, materials):
        network = design["thermal_network"]
        self.bodies = [body["id"] for body in network["bodies"]]
        self.boundaries = [one["id"] for one in network.get("boundaries", [])]
        self.schedules = {
            name: Schedule(entry) for name, entry in history.get("boundaries", {}).items()
        }
        self.capacities = []
        for body in network["bodies"]:
            if "capacity" in body:
                capacity = si(body["capacity"])
                self.capacities.append(lambda level, c=capacity: c)
            else:
                heat = table(materials[body["material"]]["specific_heat"])
                mass = si(body["mass"])
                self.capacities.append(lambda level, m=mass, c=heat: m * c(level))
        self.conductances = [self.conductance(one, materials) for one in network["conductances"]]
        oil = network.get("oil")
        self.streams = []
        for stream in network.get("streams", []):
            if "capacity_rate" in stream:
                rate = si(stream["capacity_rate"])
            else:
                source = stream if "density" in stream else oil
                rate = (
                    si(stream["volume_flow"]) * si(source["density"]) * si(source["specific_heat"])
                )
            self.streams.append((stream["from"], stream["to"], rate))
        self.inputs = [
            self.heat_input(entry, design, history, oil) for entry in network["heat_inputs"]
        ]
        self.cycle = si(history["duration"])
        start = history["start"]
        self.start = [si(start.get(name, start.get("all"))) for name in self.bodies]

    @staticmethod
    def conductance(entry, materials):
        first, second = entry["between"]
        if "conductance" in entry:
            value = si(entry["conductance"])
            law = lambda mean: value
        elif "heat_transfer_coefficient" in entry:
            value = si(entry["heat_transfer_coefficient"]) * si(entry["area"])
            law = lambda mean: value
        else:
            conductivity = table(materials[entry["material"]]["conductivity"])
            shape = si(entry["area"]) / si(entry["length"])
            law = lambda mean: conductivity(mean) * shape
        thermostat = entry.get("thermostat")
        if not thermostat:
            return first, second, law, None, None
        levels = [si(point[0]) for point in thermostat["opening"]]
        openings = [point[1] for point in thermostat["opening"]]
        return (
            first,
            second,
            law,
            thermostat["feels"],
            lambda level: float(numpy.interp(level, levels, openings)),
        )

    @staticmethod
    def heat_input(entry, design, history, oil):
        """The body, and watts over cycle time and the oil's temperature."""
        into = entry["into"]
        if "bearing_on" in entry:
            speed = Schedule(history["shaft_speed"][entry["bearing_on"]])
            viscosity = viscosity_of(oil["viscosity"])
            return into, lambda t, level: bearing_power(entry, viscosity(level), speed.at(t))
        if "mesh" in entry:
            mesh = next(one for one in design["meshes"] if one["id"] == entry["mesh"])
            factor = tooth_loss_factor(design, mesh) * entry["friction_coefficient"]
            power = Schedule(history["shaft_power"][entry["shaft"]])
            return into, lambda t, level: factor * power.at(t)
        if "share" in entry:
            power = Schedule(history["shaft_power"][entry["shaft"]])
            return into, lambda t, level: entry["share"] * power.at(t)
        given = history.get("heat", {}).get(entry["id"], entry.get("power"))
        power = Schedule(given)
        return into, lambda t, level: power.at(t)

    def corners(self, history):
        times = {0.0, self.cycle}
        for key in ("boundaries", "shaft_speed", "shaft_power", "heat"):
            for entry in history.get(key, {}).values():
                times |= {t for t in Schedule(entry).times if 0.0 < t < self.cycle}
        return sorted(times)

    def rates(self, time, levels, oil_body):
        at = dict(zip(self.bodies, levels))
        for name, schedule in self.schedules.items():
            at[name] = schedule.at(time)
        gain = dict.fromkeys(at, 0.0)
        for first, second, law, feels, opening in self.conductances:
            heat = law(0.5 * (at[first] + at[second])) * (at[first] - at[second])
            heat *= opening(at[feels]) if feels else 1.0
            gain[first] -= heat
            gain[second] += heat
        for source, sink, rate in self.streams:
            gain[sink] += rate * (at[source] - at[sink])
        for into, power in self.inputs:
            gain[into] += power(time, at[oil_body] if oil_body else 0.0)
        return [
            gain[name] / capacity(at[name]) for name, capacity in zip(self.bodies, self.capacities)
        ]

    def temperatures(self, history, oil_body, times):
        """By moment, then by body."""
        result = numpy.empty((len(times), len(self.bodies)))
        corners = self.corners(history)
        levels = numpy.array(self.start)
        cycle_start = 0.0
        while cycle_start < times[-1]:
            for begin, end in zip(corners, corners[1:]):
                # A hair inside, so that the values at a jump are those of this side.
                inside = 1e-9 * (end - begin)
                solved = scipy.integrate.solve_ivp(
                    lambda t, y: self.rates(min(max(t, begin + inside), end - inside), y, oil_body),
                    (begin, end),
                    levels,
                    method="Radau",
                    rtol=RADAU_TOLERANCE,
                    atol=RADAU_TOLERANCE,
                    dense_output=True,
                    max_step=(end - begin) / 20.0,
                )
                if not solved.success:
                    raise RuntimeError(solved.message)
                for i, time in enumerate(times):
                    if cycle_start + begin <= time <= cycle_start + end:
                        result[i] = solved.sol(time - cycle_start)
                levels = solved.y[:, -1]
            cycle_start += self.cycle
        return result


def check(example, program, materials):
    """The largest difference over every network history of an example."""
    design = commented_json.load(example)
    answer = subprocess.run(
        [program, "warmup", str(example), "--format", "json", "--no-verdict"],
        check=True,
        capture_output=True,
    )
    result = commented_json.loads(answer.stdout.decode())
    oil_body = design["thermal_network"].get("oil", {}).get("body")
    worst = 0.0
    compared = 0
    for history in result["histories"]:
        given = next(one for one in design["histories"] if one["id"] == history["id"])
        if "file" in given:
            continue
        machine = Machine(design, given, materials)
        times = numpy.array(history["times"]["values"])
        kept = times <= 3.0 * machine.cycle
        expected = machine.temperatures(given, oil_body, times[kept])
        for place in history["places"]:
            if place["kind"] != "body":
                continue
            found = numpy.array(place["temperature"]["values"])[kept]
            column = expected[:, machine.bodies.index(place["id"])]
            difference = float(numpy.max(numpy.abs(found - column)))
            compared += len(found)
            worst = max(worst, difference)
            if not difference <= AGREEMENT_IN_KELVIN:
                print(f"{example}: {history['id']}, {place['id']}: off by {difference:.3g} K")
    return worst, compared


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lashband", required=True)
    parser.add_argument("--materials", required=True, type=pathlib.Path)
    parser.add_argument("--examples", required=True, type=pathlib.Path)
    options = parser.parse_args()
    materials = {}
    for file in options.materials.glob("*.json"):
        record = commented_json.load(file)
        materials[record["id"]] = record
    worst = 0.0
    compared = 0
    for example in sorted(options.examples.glob("*/train.json")):
        off, count = check(example, options.lashband, materials)
        print(f"{example.parent.name}: {count} temperatures, largest difference {off:.3g} K")
        worst = max(worst, off)
        compared += count
    if compared == 0:
        sys.exit("no temperature was compared")
    if not worst <= AGREEMENT_IN_KELVIN:
        sys.exit(f"the largest difference is {worst:.3g} K, allowed are {AGREEMENT_IN_KELVIN} K")


if __name__ == "__main__":
    main()
