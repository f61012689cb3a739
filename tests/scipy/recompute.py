#!/usr/bin/python3
"""Runs lashband on random gear trains and works every number of its answer out again.

Nothing is shared with the program but the definitions of the input format and of the quantities:
the reading of files, units, materials, the geometry of teeth and the carriers are written anew
beside this file, with root finding by SciPy (scipy.optimize.brentq, minimize_scalar).

  recompute.py --lashband PROGRAM --materials FOLDER --work FOLDER [--trains N] [--first SEED]
               [--scattered N]
"""

import argparse
import json
import pathlib
import subprocess
import sys

import random_trains
import solid_materials
from comparison import Comparison
from expected_results import Train
from mesh_cycle import Unresolved
from tally import Tally

# Seeds of the comments in a file, apart from those of the trains.
COMMENT_SEEDS = 500000
LONGEST_RUN = 20.0  # s
SCATTER_OF_GEARS = {
    *("accuracy_class", "run_out", "pitch_deviation", "helix_deviation", "tip_diameter_deviation"),
    *("permanent_strain", "moisture_strain"),
}
# The invariants run the program again, so only on every fifth train.
INVARIANTS_EVERY = 5
# What so many trains must have covered for the comparison to mean anything.
TRAINS_FOR_COVER = 200
MUST_COVER = {
    "carrier plain": 20,
    "carrier path": 20,
    "carrier insert": 60,
    "joint rigid": 10,
    "joint elastic": 10,
    "joint clearance": 20,
    "joint friction": 10,
    "spur with mismatch": 300,
    "spur without mismatch": 100,
    "helical with mismatch": 300,
    "helical without mismatch": 100,
    "friction joint with a band of forces": 50,
    "stop reached": 30,
    "stop not reached": 30,
    "met": 100,
    "not met": 100,
    "exit status 0": 10,
    "exit status 1": 50,
    "gap negative": 50,
    "order of conditions changed": 5,
    "carrier chosen": 5,
}


def run(program, *arguments):
    """The parsed answer and the exit status."""
    command = [program, *map(str, arguments), "--format", "json"]
    done = subprocess.run(
        command, capture_output=True, text=True, check=False, timeout=LONGEST_RUN
    )
    if done.returncode not in (0, 1):
        raise RuntimeError(f"{command}: exit status {done.returncode}\n{done.stderr}")
    return json.loads(done.stdout), done.returncode


class CheckedTrain:
    def __init__(self, seed, shipped, folder, tally, scattering=False):
        self.seed = seed
        self.folder = folder
        self.tally = tally
        self.draw = random_trains.Draw(seed + COMMENT_SEEDS)
        self.file = random_trains.train_file(seed, shipped, scattering)
        self.scattering = scattering
        try:
            self._work_out(shipped)
        except Unresolved:
            # Corners deep in the roots are outside what mesh_cycle.py derives: the same train with
            # gears that grow alike has no such contact.
            tally.covered["gears made to grow alike"] += 1
            for gear in self.file["gears"]:
                gear |= {key: self.file["gears"][0][key] for key in ("material", "zone")}
            self._work_out(shipped)
        for entry in self.file["carriers"]:
            tally.covered[f"carrier {entry['kind']}"] += 1
            if entry["kind"] == "insert":
                tally.covered[f"joint {entry['joint']['kind']}"] += 1

    def _work_out(self, shipped):
        """From the file as written, whose text counts, not what it was made of."""
        self.path = self._write("", self.file)
        self.comparison = Comparison(self.tally, self.path.name, Train(self.path, shipped))

    def _write(self, suffix, file):
        path = self.folder / f"{'scattered' if self.scattering else 'train'}_{self.seed}{suffix}.json"
        path.write_text(random_trains.text_of(file, self.draw), encoding="utf-8")
        return path

    def check(self, program):
        answer, status = run(program, "backlash", self.path)
        names = self.comparison.backlash(answer, status, self.file["carrier"])
        compared, compared_status = run(program, "carriers", self.path)
        self.comparison.carriers(compared, compared_status, names)
        if self.seed % INVARIANTS_EVERY == 0:
            self.check_order(program, answer)
            self.check_choice_of_carrier(program)

    def check_once(self, program):
        """A train of units that differ: one answer, since every state of it takes long."""
        for key in self.comparison.train.file["meshes"]:
            self.tally.covered.update(f"mesh with {k}" for k in key if k not in ("id", "gears"))
        for shaft in self.file["shafts"]:
            self.tally.covered.update(f"shaft with {k}" for k in shaft if k not in ("id", "at"))
        for gear in self.file["gears"]:
            self.tally.covered.update(f"gear with {k}" for k in gear if k in SCATTER_OF_GEARS)
        try:
            answer, status = run(program, "backlash", self.path)
        except (RuntimeError, subprocess.TimeoutExpired) as error:
            self.tally.disagree(self.path.name, str(error)[-300:])
            return
        self.comparison.backlash(answer, status, self.file["carrier"])

    def check_order(self, program, answer):
        """The order of the conditions is no history: the same numbers come out."""
        conditions = self.file.get("conditions", [])
        if len(conditions) < 2:
            return
        self.tally.covered["order of conditions changed"] += 1
        other = self.file | {"conditions": conditions[1:][::-1] + conditions[:1]}
        path = self._write("_reordered", other)
        reordered, _ = run(program, "backlash", path)

        def states(mesh):
            return {state["condition"]: state for state in mesh["states"]}

        for mesh, again in zip(answer["meshes"], reordered["meshes"], strict=True):
            self.tally.same(f"{path.name} {mesh['id']} states", states(again), states(mesh))

        def verdicts(rows):
            return [(row["mesh"], row["what"], row["found"], row["met"]) for row in rows]

        self.tally.same(
            f"{path.name} requirements",
            verdicts(reordered["requirements"]),
            verdicts(answer["requirements"]),
        )

    def check_choice_of_carrier(self, program):
        """`--carrier ID` is the same as a file with that carrier in use."""
        in_use = self.file["carrier"]
        others = [entry["id"] for entry in self.file["carriers"] if entry["id"] != in_use]
        if not others:
            return
        self.tally.covered["carrier chosen"] += 1
        chosen = self.draw.one_of(others)
        by_option, status_by_option = run(program, "backlash", self.path, "--carrier", chosen)
        path = self._write("_other_carrier", self.file | {"carrier": chosen})
        by_file, status_by_file = run(program, "backlash", path)
        for answer in (by_option, by_file):
            # The digest is that of another file.
            del answer["input"]
        self.tally.same(f"{path.name} --carrier {chosen}", by_option, by_file)
        self.tally.same(f"{path.name} --carrier status", status_by_option, status_by_file)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--lashband", required=True, help="the program")
    parser.add_argument("--materials", required=True, help="folder of the shipped material files")
    parser.add_argument("--work", required=True, help="folder for the input files")
    parser.add_argument("--trains", type=int, default=TRAINS_FOR_COVER)
    parser.add_argument("--first", type=int, default=0, help="first seed")
    parser.add_argument("--scattered", type=int, default=0, help="so many trains of units that differ")
    options = parser.parse_args()

    folder = pathlib.Path(options.work)
    folder.mkdir(parents=True, exist_ok=True)
    shipped = solid_materials.shipped(options.materials)
    tally = Tally()
    for seed in range(options.first, options.first + options.trains):
        CheckedTrain(seed, shipped, folder, tally).check(options.lashband)
    for seed in range(options.first, options.first + options.scattered):
        CheckedTrain(seed, shipped, folder, tally, True).check_once(options.lashband)
    if options.trains >= TRAINS_FOR_COVER:
        tally.require_cover(MUST_COVER)
    print(f"{options.trains} trains, their files in {folder}")
    tally.report()
    return 1 if tally.disagreements else 0


if __name__ == "__main__":
    sys.exit(main())
