#!/usr/bin/python3
"""Integrates thermal networks anew with SciPy's stiff methods and compares every temperature.

Nothing is shared with the library but the definition of the network in its header: the networks
come as JSON from the program heat_cases, together with the temperatures that the library found.
Linear networks must agree to what the integrator leaves, others to the accuracy that was asked for.

  heat_network.py --cases PROGRAM --work FOLDER
"""

import argparse
import json
import pathlib
import subprocess
import sys

import numpy as np
from scipy.integrate import solve_ivp

# Radau at rtol 1e-10 on levels of some 100 degC, over some ten stretches.
INTEGRATOR = {"method": "Radau", "rtol": 1e-10, "atol": 1e-10}
LINEAR_TOLERANCE = 1e-8  # K


def schedule(table, time, before):
    """The value at a time, at a jump the one after it or before it."""
    times, values = table["times"], table["values"]
    side = "left" if before else "right"
    i = int(np.searchsorted(times, time, side))
    if i == 0:
        return values[0]
    if i == len(times):
        return values[-1]
    share = (time - times[i - 1]) / (times[i] - times[i - 1])
    return values[i - 1] + share * (values[i] - values[i - 1])


def table(points, x):
    xs, ys = zip(*points)
    return float(np.interp(x, xs, ys))


def rates(case, begin, end, time, T):
    """dT/dt between two kinks; at the ends with the schedules' values inside."""

    def now(of):
        return schedule(of, time, before=time >= end) if time > begin else schedule(of, begin, False)

    boundaries = [now(one) for one in case["boundaries"]]

    def level(place):
        kind, index = place
        return T[index] if kind == "body" else boundaries[index]

    def opening(of):
        thermostat = of["thermostat"]
        return 1.0 if thermostat is None else table(thermostat["points"], level(thermostat["feels"]))

    shares = {}
    for throttle in case["throttles"]:
        shares[throttle["of"], throttle["index"]] = now(throttle["share"])

    heat = np.zeros(len(case["bodies"]))
    for one in case["inputs"]:
        heat[one["body"]] += now(one["power"])
    for one in case["churning"]:
        heat[one["body"]] += one["power"] * np.exp(-(T[one["feels"]] - one["from"]) / one["width"])
    for i, one in enumerate(case["conductances"]):
        first, second = level(one["first"]), level(one["second"])
        if "value" in one:
            conductance = one["value"]
        else:
            conductance = one["area_over_length"] * table(one["conductivity"], (first + second) / 2)
        flow = conductance * opening(one) * shares.get(("conductances", i), 1.0) * (first - second)
        if one["first"][0] == "body":
            heat[one["first"][1]] -= flow
        if one["second"][0] == "body":
            heat[one["second"][1]] += flow
    for i, one in enumerate(case["streams"]):
        rate = one["rate"] * opening(one) * shares.get(("streams", i), 1.0)
        heat[one["to"][1]] += rate * (level(one["from"]) - level(one["to"]))
    for i, one in enumerate(case["bodies"]):
        if "capacity" in one:
            heat[i] /= one["capacity"]
        else:
            heat[i] /= one["mass"] * table(one["specific_heat"], T[i])
    return heat


def greatest_difference(case):
    state = np.array(case["start"])
    times = np.array(case["times"])
    expected = np.array(case["temperatures"])
    greatest = 0.0
    compared = 0
    for begin, end in zip(case["kinks"], case["kinks"][1:]):
        inside = (times > begin) & (times <= end)
        solution = solve_ivp(
            lambda time, T, begin=begin, end=end: rates(case, begin, end, time, T),
            (begin, end),
            state,
            t_eval=np.unique(np.append(times[inside], end)),
            **INTEGRATOR,
        )
        if not solution.success:
            sys.exit(f"{case['name']}: {solution.message}")
        state = solution.y[:, -1]
        for column, time in enumerate(solution.t):
            for row in np.flatnonzero(times == time):
                greatest = max(greatest, np.abs(solution.y[:, column] - expected[row]).max())
                compared += 1
    if compared != len(times) - 1:
        sys.exit(f"{case['name']}: {compared} of {len(times) - 1} moments were compared")
    return greatest


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--cases", required=True)
    parser.add_argument("--work", required=True, type=pathlib.Path)
    options = parser.parse_args()
    options.work.mkdir(parents=True, exist_ok=True)
    file = options.work / "cases.json"
    subprocess.run([options.cases, file], check=True)
    cases = json.loads(file.read_text())
    if len(cases) < 9:
        sys.exit(f"only {len(cases)} networks were written")
    failures = 0
    for case in cases:
        tolerance = LINEAR_TOLERANCE if case["linear"] else case["accuracy"]
        difference = greatest_difference(case)
        failures += not difference <= tolerance
        verdict = "same" if difference <= tolerance else "DIFFERENT"
        print(
            f"{verdict:9} {case['name']:20} {len(case['bodies']):3} bodies, "
            f"{difference:.1e} K of {tolerance:.0e} K",
            flush=True,
        )
    sys.exit(1 if failures else 0)


main()
