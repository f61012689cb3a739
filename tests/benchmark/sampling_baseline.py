"""The job of sampling_benchmark in NumPy, as one writes it: one array operation after the other, the
exact formula, one thread. Reads the study as JSON from standard input and writes the seconds of
the processor and the results as JSON."""

import json
import os
import sys
import time

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

import numpy as np  # noqa: E402  (the threads are set first)

PERCENTILES = (0.135, 50.0, 99.865)


def gap_figures(gap):
    return [gap.mean(), gap.std(), *np.percentile(gap, PERCENTILES)]


def run(study):
    samples = study["samples"]
    random = np.random.default_rng(study["seed"])

    def normal(mid_and_sigma):
        mid, sigma = mid_and_sigma
        return random.normal(mid, sigma, samples)

    thickness_1 = normal(study["thickness_1"])
    thickness_2 = normal(study["thickness_2"])
    deviation = normal(study["deviation"])
    run_out_1 = normal(study["run_out_1"])
    run_out_2 = normal(study["run_out_2"])
    pitch_1 = normal(study["pitch_1"])
    pitch_2 = normal(study["pitch_2"])
    misalignment = np.abs(
        normal(study["helix_1"]) + normal(study["helix_2"]) + normal(study["axes"])
    )

    # The elongations of gear 1, gear 2 and the carrier, each times its own factor.
    sigma = study["elongation_sigma"]
    metals = [normal((1.0, sigma)) if sigma > 0.0 else 1.0 for _ in range(3)]

    bind_anywhere = np.zeros(samples, dtype=bool)
    states = []
    for state in study["states"]:
        e_1 = 1.0 + state["growth"] * metals[0]
        e_2 = 1.0 + state["growth"] * metals[1]
        base = study["r_b1"] * e_1 + study["r_b2"] * e_2
        centre = (study["L"] + deviation) * (1.0 + state["strain"] * metals[2])
        run_out = 0.5 * (run_out_1 * e_1 + run_out_2 * e_2)
        constant = (
            study["p_b"] * e_2
            - study["s_b1"] * e_1
            - study["s_b2"] * e_2
            - study["kappa"] * (thickness_1 * e_1 + thickness_2 * e_2)
            - (pitch_1 * e_1 + pitch_2 * e_2 + misalignment) / study["cos_beta_b"]
        )
        figures = []
        for slack, sign in ((-state["float"], -1.0), (state["float"], 1.0), (state["float"], -1.0)):
            a = centre + 0.5 * slack + sign * run_out
            angle = np.arccos(base / a)
            gap = constant + 2.0 * base * (np.tan(angle) - angle)
            figures.append(gap_figures(gap))
            if len(figures) < 5:
                figures.append(gap_figures(gap * a / base))
        bind = gap < 0.0
        bind_anywhere |= bind
        states.append({"gaps": figures, "bind": bind.mean()})
    return states, bind_anywhere.mean()


def main():
    study = json.load(sys.stdin)
    start = time.process_time()
    states, bind_anywhere = run(study)
    seconds = time.process_time() - start
    json.dump({"seconds": seconds, "states": states, "bind_anywhere": bind_anywhere}, sys.stdout)


main()
