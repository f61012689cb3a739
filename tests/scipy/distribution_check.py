"""Distributions of sums, one group of terms through a curve, by nested quadrature with SciPy.

    X = shift + plain_scale A + q0 D + q1 D^2 + q2 D^3 + q3 D^4

A and D are sums of independent terms. The probability is an integral over every bounded term of
A and D (Gauss-Legendre, panel by panel) and over the normal part of D (trapezoid rule, which is
as good as exact there), of the normal distribution function of what is left of A. Where no normal
term is in A, a bounded one is left in its place, with its own distribution function, and the
panels end at all bends. Every summand is positive, so the tails
are as accurate as the middle: about 1e-12 relative, as twice the nodes show.

    distribution_check.py --write FILE     writes the reference values
    distribution_check.py --compare FILE   recomputes them with twice the nodes and compares
"""

import argparse
import json
import random
import sys

import numpy as np
import scipy
import scipy.optimize
from scipy import special, stats

SOURCE = "computed by tests/scipy/distribution_check.py"
# Asked of the comparison: the nodes of the file and twice as many differ by less.
REPEATED_WITHIN = 1e-11
LEAST_OF_INTEREST = 1e-15  # smaller probabilities are compared in absolute terms
PLACES_IN_SIGMA = [-7.0, -5.0, -3.0, -1.0, 0.0, 0.5, 2.0, 4.0, 7.0]
NORMAL_REACH = 12.0  # sigma; beyond it lie 4e-33


def law(term):
    """The SciPy distribution of y, and the ends of the panels on which its density is smooth."""
    kind = term["kind"]
    if kind == "uniform":
        return stats.uniform(-1.0, 2.0), [-1.0, 1.0]
    if kind == "triangular":
        mode = term["mode"]
        ends = [-1.0, mode, 1.0] if -1.0 < mode < 1.0 else [-1.0, 1.0]
        return stats.triang((mode + 1.0) / 2.0, -1.0, 2.0), ends
    if kind == "truncated_normal":
        t = 3.0 * term["capability"]
        return stats.truncnorm(-t, t, 0.0, 1.0 / t), [-1.0, 0.0, 1.0]
    raise ValueError(kind)


def nodes(term, points):
    """Places and weights of reach * y."""
    distribution, ends = law(term)
    x, w = special.roots_legendre(points)
    place, weight = [], []
    for low, high in zip(ends, ends[1:]):
        y = 0.5 * (low + high) + 0.5 * (high - low) * x
        place.append(term["reach"] * y)
        weight.append(0.5 * (high - low) * w * distribution.pdf(y))
    return np.concatenate(place), np.concatenate(weight)


def normal_sigma(terms):
    return np.sqrt(sum((t["reach"] / (3.0 * t["capability"])) ** 2 for t in terms))


def sums(terms, points):
    """Places and weights of the sum of all terms; the normal ones as one, by the trapezoid rule."""
    place, weight = np.zeros(1), np.ones(1)
    parts = [nodes(t, points) for t in terms if t["kind"] != "normal"]
    sigma = normal_sigma([t for t in terms if t["kind"] == "normal"])
    if sigma > 0.0:
        u = np.linspace(-NORMAL_REACH, NORMAL_REACH, 8 * points + 1)
        parts.append((sigma * u, (u[1] - u[0]) * np.exp(-0.5 * u * u) / np.sqrt(2.0 * np.pi)))
    for p, w in parts:
        place = (place[:, None] + p[None, :]).ravel()
        weight = (weight[:, None] * w[None, :]).ravel()
    return place, weight


def curve(q, d):
    return d * (q[0] + d * (q[1] + d * (q[2] + d * q[3])))


def smooth_case(case, places, points):
    """P(X <= x) and P(X > x) where A has a normal term."""
    bounded = [t for t in case["plain"] if t["kind"] != "normal"]
    sigma = normal_sigma([t for t in case["plain"] if t["kind"] == "normal"])
    a, weight_a = sums(bounded, points)
    d, weight_d = sums(case["curved"], points)
    below = np.zeros(len(places))
    above = np.zeros(len(places))
    for branch in case["branches"]:
        scale = branch["plain_scale"]
        weight = branch["weight"] * weight_d
        at_d = branch["shift"] + curve(branch["q"], d)
        for one, weight_one in zip(a, weight_a):
            for i, x in enumerate(places):
                u = (x - at_d - scale * one) / (scale * sigma)
                below[i] += weight_one * np.dot(weight, special.ndtr(u))
                above[i] += weight_one * np.dot(weight, special.ndtr(-u))
    return below, above


def bounded_case(case, places, points):
    """The same for one bounded term in A and one in D, and nothing else."""
    (plain,), (curved,), (branch,) = case["plain"], case["curved"], case["branches"]
    law_a, ends_a = law(plain)
    law_d, ends_d = law(curved)
    scale = branch["plain_scale"] * plain["reach"]
    x_legendre, w_legendre = special.roots_legendre(points)
    below, above = [], []
    for x in places:

        def y_of_a(y):
            return (x - branch["shift"] - curve(branch["q"], curved["reach"] * y)) / scale

        # y_of_a falls with y; where it passes an end of a panel of A the integrand bends.
        bends = list(ends_d)
        for end in ends_a:
            if (y_of_a(-1.0) - end) * (y_of_a(1.0) - end) < 0.0:
                bends.append(scipy.optimize.brentq(lambda y: y_of_a(y) - end, -1.0, 1.0, xtol=1e-15))
        bends = sorted(bends)
        totals = [0.0, 0.0]
        for low, high in zip(bends, bends[1:]):
            y = 0.5 * (low + high) + 0.5 * (high - low) * x_legendre
            w = 0.5 * (high - low) * w_legendre * law_d.pdf(y)
            totals[0] += np.dot(w, law_a.cdf(y_of_a(y)))
            totals[1] += np.dot(w, law_a.sf(y_of_a(y)))
        below.append(totals[0])
        above.append(totals[1])
    return np.array(below), np.array(above)


def moments(case):
    """Mean and sigma of X from the nodes, by the definition."""
    a, weight_a = sums([t for t in case["plain"] if t["kind"] != "normal"], 20)
    variance_a = normal_sigma([t for t in case["plain"] if t["kind"] == "normal"]) ** 2
    mean_a = np.dot(weight_a, a)
    variance_a += np.dot(weight_a, (a - mean_a) ** 2)
    d, weight_d = sums(case["curved"], 20)
    first = second = 0.0
    for branch in case["branches"]:
        at_d = branch["shift"] + branch["plain_scale"] * mean_a + curve(branch["q"], d)
        mean = np.dot(weight_d, at_d)
        first += branch["weight"] * mean
        second += branch["weight"] * (
            np.dot(weight_d, (at_d - mean) ** 2) + branch["plain_scale"] ** 2 * variance_a + mean**2
        )
    return first, np.sqrt(second - first**2)


def random_term(draw, kind):
    term = {"kind": kind, "reach": round(draw.uniform(0.4, 2.0), 3)}
    if kind == "triangular":
        term["mode"] = draw.choice([-1.0, 1.0, round(draw.uniform(-0.9, 0.9), 2)])
    elif kind != "uniform":
        term["capability"] = round(draw.uniform(0.7, 1.6), 2)
    return term


def random_case(draw, plain_kinds, curved_kinds, branch_count, bend):
    branches = []
    for i in range(branch_count):
        off = i - 0.5 * (branch_count - 1)
        branches.append(
            {
                "weight": 1.0 / branch_count,
                "shift": 0.3 * off,
                "plain_scale": 0.9 * (1.0 + 2e-4 * off),
                "q": [0.8 * (1.0 - 1e-4 * off), bend * (1.0 + 1e-3 * off), 0.1 * bend, 0.02 * bend],
            }
        )
    return {
        "plain": [random_term(draw, kind) for kind in plain_kinds],
        "curved": [random_term(draw, kind) for kind in curved_kinds],
        "branches": branches,
    }


def cases():
    draw = random.Random(20240611)
    kinds = ["uniform", "triangular", "truncated_normal"]
    smooth = []
    for first in kinds:
        second = draw.choice(kinds)
        smooth.append(random_case(draw, ["normal", first], ["normal", second], 1, 2e-4))
        smooth.append(random_case(draw, ["normal"], [first, second], 1, -1e-3))
        smooth.append(random_case(draw, ["normal", first, second], ["normal"], 3, 1e-3))
        smooth.append(random_case(draw, ["normal", second], ["normal", first], 3, -1e-3))
    bounded = [
        random_case(draw, [first], [second], 1, draw.choice([-2e-3, 2e-3]))
        for first in kinds
        for second in kinds
    ]
    return smooth, bounded


def values_of(case, is_smooth, factor, given=None):
    if given is not None:
        places = [row["x"] for row in given]
    else:
        mean, sigma = moments(case)
        places = [mean + z * sigma for z in (PLACES_IN_SIGMA if is_smooth else [-2.0, -1, 0.2, 1.5, 2])]
    solver, points = (smooth_case, 20) if is_smooth else (bounded_case, 40)
    below, above = solver(case, places, points * factor)
    return [
        {"x": x, "below": float(b), "above": float(a)} for x, b, a in zip(places, below, above)
    ]


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    action = parser.add_mutually_exclusive_group(required=True)
    action.add_argument("--write", metavar="FILE")
    action.add_argument("--compare", metavar="FILE")
    arguments = parser.parse_args()
    smooth, bounded = cases()
    every = [(case, True) for case in smooth] + [(case, False) for case in bounded]
    if arguments.write:
        rows = []
        for number, (case, is_smooth) in enumerate(every):
            mean, sigma = moments(case)
            rows.append(
                {"id": f"S{number + 1}", **case, "mean": mean, "sigma": sigma}
                | {"values": values_of(case, is_smooth, 1)}
            )
        document = {
            "source": f"{SOURCE}, SciPy {scipy.__version__}, NumPy {np.__version__}",
            "accuracy": "1e-11 relative down to 1e-15: twice the nodes change nothing beyond that",
            "cases": rows,
        }
        with open(arguments.write, "w", encoding="utf-8") as file:
            file.write("{\n")
            file.write(f'  "source": {json.dumps(document["source"])},\n')
            file.write(f'  "accuracy": {json.dumps(document["accuracy"])},\n  "cases": [\n')
            file.write(",\n".join("    " + json.dumps(row) for row in rows))
            file.write("\n  ]\n}\n")
        return 0
    with open(arguments.compare, encoding="utf-8") as file:
        rows = json.load(file)["cases"]
    if len(rows) != len(every):
        print(f"{len(rows)} cases in the file, {len(every)} here")
        return 1
    worst = 0.0
    wrong = 0
    compared = 0
    for row, (case, is_smooth) in zip(rows, every):
        for key in ("plain", "curved", "branches"):
            if row[key] != case[key]:
                print(f"{row['id']}: {key} differs from what the script draws")
                wrong += 1
        for old, new in zip(row["values"], values_of(case, is_smooth, 2, row["values"])):
            for side in ("below", "above"):
                off = abs(old[side] - new[side]) / max(abs(new[side]), LEAST_OF_INTEREST)
                compared += 1
                worst = max(worst, off)
                if not off <= REPEATED_WITHIN:
                    print(f"{row['id']} {side} at {old['x']}: {old[side]!r}, here {new[side]!r}")
                    wrong += 1
    print(f"{compared} probabilities recomputed, largest relative difference {worst:.1e}")
    return 1 if wrong or not compared else 0


if __name__ == "__main__":
    sys.exit(main())
