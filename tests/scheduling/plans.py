"""Drafts whose places a test chooses, published by the real services."""

from scheduling.domain.calendar import Half, Slot
from scheduling.domain.policy import Term
from scheduling.domain.solution import Booking, Origin, Solution
from scheduling.models import LostDay
from scheduling.services.drafts import ask_for_draft, fill_draft
from scheduling.services.plan import publish_draft

AM, PM = Half.AM, Half.PM


def slot(day, half="am"):
    """The half-day of a date."""
    return Slot(day, Half(half))


def chosen(places):
    """A way to solve that puts visits, by ordinal of their job, where a test says.

    ``places`` maps (job id, ordinal) to (crew, first half-day, last half-day).
    """

    def solve(problem, seed, on_progress, should_stop):
        order = {v.key: (job.key, n) for job in problem.jobs for n, v in _numbered(job)}
        bookings = tuple(
            Booking(
                visit=key,
                job=at[0],
                crew=places[at][0].pk,
                start=places[at][1],
                last=places[at][2],
                halves=1,
                tentative=False,
                why="the test says so",
            )
            for key, at in order.items()
            if at in places
        )
        return Solution(
            bookings=bookings,
            unplaced=(),
            score={Term.TRAVEL: 0},
            cost=(),
            bound=(),
            gap=0.0,
            proven=True,
            origin=Origin.DISPATCH,
            steps=1,
        )

    return solve


def _numbered(job):
    return list(enumerate(job.visits, start=1))


def draft_of(places, actor, at, solve=None):
    """A draft ready to be looked at."""
    draft = ask_for_draft(actor=actor, at=at)
    return fill_draft(
        draft_id=draft.pk,
        solve=solve or chosen(places),
        on_progress=lambda progress: None,
        should_stop=lambda: False,
        at=at,
    )


def lost_day(day, reason, actor, at):
    """A day of the past that was called off for all jobs, whatever was booked on it."""
    return LostDay.objects.create(
        day=day, reason=reason, recorded_by=actor, recorded_at=at
    )


def publish(places, actor, at):
    """Draft and publish in one go."""
    return publish_draft(draft=draft_of(places, actor, at), actor=actor, at=at)
