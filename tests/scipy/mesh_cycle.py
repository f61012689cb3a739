"""Least and greatest gap over a mesh cycle where the base pitches differ. Lengths in mm.

Own derivation, on the flanks as curves. Gear 1 stands at the origin with a tooth turned by `theta`
from the line of centres; gear 2 stands at (a, 0) and is turned up by `turn` from the position in
which a space of it faces that tooth. The upper flank of each tooth of gear 1 stops gear 2 at

  involute on involute    while the meeting point of the strings lies below both tips,
  gear 1's tip corner     on the flank of gear 2 once the tooth of gear 1 has left that zone,
  gear 2's tip corner     on the flank of gear 1 before the zone is reached.

The least stop of all teeth holds. In arcs on base circles, involute on involute keeps the stop at a
level that differs from tooth to tooth by the difference of the base pitches; corners lead from
level to level. So over one pitch the stop is one level followed by one corner's curve, known in
closed form for gear 1's corner and by root finding for gear 2's. The lower flanks are the mirror
image, and the gap is the sum of both stops; its extremes lie at the ends of the curves or where two
curves overlap.

A helical pair is a stack of such sections, each turned along both base circles by the same arc. As
the stop never rises (or never falls) from level to level, the last section in the direction of fall
holds: the coast side is that of a spur pair shifted by the arc b tan(beta_b).
"""

import dataclasses
import math

from scipy.optimize import brentq, minimize_scalar

from gear_pair import Pair, roll_minus_angle


class Unresolved(Exception):
    """Outside what is derived above: contact in a root, or corners of several teeth at a time."""


@dataclasses.dataclass(frozen=True)
class Extremes:
    least: float
    greatest: float


class UpperStop:
    """The excess of the stop over the level of tooth 0, as an arc on gear 2's base circle."""

    def __init__(self, pair: Pair):
        self.pair = pair
        g1, g2 = pair.gear_1, pair.gear_2
        self.r1, self.r2 = g1.base_radius, g2.base_radius
        self.pitch = 2.0 * math.pi / g1.teeth
        self.step = pair.mismatch
        # Zone of tooth 0, as its rotation theta.
        start_roll = (pair.base_tangent - self.r2 * g2.tip_roll) / self.r1
        if start_roll <= 0.0 or self.r1 * g1.tip_roll >= pair.base_tangent:
            raise Unresolved("a tip reaches below the other gear's base circle")
        self.zone_start = start_roll - g1.base_half_angle - pair.working_angle
        self.zone_end = g1.tip_roll - g1.base_half_angle - pair.working_angle
        if self.step > 0.0:
            self.curve_start = self._where_gear_2_corner_takes_over()
            self.curve_end = self.zone_start + self.pitch
            inside = self.curve_start < self.zone_end
        else:
            self.curve_start = self.zone_end
            self.curve_end = self._where_gear_1_corner_gives_way()
            inside = self.curve_end - self.pitch > self.zone_start
        if not inside:
            raise Unresolved("contact ratio too near to 1")

    def _level_turn(self, theta):
        """Where involute on involute, tooth 0, stops gear 2 (from the space's middle, in rad)."""
        pair = self.pair
        roll_1 = theta + pair.gear_1.base_half_angle + pair.working_angle
        roll_2 = (pair.base_tangent - self.r1 * roll_1) / self.r2
        half_space = math.pi / pair.gear_2.teeth - pair.gear_2.base_half_angle
        return roll_2 - pair.working_angle + half_space

    def _gear_1_corner(self, theta):
        """Excess where the tip corner of tooth 0 lies on gear 2's flank."""
        pair = self.pair
        g1 = pair.gear_1
        at = theta + g1.base_half_angle - roll_minus_angle(g1.tip_roll)
        x = pair.apart - g1.tip_radius * math.cos(at)
        y = -g1.tip_radius * math.sin(at)
        ratio = math.hypot(x, y) / self.r2
        roll = math.sqrt((ratio - 1.0) * (ratio + 1.0))
        half_space = math.pi / pair.gear_2.teeth - pair.gear_2.base_half_angle
        turn = math.atan2(y, x) + half_space + roll_minus_angle(roll)
        return (turn - self._level_turn(theta)) * self.r2

    def _theta_of_gear_2_corner(self, turn):
        """Rotation of gear 1 at which tooth 0 touches the tip corner of gear 2 at `turn`."""
        pair = self.pair
        g1, g2 = pair.gear_1, pair.gear_2
        half_space = math.pi / g2.teeth - g2.base_half_angle
        at = turn - half_space - roll_minus_angle(g2.tip_roll)
        x = pair.apart - g2.tip_radius * math.cos(at)
        y = -g2.tip_radius * math.sin(at)
        ratio = math.hypot(x, y) / self.r1
        roll = math.sqrt(max(0.0, (ratio - 1.0) * (ratio + 1.0)))
        return math.atan2(y, x) - g1.base_half_angle + roll_minus_angle(roll)

    def _gear_2_corner(self, theta):
        """Excess where tooth 0 touches gear 2's tip corner, before its zone."""
        level = self._level_turn(theta)

        def miss(turn):
            return self._theta_of_gear_2_corner(turn) - theta

        if theta >= self.zone_start or miss(level) <= 0.0:
            # At the very edge of the zone the excess is less than rounding.
            return 0.0
        reach = 2.0 * abs(self.step) / self.r2
        while miss(level + reach) > 0.0:
            reach *= 2.0
            if reach > self.pitch:
                raise Unresolved("no corner contact found")
        return (brentq(miss, level, level + reach, xtol=1e-17, rtol=1e-15) - level) * self.r2

    def _where_gear_2_corner_takes_over(self):
        """Where the tooth that comes next reaches down to the level of tooth 0."""
        # In the rotation of the next tooth, whose own level lies lower by one step.
        stride = self.pitch / 32.0
        before = self.zone_start - stride
        while self._gear_2_corner(before) < self.step:
            before -= stride
            if before < self.zone_start - self.pitch:
                raise Unresolved("corner contact over a whole pitch")
        return self.pitch + brentq(
            lambda theta: self._gear_2_corner(theta) - self.step,
            before,
            before + stride,
            xtol=1e-15,
            rtol=1e-15,
        )

    def _where_gear_1_corner_gives_way(self):
        """Where the corner of tooth 0 is up at the level of the tooth that came after it."""
        after = self.zone_end + self.pitch / 2.0
        if self._gear_1_corner(after) < -self.step:
            raise Unresolved("corner contact over half a pitch")
        return brentq(
            lambda theta: self._gear_1_corner(theta) + self.step,
            self.zone_end,
            after,
            xtol=1e-16,
            rtol=1e-15,
        )

    def breaks(self):
        return (self.curve_start, self.curve_end)

    def _split(self, theta):
        """The rotation within the pitch that ends with the curve, and the pitches taken off."""
        pitches = math.floor((theta - self.curve_end) / self.pitch) + 1
        return theta - pitches * self.pitch, pitches

    def on_curve(self, theta):
        return self._split(theta)[0] > self.curve_start

    def excess(self, theta):
        """Over all rotations: one level, one curve and one step per pitch."""
        at, pitches = self._split(theta)
        if at <= self.curve_start:
            value = 0.0
        elif self.step > 0.0:
            value = self._gear_2_corner(at - self.pitch) - self.step
        else:
            value = self._gear_1_corner(at)
        return value - pitches * self.step


def _smooth_extreme(function, low, high, sign):
    found = minimize_scalar(
        lambda at: sign * function(at),
        bounds=(low, high),
        method="bounded",
        options={"xatol": 1e-13 * max(1.0, abs(high))},
    )
    return sign * found.fun


def gap_over_cycle(pair: Pair, overlap_arc=0.0) -> Extremes:
    """Exact least and greatest gap j_bt. `overlap_arc` is b tan(beta_b) of a helical pair."""
    even = pair.same_tooth_gap
    if pair.mismatch == 0.0:
        return Extremes(even, even)
    stop = UpperStop(pair)
    # The stack of sections: where the stop falls with rotation the far end holds on the drive side
    # and the near end on the coast side, else the other way round.
    shift = overlap_arc / stop.r1 * (1.0 if stop.step > 0.0 else -1.0)

    def gap(theta):
        return even + stop.excess(theta + max(shift, 0.0)) + stop.excess(-theta + min(shift, 0.0))

    places = []
    for at in stop.breaks():
        places.append((at - max(shift, 0.0)) % stop.pitch)
        places.append((-at + min(shift, 0.0)) % stop.pitch)
    places = sorted(set(places))
    places.append(places[0] + stop.pitch)
    values = [gap(at) for at in places]
    least, greatest = min(values), max(values)
    # Between these places each stop is on a level or follows one curve, which only rises or falls;
    # an extreme can lie inside only where both follow curves.
    for low, high in zip(places, places[1:]):
        middle = (low + high) / 2.0
        if stop.on_curve(middle + max(shift, 0.0)) and stop.on_curve(-middle + min(shift, 0.0)):
            least = min(least, _smooth_extreme(gap, low, high, 1.0))
            greatest = max(greatest, _smooth_extreme(gap, low, high, -1.0))
    return Extremes(least, greatest)
