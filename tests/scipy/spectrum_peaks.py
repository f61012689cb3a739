#!/usr/bin/python3
"""Finds the peaks of random spectra anew with SciPy and compares places and prominences.

The spectra come as JSON from the program spectrum_cases, together with the peaks that the library
found in them. Indices must be the same, prominences too, to the last bit: both are differences of
the same samples. The place between samples is compared with the top of NumPy's parabola through the
logarithms of three samples.

  spectrum_peaks.py --cases PROGRAM --work FOLDER
"""

import argparse
import json
import pathlib
import subprocess
import sys

import numpy as np
from scipy.signal import find_peaks

# A parabola's coefficients come from a linear system here; the places are relative to a sample.
PLACE_TOLERANCE = 1e-7
HEIGHT_TOLERANCE = 1e-9  # relative


def most_prominent(indices, prominences, most):
    """The `most` greatest, of equals the first, in order of place."""
    keep = np.sort(np.argsort(-prominences, kind="stable")[:most])
    return indices[keep], prominences[keep]


def top(frequency, amplitude, i):
    x = frequency[i - 1 : i + 2] - frequency[i]
    y = amplitude[i - 1 : i + 2]
    logarithms = bool((y > 0.0).all())
    if logarithms:
        y = np.log(y)
    if y[0] == y[1] == y[2]:
        return frequency[i], amplitude[i]
    parabola = np.polynomial.Polynomial.fit(x, y, 2, domain=[-1, 1], window=[-1, 1])
    (place,) = parabola.deriv().roots()
    height = parabola(place)
    return frequency[i] + place, np.exp(height) if logarithms else height


def disagreement(case):
    """What is wrong with a case, or None, and how many peaks it has."""
    frequency = np.array(case["frequency"])
    amplitude = np.array(case["amplitude"])
    indices, properties = find_peaks(amplitude, prominence=case["prominence"] * amplitude.max())
    indices, prominences = most_prominent(indices, properties["prominences"], case["most"])
    if case["indices"] != indices.tolist():
        return f"peaks at {case['indices']}, SciPy has {indices.tolist()}", 0
    if case["prominences"] != prominences.tolist():
        return f"prominences {case['prominences']}, SciPy has {prominences.tolist()}", 0
    distance = frequency[1] - frequency[0]
    for i, place, height in zip(indices, case["places"], case["heights"], strict=True):
        expected_place, expected_height = top(frequency, amplitude, i)
        if not abs(place - expected_place) <= PLACE_TOLERANCE * distance:
            return f"sample {i} at {place} Hz, expected {expected_place}", 0
        if not abs(height - expected_height) <= HEIGHT_TOLERANCE * expected_height:
            return f"sample {i} of height {height}, expected {expected_height}", 0
    return None, len(indices)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--cases", required=True)
    parser.add_argument("--work", required=True, type=pathlib.Path)
    options = parser.parse_args()
    options.work.mkdir(parents=True, exist_ok=True)
    file = options.work / "cases.json"
    subprocess.run([options.cases, file], check=True)
    cases = json.loads(file.read_text())
    failures = 0
    compared = 0
    for case in cases:
        wrong, peaks = disagreement(case)
        compared += peaks
        if wrong:
            failures += 1
            print(f"DIFFERENT {case['name']}: {wrong}")
    print(f"{compared} peaks of {len(cases)} spectra compared, {failures} spectra differ")
    if len(cases) < 120 or compared < 5000:
        sys.exit("too few were compared")
    sys.exit(1 if failures else 0)


main()
