"""The toolbox talk of one job on one day: what is known about that day, gathered."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from jobs.domain.chain import digest_of
from jobs.domain.refusals import Refused
from jobs.models import Firm, Job, Person, RenderedFile, Task, Ticket
from jobs.queries.documents import rendered_file
from jobs.queries.firm import local_day, the_firm
from safety.domain.alike import Steps
from safety.domain.statement import Content
from safety.domain.toolbox import Told, talk
from safety.domain.wording import wind_words
from safety.models import Statement
from safety.queries.days_work import days_work
from safety.queries.emergency import emergency_facts
from safety.queries.heat import limit_at
from safety.queries.hold_points import spec_of
from safety.queries.papers import pack_in
from safety.queries.site_day import (
    done_today,
    people_today,
    step_numbers_at,
    wind_limits,
)
from safety.queries.statements import issued_at
from safety.queries.work import day_limits

KIND = "toolbox-4"  # a new layout needs a new kind, or the old print is handed out
MOST_PEOPLE = 8  # named on lines to sign; others sign on the back
FIRST_AID = "first_aid"  # key of the ticket kinds table


@dataclass(frozen=True, slots=True)
class Toolbox:
    """One talk as it is printed. ``content`` is all that it says."""

    job: Job
    day: date
    content: Content

    @property
    def digest(self) -> str:
        """The name of the print."""
        return digest_of(self.content)


def toolbox_of(job: Job, day: date, at: datetime) -> Toolbox:
    """The talk of one day; of a past day, what was done then. At most 20 queries.

    Raises Refused when no statement is in force, or nothing is to be done that day.
    """
    firm = the_firm()
    when = min(at, day_limits(day, firm)[1] - timedelta(seconds=1))
    statement = issued_at([job], when).get(job.pk)
    if statement is None:
        raise Refused(
            "No statement is in force on this job, so there is none to talk about."
        )
    tasks = _tasks(job, day, at, firm)
    if not tasks:
        raise Refused("Nothing is left to do on this job that day.")
    return Toolbox(job, day, _content(job, statement, tasks, (day, at), firm))


def made_talk(found: Toolbox) -> RenderedFile | None:
    """The print of this talk, when it was made. One query."""
    return rendered_file(KIND, found.digest)


def _tasks(job: Job, day: date, at: datetime, firm: Firm) -> list[Task]:
    """Tasks of the day in order, whether they are done by now or not."""
    left = days_work(job, day, at).today if day >= local_day(at, firm) else ()
    rows = {task.pk: task for task in (*done_today(job, day, firm), *left)}
    return sorted(rows.values(), key=lambda task: (task.position, task.pk))


def _content(
    job: Job,
    statement: Statement,
    tasks: Sequence[Task],
    when: tuple[date, datetime],
    firm: Firm,
) -> Content:
    day, at = when
    numbers = step_numbers_at(job, at)
    plan = statement.content
    told = talk(plan, [task.key for task in tasks])
    people = [one.person for one in people_today(job, statement, day, at)]
    emergency = emergency_facts(pack_in(plan), day)
    return {
        "format": KIND,
        "job": plan["job"]["job"],
        "site": str(job.site),
        "firm": firm.name,
        "phone": firm.phone,
        "lead": job.site_lead.name if job.site_lead else "",
        "day": day.isoformat(),
        "document": plan["document"],
        "statement": statement.number,
        "statement_digest": statement.digest,
        "tasks": [
            {"number": numbers.get(task.key, task.position), "name": task.name}
            for task in tasks
        ],
        "hazards": [_hazard(one) for one in told.hazards],
        "wind": _wind(tasks, numbers),
        "heat": limit_at(at, firm).says,
        "weather": [_hazard(one) for one in told.weather],
        "hold_points": [
            {"number": numbers.get(task.key, task.position), "says": spec.says}
            for task in tasks
            if (spec := spec_of(task)) is not None
        ],
        "emergency": {"number": emergency.number, "notify": emergency.notify},
        "first_aiders": _first_aiders(people, day),
        "people": [person.name for person in people[:MOST_PEOPLE]],
        "more_people": max(len(people) - MOST_PEOPLE, 0),
    }


def _hazard(one: Told) -> Content:
    steps: Steps = one.steps
    return {
        "name": one.name,
        "before": one.before,
        "steps": [*steps],
        "deadly": one.is_deadly,
        "controls": [
            {part: control[part] for part in ("text", "who", "when", "check")}
            for control in one.controls
        ],
    }


def _wind(tasks: Sequence[Task], numbers: Mapping[str, int]) -> list[Content]:
    """Wind limits, the lowest first, each with the steps it stops."""
    steps: dict[float, list[int]] = {}
    for task in tasks:
        for _, limit in wind_limits([task]):
            steps.setdefault(limit, []).append(numbers.get(task.key, task.position))
    return [
        {"limit": wind_words(limit), "steps": steps[limit]} for limit in sorted(steps)
    ]


def _first_aiders(people: Sequence[Person], day: date) -> list[str]:
    """Names of those who hold a first aid ticket on the day. One query."""
    rows = Ticket.objects.filter(
        person__in=people, kind=FIRST_AID, withdrawn_at__isnull=True
    )
    holders = {row.person_id for row in rows if row.holds_on(day)}
    return [person.name for person in people if person.pk in holders]
