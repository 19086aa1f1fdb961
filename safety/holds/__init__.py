"""Holds that safety knows: statement, sign-on, daily check, hold points, stopped work.

Each reads dated records as they stood at a moment and answers for many jobs in a fixed
number of queries. A closed job has none.
"""

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta

from jobs.domain.holds import Basis, Hold, Stops
from jobs.domain.roles import Role
from jobs.models import FactsRevision, Job
from jobs.queries.firm import local_day, the_firm
from safety.domain.obligations import (
    CHECK_MISSING,
    CHECK_NO_GO,
    HOLD_POINT,
    SIGN_ON_MISSING,
    STATEMENT_MISSING,
    STATEMENT_STALE,
    WORK_STOPPED,
)
from safety.domain.tolerance import TO_CLEAR
from safety.holds.weather import named, weather_holds
from safety.models import DailyCheck, Statement, StopWork
from safety.queries.checks import checks_made, that_count
from safety.queries.hold_points import HoldPoint, hold_points_at, hold_points_in
from safety.queries.staleness import (
    Changed,
    Unissued,
    latest_facts,
    out_of_date,
    unissued,
)
from safety.queries.statements import issued_at, signed_at, waiting_at
from safety.queries.stops import open_stops
from safety.queries.work import (
    SIGN_ON_AHEAD,
    at_work,
    booked_on,
    called_off_on,
    next_day_booked,
    tasks_moved_on,
)

_WORDS_SHOWN = 160  # letters of what stopped work
_NOT_DONE = "Today's hazard check is not done."
_DO_IT = "do the check on site before anybody starts."
_SINCE_RELEASED = (
    "Work was stopped and released since today's hazard check, so that check does not "
    "count any more."
)
_CHECK_ANEW = "do the check again on site before anybody goes on."


def _open_at(jobs: Sequence[Job], at: datetime) -> list[Job]:
    return [job for job in jobs if job.closed_at is None or job.closed_at > at]


def statement_holds(jobs: Sequence[Job], at: datetime) -> Iterator[Hold]:
    """No statement issued, or an issued one that no longer fits. At most 18 queries."""
    firm, wanted = the_firm(), _open_at(jobs, at)
    issued = issued_at(wanted, at)
    bare = [job for job in wanted if job.pk not in issued]
    waiting = waiting_at(bare, at)
    facts = latest_facts([job.pk for job in bare], at)
    plans = unissued(facts, at, firm)
    for job in bare:
        plan = plans.get(job.pk, Unissued())
        yield _missing(job, facts.get(job.pk), waiting, plan, local_day(at, firm))
    for job_id, changed in out_of_date(issued, at, firm).items():
        yield _stale(issued[job_id], changed, local_day(at, firm))


def _missing(
    job: Job,
    facts: FactsRevision | None,
    waiting: dict[int, Statement],
    plan: Unissued,
    day: date,
) -> Hold:
    says = "No statement is issued for this job yet."
    todo = "review the hazard plan and issue it."
    if job.pk in waiting:
        says = f"Version {waiting[job.pk].number} of the statement is not issued yet."
        todo = "issue it."
    if facts is None:
        todo = "set the dimensions, then review the hazard plan and issue it."
    if plan.too_high:
        says, todo = f"{says} {plan.too_high}", f"{TO_CLEAR}; then {todo}"
    return Hold(
        rule=STATEMENT_MISSING,
        job_id=job.pk,
        says=says,
        stops=frozenset({Stops.WORK}),
        cleared_by=_who_clears(plan.too_high),
        clear_by_doing=todo,
        basis=Basis.LAW if plan.by_law else Basis.FIRM,
        since=facts.at if facts else job.created_at,
        forecast=day if facts else None,
        record=("safety.plan", job.pk),
    )


def _stale(statement: Statement, changed: Changed, day: date) -> Hold:
    says = f"Statement version {statement.number} no longer fits the job: "
    todo = "look at what changed, then review and issue a new version."
    if changed.too_high:
        todo = f"{TO_CLEAR}; then review and issue a new version."
    return Hold(
        rule=STATEMENT_STALE,
        job_id=statement.job_id,
        says=f"{says}{changed.cause}. {changed.too_high}".strip(),
        stops=frozenset({Stops.WORK}),
        cleared_by=_who_clears(changed.too_high),
        clear_by_doing=todo,
        basis=Basis.LAW if statement.by_law else Basis.FIRM,
        since=changed.since,
        forecast=day,
        record=("safety.statement", statement.pk),
    )


def _who_clears(too_high: str) -> frozenset[Role]:
    """The office; the owner too where the firm's own line is in the way."""
    return frozenset({Role.OFFICE, Role.OWNER} if too_high else {Role.OFFICE})


def sign_on_holds(jobs: Sequence[Job], at: datetime) -> Iterator[Hold]:
    """People at work, or booked next, who have not signed on. Five queries.

    Once somebody has started work on the day, those at work count and nobody else: who
    is booked and stayed away need not sign.
    """
    firm, wanted = the_firm(), _open_at(jobs, at)
    day = local_day(at, firm)
    issued = issued_at(wanted, at)
    signed = signed_at(issued.values(), at)
    present = at_work(wanted, day, at)
    booked = next_day_booked(wanted, day, day + SIGN_ON_AHEAD)
    for job_id, statement in issued.items():
        work = booked.get(job_id)
        people = present.get(job_id) or (work.people if work else {})
        missing = [
            name for pk, name in people.items() if pk not in signed[statement.pk]
        ]
        if missing:
            by = day if job_id in present or work is None else work.day
            yield unsigned_hold(statement, missing, by)


def unsigned_hold(statement: Statement, names: Sequence[str], by: date) -> Hold:
    """The hold of people who have not signed on to the version in force."""
    have = "has" if len(names) == 1 else "have"
    return Hold(
        rule=SIGN_ON_MISSING,
        job_id=statement.job_id,
        says=f"{named(names)} {have} not signed on to statement version "
        f"{statement.number}.",
        stops=frozenset({Stops.WORK}),
        cleared_by=frozenset({Role.CREW, Role.SITE_LEAD}),
        clear_by_doing="read the statement and sign on, on your own phone or the site "
        "lead's.",
        basis=Basis.FIRM,
        since=statement.issued_at,
        forecast=by,
        record=("safety.statement", statement.pk),
    )


def daily_check_holds(jobs: Sequence[Job], at: datetime) -> Iterator[Hold]:
    """No check today, a "no go", or weather above a limit. At most 13 queries.

    A check is missing only on a day that a crew is booked or somebody works. Once work
    was stopped and released, a check from before does not count: a new one is missing.
    """
    firm, wanted = the_firm(), _open_at(jobs, at)
    day = local_day(at, firm)
    made = checks_made(wanted, day, at)
    checks = that_count(made)
    worked = set(at_work(wanted, day, at)) | tasks_moved_on(wanted, day, at, firm)
    booked = booked_on(wanted, day) - called_off_on(wanted, day, at)
    for job in wanted:
        check = checks.get(job.pk)
        if check is None and job.pk in made:
            yield _unchecked(job, day, _SINCE_RELEASED, _CHECK_ANEW)
        elif check is None and job.pk in booked | worked:
            yield _unchecked(job, day)
        elif check is not None and check.outcome == DailyCheck.Outcome.NO_GO:
            yield _no_go(check)
    yield from weather_holds(checks, wanted, at, firm)


def _unchecked(job: Job, day: date, says: str = _NOT_DONE, todo: str = _DO_IT) -> Hold:
    return Hold(
        rule=CHECK_MISSING,
        job_id=job.pk,
        says=says,
        stops=frozenset({Stops.WORK}),
        cleared_by=frozenset({Role.SITE_LEAD}),
        clear_by_doing=todo,
        basis=Basis.FIRM,
        since=day,
        forecast=day,
        record=("safety.site_day", job.pk),
    )


def _no_go(check: DailyCheck) -> Hold:
    return Hold(
        rule=CHECK_NO_GO,
        job_id=check.job_id,
        says=f"No go today, said {check.checked_by.name}: {check.note}",
        stops=frozenset({Stops.WORK}),
        cleared_by=frozenset({Role.SITE_LEAD, Role.OFFICE}),
        clear_by_doing="put it right, then do the check again.",
        basis=Basis.FIRM,
        since=check.device_at,
        forecast=check.day + timedelta(days=1),
        record=("safety.daily_check", check.pk),
    )


def hold_point_holds(jobs: Sequence[Job], at: datetime) -> Iterator[Hold]:
    """Hold points that work has come to and that are not passed. Four queries."""
    for point in hold_points_at(_open_at(jobs, at), at):
        if not point.passed and point.waiting and _reached(point, at):
            yield _hold_point(point, at)


def hold_points_ahead(jobs: Sequence[Job], at: datetime) -> dict[int, list[Hold]]:
    """Hold points not passed that work has not come to, by job id. Three queries.

    They hold nothing yet, so no page for the office lists them; but whoever starts one of
    the tasks that wait for them goes past them, and it is a breach from that moment on.
    So the day on site asks for them before the start. Every job has a key.
    """
    found: dict[int, list[Hold]] = {job.pk: [] for job in jobs}
    open_jobs = [job.pk for job in _open_at(jobs, at)]
    for point in hold_points_in(open_jobs, at):
        if not point.passed and point.waiting and not _reached(point, at):
            found[point.task.job_id].append(_hold_point(point, at))
    return found


def _reached(point: HoldPoint, at: datetime) -> bool:
    """Whether the hold point was measured, or work is at it or already past it."""
    past = any(_begun(task.started_at, at) for task in point.waiting)
    return past or point.last is not None or _begun(point.task.done_at, at)


def _begun(when: datetime | None, at: datetime) -> bool:
    return when is not None and when <= at


def _hold_point(point: HoldPoint, at: datetime) -> Hold:
    state = "was measured and failed" if point.last else "is not measured yet"
    practice = point.spec.source.startswith(Basis.PRACTICE)
    return Hold(
        rule=f"{HOLD_POINT}.{point.spec.key}",
        job_id=point.task.job_id,
        says=f"The hold point after “{point.task.name}” {state}: {point.spec.says}",
        stops=frozenset({Stops.TASKS}),
        cleared_by=frozenset({Role.SITE_LEAD}),
        clear_by_doing="put it right and measure it again."
        if point.last
        else "measure it.",
        basis=Basis.PRACTICE if practice else Basis.FIRM,
        since=point.last.device_at if point.last else point.task.done_at or at,
        forecast=None,
        task_ids=frozenset(task.pk for task in point.waiting),
        record=("safety.hold_point", point.task.pk),
    )


def stop_work_holds(jobs: Sequence[Job], at: datetime) -> Iterator[Hold]:
    """Work that somebody stopped and nobody has released. One query."""
    for stop in open_stops(_open_at(jobs, at), at):
        yield _stopped(stop)


def _stopped(stop: StopWork) -> Hold:
    return Hold(
        rule=f"{WORK_STOPPED}.{stop.kind}",
        job_id=stop.job_id,
        says=f"{stop.stopped_by.name} stopped work: {_shortened(stop.what)}",
        stops=frozenset({Stops.WORK}),
        cleared_by=frozenset({Role.OFFICE, Role.OWNER}),
        clear_by_doing="look into it, then release the work with what was found.",
        basis=Basis.FIRM,
        since=stop.device_at,
        record=("safety.stop_work", stop.pk),
    )


def _shortened(words: str) -> str:
    line = " ".join(words.split())
    if len(line) > _WORDS_SHOWN:
        line = f"{line[:_WORDS_SHOWN].rsplit(' ', 1)[0]} …"
    return line if line.endswith((".", "!", "?", "…")) else f"{line}."
