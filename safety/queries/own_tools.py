"""The tools of the table beside what the firm knows of its own."""

from dataclasses import dataclass

from jobs.domain.tools import Tool
from jobs.library import tools
from jobs.models import Firm
from safety.domain.own_tools import OwnTool, own_tools


@dataclass(frozen=True, slots=True)
class ToolRow:
    """One kind of tool: typical, and the firm's own."""

    tool: Tool
    own: OwnTool


def tool_rows(firm: Firm) -> list[ToolRow]:
    """Every tool with a figure, by name. No query."""
    known = own_tools(firm.own_tools)
    shown = (tool for tool in tools().values() if tool.noise_dba or tool.vibration_ms2)
    return [
        ToolRow(tool, known.get(tool.key, OwnTool()))
        for tool in sorted(shown, key=lambda tool: tool.name)
    ]
