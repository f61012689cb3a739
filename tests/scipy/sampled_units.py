#!/usr/bin/python3
"""Percentiles, probabilities and budgets of lashband against units sampled with NumPy.

Trains of random_scatter.py. The units are those of built_unit.py; the count of samples below each
percentile that the program answers must be binomial with the percentile's own share.

  sampled_units.py --lashband PROGRAM --materials FOLDER --work FOLDER [--trains N] [--first SEED]
"""

import argparse
import json
import math
import pathlib
import sys

import numpy as np

import random_trains
import solid_materials
from expected_results import Train
from recompute import run
from tally import Tally

UNITS = 200_000
DRAWN_WITH = 20250101  # seed of the units
# Of a standard error; by chance one in 150 000 exceeds it.
STANDARD_ERRORS = 4.5
LENGTH_TOLERANCE = 1e-9  # mm
SHARES_TOLERANCE = 1e-9  # of their sum
LEVELS = {"0.135": 0.00134989803163, "50": 0.5, "99.865": 0.99865010196837}


def binomial(tally, where, count, share):
    tally.compared["share of units"] += 1
    sigma = math.sqrt(UNITS * share * (1.0 - share))
    # Half a unit for the steps of a count.
    off = abs(count - UNITS * share)
    if not off <= STANDARD_ERRORS * sigma + 0.5:
        tally.disagree(where, f"{count} of {UNITS} units, expected {UNITS * share:.1f} +- {sigma:.1f}")
    elif sigma > 0.0:
        tally.worst["share of units"] = max(
            tally.worst["share of units"], off / (STANDARD_ERRORS * sigma + 0.5)
        )


def compare_samples(tally, train, answer):
    for mesh, found_mesh in zip(train.file["meshes"], answer["meshes"], strict=True):
        model = train.model(mesh, train.file["carrier"])
        draws = model.sampled(np.random.default_rng(DRAWN_WITH), UNITS)
        for state, found in zip(train.states, found_mesh["states"], strict=True):
            if "percentiles" not in found["j_bt"]:
                tally.covered["no percentiles"] += 1
                continue
            where = f"{train.file['title']} {mesh['id']} {found['condition']}"
            least, greatest = model.shares(state)
            units = {
                side: model.with_share(model.instant(state, draws, side, reach=end), share)
                for side, share, end in (
                    ("least", least, 0),
                    ("greatest", greatest, 1),
                    ("bind", least, 1),
                )
            }
            for level, share in LEVELS.items():
                for side in ("least", "greatest"):
                    for key in ("j_bt", "j_wt", "phi_1"):
                        at = found[key]["percentiles"][side][level]
                        count = int(np.sum(units[side][key] < at))
                        binomial(tally, f"{where} {key} {side} {level}", count, share)
                at = found["j_bind"]["percentiles"][level]
                count = int(np.sum(units["bind"]["j_bt"] < at))
                binomial(tally, f"{where} j_bind {level}", count, share)
            binds = found["j_bind"].get("probability_negative")
            if binds is not None:
                count = int(np.sum(units["bind"]["j_bt"] < 0.0))
                binomial(tally, f"{where} P(bind)", count, binds)
                tally.covered["P(bind) inside 0 and 1"] += 1e-4 < binds < 1.0 - 1e-4


def compare_budget(tally, train, answer):
    """Shares add up to 1; halving a band gains what the worst case worked out anew says."""
    by_mesh = {mesh["id"]: mesh for mesh in train.file["meshes"]}
    seen = {}
    for budget in answer["budgets"]:
        if budget["condition"] == "envelope":
            seen[budget["mesh"]] = 0
            continue
        where = f"{train.file['title']} budget {budget['mesh']} {budget['condition']}"
        state = train.states[seen[budget["mesh"]]]
        seen[budget["mesh"]] += 1
        model = train.model(by_mesh[budget["mesh"]], train.file["carrier"])
        if not budget["rows"]:
            continue
        shares = sum(row["share"] for row in budget["rows"])
        tally.close("shares", f"{where} shares", shares, 1.0, SHARES_TOLERANCE)

        def width(spreads):
            high = model.exact_end(state, "greatest", False, spreads)["j_wt"]
            return high - model.exact_end(state, "least", True, spreads)["j_wt"]

        whole = width(model.contributors)
        for row in budget["rows"]:
            name = row["contributor"]
            if name.startswith("position ") or name not in model.contributors:
                # Half of one direction of a round zone is no round zone.
                tally.covered[f"budget row left out: {name.split(' ')[0]}"] += 1
                continue
            half = model.contributors | {name: model.contributors[name].halved()}
            tally.quantity(
                "gain", f"{where} {name}", row["gain_worst_case"], whole - width(half), "mm",
                LENGTH_TOLERANCE,
            )


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--lashband", required=True, help="the program")
    parser.add_argument("--materials", required=True, help="folder of the shipped material files")
    parser.add_argument("--work", required=True, help="folder for the input files")
    parser.add_argument("--trains", type=int, default=6)
    parser.add_argument("--budgets", type=int, default=2, help="of so many of the trains")
    parser.add_argument("--first", type=int, default=0, help="first seed")
    options = parser.parse_args()
    folder = pathlib.Path(options.work)
    folder.mkdir(parents=True, exist_ok=True)
    shipped = solid_materials.shipped(options.materials)
    tally = Tally()
    for seed in range(options.first, options.first + options.trains):
        path = folder / f"sampled_{seed}.json"
        path.write_text(json.dumps(random_trains.train_file(seed, shipped, True)), encoding="utf-8")
        train = Train(path, shipped)
        try:
            answer, _ = run(options.lashband, "backlash", path)
            compare_samples(tally, train, answer)
            if seed - options.first < options.budgets:
                compare_budget(tally, train, run(options.lashband, "budget", path)[0])
        except Exception as error:  # the other trains count all the same
            tally.disagree(path.name, repr(error)[-400:])
    tally.report()
    return 1 if tally.disagreements else 0


if __name__ == "__main__":
    sys.exit(main())
