"""A structure drawn to scale from its dimensions: plan, front and side.

The drawing shows sizes; it is not an engineer's drawing and says nothing about strength.
"""

from jobs.domain.drawing.build import draw
from jobs.domain.drawing.fitted import Fitted, Space, fitted
from jobs.domain.drawing.shapes import Drawing, View, ViewKind
from jobs.domain.drawing.svg import to_svg

__all__ = ["Drawing", "Fitted", "Space", "View", "ViewKind", "draw", "fitted", "to_svg"]
