"""Statements as PDF: loaded records to bytes; nothing is decided here."""

from datetime import datetime

from django.template.loader import render_to_string

from jobs.documents import Attachment, Standard, render_pdf
from jobs.domain.chain import canonical
from jobs.models import RenderedFile
from safety.queries.papers import KIND, Paper, paper_digest

TEMPLATE = "safety/statement_pdf.html"


def statement_pdf(shown: Paper, *, at: datetime) -> RenderedFile:
    """The print of a statement, with its content carried inside as JSON.

    Tagged and archival (PDF/A-3a). The one already made when nothing on it changed.
    """
    statement = shown.statement
    content = Attachment(
        name="statement.json",
        data=canonical(statement.content),
        description="The content of the statement, as its digest was taken from",
    )
    return render_pdf(
        statement_html(shown),
        kind=KIND,
        digest=paper_digest(statement, shown.signed),
        at=at,
        attachments=[content],
        standard=Standard.A_3A,
    )


def statement_html(shown: Paper) -> str:
    """The print as one HTML document."""
    statement = shown.statement
    return render_to_string(
        TEMPLATE,
        {
            "paper": shown,
            "statement": statement,
            "content": statement.content,
            "job": statement.job,
            "firm": shown.firm,
        },
    )
