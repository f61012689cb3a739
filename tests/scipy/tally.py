"""Counts what was compared and keeps what disagrees."""

import collections

SHOWN_DISAGREEMENTS = 40


class Tally:
    def __init__(self):
        self.compared = collections.Counter()
        self.covered = collections.Counter()
        self.worst = collections.defaultdict(float)
        self.disagreements = []

    def disagree(self, where, text):
        self.disagreements.append(f"{where}: {text}")

    def same(self, where, found, expected):
        self.compared["exactly"] += 1
        if found != expected:
            self.disagree(where, f"found {found!r}, expected {expected!r}")

    def close(self, kind, where, found, expected, tolerance):
        self.compared[kind] += 1
        off = abs(found - expected)
        if not off <= tolerance:
            self.disagree(where, f"found {found!r}, expected {expected!r}, off by {off:.3g}")
        else:
            self.worst[kind] = max(self.worst[kind], off / tolerance)

    def quantity(self, kind, where, found, expected, unit, tolerance):
        self.same(f"{where} unit", found["unit"], unit)
        self.close(kind, where, found["value"], expected, tolerance)

    def require_cover(self, least_by_what):
        for what, least in least_by_what.items():
            if self.covered[what] < least:
                self.disagree("coverage", f"{what}: {self.covered[what]}, wanted {least} or more")

    def report(self):
        print("compared:", dict(self.compared))
        print("covered:", dict(sorted(self.covered.items())))
        print("largest deviation over its tolerance:")
        for kind, share in sorted(self.worst.items()):
            print(f"  {kind}: {share:.2g}")
        for text in self.disagreements[:SHOWN_DISAGREEMENTS]:
            print("DISAGREEMENT", text)
        print(f"{len(self.disagreements)} disagreements")
