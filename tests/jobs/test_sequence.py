"""The office changes the sequence of one job; the library stays as it is."""

from itertools import pairwise

import pytest
from django.urls import reverse

from jobs.domain.refusals import Refused
from jobs.library import method
from jobs.models import FactsRevision, LedgerEntry, TaskLink
from jobs.queries.facts import task_specs
from jobs.queries.sequence import sequence_of
from jobs.services.sequence import NewLink, relink_task, remove_task


def names(job):
    return list(job.tasks.order_by("position").values_list("name", flat=True))


def task_url(name, task, *more):
    return reverse(f"jobs:{name}", args=[task.pk, *more])


def links_typed(*rows, version=1):
    """Rows of (task, hours, why) as the form sends them."""
    typed = {
        "version": version,
        "links-TOTAL_FORMS": len(rows),
        "links-INITIAL_FORMS": 0,
    }
    for n, (task, hours, why) in enumerate(rows):
        typed[f"links-{n}-after_id"] = task.pk
        typed[f"links-{n}-lag_hours"] = hours
        typed[f"links-{n}-lag_kind"] = "calendar"
        typed[f"links-{n}-why"] = why
    return typed


@pytest.fixture
def tasks(measured):
    """The tasks of a measured job, in order."""
    return list(measured.tasks.order_by("position"))


@pytest.fixture
def task_typed():
    """A task as typed."""
    return {
        "name": "Wrap the posts",
        "kind": "stand_posts",
        "setup_minutes": "10",
        "minutes_per_unit": "5",
        "per": "post_count",
        "crew_min": "1",
        "crew_max": "2",
        "at_height": "ground",
        "tickets": ["working_at_heights"],
        "position": "4",
    }


def test_a_task_is_added_where_asked(as_person, oscar, measured, tasks, task_typed):
    url = reverse("jobs:task_add", args=[measured.pk])
    as_person(oscar).post(url, task_typed | {"after": [tasks[0].pk]})
    assert names(measured)[3] == "Wrap the posts"
    spec = task_specs(measured)[3]
    assert spec.tickets == ("working_at_heights",)
    assert [link.after for link in spec.links] == [tasks[0].key]
    assert LedgerEntry.objects.filter(verb="job:task:added").exists()
    assert FactsRevision.objects.filter(job=measured).count() == 2


def test_it_stands_after_what_it_waits_for(
    as_person, oscar, measured, tasks, task_typed
):
    url = reverse("jobs:task_add", args=[measured.pk])
    as_person(oscar).post(url, task_typed | {"after": [tasks[9].pk]})
    order = names(measured)
    assert order.index("Wrap the posts") > order.index(tasks[9].name)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"name": ""}, "Fill this in"),
        ({"crew_min": "3"}, "must not be less"),
        ({"wind_limit_ms": "10"}, "whose limit"),
        ({"minutes_per_unit": "-1"}, "Make it at least 0"),
        ({"kind": "juggling"}, "Choose one from the list"),
    ],
)
def test_a_task_that_cannot_be_is_refused(
    as_person, oscar, measured, task_typed, change, says
):
    before = names(measured)
    url = reverse("jobs:task_add", args=[measured.pk])
    response = as_person(oscar).post(url, task_typed | change)
    assert response.status_code == 422
    assert says in response.text
    assert names(measured) == before


def test_details_change_and_tools_stay(as_person, oscar, measured, tasks, task_typed):
    task = next(t for t in tasks if t.spec["tools"])
    as_person(oscar).post(task_url("task_edit", task), task_typed | {"version": 1})
    old = task.spec
    task.refresh_from_db()
    assert task.name == "Wrap the posts"
    assert task.spec["crew_max"] == 2
    assert task.spec["tools"] == old["tools"]


def test_the_library_is_untouched(as_person, oscar, measured, tasks, task_typed):
    before = method("attached_flat")
    as_person(oscar).post(task_url("task_edit", tasks[0]), task_typed | {"version": 1})
    assert method("attached_flat") == before


def test_a_stale_task_form_is_told(as_person, oscar, tasks, task_typed):
    browser, url = as_person(oscar), task_url("task_edit", tasks[0])
    browser.post(url, task_typed | {"version": 1})
    late = browser.post(url, task_typed | {"version": 1, "name": "Other"})
    assert late.status_code == 422
    assert "“Wrap the posts”" in late.text


def test_what_waited_for_a_removed_task_waits_for_what_it_waited_for(
    as_person, oscar, measured, tasks
):
    gone = next(t for t in tasks if t.links_in.exists() and t.links_out.exists())
    before = set(gone.links_in.values_list("predecessor__key", flat=True))
    after = set(gone.links_out.values_list("successor__key", flat=True))
    as_person(oscar).post(task_url("task_remove", gone))
    assert gone.name not in names(measured)
    for key in after:
        now_waits = TaskLink.objects.filter(successor__key=key, successor__job=measured)
        assert before <= set(now_waits.values_list("predecessor__key", flat=True))


def test_a_task_that_has_started_stays(as_person, oscar, measured, tasks, now):
    measured.tasks.filter(pk=tasks[0].pk).update(started_at=now)
    response = as_person(oscar).post(task_url("task_remove", tasks[0]))
    assert response.status_code == 422
    assert "has started" in response.text
    assert tasks[0].name in names(measured)


def test_a_move_that_the_links_allow(as_person, oscar, measured, tasks):
    free = next(
        (a, b)
        for a, b in pairwise(tasks)
        if not b.links_in.filter(predecessor=a).exists()
    )
    as_person(oscar).post(task_url("task_move", free[1], free[1].position - 1))
    order = names(measured)
    assert order.index(free[1].name) < order.index(free[0].name)


def test_a_move_against_a_link_is_refused_in_words(as_person, oscar, measured, tasks):
    before = names(measured)
    url = task_url("task_move", tasks[1], 1)
    response = as_person(oscar).post(url, follow=True)
    assert "cannot come before it" in response.text
    assert names(measured) == before


def test_a_wait_between_tasks(as_person, oscar, measured, tasks):
    last = tasks[-1]
    url = task_url("task_links", last)
    typed = links_typed((tasks[-2], "24", "sealant cures"), (tasks[0], "", ""))
    as_person(oscar).post(url, typed)
    view = sequence_of(measured, None)[-1]
    assert view.waits_for == (
        f"after 1 and 24 hours by the clock after {len(tasks) - 1} (sealant cures)"
    )


def test_a_loop_is_refused_and_shown(as_person, oscar, measured, tasks):
    first, last = tasks[0], tasks[-1]
    response = as_person(oscar).post(
        task_url("task_links", first), links_typed((last, "", ""))
    )
    assert response.status_code == 422
    assert "in a loop" in response.text
    assert first.name in response.text
    assert not first.links_in.exists()


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ([(1, "24", "")], "Say why"),
        ([(1, "", ""), (1, "2", "twice")], "named twice"),
        ([(1, "-3", "back in time")], "Make it at least 0"),
    ],
)
def test_links_that_cannot_be(as_person, oscar, tasks, rows, says):
    typed = links_typed(*((tasks[n], hours, why) for n, hours, why in rows))
    response = as_person(oscar).post(task_url("task_links", tasks[-1]), typed)
    assert response.status_code == 422
    assert says in response.text


def test_a_stale_links_form_is_refused(as_person, oscar, tasks):
    browser, url = as_person(oscar), task_url("task_links", tasks[-1])
    browser.post(url, links_typed((tasks[0], "", "")))
    late = browser.post(url, links_typed((tasks[1], "", "")))
    assert late.status_code == 422
    assert "changed this after you opened it" in late.text


def test_a_task_of_another_job_cannot_be_waited_for(measured, make_job, oscar, now):
    other = make_job("Other").tasks.first()
    with pytest.raises(Refused, match="same job"):
        relink_task(
            task=measured.tasks.last(),
            version=1,
            after=[NewLink(other.pk)],
            actor=oscar,
            at=now,
        )


def test_a_closed_job_keeps_its_sequence(measured, tasks, oscar, now):
    measured.closed_at, measured.closed_how = now, "called_off"
    measured.save(update_fields=["closed_at", "closed_how"])
    with pytest.raises(Refused, match="closed"):
        remove_task(task=tasks[0], actor=oscar, at=now)


@pytest.mark.parametrize("name", ["task_edit", "task_links", "task_remove"])
def test_only_the_office_changes_it(as_person, sal, lou, tasks, name):
    url = task_url(name, tasks[0])
    assert as_person(sal).get(url).status_code == 403
    assert as_person(lou).get(url).status_code == 404


def test_a_move_takes_a_button_not_a_link(as_person, oscar, tasks):
    assert as_person(oscar).get(task_url("task_move", tasks[1], 3)).status_code == 405
