"""What a firm knows of its own tools: figures that replace typical ones."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from safety.domain.exposures.tasks import Measured

Plain = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class OwnTool:
    """What is known of the firm's tools of one kind; None where nothing is.

    ``source`` says who measured or declared the figures.
    """

    noise_dba: float | None = None
    vibration_ms2: float | None = None
    source: str = ""

    def as_json(self) -> dict[str, Any]:
        """Plain data without what is not known. ``own_tools`` turns it back."""
        plain = {
            "noise_dba": self.noise_dba,
            "vibration_ms2": self.vibration_ms2,
            "source": self.source or None,
        }
        return {name: value for name, value in plain.items() if value is not None}


def own_tools(plain: Mapping[str, Plain]) -> dict[str, OwnTool]:
    """The firm's tools by key, from plain data."""
    return {key: _own_tool(figures) for key, figures in plain.items()}


def _own_tool(plain: Plain) -> OwnTool:
    return OwnTool(
        noise_dba=plain.get("noise_dba"),
        vibration_ms2=plain.get("vibration_ms2"),
        source=plain.get("source", ""),
    )


def figures(tools: Mapping[str, OwnTool]) -> dict[str, dict[str, float]]:
    """The figures alone, by what they are of and by tool: what a plan rests on."""
    noise = {key: t.noise_dba for key, t in tools.items() if t.noise_dba is not None}
    shake = {
        key: t.vibration_ms2 for key, t in tools.items() if t.vibration_ms2 is not None
    }
    found = {"noise_dba": noise, "vibration_ms2": shake}
    return {what: by_tool for what, by_tool in found.items() if by_tool}


def measured(found: Mapping[str, Mapping[str, float]]) -> Measured:
    """Figures as exposures are worked out with them."""
    return Measured(found.get("noise_dba", {}), found.get("vibration_ms2", {}))
