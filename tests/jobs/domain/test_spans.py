"""Numbers of steps in short."""

import pytest

from jobs.domain.spans import in_steps, spans


@pytest.mark.parametrize(
    ("steps", "words"),
    [
        ((), ""),
        ((4,), "4"),
        ((4, 5), "4, 5"),
        ((12, 4, 13, 14, 5, 20), "4, 5, 12–14, 20"),
        ((1, 2, 3, 4), "1–4"),
    ],
)
def test_steps_are_told_in_short(steps, words):
    assert spans(steps) == words


@pytest.mark.parametrize(
    ("steps", "words"), [((4,), "step 4"), ((4, 5, 6, 9), "steps 4–6, 9")]
)
def test_steps_are_told_in_words(steps, words):
    assert in_steps(steps) == words
