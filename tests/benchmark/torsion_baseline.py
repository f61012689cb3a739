"""The job of torsion_benchmark in NumPy, as one writes it: the dynamic stiffness of every speed and
order at once, one option after the other, by the batched solver, one thread. Reads the train as
JSON from standard input, writes the energies and torques of every option, order and speed as
doubles to the file named there, and the seconds of the processor as JSON."""

import json
import os
import sys
import time

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

import numpy as np  # noqa: E402  (the threads are set first)


def main():
    train = json.load(sys.stdin)
    inertias = np.array(train["inertias"])
    n = len(inertias)
    speeds = np.array(train["speeds"])
    orders = np.array(train["orders"])
    torques = np.array(train["torques"]) @ (1.0, 1.0j)  # [order][inertia]
    omega = orders[:, None] * speeds[None, :]
    arms = np.zeros(n)
    arms[train["varied"]["first"]] = 1.0
    arms[train["varied"]["second"]] = -1.0

    start = time.process_time()
    fixed = np.zeros((*omega.shape, n, n), dtype=complex)
    fixed[..., range(n), range(n)] = -(omega**2)[..., None] * inertias
    for element in train["elements"]:
        b = np.zeros(n)
        b[element["first"]] = 1.0
        b[element["second"]] = -1.0
        k = element["stiffness"] * (1.0 + 1j * element["loss_factor"])
        fixed += (k + 1j * omega * element["damping"])[..., None, None] * np.outer(b, b)
    right = np.broadcast_to(torques[:, None, :, None], (*omega.shape, n, 1)).astype(complex)
    around = np.outer(arms, arms)
    solving = 0.0
    with open(train["output"], "wb") as output:
        for option in train["options"]:
            k = option["stiffness"] + 1j * omega * option["damping"]
            stiffness = fixed + k[..., None, None] * around
            before = time.process_time()
            angles = np.linalg.solve(stiffness, right)[..., 0]
            solving += time.process_time() - before
            energy = 0.25 * omega**2 * (np.abs(angles) ** 2 @ inertias)
            torque = k * (angles @ arms)
            energy.tofile(output)
            torque.tofile(output)
    seconds = time.process_time() - start
    json.dump({"seconds": seconds, "solving": solving}, sys.stdout)


main()
