"""Ask for the page of a toolbox talk, and make it."""

from datetime import date, datetime

from django.utils.formats import date_format

from jobs.background import Reporter, start
from jobs.models import BackgroundRun, Job, Person, RenderedFile
from safety.documents import toolbox_pdf
from safety.queries.toolbox import toolbox_of

TASK = "safety.tasks.render_talk"


def ask_for_talk(*, job: Job, day: date, actor: Person, at: datetime) -> BackgroundRun:
    """Have the page made in the background; the run says how far it is.

    Raises Refused when there is nothing to talk about that day.
    """
    toolbox_of(job, day, at)
    return start(
        task=TASK,
        label=f"Toolbox talk of {date_format(day)}",
        asked_by=actor,
        at=at,
        job=job,
        job_id=job.pk,
        day=day.isoformat(),
    )


def make_talk(
    *, job: Job, day: date, at: datetime, report: Reporter | None = None
) -> RenderedFile:
    """Make the page, or find the one made before. Safe to run twice."""
    if report is not None:
        report(0.2, "Gathering the day's steps, hazards and limits.")
    shown = toolbox_of(job, day, at)
    if report is not None:
        report(0.5, "Laying out the page.")
    return toolbox_pdf(shown, at=at)
