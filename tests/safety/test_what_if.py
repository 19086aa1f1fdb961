"""What if: another size, tool or way of working, worked out and not kept."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.domain.methods import Lifting
from jobs.models import FactsRevision, JobDimensions, LedgerEntry
from jobs.queries.firm import the_firm
from safety.domain.what_if import GROUND, Fate, Options, with_options
from safety.queries.plans import draft
from safety.queries.what_if import basis_of, what_if
from tests.safety.conftest import text_of

pytestmark = pytest.mark.usefixtures("morning")


@pytest.fixture
def tried(job, now):
    """Try something out on the job."""

    def run(options=None, **dims):
        found, basis = draft(job, now, the_firm()), basis_of(job)
        assert found is not None
        assert basis is not None
        changed = type(basis.dimensions)(**{**plain(basis.dimensions), **dims})
        return what_if(found, basis, changed, options or Options())

    return run


def steps(job):
    basis = basis_of(job)
    assert basis is not None
    return basis.tasks


def plain(dims):
    return {name: getattr(dims, name) for name in type(dims).__slots__}


def lines(outcome, *fates):
    return [
        (step, change.name) for change in outcome.of(*fates) for step in change.steps
    ]


def test_the_job_as_it_is_changes_nothing(tried):
    outcome = tried()
    assert outcome.changes == ()
    assert outcome.worst_was == outcome.worst_now
    assert outcome.same > 50


def test_a_higher_roof_is_worse_and_says_which_height_decides(tried):
    outcome = tried(clear_height_m=3.2)
    worse = outcome.of(Fate.WORSE, Fate.OTHER, Fate.NEW)
    assert worse
    assert not outcome.of(Fate.BETTER, Fate.GONE)
    said = " ".join(says for change in worse for says in change.because)
    assert "3 m" in said


def test_work_on_the_ground_takes_the_fall_out_of_that_step(tried, job):
    up = next(task for task in steps(job) if task.kind == "fix_rafters")
    outcome = tried(Options(on_ground=frozenset({up.key})))
    gone = [c for c in outcome.of(Fate.GONE) if up.name in c.steps]
    falls = [change for change in gone if change.name.startswith("Falling from")]
    assert len(falls) == 1
    assert falls[0].because == ("Height worked at: 0 m, at most 0.5 m.",)
    assert falls[0].was[0]
    assert falls[0].now == ("", "")


def test_a_hired_scaffold_takes_ladders_and_trestles_away(tried):
    gone = {one.name: one for one in tried(Options(scaffold=True)).of(Fate.GONE)}
    assert "Falling off trestles or planks" in gone
    ladder = gone["Falling with or from a ladder"]
    assert ladder.because == ("Tools used: no ladder.",)


def test_what_happens_alike_in_several_steps_is_said_once(tried):
    gone = tried(Options(scaffold=True)).of(Fate.GONE)
    said = [(one.name, one.was, one.because) for one in gone]
    assert len(said) == len(set(said))
    assert any(len(one.steps) > 1 for one in gone)


def test_a_crane_brings_its_own_hazard(tried):
    outcome = tried(Options(lifting=Lifting.CRANE))
    new = lines(outcome, Fate.NEW)
    assert any("crane" in name.casefold() for _, name in new), new
    assert lines(outcome, Fate.GONE)


def test_another_tool_takes_the_place_of_one(tried, job):
    outcome = tried(Options(tools={"ladder": "mobile_scaffold"}))
    names = {name for _, name in lines(outcome, Fate.GONE)}
    assert "Falling with or from a ladder" in names


def test_options_touch_only_the_steps_they_name(job):
    tasks = steps(job)
    up = [task for task in tasks if task.at_height != GROUND]
    done = with_options(tasks, Options(on_ground=frozenset({up[0].key})))
    changed = [new for old, new in zip(tasks, done, strict=True) if new != old]
    assert [task.key for task in changed] == [up[0].key]
    assert with_options(tasks, Options()) == tasks


def test_nothing_is_kept(job, oscar, page):
    def rows():
        kept = (FactsRevision, LedgerEntry)
        return [
            list(JobDimensions.objects.values()),
            *(m.objects.count() for m in kept),
        ]

    before = rows()
    page(oscar, "safety:plan_what_if", job.pk, query="?clear_height_m=3.0&scaffold=on")
    assert rows() == before


def test_the_page_shows_before_and_after_and_what_decides(job, oscar, page):
    words = text_of(
        page(oscar, "safety:plan_what_if", job.pk, query="?clear_height_m=3.2")
    )
    assert "Worst with controls, now" in words
    assert "What would change" in words
    assert "Nothing is kept" in words


def test_the_page_starts_with_the_job_as_it_is(job, oscar, page):
    form = page(oscar, "safety:plan_what_if", job.pk).context["form"]
    assert form["clear_height_m"].value() == "2.4"
    assert not form.is_bound


@pytest.mark.parametrize(
    ("query", "says"),
    [
        ("?clear_height_m=900", "make it between"),
        ("?clear_height_m=high", "Type a number"),
        ("?instead_of=ladder", "Choose the tool"),
        ("?lifting=wings", "Choose one"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(job, oscar, page, query, says):
    refused = page(oscar, "safety:plan_what_if", job.pk, query=query)
    assert refused.status_code == 422
    assert says in text_of(refused)
    assert "What would change" not in text_of(refused)


def test_a_job_without_dimensions_says_so(make_job, oscar, page):
    bare = make_job(dims=None)
    words = text_of(page(oscar, "safety:plan_what_if", bare.pk))
    assert "The dimensions are not set" in words


def test_the_page_asks_the_database_no_more_often_for_an_answer(job, oscar, page):
    def asked(query):
        with CaptureQueriesContext(connection) as found:
            page(oscar, "safety:plan_what_if", job.pk, query=query)
        return len(found)

    asked("")
    assert asked("?clear_height_m=3.0&scaffold=on") == asked("")


def test_the_plan_and_the_job_lead_to_it(job, oscar, page):
    for name in ("safety:plan_detail", "jobs:job_detail"):
        assert f"/jobs/{job.pk}/plan/what-if/" in page(oscar, name, job.pk).text


def test_only_steps_that_join_the_frame_are_offered_for_the_ground(job, oscar, page):
    form = page(oscar, "safety:plan_what_if", job.pk).context["form"]
    offered = {key for key, _ in form.fields["on_ground"].choices}
    kinds = {task.kind for task in steps(job) if task.key in offered}
    assert kinds == {"fix_rafters", "fix_purlins"}


def test_a_longer_edge_with_the_same_ratings_is_told_in_figures(tried):
    outcome = tried(length_m=6.4)
    by_label = {one.label: one for one in outcome.figures}
    edge = by_label["Open edges of the roof"]
    assert (edge.was, edge.now) != ("", "")
    assert edge.was.endswith(" m")
    assert float(edge.now.split()[0]) > float(edge.was.split()[0])
    assert edge.steps
    assert all(one.was != one.now for one in outcome.figures)
    told = [(one.label, one.was, one.now) for one in outcome.figures]
    assert len(told) == len(set(told))


def test_the_job_as_it_is_has_no_figure_that_changes(tried):
    assert tried().figures == ()


def test_figures_that_change_are_folded_on_the_page(oscar, page, job):
    query = "?length_m=6.4"
    words = text_of(page(oscar, "safety:plan_what_if", job.pk, query=query))
    assert "Figures that change" in words
    assert "Open edges of the roof" in words
