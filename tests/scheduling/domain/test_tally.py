"""Counts kept in binary, against counting slot by slot."""

from hypothesis import given
from hypothesis import strategies as st

from scheduling.domain.masks import span
from scheduling.domain.tally import Tally

SLOTS = 12
TAKEN = st.lists(
    st.tuples(st.integers(0, SLOTS - 1), st.integers(1, 6), st.integers(1, 5))
)


@given(taken=TAKEN, back=st.integers(0, 8), capacity=st.integers(0, 9))
def test_room_is_what_counting_says(taken, back, capacity):
    tally = Tally(capacity)
    for first, length, count in taken:
        tally.add(span(first, first + length), count)
    for first, length, count in taken[:back]:
        tally.remove(span(first, first + length), count)
    for slot in range(SLOTS):
        used = sum(
            count
            for first, length, count in taken[back:]
            if first <= slot < first + length
        )
        for pieces in (1, 2):
            room = bool(tally.room_for(pieces) >> slot & 1)
            assert room == (used + pieces <= capacity)
