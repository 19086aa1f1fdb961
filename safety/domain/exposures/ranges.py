"""Refusal of numbers that a formula was never meant for."""


class OutOfRange(ValueError):
    """A number outside the range a formula is valid for.

    The message says which number, the range, and never offers a result.
    """

    def __init__(self, what: str, value: float, lowest: float, highest: float) -> None:
        self.what = what
        self.value = value
        super().__init__(
            f"{what} is {value:g}; the formula holds from {lowest:g} to {highest:g}."
        )


def within(what: str, value: float, lowest: float, highest: float) -> float:
    """``value`` itself when it lies in the range, both ends included."""
    # "not (a <= b)" also refuses what is not a number
    if not lowest <= value <= highest:
        raise OutOfRange(what, value, lowest, highest)
    return value
