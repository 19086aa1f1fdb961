"""The firm's tools with their electrical tests, as recorded at a moment."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q, QuerySet

from jobs.domain.packs import PackValue
from jobs.domain.tools import Power, Tool
from jobs.library import tools
from jobs.models import Firm
from safety.domain.tool_tests import TEST_EVERY, Test, TestedTool, TestState
from safety.library import pack_of
from safety.models import ToolItem, ToolTest


@dataclass(frozen=True, slots=True)
class ItemRow:
    """One tool on the list, where it stands today, and its last test."""

    item: ToolItem
    kind: str
    state: TestState
    says: str
    last: ToolTest | None
    due: date | None


def test_rule(place: str, on: date) -> PackValue | None:
    """How often tools on a lead are tested in a place. No query."""
    return pack_of(place).find(TEST_EVERY, on)


def every_months(rule: PackValue | None) -> int | None:
    """The months between two tests; None where no rule counts in months."""
    return int(rule.number) if rule and rule.unit == "month" else None


def tools_on_a_lead() -> list[Tool]:
    """Kinds of tools that are tested, by name. No query."""
    found = (tool for tool in tools().values() if tool.power is Power.ELECTRIC)
    return sorted(found, key=lambda tool: tool.name)


def tested_tools_at(day: date, at: datetime) -> list[TestedTool]:
    """Tools on the list at a moment with their tests up to a day. Two queries.

    A test counts from the day it was made, however late it was written down; one that
    was taken back counts until then.
    """
    items = list(_on_list(at))
    tests: dict[int, list[Test]] = {item.pk: [] for item in items}
    for row in _counting(at).filter(item__in=tests, tested_on__lte=day):
        tests[row.item_id].append(_test(row))
    return [
        TestedTool(item.pk, item.kind, item.name, tuple(tests[item.pk]))
        for item in items
    ]


def _on_list(at: datetime) -> QuerySet[ToolItem]:
    return ToolItem.objects.filter(
        Q(gone_at__isnull=True) | Q(gone_at__gt=at), added_at__lte=at
    )


def _counting(at: datetime) -> QuerySet[ToolTest]:
    return ToolTest.objects.filter(
        Q(taken_back_at__isnull=True) | Q(taken_back_at__gt=at)
    )


def _test(row: ToolTest) -> Test:
    return Test(row.tested_on, row.passed, row.next_due)


def item_rows(firm: Firm, day: date, at: datetime) -> list[ItemRow]:
    """Tools on the list with where they stand that day, by kind and name. Two queries."""
    every = every_months(test_rule(firm.pack, day))
    items = list(_on_list(at))
    last: dict[int, ToolTest] = {}
    tests: dict[int, list[Test]] = {item.pk: [] for item in items}
    for row in _counting(at).filter(item__in=items, tested_on__lte=day):
        last[row.item_id] = row
        tests[row.item_id].append(_test(row))
    return [_row(item, last.get(item.pk), tests[item.pk], day, every) for item in items]


def item_row(item: ToolItem, firm: Firm, day: date, at: datetime) -> ItemRow:
    """One tool with where it stands that day. One query."""
    every = every_months(test_rule(firm.pack, day))
    rows = list(_counting(at).filter(item=item, tested_on__lte=day))
    tests = [_test(row) for row in rows]
    return _row(item, rows[-1] if rows else None, tests, day, every)


def _row(
    item: ToolItem,
    last: ToolTest | None,
    tests: list[Test],
    day: date,
    every: int | None,
) -> ItemRow:
    tool = TestedTool(item.pk, item.kind, item.name, tuple(tests))
    return ItemRow(
        item=item,
        kind=tools()[item.kind].name if item.kind in tools() else item.kind,
        state=tool.state(day, every),
        says=tool.says(day, every),
        last=last,
        due=tests[-1].due(every) if tests else None,
    )
