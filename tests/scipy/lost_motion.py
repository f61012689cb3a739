#!/usr/bin/python3
"""Finds the lost motion of closed trains anew, as linear programs, with SciPy's HiGHS.

Nothing is shared with the library but the definition of the constraints in its header: the trains
come as JSON from the program train_cases, together with what the library found. A linear program
in floating point is good to some 1e-9 only. But its dual is a flow over meshes, in whole numbers,
and says which meshes add up to the answer; the sum is then taken in fractions of the very numbers
that the library was given.

  lost_motion.py --cases PROGRAM --work FOLDER
"""

import argparse
import collections
import json
import math
import pathlib
import subprocess
import sys
from fractions import Fraction

import numpy as np
from scipy.optimize import linprog

AGREEMENT = 1e-12  # pitches of any mesh of the train
# Nearer to binding or not than this the linear program cannot tell.
TOO_CLOSE = 1e-6  # pitches
FLOW_TOLERANCE = 1e-5  # of a dual value from its whole number


def ratios(case):
    """The speed of every shaft over that of shaft 0, passed on from mesh to mesh."""
    speed = {0: Fraction(1)}
    while len(speed) < case["shafts"]:
        for mesh in case["meshes"]:
            (first, second), (teeth_1, teeth_2) = mesh["shafts"], mesh["teeth"]
            over = Fraction(teeth_1, teeth_2) * (1 if mesh["internal"] else -1)
            if first in speed and second not in speed:
                speed[second] = speed[first] * over
            elif second in speed and first not in speed:
                speed[first] = speed[second] / over
    return [speed[shaft] for shaft in range(case["shafts"])]


def constraints(case, speed):
    """(from, to, most, growth): q_to - q_from <= most, which grows with every gap."""
    rows = []
    for mesh in case["meshes"]:
        first, second = mesh["shafts"]
        w = mesh["teeth"][0] * speed[first]
        growth = 1 / (2 * Fraction(mesh["base_pitch"]) * abs(w))
        half = Fraction(mesh["gap"]) * growth
        middle = Fraction(mesh["offset"]) / w
        rows.append((second, first, half + middle, growth))
        rows.append((first, second, half - middle, growth))
    return rows


def program(case, rows, scale, objective, extra_column=None):
    """min objective x, with x the rotations times `scale` and, with an extra column, one more."""
    width = len(objective)
    left = np.zeros((len(rows), width))
    for i, (origin, end, _, _) in enumerate(rows):
        left[i, end] += 1.0
        left[i, origin] -= 1.0
    if extra_column is not None:
        left[:, -1] = extra_column
    right = [float(row[2] * scale) for row in rows]
    bounds = [(None, None)] * width
    bounds[0] = (0.0, 0.0)
    answer = linprog(objective, A_ub=left, b_ub=right, bounds=bounds, method="highs-ds")
    if not answer.success:
        sys.exit(f"HiGHS: {answer.message}")
    return answer


def turned_most(case, rows, scale, of, held):
    """The most that q_of can be beyond q_held, as a fraction."""
    objective = np.zeros(case["shafts"])
    objective[of] -= 1.0
    objective[held] += 1.0
    flow = -program(case, rows, scale, objective).ineqlin.marginals
    whole = np.round(flow)
    if np.abs(flow - whole).max() > FLOW_TOLERANCE or whole.min() < 0:
        sys.exit(f"the dual is not a flow of whole numbers: {flow}")
    balance = collections.Counter()
    total = Fraction(0)
    for count, (origin, end, most, _) in zip(whole, rows):
        total += int(count) * most
        balance[end] += int(count)
        balance[origin] -= int(count)
    # A flow from one shaft to the other is a bound by itself, whatever HiGHS' tolerances.
    if {shaft: sum_ for shaft, sum_ in balance.items() if sum_} != {of: 1, held: -1}:
        sys.exit(f"the dual is not a way from {held} to {of}")
    return total


def shortfall(case, rows, scale):
    """By how many metres every gap must grow, at least, for the constraints to hold; as a fraction.
    Below 0 for a train with room to spare."""
    growth = np.array([float(row[3] * scale) for row in rows])
    unit = growth.max()
    objective = np.zeros(case["shafts"] + 1)
    objective[-1] = 1.0
    answer = program(case, rows, scale, objective, -growth / unit)
    flow = -answer.ineqlin.marginals
    used = [i for i in range(len(rows)) if flow[i] > 1e-6 * flow.max()]
    ends = collections.Counter()
    for i in used:
        ends[rows[i][1]] += 1
        ends[rows[i][0]] -= 1
    if any(ends.values()):
        sys.exit("the dual is not a cycle")
    return -sum(rows[i][2] for i in used) / sum(rows[i][3] for i in used)


def compare(case, tally):
    speed = ratios(case)
    rows = constraints(case, speed)
    pitches = [abs(mesh["teeth"][0] * speed[mesh["shafts"][0]]) for mesh in case["meshes"]]
    scale = max(pitches)
    least = shortfall(case, rows, scale)
    if abs(least) / Fraction(min(mesh["base_pitch"] for mesh in case["meshes"])) < TOO_CLOSE:
        tally["left out"] += 1
        return 0.0
    if (least > 0) != (case["shortfall"] is not None):
        sys.exit(f"binds: {least > 0} here, {case['shortfall']} there")
    if least > 0:
        tally["binding"] += 1
        if any(one["angle"] is not None for one in case["lost_motions"]):
            sys.exit("a lost motion of a train that binds")
        return float(abs(least - Fraction(case["shortfall"]))) / min(
            mesh["base_pitch"] for mesh in case["meshes"]
        )
    worst = 0.0
    tally["free"] += 1
    for one in case["lost_motions"]:
        of, held = one["of"], one["held"]
        both = turned_most(case, rows, scale, of, held) + turned_most(case, rows, scale, held, of)
        # 2 pi is the one number here that no fraction is; a double of it is good to 1e-16.
        difference = float(both * abs(speed[of])) - one["angle"] / (2.0 * math.pi)
        worst = max(worst, abs(difference) * float(scale / abs(speed[of])))
        tally["lost motions"] += 1
    return worst


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--cases", required=True)
    parser.add_argument("--work", required=True, type=pathlib.Path)
    options = parser.parse_args()
    options.work.mkdir(parents=True, exist_ok=True)
    file = options.work / "cases.json"
    subprocess.run([options.cases, file], check=True)
    cases = json.loads(file.read_text())
    tally = collections.Counter()
    worst = max(compare(case, tally) for case in cases)
    print(f"{dict(tally)}, largest difference {worst:.1e} pitches")
    enough = {"free": 200, "binding": 100, "lost motions": 800}
    for what, count in enough.items():
        if tally[what] < count:
            sys.exit(f"{what}: {tally[what]}, wanted {count} or more")
    if tally["left out"] > 5:
        sys.exit(f"{tally['left out']} trains were too close to binding to be compared")
    if not worst <= AGREEMENT:
        sys.exit(f"the largest difference is {worst:.3g} pitches, allowed are {AGREEMENT}")


if __name__ == "__main__":
    main()
