"""How a service says no: with reasons a person can act on."""

from collections.abc import Iterable


class Refused(Exception):
    """A use case that may not happen now.

    ``reasons`` are sentences in plain English; a page prints them as they are.
    """

    def __init__(self, reasons: str | Iterable[str]) -> None:
        self.reasons = (reasons,) if isinstance(reasons, str) else tuple(reasons)
        super().__init__(" ".join(self.reasons))


class SentBefore(Refused):
    """The id that came along stands for something else that is recorded already."""

    def __init__(self, what: str) -> None:
        super().__init__(
            f"This page was sent before, and recorded: {what}. "
            "If this is one more, send it again."
        )


class Stale(Refused):
    """The record changed after the form was opened."""

    def __init__(self) -> None:
        super().__init__(
            "Someone changed this after you opened it. What you typed is still here: "
            "check it against the record, then save again."
        )
