"""What the demo makes from its records: every plan, a published schedule, two files."""

from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

from jobs.documents import MissingLibrary
from jobs.models import Job, Person
from jobs.queries.firm import the_firm
from safety.models import Statement
from safety.queries.plans import draft
from safety.services.papers import make_paper
from scheduling.domain.engine import solve
from scheduling.domain.problem import Problem
from scheduling.domain.solution import OnProgress, ShouldStop, Solution
from scheduling.models import Crew, Draft
from scheduling.services.drafts import ask_for_draft, fill_draft
from scheduling.services.feed_files import feed_bytes
from scheduling.services.plan import publish_draft

SECONDS = 6.0  # enough for sixteen jobs
SEED = 1

Say = Callable[[str], object]


def work_plans_out(*, at: datetime, say: Say) -> None:
    """Compute the hazard plan of every open job that has dimensions."""
    firm, plans = the_firm(), 0
    for job in Job.objects.open().select_related("client", "site", "site_lead"):
        plans += draft(job, at, firm) is not None
    say(f"{plans} hazard plans worked out.")


def solve_schedule(*, at: datetime, say: Say) -> None:
    """Solve the schedule for all open jobs and publish it."""
    office = Person.objects.filter(is_office=True).earliest("pk")
    asked = ask_for_draft(why="The demo's first schedule", actor=office, at=at)
    fill_draft(
        draft_id=asked.pk,
        solve=_solve,
        on_progress=lambda progress: None,
        should_stop=lambda: False,
        at=at,
    )
    found = Draft.objects.get(pk=asked.pk)
    done = publish_draft(draft=found, actor=office, at=at)
    say(f"Schedule solved and published: {done.moved} visits placed or moved.")


def _solve(
    problem: Problem, seed: int, on_progress: OnProgress, should_stop: ShouldStop
) -> Solution:
    return solve(
        problem,
        seed=seed,
        deadline_s=SECONDS,
        progress=on_progress,
        should_stop=should_stop,
    )


def make_files(folder: Path, *, at: datetime, say: Say) -> Iterator[Path]:
    """Write one statement as PDF and one crew's calendar into ``folder``."""
    folder.mkdir(parents=True, exist_ok=True)
    crew = Crew.objects.filter(is_active=True).earliest("pk")
    calendar = folder / f"{crew.name.lower().replace(' ', '-')}.ics"
    calendar.write_bytes(feed_bytes(subject=crew, at=at))
    yield calendar
    statement = (
        Statement.objects.filter(state=Statement.State.ISSUED)
        .select_related("job__site", "job__client", "facts")
        .filter(job__closed_at__isnull=True)
        .earliest("pk")
    )
    paper = folder / f"statement-{statement.job.number}-v{statement.number}.pdf"
    try:
        made = make_paper(statement=statement, at=at)
    except MissingLibrary as missing:
        say(str(missing))
        return
    with made.file.open("rb") as file:
        paper.write_bytes(file.read())
    yield paper
