"""Statements and toolbox talks as PDF: loaded records to bytes; nothing is decided."""

from bisect import bisect_left
from datetime import datetime

from django.template.loader import render_to_string

from jobs.documents import Attachment, Standard, page_count, render_pdf
from jobs.domain.chain import canonical
from jobs.models import RenderedFile
from safety.domain.statement import Content
from safety.domain.toolbox import STEPS_IN_SHORT, Brief, briefs, in_brief
from safety.queries import toolbox
from safety.queries.papers import KIND, Paper, paper_digest
from safety.queries.toolbox import Toolbox

TEMPLATE = "safety/statement_pdf.html"
TALK_TEMPLATE = "safety/toolbox_pdf.html"
TO_SIGN = toolbox.MOST_PEOPLE + 2  # places on the page of a talk, two in a row


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
        digest=paper_digest(statement, shown.signed, shown.asked),
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


def toolbox_pdf(shown: Toolbox, *, at: datetime) -> RenderedFile:
    """The one page of a toolbox talk, with what it says carried inside as JSON.

    Tagged and archival (PDF/A-3a). The one already made when nothing on it changed.
    """
    kept = toolbox.made_talk(shown)
    if kept is not None:
        return kept
    content = one_page(shown)
    carried = Attachment(
        name="toolbox.json",
        data=canonical(content),
        description="What the talk says",
    )
    return render_pdf(
        toolbox_html(shown, content),
        kind=toolbox.KIND,
        digest=shown.digest,
        at=at,
        attachments=[carried],
        standard=Standard.A_3A,
    )


def one_page(shown: Toolbox) -> Content:
    """What the page of a talk says: as much as one page holds, found by laying it out.

    All steps of the day are listed; some only when not even the shortest way has room
    for all. The ways are halved again and again, so that few of them are laid out. When
    even the shortest of all takes two pages, it is that one.
    """
    way, fits = _longest_that_fits(shown, steps=None)
    if not fits:
        way, _ = _longest_that_fits(shown, steps=STEPS_IN_SHORT)
    return in_brief(shown.content, way)


def _longest_that_fits(shown: Toolbox, *, steps: int | None) -> tuple[Brief, bool]:
    """The longest way with so many steps that takes one page, else the shortest."""
    ways = [*briefs(len(shown.content["hazards"]), steps)]
    found = bisect_left(ways, -1, key=lambda way: -_pages(shown, way))
    return ways[min(found, len(ways) - 1)], found < len(ways)


def _pages(shown: Toolbox, way: Brief) -> int:
    return page_count(toolbox_html(shown, in_brief(shown.content, way)))


def toolbox_html(shown: Toolbox, content: Content) -> str:
    """The talk as one HTML document; ``content`` is what is said of it."""
    named = content["people"]
    places = [*named, *[""] * (TO_SIGN - len(named))]
    return render_to_string(
        TALK_TEMPLATE,
        {
            "talk": content,
            "day": shown.day,
            "digest": shown.digest,
            "to_sign": [*zip(places[::2], places[1::2], strict=True)],
        },
    )
