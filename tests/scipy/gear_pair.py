"""Two involute gears at a centre distance. Lengths in mm, angles in rad.

Sources: ISO 21771 for the definitions; the gap is worked out here from the base tangent: both
flanks touch where strings unwound from the two base circles meet on one line.
"""

import dataclasses
import functools
import math

from scipy.optimize import brentq


def roll_minus_angle(roll):
    """Polar angle of the string's end when `roll` has been unwound: t - atan t = inv(atan t)."""
    if abs(roll) < 0.02:
        # The difference would cancel; next term of the series is below 1e-19 here.
        s = roll * roll
        return roll * s * (1 / 3 - s * (1 / 5 - s * (1 / 7 - s * (1 / 9 - s / 11))))
    return roll - math.atan(roll)


def involute(angle):
    return roll_minus_angle(math.tan(angle))


def inverse_involute(value):
    """By root finding on the roll t = tan(alpha), well conditioned also for small angles."""
    if value == 0.0:
        return 0.0
    high = 1.0
    while roll_minus_angle(high) < value:
        high *= 2.0

    def miss(roll):
        return roll_minus_angle(roll) - value

    return math.atan(brentq(miss, 0.0, high, xtol=1e-16, rtol=1e-15))


@dataclasses.dataclass(frozen=True)
class Gear:
    """A gear as drawn; `grown` is the gear at temperature."""

    teeth: int
    module: float
    pressure_angle: float
    helix_angle: float
    profile_shift: float
    face_width: float
    tip_diameter: float | None
    addendum: float
    dedendum: float
    allowance: float  # E_sn as drawn
    scale: float = 1.0  # 1 + free elongation

    def grown(self, scale):
        return dataclasses.replace(self, scale=scale)

    def thinned(self, allowance):
        return dataclasses.replace(self, allowance=allowance)

    @functools.cached_property
    def transverse_angle(self):
        return math.atan(math.tan(self.pressure_angle) / math.cos(self.helix_angle))

    @functools.cached_property
    def drawn_reference_radius(self):
        return self.teeth * self.module / math.cos(self.helix_angle) / 2.0

    @functools.cached_property
    def base_radius(self):
        return self.drawn_reference_radius * math.cos(self.transverse_angle) * self.scale

    @functools.cached_property
    def base_pitch(self):
        transverse_module = self.module / math.cos(self.helix_angle)
        return math.pi * transverse_module * math.cos(self.transverse_angle) * self.scale

    @functools.cached_property
    def tip_radius(self):
        if self.tip_diameter is not None:
            return self.tip_diameter / 2.0 * self.scale
        addendum = self.module * (self.addendum + self.profile_shift)
        return (self.drawn_reference_radius + addendum) * self.scale

    @property
    def root_radius(self):
        # A rack pushed in by E_sn / (2 tan alpha_n) cuts teeth thinner by E_sn.
        push = self.allowance / (2.0 * math.tan(self.pressure_angle))
        dedendum = self.module * (self.dedendum - self.profile_shift) - push
        return (self.drawn_reference_radius - dedendum) * self.scale

    @functools.cached_property
    def base_half_angle(self):
        """Half of a tooth's angle at the base circle."""
        thickness = (
            self.module * (math.pi / 2.0 + 2.0 * self.profile_shift * math.tan(self.pressure_angle))
            + self.allowance
        ) / math.cos(self.helix_angle)
        at_reference = thickness / (2.0 * self.drawn_reference_radius)
        return at_reference + involute(self.transverse_angle)

    @functools.cached_property
    def tip_roll(self):
        ratio = self.tip_radius / self.base_radius
        return math.sqrt((ratio - 1.0) * (ratio + 1.0))

    @property
    def base_helix_tangent(self):
        return math.tan(self.helix_angle) * math.cos(self.transverse_angle)


@dataclasses.dataclass(frozen=True)
class Pair:
    gear_1: Gear
    gear_2: Gear
    apart: float

    @functools.cached_property
    def base_radii(self):
        return self.gear_1.base_radius + self.gear_2.base_radius

    @functools.cached_property
    def base_tangent(self):
        """The length of line between the two base circles, a sin(alpha_wt)."""
        return math.sqrt((self.apart - self.base_radii) * (self.apart + self.base_radii))

    @functools.cached_property
    def working_angle(self):
        return math.atan2(self.base_tangent, self.base_radii)

    @property
    def mismatch(self):
        return self.gear_2.base_pitch - self.gear_1.base_pitch

    @property
    def same_tooth_gap(self):
        """Free arc on the base circles with both contacts on one tooth of gear 1.

        One base pitch of gear 2 holds a tooth of either gear; the strings of drive and coast
        contact add 2 (t - alpha_wt) (r_b1 + r_b2) of rolling, t = tan(alpha_wt).
        """
        rolling = 2.0 * self.base_radii * involute(self.working_angle)
        thick_1 = 2.0 * self.gear_1.base_radius * self.gear_1.base_half_angle
        thick_2 = 2.0 * self.gear_2.base_radius * self.gear_2.base_half_angle
        return self.gear_2.base_pitch - thick_1 - thick_2 + rolling

    @property
    def contact_path(self):
        return (
            self.gear_1.base_radius * self.gear_1.tip_roll
            + self.gear_2.base_radius * self.gear_2.tip_roll
            - self.base_tangent
        )

    @property
    def contact_ratio(self):
        return self.contact_path / min(self.gear_1.base_pitch, self.gear_2.base_pitch)

    @property
    def overlap_ratio(self):
        width = min(self.gear_1.face_width, self.gear_2.face_width)
        return width * math.sin(self.gear_1.helix_angle) / (math.pi * self.gear_1.module)

    @property
    def tip_clearance_1(self):
        return self.apart - self.gear_1.tip_radius - self.gear_2.root_radius

    @property
    def tip_clearance_2(self):
        return self.apart - self.gear_2.tip_radius - self.gear_1.root_radius

    def radial_play(self, gap):
        """How far the axes can approach until `gap` is used up; None if base circles meet first."""
        left = involute(self.working_angle) - gap / (2.0 * self.base_radii)
        if left < 0.0:
            return None
        return self.apart - self.base_radii / math.cos(inverse_involute(left))

    def circumferential(self, gap):
        return gap / math.cos(self.working_angle)

    def normal(self, gap):
        return gap * math.cos(math.atan(self.gear_1.base_helix_tangent))

    def radial_first_order(self, gap):
        return self.circumferential(gap) / (2.0 * math.tan(self.working_angle))
