"""Falls: the clear height a harness needs against the height there is; ladders."""

from dataclasses import dataclass
from math import acos, asin, atan, cos, degrees, radians, sin

from safety.domain.exposures.ranges import within


@dataclass(frozen=True, slots=True)
class FallArrest:
    """The parts of a fall-arrest set-up, in metres.

    The defaults are the sum printed in Australian heights training (secondary copy):
    2.0 + 1.75 + 0.30 + 1.8 + 1.0 = 6.85 m from anchor to ground.
    """

    lanyard_m: float = 2.0
    absorber_m: float = 1.75
    harness_stretch_m: float = 0.30
    person_m: float = 1.8
    margin_m: float = 1.0

    @property
    def clearance_m(self) -> float:
        """Clear height needed below the anchor, in metres."""
        return (
            within("Lanyard in m", self.lanyard_m, 0, 2.0)
            + self.absorber_m
            + self.harness_stretch_m
            + self.person_m
            + self.margin_m
        )


def arrests_in_time(anchor_height_m: float, setup: FallArrest | None = None) -> bool:
    """Whether the set-up stops a person before the ground.

    ``anchor_height_m`` is the height of the anchor above whatever would be hit first.
    Range: 0 to 100 m.
    """
    within("Height of the anchor in m", anchor_height_m, 0, 100)
    return anchor_height_m >= (setup or FallArrest()).clearance_m


def clearance_missing_m(
    anchor_height_m: float, setup: FallArrest | None = None
) -> float:
    """Metres by which the set-up would hit first; 0 when it does not."""
    within("Height of the anchor in m", anchor_height_m, 0, 100)
    return max(0.0, (setup or FallArrest()).clearance_m - anchor_height_m)


# A leaning ladder is set "4 to 1"; both readings are in use.
ANGLE_BY_HEIGHT_DEG = degrees(atan(4))  # foot out a quarter of the height: 75.96
ANGLE_BY_LENGTH_DEG = degrees(acos(0.25))  # a quarter of the working length: 75.52
ABOVE_LANDING_M = 1.0  # model code, Managing the risk of falls (remembered)


def ladder_foot_out_m(support_height_m: float) -> float:
    """How far out a ladder's foot stands, by the height rule: height / 4.

    Source: model code of practice on falls, 1 : 4 (remembered). Range: 1 to 9 m.
    """
    return within("Height of the support in m", support_height_m, 1, 9) / 4


def ladder_length_m(landing_height_m: float, above_m: float = ABOVE_LANDING_M) -> float:
    """Length of a ladder set 4 to 1 that stands ``above_m`` above its landing.

    (height + above) / sin 75.96 degrees. Range: landing 0.5 to 8 m.
    """
    within("Height of the landing in m", landing_height_m, 0.5, 8)
    return (landing_height_m + above_m) / sin(radians(ANGLE_BY_HEIGHT_DEG))


def ladder_angle_deg(support_height_m: float, length_to_support_m: float) -> float:
    """Angle to the ground of a ladder, from the height and length to its support."""
    within("Length to the support in m", length_to_support_m, support_height_m, 12)
    return degrees(asin(support_height_m / length_to_support_m))


def ladder_foot_out_by_length_m(support_height_m: float) -> float:
    """Foot out by the length rule: height / tan 75.52 degrees.

    Source: 29 CFR 1926.1053(b)(5)(i), a quarter of the working length (remembered).
    """
    within("Height of the support in m", support_height_m, 1, 9)
    length = support_height_m / sin(radians(ANGLE_BY_LENGTH_DEG))
    return length * cos(radians(ANGLE_BY_LENGTH_DEG))
