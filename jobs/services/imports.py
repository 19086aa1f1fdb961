"""Bring in many jobs or many lines at once: all of them or none."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from jobs.domain.dimensions import Dimensions
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.models import BomLine, Client, Job, Person, Site
from jobs.permissions import require
from jobs.services.jobs import open_job_at, set_dimensions
from jobs.services.materials import add_lines


@dataclass(frozen=True, slots=True)
class NewJob:
    """One job as read from a row."""

    row: int
    title: str
    method: str  # key
    client: str
    address: str
    suburb: str
    phone: str = ""
    email: str = ""
    lead: Person | None = None
    wanted_on: date | None = None
    promised_on: date | None = None
    note: str = ""
    site_facts: dict[str, Any] = field(default_factory=dict)
    dimensions: Dimensions | None = None


@dataclass(frozen=True, slots=True)
class NewLine:
    """One line of a bill of materials as read from a row."""

    row: int
    values: dict[str, Any]


@transaction.atomic
def import_jobs(
    *, jobs: Sequence[NewJob], state: str, actor: Person, at: datetime
) -> list[Job]:
    """Open all these jobs, with clients and sites that are not there yet.

    A client is known by name, a site by client, street and suburb. Refused with the row
    numbers when any job cannot be opened; then none is.
    """
    require(actor, Can.EDIT_JOBS)
    opened: list[Job] = []
    reasons: list[str] = []
    for new in jobs:
        try:
            with transaction.atomic():
                opened.append(_open(new, state, actor, at))
        except Refused as error:
            reasons += [f"Row {new.row}: {reason}" for reason in error.reasons]
        except ValidationError as error:
            reasons += [f"Row {new.row}: {message}" for message in error.messages]
    if reasons:
        raise Refused(reasons)
    return opened


def _open(new: NewJob, state: str, actor: Person, at: datetime) -> Job:
    client = _client(new)
    site = _site(new, client)
    if site is not None:
        _refuse_twice(new, site)
    job = open_job_at(
        site=site,
        client=client,
        site_values={
            "address": new.address,
            "suburb": new.suburb,
            "state": state,
            **new.site_facts,
        },
        client_values={"name": new.client, "phone": new.phone, "email": new.email},
        values={
            "title": new.title,
            "site_lead": new.lead,
            "wanted_on": new.wanted_on,
            "promised_on": new.promised_on,
            "note": new.note,
        },
        method_key=new.method,
        actor=actor,
        at=at,
    )
    if new.dimensions is not None:
        set_dimensions(
            job=job, version=None, dimensions=new.dimensions, actor=actor, at=at
        )
    return job


def _client(new: NewJob) -> Client | None:
    found = list(Client.objects.filter(name__iexact=new.client)[:3])
    if len(found) > 1 and new.email:
        found = [
            client for client in found if client.email.lower() == new.email.lower()
        ]
    if len(found) > 1:
        raise Refused(
            f"Several clients are called {new.client}. Add the email of the one you mean."
        )
    return found[0] if found else None


def _site(new: NewJob, client: Client | None) -> Site | None:
    if client is None:
        return None
    here = client.sites.filter(address__iexact=new.address, suburb__iexact=new.suburb)
    return here.first()


def _refuse_twice(new: NewJob, site: Site) -> None:
    """A file that is brought in twice must not open everything twice."""
    same = site.jobs.filter(title__iexact=new.title, closed_at__isnull=True).first()
    if same is not None:
        raise Refused(f"Job {same.number} is open there already. Take this row out.")


@transaction.atomic
def import_lines(
    *, job: Job, lines: Sequence[NewLine], actor: Person, at: datetime
) -> list[BomLine]:
    """Add all these lines to a job's materials; none when one cannot be added."""
    require(actor, Can.EDIT_MATERIALS)
    try:
        return add_lines(
            job=job, lines=[line.values for line in lines], actor=actor, at=at
        )
    except ValidationError as error:
        raise Refused(error.messages) from error
