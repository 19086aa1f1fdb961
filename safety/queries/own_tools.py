"""The tools of the table beside what the firm knows of its own."""

from dataclasses import dataclass
from datetime import date

from jobs.domain.packs import PackValue
from jobs.domain.tools import Power, Tool
from jobs.library import tools
from jobs.models import Firm
from safety.domain.own_tools import OwnTool, own_tools
from safety.domain.periods import months_later
from safety.library import pack_of

TEST_EVERY = "electrical.test_every"


@dataclass(frozen=True, slots=True)
class ToolRow:
    """One kind of tool: typical, the firm's own, and when its test is due."""

    tool: Tool
    own: OwnTool
    due: date | None = None
    overdue: bool = False


def test_rule(firm: Firm, on: date) -> PackValue | None:
    """How often tools on a lead are tested where the firm works. No query."""
    return pack_of(firm.pack).find(TEST_EVERY, on)


def tool_rows(firm: Firm, on: date) -> list[ToolRow]:
    """Every tool with a figure or a lead, by name. No query."""
    known, rule = own_tools(firm.own_tools), test_rule(firm, on)
    every = int(rule.number) if rule and rule.unit == "month" else None
    shown = (t for t in tools().values() if t.noise_dba or t.vibration_ms2 or _lead(t))
    return [
        _row(tool, known.get(tool.key, OwnTool()), every, on)
        for tool in sorted(shown, key=lambda tool: tool.name)
    ]


def _lead(tool: Tool) -> bool:
    return tool.power is Power.ELECTRIC


def _row(tool: Tool, own: OwnTool, every: int | None, on: date) -> ToolRow:
    if own.tested_on is None or every is None or not _lead(tool):
        return ToolRow(tool, own)
    due = months_later(own.tested_on, every)  # the last day before it is due
    return ToolRow(tool, own, due, on > due)
