"""The job of warm_up_benchmark in SciPy, as one writes it: solve_ivp with BDF and the constant
Jacobian, from kink to kink, a temperature every second. Reads the linear system as JSON from
standard input and writes the seconds of the processor and the errors as JSON, together with the
exact temperatures every minute, by the exponential of the augmented matrix."""

import json
import os
import sys
import time

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

import numpy as np  # noqa: E402  (the threads are set first)
from scipy.integrate import solve_ivp  # noqa: E402
from scipy.linalg import expm  # noqa: E402

TOLERANCES = ("1e-4", "1e-6", "1e-8", "1e-10")
RUNS = 3


def by_bdf(system, tolerance):
    A = np.array(system["A"])
    state = np.array(system["start"])
    rows = [state[None, :]]
    for stretch in system["stretches"]:
        begin, end = stretch["begin"], stretch["end"]
        b0, b1 = np.array(stretch["b0"]), np.array(stretch["b1"])
        solution = solve_ivp(
            lambda t, T, begin=begin, b0=b0, b1=b1: A @ T + b0 + b1 * (t - begin),
            (begin, end),
            state,
            method="BDF",
            jac=A,
            rtol=tolerance,
            atol=tolerance,
            t_eval=np.arange(begin + 1.0, end + 0.5),
        )
        rows.append(solution.y.T)
        state = solution.y[:, -1]
    return np.concatenate(rows)


def exact(system, step=60.0):
    A = np.array(system["A"])
    n = len(A)
    state = np.array(system["start"])
    rows = [state]
    for stretch in system["stretches"]:
        augmented = np.zeros((n + 2, n + 2))
        augmented[:n, :n] = A
        augmented[:n, n] = stretch["b1"]
        augmented[:n, n + 1] = stretch["b0"]
        augmented[n, n + 1] = 1.0
        way = expm(step * augmented)
        for i in range(round((stretch["end"] - stretch["begin"]) / step)):
            state = (way @ np.concatenate([state, [i * step, 1.0]]))[:n]
            rows.append(state)
    return np.array(rows)


def main():
    system = json.load(sys.stdin)
    reference = exact(system)
    runs = []
    for tolerance in TOLERANCES:
        seconds = []
        for _ in range(RUNS):
            start = time.process_time()
            rows = by_bdf(system, float(tolerance))
            seconds.append(time.process_time() - start)
        error = np.abs(rows[::60] - reference).max()
        runs.append({"tolerance": tolerance, "seconds": min(seconds), "error": error})
    json.dump({"runs": runs, "exact": reference.tolist()}, sys.stdout)


main()
