"""Canonical JSON: the quick way writes what the library of RFC 8785 writes, to the byte."""

from enum import IntEnum, StrEnum
from typing import Any

import pytest
import rfc8785
from hypothesis import example, given, settings
from hypothesis import strategies as st

from jobs.domain.chain import canonical


class Word(StrEnum):
    ONE = "naïve"


class Place(IntEnum):
    FIRST = 1


TEXTS = st.text() | st.text(
    alphabet='\\"/\b\f\n\r\t\x00\x1f\x7f\x80é\u2028\ue000\ufffd😀'
)
WHOLE = st.integers() | st.integers(2**53 - 3, 2**53 + 3)
NUMBERS = st.floats(allow_nan=False, allow_infinity=False) | WHOLE
FIGURES = st.decimals(-1000, 1000, places=6).map(float)
LEAVES = st.none() | st.booleans() | TEXTS | NUMBERS | FIGURES | st.sampled_from(Place)
KEYS = st.text(alphabet="abcXYZ_09 .-", max_size=6) | TEXTS | st.just(Word.ONE)
DATA = st.recursive(
    LEAVES | st.just(Word.ONE),
    lambda inner: st.lists(inner) | st.dictionaries(KEYS, inner) | st.tuples(inner),
    max_leaves=30,
)


def written(write, value):
    """The bytes, or that the value has no canonical form."""
    try:
        return write(value)
    except ValueError:
        return "refused"


@settings(max_examples=400)
@given(DATA)
@example({"\U0001f600": 1, "\ue000": 2})
@example([2.0, -0.0, 0.0001, 0.00009, 1e15, 9007199254740991.0, 9007199254740992.0])
@example([2**53 - 1, 1 - 2**53, -2.5, 1e21, 1e-7, 333333333.33333329])
@example({"b": [], "a": {}, "": ""})
def test_the_same_bytes_as_the_library(value):
    assert written(canonical, value) == written(rfc8785.dumps, value)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_any_float_is_written_as_the_library_writes_it(value):
    assert canonical([value]) == rfc8785.dumps([value])


@pytest.mark.parametrize(
    "value",
    [
        *([float("nan")], [float("inf")], [2**53], [-(2**53)], {1: "a"}, {None: 1}),
        *({"a": 1, 2: "b"}, {True: 1}, ["\ud800"], {"\ud800": 1}, [b"a"], [{1, 2}]),
    ],
)
def test_what_has_no_canonical_form_is_refused_as_before(value):
    assert written(canonical, value) == written(rfc8785.dumps, value) == "refused"


def test_deep_data_is_written_as_far_as_the_library_goes():
    deep: Any = []
    for _ in range(600):
        deep = [deep]
    assert canonical(deep) == rfc8785.dumps(deep)
