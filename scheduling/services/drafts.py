"""Ask for a draft of the plan, work it out in the background, discard it."""

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime, timedelta
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import QuerySet

from jobs import background
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.models import BackgroundRun, Job, Person
from jobs.permissions import require
from jobs.queries import local_day, the_firm
from scheduling.domain.calendar import Slot, say_day
from scheduling.domain.problem import Problem
from scheduling.domain.solution import Booking as Placed
from scheduling.domain.solution import OnProgress, ShouldStop, Solution
from scheduling.holds import crew_holds
from scheduling.models import Booking, Draft, DraftBooking, Leaning, LostDay, PlanHead
from scheduling.permissions import may_lose_day
from scheduling.queries.bookings import bookings_between
from scheduling.queries.calendar import next_slot
from scheduling.queries.other_trades import as_data
from scheduling.queries.plan_choice import plan_choice
from scheduling.queries.problem import Loaded, load_problem, open_jobs
from scheduling.services.visits import sync_all_visits

TASK = "scheduling.tasks.make_draft"
UNCLAIMED = timedelta(minutes=2)  # waiting longer: no worker is there
OVERDUE = timedelta(minutes=5)  # running longer: its worker is gone
WHY_LONGEST = 160  # letters

Solve = Callable[[Problem, int, OnProgress, ShouldStop], Solution]  # with a seed


@transaction.atomic
def ask_for_draft(
    *,
    why: str = "",
    mends: bool = False,
    seed: int = 1,
    actor: Person,
    at: datetime,
) -> Draft:
    """Start working out a draft of the plan from the records as they are now.

    One that mends a plan in which something went wrong leaves all else where it is as far
    as promises allow; otherwise the firm's choice says what counts most.

    One draft is worked out at a time. One whose worker is gone is given up and made
    anew; the published plan is not touched by either.
    """
    require(actor, Can.EDIT_SCHEDULE)
    for earlier in _being_made():
        _give_up_or_refuse(earlier, at)
    draft = Draft.objects.create(
        why=why,
        seed=seed,
        leaning=Leaning.CALM if mends else plan_choice().leaning,
        mends=mends,
        **_made(actor, at),
    )
    return _start(draft, asked_by=actor, at=at)


@transaction.atomic
def suggest_draft(*, lost: LostDay, actor: Person, at: datetime) -> Draft | None:
    """Have a draft worked out for the office that plans around a day called off.

    For those who may call the day off; the office compares and publishes it, or not.
    None where nothing has to move because of it, and while another draft is being worked
    out: :func:`catch_up` sees to it when that one is done.
    """
    if not may_lose_day(actor, lost.job):
        raise PermissionDenied("Only the office, or the lead of the job, may do this.")
    if not _is_worth_a_draft(lost, at):
        return None
    for earlier in _being_made():
        if not is_stale(earlier, at):
            return None
        _give_up(earlier, at)
    draft = Draft.objects.create(
        why=why_lost(lost),
        leaning=Leaning.CALM,
        mends=True,
        from_site=not actor.can(Can.EDIT_SCHEDULE),
        **_made(actor, at),
    )
    return _start(draft, asked_by=None, at=at)  # the office's to follow and to stop


def _is_worth_a_draft(lost: LostDay, at: datetime) -> bool:
    """Whether work that is not done yet was booked on the day, and it is still off.

    For a day that has passed, a job of it must also be booked from now on: what is over
    cannot be moved.
    """
    today = local_day(at, the_firm())
    rows = bookings_between(lost.day, lost.day).filter(
        visit__tasks__done_at__isnull=True
    )
    if lost.job_id is not None:
        rows = rows.filter(visit__job=lost.job_id)
    if lost.day < today:
        ahead = Booking.objects.filter(cancelled_at__isnull=True, end_on__gte=today)
        rows = rows.filter(visit__job__in=ahead.values("visit__job"))
    return lost.cancelled_at is None and rows.exists()


@transaction.atomic
def catch_up(*, at: datetime) -> Draft | None:
    """Suggest a draft for a day that was called off on site while one was worked out.

    Told twice, there is nothing left to catch up with.
    """
    last = Draft.objects.select_related("run").order_by("-pk").first()
    if last is None or last.run is None or last.run.started_at is None:
        return None
    since = LostDay.objects.filter(
        recorded_at__gt=last.run.started_at, cancelled_at__isnull=True
    ).select_related("job", "recorded_by")
    for lost in since.order_by("-pk"):
        from_site = not lost.recorded_by.can(Can.EDIT_SCHEDULE)
        if from_site and may_lose_day(lost.recorded_by, lost.job):
            draft = suggest_draft(lost=lost, actor=lost.recorded_by, at=at)
            if draft is not None:
                return draft
    return None


def why_lost(lost: LostDay) -> str:
    """Why a draft is made."""
    return f"{say_day(lost.day)} called off: {lost.reason}"[:WHY_LONGEST]


def _being_made() -> QuerySet[Draft]:
    return Draft.objects.select_for_update().filter(state=Draft.State.MAKING)


def _made(actor: Person, at: datetime) -> dict[str, Any]:
    """By whom a draft is made, when, and from which plan."""
    head, _ = PlanHead.objects.get_or_create(pk=1)
    return {
        "based_on": head.number,
        "from_on": next_slot(the_firm(), at).day,
        "made_by": actor,
        "made_at": at,
    }


def _start(draft: Draft, *, asked_by: Person | None, at: datetime) -> Draft:
    draft.run = background.start(
        task=TASK,
        label="A draft of the plan",
        asked_by=asked_by,
        at=at,
        draft_id=draft.pk,
    )
    draft.save(update_fields=["run"])
    return draft


def _give_up_or_refuse(draft: Draft, at: datetime) -> None:
    if not is_stale(draft, at):
        raise Refused("A draft is being worked out already. Wait for it, or stop it.")
    _give_up(draft, at)


def _give_up(draft: Draft, at: datetime) -> None:
    draft.state, draft.ended_at = Draft.State.FAILED, at
    draft.save(update_fields=["state", "ended_at"])
    BackgroundRun.objects.filter(draft=draft, ended_at__isnull=True).update(
        state=BackgroundRun.State.FAILED,
        ended_at=at,
        says="Given up: nobody was working on it any more.",
    )


def is_stale(draft: Draft, at: datetime) -> bool:
    """Whether nobody can be working on it any more."""
    run = draft.run
    if draft.state != Draft.State.MAKING:
        return False
    if run is None or run.is_over:
        return True
    if run.state == BackgroundRun.State.WAITING or run.started_at is None:
        return at - run.asked_at > UNCLAIMED
    return at - run.started_at > OVERDUE


def fill_draft(
    *,
    draft_id: int,
    solve: Solve,
    on_progress: OnProgress,
    should_stop: ShouldStop,
    at: datetime,
) -> Draft:
    """Work a draft out. Run twice it gives one draft; a finished one is left alone."""
    draft = Draft.objects.select_related("made_by").get(pk=draft_id)
    if draft.state != Draft.State.MAKING:
        return draft
    jobs = open_jobs()
    if not draft.from_site:
        # Cutting visits anew can cost a booking: no draft from site may do that.
        sync_all_visits(jobs=jobs, actor=draft.made_by, at=at)
    loaded = load_problem(jobs, the_firm(), at)
    solution = solve(loaded.problem, draft.seed, on_progress, should_stop)
    loaded.notes += _lacking_on_site(loaded, jobs, at)
    return _keep(draft, loaded, solution, stopped=should_stop())


@transaction.atomic
def _keep(draft: Draft, loaded: Loaded, solution: Solution, *, stopped: bool) -> Draft:
    draft = Draft.objects.select_for_update().get(pk=draft.pk)
    if draft.state != Draft.State.MAKING:
        return draft
    draft.bookings.all().delete()
    DraftBooking.objects.bulk_create(
        (
            _row(draft, row, row.crew, loaded)
            for row in solution.bookings
            if row.crew is not None
        ),
        batch_size=500,
    )
    draft.cost = {term.value: number for term, number in solution.score.items()}
    draft.bound = {
        "proven": solution.proven,
        "gap": solution.gap,
        "origin": solution.origin.value,
        "steps": solution.steps,
        "stopped": stopped,
    }
    draft.notes = [*loaded.notes, *_notes(loaded, solution)]
    draft.trades = as_data(
        {row.visit: row.start for row in solution.bookings if row.crew is None}
    )
    draft.state = Draft.State.READY
    draft.save(update_fields=["cost", "bound", "notes", "trades", "state"])
    return draft


def _row(draft: Draft, placed: Placed, crew: int, loaded: Loaded) -> DraftBooking:
    """One row; a visit that is on site now keeps the half-day it really began on."""
    start = loaded.begun.get(placed.visit, placed.start)
    visit = loaded.visits[placed.visit]
    booking = getattr(visit, "booking", None)
    return DraftBooking(
        draft=draft,
        visit_id=placed.visit,
        crew_id=crew,
        start_on=start.day,
        start_half=start.half.value,
        end_on=placed.last.day,
        end_half=placed.last.half.value,
        is_pinned=bool(booking and booking.is_pinned and not booking.cancelled_at),
        why=placed.why[:240],
    )


def _lacking_on_site(loaded: Loaded, jobs: Sequence[Job], at: datetime) -> list[str]:
    """What the crews of visits on site lack: no draft takes those from their crew."""
    on_site = {
        loaded.visits[key].booking.pk: loaded.visits[key] for key in loaded.begun
    }
    theirs = {visit.job_id for visit in on_site.values()}
    holds = crew_holds([job for job in jobs if job.pk in theirs], at)
    return [
        f"{on_site[hold.record[1]].job} is on site and stays with its crew. {hold.says}"
        for hold in holds
        if hold.record is not None and hold.record[1] in on_site
    ]


def _last(row: Placed) -> Slot:
    return row.last


def _notes(loaded: Loaded, solution: Solution) -> Iterator[str]:
    names = {job.key: job.name for job in loaded.problem.jobs}
    for unplaced in solution.unplaced:
        yield f"{names[unplaced.job]}: not placed. {' '.join(unplaced.reasons)}"
    ends = {row.job: row.last.day for row in sorted(solution.bookings, key=_last)}
    for job in loaded.problem.jobs:
        if job.promised is not None and ends.get(job.key, job.promised) > job.promised:
            yield (
                f"{job.name}: promised for {say_day(job.promised)}, and ends on "
                f"{say_day(ends[job.key])} in this plan."
            )
    for row in solution.bookings:
        if row.crew is None:
            trade = loaded.visits[row.visit].trade
            yield f"{names[row.job]}: book the {trade} for {row.start}."


@transaction.atomic
def fail_draft(*, draft_id: int, at: datetime) -> None:
    """Mark a draft that could not be worked out; nothing else is touched."""
    Draft.objects.filter(pk=draft_id, state=Draft.State.MAKING).update(
        state=Draft.State.FAILED, ended_at=at
    )


@transaction.atomic
def discard_draft(*, draft: Draft, actor: Person, at: datetime) -> None:
    """Put a draft away. The published plan stays as it is."""
    require(actor, Can.EDIT_SCHEDULE)
    draft = Draft.objects.select_for_update().get(pk=draft.pk)
    if draft.state not in {Draft.State.READY, Draft.State.FAILED}:
        raise Refused(f"This draft is “{draft.get_state_display()}” already.")
    draft.state, draft.ended_at = Draft.State.DISCARDED, at
    draft.save(update_fields=["state", "ended_at"])
