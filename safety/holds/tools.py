"""Holds of tools whose electrical test is overdue, failed or missing.

Only tools count that the firm has put on its list; a kind with none on it holds nothing.
One good tool of a kind is enough: the others must not be used, and the list says so.
"""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from jobs.domain.holds import Basis, Hold, Stops
from jobs.domain.roles import Role
from jobs.library import tools
from jobs.models import Job, Task
from jobs.queries.firm import local_day, the_firm
from safety.domain.obligations import TOOL_TEST
from safety.domain.tool_tests import TestedTool, Unfit, unfit
from safety.queries.rules import rules_at
from safety.queries.tool_tests import every_months, test_rule, tested_tools_at
from safety.queries.work import SIGN_ON_AHEAD, at_work, tasks_ahead, tasks_left


@dataclass(frozen=True, slots=True)
class _Place:
    """What tests rest on where a job is."""

    every: int | None
    basis: Basis


def tool_test_holds(jobs: Sequence[Job], at: datetime) -> Iterator[Hold]:
    """Tasks of today, or booked within a week, that no tested tool is there for.

    At most ten queries, one when the firm has listed no tool.
    """
    firm = the_firm()
    day = local_day(at, firm)
    listed = tested_tools_at(day, at)
    wanted = [job for job in jobs if job.closed_at is None or job.closed_at > at]
    if not listed or not wanted:
        return
    places = _places(wanted, day, off=rules_at(at, firm).texts.tool_tests_off)
    work = _work(wanted, day, at)
    for job in wanted:
        place = places[job.pk]
        if place is not None:
            yield from _of_job(job, work.get(job.pk, []), listed, place)


def _places(
    jobs: Sequence[Job], day: date, *, off: bool
) -> Mapping[int, _Place | None]:
    """By job id; None where the firm has turned the holds off and no law asks. One query."""
    rows = Job.objects.filter(pk__in=[job.pk for job in jobs])
    states = dict(rows.values_list("pk", "site__state"))
    by_state = {state: _place(state, day) for state in set(states.values())}
    return {
        pk: None if off and by_state[state].basis is not Basis.LAW else by_state[state]
        for pk, state in states.items()
    }


def _place(state: str, day: date) -> _Place:
    rule = test_rule(state, day)
    return _Place(every_months(rule), rule.source.basis if rule else Basis.FIRM)


def _work(
    jobs: Sequence[Job], day: date, at: datetime
) -> Mapping[int, list[tuple[Task, date]]]:
    """Tasks with the day they are next to be worked on, by job id. Three queries.

    Those booked from today on for a week; where people are at work without a booking,
    all that is left.
    """
    found = defaultdict(list, tasks_ahead(jobs, day, day + SIGN_ON_AHEAD, at))
    working = at_work(jobs, day, at)
    # Of all who are at work, so that the count of queries hangs on nobody's booking.
    left = tasks_left([job for job in jobs if job.pk in working], at)
    for job_id, tasks in left.items():
        if all(when > day for _, when in found[job_id]):
            found[job_id] = [(task, day) for task in tasks]
    return found


def _of_job(
    job: Job,
    work: Sequence[tuple[Task, date]],
    listed: Collection[TestedTool],
    place: _Place,
) -> Iterator[Hold]:
    held: dict[str, list[tuple[Task, date, Unfit]]] = defaultdict(list)
    kinds = {tool.kind for tool in listed}
    for task, when in work:
        used = {use["tool"] for use in task.spec.get("tools", ())}
        for kind in sorted(used & kinds):
            found = unfit(listed, kind, when, place.every)
            if found is not None:
                held[kind].append((task, when, found))
    for kind, rows in held.items():
        yield _hold(job, kind, rows, place.basis)


def _hold(
    job: Job,
    kind: str,
    rows: Sequence[tuple[Task, date, Unfit]],
    basis: Basis,
) -> Hold:
    _, _, found = min(rows, key=lambda row: row[1])
    name = tools()[kind].name if kind in tools() else kind
    return Hold(
        rule=f"{TOOL_TEST}.{found.state}",
        job_id=job.pk,
        says=f"No {name[:1].lower()}{name[1:]} of ours may be used: {found.says}.",
        stops=frozenset({Stops.TASKS}),
        cleared_by=frozenset({Role.OFFICE}),
        clear_by_doing="have it tested and tagged by a competent person and write the "
        "test down, or use another tool that is tested. Take it off the list when it is "
        "no longer used.",
        basis=basis,
        since=found.since,
        forecast=None,
        task_ids=frozenset(task.pk for task, _, _ in rows),
        record=("safety.tool_item", found.tool.pk),
    )
