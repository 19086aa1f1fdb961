"""Sets of working slots as bit masks: bit ``s`` of an int stands for slot ``s``.

Shifting, and-ing and or-ing whole calendars at once is what makes the search fast
without a compiled part.
"""

from collections.abc import Iterable, Iterator

from scheduling.domain.calendar import Slot, WorkCalendar


def span(first: int, end: int) -> int:
    """Bits ``first`` to ``end - 1``; none when the span is empty."""
    return ((1 << (end - first)) - 1) << first if end > first else 0


def runs(free: int, length: int) -> int:
    """Slots from which ``length`` slots in a row are free (by doubling)."""
    done = 1
    while done * 2 <= length:
        free &= free >> done
        done *= 2
    return free & (free >> (length - done)) if length > done else free


def first_at(mask: int, low: int) -> int:
    """The first set bit at or after ``low``, -1 when there is none."""
    rest = mask >> low
    return low + (rest & -rest).bit_length() - 1 if rest else -1


def bits(mask: int) -> Iterator[int]:
    """The set bits of a mask, rising."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def between(calendar: WorkCalendar, first: Slot, last: Slot) -> int:
    """Working slots from one half-day to another, both included."""
    return span(calendar.index_from(first), calendar.index_after(last))


def counted(masks: Iterable[int], most: int) -> list[int]:
    """``levels[k]``: slots that lie in at least ``k`` of the masks, k = 0..most.

    Level 0 is -1, the mask of every slot.
    """
    levels = [-1] + [0] * most
    for mask in masks:
        for k in range(most, 0, -1):
            levels[k] |= levels[k - 1] & mask
    return levels
