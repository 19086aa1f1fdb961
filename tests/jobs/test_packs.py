"""Jurisdiction packs: dates, edges, units, layers, and mistakes in their files."""

from datetime import date
from pathlib import Path

import pytest

from jobs.domain.holds import Basis
from jobs.domain.pack_files import load_packs
from jobs.domain.packs import Edge, NoSuchValue
from jobs.domain.sources import CHECK_FIRST, Seen
from jobs.domain.yaml_lines import LibraryError

FOLDER = Path(__file__).parents[2] / "fixtures" / "packs"
SHIPPED = {
    path.name: path.read_text(encoding="utf-8") for path in FOLDER.glob("*.yaml")
}
PACKS = load_packs(SHIPPED)
DAY = date(2026, 8, 3)

VALUE = """\
pack: {pack}
name: Somewhere
{extends}values:
  - key: falls.limit
    says: Further than this.
    value: {value}
    unit: {unit}
    edge: {edge}
    basis: law
    clause: reg 1
    publisher: The publisher
    seen: read
"""


def somewhere(value=2, unit="m", edge="more than", extends="", pack="home", more=""):
    extends = f"extends: {extends}\n" if extends else ""
    text = VALUE.format(pack=pack, extends=extends, value=value, unit=unit, edge=edge)
    return text + more


def one(**changes):
    return load_packs({"home.yaml": somewhere(**changes)})["home"]


@pytest.mark.parametrize(
    ("edge", "at_limit", "above"),
    [
        ("more than", False, True),
        ("at least", True, True),
        ("less than", False, False),
        ("at most", True, False),
    ],
)
def test_the_edge_decides_at_the_limit_itself(edge, at_limit, above):
    pack = one(edge=edge)
    assert pack.exceeds("falls.limit", 2.0, "m", DAY) is at_limit
    assert pack.exceeds("falls.limit", 2.01, "m", DAY) is above


def test_a_limit_in_feet_is_compared_in_feet():
    pack = one(value=6, unit="ft", edge="at least")
    assert pack.exceeds("falls.limit", 1.8288, "m", DAY)
    assert not pack.exceeds("falls.limit", 1.8, "m", DAY)


def test_a_length_is_not_compared_with_a_mass():
    with pytest.raises(ValueError, match="kg is a mass, m is a length"):
        one().exceeds("falls.limit", 2, "kg", DAY)


def test_a_state_hides_the_value_of_its_country_while_it_is_in_force():
    texts = {
        "country.yaml": somewhere(pack="country"),
        "state.yaml": somewhere(
            pack="state",
            value=3,
            extends="country",
            more="    effective_from: 2020-01-01\n    effective_to: 2026-06-30\n",
        ),
    }
    state = load_packs(texts)["state"]
    assert state.chain == ("state", "country")
    assert state.value("falls.limit", date(2019, 12, 31)).number == 2
    assert state.value("falls.limit", date(2026, 6, 30)).number == 3
    assert state.value("falls.limit", date(2026, 7, 1)).number == 2


def test_a_change_ahead_is_found_with_its_day():
    changes = PACKS["au-sa"].changes(date(2026, 6, 1), date(2026, 12, 31))
    days = {day: value.key for day, value in changes}
    assert days[date(2026, 7, 1)] == "falls.statement_height"
    assert date(2026, 12, 1) in days


def test_what_a_pack_does_not_say_is_not_made_up():
    with pytest.raises(NoSuchValue, match="Somewhere has no noise on 2026-08-03"):
        one().value("noise", DAY)
    assert one().items("noise", DAY) == ()


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        (somewhere(edge="over"), 8, 'there is no edge "over"'),
        (somewhere(unit="furlong"), 7, 'there is no unit "furlong"'),
        (somewhere(extends="atlantis"), 3, '"atlantis" is not a pack'),
        (somewhere(value="two"), 5, "only a number has a unit"),
        (somewhere(more="    seen: heard\n"), 13, "is there twice"),
        (
            somewhere(more="    efective_from: 2026-01-01\n"),
            13,
            'mean "effective_from"',
        ),
        (somewhere(more="    effective_from: soon\n"), 13, "expected a date"),
        (somewhere().replace("    clause: reg 1\n", ""), 5, "needs clause"),
        (somewhere().replace("    seen: read\n", ""), 5, "needs seen"),
        (
            somewhere().replace("    says: Further than this.\n", ""),
            4,
            '"says" is missing',
        ),
        (somewhere() + "  - bad\n", 13, "expected a mapping"),
        ("pack: home\n  name: [", 2, "not YAML"),
        ("", 1, "empty"),
    ],
)
def test_a_mistake_names_its_file_and_line(text, line, says):
    with pytest.raises(LibraryError) as caught:
        load_packs({"home.yaml": text})
    faults = [(f.filename, f.says) for f in caught.value.faults]
    assert any(name == "home.yaml" and says in words for name, words in faults)
    assert any(abs(fault.line - line) <= 1 for fault in caught.value.faults)


def test_two_values_on_the_same_day_are_refused():
    double = somewhere().split("values:\n")[1]
    with pytest.raises(LibraryError, match=r"line 13.*two values on the same day"):
        load_packs({"home.yaml": somewhere() + double})


def test_a_pack_that_extends_itself_is_refused():
    texts = {
        "a.yaml": somewhere(pack="a", extends="b"),
        "b.yaml": somewhere(pack="b", extends="a"),
    }
    with pytest.raises(LibraryError, match="not a pack that can be extended here"):
        load_packs(texts)


def every_value():
    for pack in PACKS.values():
        for versions in pack.values[0].values():
            yield from versions


def test_every_shipped_value_says_where_it_comes_from():
    for value in every_value():
        source = value.source
        assert value.says.endswith(".") or not value.says, value.key
        if source.basis in (Basis.LAW, Basis.CODE):
            assert source.publisher, value.key
            assert source.clause, value.key
        assert source.cite()


def test_a_value_nobody_has_read_prints_that_it_must_be_checked():
    remembered = [v for v in every_value() if v.source.seen is Seen.REMEMBERED]
    assert remembered
    for value in remembered:
        legal = value.source.basis in (Basis.LAW, Basis.CODE)
        assert (CHECK_FIRST in value.source.cite()) is legal
        assert value.needs_check is legal


def test_no_value_of_the_law_was_read_without_a_place_to_read_it():
    for value in every_value():
        read = value.source.seen is Seen.READ and value.source.basis is Basis.LAW
        if read and not value.source.second_hand:
            assert value.source.url or "WA" in value.source.clause, value.key


@pytest.mark.parametrize("key", sorted(PACKS))
def test_every_number_with_an_edge_can_be_compared_in_its_own_unit(key):
    for value in PACKS[key].in_force(DAY):
        if value.edge is not None:
            inside = value.edge in (Edge.AT_LEAST, Edge.AT_MOST)
            assert value.exceeded_by(value.number, value.unit) is inside
