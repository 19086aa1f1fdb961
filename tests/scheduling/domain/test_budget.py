"""A solve hands over in time: the clock is a stopwatch that tests wind by hand."""

from dataclasses import dataclass

from scheduling.domain.budget import Budget


@dataclass
class Stopwatch:
    seconds: float = 100.0

    def __call__(self):
        return self.seconds


def test_some_of_the_time_that_reading_took_is_kept_for_wording():
    clock = Stopwatch()
    budget = Budget(10.0, clock=clock)
    clock.seconds += 2.0
    budget.reserve()
    assert budget.left() == 6.5
    clock.seconds += 6.5
    assert budget.spent()
    assert clock.seconds + 1.5 == 110.0


def test_a_part_ends_with_the_whole():
    clock = Stopwatch()
    budget = Budget(10.0, clock=clock)
    clock.seconds += 8.0
    assert budget.part(5.0).left() == 2.0


def test_whoever_waits_may_end_it():
    assert Budget(10.0, lambda: True, Stopwatch()).spent()
