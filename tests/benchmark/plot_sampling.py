"""Draws the lines "time ..." of sampling_benchmark as docs/theory/sampling.svg.

    sampling_benchmark | tee times.txt; plot_sampling.py times.txt docs/theory/sampling.svg

Needs python3-matplotlib.
"""

import sys

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt  # noqa: E402  (the backend is set first)

# The same file from the same times.
plt.rcParams["svg.hashsalt"] = "sampling"

AXES = {
    "samples": "samples (33 temperatures, 1 mesh)",
    "temperatures": "temperatures (250 000 samples, 1 mesh)",
    "meshes": "meshes (250 000 samples, 33 temperatures)",
    "threads": "threads (4 000 000 samples, 33 temperatures)",
}


def read(path):
    times = {name: [] for name in AXES}
    head = []
    with open(path, encoding="utf-8") as file:
        for line in file:
            words = line.split()
            if words[:1] == ["time"]:
                times[words[1]].append((int(words[2]), float(words[3])))
            elif words and words[0] in ("processor", "instruction", "load"):
                head.append(" ".join(words))
    for name, points in times.items():
        if not points:
            sys.exit(f"{path} has no line 'time {name} ...'")
    return head, times


def main():
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    head, times = read(sys.argv[1])
    figure, places = plt.subplots(2, 2, figsize=(9, 7), constrained_layout=True)
    figure.suptitle(", ".join(head), fontsize=9)
    for place, (name, label) in zip(places.flat, AXES.items()):
        x, y = zip(*times[name])
        place.plot(x, y, "o-", color="tab:blue", label="measured")
        if name == "threads":
            place.plot(x, [y[0] / n for n in x], "--", color="tab:gray", label="in proportion")
            place.set_xticks(x)
            place.set_ylim(bottom=0)
        else:
            place.plot(
                x, [y[-1] * n / x[-1] for n in x], "--", color="tab:gray", label="in proportion"
            )
            place.set_xscale("log")
            place.set_yscale("log")
        place.set_xlabel(label)
        place.set_ylabel("s")
        place.grid(True, which="major", alpha=0.3)
        place.legend()
    figure.savefig(sys.argv[2], metadata={"Date": None})


main()
