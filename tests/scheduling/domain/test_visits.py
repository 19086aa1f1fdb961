"""Where a task sequence is parted into visits."""

import pytest

from jobs.domain.methods import LagKind
from scheduling.domain.network import Cycle
from scheduling.domain.visits import Task, TaskLink, cut_into_visits, task_path


def task(key, *links, minutes=480, **more):
    after = tuple(
        link if isinstance(link, TaskLink) else TaskLink(link) for link in links
    )
    return Task(key, key, minutes, more.pop("crew_min", 2), 4, after, **more)


def cut(*tasks):
    return [visit.tasks for visit in cut_into_visits(tasks)]


def test_tasks_that_follow_each_other_are_one_visit():
    assert cut(task("posts"), task("beams", "posts")) == [("posts", "beams")]


def test_a_long_cure_sends_the_crew_away():
    cured = TaskLink("posts", 48, why="concrete")
    posts, beams = cut_into_visits([task("posts"), task("beams", cured)])
    assert (posts.tasks, beams.tasks) == (("posts",), ("beams",))
    assert beams.links[0].after == 1
    assert beams.links[0].lag_hours == 48
    assert beams.links[0].why == "concrete"


def test_a_short_wait_is_waited_out_on_site():
    visits = cut_into_visits([task("a"), task("b", TaskLink("a", 1.5))])
    assert len(visits) == 1
    # 4 hours, then an hour and a half, then 4 hours: more than two half-days.
    assert visits[0].halves[2] == 3


def test_the_trade_changes():
    tasks = [task("roof"), task("wiring", "roof", trade="electrician")]
    tasks.append(task("ceiling", "wiring"))
    assert [v.trade for v in cut_into_visits(tasks)] == ["", "electrician", ""]


def test_a_visit_begins_with_what_is_delivered_for_it():
    tasks = [
        task("frame"),
        task("sheets", "frame", gate="sheets"),
        task("flash", "sheets"),
    ]
    frame, roof = cut_into_visits(tasks)
    assert roof.tasks == ("sheets", "flash")
    assert roof.gates == ("sheets",)
    assert frame.gates == ()


def test_a_delivery_is_waited_for_once():
    gated = [task("a", gate="x"), task("b", "a", gate="x")]
    assert cut(*gated) == [("a", "b")]


def test_a_gated_task_without_predecessors_does_not_hold_up_the_first_visit():
    assert cut(task("set out"), task("sheets", gate="sheets")) == [
        ("set out",),
        ("sheets",),
    ]


def test_work_done_meanwhile_counts_towards_a_cure():
    tasks = [
        task("footing"),
        task("ledger", "footing"),
        task("beam", TaskLink("footing", 24)),
    ]
    first, second = cut_into_visits(tasks)
    assert first.tasks == ("footing", "ledger")
    # The ledger takes four people two hours, and nobody is faster than that.
    assert second.links[0].lag_hours == 22


def test_what_cures_is_done_first():
    tasks = [task("tidy"), task("footing"), task("beam", TaskLink("footing", 48))]
    assert cut(*tasks)[0] == ("footing", "tidy")


def test_a_bigger_crew_needs_fewer_half_days_up_to_a_point():
    visit = cut_into_visits([task("frame", minutes=2400)])[0]
    assert visit.halves == {2: 5, 3: 4, 4: 3}


def test_the_neediest_task_sets_the_crew():
    tasks = [
        task("a", tickets=("height",)),
        task("b", "a", crew_min=3, tickets=("rig",)),
    ]
    visit = cut_into_visits(tasks)[0]
    assert min(visit.halves) == 3
    assert visit.tickets == ("height", "rig")


def test_rain_stops_the_visit_if_it_stops_a_task():
    tasks = [task("a"), task("b", "a", stops_in_rain=True)]
    assert cut_into_visits(tasks)[0].stops_in_rain


def test_working_hours_stay_working_hours():
    link = TaskLink("a", 16, LagKind.WORKING)
    assert (
        cut_into_visits([task("a"), task("b", link)])[1].links[0].lag_kind == "working"
    )


def test_a_circle_of_tasks_is_refused():
    with pytest.raises(Cycle):
        cut_into_visits([task("a", "b"), task("b", "a")])


def test_no_tasks_are_no_visits():
    assert cut_into_visits([]) == ()


def test_the_path_of_tasks_is_counted_in_hours():
    path = task_path([task("a"), task("b", TaskLink("a", 24))], people=2)
    assert path.length == 4 + 24 + 4
