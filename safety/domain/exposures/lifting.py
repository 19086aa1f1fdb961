"""Manual lifting by the revised NIOSH lifting equation.

Source: DHHS (NIOSH) 94-110, revised September 2021, doi 10.26616/NIOSHPUB94110revised092021
(formulas and rules read in a retyped copy; most of Table 5 remembered). Metric form.
It is not valid for one-handed lifts, lifts while seated or kneeling, in a tight space, of
unstable loads or shovelling; the caller answers for that.
"""

from bisect import bisect_left
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from safety.domain.exposures.ranges import OutOfRange, within

H_HIGHEST_CM = 63.0
V_IDEAL_CM, V_HIGHEST_CM = 75.0, 175.0
D_HIGHEST_CM = 175.0
TWIST_HIGHEST_DEG = 135.0
F_LOWEST, F_HIGHEST = 0.2, 16.0


@dataclass(frozen=True, slots=True)
class Constants:
    """One printed set of constants. The two sets are not exact conversions."""

    load_kg: float
    cm_per_unit: float
    nearest: float  # least reach and least travel that count
    ideal_height: float
    height_slope: float
    travel_slope: float


METRIC = Constants(23.0, 1.0, 25.0, 75.0, 0.003, 4.5)
CUSTOMARY = Constants(51 * 0.45359237, 2.54, 10.0, 30.0, 0.0075, 1.8)  # 51 lb, inches


class Hold(StrEnum):
    """How well the hands hold the load."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"


class Duration(StrEnum):
    """How long the lifting goes on, with recovery as the manual asks."""

    SHORT = "up to 1 hour"
    MODERATE = "up to 2 hours"
    LONG = "up to 8 hours"


@dataclass(frozen=True, slots=True)
class HandLift:
    """One lift. Centimetres, degrees, lifts a minute; height at the point judged.

    ``origin_height_cm`` decides the frequency multiplier; it is ``height_cm`` unless the
    destination is being judged.
    """

    reach_cm: float
    height_cm: float
    travel_cm: float
    twist_deg: float = 0.0
    per_minute: float = F_LOWEST
    duration: Duration = Duration.SHORT
    hold: Hold = Hold.GOOD
    origin_height_cm: float | None = None


@dataclass(frozen=True, slots=True)
class TaskLift:
    """One of several lifts in a job: the lift and its load."""

    lift: HandLift
    mass_kg: float

    @property
    def frequency_independent_index(self) -> float:
        """FILI: the index with the frequency multiplier left out."""
        once = replace(self.lift, per_minute=F_LOWEST, duration=Duration.SHORT)
        return self.mass_kg / recommended_weight(once)

    @property
    def single_index(self) -> float:
        """STLI: the index of this lift alone."""
        return lifting_index(self.mass_kg, self.lift)


def multipliers(lift: HandLift, constants: Constants = METRIC) -> Mapping[str, float]:
    """HM, VM, DM, AM, FM, CM; each from 0 to 1.

    Range: reach to 63 cm, height 0 to 175 cm, travel to 175 cm, twist to 135 degrees,
    to 16 lifts a minute. Below 25 cm reach or travel and 0.2 lifts a minute the manual's
    lower ends apply.
    """
    unit = constants.cm_per_unit
    reach = within("Reach in cm", lift.reach_cm, 0, H_HIGHEST_CM) / unit
    travel = within("Travel in cm", lift.travel_cm, 0, D_HIGHEST_CM) / unit
    height = within("Height of the hands in cm", lift.height_cm, 0, V_HIGHEST_CM)
    twist = within("Twist in degrees", lift.twist_deg, 0, TWIST_HIGHEST_DEG)
    return {
        "HM": constants.nearest / max(reach, constants.nearest),
        "VM": 1 - constants.height_slope * abs(height / unit - constants.ideal_height),
        "DM": 0.82 + constants.travel_slope / max(travel, constants.nearest),
        "AM": 1 - 0.0032 * twist,
        "FM": frequency_multiplier(lift),
        "CM": _HOLDS[lift.hold][height >= V_IDEAL_CM],
    }


def recommended_weight(lift: HandLift, constants: Constants = METRIC) -> float:
    """RWL in kg: LC x HM x VM x DM x AM x FM x CM. Range as for ``multipliers``."""
    weight = constants.load_kg
    for multiplier in multipliers(lift, constants).values():
        weight *= multiplier
    return weight


def lifting_index(mass_kg: float, lift: HandLift) -> float:
    """LI = load / RWL. The manual's goal is 1.0 or less; above 3.0 is for few people.

    Range: mass from 0 to 200 kg and a lift that may be done at all at its frequency.
    """
    within("Mass in kg", mass_kg, 0, 200)
    weight = recommended_weight(lift)
    within("Recommended weight in kg", weight, 1e-9, METRIC.load_kg)
    return mass_kg / weight


def composite_index(lifts: Iterable[TaskLift]) -> float:
    """CLI of several lifts done by the same people (manual, 2.4.5).

    The largest single-task index, plus for each further lift FILI x (1/FM of all lifts
    so far - 1/FM of those before it), lifts ordered by falling single-task index.
    """
    ordered = sorted(lifts, key=lambda task: -task.single_index)
    within("Number of lifts", len(ordered), 1, 10)
    total = ordered[0].single_index
    rate = ordered[0].lift.per_minute
    for task in ordered[1:]:
        before = frequency_multiplier(replace(task.lift, per_minute=rate))
        rate += task.lift.per_minute
        after = frequency_multiplier(replace(task.lift, per_minute=rate))
        if not after:
            most = _most_a_minute(task.lift)
            raise OutOfRange("Lifts a minute together", rate, 0, most)
        total += task.frequency_independent_index * (1 / after - 1 / before)
    return total


def lifts_a_minute(rate: float, minutes: float, out_of: float = 15.0) -> float:
    """F of a lift done in bursts (manual, p 16): rate x minutes worked / 15 minutes."""
    within("Minutes of lifting", minutes, 0, out_of)
    return rate * minutes / out_of


def frequency_multiplier(lift: HandLift) -> float:
    """FM of Table 5, straight lines between whole numbers of lifts a minute."""
    rate = max(within("Lifts a minute", lift.per_minute, 0, F_HIGHEST), F_LOWEST)
    column = _column_for(lift)
    at = bisect_left(_RATES, rate)
    if _RATES[at] == rate:
        return column[at]
    share = (rate - _RATES[at - 1]) / (_RATES[at] - _RATES[at - 1])
    return column[at - 1] + share * (column[at] - column[at - 1])


def _column_for(lift: HandLift) -> tuple[float, ...]:
    height = lift.height_cm if lift.origin_height_cm is None else lift.origin_height_cm
    low = height < V_IDEAL_CM
    return _TABLE_5[lift.duration][0 if low else 1]


def _most_a_minute(lift: HandLift) -> float:
    """The last rate of the table at which anything may be lifted."""
    cells = zip(_RATES, _column_for(lift), strict=True)
    return max(rate for rate, multiplier in cells if multiplier)


_HOLDS = {  # below 75 cm, at or above it
    Hold.GOOD: (1.00, 1.00),
    Hold.FAIR: (0.95, 1.00),
    Hold.POOR: (0.90, 0.90),
}
_RATES = (0.2, 0.5, *(float(rate) for rate in range(1, 17)))


def _column(*values: float) -> tuple[float, ...]:
    return values + (0.0,) * (len(_RATES) - len(values))


_ONE_HOUR = (
    *(1.0, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75),
    *(0.70, 0.60, 0.52, 0.45, 0.41, 0.37),
)
_TWO_HOURS = (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26)
_EIGHT_HOURS = (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18)
_TABLE_5 = {  # below 75 cm, at or above it
    Duration.SHORT: (_column(*_ONE_HOUR), _column(*_ONE_HOUR, 0.34, 0.31, 0.28)),
    Duration.MODERATE: (_column(*_TWO_HOURS), _column(*_TWO_HOURS, 0.23, 0.21)),
    Duration.LONG: (_column(*_EIGHT_HOURS), _column(*_EIGHT_HOURS, 0.15, 0.13)),
}

# HSE L23 (remembered): a team lifts less than its members could one by one
_TEAM_SHARE = {1: 1.0, 2: 2 / 3}
_TEAM_SHARE_OF_MORE = 1 / 2


def share_of_team(mass_kg: float, people: int) -> float:
    """What one person of a team carries for the purpose of judging the lift, in kg.

    mass / (people x share), where a team of two counts for two thirds and a larger one
    for half of what its members lift alone. Source: HSE L23 (remembered). Range: 1 to 8
    people.
    """
    within("People on the lift", people, 1, 8)
    return mass_kg / (people * _TEAM_SHARE.get(people, _TEAM_SHARE_OF_MORE))
