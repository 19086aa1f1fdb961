"""A file of knowledge broken in any way is refused by its name and line, or is whole."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.domain.pack_files import load_packs
from jobs.domain.yaml_lines import LibraryError
from safety.domain.library_files import load_library
from safety.domain.risk_files import load_risk_methods
from tests.safety.domain.rules import text, texts, words

ANY = settings(max_examples=60, suppress_health_check=[*HealthCheck])
SYNTAX = ["", ":", "{", "]", "- ", "\t", '"', "'", "&a", "*a", "---\n", "<<: 1"]
VALUES = ["!!python/object:x", "null", "yes", "1e999", ".nan", "\x00", "key: key: key"]
JUNK = st.sampled_from([*SYNTAX, *VALUES])


@st.composite
def broken(draw, shipped):
    """A text with a piece of it cut out and some junk put there."""
    start = draw(st.integers(0, len(shipped) - 1))
    length = draw(st.sampled_from([0, 1, 5, 60]))
    return shipped[:start] + draw(JUNK) + shipped[start + length :]


def refused_by_line_or_whole(load, name, found):
    lines = found.count("\n") + 2
    for fault in faults_of(load, found):
        assert fault.filename == name
        assert 1 <= fault.line <= lines, fault
        assert fault.says


def faults_of(load, found):
    try:
        load(found)
    except LibraryError as error:
        return error.faults or ["refused without a word"]
    return []


@pytest.mark.parametrize("name", ["falls.yaml", "dust.yaml"])
@ANY
@given(data=st.data())
def test_a_broken_hazard_file(name, data):
    found = data.draw(broken(texts("hazards")[name]))
    refused_by_line_or_whole(
        lambda file: load_library({name: file}, words()), name, found
    )


@ANY
@given(data=st.data())
def test_a_broken_pack(data):
    found = data.draw(broken(texts("packs")["nz.yaml"]))
    refused_by_line_or_whole(
        lambda file: load_packs({"nz.yaml": file}), "nz.yaml", found
    )


@ANY
@given(data=st.data())
def test_a_broken_table_of_matrices(data):
    found = data.draw(broken(text("risk_matrices.yaml")))
    refused_by_line_or_whole(
        lambda file: load_risk_methods(file, filename="risk.yaml"), "risk.yaml", found
    )
