"""How long a solve may go on.

Steps decide what is found; the clock and the person who waits can only end a solve
early. The clock is a stopwatch handed in, never the time of day.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, field

from scheduling.domain.solution import ShouldStop

# Of the time that reading the problem takes, what putting the plan into words may take;
# measured: half.
END_TO_BEGINNING = 0.75


def never() -> bool:
    return False


@dataclass(slots=True)
class Budget:
    """A stopwatch with a limit in seconds and a wish to stop."""

    seconds: float
    should_stop: ShouldStop = never
    clock: Callable[[], float] = time.monotonic
    started: float = field(init=False)

    def __post_init__(self) -> None:
        self.started = self.clock()

    def used(self) -> float:
        """Seconds since the start."""
        return self.clock() - self.started

    def left(self) -> float:
        """Seconds until the limit, never negative."""
        return max(0.0, self.seconds - self.used())

    def spent(self) -> bool:
        """Whether it is time to hand over what there is."""
        return self.used() >= self.seconds or self.should_stop()

    def reserve(self) -> None:
        """Keep a share of the time used so far for what comes at the end."""
        self.seconds = max(0.0, self.seconds - self.used() * END_TO_BEGINNING)

    def part(self, seconds: float) -> "Budget":
        """A budget inside this one."""
        return Budget(min(seconds, self.left()), self.should_stop, self.clock)
