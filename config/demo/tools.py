"""The demo firm's tools on a lead, listed and tested when the scenario says."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from functools import partial
from typing import Any

from config.demo.days import WorkingDays
from config.demo.people import Firmament
from safety.models import ToolItem
from safety.services.tool_tests import list_tool, record_tool_test


def tool_happenings(
    told: Mapping[str, Any], firm: Firmament, days: WorkingDays
) -> Iterator[tuple[datetime, "partial[None]"]]:
    """When each tool is listed and tested, and what happens then."""
    for row in told["tools"]:
        listed = days.at(row["listed"], "08:30")
        yield listed, partial(_list, row, firm)
        for test in row["tests"]:
            at = days.at(max(test["day"], row["listed"]), "08:40")
            yield at, partial(_test, row, test, firm, days)


def _list(row: Mapping[str, Any], firm: Firmament, at: datetime) -> None:
    list_tool(kind=row["kind"], name=row["name"], actor=firm.office, at=at)


def _test(
    row: Mapping[str, Any],
    test: Mapping[str, Any],
    firm: Firmament,
    days: WorkingDays,
    at: datetime,
) -> None:
    record_tool_test(
        item=ToolItem.objects.get(name=row["name"], gone_at=None),
        tested_on=days.day(test["day"]),
        tested_by=test["by"],
        tag=test["tag"],
        passed=test.get("passed", True),
        note=test.get("note", ""),
        actor=firm.office,
        at=at,
    )
