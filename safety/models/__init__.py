"""Records of safety, a module a noun."""

from safety.models.site_day import (
    Attendance,
    CheckAnswer,
    DailyCheck,
    Measurement,
)
from safety.models.statements import PlanEdit, SignOn, Statement

__all__ = [
    "Attendance",
    "CheckAnswer",
    "DailyCheck",
    "Measurement",
    "PlanEdit",
    "SignOn",
    "Statement",
]
