#!/usr/bin/python3
"""Solves torsional systems anew with NumPy and SciPy and compares every answer.

Nothing is shared with the library but the definition of a system in its header: the systems come as
JSON from the program torsion_cases, together with what the library found.

  damped modes     eigenvalues of the first-order form, branches as states of their own
  modes            symmetric eigenvalues with massless inertias condensed, at each mode's frequency
  responses        the complex system of the angles, refined with residuals in long double
  mean torques     least strain energy under the balance of every inertia, by multipliers

  torsional_systems.py --cases PROGRAM --work FOLDER
"""

import argparse
import collections
import json
import pathlib
import subprocess
import sys

import numpy as np
import scipy.linalg

# Greatest differences that pass. Those of eigenvalues and shapes are what LAPACK leaves.
LIMITS = {
    "damped mode, relative": 1e-8,
    "damped mode, over the quickest": 1e-12,
    "damped shape, greatest element 1": 1e-7,
    "mode, omega^2 relative": 1e-8,
    "mode, omega^2 over the greatest": 1e-13,
    "shape, residual over the greatest": 1e-12,
    "shape, inertia-orthonormal": 1e-13,
    "angles of a response, norm": 1e-12,
    "torques of a response, over the greatest": 1e-11,
    "mean torque, over the greatest": 1e-12,
    "mean angle, over the greatest": 1e-12,
    "mean balance, over the greatest torque": 1e-12,
}
# Least numbers of answers that are compared.
LEAST = {
    "modes": 650,
    "free motions": 40,
    "modes that branches alone hold": 5,
    "damped modes": 450,
    "damped modes with loss factors": 180,
    "responses": 160,
    "massless inertias": 15,
    "branches": 600,
}
# Eigenvalues nearer than this to the real axis do not swing; nor do those this near to 0, relative
# to the quickest, into which rounding splits the double zero of a free motion.
ON_THE_AXIS = 1e-7
# Shapes are compared where no other eigenvalue is nearer than this.
APART = 1e-3


class System:
    def __init__(self, case):
        self.inertias = np.array(case["inertias"])
        elements = case["elements"]
        n, m = len(self.inertias), len(elements)
        self.arms = np.zeros((m, n))
        for e, element in enumerate(elements):
            self.arms[e, element["first"]] = element["arm_1"]
            if element["second"] is not None:
                self.arms[e, element["second"]] = element["arm_2"]
        self.k = np.array([element["stiffness"] for element in elements])
        self.c = np.array([element["damping"] for element in elements])
        self.eta = np.array([element["loss_factor"] for element in elements])
        branches = [
            (e, *branch) for e, element in enumerate(elements) for branch in element["branches"]
        ]
        self.of = np.array([branch[0] for branch in branches], dtype=int)
        self.k_branch = np.array([branch[1] for branch in branches])
        self.tau = np.array([branch[2] for branch in branches])
        self.massive = np.flatnonzero(self.inertias > 0)
        self.massless = np.flatnonzero(self.inertias == 0)

    def matrix(self, weights):
        return self.arms.T @ (weights[:, None] * self.arms)

    def storage(self, omega):
        """The real part of each dynamic stiffness without loss factor and damping."""
        w = (omega * self.tau) ** 2
        return self.k + np.bincount(self.of, self.k_branch * w / (1 + w), minlength=len(self.k))

    def dynamic(self, omega):
        w = 1j * omega * self.tau
        branches = self.k_branch * w / (1 + w)
        result = self.k * (1 + 1j * self.eta) + 1j * omega * self.c
        np.add.at(result, self.of, branches)
        return result


def condensed(system, K):
    a, b = system.massive, system.massless
    if not len(b):
        return K
    return K[np.ix_(a, a)] - K[np.ix_(a, b)] @ np.linalg.solve(K[np.ix_(b, b)], K[np.ix_(b, a)])


def first_order(system):
    """A of s' = A s with s = (angles, speeds, slow massless angles, elongations of dampers in
    branches), and the matrix that makes all angles of s."""
    arms = system.arms
    a, b = system.massive, system.massless
    n, n0, nb = len(a), len(b), len(system.of)
    whole = system.k * (1 + 1j * system.eta)
    if not system.eta.any():
        whole = whole.real
    np.add.at(whole, system.of, system.k_branch)
    K = system.matrix(whole)
    C = system.matrix(system.c)
    Z = arms[system.of].T * system.k_branch  # what z takes off the torques on the inertias
    # Massless inertias creep where dampers hold them and follow at once where none does.
    size, U = np.linalg.eigh(C[np.ix_(b, b)]) if n0 else (np.zeros(0), np.zeros((0, 0)))
    slow = size > 1e-9 * max(size.max(initial=0.0), 1e-300)
    creep, follow = U[:, slow], U[:, ~slow]
    nq = creep.shape[1]
    states = 2 * n + nq + nb
    place = np.split(np.arange(states), [n, 2 * n, 2 * n + nq])
    select = np.eye(states)
    angle_a, speed_a, q, z = (select[one] for one in place)
    angles = np.zeros((n + n0, states), dtype=K.dtype)
    angles[a] = angle_a
    rest = K[np.ix_(b, b)] @ creep @ q + K[np.ix_(b, a)] @ angle_a - Z[b] @ z
    at_once = -np.linalg.solve(follow.T @ K[np.ix_(b, b)] @ follow, follow.T @ rest)
    angles[b] = creep @ q + follow @ at_once
    torque = K @ angles - Z @ z
    rate_q = -(creep.T @ (C[np.ix_(b, a)] @ speed_a + torque[b])) / size[slow][:, None]
    rate_v = -(torque[a] + C[np.ix_(a, a)] @ speed_a + C[np.ix_(a, b)] @ creep @ rate_q)
    rate_v = rate_v / system.inertias[a][:, None]
    rate_z = (arms[system.of] @ angles - z) / system.tau[:, None]
    return np.vstack([speed_a, rate_v, rate_q, rate_z]), angles


def check_damped(system, case, note):
    found = case["damped"]
    A, angles = first_order(system)
    values, vectors = scipy.linalg.eig(A)
    quickest = np.abs(values).max()
    lossy = bool(system.eta.any())
    sizes = np.abs(values)
    swinging = values[(values.imag > ON_THE_AXIS * sizes) & (sizes > ON_THE_AXIS * quickest)]
    if not lossy and len(swinging) != len(found):
        sys.exit(f"{note.where}: {len(found)} damped modes, SciPy has {len(swinging)}")
    taken = set()
    for mode in found:
        expected = complex(*mode["lambda"])
        nearest = int(np.abs(values - expected).argmin())
        if nearest in taken:
            sys.exit(f"{note.where}: two damped modes at {expected}")
        taken.add(nearest)
        off = abs(values[nearest] - expected)
        note("damped mode, relative", off / abs(expected))
        note("damped mode, over the quickest", off / quickest)
        distance = np.sort(np.abs(values - expected))
        if len(distance) > 1 and distance[1] > APART * abs(expected):
            shape = angles @ vectors[:, nearest]
            shape = shape / shape[np.abs(shape).argmax()]
            ours = np.array(mode["shape"]["re"]) + 1j * np.array(mode["shape"]["im"])
            ours = ours / ours[np.abs(shape).argmax()]
            note("damped shape, greatest element 1", np.abs(shape - ours).max())
        note.count("damped modes with loss factors" if lossy else "damped modes")


def check_modes(system, case, note):
    found = case["modes"]
    a = system.massive
    if len(found) != len(a):
        sys.exit(f"{note.where}: {len(found)} modes of {len(a)} inertias")
    root = np.sqrt(system.inertias[a])
    shapes = np.array([mode["shape"] for mode in found]).T

    def null_motions(stiffness):
        K = condensed(system, system.matrix(stiffness)) / np.outer(root, root)
        sizes = np.linalg.eigvalsh(K)
        return int(np.sum(np.abs(sizes) < 1e-12 * sizes[-1]))

    # What branches alone hold may swing or not.
    free = null_motions(system.storage(1e12))
    still = sum(mode["omega"] == 0.0 for mode in found)
    if not free <= still <= null_motions(system.k):
        sys.exit(f"{note.where}: {still} modes of 0, NumPy has {free} free motions")
    note.count("free motions", free)
    note.count("modes that branches alone hold", null_motions(system.k) - free)
    for r, mode in enumerate(found):
        if mode["omega"] == 0.0:
            continue
        # With the stiffnesses at its frequency it is the r-th of all.
        K = system.matrix(system.storage(mode["omega"]))
        values = scipy.linalg.eigh(condensed(system, K) / np.outer(root, root), eigvals_only=True)
        square = mode["omega"] ** 2
        note("mode, omega^2 relative", abs(values[r] - square) / square)
        note("mode, omega^2 over the greatest", abs(values[r] - square) / values[-1])
        left = K @ shapes[:, r] - square * system.inertias * shapes[:, r]
        size = np.abs(K).sum(axis=1).max() * np.abs(shapes[:, r]).max()
        note("shape, residual over the greatest", np.abs(left).max() / size)
        note.count("modes")
    if not len(system.of):
        product = shapes.T @ (system.inertias[:, None] * shapes)
        note("shape, inertia-orthonormal", np.abs(product - np.eye(len(found))).max())
    else:
        product = (shapes**2 * system.inertias[:, None]).sum(axis=0)
        note("shape, inertia-orthonormal", np.abs(product - 1).max())


def wide(numbers):
    return np.array(numbers["re"], dtype=np.longdouble) + 1j * np.array(
        numbers["im"], dtype=np.longdouble
    )


def check_responses(system, case, note):
    arms = system.arms.astype(np.longdouble)
    for answer in case["responses"]:
        omega = np.longdouble(answer["omega"])
        k = system.dynamic(omega)
        D = arms.T @ (k[:, None] * arms) - omega**2 * np.diag(system.inertias)
        displacements = wide(answer["displacements"])
        right = wide(answer["torques_in"]) + arms.T @ (k * displacements)
        # Scaled, as inertias and stiffnesses are decades apart.
        scale = 1 / np.sqrt(np.abs(np.diag(D)))
        scaled = scale[:, None] * D * scale
        inverse = np.linalg.inv(scaled.astype(complex))
        y = np.zeros(len(right), dtype=np.clongdouble)
        for _ in range(8):
            y = y + inverse @ (scale * right - scaled @ y)
        theta = scale * y
        angles = wide(answer["angles"])
        note("angles of a response, norm", np.linalg.norm(angles - theta) / np.linalg.norm(theta))
        torques = k * (arms @ theta - displacements)
        off = np.abs(wide(answer["torques"]) - torques).max()
        note("torques of a response, over the greatest", off / np.abs(torques).max())
        note.count("responses")


def check_mean(system, case, note):
    mean = case["mean"]
    held = np.flatnonzero(system.k > 0)
    root = np.sqrt(system.k[held])
    rows = root[:, None] * system.arms[held]
    m, n = rows.shape
    torques_in = np.array(mean["torques_in"])
    balancing = mean["balancing"]
    # Parts by the elements that hold, and which way the balancing one can turn.
    left, sizes, right = np.linalg.svd(rows)
    rank = int(np.sum(sizes > 1e-10 * sizes[0]))
    free = right[rank:]
    balanced = len(free) > 0 and np.abs(free[:, balancing]).max() > 1e-9
    # Torques over sqrt(k), multipliers (angles), and the balance; angles without a free motion.
    A = np.zeros((m + n + len(free), m + n + 1))
    b = np.zeros(len(A))
    A[:m, :m] = np.eye(m)
    A[:m, m : m + n] = -rows
    A[m : m + n, :m] = rows.T
    b[m : m + n] = torques_in
    if balanced:
        A[m + balancing, m + n] = -1.0
    A[m + n :, m : m + n] = free
    # Stiffnesses are decades apart: scaled, and refined with residuals in long double.
    unit = np.abs(rows).max(axis=0)
    unit[unit == 0] = 1.0  # an inertia that nothing holds for ever
    column = np.ones(m + n + 1)
    column[m : m + n] = 1 / unit
    column[m + n] = unit[balancing]
    row = np.ones(len(A))
    row[m : m + n] = 1 / unit
    wide_A = (row[:, None] * A * column).astype(np.longdouble)
    inverse = np.linalg.pinv(wide_A.astype(float), rcond=1e-15)
    solution = np.zeros(m + n + 1, dtype=np.longdouble)
    for _ in range(8):
        solution = solution + inverse @ (row * b - wide_A @ solution)
    solution = (solution * column).astype(float)
    torques = np.zeros(len(system.k))
    torques[held] = root * solution[:m]
    greatest = max(np.abs(torques).max(), 1e-300)
    ours = np.array(mean["torques"])
    note("mean torque, over the greatest", np.abs(ours - torques).max() / greatest)
    most = np.abs(torques_in).max()
    note("mean balance, over the greatest torque", abs(mean["balance"] - solution[m + n]) / most)
    # Angles but for the free motions, which are fixed in another way.
    angles = np.array(mean["angles"])
    if balanced and angles[balancing] != 0.0:
        sys.exit(f"{note.where}: the balancing inertia is wound up")
    angles = angles - free.T @ (free @ angles)
    expected = solution[m : m + n]
    note("mean angle, over the greatest", np.abs(angles - expected).max() / np.abs(expected).max())


class Note:
    """Keeps the worst differences and counts what was compared."""

    def __init__(self):
        self.where = ""
        self.worst = collections.defaultdict(lambda: (0.0, ""))
        self.counts = collections.Counter()

    def __call__(self, what, difference):
        difference = float(difference)
        if not difference <= self.worst[what][0]:
            self.worst[what] = (difference, self.where)

    def count(self, what, number=1):
        self.counts[what] += number


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--cases", required=True)
    parser.add_argument("--work", required=True, type=pathlib.Path)
    options = parser.parse_args()
    options.work.mkdir(parents=True, exist_ok=True)
    file = options.work / "cases.json"
    subprocess.run([options.cases, file], check=True)
    note = Note()
    for case in json.loads(file.read_text()):
        system = System(case["system"])
        note.where = f"seed {case['seed']}, {len(system.inertias)} inertias over {case['span']:g}"
        note.count("massless inertias", len(system.massless))
        note.count("branches", len(system.of))
        check_damped(system, case, note)
        check_modes(system, case, note)
        check_responses(system, case, note)
        check_mean(system, case, note)
    failures = 0
    for what, least in LEAST.items():
        failures += note.counts[what] < least
        print(f"compared {note.counts[what]:6} {what}, wanted {least}")
    for what, limit in LIMITS.items():
        worst, where = note.worst[what]
        failures += not worst <= limit or where == ""
        verdict = "same" if worst <= limit else "DIFFERENT"
        print(f"{verdict:9} {what:42} {worst:.1e} of {limit:.0e}, {where}")
    sys.exit(1 if failures else 0)


main()
