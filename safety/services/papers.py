"""Ask for the print of a statement, and make it."""

from datetime import datetime

from jobs.background import Reporter, start
from jobs.models import BackgroundRun, Person, RenderedFile
from safety.documents import statement_pdf
from safety.models import Statement
from safety.queries.papers import paper

TASK = "safety.tasks.render_statement"


def ask_for_paper(
    *, statement: Statement, actor: Person, at: datetime
) -> BackgroundRun:
    """Have the PDF made in the background; the run says how far it is."""
    return start(
        task=TASK,
        label=f"PDF of statement version {statement.number}",
        asked_by=actor,
        at=at,
        job=statement.job,
        statement_id=statement.pk,
    )


def make_paper(
    *, statement: Statement, at: datetime, report: Reporter | None = None
) -> RenderedFile:
    """Make the PDF, or find the one made before. Safe to run twice."""
    if report is not None:
        report(0.1, "Gathering the plan, the drawing and the sign-ons.")
    shown = paper(statement)
    if report is not None:
        report(0.3, "Laying out the pages.")
    return statement_pdf(shown, at=at)
