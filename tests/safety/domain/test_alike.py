"""Sentences that differ in one figure are told as one, and nothing else is."""

import pytest

from safety.domain.alike import greatest, told_together


def texts(said):
    return [one.text for one in told_together(said)]


def test_one_figure_that_differs_is_told_with_its_steps():
    said = {
        "Pieces of up to 6 m come in.": (2, 13),
        "Pieces of up to 4.52 m come in.": (15, 18, 19),
    }
    assert texts(said) == [
        "Pieces of up to 6 m (steps 2, 13) or 4.52 m (steps 15, 18, 19) come in."
    ]


def test_what_was_said_of_which_step_can_be_read_back():
    said = {"At least 2.": (1,), "At least 3.": (2,), "Keep off.": ()}
    kept = [pair for one in told_together(said) for pair in one.of]
    assert dict(kept) == said


def test_the_order_is_that_of_the_first_of_them():
    said = {"At least 3.": (1,), "Look up.": (1, 2), "At least 2.": (2,)}
    assert texts(said) == ["At least 3 (step 1) or 2 (step 2).", "Look up."]


@pytest.mark.parametrize(
    "said",
    [
        {"Foot 0.8 m out, 4 m up.": (1,), "Foot 1.4 m out, 6 m up.": (2,)},
        {"Stop at 8 m/s.": (1,), "Stop work at 10 m/s.": (2,)},
        {"Wear a P2 mask.": (1,), "Wear a P3 mask.": (2,)},
        {"At least 2.": (), "At least 3.": (2,)},
    ],
    ids=["two figures", "other words", "part of a name", "holds everywhere"],
)
def test_other_sentences_stay_as_they_are(said):
    assert texts(said) == list(said)


@pytest.mark.parametrize(
    ("text", "most"),
    [
        ("Falling from 5.64 m", 5.64),
        ("Heavy hand lift: Posts 1–4, 39.4 kg", 39.4),
        ("A load of 3,497 kg", 3497),
        ("Slips and trips", 0),
        ("Vibration of hands, A(8) 2.8 m/s² in a day", 2.8),
    ],
)
def test_the_greatest_figure_of_a_name(text, most):
    assert greatest(text) == most
