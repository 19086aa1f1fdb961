from collections.abc import Sequence
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from jobs.domain.yaml_lines import Fault, LibraryError, gather, keyed, parse_yaml

FIXTURES = Path(__file__).parents[3] / "fixtures"


def faults_of(text, parse):
    with pytest.raises(LibraryError) as caught:
        parse(parse_yaml(text, filename="rows.yaml"))
    return [str(fault) for fault in caught.value.faults]


def row(node):
    fields = node.fields("key", "name", optional=("count",))
    return fields.text("key"), fields.text("name"), fields.whole("count", 1)


def rows(node):
    return gather(node.items(), row)


def test_rows_are_read_with_defaults():
    node = parse_yaml(
        "- {key: a, name: An A, count: 3}\n- {key: b, name: B}\n", filename="f"
    )
    assert rows(node) == (("a", "An A", 3), ("b", "B", 1))


def test_all_faults_are_told_at_once_with_their_lines():
    text = "- key: a\n  nme: A\n- key: b\n  name: B\n  count: two\n"
    assert faults_of(text, rows) == [
        'rows.yaml, line 2: the key "nme" is not known here. Did you mean "name"?',
        'rows.yaml, line 1: the key "name" is missing.',
        'rows.yaml, line 5: expected a number, not "two".',
    ]


def test_a_key_written_twice_is_a_fault():
    text = "- key: a\n  name: A\n  name: B\n"
    assert faults_of(text, rows) == [
        'rows.yaml, line 3: the key "name" is there twice.'
    ]


def test_a_row_written_twice_is_a_fault():
    text = "- {key: a, name: A}\n- {key: a, name: B}\n"
    assert faults_of(text, lambda node: keyed(node.items(), row)) == [
        'rows.yaml, line 2: "a" is there twice.'
    ]


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("no", 'expected a text; write "no" in quotes.'),
        ("[a]", "expected a text, not a list or a mapping."),
        ("!!python/object:os.system x", 'expected a text; write "x" in quotes.'),
        ("", 'expected a text; write "" in quotes.'),
    ],
)
def test_what_is_not_text_is_refused(written, says):
    text = f"- key: a\n  name: {written}\n"
    assert faults_of(text, rows) == [f"rows.yaml, line 2: {says}"]


@pytest.mark.parametrize("written", ["1:30", "0x10", "1_000", ".inf", "1e3"])
def test_numbers_must_be_plain(written):
    assert len(faults_of(f"- {{key: a, name: A, count: {written}}}\n", rows)) == 1


def test_broken_yaml_names_its_line():
    (says,) = faults_of("- key: a\n  name: A: B\n- key: c\n", rows)
    assert says.startswith("rows.yaml, line 2: this is not YAML")


@pytest.mark.parametrize(
    "text", ["", "# nothing\n", "[" * 900, "a: \x00", "--- a\n--- b\n"]
)
def test_what_cannot_be_read_at_all_is_a_fault(text):
    assert len(faults_of(text, rows)) == 1


def tree(node):
    """A node of YAML as plain data, each part with its tag and line."""
    parts = node.value
    if isinstance(node, yaml.MappingNode):
        parts = [(tree(key), tree(value)) for key, value in parts]
    elif isinstance(node, yaml.SequenceNode):
        parts = [tree(part) for part in parts]
    return node.tag, node.start_mark.line, parts


def test_what_ships_reads_as_with_the_parser_in_python():
    paths = sorted(FIXTURES.rglob("*.yaml"))
    assert paths
    for path in paths:
        text = path.read_text(encoding="utf-8")
        slow = yaml.compose(text, Loader=yaml.SafeLoader)
        assert tree(parse_yaml(text, filename=path.name).raw) == tree(slow), path


def test_very_deep_nesting_is_a_fault_and_not_a_crash():
    for text in ("- " * 20_000, "? " * 20_000, "[" * 20_000, "{a: " * 20_000):
        assert len(faults_of(text, rows)) == 1


@given(st.text(alphabet="-:[]{}&*!|>'\"#%@ \n\tab1.", max_size=60))
def test_any_text_gives_rows_or_faults(text):
    faults: Sequence[Fault] = ()
    try:
        rows(parse_yaml(text, filename="rows.yaml"))
    except LibraryError as error:
        faults = error.faults
    assert all(fault.line >= 1 and fault.says for fault in faults)
