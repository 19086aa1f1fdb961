"""Records of safety, a module a noun."""

from safety.models.consultation import Consultation
from safety.models.judging import JudgedMoment
from safety.models.rules import RulesRevision
from safety.models.site_day import (
    Attendance,
    CheckAnswer,
    DailyCheck,
    Measurement,
)
from safety.models.statements import PlanEdit, SignOn, Statement
from safety.models.stop_work import StopWork
from safety.models.tools import ToolItem, ToolTest

__all__ = [
    "Attendance",
    "CheckAnswer",
    "Consultation",
    "DailyCheck",
    "JudgedMoment",
    "Measurement",
    "PlanEdit",
    "RulesRevision",
    "SignOn",
    "Statement",
    "StopWork",
    "ToolItem",
    "ToolTest",
]
