"""Cut jobs into visits.

Nothing lower calls this: visits are cut when the schedule needs them, when a draft is
asked for and when somebody books a job by hand. A page that only shows a job reads how it
would be cut now (``queries.cuts``) and never writes.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from jobs import ledger
from jobs.domain.roles import Can
from jobs.models import Job, Person, Task
from jobs.permissions import require
from jobs.queries import the_firm
from scheduling.domain.verbs import Verb
from scheduling.domain.visits import VisitCut
from scheduling.models import Visit
from scheduling.queries.cuts import JobCut, job_cuts
from scheduling.queries.visits import current_visits
from scheduling.services.booking_rows import take_off_plan
from scheduling.services.slots import settle_working_days

NOTHING = JobCut((), ())
COLUMNS = (
    "name",
    "person_minutes",
    "crew_min",
    "crew_max",
    "halves",
    "links",
    "tickets",
    "trade",
    "stops_in_rain",
)


@transaction.atomic
def sync_visits(*, job: Job, actor: Person, at: datetime) -> list[Visit]:
    """Bring a job's visits up to its task sequence as it is now."""
    return sync_all_visits(jobs=[job], actor=actor, at=at)[job.pk]


@transaction.atomic
def sync_all_visits(
    *, jobs: Iterable[Job], actor: Person, at: datetime
) -> dict[int, list[Visit]]:
    """Bring the visits of many jobs up to their sequences; answers them by job id.

    A visit keeps its record by its place in the job; a visit that is gone loses its
    booking. Jobs whose visits are right already are left alone.
    """
    require(actor, Can.EDIT_SCHEDULE)
    pks = [job.pk for job in jobs]
    listed = list(Job.objects.select_related("site").filter(pk__in=pks))
    cuts = job_cuts(listed, the_firm())
    rows = _by_job(listed)
    task_ids = _task_ids(listed)
    freed = False
    for job in listed:
        freed |= _sync(
            job, cuts.get(job.pk, NOTHING), rows[job.pk], task_ids, actor, at
        )
    if freed:
        settle_working_days(at=at)
    return _by_job(listed)


def _by_job(jobs: list[Job]) -> dict[int, list[Visit]]:
    found: dict[int, list[Visit]] = {job.pk: [] for job in jobs}
    for visit in current_visits(jobs):
        found[visit.job_id].append(visit)
    return found


def _task_ids(jobs: list[Job]) -> Mapping[int, Mapping[str, int]]:
    found: dict[int, dict[str, int]] = defaultdict(dict)
    for pk, job_id, key in Task.objects.filter(job__in=jobs).values_list(
        "pk", "job_id", "key"
    ):
        found[job_id][key] = pk
    return found


def _sync(
    job: Job,
    cut: JobCut,
    rows: list[Visit],
    task_ids: Mapping[int, Mapping[str, int]],
    actor: Person,
    at: datetime,
) -> bool:
    """Write what differs for one job; whether a booking was taken off the plan."""
    have = {row.ordinal: row for row in rows}
    changed = [
        visit.number
        for visit in cut.visits
        if _write(job, visit, cut, have.pop(visit.number, None), task_ids[job.pk])
    ]
    freed = False
    for gone in have.values():
        gone.dropped_at = at
        gone.save(update_fields=["dropped_at"])
        freed |= take_off_plan(gone, why="the visit is gone", actor=actor, at=at)
    if changed or have:
        payload = {
            "visits": {str(v.number): list(v.tasks) for v in cut.visits},
            "changed": changed,
            "gone": sorted(have),
        }
        _log(job, payload, actor, at)
    return freed


def _write(
    job: Job,
    visit: VisitCut,
    cut: JobCut,
    row: Visit | None,
    task_ids: Mapping[str, int],
) -> bool:
    """Make or change one visit; whether anything was different."""
    values = _columns(visit, cut)
    wanted = {task_ids[key] for key in visit.tasks}
    if row is None:
        row = Visit.objects.create(job=job, ordinal=visit.number, **values)
        row.tasks.set(wanted)
        return True
    different = [name for name in COLUMNS if getattr(row, name) != values[name]]
    for name in different:
        setattr(row, name, values[name])
    if different:
        row.save(update_fields=different)
    tasks = {task.pk for task in row.tasks.all()}
    if tasks != wanted:
        row.tasks.set(wanted)
    return bool(different) or tasks != wanted


def _columns(visit: VisitCut, cut: JobCut) -> dict[str, Any]:
    tasks = [cut.named()[key] for key in visit.tasks]
    return {
        "name": _name([task.name for task in tasks]),
        "person_minutes": round(sum(task.person_minutes for task in tasks), 3),
        "crew_min": min(visit.halves),
        "crew_max": max(visit.halves),
        "halves": {str(people): halves for people, halves in visit.halves.items()},
        "links": [
            {
                "after": link.after,
                "lag_hours": link.lag_hours,
                "lag_kind": link.lag_kind.value,
                "why": link.why,
            }
            for link in visit.links
        ],
        "tickets": list(visit.tickets),
        "trade": visit.trade,
        "stops_in_rain": visit.stops_in_rain,
    }


def _name(tasks: list[str]) -> str:
    """The first and the last task, without what follows their first comma."""
    first, last = (name.split(",")[0][:58] for name in (tasks[0], tasks[-1]))
    return tasks[0][:120] if len(tasks) == 1 else f"{first} … {last}"


def _log(job: Job, payload: Mapping[str, Any], actor: Person, at: datetime) -> None:
    ledger.append(
        chain=job,
        actor=actor,
        at=at,
        verb=Verb.VISITS_CUT,
        subject=job,
        payload=payload,
    )
