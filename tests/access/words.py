"""The words of the tables: who somebody is, what they get, what a row says.

The columns are always nobody, the office, the owner, the job's site lead, another site
lead, a crew member booked on the job, one who is not, and somebody without a role.
200 is "may", 403 "sees it and may not", 404 "may not know that it is there", 405 "that
page is not made for it".
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from safety.domain.library_bundle import bundled
from safety.queries.library import firm_library
from tests.world import World

COLUMNS = ("nobody", "office", "owner", "lead", "other lead", "booked", "crew", "guest")
Who = tuple[int | str, ...]

LOG_IN = "log in"  # sent to the log-in page
DOOR = "door"  # sent to the libraries' own door, which opens for the office only

EVERYBODY: Who = (LOG_IN, *[200] * 7)
NEVER: Who = (LOG_IN, *[405] * 7)
OFFICE: Who = (LOG_IN, 200, *[403] * 6)
OWNER: Who = (LOG_IN, 403, 200, *[403] * 5)
OFFICE_OWNER: Who = (LOG_IN, 200, 200, *[403] * 5)
OFFICE_LEADS: Who = (LOG_IN, 200, 403, 200, 200, 403, 403, 403)

# Records of the job that Sal leads and Cam is booked on.
JOB: Who = (LOG_IN, 200, 200, 200, 404, 200, 404, 404)
JOB_OFFICE: Who = (LOG_IN, 200, 403, 403, 404, 403, 404, 404)
JOB_OFFICE_LEAD: Who = (LOG_IN, 200, 403, 200, 404, 403, 404, 404)
JOB_NOT_CREW: Who = (LOG_IN, 200, 200, 200, 404, 403, 404, 404)
JOB_SCHEDULE: Who = (LOG_IN, 200, 200, 403, 404, 403, 404, 404)
JOB_LEAD: Who = (LOG_IN, 403, 403, 200, 404, 403, 404, 404)
JOB_SIGNERS: Who = (LOG_IN, 403, 403, 200, 404, 200, 404, 404)
# The job that Lou leads and Kim is booked on.
OTHER_JOB_OFFICE: Who = (LOG_IN, 200, 403, 404, 403, 404, 403, 404)
# Records of a job that Sal leads and nobody is booked on.
UNBOOKED: Who = (LOG_IN, 200, 200, 200, 404, 404, 404, 404)
UNBOOKED_OFFICE: Who = (LOG_IN, 200, 403, 403, 404, 404, 404, 404)
# Tools on the firm's list: everybody with a part in the firm sees them.
TOOL: Who = (LOG_IN, *[200] * 6, 404)
TOOL_OFFICE: Who = (LOG_IN, 200, *[403] * 5, 404)
# What only those know of who see all jobs.
CLIENT: Who = (LOG_IN, 200, 200, 404, 404, 404, 404, 404)
CLIENT_OFFICE: Who = (LOG_IN, 200, 403, 404, 404, 404, 404, 404)
OFFICE_KNOWS: Who = (LOG_IN, 200, 404, 404, 404, 404, 404, 404)
# Cam's own records.
SELF: Who = (LOG_IN, 200, 200, 404, 404, 200, 404, 404)
SELF_KEPT: Who = (LOG_IN, 200, 200, 404, 404, 403, 404, 404)
SELF_OWNER: Who = (LOG_IN, 403, 200, 404, 404, 403, 404, 404)
# Sal's crew, which Cam is in.
CREW: Who = (LOG_IN, 200, 200, 200, 404, 200, 404, 404)
CREW_OFFICE: Who = (LOG_IN, 200, 403, 403, 404, 403, 404, 404)
# The library tables, which the office keeps.
TABLES: Who = (LOG_IN, 200, *[DOOR] * 6)
TABLES_CLOSED: Who = (LOG_IN, 403, *[DOOR] * 6)
DESK: Who = (DOOR, *TABLES[1:])  # pages of no table in particular


def sent(who: Who, code: int = 302) -> Who:
    """The same people, whose form is taken: they are led on to another page."""
    return tuple(code if answer == 200 else answer for answer in who)


@dataclass(frozen=True, slots=True)
class Row:
    """One address: whose it is, what it is about, and a form that would be taken.

    ``data`` is what is typed into the form as the page shows it.
    """

    get: Who
    post: Who = NEVER
    about: Callable[[World], Any] | None = None
    data: Callable[[World], Mapping[str, Any]] = lambda w: {}
    query: Callable[[World], Mapping[str, Any]] = lambda w: {}

    def url(self, name: str, w: World) -> str:
        """The address; an address without a name is looked up as it is written."""
        about = self.about(w) if self.about else ()
        args = about if isinstance(about, tuple) else (getattr(about, "pk", about),)
        if "/" in name:
            return "/" + name.replace("<path:object_id>", str(args[0] if args else ""))
        query = self.query(w)
        return reverse(name, args=args, query=query or None)


def form(who: Who, about: Any = None, **more: Any) -> Row:
    """A page with a form: who may open it may send it."""
    return Row(who, sent(who), about, **more)


def button(who: Who, about: Any = None, **more: Any) -> Row:
    """A button of another page; it has no page of its own."""
    return Row(NEVER, sent(who), about, **more)


def always(who: Who, about: Any = None) -> Row:
    """A page of the library tables; it answers whatever way it is asked."""
    return Row(who, who, about)


def typed(**values: Any) -> Callable[[World], Mapping[str, Any]]:
    """What is typed, when it is the same in every firm."""
    return lambda w: values


def _line(w: World) -> Mapping[str, Any]:
    return {"line": w.line.key}


def _control(w: World) -> Mapping[str, Any]:
    return {"line": w.line.key, "control": w.line.controls[0].key}


def _text(w: World) -> Any:
    return w.method_text


def _kind(w: World) -> Any:
    return w.own_kind


def _saw(w: World) -> Any:
    return w.saw.pk


def _ladder(w: World) -> Any:
    return "fall_from_ladder"


def _steps(w: World) -> Any:
    return "fall_from_ladder", "ladder_steps_only"


def _library(w: World) -> Mapping[str, Any]:
    text = bundled(firm_library().texts)
    return {"file": SimpleUploadedFile("ours.yaml", text.encode())}


WHY = {"reason": "The test says so."}
SLIP = {"slip": "other", **WHY}
DAY, LATER = date(2026, 8, 10), date(2026, 8, 11)
