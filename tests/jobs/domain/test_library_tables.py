from pathlib import Path

import pytest

from jobs.domain.sections import Role, parse_sections
from jobs.domain.task_kinds import parse_task_kinds
from jobs.domain.ticket_kinds import parse_ticket_kinds
from jobs.domain.tools import parse_tools
from jobs.domain.yaml_lines import LibraryError

FIXTURES = Path(__file__).parents[3] / "fixtures"


def read(parse, name):
    return parse((FIXTURES / name).read_text(encoding="utf-8"), filename=name)


def test_every_powered_tool_that_shakes_also_has_a_noise_level():
    tools = read(parse_tools, "tools.yaml")
    assert all(t.noise_dba for t in tools.values() if t.vibration_ms2)


def test_exposure_values_say_how_they_are_known():
    tools = read(parse_tools, "tools.yaml")
    values = [v for t in tools.values() for v in (t.noise_dba, t.vibration_ms2) if v]
    assert len(values) > 30
    assert all(v.source for v in values)
    assert all(60 <= t.noise_dba.value <= 120 for t in tools.values() if t.noise_dba)


def test_ticket_kinds_say_how_they_lapse():
    kinds = read(parse_ticket_kinds, "ticket_kinds.yaml")
    assert kinds["construction_induction"].expires_after_months is None
    assert all(kind.expiry.endswith(".") for kind in kinds.values())


def test_task_kinds_have_one_line_each():
    kinds = read(parse_task_kinds, "methods/task_kinds.yaml")
    assert len(kinds) == 32
    assert all(kind.what.endswith(".") for kind in kinds.values())


def test_the_table_offers_each_role_in_steel_or_timber():
    sections = read(parse_sections, "sections.yaml")
    for role in (Role.BEAM, Role.RAFTER, Role.PURLIN, Role.POST, Role.JOIST):
        materials = {s.material for s in sections.values() if s.role is role}
        assert materials >= {"steel", "timber"}, role


def test_timber_masses_follow_from_size_and_density():
    timber = read(parse_sections, "sections.yaml")["rafter_timber_140"]
    assert timber.kg_per_m == pytest.approx(0.140 * 0.045 * 550, abs=0.05)


ROW = "- {key: a, name: A, role: ROLE, material: steel, depth_mm: 90, stock_max_m: 8, source: s, known: read, MASS}"


@pytest.mark.parametrize(
    ("role", "mass", "says"),
    [
        ("beam", "kg_per_m2: 3", 'a beam needs "kg_per_m" above 0.'),
        ("sheet", "kg_per_m: 3", 'a sheet needs "kg_per_m2" above 0.'),
        ("sheet", "kg_per_m2: 3", 'a sheet needs "screws_per_purlin".'),
        ("board", "kg_per_m: 3", 'a board needs "cover_mm", its width and gap.'),
        (
            "beem",
            "kg_per_m: 3",
            'there is no role of a section "beem". Did you mean "beam"?',
        ),
    ],
)
def test_a_section_without_what_its_role_needs_is_refused(role, mass, says):
    text = "# one\n" + ROW.replace("ROLE", role).replace("MASS", mass)
    with pytest.raises(LibraryError) as caught:
        parse_sections(text, filename="sections.yaml")
    assert str(caught.value) == f"sections.yaml, line 2: {says}"
